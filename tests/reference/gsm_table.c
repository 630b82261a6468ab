/* The GSM 03.38 table against Perl's Encode (gsm0338), an implementation that shares nothing with ours: every
 * character of the BMP, and every one above it is outside. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>
#include <stdio.h>
#include <sys/wait.h>
#include <unistd.h>

#include "gateway/texts/texts.h"

static const char script[] = "tests/reference/gsm_table.pl"; /* from the top of the source tree */

/* Starts Perl on the script; what it prints can be read from the stream that is returned. */
static FILE *perl_start(pid_t *child)
{
    int ends[2];

    assert_int_equal(pipe(ends), 0);
    *child = fork();
    assert_true(*child >= 0);
    if (*child == 0) {
        dup2(ends[1], STDOUT_FILENO);
        close(ends[0]);
        close(ends[1]);
        execlp("perl", "perl", script, (char *)NULL);
        _exit(127);
    }
    close(ends[1]);
    return fdopen(ends[0], "r");
}

static void every_character_takes_the_septets_that_encode_gives_it(void **state)
{
    int status, octets, counts[3] = {0}, wrong = 0;
    unsigned code;
    pid_t child;
    FILE *perl = perl_start(&child);

    (void)state;
    assert_non_null(perl);
    while (fscanf(perl, "%X %d", &code, &octets) == 2) {
        assert_in_range(octets, 0, 2);
        counts[octets]++;
        if (gsm_septets(code) != octets && wrong++ < 20)
            print_error("U+%04X: %d, Encode %d\n", code, gsm_septets(code), octets);
    }
    fclose(perl);
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_true(WIFEXITED(status));
    assert_int_equal(WEXITSTATUS(status), 0);
    assert_int_equal(wrong, 0);
    assert_int_equal(counts[1], 127); /* 128 less the escape */
    assert_int_equal(counts[2], 10);
    assert_int_equal(counts[0], 0x10000 - 0x800 - 137);
}

static void nothing_above_the_bmp_is_in_the_alphabet(void **state)
{
    (void)state;
    for (uint32_t c = 0x10000; c <= 0x10FFFF; c++)
        assert_int_equal(gsm_septets(c), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_character_takes_the_septets_that_encode_gives_it),
        cmocka_unit_test(nothing_above_the_bmp_is_in_the_alphabet),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
