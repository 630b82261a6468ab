/* What the handout tells patients to text is what the parser understands; and the handout names no medicine, no figure for what
 * is high, nobody else's number. How it looks on paper is claimed in report_pdf.c. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>
#include <stdio.h>
#include <string.h>

#include "gateway/report/leaflet_words.h"
#include "parser/parser.h"

static struct parser *parser;
static const char *const languages[] = {"en", "es"};

static int parser_ready(void **state)
{
    char why[512] = "";
    (void)state;
    return parser_open(&parser, NULL, 0, why, sizeof why);
}

static int parser_done(void **state)
{
    (void)state;
    parser_close(parser);
    return 0;
}

static const struct meaning *meaning_of(const char *text)
{
    static struct meaning m;
    parser_read(parser, text, strlen(text), (struct moment){2026, 11, 26, 490}, &m);
    return &m;
}

static void a_reading_is_read(void **state)
{
    (void)state;
    for (int i = 0; i < 2; i++) {
        const struct meaning *m = meaning_of(leaflet_words(languages[i])->examples[0].text);
        assert_int_equal(m->readings.n, 1);
        assert_int_equal(m->readings.at[0].sys, 132);
        assert_int_equal(m->readings.at[0].dia, 84);
        assert_int_equal(m->readings.at[0].pulse, 71);
        assert_int_equal(m->doubt, 0);
    }
}

static void a_slip_is_put_right(void **state)
{
    (void)state;
    for (int i = 0; i < 2; i++) {
        const struct meaning *m = meaning_of(leaflet_words(languages[i])->examples[1].text);
        assert_int_equal(m->amend, AMEND_CORRECT);
        assert_int_equal(m->readings.n, 1);
        assert_int_equal(m->readings.at[0].sys, 138);
        assert_int_equal(m->rejected.n, 1);
        assert_int_equal(m->rejected.at[0].sys, 183);
    }
}

static void arm_and_cuff_are_read(void **state)
{
    (void)state;
    for (int i = 0; i < 2; i++) {
        const struct meaning *m = meaning_of(leaflet_words(languages[i])->examples[2].text);
        assert_true(m->arm_cm == 31 && m->cuff_cm[0] == 22 && m->cuff_cm[1] == 32);
    }
}

static void help_and_stop_are_keywords(void **state)
{
    (void)state;
    assert_non_null(strstr(leaflet_words("en")->foot, "HELP"));
    assert_non_null(strstr(leaflet_words("es")->foot, "AYUDA"));
    assert_int_equal(meaning_of("HELP")->keyword, KEYWORD_HELP);
    assert_int_equal(meaning_of("AYUDA")->keyword, KEYWORD_HELP);
    for (int i = 0; i < 2; i++)
        assert_non_null(strstr(leaflet_words(languages[i])->foot, "STOP"));
    assert_int_equal(meaning_of("STOP")->keyword, KEYWORD_STOP);
}

/* No advice on what a figure means: numbers stand in the examples alone, but for the minutes of rest. */
static void nothing_is_said_of_what_a_figure_means(void **state)
{
    (void)state;
    for (int i = 0; i < 2; i++) {
        const struct leaflet_words *w = leaflet_words(languages[i]);
        const char *const sentences[] = {w->title, w->when, w->posture, w->cuff, w->midpoint, w->emergency, w->closed, w->foot};
        for (size_t k = 0; k < sizeof sentences / sizeof *sentences; k++) {
            const char *digit = strpbrk(sentences[k], "0123456789");
            if (digit && (strncmp(digit, "5 minut", 7) != 0 || strpbrk(digit + 1, "0123456789")))
                fail_msg("a figure in \"%s\"", sentences[k]);
        }
    }
    assert_null(leaflet_words("cy"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_reading_is_read),
        cmocka_unit_test(a_slip_is_put_right),
        cmocka_unit_test(arm_and_cuff_are_read),
        cmocka_unit_test(help_and_stop_are_keywords),
        cmocka_unit_test(nothing_is_said_of_what_a_figure_means),
    };
    return cmocka_run_group_tests(tests, parser_ready, parser_done);
}
