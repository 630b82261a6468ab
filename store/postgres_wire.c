/* The wire: statements go out in libpq's pipeline mode and are answered when somebody needs an answer.
 *
 *     wire_send    prepares what is new, binds, sends; waits for nothing
 *     wire_drain   a Sync, then one result for each statement, in order
 *
 * Everything after a statement that failed is skipped by the server until the Sync; the first error is what counts. Values
 * travel as text, whose type the server takes from where they stand, but bytes; results come in binary. Whoever gives no
 * sign for ten seconds is taken for dead, and the link is closed: never cancelled, since a cancelled COMMIT is one that
 * no standby has. A journey costs some 40 µs on one machine, the network's round trip elsewhere.
 */
#include "store/postgres.h"

#include <errno.h>
#include <glib.h>
#include <inttypes.h>
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { VALUES_MAX = 64, NUMBER_TEXT = 32, EXPECTED_MOST = 1024 };

/* -- sending -------------------------------------------------------------------------------------------------------------- */

/* What the server refuses in a text (it takes UTF-8 only) becomes '?', byte for byte, so that it keeps its size. */
static char *text_valid(const struct value *v)
{
    const char *end, *at = v->text, *stop = v->text + v->size;
    if (g_utf8_validate_len(v->text, (gsize)v->size, &end))
        return NULL;
    char *copy = malloc((size_t)v->size + 1);
    if (!copy)
        return NULL;
    memcpy(copy, v->text, (size_t)v->size);
    copy[v->size] = '\0';
    for (; at < stop && !g_utf8_validate_len(at, (gsize)(stop - at), &end); at = end + 1)
        copy[end - v->text] = '?';
    return copy;
}

struct bound {
    const char *at[VALUES_MAX];
    int size[VALUES_MAX], binary[VALUES_MAX];
    char numbers[VALUES_MAX][NUMBER_TEXT];
    char *copies[VALUES_MAX]; /* NULL but for texts that had to be made valid */
};

static void value_bound(struct bound *b, size_t i, const struct value *v)
{
    b->at[i] = b->numbers[i];
    b->size[i] = b->binary[i] = 0;
    b->copies[i] = NULL;
    switch (v->kind) {
    case VALUE_WHOLE:
        snprintf(b->numbers[i], NUMBER_TEXT, "%" PRId64, v->whole);
        return;
    case VALUE_REAL:
        snprintf(b->numbers[i], NUMBER_TEXT, "%.17g", v->real);
        return;
    case VALUE_TEXT: /* a value may end before its NUL: then too it is copied */
        b->copies[i] = text_valid(v);
        b->at[i] = b->copies[i] ? b->copies[i] : v->text;
        if (!b->copies[i] && v->text[v->size] != '\0')
            b->at[i] = b->copies[i] = strndup(v->text, (size_t)v->size);
        return;
    case VALUE_BLOB:
        b->at[i] = v->blob;
        b->size[i] = v->size;
        b->binary[i] = 1;
        return;
    default:
        b->at[i] = NULL;
    }
}

static int expect(struct postgres_db *p, struct expected expected)
{
    if (p->n_expected == p->cap_expected) {
        size_t cap = p->cap_expected ? 2 * p->cap_expected : 64;
        struct expected *more = realloc(p->expected, cap * sizeof *more);
        if (!more)
            return db_fail(&p->db, STORE_MEMORY, "out of memory");
        p->expected = more;
        p->cap_expected = cap;
    }
    p->expected[p->n_expected++] = expected;
    return 0;
}

/* The slot of a statement, prepared or on its way to be. */
static int statement_get(struct postgres_db *p, const char *sql, size_t *slot, char name[16])
{
    size_t i = ((uintptr_t)sql >> 3) % POSTGRES_CACHE, tried = 0;
    while (p->cache[i].sql && p->cache[i].sql != sql && tried++ < POSTGRES_CACHE)
        i = (i + 1) % POSTGRES_CACHE;
    if (p->cache[i].sql && p->cache[i].sql != sql)
        return db_fail(&p->db, STORE_MEMORY, "more statements than are kept");
    p->cache[i].sql = sql;
    *slot = i;
    snprintf(name, 16, "s%zu", i);
    if (p->cache[i].prepared)
        return 0;
    int error = expect(p, (struct expected){.what = EXPECT_PREPARED, .slot = i});
    if (error)
        return error;
    if (!PQsendPrepare(p->link, name, sql, 0, NULL))
        return postgres_unlink(p, postgres_error(p, NULL));
    p->cache[i].prepared = true;
    return 0;
}

int wire_send(struct postgres_db *p, const char *sql, const struct value *values, size_t n, struct expected expected)
{
    struct bound b;
    char name[16];
    size_t slot;
    if (n > VALUES_MAX)
        return db_fail(&p->db, STORE_CORRUPT, "more values than a statement may have");
    int error = p->n_expected >= EXPECTED_MOST && expected.what == EXPECT_WRITE ? wire_drain(p) : 0;
    if (!error)
        error = statement_get(p, sql, &slot, name);
    if (!error)
        error = expect(p, expected);
    if (error)
        return error;
    for (size_t i = 0; i < n; i++)
        value_bound(&b, i, &values[i]);
    if (!PQsendQueryPrepared(p->link, name, (int)n, b.at, b.size, b.binary, 1))
        error = postgres_unlink(p, postgres_error(p, NULL));
    for (size_t i = 0; i < n; i++)
        free(b.copies[i]);
    return error;
}

