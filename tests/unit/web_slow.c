/* Slow clients and a slow writer: what the budgets cut, what they leave alone, and how the room closes.
 *
 * The budgets are shortened; that a line was cut not too early is exact, that it was cut at all may take as long as a busy
 * machine likes. A pause in the dripping is the thing under test, not a way to wait for something.
 */
#include "tests/unit/web_fake.h"

#define OPEN_JSON "Authorization: Bearer open\r\nContent-Type: application/json\r\n"
#define TEXT "{\"id\":\"m1\",\"from\":\"1\",\"to\":\"2\",\"text\":\"132/84\"}"

enum { DRIP_MS = 20 };
static const struct web_limits brief = {.head = 300, .whole = 600, .answer = 5000, .wait = 100000, .shut = 300, .tick = 20};

static int set_up(void **state)
{
    *state = gateway_new();
    clock_use_system();
    gateway_open(*state, &brief);
    return 0;
}

static int tear_down(void **state)
{
    gateway_close(*state);
    return 0;
}

/* Sends `head` at once and then one byte of `drip` after the other, over and over, until the line is cut; milliseconds. */
static int64_t drip_until_cut(struct client *c, const char *head, const char *drip)
{
    int64_t from = clock_real_ms();
    client_send(c, head, strlen(head));
    for (size_t i = 0; clock_real_ms() - from < PATIENCE_MS; i = (i + 1) % strlen(drip))
        if (!client_send(c, drip + i, 1) || client_more(c, DRIP_MS) < 0)
            return clock_real_ms() - from;
    fail_msg("the line was not cut");
    return 0;
}

static void what_drips_in_is_cut_at_its_budget(void **state)
{
    static const struct {
        const char *head, *drip;
        int budget;
        const char *why;
    } rows[] = {
        {"", "A", 300, "a method"},
        {"GET ", "/", 300, "a path"},
        {"GET /healthz HTTP/1.1\r\nHost: ", "g", 300, "a header"},
        {"GET /healthz HTTP/1.1\r\nHost: g\r\n", "A: b\r\n", 300, "headers without end"},
        {"\r\n", "\r\n", 300, "empty lines before the request"},
        {"POST /hook/in HTTP/1.1\r\nHost: g\r\n" OPEN_JSON "Content-Length: 60000\r\n\r\n", " ", 600, "a body"},
        {"POST /hook/in HTTP/1.1\r\nHost: g\r\n" OPEN_JSON "Transfer-Encoding: chunked\r\n\r\n", "1\r\nx\r\n", 600,
         "chunks"},
        {"POST /none HTTP/1.1\r\nHost: g\r\nContent-Length: 60000\r\n\r\n", " ", 600, "a body for nobody"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct client *c = client_open(*state, LISTENER_HOOK);
        int64_t took = drip_until_cut(c, rows[i].head, rows[i].drip);
        client_close(c);
        if (took < rows[i].budget - 50 || took > rows[i].budget + 5000)
            fail_msg("%s: cut after %lld ms", rows[i].why, (long long)took);
    }
}

static void a_silent_line_is_cut_before_and_between_requests(void **state)
{
    struct client *c = client_open(*state, LISTENER_HOOK);
    while (client_more(c, PATIENCE_MS) > 0)
        ;
    client_close(c);
    c = client_open(*state, LISTENER_HOOK);
    static const char request[] = "GET /healthz HTTP/1.1\r\nHost: g\r\n\r\n";
    for (int i = 0; i < 3; i++) {
        client_send(c, request, sizeof request - 1);
        assert_int_equal(client_answer(c, false).status, 200);
    }
    assert_true(drip_until_cut(c, "GET ", "/") >= 250);
    client_close(c);
}

/* RFC 9112 section 9.6 allows it: the last request may be followed by the end of the client's half. What is whole is answered,
 * what is not can never be whole. Usual budgets: five and ten seconds. */
static void who_closes_its_half_is_answered_or_cut_soon(void **state)
{
    static const char whole[] = "POST /hook/in HTTP/1.1\r\nHost: g\r\n" OPEN_JSON;
    static const struct {
        const char *bytes;
        int status;
        const char *why;
    } rows[] = {
        {"Content-Length: 47\r\n\r\n" TEXT, 200, "a whole request"},
        {"Transfer-Encoding: chunked\r\n\r\n2f\r\n" TEXT "\r\n0\r\n\r\n", 200, "in chunks"},
        {"Content-Length: 47\r\n\r\n" TEXT "GET /healthz HTTP/1.1\r\nHo", 200, "half a request behind it"},
        {"Content-Le", 0, "half its headers"},
        {"Content-Length: 48\r\n\r\n" TEXT, 0, "a byte is missing"},
        {"Transfer-Encoding: chunked\r\n\r\n2f\r\n" TEXT "\r\n", 0, "the last chunk is missing"},
    };
    (void)state;
    assert_int_equal(strlen(TEXT), 0x2f);
    struct gateway *g = gateway_new();
    gateway_open(g, &web_limits_usual);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct client *c = client_open(g, LISTENER_HOOK);
        client_send(c, whole, sizeof whole - 1);
        client_send(c, rows[i].bytes, strlen(rows[i].bytes));
        shutdown(c->fd, SHUT_WR);
        int64_t from = clock_real_ms();
        struct answer a = client_answer(c, false);
        while (client_more(c, PATIENCE_MS) > 0)
            ;
        if (a.status != rows[i].status || clock_real_ms() - from > 4000)
            fail_msg("%s: %d, closed after %lld ms", rows[i].why, a.status, (long long)(clock_real_ms() - from));
        client_close(c);
    }
    gateway_close(g);
}

