/* Desk: threads that make pages, and the way of a request to them and back.
 *
 *     listener ──desk_handle──▶ queue ──▶ page thread: page_run ──▶ job->done ──▶ listener: page_finish
 *
 * The listener's thread copies what was asked and sends what was made; it never reads the database nor hashes. Passwords
 * have one thread of their own: each takes 64 MiB and some 50 ms. A page is 1–20 ms.
 */
#include "gateway/web/desk/room.h"

#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

/* -- answering, on the listener's thread ---------------------------------------------------------------------------------- */

/* What every answer of the desk carries. */
static void headers_add(struct request *r, bool own_style)
{
    static const char *const headers[][2] = {
        {"X-Frame-Options", "DENY"},
        {"Referrer-Policy", "same-origin"},
        {"Cross-Origin-Opener-Policy", "same-origin"},
        {"Cross-Origin-Resource-Policy", "same-origin"},
        {"Permissions-Policy", "camera=(), geolocation=(), microphone=()"},
    };
    for (size_t i = 0; i < sizeof headers / sizeof *headers; i++)
        request_answer_header(r, headers[i][0], headers[i][1]);
    const struct desk *d = r->web->desk;
    request_answer_header(r, "Content-Security-Policy", own_style ? d->print_policy : d->policy);
    if (config_https(r->web->config))
        request_answer_header(r, "Strict-Transport-Security", "max-age=31536000");
}

static void page_finish(struct request *r)
{
    struct page *p = r->job && r->job->result == JOB_STORED ? r->job->call.what : NULL;
    if (!p || p->out.failed) {
        request_unstored(r);
        headers_add(r, false);
        return;
    }
    request_answer(r, p->status, p->type, p->out.n ? p->out.at : "", p->out.n);
    headers_add(r, p->own_style);
    for (int i = 0; i < p->n_headers; i++)
        request_answer_header(r, p->headers[i].name, p->headers[i].value);
}

static void page_forget(void *what)
{
    struct page *p = what;
    ask_clear(&p->ask);
    buffer_clear(&p->out);
    sodium_memzero(p, sizeof *p);
    free(p);
}

static int page_call(struct db *db, int64_t now, void *what)
{
    struct page *p = what;
    p->db = db;
    p->now = now;
    page_run(p);
    p->db = NULL;
    return 0;
}

/* -- handing over ------------------------------------------------------------------------------------------------------------- */

static void give_back(struct job *job, enum job_result result)
{
    job->result = result;
    job->done(job);
}

static void crew_take(void *context, struct job *job)
{
    struct crew *c = context;
    pthread_mutex_lock(&c->desk->lock);
    bool room = !c->desk->stopped && c->waiting < c->most;
    if (room) {
        job->next = NULL;
        *c->last = job;
        c->last = &job->next;
        c->waiting++;
        pthread_cond_signal(&c->woken);
    }
    pthread_mutex_unlock(&c->desk->lock);
    if (!room)
        give_back(job, JOB_UNSTORED);
}

static struct page *page_new(struct request *r)
{
    struct page *p = calloc(1, sizeof *p);
    if (!p)
        return NULL;
    p->desk = r->web->desk;
    p->config = r->web->config;
    p->status = MHD_HTTP_OK;
    p->type = "text/html; charset=utf-8";
    buffer_init(&p->out, ANSWER_BYTES);
    if (ask_read(&p->ask, r))
        return p;
    page_forget(p);
    return NULL;
}

void desk_handle(struct request *r)
{
    unsigned allow;
    struct page *p = page_new(r);
    struct job *job = p ? request_job(r, JOB_CALL) : NULL;
    if (!job) {
        if (p)
            page_forget(p);
        else
            request_unstored(r);
        return;
    }
    job->call.call = page_call;
    job->call.what = p;
    job->call.forget = page_forget;
    p->route = page_route_find(p->ask.path, p->ask.method, p->ids, &allow);
    struct desk *d = r->web->desk;
    request_wait_on(r, job, page_finish, crew_take, p->route && p->route->hashes ? &d->hashes : &d->pages);
}

void desk_lend(struct request *r, struct job *job, void (*finish)(struct request *r))
{
    request_wait_on(r, job, finish, crew_take, &r->web->desk->pages);
}

/* -- the threads ----------------------------------------------------------------------------------------------------------- */

static struct job *crew_next(struct crew *c)
{
    struct desk *d = c->desk;
    pthread_mutex_lock(&d->lock);
    while (!c->first && !d->stopped)
        pthread_cond_wait(&c->woken, &d->lock);
    struct job *job = c->first;
    if (job) {
        c->first = job->next;
        c->waiting--;
        if (!c->first)
            c->last = &c->first;
    }
    pthread_mutex_unlock(&d->lock);
    return job;
}

