/* Morning: everybody's reminder falls into one minute. How long it takes to queue them all, what memory it takes, and how
 * long a text that comes in meanwhile waits for its 200, beside the same texts when nothing else is due.
 *
 * The carrier takes ten a second, as configured by default: sending is not what is measured.
 */
#include "tests/bench/bench.h"

#include <math.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { PACE = 50, PACED_LINES = 8, BEFORE_S = 180, WAIT_S = 900 };

struct world *world_large(const struct bench *b)
{
    static struct world w;
    const char *asked = getenv("BENCH_PATIENTS"); /* another size, to try something */
    if (w.folder[0])
        return &w;
    w = (struct world){.patients = asked ? strtol(asked, NULL, 10) : b->brief ? 20000 : 1000000, .days = 1, .remind = true, .desk_rows = 200};
    snprintf(w.folder, sizeof w.folder, "%s/large", b->folder);
    w.now = (int64_t)time(NULL) - BEFORE_S;
    int64_t from = now_ns();
    if (world_make(&w) < 0) {
        w.folder[0] = '\0';
        return NULL;
    }
    remark("%lld patients, %.1f GB, made in %.0f s", (long long)w.patients, (double)world_bytes(&w) / 1e9,
           (double)(now_ns() - from) / 1e9);
    return &w;
}

/* -- watching the program while texts come in ---------------------------------------------------------------------------------- */

struct watch {
    struct program *p;
    int64_t looks_wanted, looks_before;
    double queued_s;      /* when all were queued, from the start; NAN */
    int64_t most_memory;
    volatile bool over;
};

static void *watch_run(void *context)
{
    struct watch *w = context;
    int64_t from = now_ns();
    while (!w->over) {
        int64_t memory = program_memory(w->p), looks = program_metric(w->p, "quietarm_looks_total");
        if (memory > w->most_memory)
            w->most_memory = memory;
        if (isnan(w->queued_s) && looks - w->looks_before >= w->looks_wanted) {
            w->queued_s = (double)(now_ns() - from) / 1e9;
            break;
        }
        nanosleep(&(struct timespec){.tv_nsec = 100000000}, NULL);
    }
    return NULL;
}

struct phase {
    struct load_result texts;
    double seconds, looks_s;
    int64_t memory;
};

/* Paced texts in slices until every look is done, or for `seconds` when none is wanted. */
static int phase_run(struct program *p, const struct world *w, int64_t first, int64_t looks, double seconds, struct phase *out)
{
    struct load l;
    struct watch watch = {.p = p, .looks_wanted = looks, .queued_s = NAN};
    pthread_t thread;
    int error = load_make(&l, w, "/hook/in", first, PACE * WAIT_S);
    if (error)
        return error;
    if (looks)
        pthread_create(&thread, NULL, watch_run, &watch);
    double longest = looks ? 60 : seconds;
    error = load_run(&l, p->port, PACED_LINES, looks ? fmin(longest, 3 + (double)looks / 20000) : seconds, PACE, &out->texts);
    for (int64_t end = now_ns() + WAIT_S * INT64_C(1000000000); looks && isnan(watch.queued_s) && now_ns() < end;)
        nanosleep(&(struct timespec){.tv_nsec = 50000000}, NULL);
    watch.over = true;
    if (looks)
        pthread_join(thread, NULL);
    out->memory = watch.most_memory > program_memory(p) ? watch.most_memory : program_memory(p);
    out->looks_s = watch.queued_s;
    load_free(&l);
    return error || (looks && isnan(out->looks_s)) ? -1 : 0;
}

int bench_morning(const struct bench *b)
{
    char binary[BENCH_PATH + 32];
    struct program p = {0};
    struct phase during = {0}, idle = {0};
    heading("Morning: every patient is reminded in the same minute");
    struct world *w = world_large(b);
    snprintf(binary, sizeof binary, "%s/quietarm", b->build);
    int error = w ? program_start(&p, binary, w, NULL, NULL) : -1;
    if (!error)
        error = phase_run(&p, w, 0, w->patients, 0, &during);
    if (!error)
        error = phase_run(&p, w, 1000000, 0, b->brief ? 3 : 20, &idle);
    if (!error) {
        figure_one("patients reminded in one minute", (double)w->patients, "patients", NO_GOAL);
        figure_one("all queued after", during.looks_s, "s", NO_GOAL);
        figure_one("looks a second", (double)w->patients / during.looks_s, "looks/s", NO_GOAL);
        figure_one("most memory meanwhile", (double)during.memory / 1048576, "MiB", AT_MOST(256));
        figure_one("p50 of a text meanwhile, 50 a second", during.texts.p50_ms, "ms", NO_GOAL);
        figure_one("p99 of a text meanwhile", during.texts.p99_ms, "ms", NO_GOAL);
        figure_one("p50 of a text, nothing due", idle.texts.p50_ms, "ms", NO_GOAL);
        figure_one("p99 of a text, nothing due", idle.texts.p99_ms, "ms", NO_GOAL);
        figure_one("p99 meanwhile : idle", during.texts.p99_ms / idle.texts.p99_ms, "x", AT_MOST(3));
    }
    if (p.pid > 0)
        program_stop(&p);
    return error;
}
