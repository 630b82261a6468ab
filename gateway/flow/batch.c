/* A batch: load the records of its jobs, decide, write, commit with one sync, then answer them all.
 *
 * Nothing is answered before the commit has returned. If anything fails the batch is rolled back; when it was not the disk,
 * its jobs are applied one by one, so that a bad one harms only itself. 1–128 jobs; one synced commit (0.2–1 ms on a common
 * disk).
 */
#include "gateway/flow/inside.h"

#include <math.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { TRIES_MOST = 5 };

static int job_handle(struct batch *b, struct job *job)
{
    switch (job->kind) {
    case JOB_TEXT:
        return intake_text(b, job);
    case JOB_RECEIPT:
        return result_receipt(b, job);
    case JOB_SENT:
        return result_sent(b, job);
    case JOB_OVERDUE:
        return result_overdue(b, job);
    case JOB_LOOK:
    case JOB_ALERT:
        return look_handle(b, job);
    case JOB_ACTION:
        return action_handle(b, job);
    case JOB_ENROL:
        return enrol_handle(b, job);
    case JOB_ROSTER:
        return roster_handle(b, job);
    case JOB_CALL:
        return call_handle(b, job);
    case JOB_NOTICE:
        return notice_handle(b, job);
    case JOB_CLOCK:
        break; /* the writer's own, never in a batch */
    }
    return STORE_CONFLICT;
}

/* -- records and lines, loaded once -------------------------------------------------------------------------------------- */

static int load_record(struct batch *b, int64_t person)
{
    if (b->n_records == b->cap_records) {
        size_t cap = b->cap_records ? 2 * b->cap_records : 16;
        struct record *more = realloc(b->records, cap * sizeof *more);
        if (!more)
            return STORE_MEMORY;
        b->records = more;
        b->cap_records = cap;
    }
    struct record *r = &b->records[b->n_records];
    memset(r, 0, sizeof *r);
    size_t one = 1;
    int error = persons_hold(b->f->db, &person, &one);
    if (!error)
        error = records_load(b->f->db, b->now, &person, 1, r);
    b->n_records++;
    return error;
}

static struct record *find_record(struct batch *b, int64_t person)
{
    for (size_t i = 0; i < b->n_records; i++)
        if (b->records[i].person.id == person)
            return &b->records[i];
    return NULL;
}

struct record *batch_record(struct batch *b, int64_t person, int *error)
{
    struct record *r = find_record(b, person);
    if (!r && person) {
        *error = load_record(b, person);
        if (*error)
            return NULL;
        r = &b->records[b->n_records - 1];
        if (r->person.id && !record_complete(b->f->config, r, b->now))
            return NULL;
    }
    return r && r->person.id && r->clinic ? r : NULL;
}

struct line *batch_line(struct batch *b, const struct clinic *clinic, const char *phone, int *error)
{
    for (size_t i = 0; i < b->n_lines; i++)
        if (b->lines[i].clinic == clinic && strcmp(b->lines[i].phone, phone) == 0)
            return &b->lines[i];
    if (b->n_lines == b->cap_lines) {
        size_t cap = b->cap_lines ? 2 * b->cap_lines : 16;
        struct line *more = realloc(b->lines, cap * sizeof *more);
        if (!more) {
            *error = STORE_MEMORY;
            return NULL;
        }
        b->lines = more;
        b->cap_lines = cap;
    }
    struct line *line = &b->lines[b->n_lines];
    *line = (struct line){.clinic = clinic};
    snprintf(line->phone, sizeof line->phone, "%s", phone);
    *error = people_of_number(b->f->db, clinic->id, phone, line->people, LINE_PEOPLE, &line->n);
    if (*error)
        return NULL;
    b->n_lines++;
    return line;
}

struct moment_of_care batch_moment(struct batch *b)
{
    b->random = b->random * 6364136223846793005ull + 1442695040888963407ull;
    return (struct moment_of_care){.now = b->now, .random = b->random ^ b->random >> 29, .next_id = &b->next_id};
}

/* -- writing ------------------------------------------------------------------------------------------------------------------ */

/* The mean that the table of patients is sorted by. */
static int mean_write(struct batch *b, int64_t person)
{
    struct record *r = find_record(b, person);
    struct week_result *w = r && r->clinic ? malloc(sizeof *w) : NULL;
    if (!w)
        return 0;
    week_result(r, b->now, w);
    bool some = w->all.n > 0;
    int error = people_mean_set(b->f->db, person, some ? (int)floor(w->all.sys + 0.5) : 0,
                                some ? (int)floor(w->all.dia + 0.5) : 0);
    free(w);
    return error;
}

static int means_write(struct batch *b)
{
    int64_t last = 0;
    int error = 0;
    for (size_t i = 0; i < b->effects.n && !error; i++) {
        const struct effect *e = &b->effects.at[i];
        int64_t person = e->kind == EFFECT_READING ? e->reading.person : e->kind == EFFECT_WEEK ? e->week.person : 0;
        if (person && person != last)
            error = mean_write(b, person);
        last = person ? person : last;
    }
    return error;
}

int batch_write(struct batch *b)
{
    if (b->effects.failed)
        return STORE_MEMORY;
    int error = effects_say(b->f->config, b->f->texts, &b->effects);
    for (size_t i = 0; i < b->effects.n; i++)
        b->outbox |= b->effects.at[i].kind == EFFECT_SEND;
    sought_effects(b);
    if (!error)
        error = intake_write(b);
    if (!error)
        error = effects_write(b->f->db, &b->effects);
    if (!error)
        error = means_write(b);
    effects_clear(&b->effects);
    return error;
}

