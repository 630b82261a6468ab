/* From what a text said to rows: when it was measured, to which sitting it belongs, how it stands.
 *
 * Nothing that was sent is dropped, and no number is changed. A reading's window is the stated slot's, or else that
 * of its time: stated, or sent, or received. A stated time decides over the slot. One text holds one to four readings.
 */
#include "gateway/care/inside.h"

#include <stdio.h>
#include <stdlib.h>

enum {
    UNDATED_MOST = 3,          /* more pairs than this in one text without day, slot or time: which days? */
    CLOCK_SLACK = 15 * MINUTES,
    THIRD_WITHIN = 30 * MINUTES, /* a third reading sent later than this was not the one asked for; ours */
    YESTERDAY_WITHIN = 12 * HOURS
};

static bool time_said(const struct said *s)
{
    return s->minute != MINUTE_UNSAID;
}

/* The instant that a clock time names. Without a day it is today's, or yesterday's when today's is still to come. */
static int64_t stated_instant(const struct turn *t, const struct said *s)
{
    struct civil c = {.day = day_of(t->r, t->in->received), .minute = s->minute};

    if (s->day != DAY_UNSAID)
        c.day += s->day;
    int64_t at = civil_instant(&t->r->zone, c);
    if (s->day == DAY_UNSAID && at > t->in->received + CLOCK_SLACK) {
        c.day--;
        int64_t yesterday = civil_instant(&t->r->zone, c);
        if (t->in->received - yesterday <= YESTERDAY_WITHIN)
            at = yesterday;
    }
    return at;
}

/* Day and slot of a reading whose time was not said. Of a stated day, nobody knows when: the reminder's time stands
 * for it; else what is known is moved into the sitting's window. */
static void place_untimed(const struct turn *t, struct reading *x, const struct said *s)
{
    const struct record *r = t->r;
    struct civil local = civil_at(&r->zone, x->at);
    enum slot slot = s->slot;

    if (s->day != DAY_UNSAID)
        local.day = day_of(r, t->in->received) + s->day;
    if (s->day != DAY_UNSAID && slot != SLOT_NONE)
        x->day = local.day;
    else
        sitting_of(r, slot, local, &x->day, &slot, &x->off_time);
    x->slot = (uint8_t)slot;
    if (slot == (enum slot)s->slot || s->day != DAY_UNSAID) {
        if (x->day < day_of(r, t->in->received))
            x->at = remind_at(r, x->day, slot);
        int64_t from = sitting_start(r, x->day, slot), to = sitting_end(r, x->day, slot);
        x->at = x->at < from ? from : x->at >= to ? to - MINUTES : x->at;
        x->off_time = false;
    }
}

static void place(const struct turn *t, struct reading *x, const struct said *s)
{
    const struct record *r = t->r;
    bool sent = t->in->sent != INSTANT_NONE && t->in->sent <= t->in->received;
    int32_t today;

    x->at = time_said(s) ? stated_instant(t, s) : sent ? t->in->sent : t->in->received;
    if (time_said(s)) {
        enum slot slot;
        sitting_of(r, SLOT_NONE, civil_at(&r->zone, x->at), &x->day, &slot, &x->off_time);
        x->slot = (uint8_t)slot;
    } else {
        place_untimed(t, x, s);
    }
    x->minute = civil_at(&r->zone, x->at).minute;
    sitting_of(r, SLOT_NONE, civil_at(&r->zone, t->in->received), &today, NULL, NULL);
    x->sent_late = s->day != DAY_UNSAID && x->day < today;
}

void reading_fill(struct turn *t, struct reading *x, const struct said *said)
{
    reading_blank(x, t->r->person.id);
    x->id = (*t->m->next_id)++;
    x->week = t->r->week.id;
    x->text = t->in->text;
    x->received = t->in->received;
    x->sys = said->sys;
    x->dia = said->dia;
    x->pulse = said->pulse;
    x->arm = said->arm;
    x->posture = said->posture;
    x->doubt = said->doubt;
    x->technique = t->said.technique;
    x->temp_c = t->said.temp_c;
    place(t, x, said);
    if (week_ended(t->r) && (x->day > t->r->week.last_day || x->at >= t->r->week.ended_at))
        x->week = 0; /* kept and shown, in no week */
}

