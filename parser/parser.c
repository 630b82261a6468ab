/* The parser's front: opens the lexicon, runs the steps in their order, and writes the meaning.
 *
 * This file holds no rule of language; each step is a file of its own, named in steps.h. A text of 60 characters
 * takes some 10 microseconds and, once the parser is warm, no memory.
 */
#include "parser/parser.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "parser/steps.h"
#include "parser/why.h"

struct parser {
    struct lexicon *lexicon;
    struct parse parse;
};

int parser_open(struct parser **out, const struct embedded *more, size_t n, char *why, size_t why_size) {
    struct parser *p = calloc(1, sizeof *p);
    *out = NULL;
    if (p == NULL) {
        return -1;
    }
    p->lexicon = lexicon_open(parser_lexicon, more, n, why, why_size);
    if (p->lexicon == NULL) {
        free(p);
        return -1;
    }
    p->parse.lexicon = p->lexicon;
    *out = p;
    return 0;
}

void parser_close(struct parser *p) {
    if (p == NULL) {
        return;
    }
    parse_free(&p->parse);
    lexicon_close(p->lexicon);
    free(p);
}

int parser_check(struct parser *p, char *why, size_t why_size) {
    return lexicon_check(p->lexicon, why, why_size) ? 0 : -1;
}

bool parser_has_jit(const struct parser *p) {
    return lexicon_has_jit(p->lexicon);
}

static void meaning_clear(struct meaning *m) {
    m->readings.n = m->doubtful.n = m->rejected.n = 0;
    m->flags = m->flags_past = m->technique = m->doubt = m->news = 0;
    m->keyword = KEYWORD_NONE;
    m->amend = AMEND_NONE;
    m->arm_cm = m->cuff_cm[0] = m->cuff_cm[1] = 0;
    m->temp_c = NAN;
    m->away_days = AWAY_UNSAID;
    m->away_from = 0;
    m->asks = m->head_hit = false;
    m->moment = (struct said){.day = DAY_UNSAID, .minute = MINUTE_UNSAID};
    memset(m->language, 0, sizeof m->language);
}

static int16_t clamp(double value) {
    return (int16_t)(value > INT16_MAX ? INT16_MAX : value < 0 ? 0 : value);
}

static void said_add(struct said_list *list, const struct pair *r, bool as_written) {
    if (list->n == MEANING_READINGS) {
        return;
    }
    struct said s = {.sys = clamp(r->sys), .dia = r->lone ? SAID_NONE : clamp(r->dia), .pulse = (int16_t)r->pulse,
                     .day = r->when.day, .minute = r->when.minute, .slot = r->when.slot, .arm = r->arm, .posture = r->posture};
    if (as_written && r->lone_pulse) {
        s.pulse = s.sys;
        s.sys = SAID_NONE;
    }
    s.doubt = (uint8_t)r->doubt;
    list->at[list->n++] = s;
}

static void readings_write(struct parse *p) {
    struct meaning *m = p->out;
    for (size_t i = 0; i < p->pair_n; i++) {
        const struct pair *r = &p->pair[i];
        if (r->state == PAIR_OWN && !r->lone) {
            said_add(&m->readings, r, false);
        } else if (r->state == PAIR_REJECTED) {
            said_add(&m->rejected, r, true);
        } else if (r->state == PAIR_DOUBTED) {
            m->doubt |= r->doubt;
            said_add(&m->doubtful, r, true);
        }
    }
}

static bool parse_run(struct parser *parser, const char *text, size_t size, struct moment received, struct meaning *out) {
    struct parse *p = &parser->parse;
    p->received = received;
    p->out = out;
    meaning_clear(out);
    if (!fold_text(&p->f, text, size) || !tokens_cut(&p->t, &p->f) || !lexicon_scan(parser->lexicon, &p->f, &p->t, &p->m) ||
        !parse_tables(p)) {
        return false;
    }
    figures_find(p);
    roles_find(p);
    ahead_find(p);
    moments_find(p);
    sizes_find(p);
    enumerators_find(p);
    pairs_find(p);
    pairs_judge(p);
    moments_attach(p);
    flags_find(p);
    talk_find(p);
    readings_write(p);
    return true;
}

void parser_read(struct parser *p, const char *text, size_t size, struct moment received, struct meaning *out) {
    assert(received.month >= 1 && received.month <= 12 && received.day >= 1 && received.day <= 31);
    if (!parse_run(p, text, size, received, out)) { /* out of memory: nothing is taken, a person is asked to look */
        meaning_clear(out);
        out->doubt = DOUBT_UNREADABLE;
        out->asks = true;
    }
}

char *parser_why(struct parser *p, const char *text, size_t size, struct moment received) {
    struct meaning *m = malloc(sizeof *m);
    char *sheet = NULL;
    if (m != NULL) {
        parser_read(p, text, size, received, m);
        sheet = why_write(&p->parse, m);
    }
    free(m);
    return sheet;
}
