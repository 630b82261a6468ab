/* Writes what care decided: nearly every effect is a row that is set whole, by its id, so that writing it twice changes
 * nothing.
 *
 * Effects become a list of writes that a driver may send at once. Must decide nothing. An ordinary text is four to six
 * writes, some 60 µs without the commit.
 */
#include <assert.h>
#include <string.h>

#include "store/audit.h"
#include "store/search.h"
#include "store/tables.h"

#define UPSERT(table, LIST, dollars, keys, where)                                                                      \
    "INSERT INTO " table " (" COLUMNS(LIST) ") VALUES (" dollars ") ON CONFLICT (" keys ") DO UPDATE SET " SET(LIST)   \
    where
/* Ids are made by several programs: one that met another person's row must not change it. */
#define SAME_PERSON(table) " WHERE " table ".person IS NOT DISTINCT FROM excluded.person"

static const char person_put[] = UPSERT("people", PEOPLE, DOLLARS_43, "id", " WHERE people.clinic = excluded.clinic");
static const char course_put[] = UPSERT("courses", COURSES, DOLLARS_33, "person", "");
static const char week_put[] = UPSERT("weeks", WEEKS, DOLLARS_24, "id", SAME_PERSON("weeks"));
static const char reading_put[] = UPSERT("readings", READINGS, DOLLARS_27, "id", SAME_PERSON("readings"));
static const char alert_put[] = UPSERT("alerts", ALERTS, DOLLARS_14, "id", SAME_PERSON("alerts"));
static const char desk_put[] = UPSERT("desk", DESK, DOLLARS_16, "id", SAME_PERSON("desk"));

/* A row that is there with the same key is left as it is. */
static const char outgoing_put[] =
    "INSERT INTO outbox (" COLUMNS(OUTBOX) ", staff, check_due) VALUES (" DOLLARS_30 ")"
    " ON CONFLICT (id) DO UPDATE SET staff = outbox.staff WHERE outbox.key = excluded.key"
    " AND outbox.recipient = excluded.recipient";

/* The next copy of an alert takes the place of those that still wait for the same recipient: a carrier that was down for a
 * day must not bring a hundred of them. The code of each stays good, and one that is in flight is still marked sent. */
#define EARLIER_COPIES "alert = $1 AND recipient = $2 AND id < $3 AND state = 'waiting' AND staff = 1 AND class = 0"
static const char copy_inherits[] = /* how long this recipient has taken nothing is not forgotten */
    "UPDATE outbox SET check_due = coalesce((SELECT min(check_due) FROM outbox WHERE " EARLIER_COPIES "), check_due)"
    " WHERE id = $3";
static const char copy_replaces[] =
    "UPDATE outbox SET state = 'cancelled', reason = 'a later copy took its place' WHERE " EARLIER_COPIES;
_Static_assert(CLASS_WORRY == 0, "the class of copy_replaces");

static const char texts_withdraw[] =
    "UPDATE outbox SET state = 'cancelled', reason = $1 WHERE person = $2 AND state = 'waiting'"
    " AND class IN ($3, $4, $5, $6) AND unprompted >= $7 AND staff = 0 AND (channel = 'text' OR class = 3)";
_Static_assert(CLASS_COUNT == 4 && CLASS_SUMMARY == 3, "the classes of texts_withdraw");

static const char text_outcome[] = "UPDATE texts SET why = $1, person = $2 WHERE id = $3";

_Static_assert(PEOPLE_N == 43 && COURSES_N == 33 && WEEKS_N == 24 && READINGS_N == 27 && ALERTS_N == 14 && DESK_N == 16 &&
                   OUTBOX_N == 28,
               "the dollars above");

/* -- the list ------------------------------------------------------------------------------------------------------------ */

enum { LIST_WRITES = 16, WRITE_VALUES = 48, WORRY_LATE_SECONDS = 5 * 60, TARGET_LATE_SECONDS = 10 * 60 };

struct list {
    struct db *db;
    struct write writes[LIST_WRITES];
    struct value values[LIST_WRITES][WRITE_VALUES];
    char readings[LIST_WRITES][READINGS_TEXT];
    size_t n;
};

static int list_flush(struct list *l)
{
    int error = l->n ? db_write(l->db, l->writes, l->n) : 0;
    l->n = 0;
    return error;
}

/* Where the next write's values go; list_add counts it. */
static struct value *list_values(struct list *l)
{
    return l->values[l->n];
}

static int list_add(struct list *l, const char *sql, size_t n, bool must)
{
    assert(n <= WRITE_VALUES);
    l->writes[l->n] = (struct write){sql, l->values[l->n], n, must};
    l->n++;
    return l->n == LIST_WRITES ? list_flush(l) : 0;
}

static int list_row(struct list *l, const char *sql, const struct column *columns, size_t n, const void *row)
{
    row_bind(columns, n, row, list_values(l), l->readings[l->n]);
    return list_add(l, sql, n, true);
}