/* The first two of the sitting differed so much that a third was asked for, and this is it. */
static bool is_third(const struct turn *t, const struct reading *x)
{
    const struct reading *pair[2] = {0};
    size_t n = 0;

    if (per_sitting(t->r) != 2 || sitting_accepted(t->r, x->day, x->slot) != 2)
        return false;
    for (size_t i = 0; i < t->r->n_readings && n < 2; i++) {
        const struct reading *y = &t->r->readings[i];
        if (y->week == x->week && y->day == x->day && y->slot == x->slot && y->standing == STANDING_ACCEPTED &&
            reading_fit(t->r, y))
            pair[n++] = y;
    }
    return n == 2 && abs(pair[0]->sys - pair[1]->sys) > t->r->protocol.third_reading_over &&
           x->received - pair[1]->received < THIRD_WITHIN;
}

static bool repeat_wanted(const struct turn *t, const struct reading *x)
{
    return follow_waits(t->r) && x->at >= t->r->course.follow.since - MINUTES;
}

void reading_keep(struct turn *t, struct reading *x)
{
    if (t->r->person.state == PERSON_INVITED || !t->r->week.id) {
        x->week = 0;
        x->held |= HELD_CONSENT;
        x->standing = STANDING_ASIDE;
    }
    if (!care_put_reading(t->r, x, t->out)) /* out of memory: nothing of this event will be applied */
        return;
    if (x->doubt && t->n_doubted < TAKEN_MAX)
        t->doubted[t->n_doubted++] = x->id;
    else if (t->n_taken < TAKEN_MAX)
        t->taken[t->n_taken++] = x->id;
    t->r->course.last_reading = t->in->received;
}

static void take_certain(struct turn *t, const struct said *said, bool which_days)
{
    struct reading x;

    reading_fill(t, &x, said);
    x.doubt = 0;
    x.held = t->r->person.state == PERSON_INVITED ? 0 : reading_doubts(t, &x, said);
    if (which_days && said->day == DAY_UNSAID && said->slot == SLOT_NONE && !time_said(said))
        x.held |= HELD_DAYS;
    x.asked_for = t->asked_for || repeat_wanted(t, &x) || is_third(t, &x);
    x.standing = x.held ? STANDING_HELD : STANDING_ACCEPTED;
    reading_keep(t, &x);
}

static void take_doubtful(struct turn *t, const struct said *said)
{
    struct reading x;

    if (said->sys == SAID_NONE && said->dia == SAID_NONE) /* a doubt about a pulse alone asks nothing */
        return;
    reading_fill(t, &x, said);
    if (!x.doubt)
        x.doubt = t->said.doubt ? (uint8_t)t->said.doubt : DOUBT_UNCERTAIN;
    x.held = HELD_DOUBT;
    x.standing = STANDING_HELD;
    reading_keep(t, &x);
}

void readings_take(struct turn *t)
{
    unsigned undated = 0;

    for (unsigned i = 0; i < t->said.readings.n; i++) {
        const struct said *s = &t->said.readings.at[i];
        undated += s->day == DAY_UNSAID && s->slot == SLOT_NONE && !time_said(s);
    }
    when_answer(t);
    pulse_heard(t);
    if (!amend_act(t)) {
        question_new_numbers(t);
        for (unsigned i = 0; i < t->said.readings.n; i++)
            take_certain(t, &t->said.readings.at[i], undated > UNDATED_MOST);
    }
    for (unsigned i = 0; i < t->said.doubtful.n; i++)
        take_doubtful(t, &t->said.doubtful.at[i]);
    if (t->answered)
        question_replaced(t);
    week_settle(t);
}

void reading_stand(struct turn *t, int64_t id, enum standing s, const char *reason)
{
    struct reading *x = reading_of(t->r, id);

    if (!x)
        return;
    struct reading row = *x;
    row.standing = s;
    if (reason)
        snprintf(row.reason, sizeof row.reason, "%s", reason);
    care_put_reading(t->r, &row, t->out);
    if (s != STANDING_HELD)
        desk_close_reading(t, id);
}

void readings_take_up(struct turn *t)
{
    for (size_t i = 0; i < t->r->n_readings; i++) {
        struct reading x = t->r->readings[i];
        if (x.standing != STANDING_ASIDE)
            continue;
        x.week = t->r->week.id;
        x.held |= x.doubt ? HELD_DOUBT : reading_doubts(t, &x, NULL);
        if (t->r->week.state == WEEK_READY)
            x.held |= HELD_PRACTICE;
        x.standing = x.held & ~HELD_CONSENT ? STANDING_HELD : STANDING_ACCEPTED;
        care_put_reading(t->r, &x, t->out);
        if (x.standing == STANDING_HELD && !(x.held & HELD_PRACTICE))
            desk_open_reading(t, DESK_HELD, 4, x.id, "Sent before joining, and not clear: accept it or void it.");
    }
    week_settle(t);
}
