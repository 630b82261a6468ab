/* The sender against a far side over real HTTP: what is promised of order, places, broken routes and repeats. The promises
 * are our own outside contract ("Outbound"). */
#include "tests/unit/send_fake.h"

#include <unistd.h>

static void texts_to_one_number_go_one_at_a_time_and_in_order(void **state)
{
    (void)state;
    for (int i = 0; i < 60; i++) {
        char body[16];
        snprintf(body, sizeof body, "%02d", i);
        text_add(CLASS_REPLY, 100 + i % 5, body);
    }
    sender_go();
    settle();
    assert_int_equal(far_side.n, 60);
    assert_int_equal(far_side.doubled, 0);
    for (int number = 100; number < 105; number++) {
        int last = -1;
        char to[PHONE_MAX];
        snprintf(to, sizeof to, "+447700900%03d", number);
        for (size_t i = 0; i < far_side.n; i++) {
            const char *at = strstr(far_side.posts[i].body, "\"text\":\"");
            if (strcmp(far_side.posts[i].to, to))
                continue;
            int this = (int)strtol(at + 8, NULL, 10);
            assert_true(this > last);
            last = this;
        }
    }
}

static void a_request_is_what_the_configuration_asks(void **state)
{
    (void)state;
    struct outgoing *row = text_add(CLASS_REPLY, 123, "Got \"132/84\"\n");
    sender_go();
    settle();
    assert_int_equal(far_side.n, 1);
    assert_string_equal(far_side.posts[0].body, "{\"from\":\"+447700900001\",\"to\":\"+447700900123\","
                                                "\"text\":\"Got \\\"132/84\\\"\\n\",\"key\":\"key-1\"}");
    assert_string_equal(far_side.posts[0].key, "key-1");
    assert_string_equal(far_side.posts[0].type, "application/json");
    assert_string_equal(far_side.posts[0].authorization, "Bearer s3cret");
    assert_int_equal(row->state, OUTGOING_SENT);
    assert_string_equal(row->carrier_id, "m-1");
}

static void no_more_are_in_flight_than_allowed_and_worry_has_a_place(void **state)
{
    (void)state;
    fake_config.outbound.in_flight = 4;
    sender_down(0);
    sender_up();
    for (int i = 0; i < 12; i++)
        text_add(CLASS_REPLY, 100 + i, "reply");
    far_hold(true);
    sender_go();
    far_await(3); /* one of four places is kept for worry */
    assert_true(sender_busy(fake_sender, clock_now()));
    text_add(CLASS_WORRY, 200, "worry");
    sender_wake(fake_sender);
    far_await(4);
    assert_string_equal(far_side.posts[3].to, "+447700900200");
    far_hold(false);
    settle();
    assert_int_equal(far_side.n, 13);
    assert_int_equal(far_side.most_inside, 4);
}

static void a_lower_class_waits_for_a_higher(void **state)
{
    static const char *const order[] = {"+447700900103", "+447700900102", "+447700900101", "+447700900100"};
    (void)state;
    fake_config.outbound.in_flight = 1;
    sender_down(0);
    sender_up();
    text_add(CLASS_SUMMARY, 100, "d");
    text_add(CLASS_REMINDER, 101, "c");
    text_add(CLASS_REPLY, 102, "b");
    text_add(CLASS_WORRY, 103, "a");
    sender_go();
    settle();
    for (size_t i = 0; i < 4; i++)
        assert_string_equal(far_side.posts[i].to, order[i]);
    assert_int_equal(far_side.most_inside, 1);
}

