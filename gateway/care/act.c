/* What a person does at the desk, or by a command. The world may have changed since they looked: then the answer says so
 * and nothing is done.
 *
 * Every action leaves an audit entry with who did it. A person may decide what the rules never do: accept a held reading,
 * drop one, end a week, resolve an alert; each with a reason.
 */
#include "gateway/care/inside.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

typedef enum care_answer act_function(struct turn *t, const struct care_action *a);

static struct desk_row *row_of(struct record *r, int64_t id)
{
    for (size_t i = 0; i < r->n_desk; i++)
        if (r->desk[i].id == id)
            return &r->desk[i];
    return NULL;
}

static struct alert *alert_of(struct record *r, int64_t id)
{
    for (size_t i = 0; i < r->n_alerts; i++)
        if (r->alerts[i].id == id)
            return &r->alerts[i];
    return NULL;
}

/* -- readings ----------------------------------------------------------------------------------------------------------------------- */

static void decide(struct turn *t, const struct care_action *a, enum standing s)
{
    struct reading x = *reading_of(t->r, a->id);

    x.standing = s;
    if (!x.week && x.held & HELD_CONSENT)
        x.week = t->r->week.id;
    snprintf(x.decided_by, sizeof x.decided_by, "%s", a->who);
    snprintf(x.reason, sizeof x.reason, "%s", a->note);
    care_put_reading(t->r, &x, t->out);
    desk_close_reading(t, x.id);
    if (s == STANDING_VOID)
        follow_end(t, x.id); /* accepting a severe one does not end its timer */
    week_settle(t);
    if (x.week)
        week_amended(t);
}

/* A lone number, or one not in order, has no mean: it is added anew as it should be. */
static enum care_answer act_accept(struct turn *t, const struct care_action *a)
{
    const struct reading *x = reading_of(t->r, a->id);

    if (!x)
        return CARE_GONE;
    if (x->standing != STANDING_HELD && x->standing != STANDING_VOID)
        return CARE_CHANGED;
    if (!a->note[0] || x->dia == SAID_NONE || x->sys <= x->dia)
        return CARE_REFUSED;
    decide(t, a, STANDING_ACCEPTED);
    return CARE_DONE;
}

static enum care_answer act_void(struct turn *t, const struct care_action *a)
{
    const struct reading *x = reading_of(t->r, a->id);

    if (!x)
        return CARE_GONE;
    if (!reading_stands(x))
        return CARE_CHANGED;
    if (!a->note[0])
        return CARE_REFUSED;
    decide(t, a, STANDING_VOID);
    return CARE_DONE;
}

/* A telephoned reading, judged for worry like any other; the person on the telephone tells the patient what to do. */
static enum care_answer act_add(struct turn *t, const struct care_action *a)
{
    struct meaning said = {.temp_c = NAN, .readings = {.n = 1, .at = {a->reading}}};
    struct inbound in = {.received = t->m->now, .sent = INSTANT_NONE, .meaning = &said};
    struct reading x;

    if (!t->r->week.id || t->r->person.state == PERSON_WITHDRAWN || a->reading.sys <= a->reading.dia)
        return CARE_REFUSED;
    t->in = &in;
    t->said = said;
    reading_fill(t, &x, &a->reading);
    x.telephoned = true;
    x.standing = STANDING_ACCEPTED;
    snprintf(x.decided_by, sizeof x.decided_by, "%s", a->who);
    snprintf(x.reason, sizeof x.reason, "%s", a->note);
    reading_keep(t, &x);
    week_settle(t);
    worry_judge(t);
    week_check(t);
    if (x.week)
        week_amended(t);
    t->in = NULL;
    return CARE_DONE;
}

/* -- alerts ---------------------------------------------------------------------------------------------------------------------------- */

static enum care_answer act_take(struct turn *t, const struct care_action *a)
{
    struct desk_row *row = row_of(t->r, a->id);

    if (alert_of(t->r, a->id))
        return alert_take(t, a->id, a->who) ? CARE_DONE : CARE_CHANGED;
    if (!row)
        return CARE_GONE;
    if (a->version >= 0 && row->version != a->version)
        return CARE_CHANGED;
    struct desk_row taken = *row;
    taken.version++;
    snprintf(taken.taken_by, sizeof taken.taken_by, "%s", a->who);
    care_put_desk(t->r, &taken, t->out);
    return CARE_DONE;
}

/* Resolving needs an outcome in words. */
static enum care_answer act_resolve(struct turn *t, const struct care_action *a)
{
    struct alert *open = alert_of(t->r, a->id);

    if (!open)
        return CARE_GONE;
    if (!a->note[0])
        return CARE_REFUSED;
    struct alert row = *open;
    row.resolved_at = t->m->now;
    row.due = INSTANT_NONE;
    snprintf(row.resolved_by, sizeof row.resolved_by, "%s", a->who);
    snprintf(row.outcome, sizeof row.outcome, "%s", a->note);
    care_put_alert(t->r, &row, t->out);
    return CARE_DONE;
}

static enum care_answer act_reopen(struct turn *t, const struct care_action *a)
{
    struct alert *open = alert_of(t->r, a->id);

    if (!open)
        return CARE_GONE;
    struct alert row = *open;
    row.taken_at = INSTANT_NONE;
    row.taken_by[0] = '\0';
    row.times++;
    row.due = t->m->now + (int64_t)t->r->clinic->alert_again * MINUTES;
    care_put_alert(t->r, &row, t->out);
    alert_copies(t, &row, true, false);
    return CARE_DONE;
}

/* -- rows ------------------------------------------------------------------------------------------------------------------------------ */

