/* For the tests of gateway/send: an outbox in memory that keeps the contract of store/store.h, and a flow whose writer
 * commits results a moment later in its own thread.
 *
 * Time is the stepped clock: settle() returns when the sender says that nothing is left to try at this instant.
 */
#ifndef QUIETARM_TESTS_SEND_FAKE_H
#define QUIETARM_TESTS_SEND_FAKE_H

#include "tests/unit/send_far.h"

enum { FAKE_ROWS = 512, FAKE_PATIENCE_MS = 30000 };
static const int64_t FAKE_START = 1795503600; /* 2026-11-24T07:00:00Z */

/* -- the outbox -------------------------------------------------------------------------------------------------------- */

static struct outgoing fake_rows[FAKE_ROWS];
static size_t fake_n;
static int fake_reading_error;

int db_open(struct db **out, const char *folder, enum db_use use, char *why, size_t why_size)
{
    (void)folder, (void)use, (void)why, (void)why_size;
    *out = NULL;
    return 0;
}

void db_close(struct db *db)
{
    (void)db;
}

int outbox_lease(struct db *db, const struct outgoing *const *rows, size_t n, int64_t now, bool *ours)
{
    (void)db, (void)rows, (void)now;
    for (size_t i = 0; i < n; i++)
        ours[i] = true;
    return 0;
}

const char *store_error_name(int error)
{
    return error ? "error" : "none";
}

const struct target_config *config_target(const struct config *c, const char *name)
{
    for (size_t i = 0; i < c->n_targets; i++)
        if (!strcmp(c->targets[i].name, name))
            return &c->targets[i];
    return NULL;
}

int alert_of_copy(struct db *db, const struct outgoing *row, struct alert *alert, char ref[REF_MAX], int *time, bool *found)
{
    (void)db;
    *alert = (struct alert){.id = row->alert, .level = ALERT_EMERGENCY, .cause = "chest_pain", .at = FAKE_START};
    snprintf(ref, REF_MAX, "%s", row->person ? "P-0001" : "");
    *time = 2;
    *found = true;
    return 0;
}

static bool fake_before(const struct outgoing *a, const struct outgoing *b)
{
    if (a->class_ != b->class_)
        return a->class_ < b->class_;
    return a->due != b->due ? a->due < b->due : a->id < b->id;
}

static bool fake_is_busy(const struct busy_numbers *busy, const struct outgoing *row)
{
    for (size_t i = 0; i < busy->n; i++) {
        if (i && strcmp(busy->to[i - 1], busy->to[i]) > 0)
            abort(); /* must be sorted */
        if (!strcmp(busy->to[i], row->to))
            return true;
    }
    return busy->channels & 1u << row->channel;
}

int outbox_take(struct db *db, int64_t now, const struct busy_numbers *busy, struct outgoing *out, size_t max, size_t *n)
{
    (void)db;
    *n = 0;
    pthread_mutex_lock(&fake_lock);
    int error = fake_reading_error;
    while (!error && *n < max) {
        const struct outgoing *best = NULL;
        for (size_t i = 0; i < fake_n; i++) {
            const struct outgoing *row = &fake_rows[i];
            bool taken = row->state != OUTGOING_WAITING || row->due > now || fake_is_busy(busy, row);
            for (size_t k = 0; k < *n && !taken; k++)
                taken = !strcmp(out[k].to, row->to);
            if (!taken && (!best || fake_before(row, best)))
                best = row;
        }
        if (!best)
            break;
        out[(*n)++] = *best;
    }
    pthread_mutex_unlock(&fake_lock);
    return error;
}

/* -- the flow ---------------------------------------------------------------------------------------------------------- */

struct flow {
    pthread_t writer;
    struct job *first, **last;
    bool running, ended;
    int unstored, failures;    /* so many commits shall fail; have failed */
    int backoff;               /* seconds; what a passing failure is put off by */
    int results[4];            /* by enum sent_result */
    int retry_after;           /* of the last passing one */
    struct sender *sender;
};
static struct flow fake_flow;

void flow_submit(struct flow *f, struct job *job)
{
    pthread_mutex_lock(&fake_lock);
    job->next = NULL;
    *f->last = job;
    f->last = &job->next;
    pthread_cond_broadcast(&fake_changed);
    pthread_mutex_unlock(&fake_lock);
}

/* Under lock. */
static void fake_commit(struct flow *f, struct job *job)
{
    struct outgoing *row = NULL;
    job->result = f->unstored > 0 ? JOB_UNSTORED : JOB_STORED;
    if (f->unstored > 0) {
        f->unstored--;
        f->failures++;
        pthread_cond_broadcast(&fake_changed);
        return;
    }
    for (size_t i = 0; i < fake_n; i++)
        if (fake_rows[i].id == job->sent.outgoing)
            row = &fake_rows[i];
    f->results[job->sent.result]++;
    row->attempts++;
    snprintf(row->reason, sizeof row->reason, "%s", job->sent.reason);
    snprintf(row->carrier_id, sizeof row->carrier_id, "%s", job->sent.carrier_id);
    if (job->sent.result == SENT_OK)
        row->state = OUTGOING_SENT;
    else if (job->sent.result == SENT_PERMANENT)
        row->state = OUTGOING_FAILED;
    else
        row->due = clock_now() + (job->sent.result == SENT_PASSING ? f->backoff : 60);
    if (job->sent.result == SENT_PASSING)
        f->retry_after = job->sent.retry_after;
}

