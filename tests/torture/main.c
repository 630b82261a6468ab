/* torture [--seconds S] [--each K | --share K | --every K | --sweep] [--kind NAME] [--from N] BIN FOLDER: makes the Nth call of each kind fail, for every N of
 * a day, two days at a time; then kills the program under load (kill.c, `torture --kill ROUNDS BIN FOLDER`), or makes other trouble
 * (trouble.c, `torture --trouble all BIN FOLDER`), or lets it work for an hour of its own time (soak.c, `torture --soak SECONDS BIN
 * FOLDER`).
 *
 * FOLDER/done lists what has been tried and went well: it is passed over, so that a long run can be broken off and taken up
 * again. Of the allocations --every leaves out those of the start; --each has them too. --share K tries each Kth only, --each K about K of every kind; --every K fails each Kth call of one day, from every
 * first one on, so that every call has failed once after K days: a fault meets a program that has just mended another. --sweep
 * does so with a K for each kind that leaves it room to mend, and one at a time where the power goes. Ends with 1 when anything was lost, doubled, half done, or did not come up again;
 * each such N is told with what to run to see it again.
 */
#include "tests/torture/torture.h"

#include <curl/curl.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "tests/torture/kill.h"

enum { WORKERS = 2, MOST_WORKERS = 64, WORST = 40, TELL_EVERY = 60 };

struct plan {
    const char *bin, *folder;
    int seconds, share, each, only;     /* only: a fault_kind, or -1 */
    int workers;                        /* days at a time: kinds that mostly wait (full) want more of them than there are cores */
    bool sweep;
    uint64_t from, every, calls[FAULT_KINDS];
    uint64_t starting;                  /* allocations until it serves: one that fails there ends it, and nothing else fails that day */
    char *expected;               /* the ledger of a day on which nothing failed */
    time_t ends;
};

/* -- one day ------------------------------------------------------------------------------------------------------------------ */

static int day_with(struct world *w, enum fault_kind kind, uint64_t n)
{
    if (day_enrol(w) < 0)
        return -1;
    world_fault(w, kind, n); /* may end while it starts; then it is started again */
    w->starting = w->tally->allocs;
    if (day_play(w) < 0)
        return -1;
    if (kind == FAULT_ALLOC && n == 0)
        stage_stop_program(&w->g, SIGTERM); /* the tally is whole */
    return world_plain(w) < 0 || day_repeat(w) < 0 || stage_stop_program(&w->g, SIGTERM) < 0 ? -1 : 0;
}

static void show_difference(const char *expected, const char *found, char *why, size_t size)
{
    while (*expected && *found && strcspn(expected, "\n") == strcspn(found, "\n") &&
           strncmp(expected, found, strcspn(expected, "\n")) == 0) {
        expected += strcspn(expected, "\n") + 1;
        found += strcspn(found, "\n") + 1;
    }
    snprintf(why, size, "the ledger differs\n      expected %.*s\n      found    %.*s", (int)strcspn(expected, "\n"), expected,
             (int)strcspn(found, "\n"), found);
}

void folder_clear(const char *folder)
{
    char command[PLAY_PATH];
    snprintf(command, sizeof command, "%s", folder);
    pid_t pid = fork();
    if (pid == 0) {
        execlp("rm", "rm", "-rf", "--", command, (char *)NULL);
        _exit(127);
    }
    waitpid(pid, NULL, 0);
    mkdir(folder, 0700);
}

