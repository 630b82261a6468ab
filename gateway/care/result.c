/* A week's result: means, spread, category and sittings, from the record and nothing else.
 *
 * One walk over the readings (some thirty a week) fills the tallies; every figure is read off them. A figure that
 * cannot be computed is NAN or "", never 0. Judged on what is shown: whole mmHg, half up.
 */
#include "gateway/care/result.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "gateway/care/cuff_fit.h"
#include "gateway/care/sitting.h"
#include "gateway/care/statistics.h"

enum { SITTINGS = 2 * WEEK_DAYS_MAX, INTERVAL_DAYS = 4 };

struct tally {
    struct series sys, dia, pulse;
};

struct tallies {
    struct tally all, morning, evening; /* counted */
    struct tally day[WEEK_DAYS_MAX];    /* counted, by day of the week */
    struct tally first_morning;         /* the first usable one of each morning, the first day's too */
    int32_t first_morning_day;          /* of the last one added */
    uint32_t technique[SITTINGS];       /* said with the accepted readings of a sitting */
    bool measured[SITTINGS];
};

static void tally_add(struct tally *t, const struct reading *x)
{
    series_add(&t->sys, x->sys);
    series_add(&t->dia, x->dia);
    if (x->pulse > 0)
        series_add(&t->pulse, x->pulse);
}

static struct mean tally_mean(const struct tally *t)
{
    return (struct mean){.sys = series_mean(&t->sys),
                         .dia = series_mean(&t->dia),
                         .pulse = series_mean(&t->pulse),
                         .n = t->sys.n,
                         .n_pulse = t->pulse.n};
}

/* -- sittings --------------------------------------------------------------------------------------------------------- */

/* The row of a sitting: days in order, within a day the window that begins first; -1 outside the week. */
static int sitting_index(const struct record *r, const struct week_result *out, int32_t day, enum slot slot)
{
    bool evening_first = person_window(r, SLOT_EVENING).from < person_window(r, SLOT_MORNING).from;
    int32_t first = r->week.first_day;

    if (first == DAY_NONE || day < first || day >= first + out->n_sittings / 2)
        return -1;
    return (int)(day - first) * 2 + ((slot == SLOT_EVENING) != evening_first);
}

static int days_wanted(const struct record *r)
{
    int days = r->week.days_wanted > 0 ? r->week.days_wanted : r->protocol.days;

    return days < WEEK_DAYS_MAX ? days : WEEK_DAYS_MAX;
}

/* When the week's first accepted reading was measured; sittings over by then were never wanted. */
static int64_t week_began(const struct record *r)
{
    int64_t began = INT64_MAX;

    for (size_t i = 0; i < r->n_readings; i++) {
        const struct reading *x = &r->readings[i];
        if (x->week == r->week.id && x->standing == STANDING_ACCEPTED && x->at < began)
            began = x->at;
    }
    return began;
}

static void lay_sittings(const struct record *r, int64_t now, struct week_result *out)
{
    int32_t first = r->week.first_day;
    int wanted = days_wanted(r);
    int64_t began = week_began(r);

    if (first == DAY_NONE)
        return;
    int64_t days = (int64_t)week_last_day(r) - first + 1;
    days = days < wanted ? wanted : days > WEEK_DAYS_MAX ? WEEK_DAYS_MAX : days;
    out->n_sittings = 2 * (int)days;
    for (int i = 0; i < out->n_sittings; i++) {
        int32_t day = first + i / 2;
        enum slot slot = sitting_index(r, out, day, SLOT_MORNING) == i ? SLOT_MORNING : SLOT_EVENING;
        int64_t end = sitting_end(r, day, slot);
        out->sittings[i] = (struct sitting){
            .day = day,
            .slot = slot,
            .wanted = (int16_t)(i / 2 < wanted && end > began ? per_sitting(r) : 0),
            .ended = end <= now,
            .left_out = day == first && !r->protocol.first_day_counted,
        };
    }
}

static void judge_sittings(const struct tallies *t, struct week_result *out)
{
    out->all_wanted_full = out->n_sittings > 0;
    for (int i = 0; i < out->n_sittings; i++) {
        const struct sitting *s = &out->sittings[i];
        if (s->wanted > 0) {
            out->last_wanted_full = s->accepted >= s->wanted;
            out->all_wanted_full &= out->last_wanted_full;
        }
        out->sittings_measured += t->measured[i];
        for (int b = 0; b < TECHNIQUE_COUNT; b++)
            out->technique[b] += (int16_t)(t->technique[i] >> b & 1);
    }
}

/* -- the walk --------------------------------------------------------------------------------------------------------- */

static void take_counted(const struct record *r, const struct reading *x, struct tallies *t)
{
    tally_add(&t->all, x);
    tally_add(x->slot == SLOT_EVENING ? &t->evening : &t->morning, x);
    if (r->week.first_day != DAY_NONE)
        tally_add(&t->day[x->day - r->week.first_day], x); /* in range: else it were not counted */
}

static void take_reading(const struct record *r, const struct reading *x, struct tallies *t,
                         struct week_result *out)
{
    int i = sitting_index(r, out, x->day, x->slot);
    bool usable = reading_usable(r, x), counted = reading_counted(r, x);

    if (counted)
        take_counted(r, x, t);
    if (usable && x->slot == SLOT_MORNING && x->day != t->first_morning_day) {
        tally_add(&t->first_morning, x);
        t->first_morning_day = x->day;
    }
    if (i < 0)
        return;
    out->sittings[i].accepted += usable;
    out->sittings[i].counted += counted;
    out->sittings[i].held += x->standing == STANDING_HELD;
    if (x->standing == STANDING_ACCEPTED) {
        t->measured[i] = true;
        t->technique[i] |= x->technique;
    }
}

