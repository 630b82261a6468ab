/* For the tests of gateway/web: a flow that stores nothing, with a writer thread of its own, and a client that sends
 * bytes as they stand. The room is opened on free ports of 127.0.0.1.
 */
#ifndef QUIETARM_TESTS_WEB_FAKE_H
#define QUIETARM_TESTS_WEB_FAKE_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include <arpa/inet.h>
#include <errno.h>
#include <netinet/in.h>
#include <poll.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

#include "gateway/web/room.h"

/* -- the flow ------------------------------------------------------------------------------------------------------ */

struct flow {
    pthread_mutex_t lock;
    pthread_cond_t changed;
    pthread_t writer;
    struct job *queue;
    bool held, ended;            /* held: the writer takes nothing */
    enum job_result result;      /* what becomes of every job */
    int submitted;
    struct job last;             /* a copy of the last one, its text in last_body */
    char last_body[BODY_BYTES + 1];
    struct flow_figures figures;
};

static void fake_done(struct flow *f, struct job *job)
{
    job->result = f->result;
    if (job->kind == JOB_CLOCK) {
        clock_set(job->clock.to);
        job->clock.reached = job->clock.to;
    }
    if (job->done)
        job->done(job);
    else
        job_free(job);
}

static void *fake_writer(void *arg)
{
    struct flow *f = arg;
    pthread_mutex_lock(&f->lock);
    while (!f->ended || f->queue) {
        struct job *job = f->held && !f->ended ? NULL : f->queue;
        if (!job) {
            pthread_cond_wait(&f->changed, &f->lock);
            continue;
        }
        f->queue = job->next;
        pthread_mutex_unlock(&f->lock);
        fake_done(f, job);
        pthread_mutex_lock(&f->lock);
    }
    pthread_mutex_unlock(&f->lock);
    return NULL;
}

void job_free(struct job *job)
{
    if (job && job->kind == JOB_TEXT)
        free(job->text.body);
    if (job && job->kind == JOB_CALL && job->call.forget)
        job->call.forget(job->call.what);
    free(job);
}

void flow_submit(struct flow *f, struct job *job)
{
    pthread_mutex_lock(&f->lock);
    f->submitted++;
    f->last = *job;
    if (job->kind == JOB_TEXT)
        snprintf(f->last_body, sizeof f->last_body, "%s", job->text.body);
    job->next = f->queue;
    f->queue = job;
    pthread_cond_broadcast(&f->changed);
    pthread_mutex_unlock(&f->lock);
}

void flow_figures(struct flow *f, struct flow_figures *out)
{
    pthread_mutex_lock(&f->lock);
    *out = f->figures;
    pthread_mutex_unlock(&f->lock);
}

void sender_figures(struct sender *s, struct sender_figures *out)
{
    (void)s;
    *out = (struct sender_figures){0};
}

static inline void flow_hold(struct flow *f, bool held)
{
    pthread_mutex_lock(&f->lock);
    f->held = held;
    pthread_cond_broadcast(&f->changed);
    pthread_mutex_unlock(&f->lock);
}

static inline void flow_answers(struct flow *f, enum job_result result)
{
    pthread_mutex_lock(&f->lock);
    f->result = result;
    pthread_mutex_unlock(&f->lock);
}

static inline int flow_submitted(struct flow *f)
{
    pthread_mutex_lock(&f->lock);
    int n = f->submitted;
    pthread_mutex_unlock(&f->lock);
    return n;
}

/* Returns when `n` jobs have been handed over since the start. */
static inline void flow_await(struct flow *f, int n)
{
    pthread_mutex_lock(&f->lock);
    while (f->submitted < n)
        pthread_cond_wait(&f->changed, &f->lock);
    pthread_mutex_unlock(&f->lock);
}

/* -- a gateway ----------------------------------------------------------------------------------------------------- */

struct gateway {
    struct config config;
    struct flow flow;
    struct web *web;
};

/* The room with these settings, JSON in, a form as receipt. */
static inline struct gateway *gateway_new(void)
{
    struct gateway *g = calloc(1, sizeof *g);
    assert_non_null(g);
    struct config *c = &g->config;
    snprintf(c->listen_host, sizeof c->listen_host, "127.0.0.1");
    snprintf(c->desk_host, sizeof c->desk_host, "127.0.0.1");
    c->inbound = (struct inbound_config){.path = "/hook/in", .format = FORMAT_JSON, .id = "/id", .from = "/from",
        .to = "/to", .text = "/text", .sent = "/sent",
        .auth = {.kind = AUTH_BEARER, .secret = "open", .secret_size = 4}};
    c->receipt = (struct receipt_config){.present = true, .path = "/hook/receipt", .format = FORMAT_FORM, .id = "id",
        .status = "status", .delivered = {"delivered", "read"}, .failed = {"failed"}, .n_delivered = 2, .n_failed = 1,
        .auth = {.kind = AUTH_BASIC, .secret = "user:password", .secret_size = 13}};
    return g;
}

