/* What a day left behind, in words that are the same for every day on which the same was said, and whether it holds together.
 *
 * It reads the database with SQLite itself, not with the program's own store: what is checked must not check itself.
 */
#include "tests/torture/torture.h"

#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define REF "coalesce((SELECT ref FROM people p WHERE p.id = x.person), '')"
#define TEXT "coalesce((SELECT hex(hash) FROM texts t WHERE t.id = x.text), '')"

/* A reminder, a nudge and what a look says stand in it by kind and number: their time may have moved by a retry. */
static const char *const told[] = {
    "SELECT 'person', ref, state, phone, tag FROM people x",
    "SELECT 'text', hex(hash), sender, recipient, CASE WHEN body LIKE 'TAKE %' THEN 'TAKE' ELSE body END, why, " REF " FROM texts x",
    "SELECT 'message', hex(hash) FROM messages",
    "SELECT 'reading', " REF ", at, sys, dia, pulse, standing, " TEXT " FROM readings x",
    "SELECT 'week', " REF ", number, version, state FROM weeks x",
    "SELECT 'alert', " REF ", level, cause, taken_by, times, patient_told FROM alerts x",
    "SELECT 'desk', " REF ", kind, note FROM desk x",
    "SELECT 'outgoing', " REF ", CASE channel WHEN 'http' THEN 'alerts' ELSE recipient END, kind, class, channel, state, " TEXT " FROM outbox x"
    " WHERE kind <> 's_operations'", /* what operations hear is of the fault, not of the day */
    "SELECT 'question', " REF ", question, follow, not_understood, silent FROM courses x",
    "SELECT 'audit', " REF ", who, action FROM audit x",
};

struct lines {
    char **at;
    size_t n, cap;
};

static int line_add(void *context, int n, char **columns, char **names)
{
    struct lines *l = context;
    char line[2048] = "";
    (void)names;
    for (int i = 0, used = 0; i < n && used < (int)sizeof line; i++)
        used += snprintf(line + used, sizeof line - (size_t)used, "%s|", columns[i] ? columns[i] : "");
    if (l->n == l->cap) {
        l->cap = l->cap ? 2 * l->cap : 256;
        l->at = realloc(l->at, l->cap * sizeof *l->at);
        if (!l->at)
            abort();
    }
    l->at[l->n++] = strdup(line);
    return 0;
}

