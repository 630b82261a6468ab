/* Finds every phrase of the lexicon in a text.
 *
 * The tokens are written as one line, each followed by a space. Each word is looked up once; the phrases that it can
 * begin were compiled into one pattern of alternatives, each ended by a callout that notes the alternative and asks
 * for the next, so that one match at one place finds all of them. A match is limited (LEXICON_MATCH_LIMIT steps) and
 * gaps are of at most seven words, so the time is linear in the text. Most words begin nothing: some 30 ns each.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "parser/lexicon.h"
#include "parser/lexicon_parts.h"
#include "parser/phrase.h"
#include "parser/text.h"

/* What a callout needs to note a mark. */
struct finder {
    struct lexicon *l;
    const struct tokens *tokens;
    struct marks *marks;
    uint32_t token;
    size_t first_mark; /* of this match */
    unsigned next;     /* the sieve's bit of the token behind */
};

void scan_pattern_free(void *pattern) {
    pcre2_code_free(pattern);
}

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

static void mark_note(struct finder *d, uint32_t phrase, uint32_t end) {
    for (size_t i = d->first_mark; i < d->marks->n; i++) {
        if (d->marks->at[i].phrase == phrase) {
            return; /* the shortest way is kept */
        }
    }
    if (!marks_reserve(d->marks)) {
        return;
    }
    const struct sense *s = &d->l->senses[d->l->phrases[phrase].sense];
    d->marks->at[d->marks->n++] = (struct mark){.first = d->token, .end = end, .kind = s->kind, .language = s->language,
                                                .a = s->a, .b = s->b, .phrase = phrase};
}

static int scan_callout(pcre2_callout_block *block, void *context) {
    struct finder *d = context;
    uint32_t phrase = 0, end = d->token;
    for (PCRE2_SIZE i = 0; i < block->callout_string_length; i++) {
        phrase = phrase * 10 + (uint32_t)(block->callout_string[i] - '0');
    }
    while (end < d->tokens->n && d->tokens->at[end].line_at < block->current_position) {
        end++;
    }
    mark_note(d, phrase, end);
    return 1; /* fail here, and try the next alternative */
}

/* One pattern of the phrases that `word` can begin: those that the sieve can rule out, or the others. */
static bool pattern_compile(struct lexicon *l, const struct word *word, bool sieved, void **out, char *why, size_t why_size) {
    size_t size = 16, n = 0;
    for (uint32_t i = 0; i < word->longers; i++) {
        size += strlen(l->phrases[word->longer[i].phrase].pattern) + 24;
    }
    char *text = malloc(size);
    if (text == NULL) {
        snprintf(why, why_size, "out of memory");
        return false;
    }
    for (uint32_t i = 0; i < word->longers; i++) {
        uint32_t phrase = word->longer[i].phrase;
        if (word->longer[i].second_any == sieved) {
            continue;
        }
        int wrote = snprintf(text + n, size - n, "%s(?:%s)(?C{%u})", n == 0 ? "(?:" : "|", l->phrases[phrase].pattern, phrase);
        n += (size_t)wrote;
    }
    int error = 0;
    PCRE2_SIZE offset;
    if (n > 0) {
        snprintf(text + n, size - n, ")");
        *out = pcre2_compile((PCRE2_SPTR)text, PCRE2_ZERO_TERMINATED,
                             PCRE2_ANCHORED | PCRE2_UTF | PCRE2_NO_UTF_CHECK | PCRE2_NO_AUTO_POSSESS |
                                 PCRE2_NO_START_OPTIMIZE | PCRE2_NO_AUTO_CAPTURE,
                             &error, &offset, NULL);
    }
    free(text);
    if (n > 0 && *out == NULL) {
        snprintf(why, why_size, "lexicon:1: the phrases that begin with '%s' do not compile (%d)", word->key, error);
        return false;
    }
    if (n > 0 && !l->jit_tried) {
        l->jit_tried = true;
        l->jit = pcre2_jit_compile(*out, PCRE2_JIT_COMPLETE) == 0;
    }
    return true;
}

static bool word_compile(struct lexicon *l, struct word *word, char *why, size_t why_size) {
    for (uint32_t i = 0; i < word->longers; i++) {
        for (size_t k = 0; k < 4; k++) {
            word->second[k] |= word->longer[i].second_any ? 0 : word->longer[i].second[k];
        }
    }
    return pattern_compile(l, word, false, &word->pattern, why, why_size) &&
           pattern_compile(l, word, true, &word->sieved, why, why_size);
}

bool scan_compile(struct lexicon *l, char *why, size_t why_size) {
    for (size_t i = 0; i < l->words.n; i++) {
        if (l->words.at[i].longers > 0 && !word_compile(l, &l->words.at[i], why, why_size)) {
            return false;
        }
    }
    for (size_t i = 0; i < l->phrase_count; i++) {
        free(l->phrases[i].pattern);
        l->phrases[i].pattern = NULL;
    }
    l->match = pcre2_match_data_create(1, NULL);
    l->context = pcre2_match_context_create(NULL);
    if (l->match == NULL || l->context == NULL) {
        snprintf(why, why_size, "out of memory");
        return false;
    }
    pcre2_set_match_limit(l->context, LEXICON_MATCH_LIMIT);
    pcre2_set_depth_limit(l->context, LEXICON_MATCH_LIMIT);
    return true;
}

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

