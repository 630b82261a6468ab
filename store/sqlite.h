/* What the files of the SQLite driver share. Nothing above the driver includes this. */
#ifndef QUIETARM_SQLITE_H
#define QUIETARM_SQLITE_H

#include <sqlite3.h>

#include "store/driver.h"
#include "store/schema_sqlite.h"

enum { SQLITE_CACHE = 256 }; /* statements kept prepared; the nouns have about 60 */

struct sqlite_db {
    struct db db; /* first: a struct db * of this driver is one of these */
    sqlite3 *handle;
    int lock;     /* descriptor of quietarm.lock, -1 */
    struct {
        const char *sql;
        sqlite3_stmt *statement;
    } cache[SQLITE_CACHE];
};

/* sqlite_open.c */
int sqlite_open(struct db **out, const char *folder, enum db_use use, const struct schema *schema, char *why,
                size_t why_size);
int sqlite_open_file(struct db **out, const char *file, char *why, size_t why_size);
/* A "file:" URI of a path, with `query` at its end; false when it is too long. */
bool sqlite_uri(const char *path, const char *query, char *uri, size_t size);
/* A handle as every connection of ours is set: busy timeout, no double-quoted strings, untrusting. */
int sqlite_settle(sqlite3 *handle);

/* sqlite_migrate.c: makes an empty database or an older one this schema's; a copy of an older one is put aside first as
 * FILE.before-VERSION. */
int sqlite_migrate(struct sqlite_db *db, const char *file, const struct schema *schema);
int sqlite_version(sqlite3 *handle, int *version);

/* driver_sqlite.c */
int sqlite_error(struct db *db, int code); /* a result code of SQLite as a store_error; sets why */
int sqlite_execute(struct db *db, const char *sql);

#endif
