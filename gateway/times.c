/* Times and numbers as text, and back: ISO 8601 dates, RFC 3339 times, HH:MM, whole numbers.
 *
 * Pure. Reading is strict: the whole string, digits in their places, dates that exist (years 0001 to 9999); nothing is
 * guessed, and a failed read leaves its target alone.
 */
#include "gateway/base.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/care/civil.h"

enum { A_DAY = 86400 };
#define LEAST_INSTANT INT64_C(-62135596800) /* 0001-01-01T00:00:00Z */
#define MOST_INSTANT  INT64_C(253402300799) /* 9999-12-31T23:59:59Z */

static bool instant_writable(int64_t instant)
{
    return instant >= LEAST_INSTANT && instant <= MOST_INSTANT;
}

/* Without the zone: 2026-11-24T07:10:00. */
static void time_plain(int64_t instant, char text[TIME_TEXT])
{
    int64_t day = instant >= 0 ? instant / A_DAY : -((A_DAY - 1 - instant) / A_DAY);
    int second = (int)(instant - day * A_DAY);
    int y, m, d;
    civil_date((int32_t)day, &y, &m, &d);
    snprintf(text, TIME_TEXT, "%04d-%02d-%02dT%02d:%02d:%02d", y, m, d, second / 3600, second / 60 % 60,
             second % 60);
}

void time_utc(int64_t instant, char text[TIME_TEXT])
{
    text[0] = '\0';
    if (!instant_writable(instant))
        return;
    time_plain(instant, text);
    memcpy(text + strlen(text), "Z", 2);
}

void time_zoned(int64_t instant, int32_t offset_seconds, char text[TIME_TEXT])
{
    text[0] = '\0';
    if (!instant_writable(instant) || !instant_writable(instant + offset_seconds))
        return;
    time_plain(instant + offset_seconds, text);
    int minutes = abs(offset_seconds) / 60 % (100 * 60);
    size_t n = strlen(text);
    snprintf(text + n, TIME_TEXT - n, "%c%02d:%02d", offset_seconds < 0 ? '-' : '+', minutes / 60,
             minutes % 60);
}

void date_text(int32_t day, char text[TIME_TEXT])
{
    text[0] = '\0';
    if (!instant_writable((int64_t)day * A_DAY))
        return;
    int y, m, d;
    civil_date(day, &y, &m, &d);
    snprintf(text, TIME_TEXT, "%04d-%02d-%02d", y, m, d);
}

/* The number that `digits` characters of *s are; moves *s behind them. -1 when one is no digit. */
static int digits_read(const char **s, int digits)
{
    int value = 0;
    for (; digits; digits--, (*s)++) {
        if (**s < '0' || **s > '9')
            return -1;
        value = value * 10 + (**s - '0');
    }
    return value;
}

static bool mark_read(const char **s, char mark)
{
    if (**s != mark)
        return false;
    (*s)++;
    return true;
}

static bool date_part(const char **s, int32_t *day)
{
    int y = digits_read(s, 4);
    if (y < 1 || !mark_read(s, '-'))
        return false;
    int m = digits_read(s, 2);
    if (m < 1 || !mark_read(s, '-'))
        return false;
    int d = digits_read(s, 2);
    int32_t found = d < 1 ? DAY_NONE : civil_day(y, m, d);
    if (found == DAY_NONE)
        return false;
    *day = found;
    return true;
}

bool date_read(const char *s, int32_t *day)
{
    int32_t found;
    if (!date_part(&s, &found) || *s)
        return false;
    *day = found;
    return true;
}

/* HH:MM:SS and a fraction that is dropped; 60 is a leap second. */
static bool clock_part(const char **s, int *second_of_day)
{
    int h = digits_read(s, 2);
    if (h < 0 || h > 23 || !mark_read(s, ':'))
        return false;
    int m = digits_read(s, 2);
    if (m < 0 || m > 59 || !mark_read(s, ':'))
        return false;
    int sec = digits_read(s, 2);
    if (sec < 0 || sec > 60)
        return false;
    if (mark_read(s, '.')) {
        if (digits_read(s, 1) < 0)
            return false;
        *s += strspn(*s, "0123456789");
    }
    *second_of_day = h * 3600 + m * 60 + sec;
    return true;
}

static bool offset_part(const char **s, int *seconds)
{
    *seconds = 0;
    if (mark_read(s, 'Z') || mark_read(s, 'z'))
        return true;
    int sign = **s == '-' ? -1 : 1;
    if (!mark_read(s, '+') && !mark_read(s, '-'))
        return false;
    int h = digits_read(s, 2);
    if (h < 0 || h > 23 || !mark_read(s, ':'))
        return false;
    int m = digits_read(s, 2);
    if (m < 0 || m > 59)
        return false;
    *seconds = sign * (h * 3600 + m * 60);
    return true;
}

bool time_read(const char *s, int64_t *instant)
{
    int32_t day;
    int second, offset;
    if (!date_part(&s, &day) || !(mark_read(&s, 'T') || mark_read(&s, 't') || mark_read(&s, ' ')))
        return false;
    if (!clock_part(&s, &second) || !offset_part(&s, &offset) || *s)
        return false;
    *instant = (int64_t)day * A_DAY + second - offset;
    return true;
}

bool minutes_read(const char *s, int16_t *minute)
{
    int h = digits_read(&s, 2);
    if (h < 0 || !mark_read(&s, ':'))
        return false;
    int m = digits_read(&s, 2);
    if (m < 0 || m > 59 || *s || h * 60 + m > MINUTES_A_DAY)
        return false;
    *minute = (int16_t)(h * 60 + m);
    return true;
}

bool whole_read(const char *s, int64_t least, int64_t most, int64_t *out)
{
    const char *digits = *s == '-' ? s + 1 : s;
    if (!*digits || strspn(digits, "0123456789") != strlen(digits))
        return false;
    errno = 0;
    long long value = strtoll(s, NULL, 10);
    if (errno || value < least || value > most)
        return false;
    *out = value;
    return true;
}