/* -- receiving ------------------------------------------------------------------------------------------------------------ */

/* Until a result can be had without waiting; false when the link is dead. */
static bool wait_result(struct postgres_db *p)
{
    for (;;) {
        int unsent = PQflush(p->link);
        if (unsent < 0 || PQstatus(p->link) != CONNECTION_OK)
            return false;
        if (!unsent && !PQisBusy(p->link))
            return true;
        struct pollfd fd = {PQsocket(p->link), POLLIN | (unsent ? POLLOUT : 0), 0};
        int ready = poll(&fd, 1, p->silence_ms);
        if (ready == 0) {
            snprintf(p->db.why, sizeof p->db.why, "the database has not answered for %d seconds", p->silence_ms / 1000);
            return false;
        }
        if (ready < 0 && errno != EINTR)
            return false;
        if (ready > 0 && fd.revents & (POLLIN | POLLERR | POLLHUP) && !PQconsumeInput(p->link))
            return false;
    }
}

static PGresult *next_result(struct postgres_db *p)
{
    p->db.why[0] = '\0';
    if (!wait_result(p))
        return NULL;
    return PQgetResult(p->link);
}

static bool result_good(const PGresult *r)
{
    ExecStatusType status = PQresultStatus(r);
    return status == PGRES_COMMAND_OK || status == PGRES_TUPLES_OK;
}

/* Takes the result of one statement; an error of it. STORE_IO with a link that is gone ends the drain. */
static int result_take(struct postgres_db *p, const struct expected *e, PGresult *r)
{
    int error = 0;
    if (!result_good(r)) {
        if (e->what == EXPECT_PREPARED)
            p->cache[e->slot].prepared = false;
        error = PQresultStatus(r) == PGRES_PIPELINE_ABORTED ? STORE_AGAIN : postgres_error(p, r);
    } else if (e->what == EXPECT_WRITE && e->must && strcmp(PQcmdTuples(r), "0") == 0) {
        error = db_fail(&p->db, STORE_CONFLICT, "the id is that of another row");
    } else if (e->what == EXPECT_ROWS) {
        *e->rows = r;
        return 0;
    }
    PQclear(r);
    return error;
}

/* The result of each statement and the NULL behind it. */
static int result_each(struct postgres_db *p, size_t i)
{
    char why[DB_WHY];
    PGresult *r = next_result(p);
    if (!r)
        return -1;
    int error = result_take(p, &p->expected[i], r);
    memcpy(why, p->db.why, sizeof why);
    if (PQstatus(p->link) != CONNECTION_OK)
        return -1;
    if ((r = next_result(p))) { /* what is no end of a statement is the end of the link */
        PQclear(r);
        return -1;
    }
    if (error && !p->failed) {
        p->failed = error;
        memcpy(p->db.why, why, sizeof why);
    }
    return 0;
}

static int drain_lost(struct postgres_db *p)
{
    char why[DB_WHY];
    snprintf(why, sizeof why, "%s", p->db.why);
    if (!why[0]) {
        postgres_error(p, NULL);
        memcpy(why, p->db.why, sizeof why);
    }
    postgres_unlink(p, STORE_IO);
    return p->failed = db_fail(&p->db, STORE_IO, why);
}

/* The Sync's own answer. What was sent outside a transaction is committed by it, and its deferred references are checked:
 * their error comes before it. */
static int sync_take(struct postgres_db *p)
{
    PGresult *r = next_result(p);
    bool refused = r && PQresultStatus(r) == PGRES_FATAL_ERROR && PQstatus(p->link) == CONNECTION_OK;
    if (refused) {
        char why[DB_WHY];
        int error = postgres_error(p, r);
        memcpy(why, p->db.why, sizeof why);
        PQclear(r);
        r = next_result(p);
        if (r == NULL)
            r = next_result(p);
        p->failed = p->failed ? p->failed : error;
        memcpy(p->db.why, why, sizeof why);
    }
    bool whole = r && PQresultStatus(r) == PGRES_PIPELINE_SYNC;
    PQclear(r);
    return whole ? 0 : -1;
}

int wire_drain(struct postgres_db *p)
{
    char first[DB_WHY] = "";
    if (!p->n_expected)
        return p->failed;
    if (!p->link || !PQpipelineSync(p->link))
        return drain_lost(p);
    for (size_t i = 0; i < p->n_expected; i++) {
        int before = p->failed;
        if (result_each(p, i) < 0)
            return drain_lost(p);
        if (p->failed && !before)
            memcpy(first, p->db.why, sizeof first);
    }
    p->n_expected = 0;
    if (sync_take(p) < 0)
        return drain_lost(p);
    if (first[0])
        memcpy(p->db.why, first, sizeof first);
    return p->failed;
}
