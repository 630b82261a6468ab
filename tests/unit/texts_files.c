/* A clinic's own words: what is taken, and that every mistake is refused with its place and what to do. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/texts/texts.h"

static const struct clinic maple = {.name = "Maple",
                                    .voice_number = "01632 960001",
                                    .out_of_hours = "111",
                                    .emergency = "999",
                                    .language = "en"};

static struct embedded file_of(const char *name, const char *bytes)
{
    return (struct embedded){name, bytes, strlen(bytes)};
}

static void said_with(const char *name, const char *bytes, unsigned kind, const char *language,
                      const char *expected, const char *why)
{
    struct embedded file = file_of(name, bytes);
    struct saying s = {.parts = {(uint16_t)kind}, .n_parts = 1};
    struct texts *t;
    char told[512] = "", body[BODY_MAX];

    if (texts_open(&t, &file, 1, told, sizeof told) < 0)
        fail_msg("%s: %s", why, told);
    texts_say(t, &s, &maple, language, body, sizeof body);
    if (strcmp(body, expected))
        fail_msg("%s: %s", why, body);
    texts_close(t);
}

static void a_clinics_words_take_the_place_of_ours(void **state)
{
    static const struct {
        const char *name, *bytes;
        unsigned kind;
        const char *language, *said, *why;
    } rows[] = {
        {"en.texts", "thanks = Ta.\n", TEXT_THANKS, "en", "Ta.", "one line"},
        {"/etc/clinic/en.texts", "thanks = Ta.", TEXT_THANKS, "en", "Ta.",
         "in a folder, no line break at the end"},
        {"en.texts", "\xEF\xBB\xBFthanks = Ta.\r\n", TEXT_THANKS, "en", "Ta.", "BOM and carriage return"},
        {"en.texts", "# a comment\n\n  # another\nthanks=Ta.  \n", TEXT_THANKS, "en", "Ta.",
         "comments, blanks"},
        {"en.texts", "thanks = Thank\n    you\n\tall.\n", TEXT_THANKS, "en", "Thank you all.",
         "it goes on, indented"},
        {"en.texts", "thanks =\n    All on the next.\n", TEXT_THANKS, "en", "All on the next.",
         "nothing on the first"},
        {"en.texts", "thanks = a = b\n", TEXT_THANKS, "en", "a = b", "a second = is words"},
        {"es.texts", "thanks = Gracias a {clinic}.\n", TEXT_THANKS, "es", "Gracias a Maple.",
         "a value of the clinic may stand anywhere"},
        {"es.texts", "thanks = Gracias.\n", TEXT_THANKS, "en", "Thank you.", "the other language keeps ours"},
        {"en.texts", "day_added = Thanks. {number} more, ring {phone}.\n", TEXT_DAY_ADDED, "en",
         "Thanks. 0 more, ring 01632 960001.", "values that ours has are kept"},
        {"en.texts", "hint_quiet = Подсказка: молчите.\n", TEXT_HINT_QUIET, "en", "Подсказка: молчите.",
         "outside the alphabet, within 70"},
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        said_with(rows[i].name, rows[i].bytes, rows[i].kind, rows[i].language, rows[i].said, rows[i].why);
}

/* The longest allowed are 160 and 306 septets: {phone} counts as 20, {clinic} as 40, {echo} as 81. */
static void every_mistake_is_refused_with_its_place_and_what_to_do(void **state)
{
#define TEN     "0123456789"
#define HUNDRED TEN TEN TEN TEN TEN TEN TEN TEN TEN TEN
    static const struct {
        const char *name, *bytes, *told, *why;
    } rows[] = {
        {"en.texts", "thanks = Ta.\nthank = Ta.\n",
         "en.texts:2: no text is called \"thank\", see \"quietarm texts\" for the names", "an unknown name"},
        {"en.texts", "thanks = Ta.\n= Ta.\n",
         "en.texts:2: no text is called \"\", see \"quietarm texts\" for the names", "no name"},
        {"en.texts", "thanks = Ta.\nnudge = x\nthanks = Ta.\n",
         "en.texts:3: \"thanks\" is there twice, first in line 1, take one out", "twice in one file"},
        {"en.texts", "# words\nthanks\n",
         "en.texts:2: no \"=\", write \"name = words\", or indent a line that goes on", "no words"},
        {"en.texts", "  thanks = Ta.\n",
         "en.texts:1: an indented line without a text above it, begin it with \"name = \"",
         "indented at the start"},
        {"en.texts", "thanks =\nnudge = x\n", "en.texts:1: \"thanks\" has no words, write some", "empty"},
        {"en.texts", "thanks = Ta \xff.\n",
         "en.texts:1: a control character or bytes that are not UTF-8, save the file as UTF-8", "not UTF-8"},
        {"en.texts", "thanks = Ta \x01.\n",
         "en.texts:1: a control character or bytes that are not UTF-8, save the file as UTF-8",
         "a control character"},
        {"en.texts", "thanks = {name}, ta.\n",
         "en.texts:1: \"thanks\" has \"{name}\", which is no placeholder, see README.md for those there are",
         "an unknown placeholder"},
        {"en.texts", "thanks = Ta {phone\n",
         "en.texts:1: \"thanks\" has \"{phone\", which is no placeholder, see README.md for those there are",
         "not closed"},
        {"en.texts", "thanks = Ta }\n",
         "en.texts:1: \"thanks\" has \"}\", which is no placeholder, see README.md for those there are",
         "not opened"},
        {"en.texts", "\nw_severe = That is high. Measure again.\n",
         "en.texts:2: \"w_severe\" has lost {emergency}, put it in", "the emergency number"},
        {"es.texts", "w_low = Llame al {emergency}.\n", "es.texts:1: \"w_low\" has lost {contact}, put it in",
         "the contact"},
        {"en.texts", "w_pregnant_high = Ring today.\n",
         "en.texts:1: \"w_pregnant_high\" has lost {maternity}, put it in", "the maternity line"},
        {"en.texts", "w_self_harm = Ring {emergency}.\n",
         "en.texts:1: \"w_self_harm\" has lost {crisis}, put it in", "the crisis line"},
        {"en.texts", "welcome_back = Hello. Nonstop, UNSTOPPABLE.\n",
         "en.texts:1: \"welcome_back\" has lost the word STOP, put it in",
         "the way out, as a word of its own"},
        {"en.texts", "s_alert = {level} {clinic} {ref} {cause} {day} {time} {code}\n",
         "en.texts:1: \"s_alert\" has lost the word TAKE, put it before {code}", "how to take an alert"},
        {"en.texts", "got = Thank you.\n", "en.texts:1: \"got\" has lost {echo}, put it in", "the echo"},
        {"es.texts", "q_display = ¿Es {echo}? Responda {yes}.\n",
         "es.texts:1: \"q_display\" has lost {no}, put it in", "one of the answers"},
        {"en.texts", "thanks = Thank you, {word}.\n",
         "en.texts:1: \"thanks\" has no value for {word}, take it out", "care gives none to this text"},
        {"en.texts", "thanks = Thank you, {ref}.\n",
         "en.texts:1: \"thanks\" goes to patients and {ref} is for staff, take it out",
         "a reference to a patient"},
        {"en.texts", "word_and = {phone}\n", "en.texts:1: \"word_and\" has no value for {phone}, take it out",
         "a single word holds no value"},
        {"en.texts", "hint_quiet = " HUNDRED TEN TEN TEN TEN TEN TEN "0\n",
         "en.texts:1: \"hint_quiet\" takes 2 segments with its longest values and may take 1, make it "
         "shorter",
         "a hint of 161 septets"},
        {"en.texts", "silent = " HUNDRED HUNDRED TEN TEN TEN TEN TEN TEN TEN TEN "0123456{phone}\n",
         "en.texts:1: \"silent\" takes 3 segments with its longest values and may take 2, make it shorter",
         "287 septets and a number of 20"},
        {"en.texts", "hint_quiet = — " TEN TEN TEN TEN TEN TEN TEN "\n",
         "en.texts:1: \"hint_quiet\" takes 2 segments with its longest values and may take 1 (a character in "
         "it is outside "
         "GSM 03.38: 70 to a segment instead of 160), make it shorter",
         "72 of UCS-2"},
        {"pl.texts", "thanks = Tak.\n\n# end\n", NULL, "a language that is not whole"},
        {"english.words", "thanks = Ta.\n",
         "english.words:1: the file's name is not LANGUAGE.texts, name it like es.texts", "the file's name"},
        {"e.texts", "thanks = Ta.\n",
         "e.texts:1: the file's name is not LANGUAGE.texts, name it like es.texts", "one letter"},
        {"portuguese.texts", "thanks = Ta.\n",
         "portuguese.texts:1: the file's name is not LANGUAGE.texts, name it like es.texts",
         "too long for a language"},
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct embedded file = file_of(rows[i].name, rows[i].bytes);
        struct texts *t = (struct texts *)&file;
        char why[512] = "";

        if (texts_open(&t, &file, 1, why, sizeof why) == 0)
            fail_msg("taken: %s", rows[i].why);
        assert_null(t);
        if (rows[i].told && strcmp(why, rows[i].told))
            fail_msg("%s\n  told:     %s\n  expected: %s", rows[i].why, why, rows[i].told);
        if (!rows[i].told && (strncmp(why, "pl.texts:3: ", 12) ||
                              !strstr(why, " of \"pl\" are missing, the first is \"invite\"")))
            fail_msg("%s: %s", rows[i].why, why);
    }
}