static void row_hand_over(struct desk_row *row, const struct desk_row *open, const struct care_action *a)
{
    snprintf(row->taken_by, sizeof row->taken_by, "%.*s", (int)sizeof row->taken_by - 1, a->to[0] ? a->to : a->note);
    if (a->to[0] && a->note[0])
        snprintf(row->note, sizeof row->note, "%.200s %s: %.200s", open->note, a->who, a->note);
}

static enum care_answer act_row(struct turn *t, const struct care_action *a)
{
    struct desk_row *open = row_of(t->r, a->id);

    if (!open)
        return CARE_GONE;
    if (a->version >= 0 && open->version != a->version)
        return CARE_CHANGED;
    struct desk_row row = *open;
    row.version++;
    if (a->kind == ACTION_DONE) {
        row.done_at = t->m->now;
        snprintf(row.done_by, sizeof row.done_by, "%s", a->who);
    } else if (a->kind == ACTION_PUT_OFF) {
        if (a->until <= t->m->now)
            return CARE_REFUSED;
        row.put_off_until = a->until;
    } else {
        row_hand_over(&row, open, a);
    }
    care_put_desk(t->r, &row, t->out);
    return CARE_DONE;
}

/* -- the patient ------------------------------------------------------------------------------------------------------------------------ */

static enum care_answer act_write(struct turn *t, const struct care_action *a)
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
static enum care_answer act_ask_again(struct turn *t, const struct care_action *a)
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

static enum care_answer act_extend(struct turn *t, const struct care_action *a)
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

static enum care_answer act_end_week(struct turn *t, const struct care_action *a)
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

static enum care_answer act_review(struct turn *t, const struct care_action *a)
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

static enum care_answer act_new_week(struct turn *t, const struct care_action *a)
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

static enum care_answer act_pause(struct turn *t, const struct care_action *a)
{
    if (t->r->person.state != PERSON_JOINED)
        return CARE_CHANGED;
    person_pause(t, a->until, a->who);
    return CARE_DONE;
}

static enum care_answer act_resume(struct turn *t, const struct care_action *a)
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
static enum care_answer act_leave(struct turn *t, const struct care_action *a)
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
static enum care_answer act_consent(struct turn *t, const struct care_action *a)
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

static enum care_answer act_edit(struct turn *t, const struct care_action *a)
{
    struct person *p = &t->r->person, was = *p;

    if (a->person.id != p->id)
        return CARE_GONE;
    *p = a->person;
    p->state = was.state; /* a state changes through its own action */
    p->state_since = was.state_since, p->enrolled_at = was.enrolled_at, p->consent_at = was.consent_at;
    care_put_person(t->r, t->out);
    bool joined = state_permits(p->state, PERMIT_REMINDER);
    if (was.arm_cm != p->arm_cm || was.cuff_low != p->cuff_low || was.cuff_high != p->cuff_high) {
        if (week_running(t->r)) {
            t->r->week.arm_cm = p->arm_cm, t->r->week.cuff_low = p->cuff_low, t->r->week.cuff_high = p->cuff_high;
            care_put_week(t->r, t->out);
        }
        cuff_judge(t, joined);
    }
    bool told = was.validated == ANSWER_NO || p->validated != ANSWER_NO;
    monitor_judge(t, joined && !told);
    ready_settle(t);
    return CARE_DONE;
}

static enum care_answer act_close(struct turn *t, const struct care_action *a)
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

static enum care_answer act_invite_again(struct turn *t, const struct care_action *a)
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

static const struct {
    act_function *act;
    const char *name;
} actions[ACTION_COUNT] = {
#define ACTION_NAME(NAME, text) [ACTION_##NAME].name = text,
    CARE_ACTIONS(ACTION_NAME)
#undef ACTION_NAME
    [ACTION_ACCEPT].act = act_accept,     [ACTION_VOID].act = act_void,
    [ACTION_ADD].act = act_add,           [ACTION_TAKE].act = act_take,
    [ACTION_RESOLVE].act = act_resolve,   [ACTION_REOPEN].act = act_reopen,
    [ACTION_DONE].act = act_row,          [ACTION_PUT_OFF].act = act_row,
    [ACTION_HAND_OVER].act = act_row,     [ACTION_WRITE].act = act_write,
    [ACTION_ASK_AGAIN].act = act_ask_again, [ACTION_EXTEND].act = act_extend,
    [ACTION_END_WEEK].act = act_end_week, [ACTION_REVIEW].act = act_review,
    [ACTION_NEW_WEEK].act = act_new_week, [ACTION_PAUSE].act = act_pause,
    [ACTION_RESUME].act = act_resume,     [ACTION_STOP].act = act_leave,
    [ACTION_WITHDRAW].act = act_leave,    [ACTION_CONSENT].act = act_consent,
    [ACTION_EDIT].act = act_edit,         [ACTION_DIED].act = act_leave,
    [ACTION_CLOSE].act = act_close,       [ACTION_INVITE_AGAIN].act = act_invite_again,
};

enum care_answer care_act(struct record *r, const struct moment_of_care *m, const struct care_action *a,
                          struct effects *out)
{
    struct turn t;
    char detail[96];

    turn_begin(&t, r, m, NULL, out);
    if ((unsigned)a->kind >= ACTION_COUNT)
        return CARE_REFUSED;
    enum care_answer answer = actions[a->kind].act(&t, a);
    if (answer != CARE_DONE)
        return answer;
    snprintf(detail, sizeof detail, "id %lld", (long long)a->id);
    care_put_audit(r, a->who, actions[a->kind].name, detail, out);
    turn_end(&t);
    return CARE_DONE;
}