/* Plays a day with a fault; "" in `why` when it left what it should. The folder stays when it did not. */
static bool try_one(const struct plan *p, enum fault_kind kind, uint64_t n, uint64_t *struck, char why[1024])
{
    char folder[PLAY_PATH];
    struct world w;
    char *found = NULL;
    why[0] = '\0';
    snprintf(folder, sizeof folder, "%s/%s-%lu", p->folder, fault_names[kind], (unsigned long)n);
    folder_clear(folder);
    int opened = world_open(&w, folder, p->bin);
    w.every = p->every;
    if (opened == 0 && day_with(&w, kind, n) == 0)
        found = ledger_read(&w);
    *struck = opened == 0 ? w.tally->struck : 0;
    if (!found)
        snprintf(why, 1024, "%s", w.why[0] ? w.why : "no ledger");
    else if (p->expected && strcmp(p->expected, found) != 0)
        show_difference(p->expected, found, why, 1024);
    world_close(&w);
    free(found);
    if (!why[0]) {
        folder_clear(folder);
        rmdir(folder);
    }
    return !why[0];
}

/* The day on which nothing fails: its ledger, and how many calls of each kind it has. Twice, so that the ledger is known to
 * be the same. */
static int plan_measure(struct plan *p)
{
    char folder[PLAY_PATH], why[1024];
    uint64_t none;
    struct world w;
    snprintf(folder, sizeof folder, "%s/quiet", p->folder);
    folder_clear(folder);
    int error = world_open(&w, folder, p->bin) < 0 || day_with(&w, FAULT_ALLOC, 0) < 0;
    p->expected = error ? NULL : ledger_read(&w);
    if (p->expected) {
        const uint64_t calls[FAULT_KINDS] = {w.tally->allocs, w.tally->writes, w.tally->writes, w.tally->writes, w.tally->syncs,
                                             w.tally->syncs,  w.tally->syncs,  w.tally->sends,  w.tally->sends};
        memcpy(p->calls, calls, sizeof calls);
        p->starting = w.starting;
    } else {
        printf("torture: a day without faults: %s\n", w.why);
    }
    world_close(&w);
    if (!p->expected || try_one(p, FAULT_SYNC, 0, &none, why))
        return p->expected ? 0 : -1;
    printf("torture: two days without faults differ: %s\n", why);
    return -1;
}

/* -- every N ------------------------------------------------------------------------------------------------------------------ */

static bool is_done(const struct plan *p, enum fault_kind kind, uint64_t n)
{
    char path[PLAY_PATH], line[64], wanted[64];
    bool found = false;
    snprintf(path, sizeof path, "%s/done", p->folder);
    snprintf(wanted, sizeof wanted, "%s %lu %lu\n", fault_names[kind], (unsigned long)n, (unsigned long)p->every);
    FILE *in = fopen(path, "r");
    while (in && !found && fgets(line, sizeof line, in))
        found = strcmp(line, wanted) == 0;
    if (in)
        fclose(in);
    return found;
}

static void mark_done(const struct plan *p, enum fault_kind kind, uint64_t n)
{
    char path[PLAY_PATH], line[64];
    snprintf(path, sizeof path, "%s/done", p->folder);
    int size = snprintf(line, sizeof line, "%s %lu %lu\n", fault_names[kind], (unsigned long)n, (unsigned long)p->every);
    int fd = open(path, O_WRONLY | O_APPEND | O_CREAT, 0600);
    if (fd < 0 || write(fd, line, (size_t)size) != size)
        printf("torture: %s cannot be written\n", path);
    close(fd);
}

static const time_t NEVER = (time_t)1 << 40;

struct tally_of_worker {
    int tried, failed;
    time_t told; /* when it last said how far it is; the others of many say nothing */
    uint64_t struck;
    bool over; /* out of time */
};

static bool out_of_time(const struct plan *p, struct tally_of_worker *t)
{
    t->over = t->over || (p->ends && time(NULL) >= p->ends);
    return t->over;
}

