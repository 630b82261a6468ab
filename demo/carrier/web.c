/* The carrier's HTTP.
 *
 *     POST /messages   {"from","to","text","key"} as JSON or form, bearer asked; answers {"id":"m-1"}
 *     POST /alerts, /fhir or any other path   kept as it is; answers 200
 *     POST /behave     a rule (carrier.h); {} forgets all
 *     POST /receipts   {"url","secret","status":"delivered"}: one receipt a text from now on; {} none
 *     POST /deliver    {"url","secret","body":{…}}: posted signed to the gateway; answers {"status":200}
 *     GET  /sent?since=N, /mails
 */
#include "demo/carrier/carrier.h"

#include <arpa/inet.h>
#include <curl/curl.h>
#include <microhttpd.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct request {
    char *body;
    size_t n;
    bool too_large;
    json_t *receipt;   /* to be posted once this is answered */
};

static enum MHD_Result answer(struct MHD_Connection *c, int status, json_t *what, int retry_after)
{
    char *text = json_dumps(what, JSON_COMPACT), wait[16];
    json_decref(what);
    struct MHD_Response *r = MHD_create_response_from_buffer(text ? strlen(text) : 0, text, MHD_RESPMEM_MUST_FREE);
    MHD_add_response_header(r, "Content-Type", "application/json");
    snprintf(wait, sizeof wait, "%d", retry_after);
    if (retry_after > 0)
        MHD_add_response_header(r, "Retry-After", wait);
    enum MHD_Result queued = MHD_queue_response(c, (unsigned)status, r);
    MHD_destroy_response(r);
    return queued;
}

static const char *header(struct MHD_Connection *c, const char *name)
{
    const char *value = MHD_lookup_connection_value(c, MHD_HEADER_KIND, name);
    return value ? value : "";
}

static json_t *read_form(const char *body)
{
    json_t *form = json_object();
    for (const char *at = body; *at; at += *at == '&') {
        const char *end = at + strcspn(at, "&"), *equals = memchr(at, '=', (size_t)(end - at));
        int n = 0;
        char *name = equals ? curl_easy_unescape(NULL, at, (int)(equals - at), &n) : NULL;
        char *value = name && end > equals + 1 ? curl_easy_unescape(NULL, equals + 1, (int)(end - equals - 1), &n) : NULL;
        if (name)
            json_object_set_new(form, name, json_string(value ? value : ""));
        curl_free(name);
        curl_free(value);
        at = end;
    }
    return form;
}

static json_t *read_body(struct MHD_Connection *c, const struct request *q)
{
    if (!strncmp(header(c, "Content-Type"), "application/x-www-form-urlencoded", 33))
        return read_form(q->body ? q->body : "");
    return json_loads(q->body ? q->body : "", JSON_DECODE_ANY, NULL);
}

static bool bearer_right(struct carrier *s, struct MHD_Connection *c)
{
    char expected[160];
    snprintf(expected, sizeof expected, "Bearer %s", s->secret);
    return !s->secret[0] || !strcmp(header(c, "Authorization"), expected);
}

static json_t *receipt_for(struct carrier *s, const char *id)
{
    json_t *receipt = NULL;
    pthread_mutex_lock(&s->lock);
    const char *status = json_string_value(json_object_get(s->receipts, "status"));
    if (s->receipts)
        receipt = json_pack("{s:O, s:O?, s:{s:s, s:s}}", "url", json_object_get(s->receipts, "url"), "secret",
                            json_object_get(s->receipts, "secret"), "body", "id", id, "status",
                            status ? status : "delivered");
    pthread_mutex_unlock(&s->lock);
    return receipt;
}

static enum MHD_Result take_message(struct carrier *s, struct MHD_Connection *c, struct request *q)
{
    char id[32];
    json_t *text = read_body(c, q);
    const char *to = json_string_value(json_object_get(text, "to"));
    struct rule rule = rule_take(s, "/messages", to ? to : "");
    int status = rule.hang ? 503 : rule.status ? rule.status : 200;
    if (!bearer_right(s, c))
        status = 401;
    else if (!to || !json_is_string(json_object_get(text, "text")))
        status = 400;
    if (!json_is_object(text)) {
        json_decref(text);
        text = json_object();
    }
    if (!json_object_get(text, "key"))
        json_object_set_new(text, "key", json_string(header(c, "Idempotency-Key")));
    json_object_set_new(text, "idempotency_key", json_string(header(c, "Idempotency-Key")));
    carrier_keep(s, "/messages", text, status, id);
    if (status < 200 || status > 299)
        return answer(c, status, json_pack("{s:s}", "error", "refused"), rule.retry_after);
    q->receipt = receipt_for(s, id);
    return answer(c, status, json_pack("{s:s}", "id", id), 0);
}

