/* Clone: a database with one patient becomes one with many. Each row of that patient is copied for all others in one
 * statement: ids and references move by a rank in time, numbers, refs, keys and hashes become each one's own, all other
 * columns stay. It knows the names of columns that refer, not the tables' other columns.
 *
 * Indexes and triggers are put aside meanwhile: 15 million rows in a minute or two.
 */
#include "tests/bench/clone.h"

#include <fcntl.h>
#include <inttypes.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "gateway/base.h"

enum { ASIDE_MAX = 128, FIRST_ID = 1000000000, HISTORY_ID = 1000 };

static const char *const tables[] = {"people", "weeks", "texts", "readings", "courses", "outbox"};
static const char *const references[] = {"id",   "person", "week",          "text",           "reading",
                                         "alert", "replaced_by", "question_text", "follow_reading"};

struct cloning {
    const struct world *w;
    sqlite3 *db;
    char *aside[ASIDE_MAX];
    int n_aside;
    char phone[32], number[32];
};

static int run(struct cloning *c, const char *sql)
{
    char *why = NULL;
    if (sqlite3_exec(c->db, sql, NULL, NULL, &why) == SQLITE_OK)
        return 0;
    fprintf(stderr, "%s\n  in %.400s\n", why, sql);
    sqlite3_free(why);
    return -1;
}

static int run_format(struct cloning *c, const char *format, ...) __attribute__((format(printf, 2, 3)));
static int run_format(struct cloning *c, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    char *sql = sqlite3_vmprintf(format, args);
    va_end(args);
    int error = sql ? run(c, sql) : -1;
    sqlite3_free(sql);
    return error;
}

static int64_t number_of(struct cloning *c, const char *sql)
{
    sqlite3_stmt *s = NULL;
    int64_t n = -1;
    if (sqlite3_prepare_v2(c->db, sql, -1, &s, NULL) == SQLITE_OK && sqlite3_step(s) == SQLITE_ROW)
        n = sqlite3_column_int64(s, 0);
    sqlite3_finalize(s);
    return n;
}

/* -- indexes and triggers, put aside ----------------------------------------------------------------------------------------- */

static int put_aside(struct cloning *c)
{
    sqlite3_stmt *s = NULL;
    char *drops[ASIDE_MAX];
    int n = 0, error = 0;
    sqlite3_prepare_v2(c->db, "SELECT type, name, sql FROM sqlite_schema WHERE type IN ('index', 'trigger') AND sql IS NOT NULL",
                       -1, &s, NULL);
    while (s && n < ASIDE_MAX && sqlite3_step(s) == SQLITE_ROW) {
        drops[n] = sqlite3_mprintf("DROP %s %s", sqlite3_column_text(s, 0), sqlite3_column_text(s, 1));
        c->aside[n++] = sqlite3_mprintf("%s", sqlite3_column_text(s, 2));
    }
    sqlite3_finalize(s);
    c->n_aside = n;
    for (int i = 0; i < n; i++) {
        error |= run(c, drops[i]);
        sqlite3_free(drops[i]);
    }
    return error;
}

static int put_back(struct cloning *c)
{
    int error = 0;
    for (int i = 0; i < c->n_aside; i++) {
        error |= run(c, c->aside[i]);
        sqlite3_free(c->aside[i]);
    }
    return error;
}

/* -- the one patient's closed weeks ------------------------------------------------------------------------------------------- */

