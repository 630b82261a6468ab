/* Figures: medians and quantiles, the table on standard output, the same as JSON.
 */
#include "tests/bench/bench.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

static json_t *results, *remarks;
static int missed;

static int64_t clock_ns(clockid_t which)
{
    struct timespec t;
    clock_gettime(which, &t);
    return (int64_t)t.tv_sec * 1000000000 + t.tv_nsec;
}

int64_t now_ns(void)
{
    return clock_ns(CLOCK_MONOTONIC);
}

int64_t thread_ns(void)
{
    return clock_ns(CLOCK_THREAD_CPUTIME_ID);
}

/* -- rounds ------------------------------------------------------------------------------------------------------------ */

void rounds_add(struct rounds *r, double value)
{
    if (r->n < ROUNDS_MAX)
        r->at[r->n++] = value;
}

static int double_order(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

double rounds_median(const struct rounds *r)
{
    struct rounds sorted = *r;
    if (!r->n)
        return NAN;
    qsort(sorted.at, (size_t)sorted.n, sizeof sorted.at[0], double_order);
    return r->n % 2 ? sorted.at[r->n / 2] : (sorted.at[r->n / 2 - 1] + sorted.at[r->n / 2]) / 2;
}

double rounds_least(const struct rounds *r)
{
    double least = NAN;
    for (int i = 0; i < r->n; i++)
        least = fmin(least, r->at[i]);
    return least;
}

double rounds_most(const struct rounds *r)
{
    double most = NAN;
    for (int i = 0; i < r->n; i++)
        most = fmax(most, r->at[i]);
    return most;
}

static int whole_order(const void *a, const void *b)
{
    uint32_t x = *(const uint32_t *)a, y = *(const uint32_t *)b;
    return (x > y) - (x < y);
}

double quantile(uint32_t *values, size_t n, double q)
{
    if (!n)
        return NAN;
    qsort(values, n, sizeof *values, whole_order);
    size_t i = (size_t)(q * (double)n);
    return values[i < n ? i : n - 1];
}

/* -- telling ------------------------------------------------------------------------------------------------------------ */

static const char *verdict(double value, struct goal g, char text[64])
{
    text[0] = '\0';
    if (isnan(g.least) && isnan(g.most))
        return text;
    bool met = (isnan(g.least) || value >= g.least) && (isnan(g.most) || value <= g.most);
    missed += !met;
    snprintf(text, 64, "%s (%s %g)", met ? "met" : "MISSED", isnan(g.least) ? "at most" : "at least",
             isnan(g.least) ? g.most : g.least);
    return text;
}

void figure(const char *name, const struct rounds *r, const char *unit, struct goal goal)
{
    double median = rounds_median(r);
    char text[64];
    if (!r->n)
        return;
    verdict(median, goal, text);
    printf("%-58s %10.4g  (%.4g … %.4g) %-9s %s\n", name, median, rounds_least(r), rounds_most(r), unit, text);
    fflush(stdout);
    json_t *one = json_pack("{s:f, s:f, s:f, s:i, s:s}", "median", median, "least", rounds_least(r), "most",
                            rounds_most(r), "rounds", r->n, "unit", unit);
    if (one && text[0])
        json_object_set_new(one, "goal", json_string(text));
    if (!results)
        results = json_object();
    json_object_set_new(results, name, one ? one : json_null());
}

void figure_one(const char *name, double value, const char *unit, struct goal goal)
{
    figure(name, &(struct rounds){{value}, 1}, unit, goal);
}

void heading(const char *text)
{
    printf("\n%s\n", text);
    fflush(stdout);
}

void remark(const char *format, ...)
{
    char text[512];
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    printf("  %s\n", text);
    fflush(stdout);
    if (!remarks)
        remarks = json_array();
    json_array_append_new(remarks, json_string(text));
}

int figures_write(const char *file)
{
    json_t *all = json_pack("{s:O?, s:O?, s:i}", "figures", results, "remarks", remarks, "goals_missed", missed);
    int error = all ? json_dump_file(all, file, JSON_INDENT(2) | JSON_REAL_PRECISION(6)) : -1;
    json_decref(all);
    return error;
}

int figures_missed(void)
{
    return missed;
}
