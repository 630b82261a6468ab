/* The week's end, its summary, and what is noted while it runs.
 *
 * It ends 30 minutes after the last wanted sitting is full and no question is open, else when the next first window
 * ends. Not enough: it goes on day by day to most_days, telling what is still needed; then it is short. A pause ends
 * nothing. Whatever leaves for the clinic goes by (week, version): a late correction makes a new version, never a
 * silent change.
 */
#include "gateway/care/inside.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

enum {
    FULL_THEN = 30 * MINUTES,
    HIGH_SYS = 160, HIGH_DIA = 100, HIGH_AFTER = 8, /* running mean, counted readings */
    REVIEW_WITHIN = 5 * DAYS, REVIEW_HIGH_WITHIN = 1 * DAYS
};

/* When the last wanted sitting was full, INSTANT_NONE while it is not. */
static int64_t last_full_at(const struct record *r, int32_t day)
{
    int64_t at = INSTANT_NONE;

    if (sitting_accepted(r, day, slot_last(r)) < per_sitting(r))
        return INSTANT_NONE;
    for (size_t i = 0; i < r->n_readings; i++) {
        const struct reading *x = &r->readings[i];
        if (x->week == r->week.id && x->day == day && x->slot == slot_last(r) && x->received > at)
            at = x->received;
    }
    return at;
}

static int64_t week_end_at(const struct turn *t)
{
    const struct record *r = t->r;

    if (r->week.state != WEEK_MEASURING || r->week.first_day == DAY_NONE || r->person.state == PERSON_PAUSED ||
        !r->week.id)
        return INSTANT_NONE;
    int32_t last = r->week.first_day + r->week.days_wanted - 1;
    int64_t over = sitting_end(r, last + 1, slot_first(r)), full = last_full_at(r, last);
    if (full == INSTANT_NONE || r->course.question.kind != QUESTION_NONE || follow_waits(r))
        return over;
    return full + FULL_THEN < over ? full + FULL_THEN : over;
}

/* -- the summary --------------------------------------------------------------------------------------------------- */

static bool may_leave(const struct record *r)
{
    return r->person.state != PERSON_WITHDRAWN;
}

void week_send(struct turn *t)
{
    const struct clinic *c = t->r->clinic;

    if (!may_leave(t->r))
        return;
    for (int i = 0; i < TARGETS_MAX && c->summary_to[i][0]; i++) {
        struct outgoing *o = send_target(t, c->summary_to[i], CLASS_SUMMARY);
        if (!o)
            return;
        o->week = t->r->week.id;
        o->version = t->r->week.version;
        snprintf(o->key, sizeof o->key, "w%" PRId64 ".%d.%d", t->r->week.id, t->r->week.version, i);
    }
    t->r->week.sent_at = t->m->now;
}

/* The last wanted day, or that of a reading which came while the week still ran. */
static int32_t last_day_of(const struct record *r)
{
    int32_t last = r->week.first_day == DAY_NONE ? DAY_NONE : r->week.first_day + r->week.days_wanted - 1;

    for (size_t i = 0; i < r->n_readings; i++)
        if (r->readings[i].week == r->week.id && r->readings[i].standing == STANDING_ACCEPTED &&
            r->readings[i].day > last)
            last = r->readings[i].day;
    return last;
}

void week_amended(struct turn *t)
{
    struct week *w = &t->r->week;

    if (!week_ended(t->r))
        return;
    w->last_day = last_day_of(t->r);
    if (w->state == WEEK_CLOSED) { /* it has no summary */
        care_put_week(t->r, t->out);
        return;
    }
    w->version++;
    w->reviewed_at = INSTANT_NONE;
    w->noted &= ~(uint32_t)NOTED_UNREVIEWED;
    week_send(t);
    care_put_week(t->r, t->out);
    desk_open(t, DESK_WEEK_DONE, 2, "The week was changed after its end: a new version of the summary. Look at it again.");
}

/* -- the end ------------------------------------------------------------------------------------------------------- */

void week_end(struct turn *t, enum week_state s)
{
    struct week *w = &t->r->week;

    w->state = s;
    w->ended_at = t->m->now;
    w->last_day = last_day_of(t->r);
    if (question_open(t->r, t->m->now))
        question_close(t);
    week_send(t);
    care_put_week(t->r, t->out);
    care_put_withdraw(t->r, 1u << CLASS_REMINDER, true, "the week is over", t->out);
    desk_close(t, DESK_ENDING, "the week is over");
    if (s == WEEK_SHORT)
        desk_open(t, DESK_SHORT_WEEK, 3, "The week is over with too few readings for a mean: a clinician decides.");
    else
        desk_open(t, DESK_WEEK_DONE, 4, "The week is over: a clinician looks at the summary.");
    if (state_permits(t->r->person.state, PERMIT_REMINDER))
        send_one(t, s == WEEK_SHORT ? TEXT_WEEK_SHORT : TEXT_WEEK_DONE, CLASS_REPLY, true);
}