/* One page in one snapshot. */
static enum job_result job_run(struct db *db, struct job *job)
{
    if (!db || db_begin(db))
        return JOB_UNSTORED;
    job->call.call(db, clock_now(), job->call.what);
    db_rollback(db);
    return JOB_STORED;
}

static void *crew_thread(void *context)
{
    struct crew *c = context;
    struct db *db = NULL;
    char why[256];
    for (struct job *job; (job = crew_next(c));) {
        if (!db && db_open(&db, c->desk->config->state, DB_READ, why, sizeof why))
            log_event(LOG_ERROR, "desk", "%s", why);
        give_back(job, c->desk->stopped ? JOB_UNSTORED : job_run(db, job));
    }
    db_close(db);
    return NULL;
}

static int crew_start(struct crew *c, struct desk *d, int threads, int most)
{
    *c = (struct crew){.desk = d, .most = most};
    c->last = &c->first;
    pthread_cond_init(&c->woken, NULL);
    for (int i = 0; i < threads; i++)
        if (pthread_create(&c->threads[c->n_threads], NULL, crew_thread, c) == 0)
            c->n_threads++;
    return c->n_threads ? 0 : -1;
}

static void crew_stop(struct crew *c)
{
    for (int i = 0; i < c->n_threads; i++)
        pthread_join(c->threads[i], NULL);
    c->n_threads = 0;
}

/* -- opening and closing ----------------------------------------------------------------------------------------------------- */

/* "https://desk.example.org/x" → "https://desk.example.org" and "desk.example.org". */
static void addresses_read(struct desk *d)
{
    const char *url = d->config->public_url, *host = strstr(url, "://");
    size_t scheme = host ? (size_t)(host - url) + 3 : 0;
    snprintf(d->authority, sizeof d->authority, "%.*s", (int)strcspn(url + scheme, "/?#"), url + scheme);
    snprintf(d->origin, sizeof d->origin, "%.*s%s", (int)scheme, url, d->authority);
}

/* Nothing from elsewhere, no script or style within a page; but for the report's own page, whose one style sheet is known by
 * its hash (CSP level 2, section 4.2.5). */
static void policies_make(struct desk *d)
{
    static const char frame[] = "form-action 'self'; base-uri 'none'; frame-ancestors 'none'";
    unsigned char hash[crypto_hash_sha256_BYTES];
    char base64[64];
    crypto_hash_sha256_state state;
    crypto_hash_sha256_init(&state);
    crypto_hash_sha256_update(&state, (const unsigned char *)"\n", 1);
    crypto_hash_sha256_update(&state, (const unsigned char *)html_style, strlen(html_style));
    crypto_hash_sha256_final(&state, hash);
    sodium_bin2base64(base64, sizeof base64, hash, sizeof hash, sodium_base64_VARIANT_ORIGINAL);
    snprintf(d->policy, sizeof d->policy, "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; %s", frame);
    snprintf(d->print_policy, sizeof d->print_policy, "default-src 'none'; style-src 'sha256-%s'; %s", base64, frame);
}

static char *style_make(void)
{
    struct buffer b;
    buffer_init(&b, ANSWER_BYTES);
    buffer_text(&b, html_style);
    buffer_text(&b, desk_style);
    return buffer_take(&b);
}

int pages_open(struct desk **out, struct web *w)
{
    struct desk *d = *out = calloc(1, sizeof *d);
    if (!d)
        return -1;
    d->web = w;
    d->config = w->config;
    pthread_mutex_init(&d->lock, NULL);
    pthread_cond_init(&d->done, NULL);
    randombytes_buf(&d->throttle.salt, sizeof d->throttle.salt);
    addresses_read(d);
    policies_make(d);
    d->style = style_make();
    if (!d->style || crew_start(&d->pages, d, PAGE_THREADS, QUEUE_MAX))
        return -1;
    return crew_start(&d->hashes, d, 1, HASHES_WAITING_MAX);
}

void pages_stop(struct desk *d)
{
    if (!d)
        return;
    pthread_mutex_lock(&d->lock);
    d->stopped = true;
    if (d->pages.desk)
        pthread_cond_broadcast(&d->pages.woken);
    if (d->hashes.desk)
        pthread_cond_broadcast(&d->hashes.woken);
    pthread_mutex_unlock(&d->lock);
    crew_stop(&d->pages);
    crew_stop(&d->hashes);
}

void pages_close(struct desk *d)
{
    if (!d)
        return;
    pages_stop(d);
    pthread_mutex_destroy(&d->lock);
    pthread_cond_destroy(&d->done);
    free(d->style);
    sodium_memzero(d, sizeof *d);
    free(d);
}