static void a_higher_class_without_a_place_holds_lower_ones_on_every_route(void **state)
{
    char url[128];
    (void)state;
    fake_config.outbound.in_flight = 1;
    sender_down(0);
    sender_up();
    snprintf(url, sizeof url, "http://127.0.0.1:%d/fhir", far_side.port);
    text_add(CLASS_REPLY, 100, "in flight");
    text_add(CLASS_REPLY, 101, "waits for the place");
    row_add(CLASS_SUMMARY, CHANNEL_HTTP, url, "summary");
    far_hold(true);
    sender_go();
    far_await(1);
    snprintf(url, sizeof url, "http://127.0.0.1:%d/alerts", far_side.port);
    row_add(CLASS_WORRY, CHANNEL_HTTP, url, "worry is held back by nobody");
    sender_wake(fake_sender);
    far_await(2); /* it has looked again, and the summary did not go */
    assert_string_equal(far_side.posts[1].path, "/alerts");
    far_hold(false);
    settle(); /* with a place free the two may go together, in either order */
    assert_int_equal(far_side.n, 4);
    assert_true(!strcmp(far_side.posts[2].path, "/fhir") || !strcmp(far_side.posts[3].path, "/fhir"));
}

static void per_second_is_kept_in_real_time(void **state)
{
    (void)state;
    fake_config.outbound.per_second = 20;
    sender_down(0);
    sender_up();
    for (int i = 0; i < 9; i++)
        text_add(CLASS_REPLY, 100 + i, "reply");
    sender_go();
    int64_t from = clock_real_ms();
    settle(); /* waiting for per_second is being busy */
    assert_int_equal(far_side.n, 9);
    assert_true(clock_real_ms() - from >= 8 * 50 - 20);
}

static void a_passing_failure_is_repeated_with_the_same_key_and_body(void **state)
{
    (void)state;
    struct outgoing *row = text_add(CLASS_REPLY, 100, "reply");
    far_says(0, "", 503, 1, 7);
    sender_go();
    settle();
    assert_int_equal(far_side.n, 1);
    assert_int_equal(row->state, OUTGOING_WAITING);
    assert_string_equal(row->reason, "carrier answered 503");
    assert_int_equal(fake_flow.retry_after, 7);
    move(9);
    assert_int_equal(far_side.n, 1);
    move(1);
    assert_int_equal(far_side.n, 2);
    assert_int_equal(row->state, OUTGOING_SENT);
    assert_string_equal(far_side.posts[0].key, far_side.posts[1].key);
    assert_string_equal(far_side.posts[0].body, far_side.posts[1].body);
}

static void a_text_refused_for_good_fails_alone(void **state)
{
    (void)state;
    struct outgoing *bad = text_add(CLASS_REPLY, 100, "bad"), *good = text_add(CLASS_REPLY, 101, "good");
    far_says(0, "+447700900100", 422, -1, 0);
    sender_go();
    settle();
    assert_int_equal(bad->state, OUTGOING_FAILED);
    assert_int_equal(good->state, OUTGOING_SENT);
    assert_int_equal(sender_next_probe(fake_sender), INSTANT_NONE);
}

static void a_broken_route_rests_and_is_probed_once_a_minute(void **state)
{
    struct sender_figures figures;
    (void)state;
    fake_config.outbound.in_flight = 1;
    sender_down(0);
    sender_up();
    for (int i = 0; i < 10; i++)
        text_add(CLASS_REPLY, 100 + i, "reply");
    far_says(0, "/messages", 401, -1, 0);
    sender_go();
    settle();
    assert_int_equal(far_side.n, 1);
    sender_figures(fake_sender, &figures);
    assert_true(figures.route_broken);
    assert_string_equal(figures.route, "carrier");
    assert_int_equal(sender_next_probe(fake_sender), clock_now() + 60);
    move(59);
    assert_int_equal(far_side.n, 1);
    for (size_t probes = 1; probes <= 3; probes++) {
        move(probes == 1 ? 1 : 60);
        assert_int_equal(far_side.n, 1 + probes);
    }
    assert_string_not_equal(far_side.posts[1].to, far_side.posts[0].to); /* another row, in case it was the row */
    far_says(0, "", 200, 0, 0);
    move(60);
    assert_int_equal(far_side.n, 4 + 10);
    assert_int_equal(fake_flow.results[SENT_OK], 10);
    sender_figures(fake_sender, &figures);
    assert_false(figures.route_broken);
    assert_int_equal(figures.sent, 10);
    assert_int_equal(figures.failed, 4);
    assert_int_equal(figures.attempts, 14);
}

