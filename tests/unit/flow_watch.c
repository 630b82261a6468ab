/* When the wall clock has jumped, as against having been slewed: limits are common practice, no source. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <cmocka.h>

#include "gateway/flow/inside.h"

static const struct {
    const char *why;
    int64_t wall_ms, steady_ms, jumped_ms;
} looks[] = {
    {"the first look has nothing to compare with", 1000000, 500, 0},
    {"a second later", 1001000, 1500, 0},
    {"slewed by a second in a minute", 1062000, 61500, 0},
    {"set forward by a day", 1063000 + 86400000, 62500, 86400000},
    {"told once", 1064000 + 86400000, 63500, 0},
    {"set back by a day", 1065000, 64500, -86400000},
    {"two minutes are a jump", 1066000 + 120000, 65500, 120000},
    {"less than two are not", 1067000 + 120000 + 119999, 66500, 0},
    {"and do not add up with what comes later", 1068000 + 120000 + 119999 + 1000, 67500, 0},
};

static void a_jump_is_told_once_and_slewing_is_none(void **state)
{
    struct watch w = {0};
    (void)state;
    for (size_t i = 0; i < sizeof looks / sizeof *looks; i++)
        if (watch_jump(&w, looks[i].wall_ms, looks[i].steady_ms) != looks[i].jumped_ms)
            fail_msg("%s", looks[i].why);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(a_jump_is_told_once_and_slewing_is_none)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
