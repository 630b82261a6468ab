/* Judges each pair: is it the patient's own, certain, not taken back? And each lone number: is it half a reading?
 *
 * whose.c says whose a pair is, amend.c what is taken back. What the text itself rejects is neither reading nor doubt.
 * Where two senses are possible the pair is doubted, never taken.
 */
#include "parser/judge.h"

#include <string.h>

static struct scope scope_of(const struct parse *p, size_t r) {
    const struct pair *pair = &p->pair[r];
    uint32_t low = r > 0 ? p->pair[r - 1].end : 0, high = r + 1 < p->pair_n ? p->pair[r + 1].first : (uint32_t)p->t.n;
    size_t c = p->clause_of[pair->first];
    struct scope s = {.first = p->clause[c].first, .next = r + 1 < p->pair_n ? high : UINT32_MAX};
    s.sentence_first = s.first;
    bool word = mark_at(p, s.first, KIND_NEGATION) != NULL && c > 0 && p->clause[c - 1].closed_by == 'w';
    while (c > 0 && p->clause[c - 1].sentence == p->clause[c].sentence && !word && s.first > low) {
        c--;
        s.first = p->clause[c].first;
        word = c > 0 && p->clause[c - 1].closed_by == 'w';
    }
    c = p->clause_of[pair->end > pair->first ? pair->end - 1 : pair->first];
    s.end = p->clause[c].end;
    while (c + 1 < p->clause_n && p->clause[c + 1].sentence == p->clause[c].sentence && p->clause[c].closed_by != 'w' && s.end < high) {
        c++;
        s.end = p->clause[c].end;
    }
    s.sentence_end = s.end;
    s.first = s.first < low ? low : s.first;
    s.end = s.end > high ? high : s.end;
    s.end = s.end < pair->end ? pair->end : s.end;
    return s;
}

/* The last mark of `kind` and argument a in [first, end) that begins before `before`. */
const struct mark *mark_last(const struct parse *p, uint32_t first, uint32_t end, uint32_t before, unsigned kind, int a) {
    const struct mark *found = NULL;
    for (uint32_t i = first; i < before && (p->kinds & KIND_IS(kind)); i++) {
        if (!(p->starts[i] & KIND_IS(kind))) {
            continue;
        }
        for (size_t k = p->mark_from[i]; k < p->m.n && p->m.at[k].first == i; k++) {
            const struct mark *m = &p->m.at[k];
            if (m->kind == kind && (a < 0 || m->a == a) && m->end <= end) {
                found = m;
            }
        }
    }
    return found;
}

/* Whether a comma or the like stands in [first, end). */
bool comma_within(const struct parse *p, uint32_t first, uint32_t end) {
    for (uint32_t i = first; i < end; i++) {
        if (token_is(p, i, ',') || token_is(p, i, '(')) {
            return true;
        }
    }
    return false;
}

static bool uncertain_near(const struct parse *p, const struct pair *r, const struct scope *s, size_t index) {
    const struct mark *m;
    if (!(p->kinds & KIND_IS(KIND_UNCERTAIN))) {
        return false;
    }
    for (uint32_t i = s->first; i < s->end; i++) {
        m = mark_at(p, i, KIND_UNCERTAIN);
        if (m != NULL && i >= r->end && stands_before(p, m, s->next)) {
            continue; /* it stands right before the next pair, and speaks of that */
        }
        bool number = m != NULL && p->t.at[m->end - 1].kind == TOKEN_NUMBER; /* "about 7": of that number alone */
        if (m != NULL && m->end <= s->end && (!number || (m->end > r->first && m->end <= r->core_end))) {
            return true;
        }
    }
    if (index + 1 == p->pair_n) { /* "135/80. Not sure though." */
        size_t c = p->clause_of[s->sentence_end < p->t.n ? s->sentence_end : p->t.n];
        m = s->sentence_end < p->t.n ? mark_within(p, s->sentence_end, p->clause[c].end, KIND_UNCERTAIN, -1) : NULL;
        if (m != NULL && m->b == 1) {
            return true;
        }
    }
    if (index == 0 && s->first > 0) { /* "Can't make out my writing. 146/81" */
        uint32_t start = p->clause[p->clause_of[s->first - 1]].first;
        m = mark_within(p, start, s->first, KIND_UNCERTAIN, -1);
        return m != NULL && m->b == 1;
    }
    return false;
}

