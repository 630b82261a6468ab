/* Trouble of the machine, the carrier and strangers: each a claim about the program as it is shipped.
 *
 * What is promised: a text is answered 200 only when it is stored, else 503, soon; trouble that passes needs nobody; whoever runs
 * the gateway (`ops_to`) is told, also without the database; a broken disk keeps neither a core nor the log busy.
 */
#include "tests/torture/torture.h"

#include <curl/curl.h>
#include <errno.h>
#include <fcntl.h>
#include <netinet/in.h>
#include <signal.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

enum { CROWD = 10000 };

#define ADA "+447700900101"
static const char ONE[] = "{\"id\":\"t-1\",\"from\":\"" ADA "\",\"to\":\"+447700900001\",\"text\":\"132/84 71\"}";
static const char TWO[] = "{\"id\":\"t-2\",\"from\":\"" ADA "\",\"to\":\"+447700900001\",\"text\":\"130/82 70\"}";

static int enrol_ada(struct world *w)
{
    return stage_run(&w->g, "enrol --clinic maple --ref ADA --phone " ADA " --joined --arm 30 --cuff 22-42", 0) < 0
               ? world_fail(w, "nobody can be enrolled")
               : 0;
}

static int answered(struct world *w, const char *body, long expected)
{
    long status = world_post(w, "/hook/in", body);
    return status == expected ? 0 : world_fail(w, "a text was answered %ld, not %ld", status, expected);
}

/* How many lines of the log hold `words`. */
static int logged(struct world *w, const char *words)
{
    char path[PLAY_PATH + 32], line[2048];
    int n = 0;
    snprintf(path, sizeof path, "%s/quietarm.log", w->g.folder);
    FILE *in = fopen(path, "r");
    while (in && fgets(line, sizeof line, in))
        n += strstr(line, words) != NULL;
    if (in)
        fclose(in);
    return n;
}

/* Taken by the carrier; what it refused is none. */
static int texts_to_ada(struct world *w, const char *words)
{
    int n = 0;
    stage_hear(&w->g);
    for (size_t i = 0; i < json_array_size(w->g.sent); i++) {
        const json_t *m = json_array_get(w->g.sent, i);
        const char *to = json_string_value(json_object_get(m, "to")), *text = json_string_value(json_object_get(m, "text"));
        n += to && text && strcmp(to, ADA) == 0 && strstr(text, words) && !json_is_true(json_object_get(m, "repeat")) &&
             !json_object_get(m, "was");
    }
    return n;
}

/* -- the disk ------------------------------------------------------------------------------------------------------------------ */

static int disk_fails(struct world *w, int error)
{
    if (enrol_ada(w) < 0 || world_fault(w, FAULT_ALLOC, 0) < 0 || world_move(w, "2026-11-23T07:10:00Z") < 0)
        return -1;
    w->tally->disk_error = error;
    if (answered(w, ONE, 503) < 0)
        return -1;
    if (!world_mails(w, "nothing can be stored", 20000))
        return world_fail(w, "nobody was told that commits fail");
    int tries = logged(w, "unstored");
    if (tries > 60)
        return world_fail(w, "a broken disk is tried %d times in a quarter of a minute", tries);
    w->tally->disk_error = 0;
    if (world_post_until(w, "/hook/in", ONE) < 0 || world_move(w, "2026-11-23T07:12:00Z") < 0)
        return -1;
    if (texts_to_ada(w, "Got 132/84") != 1)
        return world_fail(w, "the reply came %d times", texts_to_ada(w, "Got 132/84"));
    return world_mails(w, "can be stored again", 10000) ? 0 : world_fail(w, "nobody was told that it is over");
}

static int a_full_disk_answers_503_tells_it_and_recovers(struct world *w)
{
    return disk_fails(w, ENOSPC);
}

static int a_read_only_disk_answers_503_tells_it_and_recovers(struct world *w)
{
    return disk_fails(w, EROFS);
}

static int a_disk_under_five_percent_is_told_once(struct world *w)
{
    if (world_fault(w, FAULT_ALLOC, 0) < 0)
        return -1;
    stage_stop_program(&w->g, SIGTERM);
    w->tally->percent_free = 3;
    setenv("TORTURE", "alloc 0", 1);
    setenv("TORTURE_TALLY", w->tally_path, 1);
    setenv("LD_PRELOAD", w->shim, 1);
    int error = stage_start_program(&w->g);
    unsetenv("LD_PRELOAD");
    if (error)
        return world_fail(w, "it does not start");
    int mails = world_mails(w, "% left", 10000);
    return mails == 1 ? 0 : world_fail(w, "%d mails tell that the disk is low", mails);
}

