/* What is to be sent, was sent, or never will be: one row a text, mail or post, its body fixed when it was queued.
 *
 *     waiting → sent → delivered | failed        [outbox_set, by what came of the attempt or the receipt]
 *     waiting → waiting                          [outbox_set: a later due time, one attempt more]
 *     waiting → failed | given_up                [outbox_set]
 *     waiting → cancelled                        [EFFECT_WITHDRAW, outbox_set; a copy of an alert by the next one]
 *
 * Rows are kept. A million may wait: taking the next ones walks an index from its start.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "store/tables.h"

/* -- one row -------------------------------------------------------------------------------------------------------------- */

static int outgoing_row(void *context, const struct value *columns, size_t n)
{
    memset(context, 0, sizeof(struct outgoing));
    return row_read(outbox_columns, n, columns, context);
}

int outbox_get(struct db *db, int64_t id, struct outgoing *out, bool *found)
{
    static const char get[] = "SELECT " COLUMNS(OUTBOX) " FROM outbox WHERE id = $1";
    struct value value = value_whole(id);
    out->id = 0;
    int error = db_load(db, &(struct query){get, &value, 1, outgoing_row, out}, 1);
    *found = !error && out->id == id;
    return error;
}

/* -- taking ------------------------------------------------------------------------------------------------------------- */

struct due_row {
    int64_t id, due;
};

struct due_rows {
    struct due_row *at;
    size_t n, max;
};

static int due_row_add(void *context, const struct value *columns, size_t n)
{
    struct due_rows *rows = context;
    (void)n;
    if (rows->n < rows->max)
        rows->at[rows->n++] = (struct due_row){columns[0].whole, columns[1].whole};
    return 0;
}

static int due_order(const void *a, const void *b)
{
    const struct due_row *x = a, *y = b;
    if (x->due != y->due)
        return x->due < y->due ? -1 : 1;
    return (x->id > y->id) - (x->id < y->id);
}

/* What may go next of these classes on all channels but those in `shut`, at most `each` of a class and channel: of class c in
 * rows[c], by due and id. */
static int classes_due(struct db *db, int from, int to, int64_t now, uint32_t shut, size_t each, struct due_rows *rows)
{
    struct value values[CLASS_COUNT * CHANNEL_COUNT][4];
    struct query queries[CLASS_COUNT * CHANNEL_COUNT];
    size_t n = 0;
    for (int i = from * CHANNEL_COUNT; i < to * CHANNEL_COUNT; i++) {
        int class_ = i / CHANNEL_COUNT, channel = i % CHANNEL_COUNT;
        if (shut & (1u << channel))
            continue;
        values[n][0] = value_whole(class_);
        values[n][1] = value_text(name_of(COLUMN_CHANNEL, channel));
        values[n][2] = value_whole(now);
        values[n][3] = value_whole((int64_t)each);
        queries[n] = (struct query){db->driver->take.outbox, values[n], 4, due_row_add, &rows[class_]};
        n++;
    }
    int error = n ? db_load(db, queries, n) : 0;
    for (int class_ = from; class_ < to && !error; class_++)
        if (rows[class_].n > 1)
            qsort(rows[class_].at, rows[class_].n, sizeof *rows[class_].at, due_order);
    return error;
}

static int number_order(const void *key, const void *element)
{
    return strcmp(key, *(const char *const *)element);
}

static bool number_busy(const struct busy_numbers *busy, const char *to)
{
    return busy && busy->n && bsearch(to, busy->to, busy->n, sizeof *busy->to, number_order);
}

/* The rows of these ids, in one list, but those that are gone or go to a busy number. */
static int rows_get(struct db *db, const struct due_row *ids, size_t n_ids, const struct busy_numbers *busy, struct outgoing *out,
                    size_t *n)
{
    static const char get[] = "SELECT " COLUMNS(OUTBOX) " FROM outbox WHERE id = $1";
    struct value *values = calloc(n_ids + 1, sizeof *values);
    struct query *queries = calloc(n_ids + 1, sizeof *queries);
    int error = values && queries ? 0 : db_fail(db, STORE_MEMORY, "out of memory");
    for (size_t i = 0; i < n_ids && !error; i++) {
        out[i].id = 0;
        values[i] = value_whole(ids[i].id);
        queries[i] = (struct query){get, &values[i], 1, outgoing_row, &out[i]};
    }
    if (!error && n_ids)
        error = db_load(db, queries, n_ids);
    *n = 0;
    for (size_t i = 0; i < n_ids && !error; i++)
        if (out[i].id && !number_busy(busy, out[i].to)) {
            if (*n != i)
                out[*n] = out[i];
            ++*n;
        }
    free(queries);
    free(values);
    return error;
}

