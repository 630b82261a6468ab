/* Intake: how many texts a second are answered durably, and how long one waits, beside
 *
 *     http     the HTTP library alone: same signature, same JSON, nothing stored
 *     sqlite   SQLite alone: the very statements that intake runs, in transactions as large as intake's were
 *     single   the program itself, built to commit each text by itself
 *
 * and all of it once more on a disk whose sync takes 5 ms. Each round measures all of them, each on a fresh copy of one
 * world, so that none profits from what another left.
 */
#include "tests/bench/bench.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { PATIENTS = 20000, TEXTS = 120000, TAPE_TEXTS = 6000, TAPE_SINGLE = 600, MOST_LINES = 120 };
static const int lines[] = {1, 8, 32, 120};
enum { N_LINES = sizeof lines / sizeof *lines };

struct tally {
    struct rounds per_second[N_LINES], p50[N_LINES], p99[N_LINES];
    struct rounds single[N_LINES];               /* texts a second, each committed by itself */
    struct rounds gain[N_LINES];                 /* the two divided */
    struct rounds http, sqlite, commit_ms, batch;
    struct rounds of_http, of_sqlite, of_commit; /* ratios */
    struct rounds cpu_us;                        /* of the program, a text, at 120 */
    struct rounds slow, slow_single, slow_gain;
};

struct intake {
    const struct bench *b;
    struct world world, copy;
    struct tally t;
    double seconds, batch;
};

static int copy_fresh(struct intake *x)
{
    char folder[BENCH_PATH];
    snprintf(folder, sizeof folder, "%s/copy", x->b->folder);
    x->copy = x->world;
    snprintf(x->copy.folder, sizeof x->copy.folder, "%s", folder);
    return world_copy(&x->world, folder);
}

/* -- the program ---------------------------------------------------------------------------------------------------------- */

struct served {
    struct load_result at[N_LINES];
    double batch, cpu_us; /* at the last */
};

static int program_serve(struct intake *x, const char *name, const char *preload, unsigned which, struct served *out)
{
    char binary[BENCH_PATH + 32];
    struct program p;
    struct load l = {0};
    snprintf(binary, sizeof binary, "%s/%s", x->b->build, name);
    int error = copy_fresh(x) || load_make(&l, &x->copy, "/hook/in", 0, TEXTS) ? -1 : 0;
    if (!error)
        error = program_start(&p, binary, &x->copy, NULL, preload);
    for (int i = 0; i < N_LINES && !error; i++) {
        if (!(which & 1u << i))
            continue;
        int64_t jobs = program_metric(&p, "quietarm_jobs_total"), batches = program_metric(&p, "quietarm_batches_total");
        double cpu = program_cpu(&p);
        error = load_run(&l, p.port, lines[i], x->seconds, 0, &out->at[i]);
        jobs = program_metric(&p, "quietarm_jobs_total") - jobs;
        batches = program_metric(&p, "quietarm_batches_total") - batches;
        out->batch = batches ? (double)jobs / (double)batches : 0;
        out->cpu_us = (program_cpu(&p) - cpu) * 1e6 / (double)(out->at[i].answered ? out->at[i].answered : 1);
        if (out->at[i].refused)
            remark("%lld texts were refused", (long long)out->at[i].refused);
    }
    load_free(&l);
    if (p.pid > 0 && program_stop(&p) < 0)
        error = -1;
    return error;
}

static int round_program(struct intake *x)
{
    struct served grouped = {0}, single = {0};
    struct tally *t = &x->t;
    int error = program_serve(x, "quietarm", NULL, 0xf, &grouped);
    if (!error)
        error = program_serve(x, "bench/quietarm-single", NULL, 0xf, &single);
    for (int i = 0; i < N_LINES && !error; i++) {
        rounds_add(&t->per_second[i], grouped.at[i].per_second);
        rounds_add(&t->p50[i], grouped.at[i].p50_ms);
        rounds_add(&t->p99[i], grouped.at[i].p99_ms);
        rounds_add(&t->single[i], single.at[i].per_second);
        rounds_add(&t->gain[i], grouped.at[i].per_second / single.at[i].per_second);
    }
    rounds_add(&t->batch, grouped.batch);
    rounds_add(&t->cpu_us, grouped.cpu_us);
    x->batch = grouped.batch;
    return error;
}

static int round_slow(struct intake *x)
{
    char path[BENCH_PATH + 32];
    struct served grouped = {0}, single = {0};
    snprintf(path, sizeof path, "%s/bench/slow_disk.so", x->b->build);
    char *shim = realpath(path, NULL); /* the program starts in another folder */
    int error = program_serve(x, "quietarm", shim, 1u << (N_LINES - 1), &grouped);
    if (!error)
        error = program_serve(x, "bench/quietarm-single", shim, 1u << (N_LINES - 1), &single);
    free(shim);
    double g = grouped.at[N_LINES - 1].per_second, s = single.at[N_LINES - 1].per_second;
    rounds_add(&x->t.slow, g);
    rounds_add(&x->t.slow_single, s);
    rounds_add(&x->t.slow_gain, g / s);
    return error;
}

/* -- the ceilings ------------------------------------------------------------------------------------------------------------ */

