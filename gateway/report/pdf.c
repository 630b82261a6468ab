/* The week on paper: one page for an ordinary week, more when there is more to show; nothing is cut off.
 *
 * Order is meaning: who, what undermines the average, the average, the chart, what it rests on, every reading; the caution at
 * the foot of every page. The page is laid out twice: the first time tells how many pages there are. Some 40 KB.
 */
#include "gateway/report/chart.h"
#include "gateway/report/sheet.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/report/model.h"

enum { MARGIN = 40, FOOT = 34, GAP = 18, TIGHT_MAX = 2 };

/* Heights of the chart, in points: a week that needs a little more than a page is set tighter. */
static const double chart_heights[TIGHT_MAX + 1] = {150, 126, 104};

/* What is being printed. */
struct printing {
    const struct report *report;
    int tight;
};

static const struct type title = {.size = 13, .bold = true, .ink = INK_TEXT}, strong = {.size = 10.5, .bold = true, .ink = INK_TEXT},
                         body = {.size = 9, .ink = INK_TEXT}, judged = {.size = 9.5, .bold = true, .ink = INK_TEXT},
                         second = {.size = 9, .ink = INK_SECOND}, minor = {.size = 8, .ink = INK_TEXT},
                         minor_strong = {.size = 8, .bold = true, .ink = INK_TEXT}, fine = {.size = 7.4, .ink = INK_TEXT},
                         fine_strong = {.size = 7.4, .bold = true, .ink = INK_TEXT}, fine_second = {.size = 7.4, .ink = INK_SECOND},
                         large = {.size = 34, .bold = true, .ink = INK_TEXT}, large_open = {.size = 34, .ink = INK_TEXT};

/* -- head and foot ----------------------------------------------------------------------------------------------------------- */

static void foot(struct sheet *s, void *context)
{
    const struct report *r = ((const struct printing *)context)->report;
    char page[96];
    double y = s->bottom + 8;
    sheet_rule(s, y - 4, 0.8, INK_TEXT);
    y += sheet_set(s, &fine, s->left, y, s->right - s->left, r->caution, "P");
    snprintf(page, sizeof page, "%s, page %d of %d", r->ref, s->page, s->pages ? s->pages : 1);
    sheet_label(s, &fine_second, s->right, y + 2, 1, page, NULL);
}

static void head(struct sheet *s, const struct report *r)
{
    char line[REF_MAX + 160];
    sheet_paragraph(s, &title, r->title, "H1", 2);
    sheet_paragraph(s, &body, r->clinic, "P", 1);
    snprintf(line, sizeof line, "Reference %s%s%s", r->ref, r->who[0] ? "; " : "", r->who);
    if (r->name[0])
        sheet_paragraph(s, &strong, r->name, "P", 1);
    sheet_paragraph(s, r->name[0] ? &body : &strong, line, "P", 1);
    sheet_paragraph(s, &body, r->when, "P", 1);
    sheet_paragraph(s, &judged, r->version, "P", 1);
    s->y += 2;
    sheet_rule(s, s->y, 0.8, INK_TEXT);
    s->y += 6;
}

/* A tinted box, with a bar that tells the two kinds apart without colour: one thick, or two thin. */
static void note(struct sheet *s, const struct sentence *one)
{
    bool urgent = one->tone == TONE_URGENT;
    const struct type t = {.size = 9, .ink = urgent ? INK_BRICK : INK_AMBER};
    double width = s->right - s->left, height = sheet_measure(s, &t, width - 16, one->text) + 6;
    sheet_room(s, height + 4);
    sheet_box(s, s->left, s->y, width, height, urgent ? INK_BRICK_TINT : INK_AMBER_TINT);
    sheet_box(s, s->left, s->y, urgent ? 4 : 1.3, height, t.ink);
    if (!urgent)
        sheet_box(s, s->left + 2.7, s->y, 1.3, height, t.ink);
    sheet_set(s, &t, s->left + 10, s->y + 3, width - 16, one->text, "P");
    s->y += height + 4;
}

/* -- the average ------------------------------------------------------------------------------------------------------------- */

static void average(struct sheet *s, const struct report *r)
{
    char figure[24] = "–";
    const struct type *t = r->result->enough ? &large : &large_open;
    if (r->has_mean)
        snprintf(figure, sizeof figure, "%d/%d", r->sys, r->dia);
    double beside = sheet_label_width(s, t, figure) + 48, x = s->left + (beside > 190 ? beside : 190), width = s->right - x;
    double height = sheet_measure(s, &body, width, r->average) + sheet_measure(s, &judged, width, r->judged) +
                    sheet_measure(s, &body, width, r->sure) + 14;
    sheet_room(s, height > 60 ? height : 60);
    double y = s->y + 6;
    sheet_set(s, t, s->left, s->y, 0, figure, "P");
    if (r->has_mean)
        sheet_set(s, &second, s->left + sheet_label_width(s, t, figure) + 5, s->y + 27, 0, "mmHg", "P");
    y += sheet_set(s, &body, x, y, width, r->average, "P") + 1;
    y += sheet_set(s, &judged, x, y, width, r->judged, "P") + 1;
    if (r->sure[0])
        y += sheet_set(s, &body, x, y, width, r->sure, "P");
    s->y = (y > s->y + 50 ? y : s->y + 50) + 4;
}

