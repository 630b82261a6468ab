/* Cuts folded text into words, numbers, marks and line breaks.
 *
 * A number is a run of digits, in which o is 0 and l i | are 1 when a digit stands beside them: "13o/85", "l28". It
 * never holds a separator: whether `.` parts two numbers or makes a decimal is decided later, where the neighbours
 * are known. It must never drop a digit. A text of 160 characters has about 40 tokens.
 */
#include "parser/text.h"

#include <stdlib.h>
#include <string.h>

static bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

static bool is_letter(char c) {
    return (c >= 'a' && c <= 'z') || (unsigned char)c >= 128;
}

static bool is_lookalike(char c) {
    return c == 'o' || c == 'l' || c == 'i';
}

static bool tokens_reserve(struct tokens *t, size_t n) {
    if (n <= t->room) {
        return true;
    }
    size_t room = n + n / 2 + 64;
    struct token *at = realloc(t->at, room * sizeof *at);
    if (at == NULL) {
        return false;
    }
    t->at = at;
    t->room = room;
    return true;
}

void tokens_free(struct tokens *t) {
    free(t->at);
    memset(t, 0, sizeof *t);
}

static struct token *token_add(struct tokens *t, enum token_kind kind, size_t start, size_t size) {
    struct token *k = &t->at[t->n];
    *k = (struct token){.start = (uint32_t)start, .size = (uint32_t)size, .kind = (uint8_t)kind};
    k->glued = t->n > 0 && k[-1].start + k[-1].size == start;
    t->n++;
    return k;
}

/* Adds the number text[start..end), lookalike letters and bars read as digits. */
static void number_add(struct tokens *t, const char *text, size_t start, size_t end) {
    struct token *k = token_add(t, TOKEN_NUMBER, start, end - start);
    for (size_t i = start; i < end; i++) {
        char c = text[i];
        if (!is_digit(c)) {
            c = c == 'o' ? '0' : '1';
            k->repaired = true;
        }
        if (k->digits < 9) {
            k->value = k->value * 10 + (uint32_t)(c - '0');
        }
        if (k->digits < UINT8_MAX) {
            k->digits++;
        }
    }
}

/* The end of the digits or lookalikes that begin at i. */
static size_t number_end(const char *text, size_t n, size_t i) {
    while (i < n && (is_digit(text[i]) || is_lookalike(text[i]))) {
        i++;
    }
    return i;
}

/* Whether the lookalikes and digits text[start..end) make a number: a digit among them, no letter on either side,
 * and not "o2", the oxygen. */
static bool number_is(const char *text, size_t n, size_t start, size_t end) {
    bool digit = false;
    for (size_t i = start; i < end; i++) {
        digit = digit || is_digit(text[i]);
    }
    if (!digit || (start > 0 && is_letter(text[start - 1]) && is_lookalike(text[start]))) {
        return false;
    }
    if (end < n && is_letter(text[end]) && is_lookalike(text[end - 1])) {
        return false;
    }
    return !(end - start == 2 && text[start] == 'o' && text[start + 1] == '2');
}

/* The end of a run of letters at i, apostrophes between letters included. */
static size_t word_end(const char *text, size_t n, size_t i) {
    while (i < n && (is_letter(text[i]) || (text[i] == '\'' && i + 1 < n && is_letter(text[i + 1])))) {
        i++;
    }
    return i;
}

/* "a.m.", "p. m.", "b.p": single letters with dots are one word; returns its end, or i when there is none. */
static size_t dotted_end(const char *text, size_t n, size_t i) {
    size_t end = i + 1;
    while (end + 1 < n && text[end] == '.' && is_letter(text[end + 1]) && (end + 2 >= n || !is_letter(text[end + 2]))) {
        end += 2;
    }
    bool meridiem = text[i] == 'a' || text[i] == 'p';
    if (end == i + 1 && meridiem && end + 2 < n && text[end] == '.' && text[end + 1] == ' ' && text[end + 2] == 'm' &&
        (end + 3 >= n || !is_letter(text[end + 3]))) {
        end += 3;
    }
    if (end == i + 1) {
        return i;
    }
    return end < n && text[end] == '.' ? end + 1 : end;
}

