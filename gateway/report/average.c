/* The average in words: what it is, against which line, how sure, and how the readings vary around it.
 *
 * No category without enough readings, none in pregnancy; a figure that care does not give is not made up, and why it is
 * missing is said. All figures as shown: whole mmHg, half up.
 */
#include "gateway/report/model.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "gateway/care/cuff_fit.h"
#include "gateway/care/statistics.h"

/* Juhanoja 2017, J Hypertens: variability of the first morning reading; 11.0 and 12.8 % (abstract: 10.7 and 12.6). */
static const double variable_sys = 11.0, variable_dia = 12.8;

enum { INTERVAL_DAYS = 4 };

static int counted_days(const struct record *r)
{
    int days = 0;
    for (size_t i = 0; i < r->n_readings; i++) {
        bool seen = !reading_counted(r, &r->readings[i]);
        for (size_t k = 0; k < i && !seen; k++)
            seen = r->readings[k].day == r->readings[i].day && reading_counted(r, &r->readings[k]);
        days += !seen;
    }
    return days;
}

static void average_itself(struct report *r)
{
    const struct mean *m = &r->result->all;
    int days = counted_days(r->record);
    r->has_mean = m->n > 0;
    if (!r->has_mean) {
        SAY(r->average, "No reading is counted yet.");
        return;
    }
    r->sys = stat_half_up(m->sys);
    r->dia = stat_half_up(m->dia);
    r->pulse = m->n_pulse ? stat_half_up(m->pulse) : 0;
    SAY(r->average, "Average%s of %d counted reading%s on %d day%s", week_finished(&r->record->week) ? "" : " so far,", m->n,
        plural(m->n), days, plural(days));
    if (r->pulse)
        say_add(r->average, sizeof r->average, ", pulse %d a minute", r->pulse);
}

/* -- against the lines --------------------------------------------------------------------------------------------------- */

static void lines_list(const struct protocol *p, char *to, size_t size)
{
    to[0] = '\0';
    for (int i = 0; i < p->n_lines; i++) {
        bool named = strncmp(p->lines[i].category, "at or above", 11) != 0;
        say_add(to, size, "%s%s%s%d/%d", i ? ", " : "", named ? p->lines[i].category : "", named ? " " : "", p->lines[i].sys,
                p->lines[i].dia);
    }
}

static void category_words(const struct protocol *p, const char *category, char *to, size_t size)
{
    char lines[160];
    if (strcmp(category, "below") == 0) {
        say_to(to, size, "Below %d/%d, %s of this protocol for a home average.", p->lines[0].sys, p->lines[0].dia,
               p->n_lines > 1 ? "the lowest line" : "the line");
        return;
    }
    lines_list(p, lines, sizeof lines);
    if (p->n_lines > 1)
        say_to(to, size, "%s, by this protocol's lines for a home average: %s.", category, lines);
    else
        say_to(to, size, "%s, the line of this protocol for a home average.", category);
    to[0] = (char)toupper((unsigned char)to[0]);
}

static void judged_words(struct report *r)
{
    const struct week_result *w = r->result;
    const struct protocol *p = &r->record->protocol;
    if (!w->enough)
        SAY(r->judged,
            "Not enough readings for a category: %d counted and %d day%s with a reading, of the %d and %d that are needed.",
            w->all.n, w->days_accepted, plural(w->days_accepted), p->fewest_readings, p->fewest_days);
    else if (!w->category[0])
        SAY(r->judged, "No category: pregnant, or within six weeks after birth. The lines for other adults do not apply.");
    else
        category_words(p, w->category, r->judged, sizeof r->judged);
    if (w->enough && w->category[0] && p->apart)
        say_add(r->judged, sizeof r->judged, " Mornings: %s. Evenings: %s. Judged apart; the worse one leads.",
                w->category_morning[0] ? w->category_morning : "none", w->category_evening[0] ? w->category_evening : "none");
}

/* -- how sure ------------------------------------------------------------------------------------------------------------ */

static const char *why_unsure(const struct report *r)
{
    if (!r->has_mean)
        return "";
    if (cuff_misfits(week_cuff_fit(r->record)))
        return "How sure this is cannot be said: the cuff does not fit.";
    if (r->record->person.af)
        return "How sure this is cannot be said: with atrial fibrillation readings differ too much from beat to beat.";
    if (report_has(r, "wrist"))
        return "How sure this is cannot be said: the monitor is a wrist monitor.";
    if (report_has(r, "rounded"))
        return "How sure this is cannot be said: the figures look rounded.";
    if (counted_days(r->record) < INTERVAL_DAYS)
        return "How sure this is can be said once four days are counted.";
    return "How sure this is cannot be said: the day averages are all alike.";
}

