/* The end of an absence, and its beginning: "away until Thursday", "off on Saturday for two weeks", "back on 8 December".
 *
 * The only days to come that a text is searched for, and only where it tells of an absence: everywhere else a day is the
 * most recent one (moments.c). What is read here is no moment of a measurement: its tokens are taken out of the running
 * for one, and its numbers for a pressure. Where nothing is sure it stays unsaid; an absence has 1 to 366 days.
 */
#include "parser/moments.h"

enum { AHEAD_MOST = 366, WEEK = 7, MONDAY = 1, OVER_ALREADY = 9 };

static long today_of(const struct parse *p) {
    return calendar_days(p->received.year, p->received.month, p->received.day);
}

/* Days until the weekday (0 Sunday) that comes next, 1 to 7. */
static int weekday_ahead(const struct parse *p, int weekday) {
    int days = (weekday - calendar_weekday(today_of(p)) + WEEK) % WEEK;
    return days > 0 ? days : WEEK;
}

/* "next Tuesday": that of the week after this one, which ends on Sunday. */
static int weekday_of_next_week(const struct parse *p, int weekday) {
    int monday = weekday_ahead(p, MONDAY);
    return monday + (weekday + WEEK - MONDAY) % WEEK;
}

/* Days from receipt to the next day/month that is today or later; -1 when there is no such date. */
static int date_ahead(const struct parse *p, int month, int day) {
    for (int year = p->received.year; year < p->received.year + 2; year++) {
        if (calendar_valid(year, month, day) && calendar_days(year, month, day) >= today_of(p)) {
            return (int)(calendar_days(year, month, day) - today_of(p));
        }
    }
    return -1;
}

/* The next month that has such a day, today's day a month on: "back on the 3rd". */
static int day_ahead(const struct parse *p, int day) {
    int month = p->received.month, year = p->received.year;
    for (int tries = 0; tries < 3; tries++, month++) {
        if (month > 12) {
            month = 1;
            year++;
        }
        if (calendar_valid(year, month, day) && calendar_days(year, month, day) > today_of(p)) {
            return (int)(calendar_days(year, month, day) - today_of(p));
        }
    }
    return -1;
}

/* "8/12", "8.12.": the order that is valid; if both are, the next to come. */
static int orders_ahead(const struct parse *p, int a, int b) {
    int one = a <= 12 && b <= 31 ? date_ahead(p, a, b) : -1, other = b <= 12 && a <= 31 ? date_ahead(p, b, a) : -1;
    return one < 0 || (other >= 0 && other < one) ? other : one;
}

static uint32_t filler_skip(const struct parse *p, uint32_t i) {
    static const char *const words[] = {"the", "on", "el", "of", "de", "about", "around", "dia", "at", "after", "del"};
    for (size_t k = 0; k < sizeof words / sizeof *words; k++) {
        if (token_word(p, i, words[k])) {
            return filler_skip(p, i + 1);
        }
    }
    return i;
}

static bool suffix_at(const struct parse *p, uint32_t i) {
    return glued_at(p, i) &&
           (token_word(p, i, "st") || token_word(p, i, "nd") || token_word(p, i, "rd") || token_word(p, i, "th"));
}

/* A date at token i: "8 December", "Dec 8th", "8/12", "the 8th". `bare`: a number alone will do. -1 for none. */
static int date_at(struct parse *p, uint32_t i, uint32_t *end, bool bare) {
    const struct mark *month = mark_at(p, i, KIND_MONTH);
    struct figure *day = whole_at(p, month != NULL ? filler_skip(p, month->end) : i, 1, 31);
    if (day == NULL) {
        return -1;
    }
    uint32_t after = suffix_at(p, day->end) ? day->end + 1 : day->end;
    bool ordinal = after > day->end;
    *end = after;
    if (month != NULL) {
        return date_ahead(p, month->a, (int)day->value);
    }
    if ((month = mark_at(p, filler_skip(p, after), KIND_MONTH)) != NULL) {
        *end = month->end;
        return date_ahead(p, month->a, (int)day->value);
    }
    struct figure *second = whole_at(p, day->end + 1, 1, 31);
    bool mark = token_is(p, day->end, '/') || token_is(p, day->end, '-') || token_is(p, day->end, '.');
    if (second != NULL && mark && glued_at(p, day->end) && glued_at(p, day->end + 1)) {
        *end = second->end;
        return orders_ahead(p, (int)day->value, (int)second->value);
    }
    bool alone = mark_at(p, after, KIND_UNIT) == NULL && mark_at(p, after, KIND_CLOCK) == NULL && !token_is(p, after, ':') &&
                 !slash_at(p, after);
    return ordinal || (bare && alone) ? day_ahead(p, (int)day->value) : -1;
}

