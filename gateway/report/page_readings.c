/* Every reading, in two columns of equal height: day, time, pressure, pulse, and what is to be said of it.
 *
 * Counted ones are bold. What does not fit on a page goes on over the next, under the same heading.
 */
#include "gateway/report/page.h"

#include <stdio.h>

struct columns {
    int n;
    double width, note_x;
};

static double row_height(struct sheet *s, const struct columns *c, const struct report_reading *x)
{
    double line = sheet_measure(s, &fine, 0, "0"), note = x->note[0] ? sheet_measure(s, &fine, c->width - c->note_x, x->note) : 0;
    return (note > line ? note : line) + 1;
}

static void row_set(struct sheet *s, const struct columns *c, double x, double y, const struct report_reading *one)
{
    char when[40];
    snprintf(when, sizeof when, "%s %s", one->day, one->time);
    sheet_set(s, &fine, x, y, 0, when, "P");
    sheet_label(s, one->counted ? &fine_strong : &fine, x + 114, y, 1, one->pressure, "P");
    sheet_label(s, &fine, x + 132, y, 1, one->pulse, "P");
    if (one->note[0])
        sheet_set(s, &fine, x + c->note_x, y, c->width - c->note_x, one->note, "P");
}

/* How many rows from `from` on go into one column of at most `room`. */
static size_t rows_fitting(struct sheet *s, const struct columns *c, const struct report *r, size_t from, double room)
{
    size_t n = 0;
    for (double used = 0; from + n < r->n_readings; n++) {
        used += row_height(s, c, &r->readings[from + n]);
        if (used > room && n)
            break;
    }
    return n;
}

/* The least height at which all from `from` on fit into the columns; `room` when even that is too little. */
static double columns_height(struct sheet *s, const struct columns *c, const struct report *r, size_t from, double room)
{
    for (double height = 12; height < room; height += 4) {
        size_t at = from;
        for (int i = 0; i < c->n; i++)
            at += rows_fitting(s, c, r, at, height);
        if (at >= r->n_readings)
            return height;
    }
    return room;
}

void page_readings(struct sheet *s, const struct report *r)
{
    char heading[160];
    struct columns c = {.n = 2, .note_x = 138};
    c.width = (s->right - s->left - GAP * (c.n - 1)) / c.n;
    snprintf(heading, sizeof heading, "Every reading (systolic/diastolic, pulse). %s", r->zone);
    for (size_t at = 0; at < r->n_readings;) {
        sheet_room(s, 40);
        s->y += sheet_set(s, &minor_strong, s->left, s->y, s->right - s->left, heading, "H2") + 2;
        double height = columns_height(s, &c, r, at, s->bottom - s->y), lowest = s->y;
        for (int i = 0; i < c.n && at < r->n_readings; i++) {
            double y = s->y;
            for (size_t n = rows_fitting(s, &c, r, at, height); n > 0; n--, at++) {
                row_set(s, &c, s->left + i * (c.width + GAP), y, &r->readings[at]);
                y += row_height(s, &c, &r->readings[at]);
            }
            lowest = y > lowest ? y : lowest;
        }
        s->y = lowest;
        if (at < r->n_readings)
            sheet_room(s, s->bottom - s->y + 1);
    }
    s->y += r->n_readings ? 5 : 0;
}
