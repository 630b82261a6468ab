/* Segments as carriers count them. The counts of the first table are check values for 3GPP TS 23.038 and 23.040: 160
 * septets alone and 153 a part, 70 and 67 units of UCS-2; the alphabet itself is checked in tests/reference. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/texts/texts.h"

static char *repeated(const char *what, int n)
{
    size_t size = strlen(what);
    char *s = calloc((size_t)n * size + 1, 1);

    assert_non_null(s);
    for (int i = 0; i < n; i++)
        memcpy(s + (size_t)i * size, what, size);
    return s;
}

static void a_text_takes_as_many_segments_as_the_standard_says(void **state)
{
    static const struct {
        const char *what;
        int n, segments;
        const char *why;
    } rows[] = {
        {"a", 0, 0, "nothing is sent"},
        {"a", 1, 1, "the shortest"},
        {"a", 160, 1, "160 septets go alone"},
        {"a", 161, 2, "one more and each part has a header"},
        {"a", 306, 2, "2 x 153"},
        {"a", 307, 3, "and one"},
        {"a", 459, 3, "3 x 153"},
        {"a", 460, 4, "and one"},
        {"€", 80, 1, "an extension character takes two: 160"},
        {"€", 81, 2, "162"},
        {"≥", 70, 1, "UCS-2 alone"},
        {"≥", 71, 2, "one more"},
        {"≥", 134, 2, "2 x 67"},
        {"≥", 135, 3, "and one"},
        {"😀", 35, 1, "a surrogate pair is two units: 70"},
        {"😀", 36, 2, "72"},
        {"ñ", 160, 1, "in the alphabet"},
        {"á", 71, 2, "not in the alphabet"},
        {"\xff", 71, 2, "a byte that is no UTF-8 is one character of UCS-2"},
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char *s = repeated(rows[i].what, rows[i].n);

        if (gsm_segments(s) != rows[i].segments)
            fail_msg("%s x %d: %d, not %d (%s)", rows[i].what, rows[i].n, gsm_segments(s), rows[i].segments,
                     rows[i].why);
        free(s);
    }
}

/* A pair that would straddle two parts moves whole to the next, so the last part may overflow. */
static void a_pair_is_never_split_between_parts(void **state)
{
    static const struct {
        const char *lead;
        int n_lead;
        const char *pair;
        int n_pair, tail, segments;
        const char *why;
    } rows[] = {
        {"a", 152, "€", 1, 152, 3, "306 septets, but the € leaves one septet of part one unused"},
        {"a", 151, "€", 1, 153, 2, "306 septets and the € fits at the end of part one"},
        {"a", 152, "€", 1, 151, 2, "one fewer behind it: 2 x 153 hold them again"},
        {"a", 158, "€", 1, 0, 1, "160 alone: there is no part to split at"},
        {"≥", 66, "😀", 1, 66, 3, "134 units, but the pair leaves one unit of part one unused"},
        {"≥", 65, "😀", 1, 67, 2, "134 units, nothing unused"},
        {"≥", 68, "😀", 1, 0, 1, "70 alone"},
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char *a = repeated(rows[i].lead, rows[i].n_lead), *b = repeated(rows[i].pair, rows[i].n_pair);
        char *c = repeated(rows[i].lead, rows[i].tail), text[1200];

        snprintf(text, sizeof text, "%s%s%s", a, b, c);
        if (gsm_segments(text) != rows[i].segments)
            fail_msg("row %zu: %d, not %d (%s)", i, gsm_segments(text), rows[i].segments, rows[i].why);
        free(a), free(b), free(c);
    }
}

static void characters_outside_the_alphabet_are_seen(void **state)
{
    static const struct {
        const char *text;
        bool fits;
        const char *why;
    } rows[] = {
        {"Got 132/84, pulse 71.", true, "plain"},
        {"¿Cuánto?", false, "á is outside"},
        {"¿Qué año? ¡Sí!", false, "í is outside"},
        {"¿Qué año?", true, "¿ é ñ are inside"},
        {"it's", true, "the straight apostrophe"},
        {"it’s", false, "the curly one"},
        {"20 °C", false, "degree sign"},
        {"a — b", false, "dash"},
        {"`", false, "back-quote"},
        {"≥ 180", false, "at least"},
        {"^{}\\[~]|€\f", true, "the ten of the extension"},
        {"\t", false, "a tab"},
        {"", true, "nothing is outside"},
        {"\xc3", false, "half a character"},
        {"\xed\xa0\x80", false, "a surrogate on its own"},
        {"\xc0\xaf", false, "an over-long form"},
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (gsm_fits(rows[i].text) != rows[i].fits)
            fail_msg("%s: %s", rows[i].text, rows[i].why);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_text_takes_as_many_segments_as_the_standard_says),
        cmocka_unit_test(a_pair_is_never_split_between_parts),
        cmocka_unit_test(characters_outside_the_alphabet_are_seen),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
