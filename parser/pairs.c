/* Pairs: from elements to candidate readings, each with its pulse and the doubts that its own numbers raise.
 *
 * Labelled numbers are collected until a label comes again; pulses go to the pairs in order, one to each, and where
 * that does not come out even the pairs stand and the pulses are doubted. Nothing here is a reading yet: whose it is
 * and whether it was taken back, judge.c decides.
 */
#include "parser/pairing.h"

#include <math.h>

enum { SYS_LEAST = 50, SYS_MOST = 300, DIA_LEAST = 20, DIA_MOST = 200, PULSE_LEAST = 20, PULSE_MOST = 250 };

/* mmHg for 1 kPa: 1000/133.322387415 (NIST SP 811, conventional millimetre of mercury). */
static const double MMHG_PER_KPA = 7.50062;

static int half_up(double value) {
    return (int)floor(value + 0.5);
}

static struct pair *pair_new(struct parse *p, const struct figure *a, const struct figure *b) {
    struct pair *r = &p->pair[p->pair_n++];
    *r = (struct pair){.first = a->first < b->first ? a->first : b->first, .end = a->end > b->end ? a->end : b->end,
                       .when = {.day = DAY_UNSAID, .minute = MINUTE_UNSAID}};
    r->core_end = r->end;
    return r;
}

/* Whether kPa is written behind either number of the pair, before it, or, of decimals that are no mmHg, anywhere. */
static bool pair_in_kpa(const struct parse *p, const struct figure *a, const struct figure *b) {
    const struct mark *first = mark_at(p, a->end, KIND_UNIT), *second = mark_at(p, b->end, KIND_UNIT);
    const struct mark *front = mark_before(p, a->first, KIND_UNIT);
    bool decimals = a->decimal && b->decimal && a->value < SYS_LEAST && b->value < DIA_LEAST;
    if (decimals && mark_within(p, 0, (uint32_t)p->t.n, KIND_UNIT, ROLE_KPA) != NULL) {
        return true;
    }
    return (first != NULL && first->a == ROLE_KPA) || (second != NULL && second->a == ROLE_KPA) || (front != NULL && front->a == ROLE_KPA && (a->decimal || b->decimal));
}

static void pair_values(struct parse *p, struct pair *r, const struct figure *sys, const struct figure *dia) {
    r->raw_sys = sys->value;
    r->raw_dia = dia->value;
    r->kpa = pair_in_kpa(p, sys, dia);
    double scale = r->kpa ? MMHG_PER_KPA : 1;
    r->sys = half_up(sys->value * scale);
    r->dia = half_up(dia->value * scale);
    if (sys->garbled || dia->garbled) {
        r->doubt |= DOUBT_UNREADABLE;
        return;
    }
    bool long_digits = sys->digits > 4 || dia->digits > 4;
    if (long_digits || r->sys < SYS_LEAST || r->sys > SYS_MOST || r->dia < DIA_LEAST || r->dia > DIA_MOST) {
        r->doubt |= DOUBT_OUT_OF_RANGE;
    } else if (r->sys < r->dia) {
        r->doubt |= DOUBT_SWAPPED;
    }
}

static void pulse_give(struct parse *p, struct pair *r, const struct figure *f) {
    int value = half_up(f->value);
    if (f->garbled) {
        p->out->doubt |= DOUBT_UNREADABLE;
    } else if (value < PULSE_LEAST || value > PULSE_MOST || f->digits > 3) {
        p->out->doubt |= DOUBT_OUT_OF_RANGE;
    } else {
        r->pulse = value;
    }
    r->end = f->end > r->end && f->end < r->end + 12 ? f->end : r->end;
}

static struct pair *lone_new(struct parse *p, const struct figure *f, uint32_t doubt) {
    struct pair *r = pair_new(p, f, f);
    r->sys = half_up(f->value);
    r->raw_sys = f->value;
    r->lone = true;
    r->doubt = f->garbled ? DOUBT_UNREADABLE : doubt;
    r->labelled = f->label != LABEL_NONE;
    r->lone_pulse = f->label == LABEL_PULSE;
    return r;
}

