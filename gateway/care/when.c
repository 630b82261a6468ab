/* "When did you measure it?" and "on which days?": what answers them is put where it says, in the row that is held.
 *
 * A bare day or time ("yesterday morning") is for all that was asked about; numbers that come again with a day are for those
 * numbers. They are no new measurement: nothing is taken twice, asked about as a repeat, or worried about again. Must never
 * guess: a reading that is still in the future is asked about again, one from before day 1 is for the desk.
 */
#include "gateway/care/inside.h"

enum { CLOCKS_DIFFER = 15 * MINUTES, ANSWERED_SOON = 60 * MINUTES };

bool when_asked(const struct question *q)
{
    return q->kind == QUESTION_WHEN || q->kind == QUESTION_WHICH_DAYS;
}

bool care_asks_when(const struct record *r, int64_t now)
{
    return when_asked(&r->course.question) && question_open(r, now);
}

bool said_when(const struct said *s)
{
    return s->day != DAY_UNSAID || s->slot != SLOT_NONE || s->minute != MINUTE_UNSAID;
}

/* The row as it stands with this day and time. Where they leave something open, it was when it was sent. */
static struct reading placed(struct turn *t, const struct reading *held, const struct said *when)
{
    struct inbound as_sent = *t->in;
    const struct inbound *in = t->in;
    struct reading x = *held, y;
    struct said s = *when;

    s.sys = x.sys, s.dia = x.dia, s.pulse = x.pulse, s.arm = x.arm, s.posture = x.posture, s.doubt = 0;
    as_sent.sent = x.received;
    t->in = &as_sent;
    reading_fill(t, &y, &s);
    t->in = in;
    x.at = y.at, x.minute = y.minute, x.day = y.day, x.slot = y.slot, x.week = y.week;
    x.off_time = y.off_time, x.sent_late = y.sent_late;
    return x;
}

/* True when it is settled, accepted or at the desk; false when it cannot have been then. */
static bool date(struct turn *t, int64_t id, const struct said *when)
{
    struct reading x = placed(t, reading_of(t->r, id), when);

    if (x.at > x.received + CLOCKS_DIFFER)
        return false;
    uint16_t held = reading_doubts(t, &x, when) & (uint16_t)~HELD_REPEAT;
    x.standing = held ? STANDING_HELD : STANDING_ACCEPTED;
    care_put_reading(t->r, &x, t->out);
    if (held) {
        desk_open_reading(t, DESK_HELD, 4, id, "Its day is known now, and it is still held: accept it or void it.");
        return true;
    }
    desk_close_reading(t, id);
    turn_echo(t, id);
    return true;
}

/* Settles one held reading of the question; what is left of it stays asked about. */
static bool settle(struct turn *t, uint8_t i, const struct said *when)
{
    struct question *q = &t->r->course.question;
    const struct reading *x = reading_of(t->r, q->readings[i]);

    if (x && x->standing == STANDING_HELD && !date(t, x->id, when))
        return false;
    for (q->n_readings--; i < q->n_readings; i++)
        q->readings[i] = q->readings[i + 1];
    return true;
}

static int asked_about(struct turn *t, const struct said *s)
{
    const struct question *q = &t->r->course.question;

    for (uint8_t i = 0; i < q->n_readings; i++) {
        const struct reading *x = reading_of(t->r, q->readings[i]);
        if (x && x->standing == STANDING_HELD && x->sys == s->sys && x->dia == s->dia &&
            (!s->pulse || !x->pulse || s->pulse == x->pulse))
            return i;
    }
    return -1;
}

/* The numbers once more, each with its day or time; without one they answer nothing. Others of the text stay in it: they
 * are new. */
static unsigned answer_by_numbers(struct turn *t)
{
    bool soon = t->m->now - t->r->course.question.asked_at < ANSWERED_SOON;
    struct said_list *list = &t->said.readings;
    unsigned n = 0;
    uint16_t kept = 0, bare = 0;

    for (uint16_t i = 0; i < list->n; i++) {
        int which = asked_about(t, &list->at[i]);
        bool when = said_when(&list->at[i]);
        if (which >= 0 && when && settle(t, (uint8_t)which, &list->at[i]))
            n++;
        else if (which >= 0 && !when && soon)
            bare++;
        else
            list->at[kept++] = list->at[i];
    }
    list->n = kept;
    if (bare && !n && !kept)
        question_again(t);
    return n;
}

static unsigned answer_at_once(struct turn *t)
{
    unsigned n = 0;

    for (uint8_t i = 0; i < t->r->course.question.n_readings;)
        if (settle(t, i, &t->said.moment))
            n++;
        else
            i++;
    return n;
}

void when_answer(struct turn *t)
{
    if (!care_asks_when(t->r, t->m->now) || t->said.amend != AMEND_NONE)
        return;
    unsigned n = said_when(&t->said.moment) ? answer_at_once(t) : answer_by_numbers(t);
    if (t->r->course.question.n_readings == 0)
        question_none(t);
    if (n == 0)
        return;
    t->opener = t->n_echoed > SAYING_ECHO ? TEXT_GOT_AND_MORE : t->n_echoed ? TEXT_GOT : TEXT_THANKS;
    week_settle(t);
}
