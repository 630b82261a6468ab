/* Reads a phrase of the lexicon: a recursive descent over its few signs, writing a PCRE2 pattern as it goes and
 * keeping the set of words with which a match can begin. The set must be complete: a word missing from it is a
 * phrase that is never tried. Groups nest at most eight deep.
 */
#include "parser/phrase.h"

#include <string.h>

enum { PHRASE_DEPTH = 8 };

struct reader {
    struct phrase *p;
    phrase_group group;
    void *context;
    const char *at;
    const char *wrong;
    int depth;
    bool conditions;
};

/* `collect`: whether words met now can be the first of a match. Returns whether what was read can be empty. */
static bool read_alternatives(struct reader *r, char stop, bool collect);

static void put(struct reader *r, const char *text, size_t n) {
    if (r->p->size + n >= PHRASE_PATTERN) {
        r->wrong = "the phrase is too long; part it in two";
        return;
    }
    memcpy(r->p->pattern + r->p->size, text, n);
    r->p->size += n;
    r->p->pattern[r->p->size] = '\0';
}

static void put_text(struct reader *r, const char *text) {
    put(r, text, strlen(text));
}

static bool is_word_byte(char c) {
    return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || (unsigned char)c >= 128 || c == '\'';
}

static void first_add(struct reader *r, const char *word, bool prefix) {
    struct phrase *p = r->p;
    for (size_t i = 0; i < p->firsts; i++) {
        if (p->first[i].prefix == prefix && strcmp(p->first[i].word, word) == 0) {
            return;
        }
    }
    if (p->firsts == PHRASE_FIRSTS) {
        r->wrong = "the phrase can begin with too many words; part it in two";
        return;
    }
    memcpy(p->first[p->firsts].word, word, strlen(word) + 1);
    p->first[p->firsts++].prefix = prefix;
}

static void read_word(struct reader *r, bool collect) {
    char word[PHRASE_WORD];
    size_t n = 0;
    while (is_word_byte(*r->at)) {
        if (*r->at != '\'') {
            if (n + 1 == sizeof word) {
                r->wrong = "a word is too long";
                return;
            }
            word[n++] = *r->at;
        }
        r->at++;
    }
    word[n] = '\0';
    bool prefix = *r->at == '*';
    if (prefix && n < 3 && collect) {
        r->wrong = "a phrase that begins with WORD* needs three letters before the *";
        return;
    }
    put(r, word, n);
    put_text(r, prefix ? "[^ ]* " : " ");
    r->at += prefix;
    if (collect) {
        first_add(r, word, prefix);
    }
}

static bool read_named(struct reader *r, bool collect) {
    const char *end = strchr(r->at, '>');
    const char *text = end == NULL ? NULL : r->group(r->context, r->at + 1, (size_t)(end - r->at - 1));
    if (text == NULL) {
        r->wrong = "no group of that name stands above; define it with @name = a | b";
        return false;
    }
    const char *after = end + 1;
    r->at = text;
    put_text(r, "(?:");
    bool empty = read_alternatives(r, '\0', collect);
    put_text(r, ")");
    r->at = after;
    return empty;
}

static bool read_bracket(struct reader *r, bool collect) {
    bool optional = *r->at == '[';
    r->at++;
    put_text(r, "(?:");
    bool empty = read_alternatives(r, optional ? ']' : ')', collect);
    if (*r->at == '\0') {
        r->wrong = "a bracket is not closed";
        return false;
    }
    r->at++;
    put_text(r, optional ? ")?" : ")");
    return empty || optional;
}

/* A gap of words; never over a mark. */
static bool read_gap(struct reader *r, bool collect) {
    bool wide = strncmp(r->at, "...", 3) == 0;
    if (collect) {
        r->wrong = "a phrase cannot begin with a gap";
    }
    put_text(r, wide ? "(?:[^ .,;:!?^()/]+ ){0,7}?" : "(?:[^ .,;:!?^()/]+ ){0,3}?");
    r->at += wide ? 3 : 2;
    return true;
}

static void read_mark(struct reader *r, bool collect) {
    char word[2] = {*r->at, '\0'};
    put_text(r, "\\");
    put(r, word, 1);
    put_text(r, " ");
    r->at++;
    if (collect) {
        first_add(r, word, false);
    }
}

static bool read_item(struct reader *r, bool collect) {
    char c = *r->at;
    if (is_word_byte(c)) {
        read_word(r, collect);
        return false;
    }
    switch (c) {
    case '<': return read_named(r, collect);
    case '(':
    case '[': return read_bracket(r, collect);
    case '#':
    case '_':
        put_text(r, c == '#' ? "[0-9]+ " : "[^ .,;:!?^()/]+ ");
        r->at++;
        if (collect && c == '#') {
            first_add(r, "#", false);
        } else if (collect) {
            r->wrong = "a phrase cannot begin with a gap";
        }
        return false;
    case '^':
        put_text(r, "(?<![^ .,;:!?^()\\-\"] )");
        r->conditions = true;
        r->at++;
        return true;
    case '$':
        put_text(r, "(?![^ .,;:!?^()\\-\"])");
        r->conditions = true;
        r->at++;
        return true;
    case '.':
        if (r->at[1] == '.') {
            return read_gap(r, collect);
        }
        break;
    default: break;
    }
    if (strchr(",.?!:;+-/=&@%\"", c) == NULL) {
        r->wrong = "a sign that has no meaning in a phrase";
        return false;
    }
    read_mark(r, collect);
    return false;
}

static bool read_sequence(struct reader *r, char stop, bool collect) {
    bool empty = true;
    while (r->wrong == NULL && *r->at != '\0' && *r->at != '|' && *r->at != stop) {
        if (*r->at == ' ') {
            r->at++;
            continue;
        }
        empty = read_item(r, collect && empty) && empty;
    }
    return empty;
}

static bool read_alternatives(struct reader *r, char stop, bool collect) {
    if (++r->depth > PHRASE_DEPTH) {
        r->wrong = "groups are nested too deep";
        return false;
    }
    bool empty = read_sequence(r, stop, collect);
    while (r->wrong == NULL && *r->at == '|') {
        put_text(r, "|");
        r->at++;
        empty = read_sequence(r, stop, collect) || empty;
    }
    r->depth--;
    return empty;
}

const char *phrase_read(struct phrase *p, const char *text, phrase_group group, void *context) {
    struct reader r = {.p = p, .group = group, .context = context, .at = text};
    p->size = p->firsts = 0;
    bool empty = read_alternatives(&r, '\0', true);
    if (r.wrong == NULL && *r.at != '\0') {
        return "a bracket is closed that was not opened";
    }
    if (r.wrong == NULL && empty) {
        return "the phrase can be empty; let one word of it be fixed";
    }
    p->simple = r.wrong == NULL && !r.conditions && strpbrk(text, " #<([|,.?!:;+-/=&@%_") == NULL;
    return r.wrong;
}
