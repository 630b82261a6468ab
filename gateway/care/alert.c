/* Alerts: raising, joining, repeating, handing on, taking.
 *
 * One alert an episode: a cause joins while its alert is open or taken; a higher level raises anew. It names the
 * patient by ref alone. Untaken it goes again every alert_again minutes, to the backup too; after three repeats the
 * patient is told that nobody has seen it yet. Nothing here ever gives an alert up.
 */
#include "gateway/care/inside.h"

#include <stdio.h>
#include <string.h>

enum { TAKEN_HOLDS = 60 * MINUTES, TOLD_AFTER_REPEATS = 3 };

/* Digits and letters that are not taken for each other on a small screen. */
static const char CODE_LETTERS[] = "23456789ACDEFHJKMNPRTUVWXY";
enum { CODE_LENGTH = 4 };

bool alert_open(const struct record *r)
{
    return r->n_alerts > 0;
}

static const char (*alert_targets(const struct turn *t))[TARGET_MAX]
{
    const struct clinic *c = t->r->clinic;
    bool open = clinic_open(c, &t->r->clinic_zone, t->m->now);

    return !open && c->alert_out_of_hours[0][0] ? c->alert_out_of_hours : c->alert_to;
}

bool someone_on_call(const struct turn *t)
{
    return clinic_open(t->r->clinic, &t->r->clinic_zone, t->m->now) || t->r->clinic->alert_out_of_hours[0][0];
}

static enum channel channel_of(const char *target)
{
    static const struct {
        const char *begins;
        enum channel channel;
    } forms[] = {{"mailto:", CHANNEL_MAIL}, {"http://", CHANNEL_HTTP}, {"https://", CHANNEL_HTTP},
                 {"target:", CHANNEL_HTTP}, {"dir:", CHANNEL_FOLDER}};

    for (size_t i = 0; i < sizeof forms / sizeof forms[0]; i++)
        if (strncmp(target, forms[i].begins, strlen(forms[i].begins)) == 0)
            return forms[i].channel;
    return CHANNEL_TEXT;
}

struct outgoing *send_target(struct turn *t, const char *target, enum outgoing_class class_)
{
    struct outgoing *o = care_put_send(t->r, t->m, class_, t->out);

    if (o) {
        snprintf(o->to, sizeof o->to, "%s", target);
        o->channel = channel_of(target);
    }
    return o;
}

/* A step of splitmix64 (Steele et al. 2014): turns a seed and a row's id into bits that do not tell each other. */
static uint64_t mix(uint64_t x)
{
    x += 0x9E3779B97F4A7C15u;
    x = (x ^ (x >> 30)) * 0xBF58476D1CE4E5B9u;
    x = (x ^ (x >> 27)) * 0x94D049BB133111EBu;
    return x ^ (x >> 31);
}

static void code_make(char code[CODE_MAX], uint64_t random)
{
    for (int i = 0; i < CODE_LENGTH; i++) {
        code[i] = CODE_LETTERS[random % (sizeof CODE_LETTERS - 1)];
        random /= sizeof CODE_LETTERS - 1;
    }
    code[CODE_LENGTH] = '\0';
}

/* Alerts name the patient by ref; a number that nobody has is called that. */
static void say_staff(const struct turn *t, struct saying *s, const struct alert *a)
{
    const char *ref = t->r->person.ref[0] ? t->r->person.ref : "unknown number";

    snprintf(s->ref, sizeof s->ref, "%s", ref);
    s->level = (uint8_t)a->level;
    snprintf(s->cause, sizeof s->cause, "%s", a->cause);
    s->minute = civil_at(&t->r->clinic_zone, a->at).minute;
    s->day = civil_at(&t->r->clinic_zone, a->at).day;
    s->number = a->times;
    snprintf(s->language, sizeof s->language, "%s", t->r->clinic->language);
}

static void copy_to(struct turn *t, const struct alert *a, const char *target, bool again)
{
    struct outgoing *o = send_target(t, target, CLASS_WORRY);

    if (!o)
        return;
    o->alert = a->id;
    bool text = o->channel == CHANNEL_TEXT; /* only a text can be answered with its code */
    say_part(&o->saying, text ? again ? TEXT_S_ALERT_AGAIN : TEXT_S_ALERT
                              : again ? TEXT_S_ALERT_DESK_AGAIN : TEXT_S_ALERT_DESK);
    o->kind = again ? TEXT_S_ALERT_AGAIN : TEXT_S_ALERT;
    say_staff(t, &o->saying, a);
    if (!text)
        return;
    code_make(o->code, mix(t->m->random ^ mix((uint64_t)o->id)));
    snprintf(o->saying.code, sizeof o->saying.code, "%s", o->code);
}

