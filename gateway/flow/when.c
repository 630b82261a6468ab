/* The bare answer to "when?" and "on which days?": "yesterday morning", "today, all of them", "ayer por la noche".
 *
 * The parser knows a day only beside a number, so it is asked about one: "yesterday morning: 120/80". Must not take half an
 * answer for a whole one: in "the first two yesterday" the first words change nothing and are none of ours, so that it is no
 * bare answer and the form is asked for again. At most a dozen words, some 25 parses.
 */
#include "gateway/flow/inside.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

enum { WORDS_MOST = 12, WORD_MOST = 24 };

struct words {
    char at[WORDS_MOST][WORD_MOST];
    size_t n;
};

/* Words that change nothing about a day: they say that it holds for all. English, Spanish. */
static bool is_filler(const char *word)
{
    static const char *const fillers[] = {
        "all", "of", "them", "they", "it", "these", "those", "that", "this", "the", "was", "were", "is", "are", "from", "on",
        "in", "at", "for", "my", "i", "we", "did", "took", "taken", "measured", "done", "both", "readings", "reading", "please",
        "thanks", "sorry", "yes", "ok", "every", "one", "todas", "todos", "todo", "las", "los", "la", "el", "de", "del", "por",
        "en", "a", "eran", "era", "fue", "fueron", "son", "es", "esta", "este", "medidas", "tomadas", "medi", "gracias"};

    for (size_t i = 0; i < sizeof fillers / sizeof fillers[0]; i++)
        if (strcasecmp(word, fillers[i]) == 0)
            return true;
    return false;
}

static bool is_letter(unsigned char c)
{
    return isalnum(c) || c >= 0x80;
}

/* "07:30" and "7.30" are one word. False for more words than an answer has, or longer ones. */
static bool words_cut(const char *text, size_t size, struct words *w)
{
    w->n = 0;
    for (size_t i = 0; i < size;) {
        size_t n = 0;
        while (i < size && !is_letter((unsigned char)text[i]))
            i++;
        while (i + n < size && (is_letter((unsigned char)text[i + n]) || (n && i + n + 1 < size && strchr(":.", text[i + n]) &&
                                                                         isdigit((unsigned char)text[i + n + 1]))))
            n++;
        if (n == 0)
            break;
        if (n >= WORD_MOST || w->n == WORDS_MOST)
            return false;
        memcpy(w->at[w->n], text + i, n);
        w->at[w->n++][n] = '\0';
        i += n;
    }
    return w->n > 0;
}

/* What the parser makes of these words (but the one at `without`, or only the one at `alone`) in front of a number. */
static bool ask(struct parser *p, const struct words *w, size_t from, size_t to, size_t without, struct moment received,
                struct said *when)
{
    struct meaning m;
    char line[WORDS_MOST * (WORD_MOST + 1) + 16];
    size_t n = 0;

    for (size_t i = from; i < to; i++)
        if (i != without)
            n += (size_t)snprintf(line + n, sizeof line - n, "%s ", w->at[i]);
    n += (size_t)snprintf(line + n, sizeof line - n, ": 120/80");
    parser_read(p, line, n, received, &m);
    if (m.readings.n != 1 || m.doubt || m.readings.at[0].sys != 120 || m.readings.at[0].pulse || m.flags || m.amend)
        return false;
    *when = m.readings.at[0];
    return true;
}

static bool names(const struct said *s)
{
    return s->day != DAY_UNSAID || s->slot != SLOT_NONE || s->minute != MINUTE_UNSAID;
}

static bool same(const struct said *a, const struct said *b)
{
    return a->day == b->day && a->slot == b->slot && a->minute == b->minute;
}

/* Each word counts, and none names another day or half of a day than all of them together. */
static bool one_answer(struct parser *p, const struct words *w, struct moment received, const struct said *when)
{
    struct said s;

    for (size_t i = 0; i < w->n; i++) {
        bool alone = ask(p, w, i, i + 1, w->n, received, &s) && names(&s);
        if (alone && ((s.slot != SLOT_NONE && s.slot != when->slot) || (s.day != DAY_UNSAID && s.day != when->day &&
                                                                        s.minute == MINUTE_UNSAID)))
            return false;
        if (!alone && w->n > 1 && ask(p, w, 0, w->n, i, received, &s) && same(&s, when))
            return false;
    }
    return true;
}

bool says_only_when(struct parser *p, const char *text, size_t size, struct moment received, struct said *when)
{
    struct words all, w = {.n = 0};
    struct said bare;

    if (!words_cut(text, size, &all))
        return false;
    for (size_t i = 0; i < all.n; i++)
        if (!is_filler(all.at[i]))
            memcpy(w.at[w.n++], all.at[i], WORD_MOST);
    if (!w.n || !ask(p, &w, 0, w.n, w.n, received, &bare) || !names(&bare) || !one_answer(p, &w, received, &bare))
        return false;
    if (!ask(p, &all, 0, all.n, all.n, received, when) || !names(when)) /* "this morning" says more than "morning" */
        *when = bare;
    return true;
}