static void the_limits_themselves_are_taken(void **state)
{
    static const char hint[] = "hint_quiet = " HUNDRED TEN TEN TEN TEN TEN TEN "\n";
    static const char two[] = "silent = " HUNDRED HUNDRED TEN TEN TEN TEN TEN TEN TEN TEN "012345{phone}\n";
    struct embedded files[] = {file_of("en.texts", hint), file_of("es.texts", two)};
    struct texts *t;
    char why[512] = "";

    (void)state;
    if (texts_open(&t, files, 2, why, sizeof why) < 0)
        fail_msg("%s", why);
    texts_close(t);
}

static void words_that_are_too_long_for_an_entry_are_refused(void **state)
{
    char bytes[1100] = "thanks = ", why[512] = "";
    struct embedded file = {"en.texts", bytes, 0};
    struct texts *t;

    (void)state;
    memset(bytes + 9, 'a', 1024);
    file.size = strlen(bytes);
    assert_int_equal(texts_open(&t, &file, 1, why, sizeof why), -1);
    assert_string_equal(why, "en.texts:1: more than 1023 bytes of words, make it shorter");
}

/* A whole new language is one file: here the Spanish one under another name. */
static void a_new_language_is_one_file(void **state)
{
    struct embedded file = {"pt.texts", NULL, 0};
    struct saying s = {.parts = {TEXT_THANKS}, .n_parts = 1, .both_languages = true};
    struct texts *t;
    char why[512] = "", body[BODY_MAX];

    (void)state;
    for (const struct embedded *f = texts_files; f->name; f++)
        if (!strcmp(f->name, "es.texts"))
            file.bytes = f->bytes, file.size = f->size;
    assert_non_null(file.bytes);
    if (texts_open(&t, &file, 1, why, sizeof why) < 0)
        fail_msg("%s", why);
    assert_string_equal(text_kind_words(t, TEXT_THANKS, "pt"), "Gracias.");
    texts_say(t, &s, &maple, "pt", body, sizeof body);
    assert_string_equal(body, "Gracias.\nThank you.");
    texts_close(t);
}

