/* A record to build weeks in: an invented clinic and patient in UTC, windows 05:00-12:00 and 16:00-24:00. For tests only.
 *
 * Day 1 is 2026-11-24, a Tuesday. Readings lie in the fixture itself, so nothing has to be freed.
 */
#ifndef QUIETARM_WEEK_FIXTURE_H
#define QUIETARM_WEEK_FIXTURE_H

#include <math.h>
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>
#include <stdio.h>
#include <string.h>

#include "gateway/care/care.h"

/* cmocka compares floats only. Fails for NAN. */
static inline void close_at(double a, double b, double within, const char *what, const char *file, int line)
{
    if (fabs(a - b) <= within)
        return;
    print_error("%s:%d: %s is %.12g, wanted %.12g within %g\n", file, line, what, a, b, within);
    _fail(file, line);
}
#define assert_close(a, b, within) close_at(a, b, within, #a, __FILE__, __LINE__)

enum { FIXTURE_READINGS = 400, FIXTURE_WEEK = 7 };

struct week_fixture {
    struct clinic clinic;
    struct record record;
    struct reading readings[FIXTURE_READINGS];
    int32_t day1;
};

static inline int64_t fixture_instant(const struct week_fixture *f, int day, int minute)
{
    return ((int64_t)(f->day1 + day - 1) * MINUTES_A_DAY + minute) * 60;
}

static inline void fixture_open(struct week_fixture *f, const char *protocol)
{
    char why[256];
    struct record *r = &f->record;

    memset(f, 0, sizeof *f);
    f->day1 = civil_day(2026, 11, 24);
    f->clinic.morning = (struct span){5 * 60, 12 * 60};
    f->clinic.evening = (struct span){16 * 60, 24 * 60};
    for (int i = 0; i < 5; i++)
        f->clinic.hours[i] = (struct span){8 * 60, 18 * 60 + 30};
    r->clinic = &f->clinic;
    if (protocol_find(protocol, &r->protocol, why, sizeof why) < 0)
        fail_msg("%s", why);
    r->zone = r->clinic_zone = (struct offsets){.n = 1};
    struct person *p = &r->person;
    p->morning_from = p->morning_to = p->evening_from = p->evening_to = -1;
    p->born = p->office_day = p->pregnant_due = p->birth = p->start = p->medicine_changed = DAY_NONE;
    p->monitor_check_sys = p->monitor_check_dia = 127;
    r->week = (struct week){
        .id = FIXTURE_WEEK, .first_day = f->day1, .last_day = DAY_NONE, .days_wanted = r->protocol.days};
    r->readings = f->readings;
    r->cap_readings = FIXTURE_READINGS;
}

/* Adds an accepted reading, in order of time; its row is returned to be changed. `minute` is of that day. */
static inline struct reading *fixture_read(struct week_fixture *f, int day, int minute, int sys, int dia)
{
    struct record *r = &f->record;
    struct reading *x = &f->readings[r->n_readings++];

    assert_true(r->n_readings <= FIXTURE_READINGS);
    *x = (struct reading){.id = (int64_t)r->n_readings,
                          .week = FIXTURE_WEEK,
                          .at = fixture_instant(f, day, minute),
                          .day = f->day1 + day - 1,
                          .minute = (int16_t)minute,
                          .slot = minute < 14 * 60 ? SLOT_MORNING : SLOT_EVENING,
                          .sys = (int16_t)sys,
                          .dia = (int16_t)dia,
                          .standing = STANDING_ACCEPTED,
                          .temp_c = NAN};
    return x;
}

/* Both sittings of days `from` to `to`, two readings each, all of them sys/dia give or take `by` systolic. */
static inline void fixture_days(struct week_fixture *f, int from, int to, int sys, int dia, int by)
{
    for (int d = from; d <= to; d++)
        for (int i = 0; i < 4; i++)
            fixture_read(f, d, (i < 2 ? 430 : 1180) + i % 2 * 2, sys + ((d + i) % 2 ? by : -by), dia);
}

#endif
