/* A compressed hour at a practice of 600: texts, receipts, strangers, half-open lines and pages without pause, while memory and
 * descriptors of the program stay where they are.
 *
 * The hour is sixty minutes of the stepped clock; each takes a sixtieth of the real seconds that are given (180: 18,000 texts).
 * After each minute the resident set and the open descriptors are read from /proc. The database is cached, up to 32 MB by the
 * writer, with a header a page and once more by who reads: what it grew by, and half of that, is taken off. (With a cache of 0.5
 * MB the resident set was flat to 0.7 MB over 7,000 texts.) What leaks half a KB a text shows as 3 MB in the last third.
 */
#include <arpa/inet.h>
#include <curl/curl.h>
#include <dirent.h>
#include <pthread.h>
#include <sqlite3.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

#include "tests/torture/torture.h"

enum { PATIENTS = 600, POSTERS = 3, MINUTES = 60, WARM = 20, A_SECOND = 100, KILOBYTES_MORE = 2 * 1024, LINES_MORE = 4 };

struct soak {
    struct world w;
    int seconds;
    atomic_int texts, refused, receipts, visits;
    atomic_bool over;
    long kilobytes[MINUTES], database[MINUTES], lines[MINUTES]; /* after each minute */
};

/* -- who is there --------------------------------------------------------------------------------------------------------- */

static int enrol_all(struct soak *s)
{
    char path[PLAY_PATH + 32];
    snprintf(path, sizeof path, "%s/all.csv", s->w.g.folder);
    FILE *out = fopen(path, "w");
    if (!out)
        return world_fail(&s->w, "%s cannot be written", path);
    fprintf(out, "ref,phone,joined,arm,cuff\n");
    for (int i = 0; i < PATIENTS; i++)
        fprintf(out, "S-%03d,+4477009%05d,yes,30,22-42\n", i, 100 + i);
    fclose(out);
    return stage_run(&s->w.g, "roster --clinic maple all.csv", 0) < 0 ? world_fail(&s->w, "%s", s->w.g.output) : 0;
}

/* -- load ------------------------------------------------------------------------------------------------------------------ */

static void text_make(int n, char *body, size_t size)
{
    static const char *const odd[] = {"what is my average?", "HELP", "132", "I feel fine, thank you", "190/121 80", "YES",
                                      "chest pain", "not 132 but 123", "\\u00e9\\ud83d\\ude00", ""};
    char words[64];
    snprintf(words, sizeof words, "%d/%d %d", 110 + n % 37, 70 + n % 19, 60 + n % 23);
    snprintf(body, size, "{\"id\":\"soak-%d\",\"from\":\"+4477009%05d\",\"to\":\"+447700900001\",\"text\":\"%s\"}", n,
             100 + n * 7 % (PATIENTS + 20), n % 13 ? words : odd[n / 13 % 10]); /* some are strangers */
}

/* Texts at their share of A_SECOND; each fourth is followed by the receipt of some message, known or not. */
static void *post_texts(void *context)
{
    struct soak *s = context;
    char body[256];
    while (!s->over) {
        int n = atomic_fetch_add(&s->texts, 1);
        text_make(n, body, sizeof body);
        if (world_post(&s->w, "/hook/in", body) != 200)
            atomic_fetch_add(&s->refused, 1);
        if (n % 4 == 0) {
            snprintf(body, sizeof body, "{\"id\":\"m-%d\",\"status\":\"delivered\"}", n / 2);
            atomic_fetch_add(&s->receipts, world_post(&s->w, "/hook/receipt", body) == 200);
        }
        pause_ms(1000 * POSTERS / A_SECOND);
    }
    return NULL;
}

