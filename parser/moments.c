/* Moments: the days, parts of day and clock times of a text, resolved against its receipt.
 *
 * Atoms (a date, a weekday, "this morning", "7.15", "half seven") that stand together are one moment. A day is never
 * in the future. A number that turns out to be a date or a clock time is taken out of the running for a pressure; a
 * number is never made a time when it can be half of a pair in range. Whose moment it is, attach.c decides.
 */
#include "parser/moments.h"

#include <string.h>

enum { MORNING_HOURS_END = 12 * 60, EVENING_BEGINS = 16 * 60, NIGHT_ENDS = 4 * 60, DAYS_BACK = 3000 };

struct figure *free_at(struct parse *p, uint32_t first) {
    struct figure *f = figure_starting(p, first);
    return f != NULL && f->role == ROLE_FREE && !f->garbled ? f : NULL;
}

struct figure *whole_at(struct parse *p, uint32_t first, int low, int high) {
    struct figure *f = free_at(p, first);
    return f != NULL && !f->decimal && f->value >= low && f->value <= high ? f : NULL;
}

struct when *when_add(struct parse *p, uint32_t first, uint32_t end) {
    struct when *w = &p->when[p->when_n++];
    *w = (struct when){.first = first, .end = end, .day = DAY_UNSAID, .minute = MINUTE_UNSAID};
    return w;
}

bool glued_at(const struct parse *p, uint32_t i) {
    return i < p->t.n && p->t.at[i].glued;
}

bool slash_at(const struct parse *p, uint32_t i) {
    return token_is(p, i, '/') || token_is(p, i, '\\') || token_is(p, i, '|');
}

/* am or pm at token i: CLOCK_AM or CLOCK_PM, or -1. One letter counts only when glued ("7a"). */
static int meridiem_at(const struct parse *p, uint32_t i, uint32_t *end) {
    const struct mark *m = mark_at(p, i, KIND_CLOCK);
    if (m == NULL || (m->a != CLOCK_AM && m->a != CLOCK_PM) || (p->t.at[i].size == 1 && !p->t.at[i].glued)) {
        return -1;
    }
    *end = m->end;
    return m->a;
}

static int clock_minute(int hour, int minute, int meridiem) {
    if (meridiem == CLOCK_PM && hour < 12) {
        hour += 12;
    }
    if (meridiem == CLOCK_AM && hour == 12) {
        hour = 0;
    }
    return hour * 60 + minute;
}

/* Whether a word for "about" stands before token i: such a time is none. */
static bool about_before(const struct parse *p, uint32_t i) {
    for (uint32_t k = i; k > 0 && k + 3 > i; k--) {
        const struct mark *m = mark_before(p, k, KIND_CLOCK);
        if (m != NULL && m->a == CLOCK_ABOUT) {
            return true;
        }
        if (mark_before(p, k, KIND_CLOCK) == NULL) {
            return false;
        }
    }
    return false;
}

/* Takes the figures in [first, end) as a clock time: `hour`, `minute`; `exact24`: written so that it needs no am or pm. */
static void clock_take(struct parse *p, uint32_t first, uint32_t end, int hour, int minute, bool exact24) {
    uint32_t after = end;
    int meridiem = meridiem_at(p, end, &after);
    const struct mark *oclock = mark_at(p, after, KIND_CLOCK);
    if (oclock != NULL && oclock->a == CLOCK_OCLOCK) {
        after = oclock->end;
        int more = meridiem_at(p, after, &after);
        meridiem = meridiem < 0 ? more : meridiem;
    }
    const struct mark *plus = mark_at(p, after, KIND_CLOCK);
    if (plus != NULL && plus->a == CLOCK_PLUS) { /* "y media", "menos cuarto" */
        hour += plus->b < 0 ? -1 : 0;
        minute = plus->b < 0 ? 60 + plus->b : plus->b;
        after = plus->end;
        int more = meridiem_at(p, after, &after);
        meridiem = meridiem < 0 ? more : meridiem;
    }
    struct when *w = when_add(p, first, after);
    for (size_t i = 0; i < p->figure_n; i++) {
        if (p->figure[i].first >= first && p->figure[i].first < after) {
            p->figure[i].role = ROLE_TIME;
        }
    }
    const struct mark *ish = mark_at(p, after, KIND_CLOCK);
    w->about = about_before(p, first) || (ish != NULL && ish->a == CLOCK_ABOUT && glued_at(p, after));
    w->end = ish != NULL && ish->a == CLOCK_ABOUT && glued_at(p, after) ? ish->end : w->end;
    w->minute = (int16_t)clock_minute(hour, minute, meridiem);
    w->clock_open = meridiem < 0 && !exact24 && hour >= 1 && hour <= 12;
    if (w->about) {
        w->slot = meridiem == CLOCK_AM ? SLOT_MORNING : meridiem == CLOCK_PM && w->minute >= EVENING_BEGINS ? SLOT_EVENING : SLOT_NONE;
        w->minute = MINUTE_UNSAID;
        w->clock_open = false;
    }
}

