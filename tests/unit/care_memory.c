/* Every allocation of care fails in turn: the list of effects then says so, nothing crashes, nothing leaks, and the
 * same event played again with memory is decided as ever. put.c alone allocates; it is compiled in here with ours.
 */
#include <stdbool.h>
#include <stdlib.h>

static long left = -1; /* allocations until one fails; -1 never */

static bool fails(void)
{
    return left >= 0 && left-- == 0;
}

static void *test_realloc(void *at, size_t size)
{
    return fails() ? NULL : realloc(at, size);
}

static void *test_calloc(size_t n, size_t size)
{
    return fails() ? NULL : calloc(n, size);
}

#define realloc test_realloc
#define calloc test_calloc
#include "gateway/care/put.c"
#undef realloc
#undef calloc

#include "care_play.h"

static const struct heard texts[] = {
    {.r = {{132, 84}, {190, 100}}, .asks = true},
    {.flags = FLAG_CHEST_PAIN, .r = {{85, 50}}},
    {.d = {{84, 132, .doubt = DOUBT_SWAPPED}}, .r = {{110, 39}}},
    {.r = {{128, 80}}, .amend = AMEND_CORRECT, .rejected = {{132, 84}}},
    {.d = {{128, 0, .doubt = DOUBT_ONE_NUMBER}}, .amend = AMEND_CORRECT, .rejected = {{132}}},
    {.keyword = KEYWORD_STOP},
    {.keyword = KEYWORD_YES},
    {.news = NEWS_AWAY | NEWS_MEDICINE, .arm = 60, .technique = TECHNIQUE_WRIST},
    {.amend = AMEND_VOID},
};

/* One event on a record that has a held reading, a question, a timer and an alert; false when no allocation was left
 * to fail. */
static bool event_with(long nth, size_t which)
{
    struct play p;
    struct effects e = {0};
    struct meaning said = meaning_of(&texts[which]);
    struct inbound in = {.text = 900, .sent = INSTANT_NONE, .meaning = &said};
    bool failed;

    play_joined(&p);
    play_pair(&p, 132, 84, 70);
    play_wait(&p, 5);
    play_says(&p, .d = {{85, 130, .doubt = DOUBT_SWAPPED}});
    play_wait(&p, 5);
    in.received = p.now;
    struct moment_of_care m = play_moment(&p);
    p.r.cap_readings = p.r.n_readings; /* so that each list must grow */
    p.r.cap_sent = p.r.n_sent;
    p.r.cap_desk = p.r.n_desk;
    left = nth;
    care_text(&p.r, &m, &in, &e);
    failed = left < 0;
    left = -1;
    if (e.failed != failed)
        fail_msg("text %zu, allocation %ld: failed %d, told %d", which, nth, failed, e.failed);
    effects_clear(&e);
    play_end(&p);
    return failed;
}

static void an_event_without_memory_says_so_whole(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        long nth = 0;
        while (event_with(nth, i))
            nth++;
        assert_true(nth >= 3);
    }
}

static void looks_and_actions_without_memory_say_so(void **state)
{
    (void)state;
    for (long nth = 0, failed = 1; failed; nth++) {
        struct play p;
        struct effects e = {0};
        play_joined(&p);
        play_says(&p, .r = {{190, 100}});
        p.now += 31 * MINUTES;
        struct moment_of_care m = play_moment(&p);
        left = nth;
        care_look(&p.r, &m, &e);
        failed = left < 0;
        left = -1;
        assert_int_equal(e.failed, failed);
        effects_clear(&e);
        play_end(&p);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_event_without_memory_says_so_whole),
        cmocka_unit_test(looks_and_actions_without_memory_say_so),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
