/* How a text was taken, for a person: each mark, figure and moment with the words it stands for. A helper of
 * `quietarm parse --why` and of whoever writes a lexicon; no rule reads it.
 */
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "parser/why.h"

struct sheet {
    char *text;
    size_t n, room;
};

static void line(struct sheet *s, const char *format, ...) __attribute__((format(printf, 2, 3)));

static void line(struct sheet *s, const char *format, ...) {
    va_list list;
    va_start(list, format);
    int n = vsnprintf(s->text + s->n, s->room - s->n, format, list);
    va_end(list);
    if (n > 0) {
        s->n += (size_t)n < s->room - s->n ? (size_t)n : s->room - s->n - 1;
    }
}

/* The folded words of tokens [first, end). */
static void words(struct sheet *s, const struct parse *p, uint32_t first, uint32_t end) {
    if (first < end && end <= p->t.n) {
        const struct token *a = &p->t.at[first], *b = &p->t.at[end - 1];
        line(s, "  %-12s \"%.*s\"", "", (int)(b->start + b->size - a->start), p->f.text + a->start);
    }
}

static const char *const role_names[] = {"free", "dose", "weight", "cm", "inch", "celsius", "fahrenheit", "percent", "sugar", "age",
                                         "duration", "count", "mmHg", "kPa", "bpm", "house", "phone", "oxygen", "body", "room", "arm",
                                         "cuff", "other", "enumerator", "time", "date", "garbled", "rejected", "taken", "error"};

static void figures_tell(struct sheet *s, const struct parse *p) {
    static const char *const labels[] = {"", " labelled sys", " labelled dia", " labelled pulse", ""};
    for (size_t i = 0; i < p->figure_n; i++) {
        const struct figure *f = &p->figure[i];
        line(s, "number %g: %s%s%s", f->value, role_names[f->role], labels[f->label], f->garbled ? ", cannot be read" : "");
        words(s, p, f->first, f->end);
        line(s, "\n");
    }
}

static void pairs_tell(struct sheet *s, const struct parse *p) {
    static const char *const states[] = {"taken", "doubted", "taken back", "dropped"};
    for (size_t i = 0; i < p->pair_n; i++) {
        const struct pair *r = &p->pair[i];
        line(s, "%s %d/%d pulse %d: %s", r->lone ? "lone number" : "pair", r->sys, r->dia, r->pulse, states[r->state]);
        for (unsigned bit = 0; doubt_name(bit) != NULL; bit++) {
            line(s, "%s%s", r->doubt >> bit & 1 ? ", " : "", r->doubt >> bit & 1 ? doubt_name(bit) : "");
        }
        words(s, p, r->first, r->end);
        line(s, "\n");
    }
}

char *why_write(const struct parse *p, const struct meaning *m) {
    struct sheet s = {.room = 4096 + 160 * (p->m.n + p->figure_n + p->when_n + p->pair_n) + 4 * p->f.n};
    s.text = malloc(s.room);
    char *json = meaning_json(m);
    if (s.text == NULL || json == NULL) {
        free(s.text);
        free(json);
        return NULL;
    }
    for (size_t i = 0; i < p->m.n; i++) {
        const struct mark *k = &p->m.at[i];
        const char *name = k->kind == KIND_FLAG ? flag_name((unsigned)k->a) : k->kind == KIND_TECHNIQUE ? technique_name((unsigned)k->a) : "";
        line(&s, "%s %s%d %d @%u", lexicon_kind_name(k->kind), name, k->a, k->b, lexicon_line(p->lexicon, k->phrase));
        words(&s, p, k->first, k->end);
        line(&s, "\n");
    }
    figures_tell(&s, p);
    for (size_t i = 0; i < p->when_n; i++) {
        const struct when *w = &p->when[i];
        line(&s, "moment day %d slot %d minute %d", w->day, w->slot, w->minute);
        words(&s, p, w->first, w->end);
        line(&s, "\n");
    }
    if (p->out->away_from > 0) {
        line(&s, "absence begins in %d days\n", p->out->away_from);
    }
    if (p->out->away_days != AWAY_UNSAID) {
        line(&s, p->out->away_days == AWAY_OVER ? "absence is over\n" : "absence ends in %d days\n", p->out->away_days);
    }
    pairs_tell(&s, p);
    line(&s, "%s", json);
    free(json);
    return s.text;
}