/* A day with a fault at call n (and each --every from there on). How many were done; at least one, so that a loop ends. */
static uint64_t call_try(const struct plan *p, enum fault_kind kind, uint64_t n, struct tally_of_worker *t)
{
    char why[1024];
    uint64_t struck = 0;
    t->tried++;
    if (try_one(p, kind, n, &struck, why)) {
        mark_done(p, kind, n);
    } else {
        t->failed++;
        printf("torture: %s %lu: %s\n      again: --kind %s --from %lu --every %lu --share 1000000000\n", fault_names[kind],
               (unsigned long)n, why, fault_names[kind], (unsigned long)n, (unsigned long)p->every);
        fflush(stdout);
    }
    if (time(NULL) >= t->told + TELL_EVERY) {
        if (t->told) {
            printf("torture: %-6s … the first of %d workers: %d days, now call %lu, %d went wrong\n", fault_names[kind], p->workers, t->tried,
                   (unsigned long)n, t->failed);
            fflush(stdout);
        }
        t->told = time(NULL);
    }
    struck = kind == FAULT_FULL ? (struck + FULL_CALLS - 1) / FULL_CALLS : struck;
    t->struck += struck;
    return struck ? struck : 1;
}

/* The share of one worker of one kind, spread over the whole day so that a run broken off has seen all of it. */
static struct tally_of_worker kind_try(const struct plan *p, enum fault_kind kind, int worker)
{
    struct tally_of_worker t = {.told = worker ? NEVER : 0};
    int share = p->share > 0 ? p->share : 1;
    if (p->each > 0 && p->calls[kind] / (uint64_t)p->each > 1)
        share = (int)(p->calls[kind] / (uint64_t)p->each);
    uint64_t first = p->from ? p->from : 1 + (uint64_t)(share / 2);
    for (uint64_t n = first + (uint64_t)(worker * share); n <= p->calls[kind] && t.failed < WORST; n += (uint64_t)p->workers * (uint64_t)share) {
        if (out_of_time(p, &t))
            break;
        if (!is_done(p, kind, n))
            call_try(p, kind, n, &t);
        if (p->from && share > 1000000)
            break;
    }
    return t;
}

/* The same with --every: the calls from each of the first K on. A program that such a fault ended goes on without, so the day is
 * played again from the first call that had no turn. */
static struct tally_of_worker every_try(const struct plan *p, enum fault_kind kind, int worker)
{
    struct tally_of_worker t = {.told = worker ? NEVER : 0};
    uint64_t before = kind == FAULT_ALLOC ? p->starting : 0;
    for (uint64_t first = 1 + (uint64_t)worker; first <= p->every && t.failed < WORST; first += (uint64_t)p->workers)
        for (uint64_t n = before + first; n <= p->calls[kind] && t.failed < WORST && !out_of_time(p, &t);)
            n += p->every * (is_done(p, kind, n) ? 1 : call_try(p, kind, n, &t));
    return t;
}

static int kind_all(const struct plan *p, enum fault_kind kind)
{
    int lines[2], failed = 0, tried = 0;
    uint64_t struck = 0;
    bool over = false;
    struct tally_of_worker t;
    if (pipe(lines) < 0)
        return 1;
    fflush(stdout);
    for (int i = 0; i < p->workers; i++)
        if (fork() == 0) {
            t = p->every && !p->from ? every_try(p, kind, i) : kind_try(p, kind, i);
            fflush(stdout);
            _exit(write(lines[1], &t, sizeof t) == sizeof t ? 0 : 1);
        }
    close(lines[1]);
    while (read(lines[0], &t, sizeof t) == sizeof t) {
        tried += t.tried;
        failed += t.failed;
        struck += t.struck;
        over = over || t.over;
    }
    close(lines[0]);
    while (wait(NULL) > 0)
        ;
    printf("torture: %-6s %lu calls in the day, %lu failed in %d days, %d went wrong%s\n", fault_names[kind],
           (unsigned long)p->calls[kind], (unsigned long)struck, tried, failed, over ? "; out of time, run it again to go on" : "");
    fflush(stdout);
    return failed;
}

