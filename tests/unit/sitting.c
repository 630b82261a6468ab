/* To which sitting a reading belongs. */
#include "gateway/care/sitting.h"
#include "tests/week_fixture.h"

enum { H = 60, NONE = SLOT_NONE, AM = SLOT_MORNING, PM = SLOT_EVENING };

struct row {
    int said, minute; /* of day 10 */
    int day;          /* wanted: days from day 10 */
    int slot;
    bool off;
    const char *why;
};

static void check(const struct record *r, const struct row *rows, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        int32_t day;
        enum slot slot;
        bool off;
        sitting_of(r, rows[i].said, (struct civil){.day = 10, .minute = (int16_t)rows[i].minute}, &day, &slot,
                   &off);
        if (day != 10 + rows[i].day || (int)slot != rows[i].slot || off != rows[i].off)
            fail_msg("%s: day %+d slot %d off %d", rows[i].why, day - 10, slot, off);
    }
}

/* 05:00-12:00 and 16:00-24:00 */
static void a_time_is_in_its_window_or_at_the_nearer_edge(void **state)
{
    static const struct row rows[] = {
        {NONE, 5 * H, 0, AM, false, "the window's first minute"},
        {NONE, 12 * H - 1, 0, AM, false, "its last"},
        {NONE, 12 * H, 0, AM, true, "its end is outside"},
        {NONE, 14 * H, 0, AM, true, "the middle: the earlier"},
        {NONE, 14 * H + 1, 0, PM, true, "past the middle"},
        {NONE, 16 * H, 0, PM, false, "the evening's first"},
        {NONE, 24 * H - 1, 0, PM, false, "its last"},
        {NONE, 0, -1, PM, true, "midnight belongs to the evening before"},
        {NONE, 30, -1, PM, true, "00:30 belongs to the evening before"},
        {NONE, 2 * H + 30, -1, PM, true, "the middle of the night: the earlier"},
        {NONE, 2 * H + 31, 0, AM, true, "past it: the morning"},
        {NONE, 4 * H, 0, AM, true, "an early riser"},
    };
    struct week_fixture f;
    (void)state;
    fixture_open(&f, "esh");
    check(&f.record, rows, sizeof rows / sizeof *rows);
}

static void a_stated_slot_is_the_last_that_began(void **state)
{
    static const struct row rows[] = {
        {AM, 8 * H, 0, AM, false, "in the window"},
        {AM, 20 * H, 0, AM, false, "told in the evening"},
        {AM, 4 * H, 0, AM, false, "an early riser"},
        {AM, 2 * H, 0, AM, false, "three hours early"},
        {AM, 2 * H - 1, -1, AM, false, "more: the morning before"},
        {PM, 20 * H, 0, PM, false, "in the window"},
        {PM, 30, -1, PM, false, "past midnight"},
        {PM, 9 * H, -1, PM, false, "told the next morning"},
        {PM, 13 * H, 0, PM, false, "three hours early"},
    };
    struct week_fixture f;
    (void)state;
    fixture_open(&f, "esh");
    check(&f.record, rows, sizeof rows / sizeof *rows);
}

/* Night work: after waking 15:00-20:00, before sleep 07:00-10:00. */
static void a_person_has_windows_of_their_own(void **state)
{
    static const struct row rows[] = {
        {NONE, 16 * H, 0, AM, false, "after waking"},
        {NONE, 8 * H, 0, PM, false, "before sleep"},
        {NONE, 12 * H, 0, PM, true, "nearer to sleep"},
        {NONE, 13 * H, 0, AM, true, "nearer to waking"},
        {NONE, 23 * H, 0, AM, true, "after the shift began"},
        {NONE, 3 * H, 0, PM, true, "the shift's end is nearer"},
    };
    struct week_fixture f;
    (void)state;
    fixture_open(&f, "esh");
    struct person *p = &f.record.person;
    p->morning_from = 15 * H, p->morning_to = 20 * H;
    p->evening_from = 7 * H, p->evening_to = 10 * H;
    check(&f.record, rows, sizeof rows / sizeof *rows);
}

