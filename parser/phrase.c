/* Reads a phrase of the lexicon: a recursive descent over its few signs, writing a PCRE2 pattern and steps as it goes.
 * Words that stand side by side as alternatives become one step, so that a group of eighty relatives costs the sieve no
 * more than one word. Both must say the same (tests/reference/phrases_pcre.c): what the sieve lets fall is never tried.
 * Groups nest at most eight deep.
 */
#include "parser/phrase.h"

#include <stdlib.h>
#include <string.h>

#include "parser/words.h"

enum { PHRASE_DEPTH = 8, PHRASE_STEPS = 4000, PHRASE_CHOICES = 400 };

static const char any_word[] = "[^ .,;:!?^()/]+ ";

struct reader {
    struct program *p;
    struct words *words;
    phrase_group group;
    void *context;
    const char *at;
    const char *wrong;
    size_t from; /* the phrase's first step */
    int depth;
};

static void read_alternatives(struct reader *r, char stop);

/* Appends a step; returns its number. After a mistake nothing is written, and what is returned is only safe to name. */
static uint32_t put(struct reader *r, enum step_kind kind, uint32_t a, uint32_t b) {
    struct program *p = r->p;
    if (p->n == p->room) {
        size_t room = p->room == 0 ? 16384 : p->room * 2;
        struct step *more = realloc(p->at, room * sizeof *more);
        if (more == NULL) {
            r->wrong = "out of memory";
            return (uint32_t)r->from;
        }
        p->at = more;
        p->room = room;
    }
    if (p->n - r->from == PHRASE_STEPS) {
        r->wrong = "the phrase is too long; part it in two";
        return (uint32_t)r->from;
    }
    p->at[p->n] = (struct step){.kind = kind, .a = a, .b = b};
    return (uint32_t)p->n++;
}

static void pattern_put(struct reader *r, const char *text) {
    struct program *p = r->p;
    size_t n = strlen(text);
    if (p->pattern_n + n + 1 > p->pattern_room) {
        size_t room = p->pattern_room * 2 + n + 65536;
        char *more = realloc(p->pattern, room);
        if (more == NULL) {
            r->wrong = "out of memory";
            return;
        }
        p->pattern = more;
        p->pattern_room = room;
    }
    memcpy(p->pattern + p->pattern_n, text, n + 1);
    p->pattern_n += n;
}

static uint32_t here(const struct reader *r) {
    return (uint32_t)r->p->n;
}

static bool is_word_byte(char c) {
    return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || (unsigned char)c >= 128 || c == '\'';
}

/* The word at r->at, without apostrophes, with its star: its number, as what it is a misspelling of. */
static uint32_t word_read(struct reader *r, bool *prefix) {
    char word[PHRASE_WORD];
    size_t n = 0;
    for (; is_word_byte(*r->at); r->at++) {
        if (*r->at != '\'' && n + 1 == sizeof word) {
            r->wrong = "a word is too long";
            return 0;
        }
        if (*r->at != '\'') {
            word[n++] = *r->at;
        }
    }
    *prefix = *r->at == '*';
    r->at += *prefix;
    struct word *found = words_add(r->words, word, n, *prefix);
    if (found == NULL) {
        r->wrong = "out of memory";
        return 0;
    }
    uint32_t number = found->alias != 0 && !*prefix ? found->alias - 1 : (uint32_t)(found - r->words->at);
    pattern_put(r, r->words->at[number].key);
    pattern_put(r, *prefix ? "[^ ]* " : " ");
    return number;
}

static void read_word(struct reader *r) {
    bool prefix;
    uint32_t word = word_read(r, &prefix);
    put(r, prefix ? STEP_PREFIX : STEP_WORD, word, 0);
}

/* The end of a plain word at `text` that is all of an alternative; NULL when it is not. */
static const char *plain_alternative(const char *text, char stop) {
    while (*text == ' ') {
        text++;
    }
    const char *end = text;
    while (is_word_byte(*end)) {
        end++;
    }
    const char *behind = end;
    while (*behind == ' ') {
        behind++;
    }
    return end > text && (*behind == '|' || *behind == stop) ? end : NULL;
}

static int number_order(const void *a, const void *b) {
    uint32_t x = *(const uint32_t *)a, y = *(const uint32_t *)b;
    return x < y ? -1 : x > y;
}

static uint32_t choice_keep(struct reader *r, const uint32_t *word, size_t n) {
    struct program *p = r->p;
    if (p->choice_n + n > p->choice_room) {
        size_t room = p->choice_room * 2 + 4096;
        uint32_t *more = realloc(p->choice, room * sizeof *more);
        if (more == NULL) {
            r->wrong = "out of memory";
            return 0;
        }
        p->choice = more;
        p->choice_room = room;
    }
    memcpy(p->choice + p->choice_n, word, n * sizeof *word);
    p->choice_n += n;
    return (uint32_t)(p->choice_n - n);
}

/* "a | b | c": plain words side by side, as one step. Stops at the bar before another kind of alternative, or at the
 * end. False, with nothing read, when the first is no plain word. */
static bool read_choice(struct reader *r, char stop) {
    uint32_t word[PHRASE_CHOICES];
    size_t n = 0;
    bool prefix;
    const char *next = r->at;
    while (n < PHRASE_CHOICES && r->wrong == NULL && plain_alternative(next, stop) != NULL) {
        r->at = next + strspn(next, " ");
        word[n++] = word_read(r, &prefix);
        r->at += strspn(r->at, " ");
        if (*r->at != '|') {
            break;
        }
        next = r->at + 1;
        if (n < PHRASE_CHOICES && plain_alternative(next, stop) != NULL) {
            pattern_put(r, "|");
        }
    }
    if (n == 1) {
        put(r, STEP_WORD, word[0], 0);
    } else if (n > 1) {
        qsort(word, n, sizeof word[0], number_order);
        put(r, STEP_CHOICE, choice_keep(r, word, n), (uint32_t)n);
    }
    return n > 0;
}

