/* Growth: what one text, one page of the desk's list and the end of a week cost, and what a reading takes on disk, as patients
 * and their histories grow tenfold again and again. Each must stay flat or grow like the logarithm.
 *
 * Costs are processor time of the writer's thread without HTTP, so that the disk's mood and the neighbours' count little.
 * The exponent p of the fit cost ~ size^p is 0 for flat; doubling with each tenfold would be 0.3.
 */
#include "tests/bench/bench.h"

#include <math.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/flow/inside.h"
#include "gateway/week.h"
#include "tests/bench/core.h"

enum { BATCH = 64, DESK_PAGE = 100, ASKED = 200 };

struct costs {
    double text_us, desk_us, week_us, page_us, reading_bytes;
};

/* -- measuring one world --------------------------------------------------------------------------------------------------- */

static int text_cost(struct core *c, int n, double *us)
{
    int64_t first = 500000; /* messages that no other part posts */
    int error = core_texts(c, first, BATCH); /* statements are prepared, tables compiled */
    int64_t from = thread_ns();
    for (int done = BATCH; done < n && !error; done += BATCH)
        error = core_texts(c, first + done, BATCH);
    *us = (double)(thread_ns() - from) / 1000 / (n - BATCH);
    return error;
}

static int desk_cost(struct core *c, int64_t now, double *us)
{
    int error = 0;
    int64_t from = thread_ns();
    for (int i = 0; i < ASKED && !error; i++) {
        struct desk_row *rows = NULL;
        size_t n = 0;
        error = desk_list(c->flow->db, "c00", now, DESK_PAGE, &rows, &n);
        free(rows);
    }
    *us = (double)(thread_ns() - from) / 1000 / ASKED;
    return error;
}

/* The week of a patient as `week --json` and its page begin with it. */
static int page_cost(struct core *c, int64_t now, double *us)
{
    int error = 0;
    int64_t from = thread_ns();
    for (int i = 0; i < ASKED && !error; i++) {
        struct week_loaded week;
        char ref[32];
        int64_t id = 0;
        bool found = false;
        snprintf(ref, sizeof ref, "P-%lld", (long long)(i * 7919 % (c->patients < PHONES ? c->patients : PHONES)));
        error = person_by_ref(c->flow->db, "c00", ref, &id, &found);
        if (error || !found)
            continue;
        error = week_load(c->flow->db, &c->config, now, id, 0, &week, &found);
        week_unload(&week);
    }
    *us = (double)(thread_ns() - from) / 1000 / ASKED;
    return error;
}

/* Weeks that end with the next look. */
static int week_cost(struct core *c, int64_t now, int n, double *us)
{
    int done = core_looks(c, now, BATCH), some = done;
    int64_t from = thread_ns();
    int counted = 0;
    while (counted < n && some > 0 && done >= 0) {
        some = core_looks(c, now, BATCH);
        counted += some > 0 ? some : 0;
    }
    *us = counted ? (double)(thread_ns() - from) / 1000 / counted : NAN;
    return some < 0 ? -1 : 0;
}

static double bytes_of(const struct world *w, const char *sql)
{
    char file[BENCH_PATH + 64];
    sqlite3 *db;
    sqlite3_stmt *s = NULL;
    double bytes = NAN;
    snprintf(file, sizeof file, "%s/state/quietarm.db", w->folder);
    if (sqlite3_open_v2(file, &db, SQLITE_OPEN_READWRITE, NULL) == SQLITE_OK &&
        sqlite3_prepare_v2(db, sql, -1, &s, NULL) == SQLITE_OK && sqlite3_step(s) == SQLITE_ROW)
        bytes = sqlite3_column_double(s, 0);
    sqlite3_finalize(s);
    sqlite3_close(db);
    return bytes;
}

static int world_cost(const struct world *w, struct costs *out)
{
    struct core *c = NULL;
    out->reading_bytes = bytes_of(w, "SELECT sum(pgsize) * 1.0 / (SELECT count(*) FROM readings) FROM dbstat WHERE aggregate ="
                                     " TRUE AND name LIKE 'readings%'");
    int error = core_open(&c, w);
    if (!error)
        error = desk_cost(c, w->now, &out->desk_us);
    if (!error)
        error = page_cost(c, w->now, &out->page_us);
    if (!error && w->ends_now)
        error = week_cost(c, w->now, (int)(w->patients < 3000 ? w->patients / 2 : 3000), &out->week_us);
    if (!error)
        error = text_cost(c, 3200, &out->text_us);
    core_close(c);
    return error;
}