static void line_put(struct lexicon *l, const char *text, size_t n) {
    memcpy(l->line + l->line_size, text, n);
    l->line_size += n;
}

/* Writes a word without its apostrophes, and as the word that it is a misspelling of. */
static void word_write(struct lexicon *l, const char *text, size_t n) {
    size_t start = l->line_size;
    for (size_t i = 0; i < n; i++) {
        if (text[i] != '\'' && text[i] != '.' && text[i] != ' ') {
            l->line[l->line_size++] = text[i];
        }
    }
    const struct word *found[LEXICON_FOUND];
    size_t count = words_find(&l->words, l->line + start, l->line_size - start, found, LEXICON_FOUND);
    bool exact = count > 0 && !found[count - 1]->prefix;
    if (!exact && n > 3 && text[n - 2] == '\'' && text[n - 1] == 's') { /* "room's": no word of its own, so "room is" */
        l->line_size--;
        count = words_find(&l->words, l->line + start, l->line_size - start, found, LEXICON_FOUND);
    }
    if (count > 0 && !found[count - 1]->prefix && found[count - 1]->alias != 0) {
        const struct word *same = &l->words.at[found[count - 1]->alias - 1];
        l->line_size = start;
        line_put(l, same->key, same->size);
    }
}

/* The line: what the patterns see. */
static bool line_write(struct lexicon *l, const struct folded *f, struct tokens *t) {
    l->line_size = 0;
    if (!line_reserve(l, f->n * 2 + t->n * 48 + 64)) {
        return false;
    }
    for (size_t i = 0; i < t->n; i++) {
        struct token *k = &t->at[i];
        k->line_at = (uint32_t)l->line_size;
        if (k->kind == TOKEN_WORD) {
            word_write(l, f->text + k->start, k->size);
        } else if (k->kind == TOKEN_NUMBER) {
            line_put(l, f->text + k->start, k->size);
            for (size_t c = k->line_at; k->repaired && c < l->line_size; c++) {
                char *d = &l->line[c];
                *d = *d == 'o' ? '0' : *d >= '0' && *d <= '9' ? *d : '1';
            }
        } else {
            char mark = k->kind == TOKEN_BREAK ? '^' : k->mark;
            line_put(l, &mark, 1);
        }
        line_put(l, " ", 1);
    }
    return true;
}

/* Made fast at its first match, not at the start: most words are seldom met, and all of them would take a fifth of a second. */
static bool fast_match(struct lexicon *l, void *pattern, uint32_t at) {
    PCRE2_SPTR line = (PCRE2_SPTR)l->line;
    int code = pcre2_jit_match(pattern, line, l->line_size, at, 0, l->match, l->context);
    if (code == PCRE2_ERROR_JIT_BADOPTION && pcre2_jit_compile(pattern, PCRE2_JIT_COMPLETE) == 0) {
        code = pcre2_jit_match(pattern, line, l->line_size, at, 0, l->match, l->context);
    }
    return code != PCRE2_ERROR_JIT_BADOPTION;
}

static void pattern_match(struct finder *d, void *pattern) {
    struct lexicon *l = d->l;
    uint32_t at = d->tokens->at[d->token].line_at;
    if (!l->jit || !fast_match(l, pattern, at)) {
        pcre2_match(pattern, (PCRE2_SPTR)l->line, l->line_size, at, PCRE2_NO_UTF_CHECK, l->match, l->context);
    }
}

static void token_match(struct finder *d, const struct word *word) {
    for (uint32_t i = 0; i < word->simples; i++) {
        mark_note(d, word->simple[i], d->token + 1);
    }
    if (word->pattern != NULL) {
        pattern_match(d, word->pattern);
    }
    if (word->sieved != NULL && (word->second[d->next / 64] >> (d->next % 64) & 1)) {
        pattern_match(d, word->sieved);
    }
}

/* The sieve's bit of token i; past the end no phrase has a second word, and any bit does. */
static unsigned token_sieve(const struct lexicon *l, const struct tokens *t, size_t i) {
    if (i >= t->n) {
        return 0;
    }
    if (t->at[i].kind == TOKEN_NUMBER) {
        return phrase_sieve("#", 1);
    }
    size_t end = i + 1 < t->n ? t->at[i + 1].line_at : l->line_size;
    return phrase_sieve(l->line + t->at[i].line_at, end - 1 - t->at[i].line_at);
}

bool lexicon_scan(struct lexicon *l, const struct folded *f, struct tokens *t, struct marks *out) {
    struct finder d = {.l = l, .tokens = t, .marks = out};
    out->n = 0;
    pcre2_set_callout(l->context, scan_callout, &d);
    if (!line_write(l, f, t)) {
        return false;
    }
    for (uint32_t i = 0; i < t->n; i++) {
        const struct word *found[LEXICON_FOUND];
        const struct token *k = &t->at[i];
        size_t end = i + 1 < t->n ? t->at[i + 1].line_at : l->line_size;
        d.token = i;
        d.first_mark = out->n;
        d.next = token_sieve(l, t, i + 1);
        size_t n = words_find(&l->words, l->line + k->line_at, end - 1 - k->line_at, found, LEXICON_FOUND);
        for (size_t w = 0; w < n; w++) {
            token_match(&d, found[w]);
        }
        if (k->kind == TOKEN_NUMBER && (n = words_find(&l->words, "#", 1, found, LEXICON_FOUND)) > 0) {
            token_match(&d, found[0]);
        }
    }
    return true;
}
