/* Reads a phrase of the lexicon: a recursive descent over its few signs, writing a PCRE2 pattern as it goes. On the
 * way it keeps where in the phrase a word can stand (first, second, later), and so the words with which a match can
 * begin and a sieve of those that can come second. Both must be complete: a word missing from them is a phrase that is
 * never tried. Groups nest at most eight deep.
 */
#include "parser/phrase.h"

#include <string.h>

enum { PHRASE_DEPTH = 8 };

/* Where the next word can stand, a set of bits. */
enum place { PLACE_FIRST = 1, PLACE_SECOND = 2, PLACE_LATER = 4 };

struct reader {
    struct phrase *p;
    phrase_group group;
    phrase_alias alias;
    void *context;
    const char *at;
    const char *wrong;
    int depth;
    bool conditions;
    struct phrase_first *only; /* in the second pass: the first word whose followers are sought */
};

/* Every reader below is given where its first word can stand and returns where the word after it can. */
static unsigned read_alternatives(struct reader *r, char stop, unsigned place);

static unsigned place_after(unsigned place) {
    return (place & PLACE_FIRST ? PLACE_SECOND : 0) | (place & (PLACE_SECOND | PLACE_LATER) ? PLACE_LATER : 0);
}

unsigned phrase_sieve(const char *word, size_t size) {
    unsigned h = 5381;
    for (size_t i = 0; i < size && i < PHRASE_SIEVED; i++) {
        h = h * 33 + (unsigned char)word[i];
    }
    return (h ^ (h >> 7)) % PHRASE_SIEVE;
}

static void put(struct reader *r, const char *text, size_t n) {
    if (r->only != NULL) {
        return;
    }
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
    p->first[p->firsts] = (struct phrase_first){.prefix = prefix};
    memcpy(p->first[p->firsts++].word, word, strlen(word) + 1);
}

static void any_second(struct reader *r, unsigned place) {
    if (r->only != NULL && (place & PLACE_SECOND)) {
        r->only->second_any = true;
    }
}

/* A word that can stand at `place` is noted: in the first pass as a first word, in the second as a follower. */
static unsigned word_note(struct reader *r, const char *word, bool prefix, unsigned place) {
    size_t n = strlen(word);
    if (r->only == NULL) {
        if (place & PLACE_FIRST) {
            first_add(r, word, prefix);
        }
        return place_after(place);
    }
    if (place & PLACE_SECOND) {
        bool number = strspn(word, "0123456789") == n;
        unsigned bit = number ? phrase_sieve("#", 1) : phrase_sieve(word, n);
        r->only->second[bit / 64] |= 1ull << (bit % 64);
        r->only->second_any = r->only->second_any || (prefix && n < PHRASE_SIEVED);
    }
    if (r->only->prefix != prefix || strcmp(r->only->word, word) != 0) {
        place &= ~(unsigned)PLACE_FIRST; /* this way begins with another word */
    }
    return place_after(place);
}

static unsigned read_word(struct reader *r, unsigned place) {
    char word[PHRASE_WORD];
    size_t n = 0;
    while (is_word_byte(*r->at)) {
        if (*r->at != '\'') {
            if (n + 1 == sizeof word) {
                r->wrong = "a word is too long";
                return place;
            }
            word[n++] = *r->at;
        }
        r->at++;
    }
    word[n] = '\0';
    bool prefix = *r->at == '*';
    if (prefix && n < 3 && (place & PLACE_FIRST)) {
        r->wrong = "a phrase that begins with WORD* needs three letters before the *";
        return place;
    }
    const char *same = prefix ? word : r->alias(r->context, word, n);
    put_text(r, same);
    put_text(r, prefix ? "[^ ]* " : " ");
    r->at += prefix;
    return word_note(r, same, prefix, place);
}

static unsigned read_named(struct reader *r, unsigned place) {
    const char *end = strchr(r->at, '>');
    const char *text = end == NULL ? NULL : r->group(r->context, r->at + 1, (size_t)(end - r->at - 1));
    if (text == NULL) {
        r->wrong = "no group of that name stands above; define it with @name = a | b";
        return place;
    }
    const char *after = end + 1;
    r->at = text;
    put_text(r, "(?:");
    place = read_alternatives(r, '\0', place);
    put_text(r, ")");
    r->at = after;
    return place;
}

