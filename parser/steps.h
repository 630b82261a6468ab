/* The pipeline's working paper: what each step leaves for the next.
 *
 *     fold -> tokens -> scan (marks) -> figures -> moments -> pairs -> judge -> flags -> talk -> meaning
 *
 * Every list grows and is kept, so that a warm parser allocates nothing. Places are token numbers, [first, end).
 */
#ifndef QUIETARM_PARSER_STEPS_H
#define QUIETARM_PARSER_STEPS_H

#include <string.h>

#include "parser/lexicon.h"
#include "parser/meaning.h"
#include "parser/parser.h"
#include "parser/text.h"

enum { SLOT_AFTERNOON = 3 }; /* within the parser only: says p.m. without saying evening */

#define KIND_IS(kind) (1ull << (kind))

/* A number of the text, in digits or words, and what it turned out to be. */
struct figure {
    uint32_t first, end;
    double value;
    uint8_t digits;   /* before the decimal point; of a spelled number, as it would be written */
    uint8_t role;     /* enum figure_role */
    uint8_t label;    /* LABEL_SYS.. as attached, LABEL_NONE */
    bool spelled, decimal, weak; /* weak: a word like "one" that may be no number */
    bool garbled;
    int16_t partner;  /* index of the pair it went into, -1 */
};

/* A time of the text: any of day, slot and clock time. */
struct when {
    uint32_t first, end;
    int16_t day, minute;
    uint8_t slot;
    bool clock_open;  /* a clock time that still needs morning or evening to be said */
    bool weekday;     /* the day came from a weekday's name */
    bool strict;      /* that weekday before today */
    bool about;       /* an approximate clock time, dropped */
    bool used;
    bool date;
};

enum pair_state { PAIR_OWN, PAIR_DOUBTED, PAIR_REJECTED, PAIR_DROPPED };

/* A pair, or a lone number (dia SAID_NONE), that may become a reading. */
struct pair {
    uint32_t first, end;
    uint32_t core_end; /* behind the pressures, before any pulse */
    int sys, dia, pulse; /* mmHg; 0 not said */
    double raw_sys, raw_dia;
    uint32_t doubt;      /* bits */
    uint8_t state;
    bool lone, labelled, kpa;
    struct when when;
    uint8_t arm, posture;
    bool lone_pulse;
    uint32_t element[2]; /* of a labelled pair: its two elements */
};

enum element_kind { ELEMENT_PAIR, ELEMENT_SINGLE, ELEMENT_SYS, ELEMENT_DIA, ELEMENT_PULSE };

/* What pairs are put together from: a joined pair, or one number with or without its label. */
struct element {
    uint8_t kind;
    uint8_t doubt;     /* index + 1 of a doubt that makes it no reading, 0 none */
    bool pulse_joined; /* a pair with its pulse behind the same separator */
    bool row;          /* a labelled number that stands in a row behind one label */
    uint32_t a, b, c;  /* figures */
    int16_t pair;      /* the pair that it became, -1 */
};

/* A stretch of the text between two boundaries. */
struct clause {
    uint32_t first, end;
    uint32_t sentence;
    char closed_by; /* the mark that ends it: . , ? ! ; newline '^', word 'w', end '\0' */
};

struct parse {
    const struct lexicon *lexicon;
    struct folded f;
    struct tokens t;
    struct marks m;
    struct moment received;
    uint64_t kinds;      /* of all marks: most steps can see here that there is nothing for them */
    uint64_t *covers;    /* by token: the kinds of mark that cover it */
    uint64_t *starts;    /* by token: the kinds of mark that begin at it */
    uint32_t *mark_from; /* by token: the first mark that begins at or after it */
    uint32_t *clause_of; /* by token */
    uint32_t *figure_at; /* by token: 1 + the figure that begins at it, 0 none */
    size_t token_room;
    struct clause *clause;
    size_t clause_n;
    struct figure *figure;
    size_t figure_n;
    struct when *when;
    size_t when_n;
    struct pair *pair;
    size_t pair_n;
    struct element *element;
    size_t element_n;
    bool skip_numbers; /* the text is a link or picture: its numbers are no readings */
    bool answered_amend;
    struct meaning *out;
};

