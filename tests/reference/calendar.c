/* Civil time against the C library and its IANA rules, in ten zones over ten years, days of change included.
 *
 * Only here is a zone set through TZ; the product asks GLib (gateway/flow/zone.c), so the two readers of the database check
 * each other.
 */
#include <stdlib.h>
#include <time.h>

#include "gateway/flow/flow.h"
#include "tests/week_fixture.h"

static const char *const zones[] = {
    "Europe/London",    "America/New_York", "Australia/Lord_Howe", "Africa/Casablanca", "Asia/Kathmandu",
    "America/St_Johns", "Pacific/Auckland", "Asia/Tehran",         "America/Sao_Paulo", "Pacific/Apia",
};
enum { ZONES = sizeof zones / sizeof *zones, YEARS = 10, HOUR = 3600 };

static int64_t start_of(int year)
{
    return (int64_t)civil_day(year, 1, 1) * 24 * HOUR;
}

static struct civil by_c_library(int64_t instant)
{
    time_t t = (time_t)instant;
    struct tm tm;

    assert_non_null(localtime_r(&t, &tm));
    return (struct civil){.day = civil_day(tm.tm_year + 1900, tm.tm_mon + 1, tm.tm_mday),
                          .minute = (int16_t)(tm.tm_hour * 60 + tm.tm_min),
                          .second = (int8_t)tm.tm_sec};
}

static int64_t line_of(struct civil c)
{
    return ((int64_t)c.day * MINUTES_A_DAY + c.minute) * 60 + c.second;
}

static void set_zone(const char *zone)
{
    setenv("TZ", zone, 1);
    tzset();
}

/* Runs `check` for every hour of ten years and zone; each tables' reach is used to its edge, 400 days on each side. */
static void each_hour(void (*check)(const struct offsets *o, int64_t instant, const char *zone))
{
    for (int z = 0; z < ZONES; z++) {
        set_zone(zones[z]);
        for (int year = 2019; year < 2019 + YEARS; year++) {
            struct offsets o;
            assert_true(zone_offsets(zones[z], start_of(year) - 30 * 24 * HOUR, &o));
            for (int64_t t = start_of(year); t < start_of(year + 1); t += HOUR)
                check(&o, t, zones[z]);
        }
    }
}

static void same_local_time(const struct offsets *o, int64_t instant, const char *zone)
{
    struct civil ours = civil_at(o, instant - 1), theirs = by_c_library(instant - 1);

    if (line_of(ours) != line_of(theirs))
        fail_msg("%s at %lld: day %d minute %d, not day %d minute %d", zone, (long long)instant, ours.day,
                 ours.minute, theirs.day, theirs.minute);
}

static void every_instant_has_the_c_librarys_local_time(void **state)
{
    (void)state;
    each_hour(same_local_time);
}

/* The earliest instant at which the C library's clock shows `local` or, where it never does, first shows more. */
static int64_t by_search(struct civil local)
{
    int64_t want = line_of(local), from = want - 15 * HOUR, to = want + 15 * HOUR;

    for (int64_t t = from; t < to; t += 15 * 60) /* no zone of these changes but on a quarter of an hour */
        if (line_of(by_c_library(t + 15 * 60 - 1)) >= want) {
            while (line_of(by_c_library(t)) < want)
                t++;
            return t;
        }
    return INSTANT_NONE;
}

static void same_instant(const struct offsets *o, int64_t local_seconds, const char *zone)
{
    struct civil c = {.day = (int32_t)(local_seconds / (24 * HOUR)),
                      .minute = (int16_t)(local_seconds / 60 % MINUTES_A_DAY)};
    int64_t ours = civil_instant(o, c);

    if (line_of(by_c_library(ours)) == line_of(c) &&
        line_of(by_c_library(ours - 26 * HOUR)) == line_of(c) - 26 * HOUR)
        return; /* no change within a day before it: cannot be double */
    if (ours != by_search(c))
        fail_msg("%s day %d minute %d: %lld, not %lld", zone, c.day, c.minute, (long long)ours,
                 (long long)by_search(c));
}

static void every_local_hour_has_its_first_instant_also_in_gaps_and_doubles(void **state)
{
    (void)state;
    each_hour(same_instant);
}

