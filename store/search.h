/* Search: the words that a person is found by. */
#ifndef QUIETARM_STORE_SEARCH_H
#define QUIETARM_STORE_SEARCH_H

#include "store/driver.h"

enum { SEARCH_WORD = 48, SEARCH_WORDS = 12 };

/* Sets the words of a person anew. In a transaction. */
int search_put(struct db *db, const struct person *p);
/* Takes a text apart into folded words: lower case, without accents; letters and digits of any script, and . - _ / within
 * them. Returns how many, at most `max`. */
size_t search_words(const char *text, char words[][SEARCH_WORD], size_t max);

#endif
