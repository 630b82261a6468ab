/* What is found by asking the parser twice: an untagged text sent again with its tag. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <cmocka.h>

#include <stdio.h>
#include <string.h>

#include "gateway/flow/inside.h"

static struct parser *parser;

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
    const struct CMUnitTest tests[] = {cmocka_unit_test(a_text_is_known_again_by_all_that_it_said)};
    return cmocka_run_group_tests(tests, open_parser, close_parser);
}
