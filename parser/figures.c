/* Figures: every number of the text with its value, written in digits or in words.
 *
 * Number words follow how people say a pressure: "one thirty two", "one oh eight", "a hundred and five", "one four
 * one", "ciento treinta y dos". A sequence that can be read in two ways is garbled, never guessed. A full stop or
 * comma is a decimal only where its neighbours say so. A figure never takes in a digit that is not in the text.
 */
#include "parser/steps.h"

#include <math.h>
#include <string.h>

enum { NUMBER_WEAK = 1, NUMBER_HUNDRED = 2 };

/* The number word at token i: its mark, or NULL. A mark of several words does not occur. */
static const struct mark *number_word(const struct parse *p, uint32_t i) {
    return i < p->t.n && p->t.at[i].kind == TOKEN_WORD ? mark_at(p, i, KIND_NUMBER) : NULL;
}

/* Whether the number word at i is a figure from low to high (and not "hundred"). */
static bool word_in(const struct parse *p, uint32_t i, int low, int high) {
    const struct mark *m = number_word(p, i);
    return m != NULL && m->b != NUMBER_HUNDRED && m->a >= low && m->a <= high;
}

static bool word_hundred(const struct parse *p, uint32_t i) {
    const struct mark *m = number_word(p, i);
    return m != NULL && m->b == NUMBER_HUNDRED;
}

static int word_value(const struct parse *p, uint32_t i) {
    return number_word(p, i)->a;
}

/* The token after a hyphen at i that joins two number words ("thirty-two"), else i. */
static uint32_t hyphen_skip(const struct parse *p, uint32_t i) {
    return token_is(p, i, '-') && p->t.at[i].glued && number_word(p, i + 1) != NULL ? i + 1 : i;
}

static uint32_t and_skip(const struct parse *p, uint32_t i) {
    bool and = token_word(p, i, "and") || token_word(p, i, "y") || token_word(p, i, "an") || token_word(p, i, "n") ||
               token_is(p, i, '&');
    return and && number_word(p, i + 1) != NULL ? i + 1 : i;
}

/* Below a hundred at i: "thirty two", "treinta y dos", "fifteen", "two". Returns the token after it, i when none. */
static uint32_t tens_read(const struct parse *p, uint32_t i, int *value, bool *garbled) {
    if (!word_in(p, i, 1, 99)) {
        return i;
    }
    *value = word_value(p, i);
    if (*value < 20 || *value % 10 != 0) {
        return i + 1;
    }
    uint32_t next = hyphen_skip(p, i + 1);
    bool spanish = token_word(p, next, "y") || token_word(p, next, "i");
    if (spanish && number_word(p, next + 1) != NULL) {
        next++;
    }
    if (!word_in(p, next, 1, 9)) {
        return i + 1;
    }
    uint32_t end = next + 1;
    /* "eighty one thirty nine": 81 39 or 80 139? */
    if (!spanish && word_in(p, next, 1, 2) && (word_in(p, end, 10, 99) || word_hundred(p, end))) {
        *garbled = true;
    }
    *value += word_value(p, next);
    return end;
}

/* After "hundred" or in place of it: what stands below, with "and" or without. */
static uint32_t below_read(const struct parse *p, uint32_t i, int *value, bool *garbled) {
    uint32_t start = and_skip(p, hyphen_skip(p, i));
    int below = 0;
    uint32_t end = tens_read(p, start, &below, garbled);
    if (end == start || (start > i && below == 0)) {
        return i;
    }
    *value += below;
    return end;
}

/* Single digits spoken in a row, "one four one": three make a pressure, two a diastolic. */
static uint32_t digits_read(const struct parse *p, uint32_t i, int *value) {
    uint32_t end = i;
    int n = 0, total = 0;
    for (uint32_t at = i; n < 4 && word_in(p, at, 0, 9); at = hyphen_skip(p, end)) { /* "one-three-zero" too */
        total = total * 10 + word_value(p, at);
        n++;
        end = at + 1;
    }
    if (n < 2 || n > 3) {
        return i;
    }
    *value = total;
    return end;
}

/* "next one one forty eight": the first "one" is a reading, not a number. */
static bool one_of_a_row(const struct parse *p, uint32_t i) {
    static const char *const words[] = {"next", "second", "third", "last", "other", "first", "this", "that"};
    for (size_t k = 0; i > 0 && token_word(p, i, "one") && word_in(p, i + 1, 1, 2) && k < sizeof words / sizeof *words; k++) {
        if (token_word(p, i - 1, words[k])) {
            return true;
        }
    }
    return false;
}

