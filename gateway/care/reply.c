/* The ordinary reply: what was taken is echoed, so that the patient catches our mistakes; then the question, or what
 * to do next, and at most one hint. No comment on single values.
 *
 * One reply to one text. A worry reply, if a row of the table spoke, stands in its place; what was taken is echoed
 * before it and the question asked after it.
 */
#include "gateway/care/inside.h"

#include <stdlib.h>
#include <string.h>

enum { ASKS_AGAIN = 24 * HOURS, REMARK_AGAIN = HOURS, UNDERSTOOD_NOT = 2 };

static const struct reading *taken_last(const struct turn *t, enum standing s)
{
    for (uint16_t i = t->n_taken; i-- > 0;) {
        const struct reading *x = reading_of(t->r, t->taken[i]);
        if (x && x->standing == s)
            return x;
    }
    return NULL;
}

static unsigned echo_taken(struct turn *t, enum standing s)
{
    unsigned n = 0;

    for (uint16_t i = 0; i < t->n_taken; i++) {
        const struct reading *x = reading_of(t->r, t->taken[i]);
        if (!x || x->standing != s)
            continue;
        say_echo(&t->say, x->sys, x->dia, x->pulse);
        n++;
    }
    return n;
}

/* Taken beyond what its sitting counts, and not asked for: kept and shown. */
static bool is_extra(const struct turn *t, const struct reading *x)
{
    return t->n_taken == 1 && !x->asked_for && sitting_accepted(t->r, x->day, x->slot) > per_sitting(t->r);
}

static enum text_kind opener_of_taken(struct turn *t)
{
    const struct reading *x = taken_last(t, STANDING_ACCEPTED), *held = taken_last(t, STANDING_HELD);

    if (x) {
        unsigned n = echo_taken(t, STANDING_ACCEPTED);
        if (!week_running(t->r))
            return TEXT_NOT_MEASURING;
        return n > SAYING_ECHO ? TEXT_GOT_AND_MORE : is_extra(t, x) ? TEXT_GOT_EXTRA : TEXT_GOT;
    }
    if (held && held->held & HELD_PRACTICE) {
        echo_taken(t, STANDING_HELD);
        return TEXT_PRACTICE_READING;
    }
    if (taken_last(t, STANDING_ASIDE)) {
        echo_taken(t, STANDING_ASIDE);
        return TEXT_ASIDE;
    }
    return TEXT_NONE;
}

/* Aside and doubtful: the form is not asked for before the patient has joined; YES is then consent. */
static enum text_kind opener_of_doubted(struct turn *t)
{
    if (t->r->person.state != PERSON_INVITED || !t->n_doubted || t->say.n_echo)
        return TEXT_NONE;
    const struct reading *x = reading_of(t->r, t->doubted[0]);
    say_echo(&t->say, x->sys, x->dia, x->pulse);
    return TEXT_ASIDE;
}

static void say_opener(struct turn *t)
{
    if (t->opener != TEXT_NONE) {
        if (!t->n_echoed) /* news beside readings: they are echoed first */
            say_part(&t->say, opener_of_taken(t));
        for (uint8_t i = 0; i < t->n_echoed; i++) {
            const struct reading *x = reading_of(t->r, t->echoed[i]);
            if (x)
                say_echo(&t->say, x->sys, x->dia, x->pulse);
        }
        say_part(&t->say, t->opener);
        return;
    }
    enum text_kind k = opener_of_taken(t);
    say_part(&t->say, k != TEXT_NONE ? k : opener_of_doubted(t));
}

static void desk_asks(struct turn *t)
{
    if (t->said.asks && !t->desk_told)
        desk_open(t, DESK_ASKS, 3, "The patient asks or tells something that a person should read.");
}

/* -- after a worry part: the echo before it, the question after it ------------------------------------------------- */

/* Of several accepted readings the one that a worry is about: a severe one, else the lowest. */
static const struct reading *most_worrying(const struct turn *t, unsigned *n)
{
    const struct reading *worst = NULL;

    *n = 0;
    for (uint16_t i = 0; i < t->n_taken; i++) {
        const struct reading *x = reading_of(t->r, t->taken[i]);
        if (!x || x->standing != STANDING_ACCEPTED)
            continue;
        ++*n;
        bool severe = figures_severe(t, (struct figures){x->sys, x->dia, x->pulse});
        bool worse = worst && (severe ? x->sys > worst->sys : x->sys < worst->sys &&
                               !figures_severe(t, (struct figures){worst->sys, worst->dia, worst->pulse}));
        if (!worst || worse)
            worst = x;
    }
    return worst;
}

