/* A week's result: sittings, spread, pattern and quality. Figures are checked against the outside in
 * tests/reference (diary, sets, distributions, lines). */
#include "tests/week_fixture.h"

enum { AM = 430, PM = 1180 };

static struct week_result result_at(struct week_fixture *f, int day, int minute)
{
    struct week_result w;

    week_result(&f->record, fixture_instant(f, day, minute), &w);
    return w;
}

static bool has(const struct week_result *w, const char *word)
{
    for (int i = 0; i < w->n_quality; i++)
        if (strcmp(w->quality[i], word) == 0)
            return true;
    return false;
}

/* -- an empty week, and pulse ------------------------------------------------------------------------------------------ */

static void without_readings_nothing_is_known(void **state)
{
    struct week_fixture f;

    (void)state;
    fixture_open(&f, "esh");
    f.record.week.first_day = DAY_NONE;
    f.record.readings = NULL;
    struct week_result w = result_at(&f, 1, PM);
    assert_int_equal(w.all.n + w.morning.n + w.n_sittings + w.n_quality + w.days_accepted, 0);
    assert_true(isnan(w.all.sys) && isnan(w.all.pulse) && isnan(w.sd_sys) && isnan(w.cv_dia) &&
                isnan(w.arv_sys));
    assert_true(isnan(w.interval_sys[0]) && isnan(w.interval_dia[1]) && isnan(w.chance_sys) &&
                isnan(w.first_morning_cv_sys));
    assert_false(w.enough || w.all_wanted_full || w.last_wanted_full || w.far_from_office);
    assert_string_equal(w.category, "");
    assert_string_equal(w.pattern, "");
    assert_string_equal(w.cuff, "unknown");
    assert_int_equal(w.threshold.sys, 135);
}

static void pulse_is_averaged_over_those_that_told_it(void **state)
{
    struct week_fixture f;

    (void)state;
    fixture_open(&f, "aha");
    fixture_read(&f, 1, AM, 120, 70)->pulse = 60;
    fixture_read(&f, 1, AM + 1, 120, 70);
    fixture_read(&f, 1, PM, 120, 70)->pulse = 71;
    struct week_result w = result_at(&f, 2, 0);
    assert_int_equal(w.all.n, 3);
    assert_int_equal(w.all.n_pulse, 2);
    assert_close(w.all.pulse, 65.5, 0);
    assert_int_equal(w.evening.n_pulse, 1);
}

/* -- sittings ----------------------------------------------------------------------------------------------------------- */

static void sittings_tell_what_was_wanted_and_what_is_over(void **state)
{
    struct week_fixture f;

    (void)state;
    fixture_open(&f, "esh");
    fixture_read(&f, 1, PM, 130, 80); /* begins in the evening: that morning was never wanted */
    fixture_read(&f, 1, PM + 2, 130, 80);
    fixture_read(&f, 2, AM, 130, 80);
    fixture_read(&f, 2, PM, 130, 80)->standing = STANDING_HELD;
    struct week_result w = result_at(&f, 2, 12 * 60 - 1);
    assert_int_equal(w.n_sittings, 14);
    const struct sitting *s = w.sittings;
    assert_int_equal(s[0].wanted, 0);
    assert_true(s[0].ended && s[0].left_out);
    assert_int_equal(s[1].wanted, 2);
    assert_int_equal(s[1].accepted, 2);
    assert_int_equal(s[1].counted, 0);
    assert_true(s[1].ended && s[1].left_out);
    assert_int_equal(s[2].slot, SLOT_MORNING);
    assert_int_equal(s[2].day, f.day1 + 1);
    assert_int_equal(s[2].counted, 1);
    assert_false(s[2].ended || s[2].left_out);
    assert_int_equal(s[3].held, 1);
    assert_int_equal(s[3].accepted, 0);
    assert_true(result_at(&f, 2, 12 * 60).sittings[2].ended);
    assert_int_equal(w.days_accepted, 2);
}

