/* Dates: "25/12/26", "25th Dec", "Thurs 26th", "11/20".
 *
 * A numeric date is read in whichever order is valid; if both are, the most recent that is not in the future. Two
 * small numbers are a date only with a reading beside them, for alone they are a pair with digits missing. A date
 * never takes a number that can be half of a pair in range.
 */
#include "parser/moments.h"

/* Two-digit years up to 40 are of this century. */
static int year_full(int year) {
    return year < 100 ? (year > 40 ? 1900 : 2000) + year : year;
}

static int days_back(const struct parse *p, int year, int month, int day) {
    if (year == 0) {
        return calendar_back(p->received, month, day);
    }
    if (!calendar_valid(year, month, day)) {
        return 1;
    }
    struct moment r = p->received;
    return (int)(calendar_days(year, month, day) - calendar_days(r.year, r.month, r.day));
}

int date_orders(const struct parse *p, int a, int b, int year) {
    int best = 1;
    for (int turn = 0; turn < 2; turn++) {
        int month = turn == 0 ? b : a, day = turn == 0 ? a : b;
        if (month < 1 || month > 12 || day < 1 || day > 31 || !calendar_valid(2024, month, day)) {
            continue;
        }
        int back = days_back(p, year, month, day);
        if (back <= 0 && (best > 0 || back > best)) {
            best = back;
        }
    }
    return best;
}

static void date_take(struct parse *p, uint32_t first, uint32_t end, int back) {
    for (size_t i = 0; i < p->figure_n; i++) {
        if (p->figure[i].first >= first && p->figure[i].first < end) {
            p->figure[i].role = ROLE_DATE;
        }
    }
    struct when *w = when_add(p, first, end);
    w->day = (int16_t)(back < -3000 ? -3000 : back);
    w->date = true;
}

/* "25/12/26", "2026-12-25", "25.12.2026". */
static bool date_three(struct parse *p, uint32_t i) {
    struct figure *a = figure_starting(p, i), *b = free_at(p, i + 2), *c = figure_starting(p, i + 4);
    bool led = a != NULL && a->digits == 4 && a->role == ROLE_OTHER; /* "2026-11-24": long enough to be no pressure */
    a = a != NULL && (led || (a->role == ROLE_FREE && !a->garbled)) ? a : NULL;
    if (a == NULL || b == NULL || c == NULL || a->spelled || c->spelled || !token_is(p, i + 3, p->t.at[i + 1].mark) ||
        (p->t.at[i + 1].mark != '/' && p->t.at[i + 1].mark != '-' && p->t.at[i + 1].mark != '.') || !glued_at(p, i + 1) ||
        !glued_at(p, i + 2) || !glued_at(p, i + 4)) {
        return false;
    }
    int back = 1;
    if (a->digits == 4 && a->value > 1999) {
        back = days_back(p, (int)a->value, (int)b->value, (int)c->value);
    } else if (a->value <= 31 && b->value <= 31 && a->digits <= 2 && b->digits <= 2 && (c->digits == 4 || c->digits == 2)) {
        int year = year_full((int)c->value);
        back = date_orders(p, (int)a->value, (int)b->value, year);
        if (back > 0 || back < -730) { /* a date of birth: neither a moment nor a pair */
            a->role = b->role = c->role = ROLE_OTHER;
            return false;
        }
    }
    if (back > 0) {
        return false;
    }
    date_take(p, i, i + 5, back);
    return true;
}

/* Whether a pair, or the first of one, stands behind token i within its line, or another date leads a line: then a
 * small a/b before it is a date. */
static bool reading_follows(struct parse *p, uint32_t i) {
    for (uint32_t k = i; k < p->t.n && k < i + 12 && p->t.at[k].kind != TOKEN_BREAK; k++) {
        const struct figure *f = figure_starting(p, k);
        if (f != NULL && f->role == ROLE_FREE && f->value >= 40 && f->value <= 320) {
            return true;
        }
    }
    return false;
}

