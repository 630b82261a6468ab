/* Elements: which free numbers stand together as a pair, in order of the text.
 *
 * A slash or "over" joins at once. Other numbers make a chain while only separators stand between them; a chain is
 * parted at its loosest separator, and two numbers left together are a pair, three a pair with its pulse. Four with
 * one kind of separator pair up in more than one way, and none is taken.
 */
#include "parser/pairing.h"

#include <string.h>

/* How loosely two numbers hang together; also what parts a chain. */
enum gap { GAP_GLUED = 1, GAP_SPACE, GAP_MARK, GAP_AND, GAP_COMMA, GAP_STOP, GAP_BREAK, GAP_RANGE, GAP_OTHER };

/* The gap between figures a and b, and its separator's mark. */
static enum gap gap_between(const struct parse *p, const struct figure *a, const struct figure *b, char *mark) {
    enum gap widest = GAP_SPACE;
    *mark = ' ';
    if (a->end == b->first) {
        return GAP_SPACE;
    }
    for (uint32_t i = a->end; i < b->first; i++) {
        const struct token *k = &p->t.at[i];
        enum gap g = GAP_OTHER;
        if (k->kind == TOKEN_BREAK) {
            g = GAP_BREAK;
        } else if (k->kind == TOKEN_MARK) {
            bool tight = k->glued && p->t.at[i + 1].glued;
            *mark = k->mark;
            if (strchr("-:*#_=\\/|", k->mark) != NULL) {
                g = tight ? GAP_GLUED : GAP_MARK;
            } else if (k->mark == '.' || k->mark == ',' || k->mark == ';') {
                g = tight ? GAP_GLUED : k->mark == ',' ? GAP_COMMA : k->mark == ';' || k->size == 1 ? GAP_STOP : GAP_SPACE;
            } else if (k->mark == '(' || k->mark == ')' || k->mark == '[' || k->mark == ']' || k->mark == '"' || k->mark == '&' || k->mark == '+') {
                g = k->mark == '&' || k->mark == '+' ? GAP_AND : GAP_SPACE;
            }
        } else if (k->kind == TOKEN_WORD) {
            const struct mark *unit = mark_at(p, i, KIND_UNIT);
            if (unit != NULL && (unit->a == ROLE_MMHG || unit->a == ROLE_KPA || unit->a == ROLE_BPM)) {
                g = GAP_SPACE;
            } else if (p->covers[i] & KIND_IS(KIND_ALSO)) {
                g = GAP_AND;
            } else if (token_word(p, i, "to") || token_word(p, i, "a") || token_word(p, i, "hasta")) {
                g = figure_changed(p, a) ? GAP_OTHER : GAP_RANGE;
            }
        }
        widest = g > widest || (g == GAP_GLUED && widest == GAP_SPACE && a->end + 1 == b->first) ? g : widest;
    }
    return widest;
}

static struct element *element_add(struct parse *p, enum element_kind kind, uint32_t a) {
    struct element *e = &p->element[p->element_n++];
    *e = (struct element){.kind = (uint8_t)kind, .a = a, .b = a, .c = a, .pair = -1};
    return e;
}

static void pair_add(struct parse *p, uint32_t a, uint32_t b, uint32_t c) {
    struct element *e = element_add(p, ELEMENT_PAIR, a);
    e->b = b;
    e->c = c;
    e->pulse_joined = c != b;
}

static void doubt_add(struct parse *p, uint32_t a, uint32_t end, unsigned doubt) {
    for (; a < end; a++) {
        element_add(p, ELEMENT_SINGLE, a)->doubt = (uint8_t)(doubt + 1);
    }
}

struct chain {
    uint32_t figure[2 * 400];
    uint8_t gap[2 * 400]; /* behind each figure */
    char mark[2 * 400];
    uint32_t n;
};

/* A stretch of a chain that is held together tighter than `all`: pair, triple, or parted further. */
static void stretch_read(struct parse *p, const struct chain *c, uint32_t first, uint32_t end) {
    uint32_t n = end - first;
    if (n == 1) {
        element_add(p, ELEMENT_SINGLE, c->figure[first]);
        return;
    }
    int loosest = 0, tightest = GAP_OTHER;
    for (uint32_t i = first; i + 1 < end; i++) {
        loosest = c->gap[i] > loosest ? c->gap[i] : loosest;
        tightest = c->gap[i] < tightest ? c->gap[i] : tightest;
    }
    if (loosest == GAP_RANGE) {
        doubt_add(p, c->figure[first], c->figure[end - 1] + 1, DOUBT_UNCERTAIN_BIT);
        return;
    }
    const struct figure *f = p->figure;
    if (loosest == tightest && n <= 3) {
        if (loosest == GAP_AND && n == 2) {
            doubt_add(p, c->figure[first], c->figure[end - 1] + 1, DOUBT_PAIRING_BIT);
        } else if (n == 3 && f[c->figure[first]].value < f[c->figure[first + 1]].value && f[c->figure[first + 1]].value > f[c->figure[first + 2]].value) {
            doubt_add(p, c->figure[first], c->figure[end - 1] + 1, DOUBT_PAIRING_BIT);
        } else {
            pair_add(p, c->figure[first], c->figure[first + 1], c->figure[end - 1]);
        }
        return;
    }
    if (loosest == tightest) {
        doubt_add(p, c->figure[first], c->figure[end - 1] + 1, DOUBT_PAIRING_BIT);
        return;
    }
    uint32_t start = first;
    for (uint32_t i = first; i < end; i++) {
        if (i + 1 == end || c->gap[i] == loosest) {
            stretch_read(p, c, start, i + 1);
            start = i + 1;
        }
    }
}