/* The labelled pressures: rows of sys and dia become pairs where they meet. */
static void labelled_collect(struct parse *p) {
    size_t i = 0;
    while (i < p->element_n) {
        struct element *e = &p->element[i];
        if (e->kind != ELEMENT_SYS && e->kind != ELEMENT_DIA) {
            i++;
            continue;
        }
        size_t n = 1, k = i + 1, m = 0;
        while (k < p->element_n && p->element[k].kind == e->kind) {
            k++;
            n++;
        }
        size_t partner = k;
        while (partner < p->element_n && p->element[partner].kind == ELEMENT_PULSE) {
            partner++; /* sys 132 pulse 71 dia 84 */
        }
        uint8_t wanted = e->kind == ELEMENT_SYS ? ELEMENT_DIA : ELEMENT_SYS;
        while (partner + m < p->element_n && p->element[partner + m].kind == wanted && m < n) {
            m++;
        }
        bool single = m == 0 && n == 1 && partner < p->element_n && p->element[partner].kind == ELEMENT_SINGLE &&
                      p->element[partner].doubt == 0 && e->kind == ELEMENT_SYS && partner == k &&
                      tokens_empty(p, p->figure[e->a].end, p->figure[p->element[partner].a].first, KIND_IS(KIND_ALSO) | KIND_IS(KIND_UNIT));
        m = single ? 1 : m;
        for (size_t r = 0; r < n; r++) {
            if (m != n) {
                lone_new(p, &p->figure[p->element[i + r].a], m == 0 ? DOUBT_ONE_NUMBER : DOUBT_PAIRING);
                continue;
            }
            struct element *a = &p->element[i + r], *b = &p->element[partner + r];
            const struct figure *sys = &p->figure[e->kind == ELEMENT_SYS ? a->a : b->a];
            const struct figure *dia = &p->figure[e->kind == ELEMENT_SYS ? b->a : a->a];
            struct pair *made = pair_new(p, sys, dia);
            made->labelled = true;
            made->element[0] = (uint32_t)(i + r);
            made->element[1] = (uint32_t)(partner + r);
            pair_values(p, made, sys, dia);
        }
        for (size_t r = 0; r < m; r++) {
            if (m != n) {
                lone_new(p, &p->figure[p->element[partner + r].a], DOUBT_PAIRING);
            }
            p->element[partner + r].kind = ELEMENT_DIA;
            p->element[partner + r].doubt = UINT8_MAX; /* spent */
        }
        for (size_t r = 0; r < n; r++) {
            p->element[i + r].doubt = UINT8_MAX;
        }
        i = k;
        while (i < p->element_n && p->element[i].doubt == UINT8_MAX && p->element[i].kind != ELEMENT_PULSE) {
            i++;
        }
    }
}

static void joined_collect(struct parse *p) {
    for (size_t i = 0; i < p->element_n; i++) {
        struct element *e = &p->element[i];
        if (e->kind != ELEMENT_PAIR) {
            continue;
        }
        struct pair *r = pair_new(p, &p->figure[e->a], &p->figure[e->b]);
        pair_values(p, r, &p->figure[e->a], &p->figure[e->b]);
        if (e->pulse_joined) {
            pulse_give(p, r, &p->figure[e->c]);
        }
    }
}

/* Pairs in the order of the text. */
static void pairs_sort(struct parse *p) {
    for (size_t i = 1; i < p->pair_n; i++) {
        struct pair moving = p->pair[i];
        size_t k = i;
        for (; k > 0 && moving.first < p->pair[k - 1].first; k--) {
            p->pair[k] = p->pair[k - 1];
        }
        p->pair[k] = moving;
    }
}

/* The elements point at their pairs again, by the token at which a pair begins. */
static void elements_point(struct parse *p) {
    size_t k = 0;
    for (size_t i = 0; i < p->element_n; i++) {
        struct element *e = &p->element[i];
        if (e->kind == ELEMENT_PAIR) {
            while (k < p->pair_n && p->pair[k].first < p->figure[e->a].first) {
                k++;
            }
            e->pair = (int16_t)k;
        }
    }
    for (size_t r = 0; r < p->pair_n; r++) {
        if (p->pair[r].labelled && !p->pair[r].lone) {
            p->element[p->pair[r].element[0]].pair = (int16_t)r;
            p->element[p->pair[r].element[1]].pair = (int16_t)r;
        }
    }
}

