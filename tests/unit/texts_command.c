/* The command `quietarm texts`: a line a text on standard output, all else on standard error, exit status 0 or 2. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>
#include <stdio.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "gateway/texts/texts.h"

enum { OUTPUT_MAX = 200000 };
static char out[OUTPUT_MAX], err[OUTPUT_MAX];

static void read_back(FILE *f, char *to)
{
    rewind(f);
    to[fread(to, 1, OUTPUT_MAX - 1, f)] = '\0';
    fclose(f);
}

/* Runs the command in a child; its output is in `out` and `err`. Returns the exit status. */
static int run(int argc, const char *const *given)
{
    FILE *o = tmpfile(), *e = tmpfile();
    int status;
    pid_t child;

    assert_non_null(o);
    assert_non_null(e);
    fflush(NULL);
    child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        struct texts *t;
        char why[256], words[4][40], *argv[4];

        for (int i = 0; i < argc; i++) {
            snprintf(words[i], sizeof words[i], "%s", given[i]);
            argv[i] = words[i];
        }
        dup2(fileno(o), STDOUT_FILENO);
        dup2(fileno(e), STDERR_FILENO);
        status = texts_open(&t, NULL, 0, why, sizeof why) < 0 ? 99 : texts_command(t, argc, argv);
        texts_close(t);
        _exit(status);
    }
    assert_int_equal(waitpid(child, &status, 0), child);
    read_back(o, out);
    read_back(e, err);
    assert_true(WIFEXITED(status));
    return WEXITSTATUS(status);
}

static int lines(const char *s)
{
    int n = 0;

    for (; (s = strchr(s, '\n')); s++)
        n++;
    return n;
}

static void every_text_is_printed_with_language_name_segments_and_words(void **state)
{
    const char *const es[] = {"--language", "es"};

    (void)state;
    assert_int_equal(run(0, NULL), 0);
    assert_string_equal(err, "");
    assert_int_equal(lines(out), 2 * (TEXT_KIND_COUNT - 1));
    assert_non_null(strstr(out, "en  thanks               1  Thank you.\n"));
    assert_non_null(strstr(out, "es  thanks               1  Gracias.\n"));
    assert_non_null(strstr(out, "en  w_severe             2  That is high."));
    assert_int_equal(run(2, es), 0);
    assert_int_equal(lines(out), TEXT_KIND_COUNT - 1);
    assert_int_equal(strncmp(out, "es  invite ", 11), 0);
    assert_null(strstr(out, "\nen "));
}

static void help_is_output_and_no_mistake(void **state)
{
    const char *const help[] = {"--help"};

    (void)state;
    assert_int_equal(run(1, help), 0);
    assert_non_null(strstr(out, "usage: quietarm texts [--language L]"));
    assert_string_equal(err, "");
}

static void bad_usage_is_one_line_on_standard_error_and_two(void **state)
{
    static const struct {
        int argc;
        const char *argv[4], *told;
    } rows[] = {
        {2, {"--language", "xx"}, "quietarm texts: there is no language \"xx\", choose one of: en es\n"},
        {1,
         {"--language"},
         "quietarm texts: \"--language\" is not understood, give nothing or --language L\n"},
        {1, {"en"}, "quietarm texts: \"en\" is not understood, give nothing or --language L\n"},
        {3,
         {"--language", "en", "es"},
         "quietarm texts: \"es\" is not understood, give nothing or --language L\n"},
        {2, {"-l", "en"}, "quietarm texts: \"-l\" is not understood, give nothing or --language L\n"},
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        assert_int_equal(run(rows[i].argc, rows[i].argv), 2);
        assert_string_equal(out, "");
        assert_string_equal(err, rows[i].told);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_text_is_printed_with_language_name_segments_and_words),
        cmocka_unit_test(help_is_output_and_no_mistake),
        cmocka_unit_test(bad_usage_is_one_line_on_standard_error_and_two),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
