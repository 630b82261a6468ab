/* Web: opens the room, reloads it, and closes it in the one order that is safe.
 *
 *     closed ──▶ open ──▶ quiet ──▶ settled ──▶ closed
 *     open → quiet [web_quiesce] · quiet → settled, closed [web_close]
 *
 * libmicrohttpd aborts the process when a daemon is stopped while anything is suspended: the writer has ended by then
 * (flow_stop), and whoever still waits is resumed here. Each listener is one daemon with one thread.
 */
#include <assert.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

#include "gateway/web/desk/desk.h"
#include "gateway/web/room.h"

enum { SETTLE_MS = 2000 };

const struct web_limits web_limits_usual = {.head = 5000, .whole = 10000, .answer = 30000, .wait = 15000, .shut = 300, .tick = 100};
static struct web_limits limits_now = {.head = 5000, .whole = 10000, .answer = 30000, .wait = 15000, .shut = 300, .tick = 100};

void web_limits_set(const struct web_limits *limits)
{
    limits_now = *limits;
}

/* -- what libmicrohttpd calls -------------------------------------------------------------------------------------- */

static void connection_changed(void *context, struct MHD_Connection *c, void **visit,
                               enum MHD_ConnectionNotificationCode what)
{
    struct web_listener *l = context;
    if (what == MHD_CONNECTION_NOTIFY_STARTED) {
        const union MHD_ConnectionInfo *info = MHD_get_connection_info(c, MHD_CONNECTION_INFO_CONNECTION_FD);
        *visit = info ? visit_begin(l->web, info->connect_fd) : NULL;
    } else {
        visit_end(l->web, *visit);
        *visit = NULL;
    }
}

/* What libmicrohttpd has to say, without the values: they may come from a request. */
static void library_says(void *context, const char *format, va_list args)
{
    (void)context, (void)args;
    log_event(LOG_DEBUG, "http", "said=%.80s", format);
}

/* Paths and arguments stay as they were sent: escapes are undone where a value is read, once. */
static size_t unescape_nothing(void *context, struct MHD_Connection *c, char *s)
{
    (void)context, (void)c;
    return strlen(s);
}

/* -- opening ------------------------------------------------------------------------------------------------------- */

static int daemon_start(struct web_listener *l, char *why, size_t why_size)
{
    unsigned flags = MHD_USE_EPOLL_INTERNAL_THREAD | MHD_ALLOW_SUSPEND_RESUME | MHD_USE_ERROR_LOG;
    struct MHD_OptionItem tls[] = {{MHD_OPTION_END, 0, NULL}, {MHD_OPTION_END, 0, NULL}};
    if (tls_wanted(l->web->config)) {
        flags |= MHD_USE_TLS;
        tls[0] = tls_option();
    }
    l->daemon = MHD_start_daemon(flags, 0, NULL, NULL, request_step, l,
        MHD_OPTION_EXTERNAL_LOGGER, library_says, l,
        MHD_OPTION_LISTEN_SOCKET, l->fd,
        MHD_OPTION_CONNECTION_LIMIT, (unsigned)VISITS_MAX,
        MHD_OPTION_CONNECTION_MEMORY_LIMIT, (size_t)VISIT_MEMORY,
        MHD_OPTION_NOTIFY_CONNECTION, connection_changed, l,
        MHD_OPTION_NOTIFY_COMPLETED, request_completed, l,
        MHD_OPTION_UNESCAPE_CALLBACK, unescape_nothing, l,
        MHD_OPTION_ARRAY, tls,
        MHD_OPTION_END);
    if (l->daemon)
        return 0;
    snprintf(why, why_size, "port %d: the HTTP server does not start; memory or descriptors may be short", l->port);
    return -1;
}

static int listener_open(struct web_listener *l, const char *host, int port, char *why, size_t why_size)
{
    l->fd = listen_open(host, port, &l->port, why, why_size);
    return l->fd < 0 ? -1 : daemon_start(l, why, why_size);
}

/* Without a port of its own the desk takes the one after the hook's, or a free one. */
static int desk_open(struct web *w, char *why, size_t why_size)
{
    struct web_listener *desk = &w->listeners[LISTENER_DESK];
    int wanted = w->config->desk_port, next = w->listeners[LISTENER_HOOK].port + 1;
    if (wanted >= 0)
        return listener_open(desk, w->config->desk_host, wanted, why, why_size);
    desk->fd = next <= 65535 ? listen_open(w->config->desk_host, next, &desk->port, why, why_size) : -1;
    return desk->fd >= 0 ? daemon_start(desk, why, why_size) : listener_open(desk, w->config->desk_host, 0, why, why_size);
}

