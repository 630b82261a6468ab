/* Two things that are found by asking the parser twice: a bare day or time, and an untagged text sent again with its tag.
 *
 * Received on Tuesday 2026-11-24 at 08:10.
 */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <cmocka.h>

#include <stdio.h>
#include <string.h>

#include "gateway/flow/inside.h"

static struct parser *parser;
static const struct moment tuesday = {.year = 2026, .month = 11, .day = 24, .minute = 8 * 60 + 10};

static void a_bare_day_or_time_is_understood_and_half_an_answer_is_not(void **state)
{
    static const struct {
        const char *text;
        bool bare;
        int day, slot, minute;
        const char *why;
    } rows[] = {
        {"yesterday morning", true, -1, SLOT_MORNING, MINUTE_UNSAID, "day and half"},
        {"Today, all of them", true, 0, SLOT_NONE, MINUTE_UNSAID, "a day for all"},
        {"all this morning", true, 0, SLOT_MORNING, MINUTE_UNSAID, "for all, in front"},
        {"they were all from Monday evening", true, -1, SLOT_EVENING, MINUTE_UNSAID, "a sentence"},
        {"last night", true, -1, SLOT_EVENING, MINUTE_UNSAID, "neither word alone, both together"},
        {"I did them yesterday.", true, -1, SLOT_NONE, MINUTE_UNSAID, "a full stop"},
        {"at 07:30 today", true, 0, SLOT_MORNING, 7 * 60 + 30, "a clock time"},
        {"ayer por la mañana", true, -1, SLOT_MORNING, MINUTE_UNSAID, "Spanish"},
        {"todas de hoy", true, 0, SLOT_NONE, MINUTE_UNSAID, "Spanish, for all"},
        {"the first two yesterday", false, 0, 0, 0, "half an answer"},
        {"the first two yesterday, the rest today", false, 0, 0, 0, "two days"},
        {"yesterday and today", false, 0, 0, 0, "two days and nothing else"},
        {"morning and evening", false, 0, 0, 0, "two halves"},
        {"this first morning", false, 0, 0, 0, "a word that is none of ours beside one that is"},
        {"some of them yesterday", false, 0, 0, 0, "not all"},
        {"not yesterday", false, 0, 0, 0, "denied"},
        {"I think yesterday, or maybe Sunday", false, 0, 0, 0, "not sure"},
        {"don't know", false, 0, 0, 0, "no day at all"},
        {"thanks", false, 0, 0, 0, "polite only"},
        {"", false, 0, 0, 0, "a picture"},
        {"yesterday 132/84", false, 0, 0, 0, "numbers answer by themselves"},
        {"chest pain yesterday", false, 0, 0, 0, "a symptom is no answer"},
        {"yesterday yesterday yesterday yesterday yesterday yesterday yesterday yesterday yesterday yesterday yesterday "
         "yesterday yesterday", false, 0, 0, 0, "more words than an answer has"},
        {"yesterdayyesterdayyesterday", false, 0, 0, 0, "a word longer than any"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct said s = {0};
        bool bare = says_only_when(parser, rows[i].text, strlen(rows[i].text), tuesday, &s);
        if (bare != rows[i].bare)
            fail_msg("\"%s\" (%s): %s", rows[i].text, rows[i].why, bare ? "taken" : "not taken");
        if (bare && (s.day != rows[i].day || s.slot != rows[i].slot || s.minute != rows[i].minute))
            fail_msg("\"%s\" (%s): day %d, slot %d, minute %d", rows[i].text, rows[i].why, s.day, s.slot, s.minute);
    }
}

static void a_text_is_known_again_by_all_that_it_said(void **state)
{
    static const struct {
        const char *asked, *again;
        bool same;
        const char *why;
    } rows[] = {
        {"192/115 80", "192/115 80", true, "the same"},
        {"192/115 80", ": this morning 192/115", true, "more words, the same numbers"},
        {"192/115 80", "132/84 71", false, "another measurement"},
        {"192/115 and 150/90", "192/115", false, "half of it"},
        {"84/132", "84/132", true, "a doubtful number"},
        {"192/115, chest pain", "192/115", false, "without the symptom"},
        {"chest pain", "has chest pain", true, "a symptom alone"},
        {"chest pain", "132/84", false, "a reading after a symptom"},
        {"can I eat first?", "can I eat first?", true, "a remark, word for word"},
        {"can I eat first?", "132/84 70", false, "a reading after a remark"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (says_again(parser, rows[i].asked, rows[i].again, strlen(rows[i].again)) != rows[i].same)
            fail_msg("\"%s\" and \"%s\": %s", rows[i].asked, rows[i].again, rows[i].why);
}

static int open_parser(void **state)
{
    char why[256];
    (void)state;
    return parser_open(&parser, NULL, 0, why, sizeof why);
}

static int close_parser(void **state)
{
    (void)state;
    parser_close(parser);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(a_bare_day_or_time_is_understood_and_half_an_answer_is_not),
                                       cmocka_unit_test(a_text_is_known_again_by_all_that_it_said)};
    return cmocka_run_group_tests(tests, open_parser, close_parser);
}
