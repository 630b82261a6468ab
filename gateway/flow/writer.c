/* The writer: one thread, one queue, one writing connection.
 *
 *     web, sender, desk ──flow_submit──▶ queue ──batch of ≤128──▶ decide, write, commit ──▶ done(job)
 *                                          ▲
 *                       clock ──looks_collect
 *
 * While the queue is empty the thread sleeps until the next due time, at most a second, so that what a command has
 * committed beside it is noticed.
 */
#include "gateway/flow/inside.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "gateway/folder.h"

enum { SLEEP_MS = 1000, STEP_SLEEP_MS = 2, LEFT_MS = 20, SEEN_EVERY_MS = 250 };

void job_free(struct job *job)
{
    if (!job)
        return;
    if (job->kind == JOB_TEXT)
        free(job->text.body);
    if (job->kind == JOB_ROSTER)
        free(job->roster.list);
    if (job->kind == JOB_CALL && job->call.forget)
        job->call.forget(job->call.what);
    if (job->kind == JOB_LOOK || job->kind == JOB_ALERT || job->kind == JOB_OVERDUE)
        free(job->look.outgoing);
    free(job);
}

/* -- the queue ------------------------------------------------------------------------------------------------------------ */

static void unstored(struct job *job)
{
    job->result = JOB_UNSTORED;
    if (job->done)
        job->done(job);
    else
        job_free(job);
}

void flow_submit(struct flow *f, struct job *job)
{
    job->next = NULL;
    pthread_mutex_lock(&f->lock);
    bool refused = f->stopping || !f->started;
    if (!refused) {
        if (!f->first)
            f->oldest_ms = clock_real_ms();
        *f->last = job;
        f->last = &job->next;
        f->queued++;
        pthread_cond_signal(&f->woken);
    }
    pthread_mutex_unlock(&f->lock);
    if (refused)
        unstored(job);
}

/* Takes up to BATCH_JOBS; a clock job becomes the writer's own. The lock is held. */
static struct job *queue_take(struct flow *f, size_t *n)
{
    struct job *list = NULL, **tail = &list;
    *n = 0;
    while (f->first && *n < BATCH_JOBS) {
        struct job *job = f->first;
        f->first = job->next;
        job->next = NULL;
        f->queued--;
        if (job->kind == JOB_TEXT || job->kind == JOB_ACTION)
            f->asked_ms = clock_real_ms();
        if (job->kind == JOB_CLOCK && !f->clock_job) {
            f->clock_job = job;
            continue;
        }
        *tail = job;
        tail = &job->next;
        ++*n;
    }
    if (!f->first)
        f->last = &f->first;
    f->oldest_ms = f->first ? clock_real_ms() : 0;
    return list;
}

static void wait_for_work(struct flow *f)
{
    int64_t ms = SLEEP_MS;
    if (rest_left_ms(f) > 0)
        ms = rest_left_ms(f) < SLEEP_MS ? rest_left_ms(f) : SLEEP_MS;
    else if (f->clock_job)
        ms = STEP_SLEEP_MS;
    else if (!clock_stepped() && f->next_due != INSTANT_NONE && f->next_due <= clock_now())
        ms = f->left ? LEFT_MS : 0; /* what another gateway has in hand is soon due no more */
    struct timespec until;
    clock_gettime(CLOCK_MONOTONIC, &until);
    until.tv_nsec += (ms % 1000) * 1000000;
    until.tv_sec += ms / 1000 + until.tv_nsec / 1000000000;
    until.tv_nsec %= 1000000000;
    while (!f->first && !f->stopping && ms > 0)
        if (pthread_cond_timedwait(&f->woken, &f->lock, &until) == ETIMEDOUT)
            break;
}

/* -- the thread --------------------------------------------------------------------------------------------------------- */

static void use_next_texts(struct flow *f)
{
    pthread_mutex_lock(&f->lock);
    struct texts *next = f->next_texts;
    f->next_texts = NULL;
    pthread_mutex_unlock(&f->lock);
    if (!next)
        return;
    texts_close(f->owned_texts);
    f->texts = f->owned_texts = next;
}

static struct job *joined(struct job *a, struct job *b)
{
    struct job **tail = &a;
    while (*tail)
        tail = &(*tail)->next;
    *tail = b;
    return a;
}

/* Whether another process has committed since we last looked. */
static bool others_committed(struct flow *f)
{
    int64_t version = f->seen_version, now_ms = clock_real_ms();
    if (!f->clock_job && f->seen_ms && now_ms - f->seen_ms < SEEN_EVERY_MS)
        return false;
    f->seen_ms = now_ms;
    if (db_changed(f->db, &version) < 0 || version == f->seen_version)
        return false;
    f->seen_version = version;
    return true;
}

/* While somebody waits for answers a batch has few looks, so that it is soon committed; with nobody there, as many as fit. */
static size_t looks_room(const struct flow *f)
{
    return clock_real_ms() - f->asked_ms < ASKED_LATELY_MS ? BATCH_LOOKS : BATCH_JOBS;
}

/* Nothing is due and the last commit failed: whether the next would. */
static void round_probe(struct flow *f)
{
    int error = rest_probe(f);
    if (error)
        rest_begin(f, rest_needed(error) ? error : STORE_IO);
    else
        rest_end(f);
    pthread_mutex_lock(&f->lock);
    f->figures.failing = error != 0;
    if (!error)
        f->figures.last_commit_ms = clock_real_ms();
    pthread_mutex_unlock(&f->lock);
}