static void batch_open(struct batch *b, struct flow *f)
{
    *b = (struct batch){.f = f, .now = clock_now(), .next_id = ids_from()};
    randombytes_buf(&b->random, sizeof b->random);
}

static void batch_clear(struct batch *b)
{
    for (size_t i = 0; i < b->n_records; i++)
        record_clear(&b->records[i]);
    free(b->records);
    free(b->lines);
    free(b->heard);
    free(b->heard_known);
    free(b->sought);
    free(b->sought_rows);
    effects_clear(&b->effects);
}

/* That a message is known may be news that its standby has not: a commit that writes waits for it, one that only reads does
 * not. */
static int repeats_settle(struct batch *b, const struct job *jobs)
{
    bool repeat = false;
    for (const struct job *job = jobs; job && db_shared(b->f->db); job = job->next)
        repeat |= job->result == JOB_REPEATED;
    char key[40]; /* of this gateway: no two wait for each other here */
    snprintf(key, sizeof key, "repeated:%lld", (long long)db_gateway(b->f->db));
    return repeat ? meta_set(b->f->db, key, b->now) : 0;
}

/* Decides and writes the jobs in one transaction. */
static int batch_apply(struct batch *b, struct job *jobs)
{
    int error = db_begin(b->f->db);
    if (error)
        return error;
    error = batch_gather(b, jobs);
    for (struct job *job = jobs; job && !error; job = job->next) {
        job->result = JOB_STORED;
        error = job->left ? 0 : job_handle(b, job);
    }
    if (!error)
        error = repeats_settle(b, jobs);
    if (!error)
        error = db_commit(b->f->db);
    ids_until(b->next_id); /* whatever came of it: a commit whose answer was lost may have them */
    if (error) {
        log_event(LOG_ERROR, "unstored", "error=%s why=\"%s\"", store_error_name(error), db_why(b->f->db));
        db_rollback(b->f->db);
    }
    return error;
}

static int batch_try(struct flow *f, struct job *jobs)
{
    struct batch *b = malloc(sizeof *b); /* a meaning is large: not on the stack */
    if (!b)
        return STORE_MEMORY;
    batch_open(b, f);
    int error = batch_apply(b, jobs);
    f->wake_due |= !error && b->outbox;
    f->left = !error && b->left;
    batch_clear(b);
    free(b);
    return error;
}

/* -- answering -------------------------------------------------------------------------------------------------------------- */

static void count_batch(struct flow *f, const struct job *jobs, int error)
{
    pthread_mutex_lock(&f->lock);
    f->figures.batches++;
    f->figures.failing = rest_needed(error);
    if (!error)
        f->figures.last_commit_ms = clock_real_ms();
    for (const struct job *job = jobs; job; job = job->next) {
        f->figures.jobs++;
        f->figures.texts += job->kind == JOB_TEXT && job->result == JOB_STORED;
        f->figures.repeats += job->kind == JOB_TEXT && job->result == JOB_REPEATED;
        f->figures.looks += job->kind == JOB_LOOK;
        f->figures.failures += job->result == JOB_UNSTORED;
    }
    pthread_mutex_unlock(&f->lock);
}

static void jobs_answer(struct job *jobs)
{
    for (struct job *job = jobs, *next; job; job = next) {
        next = job->next;
        job->next = NULL;
        if (job->done)
            job->done(job);
        else
            job_free(job);
    }
}

static bool is_look(const struct job *job)
{
    return job->kind == JOB_LOOK || job->kind == JOB_ALERT || job->kind == JOB_OVERDUE;
}

/* Counts and answers what was tried together. A look stays due: it is tried again when the writer has rested. */
static void batch_settle(struct flow *f, struct job *jobs, int error)
{
    for (struct job *job = jobs; job && error; job = job->next)
        job->result = JOB_UNSTORED;
    if (error)
        rest_begin(f, error);
    else
        rest_end(f);
    count_batch(f, jobs, error);
    jobs_answer(jobs);
}

/* One job alone. A look that harms itself is put off; whatever else failed was the store's trouble. */
static void settle_alone(struct flow *f, struct job *job, int error)
{
    job->next = NULL;
    if (error && !rest_needed(error) && is_look(job))
        look_put_off(f, job);
    batch_settle(f, job, error);
}

/* After the answers: who waits for one comes before the sender. */
static void sender_call(struct flow *f)
{
    if (f->wake_due && f->wake)
        f->wake(f->wake_context);
    f->wake_due = false;
}

void batch_commit(struct flow *f, struct job *jobs, size_t n)
{
    int error = batch_try(f, jobs);
    for (int tries = 1; error == STORE_AGAIN && tries < TRIES_MOST; tries++) /* another gateway was in the way */
        error = batch_try(f, jobs);
    if (n == 1) {
        settle_alone(f, jobs, error);
    } else if (!error || (rest_needed(error) && error != STORE_MEMORY)) {
        batch_settle(f, jobs, error); /* the disk's trouble is not one job's: alone they would fail as well */
    } else {
        for (struct job *job = jobs, *next; job; job = next) {
            next = job->next;
            job->next = NULL;
            settle_alone(f, job, batch_try(f, job));
        }
    }
    sender_call(f);
}
