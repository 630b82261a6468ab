/* Request: one request from its headers to its answer: collects the body within its limit, calls the route's handler
 * once the request is whole, and sends the one answer.
 *
 * The life of a request:
 *
 *     head ──▶ body ──▶ handled ──▶ answered ──▶ completed
 *      │                  │             ▲
 *      └─▶ refused at once└─▶ waiting ──┘
 *          (413, framing)
 *
 * head → body, refused [request_begin] · body → handled [request_step] · handled → waiting [request_wait] ·
 * waiting → answered [request_done: the writer, or request_abandon: the reaper] · completed [request_completed].
 * Nothing here may block: every other request of the listener waits for the same thread. 15 µs a request.
 */
#include <assert.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "gateway/web/room.h"

static void request_free(struct request *r)
{
    if (r->body.at)
        explicit_bzero(r->body.at, r->body.n); /* a text, or a password */
    buffer_clear(&r->body);
    job_free(r->job);
    if (r->answer)
        MHD_destroy_response(r->answer);
    free(r);
}

/* -- headers ------------------------------------------------------------------------------------------------------- */

struct search {
    const char *name, *value;
    int found;
};

static enum MHD_Result header_match(void *context, enum MHD_ValueKind kind, const char *name, const char *value)
{
    struct search *s = context;
    (void)kind;
    if (!strcasecmp(name, s->name)) {
        s->value = value ? value : "";
        s->found++;
    }
    return MHD_YES;
}

static struct search header_search(const struct request *r, const char *name)
{
    struct search s = {.name = name};
    MHD_get_connection_values(r->connection, MHD_HEADER_KIND, header_match, &s);
    return s;
}

const char *request_header(const struct request *r, const char *name)
{
    struct search s = header_search(r, name);
    return s.found == 1 ? s.value : NULL;
}

static enum MHD_Result forwarded_match(void *context, enum MHD_ValueKind kind, const char *name, const char *value)
{
    static const char prefix[] = "X-Forwarded-";
    (void)kind, (void)value;
    if (!strcasecmp(name, "Forwarded") || !strncasecmp(name, prefix, sizeof prefix - 1))
        *(bool *)context = true;
    return MHD_YES;
}

bool request_forwarded(const struct request *r)
{
    bool found = false;
    MHD_get_connection_values(r->connection, MHD_HEADER_KIND, forwarded_match, &found);
    return found;
}

/* -- the answer ---------------------------------------------------------------------------------------------------- */

void request_answer(struct request *r, unsigned status, const char *type, const char *body, size_t size)
{
    assert(!r->answer);
    r->answer = MHD_create_response_from_buffer(size, (void *)(uintptr_t)body, MHD_RESPMEM_MUST_COPY);
    r->status = status;
    if (type)
        request_answer_header(r, MHD_HTTP_HEADER_CONTENT_TYPE, type);
    request_answer_header(r, MHD_HTTP_HEADER_CACHE_CONTROL, "no-store");
    request_answer_header(r, "X-Content-Type-Options", "nosniff");
    if (r->web->quiet)
        request_answer_header(r, MHD_HTTP_HEADER_CONNECTION, "close");
}

void request_answer_header(struct request *r, const char *name, const char *value)
{
    if (r->answer)
        MHD_add_response_header(r->answer, name, value);
}

/* Without memory for an answer the line is cut: the sender tries again. */
static enum MHD_Result answer_send(struct request *r)
{
    if (!r->answer)
        return MHD_NO;
    r->web->answers[r->listener][r->status / 100 % STATUS_CLASSES]++;
    visit_answer(r->web, r->visit);
    return MHD_queue_response(r->connection, r->status, r->answer);
}

/* -- waiting for the writer ---------------------------------------------------------------------------------------- */

/* Whoever takes `waiting` back, the writer or the reaper, resumes; the other only lets go. */
static void request_done(struct job *job)
{
    struct request *r = job->owner;
    struct web *w = r->web;
    pthread_mutex_lock(&w->lock);
    bool mine = r->waiting;
    if (mine) {
        r->waiting = false;
        r->visit->waiting = NULL;
        r->job = job;
    }
    bool last = --r->holders == 0;
    pthread_mutex_unlock(&w->lock);
    if (mine)
        MHD_resume_connection(r->connection);
    else
        job_free(job);
    if (last)
        request_free(r);
}

void request_abandon(struct request *r)
{
    MHD_resume_connection(r->connection);
}

struct job *request_job(struct request *r, enum job_kind kind)
{
    struct job *job = calloc(1, sizeof *job);
    if (job)
        job->kind = kind;
    else
        request_unstored(r);
    return job;
}

static bool waiting_begin(struct request *r)
{
    struct web *w = r->web;
    pthread_mutex_lock(&w->lock);
    bool open = !w->closing;
    if (open) {
        r->holders++;
        r->waiting = true;
        r->wait_until_ms = r->route->patient ? INT64_MAX : clock_real_ms() + w->limits.wait;
        r->visit->waiting = r;
    }
    pthread_mutex_unlock(&w->lock);
    return open;
}

void request_wait_on(struct request *r, struct job *job, void (*finish)(struct request *r),
                     void (*take)(void *taker, struct job *job), void *taker)
{
    job->owner = r;
    job->done = request_done;
    r->finish = finish;
    MHD_suspend_connection(r->connection); /* first: the job may be done before flow_submit returns */
    if (waiting_begin(r)) {
        take(taker, job);
        return;
    }
    job_free(job);
    MHD_resume_connection(r->connection);
}