static void a_redirect_is_not_followed(void **state)
{
    (void)state;
    text_add(CLASS_REPLY, 100, "reply");
    far_says(0, "", 302, -1, 0);
    sender_go();
    settle();
    assert_int_equal(far_side.n, 1);
    assert_int_equal(fake_flow.results[SENT_ROUTE_BROKEN], 1);
}

static void one_text_that_a_working_route_refuses_does_not_stop_the_others(void **state)
{
    (void)state;
    fake_config.outbound.in_flight = 1;
    sender_down(0);
    sender_up();
    struct outgoing *bad = text_add(CLASS_WORRY, 100, "to a number that the carrier does not know");
    for (int i = 1; i < 8; i++)
        text_add(CLASS_REPLY, 100 + i, "reply");
    far_says(0, bad->to, 404, -1, 0);
    fake_flow.backoff = 600;
    sender_go();
    settle();
    assert_int_equal(far_side.n, 1);
    move(60); /* the probe is another row, which goes; the bad one is refused again: its own trouble now; the others go */
    assert_int_equal(fake_flow.results[SENT_OK], 7);
    assert_int_equal(fake_flow.results[SENT_PASSING], 1);
    assert_int_equal(bad->state, OUTGOING_WAITING);
    assert_int_equal(sender_next_probe(fake_sender), INSTANT_NONE);
}

static void a_result_that_could_not_be_stored_is_reported_again_and_never_sent_twice(void **state)
{
    (void)state;
    struct outgoing *row = text_add(CLASS_REPLY, 100, "reply");
    fake_flow.unstored = 2;
    sender_go();
    settle();
    assert_int_equal(row->state, OUTGOING_SENT);
    assert_int_equal(far_side.n, 1);
}

static void a_disk_that_is_full_stops_sending_at_what_is_in_flight(void **state)
{
    (void)state;
    fake_config.outbound.in_flight = 4;
    sender_down(0);
    sender_up();
    for (int i = 0; i < 10; i++)
        text_add(CLASS_REPLY, 100 + i, "reply");
    fake_flow.unstored = 1000;
    sender_go();
    pthread_mutex_lock(&fake_lock);
    while (fake_flow.failures < 9) /* each result three times */
        pthread_cond_wait(&fake_changed, &fake_lock);
    assert_int_equal(far_side.n, 3); /* the fourth place is worry's */
    fake_flow.unstored = 0;
    pthread_mutex_unlock(&fake_lock);
    settle();
    assert_int_equal(far_side.n, 10);
}

static void a_crash_repeats_what_was_in_flight_under_the_same_key(void **state)
{
    (void)state;
    struct outgoing *row = text_add(CLASS_REPLY, 100, "reply");
    far_hold(true);
    sender_go();
    far_await(1);
    sender_down(0); /* cut off: nothing is reported */
    assert_int_equal(row->attempts, 0);
    far_hold(false);
    sender_up();
    sender_go();
    settle();
    assert_int_equal(far_side.n, 2);
    assert_string_equal(far_side.posts[0].key, far_side.posts[1].key);
    assert_string_equal(far_side.posts[0].body, far_side.posts[1].body);
    assert_int_equal(row->state, OUTGOING_SENT);
}

static void *release_later(void *context)
{
    (void)context;
    far_hold(false);
    return NULL;
}

static void a_stop_lets_what_is_in_flight_end_and_starts_nothing_new(void **state)
{
    pthread_t thread;
    (void)state;
    fake_config.outbound.in_flight = 1;
    sender_down(0);
    sender_up();
    struct outgoing *row = text_add(CLASS_REPLY, 100, "in flight"), *other = text_add(CLASS_REPLY, 101, "waits");
    far_hold(true);
    sender_go();
    far_await(1);
    pthread_create(&thread, NULL, release_later, NULL);
    sender_down(10000);
    pthread_join(thread, NULL);
    assert_int_equal(row->state, OUTGOING_SENT);
    assert_true(other->state == OUTGOING_WAITING || far_count() == 2); /* it may have gone before the stop */
}

