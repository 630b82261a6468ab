/* A dictionary of words for the lexicon, by number. Exact words and beginnings ("palpit*") live in one hash table; a
 * word of the text is hashed once, letter by letter, and every beginning of it is looked up on the way. To the
 * machine a word of the text is the number of itself, else of the longest beginning known, else WORD_OTHER: nothing in
 * any phrase can tell two words of one number apart.
 */
#ifndef QUIETARM_PARSER_WORDS_H
#define QUIETARM_PARSER_WORDS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { WORD_NUMBER, WORD_OTHER, WORD_EMPTY, WORD_BREAK }; /* always there, in this order */
enum { WORDS_FOUND = 12 }; /* beginnings of one word that are known */

struct word {
    char *key;
    uint32_t hash, size;
    bool prefix;
    bool number;      /* digits */
    bool edge;        /* a mark at which a clause begins and ends */
    bool stop;        /* a mark that no gap goes over */
    bool flagged;     /* stands in a phrase of a flag: its misspellings are known too */
    uint32_t alias;   /* 1 + number of the word that this one is read as; 0 = itself */
    uint32_t *phrase; /* phrases that it can begin */
    uint32_t phrases;
};

struct words {
    struct word *at;
    size_t n, room;
    struct word_slot *slots; /* open addressing, at most half full */
    size_t slot_count;
    uint64_t prefix_sizes;     /* bit s: a beginning of s bytes exists */
    uint8_t prefix_seen[8192]; /* a filter over the hashes of beginnings */
};

/* Adds what every dictionary holds. False when out of memory. */
bool words_fresh(struct words *w);
void words_free(struct words *w);

/* The word `key`, added when it is new; NULL when out of memory. Pointers live until the next addition. */
struct word *words_add(struct words *w, const char *key, size_t size, bool prefix);
/* Notes that the word can begin a phrase, once. False when out of memory. */
bool words_attach(struct word *word, uint32_t phrase);

/* The number of the word `text`; WORD_OTHER when there is none. */
uint32_t words_exact(const struct words *w, const char *text, size_t size);
/* The number of `text`, or of its longest beginning, or WORD_OTHER; of a misspelling, the word it is read as. */
uint32_t words_nearest(const struct words *w, const char *text, size_t size);
/* The entries by which word number `word` can begin a phrase: its beginnings, itself, any number. Returns how many. */
size_t words_begin(const struct words *w, uint32_t word, const struct word *found[WORDS_FOUND]);

#endif
