/* The sender's thread: runs transfers, hands results to the writer, sleeps until woken.
 *
 * It must not lose a result: what the writer could not store is reported again until it is, and meanwhile its row is not
 * taken a second time. Idle it wakes once a second.
 */
#include "gateway/send/inside.h"

#include <stdlib.h>
#include <string.h>

enum { CROWDED_MS = 20 }; /* while per_second holds texts back, other channels are looked at this often */

int64_t sender_now(struct sender *s)
{
    pthread_mutex_lock(&s->lock);
    int64_t asked = s->asked_now;
    pthread_mutex_unlock(&s->lock);
    int64_t now = clock_now();
    return clock_stepped() && asked > now ? asked : now;
}

uint64_t sender_reap(struct sender *s)
{
    struct attempt *settled = NULL;
    pthread_mutex_lock(&s->lock);
    for (struct attempt **at = &s->attempts; *at;) {
        struct attempt *a = *at;
        if (a->state != ATTEMPT_SETTLED) {
            at = &a->next;
            continue;
        }
        *at = a->next;
        a->next = settled;
        settled = a;
    }
    uint64_t generation = s->generation;
    pthread_mutex_unlock(&s->lock);
    while (settled) {
        struct attempt *a = settled;
        settled = a->next;
        a->route->in_flight--;
        attempt_free(a);
    }
    return generation;
}

/* The writer's thread, after commit or failure. The attempt is the sender's to free: nothing here after the lock. */
static void attempt_done(struct job *job)
{
    struct attempt *a = job->owner;
    struct sender *s = a->sender;
    pthread_mutex_lock(&s->lock);
    if (job->result == JOB_UNSTORED) {
        a->state = ATTEMPT_UNSTORED;
        a->again_ms = clock_real_ms() + REPORT_AGAIN_MS;
    } else {
        a->state = ATTEMPT_SETTLED;
        s->unsettled--;
        s->generation++;
    }
    curl_multi_wakeup(s->multi);
    pthread_mutex_unlock(&s->lock);
}

/* What others may ask, after a result: figures and the next probe. */
static void sender_publish(struct sender *s, const struct attempt *a)
{
    struct sender_figures *f = &s->figures;
    pthread_mutex_lock(&s->lock);
    f->in_flight = s->running;
    f->sent += a->job.sent.result == SENT_OK;
    f->failed += a->job.sent.result != SENT_OK;
    f->route_broken = false;
    f->route[0] = 0;
    s->next_probe = INSTANT_NONE;
    for (size_t i = s->n_routes; i-- > 0;) {
        const struct route *r = s->routes[i];
        if (!r->broken)
            continue;
        f->route_broken = true;
        snprintf(f->route, sizeof f->route, "%s", r->name);
        if (s->next_probe == INSTANT_NONE || r->probe_at < s->next_probe)
            s->next_probe = r->probe_at;
    }
    pthread_mutex_unlock(&s->lock);
}

static void attempt_report(struct sender *s, struct attempt *a)
{
    pthread_mutex_lock(&s->lock);
    a->state = a->straight ? ATTEMPT_SETTLED : ATTEMPT_REPORTED;
    s->unsettled -= a->straight;
    s->generation += a->straight;
    pthread_mutex_unlock(&s->lock);
    if (a->straight) {
        log_event(LOG_INFO, "told", "route=%s result=%d", a->route->name, a->job.sent.result);
        return;
    }
    a->job.next = NULL;
    a->job.done = attempt_done;
    flow_submit(s->flow, &a->job);
}

/* `ran`: it was outside. A text that cannot even be asked for says nothing of its route. */
static void attempt_finish(struct sender *s, struct attempt *a, bool ran)
{
    if (ran || a->job.sent.result != SENT_PERMANENT)
        route_judge(a, sender_now(s));
    attempt_release(a);
    sender_publish(s, a);
    attempt_report(s, a);
}

