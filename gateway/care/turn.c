/* Beginning and ending one event: whether the reply that the rules have made may go, the one outcome of the text, and
 * the time of the next look.
 *
 * Must never leave a text without an outcome, nor say a thing twice within a minute. One reply a text.
 */
#include "gateway/care/inside.h"

#include <string.h>

enum {
    FLOOD_TEXTS = 20,       /* in ten minutes (operations.md, Inbound) */
    FLOOD_REPLIES = 6,      /* in thirty */
    STRANGERS_AN_HOUR = 60, /* answers to unknown numbers, a clinic */
    SAME_AGAIN = 60         /* seconds in which no text is repeated */
};

void turn_begin(struct turn *t, struct record *r, const struct moment_of_care *m, const struct inbound *in,
                struct effects *out)
{
    memset(t, 0, sizeof *t);
    t->r = r;
    t->m = m;
    t->in = in;
    t->out = out;
    if (in) {
        t->said = *in->meaning;
        t->flags = t->said.flags & ~t->said.flags_past;
        if (t->said.head_hit && t->flags & FLAG_FALL) /* "fell and hit my head": ours to name an emergency */
            t->flags |= FLAG_EMERGENCY;
    }
}

static bool same_as_echo(const struct turn *t, const struct reading *x)
{
    int16_t sys = t->say.echo[0].sys, dia = t->say.echo[0].dia;

    return x->pulse == t->say.echo[0].pulse && ((x->sys == sys && x->dia == dia) || (x->sys == dia && x->dia == sys));
}

/* The numbers that the reply begins with came in this text, and in no other of the last minute: then its words are
 * new. */
static bool echo_is_new(const struct turn *t)
{
    bool here = false;

    for (size_t i = 0; i < t->r->n_readings && t->say.n_echo; i++) {
        const struct reading *x = &t->r->readings[i];
        if (!same_as_echo(t, x))
            continue;
        if (x->text == t->in->text)
            here = true;
        else if (t->m->now - x->received < SAME_AGAIN)
            return false;
    }
    return here;
}

static bool said_just_now(const struct turn *t)
{
    return sent_within(t->r, say_kind(&t->say), t->m->now, SAME_AGAIN) && !echo_is_new(t);
}

/* Since they asked for silence; an emergency only after an emergency, for it must not wait behind less. */
static bool worry_within_hour(const struct record *r, int64_t now, bool emergency)
{
    for (size_t i = 0; i < r->n_sent; i++) {
        const struct sent *s = &r->sent[i];
        if (s->class_ == CLASS_WORRY && s->at >= r->person.state_since && now - s->at < HOURS &&
            (!emergency || is_emergency(s->kind)))
            return true;
    }
    return false;
}

static bool answered_today(const struct record *r, int64_t now)
{
    for (size_t i = 0; i < r->n_sent; i++)
        if (r->sent[i].class_ == CLASS_REPLY && now - r->sent[i].at < DAYS)
            return true;
    return false;
}

static bool flooded(const struct record *r)
{
    return r->texts_10min >= FLOOD_TEXTS || r->replies_30min >= FLOOD_REPLIES;
}

/* Why the reply must not go; NULL when it may. */
static const char *kept_back(const struct turn *t)
{
    const struct record *r = t->r;
    enum person_state s = r->person.state;

    if (t->worry)
        return state_worry_hourly(s) && worry_within_hour(r, t->m->now, is_emergency(say_kind(&t->say)))
                   ? "worry was answered within the hour"
               : said_just_now(t) ? "the same was said within a minute" : NULL;
    if (t->confirmation) /* of a STOP: even to one who texts very much */
        return said_just_now(t) ? "the same was said within a minute" : NULL;
    bool help = say_kind(&t->say) == TEXT_HELP && !sent_within(r, TEXT_HELP, t->m->now, HOURS);
    if (flooded(r) && !help)
        return "too many texts: only worry is answered";
    if (!state_permits(s, PERMIT_REPLY))
        return "this person is sent nothing";
    if (s == PERSON_STRANGER && answered_today(r, t->m->now))
        return "unknown number, answered today";
    if (s == PERSON_STRANGER && r->strangers_hour >= STRANGERS_AN_HOUR)
        return "too many unknown numbers this hour";
    return said_just_now(t) ? "the same was said within a minute" : NULL;
}

/* Worry, and whom to ring, in both languages to who writes in another than theirs. */
static bool in_both_languages(const struct turn *t)
{
    const struct record *r = t->r;
    bool other = t->in->other_language || (t->said.language[0] && strcmp(t->said.language, r->person.language) != 0);
    bool help = say_has(&t->say, TEXT_HELP_NOW) || say_has(&t->say, TEXT_HELP_NOW_CRISIS) ||
                say_has(&t->say, TEXT_HELP_NOW_MATERNITY) || say_has(&t->say, TEXT_HELP);

    return (other && (t->worry || help)) || (r->clinic->bilingual && say_has(&t->say, TEXT_INVITE_AGAIN));
}

static void turn_answer(struct turn *t)
{
    const char *why = t->say.n_parts ? kept_back(t) : t->silence ? t->silence : "nothing to answer";

    if (flooded(t->r))
        desk_open(t, DESK_FLOOD, 2, "Very many texts from this number: only worry is answered for now.");
    if (why && t->r->course.question.kind != QUESTION_NONE && t->r->course.question.text == t->in->text)
        question_close(t); /* a question that nobody was asked cannot be answered */
    if (!why) {
        t->say.both_languages |= in_both_languages(t);
        send_patient(t, &t->say, t->worry ? CLASS_WORRY : CLASS_REPLY, false);
    }
    care_put_outcome(t->in->text, t->r->person.id, why ? why : "answered", t->out);
}

/* The welcome's second text asks for arm, cuff and monitor; what is known already and does not fit is told. */
static void joined_for_the_first_time(struct turn *t)
{
    const struct person *p = &t->r->person;

    t->r->course.arm_asked = 1;
    cuff_judge(t, true);
    monitor_judge(t, true);
    if (p->arm_cm <= 0 || p->cuff_high <= 0) /* nobody is asked again for what the clinic has measured already */
        send_one(t, TEXT_ASK_ARM_CUFF, CLASS_REPLY, true);
}

void turn_end(struct turn *t)
{
    if (t->in)
        turn_answer(t);
    if (t->joined)
        joined_for_the_first_time(t);
    if (t->in)
        ready_settle(t);
    t->r->course.next_look = look_next(t);
    care_put_course(t->r, t->out);
}