/* Whether a line break, the end of a sentence, a "but" or another moment lies in [first, end). */
static bool parted(const struct parse *p, uint32_t first, uint32_t end) {
    for (uint32_t i = first; i < end; i++) {
        const struct mark *but = mark_at(p, i, KIND_NEGATION);
        if (token_ends_sentence(p, i) || mark_at(p, i, KIND_WHEN) != NULL || mark_at(p, i, KIND_WEEKDAY) != NULL ||
            (but != NULL && but->a == NEGATION_END)) {
            return true;
        }
    }
    return false;
}

/* Whether a word like "both" or "each" says that one pulse is of all pairs: near the figure. */
static bool said_of_all(const struct parse *p, const struct figure *f) {
    uint32_t first = f->first > 8 ? f->first - 8 : 0;
    for (uint32_t i = first; i < f->end + 6 && i < p->t.n; i++) {
        for (size_t k = p->mark_from[i]; k < p->m.n && p->m.at[k].first == i; k++) {
            if (p->m.at[k].kind == KIND_AGAIN && p->m.at[k].b == 2) {
                return true;
            }
        }
    }
    return false;
}

struct pulse_run {
    int16_t open[MEANING_READINGS]; /* pairs that still want a pulse */
    size_t opens;
    uint32_t held[MEANING_READINGS]; /* figures of pulses that wait for their pair */
    size_t helds;
    int16_t seen; /* the last pair met */
};

static void pulses_doubt(struct parse *p, struct pulse_run *run) {
    p->out->doubt |= DOUBT_PAIRING;
    run->helds = 0;
}

/* "his is 149/92, mine 127/78, pulse 64": somebody else's pair, then the patient's own. */
static bool whose_turns(const struct parse *p, const struct pair *a, const struct pair *b) {
    return mark_within(p, 0, a->first, KIND_WHOSE, WHOSE_OTHER) != NULL && mark_within(p, a->end, b->first, KIND_WHOSE, WHOSE_SELF) != NULL;
}

/* The pulses held meet the pairs open. */
static void pulses_settle(struct parse *p, struct pulse_run *run) {
    if (run->helds == 0) {
        return;
    }
    const struct figure *f = &p->figure[run->held[0]];
    if (run->helds == run->opens) {
        for (size_t i = 0; i < run->helds; i++) {
            pulse_give(p, &p->pair[run->open[i]], &p->figure[run->held[i]]);
        }
    } else if (run->helds == 1 && run->opens > 1 && said_of_all(p, f)) {
        for (size_t i = 0; i < run->opens; i++) {
            pulse_give(p, &p->pair[run->open[i]], f);
        }
    } else if (run->helds == 1 && run->opens > 1 && whose_turns(p, &p->pair[run->open[run->opens - 2]], &p->pair[run->open[run->opens - 1]])) {
        pulse_give(p, &p->pair[run->open[run->opens - 1]], f);
    } else if (run->helds == 1 && run->opens > 1 &&
               parted(p, p->pair[run->open[run->opens - 2]].end, p->pair[run->open[run->opens - 1]].first) &&
               !parted(p, p->pair[run->open[run->opens - 1]].end, f->first)) {
        pulse_give(p, &p->pair[run->open[run->opens - 1]], f);
    } else if (run->opens > 0) {
        pulses_doubt(p, run);
    } else {
        return; /* they come before their pair */
    }
    run->opens = run->helds = 0;
}

/* Whether an unlabelled number right behind a pair is its pulse: nothing but separators between. */
static bool pulse_bare(const struct parse *p, const struct element *e, const struct pulse_run *run) {
    if (run->opens == 0 || e->doubt != 0) {
        return false;
    }
    const struct figure *f = &p->figure[e->a];
    uint32_t from = run->helds > 0 ? p->figure[run->held[run->helds - 1]].end : p->pair[run->open[run->opens - 1]].end;
    for (uint32_t i = from; i < f->first; i++) {
        const struct token *k = &p->t.at[i];
        const struct mark *unit = mark_at(p, i, KIND_UNIT);
        bool word = (unit != NULL && unit->a == ROLE_MMHG) || (p->covers[i] & (KIND_IS(KIND_ALSO) | KIND_IS(KIND_LABEL))) || token_word(p, i, "with");
        bool mark = k->kind == TOKEN_BREAK || (k->kind == TOKEN_MARK && k->mark != '?' && k->mark != '!');
        if (!mark && !word) {
            return false;
        }
    }
    bool another = f->value >= 120 && mark_within(p, from, f->first, KIND_ALSO, -1) != NULL; /* "132/84 and 130" */
    return f->digits <= 3 && !f->decimal && !another && (f->value >= 10 || !f->spelled);
}