static int the_reserve_is_kept_and_given_up_on_a_full_disk(struct world *w)
{
    char path[PLAY_PATH + 64];
    snprintf(path, sizeof path, "%s/state/quietarm.reserve", w->g.folder);
    if (world_fault(w, FAULT_ALLOC, 0) < 0)
        return -1;
    for (int i = 0; i < 100 && access(path, F_OK) != 0; i++)
        pause_ms(50);
    if (access(path, F_OK) != 0)
        return world_fail(w, "no reserve is kept");
    w->tally->disk_error = ENOSPC;
    if (answered(w, ONE, 503) < 0)
        return -1;
    if (access(path, F_OK) == 0)
        return world_fail(w, "the reserve is still there");
    return world_mails(w, "reserve is in use", 10000) ? 0 : world_fail(w, "nobody was told");
}

/* Four pages in the middle of the file are noise. Whatever is answered 200 must be there. */
static int a_corrupt_page_is_never_answered_200_unless_stored(struct world *w)
{
    char path[PLAY_PATH + 64], noise[4 * 4096];
    if (enrol_ada(w) < 0 || world_post_until(w, "/hook/in", ONE) < 0)
        return -1;
    stage_stop_program(&w->g, SIGTERM);
    snprintf(path, sizeof path, "%s/state/quietarm.db", w->g.folder);
    memset(noise, 0xa5, sizeof noise);
    int fd = open(path, O_WRONLY);
    if (fd < 0 || pwrite(fd, noise, sizeof noise, 3 * 4096) != (ssize_t)sizeof noise)
        return world_fail(w, "%s: %s", path, strerror(errno));
    close(fd);
    if (stage_run(&w->g, "verify state/quietarm.db", 1) < 0)
        return world_fail(w, "verify does not see it");
    if (stage_start_program(&w->g) < 0) {
        stage_stop_program(&w->g, SIGKILL);
        return 0; /* it says what is wrong, and ends */
    }
    return answered(w, TWO, 503);
}

static int a_newer_schema_is_refused(struct world *w)
{
    char path[PLAY_PATH + 64];
    sqlite3 *db = NULL;
    stage_stop_program(&w->g, SIGTERM);
    snprintf(path, sizeof path, "%s/state/quietarm.db", w->g.folder);
    if (sqlite3_open(path, &db) || sqlite3_exec(db, "PRAGMA user_version = 99", NULL, NULL, NULL))
        return world_fail(w, "the schema cannot be raised");
    sqlite3_close(db);
    if (stage_run(&w->g, "serve", 1) < 0 || !strstr(w->g.output, "newer"))
        return world_fail(w, "serve said: %s", w->g.output ? w->g.output : "");
    return 0;
}

static int a_missing_words_folder_is_a_mistake_of_usage(struct world *w)
{
    stage_stop_program(&w->g, SIGTERM);
    if (world_configure(w, "clock = stepped\n", "clock = stepped\nwords = nowhere\n") < 0)
        return -1;
    return stage_run(&w->g, "serve", 2) == 0 ? 0 : world_fail(w, "serve said: %s", w->g.output ? w->g.output : "");
}

static int a_lock_of_another_process_is_waited_out_or_answered_503(struct world *w)
{
    char path[PLAY_PATH + 64];
    sqlite3 *db = NULL;
    snprintf(path, sizeof path, "%s/state/quietarm.db", w->g.folder);
    if (enrol_ada(w) < 0 || sqlite3_open(path, &db) || sqlite3_exec(db, "BEGIN IMMEDIATE", NULL, NULL, NULL))
        return world_fail(w, "the database cannot be locked");
    int error = answered(w, ONE, 503);
    sqlite3_exec(db, "ROLLBACK", NULL, NULL, NULL);
    sqlite3_close(db);
    return error ? error : world_post_until(w, "/hook/in", ONE);
}

/* -- the clock ----------------------------------------------------------------------------------------------------------------- */