static enum MHD_Result take_other(struct carrier *s, struct MHD_Connection *c, struct request *q, const char *path)
{
    char id[32];
    struct rule rule = rule_take(s, path, "");
    int status = rule.hang ? 503 : rule.status ? rule.status : 200;
    json_t *body = read_body(c, q);
    char shown[200]; /* for whoever watches */
    snprintf(shown, sizeof shown, "%s", q->body ? q->body : "");
    json_t *text = json_string(shown); /* none when it was cut within a character */
    json_t *record = json_pack("{s:s, s:s, s:s, s:o, s:o}", "key", header(c, "Idempotency-Key"), "type",
                               header(c, "Content-Type"), "authorization", header(c, "Authorization"), "body",
                               body ? body : json_string(q->body ? q->body : ""), "text", text ? text : json_string(""));
    carrier_keep(s, path, record ? record : json_object(), status, id);
    return answer(c, status, json_pack("{s:s}", "id", id), status == 200 ? 0 : rule.retry_after);
}

static enum MHD_Result be_told(struct carrier *s, struct MHD_Connection *c, struct request *q, const char *path)
{
    json_t *told = read_body(c, q), *reply = json_object();
    int status = json_is_object(told) ? 200 : 400;
    if (!strcmp(path, "/behave")) {
        status = rules_set(s, told) ? 200 : 400;
    } else if (!strcmp(path, "/deliver") && status == 200) {
        json_object_set_new(reply, "status", json_integer(post_signed(told)));
    } else if (status == 200) {
        pthread_mutex_lock(&s->lock);
        json_decref(s->receipts);
        s->receipts = json_object_get(told, "url") ? json_incref(told) : NULL;
        pthread_mutex_unlock(&s->lock);
    }
    json_decref(told);
    return answer(c, status, reply, 0);
}

static enum MHD_Result tell(struct carrier *s, struct MHD_Connection *c, const char *path)
{
    const char *since = MHD_lookup_connection_value(c, MHD_GET_ARGUMENT_KIND, "since");
    if (!strcmp(path, "/sent"))
        return answer(c, 200, carrier_since(s, since ? strtoul(since, NULL, 10) : 0), 0);
    if (strcmp(path, "/mails"))
        return answer(c, 404, json_object(), 0);
    pthread_mutex_lock(&s->lock);
    json_t *mails = json_deep_copy(s->mails);
    pthread_mutex_unlock(&s->lock);
    return answer(c, 200, mails, 0);
}

static bool collect(struct request *q, const char *bytes, size_t n)
{
    char *longer = q->n + n < BODY_MOST ? realloc(q->body, q->n + n + 1) : NULL;
    if (!longer)
        return false;
    memcpy(longer + q->n, bytes, n);
    q->body = longer;
    q->n += n;
    q->body[q->n] = 0;
    return true;
}

static enum MHD_Result handle(void *context, struct MHD_Connection *c, const char *path, const char *method,
                              const char *version, const char *bytes, size_t *n, void **own)
{
    struct carrier *s = context;
    struct request *q = *own;
    (void)version;
    if (!q) {
        *own = calloc(1, sizeof *q);
        return *own ? MHD_YES : MHD_NO;
    }
    if (*n) {
        q->too_large = !collect(q, bytes, *n) || q->too_large;
        *n = 0;
        return MHD_YES;
    }
    if (q->too_large)
        return answer(c, 413, json_object(), 0);
    if (!strcmp(method, "GET"))
        return tell(s, c, path);
    if (strcmp(method, "POST"))
        return answer(c, 405, json_object(), 0);
    if (!strcmp(path, "/messages"))
        return take_message(s, c, q);
    if (!strcmp(path, "/behave") || !strcmp(path, "/receipts") || !strcmp(path, "/deliver"))
        return be_told(s, c, q, path);
    return take_other(s, c, q, path);
}

/* In the connection's own thread, after the answer has left: the receipt comes after it, as in life. */
static void completed(void *context, struct MHD_Connection *c, void **own, enum MHD_RequestTerminationCode code)
{
    struct request *q = *own;
    (void)context;
    (void)c;
    if (!q)
        return;
    if (q->receipt && code == MHD_REQUEST_TERMINATED_COMPLETED_OK)
        post_signed(q->receipt);
    json_decref(q->receipt);
    free(q->body);
    free(q);
}

struct MHD_Daemon *web_start(struct carrier *c, int *port)
{
    struct sockaddr_in at = {.sin_family = AF_INET, .sin_port = htons((unsigned short)*port),
                             .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
    struct MHD_Daemon *d = MHD_start_daemon(MHD_USE_THREAD_PER_CONNECTION | MHD_USE_INTERNAL_POLLING_THREAD, 0, NULL, NULL,
                                            handle, c, MHD_OPTION_SOCK_ADDR, (struct sockaddr *)&at,
                                            MHD_OPTION_NOTIFY_COMPLETED, completed, NULL, MHD_OPTION_END);
    if (d)
        *port = MHD_get_daemon_info(d, MHD_DAEMON_INFO_BIND_PORT)->port;
    return d;
}
