/* Synced: the proof that no 200 leaves before its text is on the disk. The program runs under strace; for each answer 200 there
 * must be a sync of the write-ahead log that began after the request had been read and had ended before the answer was
 * written.
 */
#include "tests/bench/bench.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { FILES = 1024, THREADS = 64, LINE = 4096 };

struct trace {
    int64_t line;                       /* how many were read */
    int64_t asked[FILES];               /* the line on which a connection's last post was read whole; 0 none */
    struct {
        int pid, file;
        int64_t began;
        char call[24];
    } open[THREADS];                    /* calls that have not returned */
    int64_t sync_began;                 /* the latest begin of a sync that has ended */
    int64_t answers, unsynced, syncs;
};

static int slot_of(struct trace *t, int pid)
{
    int free_ = 0;
    for (int i = 0; i < THREADS; i++) {
        if (t->open[i].pid == pid)
            return i;
        if (!t->open[i].pid)
            free_ = i;
    }
    return free_;
}

static void sync_ended(struct trace *t, int64_t began)
{
    t->syncs++;
    if (began > t->sync_began)
        t->sync_began = began;
}

static void answer_written(struct trace *t, int file)
{
    if (file < 0 || file >= FILES || !t->asked[file])
        return;
    t->answers++;
    t->unsynced += t->sync_began <= t->asked[file];
    t->asked[file] = 0;
}

/* A call that returned on this line, having begun on line `began`. */
static void call_ended(struct trace *t, const char *call, int file, const char *line, int64_t began)
{
    if (!strncmp(call, "fdatasync", 9) || !strncmp(call, "fsync", 5))
        sync_ended(t, began);
    else if (!strncmp(call, "recv", 4) && strstr(line, "POST /hook/in") && file >= 0 && file < FILES)
        t->asked[file] = t->line;
}

static void line_take(struct trace *t, const char *line)
{
    int pid = 0, file = -1, n = 0;
    char call[24] = "";
    t->line++;
    if (sscanf(line, "%d <... %23[a-z0-9] resumed%n", &pid, call, &n) == 2 && n) {
        int i = slot_of(t, pid);
        call_ended(t, call, t->open[i].file, line, t->open[i].began);
        t->open[i].pid = 0;
        return;
    }
    if (sscanf(line, "%d %23[a-z0-9](%d", &pid, call, &file) < 3)
        return;
    if (!strncmp(call, "send", 4) && strstr(line, "HTTP/1.1 200"))
        answer_written(t, file); /* when it begins: that is the earliest instant at which the carrier may read it */
    if (!strstr(line, "<unfinished ...>")) {
        call_ended(t, call, file, line, t->line);
        return;
    }
    int i = slot_of(t, pid);
    t->open[i].pid = pid;
    t->open[i].file = file;
    t->open[i].began = t->line;
    snprintf(t->open[i].call, sizeof t->open[i].call, "%s", call);
}

/* strace writes on for a moment when the program has ended: the whole of it has the end of process `pid`. */
static int trace_read(struct trace *t, const char *file, int pid)
{
    char line[LINE];
    bool whole = false;
    for (int64_t until = now_ns() + INT64_C(10000000000); !whole && now_ns() < until;) {
        FILE *in = fopen(file, "r");
        *t = (struct trace){0};
        while (in && fgets(line, sizeof line, in)) {
            line_take(t, line);
            whole |= strtol(line, NULL, 10) == pid && strstr(line, " +++ exited");
        }
        if (in)
            fclose(in);
    }
    return whole ? 0 : -1;
}

int bench_synced(const struct bench *b)
{
    static struct trace t;
    struct world w = {.patients = 1000, .days = 1};
    struct program p = {0};
    struct load l = {0};
    struct load_result one = {0}, many = {0};
    char binary[BENCH_PATH + 32], file[BENCH_PATH + 64];
    snprintf(w.folder, sizeof w.folder, "%s/traced", b->folder);
    snprintf(file, sizeof file, "%s/trace", w.folder);
    snprintf(binary, sizeof binary, "%s/quietarm", b->build);
    char *folder = NULL;
    heading("Synced: each 200 under strace");
    int error = world_make(&w);
    if (!error && !(folder = realpath(w.folder, NULL)))
        error = -1;
    if (!error)
        snprintf(file, sizeof file, "%s/trace", folder);
    const char *const wrapper[] = {"strace", "-D", "-f", "-s", "64", "-e", "trace=recvfrom,recvmsg,sendto,sendmsg,writev,fdatasync,fsync",
                                   "-o", file, NULL};
    if (!error)
        error = load_make(&l, &w, "/hook/in", 0, 6000);
    if (!error)
        error = program_start(&p, binary, &w, wrapper, NULL);
    if (!error)
        error = load_run(&l, p.port, 1, 0.5, 0, &one);
    if (!error)
        error = load_run(&l, p.port, 32, 1, 0, &many);
    int pid = p.pid;
    if (pid > 0)
        program_stop(&p);
    if (!error)
        error = trace_read(&t, file, pid);
    load_free(&l);
    free(folder);
    figure_one("texts answered 200 under strace", (double)(one.answered + many.answered), "texts", AT_LEAST(10));
    figure_one("  of them seen in the trace", (double)t.answers, "texts", AT_LEAST((double)(one.answered + many.answered)));
    figure_one("  syncs meanwhile", (double)t.syncs, "syncs", NO_GOAL);
    figure_one("  answered before a sync that began after the request", (double)t.unsynced, "texts", AT_MOST(0));
    if (t.unsynced || t.answers != one.answered + many.answered)
        error = -1; /* no matter of speed */
    return error;
}