static void *fake_writer(void *context)
{
    struct flow *f = context;
    pthread_mutex_lock(&fake_lock);
    for (;;) {
        while (!f->first && !f->ended)
            pthread_cond_wait(&fake_changed, &fake_lock);
        struct job *job = f->first;
        if (!job)
            break;
        f->first = job->next;
        if (!f->first)
            f->last = &f->first;
        fake_commit(f, job);
        pthread_mutex_unlock(&fake_lock);
        job->done(job);
        sender_wake(f->sender);
        pthread_mutex_lock(&fake_lock);
    }
    pthread_mutex_unlock(&fake_lock);
    return NULL;
}

/* -- a test's world ---------------------------------------------------------------------------------------------------- */

static struct config fake_config;
static struct target_config fake_targets[2];
static struct sender *fake_sender;

static struct outgoing *row_add(enum outgoing_class class_, enum channel channel, const char *to, const char *body)
{
    pthread_mutex_lock(&fake_lock);
    assert_true(fake_n < FAKE_ROWS);
    struct outgoing *row = &fake_rows[fake_n++];
    *row = (struct outgoing){.id = (int64_t)fake_n, .class_ = class_, .channel = channel, .state = OUTGOING_WAITING,
                             .created = FAKE_START, .due = FAKE_START, .expires = INSTANT_NONE};
    snprintf(row->clinic, sizeof row->clinic, "maple");
    snprintf(row->to, sizeof row->to, "%s", to);
    snprintf(row->from, sizeof row->from, "+447700900001");
    snprintf(row->body, sizeof row->body, "%s", body);
    snprintf(row->key, sizeof row->key, "key-%zu", fake_n);
    pthread_mutex_unlock(&fake_lock);
    return row;
}

static inline struct outgoing *text_add(enum outgoing_class class_, int number, const char *body)
{
    char to[PHONE_MAX];
    snprintf(to, sizeof to, "+447700900%03d", number);
    return row_add(class_, CHANNEL_TEXT, to, body);
}

static void sender_up(void)
{
    char why[256] = "";
    assert_int_equal(sender_open(&fake_sender, &fake_config, &fake_flow, why, sizeof why), 0);
    fake_flow.sender = fake_sender;
}

static void sender_go(void)
{
    fake_flow.ended = false;
    fake_flow.first = NULL;
    fake_flow.last = &fake_flow.first;
    assert_int_equal(pthread_create(&fake_flow.writer, NULL, fake_writer, &fake_flow), 0);
    fake_flow.running = true;
    assert_int_equal(sender_start(fake_sender), 0);
}

static void sender_down(int ms)
{
    sender_stop(fake_sender, ms);
    pthread_mutex_lock(&fake_lock);
    fake_flow.ended = true;
    pthread_cond_broadcast(&fake_changed);
    pthread_mutex_unlock(&fake_lock);
    if (fake_flow.running)
        pthread_join(fake_flow.writer, NULL);
    fake_flow.running = false;
    sender_close(fake_sender);
    fake_sender = NULL;
}

/* Until nothing is left to be tried at this instant: a flag of another thread, asked again each millisecond. */
static void settle(void)
{
    for (int i = 0; i < FAKE_PATIENCE_MS; i++) {
        if (!sender_busy(fake_sender, clock_now()))
            return;
        poll(NULL, 0, 1);
    }
    fail_msg("the sender is busy for ever");
}

static inline void move(int seconds)
{
    clock_set(clock_now() + seconds);
    sender_wake(fake_sender);
    settle();
}

static int world_open(void **state)
{
    static char body[] = "{\"from\":\"{from}\",\"to\":\"{to}\",\"text\":\"{text}\",\"key\":\"{key}\"}";
    (void)state;
    log_level_set(LOG_ERROR + 1);
    clock_use_stepped(FAKE_START);
    fake_n = 0;
    fake_reading_error = 0;
    fake_flow = (struct flow){.backoff = 10};
    far_open(NULL, NULL);
    fake_config = (struct config){.stepped = true, .targets = fake_targets};
    snprintf(fake_config.outbound.url, sizeof fake_config.outbound.url, "http://127.0.0.1:%d/messages", far_side.port);
    snprintf(fake_config.outbound.header[0], 512, "Authorization: Bearer {secret}");
    snprintf(fake_config.outbound.secret, SECRET_MAX, "s3cret");
    snprintf(fake_config.outbound.id, POINTER_MAX, "/id");
    fake_config.outbound.body = body;
    fake_config.outbound.in_flight = 16;
    fake_config.outbound.per_second = 100000;
    sender_up();
    return 0;
}

static int world_close(void **state)
{
    (void)state;
    far_hold(false);
    if (fake_sender)
        sender_down(0);
    far_close();
    return 0;
}

#endif
