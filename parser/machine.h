/* The sieve: all phrases as one machine over words, which tells what a text can say from one of its words on.
 *
 * A state is what may still come of the phrases that began there. States and the ways between them are worked out when a
 * text first needs them and kept, so that a text after the first few thousand costs one look-up a word. What is kept has
 * a ceiling; when it is reached the machine is emptied and learns anew. It holds no meaning: emptied or not, the same
 * words lead to the same phrases.
 */
#ifndef QUIETARM_PARSER_MACHINE_H
#define QUIETARM_PARSER_MACHINE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "parser/phrase.h"

struct lexicon;

enum { MACHINE_DEAD, MACHINE_START, MACHINE_FIRST, MACHINE_STATES = 100000, MACHINE_ITEMS = 1500000,
       MACHINE_WAYS = 1000000 };

enum { EDGE_BEFORE = 1, EDGE_BEHIND = 2 }; /* a clause begins before the word, ends behind it */

/* Steps that take the next word, in order, and phrases that are said: item[from, middle), item[middle, end). */
struct state {
    uint32_t from, middle, end;
};

struct way {
    uint64_t key; /* state, word and edges; 0 empty */
    uint32_t to;
};

struct machine {
    const struct lexicon *lexicon; /* its words, steps and phrases; nothing is added to them any more */
    struct state *state;
    size_t state_n, state_room;
    uint32_t *item;
    size_t item_n, item_room;
    struct way *way; /* open addressing, at most half full */
    size_t way_n, way_room;
    uint32_t *twin; /* 1 + state, by the hash of its items: at most half full */
    size_t twin_room;
    uint32_t *seen; /* by step: the round in which it was met */
    uint32_t round;
    uint32_t *pending;
    size_t pending_n;
};

/* `lexicon` is borrowed. False when out of memory. */
bool machine_open(struct machine *m, const struct lexicon *lexicon);
void machine_close(struct machine *m);

/* To be called where no state is held: empties a machine that has reached its ceiling. */
void machine_rest(struct machine *m);

/* Where word number `word` leads from a state; MACHINE_DEAD where to nothing, UINT32_MAX when out of memory.
 * EDGE_BEFORE matters only from MACHINE_START. */
uint32_t machine_go(struct machine *m, uint32_t from, uint32_t word, unsigned edges);

#endif
