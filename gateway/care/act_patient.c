/* What a person at the desk does with a patient: write, ask again, weeks, states, edits. See act.c.
 *
 * A state changes through its own action alone, never through an edit, so that whatever goes with the step is done too.
 */
#include "gateway/care/inside.h"

#include <stdio.h>

enum care_answer act_write(struct turn *t, const struct care_action *a)
{
    struct saying s = {0};

    if (!state_permits(t->r->person.state, PERMIT_REPLY) || !a->note[0])
        return CARE_REFUSED;
    say_part(&s, TEXT_FROM_CLINIC);
    struct outgoing *o = send_patient(t, &s, CLASS_REPLY, false);
    if (o)
        snprintf(o->body, sizeof o->body, "%s", a->note);
    return CARE_DONE;
}

/* Asks about a held reading once more. */
enum care_answer act_ask_again(struct turn *t, const struct care_action *a)
{
    const struct reading *x = reading_of(t->r, a->id);

    if (!x)
        return CARE_GONE;
    if (x->standing != STANDING_HELD)
        return CARE_CHANGED;
    if (!state_permits(t->r->person.state, PERMIT_REMINDER))
        return CARE_REFUSED;
    if (x->doubt && t->n_doubted < TAKEN_MAX)
        t->doubted[t->n_doubted++] = x->id;
    else
        t->taken[t->n_taken++] = x->id;
    questions_of_text(t);
    if (!t->say.n_parts)
        return CARE_REFUSED;
    send_patient(t, &t->say, CLASS_REPLY, true);
    return CARE_DONE;
}

enum care_answer act_extend(struct turn *t, const struct care_action *a)
{
    struct week *w = &t->r->week;

    if (!week_running(t->r))
        return CARE_GONE;
    if (a->days < 1 || w->days_wanted + a->days > WEEK_DAYS_MAX)
        return CARE_REFUSED;
    w->days_wanted = (int16_t)(w->days_wanted + a->days);
    care_put_week(t->r, t->out);
    return CARE_DONE;
}

enum care_answer act_end_week(struct turn *t, const struct care_action *a)
{
    struct week_result w;

    (void)a;
    if (!week_running(t->r))
        return CARE_GONE;
    if (t->r->week.first_day == DAY_NONE)
        return CARE_REFUSED;
    int32_t days = day_of(t->r, t->m->now) - t->r->week.first_day + 1;
    if (days < t->r->week.days_wanted)
        t->r->week.days_wanted = (int16_t)(days > 0 ? days : 1);
    week_result(t->r, t->m->now, &w);
    week_end(t, w.enough ? WEEK_COMPLETE : WEEK_SHORT);
    return CARE_DONE;
}

enum care_answer act_review(struct turn *t, const struct care_action *a)
{
    struct week *w = &t->r->week;

    if (!week_ended(t->r))
        return CARE_GONE;
    if (w->reviewed_at != INSTANT_NONE)
        return CARE_CHANGED;
    if (!a->note[0])
        return CARE_REFUSED;
    w->reviewed_at = t->m->now;
    snprintf(w->reviewed_by, sizeof w->reviewed_by, "%s", a->who);
    snprintf(w->outcome, sizeof w->outcome, "%s", a->note);
    care_put_week(t->r, t->out);
    desk_close(t, DESK_WEEK_DONE, a->who);
    desk_close(t, DESK_SHORT_WEEK, a->who);
    desk_close(t, DESK_UNREVIEWED, a->who);
    desk_close(t, DESK_HIGH_MEAN, a->who);
    return CARE_DONE;
}

enum care_answer act_new_week(struct turn *t, const struct care_action *a)
{
    enum person_state s = t->r->person.state;

    (void)a;
    if (week_running(t->r))
        return CARE_CHANGED;
    if (s != PERSON_JOINED && s != PERSON_PAUSED && s != PERSON_CLOSED)
        return CARE_REFUSED;
    person_state_set(t, PERSON_JOINED, a->who);
    week_open(t);
    send_one(t, TEXT_WEEK_STARTS, CLASS_REPLY, true);
    return CARE_DONE;
}

enum care_answer act_pause(struct turn *t, const struct care_action *a)
{
    if (t->r->person.state != PERSON_JOINED)
        return CARE_CHANGED;
    person_pause(t, a->until, a->who);
    return CARE_DONE;
}

