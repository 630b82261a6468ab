/* Is a reading believable? What speaks against it, as bits; none: it is accepted.
 *
 * Doubt asks and marks, it never drops and never changes a number: editing hardly moves a mean but shrinks its spread
 * (Berardi 1992). Limits are those commonly used to edit 24-hour recordings (from memory, confirm against the
 * original); the outlier line is ours, no source. A patient is asked about one reading in some hundreds.
 */
#include "gateway/care/inside.h"

#include <math.h>
#include <stdlib.h>

enum {
    SYS_LEAST = 70, SYS_MOST = 260, DIA_LEAST = 40, DIA_MOST = 150, PULSE_LEAST = 30, PULSE_MOST = 200,
    GAP_LEAST = 15, GAP_MOST = 120,
    OUTLIER_FROM = 4,          /* accepted readings of the week before there is a median to be far from */
    OUTLIER_SYS = 30, OUTLIER_DIA = 20, OUTLIER_AF_SYS = 40, OUTLIER_AF_DIA = 27,
    REPEAT_WITHIN = 3 * MINUTES,
    OLD_AFTER = 48 * HOURS,
    FUTURE_AFTER = 15 * MINUTES, /* clocks of monitors and phones differ; ours */
    OUTLIER_READINGS = 256
};
static const double OUTLIER_SD = 3.5, OUTLIER_AF_SD = 4;

static bool beyond(int16_t x, int16_t least, int16_t most)
{
    return x < least || x > most;
}

/* A diastolic on this side of the limits was confirmed once this week: it is not asked about again. */
static bool dia_known(const struct turn *t, int16_t dia)
{
    int16_t known = t->r->course.dia_confirmed;
    return known && ((dia < DIA_LEAST && known < DIA_LEAST) || (dia > DIA_MOST && known > DIA_MOST));
}

static bool past_limits(const struct turn *t, const struct reading *x)
{
    int gap = x->sys - x->dia;

    if (beyond(x->sys, SYS_LEAST, SYS_MOST) || (x->pulse && beyond(x->pulse, PULSE_LEAST, PULSE_MOST)))
        return true;
    if (dia_known(t, x->dia))
        return false;
    return beyond(x->dia, DIA_LEAST, DIA_MOST) || gap < GAP_LEAST || gap > GAP_MOST;
}

static int by_value(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double median(double *v, size_t n)
{
    qsort(v, n, sizeof *v, by_value);
    return n % 2 ? v[n / 2] : (v[n / 2 - 1] + v[n / 2]) / 2;
}

static double sample_sd(const double *v, size_t n)
{
    double mean = 0, squares = 0;

    for (size_t i = 0; i < n; i++)
        mean += v[i] / (double)n;
    for (size_t i = 0; i < n; i++)
        squares += (v[i] - mean) * (v[i] - mean);
    return sqrt(squares / (double)(n - 1));
}

static bool far(double x, double *v, size_t n, double least, double sds)
{
    double spread = sds * sample_sd(v, n), line = spread > least ? spread : least;
    return fabs(x - median(v, n)) > line;
}

static bool is_outlier(const struct turn *t, const struct reading *x)
{
    double sys[OUTLIER_READINGS], dia[OUTLIER_READINGS];
    bool af = t->r->person.af;
    size_t n = 0;

    for (size_t i = 0; i < t->r->n_readings && n < OUTLIER_READINGS; i++) {
        const struct reading *y = &t->r->readings[i];
        if (y->week != t->r->week.id || y->standing != STANDING_ACCEPTED || y->id == x->id)
            continue;
        sys[n] = y->sys;
        dia[n++] = y->dia;
    }
    if (n < OUTLIER_FROM)
        return false;
    return far(x->sys, sys, n, af ? OUTLIER_AF_SYS : OUTLIER_SYS, af ? OUTLIER_AF_SD : OUTLIER_SD) ||
           far(x->dia, dia, n, af ? OUTLIER_AF_DIA : OUTLIER_DIA, af ? OUTLIER_AF_SD : OUTLIER_SD);
}

/* The same three numbers came in the last text before this one, within three minutes. */
static bool is_repeat(const struct turn *t, const struct reading *x)
{
    int64_t last = 0, when = INSTANT_NONE;

    for (size_t i = 0; i < t->r->n_readings; i++) {
        const struct reading *y = &t->r->readings[i];
        if (y->text && y->text != x->text && y->received >= when)
            when = y->received, last = y->text;
    }
    if (!last || x->received - when >= REPEAT_WITHIN)
        return false;
    for (size_t i = 0; i < t->r->n_readings; i++) {
        const struct reading *y = &t->r->readings[i];
        if (y->text == last && y->sys == x->sys && y->dia == x->dia && y->pulse == x->pulse)
            return true;
    }
    return false;
}

/* Its time cannot be right, or not be placed. Before the first reading the week reaches back to the day before it
 * opened. */
static bool is_out_of_time(const struct turn *t, const struct reading *x, const struct said *said)
{
    const struct week *w = &t->r->week;
    bool began = w->first_day != DAY_NONE;

    if (x->at > x->received + FUTURE_AFTER || (began && x->day < w->first_day))
        return true;
    if (!began && w->id && x->day < day_of(t->r, w->opened_at) - 1)
        return true;
    if (week_ended(t->r) && x->week)
        return true; /* late for a week whose summary has gone */
    return said->day == DAY_UNSAID && x->received - x->at > OLD_AFTER;
}

uint16_t reading_doubts(const struct turn *t, const struct reading *x, const struct said *said)
{
    uint16_t bits = 0;

    if (past_limits(t, x))
        bits |= HELD_LIMITS;
    else if (is_outlier(t, x))
        bits |= HELD_OUTLIER;
    if (!said)
        return bits;
    if (t->r->week.state == WEEK_READY || (t->r->person.start != DAY_NONE && x->day < t->r->person.start))
        return bits | HELD_PRACTICE;
    if (is_repeat(t, x))
        bits |= HELD_REPEAT;
    if (is_out_of_time(t, x, said))
        bits |= HELD_WHEN;
    return bits;
}
