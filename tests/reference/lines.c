/* Each protocol's lines at, just under and just over, the cuff's printed range, and the size bands of the AHA.
 *
 * Lines and sizes as in gateway/protocols and Muntner 2019 (Hypertension 73:e35); bands: round the arm to whole cm first.
 */
#include "gateway/care/cuff_fit.h"
#include "tests/week_fixture.h"

/* A week whose counted readings have the means sys and dia, in sixteenths of a mmHg. */
static struct week_result week_with(const char *protocol, double sys, double dia)
{
    static struct week_fixture f;
    struct week_result w;
    int high_sys = (int)round((sys - floor(sys)) * 16), high_dia = (int)round((dia - floor(dia)) * 16);
    int n = 0;

    fixture_open(&f, protocol);
    f.record.protocol.first_day_counted = true;
    f.record.protocol.per_sitting = 8;
    for (int d = 1; d <= 7; d++)
        for (int half = 0; half < 2; half++)
            for (int i = 0; i < 8; i++, n++)
                fixture_read(&f, d, (half ? 1180 : 430) + i, (int)floor(sys) + (n % 16 < high_sys),
                             (int)floor(dia) + (n % 16 < high_dia));
    week_result(&f.record, fixture_instant(&f, 9, 0), &w);
    assert_true(w.enough);
    assert_close(w.all.sys, sys, 1e-9);
    assert_close(w.all.dia, dia, 1e-9);
    return w;
}

