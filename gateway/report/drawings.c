/* Three line drawings of our own: how to sit, where the arm's midpoint is, where the cuff goes.
 *
 * Thick plain lines, one accent, nothing that a photocopier would lose. What they show: back, feet and arm supported, the
 * cuff at the height of the heart (ACC/AHA 2017, Taiwan 2020 consensus); the midpoint halfway from the acromion to the
 * olecranon (anthropometry manuals); two finger-widths above the crease, mark in line with the middle finger, tube along the
 * arm (common practice, no source).
 */
#include "gateway/report/drawings.h"

#include <math.h>

static const double full = 2 * 3.14159265358979;

static void begin(struct sheet *s, double x, double y, double scale)
{
    cairo_save(s->cr);
    cairo_translate(s->cr, x, y);
    cairo_scale(s->cr, scale, scale);
    cairo_set_line_cap(s->cr, CAIRO_LINE_CAP_ROUND);
    cairo_set_line_join(s->cr, CAIRO_LINE_JOIN_ROUND);
    cairo_set_line_width(s->cr, 1.5);
    sheet_ink(s, INK_TEXT);
}

static void end(struct sheet *s)
{
    cairo_restore(s->cr);
}

/* Lines from point to point: x, y, x, y … */
static void path(struct sheet *s, const double *points, int n)
{
    cairo_move_to(s->cr, points[0], points[1]);
    for (int i = 1; i < n; i++)
        cairo_line_to(s->cr, points[2 * i], points[2 * i + 1]);
}

#define LINES(s, ...)                                                    \
    do {                                                                 \
        static const double points[] = {__VA_ARGS__};                    \
        path(s, points, (int)(sizeof points / sizeof *points / 2));      \
        cairo_stroke((s)->cr);                                           \
    } while (0)

static void dashed(struct sheet *s, bool on)
{
    static const double dashes[] = {2.5, 2.5};
    cairo_set_dash(s->cr, dashes, on ? 2 : 0, 0);
}

static void dot(struct sheet *s, double x, double y, double radius)
{
    cairo_new_path(s->cr);
    cairo_arc(s->cr, x, y, radius, 0, full);
    cairo_fill(s->cr);
}

/* Filled with paper and outlined, so that it covers what is behind it. */
static void solid(struct sheet *s, enum ink fill)
{
    sheet_ink(s, fill);
    cairo_fill_preserve(s->cr);
    sheet_ink(s, INK_TEXT);
    cairo_stroke(s->cr);
}

/* A limb: a band of this width from one point to another, round at the ends. */
static void limb(struct sheet *s, double x1, double y1, double x2, double y2, double width)
{
    double along = atan2(y2 - y1, x2 - x1), half = width / 2;
    cairo_new_path(s->cr);
    cairo_arc(s->cr, x1, y1, half, along + full / 4, along + 3 * full / 4);
    cairo_arc(s->cr, x2, y2, half, along - full / 4, along + full / 4);
    cairo_close_path(s->cr);
    solid(s, INK_PAPER);
}

static void heart(struct sheet *s, double x, double y)
{
    cairo_new_path(s->cr);
    cairo_move_to(s->cr, x, y + 3.4);
    cairo_curve_to(s->cr, x - 5, y - 0.5, x - 3, y - 4, x, y - 1.6);
    cairo_curve_to(s->cr, x + 3, y - 4, x + 5, y - 0.5, x, y + 3.4);
    sheet_ink(s, INK_PLUM);
    cairo_fill(s->cr);
    sheet_ink(s, INK_TEXT);
}

/* -- how to sit -------------------------------------------------------------------------------------------------------------- */

static void furniture(struct sheet *s)
{
    LINES(s, 6, 95, 116, 95);
    LINES(s, 20, 30, 20, 95);
    LINES(s, 20, 70, 50, 70, 50, 95);
    LINES(s, 60, 53, 114, 53);
    LINES(s, 108, 53, 108, 95);
    cairo_rectangle(s->cr, 93, 40, 17, 13);
    solid(s, INK_PAPER);
    LINES(s, 96, 44, 107, 44);
    LINES(s, 96, 48, 104, 48);
}

void draw_posture(struct sheet *s, double x, double y, double scale)
{
    begin(s, x, y, scale);
    furniture(s);
    limb(s, 30, 64, 63, 64, 11);  /* thigh */
    limb(s, 64, 65, 64, 90, 9);   /* lower leg */
    limb(s, 65, 91.5, 74, 91.5, 6); /* foot, flat */
    limb(s, 29, 34, 29, 62, 17);  /* back against the chair */
    cairo_arc(s->cr, 32, 15, 8.5, 0, full);
    solid(s, INK_PAPER);
    heart(s, 33, 41);
    dashed(s, true);
    LINES(s, 38, 41, 58, 41);
    dashed(s, false);
    limb(s, 34, 32, 57, 46, 7);   /* upper arm */
    limb(s, 58, 49, 84, 49, 6.5); /* forearm on the table */
    cairo_save(s->cr);
    cairo_translate(s->cr, 46, 39.5);
    cairo_rotate(s->cr, atan2(14, 23));
    cairo_rectangle(s->cr, -6, -5, 12, 10);
    solid(s, INK_TINT);
    cairo_restore(s->cr);
    sheet_ink(s, INK_PLUM);
    cairo_move_to(s->cr, 51, 38);
    cairo_curve_to(s->cr, 62, 30, 80, 34, 93, 44);
    cairo_stroke(s->cr);
    end(s);
}