void sender_begin(struct sender *s, struct attempt *a)
{
    a->next = s->attempts;
    s->attempts = a;
    a->route->in_flight++;
    pthread_mutex_lock(&s->lock);
    s->unsettled++;
    s->figures.attempts++;
    pthread_mutex_unlock(&s->lock);
    bool ready = attempt_prepare(a);
    if (ready && curl_multi_add_handle(s->multi, a->easy))
        ready = attempt_ended(a, SENT_PASSING, "out of memory");
    if (!ready) {
        attempt_finish(s, a, false);
        return;
    }
    pthread_mutex_lock(&s->lock);
    s->figures.in_flight = ++s->running;
    pthread_mutex_unlock(&s->lock);
}

static void sender_harvest(struct sender *s)
{
    int left;
    for (CURLMsg *m; (m = curl_multi_info_read(s->multi, &left));) {
        struct attempt *a = NULL;
        CURLcode code = m->data.result;
        if (m->msg != CURLMSG_DONE || curl_easy_getinfo(m->easy_handle, CURLINFO_PRIVATE, &a))
            continue;
        attempt_judge(a, code);
        curl_multi_remove_handle(s->multi, a->easy);
        s->running--;
        attempt_finish(s, a, true);
    }
}

/* Reports what is due to be reported again; milliseconds until the next, at most LOOK_EVERY_MS. */
static int sender_report_again(struct sender *s)
{
    int64_t now_ms = clock_real_ms(), wait = LOOK_EVERY_MS;
    for (struct attempt *a = s->attempts; a; a = a->next) {
        pthread_mutex_lock(&s->lock);
        bool unstored = a->state == ATTEMPT_UNSTORED;
        int64_t again = a->again_ms;
        pthread_mutex_unlock(&s->lock);
        if (unstored && again <= now_ms)
            attempt_report(s, a);
        else if (unstored && again - now_ms < wait)
            wait = again - now_ms;
    }
    return (int)wait;
}

/* Milliseconds until the outbox must be looked at; 0: now. */
static int look_wait(struct sender *s)
{
    int64_t now_ms = clock_real_ms(), at = s->looked_ms + LOOK_EVERY_MS;
    pthread_mutex_lock(&s->lock);
    bool fresh = s->looked_generation != s->generation;
    pthread_mutex_unlock(&s->lock);
    if (fresh)
        at = s->room_at_ms < 0 ? now_ms : s->looked_ms + CROWDED_MS;
    if (s->room_at_ms >= 0 && s->room_at_ms < at)
        at = s->room_at_ms;
    return at <= now_ms ? 0 : (int)(at - now_ms);
}

/* Whether the thread may end: nothing runs any more, or its time is over. *wait_ms until then. */
static bool sender_stopped(struct sender *s, bool *stopping, int *wait_ms)
{
    int64_t now_ms = clock_real_ms();
    pthread_mutex_lock(&s->lock);
    *stopping = s->stopping;
    int64_t left = s->stop_ms - now_ms;
    pthread_mutex_unlock(&s->lock);
    if (!*stopping)
        return false;
    *wait_ms = left > LOOK_EVERY_MS ? LOOK_EVERY_MS : (int)left;
    return !s->running || left <= 0;
}

static void sender_cut_off(struct sender *s)
{
    for (struct attempt *a = s->attempts; a; a = a->next)
        if (a->easy) {
            curl_multi_remove_handle(s->multi, a->easy);
            attempt_release(a);
        }
}

static void *sender_run(void *context)
{
    struct sender *s = context;
    for (;;) {
        bool stopping = false;
        int running, wait_ms = 0;
        curl_multi_perform(s->multi, &running);
        sender_harvest(s);
        if (sender_stopped(s, &stopping, &wait_ms))
            break;
        if (!stopping) {
            straight_begin(s);
            int report_ms = sender_report_again(s);
            wait_ms = look_wait(s);
            if (!wait_ms) {
                sender_look(s);
                continue;
            }
            if (report_ms < wait_ms)
                wait_ms = report_ms;
        }
        curl_multi_poll(s->multi, NULL, 0, wait_ms, NULL);
    }
    sender_cut_off(s);
    return NULL;
}

