/* Nothing leaves for a far side that cannot prove who it is. The certificates are made here, for the right address and
 * within their time, but signed by nobody that a machine trusts. */
#include "tests/unit/send_fake.h"

#include "tests/papers.h"

/* The authority in a file that SSL_CERT_FILE names. */
static void authority_trust(void)
{
    char path[512];
    const char *folder = getenv("TEST_FOLDER");
    snprintf(path, sizeof path, "%s.pem", folder ? folder : "build/authority");
    paper_file(path, authority);
    setenv("SSL_CERT_FILE", path, 1);
}

/* The far side anew, with or without TLS, and the carrier there under https. */
static void far_https(const char *with_certificate)
{
    sender_down(0);
    far_close();
    far_open(with_certificate, key);
    snprintf(fake_config.outbound.url, sizeof fake_config.outbound.url, "https://127.0.0.1:%d/messages", far_side.port);
    sender_up();
    text_add(CLASS_WORRY, 100, "worry");
    sender_go();
    settle();
}

static void a_certificate_that_nobody_vouches_for_breaks_the_route(void **state)
{
    (void)state;
    papers_make(&good);
    far_https(certificate);
    assert_int_equal(far_side.n, 0);
    assert_int_equal(fake_flow.results[SENT_ROUTE_BROKEN], 1);
    assert_int_equal(sender_next_probe(fake_sender), clock_now() + 60);
}

static void a_far_side_without_tls_breaks_the_route(void **state)
{
    (void)state;
    far_https(NULL);
    assert_int_equal(far_side.n, 0);
    assert_int_equal(fake_flow.results[SENT_ROUTE_BROKEN], 1);
}

static void who_is_trusted_is_believed_for_its_own_name_and_time(void **state)
{
    static const struct {
        struct paper paper;
        int sent;
        const char *why;
    } rows[] = {
        {{NULL, -3600, 3600, false}, 1, "for this address, now, by the trusted authority"},
        {{"carrier.example.org", -3600, 3600, false}, 0, "for another name (RFC 9110, 4.3.4)"},
        {{NULL, -7200, -3600, false}, 0, "its time is over (RFC 5280, 6.1.3)"},
        {{NULL, 3600, 7200, false}, 0, "its time has not come"},
        {{NULL, -3600, 3600, true}, 0, "by another authority of the same name"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        papers_make(&rows[i].paper);
        authority_trust();
        int broken = fake_flow.results[SENT_ROUTE_BROKEN], sent = fake_flow.results[SENT_OK];
        far_https(certificate);
        unsetenv("SSL_CERT_FILE");
        if (fake_flow.results[SENT_OK] - sent < rows[i].sent || (int)far_side.n != rows[i].sent ||
            (!rows[i].sent && fake_flow.results[SENT_ROUTE_BROKEN] == broken))
            fail_msg("%s: %zu came, sent %d, broken %d", rows[i].why, far_side.n, fake_flow.results[SENT_OK] - sent,
                     fake_flow.results[SENT_ROUTE_BROKEN] - broken);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_certificate_that_nobody_vouches_for_breaks_the_route, world_open, world_close),
        cmocka_unit_test_setup_teardown(who_is_trusted_is_believed_for_its_own_name_and_time, world_open, world_close),
        cmocka_unit_test_setup_teardown(a_far_side_without_tls_breaks_the_route, world_open, world_close),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