/* A lone number's one doubt becomes this one. */
static void pair_uncertain(struct pair *r) {
    r->doubt = r->lone ? DOUBT_UNCERTAIN : r->doubt | DOUBT_UNCERTAIN;
}

/* "132/84 or 134/88": only "or" and small words between. */
static void choices(struct parse *p) {
    for (size_t r = 0; r + 1 < p->pair_n; r++) {
        struct pair *a = &p->pair[r], *b = a + 1;
        for (uint32_t i = a->end; i < b->first && b->first <= a->end + 6; i++) {
            bool or = token_word(p, i, "or") || token_word(p, i, "o") || token_word(p, i, "u");
            bool range = token_word(p, i, "and") || token_word(p, i, "to") || token_word(p, i, "y") || token_word(p, i, "a");
            uint32_t low = a->first > 3 ? a->first - 3 : 0;
            range = range && mark_last(p, low, b->end, a->first, KIND_UNCERTAIN, UNCERTAIN_RANGE) != NULL;
            if (range) {
                pair_uncertain(a);
                pair_uncertain(b);
            }
            if (or && tokens_empty(p, a->end, i, 0) && tokens_empty(p, i + 1, b->first, KIND_IS(KIND_UNCERTAIN) | KIND_IS(KIND_MEASURE))) {
                pair_uncertain(a);
                pair_uncertain(b);
            }
        }
    }
}

/* A number glued to one that could not be read is not read either. */
static void garble_spreads(struct parse *p) {
    for (size_t i = 0; i < p->figure_n; i++) {
        const struct figure *f = &p->figure[i];
        bool followed = f->end + 1 < p->t.n && p->t.at[f->end].glued && p->t.at[f->end + 1].glued &&
                        (p->t.at[f->end + 1].kind == TOKEN_NUMBER || token_is(p, f->end + 1, '/'));
        bool beside = i > 0 && p->figure[i - 1].end + 1 == f->first && p->t.at[f->first].glued;
        if (!f->garbled || f->role != ROLE_FREE || (f->value < 40 && !followed && !beside)) {
            continue;
        }
        for (size_t r = 0; r < p->pair_n; r++) {
            struct pair *pair = &p->pair[r];
            if (pair->first <= f->end + 2 && pair->end + 2 >= f->first) {
                pair->doubt = DOUBT_UNREADABLE;
            }
        }
        p->out->doubt |= DOUBT_UNREADABLE;
    }
}

/* Lone numbers become half a reading when their clause says nothing else. */
static void lone_numbers(struct parse *p) {
    uint64_t kinds = KIND_IS(KIND_MEASURE) | KIND_IS(KIND_WHEN) | KIND_IS(KIND_WEEKDAY) | KIND_IS(KIND_CLOCK) | KIND_IS(KIND_LABEL) |
                     KIND_IS(KIND_UNCERTAIN) | KIND_IS(KIND_AMEND) | KIND_IS(KIND_NUMBER) | KIND_IS(KIND_UNIT) | KIND_IS(KIND_ORDINAL) |
                     KIND_IS(KIND_POLITE) | KIND_IS(KIND_GREETING) | KIND_IS(KIND_WHOSE) | KIND_IS(KIND_ALSO) | KIND_IS(KIND_NEGATION) |
                     KIND_IS(KIND_JOIN) | KIND_IS(KIND_ARM) | KIND_IS(KIND_PAST);
    for (size_t i = 0; i < p->figure_n; i++) {
        struct figure *f = &p->figure[i];
        if (f->partner != -2 || f->garbled || f->decimal || f->value < 40 || f->digits > 4) {
            continue;
        }
        const struct clause *c = &p->clause[p->clause_of[f->first]];
        bool bare = tokens_empty(p, c->first, f->first, kinds) && tokens_empty(p, f->end, c->end, kinds);
        bool told = f->first > 0 && (p->covers[f->first - 1] & (KIND_IS(KIND_MEASURE) | KIND_IS(KIND_UNCERTAIN)));
        if (bare && f->digits == 4 && !f->spelled) { /* a pair without its separator; none is invented */
            p->out->doubt |= DOUBT_UNREADABLE;
            continue;
        }
        if ((!bare && !told) || f->value > 999) {
            continue;
        }
        struct pair *r = &p->pair[p->pair_n++];
        *r = (struct pair){.first = f->first, .end = f->end, .core_end = f->end, .sys = (int)(f->value + 0.5), .raw_sys = f->value, .lone = true,
                           .when = {.day = DAY_UNSAID, .minute = MINUTE_UNSAID}, .doubt = DOUBT_ONE_NUMBER};
    }
}