/* The tokens of the clinics that there are, as `from` has them. Under `secrets`. */
static void tokens_take(struct web *w, const struct config *from)
{
    for (size_t i = 0; i < w->config->n_clinics && w->fhir_tokens; i++) {
        const struct clinic *c = config_clinic(from, w->config->clinics[i].id);
        snprintf(w->fhir_tokens[i], sizeof w->fhir_tokens[i], "%s", c ? c->fhir_token : "");
    }
}

static struct web *web_new(const struct config *config, struct flow *flow, struct sender *sender)
{
    pthread_condattr_t monotonic;
    struct web *w = calloc(1, sizeof *w);
    if (!w)
        return NULL;
    *w = (struct web){.config = config, .flow = flow, .sender = sender, .limits = limits_now,
                      .inbound = config->inbound.auth, .receipt = config->receipt.auth};
    for (int i = 0; i < LISTENER_COUNT; i++)
        w->listeners[i] = (struct web_listener){.web = w, .which = (enum listener)i, .fd = -1};
    pthread_condattr_init(&monotonic);
    pthread_condattr_setclock(&monotonic, CLOCK_MONOTONIC);
    pthread_cond_init(&w->changed, &monotonic);
    pthread_condattr_destroy(&monotonic);
    pthread_mutex_init(&w->lock, NULL);
    pthread_mutex_init(&w->secrets, NULL);
    w->fhir_tokens = calloc(config->n_clinics + 1, sizeof *w->fhir_tokens);
    tokens_take(w, config);
    return w;
}

int web_open(struct web **out, const struct config *config, struct flow *flow, struct sender *sender, char *why,
             size_t why_size)
{
    int result = -1;
    struct web *w = sodium_init() < 0 ? NULL : web_new(config, flow, sender);
    *out = NULL;
    snprintf(why, why_size, "the web server does not start; memory or threads may be short");
    if (!w || tls_load(config, why, why_size) || pages_open(&w->desk, w) || reaper_start(w))
        goto out;
    if (listener_open(&w->listeners[LISTENER_HOOK], config->listen_host, config->listen_port, why, why_size) ||
        desk_open(w, why, why_size))
        goto out;
    log_event(LOG_INFO, "listening", "port=%d", w->listeners[LISTENER_HOOK].port);
    log_event(LOG_INFO, "desk", "port=%d", w->listeners[LISTENER_DESK].port);
    why[0] = '\0';
    *out = w;
    result = 0;
out:
    if (result)
        web_close(w);
    return result;
}

int web_reload(struct web *w, const struct config *fresh, char *why, size_t why_size)
{
    if (tls_wanted(w->config) && tls_load(fresh, why, why_size))
        return -1;
    pthread_mutex_lock(&w->secrets);
    w->inbound = fresh->inbound.auth;
    w->receipt = fresh->receipt.auth;
    tokens_take(w, fresh);
    pthread_mutex_unlock(&w->secrets);
    return 0;
}

/* -- closing ------------------------------------------------------------------------------------------------------- */

void web_quiesce(struct web *w)
{
    w->quiet = true;
    for (int i = 0; i < LISTENER_COUNT; i++) {
        struct web_listener *l = &w->listeners[i];
        if (l->daemon && MHD_quiesce_daemon(l->daemon) != MHD_INVALID_SOCKET)
            shutdown(l->fd, SHUT_RDWR); /* refused at once; closed when the daemon has ended */
    }
}

void web_close(struct web *w)
{
    if (!w)
        return;
    web_quiesce(w);
    web_settle(w, SETTLE_MS);
    pages_stop(w->desk); /* its last pages resume whoever waits for them */
    pthread_mutex_lock(&w->lock);
    w->closing = true;
    pthread_mutex_unlock(&w->lock);
    reaper_stop(w); /* its last round resumes whoever waits */
    for (int i = 0; i < LISTENER_COUNT; i++) {
        if (w->listeners[i].daemon)
            MHD_stop_daemon(w->listeners[i].daemon);
        if (w->listeners[i].fd >= 0)
            close(w->listeners[i].fd);
    }
    assert(!w->visits);
    pages_close(w->desk);
    tls_unload();
    pthread_cond_destroy(&w->changed);
    pthread_mutex_destroy(&w->lock);
    pthread_mutex_destroy(&w->secrets);
    if (w->fhir_tokens)
        sodium_memzero(w->fhir_tokens, w->config->n_clinics * sizeof *w->fhir_tokens);
    free(w->fhir_tokens);
    sodium_memzero(w, sizeof *w);
    free(w);
}
