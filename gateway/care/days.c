/* Days and sittings of the running week: who has read what so far, where day 1 is, when the week opens.
 *
 * Day 1 is never kept beside the readings: it is worked out anew from them until the week ends, so that a dropped first
 * reading moves it. A week has at most 16 days, a handful of readings each.
 */
#include "gateway/care/inside.h"
#include "gateway/care/equipment.h"
#include "gateway/care/result.h"

#include <stdio.h>
#include <string.h>

int32_t day_of(const struct record *r, int64_t instant)
{
    return civil_at(&r->zone, instant).day;
}

enum slot slot_first(const struct record *r)
{
    return person_window(r, SLOT_MORNING).from <= person_window(r, SLOT_EVENING).from ? SLOT_MORNING : SLOT_EVENING;
}

enum slot slot_last(const struct record *r)
{
    return slot_first(r) == SLOT_MORNING ? SLOT_EVENING : SLOT_MORNING;
}

int64_t remind_at(const struct record *r, int32_t day, enum slot slot)
{
    const struct person *p = &r->person;
    bool evening = slot == SLOT_EVENING;
    int16_t own = evening ? p->remind_evening : p->remind_morning;
    int16_t minute = own >= 0 ? own : evening ? r->clinic->remind_evening : r->clinic->remind_morning;

    if (minute < person_window(r, slot).from) /* a window over midnight: the reminder is on the next civil day */
        day++;
    return civil_instant(&r->zone, (struct civil){.day = day, .minute = minute});
}

bool reading_fit(const struct record *r, const struct reading *x)
{
    return !reading_other_arm(r, x) && x->posture == POSTURE_UNSAID && x->sys > 0 && x->dia > 0;
}

static int sitting_count(const struct record *r, int32_t day, enum slot slot, bool held)
{
    int n = 0;

    for (size_t i = 0; i < r->n_readings; i++) {
        const struct reading *x = &r->readings[i];
        if (x->week != r->week.id || x->day != day || x->slot != slot || !reading_fit(r, x))
            continue;
        n += x->standing == STANDING_ACCEPTED || (held && x->standing == STANDING_HELD);
    }
    return n;
}

int sitting_accepted(const struct record *r, int32_t day, enum slot slot)
{
    return sitting_count(r, day, slot, false);
}

int sitting_any(const struct record *r, int32_t day, enum slot slot)
{
    return sitting_count(r, day, slot, true);
}

bool week_running(const struct record *r)
{
    return r->week.id && (r->week.state == WEEK_WAITING || r->week.state == WEEK_READY ||
                          r->week.state == WEEK_MEASURING);
}

bool week_ended(const struct record *r)
{
    return r->week.id && !week_running(r);
}

struct reading *reading_of(struct record *r, int64_t id)
{
    for (size_t i = 0; i < r->n_readings; i++)
        if (r->readings[i].id == id)
            return &r->readings[i];
    return NULL;
}

void week_settle(struct turn *t)
{
    struct record *r = t->r;
    int32_t first = DAY_NONE;

    if (!week_running(r) || r->week.state == WEEK_READY)
        return;
    for (size_t i = 0; i < r->n_readings; i++) {
        const struct reading *x = &r->readings[i];
        if (x->week == r->week.id && x->standing == STANDING_ACCEPTED && (first == DAY_NONE || x->day < first))
            first = x->day;
    }
    if (first == r->week.first_day)
        return;
    r->week.first_day = first;
    r->week.state = first == DAY_NONE ? WEEK_WAITING : WEEK_MEASURING;
    care_put_week(r, t->out);
}

void week_open(struct turn *t)
{
    struct record *r = t->r;
    int16_t number = r->week.number;

    week_blank(&r->week, r->person.id);
    r->week.id = (*t->m->next_id)++;
    r->week.number = (int16_t)(number + 1);
    r->week.version = 1;
    r->week.state = r->clinic->hold_start && !cuff_settled(r) ? WEEK_READY : WEEK_WAITING;
    r->week.days_wanted = r->protocol.days;
    r->week.opened_at = t->m->now;
    snprintf(r->week.protocol, sizeof r->week.protocol, "%s", r->protocol.name);
    week_equip(&r->week, &r->person);
    r->course.ready_since = r->week.state == WEEK_READY ? t->m->now : INSTANT_NONE;
    r->course.settled_severe = 0;
    r->course.dia_confirmed = 0;
    care_put_week(r, t->out);
}
