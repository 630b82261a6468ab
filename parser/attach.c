/* Gives each pair its moment: day, part of day, clock time.
 *
 * A moment in front of a pair holds for what follows until the next; one behind pairs covers those of its sentence
 * that have none. A moment whose clause tells of something else (a tablet, a symptom, an appointment) stays there. A
 * clock time decides the part of day over the words. Nothing is ever put in the future.
 */
#include "parser/steps.h"

enum { NOON = 12 * 60, EVENING_BEGINS = 16 * 60, HALF_DAY = 12 * 60 };

enum { MOMENT_TOKENS = 12 }; /* of an answer that is a day or a time alone */

static const uint64_t QUIET = KIND_IS(KIND_MEASURE) | KIND_IS(KIND_WHEN) | KIND_IS(KIND_WEEKDAY) | KIND_IS(KIND_CLOCK) |
                              KIND_IS(KIND_LABEL) | KIND_IS(KIND_POLITE) | KIND_IS(KIND_ORDINAL) | KIND_IS(KIND_MONTH) |
                              KIND_IS(KIND_AGO) | KIND_IS(KIND_NUMBER) | KIND_IS(KIND_ALSO) | KIND_IS(KIND_AGAIN) |
                              KIND_IS(KIND_GREETING) | KIND_IS(KIND_UNIT) | KIND_IS(KIND_ARM) | KIND_IS(KIND_POSTURE) | KIND_IS(KIND_FIGURE);

static const uint64_t OTHER_THINGS = KIND_IS(KIND_EVENT) | KIND_IS(KIND_FLAG) | KIND_IS(KIND_NEWS);

enum place { PLACE_NONE, PLACE_BEFORE, PLACE_BEHIND }; /* before its pairs, behind them */

/* The last pair that begins before token i: its index + 1; 0 when there is none. */
static size_t pairs_before(const struct parse *p, uint32_t i) {
    size_t n = 0;
    while (n < p->pair_n && p->pair[n].first < i) {
        n++;
    }
    return n;
}

static bool things_within(const struct parse *p, uint32_t first, uint32_t end) {
    for (uint32_t i = first; i < end; i++) {
        if (p->starts[i] & OTHER_THINGS) {
            return true;
        }
    }
    return false;
}

/* Whether a figure of something else (an age, a weight) stands there: the moment is of that. */
static bool figures_within(const struct parse *p, uint32_t first, uint32_t end) {
    for (uint32_t i = first; i < end; i++) {
        const struct figure *f = figure_starting(p, i);
        if (f != NULL && (f->role == ROLE_AGE || f->role == ROLE_WEIGHT || f->role == ROLE_DOSE)) {
            return true;
        }
    }
    return false;
}

/* Whether the clause's first item (moment or pair) is a moment. */
static bool moment_leads(const struct parse *p, uint32_t first, const struct when *w) {
    size_t n = pairs_before(p, first), behind = pairs_before(p, w->first);
    if (behind == n) {
        return true;
    }
    for (size_t i = 0; i < p->when_n && p->when[i].first < p->pair[n].first; i++) {
        if (p->when[i].first >= first) {
            return true;
        }
    }
    return false;
}

/* "did it before breakfast": measuring itself stands right before the moment. */
static bool measured_then(const struct parse *p, const struct when *w) {
    uint32_t low = w->first > 3 ? w->first - 3 : 0;
    for (uint32_t i = w->first; i > low; i--) {
        const struct mark *m = mark_before(p, i, KIND_MEASURE);
        if (m != NULL) {
            return m->b == 1;
        }
        if (!(p->covers[i - 1] & (KIND_IS(KIND_FILLER) | KIND_IS(KIND_CLOCK)))) {
            return false;
        }
    }
    return false;
}

/* "a las 9 me la medi": measuring itself stands right behind the moment. */
static bool measured_next(const struct parse *p, const struct when *w) {
    const struct mark *m = mark_at(p, w->end, KIND_MEASURE);
    return m != NULL && m->b == 1 && m->end > m->first + 1;
}

/* "Yesterday 144/88 in the morning 138/82 at night": a day leads, and each pair has its part of day behind it. */
static bool parts_trail(const struct parse *p, const struct when *w) {
    const struct when *first = p->when, *last = p->when + p->when_n - 1;
    return p->when_n == p->pair_n + 1 && p->pair_n > 1 && w != first && w->day == DAY_UNSAID && first->day != DAY_UNSAID &&
           first->slot == SLOT_NONE && first->minute == MINUTE_UNSAID && first->first < p->pair[0].first &&
           last->first >= p->pair[p->pair_n - 1].end;
}