/* Whether token i begins with a written 0: "07:10" is of the morning. */
static bool zero_led(const struct parse *p, uint32_t i) {
    return p->t.at[i].kind == TOKEN_NUMBER && p->t.at[i].digits >= 2 && p->f.text[p->t.at[i].start] == '0';
}

/* "7:30", "7.10", "20:15:30", "7h30": hour, mark, two digits. */
static bool clock_marked(struct parse *p, uint32_t i) {
    struct figure *hour = whole_at(p, i, 0, 23), *minute = whole_at(p, i + 2, 0, 59);
    if (hour == NULL || minute == NULL || hour->spelled || minute->digits != 2 || hour->digits > 2 ||
        !glued_at(p, i + 1) || !glued_at(p, i + 2)) {
        return false;
    }
    bool mark = token_is(p, i + 1, ':') || token_is(p, i + 1, '.') || token_word(p, i + 1, "h");
    bool column = token_is(p, i + 1, ':'); /* "07:30 | 134 | 82": the bars are of a table */
    bool before = i > 0 && slash_at(p, i - 1) && !(column && token_is(p, i - 1, '|'));
    bool behind = slash_at(p, i + 3) && !(column && token_is(p, i + 3, '|'));
    if (!mark || p->t.at[i + 1].size != 1 || behind || before) {
        return false;
    }
    if (token_is(p, i + 1, '.') && token_is(p, i + 3, '.') && glued_at(p, i + 3)) { /* "23.11." */
        int back = date_orders(p, (int)hour->value, (int)minute->value, 0);
        if (hour->value > 12 && back <= 0 && back >= -7) {
            return false;
        }
    }
    uint32_t end = i + 3;
    if (token_is(p, end, ':') && whole_at(p, end + 1, 0, 59) != NULL && glued_at(p, end) && glued_at(p, end + 1)) {
        end += 2;
    }
    const struct mark *unit = mark_at(p, end, KIND_UNIT);
    if (unit != NULL && unit->a != ROLE_DURATION && unit->a != ROLE_BPM && token_is(p, i + 1, '.') && unit->a != ROLE_CELSIUS + 100) {
        uint32_t skip;
        if (meridiem_at(p, end, &skip) < 0) {
            return false; /* 7.15 kg */
        }
    }
    uint32_t after = end;
    const struct mark *h = mark_at(p, end, KIND_CLOCK);
    if (h != NULL && h->a == CLOCK_OCLOCK) {
        after = h->end;
    }
    bool hours = after > end && token_is(p, i + 1, ':') && p->t.at[end].size <= 3; /* "7:30 h" is of 24 */
    clock_take(p, i, after, (int)hour->value, (int)minute->value, hours || zero_led(p, i) || hour->value > 12 || hour->value == 0);
    return true;
}