/* Whether a joined pair in range begins at token i. */
static bool reading_heads(struct parse *p, uint32_t i) {
    const struct figure *a = figure_starting(p, i), *b = a != NULL && slash_at(p, a->end) ? figure_starting(p, a->end + 1) : NULL;
    return b != NULL && a->role == ROLE_FREE && a->value >= 70 && a->value <= 260 && b->value >= 40 && b->value < a->value;
}

static bool reading_before(struct parse *p, uint32_t i) {
    for (uint32_t k = i; k-- > 0 && k + 12 > i && p->t.at[k].kind != TOKEN_BREAK;) {
        const struct figure *f = figure_starting(p, k);
        if (f != NULL && f->role == ROLE_FREE && f->value >= 40 && f->value <= 320) {
            return true;
        }
    }
    return false;
}

/* "20/11", "11/23": only with a reading beside it, for alone it is a pair with digits missing. */
bool date_two(struct parse *p, uint32_t i) {
    struct figure *a = whole_at(p, i, 1, 31), *b = whole_at(p, i + 2, 1, 31);
    bool mark = token_is(p, i + 1, '/') || token_is(p, i + 1, '-') || token_is(p, i + 1, '.');
    if (i > 0 && p->t.at[i - 1].kind == TOKEN_NUMBER && !(i > 1 && (token_is(p, i - 2, '#') || token_is(p, i - 2, '/')))) {
        return false; /* 13 1/2 */
    }
    if (a == NULL || b == NULL || !mark || a->spelled || b->spelled || !glued_at(p, i + 1) || !glued_at(p, i + 2) ||
        (slash_at(p, i + 3) && !token_is(p, i + 3, '|')) || (i > 0 && slash_at(p, i - 1)) ||
        (token_is(p, i + 1, '.') && p->t.at[i + 2].digits != 2)) { /* "22/11|141|88": the first column of a table */
        return false;
    }
    const struct mark *unit = mark_at(p, i + 3, KIND_UNIT);
    int back = date_orders(p, (int)a->value, (int)b->value, 0);
    bool named = i > 1 && token_is(p, i - 1, ':') && hinge_at(p, i - 2, HINGE_DATE);
    bool week = back <= 0 && back >= -7 && reading_heads(p, token_is(p, i + 3, ':') ? i + 4 : i + 3);
    if (token_is(p, i + 1, '-') && p->t.at[i + 2].digits != 2 && !week) {
        return false; /* "12-4 138/84" of this week; else it may be 12 over 4 */
    }
    if (back > 0 || (unit != NULL && unit->a != ROLE_DURATION) || (!reading_follows(p, i + 3) && !reading_before(p, i) && !named)) {
        return false;
    }
    if (token_is(p, i + 1, '-') && !reading_follows(p, i + 3)) {
        return false;
    }
    date_take(p, i, i + 3, back);
    return true;
}

/* "st" behind a number that is no first of anything is a weight. */
static bool ordinal_suffix(const struct parse *p, uint32_t i) {
    bool first = i > 0 && p->t.at[i - 1].kind == TOKEN_NUMBER && p->t.at[i - 1].value % 10 == 1;
    return glued_at(p, i) && ((first && token_word(p, i, "st")) || token_word(p, i, "nd") || token_word(p, i, "rd") || token_word(p, i, "th"));
}

/* "25th Dec", "25 de diciembre", "Dec 25", "December 25th". */
static bool date_month(struct parse *p, uint32_t i) {
    struct figure *day = whole_at(p, i, 1, 31);
    const struct mark *month = NULL;
    uint32_t end = i;
    if (day != NULL && !slash_at(p, day->end)) {
        end = ordinal_suffix(p, day->end) ? day->end + 1 : day->end;
        end = token_word(p, end, "of") || token_word(p, end, "de") ? end + 1 : end;
        month = mark_at(p, end, KIND_MONTH);
        end = month != NULL ? month->end : end;
    } else if ((month = mark_at(p, i, KIND_MONTH)) != NULL) {
        uint32_t at = token_word(p, month->end, "the") || token_is(p, month->end, '.') ? month->end + 1 : month->end;
        day = whole_at(p, at, 1, 31);
        if (day == NULL || slash_at(p, day->end) || token_word(p, day->end, "over")) {
            return false;
        }
        end = ordinal_suffix(p, day->end) ? day->end + 1 : day->end;
    }
    if (day == NULL || month == NULL) {
        return false;
    }
    struct figure *year = figure_starting(p, token_is(p, end, ',') ? end + 1 : end);
    bool dated = year != NULL && year->digits == 4 && year->value > 1999 && year->value < 2100;
    int back = days_back(p, dated ? (int)year->value : 0, month->a, (int)day->value);
    if (back > 0) {
        return false;
    }
    date_take(p, i, dated ? year->end : end, back);
    return true;
}