static int rows_take(struct db *db, const struct due_rows *rows, const struct busy_numbers *busy, struct outgoing *out, size_t max,
                     size_t *n)
{
    int error = 0;
    for (size_t i = 0, some, got; i < rows->n && *n < max && !error; i += some) {
        some = rows->n - i < max - *n ? rows->n - i : max - *n;
        error = rows_get(db, &rows->at[i], some, busy, &out[*n], &got);
        *n += got;
    }
    return error;
}

int outbox_take(struct db *db, int64_t now, const struct busy_numbers *busy, struct outgoing *out, size_t max, size_t *n)
{
    size_t each = max + (busy ? busy->n : 0); /* a number gives one row at most, so busy ones take away no more */
    struct due_rows rows[CLASS_COUNT];
    struct due_row *room = calloc(CLASS_COUNT * CHANNEL_COUNT * each + 1, sizeof *room);
    int error = room ? 0 : db_fail(db, STORE_MEMORY, "out of memory");
    int at_once = db->driver->shared ? CLASS_COUNT : 1; /* a journey costs more than classes that are not come to */
    for (size_t i = 0; i < CLASS_COUNT; i++)
        rows[i] = (struct due_rows){.at = room + i * CHANNEL_COUNT * each, .max = CHANNEL_COUNT * each};
    *n = 0;
    for (int class_ = 0; class_ < CLASS_COUNT && *n < max && !error; class_++) {
        if (class_ % at_once == 0)
            error = classes_due(db, class_, class_ + at_once, now, busy ? busy->channels : 0, each, rows);
        if (!error)
            error = rows_take(db, &rows[class_], busy, out, max, n);
    }
    free(room);
    return error;
}

static int lease_row(void *context, const struct value *columns, size_t n)
{
    (void)columns;
    (void)n;
    *(bool *)context = true;
    return 0;
}

/* One row that is asked for. */
struct leasing {
    const struct outgoing *row;
    bool leased, next, *ours;
    struct value values[2];
};

/* Numbers in one order, so that two gateways never wait for each other. */
static int leasing_order(const void *a, const void *b)
{
    return strcmp(((const struct leasing *)a)->row->to, ((const struct leasing *)b)->row->to);
}

/* Two lists: to hold all numbers and see what each gets next, and to give back those whose row is not that. */
static int lease_all(struct db *db, struct leasing *l, size_t n, int64_t now, struct query *queries)
{
    const struct take_sql *take = &db->driver->take;
    size_t left = 0;
    qsort(l, n, sizeof *l, leasing_order);
    for (size_t i = 0; i < n; i++) {
        l[i].values[0] = value_whole(l[i].row->id);
        l[i].values[1] = value_whole(now);
        queries[i] = (struct query){take->lease, l[i].values, 1, lease_row, &l[i].leased};
        queries[n + i] = (struct query){take->next, l[i].values, 2, lease_row, &l[i].next};
    }
    int error = db_load(db, queries, 2 * n);
    for (size_t i = 0; i < n && !error; i++) {
        *l[i].ours = l[i].leased && l[i].next;
        if (l[i].leased && !l[i].next)
            queries[left++] = (struct query){take->release, l[i].values, 1, lease_row, &l[i].leased};
    }
    return left ? db_load(db, queries, left) : error;
}

int outbox_lease(struct db *db, const struct outgoing *const *rows, size_t n, int64_t now, bool *ours)
{
    bool free_for_all = !db->driver->take.lease;
    for (size_t i = 0; i < n; i++)
        ours[i] = free_for_all;
    if (free_for_all || n == 0)
        return 0;
    struct leasing *leasing = calloc(n, sizeof *leasing);
    struct query *queries = calloc(2 * n, sizeof *queries);
    int error = leasing && queries ? 0 : db_fail(db, STORE_MEMORY, "out of memory");
    for (size_t i = 0; i < n && !error; i++)
        leasing[i] = (struct leasing){.row = rows[i], .ours = &ours[i]};
    if (!error)
        error = lease_all(db, leasing, n, now, queries);
    free(queries);
    free(leasing);
    return error;
}

int outbox_release(struct db *db, int64_t id)
{
    const char *release = db->driver->take.release;
    return release ? db_run(db, release, (struct value[]){value_whole(id)}, 1) : 0;
}

struct taking {
    struct outgoing *out;
    size_t max, n;
};

static int overdue_row(void *context, const struct value *columns, size_t n)
{
    struct taking *t = context;
    return t->n == t->max ? 0 : outgoing_row(&t->out[t->n++], columns, n);
}

