/* TLS on both listeners: served, replaced while running, and held to the same budgets.
 *
 * The certificates are made here, signed by themselves, and looked at by libcurl (another TLS library than the gateway's).
 */
#include "tests/unit/web_fake.h"

#include <curl/curl.h>
#include <gnutls/gnutls.h>
#include <gnutls/x509.h>
#include <sys/stat.h>

static char folder[128], path_text[2][256];

static const char *path_in(int slot, const char *name)
{
    snprintf(path_text[slot], sizeof path_text[slot], "%s/%s", folder, name);
    return path_text[slot];
}

static void file_write(const char *path, const void *bytes, size_t size)
{
    FILE *f = fopen(path, "w");
    assert_non_null(f);
    assert_int_equal(fwrite(bytes, 1, size, f), size);
    fclose(f);
}

/* NAME.crt and NAME.key for CN=NAME, P-256. */
static void pair_write(const char *name)
{
    gnutls_x509_privkey_t key;
    gnutls_x509_crt_t crt;
    gnutls_datum_t pem;
    char file[64];
    gnutls_x509_privkey_init(&key);
    gnutls_x509_privkey_generate(key, GNUTLS_PK_ECDSA, GNUTLS_CURVE_TO_BITS(GNUTLS_ECC_CURVE_SECP256R1), 0);
    gnutls_x509_crt_init(&crt);
    gnutls_x509_crt_set_version(crt, 3);
    gnutls_x509_crt_set_serial(crt, "\1", 1);
    gnutls_x509_crt_set_activation_time(crt, (time_t)(clock_real_now() - 3600));
    gnutls_x509_crt_set_expiration_time(crt, (time_t)(clock_real_now() + 3600));
    gnutls_x509_crt_set_dn_by_oid(crt, GNUTLS_OID_X520_COMMON_NAME, 0, name, (unsigned)strlen(name));
    gnutls_x509_crt_set_key(crt, key);
    assert_int_equal(gnutls_x509_crt_sign2(crt, crt, key, GNUTLS_DIG_SHA256, 0), 0);
    gnutls_x509_crt_export2(crt, GNUTLS_X509_FMT_PEM, &pem);
    snprintf(file, sizeof file, "%s.crt", name);
    file_write(path_in(0, file), pem.data, pem.size);
    gnutls_free(pem.data);
    gnutls_x509_privkey_export2(key, GNUTLS_X509_FMT_PEM, &pem);
    snprintf(file, sizeof file, "%s.key", name);
    file_write(path_in(0, file), pem.data, pem.size);
    gnutls_free(pem.data);
    gnutls_x509_crt_deinit(crt);
    gnutls_x509_privkey_deinit(key);
}

static void config_pair(struct config *c, const char *crt, const char *key)
{
    snprintf(c->tls_cert, sizeof c->tls_cert, "%s", path_in(0, crt));
    snprintf(c->tls_key, sizeof c->tls_key, "%s", path_in(1, key));
}

static size_t swallow(char *bytes, size_t size, size_t n, void *context)
{
    (void)bytes, (void)context;
    return size * n;
}

/* The status of /healthz over TLS; `name` receives whether the certificate's subject has it. */
static long health_over_tls(const struct gateway *g, enum listener l, const char *name, bool *named)
{
    char url[64];
    long status = 0;
    struct curl_certinfo *chain = NULL;
    CURL *curl = curl_easy_init();
    snprintf(url, sizeof url, "https://127.0.0.1:%d/healthz", g->web->listeners[l].port);
    curl_easy_setopt(curl, CURLOPT_URL, url);
    curl_easy_setopt(curl, CURLOPT_WRITEFUNCTION, swallow);
    curl_easy_setopt(curl, CURLOPT_SSL_VERIFYPEER, 0L);
    curl_easy_setopt(curl, CURLOPT_SSL_VERIFYHOST, 0L);
    curl_easy_setopt(curl, CURLOPT_CERTINFO, 1L);
    curl_easy_setopt(curl, CURLOPT_NOSIGNAL, 1L);
    curl_easy_setopt(curl, CURLOPT_TIMEOUT_MS, (long)PATIENCE_MS);
    assert_int_equal(curl_easy_perform(curl), CURLE_OK);
    curl_easy_getinfo(curl, CURLINFO_RESPONSE_CODE, &status);
    curl_easy_getinfo(curl, CURLINFO_CERTINFO, &chain);
    *named = false;
    for (struct curl_slist *s = chain && chain->num_of_certs ? chain->certinfo[0] : NULL; s; s = s->next)
        *named = *named || (!strncmp(s->data, "Subject:", 8) && strstr(s->data, name));
    curl_easy_cleanup(curl);
    return status;
}

