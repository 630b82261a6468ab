/* Adding patients: one transaction for all of them, decided by care, said by flow, written by the store.
 *
 * A number that had texted before keeps its record: the stranger becomes the patient. Two patients on one number need tags
 * that differ, so that nobody's reading is taken for another's. Either all of a list are added, or none.
 */
#include "gateway/enrolment.h"

#include <stdio.h>
#include <string.h>
#include <strings.h>

#include "gateway/care/care.h"
#include "gateway/flow/flow.h"

enum {
    LINE_PEOPLE = 16,
    COMMAND_SALT = 2048,  /* a running daemon begins each millisecond at 0 */
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

static int refuse(struct enrolment_refusal *out, const struct enrolment *e, const char *column, const char *why)
{
    out->which = e;
    out->column = column;
    out->error = 0;
    snprintf(out->why, sizeof out->why, "%.48s: %s", strcmp(column, "ref") == 0 ? e->person.ref : e->person.phone, why);
    return -1;
}

static int store_failed(struct enrolment_refusal *out, int error)
{
    *out = (struct enrolment_refusal){.error = error};
    return -1;
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

static int line_check(struct db *db, const struct enrolment *e, struct person *p, struct enrolment_refusal *out)
{
    int64_t ids[LINE_PEOPLE];
    size_t n = 0;
    int error = people_of_number(db, p->clinic, p->phone, ids, LINE_PEOPLE, &n);
    for (size_t i = 0; i < n && !error; i++) {
        struct person other;
        bool found = false;
        error = person_get(db, ids[i], &other, &found);
        if (!error && found && !may_share(p, &other))
            return refuse(out, e, "phone", "this number is another patient's; enrol both with tags that differ, or check the number");
    }
    return error ? store_failed(out, error) : 0;
}

static int ref_check(struct db *db, const struct enrolment *e, struct enrolment_refusal *out)
{
    int64_t id;
    bool taken = false;
    int error = person_by_ref(db, e->person.clinic, e->person.ref, &id, &taken);
    if (error)
        return store_failed(out, error);
    return taken ? refuse(out, e, "ref", "is enrolled in this clinic already; use another ref, or that patient's page") : 0;
}

/* -- adding ------------------------------------------------------------------------------------------------------------------------------ */

/* The record to decide on: that of the stranger, or a blank one. */
static int record_begin(struct db *db, int64_t now, const struct person *p, int64_t *next_id, struct record *r)
{
    *r = (struct record){0};
    if (p->id) {
        int error = records_load(db, now, &p->id, 1, r);
        if (error)
            return error;
    }
    int64_t id = p->id ? p->id : (*next_id)++;
    if (!p->id)
        course_blank(&r->course, id);
    r->person = *p;
    r->person.id = id;
    return 0;
}

static int enrol_one(struct db *db, const struct config *config, const struct texts *texts, int64_t now, int64_t *next_id,
                     const struct enrolment *e, struct enrolment_refusal *out)
{
    struct person p = e->person;
    struct record r;
    struct effects effects = {0};
    if (ref_check(db, e, out) < 0 || line_check(db, e, &p, out) < 0)
        return -1;
    int error = record_begin(db, now, &p, next_id, &r);
    if (!error) {
        struct moment_of_care m = {.now = now, .random = (uint64_t)clock_wall_ms(), .next_id = next_id};
        record_complete(config, &r, now);
        care_enrol(&r, &m, e->joined, &effects);
        effects_say(config, texts, &effects);
        error = effects.failed ? STORE_MEMORY : effects_write(db, &effects);
    }
    effects_clear(&effects);
    record_clear(&r);
    return error ? store_failed(out, error) : 0;
}

int enrolment_write(struct db *db, const struct config *config, const struct texts *texts, int64_t now,
                    const struct enrolment *list, size_t n, void (*progress)(size_t done, size_t of),
                    struct enrolment_refusal *out)
{
    int64_t largest = 0, next_id;
    int error = db_begin(db);
    if (error)
        return store_failed(out, error);
    error = db_largest_id(db, &largest);
    if (error) {
        store_failed(out, error);
        goto failed;
    }
    db_now(db, now);
    ids_start(COMMAND_SALT | ((unsigned)clock_wall_ms() & COMMAND_SPREAD), largest);
    next_id = ids_from();
    for (size_t i = 0; i < n; i++) {
        if (enrol_one(db, config, texts, now, &next_id, &list[i], out) < 0)
            goto failed;
        if (progress)
            progress(i + 1, n);
    }
    ids_until(next_id);
    error = db_commit(db);
    if (!error)
        return 0;
    store_failed(out, error);
failed:
    db_rollback(db);
    return -1;
}
