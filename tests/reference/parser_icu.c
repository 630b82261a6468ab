/* The parser against ICU and against a handbook.
 *
 * Digits: every character that the Unicode Character Database (as shipped in ICU, property Nd) calls a decimal digit
 * must be read as the digit that it says. Number words: ICU's rule-based number formats spell 0 to 299 in English and
 * Spanish, and each is read back; ICU is the speller, our words the reader. kPa: values of the table "conversion of
 * blood pressure units" by 1 kPa = 7.50062 mmHg (NIST Special Publication 811, appendix B, conventional millimetre of
 * mercury 133.3224 Pa). ICU's own parser is not used for reading: it takes "one hundred thirty two" for 130.
 */
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <unicode/uchar.h>
#include <unicode/unum.h>
#include <unicode/ustring.h>

#include "parser/parser.h"

static const struct moment received = {2026, 11, 24, 490};
static struct parser *parser;
static struct meaning meaning;
static int passed, failed;

static void expect(const char *text, int sys, int dia) {
    parser_read(parser, text, strlen(text), received, &meaning);
    bool ok = meaning.readings.n == 1 && meaning.readings.at[0].sys == sys && meaning.readings.at[0].dia == dia;
    passed += ok;
    failed += !ok;
    if (!ok) {
        printf("# \"%s\": want %d/%d, got %d readings, first %d/%d\n", text, sys, dia, meaning.readings.n, meaning.readings.at[0].sys,
               meaning.readings.at[0].dia);
    }
}

static size_t put_utf8(char *out, UChar32 c) {
    int32_t n = 0;
    U8_APPEND_UNSAFE(out, n, c);
    return (size_t)n;
}

/* Each script's ten digits, as 1d2/8d. */
static void digits_of_every_script_are_digits(void) {
    int scripts = 0;
    for (UChar32 c = 0; c <= UCHAR_MAX_VALUE; c++) {
        if (u_charType(c) != U_DECIMAL_DIGIT_NUMBER || u_charDigitValue(c) != 0) {
            continue;
        }
        scripts++;
        for (int digit = 0; digit < 10; digit++) {
            char text[64];
            size_t n = put_utf8(text, c + 1);
            n += put_utf8(text + n, c + digit);
            n += put_utf8(text + n, c + 2);
            text[n++] = '/';
            n += put_utf8(text + n, c + 8);
            n += put_utf8(text + n, c + digit);
            text[n] = '\0';
            expect(text, 102 + digit * 10, 80 + digit);
        }
    }
    printf("# %d scripts\n", scripts);
}

/* Spells `value` in the language into `out`. */
static bool spell(const char *language, int value, char *out, size_t size) {
    UErrorCode status = U_ZERO_ERROR;
    UNumberFormat *format = unum_open(UNUM_SPELLOUT, NULL, 0, language, NULL, &status);
    UChar spelled[256];
    int32_t n = unum_format(format, value, spelled, 256, NULL, &status), bytes = 0;
    u_strToUTF8(out, (int32_t)size, &bytes, spelled, n, &status);
    unum_close(format);
    for (char *hyphen = out; (hyphen = strstr(hyphen, "\xc2\xad")) != NULL;) { /* ICU's optional hyphens */
        memmove(hyphen, hyphen + 2, strlen(hyphen + 2) + 1);
    }
    return U_SUCCESS(status);
}

/* Each number from 50 to 299 as systolic over 40, from 20 to 200 as diastolic under 250. */
static void numbers_spelled_by_icu_are_read(const char *language, const char *over) {
    char number[256], fixed[256], text[600];
    spell(language, 40, fixed, sizeof fixed);
    for (int value = 50; value <= 299; value++) {
        spell(language, value, number, sizeof number);
        snprintf(text, sizeof text, "%s %s %s", number, over, fixed);
        expect(text, value, 40);
    }
    spell(language, 250, fixed, sizeof fixed);
    for (int value = 20; value <= 200; value++) {
        spell(language, value, number, sizeof number);
        snprintf(text, sizeof text, "%s %s %s", fixed, over, number);
        expect(text, 250, value);
    }
}

/* NIST SP 811: kPa times 7.50062, whole mmHg. */
static void kilopascals_follow_the_handbook(void) {
    static const struct {
        const char *text;
        int sys, dia;
    } rows[] = {
        {"16/10.7 kPa", 120, 80},   {"18.7/12 kPa", 140, 90},   {"18/11.3 kPa", 135, 85},  {"21.3/13.3 kPa", 160, 100},
        {"17.3/11.3kPa", 130, 85},  {"12/8 kPa", 90, 60},       {"24/14.7 kpa", 180, 110}, {"17.6 kPa / 11.2 kPa", 132, 84},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        expect(rows[i].text, rows[i].sys, rows[i].dia);
    }
}

int main(void) {
    char why[256] = "";
    if (parser_open(&parser, NULL, 0, why, sizeof why) < 0) {
        printf("%s\n", why);
        return 1;
    }
    digits_of_every_script_are_digits();
    numbers_spelled_by_icu_are_read("en", "over");
    numbers_spelled_by_icu_are_read("es", "sobre");
    kilopascals_follow_the_handbook();
    parser_close(parser);
    printf("%d passed, %d failed\n", passed, failed);
    return failed > 0;
}
