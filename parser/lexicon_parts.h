/* The inside of the lexicon, shared by its reader (lexicon.c) and its matcher (scan.c) alone. */
#ifndef QUIETARM_PARSER_LEXICON_PARTS_H
#define QUIETARM_PARSER_LEXICON_PARTS_H

#define PCRE2_CODE_UNIT_WIDTH 8
#include <pcre2.h>

#include "parser/lexicon.h"
#include "parser/machine.h"
#include "parser/meaning.h"
#include "parser/phrase.h"
#include "parser/words.h"

/* A match is given up after so many steps of PCRE2's, and the phrase then ends where the sieve says that it can. */
enum { LEXICON_MATCH_LIMIT = 4000 };

struct lexicon_phrase {
    uint32_t sense, line;
    uint32_t first;    /* its first step */
    uint32_t pattern;  /* where its pattern begins */
    bool one_word;     /* it is one word, and no pattern is needed to tell where it ends */
    pcre2_code *code;  /* its pattern compiled, when a text first needed it */
};

struct lexicon {
    struct words words;
    struct program program;
    struct machine machine;
    struct sense *senses;
    size_t sense_count;
    struct lexicon_phrase *phrases;
    size_t phrase_count, phrase_room;
    char languages[LEXICON_LANGUAGES][MEANING_LANGUAGE];
    unsigned language_count;
    pcre2_match_data *match;
    pcre2_match_context *context;
    bool jit;   /* patterns are compiled to machine code */
    char *line; /* the text being scanned: words, each followed by one space */
    size_t line_n, line_room;
};

/* senses.c: the kind of that name, or -1; reads an argument of a section, the first at position 0, into its sense (false
 * when the kind has no such argument); whether a section of that kind needs none. */
int sense_kind(const char *name);
bool sense_argument(struct sense *s, const char *word, int position);
bool sense_is_whole(unsigned kind);

/* slips.c: adds the misspellings of what flags are known by. False when out of memory. */
bool slips_find(struct lexicon *l);

/* Compiles the pattern of a phrase, if it is not yet. False with a line in `why`. */
bool phrase_compile(struct lexicon *l, uint32_t phrase, char *why, size_t why_size);

#endif