static void chance_words(double chance, char words[24])
{
    double percent = 100 * chance;
    if (percent < 1)
        say_to(words, 24, "under 1\u00a0%%");
    else if (percent > 99)
        say_to(words, 24, "over 99\u00a0%%");
    else
        say_to(words, 24, "%d\u00a0%%", stat_half_up(percent));
}

static void sure_words(struct report *r)
{
    const struct week_result *w = r->result;
    bool sys = isfinite(w->interval_sys[0]), dia = isfinite(w->interval_dia[0]);
    char a[24], b[24];
    if (!sys && !dia) {
        SAY(r->sure, "%s", why_unsure(r));
        return;
    }
    SAY(r->sure, "Likely between ");
    if (sys)
        say_add(r->sure, sizeof r->sure, "%d and %d systolic", stat_half_up(w->interval_sys[0]),
                stat_half_up(w->interval_sys[1]));
    if (dia)
        say_add(r->sure, sizeof r->sure, "%s%d and %d diastolic", sys ? ", " : "", stat_half_up(w->interval_dia[0]),
                stat_half_up(w->interval_dia[1]));
    say_add(r->sure, sizeof r->sure, " (95 %% interval over the day averages); another week may differ by 5 or more.");
    if (isnan(w->chance_sys) || isnan(w->chance_dia))
        return;
    chance_words(w->chance_sys, a);
    chance_words(w->chance_dia, b);
    say_add(r->sure, sizeof r->sure, " Chance that the true average is at or above %d systolic: %s; %d diastolic: %s.",
            w->threshold.sys, a, w->threshold.dia, b);
}

/* -- the small table ------------------------------------------------------------------------------------------------------ */

static void figure_of(struct report *r, const char *what, const struct mean *m)
{
    struct report_figure *f = &r->figures[r->n_figures++];
    SAY(f->what, "%s", what);
    f->n = m->n;
    if (m->n)
        SAY(f->pressure, "%d/%d", stat_half_up(m->sys), stat_half_up(m->dia));
    else
        SAY(f->pressure, "none");
    if (m->n_pulse)
        SAY(f->pulse, "%d", stat_half_up(m->pulse));
}

static void signed_words(double x, char words[12])
{
    int whole = stat_half_up(x);
    say_to(words, 12, "%s%d", whole < 0 ? "−" : whole > 0 ? "+" : "", whole < 0 ? -whole : whole);
}

static void figures_words(struct report *r)
{
    const struct week_result *w = r->result;
    char a[12], b[12];
    figure_of(r, "Average", &w->all);
    figure_of(r, "After waking (morning)", &w->morning);
    figure_of(r, "Before sleep (evening)", &w->evening);
    if (!w->morning.n || !w->evening.n)
        return;
    struct report_figure *f = &r->figures[r->n_figures++];
    signed_words(w->morning.sys - w->evening.sys, a);
    signed_words(w->morning.dia - w->evening.dia, b);
    SAY(f->what, "Morning minus evening");
    SAY(f->pressure, "%s/%s", a, b);
}

static void variation_words(struct report *r)
{
    const struct week_result *w = r->result;
    if (isfinite(w->sd_sys) && isfinite(w->sd_dia))
        say(&r->variation, TONE_PLAIN, "", "Spread of the counted readings (SD) %.1f/%.1f, or %.1f/%.1f %% of the average (CV).",
            w->sd_sys, w->sd_dia, w->cv_sys, w->cv_dia);
    if (isfinite(w->arv_sys) && isfinite(w->arv_dia))
        say(&r->variation, TONE_PLAIN, "", "From one reading to the next they change by %.1f/%.1f on average (ARV).", w->arv_sys,
            w->arv_dia);
    if (!isfinite(w->first_morning_cv_sys) || !isfinite(w->first_morning_cv_dia))
        return;
    bool over = w->first_morning_cv_sys > variable_sys || w->first_morning_cv_dia > variable_dia;
    say(&r->variation, over ? TONE_ATTENTION : TONE_PLAIN, "",
        "First reading of each morning: CV %.1f/%.1f %%%s.", w->first_morning_cv_sys, w->first_morning_cv_dia,
        over ? ", over 11.0 or 12.8 %, a line for high variability from day to day (Juhanoja 2017)" : "");
}

void average_words(struct report *r)
{
    average_itself(r);
    judged_words(r);
    sure_words(r);
    figures_words(r);
    variation_words(r);
}