static void copies_to(struct turn *t, const struct alert *a, const char (*targets)[TARGET_MAX], bool again)
{
    for (int i = 0; i < TARGETS_MAX && targets[i][0]; i++)
        copy_to(t, a, targets[i], again);
}

void alert_copies(struct turn *t, const struct alert *a, bool again, bool backup_only)
{
    if (!backup_only)
        copies_to(t, a, alert_targets(t), again);
    if (again || backup_only)
        copies_to(t, a, t->r->clinic->alert_backup, again);
}

/* The alert that a cause of this level joins, NULL when it must be raised. */
static struct alert *alert_to_join(struct record *r, enum alert_level level)
{
    for (size_t i = 0; i < r->n_alerts; i++)
        if (r->alerts[i].level >= level)
            return &r->alerts[i];
    return NULL;
}

static struct alert *alert_same(struct record *r, const char *cause)
{
    for (size_t i = 0; i < r->n_alerts; i++)
        if (strcmp(r->alerts[i].cause, cause) == 0)
            return &r->alerts[i];
    return NULL;
}

void alert_raise(struct turn *t, enum alert_level level, const char *cause, enum alert_how how)
{
    const struct alert *open = how == ALERT_JOIN ? alert_to_join(t->r, level) : alert_same(t->r, cause);
    struct alert a;

    t->desk_told = true;
    if (open) {
        char detail[96];
        snprintf(detail, sizeof detail, "%s joins alert %lld", cause, (long long)open->id);
        care_put_audit(t->r, "care", "alert joined", detail, t->out);
        return;
    }
    alert_blank(&a, &t->r->person);
    a.id = (*t->m->next_id)++;
    a.level = level;
    snprintf(a.cause, sizeof a.cause, "%s", cause);
    a.at = t->m->now;
    a.times = 1;
    a.due = t->m->now + (int64_t)t->r->clinic->alert_again * MINUTES;
    care_put_withdraw(t->r, 1u << CLASS_REMINDER, true, "an alert is open", t->out);
    care_put_alert(t->r, &a, t->out);
    alert_copies(t, &a, false, false);
}

static struct alert *alert_find(struct record *r, int64_t id)
{
    for (size_t i = 0; i < r->n_alerts; i++)
        if (r->alerts[i].id == id)
            return &r->alerts[i];
    return NULL;
}

static void tell_patient(struct turn *t, struct alert *a)
{
    enum person_state s = t->r->person.state;

    a->patient_told = true;
    if (sent_within(t->r, TEXT_W_NOBODY_YET, t->m->now, HOURS)) /* for another alert */
        return;
    if (state_permits(s, PERMIT_WORRY) && !state_worry_hourly(s))
        send_one(t, strcmp(a->cause, "self_harm") == 0 ? TEXT_HELP_NOW_CRISIS : TEXT_W_NOBODY_YET, CLASS_WORRY, false);
}

/* A more urgent one of the same patient goes out by itself: this one waits beside it, and goes on when that is resolved. */
static bool outdone(const struct record *r, const struct alert *a)
{
    for (size_t i = 0; i < r->n_alerts; i++)
        if (r->alerts[i].level > a->level && r->alerts[i].id != a->id)
            return true;
    return false;
}

void care_alert_look(struct record *r, const struct moment_of_care *m, int64_t alert, struct effects *out)
{
    struct alert *found = alert_find(r, alert);
    struct turn t;

    if (!found || found->due == INSTANT_NONE || found->due > m->now)
        return;
    turn_begin(&t, r, m, NULL, out);
    struct alert a = *found;
    if (a.taken_at != INSTANT_NONE) { /* taken, and nobody has said how it ended */
        a.taken_at = INSTANT_NONE;
        a.taken_by[0] = '\0';
        care_put_audit(r, "care", "alert opened again", "taken, but unresolved after 60 minutes", out);
    }
    a.due = m->now + (int64_t)r->clinic->alert_again * MINUTES;
    if (!outdone(r, &a)) {
        a.times++;
        alert_copies(&t, &a, true, false);
        if (a.times > TOLD_AFTER_REPEATS && !a.patient_told)
            tell_patient(&t, &a);
    }
    care_put_alert(r, &a, out);
    turn_end(&t);
}

/* -- taking -------------------------------------------------------------------------------------------------------- */

