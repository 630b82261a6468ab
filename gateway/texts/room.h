/* What the files of this room share; no other room includes it.
 *
 * An *entry* is a name of a catalogue with its words: the text kinds first, then the single words that a language
 * needs to say a weekday, an echo, a level or a cause. A *tongue* is one language, whole. A *voice* says words into a
 * buffer, putting values for placeholders.
 */
#ifndef QUIETARM_TEXTS_ROOM_H
#define QUIETARM_TEXTS_ROOM_H

#include "gateway/texts/texts.h"

/* The causes of alerts that are no flag of the parser's. One without an entry is said as it is, "_" as a space. */
#define OTHER_CAUSES(X)                                                                                                \
    X(SEVERE, "severe")                                                                                                \
    X(VERY_HIGH, "very_high")                                                                                          \
    X(SEVERE_FLAG, "severe_flag")                                                                                      \
    X(CAME_DOWN_AGAIN, "came_down_again")                                                                              \
    X(LOW, "low")                                                                                                      \
    X(PULSE, "pulse")                                                                                                  \
    X(NO_REPEAT, "no_repeat")                                                                                          \
    X(DOUBTFUL, "doubtful")                                                                                            \
    X(PREGNANT_SEVERE, "pregnant_severe")                                                                              \
    X(PREGNANT_HIGH, "pregnant_high")                                                                                  \
    X(REPLY_UNSENT, "reply_unsent")                                                                                    \
    X(TARGET_FAILED, "target_failed")                                                                                  \
    X(UNKNOWN_NUMBER, "unknown_number")                                                                                \
    X(WHOSE, "whose")                                                                                                  \
    X(UNKNOWN, "unknown")

#define WEEKDAYS(X)                                                                                                    \
    X(MONDAY, "monday") X(TUESDAY, "tuesday") X(WEDNESDAY, "wednesday") X(THURSDAY, "thursday") X(FRIDAY, "friday")    \
    X(SATURDAY, "saturday") X(SUNDAY, "sunday")

#define MONTHS(X)                                                                                                      \
    X(JANUARY, "january") X(FEBRUARY, "february") X(MARCH, "march") X(APRIL, "april") X(MAY, "may") X(JUNE, "june")    \
    X(JULY, "july") X(AUGUST, "august") X(SEPTEMBER, "september") X(OCTOBER, "october") X(NOVEMBER, "november")        \
    X(DECEMBER, "december")

/* READING is said for an echo of nothing, SOMEBODY for a {word} of nothing, NOT_KNOWN for a length that is 0. */
#define PLAIN_WORDS(X)                                                                                                 \
    X(YES, "yes") X(NO, "no") X(AND, "and") X(PULSE, "pulse") X(DECIMAL, "decimal") X(READING, "reading")              \
    X(SOMEBODY, "somebody") X(NOT_KNOWN, "not_known")

#define WORD_ENTRY(NAME, name) WORD_##NAME,
#define DAY_ENTRY(NAME, name) ENTRY_DAY_##NAME,
#define MONTH_ENTRY(NAME, name) ENTRY_MONTH_##NAME,
#define LEVEL_ENTRY(NAME, name) ENTRY_LEVEL_##NAME,
#define CAUSE_ENTRY(NAME, name) ENTRY_CAUSE_##NAME,
#define FLAG_ENTRY(NAME, name) ENTRY_CAUSE_FLAG_##NAME,
enum entry { /* after the text kinds 1 … TEXT_KIND_COUNT - 1 */
    ENTRY_LAST_KIND = TEXT_KIND_COUNT - 1,
    PLAIN_WORDS(WORD_ENTRY)
    WEEKDAYS(DAY_ENTRY)
    MONTHS(MONTH_ENTRY)
    ALERT_LEVELS(LEVEL_ENTRY)
    MEANING_FLAGS(FLAG_ENTRY)
    OTHER_CAUSES(CAUSE_ENTRY)
    ENTRY_COUNT
};

enum {
    TONGUES_MAX = 16,      /* languages */
    WORDS_BYTES = 1024,    /* of one entry, with NUL; two segments are at most 306 characters */
    CLINIC_NAME_SAID = 40, /* characters of the clinic's name that a text says */
    NUMBER_SAID = 20,      /* characters of a telephone number up to which the limits hold */
    SEGMENTS_ALONE = 2,    /* a text by itself */
    SEGMENTS_ADDED = 1     /* a hint or a tail, which follows something else */
};