static void pairs_order(struct parse *p) {
    for (size_t i = 1; i < p->pair_n; i++) {
        struct pair moving = p->pair[i];
        size_t k = i;
        for (; k > 0 && moving.first < p->pair[k - 1].first; k--) {
            p->pair[k] = p->pair[k - 1];
        }
        p->pair[k] = moving;
    }
}

/* "132/84 twice", "then the same again": the reading before the words counts twice, when it is the only one. */
static void repeats(struct parse *p) {
    size_t own = 0, last = 0;
    for (size_t r = 0; r < p->pair_n; r++) {
        own += p->pair[r].state == PAIR_OWN && !p->pair[r].lone;
        last = p->pair[r].state == PAIR_OWN && !p->pair[r].lone ? r : last;
    }
    if (own != 1 || p->pair_n + 1 >= p->token_room || !(p->kinds & KIND_IS(KIND_AGAIN))) {
        return;
    }
    for (size_t i = 0; i < p->m.n; i++) {
        const struct mark *m = &p->m.at[i];
        if (m->kind == KIND_AGAIN && m->b != 2 && m->first >= p->pair[last].end) {
            p->pair[p->pair_n++] = p->pair[last];
            pairs_order(p);
            return;
        }
    }
}

/* A photo, a link or "same as yesterday", where no number was read. */
static void unreadable(struct parse *p) {
    for (size_t i = 0; i < p->m.n && p->pair_n == 0; i++) {
        if (p->m.at[i].kind == KIND_UNREADABLE) {
            p->out->doubt |= DOUBT_UNREADABLE;
        }
    }
}

/* The argument of a mark of `kind` close to the pair, in front of it or behind, with no comma between; 0 when none. */
static uint8_t said_beside(const struct parse *p, const struct pair *r, const struct scope *s, unsigned kind) {
    uint32_t low = r->first > 6 ? r->first - 6 : 0, high = r->end + 4;
    low = low < s->first ? s->first : low;
    high = high > s->end ? s->end : high;
    const struct mark *m = mark_last(p, low, r->first + 1, r->first, kind, -1);
    if (m != NULL && !comma_within(p, m->end, r->first) && !(p->covers[m->first] & (KIND_IS(KIND_FLAG) | KIND_IS(KIND_TECHNIQUE)))) {
        return (uint8_t)m->a;
    }
    m = mark_within(p, r->end, high, kind, -1);
    return m != NULL && !comma_within(p, r->end, m->first) ? (uint8_t)m->a : 0;
}

void pairs_judge(struct parse *p) {
    bool replaced = false;
    p->answered_amend = false;
    garble_spreads(p);
    if (!(p->out->doubt & DOUBT_UNREADABLE)) {
        lone_numbers(p);
        pairs_order(p);
    }
    choices(p);
    whose_moved(p);
    for (size_t r = 0; r < p->pair_n; r++) {
        struct pair *pair = &p->pair[r];
        struct scope s = scope_of(p, r);
        pair->arm = said_beside(p, pair, &s, KIND_ARM);
        pair->posture = said_beside(p, pair, &s, KIND_POSTURE);
        if (amend_rejects(p, pair, &s, &replaced)) {
            pair->state = PAIR_REJECTED;
            bool beside = pair->lone && r > 0 && pair[-1].end + 3 > pair->first; /* "pulse 66 not 70" */
            pair->lone_pulse = pair->lone_pulse || (beside && (pair[-1].lone_pulse || pair[-1].pulse > 0));
            continue;
        }
        if (whose_other(p, pair, &s)) {
            pair->doubt = pair->lone ? DOUBT_NOT_OWN : pair->doubt | DOUBT_NOT_OWN;
        }
        if (!(pair->doubt & DOUBT_NOT_OWN) && uncertain_near(p, pair, &s, r)) {
            pair->doubt = pair->lone ? DOUBT_UNCERTAIN : pair->doubt | DOUBT_UNCERTAIN;
        }
    }
    amends_between(p, &replaced);
    for (size_t r = 0; r < p->pair_n; r++) {
        struct pair *pair = &p->pair[r];
        pair->state = pair->state == PAIR_OWN && pair->doubt != 0 ? PAIR_DOUBTED : pair->state;
    }
    repeats(p);
    unreadable(p);
    amend_find(p, replaced);
}
