/* Core: the writer without HTTP and without its thread: batches handed to it in this process, for what must be counted
 * exactly (processor time, statements) and for playing the patient that worlds are made of.
 */
#include "tests/bench/bench.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/flow/inside.h"
#include "gateway/folder.h"
#include "tests/bench/core.h"

static void mistake(void *context, const char *file, int line, const char *what)
{
    (void)context;
    fprintf(stderr, "%s:%d: %s\n", file, line, what);
}

int core_open(struct core **out, const struct world *w)
{
    char file[BENCH_PATH + 32], why[512];
    struct core *c = calloc(1, sizeof *c);
    *out = NULL;
    log_level_set(LOG_ERROR);
    snprintf(file, sizeof file, "%s/quietarm.ini", w->folder);
    if (!c || config_open(&c->config, file, true, mistake, NULL) != 0) {
        free(c);
        return -1;
    }
    c->patients = w->patients;
    clock_use_stepped(w->now);
    if (texts_load(&c->texts, "", why, sizeof why) < 0 || flow_open(&c->flow, &c->config, c->texts, why, sizeof why) < 0) {
        fprintf(stderr, "%s\n", why);
        core_close(c);
        return -1;
    }
    *out = c;
    return 0;
}

void core_close(struct core *c)
{
    if (!c)
        return;
    flow_close(c->flow);
    texts_close(c->texts);
    config_close(&c->config);
    free(c);
}

static void job_done(struct job *job)
{
    struct core *c = job->owner;
    c->failed += job->result != JOB_STORED;
    job_free(job);
}

struct job *core_job(struct core *c, enum job_kind kind)
{
    struct job *job = calloc(1, sizeof *job);
    if (!job)
        abort();
    job->kind = kind;
    job->owner = c;
    job->done = job_done;
    return job;
}

struct job *core_text(struct core *c, int64_t message, int64_t patient, const char *words)
{
    struct job *job = core_job(c, JOB_TEXT);
    snprintf(job->text.message_id, sizeof job->text.message_id, "core-%lld", (long long)message);
    world_phone(patient, job->text.from);
    world_clinic_number(patient, job->text.to);
    job->text.body = strdup(words);
    job->text.size = strlen(words);
    job->text.sent = INSTANT_NONE;
    return job;
}

int core_commit(struct core *c, struct job *jobs, size_t n)
{
    c->failed = 0;
    batch_commit(c->flow, jobs, n);
    return c->failed ? -1 : 0;
}

int core_texts(struct core *c, int64_t first, int n)
{
    enum { STRIDE = 7919, MESSAGES = 1000 }; /* the played patient has the first ones */
    struct job *jobs = NULL;
    char words[64];
    for (int i = n; i-- > 0;) {
        load_words(first + i, words);
        struct job *job = core_text(c, MESSAGES + first + i, (first + i) * STRIDE % c->patients, words);
        job->next = jobs;
        jobs = job;
    }
    return core_commit(c, jobs, (size_t)n);
}

int core_looks(struct core *c, int64_t now, int most)
{
    size_t n = 0;
    struct job *jobs = NULL;
    clock_set(now);
    int error = looks_collect(c->flow, now, (size_t)most, &jobs, &n);
    if (n)
        batch_commit(c->flow, jobs, n);
    return error ? -1 : (int)n;
}
