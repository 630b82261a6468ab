/* Student's t and the binomial against the GNU Scientific Library (Debian's libgsl-dev), to 1e-9 and better. */
#include <gsl/gsl_cdf.h>

#include "gateway/care/statistics.h"
#include "tests/week_fixture.h"

static void the_t_tail_is_gsls(void **state)
{
    (void)state;
    for (int df = 1; df <= 200; df++)
        for (double t = -50; t <= 50; t += 0.37)
            assert_close(stat_t_tail(t, df), gsl_cdf_tdist_Q(t, df), 1e-12);
}

static void the_t_quantile_is_gsls(void **state)
{
    static const double chances[] = {1e-6, 1e-5, 1e-3, 0.025, 0.05, 0.1,   0.3,   0.4999,  0.5,     0.5001,
                                     0.75, 0.9,  0.95, 0.975, 0.99, 0.995, 0.999, 0.99999, 1 - 1e-6};
    (void)state;
    for (int df = 1; df <= 60; df++)
        for (size_t i = 0; i < sizeof chances / sizeof *chances; i++) {
            double want = gsl_cdf_tdist_Pinv(chances[i], df);
            /* where the curve is flat a change of 1e-16 in the tail moves t by more: 1e-9 of t, not of the tail */
            assert_close(stat_t_quantile(chances[i], df), want, 1e-9 * fmax(1, fabs(want)));
        }
}

static void the_quantiles_of_printed_tables_come_out(void **state)
{
    /* t(0.975, df) to three places, as printed in any table of Student's t; from memory */
    static const struct {
        int df;
        double t;
    } rows[] = {{1, 12.706}, {2, 4.303}, {3, 3.182}, {4, 2.776},  {5, 2.571}, {6, 2.447},
                {7, 2.365},  {8, 2.306}, {9, 2.262}, {10, 2.228}, {30, 2.042}};
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        assert_close(stat_t_quantile(0.975, rows[i].df), rows[i].t, 5.1e-4);
}

static void the_binomial_tail_is_gsls(void **state)
{
    static const double chances[] = {0.01, 0.1, 0.5, 0.9};
    static const int tries[] = {1, 2, 10, 20, 48, 56, 100, 500, 2000};
    (void)state;
    for (size_t c = 0; c < sizeof chances / sizeof *chances; c++)
        for (size_t i = 0; i < sizeof tries / sizeof *tries; i++)
            for (int k = 0; k <= tries[i]; k += 1 + tries[i] / 60) {
                double want =
                    k == 0 ? 1 : gsl_cdf_binomial_Q((unsigned)k - 1, chances[c], (unsigned)tries[i]);
                assert_close(stat_binomial_tail(k, tries[i], chances[c]), want, 1e-11);
            }
}

static void what_has_no_answer_is_nan_or_certain(void **state)
{
    (void)state;
    assert_true(isnan(stat_t_tail(NAN, 3)) && isnan(stat_t_tail(1, 0)));
    assert_true(isnan(stat_t_quantile(0, 3)) && isnan(stat_t_quantile(1, 3)) &&
                isnan(stat_t_quantile(NAN, 3)));
    assert_true(stat_binomial_tail(-1, 5, 0.1) == 1);
    assert_true(stat_binomial_tail(6, 5, 0.1) == 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_t_tail_is_gsls),
        cmocka_unit_test(the_t_quantile_is_gsls),
        cmocka_unit_test(the_quantiles_of_printed_tables_come_out),
        cmocka_unit_test(the_binomial_tail_is_gsls),
        cmocka_unit_test(what_has_no_answer_is_nan_or_certain),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
