/* Each way in which a number could be meant, so that worry is judged on all of them.
 *
 * A lone number is a systolic one, unless what came just before it says otherwise: many people text the top number, the
 * bottom number and the pulse one after the other, and the bottom one alone would be a false alarm. Must never change a
 * number: this is for judging only.
 */
#include "gateway/care/inside.h"

enum {
    HUMAN_SYS_LEAST = 50, HUMAN_SYS_MOST = 300, HUMAN_DIA_LEAST = 20, HUMAN_DIA_MOST = 200,
    HUMAN_PULSE_LEAST = 20, HUMAN_PULSE_MOST = 250, /* the parser's limits: no human reading beyond */
    CMHG_BELOW = 30, PAIR_GAP = 15,
    PULSE_USUAL_LEAST = 41, PULSE_USUAL_MOST = 130 /* within the lines of the pulse's own row */
};

static int16_t human(int16_t x, int least, int most)
{
    return x >= least && x <= most ? x : SAID_NONE;
}

struct figures figures_human(int16_t sys, int16_t dia, int16_t pulse)
{
    return (struct figures){human(sys, HUMAN_SYS_LEAST, HUMAN_SYS_MOST), human(dia, HUMAN_DIA_LEAST, HUMAN_DIA_MOST),
                            human(pulse, HUMAN_PULSE_LEAST, HUMAN_PULSE_MOST)};
}

/* Of numbers that pair up in more than one way ("132 and 84") the largest is a systolic; another that is far enough
 * below it is a diastolic. */
static struct figures pairing(const struct turn *t, int16_t number)
{
    int16_t largest = number;

    for (unsigned i = 0; i < t->said.doubtful.n; i++) {
        const struct said *s = &t->said.doubtful.at[i];
        if (s->doubt & DOUBT_PAIRING && s->dia == SAID_NONE && s->sys > largest)
            largest = s->sys;
    }
    return largest - number < PAIR_GAP ? figures_human(number, SAID_NONE, SAID_NONE)
                                       : figures_human(SAID_NONE, number, SAID_NONE);
}

/* The reading of an earlier text, at most ten minutes old, `back` of them ago; NULL when there is none. */
static const struct reading *piece_before(const struct turn *t, int back)
{
    for (size_t i = t->r->n_readings; i-- > 0;) {
        const struct reading *x = &t->r->readings[i];
        if (t->in && x->text == t->in->text)
            continue;
        if (!x->text || t->m->now - x->received > PIECES_WITHIN)
            return NULL;
        if (back-- == 0)
            return x;
    }
    return NULL;
}

static bool is_lone(const struct reading *x)
{
    return x && x->doubt & DOUBT_ONE_NUMBER && x->sys > 0 && x->dia <= 0;
}

/* "132", then "84", then "71": each in a text of its own. A number that could still be the next systolic stays one. */
static struct figures lone(const struct turn *t, int16_t number)
{
    const struct reading *last = piece_before(t, 0), *one_before = piece_before(t, 1);
    bool pulse = number >= PULSE_USUAL_LEAST && number <= PULSE_USUAL_MOST;

    if (is_lone(last) && last->sys - number >= PAIR_GAP && last->sys > PULSE_USUAL_LEAST)
        return figures_human(SAID_NONE, number, SAID_NONE);
    bool pair = last && last->dia > 0 && last->pulse <= 0;
    bool pieces = is_lone(last) && is_lone(one_before) && one_before->sys - last->sys >= PAIR_GAP;
    if (pulse && (pair || pieces))
        return figures_human(SAID_NONE, SAID_NONE, number);
    return figures_human(number, SAID_NONE, SAID_NONE);
}

int figures_ways(const struct turn *t, const struct said *s, struct figures f[FIGURES_WAYS])
{
    int n = 0;
    bool pair = s->sys != SAID_NONE && s->dia != SAID_NONE;

    if (!pair && s->sys != SAID_NONE) {
        f[0] = s->doubt & DOUBT_PAIRING ? pairing(t, s->sys) : lone(t, s->sys);
        return 1;
    }

    struct figures round = figures_human(s->dia, s->sys, s->pulse);
    bool swapped = pair && s->sys < s->dia && round.sys != SAID_NONE && round.dia != SAID_NONE;
    f[n++] = swapped ? round : figures_human(s->sys, s->dia, s->pulse);
    if (pair && s->sys < CMHG_BELOW && s->dia < CMHG_BELOW)
        f[n++] = figures_human((int16_t)(s->sys * 10), (int16_t)(s->dia * 10), s->pulse);
    return n;
}
