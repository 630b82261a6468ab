/* Search: a row for each word of a name, the ref, and the number whole and its ends, so that a patient is found by the
 * beginning of any of them through an index, however many there are.
 *
 * "Núñez" is found by "nunez" and the other way round: words are folded, without accents, before they are kept and before
 * they are looked for. Some six rows a patient.
 */
#include "store/search.h"

#include <glib.h>
#include <stdio.h>
#include <string.h>

static bool in_word(gunichar c)
{
    return g_unichar_isalnum(c) || (c < 128 && c && strchr(".-_/", (int)c));
}

size_t search_words(const char *text, char words[][SEARCH_WORD], size_t max)
{
    char *valid = g_utf8_make_valid(text, -1), *folded = g_utf8_casefold(valid, -1);
    char *apart = g_utf8_normalize(folded, -1, G_NORMALIZE_ALL);
    size_t n = 0, used = 0;
    for (const char *at = apart ? apart : ""; n < max; at = g_utf8_next_char(at)) {
        gunichar c = g_utf8_get_char(at);
        int size = g_utf8_next_char(at) - at;
        if (in_word(c) && used + (size_t)size < SEARCH_WORD) {
            memcpy(words[n] + used, at, (size_t)size);
            used += (size_t)size;
        } else if (!in_word(c) && !g_unichar_ismark(c) && used) {
            words[n++][used] = '\0';
            used = 0;
        }
        if (!c)
            break;
    }
    g_free(apart);
    g_free(folded);
    g_free(valid);
    return n;
}

static int word_put(struct db *db, const struct person *p, const char *word)
{
    static const char put[] = "INSERT INTO people_words (clinic, word, person) VALUES ($1, $2, $3) ON CONFLICT DO NOTHING";
    struct value values[] = {value_text(p->clinic), value_text(word), value_whole(p->id)};
    return *word ? db_run(db, put, values, COUNT(values)) : 0;
}

/* "+447700900123": 447700900123, and 900123 and 123, as people say them. */
static int number_put(struct db *db, const struct person *p)
{
    const char *digits = p->phone + (p->phone[0] == '+');
    size_t n = strlen(digits);
    int error = word_put(db, p, digits);
    if (!error && n > 6)
        error = word_put(db, p, digits + n - 6);
    return error || n <= 3 ? error : word_put(db, p, digits + n - 3);
}

int search_put(struct db *db, const struct person *p)
{
    static const char drop[] = "DELETE FROM people_words WHERE person = $1";
    char words[SEARCH_WORDS][SEARCH_WORD];
    int error = db_run(db, drop, (struct value[]){value_whole(p->id)}, 1);
    if (error || !p->ref[0])
        return error;
    size_t n = search_words(p->ref, words, SEARCH_WORDS);
    for (size_t i = 0; i < n && !error; i++)
        error = word_put(db, p, words[i]);
    n = search_words(p->name, words, SEARCH_WORDS);
    for (size_t i = 0; i < n && !error; i++)
        error = word_put(db, p, words[i]);
    return error ? error : number_put(db, p);
}
