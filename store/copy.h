/* One consistent copy of an open SQLite database, and its seal. */
#ifndef QUIETARM_COPY_H
#define QUIETARM_COPY_H

#include <sqlite3.h>
#include <stdbool.h>
#include <stddef.h>

/* Copies all pages in one step into a file beside `dest`, syncs, renames; the copy needs no log. With `sealed` a digest of
 * each table is written into it. Refuses a `dest` that is there (STORE_CONFLICT). */
int copy_database(sqlite3 *handle, const char *dest, bool sealed, char *why, size_t why_size);

enum { SEAL_BYTES = 32 };
/* Digests of all tables' rows. With `write` they are put into `seals`; without, compared with what is there:
 * *sound is false when one differs; a database without seals is sound. SQLite's code. */
int seal_database(sqlite3 *handle, bool write, bool *sound);

#endif