int sender_open(struct sender **out, const struct config *config, struct flow *flow, char *why, size_t why_size)
{
    struct sender *s = calloc(1, sizeof *s);
    int bad = -1;
    *out = NULL;
    if (!s || pthread_mutex_init(&s->lock, NULL)) {
        snprintf(why, why_size, "out of memory");
        free(s);
        return -1;
    }
    s->config = config;
    s->flow = flow;
    s->generation = 1;
    s->idle_now = s->asked_now = s->next_probe = INSTANT_NONE;
    s->room_at_ms = -1;
    const char *trust = getenv("SSL_CERT_FILE");
    snprintf(s->trust, sizeof s->trust, "%s", trust ? trust : "");
    rate_open(&s->rate, config->outbound.per_second, clock_real_ms());
    snprintf(why, why_size, "out of memory");
    if (curl_global_init(CURL_GLOBAL_DEFAULT) || !(s->multi = curl_multi_init()) ||
        !(s->rows = calloc(TAKE_MAX, sizeof *s->rows)) || routes_open(s))
        goto out;
    curl_multi_setopt(s->multi, CURLMOPT_MAXCONNECTS, (long)s->routes[0]->most + 32);
    bad = db_open(&s->db, config->state, DB_TAKE, why, why_size);
out:
    if (bad)
        sender_close(s);
    else
        *out = s;
    return bad ? -1 : 0;
}

int sender_start(struct sender *s)
{
    if (pthread_create(&s->thread, NULL, sender_run, s))
        return -1;
    s->started = true;
    return 0;
}

void sender_wake(void *sender)
{
    struct sender *s = sender;
    pthread_mutex_lock(&s->lock);
    s->generation++;
    pthread_mutex_unlock(&s->lock);
    curl_multi_wakeup(s->multi);
}

bool sender_busy(void *sender, int64_t now)
{
    struct sender *s = sender;
    pthread_mutex_lock(&s->lock);
    bool later = now > s->asked_now;
    if (later) { /* an instant that no look has seen yet */
        s->asked_now = now;
        s->generation++;
    }
    bool busy = s->unsettled > 0 || s->idle_generation != s->generation || s->idle_now < now;
    pthread_mutex_unlock(&s->lock);
    if (later)
        curl_multi_wakeup(s->multi);
    return busy;
}

int64_t sender_next_probe(struct sender *s)
{
    pthread_mutex_lock(&s->lock);
    int64_t at = s->next_probe;
    pthread_mutex_unlock(&s->lock);
    return at;
}

void sender_reload(struct sender *s, const struct config *config)
{
    pthread_mutex_lock(&s->lock);
    route_secrets(s, config);
    pthread_mutex_unlock(&s->lock);
}

void sender_stop(struct sender *s, int ms)
{
    if (!s || !s->started)
        return;
    pthread_mutex_lock(&s->lock);
    s->stopping = true;
    s->stop_ms = clock_real_ms() + ms;
    pthread_mutex_unlock(&s->lock);
    curl_multi_wakeup(s->multi);
    pthread_join(s->thread, NULL);
    s->started = false;
}

void sender_close(struct sender *s)
{
    if (!s)
        return;
    sender_stop(s, 0);
    while (s->attempts) {
        struct attempt *a = s->attempts;
        s->attempts = a->next;
        attempt_free(a);
    }
    curl_multi_cleanup(s->multi);
    routes_close(s);
    free(s->told);
    db_close(s->db);
    free(s->rows);
    pthread_mutex_destroy(&s->lock);
    free(s);
}

void sender_figures(struct sender *s, struct sender_figures *out)
{
    pthread_mutex_lock(&s->lock);
    *out = s->figures;
    pthread_mutex_unlock(&s->lock);
}

void sender_on_summary(struct sender *s, render_summary *render, void *context)
{
    s->render = render;
    s->render_context = context;
}
