/* Civil time: the proleptic Gregorian calendar and a zone's offsets, as pure arithmetic on whole numbers.
 *
 * Must never ask the machine for its time or zone: the table of offsets is an argument. A look-up walks at most
 * OFFSETS_MAX = 16 entries. The calendar runs in eras of 400 years (146,097 days) of years that begin in March, so that
 * the leap day is the last of its year: the usual method, of which the C library is the check (tests/reference).
 */
#include "gateway/care/civil.h"

enum { SECONDS_A_DAY = 86400, ERA_DAYS = 146097, ERA_YEARS = 400, MARCH_0000 = 719468 };

static int64_t floor_div(int64_t a, int64_t b)
{
    return a / b - (a % b < 0);
}

static int32_t offset_at(const struct offsets *o, int64_t instant)
{
    int32_t seconds = o->n ? o->at[0].seconds : 0;

    for (int i = 1; i < o->n && o->at[i].from <= instant; i++)
        seconds = o->at[i].seconds;
    return seconds;
}

struct civil civil_at(const struct offsets *o, int64_t instant)
{
    int64_t local = instant + offset_at(o, instant);
    int64_t day = floor_div(local, SECONDS_A_DAY);
    int32_t second = (int32_t)(local - day * SECONDS_A_DAY);

    return (struct civil){
        .day = (int32_t)day, .minute = (int16_t)(second / 60), .second = (int8_t)(second % 60)};
}

int64_t civil_instant(const struct offsets *o, struct civil c)
{
    int64_t local = (int64_t)c.day * SECONDS_A_DAY + c.minute * 60 + c.second;

    for (int i = 0; i < o->n; i++) {
        int64_t at = local - o->at[i].seconds;
        if (i > 0 && at < o->at[i].from)
            return o->at[i].from; /* after the entry before, not yet in this one: in the gap between them */
        if (i + 1 == o->n || at < o->at[i + 1].from)
            return at;
    }
    return local;
}

static bool leap(int year)
{
    return (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
}

int32_t civil_day(int year, int month, int day)
{
    static const int8_t lengths[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};

    if (year < 1 || year > 9999 || month < 1 || month > 12)
        return DAY_NONE;
    if (day < 1 || day > lengths[month - 1] + (month == 2 && leap(year)))
        return DAY_NONE;
    int y = year - (month <= 2);
    int of_era = y % ERA_YEARS;
    int of_year = (153 * ((month + 9) % 12) + 2) / 5 + day - 1; /* March 1st is 0 */
    return y / ERA_YEARS * ERA_DAYS + of_era * 365 + of_era / 4 - of_era / 100 + of_year - MARCH_0000;
}

void civil_date(int32_t day, int *year, int *month, int *day_of_month)
{
    int64_t days = (int64_t)day + MARCH_0000;
    int64_t era = floor_div(days, ERA_DAYS);
    int of_era = (int)(days - era * ERA_DAYS);
    int y = (of_era - of_era / 1460 + of_era / 36524 - of_era / 146096) / 365;
    int of_year = of_era - (365 * y + y / 4 - y / 100);
    int from_march = (5 * of_year + 2) / 153;

    *day_of_month = of_year - (153 * from_march + 2) / 5 + 1;
    *month = from_march < 10 ? from_march + 3 : from_march - 9;
    *year = (int)(era * ERA_YEARS) + y + (*month <= 2);
}

int civil_weekday(int32_t day)
{
    int64_t from_monday = (int64_t)day + 3; /* 1970-01-01 was a Thursday */

    return (int)(from_monday - floor_div(from_monday, 7) * 7);
}
