/* Who may post to the hook: HMAC, bearer, basic.
 *
 * Check values: RFC 4231 section 4 (HMAC-SHA-256, test cases 1-4, 6, 7), RFC 7617 section 2 (Basic), RFC 6750 section 2.1
 * (Bearer). The signed time before the body is the contract of this program.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>
#include <sodium.h>
#include <string.h>

#include "gateway/web/auth.h"

static struct auth auth_of(enum auth_kind kind, const void *secret, size_t size)
{
    struct auth a = {.kind = kind, .secret_size = size};
    memcpy(a.secret, secret, size);
    return a;
}

static void hmac_agrees_with_rfc_4231(void **state)
{
    (void)state;
    char ones[20], as[131], ds[50], cs[50], counted[25];
    memset(ones, 0x0b, sizeof ones);
    memset(as, 0xaa, sizeof as);
    memset(ds, 0xdd, sizeof ds);
    memset(cs, 0xcd, sizeof cs);
    for (int i = 0; i < 25; i++)
        counted[i] = (char)(i + 1);
    const char *long_key = "Test Using Larger Than Block-Size Key - Hash Key First";
    const char *both_long = "This is a test using a larger than block-size key and a larger than block-size data. The key "
                            "needs to be hashed before being used by the HMAC algorithm.";
    const struct {
        const char *key;
        size_t key_size;
        const char *data;
        size_t size;
        const char *mac, *why;
    } rows[] = {
        {ones, 20, "Hi There", 8, "b0344c61d8db38535ca8afceaf0bf12b881dc200c9833da726e9376c2e32cff7", "case 1"},
        {"Jefe", 4, "what do ya want for nothing?", 28,
         "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843", "case 2"},
        {as, 20, ds, 50, "773ea91e36800e46854db8ebd09181a72959098b3ef8c122d9635514ced565fe", "case 3"},
        {counted, 25, cs, 50, "82558a389a443c0ea4cc819899f2083a85f0faa3e578f8077a2e3ff46729665b", "case 4"},
        {as, 131, long_key, strlen(long_key), "60e431591ee0b67f0d8a26aacbf5b77f8e0bc6213728c5140546040f0ee37f54",
         "case 6"},
        {as, 131, both_long, strlen(both_long), "9b09ffa71b942fcb27635fbcd5b0e944bfdc63644f0713938a7f51535c3a35e2",
         "case 7"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct auth a = auth_of(AUTH_HMAC_SHA256, rows[i].key, rows[i].key_size);
        struct credentials c = {.value = rows[i].mac, .body = rows[i].data, .size = rows[i].size};
        if (!auth_accepts(&a, &c))
            fail_msg("%s", rows[i].why);
        c.size--;
        if (auth_accepts(&a, &c))
            fail_msg("%s, a byte short", rows[i].why);
    }
}

/* The MAC of test case 2, written otherwise. */
static void a_signature_has_one_spelling_and_may_name_its_hash(void **state)
{
    (void)state;
    static const struct {
        const char *value;
        bool accepted;
        const char *why;
    } rows[] = {
        {"sha256=5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843", true, "named"},
        {"5BDCC146BF60754E6A042426089575C75A003F089D2739839DEC58B964EC3843", false, "upper case"},
        {"sha1=5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843", false, "another hash"},
        {"5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec384", false, "short"},
        {"5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec38430", false, "long"},
        {"5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3842", false, "the last digit"},
        {"", false, "empty"},
        {NULL, false, "no header"},
    };
    struct auth a = auth_of(AUTH_HMAC_SHA256, "Jefe", 4), none = auth_of(AUTH_HMAC_SHA256, "", 0);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct credentials c = {.value = rows[i].value, .body = "what do ya want for nothing?", .size = 28};
        if (auth_accepts(&a, &c) != rows[i].accepted)
            fail_msg("%s", rows[i].why);
        assert_false(auth_accepts(&none, &c));
    }
}