/* "0710", "1930": four digits that stand for a time and for nothing else. */
static bool clock_four(struct parse *p, uint32_t i) {
    struct figure *f = figure_starting(p, i);
    bool hours_said = f != NULL && f->role == ROLE_DURATION && mark_at(p, f->end, KIND_CLOCK) != NULL; /* "2130 hours" */
    f = hours_said ? f : free_at(p, i);
    if (f == NULL || f->spelled || f->digits != 4 || f->decimal || (int)f->value / 100 > 23 || (int)f->value % 100 > 59 ||
        slash_at(p, i + 1) || (i > 0 && slash_at(p, i - 1))) {
        return false;
    }
    uint32_t skip;
    bool led = zero_led(p, i), said = meridiem_at(p, f->end, &skip) >= 0;
    const struct mark *at = mark_before(p, i, KIND_CLOCK), *hours = mark_at(p, f->end, KIND_CLOCK);
    said = said || (at != NULL && at->a == CLOCK_AT) || (hours != NULL && hours->a == CLOCK_OCLOCK);
    bool heads = (i == 0 || token_ends_sentence(p, i - 1)) && (int)f->value % 5 == 0 && figure_starting(p, f->end) != NULL;
    if (!led && !said && !heads) {
        return false;
    }
    clock_take(p, i, f->end, (int)f->value / 100, (int)f->value % 100, led || f->value >= 1300);
    return true;
}

/* A number of minutes, which a unit behind it may have claimed: "5 mins to 6". */
static struct figure *minutes_at(struct parse *p, uint32_t i) {
    struct figure *f = figure_starting(p, i);
    bool duration = f != NULL && f->role == ROLE_DURATION && !f->decimal && f->value >= 1 && f->value <= 29;
    return duration ? f : whole_at(p, i, 1, 29);
}

/* "half past 7", "quarter to nine", "ten past eight", "20 to 8", "half seven". */
static bool clock_words(struct parse *p, uint32_t i) {
    const struct mark *m = mark_at(p, i, KIND_CLOCK);
    uint32_t first = i;
    int minutes = 0;
    struct figure *count = NULL;
    if (m == NULL && (count = minutes_at(p, i)) != NULL) {
        const struct mark *unit = mark_at(p, count->end, KIND_UNIT);
        m = mark_at(p, count->end, KIND_CLOCK); /* "mins to" is one */
        if (m == NULL && unit != NULL && unit->a == ROLE_DURATION) {
            m = mark_at(p, unit->end, KIND_CLOCK);
        }
        if (m == NULL || (m->a != CLOCK_PAST && m->a != CLOCK_TO) || m->b != 0) {
            return false;
        }
        minutes = (int)count->value;
    } else if (m == NULL || (m->a != CLOCK_PAST && m->a != CLOCK_TO && m->a != CLOCK_HALF) || (m->b == 0 && m->a != CLOCK_HALF)) {
        return false;
    } else {
        minutes = m->b;
    }
    struct figure *hour = whole_at(p, m->end, 1, 12);
    if (hour == NULL || slash_at(p, hour->end)) {
        return false;
    }
    if (count != NULL && m->a == CLOCK_TO && mark_at(p, hour->end, KIND_UNIT) != NULL) {
        return false; /* "20 to 30 cm" */
    }
    int h = (int)hour->value;
    if (m->a == CLOCK_TO) {
        h = h == 1 ? 12 : h - 1;
        minutes = 60 - minutes;
    }
    clock_take(p, first, hour->end, h, m->a == CLOCK_HALF ? 30 : minutes, false);
    return true;
}

/* Whether a part of the day is said right behind token i: "7 this morning", "6 de la tarde". */
static bool part_of_day_at(const struct parse *p, uint32_t i) {
    const struct mark *m = mark_at(p, i, KIND_WHEN);
    return m != NULL && m->b != SLOT_NONE;
}

/* Whether the number at token i belongs to an "en las dos" rather than to an "a las dos": whichever begins first. */
static bool again_first(const struct parse *p, uint32_t i) {
    const struct mark *at = mark_before(p, i, KIND_CLOCK);
    for (uint32_t k = i; k-- > 0 && k + 3 > i;) {
        const struct mark *again = mark_at(p, k, KIND_AGAIN);
        if (again != NULL && again->end > i) {
            return at == NULL || again->first <= at->first;
        }
    }
    return false;
}

