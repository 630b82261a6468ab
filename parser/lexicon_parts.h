/* The inside of the lexicon, shared by its reader (lexicon.c) and its matcher (scan.c) alone. */
#ifndef QUIETARM_PARSER_LEXICON_PARTS_H
#define QUIETARM_PARSER_LEXICON_PARTS_H

#define PCRE2_CODE_UNIT_WIDTH 8
#include <pcre2.h>

#include "parser/lexicon.h"
#include "parser/meaning.h"
#include "parser/words.h"

enum { LEXICON_LANGUAGES = 16, LEXICON_MATCH_LIMIT = 4000, LEXICON_FOUND = 12 };

struct lexicon_phrase {
    char *pattern; /* for PCRE2; freed once compiled */
    uint32_t sense;
    uint32_t line;
};

struct lexicon {
    struct words words;
    struct sense *senses;
    size_t sense_count;
    struct lexicon_phrase *phrases;
    size_t phrase_count, phrase_room;
    char languages[LEXICON_LANGUAGES][MEANING_LANGUAGE];
    unsigned language_count;
    pcre2_match_data *match;
    pcre2_match_context *context;
    pcre2_jit_stack *stack;
    bool jit, jit_tried; /* each pattern is compiled to machine code at its first match */
    char *line; /* the text being scanned: words, each followed by one space */
    size_t line_size, line_room;
};

/* Compiles the longer phrases of every word. False with a line in `why`. */
bool scan_compile(struct lexicon *l, char *why, size_t why_size);
void scan_pattern_free(void *pattern);

#endif