int outbox_overdue(struct db *db, int64_t now, struct outgoing *out, size_t max, size_t *n)
{
    static const char overdue[] = "SELECT " COLUMNS(OUTBOX) " FROM outbox WHERE state = 'waiting'"
                                  " AND check_due IS NOT NULL AND check_due <= $1 ORDER BY check_due, id LIMIT $2";
    struct taking taking = {.out = out, .max = max};
    struct value values[] = {value_whole(now), value_whole((int64_t)max)};
    int error = db_load(db, &(struct query){overdue, values, COUNT(values), overdue_row, &taking}, 1);
    *n = error ? 0 : taking.n;
    return error;
}

int outbox_overdue_still(struct db *db, int64_t outgoing, int64_t now, bool *still)
{
    int64_t one;
    return db_whole(db, "SELECT 1 FROM outbox WHERE id = $1 AND state = 'waiting' AND check_due <= $2",
                    (struct value[]){value_whole(outgoing), value_whole(now)}, 2, &one, 1, still);
}

int outbox_overdue_set(struct db *db, int64_t outgoing, int64_t due)
{
    static const char later[] = "UPDATE outbox SET check_due = $1 WHERE id = $2";
    static const char made[] = "UPDATE outbox SET check_due = expires WHERE id = $1";
    if (due == INSTANT_NONE)
        return db_run(db, made, (struct value[]){value_whole(outgoing)}, 1);
    return db_run(db, later, (struct value[]){value_whole(due), value_whole(outgoing)}, 2);
}

/* -- changing and finding one ---------------------------------------------------------------------------------------------- */

int outbox_set(struct db *db, const struct outgoing *row)
{
    static const char set[] = "UPDATE outbox SET state = $1, due = $2, attempts = $3, sent_at = $4, delivered_at = $5,"
                              " carrier_id = $6, reason = $7 WHERE id = $8";
    struct value all[OUTBOX_N];
    row_bind(outbox_columns, OUTBOX_N, row, all, NULL);
#define PLACE_(kind, column, member) OUTBOX_##column,
    enum { OUTBOX(PLACE_, PLACE_, PLACE_) };
    struct value values[] = {all[OUTBOX_state],        all[OUTBOX_due],        all[OUTBOX_attempts],
                             all[OUTBOX_sent_at],      all[OUTBOX_delivered_at], all[OUTBOX_carrier_id],
                             all[OUTBOX_reason],       all[OUTBOX_id]};
    return db_run(db, set, values, COUNT(values));
}

static int alert_row(void *context, const struct value *columns, size_t n)
{
    return row_read(alerts_columns, n, columns, context);
}

static int ref_row(void *context, const struct value *columns, size_t n)
{
    static const struct column ref = {COLUMN_TEXT, 0, REF_MAX};
    return row_read(&ref, n, columns, context);
}

int alert_of_copy(struct db *db, const struct outgoing *row, struct alert *alert, char ref[REF_MAX], int *time, bool *found)
{
    static const char get[] = "SELECT " COLUMNS(ALERTS) " FROM alerts WHERE id = $1";
    static const char get_ref[] = "SELECT ref FROM people WHERE id = $1";
    static const char count[] = "SELECT count(*) FROM outbox WHERE alert = $1 AND recipient = $2 AND id <= $3";
    struct value id = value_whole(row->alert), person = value_whole(row->person);
    struct value copy[] = {id, value_text(row->to), value_whole(row->id)};
    int64_t copies = 0;
    int64_t *const columns[] = {&copies};
    size_t one;
    ref[0] = '\0';
    *alert = (struct alert){0};
    int error = db_load(db, (struct query[]){{get, &id, 1, alert_row, alert}, {get_ref, &person, 1, ref_row, ref}}, 2);
    if (!error)
        error = db_wholes(db, count, copy, COUNT(copy), columns, 1, 1, &one);
    *time = (int)copies;
    *found = !error && alert->id != 0;
    return error;
}

int outbox_code(struct db *db, const char *to, const char *code, int64_t *alert, int64_t *person, bool *found)
{
    int64_t ids[2] = {0, 0};
    int error = db_whole(db,
                         "SELECT coalesce(alert, 0), coalesce(person, 0) FROM outbox"
                         " WHERE recipient = $1 AND code = $2 AND code <> '' ORDER BY id DESC LIMIT 1",
                         (struct value[]){value_text(to), value_text(code)}, 2, ids, 2, found);
    *alert = ids[0];
    *person = ids[1];
    return error;
}

int outbox_staff(struct db *db, const char *to, bool *found)
{
    int64_t one;
    return db_whole(db, "SELECT 1 FROM outbox WHERE recipient = $1 AND code <> '' LIMIT 1",
                    (struct value[]){value_text(to)}, 1, &one, 1, found);
}

/* -- many rows ------------------------------------------------------------------------------------------------------------ */

