/* Folds a text: the one place that knows Unicode.
 *
 * Each character is taken apart by compatibility (g_unichar_fully_decompose allocates nothing), its marks are
 * dropped, and what is left is put in lower case. That equals NFKC followed by dropping accents. It must never turn
 * one number into another: a fraction keeps its meaning (13 and a half is not 131/2), a degree or ordinal sign is no
 * zero. Plain ASCII, most of all texts, takes the short way: about 1 ns a byte.
 */
#include "parser/text.h"

#include <glib.h>
#include <stdlib.h>
#include <string.h>

#include "parser/parser.h"

static bool folded_reserve(struct folded *f, size_t n) {
    if (n <= f->room) {
        return true;
    }
    size_t room = n + n / 2 + 256;
    char *text = realloc(f->text, room);
    if (text != NULL) {
        f->text = text;
    }
    uint32_t *origin = realloc(f->origin, room * sizeof *origin);
    if (origin != NULL) {
        f->origin = origin;
    }
    if (text == NULL || origin == NULL) {
        return false;
    }
    f->room = room;
    return true;
}

void folded_free(struct folded *f) {
    free(f->text);
    free(f->origin);
    memset(f, 0, sizeof *f);
}

/* One ASCII byte: lower case, every control but the line break a space. */
static char fold_ascii(unsigned char c) {
    if (c >= 'A' && c <= 'Z') {
        return (char)(c + 32);
    }
    if (c == '\r' || c == '\n') {
        return '\n';
    }
    if (c == '`') {
        return '\'';
    }
    return c < ' ' || c == 127 ? ' ' : (char)c;
}

/* Characters whose folding is a choice of ours, in order of code point. */
static const struct {
    uint32_t from, to;
    const char *as;
} fold_choices[] = {
    {0x00A0, 0x00A0, " "},   {0x00A1, 0x00A1, " "},  {0x00AA, 0x00AA, ""},   {0x00B0, 0x00B0, ""},
    {0x00B4, 0x00B4, "'"},   {0x00B7, 0x00B7, "."},  {0x00BA, 0x00BA, ""},   {0x00BF, 0x00BF, "?"},
    {0x00D7, 0x00D7, "x"},   {0x02B9, 0x02BC, "'"},  {0x2018, 0x201B, "'"},  {0x201C, 0x201F, "\""},
    {0x2022, 0x2023, ";"},   {0x2028, 0x2029, "\n"}, {0x2032, 0x2032, "'"},  {0x2044, 0x2044, "/"},
    {0x20E3, 0x20E3, ")"},    {0x2103, 0x2103, "c"},  {0x2109, 0x2109, "f"},  {0x2116, 0x2116, "#"},
    {0x2212, 0x2212, "-"},   {0x2215, 0x2215, "/"},  {0x2216, 0x2216, "\\"}, {0x2223, 0x2223, "|"},
    {0x2236, 0x2236, ":"},   {0x25CF, 0x25CF, ";"},  {0x2665, 0x2665, " heartsign "},
    {0x2764, 0x2764, " heartsign "}, {0x29F8, 0x29F8, "/"}, {0x3001, 0x3001, ","}, {0x3002, 0x3002, "."},
    {0xFE00, 0xFE0F, ""},    {0x1F493, 0x1F49F, " heartsign "},
};

static const char *fold_choice(uint32_t c) {
    size_t low = 0, high = sizeof fold_choices / sizeof fold_choices[0];
    while (low < high) {
        size_t middle = (low + high) / 2;
        if (c > fold_choices[middle].to) {
            low = middle + 1;
        } else if (c < fold_choices[middle].from) {
            high = middle;
        } else {
            return fold_choices[middle].as;
        }
    }
    return NULL;
}

