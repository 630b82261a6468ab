/* Record: what the store says to SQLite, statement by statement with its values, and the same said again bare.
 *
 * The linker hands SQLite's calls of the store to the wrappers here (--wrap). The replay is the ceiling: the same
 * statements, prepared once, the same values, the same transactions on the same disk, and nothing else.
 */
#include "tests/bench/bench.h"

#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

int __real_sqlite3_bind_int64(sqlite3_stmt *s, int i, sqlite3_int64 v);
int __real_sqlite3_bind_double(sqlite3_stmt *s, int i, double v);
int __real_sqlite3_bind_null(sqlite3_stmt *s, int i);
int __real_sqlite3_bind_text(sqlite3_stmt *s, int i, const char *t, int n, void (*free_)(void *));
int __real_sqlite3_bind_blob(sqlite3_stmt *s, int i, const void *t, int n, void (*free_)(void *));
int __real_sqlite3_step(sqlite3_stmt *s);
int __real_sqlite3_exec(sqlite3 *db, const char *sql, int (*row)(void *, int, char **, char **), void *context, char **why);
int __wrap_sqlite3_bind_int64(sqlite3_stmt *s, int i, sqlite3_int64 v);
int __wrap_sqlite3_bind_double(sqlite3_stmt *s, int i, double v);
int __wrap_sqlite3_bind_null(sqlite3_stmt *s, int i);
int __wrap_sqlite3_bind_text(sqlite3_stmt *s, int i, const char *t, int n, void (*free_)(void *));
int __wrap_sqlite3_bind_blob(sqlite3_stmt *s, int i, const void *t, int n, void (*free_)(void *));
int __wrap_sqlite3_step(sqlite3_stmt *s);
int __wrap_sqlite3_exec(sqlite3 *db, const char *sql, int (*row)(void *, int, char **, char **), void *context, char **why);

enum { STATEMENTS = 256 };
enum act_kind { ACT_WHOLE, ACT_REAL, ACT_NULL, ACT_TEXT, ACT_BLOB, ACT_STEP, ACT_EXECUTE };

struct act {
    uint8_t kind, parameter;
    uint16_t statement;
    int size;
    union {
        int64_t whole;
        double real;
        char *bytes;
    };
};

static struct {
    bool on;
    struct act *acts;
    size_t n, cap;
    sqlite3_stmt *statements[STATEMENTS];
    char *sql[STATEMENTS];
    int n_statements;
    int64_t steps;
    sqlite3_stmt *stepping;
} tape;

static uint16_t statement_number(sqlite3_stmt *s)
{
    for (int i = tape.n_statements; i-- > 0;)
        if (tape.statements[i] == s)
            return (uint16_t)i;
    if (tape.n_statements == STATEMENTS)
        abort();
    tape.statements[tape.n_statements] = s;
    tape.sql[tape.n_statements] = strdup(sqlite3_sql(s));
    return (uint16_t)tape.n_statements++;
}

static struct act *act_add(enum act_kind kind)
{
    if (tape.n == tape.cap) {
        tape.cap = tape.cap ? 2 * tape.cap : 65536;
        tape.acts = realloc(tape.acts, tape.cap * sizeof *tape.acts);
        if (!tape.acts)
            abort();
    }
    tape.acts[tape.n] = (struct act){.kind = (uint8_t)kind};
    return &tape.acts[tape.n++];
}

static struct act *bind_add(enum act_kind kind, sqlite3_stmt *s, int i)
{
    struct act *a = act_add(kind);
    a->parameter = (uint8_t)i;
    a->statement = statement_number(s);
    return a;
}

static char *bytes_copy(const void *from, int n)
{
    char *to = malloc((size_t)n + 1);
    if (!to)
        abort();
    memcpy(to, from, (size_t)n);
    to[n] = '\0';
    return to;
}

/* -- the wrappers ----------------------------------------------------------------------------------------------------------- */

int __wrap_sqlite3_bind_int64(sqlite3_stmt *s, int i, sqlite3_int64 v)
{
    if (tape.on)
        bind_add(ACT_WHOLE, s, i)->whole = v;
    return __real_sqlite3_bind_int64(s, i, v);
}

int __wrap_sqlite3_bind_double(sqlite3_stmt *s, int i, double v)
{
    if (tape.on)
        bind_add(ACT_REAL, s, i)->real = v;
    return __real_sqlite3_bind_double(s, i, v);
}

int __wrap_sqlite3_bind_null(sqlite3_stmt *s, int i)
{
    if (tape.on)
        bind_add(ACT_NULL, s, i);
    return __real_sqlite3_bind_null(s, i);
}

int __wrap_sqlite3_bind_text(sqlite3_stmt *s, int i, const char *t, int n, void (*free_)(void *))
{
    if (tape.on) {
        struct act *a = bind_add(ACT_TEXT, s, i);
        a->size = n;
        a->bytes = bytes_copy(t, n);
    }
    return __real_sqlite3_bind_text(s, i, t, n, free_);
}