static int history_make(struct cloning *c)
{
    int weeks = c->w->weeks, error = 0;
    if (!weeks)
        return 0;
    error = run_format(c,
                       "CREATE TEMP TABLE the_week AS SELECT * FROM weeks; CREATE TEMP TABLE its_readings AS SELECT * FROM readings;"
                       "UPDATE its_readings SET text = NULL; UPDATE weeks SET number = %d", weeks + 1);
    for (int k = 1; k <= weeks && !error; k++)
        error = run_format(c,
                           "UPDATE the_week SET id = %d, number = %d, state = 'closed', first_day = first_day - 8, last_day ="
                           " first_day - 1, ended_at = opened_at, opened_at = opened_at - 8 * 86400; INSERT INTO weeks SELECT"
                           " * FROM the_week; UPDATE its_readings SET id = %d + rowid, week = %d, at = at - 8 * 86400, day ="
                           " day - 8; INSERT INTO readings SELECT * FROM its_readings",
                           HISTORY_ID + k * 100, k, HISTORY_ID + k * 100, HISTORY_ID + k * 100);
    return error | run(c, "DROP TABLE IF EXISTS the_week; DROP TABLE IF EXISTS its_readings");
}

/* -- one row for everybody ---------------------------------------------------------------------------------------------------- */

static int ranks_make(struct cloning *c)
{
    return run(c, "CREATE TEMP TABLE ranks AS SELECT id, row_number() OVER (ORDER BY id) AS rank FROM"
                  " (SELECT id FROM people UNION SELECT id FROM weeks UNION SELECT id FROM texts UNION SELECT id FROM readings"
                  "  UNION SELECT id FROM outbox); CREATE INDEX temp.ranks_by_id ON ranks (id)");
}

/* The number that id `id` of the one patient becomes, less the other patient's own: K of K + i. 0: it is no id of a row. */
static int64_t moved(struct cloning *c, int64_t id)
{
    char sql[96];
    snprintf(sql, sizeof sql, "SELECT rank FROM ranks WHERE id = %" PRId64, id);
    int64_t rank = number_of(c, sql);
    return rank < 0 ? 0 : FIRST_ID + rank * c->w->patients;
}

static bool refers(const char *column)
{
    for (size_t i = 0; i < sizeof references / sizeof *references; i++)
        if (!strcmp(references[i], column))
            return true;
    return false;
}

static const char phone_expression[] = "printf('+1%%03d55501%%02d', 200 + i %% 80000 / 100, i %% 100)";

/* What a column of the copy for patient i is. */
static void column_add(struct cloning *c, struct buffer *b, const char *column, sqlite3_value *v, int64_t row_id)
{
    const char *text = sqlite3_value_type(v) == SQLITE_TEXT ? (const char *)sqlite3_value_text(v) : "";
    int64_t k = sqlite3_value_type(v) == SQLITE_INTEGER && refers(column) ? moved(c, sqlite3_value_int64(v)) : 0;
    if (k)
        buffer_print(b, "%" PRId64 " + i", k);
    else if (!strcmp(column, "hash"))
        buffer_text(b, "randomblob(16)");
    else if (!strcmp(text, c->phone))
        buffer_print(b, phone_expression);
    else if (!strcmp(text, c->number))
        buffer_text(b, "printf('+4477009000%02d', i / 80000)");
    else if (!strcmp(column, "clinic"))
        buffer_text(b, "printf('c%02d', i / 80000)");
    else if (!strcmp(column, "ref"))
        buffer_text(b, "'P-' || i");
    else if ((!strcmp(column, "key") || !strcmp(column, "carrier_id")) && *text)
        buffer_print(b, "'%c' || (%" PRId64 " + i)", column[0], moved(c, row_id));
    else
        buffer_print(b, "t.%s", column);
}

static int row_copy(struct cloning *c, const char *table, sqlite3_stmt *s)
{
    struct buffer b;
    buffer_init(&b, 1 << 16);
    buffer_print(&b, "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < %" PRId64 ") INSERT INTO %s SELECT ",
                 c->w->patients - 1, table);
    for (int i = 1; i < sqlite3_column_count(s); i++) {
        buffer_text(&b, i > 1 ? ", " : "");
        sqlite3_value *v = sqlite3_value_dup(sqlite3_column_value(s, i));
        column_add(c, &b, sqlite3_column_name(s, i), v, sqlite3_column_int64(s, 1));
        sqlite3_value_free(v);
    }
    buffer_print(&b, " FROM n CROSS JOIN %s t WHERE t.rowid = %" PRId64, table, (int64_t)sqlite3_column_int64(s, 0));
    int error = b.failed ? -1 : run(c, b.at);
    buffer_clear(&b);
    return error;
}

