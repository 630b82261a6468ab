/* A week, a Bundle and a resource of which something had no memory are never given out: with every allocation of jansson
 * failing in turn, what comes out is whole or nothing. */
#include <pthread.h>

#include "gateway/json_memory.h"
#include "gateway/report/fhir.h"
#include "tests/report_fixture.h"

static struct report_fixture f;
static int fail_at;

static void *starved_malloc(size_t n)
{
    return fail_at && --fail_at == 0 ? NULL : malloc(n);
}

static char *a_week(void)
{
    return week_json(&f.view);
}

static char *a_bundle(void)
{
    return fhir_bundle(&f.report, "PDF", 3);
}

static void what_is_given_out_is_whole(void **state)
{
    static const struct {
        const char *why;
        char *(*make)(void);
        int least; /* allocations: that many were tried at least */
    } rows[] = {{"a week", a_week, 100}, {"a Bundle", a_bundle, 500}};
    (void)state;
    report_fixture_open(&f, "esh");
    report_fixture_read(&f, 12, 2);
    report_fixture_end(&f, 7, WEEK_SHORT);
    report_fixture_make(&f);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char *whole = rows[i].make();
        assert_non_null(whole);
        int n = 1, nothing = 0;
        for (bool over = false; !over; n += 1 + n / 40) {
            fail_at = n;
            char *made = rows[i].make();
            over = fail_at > 0;
            fail_at = 0;
            nothing += !made;
            if (made && strcmp(made, whole) != 0)
                fail_msg("%s: allocation %d failed, and it is not whole", rows[i].why, n);
            if (!made && over)
                fail_msg("%s: nothing failed, and nothing came", rows[i].why);
            free(made);
        }
        if (n < rows[i].least || nothing < 20)
            fail_msg("%s: %d allocations, %d times nothing", rows[i].why, n, nothing);
        free(whole);
    }
    report_close(&f.report);
}

static void *in_want(void *context)
{
    bool *told = context;
    fail_at = 1;
    json_decref(json_string("one"));
    told[0] = json_starved();
    told[1] = json_starved();
    return NULL;
}

static void want_is_told_once_and_to_its_own_thread(void **state)
{
    bool told[2] = {false, true};
    pthread_t other;
    (void)state;
    assert_false(json_starved());
    assert_int_equal(pthread_create(&other, NULL, in_want, told), 0);
    pthread_join(other, NULL);
    assert_true(told[0]);
    assert_false(told[1]);
    assert_false(json_starved());
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_given_out_is_whole),
        cmocka_unit_test(want_is_told_once_and_to_its_own_thread),
    };
    json_memory_watch(starved_malloc);
    return cmocka_run_group_tests(tests, NULL, NULL);
}
