/* The embedded driver: the nouns' queries and writes on SQLite.
 *
 * Statements are prepared once a connection and found again by the address of their text. Must never build SQL. A
 * statement of the nouns takes 2 to 20 µs here; the sync at commit takes a hundred times as long, which is why the writer
 * commits in groups.
 */
#include "store/sqlite.h"

#include <assert.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "store/tables.h"

static struct sqlite_db *of(struct db *db)
{
    return (struct sqlite_db *)db;
}

int sqlite_error(struct db *db, int code)
{
    if (code == SQLITE_OK || code == SQLITE_DONE || code == SQLITE_ROW)
        return 0;
    snprintf(db->why, sizeof db->why, "%s", of(db)->handle ? sqlite3_errmsg(of(db)->handle) : sqlite3_errstr(code));
    switch (code & 0xff) {
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
        return STORE_BUSY;
    case SQLITE_FULL:
        return STORE_FULL;
    case SQLITE_CORRUPT:
    case SQLITE_NOTADB:
    case SQLITE_ERROR: /* the SQL is ours: what it names is not there */
        return STORE_CORRUPT;
    case SQLITE_CONSTRAINT:
    case SQLITE_MISMATCH:
        return STORE_CONFLICT;
    case SQLITE_NOMEM:
        return STORE_MEMORY;
    default:
        return STORE_IO;
    }
}

int sqlite_execute(struct db *db, const char *sql)
{
    return sqlite_error(db, sqlite3_exec(of(db)->handle, sql, NULL, NULL, NULL));
}

/* -- prepared statements ------------------------------------------------------------------------------------------------- */

static int statement_prepare(struct db *db, const char *sql, sqlite3_stmt **out)
{
    return sqlite_error(db, sqlite3_prepare_v3(of(db)->handle, sql, -1, SQLITE_PREPARE_PERSISTENT, out, NULL));
}

/* One that is in use (a row function that asks the same again) is prepared anew, and finalized by statement_done. */
static int statement_get(struct db *db, const char *sql, sqlite3_stmt **out)
{
    size_t i = ((uintptr_t)sql >> 3) % SQLITE_CACHE, tried = 0;
    for (; of(db)->cache[i].sql && of(db)->cache[i].sql != sql && tried < SQLITE_CACHE; tried++)
        i = (i + 1) % SQLITE_CACHE;
    *out = NULL;
    if (tried == SQLITE_CACHE || (of(db)->cache[i].sql && sqlite3_stmt_busy(of(db)->cache[i].statement)))
        return statement_prepare(db, sql, out);
    if (!of(db)->cache[i].sql) {
        int error = statement_prepare(db, sql, &of(db)->cache[i].statement);
        if (error)
            return error;
        of(db)->cache[i].sql = sql;
    }
    *out = of(db)->cache[i].statement;
    return 0;
}

static void statement_done(struct db *db, const char *sql, sqlite3_stmt *statement)
{
    sqlite3_reset(statement);
    size_t i = ((uintptr_t)sql >> 3) % SQLITE_CACHE;
    for (size_t tried = 0; tried < SQLITE_CACHE && of(db)->cache[i].sql; tried++, i = (i + 1) % SQLITE_CACHE)
        if (of(db)->cache[i].statement == statement)
            return;
    sqlite3_finalize(statement);
}

static int value_bind(sqlite3_stmt *statement, int i, const struct value *v)
{
    switch (v->kind) {
    case VALUE_WHOLE:
        return sqlite3_bind_int64(statement, i, v->whole);
    case VALUE_REAL:
        return sqlite3_bind_double(statement, i, v->real);
    case VALUE_TEXT:
        return sqlite3_bind_text(statement, i, v->text, v->size, SQLITE_STATIC);
    case VALUE_BLOB:
        return sqlite3_bind_blob(statement, i, v->blob, v->size, SQLITE_STATIC);
    default:
        return sqlite3_bind_null(statement, i);
    }
}

static int statement_bind(struct db *db, sqlite3_stmt *statement, const struct value *values, size_t n)
{
    assert((size_t)sqlite3_bind_parameter_count(statement) == n);
    for (size_t i = 0; i < n; i++) {
        int error = sqlite_error(db, value_bind(statement, (int)i + 1, &values[i]));
        if (error)
            return error;
    }
    return 0;
}

static struct value column_value(sqlite3_stmt *statement, int i)
{
    switch (sqlite3_column_type(statement, i)) {
    case SQLITE_INTEGER:
        return value_whole(sqlite3_column_int64(statement, i));
    case SQLITE_FLOAT:
        return (struct value){.kind = VALUE_REAL, .real = sqlite3_column_double(statement, i)};
    case SQLITE_TEXT:
        return (struct value){.kind = VALUE_TEXT,
                              .text = (const char *)sqlite3_column_text(statement, i),
                              .size = sqlite3_column_bytes(statement, i)};
    case SQLITE_BLOB:
        return (struct value){.kind = VALUE_BLOB,
                              .blob = sqlite3_column_blob(statement, i),
                              .size = sqlite3_column_bytes(statement, i)};
    default:
        return (struct value){.kind = VALUE_NULL};
    }
}

/* -- the driver -------------------------------------------------------------------------------------------------------- */

