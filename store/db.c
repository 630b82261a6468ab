/* A connection, whichever driver runs below it, and the few calls that the nouns are made of.
 *
 * Everything that touches the database passes through here, so that transactions are counted in one place. Must know
 * no table.
 */
#include <assert.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "store/erase.h"
#include "store/place.h"
#include "store/sqlite.h"

static const char *const error_names[] = {"ok",    "busy", "full",   "corrupt", "newer",
                                          "conflict", "io", "memory", "absent",  "older", "again"};

const char *store_error_name(int error)
{
    size_t i = error <= 0 ? (size_t)-error : 0;
    return i < COUNT(error_names) ? error_names[i] : "unknown";
}

/* Half a copy is no database: see migrate.c. */
static int moved(struct db *db)
{
    int64_t moving;
    bool found;
    int error = meta_get(db, "moving", &moving, &found);
    return error || !found ? error : db_fail(db, STORE_BUSY, "a migration into it is not done; run quietarm migrate again");
}

int db_open(struct db **out, const char *folder, enum db_use use, char *why, size_t why_size)
{
    int error = place_driver()->open(out, folder, place_conninfo(), use, why, why_size);
    if (error)
        return error;
    if (!(*out)->folder)
        (*out)->folder = strdup(folder);
    error = (*out)->folder ? 0 : db_fail(*out, STORE_MEMORY, "out of memory");
    if (!error && (*out)->writes)
        error = moved(*out);
    if (!error && use == DB_SERVE)
        error = erase_again(*out);
    if (error) {
        snprintf(why, why_size, "%s: %s", folder, db_why(*out));
        db_close(*out);
        *out = NULL;
    }
    return error;
}

int db_open_file(struct db **out, const char *file, char *why, size_t why_size)
{
    return sqlite_open_file(out, file, why, why_size);
}

void db_close(struct db *db)
{
    if (!db)
        return;
    db_rollback(db);
    free(db->folder);
    db->driver->close(db);
}

const char *db_why(const struct db *db)
{
    return db->why;
}

void db_now(struct db *db, int64_t now)
{
    db->now = now;
}

/* -- transactions -------------------------------------------------------------------------------------------------------- */

int db_begin(struct db *db)
{
    assert(!db->in_transaction);
    int error = db->driver->begin(db);
    db->in_transaction = !error;
    return error;
}

int db_commit(struct db *db)
{
    assert(db->in_transaction);
    int error = db->driver->commit(db);
    if (error)
        db->driver->rollback(db);
    db->in_transaction = false;
    bool done = false;
    if (!error && db->scrub && db->driver->scrub(db, &done) == 0)
        db->scrub = !done; /* else after the next commit */
    return error;
}

void db_rollback(struct db *db)
{
    if (db->in_transaction)
        db->driver->rollback(db);
    db->in_transaction = false;
}

int db_changed(struct db *db, int64_t *version)
{
    return db->driver->changed(db, version);
}

/* -- lists ---------------------------------------------------------------------------------------------------------------- */

int db_load(struct db *db, const struct query *queries, size_t n)
{
    return db->driver->load(db, queries, n);
}

int db_write(struct db *db, const struct write *writes, size_t n)
{
    assert(db->writes);
    if (db->in_transaction || n == 1)
        return db->driver->write(db, writes, n);
    int error = db_begin(db);
    if (error)
        return error;
    error = db->driver->write(db, writes, n);
    if (!error)
        return db_commit(db);
    db_rollback(db);
    return error;
}

int db_run(struct db *db, const char *sql, const struct value *values, size_t n)
{
    return db_write(db, &(struct write){.sql = sql, .values = values, .n = n}, 1);
}

/* -- rows of whole numbers ------------------------------------------------------------------------------------------------ */

struct wholes {
    int64_t *const *columns;
    size_t n_columns, max, rows;
};

static int wholes_add(void *context, const struct value *columns, size_t n)
{
    struct wholes *w = context;
    if (w->rows == w->max)
        return 0;
    assert(n == w->n_columns);
    for (size_t c = 0; c < n; c++)
        w->columns[c][w->rows] = columns[c].kind == VALUE_WHOLE ? columns[c].whole : INSTANT_NONE;
    w->rows++;
    return 0;
}

int db_wholes(struct db *db, const char *sql, const struct value *values, size_t n, int64_t *const *columns,
              size_t n_columns, size_t max, size_t *rows)
{
    struct wholes w = {.columns = columns, .n_columns = n_columns, .max = max};
    int error = db_load(db, &(struct query){sql, values, n, wholes_add, &w}, 1);
    *rows = w.rows;
    return error;
}

int db_whole(struct db *db, const char *sql, const struct value *values, size_t n, int64_t *columns, size_t n_columns,
             bool *found)
{
    int64_t *at[16];
    size_t rows = 0;
    assert(n_columns <= COUNT(at));
    for (size_t c = 0; c < n_columns; c++)
        at[c] = &columns[c];
    int error = db_wholes(db, sql, values, n, at, n_columns, 1, &rows);
    *found = rows == 1;
    return error;
}
