/* A sheet: pages of a PDF that text and drawings are set on, from top to bottom. Private to the room.
 *
 * Units are points (1/72 inch). The font is DejaVu Sans, embedded; scripts that it has not come of whatever else the machine
 * has. Text stays text: it can be selected and searched. The same calls give the same bytes.
 */
#ifndef QUIETARM_SHEET_H
#define QUIETARM_SHEET_H

#include <pango/pangocairo.h>
#include "gateway/report/report.h"

enum ink { INK_TEXT, INK_SECOND, INK_RULE, INK_FAINT, INK_TINT, INK_PLUM, INK_BRICK, INK_BRICK_TINT, INK_AMBER, INK_AMBER_TINT,
           INK_PAPER };

struct type {
    double size;      /* points */
    bool bold;
    enum ink ink;
    double leading;   /* line height as a part of the font's own; 0: 1 */
};

struct sheet {
    cairo_surface_t *surface;
    cairo_t *cr;
    PangoContext *pango;
    struct buffer bytes;
    double width, height, left, right, top, bottom; /* of the page; of what may be set on */
    double y;                                       /* where the next goes */
    int page, pages;                                /* from 1; pages 0 while they are counted */
    void (*page_foot)(struct sheet *s, void *context);
    void *context;
};

/* What the document says of itself. `made` is the creation date. */
struct sheet_about {
    const char *title, *author, *subject, *language;
    int64_t made;
};

/* false: no memory. sheet_end in every case. */
bool sheet_begin(struct sheet *s, enum paper paper, double margin, double foot, const struct sheet_about *about);
/* Takes the finished bytes; 0, or -1 with one line in `why`. */
int sheet_end(struct sheet *s, const char *language, void **bytes, size_t *size, char *why, size_t why_size);

void sheet_ink(struct sheet *s, enum ink ink);
/* The height of `text` set in `width`; sheet_set draws it with its top left at x, y and returns the same. `tag`: "P", "H1",
 * "H2", "TD" …: the structure for readers of screens. NULL: decoration. */
double sheet_measure(struct sheet *s, const struct type *t, double width, const char *text);
double sheet_set(struct sheet *s, const struct type *t, double x, double y, double width, const char *text, const char *tag);
/* On one line, not wrapped: `align` -1 from x on, 0 around it, 1 up to it. */
void sheet_label(struct sheet *s, const struct type *t, double x, double y, int align, const char *text, const char *tag);
double sheet_label_width(struct sheet *s, const struct type *t, const char *text);
/* At s->y over the whole width, on a new page when it does not fit; s->y moves below it and `after`. */
void sheet_paragraph(struct sheet *s, const struct type *t, const char *text, const char *tag, double after);
/* A new page unless `height` more fits. */
void sheet_room(struct sheet *s, double height);
void sheet_rule(struct sheet *s, double y, double width, enum ink ink);
void sheet_box(struct sheet *s, double x, double y, double width, double height, enum ink ink);

/* -- pdf_language.c -- */
/* Adds the document's language to a PDF that cairo wrote, as an incremental update (ISO 32000-1, 7.5.6). false: it is not
 * of the form that cairo writes, or no memory. */
bool pdf_language(struct buffer *pdf, const char *language);

struct chart;
void chart_draw(struct sheet *s, const struct chart *c, double x, double y, double width, double height);

#endif
