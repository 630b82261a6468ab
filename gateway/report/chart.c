/* The chart's geometry; see chart.h. The axis runs from 40 to 200 and is widened by 20 at a time, only if it must be.
 *
 * Must never leave a reading of the week undrawn, void ones and those with one number apart: these stand in the table. Labels
 * never stand on each other: they are moved apart, the lines are not.
 */
#include "gateway/report/chart.h"

#include <stdlib.h>
#include <string.h>

#include "gateway/report/model.h"

enum { AXIS_LOW = 40, AXIS_HIGH = 200, AXIS_STEP = 20, DAYS_WITH_NAMES = 10 };

static double y_of(const struct chart *c, double mmhg)
{
    return (c->high - mmhg) / (c->high - c->low);
}

static bool drawn(const struct reading *x)
{
    return x->sys > 0 && x->dia > 0 && x->standing != STANDING_VOID && x->standing != STANDING_REPLACED;
}

/* The sitting's place among the result's; -1 when the reading lies outside the week. */
static int place_of(const struct week_result *w, const struct reading *x)
{
    for (int i = 0; i < w->n_sittings; i++)
        if (w->sittings[i].day == x->day && w->sittings[i].slot == x->slot)
            return i;
    return -1;
}

/* -- axis, days, sittings -------------------------------------------------------------------------------------------------- */

static void axis_widen(struct chart *c, int least, int most)
{
    while (least < c->low && c->low > 0)
        c->low -= AXIS_STEP;
    while (most > c->high && c->high < 400)
        c->high += AXIS_STEP;
}

static void axis_make(struct chart *c, const struct report *r)
{
    const struct protocol *p = &r->record->protocol;
    c->low = AXIS_LOW;
    c->high = AXIS_HIGH;
    for (size_t i = 0; i < r->n_readings; i++)
        if (drawn(r->readings[i].reading) && place_of(r->result, r->readings[i].reading) >= 0)
            axis_widen(c, r->readings[i].reading->dia, r->readings[i].reading->sys);
    for (int i = 0; i < p->n_lines; i++)
        axis_widen(c, p->lines[i].dia, p->lines[i].sys);
    for (int v = c->low; v <= c->high && c->n_ticks < CHART_TICKS_MAX; v += AXIS_STEP)
        c->ticks[c->n_ticks++] = (struct chart_tick){.y = y_of(c, v), .value = v};
}

static void days_make(struct chart *c, const struct report *r)
{
    const struct week_result *w = r->result;
    c->n_days = w->n_sittings / 2;
    for (int i = 0; i < c->n_days; i++) {
        struct chart_day *d = &c->days[i];
        char words[DAY_WORDS];
        d->from = (double)i / c->n_days;
        d->to = (double)(i + 1) / c->n_days;
        d->left_out = w->sittings[2 * i].left_out;
        if (c->n_days > DAYS_WITH_NAMES && i % 2)
            continue;
        day_words(w->sittings[2 * i].day, words);
        SAY(d->weekday, "%.3s", words);
        SAY(d->date, "%.*s", (int)strcspn(words + 4, " "), words + 4);
    }
}

static void sittings_make(struct chart *c, const struct report *r)
{
    const struct week_result *w = r->result;
    c->n_sittings = w->n_sittings;
    for (int i = 0; i < w->n_sittings; i++)
        c->sittings[i] = (struct chart_sitting){
            .from = (double)i / w->n_sittings,
            .to = (double)(i + 1) / w->n_sittings,
            .missed = w->sittings[i].wanted > 0 && w->sittings[i].ended && !w->sittings[i].accepted && !w->sittings[i].held,
        };
    for (size_t i = 0; i < r->n_readings; i++) {
        int at = place_of(w, r->readings[i].reading);
        if (at >= 0 && r->readings[i].reading->technique)
            c->sittings[at].noted = true;
    }
}

/* -- readings ---------------------------------------------------------------------------------------------------------------- */

static int drawn_in(const struct report *r, int place, size_t before)
{
    int n = 0;
    for (size_t i = 0; i < before; i++)
        n += drawn(r->readings[i].reading) && place_of(r->result, r->readings[i].reading) == place;
    return n;
}

static enum chart_mark mark_of(const struct report_reading *x)
{
    if (x->reading->standing != STANDING_ACCEPTED)
        return MARK_HELD;
    return x->counted ? MARK_COUNTED : MARK_LEFT_OUT;
}

/* Those of one sitting share its width evenly, in order of time. */
static bool spans_make(struct chart *c, const struct report *r)
{
    c->spans = calloc(r->n_readings + 1, sizeof *c->spans);
    if (!c->spans)
        return false;
    for (size_t i = 0; i < r->n_readings; i++) {
        const struct reading *x = r->readings[i].reading;
        int place = drawn(x) ? place_of(r->result, x) : -1;
        if (place < 0)
            continue;
        const struct chart_sitting *s = &c->sittings[place];
        int all = drawn_in(r, place, r->n_readings), before = drawn_in(r, place, i);
        c->spans[c->n_spans++] = (struct chart_span){
            .x = s->from + (s->to - s->from) * (before + 1.0) / (all + 1.0),
            .top = y_of(c, x->sys),
            .bottom = y_of(c, x->dia),
            .mark = mark_of(&r->readings[i]),
            .reading = &r->readings[i],
        };
    }
    return true;
}