static void a_week_that_goes_on_has_more_sittings(void **state)
{
    struct week_fixture f;

    (void)state;
    fixture_open(&f, "esh");
    fixture_days(&f, 1, 7, 130, 80, 2);
    assert_true(result_at(&f, 7, 1300).all_wanted_full);
    f.record.week.days_wanted = 9;
    struct week_result w = result_at(&f, 7, 1300);
    assert_int_equal(w.n_sittings, 18);
    assert_false(w.all_wanted_full || w.last_wanted_full);
    f.record.week.days_wanted = 7;
    fixture_read(&f, 8, AM, 130, 80);
    w = result_at(&f, 8, 800);
    assert_int_equal(w.n_sittings, 16);
    assert_int_equal(w.sittings[14].wanted, 0);
    assert_true(w.all_wanted_full);
    assert_int_equal(w.all.n, 25);
    f.record.week.days_wanted = 1000;
    assert_int_equal(result_at(&f, 8, 800).n_sittings, 2 * WEEK_DAYS_MAX);
}

static void the_last_wanted_sitting_may_be_full_though_another_is_not(void **state)
{
    struct week_fixture f;

    (void)state;
    fixture_open(&f, "esh");
    fixture_days(&f, 1, 7, 130, 80, 2);
    f.readings[9].posture = POSTURE_STANDING;
    struct week_result w = result_at(&f, 7, 1300);
    assert_true(w.last_wanted_full);
    assert_false(w.all_wanted_full);
}

/* Before sleep comes first in a night worker's calendar day. */
static void sittings_are_in_the_order_of_the_persons_windows(void **state)
{
    struct week_fixture f;

    (void)state;
    fixture_open(&f, "esh");
    struct person *p = &f.record.person;
    p->evening_from = 7 * 60, p->evening_to = 10 * 60, p->morning_from = 15 * 60, p->morning_to = 20 * 60;
    fixture_read(&f, 1, 8 * 60, 130, 80)->slot = SLOT_EVENING;
    struct week_result w = result_at(&f, 1, 12 * 60);
    assert_int_equal(w.sittings[0].slot, SLOT_EVENING);
    assert_int_equal(w.sittings[0].accepted, 1);
    assert_true(w.sittings[0].ended);
    assert_int_equal(w.sittings[1].slot, SLOT_MORNING);
    assert_false(w.sittings[1].ended);
}

static void technique_is_counted_by_sittings(void **state)
{
    struct week_fixture f;

    (void)state;
    fixture_open(&f, "esh");
    fixture_days(&f, 1, 2, 130, 80, 2);
    f.readings[0].technique = f.readings[1].technique = TECHNIQUE_CAFFEINE;
    f.readings[6].technique = TECHNIQUE_CAFFEINE | TECHNIQUE_TALKING;
    struct week_result w = result_at(&f, 3, 0);
    assert_int_equal(w.sittings_measured, 4);
    assert_int_equal(w.technique[TECHNIQUE_CAFFEINE_BIT], 2);
    assert_int_equal(w.technique[TECHNIQUE_TALKING_BIT], 1);
    assert_int_equal(w.technique[TECHNIQUE_WRIST_BIT], 0);
}

/* -- spread ------------------------------------------------------------------------------------------------------------- */

static void misfit(struct week_fixture *f)
{
    f->record.person.arm_cm = 45, f->record.person.cuff_low = 22, f->record.person.cuff_high = 42;
}
static void nothing(struct week_fixture *f)
{
    (void)f;
}
static void wrist_monitor(struct week_fixture *f)
{
    f->record.person.wrist = true;
}
static void wrist_said(struct week_fixture *f)
{
    f->readings[5].technique = TECHNIQUE_WRIST;
}
static void with_af(struct week_fixture *f)
{
    f->record.person.af = true;
}
static void all_tens(struct week_fixture *f)
{
    for (size_t i = 0; i < f->record.n_readings; i++)
        f->readings[i].sys = (int16_t)(130 + 10 * (i / 4 % 2)), f->readings[i].dia = 80;
}
static void three_counted_days(struct week_fixture *f)
{
    f->record.n_readings = 16;
}
static void four_counted_days(struct week_fixture *f)
{
    f->record.n_readings = 20;
}
static void all_alike(struct week_fixture *f)
{
    for (size_t i = 0; i < f->record.n_readings; i++)
        f->readings[i].sys = 131, f->readings[i].dia = 81;
}