/* 2026-03-29 01:30 and 2026-10-25 01:30 in London; half an hour on Lord Howe. Rules as published for those zones. */
static void the_days_of_change_are_as_published(void **state)
{
    static const struct {
        const char *zone;
        int year, month, day, minute;
        const char *utc, *why;
    } rows[] = {
        {"Europe/London", 2026, 3, 29, 59, "2026-03-29T00:59", "the last minute before"},
        {"Europe/London", 2026, 3, 29, 90, "2026-03-29T01:00", "in the gap: the first instant after it"},
        {"Europe/London", 2026, 3, 29, 120, "2026-03-29T01:00", "the first minute after"},
        {"Europe/London", 2026, 10, 25, 90, "2026-10-25T00:30", "twice: the first"},
        {"Europe/London", 2026, 10, 25, 120, "2026-10-25T02:00", "after the second"},
        {"America/New_York", 2026, 3, 8, 150, "2026-03-08T07:00", "in the gap"},
        {"America/New_York", 2026, 11, 1, 90, "2026-11-01T05:30", "twice"},
        {"Australia/Lord_Howe", 2026, 10, 4, 135, "2026-10-03T15:30", "a gap of half an hour"},
        {"Australia/Lord_Howe", 2026, 4, 5, 105, "2026-04-04T14:45", "twice for half an hour"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct offsets o;
        struct civil c = {.day = civil_day(rows[i].year, rows[i].month, rows[i].day),
                          .minute = (int16_t)rows[i].minute};
        assert_true(zone_offsets(rows[i].zone, start_of(rows[i].year), &o));
        time_t t = (time_t)civil_instant(&o, c);
        struct tm tm;
        char told[32];
        strftime(told, sizeof told, "%Y-%m-%dT%H:%M", gmtime_r(&t, &tm));
        if (strcmp(told, rows[i].utc))
            fail_msg("%s, %s: %s, not %s", rows[i].zone, rows[i].why, told, rows[i].utc);
    }
}

static void every_date_of_400_years_is_the_c_librarys(void **state)
{
    (void)state;
    for (int32_t day = civil_day(1800, 1, 1); day <= civil_day(2200, 12, 31); day++) {
        time_t t = (time_t)day * 24 * HOUR;
        struct tm tm;
        int y, m, d;
        assert_non_null(gmtime_r(&t, &tm));
        civil_date(day, &y, &m, &d);
        assert_true(y == tm.tm_year + 1900 && m == tm.tm_mon + 1 && d == tm.tm_mday);
        assert_int_equal(civil_day(y, m, d), day);
        assert_int_equal(civil_weekday(day), (tm.tm_wday + 6) % 7);
    }
}

static void what_is_no_iana_zone_is_refused(void **state)
{
    static const char *const names[] = {"",
                                        "Nowhere/Town",
                                        "europe/london",
                                        "+01:00",
                                        "/etc/localtime",
                                        "ABC5",
                                        "Europe/../Etc/UTC",
                                        "Europe",
                                        "Z",
                                        "GMT0BST",
                                        "zone.tab",
                                        "Europe/London/",
                                        "a/very/long/name/that/is/longer/than/any/zone/there/is"};
    struct offsets o;
    (void)state;
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (zone_offsets(names[i], 0, &o))
            fail_msg("'%s' was taken for a zone", names[i]);
}

/* More zones and times than the cache keeps, twice: the second answers are the first. */
static void the_answer_does_not_depend_on_what_was_asked_before(void **state)
{
    struct offsets first[ZONES][12], again;

    (void)state;
    for (int round = 0; round < 2; round++)
        for (int z = 0; z < ZONES; z++)
            for (int k = 0; k < 12; k++) {
                struct offsets *o = round ? &again : &first[z][k];
                memset(o, 0, sizeof *o);
                assert_true(
                    zone_offsets(zones[z], start_of(2026) + (int64_t)k * 45 * 24 * HOUR + round * 60, o));
                if (round)
                    assert_memory_equal(&again, &first[z][k], sizeof again);
            }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_instant_has_the_c_librarys_local_time),
        cmocka_unit_test(every_local_hour_has_its_first_instant_also_in_gaps_and_doubles),
        cmocka_unit_test(the_days_of_change_are_as_published),
        cmocka_unit_test(every_date_of_400_years_is_the_c_librarys),
        cmocka_unit_test(what_is_no_iana_zone_is_refused),
        cmocka_unit_test(the_answer_does_not_depend_on_what_was_asked_before),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
