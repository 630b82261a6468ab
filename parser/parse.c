/* The tables over tokens and marks that every later step asks: which kinds cover a token, where clauses end.
 * A mark inside a figure of speech is dropped here, and one inside a longer mark of its own kind. Linear in the
 * text: a mark is compared only with those that begin near it.
 */
#include "parser/steps.h"

#include <stdlib.h>
#include <string.h>

void parse_free(struct parse *p) {
    folded_free(&p->f);
    tokens_free(&p->t);
    free(p->m.at);
    free(p->covers);
    free(p->starts);
    free(p->mark_from);
    free(p->clause_of);
    free(p->figure_at);
    free(p->clause);
    free(p->figure);
    free(p->when);
    free(p->pair);
    free(p->element);
}

static bool table_grow(void **table, size_t n, size_t size) {
    void *more = realloc(*table, n * size);
    if (more == NULL) {
        return false;
    }
    *table = more;
    return true;
}

static bool tables_reserve(struct parse *p) {
    size_t n = p->t.n + 2;
    if (n <= p->token_room) {
        return true;
    }
    n += n / 2;
    bool ok = table_grow((void **)&p->covers, n, sizeof *p->covers) &&
              table_grow((void **)&p->starts, n, sizeof *p->starts) &&
              table_grow((void **)&p->mark_from, n, sizeof *p->mark_from) &&
              table_grow((void **)&p->clause_of, n, sizeof *p->clause_of) &&
              table_grow((void **)&p->figure_at, n, sizeof *p->figure_at) &&
              table_grow((void **)&p->clause, n, sizeof *p->clause) &&
              table_grow((void **)&p->figure, n, sizeof *p->figure) &&
              table_grow((void **)&p->when, n * 2, sizeof *p->when) &&
              table_grow((void **)&p->pair, n, sizeof *p->pair) &&
              table_grow((void **)&p->element, n, sizeof *p->element);
    p->token_room = ok ? n : p->token_room;
    return ok;
}

/* What a longer phrase of technique b takes up: the sign of the monitor is no symptom, the cold no haste. */
static bool technique_covers(const struct mark *a, int b) {
    if (a->kind == KIND_FLAG) {
        return b == TECHNIQUE_IRREGULAR_SIGN_BIT && a->a == FLAG_PALPITATIONS_BIT;
    }
    bool place = b == TECHNIQUE_COLD_BIT || b == TECHNIQUE_HOT_BIT || b == TECHNIQUE_EXERCISE_BIT;
    if (a->kind == KIND_WHOSE || a->kind == KIND_PAST) {
        return true; /* "hace mucho" in "hace mucho frio" */
    }
    return a->kind == KIND_LABEL || (a->kind == KIND_TECHNIQUE && (a->a == b || (place && a->a == TECHNIQUE_NO_REST_BIT)));
}

/* Whether mark b makes mark a void: a lies in b, and b is a figure of speech or a longer mark of a's kind. */
static bool mark_covered(const struct mark *a, const struct mark *b) {
    if (a == b || b->first > a->first || b->end < a->end) {
        return false;
    }
    bool longer = b->end - b->first > a->end - a->first;
    switch (b->kind) {
    case KIND_FIGURE:
        if (b->b == 3) {
            return a->kind == KIND_ASKS;
        }
        if (a->kind == KIND_EVENT || a->kind == KIND_UNIT || (a->kind == KIND_NEGATION && a->a == NEGATION_IF)) {
            return false;
        }
        return b->b == 1 ? a->kind == KIND_FLAG || (a->kind == KIND_ASKS && a->a == ASKS_SYMPTOM)
                         : a->kind != KIND_FIGURE && a->kind != KIND_NUMBER && a->kind != KIND_FILLER && !(a->kind == KIND_WHOSE && (a->a == WHOSE_OFFICE || a->a == WHOSE_OTHER)) &&
                               !(a->kind == KIND_ASKS && (b->b == 2 || a->a != ASKS_SYMPTOM));
    case KIND_GREETING: return a->kind == KIND_WHEN || a->kind == KIND_LABEL;
    case KIND_FLAG: return longer && (a->kind == b->kind ? a->a == b->a : a->kind == KIND_LABEL || a->kind == KIND_TECHNIQUE || a->kind == KIND_WHOSE);
    case KIND_TECHNIQUE: return longer && technique_covers(a, b->a);
    case KIND_ASKS: return longer && ((a->kind == KIND_TECHNIQUE && a->a == TECHNIQUE_STRESS_BIT) || a->kind == KIND_ASKS);
    case KIND_MEASURE: return longer && (a->kind == b->kind || a->kind == KIND_EVENT);
    case KIND_EVENT: return longer && (a->kind == b->kind || a->kind == KIND_WHEN);
    case KIND_UNCERTAIN: return longer && (a->kind == b->kind || a->kind == KIND_WHOSE);
    case KIND_WHOSE: return longer && (a->kind == b->kind || (a->kind == KIND_AMEND && b->a == WHOSE_TARGET));
    default: return longer && a->kind == b->kind && a->kind != KIND_KEYWORD;
    }
}