/* "Monday's was 132/83": whatever else is told, that is a reading's. */
static bool possessive(const struct parse *p, const struct when *w) {
    const struct token *t = &p->t.at[w->end - 1];
    const char *end = p->f.text + t->start + t->size;
    const struct mark *of = mark_before(p, w->first, KIND_HINGE); /* "lo del jueves al volver a puerto: 138/80" */
    bool owns = (of != NULL && of->a == HINGE_OF) || (t->kind == TOKEN_WORD && t->size > 4 && end[-1] == 's' && end[-2] == '\'');
    return owns && w->day != DAY_UNSAID;
}

/* The moment w where its clause has pairs. */
static enum place place_among(const struct parse *p, const struct when *w, const struct clause *c, size_t before) {
    bool behind = before > 0 && p->pair[before - 1].first >= c->first;
    bool ahead = before < p->pair_n && p->pair[before].first < c->end;
    uint32_t left = behind ? p->pair[before - 1].end : c->first;
    for (size_t i = 0; i < p->when_n && p->when[i].end <= w->first; i++) { /* "took tabs 8am bp 9am 131/82" */
        left = p->when[i].end > left ? p->when[i].end : left;
    }
    if (token_is(p, w->end, ':') || (token_is(p, w->end, '-') && ahead)) { /* a heading */
        if (before < p->pair_n && p->pair[before].first <= w->end + 4) {
            return PLACE_BEFORE;
        }
        return before > 0 ? PLACE_BEHIND : PLACE_NONE;
    }
    if (ahead && behind && (hinge_at(p, w->end, HINGE_WAS) || mark_before(p, w->first, KIND_ALSO) != NULL)) {
        behind = false; /* "130/80 and today 127/81" */
    }
    if (ahead && behind) {
        behind = !moment_leads(p, c->first, w) || parts_trail(p, w);
        ahead = !behind;
    }
    if (ahead && w->weekday && w->end == p->pair[before].first && w > p->when && w[-1].weekday) {
        return PLACE_BEFORE; /* "Tuesday forgot Wednesday 128/82" */
    }
    if (measured_then(p, w) || (ahead && measured_next(p, w))) {
        return ahead ? PLACE_BEFORE : PLACE_BEHIND;
    }
    const struct mark *way = mark_before(p, w->first, KIND_TECHNIQUE);
    if (ahead && way != NULL && (way->a == TECHNIQUE_ALCOHOL_BIT || way->a == TECHNIQUE_STRESS_BIT)) {
        return PLACE_NONE; /* "had a few last night 150/90" */
    }
    if (ahead) {
        bool also = mark_before(p, w->first, KIND_ALSO) != NULL; /* "30 semanas de embarazo y hoy me salio 139/91" */
        bool own = !possessive(p, w) && (things_within(p, w->end, p->pair[before].first) || (!also && things_within(p, left, w->first)));
        return own ? PLACE_NONE : PLACE_BEFORE;
    }
    return things_within(p, left, w->first) ? PLACE_NONE : PLACE_BEHIND;
}

/* Whether the clause says nothing but the moment, or that it is the moment of measuring. */
static bool clause_is_moment(const struct parse *p, const struct clause *c, const struct when *w) {
    if (c->closed_by == '?') { /* "is it Sunday or Monday I stop?" */
        return false;
    }
    if (!possessive(p, w) && mark_within(p, c->first, w->first, KIND_NEGATION, NEGATION_BEFORE) != NULL) {
        return false; /* "didn't do it yesterday" */
    }
    if (measured_then(p, w) || measured_next(p, w) || token_is(p, w->end, ':') || possessive(p, w)) { /* "correction to this morning's:" */
        return true;
    }
    const struct mark *way = mark_before(p, w->first, KIND_TECHNIQUE);
    bool arm = way != NULL && way->a == TECHNIQUE_OTHER_ARM_BIT; /* "other arm today" */
    if (w->first > c->first && (p->covers[w->first - 1] & KIND_IS(KIND_TECHNIQUE)) && !arm) { /* "a few beers last night" */
        return false;
    }
    if (things_within(p, c->first, c->end) || figures_within(p, c->first, c->end)) {
        return false;
    }
    if (tokens_empty(p, c->first, c->end, QUIET | (arm ? KIND_IS(KIND_TECHNIQUE) : 0))) {
        return true;
    }
    if (mark_within(p, c->first, c->end, KIND_AMEND, -1) != NULL ||
        mark_within(p, c->first, c->end, KIND_ASKS, -1) != NULL) {
        return false;
    }
    bool another = mark_within(p, c->first, c->end, KIND_PERSON, -1) != NULL; /* "my daughter had her baby last night" */
    return !another && mark_within(p, c->first, c->end, KIND_MEASURE, -1) != NULL;
}

