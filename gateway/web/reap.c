/* Reap: cuts the line of whoever is slower than its budget, and frees those that wait for a writer who does not come.
 *
 * libmicrohttpd's own timeout begins anew with every byte, so that 120 clients dripping one byte a second would keep
 * everybody out; here a request has one budget for the whole. The reaper only ever calls shutdown(2): the socket stays
 * libmicrohttpd's, which notices and closes it. It must never touch a visit that is suspended. It looks ten times a
 * second at no more than 240 visits.
 */
#include <linux/tcp.h>
#include <netinet/in.h>
#include <poll.h>
#include <stddef.h>
#include <stdlib.h>
#include <sys/socket.h>
#include <time.h>

#include "gateway/web/room.h"

/* Of 120 places a listener. A carrier's first bytes follow its connection at once: they are there when it has waited in the
 * kernel's queue. */
enum { CROWD = 100, CROWDED_MS = 1000, CROWDED_SILENT_MS = 100 };

struct visit *visit_begin(struct web *w, int fd)
{
    struct visit *v = calloc(1, sizeof *v);
    if (!v)
        return NULL;
    pthread_mutex_lock(&w->lock);
    v->fd = fd;
    v->began_ms = clock_real_ms();
    v->until_ms = v->began_ms + w->limits.head;
    v->next = w->visits;
    if (v->next)
        v->next->before = v;
    w->visits = v;
    pthread_mutex_unlock(&w->lock);
    w->open_visits++;
    return v;
}

void visit_end(struct web *w, struct visit *v)
{
    if (!v)
        return;
    pthread_mutex_lock(&w->lock);
    if (v->before)
        v->before->next = v->next;
    else
        w->visits = v->next;
    if (v->next)
        v->next->before = v->before;
    pthread_cond_broadcast(&w->changed);
    pthread_mutex_unlock(&w->lock);
    w->open_visits--;
    free(v);
}

static void visit_set(struct web *w, struct visit *v, int64_t began_ms, int64_t until_ms, bool answering)
{
    pthread_mutex_lock(&w->lock);
    if (v->answering && !answering)
        pthread_cond_broadcast(&w->changed);
    v->began_ms = began_ms;
    v->until_ms = until_ms;
    v->answering = answering;
    v->shut_ms = 0;
    pthread_mutex_unlock(&w->lock);
}

void visit_head(struct web *w, struct visit *v)
{
    visit_set(w, v, v->began_ms, v->began_ms + w->limits.whole, false);
}

void visit_whole(struct web *w, struct visit *v)
{
    visit_set(w, v, v->began_ms, INT64_MAX, true);
}

void visit_answer(struct web *w, struct visit *v)
{
    visit_set(w, v, v->began_ms, clock_real_ms() + w->limits.answer, true);
}

/* When the next request really begins is not told by libmicrohttpd: its budget runs from here. */
void visit_idle(struct web *w, struct visit *v)
{
    int64_t now_ms = clock_real_ms();
    visit_set(w, v, now_ms, now_ms + w->limits.head, false);
}

/* Takes one that has waited too long, or any when the room closes. Under the lock. */
static struct request *overdue_take(struct web *w, int64_t now_ms)
{
    for (struct visit *v = w->visits; v; v = v->next) {
        struct request *r = v->waiting;
        if (r && (now_ms >= r->wait_until_ms || w->closing)) {
            r->waiting = false;
            r->abandoned = true;
            v->waiting = NULL;
            return r;
        }
    }
    return NULL;
}

static bool visit_silent(const struct visit *v)
{
    struct tcp_info info = {0};
    socklen_t size = sizeof info;
    return !getsockopt(v->fd, IPPROTO_TCP, TCP_INFO, &info, &size) &&
           size >= offsetof(struct tcp_info, tcpi_bytes_received) + sizeof info.tcpi_bytes_received &&
           info.tcpi_bytes_received == 0;
}

/* The far side has closed its half, for a while, and the request is not whole: nothing more can come. libmicrohttpd 0.9.75 does
 * not always notice. */
static bool visit_shut(const struct web *w, struct visit *v, int64_t now_ms)
{
    struct pollfd p = {.fd = v->fd, .events = POLLRDHUP};
    if (poll(&p, 1, 0) != 1 || !(p.revents & POLLRDHUP))
        return false;
    v->shut_ms = v->shut_ms ? v->shut_ms : now_ms;
    return now_ms >= v->shut_ms + w->limits.shut;
}

/* Whoever's request is not whole is cut sooner while places are scarce, and at once who has sent nothing: thousands of them must
 * not keep a carrier out for long. */
static bool visit_over(const struct web *w, struct visit *v, int64_t now_ms)
{
    bool awaited = !v->answering && v->until_ms != INT64_MAX;
    if (now_ms >= v->until_ms || (awaited && visit_shut(w, v, now_ms)))
        return true;
    if (!awaited || w->open_visits < CROWD)
        return false;
    return now_ms >= v->began_ms + CROWDED_MS || (now_ms >= v->began_ms + CROWDED_SILENT_MS && visit_silent(v));
}

static void reap_once(struct web *w)
{
    struct request *r;
    int64_t now_ms = clock_real_ms();
    for (struct visit *v = w->visits; v; v = v->next)
        if (visit_over(w, v, now_ms)) {
            shutdown(v->fd, SHUT_RDWR);
            v->until_ms = INT64_MAX;
            w->cut++;
        }
    while ((r = overdue_take(w, now_ms))) {
        pthread_mutex_unlock(&w->lock);
        w->slow++;
        request_abandon(r);
        pthread_mutex_lock(&w->lock);
    }
}

static void wait_ms(struct web *w, int ms)
{
    struct timespec until;
    int64_t at = clock_real_ms() + ms;
    until.tv_sec = at / 1000;
    until.tv_nsec = at % 1000 * 1000000;
    pthread_cond_timedwait(&w->changed, &w->lock, &until);
}

static void *reaper_run(void *arg)
{
    struct web *w = arg;
    pthread_mutex_lock(&w->lock);
    while (w->reaping) {
        reap_once(w);
        wait_ms(w, w->limits.tick);
    }
    pthread_mutex_unlock(&w->lock);
    return NULL;
}

int reaper_start(struct web *w)
{
    w->reaping = true;
    if (pthread_create(&w->reaper, NULL, reaper_run, w)) {
        w->reaping = false;
        return -1;
    }
    return 0;
}

void reaper_stop(struct web *w)
{
    pthread_mutex_lock(&w->lock);
    bool was = w->reaping;
    w->reaping = false;
    pthread_cond_broadcast(&w->changed);
    pthread_mutex_unlock(&w->lock);
    if (was)
        pthread_join(w->reaper, NULL);
    pthread_mutex_lock(&w->lock);
    reap_once(w); /* when the room closes: whoever still waits is resumed */
    pthread_mutex_unlock(&w->lock);
}

static bool answers_pending(const struct web *w)
{
    for (const struct visit *v = w->visits; v; v = v->next)
        if (v->answering)
            return true;
    return false;
}

void web_settle(struct web *w, int ms)
{
    int64_t until = clock_real_ms() + ms;
    pthread_mutex_lock(&w->lock);
    while (answers_pending(w) && clock_real_ms() < until)
        wait_ms(w, w->limits.tick);
    pthread_mutex_unlock(&w->lock);
}