static int query_rows(struct db *db, sqlite3_stmt *statement, const struct query *q)
{
    struct value columns[ROW_COLUMNS_MAX];
    int n = sqlite3_column_count(statement), code;
    assert(n <= ROW_COLUMNS_MAX);
    while ((code = sqlite3_step(statement)) == SQLITE_ROW) {
        for (int i = 0; i < n; i++) {
            columns[i] = column_value(statement, i);
            if (columns[i].kind == VALUE_TEXT && !columns[i].text)
                return STORE_MEMORY;
        }
        int error = q->row(q->context, columns, (size_t)n);
        if (error == STORE_CORRUPT)
            return db_fail(db, error, "a row holds what no program of ours wrote");
        if (error)
            return error;
    }
    return sqlite_error(db, code);
}

static int sqlite_load(struct db *db, const struct query *queries, size_t n)
{
    int error = 0;
    for (size_t i = 0; i < n && !error; i++) {
        sqlite3_stmt *statement;
        error = statement_get(db, queries[i].sql, &statement);
        if (error)
            break;
        error = statement_bind(db, statement, queries[i].values, queries[i].n);
        if (!error)
            error = query_rows(db, statement, &queries[i]);
        statement_done(db, queries[i].sql, statement);
    }
    return error;
}

static int write_one(struct db *db, const struct write *w)
{
    sqlite3_stmt *statement;
    int error = statement_get(db, w->sql, &statement);
    if (error)
        return error;
    error = statement_bind(db, statement, w->values, w->n);
    if (!error)
        error = sqlite_error(db, sqlite3_step(statement));
    if (!error && w->must && sqlite3_changes(of(db)->handle) == 0)
        error = db_fail(db, STORE_CONFLICT, "the id is that of another row");
    statement_done(db, w->sql, statement);
    return error;
}

static int sqlite_write(struct db *db, const struct write *writes, size_t n)
{
    int error = 0;
    for (size_t i = 0; i < n && !error; i++)
        error = write_one(db, &writes[i]);
    return error;
}

static int sqlite_begin(struct db *db)
{
    return sqlite_execute(db, db->writes ? "BEGIN IMMEDIATE" : "BEGIN");
}

static int sqlite_commit(struct db *db)
{
    return sqlite_execute(db, "COMMIT");
}

static void sqlite_rollback(struct db *db)
{
    char why[DB_WHY]; /* what went wrong before is what the log wants */
    memcpy(why, db->why, sizeof why);
    if (!sqlite3_get_autocommit(of(db)->handle)) /* some errors have rolled back already */
        sqlite_execute(db, "ROLLBACK");
    memcpy(db->why, why, sizeof why);
}

static int scrub_row(void *context, const struct value *columns, size_t n)
{
    *(bool *)context = n > 0 && columns[0].kind == VALUE_WHOLE && columns[0].whole == 0; /* 1: busy */
    return 0;
}

static int sqlite_scrub(struct db *db, bool *done)
{
    *done = false;
    return db_load(db, &(struct query){"PRAGMA wal_checkpoint(TRUNCATE)", NULL, 0, scrub_row, done}, 1);
}

static int sqlite_changed(struct db *db, int64_t *version)
{
    bool found;
    return db_whole(db, "PRAGMA data_version", NULL, 0, version, 1, &found);
}

static void sqlite_close(struct db *db)
{
    for (size_t i = 0; i < SQLITE_CACHE; i++)
        sqlite3_finalize(of(db)->cache[i].statement);
    sqlite3_close(of(db)->handle);
    if (of(db)->lock >= 0)
        close(of(db)->lock);
    free(of(db));
}

static const char looks_due_ids[] = "SELECT person, next_look FROM courses WHERE next_look IS NOT NULL AND next_look <= $1"
                                   " ORDER BY next_look, person LIMIT $2";

/* Due rows of one class ($1) and channel ($2) at an instant ($3), by due and id. The row of one number that goes next in its
 * class is the one with the smallest id of those that are due; below worry a text waits too for an earlier one that
 * waits for another attempt. A row waits while a more urgent one to its number is due. So at most one row a number comes
 * of it. All of it stays inside two indexes, and the walk ends at its limit: nothing is sorted. */
static const char outbox_due_ids[] =
    "SELECT id, due FROM outbox o INDEXED BY outbox_waiting"
    " WHERE state = 'waiting' AND class = $1 AND channel = $2 AND due <= $3"
    " AND NOT EXISTS (SELECT 1 FROM outbox e INDEXED BY outbox_in_order WHERE e.state = 'waiting'"
    "  AND e.recipient = o.recipient AND e.class = o.class AND e.id < o.id"
    "  AND (e.due <= $3 OR (e.attempts > 0 AND o.class > 0 AND o.channel = 'text')))"
    " AND NOT EXISTS (SELECT 1 FROM outbox h INDEXED BY outbox_in_order WHERE h.state = 'waiting'"
    "  AND h.recipient = o.recipient AND h.class < o.class AND h.due <= $3)"
    " ORDER BY due, id LIMIT $4";

static int sqlite_open_folder(struct db **out, const char *folder, const char *conninfo, enum db_use use, char *why,
                              size_t why_size)
{
    (void)conninfo;
    return sqlite_open(out, folder, use, &schema_sqlite, why, why_size);
}

const struct driver driver_sqlite = {
    .name = "embedded",
    .open = sqlite_open_folder,
    .close = sqlite_close,
    .begin = sqlite_begin,
    .commit = sqlite_commit,
    .rollback = sqlite_rollback,
    .load = sqlite_load,
    .write = sqlite_write,
    .scrub = sqlite_scrub,
    .changed = sqlite_changed,
    .schema = "PRAGMA user_version",
    .take = {.looks = looks_due_ids, .outbox = outbox_due_ids},
};