static void single_take(struct parse *p, const struct element *e) {
    struct figure *f = &p->figure[e->a];
    if (e->doubt != 0) {
        lone_new(p, f, 1u << (e->doubt - 1));
        return;
    }
    f->partner = -2; /* a lone number: judge.c looks at its words */
}

static void pulses_collect(struct parse *p) {
    struct pulse_run run = {.seen = -1};
    for (size_t i = 0; i < p->element_n; i++) {
        const struct element *e = &p->element[i];
        bool pulse = e->kind == ELEMENT_PULSE || (e->kind == ELEMENT_SINGLE && pulse_bare(p, e, &run));
        if (pulse && run.helds < MEANING_READINGS) {
            run.held[run.helds++] = e->a;
            p->figure[e->a].partner = 1;
            bool more = i + 1 < p->element_n && (p->element[i + 1].kind == ELEMENT_PULSE ||
                        (p->element[i + 1].kind == ELEMENT_SINGLE && pulse_bare(p, &p->element[i + 1], &run)));
            if (!more) {
                pulses_settle(p, &run);
            }
        } else if (e->kind == ELEMENT_SINGLE && e->doubt != UINT8_MAX) {
            single_take(p, e);
        } else if (e->pair >= 0 && (e->kind == ELEMENT_PAIR || e->kind == ELEMENT_DIA || e->kind == ELEMENT_SYS)) {
            struct pair *r = &p->pair[e->pair];
            bool first = e->pair > run.seen;
            run.seen = e->pair > run.seen ? e->pair : run.seen;
            if (first && r->pulse == 0 && !e->pulse_joined && run.opens < MEANING_READINGS) {
                run.open[run.opens++] = e->pair;
            }
            if (run.helds == 1 && first) { /* "pulse 71, 132/84" */
                pulses_settle(p, &run);
            } else if (run.helds > 1 && run.opens == run.helds) {
                pulses_settle(p, &run);
            }
        }
    }
    for (size_t i = 0; i < run.helds; i++) {
        if (p->pair_n > 0 && run.opens == 0) {
            p->out->doubt |= DOUBT_PAIRING;
        } else {
            lone_new(p, &p->figure[run.held[i]], DOUBT_ONE_NUMBER);
        }
    }
}

/* Whether a slash or "over" stands between the pressures of an unlabelled pair. */
static bool pair_joined(const struct parse *p, const struct pair *r) {
    for (uint32_t i = r->first; i < r->core_end; i++) {
        const struct token *k = &p->t.at[i];
        if ((k->kind == TOKEN_MARK && k->mark != ',') || mark_at(p, i, KIND_JOIN) != NULL) {
            return true;
        }
    }
    return r->labelled || r->lone;
}

/* "138 132 / 84 80" in two lines: rows or columns? Taken as rows their pressures lie too close together, as columns not. */
static void rows_doubt(struct parse *p) {
    enum { CLOSE = 20 };
    for (size_t r = 0; r + 1 < p->pair_n; r++) {
        struct pair *a = &p->pair[r], *b = a + 1;
        bool close = a->sys - a->dia < CLOSE && b->sys - b->dia < CLOSE;
        bool columns = a->sys - b->sys >= CLOSE && a->dia - b->dia >= CLOSE;
        bool split = a->sys - a->dia < CLOSE && !pair_joined(p, a) && pair_joined(p, b) && !b->labelled && !b->lone &&
                     b->first <= a->core_end + 1; /* "132 128 126 / 84 82 80" */
        if (split || (close && columns && !pair_joined(p, a) && !pair_joined(p, b))) {
            a->doubt |= DOUBT_PAIRING;
            b->doubt |= DOUBT_PAIRING;
        }
    }
}

void pairs_find(struct parse *p) {
    labels_attach(p);
    elements_find(p);
    joined_collect(p);
    labelled_collect(p);
    pairs_sort(p);
    rows_doubt(p);
    elements_point(p);
    pulses_collect(p);
    pairs_sort(p);
}
