/* Cuts a text of a shared phone at the tags of the people who share it, before anything is parsed.
 *
 * "Ann 132/84 71 Bob 140/90" and "132/84 71 Ann, 140/90 Bob" tell whose each number is; one tag anywhere gives the whole text
 * to that person. Anything else (a tag in the middle of two numbers, none at all, more than there is room for) is not guessed:
 * it will be asked.
 */
#include "gateway/flow/inside.h"

#include <ctype.h>
#include <string.h>
#include <strings.h>

enum { CUTS_MAX = 32 };

struct cut {
    size_t person, from, to; /* where the tag itself stands */
};

static bool is_word(unsigned char c)
{
    return isalnum(c) || c >= 0x80;
}

/* Where a tag stands as a word of its own at `at`, any case; 0 when it does not. */
static size_t tag_at(const char *text, size_t size, size_t at, const char *tag)
{
    size_t n = strlen(tag);
    if (n == 0 || at + n > size || strncasecmp(text + at, tag, n) != 0)
        return 0;
    bool before = at == 0 || !is_word((unsigned char)text[at - 1]);
    bool after = at + n == size || !is_word((unsigned char)text[at + n]);
    return before && after ? n : 0;
}

/* How many there are, of which `cuts` holds the first CUTS_MAX; *one: all of them are one person's. */
static size_t find_cuts(const char *text, const char *const *tags, size_t n_tags, struct cut *cuts, bool *one)
{
    size_t n = 0, size = strlen(text), first = 0;
    *one = true;
    for (size_t at = 0; at < size; at++)
        for (size_t p = 0; p < n_tags; p++) {
            size_t length = tag_at(text, size, at, tags[p]);
            if (!length)
                continue;
            if (n < CUTS_MAX)
                cuts[n] = (struct cut){.person = p, .from = at, .to = at + length};
            first = n++ ? first : p;
            *one = *one && p == first;
            at += length - 1;
            break;
        }
    return n;
}

static bool blank(const char *text, size_t from, size_t to)
{
    for (size_t i = from; i < to; i++)
        if (is_word((unsigned char)text[i]))
            return false;
    return true;
}

/* The whole text is one person's: what stands around its first tag, the larger side when both hold something. */
static size_t whole_text(const char *text, const struct cut *cut, struct tagged *out)
{
    size_t size = strlen(text);
    if (blank(text, 0, cut->from))
        *out = (struct tagged){cut->person, cut->to, size - cut->to};
    else if (blank(text, cut->to, size))
        *out = (struct tagged){cut->person, 0, cut->from};
    else
        *out = (struct tagged){cut->person, 0, size};
    return 1;
}

size_t tags_cut(const char *text, const char *const *tags, size_t n_tags, struct tagged *out, size_t max)
{
    struct cut cuts[CUTS_MAX];
    bool one;
    size_t n = find_cuts(text, tags, n_tags, cuts, &one), size = strlen(text);
    if (n == 0 || max == 0)
        return 0;
    if (one)
        return whole_text(text, &cuts[0], out);
    if (n > max || n > CUTS_MAX) /* what is behind the last of them would be taken for its person's */
        return 0;
    bool leading = blank(text, 0, cuts[0].from), trailing = blank(text, cuts[n - 1].to, size);
    if (leading == trailing) /* "Ann 132/84 Bob": whose is it? */
        return 0;
    for (size_t i = 0; i < n; i++) {
        size_t from = leading ? cuts[i].to : i ? cuts[i - 1].to : 0;
        size_t to = !leading ? cuts[i].from : i + 1 < n ? cuts[i + 1].from : size;
        out[i] = (struct tagged){cuts[i].person, from, to - from};
    }
    return n;
}
