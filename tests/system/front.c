/* The program's front: behind a proxy, whose word about addresses counts when the configuration says so; and with TLS of its own.
 *
 * An address that fails to sign in waits (gateway/web/desk/throttle.c), so that it shows which address was believed.
 */
#include "tests/system/desk_client.h"

#include <sys/stat.h>

#include "gateway/base.h"
#include "tests/papers.h"
#include "tests/tool.h"

/* Replaces `from` in the configuration by `to`, and starts the program anew. */
static void configured_anew(struct stage *g, const char *from, const char *to)
{
    char path[PLAY_PATH + 32];
    assert_int_equal(stage_stop_program(g, SIGTERM), 0);
    snprintf(path, sizeof path, "%s/quietarm.ini", g->folder);
    tool_replace(path, from, to);
    assert_int_equal(stage_start_program(g), 0);
}

static const char stepped[] = "clock = stepped\nclock_start = 2026-12-01T08:00:00Z\n";

/* -- behind a proxy ------------------------------------------------------------------------------------------------------------- */

/* A sign-in that fails, as a proxy hands it on; each under a name of its own, so that only the address is counted. */
static long guess_from(struct stage *g, const char *forwarded, int n)
{
    char fields[160], line[160];
    struct client *c = client_new(g);
    snprintf(line, sizeof line, "X-Forwarded-For: %s", forwarded);
    struct curl_slist *said = curl_slist_append(NULL, line);
    client_get(c, "/desk/sign-in");
    snprintf(fields, sizeof fields, "token=%s&user=nobody-%d&password=wrong+wrong+wrong", c->token, n);
    snprintf(line, sizeof line, "Origin: %s", c->origin);
    said = curl_slist_append(said, line);
    char url[128];
    snprintf(url, sizeof url, "%s/desk/sign-in", c->origin);
    curl_easy_setopt(c->curl, CURLOPT_URL, url);
    curl_easy_setopt(c->curl, CURLOPT_HTTPHEADER, said);
    curl_easy_setopt(c->curl, CURLOPT_COPYPOSTFIELDS, fields);
    assert_int_equal(curl_easy_perform(c->curl), CURLE_OK);
    long status = 0;
    curl_easy_getinfo(c->curl, CURLINFO_RESPONSE_CODE, &status);
    curl_slist_free_all(said);
    client_free(c);
    return status;
}

static void the_last_address_that_the_proxy_names_is_the_one_that_waits(void **state)
{
    struct stage *g = &((struct desk_scene *)*state)->g;
    configured_anew(g, stepped, "clock = system\nproxy = 127.0.0.1\n");
    long status = 422;
    for (int n = 0; n < 8 && status == 422; n++)
        status = guess_from(g, "192.0.2.1", n);
    assert_int_equal(status, 429);
    assert_int_equal(guess_from(g, "198.51.100.7, 192.0.2.1", 10), 429); /* what the client wrote in front does not count */
    assert_int_equal(guess_from(g, "192.0.2.1, 192.0.2.2", 11), 422);    /* another one is let in */
}

static void without_a_proxy_nobody_says_where_they_come_from(void **state)
{
    struct stage *g = &((struct desk_scene *)*state)->g;
    char other[32];
    configured_anew(g, stepped, "clock = system\n");
    long status = 422;
    for (int n = 0; n < 8 && status == 422; n++) {
        snprintf(other, sizeof other, "192.0.2.%d", n + 1);
        status = guess_from(g, other, n);
    }
    assert_int_equal(status, 429);
}

/* -- TLS -------------------------------------------------------------------------------------------------------------------------- */

/* Who this host proves to be is checked against `ca`; the status, 0 when it proves nothing. */
static long https_get(struct client *c, int port, const char *path, const char *ca)
{
    char url[128];
    long status = 0;
    struct curl_slist *host = curl_slist_append(NULL, "Host: 127.0.0.1:8481");
    snprintf(url, sizeof url, "https://127.0.0.1:%d%s", port, path);
    c->n_head = c->n_page = 0;
    curl_easy_setopt(c->curl, CURLOPT_URL, url);
    curl_easy_setopt(c->curl, CURLOPT_HTTPHEADER, host);
    curl_easy_setopt(c->curl, CURLOPT_CAINFO, ca);
    curl_easy_setopt(c->curl, CURLOPT_FRESH_CONNECT, 1L);
    if (curl_easy_perform(c->curl) == CURLE_OK)
        curl_easy_getinfo(c->curl, CURLINFO_RESPONSE_CODE, &status);
    curl_slist_free_all(host);
    return status;
}

static const char *in_folder(const struct stage *g, const char *name)
{
    static char path[4][PLAY_PATH + 32];
    static int n;
    n = (n + 1) % 4;
    snprintf(path[n], sizeof path[n], "%s/%s", g->folder, name);
    return path[n];
}

static void pair_put(const struct stage *g, const char *ca)
{
    papers_make(&good);
    paper_file(in_folder(g, "own.crt"), certificate);
    paper_file(in_folder(g, "own.key"), key);
    assert_int_equal(chmod(in_folder(g, "own.key"), 0600), 0);
    paper_file(in_folder(g, ca), authority);
}

static void both_ports_speak_tls_and_take_a_new_certificate_without_a_restart(void **state)
{
    struct stage *g = &((struct desk_scene *)*state)->g;
    pair_put(g, "one.ca");
    configured_anew(g, "public_url = http://", "tls_cert = own.crt\ntls_key = own.key\npublic_url = https://");
    struct client *c = client_new(g);
    assert_int_equal(https_get(c, g->port, "/healthz", in_folder(g, "one.ca")), 200);
    assert_int_equal(https_get(c, g->desk_port, "/desk/sign-in", in_folder(g, "one.ca")), 200);
    assert_non_null(strstr(c->head, "Set-Cookie: __Host-")); /* RFC 6265bis, 4.1.3.2 */
    assert_non_null(strstr(c->head, "; Secure"));
    pair_put(g, "two.ca");
    kill(g->program_pid, SIGHUP);
    long status = 0;
    for (int i = 0; i < 500 && status != 200; i++, usleep(10000)) /* it reads when it gets to it */
        status = https_get(c, g->port, "/healthz", in_folder(g, "two.ca"));
    assert_int_equal(status, 200);
    assert_int_equal(https_get(c, g->port, "/healthz", in_folder(g, "one.ca")), 0); /* the old is gone */
    client_free(c);
}

int main(void)
{
    curl_global_init(CURL_GLOBAL_ALL);
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(the_last_address_that_the_proxy_names_is_the_one_that_waits, desk_scene_open,
                                        desk_scene_close),
        cmocka_unit_test_setup_teardown(without_a_proxy_nobody_says_where_they_come_from, desk_scene_open, desk_scene_close),
        cmocka_unit_test_setup_teardown(both_ports_speak_tls_and_take_a_new_certificate_without_a_restart, desk_scene_open,
                                        desk_scene_close),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
