/* Whose: is a pair the patient's own, of now and of home, or somebody else's, the surgery's, usual, wished or old?
 *
 * A word about whose figure it is reaches the pairs of its sentence up to the next pair or a "but"; a word that turns
 * back to the patient ("mine", "at home", "I got") ends it. How far a phrase reaches stands with it in the lexicon.
 */
#include "parser/judge.h"

enum { AGED_REACH = 8 };

/* Whether m stands right before the pair at `next`, and so speaks of that: "average 145/89", "usual: 120/80". */
bool stands_before(const struct parse *p, const struct mark *m, uint32_t next) {
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

/* Whether a small word leads to the mark: "with my daughter", not "and hubby". */
static bool word_leads(const struct parse *p, const struct mark *m) {
    return m->first > 0 && p->t.at[m->first - 1].kind == TOKEN_WORD && (p->covers[m->first - 1] & KIND_IS(KIND_FILLER)) &&
           !(p->covers[m->first - 1] & KIND_IS(KIND_ALSO));
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
        if (m->b == REACH_BARE && word_leads(p, m)) {
            m = mark_last(p, s->first, r->end, m->first, KIND_WHOSE, whose);
        }
        if (m == NULL || m->b == REACH_BEHIND) {
            continue;
        }
        if (m->b == REACH_ALL) {
            return true; /* what it says of itself is another's */
        }
        const struct mark *self = mark_last(p, whose == WHOSE_OTHER ? s->first : m->first, r->end, r->first + 1, KIND_WHOSE, WHOSE_SELF);
        bool foreign = whose == WHOSE_OTHER || whose == WHOSE_QUOTE;
        bool before = self != NULL && self->b == REACH_WEAK && self->end <= m->first && m->end > m->first + 2; /* "telling me his is 180/110" */
        if (self != NULL && self->first != m->first && (self->b == REACH_CLAUSE || foreign) && !before) {
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
            bool turned = self != NULL && (self->b == REACH_CLAUSE || self->first >= c->first);
            if ((whose == WHOSE_OTHER && m->b != REACH_COMMA) || m->b == REACH_WEAK || turned || (!opens && !told)) {
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
        if (m != NULL && m->b == REACH_BEHIND && m->first == r->end) {
            return true;
        }
        bool placed = m != NULL && (m->b == REACH_BEFORE || m->b == REACH_BEHIND || m->b == REACH_BARE);
        bool over = m != NULL && ((m->a == WHOSE_PAST && m->end > m->first + 2) || !comma_within(p, r->end, i)); /* "…, must be from last March" */
        if (m != NULL && !placed && over && m->end <= s->end && !stands_before(p, m, s->next)) {
            return m->a != WHOSE_FROM && m->a != WHOSE_QUOTE && !(p->covers[i] & KIND_IS(KIND_AMEND));
        }
        if (mark_at(p, i, KIND_ALSO) != NULL && s->end < p->t.n && i + 6 < s->end) {
            return false;
        }
    }
    return false;
}

/* "from 150/95 down to 132/84": which of them is now? */
void whose_moved(struct parse *p) {
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
            if (hinge_at(p, i, HINGE_NOW) || mark_at(p, i, KIND_MEASURE) != NULL) {
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

bool whose_other(const struct parse *p, const struct pair *r, const struct scope *s) {
    return foreign_before(p, r, s) || foreign_behind(p, r, s);
}
