/* Nothing leaves for a far side that cannot prove who it is. The certificates are made here, for the right address and
 * within their time, but signed by nobody that a machine trusts. */
#include "tests/unit/send_fake.h"

#include <gnutls/gnutls.h>
#include <gnutls/x509.h>

static char certificate[4096], key[4096];

static void make_pair(void)
{
    static const unsigned char loopback[] = {127, 0, 0, 1};
    gnutls_x509_privkey_t k;
    gnutls_x509_crt_t c;
    size_t certificate_size = sizeof certificate - 1, key_size = sizeof key - 1;
    gnutls_x509_privkey_init(&k);
    gnutls_x509_privkey_generate(k, GNUTLS_PK_ECDSA, GNUTLS_CURVE_TO_BITS(GNUTLS_ECC_CURVE_SECP256R1), 0);
    gnutls_x509_crt_init(&c);
    gnutls_x509_crt_set_version(c, 3);
    gnutls_x509_crt_set_serial(c, "\1", 1);
    gnutls_x509_crt_set_activation_time(c, (time_t)(clock_real_now() - 3600));
    gnutls_x509_crt_set_expiration_time(c, (time_t)(clock_real_now() + 3600));
    gnutls_x509_crt_set_dn_by_oid(c, GNUTLS_OID_X520_COMMON_NAME, 0, "carrier", 7);
    gnutls_x509_crt_set_subject_alt_name(c, GNUTLS_SAN_IPADDRESS, loopback, sizeof loopback, GNUTLS_FSAN_SET);
    gnutls_x509_crt_set_key(c, k);
    assert_int_equal(gnutls_x509_crt_sign2(c, c, k, GNUTLS_DIG_SHA256, 0), 0);
    assert_int_equal(gnutls_x509_crt_export(c, GNUTLS_X509_FMT_PEM, certificate, &certificate_size), 0);
    assert_int_equal(gnutls_x509_privkey_export(k, GNUTLS_X509_FMT_PEM, key, &key_size), 0);
    gnutls_x509_crt_deinit(c);
    gnutls_x509_privkey_deinit(k);
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
    make_pair();
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

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_certificate_that_nobody_vouches_for_breaks_the_route, world_open, world_close),
        cmocka_unit_test_setup_teardown(a_far_side_without_tls_breaks_the_route, world_open, world_close),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
