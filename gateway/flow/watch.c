/* The watch: once a second the writer looks whether the machine below it is well, and tells `ops_to` when it is not.
 *
 *     what                              told                                     told again
 *     commits fail for 10 s             straight by the sender, no database      each hour; and when it is over
 *     less than 5 % of the disk free    by the outbox                            after 10 % were free
 *     the disk is full                  straight; the reserve is given up        after the reserve is back
 *     the machine's clock has jumped    by the outbox                            at each jump of more than two minutes
 *     nothing comes in for a day        by the outbox                            after something came in
 *
 * The reserve is a file of 8 MiB: giving it up lets some 5,000 more texts and their alerts through a full disk. Limits are
 * common practice, no source.
 */
#include "gateway/flow/inside.h"

#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/statvfs.h>
#include <unistd.h>

enum {
    WATCH_EVERY_MS = 1000, DISK_EVERY_MS = 60 * 1000, FAILING_MS = 10 * 1000, TOLD_AGAIN_MS = 3600 * 1000,
    LOW_PERCENT = 5, WELL_PERCENT = 10, JUMP_MS = 120 * 1000, SILENCE_EVERY_S = 3600, SILENCE_S = 86400, ASKED_LEAST = 5,
    RESERVE_BYTES = 8 << 20
};

/* -- the reserve -------------------------------------------------------------------------------------------------------- */

static void reserve_name(const struct flow *f, char *path, size_t size)
{
    snprintf(path, size, "%.1000s/quietarm.reserve", f->config->state);
}

static void reserve_keep(struct flow *f)
{
    char path[PATH_MAX_BYTES + 32];
    reserve_name(f, path, sizeof path);
    int fd = open(path, O_WRONLY | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0600);
    f->watch.reserve = fd >= 0 && posix_fallocate(fd, 0, RESERVE_BYTES) == 0;
    if (fd >= 0)
        close(fd);
    if (!f->watch.reserve)
        unlink(path);
}

static void tell_straight(struct flow *f, const char *words)
{
    char body[BODY_MAX];
    log_event(LOG_ERROR, "notice", "%s", words);
    notice_say(f, words, body, sizeof body);
    if (f->tell && f->config->ops_to[0][0])
        f->tell(f->tell_context, body);
}

void watch_full(struct flow *f)
{
    char path[PATH_MAX_BYTES + 32];
    reserve_name(f, path, sizeof path);
    if (!f->watch.reserve)
        return;
    f->watch.reserve = false;
    unlink(path);
    tell_straight(f, "the disk is full, the last reserve is in use");
}

/* -- what is looked at ------------------------------------------------------------------------------------------------------ */

static void watch_commits(struct flow *f, int64_t now_ms)
{
    struct watch *w = &f->watch;
    if (!f->figures.failing) { /* only this thread writes it */
        if (w->told_failing_ms)
            flow_notice(f, "what comes in can be stored again");
        w->failing_ms = w->told_failing_ms = 0;
        return;
    }
    if (!w->failing_ms)
        w->failing_ms = now_ms;
    bool first = !w->told_failing_ms && now_ms - w->failing_ms >= FAILING_MS;
    if (!first && !(w->told_failing_ms && now_ms - w->told_failing_ms >= TOLD_AGAIN_MS))
        return;
    w->told_failing_ms = now_ms;
    tell_straight(f, "nothing can be stored, texts wait at the carrier");
}

static void watch_disk(struct flow *f, int64_t now_ms)
{
    struct watch *w = &f->watch;
    struct statvfs disk;
    char words[64];
    if (w->disk_ms && now_ms - w->disk_ms < DISK_EVERY_MS)
        return;
    w->disk_ms = now_ms;
    if (statvfs(f->config->state, &disk) != 0 || !disk.f_blocks)
        return;
    int percent = (int)(100.0 * (double)disk.f_bavail / (double)disk.f_blocks);
    if (percent < LOW_PERCENT && !w->told_low) {
        snprintf(words, sizeof words, "the disk has only %d %% left", percent);
        w->told_low = true;
        flow_notice(f, words);
    }
    if (percent >= WELL_PERCENT)
        w->told_low = false;
    if (!w->reserve && percent >= LOW_PERCENT)
        reserve_keep(f);
}

int64_t watch_jump(struct watch *w, int64_t wall_ms, int64_t steady_ms)
{
    int64_t gap = wall_ms - steady_ms, jumped = w->gap_known ? gap - w->gap_ms : 0;
    w->gap_known = true;
    if (jumped >= JUMP_MS || jumped <= -JUMP_MS) {
        w->gap_ms = gap;
        return jumped;
    }
    w->gap_ms = gap; /* slewing is no jump */
    return 0;
}

static void watch_clock(struct flow *f)
{
    char words[64];
    if (clock_stepped())
        return;
    int64_t jumped = watch_jump(&f->watch, clock_wall_ms(), clock_real_ms());
    if (!jumped)
        return;
    snprintf(words, sizeof words, "the machine's clock jumped %s by %lld minutes", jumped > 0 ? "forward" : "back",
             (long long)(jumped > 0 ? jumped : -jumped) / 60000);
    if (jumped < 0 && clock_set_back(f->db, -jumped / 1000, clock_now()) < 0)
        log_event(LOG_WARNING, "clock_set_back", "error=%s", db_why(f->db));
    f->next_due = clock_now(); /* what was far away may be due */
    flow_notice(f, words);
}

static void watch_silence(struct flow *f)
{
    struct watch *w = &f->watch;
    int64_t now = clock_now(), last = INSTANT_NONE;
    int asked = 0;
    if (now < w->silence_due && w->silence_due - now <= SILENCE_EVERY_S)
        return;
    w->silence_due = now + SILENCE_EVERY_S;
    if (traffic(f->db, now - SILENCE_S, ASKED_LEAST, &last, &asked) < 0)
        return;
    bool silent = last != INSTANT_NONE && last < now - SILENCE_S && asked >= ASKED_LEAST;
    if (silent && !w->told_silent)
        flow_notice(f, "no text has come in for a day, though some were asked for");
    w->told_silent = silent;
}

void watch_look(struct flow *f)
{
    int64_t now_ms = clock_real_ms();
    watch_silence(f);
    if (f->watch.looked_ms && now_ms - f->watch.looked_ms < WATCH_EVERY_MS)
        return;
    f->watch.looked_ms = now_ms;
    watch_commits(f, now_ms);
    watch_disk(f, now_ms);
    watch_clock(f);
}