/* Only marks of several words can cover others: each is compared with those that begin inside it. */
static void marks_thin(struct parse *p) {
    const uint32_t dropped = 0x80000000u;
    size_t kept = 0;
    for (size_t k = 0, from = 0; k < p->m.n; k++) {
        const struct mark *b = &p->m.at[k];
        if (b->end == b->first + 1 && b->kind != KIND_FIGURE && b->kind != KIND_GREETING) {
            continue;
        }
        while (p->m.at[from].first < b->first) {
            from++;
        }
        for (size_t i = from; i < p->m.n && p->m.at[i].first < b->end; i++) {
            if (mark_covered(&p->m.at[i], b)) {
                p->m.at[i].phrase |= dropped;
            }
        }
    }
    for (size_t i = 0; i < p->m.n; i++) {
        if (!(p->m.at[i].phrase & dropped)) {
            p->m.at[kept++] = p->m.at[i];
        }
    }
    p->m.n = kept;
}

static void marks_index(struct parse *p) {
    const struct mark *mark = p->m.at;
    uint64_t *covers = p->covers, *starts = p->starts;
    uint32_t *from = p->mark_from, n = (uint32_t)p->t.n, marks = (uint32_t)p->m.n, k = 0;
    memset(covers, 0, (n + 1) * sizeof *covers);
    memset(starts, 0, (n + 1) * sizeof *starts);
    memset(p->figure_at, 0, (n + 1) * sizeof *p->figure_at);
    p->kinds = 0;
    for (uint32_t i = 0; i <= n; i++) {
        for (from[i] = k; k < marks && mark[k].first == i; k++) {
            uint64_t kind = KIND_IS(mark[k].kind);
            p->kinds |= kind;
            starts[i] |= kind;
            for (uint32_t at = i; at < mark[k].end; at++) {
                covers[at] |= kind;
            }
        }
    }
}

const struct mark *mark_longest(const struct parse *p, uint32_t i, unsigned kind) {
    const struct mark *best = NULL;
    for (size_t k = p->mark_from[i]; k < p->m.n && p->m.at[k].first == i; k++) {
        if (p->m.at[k].kind == kind && (best == NULL || p->m.at[k].end > best->end)) {
            best = &p->m.at[k];
        }
    }
    return best;
}

const struct mark *mark_before(const struct parse *p, uint32_t end, unsigned kind) {
    for (uint32_t i = end; i-- > 0 && i + 8 > end && (p->covers[i] & KIND_IS(kind));) {
        const struct mark *m = mark_at(p, i, kind);
        if (m != NULL && m->end == end) {
            return m;
        }
    }
    return NULL;
}

const struct mark *mark_search(const struct parse *p, uint32_t first, uint32_t end, unsigned kind, int a) {
    for (uint32_t i = first; i < end && i < p->t.n; i++) {
        if (!(p->starts[i] & KIND_IS(kind))) {
            continue;
        }
        for (size_t k = p->mark_from[i]; k < p->m.n && p->m.at[k].first == i; k++) {
            const struct mark *m = &p->m.at[k];
            if (m->kind == kind && (a < 0 || m->a == a) && m->end <= end) {
                return m;
            }
        }
    }
    return NULL;
}

