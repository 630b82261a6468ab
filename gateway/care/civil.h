/* Civil time as plain data: calendar maths and the conversion by a table of offsets.
 *
 * An instant is whole seconds since 1970-01-01T00:00:00Z. A civil time is a day number (days since 1970-01-01 of
 * the local calendar) and a minute of that day. Which zone has which offset when is not known here: flow/zone.c
 * makes the table from the IANA rules and hands it over, so that everything clinical is a function of its arguments.
 */
#ifndef QUIETARM_CIVIL_H
#define QUIETARM_CIVIL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { DAY_NONE = INT32_MIN, MINUTES_A_DAY = 1440, OFFSETS_MAX = 16 };
#define INSTANT_NONE INT64_MIN

struct civil {
    int32_t day;    /* days since 1970-01-01, local; DAY_NONE */
    int16_t minute; /* 0-1439 */
    int8_t second;  /* 0-59 */
};

/* Local = instant + seconds, from `from` on until the next entry. Entry 0 holds for all that is earlier too. */
struct offsets {
    uint8_t n;
    struct {
        int64_t from;
        int32_t seconds; /* east of Greenwich is positive */
    } at[OFFSETS_MAX];
};

struct civil civil_at(const struct offsets *o, int64_t instant);
/* A local time that does not exist (clocks forward) is the first instant after the gap; one that comes twice is
 * the first of the two. */
int64_t civil_instant(const struct offsets *o, struct civil local);

int32_t civil_day(int year, int month, int day); /* Gregorian; month 1-12; DAY_NONE when there is no such date */
void civil_date(int32_t day, int *year, int *month, int *day_of_month);
int civil_weekday(int32_t day); /* 0 Monday … 6 Sunday */

#endif
