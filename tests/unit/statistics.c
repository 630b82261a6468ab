/* Statistics of few values, and their edges; outside checks are in tests/reference. */
#include "gateway/care/statistics.h"
#include "tests/week_fixture.h"

static void means_are_shown_half_up(void **state)
{
    static const struct {
        double mean;
        int shown;
    } rows[] = {
        {134.5, 135}, {134.49999, 134}, {134.375, 134}, {84.333333, 84}, {84.916667, 85},       {135, 135},
        {0.5, 1},     {-0.5, 0},        {-0.6, -1},     {NAN, 0},        {134 + 47.0 / 96, 134}};
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        assert_int_equal(stat_half_up(rows[i].mean), rows[i].shown);
}

/* Every mean of n whole pressures, n to 60, is shown as whole-number arithmetic has it. */
static void half_up_is_exact_for_every_mean_of_whole_pressures(void **state)
{
    (void)state;
    for (int n = 2; n <= 60; n++)
        for (int sum = 100 * n; sum <= 140 * n; sum++) {
            struct series t = {0};
            for (int i = 0; i < n; i++) /* the sum as evenly as whole numbers can, after one value far off */
                series_add(&t, i == 0 ? 177 : (sum - 177) / (n - 1) + (i <= (sum - 177) % (n - 1)));
            assert_int_equal(stat_half_up(series_mean(&t)), (2 * sum + n) / (2 * n));
        }
}

static void few_values_have_no_spread(void **state)
{
    struct series s = {0};

    (void)state;
    assert_true(isnan(series_mean(&s)) && isnan(series_sd(&s)) && isnan(series_cv(&s)) &&
                isnan(series_arv(&s)));
    series_add(&s, 120);
    assert_true(series_mean(&s) == 120);
    assert_true(isnan(series_sd(&s)) && isnan(series_cv(&s)) && isnan(series_arv(&s)));
    series_add(&s, 122);
    assert_true(series_mean(&s) == 121);
    assert_close(series_sd(&s), sqrt(2), 1e-15);
    assert_close(series_cv(&s), 100 * sqrt(2) / 121, 1e-13);
    assert_true(series_arv(&s) == 2);
}

static void zeros_have_no_variation(void **state)
{
    struct series s = {0};

    (void)state;
    series_add(&s, -1);
    series_add(&s, 1);
    assert_true(isnan(series_cv(&s)) && series_sd(&s) > 0);
}

static void alike_values_have_no_sd(void **state)
{
    struct series s = {0};

    (void)state;
    for (int i = 0; i < 100; i++)
        series_add(&s, 120);
    assert_true(series_sd(&s) == 0 && series_arv(&s) == 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(means_are_shown_half_up),
        cmocka_unit_test(half_up_is_exact_for_every_mean_of_whole_pressures),
        cmocka_unit_test(few_values_have_no_spread),
        cmocka_unit_test(zeros_have_no_variation),
        cmocka_unit_test(alike_values_have_no_sd),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
