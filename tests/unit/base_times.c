/* Times as text and back. Formats: RFC 3339 (its section 5.8 gives the examples marked so), ISO 8601 dates. Leap years:
 * the Gregorian rule. Check values of instants: GNU date 9.1 (`date -u -d … +%s`).
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <cmocka.h>

#include <string.h>

#include "gateway/base.h"
#include "gateway/care/civil.h"

static void a_time_is_read_whole_or_not_at_all(void **state)
{
    static const struct {
        const char *why, *text;
        bool good;
        int64_t instant;
    } rows[] = {
        {"UTC", "2026-11-24T07:10:00Z", true, 1795504200},
        {"RFC 3339, 5.8: fractions, dropped", "1985-04-12T23:20:50.52Z", true, 482196050},
        {"RFC 3339, 5.8: an offset", "1996-12-19T16:39:57-08:00", true, 851042397},
        {"RFC 3339, 5.8: a leap second is the next minute's first", "1990-12-31T23:59:60Z", true, 662688000},
        {"RFC 3339, 5.8: an offset of twenty minutes", "1937-01-01T12:00:27.87+00:20", true, -1041337173},
        {"lower case is allowed", "2026-11-24t07:10:00z", true, 1795504200},
        {"a blank for the T", "2026-11-24 07:10:00Z", true, 1795504200},
        {"no zone", "2026-11-24T07:10:00", false, 0},
        {"no seconds", "2026-11-24T07:10Z", false, 0},
        {"no such day", "2026-02-29T07:10:00Z", false, 0},
        {"a leap day", "2028-02-29T00:00:00Z", true, 1835395200},
        {"no leap day in 2100", "2100-02-29T00:00:00Z", false, 0},
        {"hour 24", "2026-11-24T24:00:00Z", false, 0},
        {"minute 60", "2026-11-24T07:60:00Z", false, 0},
        {"an offset of a day", "2026-11-24T07:10:00+24:00", false, 0},
        {"something behind", "2026-11-24T07:10:00Z ", false, 0},
        {"a point without digits", "2026-11-24T07:10:00.Z", false, 0},
        {"the year 0", "0000-01-01T00:00:00Z", false, 0},
        {"a sign", "+2026-11-24T07:10:00Z", false, 0},
        {"nothing", "", false, 0},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        int64_t instant = 42;
        bool good = time_read(rows[i].text, &instant);
        if (good != rows[i].good || instant != (good ? rows[i].instant : 42))
            fail_msg("%s: %s gives %d, %lld", rows[i].why, rows[i].text, good, (long long)instant);
    }
}

static void a_time_is_written_as_it_is_read(void **state)
{
    static const struct {
        int64_t instant;
        int32_t offset;
        const char *utc, *zoned;
    } rows[] = {
        {1795504200, 0, "2026-11-24T07:10:00Z", "2026-11-24T07:10:00+00:00"},
        {1795504200, 3600, "2026-11-24T07:10:00Z", "2026-11-24T08:10:00+01:00"},
        {1795504200, -12600, "2026-11-24T07:10:00Z", "2026-11-24T03:40:00-03:30"},
        {-1, 0, "1969-12-31T23:59:59Z", "1969-12-31T23:59:59+00:00"},
        {-86400, 0, "1969-12-31T00:00:00Z", "1969-12-31T00:00:00+00:00"},
        {253402300799, 0, "9999-12-31T23:59:59Z", "9999-12-31T23:59:59+00:00"},
        {253402300799, 1, "9999-12-31T23:59:59Z", ""}, /* past what has a name: nothing is written */
        {INSTANT_NONE, 0, "", ""},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char text[TIME_TEXT];
        time_utc(rows[i].instant, text);
        assert_string_equal(text, rows[i].utc);
        time_zoned(rows[i].instant, rows[i].offset, text);
        assert_string_equal(text, rows[i].zoned);
    }
}

static void a_date_is_read_strictly(void **state)
{
    static const struct {
        const char *text;
        bool good;
        int32_t day;
    } rows[] = {
        {"1970-01-01", true, 0},  {"2026-11-24", true, 20781}, {"1969-12-31", true, -1},
        {"2026-11-31", false, 0}, {"2026-13-01", false, 0},    {"2026-00-10", false, 0},
        {"2026-01-00", false, 0}, {"26-11-24", false, 0},      {"2026-1-2", false, 0},
        {"2026/11/24", false, 0}, {"2026-11-24x", false, 0},   {" 2026-11-24", false, 0},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char text[TIME_TEXT];
        int32_t day = DAY_NONE;
        if (date_read(rows[i].text, &day) != rows[i].good || day != (rows[i].good ? rows[i].day : DAY_NONE))
            fail_msg("%s gives %d", rows[i].text, day);
        if (rows[i].good) {
            date_text(day, text);
            assert_string_equal(text, rows[i].text);
        }
    }
}

static void a_minute_of_the_day_is_two_digits_each(void **state)
{
    static const struct {
        const char *text;
        int minute; /* -1: refused */
    } rows[] = {{"00:00", 0}, {"07:30", 450}, {"23:59", 1439}, {"24:00", 1440}, {"24:01", -1}, {"25:00", -1},
                {"7:30", -1}, {"07:60", -1},  {"07.30", -1},   {"07:30 ", -1},  {"-1:00", -1}, {"", -1}};
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        int16_t minute = -1;
        bool good = minutes_read(rows[i].text, &minute);
        if (good != (rows[i].minute >= 0) || minute != rows[i].minute)
            fail_msg("%s gives %d", rows[i].text, minute);
    }
}

static void a_whole_number_is_only_digits_and_in_bounds(void **state)
{
    static const struct {
        const char *text;
        int64_t least, most;
        bool good;
    } rows[] = {
        {"0", 0, 10, true},
        {"10", 0, 10, true},
        {"11", 0, 10, false},
        {"-1", 0, 10, false},
        {"-1", -1, 10, true},
        {"+1", 0, 10, false},
        {" 1", 0, 10, false},
        {"1 ", 0, 10, false},
        {"1.0", 0, 10, false},
        {"0x1", 0, 10, false},
        {"", 0, 10, false},
        {"-", -9, 10, false},
        {"1e1", 0, 10, false},
        {"9223372036854775807", 0, INT64_MAX, true},
        {"9223372036854775808", 0, INT64_MAX, false},
        {"99999999999999999999999999", 0, INT64_MAX, false},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        int64_t value;
        if (whole_read(rows[i].text, rows[i].least, rows[i].most, &value) != rows[i].good)
            fail_msg("\"%s\"", rows[i].text);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_time_is_read_whole_or_not_at_all),
        cmocka_unit_test(a_time_is_written_as_it_is_read),
        cmocka_unit_test(a_date_is_read_strictly),
        cmocka_unit_test(a_minute_of_the_day_is_two_digits_each),
        cmocka_unit_test(a_whole_number_is_only_digits_and_in_bounds),
    };
    return cmocka_run_group_tests_name("base_times", tests, NULL, NULL);
}
