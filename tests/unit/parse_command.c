/* `quietarm parse` as it is run: texts on standard input, one line of JSON for each line, whatever it holds. The expected
 * lines are of the contract (operations.md's command, texting.md's object); what --why prints is for people, and only its
 * kinds of line are held to. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

#include <stdio.h>
#include <string.h>

#include "parser/parser.h"
#include "tests/tool.h"

enum { OUT = 1 << 16 };

static struct parser *parser;
static char out[OUT], errors[4096];

static void read_whole(FILE *from, char *to, size_t size)
{
    rewind(from);
    to[fread(to, 1, size - 1, from)] = '\0';
    fclose(from);
}

/* Runs the command in this process with `text` as standard input. */
static int run(const char *text, size_t size, int argc, char **argv)
{
    const struct moment now = {2026, 11, 24, 490};
    char path[64];
    int was[3] = {dup(0), dup(1), dup(2)};
    FILE *o = tmpfile(), *e = tmpfile();
    assert_true(o && e);
    tool_file(path, text, size);
    int in = open(path, O_RDONLY);
    fflush(stdout);
    dup2(in, 0), dup2(fileno(o), 1), dup2(fileno(e), 2);
    rewind(stdin);
    clearerr(stdin);
    int status = parse_command(parser, argc, argv, now);
    fflush(stdout);
    for (int i = 0; i < 3; i++) {
        dup2(was[i], i);
        close(was[i]);
    }
    close(in);
    unlink(path);
    read_whole(o, out, sizeof out);
    read_whole(e, errors, sizeof errors);
    return status;
}

static size_t lines_of(const char *text)
{
    size_t n = 0;
    for (; *text; text++)
        n += *text == '\n';
    return n;
}

static void each_line_has_its_answer_in_order(void **state)
{
    static const struct {
        const char *why, *line, *holds;
    } rows[] = {
        {"a raw text", "132/84 71", "\"sys\":132,\"dia\":84,\"pulse\":71"},
        {"a JSON string, with a line break", "\"133/84\\n128/82\"", "\"sys\":133,\"dia\":84,\"pulse\":null,\"slot\":null,\"day\":null,"
                                                                    "\"time\":null,\"arm\":null,\"posture\":null},{\"sys\":128"},
        {"an object with its own moment", "{\"text\":\"134/84 Monday\",\"received\":\"2026-11-26T08:10\"}", "\"day\":-3"},
        {"an object without one", "{\"text\":\"135/84 Monday\"}", "\"day\":-1"},
        {"seconds and an offset are left out", "{\"text\":\"136/84 Monday\",\"received\":\"2026-11-26T08:10:30+01:00\"}", "\"day\":-3"},
        {"a moment that is none", "{\"text\":\"137/84 Monday\",\"received\":\"soon\"}", "\"day\":-1"},
        {"a month that is none", "{\"text\":\"138/84 Monday\",\"received\":\"2026-13-26T08:10\"}", "\"day\":-1"},
        {"broken JSON is a raw text", "\"139/84 71", "\"sys\":139"},
        {"an object without a text is a raw text", "{\"words\":\"140/84\"}", "\"sys\":140"},
        {"an empty line", "", "\"readings\":[]"},
        {"a NUL in a string", "\"141/84\\u0000 chest pain\"", "\"sys\":141"},
        {"bytes that are no UTF-8", "142/84 \xff\xfe", "\"sys\":142"},
        {"a line that ends by CR LF", "143/84\r", "\"sys\":143"},
        {"no end of line at the end", "144/84", "\"sys\":144"},
    };
    char text[4096] = "", *lines[] = {(char *)(uintptr_t)"--received", (char *)(uintptr_t)"2026-11-24T08:10", (char *)(uintptr_t)"--lines"};
    const char *at = out;
    size_t n = sizeof rows / sizeof *rows;
    (void)state;
    for (size_t i = 0; i < n; i++) {
        strncat(text, rows[i].line, sizeof text - strlen(text) - 1);
        strncat(text, i + 1 < n ? "\n" : "", sizeof text - strlen(text) - 1);
    }
    assert_int_equal(run(text, strlen(text), 3, lines), 0);
    assert_int_equal(lines_of(out), n);
    for (size_t i = 0; i < n; i++, at = strchr(at, '\n') + 1) {
        char line[4096];
        snprintf(line, sizeof line, "%.*s", (int)strcspn(at, "\n"), at);
        if (!strstr(line, rows[i].holds))
            fail_msg("%s: %s", rows[i].why, line);
    }
}