static void answer_taker(struct turn *t, const struct alert *a, const char *staff, enum text_kind kind)
{
    struct outgoing *o = send_target(t, staff, CLASS_REPLY);

    if (!o)
        return;
    o->alert = a->id;
    o->expires = t->m->now + DAYS;
    say_part(&o->saying, kind);
    o->kind = (uint16_t)kind;
    say_staff(t, &o->saying, a);
    snprintf(o->saying.word, sizeof o->saying.word, "%s", a->taken_by);
    if (kind == TEXT_S_TAKEN_YOU)
        snprintf(o->saying.phone, sizeof o->saying.phone, "%s", t->r->person.phone);
}

/* People are told who took it; machines have been told what they need. */
static void tell_others(struct turn *t, const struct alert *a, const char (*targets)[TARGET_MAX])
{
    for (int i = 0; i < TARGETS_MAX && targets[i][0]; i++) {
        enum channel c = channel_of(targets[i]);
        if ((c == CHANNEL_TEXT || c == CHANNEL_MAIL) && strcmp(targets[i], a->taken_by) != 0)
            answer_taker(t, a, targets[i], TEXT_S_TAKEN_OTHER);
    }
}

void alert_tell_takers(struct turn *t, const struct alert *a, const char *taker)
{
    if (taker[0] == '+')
        answer_taker(t, a, taker, TEXT_S_TAKEN_YOU);
    tell_others(t, a, alert_targets(t));
    if (a->times > 1)
        tell_others(t, a, t->r->clinic->alert_backup);
}

bool alert_take(struct turn *t, int64_t alert, const char *who)
{
    struct alert *found = alert_find(t->r, alert);

    if (!found || found->taken_at != INSTANT_NONE)
        return false;
    struct alert a = *found;
    a.taken_at = t->m->now;
    snprintf(a.taken_by, sizeof a.taken_by, "%s", who);
    a.due = t->m->now + TAKEN_HOLDS;
    a.patient_told = true; /* somebody has seen it: "nobody has" would not be true any more */
    care_put_alert(t->r, &a, t->out);
    care_put_audit(t->r, who, "alert taken", a.cause, t->out);
    alert_tell_takers(t, &a, who);
    return true;
}

void care_take(struct record *r, const struct moment_of_care *m, int64_t alert, const char *staff, struct effects *out)
{
    struct turn t;

    turn_begin(&t, r, m, NULL, out);
    if (!alert_take(&t, alert, staff)) {
        struct alert gone, *open = alert_find(r, alert);
        alert_blank(&gone, &r->person);
        gone.id = alert;
        gone.at = m->now;
        answer_taker(&t, open ? open : &gone, staff, TEXT_S_TAKEN_ALREADY);
    }
    turn_end(&t);
}

/* -- what could not be sent ---------------------------------------------------------------------------------------- */

static bool is_backup(const struct clinic *c, const char *target)
{
    for (int i = 0; i < TARGETS_MAX && c->alert_backup[i][0]; i++)
        if (strcmp(c->alert_backup[i], target) == 0)
            return true;
    return false;
}

/* A copy that has failed goes to the backup at once; one that still waits after ten minutes means that its target is down,
 * which is an alert of its own to all the others. */
static void copy_failed(struct turn *t, const struct outgoing *which)
{
    const struct alert *a = alert_find(t->r, which->alert);

    if (which->state == OUTGOING_WAITING && a && a->taken_at == INSTANT_NONE) {
        alert_raise(t, ALERT_URGENT, "target_failed", ALERT_OWN);
        return;
    }

    desk_open(t, DESK_UNDELIVERED, 1, "A copy of an alert could not be delivered to one of the staff.");
    if (a && a->taken_at == INSTANT_NONE && !is_backup(t->r->clinic, which->to))
        alert_copies(t, a, true, true);
}

void care_unsent(struct record *r, const struct moment_of_care *m, const struct outgoing *which, struct effects *out)
{
    struct turn t;

    turn_begin(&t, r, m, NULL, out);
    if (which->alert)
        copy_failed(&t, which);
    else if (which->worry_reply)
        alert_raise(&t, ALERT_URGENT, "reply_unsent", ALERT_OWN);
    else if (which->class_ == CLASS_SUMMARY)
        desk_open(&t, DESK_UNDELIVERED, 1, "A summary could not be delivered to one of its targets.");
    else
        desk_open(&t, DESK_UNDELIVERED, 3, "A text could not be delivered to this patient.");
    turn_end(&t);
}