static void a_signed_time_is_near_the_gateways(void **state)
{
    (void)state;
    static const struct {
        const char *time;
        int64_t now;
        bool accepted;
        const char *why;
    } rows[] = {
        {"1795590000", 1795590000, true, "now"},
        {"1795590000", 1795590300, true, "five minutes old"},
        {"1795590000", 1795590301, false, "older"},
        {"1795590000", 1795589700, true, "five minutes ahead"},
        {"1795590000", 1795589699, false, "further ahead"},
        {"+1795590000", 1795590000, false, "no plain number"},
        {"", 1795590000, false, "empty"},
        {NULL, 1795590000, false, "no header"},
    };
    struct auth a = auth_of(AUTH_HMAC_SHA256, "key", 3);
    a.timestamped = true;
    a.max_age = 300;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        unsigned char mac[crypto_auth_hmacsha256_BYTES];
        char hex[2 * sizeof mac + 1];
        crypto_auth_hmacsha256_state s;
        const char *time = rows[i].time ? rows[i].time : "";
        crypto_auth_hmacsha256_init(&s, (const unsigned char *)"key", 3);
        crypto_auth_hmacsha256_update(&s, (const unsigned char *)time, strlen(time));
        crypto_auth_hmacsha256_update(&s, (const unsigned char *)".{}", 3);
        crypto_auth_hmacsha256_final(&s, mac);
        sodium_bin2hex(hex, sizeof hex, mac, sizeof mac);
        struct credentials c = {.value = hex, .time = rows[i].time, .body = "{}", .size = 2, .now = rows[i].now};
        if (auth_accepts(&a, &c) != rows[i].accepted)
            fail_msg("%s", rows[i].why);
        c.size = 1; /* the body is signed too */
        assert_false(auth_accepts(&a, &c));
    }
}

static void bearer_and_basic_compare_the_whole_secret(void **state)
{
    (void)state;
    static const struct {
        enum auth_kind kind;
        const char *secret, *value;
        bool accepted;
        const char *why;
    } rows[] = {
        {AUTH_BEARER, "mF_9.B5f-4.1JqM", "Bearer mF_9.B5f-4.1JqM", true, "RFC 6750 section 2.1"},
        {AUTH_BEARER, "mF_9.B5f-4.1JqM", "bearer mF_9.B5f-4.1JqM", true, "a scheme has no case: RFC 9110 section 11.1"},
        {AUTH_BEARER, "mF_9.B5f-4.1JqM", "Bearer mF_9.B5f-4.1JqN", false, "another"},
        {AUTH_BEARER, "mF_9.B5f-4.1JqM", "Bearer mF_9.B5f-4.1Jq", false, "short"},
        {AUTH_BEARER, "mF_9.B5f-4.1JqM", "Bearer mF_9.B5f-4.1JqM ", false, "a blank more"},
        {AUTH_BEARER, "mF_9.B5f-4.1JqM", "mF_9.B5f-4.1JqM", false, "no scheme"},
        {AUTH_BEARER, "mF_9.B5f-4.1JqM", "Bearer", false, "no token"},
        {AUTH_BEARER, "", "Bearer ", false, "an empty secret fits nothing"},
        {AUTH_BASIC, "Aladdin:open sesame", "Basic QWxhZGRpbjpvcGVuIHNlc2FtZQ==", true, "RFC 7617 section 2"},
        {AUTH_BASIC, "test:123\xc2\xa3", "Basic dGVzdDoxMjPCow==", true, "RFC 7617 section 2.1, UTF-8"},
        {AUTH_BASIC, "Aladdin:open sesame", "Basic QWxhZGRpbjpvcGVuIHNlc2FtZQ", false, "without padding"},
        {AUTH_BASIC, "Aladdin:open sesame", "Basic QWxhZGRpbjpvcGVuIHNlc2FtZT==", false, "another"},
        {AUTH_BASIC, "Aladdin:open sesame", "Basic !", false, "no base64"},
        {AUTH_BASIC, "Aladdin:open sesame", "Bearer QWxhZGRpbjpvcGVuIHNlc2FtZQ==", false, "another scheme"},
        {AUTH_NONE, "", NULL, true, "none asked"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct auth a = auth_of(rows[i].kind, rows[i].secret, strlen(rows[i].secret));
        struct credentials c = {.value = rows[i].value};
        if (auth_accepts(&a, &c) != rows[i].accepted)
            fail_msg("%s", rows[i].why);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(hmac_agrees_with_rfc_4231),
        cmocka_unit_test(a_signature_has_one_spelling_and_may_name_its_hash),
        cmocka_unit_test(a_signed_time_is_near_the_gateways),
        cmocka_unit_test(bearer_and_basic_compare_the_whole_secret),
    };
    return sodium_init() < 0 ? 1 : cmocka_run_group_tests_name("web_auth", tests, NULL, NULL);
}