static int http_alone(struct intake *x, double *per_second)
{
    struct sink s;
    struct load l = {0};
    struct load_result r = {0};
    int error = load_make(&l, &x->world, "/hook/in", 0, TEXTS);
    if (!error)
        error = sink_open(&s, true, 0);
    if (!error) {
        error = load_run(&l, s.port, MOST_LINES, x->seconds / 2, 0, &r);
        sink_close(&s);
    }
    load_free(&l);
    *per_second = r.refused ? NAN : r.per_second;
    return error;
}

/* Says `n` texts to the writer in batches of `batch`, taking down what the store says to SQLite; says it again bare. */
static int sqlite_alone(struct intake *x, int n, int batch, struct replay *out)
{
    struct core *c = NULL;
    int error = copy_fresh(x);
    if (!error)
        error = core_open(&c, &x->copy);
    if (!error) {
        record_begin();
        for (int done = 0; done < n && !error; done += batch)
            error = core_texts(c, done, batch < n - done ? batch : n - done);
        record_end();
        core_close(c);
    }
    if (!error)
        error = copy_fresh(x);
    if (!error)
        error = record_replay(x->copy.folder, out);
    return error;
}

static int round_ceilings(struct intake *x)
{
    struct tally *t = &x->t;
    struct replay many = {0}, one = {0};
    double http = 0;
    int error = http_alone(x, &http);
    if (!error)
        error = sqlite_alone(x, TAPE_TEXTS, (int)fmax(1, round(x->batch)), &many);
    if (!error)
        error = sqlite_alone(x, TAPE_SINGLE, 1, &one);
    if (error)
        return error;
    double sqlite = TAPE_TEXTS * 1e9 / (double)many.ns, here = t->per_second[N_LINES - 1].at[t->http.n];
    rounds_add(&t->of_http, here / http);
    rounds_add(&t->of_sqlite, here / sqlite);
    rounds_add(&t->of_commit, t->p50[0].at[t->http.n] / one.p50_ms);
    rounds_add(&t->sqlite, sqlite);
    rounds_add(&t->commit_ms, one.p50_ms);
    rounds_add(&t->http, http);
    return 0;
}

/* -- telling ------------------------------------------------------------------------------------------------------------------- */

static void tell(const struct tally *t)
{
    static const struct goal gains[N_LINES] = {{NAN, NAN}, {NAN, NAN}, {3, NAN}, {5, NAN}};
    char name[96];
    for (int i = 0; i < N_LINES; i++) {
        snprintf(name, sizeof name, "intake, %d connections", lines[i]);
        figure(name, &t->per_second[i], "texts/s", NO_GOAL);
        snprintf(name, sizeof name, "  p50, %d connections", lines[i]);
        figure(name, &t->p50[i], "ms", NO_GOAL);
        snprintf(name, sizeof name, "  p99, %d connections", lines[i]);
        figure(name, &t->p99[i], "ms", NO_GOAL);
        snprintf(name, sizeof name, "  each text its own commit, %d connections", lines[i]);
        figure(name, &t->single[i], "texts/s", NO_GOAL);
        snprintf(name, sizeof name, "  together : each its own commit, %d connections", lines[i]);
        figure(name, &t->gain[i], "x", gains[i]);
    }
    figure("texts a commit, 120 connections", &t->batch, "texts", NO_GOAL);
    figure("processor time a text, 120 connections", &t->cpu_us, "us", NO_GOAL);
    figure("ceiling: HTTP alone, 120 connections", &t->http, "texts/s", NO_GOAL);
    figure("ceiling: SQLite alone, same statements and batches", &t->sqlite, "texts/s", NO_GOAL);
    figure("one text's statements and synced commit, alone (p50)", &t->commit_ms, "ms", NO_GOAL);
    figure("intake : HTTP alone", &t->of_http, "x", NO_GOAL);
    figure("intake : SQLite alone (the lower ceiling)", &t->of_sqlite, "x", AT_LEAST(0.6));
    figure("p50 at 1 connection : one synced commit", &t->of_commit, "x", AT_MOST(1.3));
    if (t->slow.n) {
        figure("a sync of 5 ms: intake, 120 connections", &t->slow, "texts/s", NO_GOAL);
        figure("a sync of 5 ms: each text its own commit", &t->slow_single, "texts/s", NO_GOAL);
        figure("a sync of 5 ms: together : each its own", &t->slow_gain, "x", AT_LEAST(10));
    }
}

int bench_intake(const struct bench *b)
{
    static struct intake x;
    x = (struct intake){.b = b, .seconds = b->brief ? 0.4 : 1.5};
    x.world = (struct world){.patients = PATIENTS, .days = 1};
    snprintf(x.world.folder, sizeof x.world.folder, "%s/world", b->folder);
    heading("Intake: signed posts of distinct texts, 200 after the sync");
    int error = world_make(&x.world), rounds = b->brief ? 1 : 5;
    for (int i = 0; i < rounds && !error; i++) {
        error = round_program(&x);
        if (!error)
            error = round_ceilings(&x);
        if (!error && (i == 0 || !b->brief))
            error = round_slow(&x);
    }
    record_forget();
    tell(&x.t);
    return error;
}
