/* Civil time and the clinic's hours, by tables; the C library is asked in tests/reference/calendar.c. */
#include "tests/week_fixture.h"

static void dates_that_are_not_are_refused(void **state)
{
    static const struct {
        int year, month, day;
        const char *why;
    } rows[] = {
        {2026, 2, 29, "no leap year"}, {1900, 2, 29, "a century"}, {2024, 2, 30, "a leap year's 30th"},
        {2026, 4, 31, "April has 30"}, {2026, 0, 1, "month 0"},    {2026, 13, 1, "month 13"},
        {2026, 1, 0, "day 0"},         {2026, 1, 32, "day 32"},    {0, 1, 1, "year 0"},
        {10000, 1, 1, "five digits"},  {2026, -1, 1, "below 0"},   {2026, 1, -1, "below 0"}};
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (civil_day(rows[i].year, rows[i].month, rows[i].day) != DAY_NONE)
            fail_msg("%s was taken for a date", rows[i].why);
}

static void dates_count_from_1970_and_back(void **state)
{
    static const struct {
        int year, month, day;
        int32_t days;
        int weekday; /* Monday is 0 */
    } rows[] = {{1970, 1, 1, 0, 3},        {1969, 12, 31, -1, 2},    {2000, 2, 29, 11016, 1},
                {2026, 11, 24, 20781, 1},  {2026, 11, 25, 20782, 2}, {1, 1, 1, -719162, 0},
                {9999, 12, 31, 2932896, 4}};
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        int y, m, d;
        assert_int_equal(civil_day(rows[i].year, rows[i].month, rows[i].day), rows[i].days);
        civil_date(rows[i].days, &y, &m, &d);
        assert_true(y == rows[i].year && m == rows[i].month && d == rows[i].day);
        assert_int_equal(civil_weekday(rows[i].days), rows[i].weekday);
    }
}

static void odd_day_numbers_do_no_harm(void **state)
{
    static const int32_t days[] = {INT32_MIN, INT32_MAX, INT32_MIN + 1};
    int y, m, d;

    (void)state;
    for (size_t i = 0; i < sizeof days / sizeof *days; i++) {
        civil_date(days[i], &y, &m, &d);
        assert_true(m >= 1 && m <= 12 && d >= 1 && d <= 31);
        assert_true(civil_weekday(days[i]) >= 0 && civil_weekday(days[i]) <= 6);
    }
}

/* An invented zone: +1 h, an hour forward at 100,000 s, back at 200,000 s. */
static const struct offsets invented = {.n = 3, .at = {{0, 3600}, {100000, 7200}, {200000, 3600}}};

static void instants_become_local_times(void **state)
{
    static const struct {
        int64_t instant;
        int32_t day;
        int minute, second;
        const char *why;
    } rows[] = {{0, 0, 60, 0, "the first entry"},
                {-3601, -1, 1439, 59, "before the first entry, and before 1970"},
                {99999, 1, 286, 39, "the last before"},
                {100000, 1, 346, 40, "the first after"},
                {199999, 2, 573, 19, "the last of summer"},
                {200000, 2, 513, 20, "the first after"}};
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct civil c = civil_at(&invented, rows[i].instant);
        if (c.day != rows[i].day || c.minute != rows[i].minute || c.second != rows[i].second)
            fail_msg("%s: day %d minute %d second %d", rows[i].why, c.day, c.minute, c.second);
    }
}

static void local_times_become_the_first_instant_that_fits(void **state)
{
    static const struct {
        int64_t local; /* seconds */
        int64_t instant;
        const char *why;
    } rows[] = {{103599, 99999, "the last before the gap"},
                {103600, 100000, "the gap's first second"},
                {105000, 100000, "in the gap"},
                {107200, 100000, "the first after"},
                {203599, 196399, "before the double hour"},
                {203600, 196400, "double: the first"},
                {207199, 199999, "double to its last"},
                {207200, 203600, "after it"}};
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct civil c = {.day = (int32_t)(rows[i].local / 86400),
                          .minute = (int16_t)(rows[i].local % 86400 / 60),
                          .second = (int8_t)(rows[i].local % 60)};
        if (civil_instant(&invented, c) != rows[i].instant)
            fail_msg("%s: %lld", rows[i].why, (long long)civil_instant(&invented, c));
    }
}

static void without_a_table_it_is_utc(void **state)
{
    struct offsets none = {0};

    (void)state;
    assert_int_equal(civil_at(&none, 86400).day, 1);
    assert_int_equal(civil_instant(&none, (struct civil){.day = 1}), 86400);
}

/* Open 08:00-18:30 Monday to Friday, Saturday night over midnight from 22:00 to 02:00, closed on Christmas Day. */
static void the_clinic_is_open_in_its_hours(void **state)
{
    static const struct {
        int month, day, minute;
        bool open;
        const char *why;
    } rows[] = {{11, 24, 8 * 60 - 1, false, "Tuesday, a minute before"},
                {11, 24, 8 * 60, true, "the first minute"},
                {11, 24, 18 * 60 + 29, true, "the last minute"},
                {11, 24, 18 * 60 + 30, false, "a minute after"},
                {11, 29, 12 * 60, false, "Sunday"},
                {11, 28, 12 * 60, false, "Saturday noon"},
                {11, 28, 23 * 60, true, "Saturday night"},
                {11, 29, 119, true, "past midnight"},
                {11, 29, 120, false, "its end"},
                {12, 25, 12 * 60, false, "Friday, but closed"},
                {12, 24, 12 * 60, true, "the day before"}};
    struct week_fixture f;
    (void)state;
    fixture_open(&f, "esh");
    f.clinic.hours[5] = (struct span){22 * 60, 2 * 60};
    f.clinic.closed[f.clinic.n_closed++] = civil_day(2026, 12, 25);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct civil c = {.day = civil_day(2026, rows[i].month, rows[i].day),
                          .minute = (int16_t)rows[i].minute};
        if (clinic_open(&f.clinic, &f.record.clinic_zone, civil_instant(&f.record.clinic_zone, c)) !=
            rows[i].open)
            fail_msg("%s", rows[i].why);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(dates_that_are_not_are_refused),
        cmocka_unit_test(dates_count_from_1970_and_back),
        cmocka_unit_test(odd_day_numbers_do_no_harm),
        cmocka_unit_test(instants_become_local_times),
        cmocka_unit_test(local_times_become_the_first_instant_that_fits),
        cmocka_unit_test(without_a_table_it_is_utc),
        cmocka_unit_test(the_clinic_is_open_in_its_hours),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
