/* Alerts of a person, and everything that has a due time: looks, alerts, and what waits to be sent.
 *
 * Each has one due time and an index on it: asking what is due costs the rows that are.
 */
#include "store/tables.h"

int alerts_of_person(struct db *db, int64_t person, int64_t from, int64_t to, struct alert **out, size_t *n)
{
    static const char of_person[] = "SELECT " COLUMNS(ALERTS) " FROM alerts"
                                    " WHERE person = $1 AND at >= $2 AND at < $3 ORDER BY at, id";
    struct value values[] = {value_whole(person), value_whole(from), value_whole(to)};
    struct rows rows = {.columns = alerts_columns, .n_columns = ALERTS_N, .size = sizeof **out};
    int error = rows_load(db, of_person, values, COUNT(values), &rows);
    *out = rows.at;
    *n = rows.n;
    return error;
}

int looks_due(struct db *db, int64_t now, int64_t *persons, int64_t *due, size_t max, size_t *n)
{
    return db_wholes(db,
                     db->driver->take.looks,
                     (struct value[]){value_whole(now), value_whole((int64_t)max)}, 2,
                     (int64_t *const[]){persons, due}, 2, max, n);
}

int alerts_due(struct db *db, int64_t now, int64_t *alerts, int64_t *persons, int64_t *due, size_t max, size_t *n)
{
    return db_wholes(db,
                     "SELECT id, coalesce(person, 0), due FROM alerts WHERE due IS NOT NULL AND due <= $1"
                     " ORDER BY due, id LIMIT $2",
                     (struct value[]){value_whole(now), value_whole((int64_t)max)}, 2,
                     (int64_t *const[]){alerts, persons, due}, 3, max, n);
}

int look_due_set(struct db *db, int64_t person, int64_t due)
{
    static const char set[] = "UPDATE courses SET next_look = $1 WHERE person = $2";
    return db_run(db, set, (struct value[]){due == INSTANT_NONE ? value_ref(0) : value_whole(due), value_whole(person)}, 2);
}

int alert_due_set(struct db *db, int64_t alert, int64_t due)
{
    static const char set[] = "UPDATE alerts SET due = $1 WHERE id = $2";
    return db_run(db, set, (struct value[]){due == INSTANT_NONE ? value_ref(0) : value_whole(due), value_whole(alert)}, 2);
}

/* The earliest of looks, alerts and overdue checks that is later than $1: each the first entry of an index, by its order and
 * not by min(), for which a server that knows little of the table reads them all. */
static const char due_first[] =
    "SELECT (SELECT next_look FROM courses WHERE next_look IS NOT NULL AND next_look > $1 ORDER BY next_look LIMIT 1),"
    " (SELECT due FROM alerts WHERE due IS NOT NULL AND due > $1 ORDER BY due LIMIT 1),"
    " (SELECT check_due FROM outbox WHERE state = 'waiting' AND check_due IS NOT NULL AND check_due > $1"
    "  ORDER BY check_due LIMIT 1)";

static void earlier(int64_t *due, int64_t other)
{
    if (other != INSTANT_NONE && (*due == INSTANT_NONE || other < *due))
        *due = other;
}

static int first_after(struct db *db, int64_t now, int64_t *due)
{
    int64_t first[3] = {INSTANT_NONE, INSTANT_NONE, INSTANT_NONE};
    bool found;
    *due = INSTANT_NONE;
    int error = db_whole(db, due_first, (struct value[]){value_whole(now)}, 1, first, COUNT(first), &found);
    for (size_t i = 0; i < COUNT(first); i++)
        earlier(due, first[i]);
    return error;
}

int due_next(struct db *db, int64_t *due)
{
    return first_after(db, INSTANT_NONE, due);
}

int due_after(struct db *db, int64_t now, int64_t *due)
{
    int64_t outbox = INSTANT_NONE;
    int error = first_after(db, now, due);
    if (!error)
        error = outbox_due_after(db, now, &outbox);
    earlier(due, outbox);
    return error;
}

int db_largest_id(struct db *db, int64_t *id)
{
#define LARGEST(table) "(SELECT id FROM " table " ORDER BY id DESC LIMIT 1)"
    static const char largest[] = "SELECT " LARGEST("people") ", " LARGEST("texts") ", " LARGEST("readings") ", " LARGEST("weeks")
        ", " LARGEST("alerts") ", " LARGEST("desk") ", " LARGEST("outbox");
#undef LARGEST
    int64_t ids[7];
    bool found;
    *id = 0;
    int error = db_whole(db, largest, NULL, 0, ids, COUNT(ids), &found);
    for (size_t i = 0; !error && i < COUNT(ids); i++)
        if (ids[i] > *id)
            *id = ids[i];
    return error;
}
