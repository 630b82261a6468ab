/* Misspellings: words a letter away from one that a flag is known by. A missed flag is the worst error that the parser can
 * make, and who feels ill types badly. A spelling that is a word of the lexicon stays that word. Some 30 for each of 800
 * words, 3 ms at the start.
 */
#include <string.h>

#include "parser/lexicon_parts.h"

/* The word `slip` is read as word number `index`, unless it is a word itself. */
static bool slip_add(struct lexicon *l, uint32_t index, const char *slip, size_t size) {
    size_t before = l->words.n;
    struct word *word = words_add(&l->words, slip, size, false);
    if (word == NULL) {
        return false;
    }
    if (l->words.n > before) {
        word->alias = index + 1;
    }
    return true;
}

/* The slips at letter i of a word of n: the letter missing, doubled, swapped with the next, or, in words of eight letters
 * and more, a vowel for a vowel. The first letter must stand. */
static bool slips_at(struct lexicon *l, uint32_t index, const char *key, size_t n, size_t i) {
    static const char vowels[] = "aeiou";
    char slip[PHRASE_WORD + 1];
    memcpy(slip, key, i);
    memcpy(slip + i, key + i + 1, n - i);
    bool ok = slip_add(l, index, slip, n - 1);
    memcpy(slip + i, key + i, 1);
    memcpy(slip + i + 1, key + i, n - i);
    ok = ok && slip_add(l, index, slip, n + 1);
    memcpy(slip, key, n);
    if (i + 1 < n) {
        slip[i] = key[i + 1];
        slip[i + 1] = key[i];
        ok = ok && slip_add(l, index, slip, n);
        slip[i + 1] = key[i + 1];
    }
    for (const char *v = vowels; ok && n >= 8 && *v != '\0' && strchr(vowels, key[i]) != NULL; v++) {
        slip[i] = *v;
        ok = slip_add(l, index, slip, n);
    }
    return ok;
}

/* The slips of a word of six letters or more that a flag is known by. */
static bool slips_add(struct lexicon *l, uint32_t index) {
    char key[PHRASE_WORD];
    size_t n = l->words.at[index].size;
    bool ok = true;
    if (n < 6 || n >= sizeof key) {
        return true;
    }
    memcpy(key, l->words.at[index].key, n + 1);
    for (size_t i = 1; ok && i < n; i++) {
        ok = slips_at(l, index, key, n, i);
    }
    return ok;
}

bool slips_find(struct lexicon *l) {
    size_t n = l->words.n;
    for (size_t i = 0; i < n; i++) {
        const struct word *word = &l->words.at[i];
        if (word->flagged && !word->prefix && word->alias == 0 && !slips_add(l, (uint32_t)i)) {
            return false;
        }
    }
    return true;
}

