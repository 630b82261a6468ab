/* POST /clock with a stepped clock, and what a stepped clock and a hook without a signature refuse. */
#include "tests/unit/web_fake.h"

#define NOW INT64_C(1795590000) /* 2026-11-25T07:00:00Z */
#define TEXT "{\"id\":\"m1\",\"from\":\"1\",\"to\":\"2\",\"text\":\"132/84\"}"
#define JSON "Content-Type: application/json\r\n"

static const struct web_limits brief = {.head = 5000, .whole = 10000, .answer = 5000, .wait = 100, .shut = 300, .tick = 20};

static int set_up_stepped(void **state)
{
    struct gateway *g = gateway_new();
    g->config.stepped = true;
    g->config.inbound.auth = (struct auth){.kind = AUTH_NONE};
    clock_use_stepped(NOW);
    gateway_open(g, &brief);
    *state = g;
    return 0;
}

static int set_up_open(void **state)
{
    struct gateway *g = gateway_new();
    g->config.inbound.auth = (struct auth){.kind = AUTH_NONE};
    clock_use_system();
    gateway_open(g, &web_limits_usual);
    *state = g;
    return 0;
}

static int tear_down(void **state)
{
    gateway_close(*state);
    return 0;
}

static void a_move_is_read_as_the_contract_says(void **state)
{
    struct gateway *g = *state;
    static const struct {
        const char *body;
        int status;
        const char *now, *why;
    } rows[] = {
        {"{\"advance_s\":600}", 200, "{\"now\":\"2026-11-25T07:10:00Z\"}", "ten minutes"},
        {"{\"advance_s\":0}", 200, "{\"now\":\"2026-11-25T07:10:00Z\"}", "not at all"},
        {"{\"to\":\"2026-11-25T08:00:00Z\"}", 200, "{\"now\":\"2026-11-25T08:00:00Z\"}", "to an hour"},
        {"{\"to\":\"2026-11-25T08:00:00Z\"}", 200, "{\"now\":\"2026-11-25T08:00:00Z\"}", "to where it is"},
        {"{\"to\":\"2026-11-25T10:00:00+01:00\"}", 200, "{\"now\":\"2026-11-25T09:00:00Z\"}", "an offset"},
        {"{\"advance_s\":60,\"jump\":true}", 200, "{\"now\":\"2026-11-25T09:01:00Z\"}", "off meanwhile"},
        {"{\"to\":\"2026-11-25T09:00:59Z\"}", 400, NULL, "past"},
        {"{\"advance_s\":60,\"to\":\"2026-11-25T10:00:00Z\"}", 400, NULL, "both"},
        {"{}", 400, NULL, "neither"},
        {"{\"jump\":true}", 400, NULL, "neither, with a jump"},
        {"{\"advance_s\":60,\"jump\":1}", 400, NULL, "a jump that is neither true nor false"},
        {"{\"advance_s\":60,\"fast\":true}", 400, NULL, "an unknown key"},
        {"{\"advance_s\":1.5}", 400, NULL, "no whole number"},
        {"{\"advance_s\":\"60\"}", 400, NULL, "a string"},
        {"{\"advance_s\":-1}", 400, NULL, "backwards"},
        {"{\"advance_s\":9223372036854775807}", 400, NULL, "past the last year"},
        {"{\"advance_s\":60,\"advance_s\":60}", 400, NULL, "twice"},
        {"{\"to\":\"2026-11-25T10:00\"}", 400, NULL, "no zone"},
        {"{\"to\":1795590000}", 400, NULL, "a number"},
        {"{\"to\":null}", 400, NULL, "null"},
        {"[60]", 400, NULL, "an array"},
        {"advance_s=60", 400, NULL, "a form"},
        {"", 400, NULL, "nothing"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct answer a = ask_post(g, "/clock", "", rows[i].body);
        if (a.status != rows[i].status || (rows[i].now && strcmp(a.body, rows[i].now)))
            fail_msg("%s: %d %s", rows[i].why, a.status, a.body);
    }
    assert_int_equal(flow_submitted(&g->flow), 6);
    assert_int_equal(ask(g, "GET /clock HTTP/1.1\r\nHost: g\r\n\r\n").status, 405);
}

/* A move takes as long as it takes; a second one meanwhile is 409, texts are stored. */
static void one_move_at_a_time(void **state)
{
    struct gateway *g = *state;
    char *bytes = post("/clock", "", "{\"advance_s\":60,\"jump\":true}");
    struct client *c = client_open(g, LISTENER_HOOK);
    flow_hold(&g->flow, true);
    client_send(c, bytes, strlen(bytes));
    flow_await(&g->flow, 1);
    assert_true(g->flow.last.clock.jump);
    assert_int_equal(client_more(c, 500), 0); /* five times as long as a text would wait */
    assert_int_equal(ask_post(g, "/clock", "", "{\"advance_s\":60}").status, 409);
    assert_int_equal(ask_post(g, "/clock", "", "{}").status, 400);
    flow_hold(&g->flow, false);
    struct answer a = client_answer(c, false);
    assert_int_equal(a.status, 200);
    assert_non_null(strstr(a.head, "Content-Type: application/json\r\n"));
    assert_string_equal(a.body, "{\"now\":\"2026-11-25T07:01:00Z\"}");
    client_close(c);
    free(bytes);
    flow_answers(&g->flow, JOB_UNSTORED);
    assert_int_equal(ask_post(g, "/clock", "", "{\"advance_s\":60}").status, 503);
    flow_answers(&g->flow, JOB_STORED);
    assert_int_equal(ask_post(g, "/clock", "", "{\"advance_s\":60}").status, 200); /* a failed move blocks nothing */
}

static void what_came_through_a_proxy_is_refused(void **state)
{
    struct gateway *g = *state;
    static const char *const headers[] = {"Forwarded: for=192.0.2.43\r\n", "X-Forwarded-For: 192.0.2.43\r\n",
                                          "x-forwarded-proto: https\r\n", "X-Forwarded-Host:\r\n"};
    for (size_t i = 0; i < sizeof headers / sizeof *headers; i++) {
        char with[256];
        snprintf(with, sizeof with, "%s" JSON, headers[i]);
        assert_int_equal(ask_post(g, "/hook/in", with, TEXT).status, 403);
        if (g->config.stepped)
            assert_int_equal(ask_post(g, "/clock", with, "{\"advance_s\":60}").status, 403);
    }
    assert_int_equal(flow_submitted(&g->flow), 0);
    assert_int_equal(ask_post(g, "/hook/in", JSON, TEXT).status, 200);
}

/* A time of sending is judged by the stepped clock. */
static void the_stepped_clock_judges_the_time_of_sending(void **state)
{
    struct gateway *g = *state;
    char body[256];
    for (int late = 0; late < 2; late++) {
        snprintf(body, sizeof body, "{\"id\":\"m%d\",\"from\":\"1\",\"to\":\"2\",\"sent\":%lld}", late,
                 (long long)(NOW + late));
        assert_int_equal(ask_post(g, "/hook/in", JSON, body).status, 200);
        assert_true(g->flow.last.text.sent == (late ? INSTANT_NONE : NOW));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_move_is_read_as_the_contract_says, set_up_stepped, tear_down),
        cmocka_unit_test_setup_teardown(one_move_at_a_time, set_up_stepped, tear_down),
        cmocka_unit_test_setup_teardown(what_came_through_a_proxy_is_refused, set_up_stepped, tear_down),
        cmocka_unit_test_setup_teardown(what_came_through_a_proxy_is_refused, set_up_open, tear_down),
        cmocka_unit_test_setup_teardown(the_stepped_clock_judges_the_time_of_sending, set_up_stepped, tear_down),
    };
    return cmocka_run_group_tests_name("web_clock", tests, NULL, NULL);
}