static enum place place_apart(const struct parse *p, const struct clause *c, const struct when *w, size_t before) {
    if (!clause_is_moment(p, c, w)) {
        return PLACE_NONE;
    }
    bool behind = before > 0, ahead = before < p->pair_n;
    if (ahead && behind) {
        uint32_t here = c->sentence;
        uint32_t last = p->clause[p->clause_of[p->pair[before - 1].first]].sentence;
        uint32_t next = p->clause[p->clause_of[p->pair[before].first]].sentence;
        if (last == here && next != here) {
            return PLACE_BEHIND;
        }
        if (next == here && last != here) {
            return PLACE_BEFORE;
        }
        bool heading = c->closed_by == ':' || c->closed_by == '^' || c->closed_by == '-';
        return heading || (p->when_n > 0 && p->when[0].first < p->pair[0].first) ? PLACE_BEFORE : PLACE_BEHIND;
    }
    return ahead ? PLACE_BEFORE : behind ? PLACE_BEHIND : PLACE_NONE;
}

static enum place when_place(const struct parse *p, const struct when *w, size_t before) {
    const struct clause *c = &p->clause[p->clause_of[w->first]];
    bool behind = before > 0 && p->pair[before - 1].first >= c->first;
    bool ahead = before < p->pair_n && p->pair[before].first < c->end;
    return behind || ahead ? place_among(p, w, c, before) : place_apart(p, c, w, before);
}

static bool when_said(const struct when *w) {
    return w->day != DAY_UNSAID || w->minute != MINUTE_UNSAID || w->slot != SLOT_NONE || w->about;
}

/* What `own` leaves unsaid it has from `heading`. */
static struct when when_under(struct when own, const struct when *heading) {
    if (own.day == DAY_UNSAID) {
        own.day = heading->day;
        own.weekday = heading->weekday;
        own.strict = heading->strict;
    }
    if (own.slot == SLOT_NONE && own.minute == MINUTE_UNSAID) {
        own.slot = heading->slot;
        own.minute = heading->minute;
        own.clock_open = heading->clock_open;
    } else if (own.slot == SLOT_NONE && own.clock_open) {
        own.slot = heading->slot;
    }
    return own;
}

/* The clock time without am or pm: by the part of day said, else the latest that is not after receipt. */
static void clock_close(const struct parse *p, struct when *w) {
    int minute = w->minute % HALF_DAY;
    bool noon = w->minute >= NOON;
    if (w->slot == SLOT_MORNING) {
        w->minute = (int16_t)(minute < 60 ? minute + HALF_DAY : minute); /* "late morning, 12.20" */
    } else if (w->slot == SLOT_EVENING) {
        w->minute = (int16_t)(noon ? minute : minute + HALF_DAY);
    } else if (w->slot == SLOT_AFTERNOON || (w->day != DAY_UNSAID && w->day < 0)) {
        w->minute = (int16_t)(minute + HALF_DAY);
    } else {
        bool late = minute + HALF_DAY <= p->received.minute || minute > p->received.minute;
        w->minute = (int16_t)(late ? minute + HALF_DAY : minute);
    }
    w->clock_open = false;
}

static void when_resolve(const struct parse *p, struct when *w) {
    if (w->minute != MINUTE_UNSAID) {
        if (w->clock_open) {
            clock_close(p, w);
        }
        w->slot = w->minute < NOON ? SLOT_MORNING : w->minute >= EVENING_BEGINS ? SLOT_EVENING : SLOT_NONE;
    }
    bool later = w->minute != MINUTE_UNSAID ? w->minute > p->received.minute
                                            : w->slot == SLOT_EVENING && p->received.minute < NOON;
    if (w->weekday && w->day == 0 && later) {
        w->day = -7;
    }
    if (w->slot == SLOT_AFTERNOON) {
        w->slot = SLOT_NONE;
    }
}

/* "fri 135/86 sat 138/87 - all at bedtime", "both of yesterday": the part of day, or day, of every pair that has none. */
static bool when_of_all(struct parse *p, const struct when *w, size_t before) {
    const struct mark *all = mark_within(p, w->first > 3 ? w->first - 3 : 0, w->first + 1, KIND_AGAIN, -1);
    if (all == NULL || all->b != 2 || (w->slot == SLOT_NONE) == (w->day == DAY_UNSAID) || w->minute != MINUTE_UNSAID) {
        return false;
    }
    for (size_t r = 0; r < before; r++) {
        struct when *own = &p->pair[r].when;
        own->day = own->day == DAY_UNSAID ? w->day : own->day;
        own->slot = own->slot == SLOT_NONE && own->minute == MINUTE_UNSAID ? w->slot : own->slot;
        own->used = true;
    }
    return true;
}