/* -- the midpoint ------------------------------------------------------------------------------------------------------------- */

/* The arm hangs, the elbow is bent to a right angle. */
static void arm_bent(struct sheet *s)
{
    cairo_move_to(s->cr, 78, 8);
    cairo_curve_to(s->cr, 60, 5, 47, 8, 44, 22);
    cairo_curve_to(s->cr, 41, 40, 42, 60, 43, 80);
    cairo_curve_to(s->cr, 43, 88, 50, 90, 58, 89);
    cairo_line_to(s->cr, 104, 86);
    cairo_move_to(s->cr, 76, 34);
    cairo_curve_to(s->cr, 70, 36, 68, 44, 68, 52);
    cairo_curve_to(s->cr, 68, 62, 70, 70, 76, 70);
    cairo_line_to(s->cr, 104, 71);
    cairo_curve_to(s->cr, 114, 72, 114, 85, 104, 86);
    cairo_stroke(s->cr);
}

void draw_midpoint(struct sheet *s, double x, double y, double scale)
{
    begin(s, x, y, scale);
    arm_bent(s);
    dashed(s, true);
    LINES(s, 22, 14, 48, 14);
    LINES(s, 22, 86, 44, 86);
    dashed(s, false);
    dot(s, 49, 14, 2.4);
    dot(s, 45, 86, 2.4);
    LINES(s, 24, 14, 24, 86);
    LINES(s, 21.5, 18, 24, 14, 26.5, 18);
    LINES(s, 21.5, 82, 24, 86, 26.5, 82);
    LINES(s, 20, 50, 28, 50);
    const struct type half = {.size = 11, .bold = true, .ink = INK_TEXT};
    sheet_label(s, &half, 12, 43, 0, "½", NULL);
    sheet_ink(s, INK_PLUM);
    cairo_set_line_width(s->cr, 2.4);
    cairo_save(s->cr);
    cairo_translate(s->cr, 55, 50);
    cairo_scale(s->cr, 13.5, 4.5);
    cairo_new_path(s->cr);
    cairo_arc(s->cr, 0, 0, 1, 0, full);
    cairo_restore(s->cr);
    cairo_stroke(s->cr);
    end(s);
}

/* -- the cuff ---------------------------------------------------------------------------------------------------------------- */

/* Seen from above, palm up, the hand at the right. */
static void arm_straight(struct sheet *s)
{
    cairo_move_to(s->cr, 2, 34);
    cairo_curve_to(s->cr, 30, 32, 50, 36, 62, 38);
    cairo_curve_to(s->cr, 74, 39, 84, 42, 92, 43);
    cairo_move_to(s->cr, 2, 72);
    cairo_curve_to(s->cr, 30, 72, 50, 69, 62, 67);
    cairo_curve_to(s->cr, 74, 66, 84, 62, 92, 61);
    cairo_stroke(s->cr);
    cairo_move_to(s->cr, 92, 43);
    cairo_curve_to(s->cr, 96, 38, 104, 39, 106, 43);
    cairo_stroke(s->cr);
    for (int i = 0; i < 4; i++)
        limb(s, 104, 45.5 + 4.6 * i, i == 1 ? 117 : i == 3 ? 112 : 115, 45.5 + 4.6 * i, 4.4);
    cairo_move_to(s->cr, 92, 61);
    cairo_curve_to(s->cr, 97, 63, 101, 63, 104, 61.5);
    cairo_stroke(s->cr);
    cairo_move_to(s->cr, 63, 42);
    cairo_curve_to(s->cr, 66, 49, 66, 56, 63, 63);
    cairo_stroke(s->cr);
}

void draw_cuff(struct sheet *s, double x, double y, double scale)
{
    begin(s, x, y, scale);
    arm_straight(s);
    cairo_rectangle(s->cr, 14, 29, 34, 47);
    solid(s, INK_TINT);
    limb(s, 51.8, 12, 51.8, 30, 6.4); /* two fingers between cuff and crease */
    limb(s, 58.6, 12, 58.6, 30, 6.4);
    dashed(s, true);
    LINES(s, 62.5, 30, 62.5, 42);
    dashed(s, false);
    sheet_ink(s, INK_PLUM);
    LINES(s, 41, 47, 46, 50.5, 41, 54);
    cairo_set_line_width(s->cr, 2);
    cairo_move_to(s->cr, 48, 50.5);
    cairo_curve_to(s->cr, 62, 50.5, 76, 52, 86, 52);
    cairo_curve_to(s->cr, 94, 53, 92, 70, 92, 84);
    cairo_stroke(s->cr);
    end(s);
}
