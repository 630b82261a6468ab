/* Judges each pair: is it the patient's own, certain, not taken back? And each lone number: is it half a reading?
 *
 * A word about whose figure it is reaches the pairs of its sentence up to the next pair or a "but"; a word that turns
 * back to the patient ("mine", "at home", "I got") ends it. What the text itself rejects is neither reading nor doubt.
 * Where two senses are possible the pair is doubted, never taken.
 */
#include "parser/steps.h"

#include <string.h>

enum { AGED_REACH = 8 };

/* What of the text speaks of pair r: [first, end), bounded by its neighbours, its sentence and "but". */
struct scope {
    uint32_t first, end;
    uint32_t sentence_first, sentence_end;
    uint32_t next; /* where the next pair begins */
};

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
static const struct mark *mark_last(const struct parse *p, uint32_t first, uint32_t end, uint32_t before, unsigned kind, int a) {
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
static bool comma_within(const struct parse *p, uint32_t first, uint32_t end) {
    for (uint32_t i = first; i < end; i++) {
        if (token_is(p, i, ',') || token_is(p, i, '(')) {
            return true;
        }
    }
    return false;
}

/* Whether m stands right before the pair at `next`, and so speaks of that: "average 145/89", "usual: 120/80". */
static bool stands_before(const struct parse *p, const struct mark *m, uint32_t next) {
    return next == m->end || (next == m->end + 1 && (token_is(p, m->end, ':') || token_word(p, m->end, "is") || token_word(p, m->end, "was") ||
                                                   token_word(p, m->end, "of")));
}

/* "my Winston's 151/88": a possessive right in front of the figure names whose it is; "it's", "today's" do not. */
static bool owner_before(const struct parse *p, const struct pair *r) {
    static const char *const nobody[] = {"it's", "that's", "here's", "there's", "what's", "this's", "today's", "tonight's", "yesterday's",
                                         "morning's", "evening's", "now's", "bp's", "pressure's", "reading's", "one's", "let's", "pulse's", "mine's", NULL};
    if (r->first == 0 || p->t.at[r->first - 1].kind != TOKEN_WORD) {
        return false;
    }
    const struct token *t = &p->t.at[r->first - 1];
    const char *end = p->f.text + t->start + t->size;
    if (t->size < 4 || end[-1] != 's' || end[-2] != '\'' || (p->covers[r->first - 1] & (KIND_IS(KIND_WHEN) | KIND_IS(KIND_LABEL)))) {
        return false;
    }
    for (size_t i = 0; nobody[i] != NULL; i++) {
        if (token_word(p, r->first - 1, nobody[i])) {
            return false;
        }
    }
    return true;
}

/* "mum (82) got 160/70" */
static bool aged_before(const struct parse *p, const struct pair *r) {
    for (uint32_t i = r->first > AGED_REACH ? r->first - AGED_REACH : 0; i + 4 <= r->first; i++) {
        const struct mark *m = mark_at(p, i, KIND_PERSON);
        if (m != NULL && token_is(p, m->end, '(') && token_is(p, m->end + 2, ')') &&
            mark_within(p, m->end, r->first, KIND_WHOSE, WHOSE_SELF) == NULL) {
            return true;
        }
    }
    return false;
}

/* A word before the pair that gives it away, unless a turn to the patient comes after it. */
static bool foreign_before(const struct parse *p, const struct pair *r, const struct scope *s) {
    if (owner_before(p, r) || aged_before(p, r)) {
        return true;
    }
    for (int whose = WHOSE_OTHER; whose <= WHOSE_QUOTE; whose++) {
        if (whose == WHOSE_SELF) {
            continue;
        }
        const struct mark *m = mark_last(p, s->first, r->end, r->first + 1, KIND_WHOSE, whose);
        if (m == NULL) {
            continue;
        }
        bool owned = m->first > 0 && (token_word(p, m->first - 1, "my") || token_word(p, m->first - 1, "the") || token_word(p, m->first - 1, "our") ||
                                      token_word(p, m->first - 1, "mi"));
        if (m->b == 6 && owned) { /* "a row with my daughter 159/94", but "hubby 150/90" */
            m = mark_last(p, s->first, r->end, m->first, KIND_WHOSE, whose);
        }
        if (m == NULL || m->b == 5) {
            continue; /* only right behind a pair */
        }
        if (m->b == 4) {
            return true; /* forwarded: what it says of itself is another's */
        }
        const struct mark *self = mark_last(p, whose == WHOSE_OTHER ? s->first : m->first, r->end, r->first + 1, KIND_WHOSE, WHOSE_SELF);
        bool foreign = whose == WHOSE_OTHER || whose == WHOSE_QUOTE;
        bool before = self != NULL && self->b == 1 && self->end <= m->first && m->end > m->first + 2; /* "telling me his is 180/110" */
        if (self != NULL && self->first != m->first && (self->b == 0 || foreign) && !before) {
            continue;
        }
        bool mine = r > p->pair && r[-1].end == m->first && m->end == m->first + 1 && token_word(p, r->end, "mine");
        if (mine) {
            continue; /* "134/82 hers 140/86 mine" */
        }
        if ((p->covers[m->first] & KIND_IS(KIND_AMEND)) && whose != WHOSE_OTHER) {
            continue; /* "that should be", "last reading was wrong" */
        }
        if (comma_within(p, m->end, r->first)) {
            const struct clause *c = &p->clause[p->clause_of[r->first]];
            bool opens = m->first == p->clause[p->clause_of[m->first]].first;
            bool told = mark_within(p, c->first, r->first, KIND_MEASURE, -1) != NULL;
            if ((whose == WHOSE_OTHER && m->b != 3) || m->b == 1 || (self != NULL && (self->b == 0 || self->first >= c->first)) || (!opens && !told)) {
                continue;
            }
        }
        if (whose == WHOSE_USUAL && m->end + 6 < r->first) {
            continue;
        }
        return true;
    }
    return false;
}

/* A word behind the pair: "120/80 is my usual", "150/90 at the surgery". */
static bool foreign_behind(const struct parse *p, const struct pair *r, const struct scope *s) {
    if (!(p->kinds & (KIND_IS(KIND_WHOSE) | KIND_IS(KIND_PERSON)))) {
        return false;
    }
    if (token_is(p, r->end, '(') && mark_at(p, r->end + 1, KIND_PERSON) != NULL) {
        return true; /* "139/84 (my mum)" */
    }
    bool hers = token_word(p, r->end, "hers") || token_word(p, r->end, "his") || token_word(p, r->end, "theirs");
    if (hers && mark_last(p, s->first, r->first + 1, r->first + 1, KIND_WHOSE, WHOSE_SELF) == NULL) {
        return true; /* "134/82 hers 140/86 mine": of the one before, or of the one behind */
    }
    for (uint32_t i = r->end; i < s->end; i++) {
        if (token_is(p, i, '(') && mark_at(p, i + 1, KIND_PERSON) != NULL && token_is(p, mark_at(p, i + 1, KIND_PERSON)->end, ')')) {
            return true;
        }
        const struct mark *m = mark_at(p, i, KIND_WHOSE);
        if (m != NULL && m->a == WHOSE_SELF) {
            return false;
        }
        if (m != NULL && m->b == 5 && m->first == r->end) {
            return true; /* "150/90 for my husband" */
        }
        if (m != NULL && m->b != 2 && m->b < 5 && m->end <= s->end && !stands_before(p, m, s->next) && ((m->a == WHOSE_PAST && m->end > m->first + 2) || !comma_within(p, r->end, i))) {
            return m->a != WHOSE_FROM && m->a != WHOSE_QUOTE && !(p->covers[i] & KIND_IS(KIND_AMEND));
        }
        if (mark_at(p, i, KIND_ALSO) != NULL && s->end < p->t.n && i + 6 < s->end) {
            return false;
        }
    }
    return false;
}

/* "from 150/95 down to 132/84": which of them is now? */
static void from_to(struct parse *p) {
    for (size_t r = 0; r + 1 < p->pair_n; r++) {
        struct pair *a = &p->pair[r], *b = a + 1;
        uint32_t low = a->first > 4 ? a->first - 4 : 0;
        const struct mark *from = mark_within(p, low, a->first, KIND_WHOSE, WHOSE_FROM);
        bool moved = from != NULL && (token_word(p, from->first - 1, "down") || token_word(p, from->first - 1, "up") ||
                                      token_word(p, from->first - 1, "came") || token_word(p, from->first - 1, "went") ||
                                      from->end - from->first > 1);
        if (from == NULL || b->first > a->end + 6 || (a->lone && !moved)) {
            continue;
        }
        for (uint32_t i = a->end; moved && i < b->first; i++) { /* "down from 150/90, now 138/82" */
            if (token_word(p, i, "now") || token_word(p, i, "its") || token_word(p, i, "it's") || token_word(p, i, "ahora")) {
                a->doubt = a->lone ? DOUBT_NOT_OWN : a->doubt | DOUBT_NOT_OWN;
            }
        }
        for (uint32_t i = a->end; i < b->first; i++) {
            if (token_word(p, i, "to") || token_word(p, i, "a") || token_word(p, i, "down") || token_word(p, i, "hasta")) {
                a->doubt = a->lone ? DOUBT_NOT_OWN : a->doubt | DOUBT_NOT_OWN;
                b->doubt = b->lone ? DOUBT_NOT_OWN : b->doubt | DOUBT_NOT_OWN;
            }
        }
    }
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

/* "183/82 no, 138/82", "150/90, no, it's 138/82": the no is of the pair before r. */
static bool no_behind(const struct parse *p, const struct pair *r, const struct mark *no) {
    return r > p->pair && no->first >= r[-1].end && tokens_empty(p, r[-1].end, no->first, KIND_IS(KIND_AMEND)) && token_is(p, no->end, ',');
}

/* "not 182/82", "ignore the 182/82", "instead of 182". */
static bool is_rejected(struct parse *p, const struct pair *r, const struct scope *s, bool *replaced) {
    if (!(p->kinds & KIND_IS(KIND_AMEND))) {
        return false;
    }
    const struct mark *sent = mark_last(p, s->first, r->end, r->first, KIND_AMEND, AMENDS_IGNORE);
    const struct mark *over = r->first > 0 ? mark_at(p, r->first - 1, KIND_AMEND) : NULL;
    sent = over != NULL && over->a == AMENDS_IGNORE && over->end > r->end ? over : sent; /* "for 183/79 read 138/79" */
    if (sent != NULL && sent->b == 1) { /* "I put 128/48, it was 128/84" */
        *replaced = *replaced || r + 1 < p->pair + p->pair_n;
        return r + 1 < p->pair + p->pair_n;
    }
    uint32_t low = r->first > 4 ? r->first - 4 : 0;
    low = low < s->first ? s->first : low;
    const struct mark *m = mark_last(p, low, r->first + 1, r->first + 1, KIND_AMEND, AMENDS_NOT);
    if (m != NULL && no_behind(p, r, m)) {
        return false;
    }
    if (m != NULL && !(p->covers[m->first] & KIND_IS(KIND_TECHNIQUE)) && tokens_empty(p, m->end, r->first, KIND_IS(KIND_MEASURE))) {
        *replaced = true;
        bool answers = m->first == 0 && m->end == 1 && (token_is(p, 1, ',') || token_is(p, 1, '.') || token_is(p, 1, '!'));
        return !answers; /* "No, 152/90": the new number is the right one */
    }
    for (uint32_t i = r->end; i < s->end && i < r->end + 6; i++) { /* "the 182/82 wasn't mine" */
        m = mark_at(p, i, KIND_AMEND);
        if (m != NULL && m->a == AMENDS_IGNORE && m->b == 2) {
            i = m->end - 1; /* of the first, not of this one */
            continue;
        }
        if (m != NULL && m->a == AMENDS_VOID && m->b == 1) {
            return true;
        }
    }
    for (size_t i = 0; i < p->m.n && r == p->pair && p->pair_n > 1; i++) { /* "150/90 and 138/82, ignore the first one" */
        const struct mark *first = &p->m.at[i];
        if (first->kind == KIND_AMEND && first->a == AMENDS_IGNORE && first->b == 2 && first->first >= p->pair[1].end) {
            p->answered_amend = true;
            return true;
        }
    }
    m = mark_last(p, s->first, r->first + 1, r->first + 1, KIND_AMEND, AMENDS_IGNORE);
    bool of_before = m != NULL && r > p->pair && r[-1].end == m->first; /* "150/90 scrap that 138/82" */
    return m != NULL && !of_before && !comma_within(p, m->end, r->first);
}

/* "145/90 - wait, wrong glasses - 141/90": close by, and one of the numbers is the same. */
static bool one_typed_again(const struct pair *a, const struct mark *oops) {
    const struct pair *b = a + 1;
    return b->first < oops->end + 8 && !a->lone && !b->lone && (a->sys == b->sys || a->dia == b->dia);
}

/* "182/82 oops 132/84": the pair before the word falls. */
static void oops(struct parse *p, bool *replaced) {
    for (size_t r = 0; r + 1 < p->pair_n; r++) {
        const struct mark *m = NULL;
        for (uint32_t i = p->pair[r].end; i < p->pair[r + 1].first && m == NULL; i++) {
            m = mark_at(p, i, KIND_AMEND);
            bool no = m != NULL && m->a == AMENDS_NOT && no_behind(p, &p->pair[r + 1], m);
            bool aside = m != NULL && (m->a == AMENDS_VOID || m->a == AMENDS_IGNORE) && m->b == 0; /* "150/90 scrap that 138/82" */
            m = m != NULL && (m->a == AMENDS_OOPS || m->a == AMENDS_CORRECT || no || aside) ? m : NULL;
        }
        if (m != NULL && p->pair[r].state != PAIR_REJECTED &&
            tokens_empty(p, p->pair[r].end, m->first, KIND_IS(KIND_AMEND)) &&
            (tokens_empty(p, m->end, p->pair[r + 1].first, KIND_IS(KIND_AMEND) | KIND_IS(KIND_MEASURE) | KIND_IS(KIND_ALSO)) ||
             (m->a == AMENDS_OOPS && one_typed_again(&p->pair[r], m)))) {
            p->pair[r].state = PAIR_REJECTED;
            p->answered_amend = p->answered_amend || !p->pair[r].lone || m->a != AMENDS_CORRECT;
            *replaced = *replaced || (p->pair[r].lone && m->a == AMENDS_CORRECT); /* "182 should be 128" */
        }
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

/* What the whole text says of an earlier text: replaced, or void. */
static void amend_find(struct parse *p, bool replaced) {
    bool correct = replaced, nothing = false, wrong = false;
    size_t own = 0;
    for (size_t r = 0; r < p->pair_n; r++) {
        own += p->pair[r].state == PAIR_OWN || p->pair[r].state == PAIR_DOUBTED;
    }
    for (size_t i = 0; (p->kinds & KIND_IS(KIND_AMEND)) && i < p->m.n; i++) {
        const struct mark *m = &p->m.at[i];
        if (m->kind != KIND_AMEND) {
            continue;
        }
        const struct clause *c = &p->clause[p->clause_of[m->first]];
        bool unsure = mark_within(p, c->first, c->end, KIND_UNCERTAIN, -1) != NULL; /* "no se si era 138 o 148" */
        correct = correct || (m->a == AMENDS_CORRECT && !p->answered_amend && !unsure);
        wrong = wrong || (m->a == AMENDS_CORRECT && m->end >= m->first + 3); /* "last one was wrong", with nothing in its place */
        nothing = nothing || (m->a == AMENDS_VOID && !p->answered_amend) || (m->a == AMENDS_IGNORE && m->b == 0 && m->end < p->t.n && !p->answered_amend && !replaced);
    }
    if (p->pair_n > 0 && p->pair[0].first > 0 && token_is(p, p->pair[0].first - 1, '*') && p->pair[0].first == 1) {
        correct = true;
    }
    if (!correct && !nothing) {
        return;
    }
    p->out->amend = own > 0 || (!nothing && p->pair_n > 0) ? AMEND_CORRECT : nothing || wrong ? AMEND_VOID : AMEND_NONE;
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
    from_to(p);
    for (size_t r = 0; r < p->pair_n; r++) {
        struct pair *pair = &p->pair[r];
        struct scope s = scope_of(p, r);
        pair->arm = said_beside(p, pair, &s, KIND_ARM);
        pair->posture = said_beside(p, pair, &s, KIND_POSTURE);
        if (is_rejected(p, pair, &s, &replaced)) {
            pair->state = PAIR_REJECTED;
            bool beside = pair->lone && r > 0 && pair[-1].end + 3 > pair->first; /* "pulse 66 not 70" */
            pair->lone_pulse = pair->lone_pulse || (beside && (pair[-1].lone_pulse || pair[-1].pulse > 0));
            continue;
        }
        if (foreign_before(p, pair, &s) || foreign_behind(p, pair, &s)) {
            pair->doubt = pair->lone ? DOUBT_NOT_OWN : pair->doubt | DOUBT_NOT_OWN;
        }
        if (!(pair->doubt & DOUBT_NOT_OWN) && uncertain_near(p, pair, &s, r)) {
            pair->doubt = pair->lone ? DOUBT_UNCERTAIN : pair->doubt | DOUBT_UNCERTAIN;
        }
    }
    oops(p, &replaced);
    for (size_t r = 0; r < p->pair_n; r++) {
        struct pair *pair = &p->pair[r];
        pair->state = pair->state == PAIR_OWN && pair->doubt != 0 ? PAIR_DOUBTED : pair->state;
    }
    repeats(p);
    unreadable(p);
    amend_find(p, replaced);
}
