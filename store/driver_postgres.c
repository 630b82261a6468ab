/* The driver for several gateways: the nouns' queries and writes on PostgreSQL.
 *
 * A list of queries is one journey. The writes of a transaction are sent as they come and answered together, at the next
 * query or before the COMMIT: so a conflict is told late, and the whole transaction is what fails. A COMMIT counts only when
 * its tag is COMMIT and no warning came with it (a commit that no standby has is announced by a warning). Must never send
 * built SQL.
 */
#include "store/postgres.h"

#include <assert.h>
#include <endian.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "store/tables.h"

/* -- rows ---------------------------------------------------------------------------------------------------------------- */

enum { OID_BOOL = 16, OID_BYTEA = 17, OID_INT8 = 20, OID_INT4 = 23, OID_FLOAT8 = 701 }; /* pg_type.dat */

static int64_t whole_read(const char *at, int size)
{
    uint64_t eight;
    uint32_t four;
    if (size == 1)
        return at[0] != 0;
    if (size == 4) {
        memcpy(&four, at, sizeof four);
        return (int32_t)be32toh(four);
    }
    memcpy(&eight, at, sizeof eight);
    return (int64_t)be64toh(eight);
}

static struct value column_value(const PGresult *r, int row, int i)
{
    if (PQgetisnull(r, row, i))
        return (struct value){.kind = VALUE_NULL};
    const char *at = PQgetvalue(r, row, i);
    int size = PQgetlength(r, row, i);
    int64_t bits;
    double real;
    switch (PQftype(r, i)) {
    case OID_BOOL:
    case OID_INT4:
    case OID_INT8:
        return value_whole(whole_read(at, size));
    case OID_FLOAT8:
        bits = whole_read(at, size);
        memcpy(&real, &bits, sizeof real);
        return (struct value){.kind = VALUE_REAL, .real = real};
    case OID_BYTEA:
        return (struct value){.kind = VALUE_BLOB, .blob = at, .size = size};
    default:
        return (struct value){.kind = VALUE_TEXT, .text = at, .size = size};
    }
}

static int rows_hand(struct db *db, const struct query *q, const PGresult *r)
{
    struct value columns[ROW_COLUMNS_MAX];
    int n = PQnfields(r);
    assert(n <= ROW_COLUMNS_MAX);
    for (int row = 0; row < PQntuples(r); row++) {
        for (int i = 0; i < n; i++)
            columns[i] = column_value(r, row, i);
        int error = q->row(q->context, columns, (size_t)n);
        if (error == STORE_CORRUPT)
            return db_fail(db, error, "a row holds what no program of ours wrote");
        if (error)
            return error;
    }
    return 0;
}

/* -- lists --------------------------------------------------------------------------------------------------------------- */

/* Outside a transaction an error concerns nothing that follows. */
static int settled(struct postgres_db *p, int error)
{
    if (p->begun)
        return error;
    p->failed = 0;
    if (p->link && p->stale)
        postgres_unlink(p, error);
    return error;
}

static int queries_send(struct postgres_db *p, const struct query *queries, size_t n, PGresult **results)
{
    int error = p->failed ? p->failed : postgres_link(p);
    for (size_t i = 0; i < n && !error; i++)
        error = wire_send(p, queries[i].sql, queries[i].values, queries[i].n,
                          (struct expected){.what = EXPECT_ROWS, .rows = &results[i]});
    if (!error)
        error = wire_drain(p);
    else if (p->link && p->n_expected)
        postgres_unlink(p, error); /* half a list: nobody waits for its rows */
    return settled(p, error);
}

static void results_clear(PGresult **results, size_t n)
{
    for (size_t i = 0; i < n; i++)
        PQclear(results[i]);
    memset(results, 0, n * sizeof *results);
}