int outbox_said(struct db *db, int64_t person, int64_t from, int64_t to, size_t max, struct outgoing **out, size_t *n)
{
    static const char of_person[] =
        "SELECT " COLUMNS(OUTBOX) " FROM (SELECT " COLUMNS(OUTBOX) " FROM outbox WHERE person = $1 AND created >= $2"
        " AND created < $3 AND staff = 0 AND channel = 'text' ORDER BY created DESC, id DESC LIMIT $4) AS latest"
        " ORDER BY created, id";
    struct value values[] = {value_whole(person), value_whole(from), value_whole(to), value_whole((int64_t)max)};
    struct rows rows = {.columns = outbox_columns, .n_columns = OUTBOX_N, .size = sizeof **out};
    int error = rows_load(db, of_person, values, COUNT(values), &rows);
    *out = rows.at;
    *n = rows.n;
    return error;
}

struct copies {
    struct alert_copies *at;
    size_t n, max;
};

static int copies_row(void *context, const struct value *columns, size_t n)
{
    struct copies *list = context;
    int state = columns[1].kind == VALUE_TEXT ? name_value(COLUMN_OUTGOING_STATE, columns[1].text) : -1;
    if (n != 6 || columns[0].kind != VALUE_TEXT || state < 0)
        return STORE_CORRUPT;
    if (list->n == list->max)
        return 0;
    struct alert_copies *c = &list->at[list->n++];
    *c = (struct alert_copies){.state = (enum outgoing_state)state, .n = columns[2].whole, .first = columns[3].whole,
                               .last = columns[4].whole, .outgoing = columns[5].whole};
    snprintf(c->to, sizeof c->to, "%s", columns[0].text);
    return 0;
}

int outbox_copies(struct db *db, int64_t alert, struct alert_copies *out, size_t max, size_t *n)
{
    static const char of_alert[] = "SELECT recipient, state, count(*), min(created), max(created), min(id) FROM outbox"
                                   " WHERE alert = $1 AND staff = 1 GROUP BY recipient, kind, state ORDER BY min(id)";
    struct value value = value_whole(alert);
    struct copies list = {.at = out, .max = max};
    int error = db_load(db, &(struct query){of_alert, &value, 1, copies_row, &list}, 1);
    *n = list.n;
    return error;
}

static int tally_row(void *context, const struct value *columns, size_t n)
{
    int64_t(*counts)[OUTGOING_STATE_COUNT] = context;
    (void)n;
    int state = columns[1].kind == VALUE_TEXT ? name_value(COLUMN_OUTGOING_STATE, columns[1].text) : -1;
    if (columns[0].whole < 0 || columns[0].whole >= CLASS_COUNT || state < 0)
        return STORE_CORRUPT;
    counts[columns[0].whole][state] = columns[2].whole;
    return 0;
}

int outbox_counts(struct db *db, int64_t counts[CLASS_COUNT][OUTGOING_STATE_COUNT], int64_t *oldest_due)
{
    static const char tallies[] = "SELECT class, state, n FROM tallies";
    memset(counts, 0, CLASS_COUNT * sizeof *counts);
    int error = db_load(db, &(struct query){tallies, NULL, 0, tally_row, counts}, 1);
    return error ? error : outbox_due_after(db, INSTANT_NONE, oldest_due);
}

static int earliest_row(void *context, const struct value *columns, size_t n)
{
    int64_t *due = context;
    (void)n;
    if (columns[0].kind == VALUE_WHOLE && (*due == INSTANT_NONE || columns[0].whole < *due))
        *due = columns[0].whole;
    return 0;
}

int outbox_due_after(struct db *db, int64_t now, int64_t *due)
{
    static const char first[] = "SELECT due FROM outbox WHERE state = 'waiting' AND id > 0 AND class = $1 AND channel = $2"
                                " AND due > $3 ORDER BY due LIMIT 1";
    enum { KINDS = CLASS_COUNT * CHANNEL_COUNT };
    struct value values[KINDS][3];
    struct query queries[KINDS];
    *due = INSTANT_NONE;
    for (int i = 0; i < KINDS; i++) {
        values[i][0] = value_whole(i / CHANNEL_COUNT);
        values[i][1] = value_text(name_of(COLUMN_CHANNEL, i % CHANNEL_COUNT));
        values[i][2] = value_whole(now);
        queries[i] = (struct query){first, values[i], 3, earliest_row, due};
    }
    return db_load(db, queries, KINDS);
}

int strangers_answered(struct db *db, const char *clinic, int64_t since, int *n)
{
    static const char count[] = "SELECT count(*) FROM outbox WHERE clinic = $1 AND created >= $2"
                                " AND kind IN ('unknown_number', 'help_stranger')";
    int64_t counted = 0;
    bool found;
    int error = db_whole(db, count, (struct value[]){value_text(clinic), value_whole(since)}, 2, &counted, 1, &found);
    *n = (int)counted;
    return error;
}