/* All places taken by drippers: a text still gets in, once they are cut. */
static void drippers_do_not_keep_texts_out(void **state)
{
    struct gateway *g = *state;
    struct client *drippers[VISITS_MAX + 10];
    for (int i = 0; i < VISITS_MAX + 10; i++) {
        drippers[i] = client_open(g, LISTENER_HOOK);
        client_send(drippers[i], "POST /hook/in HTTP/1.1\r\nX: ", 27);
    }
    assert_int_equal(ask_post(g, "/hook/in", OPEN_JSON, TEXT).status, 200);
    for (int i = 0; i < VISITS_MAX + 10; i++)
        client_close(drippers[i]);
    assert_true(g->web->cut > 10); /* as many as were before it in the queue */
}

static void who_waits_for_the_writer_is_not_cut(void **state)
{
    struct gateway *g = *state;
    char *bytes = post("/hook/in", OPEN_JSON, TEXT);
    struct client *c = client_open(g, LISTENER_HOOK), *other = client_open(g, LISTENER_HOOK);
    flow_hold(&g->flow, true);
    client_send(c, bytes, strlen(bytes));
    client_send(other, bytes, strlen(bytes));
    flow_await(&g->flow, 2);
    assert_int_equal(client_more(c, 1000), 0); /* longer than every budget but that of waiting */
    assert_int_equal(ask(g, "GET /healthz HTTP/1.1\r\nHost: g\r\n\r\n").status, 200);
    client_close(other); /* gone without its answer */
    flow_hold(&g->flow, false);
    assert_int_equal(client_answer(c, false).status, 200);
    client_send(c, bytes, strlen(bytes)); /* the line lives on */
    assert_int_equal(client_answer(c, false).status, 200);
    client_close(c);
    free(bytes);
}

static void a_writer_that_hangs_is_told_as_503(void **state)
{
    struct gateway *g = *state;
    g->web->limits.wait = 200;
    flow_hold(&g->flow, true);
    struct answer a = ask_post(g, "/hook/in", OPEN_JSON, TEXT);
    assert_int_equal(a.status, 503);
    assert_non_null(strstr(a.head, "Retry-After: "));
    flow_hold(&g->flow, false); /* the job comes back to nobody */
    assert_int_equal(ask_post(g, "/hook/in", OPEN_JSON, TEXT).status, 200);
    assert_int_equal(flow_submitted(&g->flow), 2);
}

