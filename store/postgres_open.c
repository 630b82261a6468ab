/* The link to PostgreSQL: opened by the operator's conninfo, opened anew when it is gone.
 *
 * Several hosts may be named; only one that takes writes is used (target_session_attrs), so the same words find the primary
 * after a standby was promoted. A primary that stops answering is noticed after ten seconds at most, one that closes its
 * sockets at once. A link that is lost inside a transaction fails it; the next transaction opens another. How often that is
 * tried is the writer's matter (its rest: 0.1 to 5 s).
 */
#include "store/postgres.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "store/place.h"

enum { WORDS_MOST = 64, SILENCE_MS = 10000 };

/* -- connecting ---------------------------------------------------------------------------------------------------------- */

/* What holds unless the operator says otherwise: a dead host is given up after 3 s, a silent one after 10. */
static const char *const defaults[][2] = {
    {"connect_timeout", "3"},       {"keepalives_idle", "5"},   {"keepalives_interval", "2"},
    {"keepalives_count", "3"},      {"tcp_user_timeout", "10000"}, {"application_name", "quietarm"},
    {"target_session_attrs", "read-write"},
};

static void notice_take(void *context, const PGresult *r)
{
    struct postgres_db *p = context;
    const char *severity = PQresultErrorField(r, PG_DIAG_SEVERITY_NONLOCALIZED);
    p->warned |= severity && strcmp(severity, "WARNING") == 0;
}

static int connect_by(struct postgres_db *p)
{
    const char *words[WORDS_MOST + 1] = {NULL}, *values[WORDS_MOST + 1] = {NULL};
    char *why = NULL;
    size_t n = 0;
    PQconninfoOption *told = PQconninfoParse(p->conninfo, &why);
    if (!told) {
        db_fail(&p->db, STORE_IO, "the conninfo cannot be read; see libpq's connection strings");
        PQfreemem(why);
        return STORE_IO;
    }
    for (; n < COUNT(defaults); n++) {
        words[n] = defaults[n][0];
        values[n] = defaults[n][1];
    }
    for (PQconninfoOption *o = told; o->keyword && n + 1 < WORDS_MOST; o++)
        if (o->val) { /* the last one counts */
            words[n] = o->keyword;
            values[n++] = o->val;
        }
    words[n] = "client_encoding";
    values[n] = "UTF8";
    p->link = PQconnectdbParams(words, values, 0);
    PQconninfoFree(told);
    if (!p->link)
        return db_fail(&p->db, STORE_MEMORY, "out of memory");
    PQsetNoticeReceiver(p->link, notice_take, p);
    return PQstatus(p->link) == CONNECTION_OK ? 0 : postgres_error(p, NULL);
}

/* A gateway's statements are all made for an index; a plan is made once. A lock is waited for less long than silence. The
 * server too looks whether we are still there: a gateway whose machine lost power has its locks, and its number, back within
 * some ten seconds. Who dies in a transaction with the socket open gives its locks up after half a minute; a reader, which
 * holds none, may wait for whom it prints to. A commit returns when it is flushed, here and at a synchronous standby; what the
 * sender has in hand need not be. */
static const char every_session[] =
    "SET enable_seqscan = off; SET plan_cache_mode = force_generic_plan; SET jit = off; SET lock_timeout = '5s';"
    "SET statement_timeout = 0; SET idle_in_transaction_session_timeout = '30s'; SET client_min_messages = warning;"
    "SET tcp_keepalives_idle = 5; SET tcp_keepalives_interval = 2; SET tcp_keepalives_count = 3;"
    "SET tcp_user_timeout = 10000; SET client_connection_check_interval = '5s'";
static const char writer_session[] =
    "SELECT set_config('synchronous_commit', CASE WHEN current_setting('synchronous_commit') IN ('on', 'remote_apply')"
    " THEN current_setting('synchronous_commit') ELSE 'on' END, false)";
static const char reader_session[] = "SET default_transaction_read_only = on; SET idle_in_transaction_session_timeout = '1h'";
static const char taker_session[] = "SET synchronous_commit = off";

static int session_begin(struct postgres_db *p)
{
    int error = postgres_run(p, every_session);
    if (!error)
        error = postgres_run(p, p->db.writes ? writer_session : p->use == DB_TAKE ? taker_session : reader_session);
    if (!error && p->use == DB_SERVE && !p->db.gateway)
        error = postgres_migrate(p);
    if (!error)
        error = postgres_version_check(p);
    if (!error)
        error = postgres_gateway(p);
    if (!error && !PQenterPipelineMode(p->link))
        error = db_fail(&p->db, STORE_IO, "the connection cannot be used");
    if (!error && PQsetnonblocking(p->link, 1) != 0)
        error = db_fail(&p->db, STORE_IO, "the connection cannot be used");
    return error;
}

int postgres_link(struct postgres_db *p)
{
    if (p->link && !p->begun && !p->n_expected) /* a server that is gone has closed its end */
        if (!PQconsumeInput(p->link) || PQstatus(p->link) != CONNECTION_OK)
            postgres_unlink(p, 0);
    if (p->link)
        return 0;
    if (p->begun)
        return p->failed = db_fail(&p->db, STORE_IO, "the connection was lost within a transaction");
    int error = connect_by(p);
    if (!error)
        error = session_begin(p);
    return error ? postgres_unlink(p, error) : 0;
}

int postgres_unlink(struct postgres_db *p, int error)
{
    PQfinish(p->link);
    p->link = NULL;
    p->stale = false;
    p->n_expected = 0;
    for (size_t i = 0; i < POSTGRES_CACHE; i++)
        p->cache[i].prepared = false;
    return error;
}

/* -- opening and closing --------------------------------------------------------------------------------------------------- */

void postgres_close(struct db *db)
{
    struct postgres_db *p = postgres_of(db);
    postgres_unlink(p, 0);
    free(p->expected);
    free(p->conninfo);
    if (p->lock >= 0)
        close(p->lock);
    free(p);
}

int postgres_open(struct db **out, const char *folder, const char *conninfo, enum db_use use, char *why, size_t why_size)
{
    int error = 0;
    *out = NULL;
    struct postgres_db *p = calloc(1, sizeof *p);
    if (!p || !(p->conninfo = strdup(conninfo)) || !(p->db.folder = strdup(folder))) {
        if (p)
            free(p->conninfo);
        free(p);
        return place_fail(why, why_size, STORE_MEMORY, "out of memory", folder);
    }
    p->db.driver = &driver_postgres;
    p->db.writes = use == DB_SERVE || use == DB_WRITE;
    p->use = use;
    p->silence_ms = SILENCE_MS;
    p->lock = -1;
    if (use == DB_SERVE)
        error = folder_make(folder, why, why_size);
    if (!error && use == DB_SERVE)
        error = folder_lock(folder, &p->lock, why, why_size);
    if (!error) {
        error = postgres_link(p);
        if (error)
            place_fail(why, why_size, error, p->db.why, "database");
    }
    if (error)
        db_close(&p->db);
    else
        *out = &p->db;
    return error;
}
