/* One phrase of the lexicon, read: its pattern for PCRE2 and the words it can begin with.
 *
 *     word         that word                     word*        a word that begins so
 *     #            a number in digits            _            any one word
 *     ..           up to three words             ...          up to seven words
 *     ( a | b c )  one of these                  [ a | b ]    one of these or nothing
 *     <name>       the group defined by @name = a | b c
 *     ^ ... $      only at the start, only at the end of a clause
 *     , . ? ! : + $ and other single marks stand for themselves
 */
#ifndef QUIETARM_PARSER_PHRASE_H
#define QUIETARM_PARSER_PHRASE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { PHRASE_SIEVE = 256, PHRASE_SIEVED = 3 }; /* bits of a sieve of words, by their first three letters */
enum { PHRASE_FIRSTS = 1200, PHRASE_WORD = 40, PHRASE_PATTERN = 24000 };

struct phrase_first {
    char word[PHRASE_WORD];
    bool prefix; /* any word that begins so */
    bool second_any;                    /* any word can come second, or none need */
    uint64_t second[PHRASE_SIEVE / 64]; /* else the sieve of those that can */
};

struct phrase {
    char pattern[PHRASE_PATTERN]; /* for PCRE2, matching at a word's first byte */
    size_t size;
    struct phrase_first first[PHRASE_FIRSTS];
    size_t firsts;
    bool simple; /* a single word without condition: the look-up alone finds it */
};

/* The bit of a word in a sieve. A number's is that of "#". */
unsigned phrase_sieve(const char *word, size_t size);

/* Finds the group `name` (folded, `size` bytes): its text, or NULL. */
typedef const char *(*phrase_group)(void *context, const char *name, size_t size);

/* The word that `word` is read as in texts: itself, or what it is a misspelling of. */
typedef const char *(*phrase_alias)(void *context, const char *word, size_t size);

/* Reads `text` (folded, NUL-ended). NULL, or what is wrong with it. */
const char *phrase_read(struct phrase *p, const char *text, phrase_group group, phrase_alias alias,
                        void *context);

#endif