/* One reading only: a long worry text must stay within two segments. */
static void echo_before_worry(struct turn *t)
{
    struct saying *s = &t->say;
    unsigned n;
    const struct reading *x = most_worrying(t, &n);

    if (s->n_parts >= SAYING_PARTS || !x)
        return;
    memmove(&s->parts[1], &s->parts[0], s->n_parts * sizeof s->parts[0]);
    s->parts[0] = n > 1 ? TEXT_GOT_AND_MORE : TEXT_GOT;
    s->n_parts++;
    say_echo(s, x->sys, x->dia, x->pulse);
    s->more = (int16_t)(n - 1);
}

/* A question may follow a worry reply. One that sends the patient to ring for help stands alone, nothing before it and
 * nothing after it: there a held number is for the desk. "The clinic sees this in working hours" would weaken
 * either. */
static void say_beside_worry(struct turn *t)
{
    uint8_t parts = t->say.n_parts;

    if (is_emergency(t->say.parts[0]))
        held_to_desk(t);
    else
        questions_of_text(t);
    if (t->say.n_parts == parts && !is_emergency(t->say.parts[0])) /* a question echoes by itself */
        echo_before_worry(t);
    desk_asks(t);
}

/* -- tails --------------------------------------------------------------------------------------------------------- */

static bool is_now(const struct turn *t, const struct reading *x)
{
    int32_t day;
    enum slot slot;

    sitting_of(t->r, SLOT_NONE, civil_at(&t->r->zone, t->in->received), &day, &slot, NULL);
    return x->day == day && x->slot == slot;
}

static bool differ_much(const struct record *r, const struct reading *x)
{
    int16_t first = SAID_NONE;

    for (size_t i = 0; i < r->n_readings; i++) {
        const struct reading *y = &r->readings[i];
        if (y->week != x->week || y->day != x->day || y->slot != x->slot || y->standing != STANDING_ACCEPTED)
            continue;
        if (first != SAID_NONE)
            return abs(first - y->sys) > r->protocol.third_reading_over;
        first = y->sys;
    }
    return false;
}

/* The reading that the rest of the reply is about: the last that was accepted by this text. */
static const struct reading *last_accepted(const struct turn *t)
{
    const struct reading *x = taken_last(t, STANDING_ACCEPTED);

    for (uint8_t i = t->n_echoed; i-- > 0 && !x;) {
        x = reading_of(t->r, t->echoed[i]);
        x = x && x->standing == STANDING_ACCEPTED ? x : NULL;
    }
    return x;
}

static void say_next_step(struct turn *t, const struct reading *x)
{
    int n = sitting_accepted(t->r, x->day, x->slot), wanted = per_sitting(t->r);

    if (!week_running(t->r) || !is_now(t, x) || !reading_fit(t->r, x) || follow_waits(t->r) || alert_open(t->r))
        return;
    if (n < wanted)
        say_part(&t->say, TEXT_SECOND_PLEASE);
    else if (n == wanted && wanted == 2 && differ_much(t->r, x))
        say_part(&t->say, TEXT_THIRD_PLEASE);
    else if (!say_has(&t->say, TEXT_GOT_EXTRA))
        say_part(&t->say, TEXT_SITTING_DONE);
}

/* While an alert of theirs is open, or a severe reading waits for its repeat, an office answer would be out of place. */
static enum text_kind help_now(const struct turn *t)
{
    if (!alert_open(t->r) && !follow_waits(t->r))
        return TEXT_NONE;
    for (size_t i = 0; i < t->r->n_alerts; i++)
        if (strcmp(t->r->alerts[i].cause, "self_harm") == 0)
            return TEXT_HELP_NOW_CRISIS;
    return expecting(t) ? TEXT_HELP_NOW_MATERNITY : TEXT_HELP_NOW;
}

/* "The clinic sees these texts in working hours", once a day; the desk every time. */
static void say_asks(struct turn *t)
{
    if (!t->said.asks)
        return;
    desk_asks(t);
    if (t->confirmation) /* of a STOP and the like: says whom to ring already, and nothing more is wanted */
        return;
    if (help_now(t) != TEXT_NONE) {
        if (!t->say.n_parts)
            say_part(&t->say, help_now(t));
        return;
    }
    bool told = sent_within(t->r, TEXT_CLINIC_SEES, t->m->now, ASKS_AGAIN) ||
                sent_within(t->r, TEXT_CLINIC_SEES_TAIL, t->m->now, ASKS_AGAIN);
    if (told)
        t->silence = "asks; told within the day when the clinic reads";
    else
        say_part(&t->say, t->say.n_parts ? TEXT_CLINIC_SEES_TAIL : TEXT_CLINIC_SEES);
}

