/* For the tests of gateway/send: a far side on 127.0.0.1 over real HTTP that can hold its answers, refuse, and count what is
 * inside at once. */
#ifndef QUIETARM_TESTS_SEND_FAR_H
#define QUIETARM_TESTS_SEND_FAR_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include <arpa/inet.h>
#include <jansson.h>
#include <microhttpd.h>
#include <poll.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/send/send.h"

enum { FAR_POSTS = 1024 };

static pthread_mutex_t fake_lock = PTHREAD_MUTEX_INITIALIZER;
static pthread_cond_t fake_changed = PTHREAD_COND_INITIALIZER;

struct post {
    char path[64], to[TARGET_MAX], key[64], type[64], authorization[64];
    char *body;
    int status;
};

static struct {
    struct MHD_Daemon *daemon;
    int port;
    struct post posts[FAR_POSTS];
    size_t n;                    /* that have come in */
    bool hold;                   /* nothing is answered */
    int inside, most_inside, doubled; /* at once; at most; two to one `to` at once */
    struct {
        char to[TARGET_MAX];     /* or the path */
        int status, left, retry_after;
    } rules[8];
} far_side;

struct far_request {
    char *body;
    size_t n;
};

/* Under lock: the status for this one, 200 without a rule. */
static int far_rule(const struct post *p, int *retry_after)
{
    for (int i = 0; i < 8; i++)
        if (far_side.rules[i].left &&
            (!far_side.rules[i].to[0] || !strcmp(far_side.rules[i].to, p->to) || !strcmp(far_side.rules[i].to, p->path))) {
            if (far_side.rules[i].left > 0)
                far_side.rules[i].left--;
            *retry_after = far_side.rules[i].retry_after;
            return far_side.rules[i].status;
        }
    return 200;
}

static inline void far_says(int i, const char *to, int status, int left, int retry_after)
{
    pthread_mutex_lock(&fake_lock);
    snprintf(far_side.rules[i].to, sizeof far_side.rules[i].to, "%s", to);
    far_side.rules[i].status = status;
    far_side.rules[i].left = left;
    far_side.rules[i].retry_after = retry_after;
    pthread_mutex_unlock(&fake_lock);
}

static inline void far_copy(struct MHD_Connection *c, const char *name, char *out, size_t size)
{
    const char *value = MHD_lookup_connection_value(c, MHD_HEADER_KIND, name);
    snprintf(out, size, "%s", value ? value : "");
}

static int far_take(struct MHD_Connection *c, const char *path, struct far_request *q, int *retry_after, size_t *number)
{
    static bool inside[FAR_POSTS];
    struct post p = {.body = q->body};
    q->body = NULL;
    snprintf(p.path, sizeof p.path, "%s", path);
    far_copy(c, "Idempotency-Key", p.key, sizeof p.key);
    far_copy(c, "Content-Type", p.type, sizeof p.type);
    far_copy(c, "Authorization", p.authorization, sizeof p.authorization);
    json_t *body = json_loads(p.body ? p.body : "", 0, NULL);
    const char *to = json_string_value(json_object_get(body, "to"));
    snprintf(p.to, sizeof p.to, "%s", to ? to : path);
    json_decref(body);
    pthread_mutex_lock(&fake_lock);
    size_t me = far_side.n++;
    assert_true(me < FAR_POSTS);
    for (size_t i = 0; i < me; i++)
        far_side.doubled += inside[i] && !strcmp(far_side.posts[i].to, p.to);
    far_side.posts[me] = p;
    inside[me] = true;
    if (++far_side.inside > far_side.most_inside)
        far_side.most_inside = far_side.inside;
    int status = far_rule(&p, retry_after);
    pthread_cond_broadcast(&fake_changed);
    while (far_side.hold)
        pthread_cond_wait(&fake_changed, &fake_lock);
    far_side.inside--;
    inside[me] = false;
    far_side.posts[me].status = status;
    *number = me + 1;
    pthread_mutex_unlock(&fake_lock);
    return status;
}

