/* Loads records: everything that care may know of a patient, in six queries a patient, all of them in one list.
 *
 * No query waits for the answer to another, so that a driver across a network sends them all at once. Must judge
 * nothing: which rows belong to a record is said in record.h. About 150 µs a patient in the middle of a week.
 */
#include <stdlib.h>
#include <string.h>

#include "store/tables.h"

enum {
    SENT_SECONDS = 48 * 60 * 60,
    TEXTS_SECONDS = 10 * 60,
    REPLIES_SECONDS = 30 * 60,
    STRANGERS_SECONDS = 60 * 60,
    QUERIES = 6
};

/* The week with a number ($2), or with 0 the latest, of a person ($1). */
#define WEEK_OF_PERSON                                                                                                 \
    "(SELECT x.id FROM weeks x WHERE x.person = $1 AND ($2 = 0 OR x.number = $2) ORDER BY x.number DESC LIMIT 1)"

static const char load_head[] = "SELECT " COLUMNS_OF_P(PEOPLE) AND_COLUMNS_OF_C(COURSES) AND_COLUMNS_OF_W(WEEKS)
    " FROM people p LEFT JOIN courses c ON c.person = p.id LEFT JOIN weeks w ON w.id = " WEEK_OF_PERSON
    " WHERE p.id = $1";

static const char load_readings[] =
    "SELECT " COLUMNS(READINGS) " FROM readings WHERE person = $1 AND week = " WEEK_OF_PERSON
    " UNION ALL SELECT " COLUMNS(READINGS) " FROM readings WHERE person = $1 AND week IS NULL";

static const char load_alerts[] = "SELECT " COLUMNS(ALERTS) " FROM alerts"
                                  " WHERE person = $1 AND resolved_at IS NULL ORDER BY at, id";

static const char load_desk[] = "SELECT " COLUMNS(DESK) " FROM desk"
                                " WHERE person = $1 AND done_at IS NULL ORDER BY at, id";

static const char load_sent[] = "SELECT " COLUMNS(SENT) " FROM outbox"
                                " WHERE person = $1 AND created > $2 AND channel = 'text' AND staff = 0"
                                " AND state <> 'cancelled' ORDER BY created, id";

/* Counted to a thousand: more is a flood all the same. And up to two minutes from now: what stands in a time that has yet to
 * come, since the clock was set back, is no flood. */
#define LATELY(column, from, until) column " > " from " AND " column " <= " from " + " until
static const char load_counts[] =
    "SELECT (SELECT count(*) FROM (SELECT 1 FROM people q JOIN texts t ON t.person = q.id"
    "  WHERE q.clinic = p.clinic AND q.phone = p.phone AND " LATELY("t.received", "$1", "720")
    "  AND t.sender = p.phone LIMIT 1000) AS a)"
    " + (SELECT count(*) FROM (SELECT 1 FROM texts n WHERE n.sender = p.phone AND " LATELY("n.received", "$1", "720")
    "  AND n.person IS NULL LIMIT 1000) AS n),"
    " (SELECT count(*) FROM (SELECT 1 FROM people q JOIN outbox o ON o.person = q.id"
    "  WHERE q.clinic = p.clinic AND q.phone = p.phone AND " LATELY("o.created", "$2", "1920")
    "  AND o.recipient = p.phone AND o.class <= 1"
    "  AND o.channel = 'text' AND o.unprompted = 0 AND o.staff = 0 AND o.state <> 'cancelled' LIMIT 1000) AS b),"
    " (SELECT count(*) FROM (SELECT 1 FROM outbox s WHERE s.clinic = p.clinic AND " LATELY("s.created", "$3", "3720")
    "  AND s.kind IN ('unknown_number', 'help_stranger') LIMIT 1000) AS c)"
    " FROM people p WHERE p.id = $4";

/* -- one patient's list --------------------------------------------------------------------------------------------------- */

struct loading {
    struct record *record;
    struct rows readings, alerts, desk, sent;
    struct value of_week[2], of_person, since[2], counts[4];
};

static int head_row(void *context, const struct value *columns, size_t n)
{
    struct record *r = ((struct loading *)context)->record;
    (void)n;
    int error = row_read(people_columns, PEOPLE_N, columns, &r->person);
    if (!error)
        error = row_read(courses_columns, COURSES_N, columns + PEOPLE_N, &r->course);
    if (!error)
        error = row_read(weeks_columns, WEEKS_N, columns + PEOPLE_N + COURSES_N, &r->week);
    r->course.person = r->person.id;
    return error;
}

static int counts_row(void *context, const struct value *columns, size_t n)
{
    struct record *r = ((struct loading *)context)->record;
    (void)n;
    r->texts_10min = (int16_t)columns[0].whole;
    r->replies_30min = (int16_t)columns[1].whole;
    r->strangers_hour = (int16_t)columns[2].whole;
    return 0;
}

