/* The chart as SVG with real letters: x in per cent, y in pixels, so that letters and line widths stay as they are at any
 * width from 300 pixels up.
 *
 * Shapes carry the meaning and print in grey: full, hollow, dashed, hatched. A span that stands at a percentage is a nested
 * <svg>, whose inside is in pixels. 60 readings take some 20 KB.
 */
#include "gateway/report/chart.h"
#include "gateway/report/html_writer.h"

enum { TOP = 10, HEIGHT = 186, BELOW = 52 }; /* pixels: above, of the axis, for the days' names */

static const double left = 6.5, right = 91.5; /* per cent of the width: axis, labels of the lines */

static double px(double y)
{
    return TOP + y * HEIGHT;
}

static double percent(double x)
{
    return left + x * (right - left);
}

static void at(struct buffer *out, double x, double y)
{
    html_raw(out, " x=\"");
    html_decimal(out, x, 2);
    html_raw(out, "%\" y=\"");
    html_decimal(out, y, 1);
    html_raw(out, "\"");
}

static void rect(struct buffer *out, double from, double to, double top, double bottom)
{
    html_raw(out, "<rect");
    at(out, percent(from), px(top));
    html_raw(out, " width=\"");
    html_decimal(out, percent(to) - percent(from), 2);
    html_raw(out, "%\" height=\"");
    html_decimal(out, px(bottom) - px(top), 1);
    html_raw(out, "\"");
}

static void across(struct buffer *out, double y)
{
    html_raw(out, "<line x1=\"");
    html_decimal(out, left, 2);
    html_raw(out, "%\" x2=\"");
    html_decimal(out, right, 2);
    html_raw(out, "%\" y1=\"");
    html_decimal(out, px(y), 1);
    html_raw(out, "\" y2=\"");
    html_decimal(out, px(y), 1);
    html_raw(out, "\"");
}

/* -- behind ------------------------------------------------------------------------------------------------------------------ */

static void ground(struct buffer *out, const struct chart *c)
{
    html_raw(out, "<defs><pattern id=\"hatch\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\" "
                  "patternTransform=\"rotate(45)\"><line x1=\"0\" y1=\"0\" x2=\"0\" y2=\"6\" stroke=\"#c9c5b8\" "
                  "stroke-width=\"1.5\"/></pattern></defs>\n");
    for (int i = 0; i < c->n_days; i++)
        if (c->days[i].left_out) {
            rect(out, c->days[i].from, c->days[i].to, 0, 1);
            html_raw(out, " fill=\"url(#hatch)\"/>\n");
        }
    if (c->has_band) {
        rect(out, c->band_from, c->band_to, c->band_top, c->band_bottom);
        html_raw(out, " fill=\"#f1e6ee\"/>\n");
    }
    for (int i = 0; i < c->n_ticks; i++) {
        across(out, c->ticks[i].y);
        html_raw(out, " stroke=\"#dedbd1\"/>\n<text");
        at(out, left - 1, px(c->ticks[i].y) + 4);
        html_raw(out, " text-anchor=\"end\">");
        html_number(out, c->ticks[i].value);
        html_raw(out, "</text>\n");
    }
}

static void rules(struct buffer *out, const struct chart *c)
{
    for (int i = 0; i < c->n_rules; i++) {
        across(out, c->rules[i].y);
        html_raw(out, " stroke=\"#56616b\" stroke-width=\"1.2\" stroke-dasharray=\"7 3\"/>\n<text class=\"strong\"");
        at(out, right + 0.8, px(c->rules[i].label_y) + 4);
        html_raw(out, ">");
        html_number(out, c->rules[i].value);
        html_raw(out, "</text>\n");
    }
}