/* A fraction after a digit becomes its decimal, elsewhere a word: 13(1/2) in is 13.5 in. */
static const char *fold_fraction(uint32_t c, bool after_digit) {
    switch (c) {
    case 0x00BC: return after_digit ? ".25" : " quarter ";
    case 0x00BD: return after_digit ? ".5" : " half ";
    case 0x00BE: return after_digit ? ".75" : " ";
    default: return c >= 0x2150 && c <= 0x215F ? " " : NULL;
    }
}

static size_t fold_letter(char *out, gunichar c) {
    if (g_unichar_isdigit(c)) {
        *out = (char)('0' + g_unichar_digit_value(c));
        return 1;
    }
    switch (g_unichar_type(c)) {
    case G_UNICODE_FORMAT:
    case G_UNICODE_NON_SPACING_MARK:
    case G_UNICODE_ENCLOSING_MARK:
    case G_UNICODE_SPACING_MARK: return 0;
    case G_UNICODE_DASH_PUNCTUATION: *out = '-'; return 1;
    case G_UNICODE_LOWERCASE_LETTER:
    case G_UNICODE_UPPERCASE_LETTER:
    case G_UNICODE_TITLECASE_LETTER:
    case G_UNICODE_OTHER_LETTER:
    case G_UNICODE_MODIFIER_LETTER:
        c = g_unichar_tolower(c);
        if (c < 128) {
            *out = (char)c;
            return 1;
        }
        return (size_t)g_unichar_to_utf8(c, out);
    default: *out = c < 128 ? fold_ascii((unsigned char)c) : ' '; return 1;
    }
}

static size_t fold_copy(char *out, const char *text) {
    size_t n = strlen(text);
    memcpy(out, text, n);
    return n;
}

size_t fold_character(char out[12], uint32_t c, char previous) {
    if (c < 128) {
        out[0] = fold_ascii((unsigned char)c);
        return 1;
    }
    const char *choice = fold_choice(c);
    if (choice == NULL) {
        choice = fold_fraction(c, previous >= '0' && previous <= '9');
    }
    if (choice != NULL) {
        return fold_copy(out, choice);
    }
    gunichar parts[18];
    size_t n = g_unichar_fully_decompose(c, TRUE, parts, 18), used = 0;
    for (size_t i = 0; i < n && used + 4 <= 12; i++) {
        const char *part = parts[i] < 128 ? NULL : fold_choice(parts[i]);
        used += part != NULL && strlen(part) < 3 ? fold_copy(out + used, part) : fold_letter(out + used, parts[i]);
    }
    return used;
}

/* The character at `bytes` and its length; an invalid byte is U+FFFD of length 1. */
static size_t fold_decode(const char *bytes, size_t size, uint32_t *c) {
    if ((unsigned char)bytes[0] < 128) {
        *c = (unsigned char)bytes[0];
        return 1;
    }
    gunichar got = g_utf8_get_char_validated(bytes, (gssize)(size > 4 ? 4 : size));
    if (got == (gunichar)-1 || got == (gunichar)-2) {
        *c = 0xFFFD;
        return 1;
    }
    *c = got;
    return (size_t)g_unichar_to_utf8(got, NULL);
}

bool fold_text(struct folded *f, const char *bytes, size_t size) {
    f->n = 0;
    f->read_end = SIZE_MAX;
    if (!folded_reserve(f, size * FOLD_GROWTH + 16)) {
        return false;
    }
    size_t characters = 0;
    for (size_t i = 0; i < size;) {
        uint32_t c;
        size_t step = fold_decode(bytes + i, size - i, &c);
        if (characters++ == PARSER_READ_CHARACTERS) {
            f->read_end = f->n;
        }
        size_t n = fold_character(f->text + f->n, c, f->n > 0 ? f->text[f->n - 1] : ' ');
        for (size_t k = 0; k < n; k++) {
            f->origin[f->n++] = (uint32_t)i;
        }
        i += step;
    }
    if (f->read_end == SIZE_MAX) {
        f->read_end = f->n;
    }
    return true;
}