/* Days ahead of the day named at token i, or -1. */
static int day_at(struct parse *p, uint32_t i, uint32_t *end) {
    bool dated = token_word(p, i, "the") || token_word(p, i, "el") || token_word(p, filler_skip(p, i) - 1, "the");
    i = filler_skip(p, i);
    const struct mark *ahead = mark_at(p, i, KIND_AHEAD), *span = mark_at(p, i, KIND_SPAN);
    if (span != NULL && span->a > 0) { /* "back in three days" */
        *end = span->end;
        return marked_days(p, span);
    }
    if (ahead != NULL) {
        *end = ahead->end;
        return ahead->b > 0 ? weekday_ahead(p, ahead->b % WEEK) : ahead->a;
    }
    bool next = token_word(p, i, "next") || token_word(p, i, "proximo");
    i += next || token_word(p, i, "this") || token_word(p, i, "este") || token_word(p, i, "coming");
    const struct mark *weekday = mark_at(p, i, KIND_WEEKDAY);
    if (weekday == NULL) {
        return date_at(p, i, end, dated);
    }
    int date = date_at(p, filler_skip(p, weekday->end), end, false);
    if (date > 0) {
        return date;
    }
    *end = weekday->end;
    next = next || token_word(p, weekday->end, "week") || token_word(p, weekday->end, "next");
    return next ? weekday_of_next_week(p, weekday->a) : weekday_ahead(p, weekday->a);
}

/* Its tokens and numbers are spoken for. */
static void claim(struct parse *p, uint32_t first, uint32_t end) {
    uint64_t days = KIND_IS(KIND_WEEKDAY) | KIND_IS(KIND_MONTH) | KIND_IS(KIND_WHEN) | KIND_IS(KIND_AGO);
    for (uint32_t i = first; i < end && i < p->t.n; i++) {
        struct figure *f = figure_starting(p, i);
        if (f != NULL) {
            f->role = ROLE_DATE;
        }
        p->starts[i] &= ~days;
    }
}

static bool take(struct parse *p, uint32_t first, uint32_t end, int days) {
    if (days < 1 || days > AHEAD_MOST || days <= p->out->away_from) {
        return false;
    }
    claim(p, first, end);
    p->out->away_days = (int16_t)days;
    return true;
}

/* "until Thursday", "back on the 8th"; "I was away until Thursday" is over. */
static bool until_at(struct parse *p, uint32_t i) {
    const struct mark *m = mark_at(p, i, KIND_UNTIL);
    uint32_t end = 0;
    if (m == NULL || m->a == OVER_ALREADY) {
        return false;
    }
    int days = day_at(p, m->end, &end);
    if (days < 1) {
        return false;
    }
    if (m->a < 0) {
        p->out->away_days = AWAY_OVER;
        p->out->away_from = 0;
        return true;
    }
    if (days <= p->out->away_from && mark_before(p, end, KIND_WEEKDAY) != NULL) { /* "from Friday until Monday" */
        days += WEEK;
    }
    return take(p, m->end, end, days + m->a);
}