/* The moment behind: it covers the pairs of its sentence (or, alone in its own, of the one before) that have none. */
static void when_cover(struct parse *p, const struct when *w, size_t before, const bool *led) {
    uint32_t here = p->clause[p->clause_of[w->first]].sentence;
    uint32_t last = p->clause[p->clause_of[p->pair[before - 1].first]].sentence;
    if (when_of_all(p, w, before)) {
        return;
    }
    for (size_t r = before; r-- > 0;) {
        struct pair *pair = &p->pair[r];
        if (p->clause[p->clause_of[pair->first]].sentence != (last < here ? last : here) ||
            (last < here && led[r] && w->day != DAY_UNSAID && pair->when.day != DAY_UNSAID && w->day != pair->when.day) ||
            (last < here && led[r] && w->minute != MINUTE_UNSAID && pair->when.minute != MINUTE_UNSAID) ||
            (pair->when.used && (w->day == DAY_UNSAID || pair->when.day != DAY_UNSAID || w->minute != MINUTE_UNSAID))) {
            break;
        }
        if (r + 1 < before && mark_within(p, pair->end, p->pair[r + 1].first, KIND_HINGE, HINGE_THAN) != NULL) {
            break; /* "138/82 better than 144/88 yesterday" */
        }
        bool other = led[r] && pair->when.slot != SLOT_NONE && w->slot != SLOT_NONE && w->slot != pair->when.slot && w->minute == MINUTE_UNSAID &&
                     (w->day == DAY_UNSAID || pair->when.day == DAY_UNSAID || w->day == pair->when.day);
        if ((r + 1 == before || !led[r]) && !other) { /* "M: 141/87 E: 133/80, M = morning, E = evening" */
            pair->when = when_under(*w, &pair->when);
        }
        pair->when.used = true;
    }
}

/* "Today all of them", "yesterday morning": a moment in a text that says nothing else. "The first two yesterday" is half an
 * answer, and none. */
static void moment_alone(struct parse *p) {
    uint32_t n = (uint32_t)p->t.n;
    bool whole = p->pair_n == 0 && p->when_n == 1 && n <= MOMENT_TOKENS && !(p->kinds & KIND_IS(KIND_PARTLY));
    for (size_t i = 0; i < p->figure_n && whole; i++) {
        whole = p->figure[i].role != ROLE_FREE; /* "the last two" */
    }
    if (whole && !things_within(p, 0, n) && tokens_empty(p, 0, n, QUIET)) {
        struct when w = p->when[0];
        when_resolve(p, &w);
        p->out->moment.day = w.day;
        p->out->moment.minute = w.minute;
        p->out->moment.slot = w.slot;
    }
}

/* "last night 144/88, now 138/82": what led the pair before does not lead this one. */
static bool now_before(const struct parse *p, size_t r) {
    uint32_t first = p->pair[r - 1].end, end = p->pair[r].first;
    return mark_within(p, first + 3 < end ? end - 3 : first, end, KIND_HINGE, HINGE_NOW) != NULL;
}

void moments_attach(struct parse *p) {
    moment_alone(p);
    struct when heading = {.day = DAY_UNSAID, .minute = MINUTE_UNSAID};
    bool led[MEANING_READINGS + 1] = {false};
    size_t r = 0;
    for (size_t i = 0; i <= p->when_n; i++) {
        const struct when *w = i < p->when_n ? &p->when[i] : NULL;
        size_t before = w != NULL ? pairs_before(p, w->first) : p->pair_n;
        for (; r < before; r++) {
            p->pair[r].when = r > 0 && now_before(p, r) ? (struct when){.day = DAY_UNSAID, .minute = MINUTE_UNSAID} : heading;
            p->pair[r].when.used = false;
            if (r < MEANING_READINGS) {
                led[r] = when_said(&heading);
            }
        }
        if (w == NULL) {
            break;
        }
        enum place place = when_place(p, w, before);
        if (place == PLACE_BEFORE) {
            bool fresh = w->day != DAY_UNSAID;
            struct when base = {.day = DAY_UNSAID, .minute = MINUTE_UNSAID};
            if (!fresh) {
                base.day = heading.day;
                base.weekday = heading.weekday;
                base.strict = heading.strict;
            }
            if (w->slot == SLOT_NONE && w->minute == MINUTE_UNSAID) {
                base.slot = SLOT_NONE;
            }
            heading = when_under(*w, &base);
        } else if (place == PLACE_BEHIND && before > 0 && before <= MEANING_READINGS) {
            when_cover(p, w, before, led);
        }
    }
    for (size_t k = 0; k < p->pair_n; k++) {
        struct pair *pair = &p->pair[k];
        when_resolve(p, &pair->when);
        if (pair->when.day != DAY_UNSAID && pair->when.day < -7 && pair->state != PAIR_REJECTED) {
            pair->doubt |= DOUBT_NOT_OWN;
            pair->state = PAIR_DOUBTED;
        }
    }
}
