/* All rows of one database into another, whichever drivers they run on. */
#ifndef QUIETARM_TRANSFER_H
#define QUIETARM_TRANSFER_H

#include "store/driver.h"

enum { TRANSFER_KEYS = 3 };

/* One table: its rows by key, a page at a time. Constants; values of any kind. */
struct transfer_table {
    const char *of;
    size_t columns, keys;
    const char *first, *next; /* a page ($1 rows) from the start; behind a key ($1 …), so many rows */
    const char *last;         /* the greatest key */
    const char *put, *clear;  /* clear: what triggers have counted is replaced whole; else NULL */
    size_t key_at[TRANSFER_KEYS];
};
extern const struct transfer_table transfer_tables[]; /* parents first; ended by an `of` NULL */

/* Copies what `to` lacks, then compares counts and digests of every table; `told` may be NULL. Errors are told in `why`. An
 * earlier copy that was cut off is taken up where it ended. STORE_CORRUPT: what was copied is not what is there. */
int transfer_all(struct db *from, struct db *to, void (*told)(void *context, const char *of, int64_t rows), void *context,
                 char *why, size_t why_size);

#endif