static unsigned read_bracket(struct reader *r, unsigned place) {
    bool optional = *r->at == '[';
    r->at++;
    put_text(r, "(?:");
    unsigned after = read_alternatives(r, optional ? ']' : ')', place);
    if (*r->at == '\0') {
        r->wrong = "a bracket is not closed";
        return place;
    }
    r->at++;
    put_text(r, optional ? ")?" : ")");
    return optional ? after | place : after;
}

/* A gap of words; never over a mark. */
static unsigned read_gap(struct reader *r, unsigned place) {
    bool wide = strncmp(r->at, "...", 3) == 0;
    if (place & PLACE_FIRST) {
        r->wrong = "a phrase cannot begin with a gap";
    }
    any_second(r, place);
    put_text(r, wide ? "(?:[^ .,;:!?^()/]+ ){0,7}?" : "(?:[^ .,;:!?^()/]+ ){0,3}?");
    r->at += wide ? 3 : 2;
    return place | place_after(place);
}

static unsigned read_mark(struct reader *r, unsigned place) {
    char word[2] = {*r->at, '\0'};
    put_text(r, "\\");
    put(r, word, 1);
    put_text(r, " ");
    r->at++;
    return word_note(r, word, false, place);
}

/* `#`, a number, or `_`, any word. */
static unsigned read_any(struct reader *r, unsigned place) {
    bool number = *r->at == '#';
    put_text(r, number ? "[0-9]+ " : "[^ .,;:!?^()/]+ ");
    r->at++;
    if (!number && (place & PLACE_FIRST)) {
        r->wrong = "a phrase cannot begin with a gap";
    }
    if (!number) {
        any_second(r, place);
    }
    return number ? word_note(r, "#", false, place) : place_after(place);
}

/* `^` and `$`: the start and the end of a clause. */
static unsigned read_condition(struct reader *r, unsigned place) {
    put_text(r, *r->at == '^' ? "(?<![^ .,;:!?^()\\-\"] )" : "(?![^ .,;:!?^()\\-\"])");
    r->conditions = true;
    r->at++;
    return place;
}

static unsigned read_item(struct reader *r, unsigned place) {
    char c = *r->at;
    if (is_word_byte(c)) {
        return read_word(r, place);
    }
    switch (c) {
    case '<': return read_named(r, place);
    case '(':
    case '[': return read_bracket(r, place);
    case '#':
    case '_': return read_any(r, place);
    case '^':
    case '$': return read_condition(r, place);
    default: break;
    }
    if (c == '.' && r->at[1] == '.') {
        return read_gap(r, place);
    }
    if (strchr(",.?!:;+-/=&@%\"", c) == NULL) {
        r->wrong = "a sign that has no meaning in a phrase";
        return place;
    }
    return read_mark(r, place);
}

static unsigned read_sequence(struct reader *r, char stop, unsigned place) {
    while (r->wrong == NULL && *r->at != '\0' && *r->at != '|' && *r->at != stop) {
        if (*r->at == ' ') {
            r->at++;
        } else {
            place = read_item(r, place);
        }
    }
    return place;
}

static unsigned read_alternatives(struct reader *r, char stop, unsigned place) {
    if (++r->depth > PHRASE_DEPTH) {
        r->wrong = "groups are nested too deep";
        return place;
    }
    unsigned after = read_sequence(r, stop, place);
    while (r->wrong == NULL && *r->at == '|') {
        put_text(r, "|");
        r->at++;
        after |= read_sequence(r, stop, place);
    }
    r->depth--;
    return after;
}

/* The second pass: for each first word, what can follow it. */
static void seconds_read(struct reader *r, const char *text) {
    for (size_t i = 0; i < r->p->firsts; i++) {
        r->only = &r->p->first[i];
        r->at = text;
        any_second(r, read_alternatives(r, '\0', PLACE_FIRST)); /* one word can be all of it */
    }
}

const char *phrase_read(struct phrase *p, const char *text, phrase_group group, phrase_alias alias, void *context) {
    struct reader r = {.p = p, .group = group, .alias = alias, .context = context, .at = text};
    p->size = p->firsts = 0;
    unsigned after = read_alternatives(&r, '\0', PLACE_FIRST);
    if (r.wrong == NULL && *r.at != '\0') {
        return "a bracket is closed that was not opened";
    }
    if (r.wrong == NULL && (after & PLACE_FIRST)) {
        return "the phrase can be empty; let one word of it be fixed";
    }
    p->simple = r.wrong == NULL && !r.conditions && strpbrk(text, " #<([|,.?!:;+-/=&@%_") == NULL;
    if (r.wrong == NULL && !p->simple) {
        seconds_read(&r, text);
    }
    return r.wrong;
}