/* Given up unfinished: the person left for good, or the clinic closed it. No summary. */
void week_close(struct turn *t)
{
    struct week *w = &t->r->week;

    if (!week_running(t->r))
        return;
    w->state = WEEK_CLOSED;
    w->ended_at = t->m->now;
    if (w->first_day != DAY_NONE) {
        int32_t today = day_of(t->r, t->m->now) - w->first_day + 1;
        w->days_wanted = (int16_t)(today < w->days_wanted ? today > 0 ? today : 1 : w->days_wanted);
        w->last_day = last_day_of(t->r);
    }
    care_put_week(t->r, t->out);
    desk_close(t, DESK_ENDING, "the week is closed");
}

/* Readings still wanted: the least that would be enough. */
static int16_t still_needed(const struct record *r, const struct week_result *w)
{
    int readings = r->protocol.fewest_readings - w->all.n, days = r->protocol.fewest_days - w->days_accepted;
    int by_days = days > 0 ? days * per_sitting(r) : 0;

    readings = readings > by_days ? readings : by_days;
    return (int16_t)(readings > 1 ? readings : 1);
}

/* People can still do something about it. */
static void ending_tell(struct turn *t, int needed)
{
    const struct record *r = t->r;
    int left = r->protocol.most_days + r->week.paused_days - r->week.days_wanted + 1;
    char note[NOTE_MAX];

    snprintf(note, sizeof note, "Past its last day with too few readings: %d more needed, %d day%s left.", needed, left,
             left == 1 ? "" : "s");
    desk_open(t, DESK_ENDING, 4, note);
}

static void week_goes_on(struct turn *t, const struct week_result *w)
{
    struct saying s = {.number = still_needed(t->r, w)};

    t->r->week.days_wanted++;
    care_put_week(t->r, t->out);
    ending_tell(t, s.number);
    bool over = week_end_at(t) <= t->m->now; /* after an outage: that day has passed too */
    bool told = sent_within(t->r, TEXT_DAY_ADDED, t->m->now, 12 * HOURS);
    if (over || told || t->r->course.silent_told || alert_open(t->r) ||
        !state_permits(t->r->person.state, PERMIT_REMINDER))
        return;
    say_part(&s, TEXT_DAY_ADDED);
    send_patient(t, &s, CLASS_REPLY, true);
}

static bool may_go_on(const struct record *r)
{
    int most = r->protocol.most_days + r->week.paused_days;

    return r->week.days_wanted < most && r->week.days_wanted < WEEK_DAYS_MAX &&
           (r->person.state == PERSON_JOINED || r->person.state == PERSON_PAUSED);
}

static void end_look(struct turn *t)
{
    struct week_result w;

    for (int i = 0; i < WEEK_DAYS_MAX; i++) {
        int64_t at = week_end_at(t);
        if (at == INSTANT_NONE || at > t->m->now)
            return;
        week_result(t->r, t->m->now, &w);
        if (w.enough)
            week_end(t, WEEK_COMPLETE);
        else if (may_go_on(t->r))
            week_goes_on(t, &w);
        else
            week_end(t, WEEK_SHORT);
    }
}

/* -- unreviewed ---------------------------------------------------------------------------------------------------- */

static bool is_high(const struct mean *m)
{
    return m->n > 0 && (floor(m->sys + 0.5) >= HIGH_SYS || floor(m->dia + 0.5) >= HIGH_DIA);
}

static int64_t review_due(const struct record *r)
{
    const struct week *w = &r->week;
    struct week_result res;

    if ((w->state != WEEK_COMPLETE && w->state != WEEK_SHORT) || w->reviewed_at != INSTANT_NONE ||
        w->sent_at == INSTANT_NONE || w->noted & NOTED_UNREVIEWED)
        return INSTANT_NONE;
    week_result(r, w->sent_at, &res);
    return w->sent_at + (is_high(&res.all) || w->noted & NOTED_SEVERE ? REVIEW_HIGH_WITHIN : REVIEW_WITHIN);
}

static void review_look(struct turn *t)
{
    int64_t due = review_due(t->r);

    if (due == INSTANT_NONE || due > t->m->now)
        return;
    t->r->week.noted |= NOTED_UNREVIEWED;
    care_put_week(t->r, t->out);
    desk_open(t, DESK_UNREVIEWED, 0, "The summary has waited too long for a clinician's review.");
}

/* -- while it runs ------------------------------------------------------------------------------------------------- */

void week_check(struct turn *t)
{
    struct week_result w;

    if (!week_running(t->r) || !t->n_taken || t->r->week.noted & NOTED_HIGH_MEAN)
        return;
    week_result(t->r, t->m->now, &w);
    if (w.all.n < HIGH_AFTER || !is_high(&w.all))
        return;
    t->r->week.noted |= NOTED_HIGH_MEAN;
    care_put_week(t->r, t->out);
    desk_open(t, DESK_HIGH_MEAN, 1, "The running mean is at or above 160/100.");
}

void week_look(struct turn *t)
{
    end_look(t);
    review_look(t);
}

int64_t week_next(const struct turn *t)
{
    int64_t end = week_end_at(t);
    return end != INSTANT_NONE ? end : review_due(t->r);
}