/* -- nothing to take ----------------------------------------------------------------------------------------------- */

void not_understood(struct turn *t)
{
    if (++t->r->course.not_understood < UNDERSTOOD_NOT) {
        say_part(&t->say, TEXT_NOT_UNDERSTOOD);
        return;
    }
    desk_open(t, DESK_UNREADABLE, 3, "Texts of this patient could not be read twice in a row.");
    say_part(&t->say, TEXT_PERSON_WILL_LOOK);
}

static bool says_nothing(const struct turn *t)
{
    const struct meaning *m = &t->said;
    return !m->technique && !m->news && !m->flags && !m->flags_past && !m->asks && m->keyword == KEYWORD_NONE &&
           m->arm_cm <= 0 && m->cuff_cm[1] <= 0 && m->temp_c != m->temp_c;
}

/* "Yesterday morning", without the numbers, is no answer to when: the form is asked for again. */
static bool when_is_open(const struct turn *t)
{
    enum question_kind k = t->r->course.question.kind;
    return (k == QUESTION_WHEN || k == QUESTION_WHICH_DAYS) && question_open(t->r, t->m->now);
}

/* It may hold anything: in both languages whom to ring, and how to send a reading. */
static void say_other_language(struct turn *t)
{
    desk_open(t, DESK_UNREADABLE, 2, "A text in a language that we do not read.");
    if (!sent_within(t->r, TEXT_HELP, t->m->now, REMARK_AGAIN))
        say_part(&t->say, TEXT_HELP);
    else
        not_understood(t);
}

/* "Who is this?", "maybe": whoever was invited is asked once more, before anything else is said to them. */
static bool say_invitation(struct turn *t)
{
    if (t->r->person.state != PERSON_INVITED || t->said.keyword != KEYWORD_NONE ||
        sent_within(t->r, TEXT_INVITE_AGAIN, t->m->now, ASKS_AGAIN))
        return false;
    if (t->said.asks)
        desk_asks(t);
    say_part(&t->say, TEXT_INVITE_AGAIN);
    return true;
}

static void say_remark(struct turn *t)
{
    if (help_now(t) != TEXT_NONE) {
        if (t->in->empty || t->said.doubt || t->in->other_language || says_nothing(t))
            desk_open(t, DESK_UNREADABLE, 2, "A text that we could not read, while something of theirs is open.");
        say_part(&t->say, help_now(t));
        return;
    }
    if (says_nothing(t) && !t->said.doubt && !t->in->empty && when_is_open(t)) {
        question_again(t);
        return;
    }
    if (t->in->empty || t->said.doubt || t->in->other_language || (says_nothing(t) && !t->said.language[0])) {
        if (t->in->other_language)
            say_other_language(t);
        else
            not_understood(t);
        return;
    }
    t->r->course.not_understood = 0;
    if (t->said.technique || t->said.temp_c == t->said.temp_c) {
        say_part(&t->say, TEXT_THANKS_TECHNIQUE);
        say_part(&t->say, hint_next(t, NULL));
        return;
    }
    if (sent_within(t->r, TEXT_THANKS, t->m->now, REMARK_AGAIN))
        t->silence = "a remark; thanked within the hour";
    else
        say_part(&t->say, TEXT_THANKS);
}

void reply_compose(struct turn *t)
{
    if (!state_permits(t->r->person.state, PERMIT_REPLY) && !t->confirmation && !t->worry)
        t->silence = "this person is sent nothing";
    if (t->say.n_parts) {
        say_beside_worry(t);
        return;
    }
    say_opener(t);
    questions_of_text(t);
    if (t->say.n_parts)
        t->r->course.not_understood = t->unread ? t->r->course.not_understood : 0;
    const struct reading *x = last_accepted(t);
    bool asked = t->r->course.question.kind != QUESTION_NONE && t->r->course.question.text == t->in->text;
    if (x && !asked)
        say_next_step(t, x);
    say_part(&t->say, t->cuff_tail);
    if (!t->say.n_parts && !t->silence && help_now(t) == TEXT_NONE && say_invitation(t))
        return;
    say_asks(t);
    if (!t->say.n_parts && !t->silence)
        say_remark(t);
    else if (asked && !x && t->r->course.question.kind == QUESTION_MEASURE_AGAIN)
        say_part(&t->say, hint_of_technique(t->said.technique)); /* the one that fits */
    else if (x && !asked && !say_has(&t->say, TEXT_CLINIC_SEES_TAIL) && t->cuff_tail == TEXT_NONE)
        say_part(&t->say, hint_next(t, x));
}
