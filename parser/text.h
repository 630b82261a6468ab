/* The first two steps: bytes to folded text, folded text to tokens.
 *
 * Folded text is what the rest of the parser sees: compatibility forms taken apart (Unicode NFKC seen without its
 * marks), lower case, no accents, no invisible characters, digits of every script as 0-9, every dash `-`, every
 * slash `/`. It is valid UTF-8. `origin[i]` is the byte of the sent text that folded byte i came from.
 * Buffers grow and are kept, so that a parser that is warm allocates nothing.
 */
#ifndef QUIETARM_PARSER_TEXT_H
#define QUIETARM_PARSER_TEXT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { FOLD_GROWTH = 5 }; /* no character becomes more folded bytes than this for each of its own: a quarter, 9 for 2 */

struct folded {
    char *text;
    uint32_t *origin;
    size_t n, room;
    size_t read_end; /* folded bytes that stem from the first PARSER_READ_CHARACTERS characters */
};

/* Returns false when out of memory; `f` then holds what fitted. */
bool fold_text(struct folded *f, const char *bytes, size_t size);
void folded_free(struct folded *f);

/* Folds one Unicode character into at most 12 bytes at `out`; returns how many. `previous` is the folded byte before. */
size_t fold_character(char out[12], uint32_t c, char previous);

enum token_kind { TOKEN_WORD, TOKEN_NUMBER, TOKEN_MARK, TOKEN_BREAK };

enum { TOKEN_DIGITS = 24 }; /* the digits kept of a number; longer ones are no measurement */

struct token {
    uint32_t start, size; /* in the folded text */
    uint32_t word;        /* its number among the lexicon's words: see words.h */
    uint32_t line_at;     /* where it begins in the lexicon's line: see scan.c */
    uint32_t value;       /* of a number of up to 9 digits */
    uint8_t kind;         /* enum token_kind */
    uint8_t digits;       /* of a number: how many */
    char mark;            /* of a TOKEN_MARK: the character */
    bool edge;            /* a mark beside which a clause begins or ends, as far as phrases go */
    bool glued;           /* nothing stands between this token and the one before */
    bool repaired;        /* a number in which a letter stood for a digit */
    bool garbled;         /* digits and letters mixed past repair, or a digit that could not be read */
    bool readable;        /* within the first characters, where readings are sought */
};

struct tokens {
    struct token *at;
    size_t n, room;
};

bool tokens_cut(struct tokens *t, const struct folded *f);
void tokens_free(struct tokens *t);

#endif
