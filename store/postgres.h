/* What the files of the PostgreSQL driver share. Nothing above the driver includes this. */
#ifndef QUIETARM_POSTGRES_H
#define QUIETARM_POSTGRES_H

#include <libpq-fe.h>

#include "store/driver.h"

enum { POSTGRES_CACHE = 512, GATEWAY_NAME = 16 }; /* statements kept prepared; the nouns have about 120 */

/* One statement that was sent and whose result has not been read. */
struct expected {
    enum { EXPECT_PREPARED, EXPECT_WRITE, EXPECT_ROWS } what;
    bool must;         /* EXPECT_WRITE: STORE_CONFLICT when it changed nothing */
    size_t slot;       /* EXPECT_PREPARED: of the cache */
    PGresult **rows;   /* EXPECT_ROWS: where the result goes */
};

struct postgres_db {
    struct db db; /* first: a struct db * of this driver is one of these */
    PGconn *link; /* NULL while there is none; in pipeline mode while there is */
    enum db_use use;
    int lock;     /* descriptor of quietarm.lock, -1 */
    char *conninfo;
    bool begun;   /* BEGIN was sent, and neither COMMIT nor ROLLBACK has been answered */
    int failed;   /* the error of this transaction: nothing but a rollback may follow */
    bool warned;  /* the server has warned since this was last cleared */
    bool stale;   /* the link works no more for what it is for, though it is there: to be closed when the transaction ends */
    int silence_ms; /* how long the server may give no sign before it is taken for dead */
    struct expected *expected;
    size_t n_expected, cap_expected;
    struct {
        const char *sql;
        bool prepared; /* or on its way */
    } cache[POSTGRES_CACHE];
};

static inline struct postgres_db *postgres_of(struct db *db)
{
    return (struct postgres_db *)db;
}

/* postgres_open.c: the link. Opens it anew if it is gone and no transaction is open; 0 or STORE_IO … */
int postgres_link(struct postgres_db *p);
/* Closes it: what was sent and not answered is lost, what was prepared too. Returns `error`. */
int postgres_unlink(struct postgres_db *p, int error);
int postgres_open(struct db **out, const char *folder, const char *conninfo, enum db_use use, char *why, size_t why_size);
void postgres_close(struct db *db);

/* postgres_wire.c: statements sent in a pipeline, their results read when somebody needs them. */
int wire_send(struct postgres_db *p, const char *sql, const struct value *values, size_t n, struct expected expected);
int wire_drain(struct postgres_db *p); /* reads the results of all that was sent; the first error, or p->failed */

/* postgres_error.c: a result as a store_error; sets db->why, without data. */
int postgres_error(struct postgres_db *p, const PGresult *result);

/* postgres_schema.c: makes or brings up to date the schema that the connection sees first; says which gateway this is. On a
 * link that is not yet in pipeline mode. */
int postgres_migrate(struct postgres_db *p);
int postgres_version_check(struct postgres_db *p);
int postgres_gateway(struct postgres_db *p);
/* Runs one text of SQL, any number of statements without parameters. */
int postgres_run(struct postgres_db *p, const char *sql);
/* The first column of the first row as a whole number; *found false when there is none. Text parameters. */
int postgres_whole(struct postgres_db *p, const char *sql, const char *const *values, int n, int64_t *out, bool *found);

#endif
