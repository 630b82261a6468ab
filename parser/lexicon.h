/* The words: phrases from data files, so put together that a text is searched for all of them in one walk.
 *
 * A file is sections of phrases: `[flag chest_pain]`, then a phrase a line (README.md has the grammar). Each becomes a
 * pattern of PCRE2; a sieve of all of them together (machine.h) tells the few that a text can say, so a text costs about
 * a look-up a word and two matches, however many phrases there are.
 */
#ifndef QUIETARM_PARSER_LEXICON_H
#define QUIETARM_PARSER_LEXICON_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct embedded;

/* What a phrase says. The second column is the section's name in the files, the third how its arguments read. */
#define LEXICON_KINDS(X)                                                                                               \
    X(FLAG, "flag", ARGUMENT_FLAG)                   /* of the contract's; second: 1 a noun of lists, 2 the head hit */   \
    X(TECHNIQUE, "technique", ARGUMENT_TECHNIQUE)    /* how the measurement was made */                                \
    X(NEWS, "news", ARGUMENT_NEWS)                   /* what else the clinic should know */                            \
    X(ASKS, "asks", ARGUMENT_ASKS)                   /* a question, request, complaint or other symptom */             \
    X(LABEL, "label", ARGUMENT_LABEL)                /* sys, dia, pulse: names a number beside it */                   \
    X(NUMBER, "number", ARGUMENT_NUMBER)             /* a spelled-out number, by value */                              \
    X(JOIN, "join", ARGUMENT_NONE)                   /* over, sobre: between the two pressures */                      \
    X(ALSO, "also", ARGUMENT_NONE)                   /* and, y: between readings */                                    \
    X(WHEN, "when", ARGUMENT_WHEN)                   /* day=-1 slot=evening */                                         \
    X(WEEKDAY, "weekday", ARGUMENT_NUMBER)           /* 0 Sunday .. 6 Saturday; second: evening 2, morning 1 */        \
    X(MONTH, "month", ARGUMENT_NUMBER)               /* 1 January .. 12 */                                             \
    X(AGO, "ago", ARGUMENT_NUMBER)                   /* "# days ago": the number times this many days */               \
    X(UNTIL, "until", ARGUMENT_NUMBER)               /* before the day that ends an absence: days behind it, -1 over; 9 over, no day  */ \
    X(BEGINS, "begins", ARGUMENT_NONE)               /* before the day on which an absence begins */                    \
    X(AHEAD, "ahead", ARGUMENT_NUMBER)               /* a day to come: days from today; or the weekday, 1 Monday .. 7 */ \
    X(SPAN, "span", ARGUMENT_NUMBER)                 /* "for # days", as ago; 0: to the first, second Monday to come */ \
    X(CLOCK, "clock", ARGUMENT_CLOCK)                /* words around a clock time */                                   \
    X(UNIT, "unit", ARGUMENT_UNIT)                   /* after a number: what it measures */                            \
    X(LEAD, "lead", ARGUMENT_UNIT)                   /* before a number: what it measures */                           \
    X(ORDINAL, "ordinal", ARGUMENT_NONE)             /* first, reading #: numbers a reading */                         \
    X(PARTLY, "partly", ARGUMENT_NONE)               /* some of them, the last one: not for all */                     \
    X(WHOSE, "whose", ARGUMENT_WHOSE)                /* whose the figure is */                                         \
    X(UNCERTAIN, "uncertain", ARGUMENT_UNCERTAIN)    /* the patient is not sure of the figure */                       \
    X(AMEND, "amend", ARGUMENT_AMEND)                /* takes back what was sent */                                    \
    X(KEYWORD, "keyword", ARGUMENT_KEYWORD)          /* stop, start, help, yes, no, wrong number */                    \
    X(POLITE, "polite", ARGUMENT_NONE)               /* what may stand beside a keyword */                             \
    X(NEGATION, "negation", ARGUMENT_NEGATION)       /* and where it reaches */                                        \
    X(FIGURE, "figure", ARGUMENT_NONE)               /* of speech: nothing inside it counts */                         \
    X(UNREADABLE, "unreadable", ARGUMENT_NONE)       /* a photo, a link, "same as yesterday" */                        \
    X(AGAIN, "again", ARGUMENT_NONE)                 /* "twice", "then the same again" after a reading */              \
    X(EVENT, "event", ARGUMENT_NONE)                 /* something other than measuring that a time may belong to */    \
    X(MEASURE, "measure", ARGUMENT_NONE)             /* measuring: taken, did it */                                    \
    X(FILLER, "filler", ARGUMENT_NONE)               /* carries no content */                                          \
    X(SOUNDS, "sounds", ARGUMENT_NONE)               /* a word that dictation writes for a number: for, to */          \
    X(ARM, "arm", ARGUMENT_SIDE)                     /* left, right */                                                 \
    X(POSTURE, "posture", ARGUMENT_POSTURE)          /* standing, lying */                                             \
    X(PERSON, "person", ARGUMENT_NONE)               /* someone else */                                                \
    X(PAST, "past", ARGUMENT_NONE)                   /* long ago, or over */                                           \
    X(HINGE, "hinge", ARGUMENT_HINGE)                /* small words on which two readings, or a day, turn */           \
    X(GREETING, "greeting", ARGUMENT_NONE)           /* good morning: a slot word that is none */                      \
    X(LANGUAGE, "language", ARGUMENT_NONE)           /* words that tell the language */

