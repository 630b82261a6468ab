/* The chart's geometry: a claim a reading, a line, a label. Plain coordinates, no picture. */
#include "gateway/report/chart.h"
#include "tests/report_fixture.h"

static struct report_fixture f;
static struct chart c;

static void chart_of(double label_height)
{
    assert_true(chart_make(&c, report_fixture_make(&f), label_height));
}

static void closed(void)
{
    chart_close(&c);
    report_close(&f.report);
}

static void readings_stand_in_order_of_time_within_their_day(void **state)
{
    (void)state;
    report_fixture_open(&f, "esh");
    report_fixture_read(&f, 28, 2);
    report_fixture_end(&f, 7, WEEK_COMPLETE);
    chart_of(0.07);
    assert_int_equal(c.n_days, 7);
    assert_int_equal(c.n_spans, 28);
    for (size_t i = 0; i < c.n_spans; i++) {
        const struct chart_day *d = &c.days[i / 4];
        assert_true(c.spans[i].x > d->from && c.spans[i].x < d->to);
        assert_true(i == 0 || c.spans[i].x > c.spans[i - 1].x);
        assert_true(c.spans[i].top >= 0 && c.spans[i].top < c.spans[i].bottom && c.spans[i].bottom <= 1);
        assert_int_equal(c.spans[i].mark, i < 4 ? MARK_LEFT_OUT : MARK_COUNTED);
    }
    assert_true(c.days[0].left_out && !c.days[1].left_out);
    assert_string_equal(c.days[0].weekday, "Tue");
    assert_string_equal(c.days[6].date, "30");
    closed();
}

static void the_axis_runs_from_40_to_200_and_wider_only_if_it_must(void **state)
{
    static const struct {
        int sys, dia, low, high;
    } rows[] = {{132, 84, 40, 200}, {200, 40, 40, 200}, {201, 84, 40, 220}, {250, 130, 40, 260}, {80, 39, 20, 200}};
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        report_fixture_open(&f, "esh");
        fixture_read(&f.week, 1, 430, rows[i].sys, rows[i].dia);
        chart_of(0.07);
        assert_int_equal(c.low, rows[i].low);
        assert_int_equal(c.high, rows[i].high);
        assert_close(c.spans[0].top, (double)(c.high - rows[i].sys) / (c.high - c.low), 1e-12);
        assert_close(c.spans[0].bottom, (double)(c.high - rows[i].dia) / (c.high - c.low), 1e-12);
        closed();
    }
}

static void standing_decides_the_mark_and_void_ones_are_in_the_table_alone(void **state)
{
    (void)state;
    report_fixture_open(&f, "aha");
    fixture_read(&f.week, 1, 430, 132, 84);
    fixture_read(&f.week, 1, 432, 134, 84)->standing = STANDING_HELD;
    fixture_read(&f.week, 1, 434, 136, 84)->standing = STANDING_VOID;
    fixture_read(&f.week, 1, 436, 138, 84)->standing = STANDING_REPLACED;
    fixture_read(&f.week, 1, 438, 140, 84)->posture = POSTURE_LYING;
    fixture_read(&f.week, 1, 440, 142, 0)->standing = STANDING_HELD; /* one number */
    chart_of(0.07);
    assert_int_equal(c.n_spans, 3);
    assert_int_equal(c.spans[0].mark, MARK_COUNTED);
    assert_int_equal(c.spans[1].mark, MARK_HELD);
    assert_int_equal(c.spans[2].mark, MARK_LEFT_OUT);
    assert_non_null(strstr(c.legend, "Dashed: held."));
    closed();
}

static void labels_never_stand_on_each_other(void **state)
{
    static const char *const protocols[] = {"esh", "nice", "aha", "canada", "jsh"};
    (void)state;
    for (size_t i = 0; i < sizeof protocols / sizeof *protocols; i++) {
        report_fixture_open(&f, protocols[i]);
        fixture_read(&f.week, 1, 430, 132, 84);
        chart_of(0.075);
        assert_int_equal(c.n_rules, 2 * f.week.record.protocol.n_lines);
        for (int k = 1; k < c.n_rules; k++) {
            assert_true(c.rules[k].y >= c.rules[k - 1].y);
            assert_true(c.rules[k].label_y - c.rules[k - 1].label_y >= 0.075 - 1e-9);
        }
        closed();
    }
}

static void the_average_is_a_band_behind_the_days_that_count(void **state)
{
    (void)state;
    report_fixture_open(&f, "esh");
    report_fixture_read(&f, 28, 2);
    chart_of(0.07);
    assert_true(c.has_band);
    assert_close(c.band_top, (200.0 - 136) / 160, 1e-12);
    assert_close(c.band_bottom, (200.0 - 85) / 160, 1e-12);
    assert_close(c.band_from, 1.0 / 7, 1e-12);
    closed();
}

static void what_the_patient_said_of_measuring_is_a_mark_under_the_sitting(void **state)
{
    (void)state;
    report_fixture_open(&f, "esh");
    report_fixture_read(&f, 8, 2);
    f.week.readings[5].technique = TECHNIQUE_COLD;
    chart_of(0.07);
    for (int i = 0; i < c.n_sittings; i++)
        assert_int_equal(c.sittings[i].noted, i == 2);
    assert_non_null(strstr(c.legend, "Dot below"));
    closed();
}

static void adult_lines_are_not_drawn_in_pregnancy(void **state)
{
    (void)state;
    report_fixture_open(&f, "esh");
    report_fixture_read(&f, 28, 2);
    f.week.record.person.pregnant = true;
    f.week.record.person.pregnant_due = f.week.day1 + 60;
    chart_of(0.07);
    assert_int_equal(c.n_rules, 0);
    assert_null(strstr(c.legend, "Line"));
    closed();
}

static void a_week_without_a_day_has_no_chart(void **state)
{
    (void)state;
    report_fixture_open(&f, "esh");
    f.week.record.week.first_day = DAY_NONE;
    chart_of(0.07);
    assert_int_equal(c.n_days, 0);
    closed();
}

static void sixty_readings_and_sixteen_days_fit(void **state)
{
    (void)state;
    report_fixture_open(&f, "esh");
    report_fixture_read(&f, 60, 2);
    report_fixture_end(&f, 15, WEEK_COMPLETE);
    chart_of(0.07);
    assert_int_equal(c.n_spans, 60);
    assert_true(c.n_days > 10);
    assert_string_equal(c.days[1].weekday, ""); /* every other day is named */
    for (size_t i = 1; i < c.n_spans; i++)
        assert_true(c.spans[i].x - c.spans[i - 1].x > 0.005);
    closed();
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(readings_stand_in_order_of_time_within_their_day),
        cmocka_unit_test(the_axis_runs_from_40_to_200_and_wider_only_if_it_must),
        cmocka_unit_test(standing_decides_the_mark_and_void_ones_are_in_the_table_alone),
        cmocka_unit_test(labels_never_stand_on_each_other),
        cmocka_unit_test(the_average_is_a_band_behind_the_days_that_count),
        cmocka_unit_test(what_the_patient_said_of_measuring_is_a_mark_under_the_sitting),
        cmocka_unit_test(adult_lines_are_not_drawn_in_pregnancy),
        cmocka_unit_test(a_week_without_a_day_has_no_chart),
        cmocka_unit_test(sixty_readings_and_sixteen_days_fit),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
