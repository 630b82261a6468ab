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

enum { PHRASE_FIRSTS = 1200, PHRASE_WORD = 40, PHRASE_PATTERN = 24000 };

struct phrase_first {
    char word[PHRASE_WORD];
    bool prefix; /* any word that begins so */
};

struct phrase {
    char pattern[PHRASE_PATTERN]; /* for PCRE2, matching at a word's first byte */
    size_t size;
    struct phrase_first first[PHRASE_FIRSTS];
    size_t firsts;
    bool simple; /* a single word without condition: the look-up alone finds it */
};

/* Finds the group `name` (folded, `size` bytes): its text, or NULL. */
typedef const char *(*phrase_group)(void *context, const char *name, size_t size);

/* Reads `text` (folded, NUL-ended). NULL, or what is wrong with it. */
const char *phrase_read(struct phrase *p, const char *text, phrase_group group, void *context);

#endif
