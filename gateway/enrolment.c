/* Adding patients: one transaction for all of them, decided by care, said by flow, written by the store.
 *
 * A number that had texted before keeps its record: the stranger becomes the patient. Two patients on one number need tags
 * that differ, so that nobody's reading is taken for another's. Either all of a list are added, or none.
 */
#include "gateway/enrolment.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "gateway/care/care.h"
#include "gateway/flow/flow.h"

enum {
    LINE_PEOPLE = 16,
    COMMAND_SALT = 2048, /* a running daemon begins each millisecond at 0 */
    COMMAND_SPREAD = 1023
};

void enrolment_place_day(struct enrolment_place *p, int64_t now)
{
    struct offsets zone = {.n = 1}; /* UTC, should the zone files be gone since the configuration was read */
    zone_offsets(p->clinic->zone, now, &zone);
    p->today = civil_at(&zone, now).day;
}

void enrolment_blank(struct enrolment *e, const struct clinic *clinic)
{
    *e = (struct enrolment){0};
    person_blank(&e->person, clinic);
}

static struct span span_or(int16_t from, int16_t to, const struct span *otherwise)
{
    return from < 0 ? *otherwise : (struct span){from, to};
}

bool enrolment_check(const struct enrolment_place *p, const struct enrolment *e, char why[ENROLMENT_WHY])
{
    const struct person *q = &e->person;
    struct span morning = span_or(q->morning_from, q->morning_to, &p->clinic->morning);
    struct span evening = span_or(q->evening_from, q->evening_to, &p->clinic->evening);
    const char *fault = NULL;
    if (spans_meet(&morning, &evening))
        fault = "morning and evening overlap; move one, so that a reading belongs to one of them";
    else if (q->pregnant && q->birth != DAY_NONE)
        fault = "pregnant and birth are both given; keep the one that holds now";
    if (fault)
        snprintf(why, ENROLMENT_WHY, "%s", fault);
    return !fault;
}

/* -- may they be added? ---------------------------------------------------------------------------------------------------------------- */

/* One transaction under way. */
struct enrolling {
    struct db *db;
    const struct config *config;
    const struct texts *texts;
    const struct enrolment_watch *watch;
    int64_t now, next_id;
    int refused;
};

static void refuse(struct enrolling *t, const struct enrolment *e, const char *column, const char *why)
{
    char what[ENROLMENT_WHY];
    snprintf(what, sizeof what, "%.48s: %s", strcmp(column, "ref") == 0 ? e->person.ref : e->person.phone,
             why);
    t->refused++;
    t->watch->refused(t->watch->context, e, column, what);
}

/* Whether this one may stand on its number beside `other`; a stranger's record becomes the patient's. */
static bool may_share(struct person *p, const struct person *other)
{
    if (other->state == PERSON_STRANGER)
        p->id = other->id;
    else if (!p->tag[0] || !other->tag[0] || strcasecmp(p->tag, other->tag) == 0)
        return false;
    return true;
}

static int line_check(struct enrolling *t, const struct enrolment *e, struct person *p)
{
    int64_t ids[LINE_PEOPLE];
    size_t n = 0;
    int error = people_of_number(t->db, p->clinic, p->phone, ids, LINE_PEOPLE, &n);
    for (size_t i = 0; i < n && !error; i++) {
        struct person other;
        bool found = false;
        error = person_get(t->db, ids[i], &other, &found);
        if (!error && found && !may_share(p, &other)) {
            refuse(t, e, "phone",
                   "this number is another patient's; enrol both with tags that differ, or check the number");
            return 0;
        }
    }
    if (!error && n == LINE_PEOPLE) /* texts are heard for no more */
        refuse(t, e, "phone", "this number is shared by 16 patients, the most there may be; use another number");
    return error;
}

/* Who had opted out and was erased is not asked again before they text START. */
static int refusal_check(struct enrolling *t, const struct enrolment *e)
{
    bool refused = false;
    int error = refusal_of(t->db, e->person.clinic, e->person.phone, &refused);
    if (!error && refused)
        refuse(t, e, "phone", "whoever has this number had opted out and was erased; enrol them once they have texted START");
    return error;
}

