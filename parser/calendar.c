/* Calendar arithmetic: days since 1970-01-01 of a Gregorian date, by Howard Hinnant's era method (public domain
 * algorithm "days_from_civil"). Exact for every year that a text can name. It never reads a clock.
 */
#include "parser/steps.h"

long calendar_days(int year, int month, int day) {
    year -= month <= 2;
    long era = (year >= 0 ? year : year - 399) / 400;
    long year_of_era = year - era * 400;
    long day_of_year = (153 * (month + (month > 2 ? -3 : 9)) + 2) / 5 + day - 1;
    long day_of_era = year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year;
    return era * 146097 + day_of_era - 719468;
}

int calendar_weekday(long days) {
    return (int)(((days + 4) % 7 + 7) % 7);
}

bool calendar_valid(int year, int month, int day) {
    static const int lengths[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    if (month < 1 || month > 12 || day < 1) {
        return false;
    }
    bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    return day <= lengths[month - 1] + (month == 2 && leap);
}

int calendar_back(struct moment received, int month, int day) {
    long today = calendar_days(received.year, received.month, received.day);
    for (int year = received.year; year > received.year - 9; year--) {
        if (calendar_valid(year, month, day)) {
            long that = calendar_days(year, month, day);
            if (that <= today) {
                return (int)(that - today);
            }
        }
    }
    return 1;
}
