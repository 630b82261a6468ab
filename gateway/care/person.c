/* A person's state, and what goes with each change: joining, pausing, coming back, leaving.
 *
 *   stranger ──enrol──▶ invited ──YES──▶ joined ◀──START── left ◀──STOP── (any)
 *                          │               │  ▲
 *                          NO              │  └── paused (the day said, 7 days, or until a reading comes)
 *                          ▼               ▼
 *                       declined         closed · died · wrong number · withdrawn
 *
 * person_state_set is the one setter. Leaving withdraws every unsent text of the patient in the same list of effects.
 */
#include "gateway/care/inside.h"

#include <stdio.h>

enum { SAME_WEEK = 48 * HOURS, PAUSE = 7 * DAYS };

static const char *const state_names[PERSON_STATE_COUNT] = {
#define NAME(N, text) [PERSON_##N] = text,
    PERSON_STATES(NAME)
#undef NAME
};

void person_state_set(struct turn *t, enum person_state s, const char *who)
{
    char detail[96];

    if (t->r->person.state == s)
        return;
    snprintf(detail, sizeof detail, "%s to %s", state_names[t->r->person.state], state_names[s]);
    t->r->person.state = s;
    t->r->person.state_since = t->m->now;
    care_put_person(t->r, t->out);
    care_put_audit(t->r, who, "state", detail, t->out);
}

void person_join(struct turn *t, const char *who)
{
    t->r->person.consent_at = t->m->now;
    person_state_set(t, PERSON_JOINED, who);
    t->r->course.silent_told = false;
    t->r->course.silent = 0;
    if (!week_running(t->r))
        week_open(t);
    readings_take_up(t);
    desk_close(t, DESK_NOT_JOINED, "joined");
    desk_close(t, DESK_DECLINED, "joined");
    t->joined = t->r->course.arm_asked == 0;
}

/* What came before a pause longer than a week can hold is no one week with what comes after it. Enough for a mean: it
 * ends by its last day, as always. Not enough: it is given up, and another begins. */
static void week_anew(struct turn *t)
{
    struct week_result w;

    week_result(t->r, t->m->now, &w);
    if (w.enough)
        return;
    week_close(t);
    week_open(t);
    desk_open(t, DESK_NEWS, 4, "The pause was longer than a week can wait: its readings are kept, and a new week begins.");
}

/* Missed days of a pause do not end the week, nor use up its longest length. */
static void week_stretch(struct turn *t)
{
    struct week *w = &t->r->week;
    int32_t from = day_of(t->r, t->r->person.state_since), days = day_of(t->r, t->m->now) - from;

    if (w->state != WEEK_MEASURING || days <= 0)
        return;
    if (days > WEEK_DAYS_MAX - w->days_wanted) {
        week_anew(t);
        return;
    }
    w->days_wanted = (int16_t)(w->days_wanted + days);
    w->paused_days = (int16_t)(w->paused_days + days);
    care_put_week(t->r, t->out);
}

void person_pause(struct turn *t, int64_t until, const char *who)
{
    t->r->course.paused_until = until > t->m->now ? until : t->m->now + PAUSE;
    t->r->course.pause_from = INSTANT_NONE;
    person_state_set(t, PERSON_PAUSED, who);
    care_put_withdraw(t->r, 1u << CLASS_REMINDER, true, "paused", t->out);
}

void person_pause_later(struct turn *t, int64_t from, int64_t until)
{
    t->r->course.pause_from = from;
    t->r->course.paused_until = until;
}

void person_resume(struct turn *t, const char *who)
{
    if (t->r->person.state != PERSON_PAUSED)
        return;
    week_stretch(t);
    t->r->course.paused_until = INSTANT_NONE;
    person_state_set(t, PERSON_JOINED, who);
}

void person_leave(struct turn *t, enum person_state s, const char *reason, const char *who)
{
    care_put_withdraw(t->r, 1u << CLASS_WORRY | 1u << CLASS_REPLY | 1u << CLASS_REMINDER, false, reason, t->out);
    person_state_set(t, s, who);
    question_close(t);
    t->r->course.paused_until = t->r->course.pause_from = INSTANT_NONE;
}

/* START after STOP: the same week within 48 hours, else a new one. */
void person_return(struct turn *t, const char *who)
{
    bool same = t->m->now - t->r->person.state_since <= SAME_WEEK && week_running(t->r);

    if (!same)
        week_close(t);
    desk_close(t, DESK_LEFT, "came back");
    person_join(t, who);
}
