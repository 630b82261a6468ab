/* Statistics: see statistics.h. Short sums over at most a few hundred values, none of which may depend on a library
 * beyond the mathematics of the C library.
 */
#include "gateway/care/statistics.h"

#include <math.h>

void series_add(struct series *s, double x)
{
    if (s->n++ == 0)
        s->first = s->last = x;
    double d = x - s->first;
    s->sum += d;
    s->squares += d * d;
    s->steps += fabs(x - s->last);
    s->last = x;
}

double series_mean(const struct series *s)
{
    return s->n ? s->first + s->sum / s->n : NAN;
}

double series_sd(const struct series *s)
{
    if (s->n < 2)
        return NAN;
    double variance = (s->squares - s->sum * s->sum / s->n) / (s->n - 1);
    return variance > 0 ? sqrt(variance) : 0;
}

double series_cv(const struct series *s)
{
    double mean = series_mean(s);

    return s->n < 2 || mean == 0 ? NAN : 100 * series_sd(s) / mean;
}

double series_arv(const struct series *s)
{
    return s->n < 2 ? NAN : s->steps / (s->n - 1);
}

/* Half the chance of |T| < t: with whole degrees of freedom a finite sum of powers of a cosine (Abramowitz and Stegun
 * 26.7.3 and 26.7.4, from memory, checked against GSL in tests/reference). */
static double t_half_inside(double t, int df)
{
    double angle = atan(t / sqrt(df)), c = cos(angle), square = c * c;
    double term = 1, sum = 0;

    if (df % 2 == 0) {
        for (int i = 0; i <= df - 2; i += 2) {
            sum += term;
            term *= square * (i + 1) / (i + 2);
        }
        return sin(angle) * sum / 2;
    }
    term = c;
    for (int i = 1; i <= df - 2; i += 2) {
        sum += term;
        term *= square * (i + 1) / (i + 2);
    }
    return (angle + sin(angle) * sum) / M_PI;
}

double stat_t_tail(double t, int df)
{
    return isnan(t) || df < 1 ? NAN : 0.5 - t_half_inside(t, df);
}

double stat_t_quantile(double p, int df)
{
    double low = 0, high = 1, tail = p < 0.5 ? p : 1 - p;

    if (!(p >= 1e-6 && p <= 1 - 1e-6) || df < 1)
        return NAN;
    while (stat_t_tail(high, df) > tail)
        high *= 2;
    for (int i = 0; i < 200 && high - low > 1e-15 * high; i++) {
        double middle = low + (high - low) / 2;
        if (stat_t_tail(middle, df) > tail)
            low = middle;
        else
            high = middle;
    }
    return p < 0.5 ? -high : high;
}

/* The chance of exactly `k` of `n`; by logarithms, so that no factor leaves the range of a double. */
static double binomial_term(int k, int n, double p)
{
    double log_term = k * log(p) + (n - k) * log1p(-p);

    for (int i = 1; i <= k; i++)
        log_term += log((double)(n - k + i) / i);
    return exp(log_term);
}

/* Sums the side of `k` on which the terms fall, for the other one's first terms may be too small for a double. */
double stat_binomial_tail(int k, int n, double p)
{
    double sum = 0;

    if (k <= 0)
        return 1;
    if (k > n)
        return 0;
    if (k > n * p) {
        double term = binomial_term(k, n, p);
        for (int i = k; i <= n; i++) {
            sum += term;
            term *= (double)(n - i) / (i + 1) * p / (1 - p);
        }
        return sum < 1 ? sum : 1;
    }
    double term = binomial_term(k - 1, n, p);
    for (int i = k - 1; i >= 0; i--) {
        sum += term;
        term *= (double)i / (n - i + 1) * (1 - p) / p;
    }
    return sum < 1 ? 1 - sum : 0;
}

int stat_half_up(double x)
{
    return isnan(x) ? 0 : (int)floor(x + 0.5);
}
