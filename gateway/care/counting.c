/* Which readings count in the mean, and in plain words why the others do not.
 *
 * Of a sitting's readings in time order the first `per_sitting` count, and each that was asked for. What is left out
 * is always said: nothing is dropped silently. Each question is answered from the record alone, by a walk over its
 * readings (some thirty a week).
 */
#include "gateway/care/equipment.h"
#include "gateway/care/result.h"

#include <stdio.h>

#include "gateway/care/sitting.h"

int32_t week_last_day(const struct record *r)
{
    int32_t last = r->week.last_day;

    for (size_t i = 0; i < r->n_readings; i++) {
        const struct reading *x = &r->readings[i];
        if (x->week == r->week.id && x->standing == STANDING_ACCEPTED && x->day > last)
            last = x->day;
    }
    return last;
}

bool reading_other_arm(const struct record *r, const struct reading *x)
{
    uint8_t arm = equipment_of(r).on_arm;

    return arm != ARM_UNSAID && x->arm != ARM_UNSAID ? x->arm != arm : x->technique & TECHNIQUE_OTHER_ARM;
}

/* What about the reading itself keeps an accepted one from the mean; NULL: nothing. */
static const char *unusable(const struct record *r, const struct reading *x)
{
    if (x->sys <= 0 || x->dia <= 0)
        return "one number";
    if (reading_other_arm(r, x))
        return "other arm";
    if (x->posture == POSTURE_STANDING)
        return "standing";
    return x->posture == POSTURE_LYING ? "lying" : NULL;
}

bool reading_usable(const struct record *r, const struct reading *x)
{
    return x->week == r->week.id && x->standing == STANDING_ACCEPTED && !unusable(r, x);
}

static bool asked_about(const struct question *q, int64_t reading)
{
    for (int i = 0; q->kind != QUESTION_NONE && i < q->n_readings; i++)
        if (q->readings[i] == reading)
            return true;
    return false;
}

static const char *why_held(const struct record *r, const struct reading *x)
{
    if (x->held & HELD_CONSENT || x->standing == STANDING_ASIDE)
        return "held: sent before joining";
    if (x->held & HELD_PRACTICE)
        return "practice";
    return asked_about(&r->course.question, x->id) ? "held: waiting for an answer" : "held: not answered";
}

/* Whether as many usable readings of the same sitting came before it as a sitting wants. */
static bool extra(const struct record *r, const struct reading *x)
{
    int before = 0;

    for (size_t i = 0; i < r->n_readings && before < per_sitting(r); i++) {
        const struct reading *y = &r->readings[i];
        bool earlier = y->at < x->at || (y->at == x->at && y->id < x->id);
        if (earlier && y->day == x->day && y->slot == x->slot && reading_usable(r, y))
            before++;
    }
    return before >= per_sitting(r);
}

bool reading_before_change(const struct record *r, const struct reading *x)
{
    int32_t change = r->person.medicine_changed;

    return change != DAY_NONE && x->day < change && change <= week_last_day(r);
}

static const char *why_not_counted(const struct record *r, const struct reading *x)
{
    int32_t first = r->week.first_day;
    const char *why = unusable(r, x);

    if (why)
        return why;
    if (x->week != r->week.id || (first != DAY_NONE && (x->day < first || x->day >= first + WEEK_DAYS_MAX)))
        return "outside the week";
    if (reading_before_change(r, x))
        return "before a change of medicine";
    if (x->day == first && !r->protocol.first_day_counted)
        return "first day";
    return !x->asked_for && extra(r, x) ? "extra" : NULL;
}

const char *reading_why(const struct record *r, const struct reading *x, char *buf, size_t size)
{
    switch (x->standing) {
    case STANDING_ACCEPTED:
        return why_not_counted(r, x);
    case STANDING_REPLACED:
        return "replaced by a correction";
    case STANDING_VOID:
        if (!x->reason[0])
            return "void";
        snprintf(buf, size, "void: %s", x->reason);
        return buf;
    default:
        return why_held(r, x);
    }
}

bool reading_counted(const struct record *r, const struct reading *x)
{
    return x->standing == STANDING_ACCEPTED && !why_not_counted(r, x);
}
