/* A pulse that comes by itself: "pulse 71" belongs to the reading just sent without one; "the pulse was 66, not 70" puts one
 * right.
 *
 * Must never take a number for a pulse that was not called one, nor give a reading a second pulse unasked. What it says of the
 * heart is judged in worry.c like any pulse.
 */
#include "gateway/care/inside.h"

/* The text's one number, when it is called a pulse and nothing else is in it. */
static const struct said *lone_pulse(const struct turn *t)
{
    const struct said *s = &t->said.doubtful.at[0];
    bool one = t->said.doubtful.n == 1 && t->said.readings.n == 0;

    return one && s->sys == SAID_NONE && s->dia == SAID_NONE && s->pulse != SAID_NONE &&
                   !(s->doubt & (DOUBT_OUT_OF_RANGE | DOUBT_NOT_OWN | DOUBT_UNCERTAIN)) ? s : NULL;
}

/* The newest pair that stands: the one with this pulse, or, for SAID_NONE, whichever. */
static const struct reading *newest(const struct turn *t, int16_t pulse)
{
    for (size_t i = t->r->n_readings; i-- > 0;) {
        const struct reading *x = &t->r->readings[i];
        if (reading_stands(x) && x->sys != SAID_NONE && x->dia != SAID_NONE && (pulse == SAID_NONE || x->pulse == pulse))
            return x;
    }
    return NULL;
}

/* Made a correction of the whole reading, which amend.c then acts on. */
static void pulse_corrects(struct turn *t, const struct said *pulse)
{
    const struct said *wrong = t->said.rejected.n ? &t->said.rejected.at[0] : NULL;
    const struct reading *x = newest(t, wrong ? wrong->pulse : SAID_NONE);

    if (!x || x->pulse == SAID_NONE)
        return;
    t->said.readings.at[0] = (struct said){.sys = x->sys, .dia = x->dia, .pulse = pulse->pulse, .day = DAY_UNSAID,
                                           .minute = MINUTE_UNSAID, .arm = x->arm, .posture = x->posture};
    t->said.readings.n = 1;
    t->said.doubtful.n = 0;
}

void pulse_heard(struct turn *t)
{
    const struct said *s = lone_pulse(t);
    const struct reading *x = newest(t, SAID_NONE);

    if (!s)
        return;
    if (t->said.amend == AMEND_CORRECT) {
        pulse_corrects(t, s);
        return;
    }
    if (t->said.amend != AMEND_NONE || !x || x->pulse != SAID_NONE || t->m->now - x->received > PIECES_WITHIN)
        return;
    struct reading row = *x;
    row.pulse = s->pulse;
    care_put_reading(t->r, &row, t->out);
    turn_echo(t, row.id);
    t->opener = t->r->person.state == PERSON_INVITED ? TEXT_ASIDE : TEXT_GOT;
}
