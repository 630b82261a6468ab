/* The look: one due time a patient. When it comes, everything that could be due is derived from the record.
 *
 * There are no timers to cancel: what no longer makes sense is found out here, skipped and recorded. After a look
 * the next one is in the future, or none. An outage, a restart and a changed configuration take this same path.
 */
#include "gateway/care/inside.h"

enum {
    INVITE_AGAIN_AFTER = 2 * DAYS, INVITE_GIVEN_UP = 4 * DAYS, READY_MOST = 48 * HOURS,
    ARM_AGAIN_AFTER = 30 * MINUTES, /* after the first reading of day 1 */
    LOOK_LEAST = 60                 /* a look never comes back at once */
};

/* -- invited ------------------------------------------------------------------------------------------------------- */

static int64_t invite_next(const struct record *r)
{
    if (r->person.state != PERSON_INVITED || r->course.silent_told)
        return INSTANT_NONE;
    return r->person.enrolled_at + (r->course.second_invitation ? INVITE_GIVEN_UP : INVITE_AGAIN_AFTER);
}

static void invite_look(struct turn *t)
{
    int64_t due = invite_next(t->r);

    if (due == INSTANT_NONE || due > t->m->now)
        return;
    if (!t->r->course.second_invitation) {
        struct saying s = {.both_languages = t->r->clinic->bilingual};
        t->r->course.second_invitation = true;
        say_part(&s, TEXT_INVITE_AGAIN);
        send_patient(t, &s, CLASS_REPLY, true);
        return;
    }
    t->r->course.silent_told = true;
    desk_open(t, DESK_NOT_JOINED, 4, "Invited twice, no answer.");
}

/* -- paused, ready, question --------------------------------------------------------------------------------------- */

static void pause_look(struct turn *t)
{
    if (t->r->person.state == PERSON_JOINED && t->r->course.pause_from != INSTANT_NONE &&
        t->r->course.pause_from <= t->m->now)
        person_pause(t, t->r->course.paused_until, "patient");
    if (t->r->person.state == PERSON_PAUSED && t->r->course.paused_until != INSTANT_NONE &&
        t->r->course.paused_until <= t->m->now)
        person_resume(t, "care");
}

static int64_t ready_next(const struct record *r)
{
    if (r->week.state != WEEK_READY || r->course.ready_since == INSTANT_NONE)
        return INSTANT_NONE;
    return r->course.ready_since + READY_MOST;
}

void ready_settle(struct turn *t)
{
    int64_t due = ready_next(t->r);

    if (due == INSTANT_NONE || (due > t->m->now && !cuff_settled(t->r)))
        return;
    t->r->week.state = WEEK_WAITING;
    t->r->course.ready_since = INSTANT_NONE;
    care_put_week(t->r, t->out);
    if (state_permits(t->r->person.state, PERMIT_REMINDER))
        send_one(t, TEXT_WEEK_STARTS, CLASS_REPLY, true);
}

static int64_t question_next(const struct record *r)
{
    const struct question *q = &r->course.question;
    return q->kind == QUESTION_NONE ? INSTANT_NONE : q->asked_at + QUESTION_LIFE;
}

static void question_look(struct turn *t)
{
    int64_t due = question_next(t->r);

    if (due != INSTANT_NONE && due <= t->m->now)
        question_close(t);
}

/* -- arm and cuff once more, on day 1 ------------------------------------------------------------------------------ */

static int64_t arm_next(const struct record *r)
{
    const struct person *p = &r->person;

    if (p->state != PERSON_JOINED || r->week.state != WEEK_MEASURING || r->course.arm_asked != 1 ||
        (p->arm_cm > 0 && p->cuff_high > 0) || !r->n_readings)
        return INSTANT_NONE;
    for (size_t i = 0; i < r->n_readings; i++)
        if (r->readings[i].week == r->week.id && r->readings[i].standing == STANDING_ACCEPTED)
            return r->readings[i].received + ARM_AGAIN_AFTER;
    return INSTANT_NONE;
}

static void arm_look(struct turn *t)
{
    int64_t due = arm_next(t->r);

    if (due == INSTANT_NONE || due > t->m->now)
        return;
    t->r->course.arm_asked++;
    if (!alert_open(t->r) && !follow_waits(t->r))
        send_one(t, TEXT_ASK_ARM_CUFF_AGAIN, CLASS_REPLY, true);
}

/* -- all of it ----------------------------------------------------------------------------------------------------- */

static int64_t earliest(int64_t a, int64_t b)
{
    return a == INSTANT_NONE ? b : b == INSTANT_NONE || a < b ? a : b;
}

int64_t look_next(struct turn *t)
{
    const struct record *r = t->r;
    int64_t next = follow_next(r);

    next = earliest(next, invite_next(r));
    next = earliest(next, question_next(r));
    next = earliest(next, ready_next(r));
    next = earliest(next, arm_next(r));
    if (r->person.state == PERSON_PAUSED)
        next = earliest(next, r->course.paused_until);
    if (r->person.state == PERSON_JOINED)
        next = earliest(next, r->course.pause_from);
    next = earliest(next, remind_next(t));
    next = earliest(next, week_next(t));
    if (next != INSTANT_NONE && next <= t->m->now)
        next = t->looking ? t->m->now + LOOK_LEAST : t->m->now;
    return next;
}

void care_look(struct record *r, const struct moment_of_care *m, struct effects *out)
{
    struct turn t;

    turn_begin(&t, r, m, NULL, out);
    t.looking = true;
    follow_look(&t);
    invite_look(&t);
    pause_look(&t);
    question_look(&t);
    ready_settle(&t);
    week_look(&t);
    arm_look(&t);
    remind_look(&t);
    turn_end(&t);
}