static bool chart(struct sheet *s, const struct report *r, double height)
{
    struct chart c;
    bool made = chart_make(&c, r, 9 / (height - 30));
    if (made && c.n_days) {
        sheet_room(s, height + 24);
        chart_draw(s, &c, s->left, s->y, s->right - s->left, height);
        s->y += height - 2;
        sheet_paragraph(s, &fine, c.legend, "Caption", 5);
    }
    chart_close(&c);
    return made;
}

/* -- two columns of short lists --------------------------------------------------------------------------------------------- */

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
static void parts(struct sheet *s, const struct report *r)
{
    const struct part all[] = {{"Averages", NULL},
                               {"Counted and left out", &r->counts},
                               {"Alerts in this week", &r->alerts},
                               {"Cuff, arm and monitor", &r->equipment},
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

static void quotes(struct sheet *s, const struct report *r)
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

/* -- every reading ----------------------------------------------------------------------------------------------------------- */

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

static void readings(struct sheet *s, const struct report *r)
{
    char heading[160];
    struct columns c = {.n = 2, .note_x = 138};
    c.width = (s->right - s->left - GAP * (c.n - 1)) / c.n;
    snprintf(heading, sizeof heading, "Every reading (systolic/diastolic, pulse). %s", r->zone);
    for (size_t at = 0; at < r->n_readings;) {
        sheet_room(s, 40);
        s->y += sheet_set(s, &minor_strong, s->left, s->y, s->right - s->left, heading, "H2") + 2;
        double height = columns_height(s, &c, r, at, page_left(s)), lowest = s->y;
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
            sheet_room(s, page_left(s) + 1);
    }
    s->y += r->n_readings ? 5 : 0;
}

/* -- all of it ---------------------------------------------------------------------------------------------------------------- */

static bool lay_out(struct sheet *s, const struct printing *p)
{
    const struct report *r = p->report;
    head(s, r);
    for (size_t i = 0; i < r->above.n; i++)
        note(s, &r->above.at[i]);
    average(s, r);
    bool drawn = chart(s, r, chart_heights[p->tight]);
    parts(s, r);
    quotes(s, r);
    readings(s, r);
    sheet_paragraph(s, &fine, r->protocol, "P", 0);
    return drawn;
}

static int pdf_once(const struct printing *p, enum paper paper, int *pages, void **bytes, size_t *size, char *why, size_t why_size)
{
    struct sheet s;
    char heading[128];
    const struct report *r = p->report;
    snprintf(heading, sizeof heading, "%s, %s", r->title, r->ref);
    const struct sheet_about about = {heading, r->clinic, r->when, "en", r->as_of};
    bool whole = sheet_begin(&s, paper, MARGIN, FOOT, &about);
    s.pages = *pages;
    s.page_foot = foot;
    s.context = (void *)(uintptr_t)p;
    whole = whole && lay_out(&s, p);
    *pages = s.page;
    int bad = sheet_end(&s, "en", bytes, size, why, why_size);
    if (bad || whole)
        return bad;
    free(*bytes);
    *bytes = NULL;
    snprintf(why, why_size, "the PDF could not be made: out of memory");
    return -1;
}

/* On one page if it fits, tighter if it must; else roomy, on as many as it takes, each numbered "of" that many. */
int report_pdf(const struct report *r, enum paper paper, void **bytes, size_t *size, char *why, size_t why_size)
{
    struct printing p = {.report = r};
    int all = 0;
    *bytes = NULL;
    *size = 0;
    if (!pdf_font_present(why, why_size))
        return -1;
    for (p.tight = 0; p.tight <= TIGHT_MAX; p.tight++) {
        int pages = 0;
        if (pdf_once(&p, paper, &pages, bytes, size, why, why_size))
            return -1;
        if (pages == 1)
            return 0;
        all = all ? all : pages;
        free(*bytes);
        *bytes = NULL;
    }
    p.tight = 0;
    return pdf_once(&p, paper, &all, bytes, size, why, why_size);
}

enum paper report_paper(const struct clinic *c)
{
    /* North America, Mexico, Colombia, Chile, Venezuela, the Philippines, Costa Rica: common practice, no source */
    static const char *const letter[] = {"+1", "+52", "+57", "+56", "+58", "+63", "+506"};
    for (size_t i = 0; c && i < sizeof letter / sizeof *letter; i++)
        if (strncmp(c->text_number, letter[i], strlen(letter[i])) == 0)
            return PAPER_LETTER;
    return PAPER_A4;
}
