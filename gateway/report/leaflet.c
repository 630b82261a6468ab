/* The patient's handout: one page, 14 points, 18 in large print; the clinic's numbers biggest.
 *
 * It tells how to measure and how to text, never what a figure means; no medicine is named. The Spanish is for review by a
 * qualified translator before use. The example texts are such as the parser reads (tests/unit/report_leaflet.c).
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/report/drawings.h"
#include "gateway/report/leaflet_words.h"

enum { MARGIN = 36 };

/* Sizes, in points; of the drawings, in points a unit. The letters of a print are always as large; what is around them
 * gives way, row by row, until all of it is on one page. */
struct print {
    double body, title, number, scale, gap;
};
enum { PRINTS = 3 };
static const struct print usual[PRINTS] = {{14, 20, 28, 1.12, 15}, {14, 20, 26, 0.98, 10}, {14, 19, 24, 0.8, 5}},
                          bigger[PRINTS] = {{18, 23, 30, 0.9, 8}, {18, 21, 26, 0.8, 5}, {18, 20, 24, 0.66, 2}};

struct handout {
    struct sheet sheet;
    const struct clinic *clinic;
    const struct leaflet_words *words;
    struct print print;
};

static struct type type_of(double size, bool bold)
{
    return (struct type){.size = size, .bold = bold, .ink = INK_TEXT};
}

static void head(struct handout *h)
{
    struct type title = type_of(h->print.title, true), body = type_of(h->print.body, false);
    sheet_paragraph(&h->sheet, &body, h->clinic->name, "P", 1);
    sheet_paragraph(&h->sheet, &title, h->words->title, "H1", h->print.gap);
}

/* A label and its number on one line, or two when they are too long for one. */
static void number(struct handout *h, const char *label, const char *value)
{
    struct sheet *s = &h->sheet;
    struct type body = type_of(h->print.body, false), big = type_of(h->print.number, true);
    if (!value[0])
        return;
    double needed = sheet_label_width(s, &body, label) + 12 + sheet_label_width(s, &big, value);
    double tall = sheet_measure(s, &big, 0, value), low = sheet_measure(s, &body, 0, label);
    sheet_set(s, &body, s->left, s->y + (tall - low) * 0.72, 0, label, "P");
    if (needed > s->right - s->left)
        s->y += low;
    sheet_label(s, &big, s->right, s->y, 1, value, "P");
    s->y += tall;
}

static void numbers(struct handout *h)
{
    struct sheet *s = &h->sheet;
    sheet_rule(s, s->y, 1.5, INK_PLUM);
    s->y += 3;
    number(h, h->words->text_to, h->clinic->text_number);
    number(h, h->words->ring, h->clinic->voice_number);
    s->y += 3;
    sheet_rule(s, s->y, 1.5, INK_PLUM);
    s->y += h->print.gap;
}

static void drawing(struct handout *h, void (*draw)(struct sheet *s, double x, double y, double scale), const char *says)
{
    struct sheet *s = &h->sheet;
    struct type body = type_of(h->print.body, false);
    double width = DRAWING_WIDTH * h->print.scale, x = s->left + width + 14;
    double high = DRAWING_HEIGHT * h->print.scale, text = sheet_measure(s, &body, s->right - x, says);
    double row = high > text ? high : text;
    draw(s, s->left, s->y + (row - high) / 2, h->print.scale);
    sheet_set(s, &body, x, s->y + (row - text) / 2, s->right - x, says, "P");
    s->y += row + h->print.gap / 2;
}

static void when(struct handout *h)
{
    char text[512];
    struct type body = type_of(h->print.body, false);
    const struct protocol *p = &h->clinic->protocol;
    snprintf(text, sizeof text, "%s %d %s", h->words->when_for, p->days ? p->days : 7, h->words->when);
    sheet_paragraph(&h->sheet, &body, text, "P", h->print.gap);
}

static void examples(struct handout *h)
{
    struct sheet *s = &h->sheet;
    struct type body = type_of(h->print.body, false), strong = type_of(h->print.body, true);
    double from = 0;
    for (size_t i = 0; i < LEAFLET_EXAMPLES; i++) {
        double width = sheet_label_width(s, &body, h->words->examples[i].what) + 10;
        from = width > from ? width : from;
    }
    for (size_t i = 0; i < LEAFLET_EXAMPLES; i++) {
        const struct leaflet_example *e = &h->words->examples[i];
        sheet_set(s, &body, s->left, s->y, 0, e->what, "P");
        s->y += sheet_set(s, &strong, s->left + from, s->y, s->right - s->left - from, e->text, "P");
    }
    s->y += h->print.gap;
}

static void emergency(struct handout *h)
{
    char text[512];
    struct type strong = type_of(h->print.body, true);
    int n = snprintf(text, sizeof text, "%s %s.", h->words->emergency, h->clinic->emergency);
    if (h->clinic->out_of_hours[0] && n > 0)
        snprintf(text + n, sizeof text - (size_t)n, " %s %s.", h->words->closed, h->clinic->out_of_hours);
    sheet_paragraph(&h->sheet, &strong, text, "P", h->print.gap);
}

static void lay_out(struct handout *h)
{
    struct type body = type_of(h->print.body, false);
    head(h);
    numbers(h);
    when(h);
    drawing(h, draw_posture, h->words->posture);
    drawing(h, draw_cuff, h->words->cuff);
    drawing(h, draw_midpoint, h->words->midpoint);
    h->sheet.y += h->print.gap / 2;
    examples(h);
    emergency(h);
    sheet_paragraph(&h->sheet, &body, h->words->foot, "P", 0);
}

/* 0, -1, or 1: it takes more than a page. */
static int handout_print(struct handout *h, const char *language, void **bytes, size_t *size, char *why, size_t why_size)
{
    /* The date of the words, not of the printing: the same handout has the same bytes. */
    const struct sheet_about about = {h->words->title, h->clinic->name, h->words->title, language, LEAFLET_DATE};
    bool begun = sheet_begin(&h->sheet, report_paper(h->clinic), MARGIN, 0, &about);
    if (begun)
        lay_out(h);
    int pages = h->sheet.page;
    bool over = h->sheet.y > h->sheet.bottom;
    if (sheet_end(&h->sheet, language, bytes, size, why, why_size))
        return -1;
    if (begun && pages == 1 && !over)
        return 0;
    free(*bytes);
    *bytes = NULL;
    snprintf(why, why_size, "%s", begun ? "the clinic's name or numbers are too long for one page; shorten them"
                                        : "the PDF could not be made: out of memory");
    return begun ? 1 : -1;
}

int leaflet_pdf(const struct clinic *c, const char *language, bool large, void **bytes, size_t *size, char *why, size_t why_size)
{
    struct handout h = {.clinic = c, .words = leaflet_words(language)};
    int bad = 1;
    *bytes = NULL;
    *size = 0;
    if (!h.words) {
        snprintf(why, why_size, "there is no handout in this language; it is written in en and es");
        return -1;
    }
    if (!pdf_font_present(why, why_size))
        return -1;
    for (int i = 0; i < PRINTS && bad > 0; i++) {
        h.print = large ? bigger[i] : usual[i];
        bad = handout_print(&h, language, bytes, size, why, why_size);
    }
    return bad ? -1 : 0;
}
