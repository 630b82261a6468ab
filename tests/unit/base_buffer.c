/* The buffer and the log: what is written comes out whole or not at all. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <cmocka.h>

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "gateway/base.h"

static void a_buffer_holds_what_was_added_in_order(void **state)
{
    (void)state;
    struct buffer b;
    buffer_init(&b, 1 << 20);
    for (int i = 0; i < 10000; i++)
        buffer_print(&b, "%d,", i);
    assert_false(b.failed);
    assert_int_equal(b.n, 48890); /* 10·1 + 90·2 + 900·3 + 9000·4 digits, and 10,000 commas */
    assert_int_equal(strlen(b.at), b.n);
    assert_memory_equal(b.at + b.n - 10, "9998,9999,", 10);
    buffer_clear(&b);
    assert_null(b.at);
}

static void a_buffer_fails_at_its_ceiling_and_stays_failed(void **state)
{
    (void)state;
    struct buffer b;
    buffer_init(&b, 10);
    buffer_add(&b, "0123456789", 10);
    assert_false(b.failed);
    buffer_text(&b, "x");
    assert_true(b.failed);
    assert_string_equal(b.at, "0123456789");
    buffer_text(&b, "");
    assert_null(buffer_take(&b));
    assert_false(b.failed); /* taken: ready again, the ceiling the same */
    buffer_text(&b, "0123456789");
    char *taken = buffer_take(&b);
    assert_string_equal(taken, "0123456789");
    free(taken);
}

static void an_empty_buffer_is_the_empty_string(void **state)
{
    (void)state;
    struct buffer b;
    buffer_init(&b, 10);
    char *taken = buffer_take(&b);
    assert_string_equal(taken, "");
    free(taken);
}

static void a_file_is_read_up_to_the_ceiling(void **state)
{
    (void)state;
    struct buffer b;
    char name[] = "build/base-buffer-XXXXXX";
    int fd = mkstemp(name);
    assert_true(fd >= 0);
    for (int i = 0; i < 1000; i++)
        assert_int_equal(write(fd, "0123456789", 10), 10);
    close(fd);
    buffer_init(&b, 10000);
    assert_int_equal(buffer_read_file(&b, name), 0);
    assert_int_equal(b.n, 10000);
    buffer_clear(&b);
    buffer_init(&b, 9999);
    assert_int_equal(buffer_read_file(&b, name), -EFBIG);
    buffer_clear(&b);
    unlink(name);
    assert_int_equal(buffer_read_file(&b, name), -ENOENT);
    assert_int_equal(buffer_read_file(&b, "build"), -EISDIR);
    buffer_clear(&b);
}

/* What one event writes to standard error. */
static void log_taken(char out[2048], const char *value)
{
    int ends[2], kept = dup(STDERR_FILENO);
    assert_int_equal(pipe(ends), 0);
    dup2(ends[1], STDERR_FILENO);
    log_event(LOG_WARNING, "event", "key=%s", value);
    log_event(LOG_DEBUG, "hidden", "key=%s", value);
    dup2(kept, STDERR_FILENO);
    close(kept);
    close(ends[1]);
    ssize_t n = read(ends[0], out, 2047);
    assert_true(n > 0);
    out[n] = '\0';
    close(ends[0]);
}

static void an_event_is_one_line_whatever_is_in_it(void **state)
{
    (void)state;
    char line[2048], long_one[3000];
    log_taken(line, "a\nb\tc");
    assert_string_equal(line + 20, " warning event key=a b c\n");
    assert_true(line[4] == '-' && line[10] == 'T' && line[19] == 'Z');
    memset(long_one, 'x', sizeof long_one);
    long_one[sizeof long_one - 1] = '\0';
    log_taken(line, long_one);
    assert_int_equal(strlen(line), 1000);
    assert_ptr_equal(strchr(line, '\n'), line + 999);
}

static void a_number_is_logged_as_its_last_three_digits(void **state)
{
    (void)state;
    assert_string_equal(log_number("+447700900123"), "…123");
    assert_string_equal(log_number("+44 7700 900 12 3"), "…123");
    assert_string_equal(log_number("80"), "…80");
    assert_string_equal(log_number("PRACTICE"), "…");
    const char *a = log_number("+447700900001"), *b = log_number("+447700900002");
    assert_string_equal(a, "…001");
    assert_string_equal(b, "…002");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_buffer_holds_what_was_added_in_order),
        cmocka_unit_test(a_buffer_fails_at_its_ceiling_and_stays_failed),
        cmocka_unit_test(an_empty_buffer_is_the_empty_string),
        cmocka_unit_test(a_file_is_read_up_to_the_ceiling),
        cmocka_unit_test(an_event_is_one_line_whatever_is_in_it),
        cmocka_unit_test(a_number_is_logged_as_its_last_three_digits),
    };
    return cmocka_run_group_tests_name("base_buffer", tests, NULL, NULL);
}
