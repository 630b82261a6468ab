/* A dictionary of words for the lexicon: what a word of the text can begin. Exact words and beginnings ("palpit*")
 * live in one hash table; a word is hashed once, letter by letter, and every beginning of it is looked up on the way.
 */
#ifndef QUIETARM_PARSER_WORDS_H
#define QUIETARM_PARSER_WORDS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* A phrase that a word can begin, and the sieve of what can come second: see phrase.h. */
struct word_phrase {
    uint32_t phrase;
    bool second_any;
    uint64_t second[4];
};

struct word {
    char *key;
    uint32_t hash, size;
    bool prefix;
    bool vocabulary;          /* stands in some phrase */
    bool flagged;             /* stands in a phrase of a flag: its misspellings are known too */
    uint32_t alias;           /* 1 + index of the word that this one is read as; 0 = itself */
    uint32_t *simple;         /* phrases that this word alone makes */
    struct word_phrase *longer; /* phrases that it can begin */
    uint32_t simples, longers;
    void *pattern;            /* the longer phrases compiled: pcre2_code, NULL when there are none */
    void *sieved;             /* of those the ones whose second word is in the sieve, likewise */
    uint64_t second[4];       /* the sieve: see phrase.h */
};

struct words {
    struct word *at;
    size_t n, room;
    uint32_t *slots; /* open addressing: 1 + index, 0 empty */
    size_t slot_count;
    uint64_t prefix_sizes; /* bit s: a prefix of s bytes exists */
    uint8_t prefix_seen[8192]; /* a filter over the hashes of prefixes */
};

/* The word `key`, added when it is new; NULL when out of memory. Pointers live until the next addition. */
struct word *words_add(struct words *w, const char *key, size_t size, bool prefix);
/* Attaches a phrase that the word alone makes, or one that it can begin. False when out of memory. */
bool words_attach(struct word *word, uint32_t phrase);
bool words_attach_longer(struct word *word, struct word_phrase phrase);

/* Looks up `text` and every beginning of it: at most `room` words into `found`; returns how many. */
size_t words_find(const struct words *w, const char *text, size_t size, const struct word **found, size_t room);
void words_free(struct words *w, void (*pattern_free)(void *));

#endif