static enum MHD_Result far_handle(void *context, struct MHD_Connection *c, const char *path, const char *method,
                                  const char *version, const char *bytes, size_t *n, void **own)
{
    struct far_request *q = *own;
    char answer[64], wait[16];
    int retry_after = 0;
    (void)context, (void)method, (void)version;
    if (!q) {
        *own = calloc(1, sizeof *q);
        return MHD_YES;
    }
    if (*n) {
        q->body = realloc(q->body, q->n + *n + 1);
        memcpy(q->body + q->n, bytes, *n);
        q->n += *n;
        q->body[q->n] = 0;
        *n = 0;
        return MHD_YES;
    }
    size_t number;
    int status = far_take(c, path, q, &retry_after, &number);
    snprintf(answer, sizeof answer, "{\"id\":\"m-%zu\"}", number);
    struct MHD_Response *r = MHD_create_response_from_buffer(strlen(answer), answer, MHD_RESPMEM_MUST_COPY);
    snprintf(wait, sizeof wait, "%d", retry_after);
    if (retry_after)
        MHD_add_response_header(r, "Retry-After", wait);
    if (status / 100 == 3)
        MHD_add_response_header(r, "Location", "/elsewhere");
    enum MHD_Result queued = MHD_queue_response(c, (unsigned)status, r);
    MHD_destroy_response(r);
    return queued;
}

static inline void far_completed(void *context, struct MHD_Connection *c, void **own, enum MHD_RequestTerminationCode code)
{
    struct far_request *q = *own;
    (void)context, (void)c, (void)code;
    if (q)
        free(q->body);
    free(q);
}

/* With a certificate and key (PEM) it speaks TLS. */
static inline void far_open(const char *certificate, const char *key)
{
    struct sockaddr_in at = {.sin_family = AF_INET, .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
    struct MHD_OptionItem tls[] = {{MHD_OPTION_HTTPS_MEM_CERT, 0, (void *)(uintptr_t)certificate},
                                   {MHD_OPTION_HTTPS_MEM_KEY, 0, (void *)(uintptr_t)key},
                                   {MHD_OPTION_END, 0, NULL}};
    unsigned flags = MHD_USE_THREAD_PER_CONNECTION | MHD_USE_INTERNAL_POLLING_THREAD | (certificate ? MHD_USE_TLS : 0);
    memset(&far_side, 0, sizeof far_side);
    far_side.daemon = MHD_start_daemon(flags, 0, NULL, NULL, far_handle, NULL, MHD_OPTION_SOCK_ADDR, (struct sockaddr *)&at,
                                       MHD_OPTION_NOTIFY_COMPLETED, far_completed, NULL, MHD_OPTION_ARRAY,
                                       certificate ? tls : tls + 2, MHD_OPTION_END);
    assert_non_null(far_side.daemon);
    far_side.port = MHD_get_daemon_info(far_side.daemon, MHD_DAEMON_INFO_BIND_PORT)->port;
}

static inline void far_hold(bool hold)
{
    pthread_mutex_lock(&fake_lock);
    far_side.hold = hold;
    pthread_cond_broadcast(&fake_changed);
    pthread_mutex_unlock(&fake_lock);
}

/* Waits until so many posts have come in. */
static inline void far_await(size_t n)
{
    pthread_mutex_lock(&fake_lock);
    while (far_side.n < n)
        pthread_cond_wait(&fake_changed, &fake_lock);
    pthread_mutex_unlock(&fake_lock);
}

static inline size_t far_count(void)
{
    pthread_mutex_lock(&fake_lock);
    size_t n = far_side.n;
    pthread_mutex_unlock(&fake_lock);
    return n;
}

static inline void far_close(void)
{
    far_hold(false);
    MHD_stop_daemon(far_side.daemon);
    for (size_t i = 0; i < far_side.n; i++)
        free(far_side.posts[i].body);
}

#endif