/* parse.c: the tables above, after the scan. False when out of memory. */
bool parse_tables(struct parse *p);
void parse_free(struct parse *p);

/* The longest mark of `kind` that begins at token i, where there is one. */
const struct mark *mark_longest(const struct parse *p, uint32_t i, unsigned kind);
/* The first mark of `kind` that ends at token `end`, or NULL. */
const struct mark *mark_before(const struct parse *p, uint32_t end, unsigned kind);
/* The first mark of `kind` (and argument a, or any if a < 0) that lies in tokens [first, end), where there are some. */
const struct mark *mark_search(const struct parse *p, uint32_t first, uint32_t end, unsigned kind, int a);
bool token_ends_sentence(const struct parse *p, uint32_t i);
/* Whether all of [first, end) is fillers, marks of punctuation and tokens covered by one of `kinds`. */
bool tokens_empty(const struct parse *p, uint32_t first, uint32_t end, uint64_t kinds);

/* The small questions that every step asks, a hundred times a text. */

static inline const struct mark *mark_at(const struct parse *p, uint32_t i, unsigned kind) { /* NULL where there is none */
    return i < p->t.n && (p->starts[i] & KIND_IS(kind)) ? mark_longest(p, i, kind) : NULL;
}

/* A mark of `kind` (and argument a, or any if a < 0) in tokens [first, end), or NULL. */
static inline const struct mark *mark_within(const struct parse *p, uint32_t first, uint32_t end, unsigned kind, int a) {
    return p->kinds & KIND_IS(kind) ? mark_search(p, first, end, kind, a) : NULL;
}

/* The sentence around token i: tokens [*first, *end). */
void sentence_of(const struct parse *p, uint32_t i, uint32_t *first, uint32_t *end);

/* Whether a hinge `a` (lexicon.h) begins at token i. */
static inline bool hinge_at(const struct parse *p, uint32_t i, int a) {
    const struct mark *m = mark_at(p, i, KIND_HINGE);
    return m != NULL && m->a == a;
}

static inline bool token_is(const struct parse *p, uint32_t i, char mark) {
    return i < p->t.n && p->t.at[i].kind == TOKEN_MARK && p->t.at[i].mark == mark;
}

static inline bool token_word(const struct parse *p, uint32_t i, const char *word) {
    return i < p->t.n && p->t.at[i].kind == TOKEN_WORD && p->t.at[i].size == strlen(word) &&
           memcmp(p->f.text + p->t.at[i].start, word, p->t.at[i].size) == 0;
}

/* The figure that begins at token i, or NULL. */
static inline struct figure *figure_starting(const struct parse *p, uint32_t i) {
    return i < p->t.n && p->figure_at[i] != 0 ? &p->figure[p->figure_at[i] - 1] : NULL;
}

/* figures.c, roles.c */
void figures_find(struct parse *p);
void roles_find(struct parse *p);
void sizes_find(struct parse *p);
void enumerators_find(struct parse *p);

/* ahead.c: the day on which an absence ends. */
void ahead_find(struct parse *p);

/* moments.c: which figures and words are times; attach.c: whose time it is. */
void moments_find(struct parse *p);
void moments_attach(struct parse *p);

/* pairs.c, judge.c */
void pairs_find(struct parse *p);
void pairs_judge(struct parse *p);

/* flags.c, talk.c */
bool mark_denied(const struct parse *p, const struct mark *m); /* whether the patient denies what m says */
void flags_find(struct parse *p);
void talk_find(struct parse *p);

/* calendar.c: pure calendar arithmetic (proleptic Gregorian). */
long calendar_days(int year, int month, int day); /* days since 1970-01-01 */
int calendar_weekday(long days);                  /* 0 Sunday */
bool calendar_valid(int year, int month, int day);
/* Days from receipt back to the most recent day/month that is not in the future; 1 when there is none. */
int calendar_back(struct moment received, int month, int day);

#endif
