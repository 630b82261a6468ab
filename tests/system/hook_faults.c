/* Concurrency and sudden death at the hook: one message id posted many times at once; kill -9 under load.
 *
 * The real program over real HTTP. What it acknowledged must be there afterwards, once; what it did not may be posted again.
 */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <cmocka.h>

#include <pthread.h>
#include <signal.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <curl/curl.h>

#include "tests/system/scene.h"

enum { AT_ONCE = 20, ROUNDS = 5, POSTS = 200 };

/* -- many at once ------------------------------------------------------------------------------------------------------------ */

struct poster {
    struct stage *g;
    int first, count;
    int status[POSTS];
};

static void *post_same(void *context)
{
    struct poster *p = context;
    for (int i = 0; i < p->count; i++)
        p->status[i] = stage_post(p->g, "{\"id\":\"same\",\"from\":\"+447700900101\",\"to\":\"+447700900001\","
                                        "\"text\":\"132/84 71\"}");
    return NULL;
}

static int texts_with(struct stage *g, const char *words)
{
    int n = 0;
    for (size_t i = 0; i < json_array_size(g->sent); i++) {
        const json_t *m = json_array_get(g->sent, i);
        const char *text = json_string_value(json_object_get(m, "text"));
        n += text && strstr(text, words) && !json_is_true(json_object_get(m, "repeat"));
    }
    return n;
}

static size_t readings(struct stage *g, const char *ref)
{
    char command[128];
    snprintf(command, sizeof command, "week --clinic maple --ref %s --json", ref);
    assert_int_equal(stage_run(g, command, 0), 0);
    json_t *week = json_loads(g->output, 0, NULL);
    size_t n = json_array_size(json_object_get(week, "readings"));
    json_decref(week);
    return n;
}

static void one_id_posted_a_hundred_times_gives_one_reading_and_one_reply(void **state)
{
    struct scene *scene = *state;
    struct stage *g = &scene->g;
    pthread_t threads[AT_ONCE];
    struct poster posters[AT_ONCE];
    assert_int_equal(stage_run(g, "enrol --clinic maple --ref A --phone +447700900101 --joined", 0), 0);
    for (int i = 0; i < AT_ONCE; i++) {
        posters[i] = (struct poster){.g = g, .count = ROUNDS};
        assert_int_equal(pthread_create(&threads[i], NULL, post_same, &posters[i]), 0);
    }
    for (int i = 0; i < AT_ONCE; i++) {
        pthread_join(threads[i], NULL);
        for (int k = 0; k < ROUNDS; k++)
            assert_int_equal(posters[i].status[k], 200);
    }
    assert_int_equal(stage_move(g, g->now), 0);
    assert_int_equal(stage_hear(g), 0);
    assert_int_equal(readings(g, "A"), 1);
    assert_int_equal(texts_with(g, "Got 132/84"), 1);
}

/* -- sudden death ------------------------------------------------------------------------------------------------------------ */

enum { PATIENTS = 50, POSTERS = 4, KILL_AFTER = 60 };
static atomic_int acknowledged;

static int post_number(struct stage *g, int n)
{
    char body[256];
    snprintf(body, sizeof body,
             "{\"id\":\"kill-%d\",\"from\":\"+4477009001%02d\",\"to\":\"+447700900001\",\"text\":\"1%02d/8%d 71\"}", n,
             n % PATIENTS, 20 + n % PATIENTS, n / PATIENTS);
    return stage_post(g, body);
}

static void *post_numbers(void *context)
{
    struct poster *p = context;
    for (int i = 0; i < p->count; i++) {
        p->status[i] = post_number(p->g, p->first + i);
        if (p->status[i] == 200)
            atomic_fetch_add(&acknowledged, 1);
        if (atomic_load(&acknowledged) >= KILL_AFTER)
            kill(p->g->program_pid, SIGKILL); /* in the middle of the others' posts */
    }
    return NULL;
}

static size_t all_readings(struct stage *g)
{
    size_t n = 0;
    for (int i = 0; i < PATIENTS; i++) {
        char ref[16];
        snprintf(ref, sizeof ref, "K-%d", i);
        n += readings(g, ref);
    }
    return n;
}

static void what_was_acknowledged_survives_kill_9_and_is_answered_once(void **state)
{
    struct scene *scene = *state;
    struct stage *g = &scene->g;
    pthread_t threads[POSTERS];
    struct poster posters[POSTERS];
    char command[128];
    atomic_store(&acknowledged, 0);
    for (int i = 0; i < PATIENTS; i++) {
        snprintf(command, sizeof command, "enrol --clinic maple --ref K-%d --phone +4477009001%02d --joined", i, i);
        assert_int_equal(stage_run(g, command, 0), 0);
    }
    for (int i = 0; i < POSTERS; i++) {
        posters[i] = (struct poster){.g = g, .first = i * (POSTS / POSTERS), .count = POSTS / POSTERS};
        assert_int_equal(pthread_create(&threads[i], NULL, post_numbers, &posters[i]), 0);
    }
    for (int i = 0; i < POSTERS; i++)
        pthread_join(threads[i], NULL);
    stage_stop_program(g, SIGKILL);
    int acked = atomic_load(&acknowledged);
    assert_in_range(acked, KILL_AFTER, POSTS - 1); /* it died in the middle */
    assert_int_equal(stage_start_program(g), 0);
    size_t kept = all_readings(g);
    assert_in_range(kept, acked, POSTS); /* nothing that got its 200 is gone */
    for (int n = 0; n < POSTS; n++)       /* the carrier posts again what it got no 200 for, and here all the others too */
        assert_int_equal(post_number(g, n), 200);
    assert_int_equal(stage_move(g, g->now), 0);
    assert_int_equal(stage_hear(g), 0);
    assert_int_equal(all_readings(g), POSTS);
    assert_int_equal(texts_with(g, "Got "), POSTS);
    assert_int_equal(stage_verify(g), 0);
}

int main(void)
{
    curl_global_init(CURL_GLOBAL_ALL);
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(one_id_posted_a_hundred_times_gives_one_reading_and_one_reply, scene_open, scene_close),
        cmocka_unit_test_setup_teardown(what_was_acknowledged_survives_kill_9_and_is_answered_once, scene_open, scene_close),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
