/* The parser: one text in, one meaning out. Pure: no clock, no store, no network.
 *
 *     struct parser *p;
 *     char why[256];
 *     if (parser_open(&p, files, n, why, sizeof why) < 0) ...
 *     struct moment received = {.year = 2026, .month = 11, .day = 24, .minute = 8 * 60 + 10};
 *     struct meaning *m = ...;
 *     parser_read(p, text, strlen(text), received, m);
 *     parser_close(p);
 */
#ifndef QUIETARM_PARSER_H
#define QUIETARM_PARSER_H

#include "parser/meaning.h"

enum { PARSER_READ_CHARACTERS = 1600 }; /* readings are sought in these first characters, flags in the whole text */

/* A file linked into the program: `size` bytes at `bytes`, a NUL behind them. Tables end with name NULL. */
struct embedded {
    const char *name; /* the file's name in its folder: "en.words" */
    const char *bytes;
    size_t size;
};
extern const struct embedded parser_lexicon[]; /* every file of parser/lexicon/ */

/* The patient's local time of receipt. */
struct moment {
    int year, month, day; /* Gregorian, month and day from 1 */
    int minute;           /* of the day, 0-1439 */
};

struct parser;

/* Reads the linked-in lexicon, with `n` further or replacing files (borrowed during the call).
 * Returns 0 and a parser that the caller closes, or -1 with lines "FILE:LINE: what, what to do" in `why`, one a mistake, at most
 * 20 and as many as fit. */
int parser_open(struct parser **out, const struct embedded *more, size_t n, char *why, size_t why_size);
void parser_close(struct parser *p); /* takes NULL */

/* Compiles every phrase now. Those of the linked-in files otherwise wait for the text that first needs them.
 * Returns 0, or -1 with a line in `why`. */
int parser_check(struct parser *p, char *why, size_t why_size);

/* Whether the fast matcher could be compiled (false under MemoryDenyWriteExecute: still right, but slower). Known once
 * a phrase was compiled. */
bool parser_has_jit(const struct parser *p);

/* Reads one text of `size` bytes (any bytes: invalid UTF-8 is replaced, NUL is a character). Never fails, never
 * allocates once warm. A parser is used by one thread at a time; open one for each thread. */
void parser_read(struct parser *p, const char *text, size_t size, struct moment received, struct meaning *out);

/* The contract's JSON object for a meaning, on one line without a line break, and for people how each span was
 * taken. Both return malloced strings that the caller frees, NULL when out of memory. */
char *meaning_json(const struct meaning *m);
char *parser_why(struct parser *p, const char *text, size_t size, struct moment received);

/* The command `quietarm parse`: argv after the command's name. `now` is the default time of receipt.
 * Returns the exit status. */
int parse_command(struct parser *p, int argc, char **argv, struct moment now);

#endif
