/* The week on paper: one page for an ordinary week, more when there is more to show; nothing is cut off.
 *
 * Order is meaning: who, what undermines the average, the average, the chart, what it rests on, every reading; the caution at
 * the foot of every page. The page is laid out twice: the first time tells how many pages there are. Some 40 KB.
 */
#include "gateway/report/chart.h"
#include "gateway/report/page.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/report/model.h"

enum { MARGIN = 40, FOOT = 34, TIGHT_MAX = 2 };

/* Heights of the chart, in points: a week that needs a little more than a page is set tighter. */
static const double chart_heights[TIGHT_MAX + 1] = {150, 126, 104};

/* What is being printed. */
struct printing {
    const struct report *report;
    int tight;
};

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

/* -- all of it ---------------------------------------------------------------------------------------------------------------- */

static bool lay_out(struct sheet *s, const struct printing *p)
{
    const struct report *r = p->report;
    head(s, r);
    for (size_t i = 0; i < r->above.n; i++)
        note(s, &r->above.at[i]);
    average(s, r);
    bool drawn = chart(s, r, chart_heights[p->tight]);
    page_parts(s, r);
    page_quotes(s, r);
    page_readings(s, r);
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