static const struct web_limits brief = {.head = 300, .whole = 600, .answer = 5000, .wait = 1000, .shut = 300, .tick = 20};

static void both_listeners_speak_tls_and_change_their_certificate(void **state)
{
    struct gateway *g = gateway_new();
    struct config fresh;
    char why[256] = "";
    bool named;
    (void)state;
    config_pair(&g->config, "one.crt", "one.key");
    gateway_open(g, &web_limits_usual);
    assert_int_equal(health_over_tls(g, LISTENER_HOOK, "one", &named), 200);
    assert_true(named);
    assert_int_equal(health_over_tls(g, LISTENER_DESK, "one", &named), 404);
    assert_true(named);

    fresh = g->config;
    config_pair(&fresh, "two.crt", "two.key");
    assert_int_equal(web_reload(g->web, &fresh, why, sizeof why), 0);
    assert_int_equal(health_over_tls(g, LISTENER_HOOK, "two", &named), 200);
    assert_true(named);

    config_pair(&fresh, "one.crt", "two.key");
    assert_int_equal(web_reload(g->web, &fresh, why, sizeof why), -1);
    assert_non_null(strstr(why, "is not the key of the certificate"));
    assert_int_equal(health_over_tls(g, LISTENER_HOOK, "two", &named), 200);
    assert_true(named); /* the old stays in force */
    gateway_close(g);
}

static void a_bad_pair_is_told_at_start(void **state)
{
    static const struct {
        const char *crt, *key, *told;
    } rows[] = {
        {"none.crt", "one.key", "cannot be read: No such file or directory"},
        {"one.crt", "none.key", "cannot be read: No such file or directory"},
        {"empty", "one.key", "it is empty"},
        {"one.key", "one.key", "no certificate chain in PEM"},
        {"one.crt", "one.crt", "no key in PEM"},
        {"one.crt", "two.key", "is not the key of the certificate"},
    };
    (void)state;
    file_write(path_in(0, "empty"), "", 0);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct gateway *g = gateway_new();
        struct web *web;
        char why[256] = "";
        config_pair(&g->config, rows[i].crt, rows[i].key);
        assert_int_equal(web_open(&web, &g->config, &g->flow, NULL, why, sizeof why), -1);
        if (!strstr(why, rows[i].told))
            fail_msg("%s: %s", rows[i].told, why);
        free(g);
    }
}

static void a_handshake_has_its_budget_too(void **state)
{
    struct gateway *g = gateway_new();
    (void)state;
    config_pair(&g->config, "one.crt", "one.key");
    gateway_open(g, &brief);
    struct client *c = client_open(g, LISTENER_HOOK);
    int64_t from = clock_real_ms();
    client_send(c, "\x16\x03\x01\x02", 4); /* the head of a TLS record */
    while (client_more(c, 20) >= 0 && client_send(c, "\0", 1))
        assert_true(clock_real_ms() - from < PATIENCE_MS);
    assert_true(clock_real_ms() - from < 5300);
    client_close(c);
    gateway_close(g);
}

static int folder_make(void **state)
{
    (void)state;
    clock_use_system();
    curl_global_init(CURL_GLOBAL_DEFAULT);
    const char *parent = getenv("TMPDIR");
    snprintf(folder, sizeof folder, "%s/web_tls_XXXXXX", parent ? parent : P_tmpdir);
    if (!mkdtemp(folder))
        return -1;
    pair_write("one");
    pair_write("two");
    return 0;
}

static int folder_drop(void **state)
{
    static const char *const names[] = {"one.crt", "one.key", "two.crt", "two.key", "empty"};
    (void)state;
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        unlink(path_in(0, names[i]));
    curl_global_cleanup();
    return rmdir(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(both_listeners_speak_tls_and_change_their_certificate),
        cmocka_unit_test(a_bad_pair_is_told_at_start),
        cmocka_unit_test(a_handshake_has_its_budget_too),
    };
    return cmocka_run_group_tests_name("web_tls", tests, folder_make, folder_drop);
}