static int postgres_load(struct db *db, const struct query *queries, size_t n)
{
    struct postgres_db *p = postgres_of(db);
    PGresult *few[8] = {NULL}, **results = n <= COUNT(few) ? few : calloc(n, sizeof *results);
    if (!results)
        return db_fail(db, STORE_MEMORY, "out of memory");
    int error = queries_send(p, queries, n, results);
    if (error == STORE_IO && !p->begun && !p->link) { /* a link that had died unseen: once more on a new one */
        results_clear(results, n);
        error = queries_send(p, queries, n, results);
    }
    for (size_t i = 0; i < n && !error; i++)
        error = rows_hand(db, &queries[i], results[i]);
    results_clear(results, n);
    if (results != few)
        free(results);
    return error;
}

static int postgres_write(struct db *db, const struct write *writes, size_t n)
{
    struct postgres_db *p = postgres_of(db);
    int error = p->failed ? p->failed : postgres_link(p);
    for (size_t i = 0; i < n && !error; i++)
        error = wire_send(p, writes[i].sql, writes[i].values, writes[i].n,
                          (struct expected){.what = EXPECT_WRITE, .must = writes[i].must});
    if (error && !p->failed)
        p->failed = error;
    if (!p->begun)
        error = wire_drain(p);
    return settled(p, error);
}

/* -- transactions ---------------------------------------------------------------------------------------------------------- */

/* Said each time, since a database may have another default: what is loaded behind a lock must be what was committed by then;
 * a reader sees one instant. */
static const char begin_writing[] = "BEGIN ISOLATION LEVEL READ COMMITTED";
static const char begin_reading[] = "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY";

static int postgres_begin(struct db *db)
{
    struct postgres_db *p = postgres_of(db);
    p->failed = 0;
    int error = postgres_link(p);
    if (!error)
        error = wire_send(p, db->writes ? begin_writing : begin_reading, NULL, 0, (struct expected){.what = EXPECT_WRITE});
    p->begun = !error;
    return error;
}

static int postgres_commit(struct db *db)
{
    struct postgres_db *p = postgres_of(db);
    PGresult *r = NULL;
    int error = wire_drain(p);
    p->warned = false;
    if (!error)
        error = wire_send(p, "COMMIT", NULL, 0, (struct expected){.what = EXPECT_ROWS, .rows = &r});
    if (!error)
        error = wire_drain(p);
    if (!error && strcmp(PQcmdStatus(r), "COMMIT") != 0)
        error = db_fail(db, STORE_IO, "the database rolled back instead of committing");
    if (!error && p->warned)
        error = db_fail(db, STORE_IO, "committed, but no standby has it");
    p->begun = error != 0;
    PQclear(r);
    return error;
}

static void postgres_rollback(struct db *db)
{
    struct postgres_db *p = postgres_of(db);
    char why[DB_WHY]; /* what went wrong before is what the log wants */
    memcpy(why, db->why, sizeof why);
    if (p->link && p->begun) {
        wire_drain(p);
        p->failed = 0;
        if (p->link && wire_send(p, "ROLLBACK", NULL, 0, (struct expected){.what = EXPECT_WRITE}) == 0)
            wire_drain(p);
    }
    p->begun = false;
    p->failed = 0;
    if (p->link && p->stale)
        postgres_unlink(p, 0);
    memcpy(db->why, why, sizeof why);
}

/* Pages are the server's, and so is what is left in them: see the folder's README. */
static int postgres_scrub(struct db *db, bool *done)
{
    (void)db;
    *done = true;
    return 0;
}

/* The next transaction's number: our own commits move it too, which is noticed for nothing. */
static int postgres_changed(struct db *db, int64_t *version)
{
    bool found;
    return db_whole(db, "SELECT pg_snapshot_xmax(pg_current_snapshot())::text::bigint", NULL, 0, version, 1, &found);
}

/* -- what is due, and what is held ----------------------------------------------------------------------------------------- */

/* A look whose patient another gateway holds is left to it. The lock itself ends with this statement: the batch takes its
 * own, and reads the record after it. */
static const char looks_due_ids[] =
    "SELECT c.person, c.next_look FROM courses c JOIN people p ON p.id = c.person WHERE c.next_look IS NOT NULL"
    " AND c.next_look <= $1 ORDER BY c.next_look, c.person LIMIT $2 FOR NO KEY UPDATE OF p SKIP LOCKED";