/* -- lines and their labels ------------------------------------------------------------------------------------------------ */

static void rule_add(struct chart *c, const struct home_line *line, int mmhg)
{
    struct chart_rule *rule = &c->rules[c->n_rules++];
    bool named = strncmp(line->category, "at or above", 11) != 0;
    rule->value = mmhg;
    rule->y = rule->label_y = y_of(c, mmhg);
    SAY(rule->label, "%s%s%d", named ? line->category : "", named ? " " : "", mmhg);
}

static int by_place(const void *a, const void *b)
{
    double x = ((const struct chart_rule *)a)->y, y = ((const struct chart_rule *)b)->y;
    return (x > y) - (x < y);
}

/* From top to bottom, each at least a line's height below the last; then a group that grew is moved back up by half. */
static void labels_part(struct chart *c, double height)
{
    for (int i = 0; i < c->n_rules;) {
        int end = i + 1;
        while (end < c->n_rules && c->rules[end].y - c->rules[end - 1].y < height)
            end++;
        double middle = (c->rules[i].y + c->rules[end - 1].y) / 2, top = middle - height * (end - i - 1) / 2;
        for (int k = i; k < end; k++)
            c->rules[k].label_y = top + height * (k - i);
        i = end;
    }
}

static void rules_make(struct chart *c, const struct report *r, double label_height)
{
    const struct protocol *p = &r->record->protocol;
    if (report_expecting(r->record)) /* the adult lines do not apply */
        return;
    for (int i = 0; i < p->n_lines; i++) {
        rule_add(c, &p->lines[i], p->lines[i].sys);
        rule_add(c, &p->lines[i], p->lines[i].dia);
    }
    qsort(c->rules, (size_t)c->n_rules, sizeof *c->rules, by_place);
    labels_part(c, label_height);
}

/* -- the average, and words ------------------------------------------------------------------------------------------------- */

static void band_make(struct chart *c, const struct report *r)
{
    c->has_band = r->has_mean && c->n_days > 0;
    if (!c->has_band)
        return;
    c->band_top = y_of(c, r->sys);
    c->band_bottom = y_of(c, r->dia);
    c->band_from = c->n_days > 1 && c->days[0].left_out ? c->days[0].to : 0;
    c->band_to = 1;
}

/* "Lines: stage 1 135/85, stage 2 150/95." */
static void lines_add(char *to, size_t size, const struct protocol *p, int n_rules)
{
    for (int i = 0; i < p->n_lines && n_rules; i++) {
        bool named = strncmp(p->lines[i].category, "at or above", 11) != 0;
        say_add(to, size, "%s%s%s%d/%d%s", i ? ", " : p->n_lines > 1 ? " Lines: " : " Line: ", named ? p->lines[i].category : "",
                named ? " " : "", p->lines[i].sys, p->lines[i].dia, i + 1 == p->n_lines ? "." : "");
    }
}

static void words_make(struct chart *c, const struct report *r)
{
    int marks[3] = {0}, notes = 0;
    for (size_t i = 0; i < c->n_spans; i++)
        marks[c->spans[i].mark]++;
    for (int i = 0; i < c->n_sittings; i++)
        notes += c->sittings[i].noted;
    SAY(c->title, "The week's readings, in order of time");
    SAY(c->description, "%d reading%s counted, %d left out, %d held; from %d to %d mmHg on the axis.", marks[MARK_COUNTED],
        plural(marks[MARK_COUNTED]), marks[MARK_LEFT_OUT], marks[MARK_HELD], c->low, c->high);
    if (r->has_mean)
        say_add(c->description, sizeof c->description, " The band is the average, %d/%d.", r->sys, r->dia);
    SAY(c->legend, "Each upright runs from diastolic to systolic, mmHg; left half of a day %s, right half %s.",
        slot_words(r->result->n_sittings ? r->result->sittings[0].slot : SLOT_MORNING),
        slot_words(r->result->n_sittings ? r->result->sittings[1].slot : SLOT_EVENING));
    if (marks[MARK_LEFT_OUT])
        say_add(c->legend, sizeof c->legend, " Hollow: not counted.");
    if (marks[MARK_HELD])
        say_add(c->legend, sizeof c->legend, " Dashed: held.");
    if (c->n_days && c->days[0].left_out)
        say_add(c->legend, sizeof c->legend, " Hatched: the first day, left out.");
    lines_add(c->legend, sizeof c->legend, &r->record->protocol, c->n_rules);
    if (c->has_band)
        say_add(c->legend, sizeof c->legend, " Band: the average.");
    if (notes)
        say_add(c->legend, sizeof c->legend, " Dot below: the patient said how it was measured.");
}

bool chart_make(struct chart *c, const struct report *r, double label_height)
{
    memset(c, 0, sizeof *c);
    axis_make(c, r);
    if (r->result->n_sittings < 2)
        return true;
    days_make(c, r);
    sittings_make(c, r);
    rules_make(c, r, label_height);
    band_make(c, r);
    if (!spans_make(c, r))
        return false;
    words_make(c, r);
    return true;
}

void chart_close(struct chart *c)
{
    free(c->spans);
    memset(c, 0, sizeof *c);
}
