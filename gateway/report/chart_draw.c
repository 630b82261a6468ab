/* The chart on paper: the same geometry as on the page, drawn by cairo.
 *
 * Full, hollow, dashed and hatched tell apart what colours could not on a grey printer.
 */
#include "gateway/report/chart.h"
#include "gateway/report/sheet.h"

#include <stdio.h>

enum { AXIS = 24, LABELS = 62, NAMES = 26 }; /* points left, right, below */

struct frame {
    double x, y, width, height;
};

static const struct type small = {.size = 6.8, .ink = INK_TEXT};

static double px(const struct frame *f, double x)
{
    return f->x + x * f->width;
}

static double py(const struct frame *f, double y)
{
    return f->y + y * f->height;
}

static void line(struct sheet *s, double x1, double y1, double x2, double y2)
{
    cairo_move_to(s->cr, x1, y1);
    cairo_line_to(s->cr, x2, y2);
    cairo_stroke(s->cr);
}

/* Slanting lines within a rectangle: what a printer shows as grey. */
static void hatch(struct sheet *s, double x, double y, double width, double height)
{
    cairo_save(s->cr);
    cairo_rectangle(s->cr, x, y, width, height);
    cairo_clip(s->cr);
    sheet_ink(s, INK_FAINT);
    cairo_set_line_width(s->cr, 0.7);
    for (double at = x - height; at < x + width; at += 5)
        line(s, at, y + height, at + height, y);
    cairo_restore(s->cr);
}

static void ground(struct sheet *s, const struct frame *f, const struct chart *c)
{
    char value[16];
    for (int i = 0; i < c->n_days; i++)
        if (c->days[i].left_out)
            hatch(s, px(f, c->days[i].from), f->y, px(f, c->days[i].to) - px(f, c->days[i].from), f->height);
    if (c->has_band)
        sheet_box(s, px(f, c->band_from), py(f, c->band_top), px(f, c->band_to) - px(f, c->band_from),
                  py(f, c->band_bottom) - py(f, c->band_top), INK_TINT);
    cairo_set_line_width(s->cr, 0.5);
    for (int i = 0; i < c->n_ticks; i++) {
        sheet_ink(s, INK_FAINT);
        line(s, f->x, py(f, c->ticks[i].y), f->x + f->width, py(f, c->ticks[i].y));
        snprintf(value, sizeof value, "%d", c->ticks[i].value);
        sheet_label(s, &small, f->x - 4, py(f, c->ticks[i].y) - 4, 1, value, NULL);
    }
}

static void days(struct sheet *s, const struct frame *f, const struct chart *c)
{
    char name[16];
    for (int i = 0; i < c->n_days; i++) {
        const struct chart_day *d = &c->days[i];
        if (i) {
            sheet_ink(s, INK_FAINT);
            cairo_set_line_width(s->cr, 0.5);
            line(s, px(f, d->from), f->y, px(f, d->from), f->y + f->height + 8);
        }
        snprintf(name, sizeof name, "%s %s", d->weekday, d->date);
        sheet_label(s, &small, px(f, (d->from + d->to) / 2), f->y + f->height + 12, 0, name, NULL);
    }
}

static void rules(struct sheet *s, const struct frame *f, const struct chart *c)
{
    static const double dashes[] = {5, 2.5};
    for (int i = 0; i < c->n_rules; i++) {
        double y = py(f, c->rules[i].y);
        sheet_ink(s, INK_SECOND);
        cairo_set_line_width(s->cr, 0.9);
        cairo_set_dash(s->cr, dashes, 2, 0);
        line(s, f->x, y, f->x + f->width, y);
        cairo_set_dash(s->cr, NULL, 0, 0);
        sheet_label(s, &small, f->x + f->width + 4, py(f, c->rules[i].label_y) - 4, -1, c->rules[i].label, NULL);
    }
}

static void span(struct sheet *s, const struct frame *f, const struct chart_span *one)
{
    static const double dashes[] = {2, 2};
    double x = px(f, one->x), top = py(f, one->top), bottom = py(f, one->bottom);
    if (one->mark == MARK_LEFT_OUT) {
        sheet_ink(s, INK_PAPER);
        cairo_rectangle(s->cr, x - 1.5, top, 3, bottom - top);
        cairo_fill_preserve(s->cr);
        sheet_ink(s, INK_TEXT);
        cairo_set_line_width(s->cr, 0.7);
        cairo_stroke(s->cr);
        return;
    }
    sheet_ink(s, INK_TEXT);
    cairo_set_line_width(s->cr, one->mark == MARK_HELD ? 1.1 : 1.6);
    cairo_set_dash(s->cr, dashes, one->mark == MARK_HELD ? 2 : 0, 0);
    line(s, x, top, x, bottom);
    cairo_set_dash(s->cr, NULL, 0, 0);
    if (one->mark == MARK_HELD)
        return;
    cairo_set_line_width(s->cr, 1.2);
    line(s, x - 2.2, top, x + 2.2, top);
    line(s, x - 2.2, bottom, x + 2.2, bottom);
}

static void notes(struct sheet *s, const struct frame *f, const struct chart *c)
{
    for (int i = 0; i < c->n_sittings; i++) {
        if (!c->sittings[i].noted)
            continue;
        sheet_ink(s, INK_PLUM);
        cairo_arc(s->cr, px(f, (c->sittings[i].from + c->sittings[i].to) / 2), f->y + f->height + 5, 1.8, 0, 6.2832);
        cairo_fill(s->cr);
    }
}

void chart_draw(struct sheet *s, const struct chart *c, double x, double y, double width, double height)
{
    const struct frame f = {x + AXIS, y + 4, width - AXIS - LABELS, height - NAMES - 4};
    ground(s, &f, c);
    days(s, &f, c);
    rules(s, &f, c);
    for (size_t i = 0; i < c->n_spans; i++)
        span(s, &f, &c->spans[i]);
    notes(s, &f, c);
}
