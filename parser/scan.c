/* Finds every phrase of the lexicon in a text.
 *
 * The tokens are written as one line, each word followed by a space, and each is looked up once. From each token on the
 * sieve (machine.h) is walked until it is dead; most words begin nothing or lead nowhere: some 10 ns each. What it names
 * on the way can be said here: a phrase of one word is, and how far a longer one reaches its pattern tells, matched by
 * PCRE2 at this one place. That is two matches a text. A match is limited, and no phrase is longer than some forty words,
 * so the time is linear in the text.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "parser/lexicon.h"
#include "parser/lexicon_parts.h"
#include "parser/text.h"

/* -- the line, and words as numbers ---------------------------------------------------------------------------------- */

static bool line_reserve(struct lexicon *l, size_t n) {
    if (n <= l->line_room) {
        return true;
    }
    char *line = realloc(l->line, n + n / 2);
    if (line == NULL) {
        return false;
    }
    l->line = line;
    l->line_room = n + n / 2;
    return true;
}

/* "stoppppp", "pleeease": leaves at most `most` of a letter in a row. Returns the size. */
static size_t letters_thin(char *out, const char *text, size_t n, size_t most) {
    size_t size = 0, row = 0;
    for (size_t i = 0; i < n; i++) {
        row = i > 0 && text[i] == text[i - 1] ? row + 1 : 1;
        if (row <= most) {
            out[size++] = text[i];
        }
    }
    return size;
}

/* The number of a word with a letter held down, that is no word as it stands; else `number`. */
static uint32_t word_held(const struct lexicon *l, const char *text, size_t n, uint32_t number) {
    char thin[PHRASE_WORD];
    bool held = false;
    for (size_t i = 2; i < n; i++) {
        held = held || (text[i] == text[i - 1] && text[i] == text[i - 2]);
    }
    for (size_t most = 2; held && n <= sizeof thin && most > 0; most--) {
        size_t size = letters_thin(thin, text, n, most);
        if (words_exact(&l->words, thin, size) != WORD_OTHER) {
            return words_nearest(&l->words, thin, size);
        }
    }
    return number;
}

/* Writes a word without apostrophes and dots, as what it is a misspelling of; "room's", no word of its own, as "room".
 * Returns its number. */
static uint32_t word_write(struct lexicon *l, const char *text, size_t size) {
    char *out = l->line + l->line_n;
    size_t n = 0;
    for (size_t i = 0; i < size; i++) {
        if (text[i] != '\'' && text[i] != '.' && text[i] != ' ') {
            out[n++] = text[i];
        }
    }
    if (n == 0) {
        return WORD_EMPTY;
    }
    if (size > 3 && text[size - 2] == '\'' && text[size - 1] == 's' && words_exact(&l->words, out, n) == WORD_OTHER) {
        n--;
    }
    uint32_t number = words_nearest(&l->words, out, n);
    if (number == WORD_OTHER || l->words.at[number].prefix) {
        number = word_held(l, out, n, number);
    }
    const struct word *word = &l->words.at[number];
    if (number != WORD_OTHER && !word->prefix) {
        memcpy(out, word->key, n = word->size);
    }
    l->line_n += n;
    return number;
}

/* Writes a number, letters that stand for digits as digits. */
static uint32_t number_write(struct lexicon *l, const struct token *k, const char *text) {
    char *out = l->line + l->line_n;
    for (size_t i = 0; i < k->size; i++) {
        out[i] = text[i] >= '0' && text[i] <= '9' ? text[i] : text[i] == 'o' ? '0' : '1';
    }
    l->line_n += k->size;
    uint32_t word = words_exact(&l->words, out, k->size);
    return word == WORD_OTHER ? WORD_NUMBER : word;
}

static uint32_t mark_write(struct lexicon *l, char mark) {
    l->line[l->line_n++] = mark;
    return mark == '#' || mark == '_' ? WORD_OTHER : words_exact(&l->words, &mark, 1);
}

static bool line_write(struct lexicon *l, const struct folded *f, struct tokens *t) {
    l->line_n = 0;
    if (!line_reserve(l, f->n * 2 + t->n * PHRASE_WORD + 64)) {
        return false;
    }
    for (size_t i = 0; i < t->n; i++) {
        struct token *k = &t->at[i];
        const char *text = f->text + k->start;
        k->line_at = (uint32_t)l->line_n;
        k->word = k->kind == TOKEN_WORD     ? word_write(l, text, k->size)
                  : k->kind == TOKEN_NUMBER ? number_write(l, k, text)
                                            : mark_write(l, k->kind == TOKEN_BREAK ? '^' : k->mark);
        k->edge = l->words.at[k->word].edge;
        l->line[l->line_n++] = ' ';
    }
    return true;
}

/* -- patterns --------------------------------------------------------------------------------------------------------- */

