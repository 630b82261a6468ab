/* What a person does at the desk, or by a command. The world may have changed since they looked: then the answer
 * says so and nothing is done.
 *
 * Every action leaves an audit entry with who did it. A person may decide what the rules never do: accept a held
 * reading, drop one, end a week, resolve an alert; each with a reason.
 */
#include "gateway/care/inside.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

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

/* -- readings ------------------------------------------------------------------------------------------------------ */

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
    struct meaning said = {.temp_c = NAN, .moment = {.day = DAY_UNSAID, .minute = MINUTE_UNSAID}, .readings = {.n = 1, .at = {a->reading}}};
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

/* -- alerts -------------------------------------------------------------------------------------------------------- */

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

/* -- rows ---------------------------------------------------------------------------------------------------------- */

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
    [ACTION_ARMS].act = act_arms,
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
