/* The words of the pages: one list a language, each entry with its name. english.h is the first; another language is a file
 * of the same names and a row in words.c.
 */
#ifndef QUIETARM_DESK_WORDS_H
#define QUIETARM_DESK_WORDS_H

#include "gateway/web/desk/english.h"

#define DESK_WORD(NAME, english) WORD_##NAME,
enum word { WORD_NONE, DESK_WORDS(DESK_WORD) WORDS_N };

const char *word(enum word w); /* "" for WORD_NONE */

#endif