/* One line of whoever is no carrier: a page, a search, a request that is broken off or never begun. */
static void visit(const struct soak *s, int n)
{
    static const char *const said[] = {
        "GET /metrics HTTP/1.1\r\nHost: g\r\nConnection: close\r\n\r\n",
        "GET /desk/sign-in HTTP/1.1\r\nHost: g\r\nConnection: close\r\n\r\n",
        "POST /hook/in HTTP/1.1\r\nHost: g\r\nX-Signature: 00\r\nContent-Type: application/json\r\nContent-Length: 2\r\n\r\n{}",
        "GET /fhir/Patient?_count=3 HTTP/1.1\r\nHost: g\r\nAuthorization: Bearer no\r\nConnection: close\r\n\r\n",
        "POST /hook/in HTTP/1.1\r\nHost: g\r\nContent-Length: 60000\r\n\r\n{\"id\"", "GET /x", "", "\r\n\r\nnonsense\r\n\r\n"};
    char drain[4096];
    const char *bytes = said[n % 8];
    int port = n % 8 == 1 || n % 8 == 3 ? s->w.g.desk_port : s->w.g.port;
    struct sockaddr_in at = {.sin_family = AF_INET, .sin_port = htons((unsigned short)port),
                             .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
    struct timeval patience = {.tv_usec = 50000};
    int fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    setsockopt(fd, SOL_SOCKET, SO_RCVTIMEO, &patience, sizeof patience);
    if (connect(fd, (struct sockaddr *)&at, sizeof at) == 0 && send(fd, bytes, strlen(bytes), MSG_NOSIGNAL) >= 0)
        while (recv(fd, drain, sizeof drain, 0) > 0)
            ;
    close(fd);
}

static void *visit_much(void *context)
{
    struct soak *s = context;
    while (!s->over) {
        visit(s, atomic_fetch_add(&s->visits, 1));
        pause_ms(20);
    }
    return NULL;
}

/* -- what it holds --------------------------------------------------------------------------------------------------------- */

static long kilobytes_of(pid_t pid)
{
    char path[64], line[256];
    long n = -1;
    snprintf(path, sizeof path, "/proc/%d/status", (int)pid);
    FILE *in = fopen(path, "r");
    while (in && n < 0 && fgets(line, sizeof line, in))
        if (strncmp(line, "VmRSS:", 6) == 0)
            n = strtol(line + 6, NULL, 10);
    if (in)
        fclose(in);
    return n;
}

/* What is in the database, whether its file or its log holds it. */
static long kilobytes_stored(const struct soak *s)
{
    static const char sql[] = "SELECT page_count * page_size / 1024 FROM pragma_page_count, pragma_page_size";
    char path[PLAY_PATH + 64];
    sqlite3 *db = NULL;
    sqlite3_stmt *q = NULL;
    snprintf(path, sizeof path, "%s/state/quietarm.db", s->w.g.folder);
    int bad = sqlite3_open_v2(path, &db, SQLITE_OPEN_READONLY, NULL) || sqlite3_prepare_v2(db, sql, -1, &q, NULL);
    long n = !bad && sqlite3_step(q) == SQLITE_ROW ? (long)sqlite3_column_int64(q, 0) : -1;
    sqlite3_finalize(q);
    sqlite3_close(db);
    return n;
}

static long lines_of(pid_t pid)
{
    char path[64];
    long n = 0;
    snprintf(path, sizeof path, "/proc/%d/fd", (int)pid);
    DIR *dir = opendir(path);
    while (dir && readdir(dir))
        n++;
    if (dir)
        closedir(dir);
    return n;
}

/* Sixty minutes, each as long as it should, whatever the clock's own work takes. */
static int hour_play(struct soak *s)
{
    struct timespec began, now;
    char to[40];
    clock_gettime(CLOCK_MONOTONIC, &began);
    for (int m = 0; m < MINUTES; m++) {
        time_t at = s->w.s.start + (m + 1) * 60;
        struct tm tm;
        strftime(to, sizeof to, "%Y-%m-%dT%H:%M:%SZ", gmtime_r(&at, &tm));
        if (world_move(&s->w, to) < 0 || s->w.restarts)
            return world_fail(&s->w, "it ended by itself");
        clock_gettime(CLOCK_MONOTONIC, &now);
        long due = (long)s->seconds * 1000 * (m + 1) / MINUTES;
        long spent = (now.tv_sec - began.tv_sec) * 1000 + (now.tv_nsec - began.tv_nsec) / 1000000;
        if (due > spent)
            pause_ms((int)(due - spent));
        s->kilobytes[m] = kilobytes_of(s->w.g.program_pid);
        s->database[m] = kilobytes_stored(s);
        s->lines[m] = lines_of(s->w.g.program_pid);
    }
    return 0;
}

/* The most of minutes [from, to). */
static long most(const long *of, int from, int to)
{
    long n = 0;
    for (int m = from; m < to; m++)
        n = of[m] > n ? of[m] : n;
    return n;
}

/* Warm is the second third of what follows the start; then nothing may grow. */
static int flat(struct soak *s)
{
    long warm = most(s->kilobytes, WARM, 2 * WARM), late = most(s->kilobytes, 2 * WARM, MINUTES);
    long few = most(s->lines, WARM, 2 * WARM), many = most(s->lines, 2 * WARM, MINUTES);
    long grown = most(s->database, 2 * WARM, MINUTES) - most(s->database, WARM, 2 * WARM);
    printf("torture: soak   %d s, %d texts, %d receipts, %d odd visitors: resident %ld then %ld KB (database %+ld),"
           " descriptors %ld then %ld\n", s->seconds, s->texts, s->receipts, s->visits, warm, late, grown, few, many);
    if (s->refused)
        return world_fail(&s->w, "%d texts were not answered 200", s->refused);
    if (grown < 0 || late > warm + grown * 3 / 2 + KILOBYTES_MORE)
        return world_fail(&s->w, "memory grows: %ld KB in the second third, %ld in the last", warm, late);
    return many > few + LINES_MORE ? world_fail(&s->w, "descriptors grow: %ld, then %ld", few, many) : 0;
}

static int soak_play(struct soak *s)
{
    pthread_t threads[POSTERS + 1];
    int n = 0;
    if (enrol_all(s) < 0 || world_move(&s->w, "2026-11-23T06:30:00Z") < 0)
        return -1;
    while (n < POSTERS + 1 && pthread_create(&threads[n], NULL, n < POSTERS ? post_texts : visit_much, s) == 0)
        n++;
    int error = n == POSTERS + 1 ? hour_play(s) : world_fail(&s->w, "no thread");
    s->over = true;
    while (n > 0)
        pthread_join(threads[--n], NULL);
    return error ? error : flat(s);
}

int soak_all(const char *bin, const char *folder, int seconds)
{
    static struct soak s;
    s.seconds = seconds;
    folder_clear(folder);
    int error = world_open(&s.w, folder, bin) < 0 ? world_fail(&s.w, "the world does not open") : soak_play(&s);
    if (error)
        printf("torture: soak   WRONG: %s\n", s.w.why);
    world_close(&s.w);
    return error ? 1 : 0;
}