/* An hour alone: "7am", "7a", "at 8", "7 o'clock", "a las 7", "7 this morning". */
static bool clock_hour(struct parse *p, uint32_t i) {
    struct figure *f = whole_at(p, i, 1, 23);
    if (f == NULL || f->digits > 2 || slash_at(p, f->end) || (i > 0 && slash_at(p, i - 1)) ||
        (i > 0 && p->t.at[i - 1].kind == TOKEN_WORD && p->t.at[i - 1].size == 1 &&
         (p->t.at[i].glued || token_word(p, i - 1, "d")))) { /* "D3 AM": day 3 */
        return false;
    }
    if ((p->covers[i] & KIND_IS(KIND_AGAIN)) && again_first(p, i)) {
        return false; /* "pulso 66 en las dos" */
    }
    const struct mark *ordinal = mark_at(p, i, KIND_ORDINAL); /* "1a toma" */
    if (ordinal != NULL && ordinal->end > f->end) {
        return false;
    }
    uint32_t skip;
    bool said = f->value <= 12 && meridiem_at(p, f->end, &skip) >= 0;
    const struct mark *after = mark_at(p, f->end, KIND_CLOCK), *at = mark_before(p, i, KIND_CLOCK);
    bool plus = after != NULL && after->a == CLOCK_PLUS && (at != NULL || meridiem_at(p, after->end, &skip) >= 0);
    said = said || plus || (after != NULL && after->a == CLOCK_OCLOCK); /* "ocho menos cuarto de la manana" */
    bool counts = f->spelled && i > 0 && (token_word(p, i - 1, "other") || token_word(p, i - 1, "the") || token_word(p, i - 1, "next"));
    said = said || (f->value <= 12 && part_of_day_at(p, f->end) && !f->weak && !counts); /* "the other two tonight" */
    if (!said && at != NULL && (at->a == CLOCK_AT || at->a == CLOCK_ABOUT)) {
        bool plain = mark_at(p, f->end, KIND_UNIT) == NULL && mark_at(p, f->end, KIND_JOIN) == NULL &&
                     !token_is(p, f->end, '%') && !token_is(p, f->end, '-') && !(token_is(p, f->end, '.') && glued_at(p, f->end + 1));
        said = plain && (f->value <= 12 || at->b == 1);
        said = said && (at->a == CLOCK_AT || about_before(p, i));
    }
    if (!said) {
        return false;
    }
    clock_take(p, i, f->end, (int)f->value, 0, f->value > 12 || zero_led(p, i));
    return true;
}

/* "seven thirty this morning", "eight fifteen pm": hour and minutes in words, with the part of day behind. */
static bool clock_spoken(struct parse *p, uint32_t i) {
    struct figure *hour = whole_at(p, i, 1, 12), *minute = hour == NULL ? NULL : whole_at(p, hour->end, 5, 59);
    const struct mark *at = mark_before(p, i, KIND_CLOCK);
    uint32_t skip;
    if (minute == NULL || !hour->spelled || !minute->spelled || hour->weak ||
        (meridiem_at(p, minute->end, &skip) < 0 && !part_of_day_at(p, minute->end) && !(at != NULL && at->a == CLOCK_AT))) {
        return false;
    }
    clock_take(p, i, minute->end, (int)hour->value, (int)minute->value, false);
    return true;
}

int marked_days(struct parse *p, const struct mark *m) {
    int count = m->b;
    for (uint32_t k = m->first; k < m->end && count == 0; k++) {
        struct figure *f = figure_starting(p, k);
        if (f != NULL) {
            f->role = ROLE_DURATION;
            count = f->value < DAYS_BACK ? (int)f->value : DAYS_BACK;
        }
    }
    int days = m->a * (count == 0 ? 1 : count);
    return days > DAYS_BACK ? DAYS_BACK : days;
}

/* "two days ago", "hace 3 dias". */
static bool ago_at(struct parse *p, uint32_t i) {
    const struct mark *m = mark_at(p, i, KIND_AGO);
    if (m == NULL) {
        return false;
    }
    struct when *w = when_add(p, m->first, m->end);
    w->day = (int16_t)-marked_days(p, m);
    return true;
}

static bool weekday_at(struct parse *p, uint32_t i) {
    const struct mark *m = mark_at(p, i, KIND_WEEKDAY);
    if (m == NULL) {
        return false;
    }
    struct when *w = when_add(p, i, m->end);
    int today = calendar_weekday(calendar_days(p->received.year, p->received.month, p->received.day));
    if (m->end > i + 1 && (p->t.at[i].size == 3 || token_word(p, i, "on"))) { /* "sat morning": the day alone */
        w->end = token_word(p, i, "on") ? i + 2 : token_word(p, i, "sat") ? i + 1 : m->end;
    }
    w->day = (int16_t)(-((today - m->a + 7) % 7));
    w->weekday = true;
    w->strict = m->b == 1;
    if (w->strict && w->day == 0) {
        w->day = -7;
    }
    return true;
}