enum care_answer act_resume(struct turn *t, const struct care_action *a)
{
    if (t->r->person.state == PERSON_PAUSED)
        person_resume(t, a->who);
    else if (t->r->person.state == PERSON_DIED && t->r->person.consent_at != INSTANT_NONE) /* it was a mistake */
        person_return(t, a->who);
    else
        return CARE_CHANGED;
    return CARE_DONE;
}

/* STOP, withdrawn, died: nothing more is sent to the patient; withdrawn: nor for the clinic. */
enum care_answer act_leave(struct turn *t, const struct care_action *a)
{
    enum person_state s = a->kind == ACTION_STOP ? PERSON_LEFT : a->kind == ACTION_DIED ? PERSON_DIED : PERSON_WITHDRAWN;

    if (t->r->person.state == s)
        return CARE_CHANGED;
    person_leave(t, s, a->kind == ACTION_STOP ? "stopped" : a->kind == ACTION_DIED ? "died" : "withdrawn", a->who);
    if (s == PERSON_WITHDRAWN)
        care_put_withdraw(t->r, 1u << CLASS_SUMMARY, false, "consent withdrawn", t->out);
    if (s == PERSON_DIED)
        desk_close(t, DESK_DIED, a->who);
    return CARE_DONE;
}

/* Consent given by word of mouth, in the clinic or on the telephone. */
enum care_answer act_consent(struct turn *t, const struct care_action *a)
{
    enum person_state s = t->r->person.state;

    if (s == PERSON_JOINED || s == PERSON_PAUSED)
        return CARE_CHANGED;
    if (s == PERSON_LEFT || s == PERSON_WITHDRAWN || s == PERSON_CLOSED)
        person_return(t, a->who);
    else if (s == PERSON_INVITED || s == PERSON_DECLINED)
        person_join(t, a->who);
    else
        return CARE_REFUSED;
    send_one(t, TEXT_WELCOME_CLINIC, CLASS_REPLY, true);
    return CARE_DONE;
}

/* FNV-1a over the row's bytes; what is between its members is zero in a row that was loaded. */
int32_t person_mark(const struct person *p)
{
    const unsigned char *bytes = (const unsigned char *)p;
    uint32_t hash = 2166136261u;

    for (size_t i = 0; i < sizeof *p; i++)
        hash = (hash ^ bytes[i]) * 16777619u;
    return (int32_t)(hash & INT32_MAX);
}

enum care_answer act_edit(struct turn *t, const struct care_action *a)
{
    struct person *p = &t->r->person, was = *p;

    if (a->person.id != p->id)
        return CARE_GONE;
    if (a->version >= 0 && a->version != person_mark(p))
        return CARE_CHANGED;
    *p = a->person;
    p->state = was.state; /* a state changes through its own action */
    p->state_since = was.state_since, p->enrolled_at = was.enrolled_at, p->consent_at = was.consent_at;
    care_put_person(t->r, t->out);
    bool joined = state_permits(p->state, PERMIT_REMINDER);
    week_learns(t);
    if (was.arm_cm != p->arm_cm || was.cuff_low != p->cuff_low || was.cuff_high != p->cuff_high)
        cuff_judge(t, joined);
    bool told = was.validated == ANSWER_NO || p->validated != ANSWER_NO;
    monitor_judge(t, joined && !told);
    ready_settle(t);
    return CARE_DONE;
}

enum care_answer act_close(struct turn *t, const struct care_action *a)
{
    bool told = state_permits(t->r->person.state, PERMIT_REMINDER);

    if (t->r->person.state == PERSON_CLOSED)
        return CARE_CHANGED;
    person_leave(t, PERSON_CLOSED, "closed", a->who);
    week_close(t);
    if (told)
        send_one(t, TEXT_WEEK_CLOSED, CLASS_REPLY, true);
    return CARE_DONE;
}

enum care_answer act_invite_again(struct turn *t, const struct care_action *a)
{
    struct saying s = {.both_languages = t->r->clinic->bilingual};

    (void)a;
    if (t->r->person.state != PERSON_INVITED)
        return CARE_REFUSED;
    desk_close(t, DESK_NOT_JOINED, a->who);
    t->r->course.second_invitation = true;
    t->r->course.silent_told = false;
    t->r->person.enrolled_at = t->m->now - 2 * DAYS; /* the desk hears again two days from now */
    care_put_person(t->r, t->out);
    say_part(&s, TEXT_INVITE_AGAIN);
    send_patient(t, &s, CLASS_REPLY, true);
    return CARE_DONE;
}