/* -- effects that are more than a row -------------------------------------------------------------------------------------- */

static bool kind_to_staff(unsigned kind)
{
#define TO(NAME, name, must, to, role) to,
    static const char to_whom[] = {'P', TEXT_KINDS(TO)};
    return kind < COUNT(to_whom) && to_whom[kind] == 'S';
}

/* When it is looked at because it is still waiting: see outbox_overdue. */
static struct value check_due(const struct outgoing *o)
{
    bool copy = (o->alert && o->class_ == CLASS_WORRY && !o->worry_reply) || o->class_ == CLASS_SUMMARY; /* to a target */
    int64_t late = o->worry_reply ? o->due + WORRY_LATE_SECONDS : copy ? o->due + TARGET_LATE_SECONDS : INSTANT_NONE;
    if (late == INSTANT_NONE || (o->expires != INSTANT_NONE && o->expires < late))
        late = o->expires;
    const struct value null = {.kind = VALUE_NULL};
    return late == INSTANT_NONE ? null : value_whole(late);
}

static int send_add(struct list *l, const struct outgoing *o)
{
    struct value *values = list_values(l);
    row_bind(outbox_columns, OUTBOX_N, o, values, NULL);
    values[OUTBOX_N] = value_whole(kind_to_staff(o->kind) || o->code[0]);
    values[OUTBOX_N + 1] = check_due(o);
    int error = list_add(l, outgoing_put, OUTBOX_N + 2, true);
    bool copy = o->alert && o->class_ == CLASS_WORRY && !o->worry_reply && kind_to_staff(o->kind);
    const char *const behind[] = {copy_inherits, copy_replaces};
    for (size_t i = 0; copy && i < COUNT(behind) && !error; i++) {
        values = list_values(l);
        values[0] = value_whole(o->alert);
        values[1] = value_text(o->to);
        values[2] = value_whole(o->id);
        error = list_add(l, behind[i], 3, false);
    }
    return error;
}

static int withdraw_add(struct list *l, const struct effect *e)
{
    struct value *values = list_values(l);
    values[0] = value_text(e->withdraw.reason);
    values[1] = value_whole(e->withdraw.person);
    for (int class_ = 0; class_ < CLASS_COUNT; class_++)
        values[2 + class_] = value_whole(e->withdraw.classes & (1u << class_) ? class_ : -1);
    values[2 + CLASS_COUNT] = value_whole(e->withdraw.unprompted_only);
    return list_add(l, texts_withdraw, 3 + CLASS_COUNT, false);
}

static int outcome_add(struct list *l, const struct effect *e)
{
    struct value *values = list_values(l);
    values[0] = value_text(e->outcome.why);
    values[1] = value_ref(e->outcome.person);
    values[2] = value_whole(e->outcome.text);
    return list_add(l, text_outcome, 3, false);
}

static int effect_add(struct list *l, const struct effect *e)
{
    switch (e->kind) {
    case EFFECT_PERSON:
        return list_row(l, person_put, people_columns, PEOPLE_N, &e->person);
    case EFFECT_COURSE:
        return list_row(l, course_put, courses_columns, COURSES_N, &e->course);
    case EFFECT_WEEK:
        return list_row(l, week_put, weeks_columns, WEEKS_N, &e->week);
    case EFFECT_READING:
        return list_row(l, reading_put, readings_columns, READINGS_N, &e->reading);
    case EFFECT_ALERT:
        return list_row(l, alert_put, alerts_columns, ALERTS_N, &e->alert);
    case EFFECT_DESK:
        return list_row(l, desk_put, desk_columns, DESK_N, &e->desk);
    case EFFECT_SEND:
        return send_add(l, e->send);
    case EFFECT_WITHDRAW:
        return withdraw_add(l, e);
    case EFFECT_OUTCOME:
        return outcome_add(l, e);
    case EFFECT_AUDIT:
        return 0; /* after the rest, chained */
    }
    assert(!"an effect that the store does not know");
    return STORE_CONFLICT;
}

static int effects_add(struct db *db, const struct effects *e)
{
    struct list list = {.db = db};
    size_t audits = 0;
    int error = 0;
    for (size_t i = 0; i < e->n && !error; i++) {
        error = effect_add(&list, &e->at[i]);
        audits += e->at[i].kind == EFFECT_AUDIT;
    }
    if (!error)
        error = list_flush(&list);
    for (size_t i = 0; i < e->n && !error; i++)
        if (e->at[i].kind == EFFECT_PERSON)
            error = search_put(db, &e->at[i].person);
    return error || audits == 0 ? error : audit_add(db, e);
}

int effects_write(struct db *db, const struct effects *e)
{
    assert(!e->failed);
    if (db->in_transaction)
        return effects_add(db, e);
    int error = db_begin(db);
    if (error)
        return error;
    error = effects_add(db, e);
    if (!error)
        return db_commit(db);
    db_rollback(db);
    return error;
}