/* Local days with an accepted reading; of a week that spans a change of medicine those after it. */
static int days_accepted(const struct record *r)
{
    int days = 0;

    for (size_t i = 0; i < r->n_readings; i++) {
        const struct reading *x = &r->readings[i];
        bool seen = x->week != r->week.id || x->standing != STANDING_ACCEPTED || reading_before_change(r, x);
        for (size_t j = 0; j < i && !seen; j++)
            seen = r->readings[j].week == x->week && r->readings[j].standing == STANDING_ACCEPTED &&
                   r->readings[j].day == x->day;
        days += !seen;
    }
    return days;
}

/* -- what is read off ------------------------------------------------------------------------------------------------ */

/* Whether a mean, as shown, is at or above a line in either pressure. */
static bool mean_reaches(const struct mean *m, int sys, int dia)
{
    return m->n > 0 && (stat_half_up(m->sys) >= sys || stat_half_up(m->dia) >= dia);
}

/* How many lines a mean reaches; -1 without readings. */
static int lines_reached(const struct protocol *p, const struct mean *m)
{
    int n = 0;

    if (m->n == 0)
        return -1;
    while (n < p->n_lines && mean_reaches(m, p->lines[n].sys, p->lines[n].dia))
        n++;
    return n;
}

static void name_category(const struct protocol *p, int lines, char category[40])
{
    if (lines >= 0)
        snprintf(category, 40, "%s", lines == 0 ? "below" : p->lines[lines - 1].category);
}

/* The adult lines do not apply: on some day of the week the patient was pregnant, or had given birth lately. */
static bool week_expecting(const struct record *r)
{
    return person_expecting(r, r->week.first_day) || person_expecting(r, week_last_day(r));
}

static void categorise(const struct record *r, struct week_result *out)
{
    const struct protocol *p = &r->protocol;

    if (!out->enough || week_expecting(r))
        return;
    if (!p->apart) {
        name_category(p, lines_reached(p, &out->all), out->category);
        return;
    }
    int morning = lines_reached(p, &out->morning), evening = lines_reached(p, &out->evening);
    name_category(p, morning, out->category_morning);
    name_category(p, evening, out->category_evening);
    name_category(p, morning > evening ? morning : evening, out->category);
}

/* 95 % interval and the chance of a true mean at or above `line`, by Student's t over the day means, centred on the pooled
 * mean. Days that were all alike give none: an interval of no width would claim too much. */
static void interval(const struct series *days, double mean, double line, double between[2], double *chance)
{
    if (days->n < INTERVAL_DAYS)
        return;
    double error = series_sd(days) / sqrt(days->n);
    if (!(error > 0))
        return;
    double half = stat_t_quantile(0.975, days->n - 1) * error;
    between[0] = mean - half, between[1] = mean + half;
    *chance = stat_t_tail((line - mean) / error, days->n - 1);
}

static void find_intervals(const struct record *r, const struct tallies *t, struct week_result *out)
{
    struct series sys = {0}, dia = {0};

    if (cuff_misfits(week_cuff_fit(r)) || r->person.af || quality_has(out, "wrist") ||
        quality_has(out, "rounded"))
        return;
    for (int i = 0; i < WEEK_DAYS_MAX; i++)
        if (t->day[i].sys.n > 0) {
            series_add(&sys, series_mean(&t->day[i].sys));
            series_add(&dia, series_mean(&t->day[i].dia));
        }
    interval(&sys, out->all.sys, out->threshold.sys, out->interval_sys, &out->chance_sys);
    interval(&dia, out->all.dia, out->threshold.dia, out->interval_dia, &out->chance_dia);
    if (week_expecting(r))
        out->chance_sys = out->chance_dia = NAN; /* the line does not apply */
}

static void find_figures(const struct tallies *t, struct week_result *out)
{
    out->all = tally_mean(&t->all);
    out->morning = tally_mean(&t->morning);
    out->evening = tally_mean(&t->evening);
    out->sd_sys = series_sd(&t->all.sys), out->sd_dia = series_sd(&t->all.dia);
    out->cv_sys = series_cv(&t->all.sys), out->cv_dia = series_cv(&t->all.dia);
    out->arv_sys = series_arv(&t->all.sys), out->arv_dia = series_arv(&t->all.dia);
    out->first_morning_cv_sys = series_cv(&t->first_morning.sys);
    out->first_morning_cv_dia = series_cv(&t->first_morning.dia);
    out->interval_sys[0] = out->interval_sys[1] = out->interval_dia[0] = out->interval_dia[1] = NAN;
    out->chance_sys = out->chance_dia = NAN;
}

void week_result(const struct record *r, int64_t now, struct week_result *out)
{
    struct tallies t = {.first_morning_day = DAY_NONE};

    memset(out, 0, sizeof *out);
    if (r->protocol.n_lines > 0)
        out->threshold.sys = r->protocol.lines[0].sys, out->threshold.dia = r->protocol.lines[0].dia;
    lay_sittings(r, now, out);
    for (size_t i = 0; i < r->n_readings; i++)
        take_reading(r, &r->readings[i], &t, out);
    judge_sittings(&t, out);
    find_figures(&t, out);
    out->days_accepted = days_accepted(r);
    out->enough = out->days_accepted >= r->protocol.fewest_days && out->all.n >= r->protocol.fewest_readings;
    snprintf(out->cuff, sizeof out->cuff, "%s", cuff_fit_word(week_cuff_fit(r)));
    categorise(r, out);
    pattern_find(r, out);
    quality_find(r, out);
    find_intervals(r, &t, out);
}