static void read_named(struct reader *r) {
    const char *end = strchr(r->at, '>');
    const char *text = end == NULL ? NULL : r->group(r->context, r->at + 1, (size_t)(end - r->at - 1));
    if (text == NULL) {
        r->wrong = "no group of that name stands above; define it with @name = a | b";
        return;
    }
    r->at = text;
    pattern_put(r, "(?:");
    read_alternatives(r, '\0');
    pattern_put(r, ")");
    r->at = end + 1;
}

static void read_bracket(struct reader *r) {
    bool optional = *r->at == '[';
    uint32_t fork = optional ? put(r, STEP_FORK, here(r) + 1, 0) : 0;
    r->at++;
    pattern_put(r, "(?:");
    read_alternatives(r, optional ? ']' : ')');
    pattern_put(r, optional ? ")?" : ")");
    if (r->wrong == NULL && *r->at == '\0') {
        r->wrong = "a bracket is not closed";
    }
    if (r->wrong != NULL) {
        return;
    }
    r->at++;
    if (optional) {
        r->p->at[fork].b = here(r);
    }
}

/* A gap of words, as few as can be; never over a mark. */
static void read_gap(struct reader *r) {
    uint32_t most = strncmp(r->at, "...", 3) == 0 ? 7 : 3, end = here(r) + 2 * most;
    for (uint32_t i = 0; i < most; i++) {
        put(r, STEP_FORK, end, here(r) + 1);
        put(r, STEP_ANY, 0, 0);
    }
    pattern_put(r, "(?:");
    pattern_put(r, any_word);
    pattern_put(r, most == 7 ? "){0,7}?" : "){0,3}?");
    r->at += most == 7 ? 3 : 2;
}

static void read_mark(struct reader *r) {
    struct word *word = words_add(r->words, r->at, 1, false);
    if (word == NULL) {
        r->wrong = "out of memory";
        return;
    }
    pattern_put(r, "\\");
    pattern_put(r, word->key);
    pattern_put(r, " ");
    put(r, STEP_WORD, (uint32_t)(word - r->words->at), 0);
    r->at++;
}

/* A sign that is one step. */
static void read_sign(struct reader *r, enum step_kind kind, const char *pattern) {
    put(r, kind, 0, 0);
    pattern_put(r, pattern);
    r->at++;
}

static void read_item(struct reader *r) {
    char c = *r->at;
    if (is_word_byte(c)) {
        read_word(r);
        return;
    }
    if (c == '.' && r->at[1] == '.') {
        read_gap(r);
        return;
    }
    switch (c) {
    case '<': read_named(r); break;
    case '(':
    case '[': read_bracket(r); break;
    case '#': read_sign(r, STEP_NUMBER, "[0-9]+ "); break;
    case '_': read_sign(r, STEP_ANY, any_word); break;
    case '^': read_sign(r, STEP_STARTS, "(?<![^ .,;:!?^()\\-\"] )"); break;
    case '$': read_sign(r, STEP_ENDS, "(?![^ .,;:!?^()\\-\"])"); break;
    default:
        if (strchr(",.?!:;+-/=&@%\"", c) == NULL) {
            r->wrong = "a sign that has no meaning in a phrase";
        } else {
            read_mark(r);
        }
    }
}

static void read_sequence(struct reader *r, char stop) {
    while (r->wrong == NULL && *r->at != '\0' && *r->at != '|' && *r->at != stop) {
        if (*r->at == ' ') {
            r->at++;
        } else {
            read_item(r);
        }
    }
}

/* a | b | c: forks one behind the other, and at each end but the last a way to what comes behind all of them. The
 * ways wait in a list, each naming the one before, until that place is known. */
static void read_alternatives(struct reader *r, char stop) {
    uint32_t way = UINT32_MAX;
    if (++r->depth > PHRASE_DEPTH) {
        r->wrong = "groups are nested too deep";
        return;
    }
    while (r->wrong == NULL) {
        uint32_t fork = put(r, STEP_FORK, here(r) + 1, 0);
        if (!read_choice(r, stop)) {
            read_sequence(r, stop);
        }
        if (r->wrong != NULL || *r->at != '|') {
            r->p->at[fork].kind = STEP_GO;
            break;
        }
        way = put(r, STEP_GO, way, 0);
        r->p->at[fork].b = here(r);
        pattern_put(r, "|");
        r->at++;
    }
    while (r->wrong == NULL && way != UINT32_MAX) {
        uint32_t before = r->p->at[way].a;
        r->p->at[way].a = here(r);
        way = before;
    }
    r->depth--;
}

const char *phrase_read(struct program *p, struct words *words, const char *text, uint32_t id, phrase_group group,
                        void *context) {
    struct reader r = {.p = p, .words = words, .group = group, .context = context, .at = text, .from = p->n};
    read_alternatives(&r, '\0');
    if (r.wrong == NULL && *r.at != '\0') {
        return "a bracket is closed that was not opened";
    }
    put(&r, STEP_SAID, id, 0);
    p->pattern_n += r.wrong == NULL; /* the NUL stays */
    return r.wrong;
}

void program_free(struct program *p) {
    free(p->at);
    free(p->choice);
    free(p->pattern);
    *p = (struct program){0};
}