static void days(struct buffer *out, const struct chart *c)
{
    for (int i = 0; i < c->n_days; i++) {
        const struct chart_day *d = &c->days[i];
        double middle = percent((d->from + d->to) / 2);
        if (i) {
            html_raw(out, "<line stroke=\"#dedbd1\" x1=\"");
            html_decimal(out, percent(d->from), 2);
            html_raw(out, "%\" x2=\"");
            html_decimal(out, percent(d->from), 2);
            html_raw(out, "%\" y1=\"");
            html_decimal(out, px(0), 1);
            html_raw(out, "\" y2=\"");
            html_decimal(out, px(1) + 12, 1);
            html_raw(out, "\"/>\n");
        }
        html_raw(out, "<text text-anchor=\"middle\"");
        at(out, middle, px(1) + 28);
        html_raw(out, ">");
        html_text(out, d->weekday);
        html_raw(out, "</text><text text-anchor=\"middle\"");
        at(out, middle, px(1) + 41);
        html_raw(out, ">");
        html_text(out, d->date);
        html_raw(out, "</text>\n");
    }
}

/* -- readings --------------------------------------------------------------------------------------------------------------- */

/* Upright with caps; hollow is a box of the paper's colour. The title is what a pointer, or a reader of screens, is told. */
static void span(struct buffer *out, const struct chart_span *s)
{
    html_raw(out, "<svg overflow=\"visible\"");
    at(out, percent(s->x), px(s->top));
    html_raw(out, "><title>");
    html_text(out, s->reading->day);
    html_raw(out, " ");
    html_text(out, s->reading->time);
    html_raw(out, ": ");
    html_text(out, s->reading->pressure);
    if (s->reading->note[0])
        html_raw(out, ", ");
    html_text(out, s->reading->note);
    html_raw(out, "</title>");
    if (s->mark == MARK_LEFT_OUT)
        html_raw(out, "<rect x=\"-2.2\" y=\"0\" width=\"4.4\" fill=\"#fbfaf6\" stroke=\"#1f2933\" stroke-width=\"1\" height=\"");
    else if (s->mark == MARK_HELD)
        html_raw(out, "<path stroke=\"#1f2933\" stroke-width=\"1.6\" stroke-dasharray=\"3 3\" fill=\"none\" d=\"M0 0V");
    else
        html_raw(out, "<path stroke=\"#1f2933\" stroke-width=\"2.2\" fill=\"none\" d=\"M-3 0H3M0 0V");
    html_decimal(out, px(s->bottom) - px(s->top), 1);
    if (s->mark == MARK_COUNTED)
        html_raw(out, "M-3 ");
    if (s->mark == MARK_COUNTED)
        html_decimal(out, px(s->bottom) - px(s->top), 1);
    if (s->mark == MARK_COUNTED)
        html_raw(out, "H3");
    html_raw(out, "\"/></svg>\n");
}

static void notes(struct buffer *out, const struct chart *c)
{
    for (int i = 0; i < c->n_sittings; i++) {
        const struct chart_sitting *s = &c->sittings[i];
        if (!s->noted)
            continue;
        html_raw(out, "<circle r=\"2.6\" fill=\"#6b2d5c\" cx=\"");
        html_decimal(out, percent((s->from + s->to) / 2), 2);
        html_raw(out, "%\" cy=\"");
        html_decimal(out, px(1) + 8, 1);
        html_raw(out, "\"/>\n");
    }
}

void chart_svg(struct buffer *out, const struct chart *c)
{
    _Static_assert(TOP + HEIGHT + BELOW == 248, "the height that the style sheet gives it: 15.5rem");
    html_raw(out, "<svg class=\"week\" role=\"img\" aria-labelledby=\"chart-title chart-says\">\n<title id=\"chart-title\">");
    html_text(out, c->title);
    html_raw(out, "</title>\n<desc id=\"chart-says\">");
    html_text(out, c->description);
    html_raw(out, "</desc>\n");
    ground(out, c);
    days(out, c);
    rules(out, c);
    for (size_t i = 0; i < c->n_spans; i++)
        span(out, &c->spans[i]);
    notes(out, c);
    html_raw(out, "</svg>\n");
}
