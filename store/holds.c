/* What one gateway holds while others work at the same database, until its transaction ends: names (numbers, message ids)
 * and persons. Where one writer is alone nothing need be held.
 *
 * Always names before persons, each in ascending order, so that two gateways never wait for each other; persons that a
 * gateway would rather leave to another than wait for come last.
 */
#include <assert.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "store/driver.h"

enum { NAMES_MOST = 1024 };

bool db_shared(const struct db *db)
{
    return db->driver->shared;
}

int64_t db_gateway(const struct db *db)
{
    return db->gateway;
}

void name_number(char name[HOLD_NAME], const char *clinic, const char *phone)
{
    snprintf(name, HOLD_NAME, "number %s %s", clinic, phone);
}

static int whole_order(const void *a, const void *b)
{
    int64_t x = *(const int64_t *)a, y = *(const int64_t *)b;
    return (x > y) - (x < y);
}

/* Sorts; leaves each once. */
static size_t wholes_distinct(int64_t *at, size_t n)
{
    size_t kept = 0;
    qsort(at, n, sizeof *at, whole_order);
    for (size_t i = 0; i < n; i++)
        if (kept == 0 || at[kept - 1] != at[i])
            at[kept++] = at[i];
    return kept;
}

static int held_row(void *context, const struct value *columns, size_t n)
{
    (void)columns;
    (void)n;
    if (context)
        *(bool *)context = true;
    return 0;
}

/* One list of `sql` with each of `at`, in order; held may be NULL. */
static int hold_each(struct db *db, const char *sql, const int64_t *at, size_t n, bool *held)
{
    struct value *values = calloc(n, sizeof *values);
    struct query *queries = calloc(n, sizeof *queries);
    int error = values && queries ? 0 : db_fail(db, STORE_MEMORY, "out of memory");
    for (size_t i = 0; i < n && !error; i++) {
        values[i] = value_whole(at[i]);
        queries[i] = (struct query){sql, &values[i], 1, held_row, held ? &held[i] : NULL};
    }
    if (!error)
        error = db_load(db, queries, n);
    free(queries);
    free(values);
    return error;
}

int names_hold(struct db *db, const char *const *names, size_t n)
{
    int error = 0;
    if (!db->driver->take.name || n == 0)
        return 0;
    assert(db->in_transaction);
    int64_t *hashes = calloc(n, sizeof *hashes);
    if (!hashes)
        return db_fail(db, STORE_MEMORY, "out of memory");
    for (size_t i = 0; i < n; i++) {
        unsigned char hash[crypto_generichash_BYTES_MIN];
        crypto_generichash(hash, sizeof hash, (const unsigned char *)names[i], strlen(names[i]), NULL, 0);
        memcpy(&hashes[i], hash, sizeof hashes[i]);
    }
    n = wholes_distinct(hashes, n);
    bool many = n > NAMES_MOST; /* a server has room for some thousands: a roster holds all names at once instead */
    error = db_load(db, &(struct query){many ? db->driver->take.all_names : db->driver->take.some_names, NULL, 0, held_row, NULL},
                    1);
    if (!error && !many)
        error = hold_each(db, db->driver->take.name, hashes, n, NULL);
    free(hashes);
    return error;
}

int persons_hold(struct db *db, int64_t *persons, size_t *n)
{
    *n = wholes_distinct(persons, *n);
    if (!db->driver->take.person || *n == 0)
        return 0;
    assert(db->in_transaction);
    return hold_each(db, db->driver->take.person, persons, *n, NULL);
}

int persons_hold_unheld(struct db *db, const int64_t *persons, size_t n, bool *held)
{
    for (size_t i = 0; i < n; i++)
        held[i] = !db->driver->take.unheld;
    if (!db->driver->take.unheld || n == 0)
        return 0;
    assert(db->in_transaction);
    return hold_each(db, db->driver->take.unheld, persons, n, held);
}