/* Whether a mark stands between two numbers, glued to both or spaced, as a separator does. */
static bool token_parts_numbers(const struct parse *p, uint32_t i) {
    return i > 0 && i + 1 < p->t.n && p->t.at[i - 1].kind == TOKEN_NUMBER && p->t.at[i + 1].kind == TOKEN_NUMBER &&
           p->t.at[i].glued && p->t.at[i + 1].glued;
}

bool token_ends_sentence(const struct parse *p, uint32_t i) {
    const struct token *k = &p->t.at[i];
    if (k->kind == TOKEN_BREAK) {
        return true;
    }
    if (k->kind != TOKEN_MARK || (k->mark != '.' && k->mark != '!' && k->mark != '?' && k->mark != ';')) {
        return false;
    }
    return !token_parts_numbers(p, i);
}

static char clause_close(const struct parse *p, uint32_t i) {
    const struct token *k = &p->t.at[i];
    if (token_ends_sentence(p, i)) {
        return k->kind == TOKEN_BREAK ? '^' : k->mark;
    }
    if (k->kind == TOKEN_MARK && (k->mark == ',' || k->mark == '(' || k->mark == ')' || k->mark == ':') &&
        !token_parts_numbers(p, i)) {
        return k->mark;
    }
    if (k->kind == TOKEN_MARK && k->mark == '-' && !k->glued &&
        !(i > 0 && i + 1 < p->t.n && p->t.at[i - 1].kind == TOKEN_NUMBER && p->t.at[i + 1].kind == TOKEN_NUMBER)) {
        return '-';
    }
    return '\0';
}

/* A boundary word opens its clause; a closing mark ends it and belongs to it. */
static void clauses_cut(struct parse *p) {
    uint32_t first = 0, sentence = 0;
    p->clause_n = 0;
    for (uint32_t i = 0; i < p->t.n; i++) {
        const struct mark *word = mark_at(p, i, KIND_NEGATION);
        if (word != NULL && word->a == NEGATION_END && i > first) {
            p->clause[p->clause_n++] = (struct clause){first, i, sentence, 'w'};
            first = i;
        }
        p->clause_of[i] = (uint32_t)p->clause_n;
        char close = clause_close(p, i);
        if (close != '\0') {
            p->clause[p->clause_n++] = (struct clause){first, i + 1, sentence, close};
            first = i + 1;
            sentence += strchr(",():-", close) == NULL;
        }
    }
    if (first < p->t.n || p->clause_n == 0) {
        p->clause[p->clause_n++] = (struct clause){first, (uint32_t)p->t.n, sentence, '\0'};
    }
    p->clause_of[p->t.n] = (uint32_t)p->clause_n - 1;
}

void sentence_of(const struct parse *p, uint32_t i, uint32_t *first, uint32_t *end) {
    size_t c = p->clause_of[i], last = c;
    while (c > 0 && p->clause[c - 1].sentence == p->clause[last].sentence) {
        c--;
    }
    while (last + 1 < p->clause_n && p->clause[last + 1].sentence == p->clause[c].sentence) {
        last++;
    }
    *first = p->clause[c].first;
    *end = p->clause[last].end;
}

bool tokens_empty(const struct parse *p, uint32_t first, uint32_t end, uint64_t kinds) {
    for (uint32_t i = first; i < end && i < p->t.n; i++) {
        const struct token *k = &p->t.at[i];
        bool plain = k->kind == TOKEN_MARK || k->kind == TOKEN_BREAK ||
                     (k->kind == TOKEN_NUMBER && (kinds & KIND_IS(KIND_NUMBER)));
        if (!plain && !(p->covers[i] & (kinds | KIND_IS(KIND_FILLER)))) {
            return false;
        }
    }
    return true;
}

bool parse_tables(struct parse *p) {
    if (!tables_reserve(p)) {
        return false;
    }
    marks_thin(p);
    marks_index(p);
    clauses_cut(p);
    p->figure_n = p->when_n = p->pair_n = p->element_n = 0;
    p->skip_numbers = false;
    return true;
}
