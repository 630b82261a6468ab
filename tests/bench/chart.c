/* Chart: how a cost grows with the size of things, as one SVG: powers of ten along, the cost upwards from 0.
 */
#include "tests/bench/bench.h"

#include <math.h>
#include <stdio.h>

enum { WIDTH = 640, HEIGHT = 360, LEFT = 70, RIGHT = 180, TOP = 40, BOTTOM = 50 };

static const char *const colours[] = {"#1b6ca8", "#b8500c", "#2f7d32", "#6a3d9a", "#555555", "#a01c4b"};

struct frame {
    double x_from, x_to, y_to; /* x in powers of ten */
};

static double x_at(const struct frame *f, double x)
{
    return LEFT + (log10(x) - f->x_from) / (f->x_to - f->x_from) * (WIDTH - LEFT - RIGHT);
}

static double y_at(const struct frame *f, double y)
{
    return HEIGHT - BOTTOM - y / f->y_to * (HEIGHT - TOP - BOTTOM);
}

static struct frame frame_of(const struct series *s, int n)
{
    struct frame f = {INFINITY, -INFINITY, 0};
    for (int i = 0; i < n; i++)
        for (int k = 0; k < s[i].n; k++) {
            f.x_from = fmin(f.x_from, floor(log10(s[i].x[k])));
            f.x_to = fmax(f.x_to, ceil(log10(s[i].x[k])));
            f.y_to = fmax(f.y_to, s[i].y[k]);
        }
    double step = pow(10, floor(log10(f.y_to > 0 ? f.y_to : 1)));
    f.y_to = ceil(f.y_to / step) * step;
    if (f.x_to <= f.x_from)
        f.x_to = f.x_from + 1;
    return f;
}

static void axes_draw(FILE *out, const struct frame *f, const char *x_name, const char *y_name)
{
    for (int p = (int)f->x_from; p <= (int)f->x_to; p++)
        fprintf(out,
                "<line x1=\"%.1f\" y1=\"%d\" x2=\"%.1f\" y2=\"%d\" stroke=\"#ddd\"/>"
                "<text x=\"%.1f\" y=\"%d\" text-anchor=\"middle\">10<tspan dy=\"-5\" font-size=\"9\">%d</tspan></text>\n",
                x_at(f, pow(10, p)), TOP, x_at(f, pow(10, p)), HEIGHT - BOTTOM, x_at(f, pow(10, p)), HEIGHT - BOTTOM + 18,
                p);
    for (int i = 0; i <= 4; i++) {
        double y = f->y_to * i / 4;
        fprintf(out,
                "<line x1=\"%d\" y1=\"%.1f\" x2=\"%d\" y2=\"%.1f\" stroke=\"#ddd\"/>"
                "<text x=\"%d\" y=\"%.1f\" text-anchor=\"end\">%g</text>\n",
                LEFT, y_at(f, y), WIDTH - RIGHT, y_at(f, y), LEFT - 6, y_at(f, y) + 4, y);
    }
    fprintf(out, "<text x=\"%d\" y=\"%d\" text-anchor=\"middle\">%s</text>\n", (LEFT + WIDTH - RIGHT) / 2, HEIGHT - 12,
            x_name);
    fprintf(out, "<text x=\"%d\" y=\"%d\">%s</text>\n", LEFT, TOP - 8, y_name);
}

static void series_draw(FILE *out, const struct frame *f, const struct series *s, int i)
{
    const char *colour = colours[i % (int)(sizeof colours / sizeof *colours)];
    fprintf(out, "<polyline fill=\"none\" stroke=\"%s\" stroke-width=\"2\" points=\"", colour);
    for (int k = 0; k < s->n; k++)
        fprintf(out, "%.1f,%.1f ", x_at(f, s->x[k]), y_at(f, s->y[k]));
    fprintf(out, "\"/>\n");
    for (int k = 0; k < s->n; k++)
        fprintf(out, "<circle cx=\"%.1f\" cy=\"%.1f\" r=\"3\" fill=\"%s\"><title>%g: %g</title></circle>\n",
                x_at(f, s->x[k]), y_at(f, s->y[k]), colour, s->x[k], s->y[k]);
    fprintf(out, "<text x=\"%d\" y=\"%d\" fill=\"%s\">%s</text>\n", WIDTH - RIGHT + 10, TOP + 16 + 18 * i, colour, s->name);
}

int chart_write(const char *file, const char *title, const char *x_name, const char *y_name, const struct series *s, int n)
{
    FILE *out = fopen(file, "w");
    if (!out)
        return -1;
    struct frame f = frame_of(s, n);
    fprintf(out,
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 %d %d\" font-family=\"sans-serif\" font-size=\"12\""
            " role=\"img\"><title>%s</title><rect width=\"%d\" height=\"%d\" fill=\"white\"/>\n"
            "<text x=\"%d\" y=\"18\" font-weight=\"bold\">%s</text>\n",
            WIDTH, HEIGHT, title, WIDTH, HEIGHT, LEFT, title);
    axes_draw(out, &f, x_name, y_name);
    for (int i = 0; i < n; i++)
        series_draw(out, &f, &s[i], i);
    fprintf(out, "</svg>\n");
    return fclose(out);
}
