/* One attempt: a row, its transfer, and what came of it.
 *
 * It must not say "sent" for anything but a 2xx (or a mail accepted), and must not keep a secret, a text or a number in its
 * reason. An answer is read to ANSWER_MAX and beyond that dropped. About 10 KB while it runs.
 */
#include "gateway/send/inside.h"

#include <stdlib.h>
#include <string.h>

struct attempt *attempt_new(struct sender *s, struct route *r, const struct outgoing *row)
{
    struct attempt *a = calloc(1, sizeof *a);
    if (!a)
        return NULL;
    a->sender = s;
    a->route = r;
    a->row = *row;
    a->started_ms = clock_real_ms();
    a->job.kind = JOB_SENT;
    a->job.owner = a;
    a->job.sent.outgoing = row->id;
    buffer_init(&a->url, REQUEST_MAX);
    buffer_init(&a->body, REQUEST_MAX);
    buffer_init(&a->answer, ANSWER_MAX);
    return a;
}

void attempt_release(struct attempt *a)
{
    curl_easy_cleanup(a->easy);
    curl_mime_free(a->mime);
    for (struct curl_slist *h = a->headers; h; h = h->next)
        explicit_bzero(h->data, strlen(h->data)); /* one of them may hold a secret */
    curl_slist_free_all(a->headers);
    curl_slist_free_all(a->recipients);
    buffer_clear(&a->url);
    buffer_clear(&a->body);
    buffer_clear(&a->answer);
    rendered_clear(&a->rendered);
    a->easy = NULL;
    a->mime = NULL;
    a->headers = a->recipients = NULL;
}

void attempt_free(struct attempt *a)
{
    if (!a)
        return;
    attempt_release(a);
    free(a);
}

bool attempt_ended(struct attempt *a, enum sent_result result, const char *reason)
{
    a->job.sent.result = result;
    snprintf(a->job.sent.reason, sizeof a->job.sent.reason, "%s", reason);
    return false;
}

static size_t answer_take(char *bytes, size_t one, size_t n, void *context)
{
    struct attempt *a = context;
    size_t size = one * n;
    a->received += size;
    if (a->received > ANSWER_CUT)
        return 0;
    if (size <= ANSWER_MAX - a->answer.n)
        buffer_add(&a->answer, bytes, size);
    return size;
}

/* What every transfer has in common. The environment's proxies and .netrc decide nothing here; only whom to trust may be
 * said by SSL_CERT_FILE, as to other programs. */
static bool easy_open(struct attempt *a, bool mail)
{
    a->easy = curl_easy_init();
    CURLcode bad = a->easy ? CURLE_OK : CURLE_OUT_OF_MEMORY;
#define SET(option, value) bad = bad ? bad : curl_easy_setopt(a->easy, option, value)
    SET(CURLOPT_NOSIGNAL, 1L);
    SET(CURLOPT_PROTOCOLS_STR, mail ? "smtp,smtps" : "http,https");
    SET(CURLOPT_REDIR_PROTOCOLS_STR, "https");
    SET(CURLOPT_FOLLOWLOCATION, 0L);
    SET(CURLOPT_PROXY, "");
    SET(CURLOPT_NETRC, (long)CURL_NETRC_IGNORED);
    SET(CURLOPT_SSL_VERIFYPEER, 1L);
    SET(CURLOPT_SSL_VERIFYHOST, 2L);
    if (a->sender->trust[0])
        SET(CURLOPT_CAINFO, a->sender->trust);
    SET(CURLOPT_CONNECTTIMEOUT_MS, (long)CONNECT_MS);
    SET(CURLOPT_TIMEOUT_MS, mail ? (long)MAIL_MS : (long)HTTP_MS);
    SET(CURLOPT_WRITEFUNCTION, answer_take);
    SET(CURLOPT_WRITEDATA, a);
    SET(CURLOPT_PRIVATE, a);
#undef SET
    return bad == CURLE_OK;
}

bool attempt_prepare(struct attempt *a)
{
    struct sender *s = a->sender;
    bool summary = a->row.class_ == CLASS_SUMMARY;
    char secret[SECRET_MAX];
    pthread_mutex_lock(&s->lock);
    memcpy(secret, a->route->secret, sizeof secret);
    pthread_mutex_unlock(&s->lock);
    if (summary && s->render && s->render(s->render_context, &a->row, &a->rendered))
        return attempt_ended(a, SENT_PASSING, "the summary could not be rendered");
    if (a->row.channel == CHANNEL_FOLDER)
        return request_folder(a);
    if (!easy_open(a, a->row.channel == CHANNEL_MAIL))
        return attempt_ended(a, SENT_PASSING, "out of memory");
    bool ready = a->row.channel == CHANNEL_TEXT   ? request_text(a, secret)
                 : a->row.channel == CHANNEL_MAIL ? request_mail(a, secret)
                                                  : request_http(a, secret);
    explicit_bzero(secret, sizeof secret);
    return ready;
}

/* The carrier's own id, by which its receipts will name the text. Without memory for it the text is sent again with its key: a
 * carrier answers that with the same id, and a receipt that says "failed" must find its alert. */
static void carrier_id_take(struct attempt *a, CURLcode code)
{
    const char *pointer = a->sender->config->outbound.id;
    if (a->job.sent.result != SENT_OK || a->row.channel != CHANNEL_TEXT || !pointer[0])
        return;
    if (code == CURLE_OUT_OF_MEMORY || a->answer.failed)
        attempt_ended(a, SENT_PASSING, "no memory for the answer");
    else
        answer_id(a->answer.at, a->answer.n, pointer, a->job.sent.carrier_id);
}

void attempt_judge(struct attempt *a, CURLcode code)
{
    long status = 0;
    struct curl_header *after = NULL;
    curl_easy_getinfo(a->easy, CURLINFO_RESPONSE_CODE, &status);
    bool mail = a->row.channel == CHANNEL_MAIL;
    a->job.sent.result = mail ? mail_result(code, status) : http_result(code, status);
    if (!mail && curl_easy_header(a->easy, "Retry-After", 0, CURLH_HEADER, -1, &after) == CURLHE_OK)
        a->job.sent.retry_after = retry_after_read(after->value, clock_real_now());
    if (a->job.sent.result != SENT_OK) {
        if (status >= 200)
            snprintf(a->job.sent.reason, sizeof a->job.sent.reason, "%s answered %ld", a->route->name, status);
        else
            snprintf(a->job.sent.reason, sizeof a->job.sent.reason, "%.60s: %.60s", a->route->name,
                     curl_easy_strerror(code));
    }
    carrier_id_take(a, code);
    log_event(LOG_DEBUG, "attempt", "row=%lld route=%s status=%ld code=%d ms=%lld", (long long)a->row.id, a->route->name,
              status, (int)code, (long long)(clock_real_ms() - a->started_ms));
}

void rendered_clear(struct rendered *r)
{
    free(r->text);
    free(r->pdf);
    free(r->fhir);
    *r = (struct rendered){0};
}