static int clock_jumps(struct world *w, int64_t seconds, const char *told)
{
    stage_stop_program(&w->g, SIGTERM);
    if (world_configure(w, "clock = stepped\nclock_start = 2026-11-23T06:30:00Z\n", "clock = system\n") < 0 ||
        world_fault(w, FAULT_ALLOC, 0) < 0 || enrol_ada(w) < 0 || answered(w, ONE, 200) < 0)
        return -1;
    pause_ms(1500); /* the watch has seen the clock as it was */
    w->tally->shift_s = seconds;
    if (answered(w, TWO, 200) < 0 || answered(w, TWO, 200) < 0)
        return -1;
    if (!world_mails(w, told, 10000))
        return world_fail(w, "nobody was told that the clock jumped");
    for (int i = 0; i < 200 && texts_to_ada(w, "130/82") == 0; i++)
        pause_ms(50);
    return texts_to_ada(w, "130/82") == 1 ? 0 : world_fail(w, "the reply came %d times", texts_to_ada(w, "130/82"));
}

static int a_clock_set_back_a_day_is_told_and_replies_go_on(struct world *w)
{
    return clock_jumps(w, -86400, "jumped back by 14");
}

static int a_clock_set_back_a_day_delays_nothing_that_waits(struct world *w)
{
    stage_stop_program(&w->g, SIGTERM);
    stage_carrier(&w->g, "/behave", "{\"path\":\"/messages\",\"status\":500}", NULL);
    if (world_configure(w, "clock = stepped\nclock_start = 2026-11-23T06:30:00Z\n", "clock = system\n") < 0 ||
        world_fault(w, FAULT_ALLOC, 0) < 0 || enrol_ada(w) < 0 || answered(w, ONE, 200) < 0)
        return -1;
    pause_ms(2500); /* the first attempt was refused, and the watch has seen the clock as it was */
    w->tally->shift_s = -86400;
    stage_carrier(&w->g, "/behave", "{}", NULL);
    for (int i = 0; i < 1200 && texts_to_ada(w, "Got 132/84") == 0; i++)
        pause_ms(50);
    return texts_to_ada(w, "Got 132/84") == 1 ? 0 : world_fail(w, "a minute after the jump the reply had come %d times",
                                                           texts_to_ada(w, "Got 132/84"));
}

static int a_clock_set_forward_a_day_is_told_and_replies_go_on(struct world *w)
{
    return clock_jumps(w, 86400, "jumped forward by 14");
}

/* -- the carrier, and strangers -------------------------------------------------------------------------------------------------- */

static int a_refused_route_is_told_by_another_way(struct world *w)
{
    stage_carrier(&w->g, "/behave", "{\"path\":\"/messages\",\"status\":401}", NULL);
    if (enrol_ada(w) < 0 || world_move(w, "2026-11-23T07:10:00Z") < 0)
        return -1;
    return world_mails(w, "carrier is refused", 10000) == 1 ? 0 : world_fail(w, "nobody was told, or more than once");
}

static int a_carrier_that_hangs_does_not_delay_an_answer(struct world *w)
{
    struct timespec before, after;
    stage_carrier(&w->g, "/behave", "{\"path\":\"/messages\",\"hang\":true}", NULL);
    if (enrol_ada(w) < 0 || answered(w, ONE, 200) < 0)
        return -1;
    clock_gettime(CLOCK_MONOTONIC, &before);
    int error = answered(w, TWO, 200);
    clock_gettime(CLOCK_MONOTONIC, &after);
    stage_carrier(&w->g, "/behave", "{}", NULL);
    if (after.tv_sec - before.tv_sec > 2)
        return world_fail(w, "a text was answered after %ld s", (long)(after.tv_sec - before.tv_sec));
    return error;
}

