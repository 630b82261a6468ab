/* The middle of the page: averages and short lists in two columns, then the patient's own words.
 *
 * Each list goes to the column that is shorter so far. One that is longer than what is left of the page goes on over the next,
 * line by line: nothing is cut off.
 */
#include "gateway/report/page.h"

#include <stdio.h>

struct part {
    const char *title;
    const struct sentences *list; /* NULL: the table of figures */
};

static double item(struct sheet *s, double x, double y, double width, const struct sentence *one, bool draw)
{
    const struct type *t = one->tone == TONE_PLAIN ? &minor : &minor_strong;
    if (!draw)
        return sheet_measure(s, t, width - 9, one->text) + 1;
    sheet_set(s, &minor, x, y, 0, "•", NULL);
    return sheet_set(s, t, x + 9, y, width - 9, one->text, "P") + 1;
}

static double figures(struct sheet *s, double x, double y, double width, const struct report *r, bool draw)
{
    double from = y, line = sheet_measure(s, &minor, width, "0");
    if (!draw)
        return (r->n_figures + 1) * (line + 1.5);
    sheet_label(s, &fine, x + width - 78, y, 1, "mmHg", "P");
    sheet_label(s, &fine, x + width - 40, y, 1, "pulse", "P");
    sheet_label(s, &fine, x + width, y, 1, "readings", "P");
    y += line + 1.5;
    for (int i = 0; i < r->n_figures; i++, y += line + 1.5) {
        char n[16] = "";
        const struct report_figure *f = &r->figures[i];
        if (f->n)
            snprintf(n, sizeof n, "%d", f->n);
        sheet_set(s, &minor, x, y, 0, f->what, "P");
        sheet_label(s, i ? &minor : &minor_strong, x + width - 78, y, 1, f->pressure, "P");
        sheet_label(s, &minor, x + width - 40, y, 1, f->pulse, "P");
        sheet_label(s, &minor, x + width, y, 1, n, "P");
    }
    return y - from;
}

/* Draws, or only measures. */
static double part_set(struct sheet *s, double x, double y, double width, const struct report *r, const struct part *p, bool draw)
{
    double from = y;
    if (draw)
        sheet_set(s, &minor_strong, x, y, width, p->title, "H2");
    y += sheet_measure(s, &minor_strong, width, p->title) + 1.5;
    if (!p->list)
        y += figures(s, x, y, width, r, draw);
    for (size_t i = 0; p->list && i < p->list->n; i++)
        y += item(s, x, y, width, &p->list->at[i], draw);
    return y - from + 5;
}

static double page_left(const struct sheet *s)
{
    return s->bottom - s->y;
}

/* A part that is too long for what is left of the page, item by item over the whole width. */
static void part_flow(struct sheet *s, const struct report *r, const struct part *p)
{
    double width = s->right - s->left;
    sheet_room(s, 30);
    s->y += sheet_set(s, &minor_strong, s->left, s->y, width, p->title, "H2") + 1.5;
    for (size_t i = 0; p->list && i < p->list->n; i++) {
        sheet_room(s, item(s, s->left, s->y, width, &p->list->at[i], false));
        s->y += item(s, s->left, s->y, width, &p->list->at[i], true);
    }
    s->y += 4;
    (void)r;
}

/* Each part goes to the column that is shorter so far. */
void page_parts(struct sheet *s, const struct report *r)
{
    const struct part all[] = {{"Averages", NULL},
                               {"Counted and left out", &r->counts},
                               {"Alerts in this week", &r->alerts},
                               {"Cuff, arm and monitor", &r->equipment},
                               {"Earlier weeks", &r->before},
                               {"At the clinic", &r->office},
                               {"How it was measured", &r->quality},
                               {"How the readings vary", &r->variation}};
    double width = (s->right - s->left - GAP) / 2, y[2] = {s->y, s->y};
    for (size_t i = 0; i < sizeof all / sizeof *all; i++) {
        const struct part *p = &all[i];
        if (p->list && !p->list->n)
            continue;
        double height = part_set(s, 0, 0, width, r, p, false);
        int column = y[1] < y[0];
        if (y[column] + height > s->bottom) {
            s->y = y[0] > y[1] ? y[0] : y[1];
            if (height > s->bottom - s->top || page_left(s) < 60)
                sheet_room(s, page_left(s) + 1);
            else
                sheet_room(s, height);
            if (height > page_left(s)) {
                part_flow(s, r, p);
                y[0] = y[1] = s->y;
                continue;
            }
            y[0] = y[1] = s->y;
            column = 0;
        }
        y[column] += part_set(s, s->left + column * (width + GAP), y[column], width, r, p, true);
    }
    s->y = y[0] > y[1] ? y[0] : y[1];
}

void page_quotes(struct sheet *s, const struct report *r)
{
    double x = s->left + 82, width = s->right - x;
    for (size_t i = 0; i < r->n_quotes; i++) {
        double height = sheet_measure(s, &minor, width, r->quotes[i].text);
        sheet_room(s, height + (i ? 0 : 26));
        if (i == 0)
            s->y += sheet_set(s, &minor_strong, s->left, s->y, width, "In the patient's own words", "H2") + 1.5;
        sheet_set(s, &minor, s->left, s->y, 0, r->quotes[i].when, NULL);
        sheet_set(s, &minor, x, s->y, width, r->quotes[i].text, "BlockQuote");
        s->y += height + 1;
    }
    s->y += r->n_quotes ? 5 : 0;
}