static int days_all(struct plan *p)
{
    static const enum fault_kind order[FAULT_KINDS] = {FAULT_SYNC, FAULT_DIE, FAULT_SLOW, FAULT_SEND, FAULT_ANSWER,
                                                       FAULT_WRITE, FAULT_FULL, FAULT_TEAR, FAULT_ALLOC}; /* the longest last */
    static const uint64_t sweep[FAULT_KINDS] = {[FAULT_ALLOC] = 20011, [FAULT_WRITE] = 499, [FAULT_FULL] = 499,
                                                [FAULT_SYNC] = 37,     [FAULT_SLOW] = 37,   [FAULT_SEND] = 53,
                                                [FAULT_ANSWER] = 53};
    int failed = 0;
    if (plan_measure(p) < 0)
        return 1;
    if (p->every || p->sweep)
        printf("torture: alloc  %lu calls until it serves\n", (unsigned long)p->starting);
    if (p->seconds)
        p->ends = time(NULL) + p->seconds;
    for (int k = 0; k < FAULT_KINDS; k++) {
        enum fault_kind kind = order[k];
        p->every = p->sweep ? sweep[kind] : p->every;
        if (p->only < 0 || p->only == (int)kind)
            failed += kind_all(p, kind);
    }
    free(p->expected);
    return failed ? 1 : 0;
}

static int kind_of(const char *name)
{
    for (int k = 0; k < FAULT_KINDS; k++)
        if (strcmp(fault_names[k], name) == 0)
            return k;
    fprintf(stderr, "torture: no fault is called %s\n", name);
    exit(2);
}

int main(int argc, char **argv)
{
    struct plan p = {.share = 1, .only = -1, .workers = WORKERS};
    const char *trouble = NULL;
    int rounds = 0, soak = 0, i = 1;
    for (; i + 1 < argc && strncmp(argv[i], "--", 2) == 0; i += 2) {
        if (strcmp(argv[i], "--sweep") == 0) {
            p.sweep = true;
            i--;
            continue;
        }
        long value = strtol(argv[i + 1], NULL, 10);
        if (strcmp(argv[i], "--seconds") == 0)
            p.seconds = (int)value;
        else if (strcmp(argv[i], "--share") == 0)
            p.share = (int)value;
        else if (strcmp(argv[i], "--each") == 0)
            p.each = (int)value;
        else if (strcmp(argv[i], "--every") == 0)
            p.every = (uint64_t)value;
        else if (strcmp(argv[i], "--from") == 0)
            p.from = (uint64_t)value;
        else if (strcmp(argv[i], "--workers") == 0)
            p.workers = value < 1 ? 1 : value > MOST_WORKERS ? MOST_WORKERS : (int)value;
        else if (strcmp(argv[i], "--kill") == 0)
            rounds = (int)value;
        else if (strcmp(argv[i], "--soak") == 0)
            soak = (int)value;
        else if (strcmp(argv[i], "--trouble") == 0)
            trouble = argv[i + 1];
        else if (strcmp(argv[i], "--kind") == 0)
            p.only = kind_of(argv[i + 1]);
    }
    if (i + 2 != argc) {
        fprintf(stderr, "usage: torture [--seconds S] [--each K | --share K | --every K] [--kind NAME] [--from N] [--workers W] [--kill ROUNDS] BIN FOLDER\n");
        return 2;
    }
    p.bin = argv[i];
    p.folder = argv[i + 1];
    mkdir(p.folder, 0700);
    curl_global_init(CURL_GLOBAL_ALL);
    char noise[PLAY_PATH]; /* what the stage says of a program that ended is no news here */
    snprintf(noise, sizeof noise, "%s/noise", p.folder);
    if (!freopen(noise, "a", stderr))
        return 2;
    if (soak)
        return soak_all(p.bin, p.folder, soak);
    if (trouble)
        return trouble_all(p.bin, p.folder, trouble);
    return rounds ? kill_rounds(p.bin, p.folder, rounds) : days_all(&p);
}