static void the_last_file_of_a_language_wins(void **state)
{
    struct embedded files[] = {file_of("a/en.texts", "thanks = One.\nnudge = One.\n"),
                               file_of("b/en.texts", "thanks = Two.\n")};
    struct texts *t;
    char why[512] = "";

    (void)state;
    assert_int_equal(texts_open(&t, files, 2, why, sizeof why), 0);
    assert_string_equal(text_kind_words(t, TEXT_THANKS, "en"), "Two.");
    assert_string_equal(text_kind_words(t, TEXT_NUDGE, "en"), "One.");
    texts_close(t);
}

static void bytes_that_are_no_catalogue_never_do_harm(void **state)
{
    static const char seed[] = "thanks = Ta {phone}.\n  more\n# c\nw_low = {emergency} {contact}\n";
    unsigned x = 1;

    (void)state;
    for (int round = 0; round < 300; round++) {
        char bytes[sizeof seed], why[64];
        struct embedded file = {"en.texts", bytes, sizeof seed - 1};
        struct texts *t;

        memcpy(bytes, seed, sizeof seed);
        for (int i = 0; i < 4; i++) {
            x = x * 1103515245u + 12345u;
            bytes[(x >> 8) % (sizeof seed - 1)] = (char)(x >> 20);
        }
        if (texts_open(&t, &file, 1, why, sizeof why) == 0)
            texts_close(t);
        else
            assert_true(strlen(why) > 0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_clinics_words_take_the_place_of_ours),
        cmocka_unit_test(every_mistake_is_refused_with_its_place_and_what_to_do),
        cmocka_unit_test(the_limits_themselves_are_taken),
        cmocka_unit_test(words_that_are_too_long_for_an_entry_are_refused),
        cmocka_unit_test(a_new_language_is_one_file),
        cmocka_unit_test(the_last_file_of_a_language_wins),
        cmocka_unit_test(bytes_that_are_no_catalogue_never_do_harm),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