/* "Tuesday 07:30": the colon is of a clock time. */
static bool clock_follows(const struct parse *p, uint32_t colon) {
    return glued_at(p, colon) && glued_at(p, colon + 1) && colon + 1 < p->t.n && p->t.at[colon + 1].kind == TOKEN_NUMBER &&
           p->t.at[colon + 1].digits == 2;
}

/* Days back to the latest date with this day of the month; 1 when there is none in three months. */
static int day_latest(const struct parse *p, int day) {
    int month = p->received.month, year = p->received.year;
    for (int tries = 0; tries < 3; tries++) {
        int back = calendar_valid(year, month, day) ? days_back(p, year, month, day) : 1;
        if (back <= 0) {
            return back;
        }
        year -= month == 1;
        month = month == 1 ? 12 : month - 1;
    }
    return 1;
}

/* "Monday 9 morning 132/81": the day before it is the day of that date, and no hour is meant. */
static bool weekday_agrees(const struct parse *p, uint32_t i, int day) {
    const struct mark *weekday = i > 0 ? mark_before(p, i, KIND_WEEKDAY) : NULL, *clock = mark_at(p, i + 1, KIND_CLOCK);
    const struct mark *part = mark_at(p, i + 1, KIND_WHEN);
    int back = weekday != NULL ? day_latest(p, day) : 1;
    if (back > 0 || (part != NULL && part->a != DAY_UNSAID) || (clock != NULL && (part == NULL || clock->end > part->end)) || glued_at(p, i + 1)) {
        return false;
    }
    long date = calendar_days(p->received.year, p->received.month, p->received.day) + back;
    return calendar_weekday(date) == weekday->a;
}

/* "the 26th", "Thurs 26th", "26th:", "el dia 26", where no month is said. */
static bool date_day(struct parse *p, uint32_t i) {
    struct figure *day = whole_at(p, i, 1, 31);
    if (day == NULL || day->spelled || slash_at(p, day->end)) {
        return false;
    }
    bool weekday = i > 0 && (mark_before(p, i, KIND_WEEKDAY) != NULL || (token_is(p, i - 1, ',') && mark_before(p, i - 1, KIND_WEEKDAY) != NULL) ||
        (token_word(p, i - 1, "the") && mark_before(p, i - 1, KIND_WEEKDAY) != NULL));
    bool suffix = ordinal_suffix(p, day->end);
    bool dia = i > 0 && token_word(p, i - 1, "dia") && i > 1 && token_word(p, i - 2, "el");
    if (!(suffix && (weekday || day->value > 4 || (i > 0 && (token_word(p, i - 1, "the") || token_word(p, i - 1, "on"))))) &&
        !dia && !(weekday && !suffix && token_is(p, day->end, ':') && !clock_follows(p, day->end)) &&
        !weekday_agrees(p, i, (int)day->value)) {
        return false;
    }
    uint32_t end = suffix ? day->end + 1 : day->end;
    if (suffix && day->value <= 4 && !weekday && (mark_at(p, end, KIND_ORDINAL) != NULL || token_word(p, end, "time") ||
        token_word(p, end, "one") || token_word(p, end, "reading"))) {
        return false;
    }
    int back = day_latest(p, (int)day->value);
    if (back <= 0) {
        date_take(p, i, end, back);
    }
    return back <= 0;
}

bool date_sure(struct parse *p, uint32_t i) {
    return date_three(p, i) || date_month(p, i) || date_day(p, i);
}