static void a_window_may_run_over_midnight(void **state)
{
    static const struct row rows[] = {
        {NONE, 23 * H, 0, PM, false, "before midnight"},
        {NONE, 60, -1, PM, false, "after it: the day of its start"},
        {NONE, 2 * H, -1, PM, true, "its end"},
        {PM, 60, -1, PM, false, "stated"},
    };
    struct week_fixture f;
    (void)state;
    fixture_open(&f, "esh");
    f.record.person.evening_from = 21 * H, f.record.person.evening_to = 2 * H;
    check(&f.record, rows, sizeof rows / sizeof *rows);
    assert_int_equal(sitting_start(&f.record, 10, SLOT_EVENING), (10 * 24 + 21) * 3600);
    assert_int_equal(sitting_end(&f.record, 10, SLOT_EVENING), (11 * 24 + 2) * 3600);
    assert_int_equal(sitting_end(&f.record, -3, SLOT_EVENING), (-2 * 24 + 2) * 3600);
}

/* London 2026: forward on 29 March at 01:00 UTC, back on 25 October at 01:00 UTC. */
static void the_ends_of_windows_follow_the_clock_change(void **state)
{
    struct week_fixture f;
    int32_t spring = civil_day(2026, 3, 29), autumn = civil_day(2026, 10, 25);
    int64_t forward = ((int64_t)spring * 24 + 1) * 3600, back = ((int64_t)autumn * 24 + 1) * 3600;

    (void)state;
    fixture_open(&f, "esh");
    f.record.zone = (struct offsets){.n = 3, .at = {{0, 0}, {forward, 3600}, {back, 0}}};
    assert_int_equal(sitting_start(&f.record, spring, SLOT_MORNING), ((int64_t)spring * 24 + 4) * 3600);
    assert_int_equal(sitting_end(&f.record, spring - 1, SLOT_EVENING), (int64_t)spring * 24 * 3600);
    assert_int_equal(sitting_end(&f.record, spring, SLOT_EVENING), ((int64_t)spring * 24 + 23) * 3600);
    assert_int_equal(sitting_start(&f.record, autumn, SLOT_MORNING), ((int64_t)autumn * 24 + 5) * 3600);
    f.record.person.morning_from = 90, f.record.person.morning_to = 300;
    assert_int_equal(sitting_start(&f.record, spring, SLOT_MORNING), forward);     /* 01:30 is in the gap */
    assert_int_equal(sitting_start(&f.record, autumn, SLOT_MORNING), back - 1800); /* the first 01:30 */
}

static void atrial_fibrillation_wants_three(void **state)
{
    struct week_fixture f;

    (void)state;
    fixture_open(&f, "esh");
    assert_int_equal(per_sitting(&f.record), 2);
    f.record.person.af = true;
    assert_int_equal(per_sitting(&f.record), 3);
    f.record.protocol.per_sitting = 4;
    assert_int_equal(per_sitting(&f.record), 4);
}

static void pregnancy_lines_last_to_six_weeks_after_birth(void **state)
{
    struct week_fixture f;

    (void)state;
    fixture_open(&f, "esh");
    assert_false(person_expecting(&f.record, 100));
    f.record.person.birth = 100;
    assert_false(person_expecting(&f.record, 99));
    assert_true(person_expecting(&f.record, 100));
    assert_true(person_expecting(&f.record, 142));
    assert_false(person_expecting(&f.record, 143));
    assert_false(person_expecting(&f.record, DAY_NONE));
    f.record.person.pregnant = true;
    assert_true(person_expecting(&f.record, 143));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_time_is_in_its_window_or_at_the_nearer_edge),
        cmocka_unit_test(a_stated_slot_is_the_last_that_began),
        cmocka_unit_test(a_person_has_windows_of_their_own),
        cmocka_unit_test(a_window_may_run_over_midnight),
        cmocka_unit_test(the_ends_of_windows_follow_the_clock_change),
        cmocka_unit_test(atrial_fibrillation_wants_three),
        cmocka_unit_test(pregnancy_lines_last_to_six_weeks_after_birth),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