static inline void gateway_open(struct gateway *g, const struct web_limits *limits)
{
    char why[256] = "";
    log_level_set(LOG_ERROR);
    pthread_mutex_init(&g->flow.lock, NULL);
    pthread_cond_init(&g->flow.changed, NULL);
    assert_int_equal(pthread_create(&g->flow.writer, NULL, fake_writer, &g->flow), 0);
    web_limits_set(limits);
    if (web_open(&g->web, &g->config, &g->flow, NULL, why, sizeof why))
        fail_msg("%s", why);
}

static inline void gateway_close(struct gateway *g)
{
    pthread_mutex_lock(&g->flow.lock);
    g->flow.ended = true;
    pthread_cond_broadcast(&g->flow.changed);
    pthread_mutex_unlock(&g->flow.lock);
    pthread_join(g->flow.writer, NULL);
    web_close(g->web);
    pthread_mutex_destroy(&g->flow.lock);
    pthread_cond_destroy(&g->flow.changed);
    free(g);
}

/* -- a client ------------------------------------------------------------------------------------------------------ */

enum { PATIENCE_MS = 20000 };

struct client {
    int fd;
    size_t n;
    char at[256 * 1024];         /* what came and was not taken yet */
};

struct answer {
    int status;                  /* 0: the line was closed without an answer */
    char head[4096], body[64 * 1024];
};

static inline struct client *client_open(const struct gateway *g, enum listener listener)
{
    struct client *c = calloc(1, sizeof *c);
    struct sockaddr_in at = {.sin_family = AF_INET, .sin_port = htons((uint16_t)g->web->listeners[listener].port)};
    inet_pton(AF_INET, "127.0.0.1", &at.sin_addr);
    assert_non_null(c);
    c->fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    assert_int_equal(connect(c->fd, (struct sockaddr *)&at, sizeof at), 0);
    return c;
}

static inline void client_close(struct client *c)
{
    close(c->fd);
    free(c);
}

/* false when the other side has closed. */
static inline bool client_send(struct client *c, const char *bytes, size_t size)
{
    while (size) {
        ssize_t n = send(c->fd, bytes, size, MSG_NOSIGNAL);
        if (n <= 0)
            return false;
        bytes += n;
        size -= (size_t)n;
    }
    return true;
}

/* Waits at most `ms` for more; 1 more came, 0 nothing yet, -1 closed. */
static inline int client_more(struct client *c, int ms)
{
    struct pollfd p = {.fd = c->fd, .events = POLLIN};
    if (poll(&p, 1, ms) <= 0)
        return 0;
    ssize_t n = recv(c->fd, c->at + c->n, sizeof c->at - 1 - c->n, 0);
    if (n <= 0)
        return -1;
    c->n += (size_t)n;
    c->at[c->n] = '\0';
    return 1;
}

/* Takes one answer from what came; `head_only` for HEAD. */
static inline bool answer_take(struct client *c, struct answer *a, bool head_only)
{
    char *end = strstr(c->at, "\r\n\r\n");
    if (!end)
        return false;
    size_t head = (size_t)(end - c->at) + 4, body = 0;
    char *length = strcasestr(c->at, "\r\nContent-Length:");
    if (length && length < end && !head_only)
        body = strtoul(length + 17, NULL, 10);
    if (c->n < head + body)
        return false;
    snprintf(a->head, sizeof a->head, "%.*s", (int)head, c->at);
    snprintf(a->body, sizeof a->body, "%.*s", (int)body, c->at + head);
    a->status = (int)strtol(c->at + 9, NULL, 10);
    memmove(c->at, c->at + head + body, c->n + 1 - head - body);
    c->n -= head + body;
    return true;
}

static inline struct answer client_answer(struct client *c, bool head_only)
{
    struct answer a = {0};
    int64_t until = clock_real_ms() + PATIENCE_MS;
    while (!answer_take(c, &a, head_only)) {
        if (clock_real_ms() > until)
            fail_msg("no answer in time");
        if (client_more(c, 1000) < 0)
            break;
    }
    return a;
}

/* One request on a line of its own. */
static inline struct answer ask(const struct gateway *g, const char *bytes)
{
    struct client *c = client_open(g, LISTENER_HOOK);
    client_send(c, bytes, strlen(bytes));
    struct answer a = client_answer(c, !strncmp(bytes, "HEAD", 4));
    client_close(c);
    return a;
}

/* A POST with its length counted; `headers` each end in \r\n. The caller frees. */
static inline char *post(const char *path, const char *headers, const char *body)
{
    char *bytes;
    if (asprintf(&bytes, "POST %s HTTP/1.1\r\nHost: gateway\r\n%sContent-Length: %zu\r\n\r\n%s", path, headers,
                 strlen(body), body) < 0)
        abort();
    return bytes;
}

static inline struct answer ask_post(const struct gateway *g, const char *path, const char *headers, const char *body)
{
    char *bytes = post(path, headers, body);
    struct answer a = ask(g, bytes);
    free(bytes);
    return a;
}

#endif