/* Opens connections that send `bytes` and no more; those beyond the queue of the kernel stay half-open. */
static int crowd_open(int port, const char *bytes, int *fds, int n)
{
    struct sockaddr_in at = {.sin_family = AF_INET, .sin_port = htons((unsigned short)port),
                             .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
    struct rlimit limit;
    getrlimit(RLIMIT_NOFILE, &limit);
    limit.rlim_cur = limit.rlim_max;
    setrlimit(RLIMIT_NOFILE, &limit);
    for (int i = 0; i < n; i++) {
        fds[i] = socket(AF_INET, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0);
        if (fds[i] < 0)
            return i;
        if (connect(fds[i], (struct sockaddr *)&at, sizeof at) < 0 && errno != EINPROGRESS) {
            close(fds[i]);
            return i;
        }
        if (*bytes && send(fds[i], bytes, strlen(bytes), MSG_NOSIGNAL) < 0 && errno != EAGAIN)
            return i + 1; /* it is cut already */
    }
    return n;
}

/* A carrier's text behind 10,000 others is answered within `most` seconds. */
static int crowd_delays(struct world *w, const char *bytes, int most)
{
    static int fds[CROWD];
    struct timespec before, after;
    int n = crowd_open(w->g.port, bytes, fds, CROWD);
    clock_gettime(CLOCK_MONOTONIC, &before);
    long status = world_post(w, "/hook/in", ONE);
    clock_gettime(CLOCK_MONOTONIC, &after);
    for (int i = 0; i < n; i++)
        close(fds[i]);
    long took = after.tv_sec - before.tv_sec;
    printf("torture: %d connections that sent %zu bytes: a text was answered %ld after %ld s\n", n, strlen(bytes), status, took);
    if (n < 1000)
        return world_fail(w, "only %d connections could be opened", n);
    return status == 200 && took < most ? 0 : world_fail(w, "it took too long");
}

static int ten_thousand_silent_connections_delay_a_text_by_seconds(struct world *w)
{
    return crowd_delays(w, "", 45);
}

static int ten_thousand_slow_headers_delay_a_text_by_seconds(struct world *w)
{
    return crowd_delays(w, "POST /hook/in HTTP/1.1\r\nHost: g\r\nX-", 45);
}

static int ten_thousand_slow_bodies_delay_a_text_by_seconds(struct world *w)
{
    return crowd_delays(w, "POST /hook/in HTTP/1.1\r\nHost: g\r\nContent-Length: 60000\r\n\r\n{\"id\"", 45);
}

/* -- all of it --------------------------------------------------------------------------------------------------------------------- */

#define CLAIM(name) {#name, name}
static const struct {
    const char *name;
    int (*claim)(struct world *w);
} claims[] = {
    CLAIM(a_full_disk_answers_503_tells_it_and_recovers),
    CLAIM(a_read_only_disk_answers_503_tells_it_and_recovers),
    CLAIM(a_disk_under_five_percent_is_told_once),
    CLAIM(the_reserve_is_kept_and_given_up_on_a_full_disk),
    CLAIM(a_corrupt_page_is_never_answered_200_unless_stored),
    CLAIM(a_newer_schema_is_refused),
    CLAIM(a_missing_words_folder_is_a_mistake_of_usage),
    CLAIM(a_lock_of_another_process_is_waited_out_or_answered_503),
    CLAIM(a_clock_set_back_a_day_is_told_and_replies_go_on),
    CLAIM(a_clock_set_back_a_day_delays_nothing_that_waits),
    CLAIM(a_clock_set_forward_a_day_is_told_and_replies_go_on),
    CLAIM(a_refused_route_is_told_by_another_way),
    CLAIM(a_carrier_that_hangs_does_not_delay_an_answer),
    CLAIM(ten_thousand_silent_connections_delay_a_text_by_seconds),
    CLAIM(ten_thousand_slow_headers_delay_a_text_by_seconds),
    CLAIM(ten_thousand_slow_bodies_delay_a_text_by_seconds),
};
enum { CLAIMS = sizeof claims / sizeof *claims, AT_ONCE = 2 };

static int claim_try(const char *bin, const char *folder, size_t i)
{
    char place[PLAY_PATH];
    struct world w;
    snprintf(place, sizeof place, "%s/trouble-%zu", folder, i);
    folder_clear(place);
    int error = world_open(&w, place, bin) < 0 ? -1 : claims[i].claim(&w);
    printf("torture: %s %s%s%s\n", error ? "FAIL" : "ok  ", claims[i].name, error ? ": " : "", error ? w.why : "");
    world_close(&w);
    if (!error) {
        folder_clear(place);
        rmdir(place);
    }
    return error ? 1 : 0;
}

int trouble_all(const char *bin, const char *folder, const char *only)
{
    int running = 0, status, failed = 0;
    fflush(stdout);
    for (size_t i = 0; i < CLAIMS; i++) {
        if (strcmp(only, "all") && !strstr(claims[i].name, only))
            continue;
        if (running == AT_ONCE && wait(&status) > 0) {
            running--;
            failed += status != 0;
        }
        if (fork() == 0) {
            status = claim_try(bin, folder, i);
            fflush(stdout);
            _exit(status);
        }
        running++;
    }
    while (wait(&status) > 0)
        failed += status != 0;
    return failed ? 1 : 0;
}
