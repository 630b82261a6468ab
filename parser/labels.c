/* Labels: which number each "sys", "top", "pulso" or heart sign belongs to.
 *
 * A label takes the number behind it, or the one before it when there is none behind or that one is spoken for
 * ("147 on top, 82 in the middle"). Words that are also plain remarks ("high again 156/94") are labels only when both
 * kinds stand beside lone numbers. A label never reaches over the end of a sentence or into a joined pair.
 */
#include "parser/pairing.h"

enum { LABEL_EITHER, LABEL_BEFORE, LABEL_BEHIND, LABEL_REMARK };

bool figure_free(const struct figure *f) {
    return f->role == ROLE_FREE && !f->weak;
}

bool figure_changed(const struct parse *p, const struct figure *f) {
    const struct mark *m = mark_within(p, f->first > 6 ? f->first - 6 : 0, f->end, KIND_AMEND, AMENDS_IGNORE);
    return m != NULL && m->b == 1;
}

bool slash_joins(const struct parse *p, const struct figure *a, const struct figure *b) {
    uint32_t at = a->end;
    const struct mark *unit = mark_at(p, at, KIND_UNIT);
    if (unit != NULL && (unit->a == ROLE_MMHG || unit->a == ROLE_KPA)) {
        at = unit->end;
    }
    bool found = false;
    for (; at < b->first; at++) {
        const struct mark *join = mark_at(p, at, KIND_AGAIN) == NULL ? mark_at(p, at, KIND_JOIN) : NULL;
        if (join != NULL && p->t.at[at].kind == TOKEN_WORD && a->first > 0 && (token_is(p, a->first - 1, '/') || token_is(p, a->first - 1, '-')) && figure_changed(p, a)) {
            return false; /* "cambie 182/82 por 128/82" */
        }
        bool slash = token_is(p, at, '/') || token_is(p, at, '\\') || token_is(p, at, '|') || join != NULL;
        if (slash && !found) {
            found = true;
            at = join != NULL ? join->end - 1 : at;
        } else if (!(p->t.at[at].kind == TOKEN_MARK && (p->t.at[at].mark == '-' || p->t.at[at].mark == ',' || p->t.at[at].mark == '.' || p->t.at[at].mark == '/'))
                   && !(p->covers[at] & KIND_IS(KIND_FILLER) && found && at + 2 >= b->first)) {
            return false;
        }
    }
    return found;
}

/* Whether figure i is part of a pair joined by a slash or "over". */
static bool in_join(const struct parse *p, size_t i) {
    const struct figure *f = p->figure;
    return (i > 0 && figure_free(&f[i - 1]) && slash_joins(p, &f[i - 1], &f[i])) ||
           (i + 1 < p->figure_n && figure_free(&f[i + 1]) && slash_joins(p, &f[i], &f[i + 1]));
}

/* What may stand between a label and its number. */
static bool near(const struct parse *p, uint32_t first, uint32_t end) {
    for (uint32_t i = first; i < end; i++) {
        const struct token *k = &p->t.at[i];
        bool mark = k->kind == TOKEN_MARK && k->mark != '?' && k->mark != '!' && k->mark != ';' && (k->mark != '.' || (k->glued && i + 1 < end));
        uint64_t kinds = KIND_IS(KIND_FILLER) | KIND_IS(KIND_UNIT) | KIND_IS(KIND_MEASURE);
        if (!mark && !(k->kind == TOKEN_MARK && k->mark == '.' && i + 1 == end && end - first == 1) &&
            !(k->kind == TOKEN_WORD && (p->covers[i] & kinds))) {
            return false;
        }
    }
    return end - first <= 6;
}

/* The free figure that begins at or after token `at`, or the last that ends by it; figure_n when there is none. */
static size_t figure_after(const struct parse *p, uint32_t at) {
    size_t i = 0;
    while (i < p->figure_n && (p->figure[i].first < at || !figure_free(&p->figure[i]))) {
        i++;
    }
    return i;
}

static size_t figure_behind(const struct parse *p, uint32_t at) {
    size_t found = p->figure_n;
    for (size_t i = 0; i < p->figure_n && p->figure[i].end <= at; i++) {
        found = figure_free(&p->figure[i]) ? i : found;
    }
    return found;
}

static bool takes(struct parse *p, size_t i, const struct mark *m, bool next) {
    if (i >= p->figure_n || p->figure[i].label != LABEL_NONE || in_join(p, i)) {
        return false;
    }
    const struct figure *f = &p->figure[i];
    return next ? near(p, m->end, f->first) : near(p, f->end, m->first);
}

static bool glued(const struct parse *p, const struct mark *m, const struct figure *f) {
    return f->end == m->first && p->t.at[m->first].glued;
}

static bool comma(const struct parse *p, uint32_t first, uint32_t end) {
    for (uint32_t i = first; i < end; i++) {
        if (token_is(p, i, ',') || token_is(p, i, ';') || p->t.at[i].kind == TOKEN_BREAK || mark_at(p, i, KIND_ALSO) != NULL) {
            return true;
        }
    }
    return false;
}

/* Whether the text writes its labels behind the numbers: a number comes first, a label last. */
static bool labels_behind(const struct parse *p) {
    const struct mark *first = NULL, *last = NULL;
    for (size_t i = 0; i < p->m.n; i++) {
        const struct mark *m = &p->m.at[i];
        if (m->kind == KIND_LABEL && m->a != LABEL_BP && m->b != LABEL_REMARK) {
            first = first == NULL ? m : first;
            last = m;
        }
    }
    bool before = false, after = false;
    for (size_t i = 0; first != NULL && i < p->figure_n; i++) {
        if (figure_free(&p->figure[i]) && !in_join(p, i)) {
            before = before || p->figure[i].end <= first->first;
            after = after || p->figure[i].first >= last->end;
        }
    }
    return before && !after;
}