/* "from Friday to Monday", "3 to 10 December": the later day is the end. */
static bool range_at(struct parse *p, uint32_t i) {
    uint64_t dated = KIND_IS(KIND_WEEKDAY) | KIND_IS(KIND_MONTH) | KIND_IS(KIND_AHEAD);
    bool to = token_is(p, i, '-') || token_word(p, i, "to") || token_word(p, i, "a") || token_word(p, i, "al");
    if (!to || i == 0 || (!(p->covers[i - 1] & dated) && p->t.at[i - 1].kind != TOKEN_NUMBER && !suffix_at(p, i - 1))) {
        return false;
    }
    uint32_t end = 0, at = filler_skip(p, i + 1);
    bool number = p->t.at[i - 1].kind == TOKEN_NUMBER && mark_at(p, at, KIND_WEEKDAY) == NULL;
    int days = number ? date_at(p, at, &end, false) : day_at(p, i + 1, &end);
    struct figure *one = number ? whole_at(p, i - 1, 1, 31) : NULL, *other = number ? whole_at(p, at, 1, 31) : NULL;
    if (days > 0 && one != NULL && other != NULL && one->value < other->value && days > other->value - one->value) {
        p->out->away_from = (int16_t)(days - (int)(other->value - one->value)); /* both of the same month */
    }
    if (days > 0 && days <= p->out->away_from && mark_at(p, at, KIND_WEEKDAY) != NULL) {
        days += WEEK;
    }
    return take(p, i - 1, end, days);
}

/* "for two weeks", "this week", "next week". */
static bool span_at(struct parse *p, uint32_t i) {
    const struct mark *m = mark_at(p, i, KIND_SPAN);
    if (m == NULL) {
        return false;
    }
    int monday = weekday_ahead(p, MONDAY) + WEEK * (m->b - 1);
    if (m->a == 0 && m->b > 1 && p->out->away_from == 0) {
        p->out->away_from = (int16_t)(monday - WEEK);
    }
    return take(p, m->first, m->end, m->a > 0 ? p->out->away_from + marked_days(p, m) : monday);
}

/* "off on Saturday", "from the 3rd", "going away tomorrow": the first day of it. */
static void begins_find(struct parse *p) {
    for (uint32_t i = 0; i < p->t.n; i++) {
        const struct mark *m = mark_at(p, i, KIND_BEGINS), *until = mark_before(p, i, KIND_UNTIL), *ahead = mark_at(p, i, KIND_AHEAD);
        uint32_t first = m != NULL ? m->end : i, end = first;
        bool weekday = mark_at(p, i, KIND_WEEKDAY) != NULL && mark_before(p, i, KIND_NEWS) != NULL; /* "going away Monday" */
        bool bare = m == NULL && until == NULL && ((ahead != NULL && ahead->a > 0) || weekday);
        bool back = m != NULL && mark_before(p, m->end, KIND_UNTIL) != NULL; /* "back on Friday" */
        int days = (m != NULL && !back) || bare ? day_at(p, first, &end) : -1;
        if (days > 0 && days < AHEAD_MOST) {
            claim(p, first, end);
            p->out->away_from = (int16_t)days;
            return;
        }
    }
}

static bool absence_told(const struct parse *p) {
    for (size_t i = 0; p->kinds & KIND_IS(KIND_NEWS) && i < p->m.n; i++) {
        const struct mark *m = &p->m.at[i];
        if (m->kind == KIND_NEWS && (m->a == NEWS_AWAY_BIT || m->a == NEWS_IN_HOSPITAL_BIT)) {
            return true;
        }
    }
    return false;
}

void ahead_find(struct parse *p) {
    static bool (*const ways[])(struct parse *, uint32_t) = {until_at, range_at, span_at};
    if (mark_within(p, 0, (uint32_t)p->t.n, KIND_UNTIL, OVER_ALREADY) != NULL) { /* "I'm back now", "home from hospital" */
        p->out->away_days = AWAY_OVER;
        return;
    }
    if (!absence_told(p)) {
        return;
    }
    begins_find(p);
    for (size_t way = 0; way < sizeof ways / sizeof *ways; way++) {
        for (uint32_t i = 0; i < p->t.n; i++) {
            if (ways[way](p, i)) {
                return;
            }
        }
    }
}