/* A run of letters and digits that begins at i; returns its end. */
static size_t run_cut(struct tokens *t, const char *text, size_t n, size_t i) {
    while (i < n && (is_letter(text[i]) || is_digit(text[i]))) {
        size_t end = number_end(text, n, i);
        if (end > i && number_is(text, n, i, end)) {
            number_add(t, text, i, end);
            i = end;
            continue;
        }
        if (is_digit(text[i])) { /* "2o" before a letter: the digits alone */
            for (end = i; end < n && is_digit(text[end]);) {
                end++;
            }
            number_add(t, text, i, end);
            i = end;
            continue;
        }
        bool alone = i == 0 || !is_letter(text[i - 1]);
        end = alone ? dotted_end(text, n, i) : i;
        if (end == i) {
            end = word_end(text, n, i);
        }
        token_add(t, TOKEN_WORD, i, end - i);
        i = end;
    }
    return i;
}

/* A bar is 1 beside fewer than two digits on one side ("13|/84", "|32/84"), else it parts a pair ("132|84"). */
static bool bar_is_one(const char *text, size_t n, size_t i) {
    size_t before = 0, after = 0;
    while (before < i && before < 3 && is_digit(text[i - before - 1])) {
        before++;
    }
    while (i + after + 1 < n && after < 3 && is_digit(text[i + after + 1])) {
        after++;
    }
    return before + after >= 1 && before + after < 3 && (before < 2 || after < 2);
}

static size_t bar_cut(struct tokens *t, const char *text, size_t n, size_t i) {
    size_t start = i, end = i + 1;
    if (t->n > 0) {
        struct token *last = &t->at[t->n - 1];
        if (last->kind == TOKEN_NUMBER && last->start + last->size == i) {
            start = last->start;
            t->n--;
        }
    }
    end = number_end(text, n, end);
    number_add(t, text, start, end);
    return end;
}

/* "<br>", "</p>": a tag of a few letters breaks the line. Returns its end, or i. */
static size_t tag_end(const char *text, size_t n, size_t i) {
    size_t k = i + 1;
    while (k < n && k < i + 9 && (is_letter(text[k]) || text[k] == '/' || text[k] == ' ')) {
        k++;
    }
    return k > i + 1 && k < n && text[k] == '>' ? k + 1 : i;
}

static size_t mark_cut(struct tokens *t, const char *text, size_t n, size_t i) {
    size_t end = text[i] == '<' ? tag_end(text, n, i) : i;
    if (end > i || text[i] == '\n') {
        end = end > i ? end : i + 1;
        if (t->n == 0 || t->at[t->n - 1].kind != TOKEN_BREAK) {
            token_add(t, TOKEN_BREAK, i, end - i);
        }
        return end;
    }
    for (end = i + 1; end < n && text[end] == text[i];) {
        end++;
    }
    token_add(t, TOKEN_MARK, i, end - i)->mark = text[i];
    return end;
}

bool tokens_cut(struct tokens *t, const struct folded *f) {
    t->n = 0;
    if (!tokens_reserve(t, f->n + 1)) {
        return false;
    }
    const char *text = f->text;
    for (size_t i = 0; i < f->n;) {
        size_t first = t->n;
        if (text[i] == ' ') {
            i++;
        } else if (is_letter(text[i]) || is_digit(text[i])) {
            i = run_cut(t, text, f->n, i);
        } else if (text[i] == '|' && bar_is_one(text, f->n, i)) {
            i = bar_cut(t, text, f->n, i);
        } else {
            i = mark_cut(t, text, f->n, i);
        }
        for (size_t k = first; k < t->n; k++) {
            t->at[k].readable = t->at[k].start + t->at[k].size <= f->read_end;
        }
    }
    return true;
}
