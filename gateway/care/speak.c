/* Sayings, and sending them to the patient: the only way in which care speaks to one.
 *
 * Replies and worry go at once; what the patient has not asked for waits for the end of the quiet hours. A reminder is
 * worth 60 minutes, a reply a day, worry is never given up.
 */
#include "gateway/care/inside.h"

#include <stdio.h>
#include <string.h>

enum { REPLY_LIFE = 24 * HOURS, REMINDER_LIFE = 60 * MINUTES };

void say_part(struct saying *s, enum text_kind kind)
{
    if (s->n_parts < SAYING_PARTS && kind != TEXT_NONE)
        s->parts[s->n_parts++] = (uint16_t)kind;
}

bool say_has(const struct saying *s, enum text_kind kind)
{
    for (uint8_t i = 0; i < s->n_parts; i++)
        if (s->parts[i] == kind)
            return true;
    return false;
}

void say_echo(struct saying *s, int16_t sys, int16_t dia, int16_t pulse)
{
    if (s->n_echo == SAYING_ECHO) {
        s->more++;
        return;
    }
    s->echo[s->n_echo].sys = sys;
    s->echo[s->n_echo].dia = dia;
    s->echo[s->n_echo++].pulse = pulse;
}

bool turn_reply(struct turn *t, enum text_kind kind)
{
    if (t->say.n_parts || kind == TEXT_NONE)
        return false;
    say_part(&t->say, kind);
    return true;
}

bool turn_worry(struct turn *t, enum text_kind kind)
{
    if (!turn_reply(t, kind))
        return false;
    t->worry = true;
    return true;
}

int64_t sent_last(const struct record *r, enum text_kind kind)
{
    for (size_t i = r->n_sent; i-- > 0;)
        if (r->sent[i].kind == kind || r->sent[i].hint == kind)
            return r->sent[i].at;
    return INSTANT_NONE;
}

bool sent_within(const struct record *r, enum text_kind kind, int64_t now, int64_t seconds)
{
    int64_t at = sent_last(r, kind);
    return at != INSTANT_NONE && now - at < seconds && at - now < 2 * MINUTES; /* else the clock was set back */
}

static struct span quiet_of(const struct record *r)
{
    const struct person *p = &r->person;
    return p->quiet_from >= 0 ? (struct span){p->quiet_from, p->quiet_to} : r->clinic->quiet;
}

bool quiet_now(const struct record *r, int64_t now)
{
    struct span q = quiet_of(r);
    int16_t minute = civil_at(&r->zone, now).minute;

    return q.from <= q.to ? minute >= q.from && minute < q.to : minute >= q.from || minute < q.to;
}

int64_t quiet_over(const struct record *r, int64_t now)
{
    if (!quiet_now(r, now))
        return now;
    struct span q = quiet_of(r);
    struct civil c = civil_at(&r->zone, now);
    bool tomorrow = c.minute >= q.to;
    int64_t over = civil_instant(&r->zone, (struct civil){.day = c.day + tomorrow, .minute = q.to});

    return over > now ? over : now;
}

/* The hint or the tail in a saying that is not said again too soon. */
static uint16_t remembered(const struct saying *s)
{
    for (uint8_t i = 1; i < s->n_parts; i++)
        if ((s->parts[i] >= TEXT_HINT_REST && s->parts[i] <= TEXT_HINT_ALL) || s->parts[i] == TEXT_CLINIC_SEES_TAIL)
            return s->parts[i];
    return 0;
}

/* What a saying is remembered as: its first part; an echo before a worry or a question is not it. */
enum text_kind say_kind(const struct saying *s)
{
    bool echo = s->parts[0] == TEXT_GOT || s->parts[0] == TEXT_GOT_AND_MORE;
    bool worry = s->n_parts > 1 && s->parts[1] >= TEXT_W_FLAG && s->parts[1] <= TEXT_W_NOBODY_YET;

    return s->parts[echo && worry];
}

/* The same is waiting for the same end of the quiet hours, or went a moment ago. */
static bool waits_already(const struct turn *t, enum text_kind kind)
{
    int64_t due = quiet_over(t->r, t->m->now);

    for (size_t i = t->r->n_sent; i-- > 0;)
        if (t->r->sent[i].kind == kind && t->r->sent[i].unprompted &&
            due - quiet_over(t->r, t->r->sent[i].at) < MINUTES)
            return true;
    return false;
}

bool is_emergency(enum text_kind k)
{
    return k == TEXT_W_FLAG || k == TEXT_W_SEVERE_FLAG || k == TEXT_W_SELF_HARM || k == TEXT_W_PREGNANT_SIGN;
}

struct outgoing *send_patient(struct turn *t, const struct saying *s, enum outgoing_class class_, bool unprompted)
{
    if (unprompted && waits_already(t, say_kind(s)))
        return NULL;
    struct outgoing *o = care_put_send(t->r, t->m, class_, t->out);

    if (!o)
        return NULL;
    o->saying = *s;
    if (!o->saying.language[0])
        snprintf(o->saying.language, sizeof o->saying.language, "%s", t->r->person.language);
    o->saying.in_hours = clinic_open(t->r->clinic, &t->r->clinic_zone, t->m->now);
    snprintf(o->to, sizeof o->to, "%s", t->r->person.phone);
    o->channel = CHANNEL_TEXT;
    o->kind = (uint16_t)say_kind(s);
    o->hint = remembered(s);
    o->unprompted = unprompted;
    if (!t->in && t->r->course.question.kind == QUESTION_WHOSE) /* nobody knows yet whom it is about */
        o->tag[0] = '\0';
    o->worry_reply = class_ == CLASS_WORRY;
    o->text = t->in && !unprompted ? t->in->text : 0;
    if (unprompted)
        o->due = quiet_over(t->r, t->m->now);
    if (class_ == CLASS_REPLY)
        o->expires = o->due + REPLY_LIFE;
    if (class_ == CLASS_REMINDER)
        o->expires = o->due + REMINDER_LIFE;
    if (!record_remember(t->r, o))
        t->out->failed = true;
    return o;
}

void send_one(struct turn *t, enum text_kind kind, enum outgoing_class class_, bool unprompted)
{
    struct saying s = {0};

    say_part(&s, kind);
    send_patient(t, &s, class_, unprompted);
}