static void record_empty(struct record *r)
{
    static const struct value absent[ROW_COLUMNS_MAX]; /* all null: an empty row of any table */
    memset(&r->person, 0, sizeof r->person);
    row_read(people_columns, PEOPLE_N, absent, &r->person);
    memset(&r->course, 0, sizeof r->course);
    row_read(courses_columns, COURSES_N, absent, &r->course);
    memset(&r->week, 0, sizeof r->week);
    row_read(weeks_columns, WEEKS_N, absent, &r->week);
    r->readings = NULL;
    r->alerts = NULL;
    r->desk = NULL;
    r->sent = NULL;
    r->n_readings = r->cap_readings = r->n_alerts = r->cap_alerts = 0;
    r->n_desk = r->cap_desk = r->n_sent = r->cap_sent = 0;
    r->texts_10min = r->replies_30min = r->strangers_hour = 0;
}

static void loading_begin(struct loading *l, struct record *r, int64_t now, int64_t id, int number)
{
    record_empty(r);
    *l = (struct loading){
        .record = r,
        .readings = {.columns = readings_columns, .n_columns = READINGS_N, .size = sizeof *r->readings},
        .alerts = {.columns = alerts_columns, .n_columns = ALERTS_N, .size = sizeof *r->alerts},
        .desk = {.columns = desk_columns, .n_columns = DESK_N, .size = sizeof *r->desk},
        .sent = {.columns = sent_columns, .n_columns = SENT_N, .size = sizeof *r->sent},
        .of_week = {value_whole(id), value_whole(number)},
        .of_person = value_whole(id),
        .since = {value_whole(id), value_whole(now - SENT_SECONDS)},
        .counts = {value_whole(now - TEXTS_SECONDS), value_whole(now - REPLIES_SECONDS),
                   value_whole(now - STRANGERS_SECONDS), value_whole(id)},
    };
}

static void loading_queries(struct loading *l, struct query *q)
{
    q[0] = (struct query){load_head, l->of_week, 2, head_row, l};
    q[1] = (struct query){load_readings, l->of_week, 2, rows_add, &l->readings};
    q[2] = (struct query){load_alerts, &l->of_person, 1, rows_add, &l->alerts};
    q[3] = (struct query){load_desk, &l->of_person, 1, rows_add, &l->desk};
    q[4] = (struct query){load_sent, l->since, 2, rows_add, &l->sent};
    q[5] = (struct query){load_counts, l->counts, 4, counts_row, l};
}

static int reading_order(const void *a, const void *b)
{
    const struct reading *x = a, *y = b;
    if (x->at != y->at)
        return x->at < y->at ? -1 : 1;
    return (x->id > y->id) - (x->id < y->id);
}

static void loading_end(struct loading *l)
{
    struct record *r = l->record;
    if (l->readings.n > 1)
        qsort(l->readings.at, l->readings.n, sizeof *r->readings, reading_order);
    r->readings = l->readings.at;
    r->n_readings = l->readings.n;
    r->cap_readings = l->readings.cap;
    r->alerts = l->alerts.at;
    r->n_alerts = l->alerts.n;
    r->cap_alerts = l->alerts.cap;
    r->desk = l->desk.at;
    r->n_desk = l->desk.n;
    r->cap_desk = l->desk.cap;
    r->sent = l->sent.at;
    r->n_sent = l->sent.n;
    r->cap_sent = l->sent.cap;
}

/* -- many patients' lists in one --------------------------------------------------------------------------------------- */

static int load_all(struct db *db, int64_t now, const int64_t *ids, size_t n, int number, struct record *out)
{
    if (n == 0)
        return 0;
    struct loading *loading = calloc(n, sizeof *loading);
    struct query *queries = calloc(n, QUERIES * sizeof *queries);
    int error = loading && queries ? 0 : db_fail(db, STORE_MEMORY, "out of memory");
    for (size_t i = 0; i < n; i++) {
        record_empty(&out[i]);
        if (error)
            continue;
        loading_begin(&loading[i], &out[i], now, ids[i], number);
        loading_queries(&loading[i], &queries[i * QUERIES]);
    }
    db->now = now;
    if (!error)
        error = db_load(db, queries, n * QUERIES);
    for (size_t i = 0; i < n && loading && queries; i++)
        loading_end(&loading[i]);
    free(loading);
    free(queries);
    return error;
}

int records_load(struct db *db, int64_t now, const int64_t *ids, size_t n, struct record *out)
{
    return load_all(db, now, ids, n, 0, out);
}

int record_load_week(struct db *db, int64_t now, int64_t id, int number, struct record *out)
{
    return load_all(db, now, &id, 1, number, out);
}