static void a_quiet_room_answers_whom_it_has_and_takes_nobody_new(void **state)
{
    struct gateway *g = *state;
    char *bytes = post("/hook/in", OPEN_JSON, TEXT);
    struct client *c = client_open(g, LISTENER_HOOK);
    struct sockaddr_in at = {.sin_family = AF_INET, .sin_port = htons((uint16_t)g->web->listeners[LISTENER_HOOK].port)};
    inet_pton(AF_INET, "127.0.0.1", &at.sin_addr);
    flow_hold(&g->flow, true);
    client_send(c, bytes, strlen(bytes));
    flow_await(&g->flow, 1);
    web_quiesce(g->web);
    int fd = socket(AF_INET, SOCK_STREAM, 0);
    assert_int_equal(connect(fd, (struct sockaddr *)&at, sizeof at), -1);
    assert_int_equal(errno, ECONNREFUSED);
    close(fd);
    flow_hold(&g->flow, false);
    struct answer a = client_answer(c, false);
    assert_int_equal(a.status, 200);
    assert_non_null(strstr(a.head, "Connection: close\r\n"));
    client_close(c);
    free(bytes);
}

/* Closing with clients in every state: silent, in the middle of a request, waiting for the writer. */
static void the_room_closes_whoever_is_in_it(void **state)
{
    static const char half[] = "POST /hook/in HTTP/1.1\r\nHost: g\r\n" OPEN_JSON "Content-Length: 60000\r\n\r\n{";
    struct gateway *g = gateway_new();
    char *bytes = post("/hook/in", OPEN_JSON, TEXT);
    (void)state;
    gateway_open(g, &web_limits_usual);
    struct client *silent = client_open(g, LISTENER_HOOK), *begun = client_open(g, LISTENER_HOOK);
    struct client *waiting = client_open(g, LISTENER_HOOK), *desk = client_open(g, LISTENER_DESK);
    flow_hold(&g->flow, true);
    client_send(begun, half, sizeof half - 1);
    client_send(waiting, bytes, strlen(bytes));
    flow_await(&g->flow, 1);
    gateway_close(g);
    assert_int_equal(client_answer(waiting, false).status, 200);
    client_close(silent);
    client_close(begun);
    client_close(waiting);
    client_close(desk);
    free(bytes);
}

static void a_port_in_use_is_told(void **state)
{
    struct gateway *g = *state, *second = gateway_new();
    struct web *web;
    char why[256] = "";
    second->config.listen_port = g->web->listeners[LISTENER_HOOK].port;
    assert_int_equal(web_open(&web, &second->config, &second->flow, NULL, why, sizeof why), -1);
    assert_null(web);
    assert_non_null(strstr(why, "cannot listen: Address already in use"));
    free(second);
}

static void the_desk_takes_the_port_after_the_hooks_or_a_free_one(void **state)
{
    struct gateway *g = *state, *second = gateway_new();
    (void)state;
    second->config.desk_port = -1;
    gateway_open(second, &brief);
    assert_true(second->web->listeners[LISTENER_DESK].port > 0);
    assert_int_not_equal(second->web->listeners[LISTENER_DESK].port, g->web->listeners[LISTENER_HOOK].port);
    gateway_close(second);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(what_drips_in_is_cut_at_its_budget, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_silent_line_is_cut_before_and_between_requests, set_up, tear_down),
        cmocka_unit_test(who_closes_its_half_is_answered_or_cut_soon),
        cmocka_unit_test_setup_teardown(drippers_do_not_keep_texts_out, set_up, tear_down),
        cmocka_unit_test_setup_teardown(who_waits_for_the_writer_is_not_cut, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_writer_that_hangs_is_told_as_503, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_quiet_room_answers_whom_it_has_and_takes_nobody_new, set_up, tear_down),
        cmocka_unit_test(the_room_closes_whoever_is_in_it),
        cmocka_unit_test_setup_teardown(a_port_in_use_is_told, set_up, tear_down),
        cmocka_unit_test_setup_teardown(the_desk_takes_the_port_after_the_hooks_or_a_free_one, set_up, tear_down),
    };
    return cmocka_run_group_tests_name("web_slow", tests, NULL, NULL);
}