static int by_text(const void *a, const void *b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

static char *lines_join(struct lines *l)
{
    size_t size = 1, n = 0;
    if (l->n)
        qsort(l->at, l->n, sizeof *l->at, by_text);
    for (size_t i = 0; i < l->n; i++)
        size += strlen(l->at[i]) + 1;
    char *out = calloc(1, size);
    for (size_t i = 0; i < l->n; i++)
        n += (size_t)snprintf(out + n, size - n, "%s\n", l->at[i]);
    return out;
}

static void lines_free(struct lines *l)
{
    for (size_t i = 0; i < l->n; i++)
        free(l->at[i]);
    free(l->at);
    *l = (struct lines){0};
}

static int ask(struct world *w, sqlite3 *db, const char *sql, struct lines *l)
{
    char *why = NULL;
    int code = sqlite3_exec(db, sql, line_add, l, &why);
    if (code != SQLITE_OK)
        world_fail(w, "%s: %s", sql, why ? why : sqlite3_errstr(code));
    sqlite3_free(why);
    return code == SQLITE_OK ? 0 : -1;
}

/* The query must bring exactly `expected`. */
static int must_be(struct world *w, sqlite3 *db, const char *sql, const char *expected)
{
    struct lines l = {0};
    int error = ask(w, db, sql, &l);
    char *found = error ? NULL : lines_join(&l);
    if (found && strcmp(found, expected) != 0)
        error = world_fail(w, "%s: %.200s", sql, found);
    free(found);
    lines_free(&l);
    return error;
}

/* -- what was sent against the rows that ought to have caused it ----------------------------------------------------------- */

static const char *field(const json_t *m, const char *name)
{
    const char *text = json_string_value(json_object_get(m, name));
    return text ? text : "";
}

static bool row_exists(sqlite3 *db, const char *key)
{
    sqlite3_stmt *s = NULL;
    sqlite3_prepare_v2(db, "SELECT 1 FROM outbox WHERE key = ?", -1, &s, NULL);
    sqlite3_bind_text(s, 1, key, -1, SQLITE_STATIC);
    bool found = sqlite3_step(s) == SQLITE_ROW;
    sqlite3_finalize(s);
    return found;
}

static bool arrived(const json_t *sent, const char *key)
{
    for (size_t i = 0; i < json_array_size(sent); i++) {
        const json_t *m = json_array_get(sent, i);
        if (strcmp(field(m, "path"), "/refused") && strcmp(field(m, "key"), key) == 0)
            return true;
    }
    return false;
}

/* Nothing was sent that is not a row, nothing changed between two attempts. */
static int sent_is_stored(struct world *w, sqlite3 *db)
{
    for (size_t i = 0; i < json_array_size(w->g.sent); i++) {
        const json_t *m = json_array_get(w->g.sent, i);
        const char *key = field(m, "key");
        if (json_is_true(json_object_get(m, "changed")))
            return world_fail(w, "key %s was sent with two bodies", key);
        if (strcmp(field(m, "path"), "/messages") == 0 && strcmp(key, field(m, "idempotency_key")))
            return world_fail(w, "key %s is not its header's %s", key, field(m, "idempotency_key"));
        if (key[0] && !row_exists(db, key))
            return world_fail(w, "key %s was sent, but no row has it", key);
    }
    return 0;
}

/* What a row says was sent did arrive (mail carries no key the sink could know). */
static int stored_was_sent(struct world *w, sqlite3 *db)
{
    sqlite3_stmt *s = NULL;
    int error = 0;
    sqlite3_prepare_v2(db, "SELECT key FROM outbox WHERE state IN ('sent', 'delivered') AND channel IN ('text', 'http')", -1,
                       &s, NULL);
    while (!error && sqlite3_step(s) == SQLITE_ROW)
        if (!arrived(w->g.sent, (const char *)sqlite3_column_text(s, 0)))
            error = world_fail(w, "row %s is marked sent and never arrived", sqlite3_column_text(s, 0));
    sqlite3_finalize(s);
    return error;
}

char *ledger_read(struct world *w)
{
    char path[PLAY_PATH + 64], *out = NULL;
    struct lines l = {0};
    sqlite3 *db = NULL;
    snprintf(path, sizeof path, "%s/state/quietarm.db", w->g.folder);
    int error = stage_hear(&w->g);
    if (!error && sqlite3_open_v2(path, &db, SQLITE_OPEN_READWRITE, NULL) != SQLITE_OK)
        error = world_fail(w, "%s: %s", path, sqlite3_errmsg(db));
    if (!error)
        error = must_be(w, db, "PRAGMA integrity_check", "ok|\n");
    if (!error)
        error = must_be(w, db, "PRAGMA foreign_key_check", "");
    if (!error)
        error = must_be(w, db, "SELECT hash FROM texts GROUP BY hash HAVING count(*) > 1", "");
    if (!error)
        error = must_be(w, db, "SELECT class, state, n FROM tallies t WHERE n <> (SELECT count(*) FROM outbox o"
                               " WHERE o.class = t.class AND o.state = t.state)", "");
    if (!error)
        error = sent_is_stored(w, db) || stored_was_sent(w, db);
    for (size_t i = 0; i < sizeof told / sizeof *told && !error; i++)
        error = ask(w, db, told[i], &l);
    if (!error)
        out = lines_join(&l);
    lines_free(&l);
    sqlite3_close(db);
    return out;
}
