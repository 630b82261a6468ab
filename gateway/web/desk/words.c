/* Words: from a name to what the page says. Nothing here is markup; values go in for {1} to {4} and are escaped then. */
#include "gateway/web/desk/room.h"

#include <stdio.h>
#include <string.h>

#define ENGLISH(NAME, english) [WORD_##NAME] = english,
static const char *const english_words[WORDS_N] = {[WORD_NONE] = "", DESK_WORDS(ENGLISH)};

const char *word(enum word w)
{
    return english_words[w];
}

/* The value that a place such as "{2}" names; NULL when there is none at `at`. */
static const char *value_at(const char *at, const char *const values[4])
{
    bool place = at[0] == '{' && at[1] >= '1' && at[1] <= '4' && at[2] == '}';
    return !place ? NULL : values[at[1] - '1'] ? values[at[1] - '1'] : "";
}

const char *words_of(char *to, size_t size, enum word w, const char *const values[4])
{
    size_t n = 0;
    for (const char *at = word(w); *at && n + 1 < size;) {
        const char *value = value_at(at, values);
        if (value) {
            n += (size_t)snprintf(to + n, size - n, "%s", value);
            at += 3;
        } else {
            to[n++] = *at++;
        }
    }
    to[n < size ? n : size - 1] = '\0';
    return to;
}

void page_say(struct page *p, enum word w, const char *const values[4])
{
    char piece[2] = "";
    const char *at = word(w);
    while (*at) {
        const char *value = value_at(at, values);
        size_t plain = strcspn(at + !value, "{") + !value;
        if (value) {
            html_text(&p->out, value);
            at += 3;
        } else if (plain > 1 || at[0] != '{') {
            buffer_add(&p->out, at, plain); /* words of ours hold no markup */
            at += plain;
        } else {
            piece[0] = *at++;
            html_text(&p->out, piece);
        }
    }
}
