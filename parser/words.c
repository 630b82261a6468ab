/* The dictionary: FNV-1a with open addressing, at most half full, so that a look-up is one or two probes (about 20 ns).
 * It must never give a beginning for a word shorter than it.
 */
#include "parser/words.h"

#include <stdlib.h>
#include <string.h>

static const uint32_t FNV_START = 2166136261u, FNV_PRIME = 16777619u;

static uint32_t hash_step(uint32_t h, char c) {
    return (h ^ (unsigned char)c) * FNV_PRIME;
}

static size_t slot_of(const struct words *w, uint32_t hash, bool prefix) {
    uint32_t mixed = hash ^ (hash >> 15) ^ (prefix ? 0x9E3779B9u : 0);
    return mixed & (w->slot_count - 1);
}

static void slot_put(struct words *w, size_t index) {
    size_t s = slot_of(w, w->at[index].hash, w->at[index].prefix);
    while (w->slots[s] != 0) {
        s = (s + 1) & (w->slot_count - 1);
    }
    w->slots[s] = (uint32_t)index + 1;
}

static struct word *slot_get(const struct words *w, uint32_t hash, const char *key, size_t size, bool prefix) {
    if (w->slot_count == 0) {
        return NULL;
    }
    for (size_t s = slot_of(w, hash, prefix); w->slots[s] != 0; s = (s + 1) & (w->slot_count - 1)) {
        struct word *word = &w->at[w->slots[s] - 1];
        if (word->hash == hash && word->prefix == prefix && word->size == size && memcmp(word->key, key, size) == 0) {
            return word;
        }
    }
    return NULL;
}

static bool words_grow(struct words *w) {
    if (w->n == w->room) {
        size_t room = w->room == 0 ? 1024 : w->room * 2;
        struct word *at = realloc(w->at, room * sizeof *at);
        if (at == NULL) {
            return false;
        }
        w->at = at;
        w->room = room;
    }
    if ((w->n + 1) * 2 > w->slot_count) {
        size_t count = w->slot_count == 0 ? 4096 : w->slot_count * 2;
        uint32_t *slots = calloc(count, sizeof *slots);
        if (slots == NULL) {
            return false;
        }
        free(w->slots);
        w->slots = slots;
        w->slot_count = count;
        for (size_t i = 0; i < w->n; i++) {
            slot_put(w, i);
        }
    }
    return true;
}

struct word *words_add(struct words *w, const char *key, size_t size, bool prefix) {
    uint32_t hash = FNV_START;
    for (size_t i = 0; i < size; i++) {
        hash = hash_step(hash, key[i]);
    }
    struct word *word = slot_get(w, hash, key, size, prefix);
    if (word != NULL) {
        return word;
    }
    char *copy = malloc(size + 1);
    if (copy == NULL || !words_grow(w)) {
        free(copy);
        return NULL;
    }
    memcpy(copy, key, size);
    copy[size] = '\0';
    w->at[w->n] = (struct word){.key = copy, .hash = hash, .size = (uint32_t)size, .prefix = prefix};
    slot_put(w, w->n);
    if (prefix) {
        w->prefix_sizes |= 1ull << (size < 63 ? size : 63);
        w->prefix_seen[(hash >> 3) & 8191] |= (uint8_t)(1u << (hash & 7));
    }
    return &w->at[w->n++];
}

bool words_attach(struct word *word, uint32_t phrase) {
    uint32_t *more = realloc(word->simple, (word->simples + 1) * sizeof *more);
    if (more == NULL) {
        return false;
    }
    word->simple = more;
    more[word->simples++] = phrase;
    return true;
}

bool words_attach_longer(struct word *word, struct word_phrase phrase) {
    struct word_phrase *more = realloc(word->longer, (word->longers + 1) * sizeof *more);
    if (more == NULL) {
        return false;
    }
    word->longer = more;
    more[word->longers++] = phrase;
    return true;
}

size_t words_find(const struct words *w, const char *text, size_t size, const struct word **found, size_t room) {
    uint32_t hash = FNV_START;
    size_t n = 0;
    for (size_t i = 0; i < size; i++) {
        hash = hash_step(hash, text[i]);
        if (i >= 2 && i < 62 && (w->prefix_sizes >> (i + 1) & 1) &&
            (w->prefix_seen[(hash >> 3) & 8191] >> (hash & 7) & 1) && n < room) {
            const struct word *word = slot_get(w, hash, text, i + 1, true);
            if (word != NULL) {
                found[n++] = word;
            }
        }
    }
    const struct word *word = slot_get(w, hash, text, size, false);
    if (word != NULL && n < room) {
        found[n++] = word;
    }
    return n;
}

void words_free(struct words *w, void (*pattern_free)(void *)) {
    for (size_t i = 0; i < w->n; i++) {
        free(w->at[i].key);
        free(w->at[i].simple);
        free(w->at[i].longer);
        pattern_free(w->at[i].pattern);
        pattern_free(w->at[i].sieved);
    }
    free(w->at);
    free(w->slots);
    memset(w, 0, sizeof *w);
}