bool phrase_compile(struct lexicon *l, uint32_t phrase, char *why, size_t why_size) {
    struct lexicon_phrase *p = &l->phrases[phrase];
    int error;
    PCRE2_SIZE offset;
    if (p->code != NULL) {
        return true;
    }
    p->code = pcre2_compile((PCRE2_SPTR)l->program.pattern + p->pattern, PCRE2_ZERO_TERMINATED,
                            PCRE2_ANCHORED | PCRE2_UTF | PCRE2_NO_UTF_CHECK, &error, &offset, NULL);
    if (p->code == NULL) {
        snprintf(why, why_size, "lexicon:%u: the phrase does not compile (PCRE2 error %d); part it in two", p->line, error);
        return false;
    }
    l->jit = pcre2_jit_compile(p->code, PCRE2_JIT_COMPLETE) == 0; /* not where memory may not become code */
    return true;
}

/* The token before which the phrase ends that begins at token `first`; 0 where the pattern finds none. */
static uint32_t phrase_end(struct lexicon *l, const struct tokens *t, uint32_t phrase, uint32_t first) {
    char why[8];
    if (!phrase_compile(l, phrase, why, sizeof why)) {
        return 0;
    }
    const pcre2_code *code = l->phrases[phrase].code;
    PCRE2_SPTR line = (PCRE2_SPTR)l->line;
    size_t from = t->at[first].line_at;
    int found = pcre2_jit_match(code, line, l->line_n, from, 0, l->match, l->context);
    if (found == PCRE2_ERROR_JIT_BADOPTION) { /* no machine code */
        found = pcre2_match(code, line, l->line_n, from, PCRE2_NO_UTF_CHECK, l->match, l->context);
    }
    if (found < 0) {
        return 0;
    }
    size_t at = pcre2_get_ovector_pointer(l->match)[1];
    uint32_t end = first;
    while (end < t->n && t->at[end].line_at < at) {
        end++;
    }
    return end;
}

/* -- marks ------------------------------------------------------------------------------------------------------------ */

/* What is found at one token. */
struct finder {
    struct lexicon *l;
    const struct tokens *tokens;
    struct marks *marks;
    uint32_t token;
    size_t first_mark;
};

static bool marks_reserve(struct marks *m) {
    if (m->n < m->room) {
        return true;
    }
    size_t room = m->room * 2 + 256;
    struct mark *at = realloc(m->at, room * sizeof *at);
    if (at == NULL) {
        return false;
    }
    m->at = at;
    m->room = room;
    return true;
}

/* Notes a phrase that the sieve says can end before token `end`, once, in the order of phrases. Should its pattern find
 * no end, which only the limit of a match can bring about, the sieve's stands. */
static bool mark_note(struct finder *d, uint32_t phrase, uint32_t end) {
    size_t at = d->marks->n;
    while (at > d->first_mark && d->marks->at[at - 1].phrase >= phrase) {
        at--;
    }
    if (at < d->marks->n && d->marks->at[at].phrase == phrase) {
        return true;
    }
    if (!marks_reserve(d->marks)) {
        return false;
    }
    const struct lexicon_phrase *said = &d->l->phrases[phrase];
    uint32_t reached = said->one_word ? end : phrase_end(d->l, d->tokens, phrase, d->token);
    struct mark *m = &d->marks->at[at];
    const struct sense *s = &d->l->senses[said->sense];
    memmove(m + 1, m, (d->marks->n - at) * sizeof *m);
    *m = (struct mark){.first = d->token, .end = reached != 0 ? reached : end, .kind = s->kind, .language = s->language,
                       .a = s->a, .b = s->b, .phrase = phrase};
    d->marks->n++;
    return true;
}

/* The phrases that begin at the finder's token. */
static bool token_walk(struct finder *d) {
    struct machine *m = &d->l->machine;
    const struct token *at = d->tokens->at;
    uint32_t state = MACHINE_START, n = (uint32_t)d->tokens->n;
    unsigned before = d->token == 0 || at[d->token - 1].edge ? EDGE_BEFORE : 0;
    for (uint32_t i = d->token; i < n; i++, before = 0) {
        unsigned behind = i + 1 == n || at[i + 1].edge ? EDGE_BEHIND : 0;
        state = machine_go(m, state, at[i].word, before | behind);
        if (state == MACHINE_DEAD || state == UINT32_MAX) {
            return state == MACHINE_DEAD;
        }
        for (uint32_t k = m->state[state].middle; k < m->state[state].end; k++) {
            if (!mark_note(d, m->item[k], i + 1)) {
                return false;
            }
        }
    }
    return true;
}

bool lexicon_scan(struct lexicon *l, const struct folded *f, struct tokens *t, struct marks *out) {
    struct finder d = {.l = l, .tokens = t, .marks = out};
    out->n = 0;
    if (!line_write(l, f, t)) {
        return false;
    }
    for (d.token = 0; d.token < t->n; d.token++) {
        d.first_mark = out->n;
        machine_rest(&l->machine);
        if (!token_walk(&d)) {
            return false;
        }
    }
    return true;
}