/* -- growing -------------------------------------------------------------------------------------------------------------------- */

enum what { TEXT, DESK, WEEK, PAGE, BYTES, WHATS };
static const struct {
    const char *name, *unit;
} whats[WHATS] = {{"one text", "us"}, {"a page of the desk's list", "us"}, {"the end of a week", "us"},
                  {"the week of a patient", "us"}, {"a reading on disk", "bytes"}};

static double exponent(const struct series *s)
{
    double sx = 0, sy = 0, sxx = 0, sxy = 0;
    for (int i = 0; i < s->n; i++) {
        double x = log10(s->x[i]), y = log10(s->y[i]);
        sx += x, sy += y, sxx += x * x, sxy += x * y;
    }
    return s->n > 1 ? (s->n * sxy - sx * sy) / (s->n * sxx - sx * sx) : NAN;
}

static void costs_add(struct series s[WHATS], double x, const struct costs *c)
{
    double values[WHATS] = {c->text_us, c->desk_us, c->week_us, c->page_us, c->reading_bytes};
    for (int i = 0; i < WHATS; i++) {
        snprintf(s[i].name, sizeof s[i].name, "%s, %s", whats[i].name, whats[i].unit);
        if (isnan(values[i]) || values[i] <= 0 || s[i].n == 24)
            continue;
        s[i].x[s[i].n] = x;
        s[i].y[s[i].n++] = values[i];
    }
}

static void tell(const struct bench *b, const struct series s[WHATS], const char *of, const char *file)
{
    char name[128], path[BENCH_PATH + 64];
    for (int i = 0; i < WHATS; i++) {
        for (int k = 0; k < s[i].n; k++) {
            snprintf(name, sizeof name, "%s, %.0f %s", whats[i].name, s[i].x[k], of);
            figure_one(name, s[i].y[k], whats[i].unit, NO_GOAL);
        }
        snprintf(name, sizeof name, "  grows with %s by the power", of);
        char whole[200];
        snprintf(whole, sizeof whole, "%s%s", whats[i].name, name);
        figure_one(whole, exponent(&s[i]), "", AT_MOST(0.15));
    }
    snprintf(path, sizeof path, "%s/bench/growth-%s.svg", b->build, file);
    snprintf(name, sizeof name, "Costs by %s", of);
    if (chart_write(path, name, of, "microseconds of processor, or bytes", s, WHATS) < 0)
        fprintf(stderr, "%s could not be written\n", path);
}

static int grow(const struct bench *b, const int64_t *sizes, int n, bool history, struct series s[WHATS])
{
    int error = 0;
    for (int i = 0; i < n && !error; i++) {
        struct world w = {.patients = history ? 1000 : sizes[i], .days = 7, .ends_now = true, .desk_rows = 200,
                          .weeks = history ? (int)sizes[i] : 0};
        struct costs c = {.week_us = NAN};
        snprintf(w.folder, sizeof w.folder, "%s/grown", b->folder);
        error = world_make(&w);
        if (!error)
            error = world_cost(&w, &c);
        if (!error)
            costs_add(s, history ? (double)(28 * (sizes[i] + 1)) : (double)sizes[i], &c);
    }
    return error;
}

int bench_growth(const struct bench *b)
{
    static struct series by_patients[WHATS], by_history[WHATS];
    static const int64_t patients[] = {1000, 10000, 100000}, weeks[] = {0, 9, 99, 999};
    heading("Growth: the writer's processor time, and bytes");
    memset(by_patients, 0, sizeof by_patients);
    memset(by_history, 0, sizeof by_history);
    int error = grow(b, patients, b->brief ? 2 : 3, false, by_patients);
    struct world *large = error || b->brief ? NULL : world_large(b);
    if (large) {
        struct costs c = {.week_us = NAN};
        error = world_cost(large, &c);
        costs_add(by_patients, (double)large->patients, &c);
    }
    if (!error)
        error = grow(b, weeks, b->brief ? 2 : 4, true, by_history);
    tell(b, by_patients, "patients", "patients");
    tell(b, by_history, "readings each", "history");
    return error;
}