static void an_alert_by_http_is_the_agreed_json(void **state)
{
    (void)state;
    snprintf(fake_targets[0].name, CLINIC_MAX, "duty");
    snprintf(fake_targets[0].url, 512, "http://127.0.0.1:%d/alerts", far_side.port);
    snprintf(fake_targets[0].header[0], 512, "Authorization: Bearer {secret}");
    snprintf(fake_targets[0].secret, SECRET_MAX, "lab");
    fake_config.n_targets = 1;
    sender_down(0);
    sender_up();
    struct outgoing *row = row_add(CLASS_WORRY, CHANNEL_HTTP, "target:duty", "text form");
    row->alert = 17;
    row->person = 5;
    row_add(CLASS_WORRY, CHANNEL_HTTP, "target:gone", "no such target")->alert = 18;
    sender_go();
    settle();
    assert_int_equal(far_side.n, 1);
    assert_string_equal(far_side.posts[0].authorization, "Bearer lab");
    assert_string_equal(far_side.posts[0].type, "application/json");
    json_t *body = json_loads(far_side.posts[0].body, 0, NULL);
    json_t *agreed = json_pack("{s:i, s:s, s:s, s:s, s:s, s:s, s:i}", "alert", 17, "level", "emergency", "cause", "chest_pain",
                               "clinic", "maple", "ref", "P-0001", "at", "2026-11-24T07:00:00Z", "time", 2);
    assert_true(json_equal(body, agreed));
    json_decref(body);
    json_decref(agreed);
    assert_int_equal(fake_rows[1].state, OUTGOING_FAILED);
    row = row_add(CLASS_WORRY, CHANNEL_HTTP, "target:duty", "of a stranger");
    row->alert = 19;
    snprintf(fake_targets[0].secret, SECRET_MAX, "new");
    sender_reload(fake_sender, &fake_config);
    sender_wake(fake_sender);
    settle();
    assert_non_null(strstr(far_side.posts[1].body, "\"ref\":null"));
    assert_string_equal(far_side.posts[1].authorization, "Bearer new");
}

static void a_broken_target_stops_nobody_else(void **state)
{
    char broken[128], whole[128];
    (void)state;
    snprintf(broken, sizeof broken, "http://127.0.0.1:%d/broken", far_side.port);
    snprintf(whole, sizeof whole, "http://127.0.0.1:%d/whole", far_side.port);
    far_says(0, "/broken", 403, -1, 0);
    for (int i = 0; i < 3; i++) {
        row_add(CLASS_WORRY, CHANNEL_HTTP, broken, "alert")->alert = 1;
        row_add(CLASS_WORRY, CHANNEL_HTTP, whole, "alert")->alert = 1;
        text_add(CLASS_REMINDER, 100 + i, "reminder");
    }
    sender_go();
    settle();
    assert_int_equal(fake_flow.results[SENT_OK], 6);
    assert_int_equal(fake_flow.results[SENT_ROUTE_BROKEN], 1);
    far_says(0, "", 200, 0, 0);
    move(60);
    assert_int_equal(fake_flow.results[SENT_OK], 9);
}

static void plain_http_to_another_machine_never_leaves(void **state)
{
    (void)state;
    row_add(CLASS_WORRY, CHANNEL_HTTP, "http://192.0.2.1/alerts", "alert")->alert = 1; /* RFC 5737 */
    sender_go();
    settle();
    assert_int_equal(fake_flow.results[SENT_ROUTE_BROKEN], 1);
    assert_string_equal(fake_rows[0].reason, "plain http to another machine is refused");
}

static int render(void *context, const struct outgoing *row, struct rendered *out)
{
    (void)row;
    if (--*(int *)context >= 0)
        return -1;
    out->fhir = strdup("{\"resourceType\":\"Bundle\"}");
    out->text = strdup("the week in words");
    out->pdf = strdup("%PDF");
    out->pdf_size = 4;
    snprintf(out->name, sizeof out->name, "maple/week 1");
    return 0;
}