static void a_mean_is_judged_as_it_is_shown(void **state)
{
    static const struct {
        const char *protocol;
        double sys, dia;
        const char *category;
    } rows[] = {
        {"esh", 134.4375, 80, "below"},
        {"esh", 134.5, 80, "at or above 135/85"},
        {"esh", 135, 80, "at or above 135/85"},
        {"esh", 120, 84.4375, "below"},
        {"esh", 120, 84.5, "at or above 135/85"},
        {"esh", 170, 100, "at or above 135/85"},
        {"nice", 134.4375, 84.4375, "below"},
        {"nice", 134.5, 84, "stage 1"},
        {"nice", 149.4375, 94.4375, "stage 1"},
        {"nice", 149.5, 84, "stage 2"},
        {"nice", 120, 94.5, "stage 2"},
        {"nice", 151, 80, "stage 2"},
        {"aha", 129.4375, 79.4375, "below"},
        {"aha", 129.5, 70, "at or above 130/80"},
        {"aha", 110, 79.5, "at or above 130/80"},
        {"aha", 134.4375, 84.4375, "at or above 130/80"},
        {"aha", 134.5, 79, "at or above 135/85"},
        {"aha", 129, 84.5, "at or above 135/85"},
        {"canada", 134.4375, 84.4375, "below"},
        {"canada", 134.5, 84, "at or above 135/85"},
        {"canada", 134, 84.5, "at or above 135/85"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct week_result w = week_with(rows[i].protocol, rows[i].sys, rows[i].dia);
        if (strcmp(w.category, rows[i].category))
            fail_msg("%s %g/%g: '%s', not '%s'", rows[i].protocol, rows[i].sys, rows[i].dia, w.category,
                     rows[i].category);
    }
}

/* JSH: each half on its own, and the worse one leads. */
static void morning_and_evening_are_judged_apart_by_jsh(void **state)
{
    static const struct {
        int morning, evening;
        const char *in_morning, *in_evening, *leads, *why;
    } rows[] = {
        {134, 134, "below", "below", "below", "both below"},
        {135, 125, "at or above 135/85", "below", "at or above 135/85",
         "morning high though the pooled mean is below"},
        {125, 135, "below", "at or above 135/85", "at or above 135/85", "evening high"},
        {140, 140, "at or above 135/85", "at or above 135/85", "at or above 135/85", "both high"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct week_fixture f;
        struct week_result w;
        fixture_open(&f, "jsh");
        for (int d = 1; d <= 7; d++)
            for (int k = 0; k < 4; k++)
                fixture_read(&f, d, (k < 2 ? 430 : 1180) + k, k < 2 ? rows[i].morning : rows[i].evening, 80);
        week_result(&f.record, fixture_instant(&f, 9, 0), &w);
        if (strcmp(w.category_morning, rows[i].in_morning) ||
            strcmp(w.category_evening, rows[i].in_evening) || strcmp(w.category, rows[i].leads))
            fail_msg("%s: %s, %s, %s", rows[i].why, w.category_morning, w.category_evening, w.category);
        assert_close(w.all.sys, (rows[i].morning + rows[i].evening) / 2.0, 1e-9);
    }
}

static void a_week_is_enough_at_its_protocols_fewest(void **state)
{
    static const struct {
        const char *protocol;
        int days, readings; /* in all, the first day's with them */
        bool enough;
        const char *why;
    } rows[] = {
        {"esh", 4, 16, true, "three counted days of four"},
        {"esh", 4, 15, false, "one reading short"},
        {"esh", 3, 12, false, "day 1 left out leaves eight"},
        {"nice", 4, 16, true, "three counted days of four"},
        {"nice", 4, 15, false, "one reading short"},
        {"aha", 3, 12, true, "twelve over three days"},
        {"aha", 3, 11, false, "eleven"},
        {"canada", 7, 24, true, "seven days, twenty counted"},
        {"canada", 7, 23, false, "nineteen counted"},
        {"canada", 6, 24, false, "six days"},
        {"jsh", 5, 10, true, "five days, ten"},
        {"jsh", 5, 9, false, "nine"},
        {"jsh", 4, 16, false, "four days"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct week_fixture f;
        struct week_result w;
        int left = rows[i].readings;
        fixture_open(&f, rows[i].protocol);
        for (int d = 1; d <= rows[i].days; d++) { /* four on day 1, one at least on each that follows */
            int today = rows[i].days - d, most = left - today < 4 ? left - today : 4;
            for (int k = 0; k < most; k++, left--)
                fixture_read(&f, d, (k < 2 ? 430 : 1180) + k, 120 + k, 70);
        }
        week_result(&f.record, fixture_instant(&f, 9, 0), &w);
        if (w.enough != rows[i].enough || (w.category[0] != '\0') != rows[i].enough)
            fail_msg("%s, %s: days %d, counted %d, '%s'", rows[i].protocol, rows[i].why, w.days_accepted,
                     w.all.n, w.category);
    }
}

static void a_cuff_fits_its_printed_range(void **state)
{
    static const struct {
        double arm, low, high;
        bool by_staff;
        const char *word, *why;
    } rows[] = {
        {30, 22, 42, false, "fits", "in the middle"},
        {22, 22, 42, false, "borderline", "the low end"},
        {23, 22, 42, false, "borderline", "a cm from it"},
        {23.1, 22, 42, false, "fits", "a millimetre more"},
        {23.1, 22.1, 42, false, "borderline", "a cm exactly, whatever binary fractions say"},
        {41, 22, 42, false, "borderline", "a cm from the high end"},
        {40.9, 22, 42, false, "fits", "a millimetre more"},
        {42, 22, 42, false, "borderline", "the high end"},
        {42.1, 22, 42, false, "too small", "past it"},
        {21.9, 22, 42, false, "too large", "under the low end"},
        {22, 22, 42, true, "fits", "measured by staff"},
        {42, 22, 42, true, "fits", "measured by staff"},
        {42.1, 22, 42, true, "too small", "staff, past it"},
        {0, 22, 42, false, "unknown", "no arm"},
        {30, 0, 0, false, "unknown", "no cuff"},
        {30, 42, 22, false, "unknown", "turned round"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const char *word = cuff_fit_word(cuff_fit(rows[i].arm, rows[i].low, rows[i].high, rows[i].by_staff));
        if (strcmp(word, rows[i].word))
            fail_msg("%s: %s", rows[i].why, word);
    }
}

static void sizes_are_those_of_the_aha(void **state)
{
    static const struct {
        double arm;
        const char *size; /* NULL: the clinic */
    } rows[] = {{21.4, NULL},          {21.5, "small adult"}, {22, "small adult"}, {26.4, "small adult"},
                {26.5, "adult"},       {27, "adult"},         {34.4, "adult"},     {34.5, "large adult"},
                {44.4, "large adult"}, {44.5, "extra-large"}, {52, "extra-large"}, {52.4, "extra-large"},
                {52.5, NULL}};
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const char *size = cuff_size(rows[i].arm);
        if ((size == NULL) != (rows[i].size == NULL) || (size && strcmp(size, rows[i].size)))
            fail_msg("%g cm: %s", rows[i].arm, size ? size : "none");
        assert_int_equal(arm_outside_cuffs(rows[i].arm), rows[i].size == NULL);
    }
    assert_false(arm_outside_cuffs(0)); /* not known */
}

/* What "rounded" asks: at p = 0.1 the fewest zeros among n last digits whose tail is under 0.001, computed with
 * Python's exact integers: 6 of 10, 8 of 20, 13 of 48. */
static void rounded_begins_at_the_exact_binomial_line(void **state)
{
    static const struct {
        int readings, zeros; /* of 2 x readings digits */
        bool rounded;
    } rows[] = {{5, 5, false}, {5, 6, true},    {10, 7, false}, {10, 8, true},
                {4, 8, false}, {24, 12, false}, {24, 13, true}};
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct week_fixture f;
        struct week_result w;
        fixture_open(&f, "aha");
        for (int k = 0; k < rows[i].readings; k++)
            fixture_read(&f, 1 + k / 4, (k % 4 < 2 ? 430 : 1180) + k % 4,
                         2 * k < rows[i].zeros ? 120 : 121 + k % 7,
                         2 * k + 1 < rows[i].zeros ? 80 : 71 + k % 5);
        week_result(&f.record, fixture_instant(&f, 9, 0), &w);
        bool told = false;
        for (int k = 0; k < w.n_quality; k++)
            told |= strcmp(w.quality[k], "rounded") == 0;
        if (told != rows[i].rounded)
            fail_msg("%d zeros of %d digits", rows[i].zeros, 2 * rows[i].readings);
        if (told)
            assert_true(isnan(w.interval_sys[0]) && isnan(w.chance_dia));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_mean_is_judged_as_it_is_shown),
        cmocka_unit_test(morning_and_evening_are_judged_apart_by_jsh),
        cmocka_unit_test(a_week_is_enough_at_its_protocols_fewest),
        cmocka_unit_test(a_cuff_fits_its_printed_range),
        cmocka_unit_test(sizes_are_those_of_the_aha),
        cmocka_unit_test(rounded_begins_at_the_exact_binomial_line),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
