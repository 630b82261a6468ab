/* The dictionary: FNV-1a with open addressing, at most half full, so that a look-up is one or two probes (about 20 ns).
 * It must never give a beginning for a word shorter than it.
 */
#include "parser/words.h"

#include <stdlib.h>
#include <string.h>

static const uint32_t FNV_START = 2166136261u, FNV_PRIME = 16777619u;

struct word_slot {
    uint32_t hash;
    uint32_t index; /* 1 + number; 0 empty */
};

static uint32_t hash_step(uint32_t h, char c) {
    return (h ^ (unsigned char)c) * FNV_PRIME;
}

static size_t slot_of(const struct words *w, uint32_t hash, bool prefix) {
    uint32_t mixed = hash ^ (hash >> 15) ^ (prefix ? 0x9E3779B9u : 0);
    return mixed & (w->slot_count - 1);
}

static void slot_put(struct words *w, size_t index) {
    size_t s = slot_of(w, w->at[index].hash, w->at[index].prefix);
    while (w->slots[s].index != 0) {
        s = (s + 1) & (w->slot_count - 1);
    }
    w->slots[s] = (struct word_slot){w->at[index].hash, (uint32_t)index + 1};
}

/* 1 + the number of the word, 0 when it is not there. */
static uint32_t slot_get(const struct words *w, uint32_t hash, const char *key, size_t size, bool prefix) {
    for (size_t s = slot_of(w, hash, prefix); w->slots[s].index != 0; s = (s + 1) & (w->slot_count - 1)) {
        if (w->slots[s].hash == hash) {
            const struct word *word = &w->at[w->slots[s].index - 1];
            if (word->prefix == prefix && word->size == size && memcmp(word->key, key, size) == 0) {
                return w->slots[s].index;
            }
        }
    }
    return 0;
}

static bool words_grow(struct words *w) {
    if (w->n == w->room) {
        size_t room = w->room == 0 ? 8192 : w->room * 2;
        struct word *at = realloc(w->at, room * sizeof *at);
        if (at == NULL) {
            return false;
        }
        w->at = at;
        w->room = room;
    }
    if ((w->n + 1) * 2 > w->slot_count) {
        size_t count = w->slot_count == 0 ? 32768 : w->slot_count * 2;
        struct word_slot *slots = calloc(count, sizeof *slots);
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

static uint32_t hash_of(const char *key, size_t size) {
    uint32_t hash = FNV_START;
    for (size_t i = 0; i < size; i++) {
        hash = hash_step(hash, key[i]);
    }
    return hash;
}

struct word *words_add(struct words *w, const char *key, size_t size, bool prefix) {
    uint32_t hash = hash_of(key, size), known = w->slot_count == 0 ? 0 : slot_get(w, hash, key, size, prefix);
    if (known != 0) {
        return &w->at[known - 1];
    }
    char *copy = malloc(size + 1);
    if (copy == NULL || !words_grow(w)) {
        free(copy);
        return NULL;
    }
    memcpy(copy, key, size);
    copy[size] = '\0';
    w->at[w->n] = (struct word){.key = copy, .hash = hash, .size = (uint32_t)size, .prefix = prefix,
                                .number = size > 0 && strspn(copy, "0123456789") == size};
    slot_put(w, w->n);
    if (prefix) {
        w->prefix_sizes |= 1ull << (size < 63 ? size : 63);
        w->prefix_seen[(hash >> 3) & 8191] |= (uint8_t)(1u << (hash & 7));
    }
    return &w->at[w->n++];
}

bool words_fresh(struct words *w) {
    static const char *const always[] = {"#", "_", "", "^", ".", ",", ";", ":", "!", "?", "(", ")", "-", "\"", "/"};
    for (size_t i = 0; i < sizeof always / sizeof always[0]; i++) {
        struct word *word = words_add(w, always[i], strlen(always[i]), false);
        if (word == NULL) {
            return false;
        }
        word->number = i == WORD_NUMBER;
        word->edge = i >= WORD_EMPTY && *always[i] != '/';
        word->stop = i >= WORD_EMPTY && *always[i] != '-' && *always[i] != '"';
    }
    return true;
}

bool words_attach(struct word *word, uint32_t phrase) {
    uint32_t n = word->phrases;
    if (n > 0 && word->phrase[n - 1] == phrase) {
        return true;
    }
    if ((n & (n - 1)) == 0) { /* full: room is the next power of two */
        uint32_t *more = realloc(word->phrase, (n == 0 ? 1 : 2 * n) * sizeof *more);
        if (more == NULL) {
            return false;
        }
        word->phrase = more;
    }
    word->phrase[word->phrases++] = phrase;
    return true;
}

uint32_t words_exact(const struct words *w, const char *text, size_t size) {
    uint32_t found = slot_get(w, hash_of(text, size), text, size, false);
    return found != 0 ? found - 1 : WORD_OTHER;
}

/* Whether a beginning of this size and hash may be known. */
static bool prefix_maybe(const struct words *w, size_t size, uint32_t hash) {
    return size < 63 && (w->prefix_sizes >> size & 1) && (w->prefix_seen[(hash >> 3) & 8191] >> (hash & 7) & 1);
}

uint32_t words_nearest(const struct words *w, const char *text, size_t size) {
    uint32_t hash = FNV_START, found, prefixes[WORDS_FOUND], hashes[WORDS_FOUND], n = 0;
    for (size_t i = 0; i < size; i++) {
        hash = hash_step(hash, text[i]);
        if (prefix_maybe(w, i + 1, hash) && n < WORDS_FOUND) {
            prefixes[n] = (uint32_t)i + 1;
            hashes[n++] = hash;
        }
    }
    if ((found = slot_get(w, hash, text, size, false)) != 0) {
        const struct word *word = &w->at[found - 1];
        return word->alias != 0 ? word->alias - 1 : found - 1;
    }
    while (n-- > 0) {
        if ((found = slot_get(w, hashes[n], text, prefixes[n], true)) != 0) {
            return found - 1;
        }
    }
    return WORD_OTHER;
}

size_t words_begin(const struct words *w, uint32_t word, const struct word *found[WORDS_FOUND]) {
    const struct word *self = &w->at[word];
    uint32_t hash = FNV_START, index;
    size_t n = 0;
    for (size_t i = 0; i < self->size && n + 2 < WORDS_FOUND; i++) {
        hash = hash_step(hash, self->key[i]);
        if (prefix_maybe(w, i + 1, hash) && (index = slot_get(w, hash, self->key, i + 1, true)) != 0) {
            found[n++] = &w->at[index - 1];
        }
    }
    if (!self->prefix) {
        found[n++] = self;
    }
    if (self->number && word != WORD_NUMBER) {
        found[n++] = &w->at[WORD_NUMBER];
    }
    return n;
}

void words_free(struct words *w) {
    for (size_t i = 0; i < w->n; i++) {
        free(w->at[i].key);
        free(w->at[i].phrase);
    }
    free(w->at);
    free(w->slots);
    memset(w, 0, sizeof *w);
}