static void the_interval_is_given_only_where_it_means_something(void **state)
{
    static const struct {
        void (*change)(struct week_fixture *f);
        bool given;
        const char *why;
    } rows[] = {
        {nothing, true, "a good week"},
        {three_counted_days, false, "three days"},
        {four_counted_days, true, "four days"},
        {misfit, false, "cuff does not fit"},
        {wrist_monitor, false, "wrist monitor"},
        {wrist_said, false, "wrist said"},
        {with_af, false, "atrial fibrillation"},
        {all_tens, false, "rounded"},
        {all_alike, false, "days all alike: an interval without width"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct week_fixture f;
        fixture_open(&f, "esh");
        for (int d = 1; d <= 7; d++)
            fixture_days(&f, d, d, 131 + d % 3, 81 + d % 2, 1);
        rows[i].change(&f);
        struct week_result w = result_at(&f, 8, 0);
        if (isnan(w.interval_sys[0]) == rows[i].given || isnan(w.chance_dia) == rows[i].given)
            fail_msg("%s", rows[i].why);
        if (rows[i].given)
            assert_close((w.interval_sys[0] + w.interval_sys[1]) / 2, w.all.sys, 1e-9);
    }
}

/* -- pattern ------------------------------------------------------------------------------------------------------------- */

static void office_and_home_make_a_pattern(void **state)
{
    static const struct {
        int home_sys, home_dia, sys, dia, days_before;
        uint8_t treated;
        const char *pattern, *why;
    } rows[] = {
        {130, 80, 148, 92, 4, ANSWER_UNKNOWN, "white-coat pattern", "office high, home below"},
        {130, 80, 140, 80, 4, ANSWER_NO, "white-coat pattern", "office at the line"},
        {130, 80, 130, 90, 4, ANSWER_NO, "white-coat pattern", "by the diastolic alone"},
        {130, 80, 148, 92, 4, ANSWER_YES, "white-coat effect", "on treatment"},
        {136, 80, 139, 89, 4, ANSWER_UNKNOWN, "masked pattern", "office below, home high"},
        {136, 80, 139, 89, 4, ANSWER_YES, "masked uncontrolled", "on treatment"},
        {136, 80, 148, 92, 4, ANSWER_NO, "", "both high"},
        {130, 80, 130, 80, 4, ANSWER_NO, "", "both below"},
        {130, 80, 148, 92, 28, ANSWER_NO, "white-coat pattern", "28 days"},
        {130, 80, 148, 92, 29, ANSWER_NO, "", "29 days"},
        {130, 80, 148, 92, -6, ANSWER_NO, "white-coat pattern", "during the week"},
        {130, 80, 148, 92, -34, ANSWER_NO, "white-coat pattern", "28 days after its end"},
        {130, 80, 148, 92, -35, ANSWER_NO, "", "29 days after"},
        {130, 80, 0, 0, 4, ANSWER_NO, "", "no figure"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct week_fixture f;
        fixture_open(&f, "esh");
        fixture_days(&f, 1, 7, rows[i].home_sys, rows[i].home_dia, 1);
        struct person *p = &f.record.person;
        p->office_sys = (int16_t)rows[i].sys, p->office_dia = (int16_t)rows[i].dia;
        p->office_day = f.day1 - rows[i].days_before, p->treated = rows[i].treated;
        struct week_result w = result_at(&f, 8, 0);
        if (strcmp(w.pattern, rows[i].pattern))
            fail_msg("%s: '%s'", rows[i].why, w.pattern);
    }
}

static void a_short_or_pregnant_week_has_no_pattern_and_no_category(void **state)
{
    struct week_fixture f;

    (void)state;
    fixture_open(&f, "esh");
    for (int d = 1; d <= 7; d++)
        fixture_days(&f, d, d, 131 + d % 3, 81 + d % 2, 1);
    struct person *p = &f.record.person;
    p->office_sys = 148, p->office_dia = 92, p->office_day = f.day1;
    assert_string_equal(result_at(&f, 8, 0).category, "below");
    assert_false(isnan(result_at(&f, 8, 0).chance_sys));
    p->pregnant = true;
    struct week_result w = result_at(&f, 8, 0);
    assert_true(w.enough);
    assert_string_equal(w.category, "");
    assert_string_equal(w.pattern, "");
    assert_true(isnan(w.chance_sys) && !isnan(w.interval_sys[0]));
    p->pregnant = false, p->birth = f.day1 - 42;
    assert_string_equal(result_at(&f, 8, 0).category, "");
    p->birth = f.day1 - 43;
    assert_string_equal(result_at(&f, 8, 0).category, "below");
    f.record.n_readings = 8;
    w = result_at(&f, 8, 0);
    assert_string_equal(w.category, "");
    assert_string_equal(w.pattern, "");
    assert_false(w.far_from_office);
}

static void fifteen_from_the_office_asks_for_a_look_at_the_monitor(void **state)
{
    static const struct {
        int office;
        int8_t check;
        bool far;
        const char *why;
    } rows[] = {{145, 127, true, "15 above"},   {144, 127, false, "14 above"},
                {115, 127, true, "15 below"},   {145, 4, false, "checked side by side"},
                {145, -10, false, "within 10"}, {145, 11, true, "the check failed"}};
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct week_fixture f;
        fixture_open(&f, "esh");
        fixture_days(&f, 1, 7, 130, 80, 1);
        struct person *p = &f.record.person;
        p->office_sys = (int16_t)rows[i].office, p->office_dia = 85, p->office_day = f.day1;
        p->monitor_check_sys = p->monitor_check_dia = rows[i].check;
        if (result_at(&f, 8, 0).far_from_office != rows[i].far)
            fail_msg("%s", rows[i].why);
    }
}

/* -- quality ------------------------------------------------------------------------------------------------------------- */

static void after_medicine(struct week_fixture *f)
{
    f->readings[3].technique = TECHNIQUE_AFTER_MEDICINE;
}
static void cold_said(struct week_fixture *f)
{
    f->readings[3].technique = TECHNIQUE_COLD;
}
static void cold_measured(struct week_fixture *f)
{
    f->readings[3].temp_c = 17.9;
}
static void just_warm(struct week_fixture *f)
{
    f->readings[3].temp_c = 18, f->readings[4].temp_c = 28;
}
static void hot_measured(struct week_fixture *f)
{
    f->readings[3].temp_c = 28.1;
}
static void no_rest(struct week_fixture *f)
{
    f->readings[3].technique = TECHNIQUE_NO_REST;
}
static void off_time(struct week_fixture *f)
{
    f->readings[3].off_time = true;
}
static void sent_late(struct week_fixture *f)
{
    f->readings[3].sent_late = true;
}
static void left_open(struct week_fixture *f)
{
    f->readings[3].standing = STANDING_HELD;
    f->readings[2].posture = POSTURE_STANDING; /* so that no sitting has a single reading */
}
static void still_asked(struct week_fixture *f)
{
    left_open(f);
    f->record.course.question =
        (struct question){.kind = QUESTION_NEW_ONE, .readings = {f->readings[3].id}, .n_readings = 1};
}
static void one_missing(struct week_fixture *f)
{
    f->readings[3].posture = POSTURE_LYING;
}
static void not_validated(struct week_fixture *f)
{
    f->record.person.validated = ANSWER_NO;
}
static void check_failed(struct week_fixture *f)
{
    f->record.person.monitor_check_sys = -11, f->record.person.monitor_check_dia = 2;
}
static void same_three(struct week_fixture *f)
{
    for (int i = 5; i < 12; i += 2)
        f->readings[i].sys = 133, f->readings[i].dia = 83, f->readings[i].pulse = 71;
}
static void same_three_thrice(struct week_fixture *f)
{
    same_three(f);
    f->readings[5].pulse = 72;
}
static void same_two(struct week_fixture *f)
{
    for (int i = 0; i < 28; i += 2)
        f->readings[i].sys = 127, f->readings[i].pulse = 0;
}
static void even(struct week_fixture *f)
{
    for (size_t i = 0; i < f->record.n_readings; i++)
        f->readings[i].sys = (int16_t)(131 + i % 3);
}

static void quality_is_told_in_fixed_words(void **state)
{
    static const struct {
        void (*change)(struct week_fixture *f);
        const char *words; /* sorted, each followed by ";" */
    } rows[] = {
        {nothing, ""},
        {after_medicine, "after medicine;"},
        {cold_said, "cold room;"},
        {cold_measured, "cold room;"},
        {just_warm, ""},
        {hot_measured, "hot room;"},
        {no_rest, "no rest;"},
        {off_time, "off time;"},
        {sent_late, "sent late;"},
        {left_open, "held left open;"},
        {still_asked, ""},
        {one_missing, "single readings;"},
        {not_validated, "monitor;"},
        {check_failed, "monitor;"},
        {misfit, "cuff;"},
        {wrist_monitor, "wrist;"},
        {wrist_said, "wrist;"},
        {same_three, "repeats;"},
        {same_three_thrice, ""},
        {same_two, ""},
        {all_tens, "rounded;"},
        {even, "too even;"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct week_fixture f;
        char told[512] = "";
        fixture_open(&f, "esh");
        fixture_days(&f, 1, 7, 131, 81, 4);
        rows[i].change(&f);
        struct week_result w = result_at(&f, 8, 0);
        for (int k = 0; k < w.n_quality; k++)
            snprintf(told + strlen(told), sizeof told - strlen(told), "%s;", w.quality[k]);
        if (strcmp(told, rows[i].words))
            fail_msg("row %zu: '%s', not '%s'", i, told, rows[i].words);
    }
}

static void all_words_at_once_fit_and_are_sorted(void **state)
{
    struct week_fixture f;

    (void)state;
    fixture_open(&f, "aha");
    fixture_days(&f, 1, 7, 130, 80, 0);
    for (size_t i = 0; i < f.record.n_readings; i++)
        f.readings[i].pulse = 70;
    f.readings[4].technique =
        TECHNIQUE_AFTER_MEDICINE | TECHNIQUE_COLD | TECHNIQUE_HOT | TECHNIQUE_NO_REST | TECHNIQUE_WRIST;
    f.readings[4].off_time = f.readings[4].sent_late = true;
    f.readings[9].standing = STANDING_HELD;
    misfit(&f);
    not_validated(&f);
    struct week_result w = result_at(&f, 8, 0);
    assert_int_equal(w.n_quality, 14);
    for (int i = 1; i < w.n_quality; i++)
        assert_true(strcmp(w.quality[i - 1], w.quality[i]) < 0);
    assert_true(has(&w, "single readings") && has(&w, "held left open") && has(&w, "too even") &&
                has(&w, "repeats"));
}

/* An ended week keeps the cuff as it was. */
static void an_ended_week_is_judged_by_the_cuff_of_its_time(void **state)
{
    struct week_fixture f;

    (void)state;
    fixture_open(&f, "esh");
    f.record.week.arm_cm = 30, f.record.week.cuff_low = 22, f.record.week.cuff_high = 32;
    misfit(&f);
    assert_string_equal(result_at(&f, 8, 0).cuff, "too small");
    f.record.week.last_day = f.day1 + 6;
    assert_string_equal(result_at(&f, 8, 0).cuff, "fits");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(without_readings_nothing_is_known),
        cmocka_unit_test(pulse_is_averaged_over_those_that_told_it),
        cmocka_unit_test(sittings_tell_what_was_wanted_and_what_is_over),
        cmocka_unit_test(a_week_that_goes_on_has_more_sittings),
        cmocka_unit_test(the_last_wanted_sitting_may_be_full_though_another_is_not),
        cmocka_unit_test(sittings_are_in_the_order_of_the_persons_windows),
        cmocka_unit_test(technique_is_counted_by_sittings),
        cmocka_unit_test(the_interval_is_given_only_where_it_means_something),
        cmocka_unit_test(office_and_home_make_a_pattern),
        cmocka_unit_test(a_short_or_pregnant_week_has_no_pattern_and_no_category),
        cmocka_unit_test(fifteen_from_the_office_asks_for_a_look_at_the_monitor),
        cmocka_unit_test(quality_is_told_in_fixed_words),
        cmocka_unit_test(all_words_at_once_fit_and_are_sorted),
        cmocka_unit_test(an_ended_week_is_judged_by_the_cuff_of_its_time),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