static void without_lines_all_of_it_is_one_text(void **state)
{
    static char big[30000];
    (void)state;
    assert_int_equal(run("132/84\n128/82\n", 14, 0, NULL), 0);
    assert_int_equal(lines_of(out), 1);
    assert_true(strstr(out, "\"sys\":132") && strstr(out, "\"sys\":128"));
    memset(big, ' ', sizeof big);
    memcpy(big, "133/85", 6);
    memcpy(big + sizeof big - 11, "chest pain", 10); /* flags in the whole text */
    assert_int_equal(run(big, sizeof big - 1, 0, NULL), 0);
    assert_true(strstr(out, "\"sys\":133") && strstr(out, "chest_pain"));
    assert_int_equal(run("", 0, 0, NULL), 0);
    assert_int_equal(lines_of(out), 1);
}

static void why_tells_how_each_span_was_taken(void **state)
{
    static const char *const told[] = {"flag chest_pain", "negation", "technique", "number 130", "moment day -1 slot 2", "pair 130/85",
                                       "usually", "not_own", "absence begins in 3 days", "absence ends in 10 days", "{\"readings\":"};
    static const char text[] = "No chest pain but dizzy. Last night 13O/85 p 71, had coffee, usually 120/80. Away from Friday for a week";
    char *why[] = {(char *)(uintptr_t)"--why"};
    (void)state;
    assert_int_equal(run(text, sizeof text - 1, 1, why), 0);
    for (size_t i = 0; i < sizeof told / sizeof *told; i++)
        if (!strstr(out, told[i]))
            fail_msg("not told: %s in\n%s", told[i], out);
    char *lines[] = {(char *)(uintptr_t)"--why", (char *)(uintptr_t)"--lines"};
    assert_int_equal(run("132/84\n128/82\n", 14, 2, lines), 0);
    assert_true(strstr(out, "pair 132/84") && strstr(out, "pair 128/82"));
}

static void bad_usage_is_one_line_and_2(void **state)
{
    static const struct {
        const char *one, *two, *told;
    } rows[] = {
        {"--liens", NULL, "--liens"},
        {"--received", NULL, "--received"},
        {"--received", "yesterday", "yesterday"},
        {"--received", "2026-02-30T08:10", "2026-02-30T08:10"},
        {"--received", "2026-11-24T24:10", "2026-11-24T24:10"},
        {"132/84", NULL, "132/84"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char *argv[] = {(char *)(uintptr_t)rows[i].one, (char *)(uintptr_t)rows[i].two};
        assert_int_equal(run("", 0, rows[i].two ? 2 : 1, argv), 2);
        assert_string_equal(out, "");
        if (!strstr(errors, rows[i].told) || lines_of(errors) != 1)
            fail_msg("%s: %s", rows[i].one, errors);
    }
    char *help[] = {(char *)(uintptr_t)"--help"};
    assert_int_equal(run("", 0, 1, help), 0);
    assert_non_null(strstr(out, "--received"));
}

static int open_parser(void **state)
{
    char why[256] = "";
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
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_line_has_its_answer_in_order),
        cmocka_unit_test(without_lines_all_of_it_is_one_text),
        cmocka_unit_test(why_tells_how_each_span_was_taken),
        cmocka_unit_test(bad_usage_is_one_line_and_2),
    };
    return cmocka_run_group_tests(tests, open_parser, close_parser);
}