#define OURS "current_setting('quietarm.gateway')::bigint"

/* o is the row that its number gets next: see driver_sqlite.c. A server that knows nothing of the table yet would rather read
 * all that waits for each row: so these are scalar (no join can be made of them), and every other index of what waits is one
 * that only its own question may use (id > 0, person, check_due). */
#define NEXT_OF_ITS_NUMBER(now)                                                                                        \
    " AND (SELECT e.id FROM outbox e WHERE e.state = 'waiting'"                                                        \
    "  AND e.recipient = o.recipient AND e.class = o.class AND e.id < o.id"                                            \
    "  AND (e.due <= " now " OR (e.attempts > 0 AND o.class > 0 AND o.channel = 'text')) LIMIT 1) IS NULL"             \
    " AND (SELECT h.id FROM outbox h WHERE h.state = 'waiting'"                                                        \
    "  AND h.recipient = o.recipient AND h.class < o.class AND h.due <= " now " LIMIT 1) IS NULL"

static const char outbox_due_ids[] =
    "SELECT o.id, o.due FROM outbox o WHERE o.state = 'waiting' AND o.id > 0 AND o.class = $1 AND o.channel = $2 AND o.due <= $3"
    NEXT_OF_ITS_NUMBER("$3")
    " AND NOT EXISTS (SELECT 1 FROM leases l WHERE l.recipient = o.recipient AND l.gateway <> " OURS
    "  AND l.until > clock_timestamp()) ORDER BY o.due, o.id LIMIT $4";

/* The number is one gateway's at a time, by the database's clock, so that nothing overtakes and nothing is sent by two. One
 * that died gives its numbers up after LEASE, or takes them up again when it is back: the longest attempt takes 30 s. */
#define LEASE "interval '60 seconds'"
static const char number_lease[] =
    "INSERT INTO leases (recipient, gateway, until) SELECT recipient, " OURS ", clock_timestamp() + " LEASE
    " FROM (SELECT recipient FROM outbox WHERE id = $1 AND state = 'waiting' FOR UPDATE SKIP LOCKED) AS o"
    " ON CONFLICT (recipient) DO UPDATE SET gateway = excluded.gateway, until = excluded.until"
    " WHERE leases.gateway = excluded.gateway OR leases.until <= clock_timestamp() RETURNING 1";
/* Asked after the lease, on what was committed by then: another gateway may have sent it in between. */
static const char number_next[] =
    "SELECT 1 FROM outbox o WHERE o.id = $1 AND o.state = 'waiting' AND o.due <= $2" NEXT_OF_ITS_NUMBER("$2");
static const char number_release[] =
    "DELETE FROM leases WHERE gateway = " OURS " AND recipient = (SELECT recipient FROM outbox WHERE id = $1)";

const struct driver driver_postgres = {
    .name = "postgres",
    .shared = true,
    .open = postgres_open,
    .close = postgres_close,
    .begin = postgres_begin,
    .commit = postgres_commit,
    .rollback = postgres_rollback,
    .load = postgres_load,
    .write = postgres_write,
    .scrub = postgres_scrub,
    .changed = postgres_changed,
    .schema = "SELECT version FROM schema_version",
    .take =
        {
            .looks = looks_due_ids,
            .outbox = outbox_due_ids,
            .lease = number_lease,
            .next = number_next,
            .release = number_release,
            .name = "SELECT pg_advisory_xact_lock($1)",
            .some_names = "SELECT pg_advisory_xact_lock_shared(hashtextextended(current_schema() || ' names', 0))",
            .all_names = "SELECT pg_advisory_xact_lock(hashtextextended(current_schema() || ' names', 0))",
            .person = "SELECT 1 FROM people WHERE id = $1 FOR NO KEY UPDATE",
            .unheld = "SELECT 1 FROM people WHERE id = $1 FOR NO KEY UPDATE SKIP LOCKED",
        },
};