/* The spelled number that begins at token i: its end, or i when there is none. */
static uint32_t spelled_read(const struct parse *p, uint32_t i, struct figure *f) {
    const struct mark *m = number_word(p, i);
    int value = 0;
    if (m == NULL || one_of_a_row(p, i)) {
        return i;
    }
    if (m->b == NUMBER_HUNDRED || (m->b == NUMBER_WEAK && m->a == 1 && word_hundred(p, hyphen_skip(p, i + 1)))) {
        i = m->b == NUMBER_HUNDRED ? i + 1 : hyphen_skip(p, i + 1) + 1;
        value = 100;
        i = below_read(p, i, &value, &f->garbled);
    } else if (m->a >= 100) {
        value = m->a;
        i = below_read(p, i + 1, &value, &f->garbled);
    } else if (m->a >= 1 && m->a <= 9) {
        uint32_t next = hyphen_skip(p, i + 1), end = digits_read(p, i, &value);
        if (word_hundred(p, next)) {
            value = m->a * 100;
            i = below_read(p, next + 1, &value, &f->garbled);
        } else if (m->a <= 3 && word_in(p, next, 10, 99)) {
            int below = 0;
            i = tens_read(p, next, &below, &f->garbled);
            value = m->a * 100 + below;
            f->garbled = f->garbled && below % 10 != 2; /* "one thirty two eighty four": 130 over 284 is no reading */
        } else if (end > i) {
            i = end;
        } else {
            value = m->a;
            f->weak = m->b == NUMBER_WEAK;
            i = i + 1;
        }
    } else if (m->a >= 10) {
        i = tens_read(p, i, &value, &f->garbled);
    } else {
        f->weak = true;
        i = i + 1;
    }
    f->value = value;
    f->digits = value >= 100 ? 3 : value >= 10 ? 2 : 1;
    f->spelled = true;
    return i;
}

/* "eighty for": dictation wrote a word that sounds like a number where a number's last digit may stand. */
static bool sounds_follow(const struct parse *p, const struct figure *f) {
    const struct mark *m = mark_at(p, f->end, KIND_SOUNDS);
    if (m == NULL || (int)f->value % 10 != 0 || f->value < 20) {
        return false;
    }
    uint32_t next = m->end;
    bool stops = next >= p->t.n || p->t.at[next].kind != TOKEN_WORD;
    return stops || (p->starts[next] & (KIND_IS(KIND_JOIN) | KIND_IS(KIND_LABEL) | KIND_IS(KIND_ALSO)));
}

static bool is_number(const struct parse *p, uint32_t i) {
    return i < p->t.n && p->t.at[i].kind == TOKEN_NUMBER;
}

/* Whether a slash or kPa stands beside the number that ends before token `after` and began at `before`: then a full
 * stop inside it is a decimal point. */
static bool separator_near(const struct parse *p, uint32_t before, uint32_t after) {
    static const char *const separators = "/\\|";
    for (int side = 0; side < 2; side++) {
        uint32_t i = side == 0 ? before - 1 : after;
        if (i < p->t.n && p->t.at[i].kind == TOKEN_MARK && strchr(separators, p->t.at[i].mark) != NULL) {
            return true;
        }
        const struct mark *unit = mark_at(p, i, KIND_UNIT);
        bool measure = unit != NULL && unit->a != ROLE_DURATION; /* "19.30 hrs" is a time */
        if (i < p->t.n && ((p->covers[i] & KIND_IS(KIND_JOIN)) || measure) && side == 1) {
            return true;
        }
        if (i < p->t.n && (p->covers[i] & KIND_IS(KIND_JOIN)) && p->t.at[i].kind == TOKEN_WORD) {
            return true;
        }
    }
    return false;
}

/* Whether number, dot, number at i is one decimal number: the contract's rule for `. ,`. */
static bool decimal_at(const struct parse *p, uint32_t i) {
    if (!(token_is(p, i + 1, '.') || token_is(p, i + 1, ',')) || !is_number(p, i + 2)) {
        return false;
    }
    const struct token *a = &p->t.at[i], *dot = a + 1, *b = a + 2;
    if (!dot->glued || !b->glued || dot->size != 1 || (is_number(p, i + 4) && token_is(p, i + 3, '.') && a[3].glued)) {
        return false;
    }
    if (a->digits == 1 && b->digits >= 2 && b->digits <= 3 && separator_near(p, i + 3, i + 3)) {
        return b->digits == 2 && dot->mark == '.' && b->value < 100 && a->value == 0;
    }
    if (b->digits == 1) {
        return a->digits <= 3;
    }
    if (b->digits == 2 && a->digits <= 2 && a->value < 24 && b->value < 60 && dot->mark == '.') {
        return separator_near(p, i, i + 3); /* else it is a clock time */
    }
    bool pulse = b->digits == 2 && a->value >= 40 && b->value >= 40 && i > 0 && (token_is(p, i - 1, '/') || token_is(p, i - 1, '\\'));
    return a->digits <= 3 && b->digits <= 2 && !pulse && separator_near(p, i, i + 3); /* "132/84,71": no monitor shows hundredths */
}

