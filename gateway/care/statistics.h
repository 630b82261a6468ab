/* Statistics of a few dozen readings: plain functions of numbers. What cannot be computed is NAN.
 *
 * Checked against certified and library values in tests/reference.
 */
#ifndef QUIETARM_STATISTICS_H
#define QUIETARM_STATISTICS_H

/* Values as they come. Kept as differences from the first, so that whole pressures give exact sums and large values with
 * small differences lose nothing. Zero-initialised is empty. */
struct series {
    int n;
    double first, last;
    double sum, squares; /* of the differences from the first */
    double steps;        /* of |x[i+1] - x[i]| */
};

void series_add(struct series *s, double x);
double series_mean(const struct series *s); /* n >= 1 */
double series_sd(const struct series *s);   /* of a sample, n - 1; n >= 2 */
double series_cv(const struct series *s);   /* 100 SD / mean, per cent; n >= 2, mean not 0 */
double
series_arv(const struct series *s); /* average real variability: mean step in the order given; n >= 2 */

/* Student's t with `df` >= 1 whole degrees of freedom. tail: the chance of a value at or above `t`, good to 1e-13
 * absolute. quantile: the t with chance `p` below it, for p from 1e-6 to 1 - 1e-6. */
double stat_t_tail(double t, int df);
double stat_t_quantile(double p, int df);

/* The chance of `k` or more successes in `n` tries, each of chance `p` strictly between 0 and 1; exact sum. */
double stat_binomial_tail(int k, int n, double p);

/* To a whole number, half up: 134.5 is 135, 134.49 is 134. As every mean is shown and judged. `x` within +-30,000; NAN
 * is 0. */
int stat_half_up(double x);

#endif
