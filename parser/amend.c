/* Amend: what a text takes back, of itself ("182/82 oops 132/84") or of an earlier one ("ignore my last").
 *
 * A pair that falls is neither a reading nor a doubt. When it is not sure which of two falls, neither is taken here:
 * the judge's other steps doubt them.
 */
#include "parser/judge.h"

/* "183/82 no, 138/82", "150/90, no, it's 138/82": the no is of the pair before r. */
static bool no_behind(const struct parse *p, const struct pair *r, const struct mark *no) {
    return r > p->pair && no->first >= r[-1].end && tokens_empty(p, r[-1].end, no->first, KIND_IS(KIND_AMEND)) && token_is(p, no->end, ',');
}

/* "not 182/82", "ignore the 182/82", "instead of 182". */
bool amend_rejects(const struct parse *p, const struct pair *r, const struct scope *s, bool *replaced) {
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
        if (m != NULL && m->a == AMENDS_IGNORE && m->b == AMENDS_FIRST) {
            i = m->end - 1; /* of the first, not of this one */
            continue;
        }
        if (m != NULL && m->a == AMENDS_VOID && m->b == 1) {
            return true;
        }
    }
    m = mark_last(p, s->first, r->first + 1, r->first + 1, KIND_AMEND, AMENDS_IGNORE);
    bool of_before = m != NULL && r > p->pair && r[-1].end == m->first; /* "150/90 scrap that 138/82" */
    return m != NULL && !of_before && !comma_within(p, m->end, r->first);
}

/* "150/90 and 138/82, ignore the first one" */
static void first_drop(struct parse *p) {
    for (size_t i = 0; (p->kinds & KIND_IS(KIND_AMEND)) && p->pair_n > 1 && i < p->m.n; i++) {
        const struct mark *m = &p->m.at[i];
        if (m->kind == KIND_AMEND && m->a == AMENDS_IGNORE && m->b == AMENDS_FIRST && m->first >= p->pair[1].end) {
            p->pair[0].state = PAIR_REJECTED;
            p->answered_amend = true;
        }
    }
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

void amends_between(struct parse *p, bool *replaced) {
    oops(p, replaced);
    first_drop(p);
}

/* What the whole text says of an earlier text: replaced, or void. */
void amend_find(struct parse *p, bool replaced) {
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