static uint32_t digits_figure(const struct parse *p, uint32_t i, struct figure *f) {
    const struct token *k = &p->t.at[i];
    f->value = k->value;
    f->digits = k->digits;
    if (decimal_at(p, i)) {
        const struct token *b = k + 2;
        f->value += b->value / pow(10, b->digits);
        f->decimal = true;
        return i + 3;
    }
    if (token_is(p, i + 1, ',') && is_number(p, i + 2) && k[1].glued && k[2].glued && k[2].digits == 3 &&
        k->digits <= 2 && !(token_is(p, i + 3, '/') || token_is(p, i + 3, '\\')) && !token_is(p, i + 3, ',') &&
        !(i > 0 && token_is(p, i - 1, ','))) { /* 10,000 */
        f->value = k->value * 1000.0 + k[2].value;
        f->digits = k->digits + 3;
        f->role = ROLE_OTHER;
        return i + 3;
    }
    return i + 1;
}

/* Letters glued to a number that no phrase knows: "1h9", "13s/8b". */
static bool glued_garble(const struct parse *p, const struct figure *f) {
    const struct token *k = &p->t.at[f->end];
    if (f->end < p->t.n && k->kind == TOKEN_WORD && k->glued && k->size <= 2) {
        bool known = (p->covers[f->end] & (KIND_IS(KIND_UNIT) | KIND_IS(KIND_LABEL) | KIND_IS(KIND_CLOCK) |
                                           KIND_IS(KIND_JOIN) | KIND_IS(KIND_ORDINAL) | KIND_IS(KIND_ALSO))) != 0;
        bool time = k->size == 1 && p->f.text[k->start] == 'h' && is_number(p, f->end + 1) && k[1].digits == 2;
        bool between = f->digits < 2 && is_number(p, f->end + 1) && k[1].glued && !time;
        return !known || between;
    }
    if (token_is(p, f->end, '/') && f->end + 2 < p->t.n && k[1].kind == TOKEN_WORD && k[1].glued && k[1].size <= 2 &&
        is_number(p, f->end + 2) && k[2].glued && !(p->covers[f->end + 1] & KIND_IS(KIND_LABEL))) {
        return true; /* "132/b4" */
    }
    if (f->end < p->t.n && k->kind == TOKEN_MARK && k->mark == '?' && k->glued && is_number(p, f->end + 1) && k[1].glued) {
        return true;
    }
    bool behind_slash = f->first > 0 && token_is(p, f->first - 1, '/') && p->t.at[f->first].glued;
    return f->digits == 1 && behind_slash && token_is(p, f->end, '?') && k->glued; /* "138/8?" */
}

/* A number that names something: "Y9", "B12"; a letter that labels a pressure, counts or tells a time is another thing. */
static bool named_by_letter(const struct parse *p, uint32_t i) {
    uint64_t known = KIND_IS(KIND_LABEL) | KIND_IS(KIND_ORDINAL) | KIND_IS(KIND_CLOCK) | KIND_IS(KIND_AGAIN) | KIND_IS(KIND_JOIN) |
                     KIND_IS(KIND_UNIT) | KIND_IS(KIND_LEAD) | KIND_IS(KIND_NUMBER);
    return i > 0 && p->t.at[i].glued && p->t.at[i - 1].kind == TOKEN_WORD && p->t.at[i - 1].size == 1 && p->t.at[i].digits <= 2 &&
           !(p->covers[i - 1] & known) && !(i > 1 && p->t.at[i - 1].glued);
}

void figures_find(struct parse *p) {
    for (uint32_t i = 0; i < p->t.n && p->t.at[i].readable;) {
        struct figure f = {.first = i, .role = ROLE_FREE, .partner = -1};
        if (p->t.at[i].kind == TOKEN_NUMBER) {
            f.end = digits_figure(p, i, &f);
            f.garbled = glued_garble(p, &f);
            f.role = named_by_letter(p, i) ? ROLE_OTHER : f.role;
        } else {
            f.end = spelled_read(p, i, &f);
            f.garbled = f.garbled || (f.end > i && sounds_follow(p, &f));
        }
        if (f.end == i || (f.weak && !token_word(p, i, "one") && !token_word(p, i, "una"))) {
            i++; /* "a" and "oh" alone are no numbers */
            continue;
        }
        p->figure[p->figure_n++] = f;
        p->figure_at[i] = (uint32_t)p->figure_n;
        i = f.end;
    }
}