/* Gives the label m its number, if there is one; `behind`: the text writes labels behind their numbers. */
static bool label_attach(struct parse *p, const struct mark *m, bool behind) {
    size_t next = figure_after(p, m->end), last = figure_behind(p, m->first);
    bool heads = (token_is(p, m->end, ':') || token_is(p, m->end, '=')) && takes(p, next, m, true); /* "83. Pulse: 74" */
    bool forward = (m->b != LABEL_BEHIND || heads) && takes(p, next, m, true);
    bool backward = m->b != LABEL_BEFORE && !heads && takes(p, last, m, false);
    if (m->b == LABEL_REMARK) {
        forward = forward && p->figure[next].first <= m->end + 2;
        backward = backward && p->figure[last].end + 1 >= m->first && p->figure[last].value >= 20;
    }
    if (forward && backward && last < p->figure_n && glued(p, m, &p->figure[last]) &&
        !(p->figure[next].first == m->end && p->t.at[m->end].glued)) {
        forward = false;
    }
    if (forward && backward && (behind || (comma(p, m->end, p->figure[next].first) && !comma(p, p->figure[last].end, m->first)))) {
        forward = false; /* "132 systolic, 84 diastolic" */
    }
    if (forward) {
        p->figure[next].label = (uint8_t)m->a;
    } else if (backward) {
        p->figure[last].label = (uint8_t)m->a;
    }
    return forward || backward;
}

/* "132/84. husband's pulse 90": nobody's pulse here. */
static bool somebody_elses(struct parse *p, const struct mark *m) {
    const struct mark *who = m->a == LABEL_PULSE ? mark_before(p, m->first, KIND_PERSON) : NULL;
    size_t next = figure_after(p, m->end);
    if (who == NULL || !takes(p, next, m, true)) {
        return false;
    }
    p->figure[next].role = ROLE_OTHER;
    p->out->doubt |= DOUBT_NOT_OWN;
    return true;
}

/* Remarks count as labels only when sys and dia are both there to be told apart. */
static bool remarks_count(const struct parse *p) {
    bool seen[LABEL_BP + 1] = {false};
    for (size_t i = 0; i < p->m.n; i++) {
        const struct mark *m = &p->m.at[i];
        if (m->kind == KIND_LABEL && m->a <= LABEL_BP) {
            seen[m->a] = true;
        }
    }
    return seen[LABEL_SYS] && seen[LABEL_DIA];
}

/* "sys 132 128 dia 84 82": the numbers behind a labelled one are of its row, when another label has as many. */
static void rows_label(struct parse *p) {
    for (size_t i = 0; i < p->figure_n; i++) {
        if (p->figure[i].label == LABEL_NONE) {
            continue;
        }
        size_t end = i + 1;
        while (end < p->figure_n && figure_free(&p->figure[end]) && p->figure[end].label == LABEL_NONE && !p->figure[end].decimal && !in_join(p, end) &&
               tokens_empty(p, p->figure[end - 1].end, p->figure[end].first, KIND_IS(KIND_ALSO) | KIND_IS(KIND_UNIT)) &&
               mark_within(p, p->figure[end - 1].end, p->figure[end].first, KIND_AMEND, -1) == NULL && /* "pulse 66 not 70" */
               !(p->figure[end].first > 0 && token_ends_sentence(p, p->figure[end].first - 1))) {
            end++;
        }
        size_t n = end - i, other = end;
        while (other < p->figure_n && !(p->figure[other].label != LABEL_NONE && p->figure[other].label != p->figure[i].label)) {
            other++;
        }
        size_t m = 1;
        while (other + m < p->figure_n && figure_free(&p->figure[other + m]) && p->figure[other + m].label == LABEL_NONE) {
            m++;
        }
        bool row = n > 1 && ((other < p->figure_n && m >= n) || p->figure[i].label == LABEL_PULSE || (i > 0 && p->figure[i - 1].label != LABEL_NONE));
        for (size_t k = i + 1; row && k < end; k++) {
            p->figure[k].label = p->figure[i].label;
        }
        i = end - 1;
    }
}

void labels_attach(struct parse *p) {
    bool any = (p->kinds & KIND_IS(KIND_LABEL)) != 0, remarks = any && remarks_count(p), behind = any && labels_behind(p);
    uint32_t done = 0; /* one word is one label, whatever languages know it */
    for (size_t i = 0; any && i < p->m.n; i++) {
        const struct mark *m = &p->m.at[i];
        if (m->kind == KIND_LABEL && m->a != LABEL_BP && (m->b != LABEL_REMARK || remarks) && m->first >= done &&
            (somebody_elses(p, m) || label_attach(p, m, behind))) {
            done = m->end;
        }
    }
    for (size_t i = 0; i < p->figure_n; i++) { /* bpm behind a number */
        struct figure *f = &p->figure[i];
        const struct mark *unit = mark_at(p, f->end, KIND_UNIT);
        if (unit != NULL && unit->a == ROLE_BPM && figure_free(f) && f->label == LABEL_NONE) {
            f->label = LABEL_PULSE;
        }
    }
    rows_label(p);
}
