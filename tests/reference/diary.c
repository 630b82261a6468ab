/* A made-up diary of seven days whose every figure was computed with Python's statistics module: each rule's mean, the
 * spread, and what each of the five protocols makes of it.
 */
#include "tests/week_fixture.h"

static const short diary[7][4][2] = {
    /* AM1, AM2, PM1, PM2 */
    {{148, 91}, {144, 89}, {150, 92}, {146, 90}}, {{138, 86}, {136, 85}, {141, 88}, {137, 86}},
    {{135, 84}, {133, 84}, {139, 87}, {136, 85}}, {{140, 87}, {134, 85}, {138, 86}, {135, 84}},
    {{132, 83}, {131, 82}, {136, 85}, {133, 83}}, {{137, 86}, {135, 84}, {142, 88}, {138, 87}},
    {{133, 84}, {130, 82}, {134, 84}, {132, 83}},
};

static void write_days(struct week_fixture *f, int from, int to)
{
    for (int d = from; d <= to; d++)
        for (int i = 0; i < 4; i++)
            fixture_read(f, d, (i < 2 ? 430 : 1180) + i % 2 * 2, diary[d - 1][i][0], diary[d - 1][i][1]);
}

static struct week_result result_of(struct week_fixture *f)
{
    struct week_result w;

    week_result(&f->record, fixture_instant(f, 8, 12 * 60), &w);
    return w;
}

#define CLOSE(a, b) assert_close(a, b, 5.1e-7) /* the figures have six decimals */

static void every_rule_gives_its_mean(void **state)
{
    static const struct {
        bool first_counted;
        int from, to, n_all, sum_sys, sum_dia;
        char half; /* a all, m mornings, e evenings */
        double sys, dia;
    } rows[] = {
        {true, 1, 7, 28, 3843, 2400, 'a', 137.25, 85.714286},
        {false, 1, 7, 24, 3255, 2038, 'a', 135.625, 84.916667},
        {true, 1, 7, 14, 1906, 1192, 'm', 136.142857, 85.142857},
        {true, 1, 7, 14, 1937, 1208, 'e', 138.357143, 86.285714},
        {false, 1, 7, 12, 1614, 1012, 'm', 134.5, 84.333333},
        {false, 1, 7, 12, 1641, 1026, 'e', 136.75, 85.5},
        {true, 1, 3, 12, 1683, 1047, 'a', 140.25, 87.25},
        {true, 2, 4, 12, 1642, 1027, 'a', 136.833333, 85.583333},
        {false, 1, 4, 12, 1642, 1027, 'a', 136.833333, 85.583333},
        {false, 1, 1, 0, 0, 0, 'a', NAN, NAN},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct week_fixture f;
        fixture_open(&f, "esh");
        f.record.protocol.first_day_counted = rows[i].first_counted;
        write_days(&f, rows[i].from, rows[i].to);
        struct week_result w = result_of(&f);
        struct mean m = rows[i].half == 'm' ? w.morning : rows[i].half == 'e' ? w.evening : w.all;
        assert_int_equal(m.n, rows[i].n_all);
        if (m.n == 0) {
            assert_true(isnan(m.sys) && isnan(m.dia) && isnan(m.pulse));
            continue;
        }
        CLOSE(m.sys, rows[i].sys);
        CLOSE(m.dia, rows[i].dia);
        assert_close(m.sys * m.n, rows[i].sum_sys, 1e-9);
        assert_close(m.dia * m.n, rows[i].sum_dia, 1e-9);
    }
}

static void the_spread_without_day_one_is_as_computed_elsewhere(void **state)
{
    struct week_fixture f;

    (void)state;
    fixture_open(&f, "esh");
    write_days(&f, 1, 7);
    struct week_result w = result_of(&f);
    CLOSE(w.sd_sys, 3.145908);
    CLOSE(w.sd_dia, 1.742479);
    CLOSE(w.cv_sys, 2.319564);
    CLOSE(w.cv_dia, 2.051987);
    CLOSE(w.arv_sys, 3.652174);
    CLOSE(w.arv_dia, 1.956522);
    CLOSE(w.morning.sys - w.evening.sys, -2.25);
    CLOSE(w.morning.dia - w.evening.dia, -1.166667);
    CLOSE(w.first_morning_cv_sys, 3.911235);
    CLOSE(w.first_morning_cv_dia, 3.112860);
}

/* Day means d2-d7: SD 2.483697 over k = 6 days. The quantile t(0.975, 5) = 2.570582 is from printed tables (from memory,
 * and against GSL in tests/reference/distributions.c). */
static void the_interval_is_students_t_over_day_means_around_the_pooled_mean(void **state)
{
    struct week_fixture f;
    double half = 2.570582 * 2.483697 / sqrt(6);

    (void)state;
    fixture_open(&f, "esh");
    write_days(&f, 1, 7);
    struct week_result w = result_of(&f);
    assert_close(w.interval_sys[0], 135.625 - half, 1e-5);
    assert_close(w.interval_sys[1], 135.625 + half, 1e-5);
    assert_true(w.chance_sys > 0.5 && w.chance_sys < 0.8); /* 0.625 above the line, error 1.014 */
    assert_true(w.chance_dia > 0.3 && w.chance_dia < 0.5); /* just below it */
}

static void each_protocol_makes_of_it_what_its_guideline_says(void **state)
{
    static const struct {
        const char *protocol, *category, *morning, *evening;
        int n, sys, dia;
        double mean_sys, mean_dia;
    } rows[] = {
        {"esh", "at or above 135/85", "", "", 24, 135, 85, 135.625, 84.916667},
        {"nice", "stage 1", "", "", 24, 135, 85, 135.625, 84.916667},
        {"aha", "at or above 135/85", "", "", 28, 130, 80, 137.25, 85.714286},
        {"canada", "at or above 135/85", "", "", 24, 135, 85, 135.625, 84.916667},
        {"jsh", "at or above 135/85", "at or above 135/85", "at or above 135/85", 28, 135, 85, 137.25,
         85.714286},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct week_fixture f;
        fixture_open(&f, rows[i].protocol);
        write_days(&f, 1, 7);
        struct week_result w = result_of(&f);
        assert_true(w.enough);
        assert_int_equal(w.all.n, rows[i].n);
        CLOSE(w.all.sys, rows[i].mean_sys);
        CLOSE(w.all.dia, rows[i].mean_dia);
        assert_string_equal(w.category, rows[i].category);
        assert_string_equal(w.category_morning, rows[i].morning);
        assert_string_equal(w.category_evening, rows[i].evening);
        assert_int_equal(w.threshold.sys, rows[i].sys);
        assert_int_equal(w.threshold.dia, rows[i].dia);
        assert_true(w.all_wanted_full && w.last_wanted_full);
        assert_int_equal(w.n_sittings, 14);
        assert_int_equal(w.n_quality, 0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_rule_gives_its_mean),
        cmocka_unit_test(the_spread_without_day_one_is_as_computed_elsewhere),
        cmocka_unit_test(the_interval_is_students_t_over_day_means_around_the_pooled_mean),
        cmocka_unit_test(each_protocol_makes_of_it_what_its_guideline_says),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
