/* The week's chart as geometry: where each mark, line and label stands, for any surface that can draw lines and letters.
 *
 * x runs from 0 (the first day's beginning) to 1 (the last day's end), y from 0 (top) to 1 (bottom). Nothing is measured in
 * points or pixels here, and colour is not known: what differs in meaning differs in shape. Pure.
 */
#ifndef QUIETARM_CHART_H
#define QUIETARM_CHART_H

#include "gateway/report/report.h"

enum { CHART_RULES_MAX = 2 * LINES_MAX, CHART_TICKS_MAX = 32 };

enum chart_mark { MARK_COUNTED, MARK_LEFT_OUT, MARK_HELD }; /* drawn full, hollow, dashed */

/* A reading: upright from systolic (top) to diastolic (bottom). */
struct chart_span {
    double x, top, bottom;
    enum chart_mark mark;
    const struct report_reading *reading;
};

/* A line of the protocol; its label stands at `label_y`, clear of the others. */
struct chart_rule {
    double y, label_y;
    int value;                 /* mmHg */
    char label[48];            /* "135", "stage 2 150": where there is room for it */
};

struct chart_tick {
    double y;
    int value;                 /* mmHg */
};

struct chart_day {
    double from, to;
    bool left_out;             /* the first day: hatched */
    char weekday[4], date[4];  /* "Tue", "24"; both "" where there is no room for every day's */
};

/* A sitting's half of its day; `noted`: the patient said something of how it was measured. */
struct chart_sitting {
    double from, to;
    bool noted, missed;        /* missed: wanted, over, and nothing came */
};

struct chart {
    int low, high;             /* of the axis, mmHg */
    struct chart_span *spans;  /* malloced */
    size_t n_spans;
    struct chart_rule rules[CHART_RULES_MAX];
    int n_rules;
    struct chart_tick ticks[CHART_TICKS_MAX];
    int n_ticks;
    struct chart_day days[WEEK_DAYS_MAX];
    int n_days;
    struct chart_sitting sittings[2 * WEEK_DAYS_MAX];
    int n_sittings;
    bool has_band;             /* the average, systolic to diastolic, behind the days that count */
    double band_top, band_bottom, band_from, band_to;
    char title[96];            /* for those who do not see it */
    char description[SENTENCE_MAX];
    char legend[SENTENCE_MAX]; /* what the shapes mean: of those that occur */
};

/* `label_height`: of a line of letters, as a part of the chart's height. false: no memory. Nothing to draw leaves n_days
 * 0. chart_close in every case. */
bool chart_make(struct chart *c, const struct report *r, double label_height);
void chart_close(struct chart *c);

/* -- drawn -- */
void chart_svg(struct buffer *out, const struct chart *c);

#endif
