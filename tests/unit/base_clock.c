/* The clock and the ids that come from it. 2^53 is where whole numbers end in a JSON reader with doubles (RFC 8259, 6). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <cmocka.h>

#include "gateway/base.h"

#define WHOLE_IN_A_DOUBLE (INT64_C(1) << 53)

static void a_stepped_clock_stands_until_it_is_set_and_never_goes_back(void **state)
{
    (void)state;
    clock_use_stepped(1000);
    assert_true(clock_stepped());
    assert_int_equal(clock_now(), 1000);
    clock_set(900);
    assert_int_equal(clock_now(), 1000);
    clock_set(2000);
    assert_int_equal(clock_now(), 2000);
    assert_true(clock_real_now() > 1700000000); /* the machine's own is not touched */
    clock_use_system();
    assert_false(clock_stepped());
    assert_true(clock_now() >= clock_real_now() - 1);
}

static void the_real_clock_does_not_go_back(void **state)
{
    (void)state;
    int64_t last = clock_real_ms();
    for (int i = 0; i < 100000; i++) {
        int64_t now = clock_real_ms();
        assert_true(now >= last);
        last = now;
    }
}

static void ids_grow_and_are_never_given_twice(void **state)
{
    (void)state;
    ids_start(0, 0);
    int64_t last = 0;
    for (int i = 0; i < 100000; i++) {
        int64_t first = ids_from();
        assert_true(first > last);
        last = first + i % 7; /* the caller took some */
        ids_until(last + 1);
    }
    assert_true(last < WHOLE_IN_A_DOUBLE);
}

static void ids_begin_after_the_largest_stored(void **state)
{
    (void)state;
    int64_t ahead = WHOLE_IN_A_DOUBLE / 2; /* the wall clock was wrong: it stood in 2054 */
    ids_start(0, ahead);
    assert_int_equal(ids_from(), ahead + 1);
    assert_int_equal(ids_from(), ahead + 1); /* asked again, none taken */
    ids_until(ahead + 5);
    assert_int_equal(ids_from(), ahead + 5);
    ids_until(ahead + 2); /* never back */
    assert_int_equal(ids_from(), ahead + 5);
}

static void two_processes_begin_a_millisecond_at_their_own_count(void **state)
{
    (void)state;
    ids_start(2048 + 7, 0);
    assert_int_equal(ids_from() & 4095, 2048 + 7);
    ids_start(0, 0);
    assert_int_equal(ids_from() & 4095, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_stepped_clock_stands_until_it_is_set_and_never_goes_back),
        cmocka_unit_test(the_real_clock_does_not_go_back),
        cmocka_unit_test(ids_grow_and_are_never_given_twice),
        cmocka_unit_test(ids_begin_after_the_largest_stored),
        cmocka_unit_test(two_processes_begin_a_millisecond_at_their_own_count),
    };
    return cmocka_run_group_tests_name("base_clock", tests, NULL, NULL);
}