static void writer_take(void *flow, struct job *job)
{
    flow_submit(flow, job);
}

void request_wait(struct request *r, struct job *job, void (*finish)(struct request *r))
{
    request_wait_on(r, job, finish, writer_take, r->web->flow);
}

/* -- the way of a request ------------------------------------------------------------------------------------------ */

/* The answers that need no handler. */
static void request_refuse(struct request *r)
{
    switch (r->refusal) {
    case MHD_HTTP_NOT_FOUND:
        request_problem(r, r->refusal, "There is nothing at this path.");
        break;
    case MHD_HTTP_METHOD_NOT_ALLOWED:
        request_problem(r, r->refusal, "This path takes other methods; see the Allow header.");
        request_answer_header(r, MHD_HTTP_HEADER_ALLOW, methods_text(r->allow));
        break;
    case MHD_HTTP_CONTENT_TOO_LARGE:
        request_problem(r, r->refusal, "Send a shorter body.");
        break;
    case MHD_HTTP_BAD_REQUEST:
        request_problem(r, r->refusal, "Name one Host, and the length of the body once: as Content-Length, or chunked.");
        break;
    default:
        request_unstored(r);
    }
}

/* The path alone: without scheme and host, which RFC 9112 section 3.2.2 lets a client send. */
static const char *path_of(const char *url)
{
    const char *rest = !strncasecmp(url, "http://", 7) ? url + 7 : !strncasecmp(url, "https://", 8) ? url + 8 : NULL;
    if (!rest)
        return url;
    const char *slash = strchr(rest, '/');
    return slash ? slash : "/";
}

/* With the headers alone. A body that is too long or has no certain end is not read: the answer goes at once and the line
 * is closed. */
static enum MHD_Result request_begin(struct request *r, const char *url, const char *method, const char *version)
{
    unsigned asked = method_read(method);
    r->path = path_of(url);
    r->route = route_find(r->web, r->listener, r->path, asked, &r->allow);
    r->method = (enum method)asked;
    buffer_init(&r->body, r->route ? r->route->body_bytes : BODY_BYTES);
    visit_head(r->web, r->visit);
    bool sound = framing_sound(r, version), too_long = r->length > (int64_t)r->body.ceiling;
    if (!r->route)
        r->refusal = r->allow ? MHD_HTTP_METHOD_NOT_ALLOWED : MHD_HTTP_NOT_FOUND;
    else if (!sound || too_long)
        r->refusal = sound ? MHD_HTTP_CONTENT_TOO_LARGE : MHD_HTTP_BAD_REQUEST;
    if (sound && !too_long)
        return MHD_YES;
    request_refuse(r);
    request_answer_header(r, MHD_HTTP_HEADER_CONNECTION, "close");
    return answer_send(r);
}

/* Takes a piece of the body. What is too much is read away for a while, so that the sender sees the answer. */
static enum MHD_Result request_body(struct request *r, const char *bytes, size_t size)
{
    if (!r->refusal && size > r->body.ceiling - r->body.n)
        r->refusal = MHD_HTTP_CONTENT_TOO_LARGE;
    if (r->refusal) {
        r->discarded += size;
        return r->discarded > DISCARD_BYTES ? MHD_NO : MHD_YES;
    }
    buffer_add(&r->body, bytes, size);
    if (r->body.failed)
        r->refusal = MHD_HTTP_SERVICE_UNAVAILABLE;
    return MHD_YES;
}

/* The request is whole. Either it is answered now or it waits. */
static enum MHD_Result request_whole(struct request *r)
{
    visit_whole(r->web, r->visit);
    if (r->refusal)
        request_refuse(r);
    else if (r->web->config->stepped && request_forwarded(r))
        request_problem(r, MHD_HTTP_FORBIDDEN, "With a stepped clock only this machine may ask, without a proxy.");
    else
        r->route->handle(r);
    return r->finish ? MHD_YES : answer_send(r);
}

static struct request *request_new(struct web_listener *l, struct MHD_Connection *c)
{
    const union MHD_ConnectionInfo *info = MHD_get_connection_info(c, MHD_CONNECTION_INFO_SOCKET_CONTEXT);
    struct request *r = info && info->socket_context ? calloc(1, sizeof *r) : NULL;
    if (!r)
        return NULL;
    r->web = l->web;
    r->listener = l->which;
    r->connection = c;
    r->visit = info->socket_context;
    r->holders = 1;
    return r;
}

enum MHD_Result request_step(void *web_listener, struct MHD_Connection *c, const char *url, const char *method,
                             const char *version, const char *upload, size_t *upload_size, void **state)
{
    struct request *r = *state;
    if (!r) {
        *state = r = request_new(web_listener, c);
        return r ? request_begin(r, url, method, version) : MHD_NO;
    }
    if (*upload_size) {
        size_t size = *upload_size;
        *upload_size = 0;
        return request_body(r, upload, size);
    }
    if (!r->finish)
        return request_whole(r);
    r->finish(r); /* resumed */
    return answer_send(r);
}

void request_completed(void *web_listener, struct MHD_Connection *c, void **state, enum MHD_RequestTerminationCode code)
{
    struct request *r = *state;
    (void)web_listener, (void)c, (void)code;
    if (!r)
        return;
    *state = NULL;
    visit_idle(r->web, r->visit);
    pthread_mutex_lock(&r->web->lock);
    bool last = --r->holders == 0;
    pthread_mutex_unlock(&r->web->lock);
    if (last)
        request_free(r);
}