/* Whether a dash or "to" stands between a and b. */
static bool range_between(const struct parse *p, const struct figure *a, const struct figure *b) {
    char mark;
    enum gap g = gap_between(p, a, b, &mark);
    return g == GAP_RANGE || (g <= GAP_MARK && mark == '-');
}

/* "130-135/80-85": a dash on the outer side of a joined pair makes a range of it. */
static bool join_range(const struct parse *p, uint32_t a, uint32_t end) {
    const struct figure *f = p->figure;
    char mark;
    if (a > 0 && figure_free(&f[a - 1]) && f[a - 1].value >= 40 && f[a - 1].value < f[a].value && f[a].value - f[a - 1].value <= 30 &&
        range_between(p, &f[a - 1], &f[a])) {
        return true;
    }
    if (end < p->figure_n && figure_free(&f[end])) {
        enum gap g = gap_between(p, &f[end - 1], &f[end], &mark);
        double more = f[end].value - f[end - 1].value;
        return g == GAP_RANGE || (mark == '-' && g <= GAP_MARK && more > 0 && more <= 10);
    }
    return false;
}

/* Figures from i that slashes or "over" join, as one element; returns the figure after them. */
static uint32_t join_read(struct parse *p, uint32_t i) {
    uint32_t end = i + 1;
    while (end < p->figure_n && figure_free(&p->figure[end]) && slash_joins(p, &p->figure[end - 1], &p->figure[end]) &&
           !(end == i + 3 && !p->t.at[p->figure[end].first].glued && p->t.at[p->figure[i + 1].first].glued)) { /* "131/83/70/ 129/81/68" */
        end++;
    }
    uint32_t first = i, last = end;
    if (join_range(p, i, end)) {
        if (i > 0 && p->element_n > 0 && figure_free(&p->figure[i - 1]) && p->element[p->element_n - 1].a == i - 1 &&
            range_between(p, &p->figure[i - 1], &p->figure[i])) {
            first = i - 1;
            p->element_n--;
        }
        if (end < p->figure_n && figure_free(&p->figure[end]) && p->figure[end].label == LABEL_NONE) {
            last = range_between(p, &p->figure[end - 1], &p->figure[end]) ? end + 1 : end;
        }
        doubt_add(p, first, last, DOUBT_UNCERTAIN_BIT);
    } else if (end - i == 2 || end - i == 3) {
        pair_add(p, i, i + 1, end - 1);
    } else {
        doubt_add(p, i, end, DOUBT_PAIRING_BIT);
    }
    return last;
}

static bool joins_next(const struct parse *p, uint32_t i) {
    return i + 1 < p->figure_n && figure_free(&p->figure[i + 1]) && slash_joins(p, &p->figure[i], &p->figure[i + 1]);
}

/* How many joined pairs without a pulse stand right before figure i: bare numbers behind two of them are pulses. */
static size_t pulses_open(const struct parse *p, uint32_t i) {
    char mark;
    size_t n = 0;
    if (i == 0 || gap_between(p, &p->figure[i - 1], &p->figure[i], &mark) >= GAP_RANGE) {
        return 0;
    }
    while (n < p->element_n && p->element[p->element_n - 1 - n].kind == ELEMENT_PAIR && !p->element[p->element_n - 1 - n].pulse_joined) {
        n++;
    }
    return n;
}

/* A chain of unlabelled free figures from i, none of them in a joined pair. */
static uint32_t chain_read(struct parse *p, uint32_t i, struct chain *c) {
    c->n = 0;
    while (i < p->figure_n && c->n < 400) {
        c->figure[c->n] = i;
        c->mark[c->n] = ' ';
        c->gap[c->n++] = GAP_OTHER;
        if (i + 1 == p->figure_n || !figure_free(&p->figure[i + 1]) || p->figure[i + 1].label != LABEL_NONE || joins_next(p, i + 1)) {
            i++;
            break;
        }
        enum gap g = gap_between(p, &p->figure[i], &p->figure[i + 1], &c->mark[c->n - 1]);
        c->gap[c->n - 1] = (uint8_t)g;
        i++;
        if (g == GAP_OTHER) {
            break;
        }
    }
    if (c->n > 1 && pulses_open(p, c->figure[0]) >= 2) {
        for (uint32_t k = 0; k < c->n; k++) {
            element_add(p, ELEMENT_SINGLE, c->figure[k]);
        }
    } else {
        stretch_read(p, c, 0, c->n);
    }
    return i;
}

void elements_find(struct parse *p) {
    struct chain chain;
    for (uint32_t i = 0; i < p->figure_n;) {
        const struct figure *f = &p->figure[i];
        if (!figure_free(f)) {
            i++;
        } else if (joins_next(p, i)) {
            i = join_read(p, i);
        } else if (f->label != LABEL_NONE) {
            element_add(p, f->label == LABEL_SYS ? ELEMENT_SYS : f->label == LABEL_DIA ? ELEMENT_DIA : ELEMENT_PULSE, i);
            i++;
        } else {
            i = chain_read(p, i, &chain);
        }
    }
}