/* What is due joins what was asked, unless the store rests. */
static void round_collect(struct flow *f, struct job **jobs, size_t *n)
{
    int64_t now = clock_now();
    struct job *due = NULL;
    size_t looks = 0;
    if (f->next_due == INSTANT_NONE || f->next_due > now || rest_left_ms(f) > 0)
        return;
    int error = looks_collect(f, now, looks_room(f), &due, &looks);
    if (error)
        rest_begin(f, STORE_IO); /* whatever it was: not all that is due is here */
    *jobs = joined(due, *jobs);
    *n += looks;
}

/* One round: what was asked, and what is due. True when there may be more to do at this instant. */
static bool round_once(struct flow *f, struct job *jobs, size_t n)
{
    bool was_due = f->next_due != INSTANT_NONE && f->next_due <= clock_now();
    if (others_committed(f)) {
        f->next_due = clock_now(); /* a command may have made something due, or written to the outbox */
        was_due = true;
        if (f->wake)
            f->wake(f->wake_context);
    }
    round_collect(f, &jobs, &n);
    if (n > 0)
        batch_commit(f, jobs, n);
    else if (f->rest_ms && rest_left_ms(f) == 0)
        round_probe(f);
    if ((n > 0 || was_due) && due_next(f->db, &f->next_due) < 0) {
        f->next_due = clock_now();
        rest_begin(f, STORE_IO);
    }
    return n > 0 || f->rest_ms > 0;
}

static void clock_finish(struct flow *f)
{
    struct job *job = f->clock_job;
    f->clock_job = NULL;
    if (job->done)
        job->done(job);
    else
        job_free(job);
}

static void *writer_thread(void *context)
{
    struct flow *f = context;
    for (;;) {
        size_t n = 0;
        pthread_mutex_lock(&f->lock);
        wait_for_work(f);
        struct job *jobs = queue_take(f, &n);
        bool over = f->stopping && !jobs;
        pthread_mutex_unlock(&f->lock);
        if (over)
            break;
        use_next_texts(f);
        bool more = round_once(f, jobs, n);
        watch_look(f);
        retain_look(f);
        if (f->clock_job && !more && clockwork_step(f))
            clock_finish(f);
    }
    if (f->clock_job) {
        f->clock_job->result = JOB_UNSTORED;
        clock_finish(f);
    }
    return NULL;
}

/* -- opening and closing ------------------------------------------------------------------------------------------------ */

int flow_open(struct flow **out, const struct config *config, const struct texts *texts, char *why, size_t why_size)
{
    struct flow *f = calloc(1, sizeof *f);
    int64_t largest = 0;
    if (!f) {
        snprintf(why, why_size, "out of memory");
        return -1;
    }
    f->config = config;
    f->texts = texts;
    f->last = &f->first;
    f->next_due = 0; /* look at once */
    f->target_told = INSTANT_NONE;
    pthread_condattr_t monotonic;
    pthread_condattr_init(&monotonic);
    pthread_condattr_setclock(&monotonic, CLOCK_MONOTONIC);
    pthread_mutex_init(&f->lock, NULL);
    pthread_cond_init(&f->woken, &monotonic);
    pthread_condattr_destroy(&monotonic);
    if (words_open(&f->parser, config->words, why, why_size) < 0 ||
        db_open(&f->db, config->state, DB_SERVE, why, why_size) < 0)
        goto failed;
    int error = config->stepped ? clockwork_start(f) : 0;
    if (!error)
        error = db_largest_id(f->db, &largest);
    if (error) {
        snprintf(why, why_size, "%s: %s: the database cannot be read", config->state, store_error_name(error));
        goto failed;
    }
    ids_start(ids_salt(db_gateway(f->db)), largest);
    *out = f;
    return 0;
failed:
    flow_close(f);
    return -1;
}

int flow_start(struct flow *f)
{
    f->started = true;
    if (pthread_create(&f->thread, NULL, writer_thread, f) == 0)
        return 0;
    f->started = false;
    return -1;
}

void flow_stop(struct flow *f)
{
    if (!f->started)
        return;
    pthread_mutex_lock(&f->lock);
    f->stopping = true;
    pthread_cond_signal(&f->woken);
    pthread_mutex_unlock(&f->lock);
    pthread_join(f->thread, NULL);
    pthread_mutex_lock(&f->lock); /* others may still submit */
    f->started = false;
    pthread_mutex_unlock(&f->lock);
}

void flow_close(struct flow *f)
{
    if (!f)
        return;
    flow_stop(f);
    db_close(f->db);
    parser_close(f->parser);
    texts_close(f->owned_texts);
    texts_close(f->next_texts);
    pthread_mutex_destroy(&f->lock);
    pthread_cond_destroy(&f->woken);
    free(f);
}

void flow_on_outbox(struct flow *f, void (*wake)(void *context), void *context)
{
    f->wake = wake;
    f->wake_context = context;
}

void flow_on_trouble(struct flow *f, void (*tell)(void *context, const char *body), void *context)
{
    f->tell = tell;
    f->tell_context = context;
}

void flow_ask_sender(struct flow *f, bool (*busy)(void *context, int64_t now), void *context)
{
    f->sender_busy = busy;
    f->sender_context = context;
}

void flow_use_texts(struct flow *f, struct texts *texts)
{
    pthread_mutex_lock(&f->lock);
    struct texts *unused = f->next_texts;
    f->next_texts = texts;
    pthread_mutex_unlock(&f->lock);
    texts_close(unused);
}

void flow_figures(struct flow *f, struct flow_figures *out)
{
    pthread_mutex_lock(&f->lock);
    *out = f->figures;
    out->queue = f->queued;
    out->oldest_queued_ms = f->queued ? clock_real_ms() - f->oldest_ms : 0;
    pthread_mutex_unlock(&f->lock);
}