static int table_copy(struct cloning *c, const char *table)
{
    sqlite3_stmt *s = NULL;
    int error = 0;
    run_format(c, "CREATE TEMP TABLE rows_of AS SELECT rowid AS r FROM %s ORDER BY rowid", table);
    char *sql = sqlite3_mprintf("SELECT t.rowid, t.* FROM rows_of JOIN %s t ON t.rowid = rows_of.r ORDER BY r", table);
    if (sqlite3_prepare_v2(c->db, sql, -1, &s, NULL) != SQLITE_OK)
        error = -1;
    while (!error && sqlite3_step(s) == SQLITE_ROW)
        error = row_copy(c, table, s);
    sqlite3_finalize(s);
    sqlite3_free(sql);
    return error | run(c, "DROP TABLE rows_of");
}

static int desk_make(struct cloning *c)
{
    int64_t clinics = (c->w->patients + PHONES - 1) / PHONES;
    return run_format(c,
                      "WITH RECURSIVE n(i) AS (SELECT 0 UNION ALL SELECT i + 1 FROM n WHERE i < %d) INSERT INTO desk (id, person,"
                      " clinic, kind, rank, at, note, done_by, taken_by, version) SELECT 500000000 + i, p.id, p.clinic, 'asks',"
                      " i %% 10, %lld - i, 'A question of an invented patient.', '', '', 1 FROM n JOIN people p ON p.ref = 'P-' ||"
                      " (i / %d * 80000 + i %% %d %% %lld)",
                      (int)(clinics * c->w->desk_rows - 1), (long long)c->w->now, c->w->desk_rows, c->w->desk_rows,
                      (long long)(c->w->patients < PHONES ? c->w->patients : PHONES));
}

static int all_copy(struct cloning *c)
{
    int error = 0;
    for (size_t i = 0; i < sizeof tables / sizeof *tables && !error; i++)
        error = table_copy(c, tables[i]);
    if (!error)
        error = run(c, "INSERT OR IGNORE INTO messages SELECT hash, received FROM texts ORDER BY hash;"
                       "DELETE FROM tallies; INSERT INTO tallies SELECT class, state, count(*) FROM outbox GROUP BY 1, 2");
    return error;
}

/* Nothing was synced on the way: what is measured later shall not pay for it. */
static int file_sync(const char *file)
{
    int fd = open(file, O_RDWR | O_CLOEXEC);
    int error = fd < 0 || fsync(fd) < 0 ? -1 : 0;
    if (fd >= 0)
        close(fd);
    return error;
}

int world_clone(const struct world *w)
{
    char file[BENCH_PATH + 64];
    struct cloning c = {.w = w};
    world_phone(0, c.phone);
    world_clinic_number(0, c.number);
    snprintf(file, sizeof file, "%s/state/quietarm.db", w->folder);
    int error = sqlite3_open(file, &c.db) == SQLITE_OK ? 0 : -1;
    if (!error)
        error = run(&c, "PRAGMA journal_mode = DELETE; PRAGMA journal_mode = OFF; PRAGMA synchronous = OFF; PRAGMA cache_size ="
                        " -2000000; PRAGMA temp_store = FILE; PRAGMA foreign_keys = OFF;"
                        "UPDATE outbox SET state = 'delivered', sent_at = created, delivered_at = created, check_due = NULL,"
                        " carrier_id = 'c' || id WHERE state = 'waiting'");
    if (!error)
        error = put_aside(&c);
    if (!error)
        error = history_make(&c);
    if (!error)
        error = ranks_make(&c);
    if (!error)
        error = all_copy(&c);
    error |= put_back(&c);
    if (!error && w->desk_rows)
        error = desk_make(&c);
    error |= run(&c, "PRAGMA journal_mode = WAL");
    sqlite3_close(c.db);
    return error | file_sync(file);
}