#define LEXICON_KIND_ID(NAME, text, arguments) KIND_##NAME,
enum lexicon_kind { LEXICON_KINDS(LEXICON_KIND_ID) KIND_COUNT };

enum { LEXICON_LANGUAGES = 16 };
enum { LABEL_NONE, LABEL_SYS, LABEL_DIA, LABEL_PULSE, LABEL_BP };
enum clock_word {
    CLOCK_AT, CLOCK_ABOUT, CLOCK_AM, CLOCK_PM, CLOCK_OCLOCK, CLOCK_PAST, CLOCK_TO, CLOCK_PLUS, CLOCK_HALF, CLOCK_NIGHT
};
/* How far a whose reaches: its second argument. */
enum whose_reach {
    REACH_CLAUSE,       /* to the comma */
    REACH_WEAK,         /* "I", "usually": gives way to anything said more clearly */
    REACH_BEFORE,       /* only what comes behind it */
    REACH_COMMA,        /* over a comma too: "here's my mum's as her phone is dead, 158/90" */
    REACH_ALL,          /* over all that is said: "forwarded from Sid:" */
    REACH_BEHIND,       /* only the pair right before it: "150/90 for my husband" */
    REACH_BARE          /* only where no small word leads to it: "hubby 150/90", not "a row with my hubby 150/90" */
};
enum whose { WHOSE_OTHER, WHOSE_OFFICE, WHOSE_USUAL, WHOSE_TARGET, WHOSE_PAST, WHOSE_SELF, WHOSE_QUOTE, WHOSE_FROM };
enum { AMENDS_FIRST = 2 }; /* second argument: "ignore the first one" */
enum amend_word { AMENDS_CORRECT, AMENDS_VOID, AMENDS_NOT, AMENDS_OOPS, AMENDS_IGNORE };
enum negation {
    NEGATION_BEFORE, NEGATION_AFTER, NEGATION_END, NEGATION_IF, NEGATION_DOUBLE, NEGATION_LIST, NEGATION_ANSWER,
    NEGATION_TURN, /* where no denial reaches further: "no energy and my heart …" */
    NEGATION_BACK /* takes a denial back: "but I had a bad bout of it on Monday" */
};
enum hinge { HINGE_NOW, HINGE_WAS, HINGE_THAN, HINGE_DATE, HINGE_OF };
enum uncertain { UNCERTAIN_SAID, UNCERTAIN_CHOICE, UNCERTAIN_RANGE };
enum asks { ASKS_QUESTION, ASKS_REMARK, ASKS_SYMPTOM };
enum figure_role {
    ROLE_FREE, ROLE_DOSE, ROLE_WEIGHT, ROLE_CM, ROLE_INCH, ROLE_CELSIUS, ROLE_FAHRENHEIT, ROLE_PERCENT, ROLE_SUGAR,
    ROLE_AGE, ROLE_DURATION, ROLE_COUNT, ROLE_MMHG, ROLE_KPA, ROLE_BPM, ROLE_HOUSE, ROLE_PHONE, ROLE_OXYGEN, ROLE_BODY,
    ROLE_ROOM, ROLE_ARM, ROLE_CUFF, ROLE_OTHER, ROLE_ENUMERATOR, ROLE_TIME, ROLE_DATE, ROLE_GARBLED, ROLE_REJECTED,
    ROLE_TAKEN, ROLE_ERROR
};

/* One sense: what every phrase of a section says. */
struct sense {
    uint8_t kind;
    uint8_t language; /* index of the file's language */
    int16_t a, b;
};

/* A phrase found in a text: tokens [first, end). */
struct mark {
    uint32_t first, end;
    uint8_t kind, language;
    int16_t a, b;
    uint32_t phrase; /* for --why and tests: which one */
};

struct marks {
    struct mark *at;
    size_t n, room;
};

struct tokens;
struct folded;
struct lexicon;

/* Compiles the files of `base` (ended by a NULL name) but those that one of `more` replaces by name, then `more`.
 * NULL with a line "FILE:LINE: what, what to do" in `why` when a file has a mistake. */
struct lexicon *lexicon_open(const struct embedded *base, const struct embedded *more, size_t n, char *why,
                             size_t why_size);
void lexicon_close(struct lexicon *l);
/* Compiles every pattern, which otherwise waits for a text that needs it. False with a line in `why`. */
bool lexicon_check(struct lexicon *l, char *why, size_t why_size);
/* Whether patterns are compiled to machine code; known once one was compiled. */
bool lexicon_has_jit(const struct lexicon *l);
const char *lexicon_language(const struct lexicon *l, unsigned index); /* "en"; NULL past the end */
unsigned lexicon_languages(const struct lexicon *l);
const char *lexicon_kind_name(unsigned kind);
unsigned lexicon_line(const struct lexicon *l, uint32_t phrase); /* the line of its file that holds a phrase */

/* Whether a phrase holds word number `word`; a text that says it may have other words in its gaps. */
bool lexicon_says(const struct lexicon *l, uint32_t phrase, uint32_t word);

/* Numbers the tokens' words and finds every phrase in them: marks in order of their first token, then of the phrases
 * in the files. False when out of memory. */
bool lexicon_scan(struct lexicon *l, const struct folded *f, struct tokens *t, struct marks *out);

#endif