int __wrap_sqlite3_bind_blob(sqlite3_stmt *s, int i, const void *t, int n, void (*free_)(void *))
{
    if (tape.on) {
        struct act *a = bind_add(ACT_BLOB, s, i);
        a->size = n;
        a->bytes = bytes_copy(t, n);
    }
    return __real_sqlite3_bind_blob(s, i, t, n, free_);
}

/* A statement that gives rows is stepped several times: said once. */
int __wrap_sqlite3_step(sqlite3_stmt *s)
{
    if (tape.on && tape.stepping != s) {
        struct act *a = act_add(ACT_STEP);
        a->statement = statement_number(s);
        tape.steps++;
    }
    int code = __real_sqlite3_step(s);
    tape.stepping = code == SQLITE_ROW ? s : NULL;
    return code;
}

int __wrap_sqlite3_exec(sqlite3 *db, const char *sql, int (*row)(void *, int, char **, char **), void *context, char **why)
{
    if (tape.on) {
        struct act *a = act_add(ACT_EXECUTE);
        a->bytes = strdup(sql);
    }
    return __real_sqlite3_exec(db, sql, row, context, why);
}

/* -- the tape ------------------------------------------------------------------------------------------------------------------- */

void record_begin(void)
{
    record_forget();
    tape.on = true;
}

void record_end(void)
{
    tape.on = false;
}

int64_t record_statements(void)
{
    return tape.steps;
}

void record_forget(void)
{
    for (size_t i = 0; i < tape.n; i++)
        if (tape.acts[i].kind == ACT_TEXT || tape.acts[i].kind == ACT_BLOB || tape.acts[i].kind == ACT_EXECUTE)
            free(tape.acts[i].bytes);
    for (int i = 0; i < tape.n_statements; i++)
        free(tape.sql[i]);
    free(tape.acts);
    memset(&tape, 0, sizeof tape);
}

/* -- the same, bare ------------------------------------------------------------------------------------------------------------- */

static int act_again(sqlite3 *db, sqlite3_stmt *const *statements, const struct act *a)
{
    sqlite3_stmt *s = a->kind == ACT_EXECUTE ? NULL : statements[a->statement];
    int code;
    switch (a->kind) {
    case ACT_WHOLE:
        return __real_sqlite3_bind_int64(s, a->parameter, a->whole);
    case ACT_REAL:
        return __real_sqlite3_bind_double(s, a->parameter, a->real);
    case ACT_NULL:
        return __real_sqlite3_bind_null(s, a->parameter);
    case ACT_TEXT:
        return __real_sqlite3_bind_text(s, a->parameter, a->bytes, a->size, SQLITE_STATIC);
    case ACT_BLOB:
        return __real_sqlite3_bind_blob(s, a->parameter, a->bytes, a->size, SQLITE_STATIC);
    case ACT_EXECUTE:
        return __real_sqlite3_exec(db, a->bytes, NULL, NULL, NULL);
    default:
        while ((code = __real_sqlite3_step(s)) == SQLITE_ROW)
            ;
        sqlite3_reset(s);
        return code == SQLITE_DONE ? SQLITE_OK : code;
    }
}

static int acts_again(sqlite3 *db, sqlite3_stmt *const *statements, struct replay *out)
{
    uint32_t *us = calloc(tape.n + 1, sizeof *us);
    int error = us ? 0 : SQLITE_NOMEM;
    int64_t from = now_ns(), began = from;
    for (size_t i = 0; i < tape.n && !error; i++) {
        error = act_again(db, statements, &tape.acts[i]);
        if (tape.acts[i].kind != ACT_EXECUTE || strcmp(tape.acts[i].bytes, "COMMIT"))
            continue;
        int64_t now = now_ns();
        us[out->transactions++] = (uint32_t)((now - began) / 1000);
        began = now;
    }
    out->ns = now_ns() - from;
    out->p50_ms = quantile(us, (size_t)out->transactions, 0.5) / 1000;
    free(us);
    return error;
}

int record_replay(const char *folder, struct replay *out)
{
    char file[BENCH_PATH + 64];
    sqlite3 *db = NULL;
    sqlite3_stmt *statements[STATEMENTS] = {0};
    *out = (struct replay){0};
    snprintf(file, sizeof file, "%s/state/quietarm.db", folder);
    int error = sqlite3_open_v2(file, &db, SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX, NULL);
    if (!error)
        error = __real_sqlite3_exec(db, "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; PRAGMA secure_delete = ON;"
                                        "PRAGMA foreign_keys = ON; PRAGMA wal_autocheckpoint = 8000; PRAGMA cache_size = -32000;"
                                        "PRAGMA temp_store = MEMORY", NULL, NULL, NULL);
    for (int i = 0; i < tape.n_statements && !error; i++)
        error = sqlite3_prepare_v3(db, tape.sql[i], -1, SQLITE_PREPARE_PERSISTENT, &statements[i], NULL);
    if (!error)
        error = acts_again(db, statements, out);
    if (error)
        fprintf(stderr, "replaying: %s\n", sqlite3_errmsg(db));
    for (int i = 0; i < tape.n_statements; i++)
        sqlite3_finalize(statements[i]);
    sqlite3_close(db);
    return error ? -1 : 0;
}
