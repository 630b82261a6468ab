/* One phrase of the lexicon, read: a pattern for PCRE2, and the steps by which a text can say it.
 *
 *     word         that word                     word*        a word that begins so
 *     #            a number in digits            _            any one word
 *     ..           up to three words             ...          up to seven words
 *     ( a | b c )  one of these                  [ a | b ]    one of these or nothing
 *     <name>       the group defined by @name = a | b c
 *     ^ ... $      only at the start, only at the end of a clause
 *     , . ? ! : + $ and other single marks stand for themselves
 *
 * The steps of all phrases stand in one program, for the sieve (machine.h), which tells the few phrases that a text can
 * say; how far each reaches, its pattern tells. A step either takes one word and goes to the step behind it, or takes
 * none and leads on.
 */
#ifndef QUIETARM_PARSER_PHRASE_H
#define QUIETARM_PARSER_PHRASE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct words;

enum { PHRASE_WORD = 40 }; /* bytes of the longest word, with its NUL */

enum step_kind {
    STEP_WORD,   /* takes word a */
    STEP_CHOICE, /* takes one of the b words from choice a on, which are in order */
    STEP_PREFIX, /* takes a word that begins as word a */
    STEP_NUMBER, /* takes a number */
    STEP_ANY,    /* takes any word, no mark of punctuation */
    STEP_FORK,   /* goes to a and to b */
    STEP_GO,     /* goes to a */
    STEP_STARTS, /* only at the start of a clause */
    STEP_ENDS,   /* only at its end */
    STEP_SAID    /* phrase a is said */
};

struct step {
    uint32_t kind, a, b;
};

struct program {
    struct step *at;
    size_t n, room;
    uint32_t *choice; /* words, by number */
    size_t choice_n, choice_room;
    char *pattern; /* one behind the other, each ended by a NUL, each to be matched at a word's first byte */
    size_t pattern_n, pattern_room;
};

/* Finds the group `name` (folded, `size` bytes): its text, or NULL. */
typedef const char *(*phrase_group)(void *context, const char *name, size_t size);

/* Appends phrase number `id`, `text` (folded, NUL-ended), whose words are added to `words`. Returns NULL, or what is
 * wrong with it. Its first step is the program's `n` before, its pattern begins at the `pattern_n` before. */
const char *phrase_read(struct program *p, struct words *words, const char *text, uint32_t id, phrase_group group,
                        void *context);
void program_free(struct program *p);

#endif