struct tongue {
    char code[LANGUAGE_MAX];
    char *entry[ENTRY_COUNT]; /* NULL for 0 */
};

struct texts {
    struct tongue tongue[TONGUES_MAX];
    size_t n;
};

/* What text_kind.h says of a kind. `must` holds letters of E C S M K, or "-". */
struct kind_row {
    const char *name, *must;
    char to, role;
};
extern const struct kind_row kind_rows[TEXT_KIND_COUNT];

const char *entry_name(unsigned entry);                                  /* "w_low", "day_monday"; NULL */
int entry_find(const char *name, size_t n);                              /* 0 when there is none */
const struct tongue *texts_tongue(const struct texts *t, const char *code); /* NULL */

/* -- saying (voice.c) ---------------------------------------------------------------------------------------------- */

struct voice {
    const struct tongue *tongue;
    const struct saying *saying;
    const struct clinic *clinic;
    unsigned kind;  /* whose words are being said; TEXT_NONE: any */
    char *body;
    size_t n, size; /* bytes said; room, the NUL included */
    bool full;      /* a character did not fit: nothing follows it */
};

void voice_string(struct voice *v, const char *s);       /* a value, with near characters of the 7-bit alphabet */
void voice_sentence(struct voice *v, const char *words); /* words of ours, values for their placeholders */

/* C: of the clinic; L: of the language; both may stand in any text. V: a value that care gives to certain texts only;
 * S: the same, to staff only. */
#define PLACEHOLDERS(X)                                                                                                \
    X(CLINIC, "clinic", 'C') X(PHONE, "phone", 'C') X(OUT_OF_HOURS, "out_of_hours", 'C') X(CONTACT, "contact", 'C')    \
    X(EMERGENCY, "emergency", 'C') X(MATERNITY, "maternity", 'C') X(CRISIS, "crisis", 'C')                             \
    X(YES, "yes", 'L') X(NO, "no", 'L')                                                                                \
    X(ECHO, "echo", 'V') X(MORE, "more", 'V') X(NUMBER, "number", 'V') X(DAY, "day", 'V') X(DATE, "date", 'V')         \
    X(FROM, "from", 'V')                                                                                               \
    X(TIME, "time", 'V') X(ARM, "arm", 'V') X(CUFF, "cuff", 'V') X(WORD, "word", 'V')                                                       \
    X(CODE, "code", 'S') X(REF, "ref", 'S') X(PATIENT_PHONE, "patient_phone", 'S') X(LEVEL, "level", 'S')              \
    X(CAUSE, "cause", 'S')
#define PLACEHOLDER(NAME, name, scope) HOLD_##NAME,
enum placeholder { PLACEHOLDERS(PLACEHOLDER) HOLD_COUNT };

const char *placeholder_name(unsigned p);
char placeholder_scope(unsigned p);
/* The placeholders of `words` as bits 1 << enum placeholder. False when one is unknown or a brace stands alone;
 * `bad` then holds what stands there. */
bool placeholders_in(const char *words, uint32_t *held, char *bad, size_t bad_size);

/* Says `words` with the longest values that the limits are made for (say.c). Returns the segments. */
int say_longest(const struct tongue *o, const char *words, char *body, size_t size);

/* -- checks (check.c) ---------------------------------------------------------------------------------------------- */

/* What is wrong with `words` as entry `entry` of `o`, in `why` as "what, what to do"; false when something is.
 * `english`: the placeholders of our own English words for it. */
bool entry_check(const struct tongue *o, unsigned entry, const char *words, uint32_t english, char *why, size_t size);

/* -- characters (gsm.c) -------------------------------------------------------------------------------------------- */

/* The next character of UTF-8 with its bytes in *size (1-4, never past `end`), U+FFFD and one byte for what is not
 * UTF-8. Surrogates and over-long forms are not UTF-8. `s` < `end`. */
uint32_t utf8_next(const char *s, const char *end, size_t *size);
/* A near character within GSM 03.38 for one outside (á: a, ’: '), the same character when there is none. */
uint32_t gsm_near(uint32_t code_point);

#endif
