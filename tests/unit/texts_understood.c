/* What we ask patients to text is what the parser understands: each answer and example that stands in a sentence, read
 * by the parser itself. A word changed in one room only would leave a patient answering into the void. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/texts/texts.h"

static struct parser *parser;
static struct texts *texts;
static const struct moment received = {2026, 11, 26, 8 * 60 + 10}; /* a Thursday */

static int both_ready(void **state)
{
    char why[512] = "";

    (void)state;
    if (parser_open(&parser, NULL, 0, why, sizeof why) == 0 &&
        texts_open(&texts, NULL, 0, why, sizeof why) == 0)
        return 0;
    print_error("%s\n", why);
    return -1;
}

static int both_done(void **state)
{
    (void)state;
    parser_close(parser);
    texts_close(texts);
    return 0;
}

static const struct meaning *meaning_of(const char *text)
{
    static struct meaning m;

    parser_read(parser, text, strlen(text), received, &m);
    return &m;
}

/* The sentence still tells the patient so. */
static void stands_in(const char *language, unsigned kind, const char *told)
{
    if (!strstr(text_kind_words(texts, kind, language), told))
        fail_msg("%s in %s no longer says \"%s\": change this test with it", text_kind_name(kind), language,
                 told);
}

static void every_word_to_answer_with_is_a_keyword(void **state)
{
    static const struct {
        const char *language;
        unsigned kind; /* where it is asked for; 0: {yes} and {no} */
        const char *word;
        enum keyword keyword;
    } rows[] = {
        {"en", 0, "YES", KEYWORD_YES},
        {"en", 0, "NO", KEYWORD_NO},
        {"es", 0, "SI", KEYWORD_YES},
        {"es", 0, "NO", KEYWORD_NO},
        {"en", TEXT_INVITE, "STOP", KEYWORD_STOP},
        {"es", TEXT_INVITE, "STOP", KEYWORD_STOP},
        {"en", TEXT_STOPPED, "START", KEYWORD_START},
        {"es", TEXT_STOPPED, "START", KEYWORD_START},
        {"en", TEXT_WELCOME, "HELP", KEYWORD_HELP},
        {"es", TEXT_WELCOME, "AYUDA", KEYWORD_HELP},
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        if (rows[i].kind)
            stands_in(rows[i].language, rows[i].kind, rows[i].word);
        if (meaning_of(rows[i].word)->keyword != rows[i].keyword)
            fail_msg("%s in %s is not taken", rows[i].word, rows[i].language);
    }
    assert_true(meaning_of("ES")->news & NEWS_ES);
    assert_true(meaning_of("EN")->news & NEWS_EN);
}

static void every_example_of_a_reading_is_read(void **state)
{
    static const struct {
        const char *language;
        unsigned kind;
        const char *example;
        int sys, dia, pulse, day, minute;
        enum slot slot;
    } rows[] = {
        {"en", TEXT_NOT_UNDERSTOOD, "132/84 71", 132, 84, 71, DAY_UNSAID, MINUTE_UNSAID, SLOT_NONE},
        {"es", TEXT_NOT_UNDERSTOOD, "132/84 71", 132, 84, 71, DAY_UNSAID, MINUTE_UNSAID, SLOT_NONE},
        {"en", TEXT_Q_WHEN, "Tuesday 07:30 132/84 71", 132, 84, 71, -2, 450, SLOT_MORNING},
        {"es", TEXT_Q_WHEN, "martes 07:30 132/84 71", 132, 84, 71, -2, 450, SLOT_MORNING},
        {"en", TEXT_Q_WHICH_DAYS, "Monday morning 132/84 71", 132, 84, 71, -3, MINUTE_UNSAID, SLOT_MORNING},
        {"es", TEXT_Q_WHICH_DAYS, "lunes por la mañana 132/84 71", 132, 84, 71, -3, MINUTE_UNSAID,
         SLOT_MORNING},
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct meaning *m = meaning_of(rows[i].example);
        const struct said *s = &m->readings.at[0];

        stands_in(rows[i].language, rows[i].kind, rows[i].example);
        if (m->readings.n != 1 || m->doubt || s->sys != rows[i].sys || s->dia != rows[i].dia ||
            s->pulse != rows[i].pulse)
            fail_msg("\"%s\" is not read as its numbers", rows[i].example);
        if (s->day != rows[i].day || s->minute != rows[i].minute || s->slot != rows[i].slot)
            fail_msg("\"%s\" is day %d, minute %d, slot %d", rows[i].example, s->day, s->minute, s->slot);
    }
}

static void the_example_of_a_correction_names_right_and_wrong(void **state)
{
    const struct meaning *m = meaning_of("132/84 not 182/82");

    (void)state;
    stands_in("en", TEXT_Q_WHICH_READING, "132/84 not 182/82");
    stands_in("es", TEXT_Q_WHICH_READING, "132/84 no 182/82");
    for (int i = 0; i < 2; i++, m = meaning_of("132/84 no 182/82")) {
        assert_int_equal(m->amend, AMEND_CORRECT);
        assert_int_equal(m->readings.n, 1);
        assert_int_equal(m->readings.at[0].sys, 132);
        assert_int_equal(m->rejected.n, 1);
        assert_int_equal(m->rejected.at[0].sys, 182);
    }
}

static void the_examples_of_arm_and_cuff_are_read(void **state)
{
    static const struct {
        const char *language, *example;
    } rows[] = {{"en", "arm 31 cm, cuff 22-32 cm"}, {"es", "brazo 31 cm, manguito 22-32 cm"}};

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct meaning *m = meaning_of(rows[i].example);

        stands_in(rows[i].language, TEXT_ASK_ARM_CUFF, rows[i].example);
        stands_in(rows[i].language, TEXT_ASK_ARM_CUFF_AGAIN, rows[i].example);
        assert_float_equal(m->arm_cm, 31.0, 0.01);
        assert_float_equal(m->cuff_cm[0], 22.0, 0.01);
        assert_float_equal(m->cuff_cm[1], 32.0, 0.01);
        assert_int_equal(m->readings.n, 0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_word_to_answer_with_is_a_keyword),
        cmocka_unit_test(every_example_of_a_reading_is_read),
        cmocka_unit_test(the_example_of_a_correction_names_right_and_wrong),
        cmocka_unit_test(the_examples_of_arm_and_cuff_are_read),
    };

    return cmocka_run_group_tests(tests, both_ready, both_done);
}
