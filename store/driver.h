/* What the nouns of the store ask of a database: run queries, run writes, begin, commit. One driver file each.
 *
 * SQL reaches a driver only as constants of static lifetime (their address is the key of the cache of prepared
 * statements) with `$1 … $n` in ascending order of first appearance. Queries and writes are handed over as lists, so that
 * a driver across a network can send a whole list before it waits for the first answer: nothing in a list may depend on
 * the answer to something before it in the same list.
 */
#ifndef QUIETARM_DRIVER_H
#define QUIETARM_DRIVER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include "store/store.h"

enum value_kind { VALUE_NULL, VALUE_WHOLE, VALUE_REAL, VALUE_TEXT, VALUE_BLOB };

/* A bound parameter or a column of a row. Bytes are borrowed: of a parameter until the list is done, of a column
 * until the row function returns. Text has its NUL, which `size` does not count. */
struct value {
    enum value_kind kind;
    int size;
    union {
        int64_t whole;
        double real;
        const char *text;
        const void *blob;
    };
};

static inline struct value value_whole(int64_t whole)
{
    return (struct value){.kind = VALUE_WHOLE, .whole = whole};
}
struct value value_text(const char *text);                /* NULL: null */
struct value value_blob(const void *bytes, size_t size);
struct value value_ref(int64_t id);                       /* 0: null */

/* A row function returns 0, or a store_error that ends the list. It may run other queries on the same db. */
typedef int row_function(void *context, const struct value *columns, size_t n);

struct query {
    const char *sql;
    const struct value *values;
    size_t n;
    row_function *row;
    void *context;
};

struct write {
    const char *sql;
    const struct value *values;
    size_t n;
    bool must; /* STORE_CONFLICT when it changes no row: an id that is somebody else's */
};

/* The statements of nouns that differ by driver: how due rows are taken, and what is held while several gateways work at
 * one database. Those that are NULL are not needed where one writer is alone. */
struct take_sql {
    const char *looks; /* person, next_look of what is due at $1, earliest first, at most $2 */
    /* id, due of rows of class $1, of channel $2, due at $3, that may be sent, at most $4, at most one a number, by due and
     * id: see outbox_take. */
    const char *outbox;
    const char *lease;    /* of row $1: the number is ours for a while; a row if so */
    const char *next;     /* of row $1 at $2: it is still the one that its number gets next; a row if so */
    const char *release;  /* of row $1: the number is free again */
    const char *name;     /* holds the name with hash $1 until the transaction's end */
    const char *some_names, *all_names; /* before it, so that nobody else can hold all names; holds all of them */
    const char *person;   /* holds person $1 until the transaction's end, waits for it; a row when there is one */
    const char *unheld;   /* the same, unless another holds it */
};

struct driver {
    const char *name;  /* as `store` names it in the configuration */
    bool shared;       /* several gateways may use one database, each list of queries costs a journey */
    int (*open)(struct db **out, const char *folder, const char *conninfo, enum db_use use, char *why, size_t why_size);
    void (*close)(struct db *db);
    int (*begin)(struct db *db);
    int (*commit)(struct db *db);
    void (*rollback)(struct db *db);
    int (*load)(struct db *db, const struct query *queries, size_t n);
    int (*write)(struct db *db, const struct write *writes, size_t n);
    /* Nothing of what was overwritten is left in a log; *done false when a reader was in the way. */
    int (*scrub)(struct db *db, bool *done);
    int (*changed)(struct db *db, int64_t *version);
    const char *schema;            /* the version of the schema */
    struct take_sql take;
};

extern const struct driver driver_sqlite, driver_postgres;

enum { AUDIT_HASH = 32, DB_WHY = 256 };

/* What all drivers' connections begin with. */
struct db {
    const struct driver *driver;
    bool in_transaction, writes;
    int64_t gateway;                /* the number of this gateway among those of the database; 0 where it is the only one */
    bool scrub;                     /* somebody was erased: after the commit the log is emptied too */
    int64_t now;                    /* see db_now */
    char *folder;                   /* the state folder; NULL for a single file */
    char why[DB_WHY];
};

/* -- what the nouns call (db.c) ---------------------------------------------------------------------------------------- */

int db_load(struct db *db, const struct query *queries, size_t n);
/* All or nothing: more than one statement outside a transaction gets one of its own. */
int db_write(struct db *db, const struct write *writes, size_t n);
int db_run(struct db *db, const char *sql, const struct value *values, size_t n); /* one write */
/* The first row, its columns as whole numbers (null is INSTANT_NONE). */
int db_whole(struct db *db, const char *sql, const struct value *values, size_t n, int64_t *columns, size_t n_columns,
             bool *found);
/* At most `max` rows: column c of row r goes to columns[c][r]. */
int db_wholes(struct db *db, const char *sql, const struct value *values, size_t n, int64_t *const *columns,
              size_t n_columns, size_t max, size_t *rows);
/* Sets db->why from words and returns `error`; here, so that a reader of code knows that it fails. */
static inline int db_fail(struct db *db, int error, const char *why)
{
    snprintf(db->why, sizeof db->why, "%s", why);
    return error;
}

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

#endif