static void a_summary_goes_in_the_form_that_each_place_takes(void **state)
{
    char url[128], state_dir[] = "send_live.XXXXXX", path[300];
    int fails = 1;
    (void)state;
    assert_non_null(mkdtemp(state_dir));
    snprintf(fake_config.state, sizeof fake_config.state, "%s", state_dir);
    snprintf(url, sizeof url, "http://127.0.0.1:%d/fhir", far_side.port);
    row_add(CLASS_SUMMARY, CHANNEL_HTTP, url, "plain");
    row_add(CLASS_SUMMARY, CHANNEL_FOLDER, "dir:outbox", "plain");
    sender_on_summary(fake_sender, render, &fails);
    sender_go();
    settle();
    assert_int_equal(fake_flow.results[SENT_PASSING], 1);
    move(10);
    assert_int_equal(fake_flow.results[SENT_OK], 2);
    assert_string_equal(far_side.posts[0].body, "{\"resourceType\":\"Bundle\"}");
    assert_string_equal(far_side.posts[0].type, "application/fhir+json");
    snprintf(path, sizeof path, "%s/outbox/maple-week-1.pdf", state_dir);
    assert_int_equal(unlink(path), 0);
    snprintf(path, sizeof path, "%s/outbox/maple-week-1.json", state_dir);
    assert_int_equal(unlink(path), 0);
    snprintf(path, sizeof path, "%s/outbox/maple-week-1.txt", state_dir);
    assert_int_equal(unlink(path), 0);
    snprintf(path, sizeof path, "%s/outbox", state_dir);
    assert_int_equal(rmdir(path), 0); /* nothing else is there */
    rmdir(state_dir);
}

static void an_outbox_that_cannot_be_read_is_asked_again(void **state)
{
    (void)state;
    fake_reading_error = STORE_IO;
    text_add(CLASS_REPLY, 100, "reply");
    sender_go();
    assert_true(sender_busy(fake_sender, clock_now()));
    pthread_mutex_lock(&fake_lock);
    fake_reading_error = 0;
    pthread_mutex_unlock(&fake_lock);
    settle();
    assert_int_equal(far_side.n, 1);
}

static void a_row_committed_just_before_the_question_is_never_missed(void **state)
{
    (void)state;
    sender_go();
    settle();
    for (int i = 0; i < 200; i++) {
        size_t before = far_count();
        text_add(CLASS_REPLY, 100 + i, "reply");
        sender_wake(fake_sender);
        settle();
        assert_int_equal(far_count(), before + 1);
    }
}

int main(void)
{
#define LIVE(test) cmocka_unit_test_setup_teardown(test, world_open, world_close)
    const struct CMUnitTest tests[] = {
        LIVE(texts_to_one_number_go_one_at_a_time_and_in_order),
        LIVE(a_request_is_what_the_configuration_asks),
        LIVE(no_more_are_in_flight_than_allowed_and_worry_has_a_place),
        LIVE(a_lower_class_waits_for_a_higher),
        LIVE(a_higher_class_without_a_place_holds_lower_ones_on_every_route),
        LIVE(per_second_is_kept_in_real_time),
        LIVE(a_passing_failure_is_repeated_with_the_same_key_and_body),
        LIVE(a_text_refused_for_good_fails_alone),
        LIVE(a_broken_route_rests_and_is_probed_once_a_minute),
        LIVE(a_redirect_is_not_followed),
        LIVE(one_text_that_a_working_route_refuses_does_not_stop_the_others),
        LIVE(a_result_that_could_not_be_stored_is_reported_again_and_never_sent_twice),
        LIVE(a_disk_that_is_full_stops_sending_at_what_is_in_flight),
        LIVE(a_crash_repeats_what_was_in_flight_under_the_same_key),
        LIVE(a_stop_lets_what_is_in_flight_end_and_starts_nothing_new),
        LIVE(an_alert_by_http_is_the_agreed_json),
        LIVE(a_broken_target_stops_nobody_else),
        LIVE(plain_http_to_another_machine_never_leaves),
        LIVE(a_summary_goes_in_the_form_that_each_place_takes),
        LIVE(an_outbox_that_cannot_be_read_is_asked_again),
        LIVE(a_row_committed_just_before_the_question_is_never_missed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