static int ref_check(struct enrolling *t, const struct enrolment *e)
{
    int64_t id;
    bool taken = false;
    int error = person_by_ref(t->db, e->person.clinic, e->person.ref, &id, &taken);
    if (!error && taken)
        refuse(t, e, "ref", "is enrolled in this clinic already; use another ref, or that patient's page");
    return error;
}

/* -- adding ------------------------------------------------------------------------------------------------------------------------------ */

/* The record to decide on: that of the stranger, or a blank one. */
static int record_begin(struct enrolling *t, const struct person *p, struct record *r)
{
    *r = (struct record){0};
    int64_t held = p->id;
    size_t one = 1;
    int error = p->id ? persons_hold(t->db, &held, &one) : 0;
    if (!error && p->id)
        error = records_load(t->db, t->now, &p->id, 1, r);
    if (error)
        return error;
    int64_t id = p->id ? p->id : t->next_id++;
    if (!p->id) {
        course_blank(&r->course, id);
        week_blank(&r->week, id);
    }
    r->person = *p;
    r->person.id = id;
    return record_complete(t->config, r, t->now) ? 0 : STORE_CONFLICT;
}

static int person_add(struct enrolling *t, const struct person *p, bool joined)
{
    struct record r;
    struct effects effects = {0};
    int error = record_begin(t, p, &r);
    if (!error) {
        struct moment_of_care m = {
            .now = t->now, .random = (uint64_t)clock_wall_ms(), .next_id = &t->next_id};
        care_enrol(&r, &m, joined, &effects);
        effects_say(t->config, t->texts, &effects);
        error = effects.failed ? STORE_MEMORY : effects_write(t->db, &effects);
    }
    effects_clear(&effects);
    record_clear(&r);
    return error;
}

static int enrol_one(struct enrolling *t, const struct enrolment *e)
{
    struct person p = e->person;
    int before = t->refused;
    int error = ref_check(t, e);
    if (!error && t->refused == before)
        error = refusal_check(t, e);
    if (!error && t->refused == before)
        error = line_check(t, e, &p);
    return error || t->refused > before ? error : person_add(t, &p, e->joined);
}

/* In the transaction, so that no id is one that another process has just stored. */
static int ids_begin(struct enrolling *t)
{
    int64_t largest = 0;
    int error = db_largest_id(t->db, &largest);
    ids_start(COMMAND_SALT | ((unsigned)clock_wall_ms() & COMMAND_SPREAD), largest);
    t->next_id = ids_from();
    return error;
}

/* All numbers of the list at once: nobody else can enrol on them, or text from them for the first time, until it is done. */
static int numbers_hold(struct db *db, const struct enrolment *list, size_t n)
{
    char(*names)[HOLD_NAME] = calloc(n + 1, sizeof *names);
    const char **each = calloc(n + 1, sizeof *each);
    int error = names && each ? 0 : STORE_MEMORY;
    for (size_t i = 0; i < n && !error; i++) {
        name_number(names[i], list[i].person.clinic, list[i].person.phone);
        each[i] = names[i];
    }
    if (!error)
        error = names_hold(db, each, n);
    free(names);
    free(each);
    return error;
}

int enrolment_write(struct db *db, const struct config *config, const struct texts *texts, int64_t now,
                    const struct enrolment *list, size_t n, const struct enrolment_watch *watch)
{
    struct enrolling t = {.db = db, .config = config, .texts = texts, .watch = watch, .now = now};
    int error = db_begin(db);
    if (error)
        return error;
    db_now(db, now);
    error = numbers_hold(db, list, n);
    if (!error)
        error = ids_begin(&t);
    for (size_t i = 0; i < n && !error; i++) { /* after a refusal too: each is to be told */
        error = enrol_one(&t, &list[i]);
        if (watch->progress)
            watch->progress(i + 1, n);
    }
    if (!error && !t.refused)
        error = db_commit(db);
    if (error || t.refused)
        db_rollback(db);
    ids_until(t.next_id);
    return error ? error : t.refused;
}