/* Whether "am" or "pm" alone is a label and no verb: "am 136/84", "yesterday am". */
static bool meridiem_stands(const struct parse *p, uint32_t i, uint32_t end) {
    uint64_t days = KIND_IS(KIND_WHEN) | KIND_IS(KIND_WEEKDAY) | KIND_IS(KIND_MONTH);
    bool dated = i > 0 && (p->t.at[i - 1].kind == TOKEN_NUMBER || (p->covers[i - 1] & days));
    bool heads = end >= p->t.n || p->t.at[end].kind != TOKEN_WORD || (p->covers[end] & (KIND_IS(KIND_LABEL) | KIND_IS(KIND_NUMBER) | KIND_IS(KIND_MEASURE)));
    return dated || (heads && !(i > 0 && token_word(p, i - 1, "i")) && !token_word(p, end, "i"));
}

/* "Morning, 132/84" greets, unless another part of the day is named later: then both are headings. */
static bool greets(const struct parse *p, const struct mark *m) {
    if (m->end != 1 || m->a != DAY_UNSAID || !(token_is(p, 1, ',') || token_is(p, 1, '!') || token_is(p, 1, '.'))) {
        return false;
    }
    for (size_t k = 0; k < p->m.n; k++) {
        if (p->m.at[k].kind == KIND_WHEN && p->m.at[k].first > 0 && p->m.at[k].b != SLOT_NONE && p->m.at[k].b != m->b) {
            return false;
        }
    }
    return true;
}

/* Whether a figure of speech that began before token i covers it. */
static bool in_figure(const struct parse *p, uint32_t i) {
    for (uint32_t k = i; (p->covers[i] & KIND_IS(KIND_FIGURE)) && k-- > 0 && k + 6 > i;) {
        const struct mark *m = mark_at(p, k, KIND_FIGURE);
        if (m != NULL && m->b == 0 && m->end > i) {
            return true;
        }
    }
    return false;
}

static bool part_at(struct parse *p, uint32_t i) {
    const struct mark *m = mark_at(p, i, KIND_WHEN);
    uint32_t end = i;
    int meridiem = m == NULL && p->t.at[i].kind == TOKEN_WORD && p->t.at[i].size > 1 ? meridiem_at(p, i, &end) : -1;
    if (m == NULL && meridiem < 0) {
        return false;
    }
    if (m != NULL && ((i == 0 && greets(p, m)) || mark_at(p, i, KIND_FLAG) != NULL || in_figure(p, i))) {
        return false; /* "woke up on the floor", "up on yesterday" */
    }
    if ((m == NULL && !meridiem_stands(p, i, end)) || (i > 0 && token_word(p, i - 1, "not"))) { /* "not today's" */
        return false;
    }
    bool before = m != NULL && (token_is(p, m->end - 1, ':') || (m->end == i + 2 && p->t.at[i + 1].kind == TOKEN_NUMBER));
    if (before && p->t.at[m->end - 1].kind == TOKEN_NUMBER && p->t.at[m->end - 1].value < 40) {
        return false; /* "bed 3" */
    }
    end = m == NULL ? end : before ? m->end - 1 : m->end; /* "m:", "tarde 128/79": what follows only tells that it is one */
    struct when *w = when_add(p, i, end);
    if (m == NULL) {
        w->slot = meridiem == CLOCK_AM ? SLOT_MORNING : SLOT_EVENING;
        return true;
    }
    w->day = m->a;
    w->slot = (uint8_t)m->b;
    if (m->a == 0 && m->b == SLOT_EVENING && p->received.minute < NIGHT_ENDS) {
        w->day = -1;
    }
    return true;
}

