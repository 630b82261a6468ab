/* Posts to the gateway, signed as the demo's configuration asks: X-Signature, HMAC-SHA256 of the body in lower-case hex. */
#include "demo/carrier/carrier.h"

#include <curl/curl.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static size_t drop(char *bytes, size_t one, size_t n, void *context)
{
    (void)bytes;
    (void)context;
    return one * n;
}

static void sign(const char *secret, const char *body, char *header, size_t size)
{
    unsigned char mac[crypto_auth_hmacsha256_BYTES];
    char hex[2 * sizeof mac + 1];
    crypto_auth_hmacsha256_state state;
    crypto_auth_hmacsha256_init(&state, (const unsigned char *)secret, strlen(secret));
    crypto_auth_hmacsha256_update(&state, (const unsigned char *)body, strlen(body));
    crypto_auth_hmacsha256_final(&state, mac);
    sodium_bin2hex(hex, sizeof hex, mac, sizeof mac);
    snprintf(header, size, "X-Signature: sha256=%s", hex);
}

int post_signed(const json_t *what)
{
    const char *url = json_string_value(json_object_get(what, "url"));
    const char *secret = json_string_value(json_object_get(what, "secret"));
    char *body = json_dumps(json_object_get(what, "body"), JSON_COMPACT), header[128];
    long status = 0;
    CURL *curl = curl_easy_init();
    if (url && body && curl) {
        sign(secret ? secret : "", body, header, sizeof header);
        struct curl_slist *headers = curl_slist_append(NULL, "Content-Type: application/json");
        headers = curl_slist_append(headers, header);
        curl_easy_setopt(curl, CURLOPT_URL, url);
        curl_easy_setopt(curl, CURLOPT_PROXY, "");
        curl_easy_setopt(curl, CURLOPT_NOSIGNAL, 1L);
        curl_easy_setopt(curl, CURLOPT_TIMEOUT, 20L);
        curl_easy_setopt(curl, CURLOPT_HTTPHEADER, headers);
        curl_easy_setopt(curl, CURLOPT_POSTFIELDS, body);
        curl_easy_setopt(curl, CURLOPT_WRITEFUNCTION, drop);
        if (!curl_easy_perform(curl))
            curl_easy_getinfo(curl, CURLINFO_RESPONSE_CODE, &status);
        curl_slist_free_all(headers);
    }
    curl_easy_cleanup(curl);
    free(body);
    return (int)status;
}
