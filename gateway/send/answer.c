/* What an answer means: sent, passing, permanent for this text, or a broken route; and when to try again.
 *
 * Pure. It must never take an unclear answer for "sent", nor one text's refusal for good when the world may mend: whatever
 * is not named here is passing. A retry waits 10 s at first, 15 minutes at most.
 */
#include "gateway/send/parts.h"

#include <jansson.h>
#include <stdlib.h>
#include <string.h>

enum { BACKOFF_FIRST = 10, BACKOFF_MOST = 900 };

int backoff_seconds(int attempts, int retry_after, uint64_t random)
{
    int most = BACKOFF_FIRST;
    for (int i = 1; i < attempts && most < BACKOFF_MOST; i++)
        most *= 2;
    if (most > BACKOFF_MOST)
        most = BACKOFF_MOST;
    int wait = 1 + (int)(random % (uint64_t)most);
    return retry_after > wait ? retry_after : wait;
}

enum sent_result status_result(int status)
{
    if (status >= 200 && status <= 299)
        return SENT_OK;
    if (status >= 300 && status <= 399)
        return SENT_ROUTE_BROKEN;
    switch (status) {
    case 400: case 410: case 413: case 422:
        return SENT_PERMANENT;
    case 401: case 402: case 403: case 404: case 405: case 407:
        return SENT_ROUTE_BROKEN;
    default:
        return SENT_PASSING;
    }
}

int retry_after_read(const char *value, int64_t now)
{
    if (!value || !*value)
        return 0;
    int64_t wait;
    if (strspn(value, "0123456789") == strlen(value)) {
        if (!whole_read(value, 0, RETRY_AFTER_MOST, &wait))
            return RETRY_AFTER_MOST;
        return (int)wait;
    }
    time_t date = curl_getdate(value, NULL);
    wait = date == -1 ? 0 : (int64_t)date - now;
    return wait < 0 ? 0 : wait > RETRY_AFTER_MOST ? RETRY_AFTER_MOST : (int)wait;
}

/* Failures that no waiting mends: trust, secrets, addresses. */
static bool code_breaks(CURLcode code)
{
    switch (code) {
    case CURLE_SSL_CONNECT_ERROR: case CURLE_PEER_FAILED_VERIFICATION: case CURLE_SSL_CERTPROBLEM:
    case CURLE_SSL_CIPHER: case CURLE_SSL_CACERT_BADFILE: case CURLE_SSL_ISSUER_ERROR:
    case CURLE_SSL_PINNEDPUBKEYNOTMATCH: case CURLE_SSL_INVALIDCERTSTATUS: case CURLE_SSL_CLIENTCERT:
    case CURLE_SSL_CRL_BADFILE: case CURLE_SSL_ENGINE_INITFAILED: case CURLE_USE_SSL_FAILED:
    case CURLE_LOGIN_DENIED: case CURLE_UNSUPPORTED_PROTOCOL: case CURLE_URL_MALFORMAT:
        return true;
    default:
        return false;
    }
}

/* A status that came decides, also when the rest of the answer was cut off: the carrier has said what it did. */
enum sent_result http_result(CURLcode code, long status)
{
    if (status >= 200)
        return status_result((int)status);
    return code_breaks(code) ? SENT_ROUTE_BROKEN : SENT_PASSING;
}

enum sent_result mail_result(CURLcode code, long reply)
{
    if (code == CURLE_OK)
        return SENT_OK;
    if (code_breaks(code))
        return SENT_ROUTE_BROKEN;
    switch (reply) {
    case 530: case 534: case 535: case 538: /* RFC 4954, 6: authentication is asked for, too weak, wrong, unencrypted */
        return SENT_ROUTE_BROKEN;
    case 550: case 551: case 552: case 553: case 554: case 555: case 556:
        return SENT_PERMANENT;
    default:
        return SENT_PASSING;
    }
}

/* One step of a pointer: `token` up to '/' or the end, ~1 is '/', ~0 is '~'. NULL when it is not there. */
static json_t *pointer_step(json_t *at, const char *token, size_t size)
{
    char name[128];
    size_t n = 0;
    for (size_t i = 0; i < size; i++) {
        if (n + 1 >= sizeof name)
            return NULL;
        if (token[i] == '~' && i + 1 < size && (token[i + 1] == '0' || token[i + 1] == '1'))
            name[n++] = token[++i] == '0' ? '~' : '/';
        else
            name[n++] = token[i];
    }
    name[n] = 0;
    int64_t index;
    if (json_is_array(at))
        return whole_read(name, 0, 1 << 20, &index) ? json_array_get(at, (size_t)index) : NULL;
    return json_object_get(at, name);
}

void answer_id(const char *json, size_t size, const char *pointer, char id[80])
{
    id[0] = 0;
    if (!json || (*pointer && *pointer != '/'))
        return;
    json_t *root = json_loadb(json, size, JSON_DECODE_ANY, NULL);
    if (!root) /* out of memory looks like bad syntax: what is bad is bad again */
        root = json_loadb(json, size, JSON_DECODE_ANY, NULL);
    json_t *at = root;
    while (at && *pointer == '/') {
        size_t n = strcspn(++pointer, "/");
        at = pointer_step(at, pointer, n);
        pointer += n;
    }
    if (json_is_string(at) && strlen(json_string_value(at)) == json_string_length(at))
        id_fit(json_string_value(at), json_string_length(at), id, 80); /* a receipt's is made to fit likewise */
    else if (json_is_integer(at))
        snprintf(id, 80, "%lld", (long long)json_integer_value(at));
    json_decref(root);
}