/* Whether b may join a: they stand together and do not say the same thing twice. */
static bool when_joins(const struct parse *p, const struct when *a, const struct when *b) {
    if (b->first > a->end + 3 || (a->minute != MINUTE_UNSAID && b->minute != MINUTE_UNSAID)) {
        return false;
    }
    bool days = a->day != DAY_UNSAID && b->day != DAY_UNSAID && a->day != b->day;
    bool names = (a->weekday && b->date) || (a->date && b->weekday);
    bool slots = a->slot != SLOT_NONE && b->slot != SLOT_NONE && a->slot != b->slot;
    if ((days && !names) || slots) {
        return false;
    }
    bool behind = a->first > 0 && p->t.at[a->first - 1].kind == TOKEN_NUMBER && b->end < p->t.n && p->t.at[b->end].kind == TOKEN_NUMBER;
    if (behind && token_is(p, a->end, ',') && b->day != DAY_UNSAID) {
        return false; /* "140/82 evening, Sat 137/80" */
    }
    for (uint32_t i = a->end; i < b->first; i++) {
        const struct token *k = &p->t.at[i];
        bool mark = k->kind == TOKEN_MARK && (k->mark == ',' || k->mark == '-' || k->mark == '@' || k->mark == '(' || k->mark == '.');
        bool clock = (p->covers[i] & KIND_IS(KIND_CLOCK)) != 0;
        if (!mark && !clock && !(k->kind == TOKEN_WORD && (p->covers[i] & KIND_IS(KIND_FILLER)))) {
            return false;
        }
        if (mark && k->mark == '.' && k->size == 1 && b->first > i + 1) {
            return false;
        }
    }
    return true;
}

/* "Thurs-Sun": a stretch of days is no day. */
static void stretches_drop(struct parse *p) {
    size_t kept = 0;
    for (size_t i = 0; i < p->when_n; i++) {
        const struct when *a = &p->when[i], *b = a + 1;
        bool stretch = i + 1 < p->when_n && a->weekday && b->weekday && b->first == a->end + 1 &&
                       (token_is(p, a->end, '-') || token_word(p, a->end, "to") || token_word(p, a->end, "a"));
        if (stretch) {
            i++;
        } else {
            p->when[kept++] = *a;
        }
    }
    p->when_n = kept;
}

static void whens_join(struct parse *p) {
    size_t kept = 0;
    stretches_drop(p);
    for (size_t i = 0; i < p->when_n; i++) {
        struct when *b = &p->when[i], *a = kept > 0 ? &p->when[kept - 1] : NULL;
        if (a == NULL || !when_joins(p, a, b)) {
            p->when[kept++] = *b;
            continue;
        }
        if (b->day != DAY_UNSAID && (a->day == DAY_UNSAID || b->date)) {
            a->day = b->day;
            a->weekday = b->weekday && !a->date;
        }
        a->date = a->date || b->date;
        if (b->minute != MINUTE_UNSAID) {
            a->minute = b->minute;
            a->clock_open = b->clock_open;
        }
        a->about = a->about || b->about;
        a->slot = a->slot == SLOT_NONE ? b->slot : a->slot;
        a->end = b->end;
    }
    p->when_n = kept;
    for (size_t i = 0; i < kept; i++) { /* its numbers too speak of time */
        for (uint32_t at = p->when[i].first; at < p->when[i].end; at++) {
            p->covers[at] |= KIND_IS(KIND_WHEN);
        }
    }
}

void moments_find(struct parse *p) {
    for (uint32_t i = 0; i < p->t.n; i++) {
        size_t before = p->when_n;
        if (p->t.at[i].kind == TOKEN_NUMBER || (p->starts[i] & (KIND_IS(KIND_NUMBER) | KIND_IS(KIND_CLOCK) | KIND_IS(KIND_MONTH) |
                                                              KIND_IS(KIND_AGO) | KIND_IS(KIND_WEEKDAY) | KIND_IS(KIND_WHEN)))) {
            bool found = ago_at(p, i) || date_sure(p, i) || clock_words(p, i) ||
                         clock_marked(p, i) || clock_four(p, i) || date_two(p, i) || clock_spoken(p, i) || clock_hour(p, i) || weekday_at(p, i) ||
                         part_at(p, i);
            if (found && p->when_n > before) {
                i = p->when[p->when_n - 1].end - 1;
            }
        }
    }
    whens_join(p);
}
