/* The program under a fault, and the carrier that is patient with it. Polls are bounded; nothing else waits.
 */
#include "tests/torture/torture.h"

#include <curl/curl.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <sodium.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

enum { TRIES = 600, PAUSE_MS = 50, CALL_MS = 60000 };

static const char practice[] =
    "[receipt]\npath = /hook/receipt\nformat = json\nid = /id\nstatus = /status\ndelivered = delivered\nfailed = failed\n"
    "auth = hmac-sha256\nauth_header = X-Signature\nsecret_file = in.secret\n"
    "[clinic maple]\nname = Maple Row Practice\ntext_number = +447700900001\nvoice_number = 01632 960001\n"
    "hours = mon-fri 08:00-18:30\nout_of_hours = 111\nemergency = 999\ntime_zone = Europe/London\nlanguage = en\n"
    "protocol = esh\nmorning = 05:00-12:00\nevening = 16:00-24:00\nremind_morning = 07:30\nremind_evening = 19:30\n"
    "quiet = 21:30-07:00\nalert_to = +447700900002, mailto:duty@example.org, http://127.0.0.1:CPORT/alerts\n"
    "alert_backup = +447700900003\nalert_again = 60\n";

int world_fail(struct world *w, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    if (!w->why[0])
        vsnprintf(w->why, sizeof w->why, format, args);
    va_end(args);
    return -1;
}

void pause_ms(int ms)
{
    nanosleep(&(struct timespec){.tv_sec = ms / 1000, .tv_nsec = ms % 1000 * 1000000L}, NULL);
}

/* -- the program ------------------------------------------------------------------------------------------------------------ */

static int start_with(struct world *w, const char *what)
{
    if (what) {
        setenv("TORTURE", what, 1);
        setenv("TORTURE_TALLY", w->tally_path, 1);
        setenv("LD_PRELOAD", w->shim, 1);
    }
    int error = stage_start_program(&w->g);
    unsetenv("LD_PRELOAD");
    unsetenv("TORTURE");
    if (error) /* it has ended, or will not open its ports: both are an end */
        stage_stop_program(&w->g, SIGKILL);
    return error;
}

int world_fault(struct world *w, enum fault_kind kind, uint64_t n)
{
    char what[64];
    stage_stop_program(&w->g, SIGTERM);
    memset((void *)w->tally, 0, sizeof *w->tally);
    snprintf(what, sizeof what, "%s %lu %lu", fault_names[kind], (unsigned long)n, (unsigned long)w->every);
    return start_with(w, what);
}

int world_plain(struct world *w)
{
    stage_stop_program(&w->g, SIGTERM);
    return start_with(w, NULL) < 0 ? world_fail(w, "it does not start again") : 0;
}

int world_alive(struct world *w)
{
    if (w->g.program_pid > 0 && waitpid(w->g.program_pid, NULL, WNOHANG) == 0)
        return 0;
    w->g.program_pid = 0;
    w->restarts++;
    return start_with(w, NULL) < 0 ? world_fail(w, "it does not start again") : 0;
}

/* -- HTTP ------------------------------------------------------------------------------------------------------------------- */

struct answer {
    size_t n;
    char text[256];
};

/* The beginning of an answer is kept, if anybody wants it. */
static size_t keep(char *bytes, size_t size, size_t n, void *context)
{
    struct answer *a = context;
    size_t more = size * n;
    if (a && more > sizeof a->text - 1 - a->n)
        more = sizeof a->text - 1 - a->n;
    if (a) {
        memcpy(a->text + a->n, bytes, more);
        a->n += more;
    }
    return size * n;
}

static struct curl_slist *signed_headers(const char *body)
{
    static const char secret[] = "in-secret-of-the-stage";
    unsigned char mac[crypto_auth_hmacsha256_BYTES];
    char hex[2 * sizeof mac + 1], header[128];
    crypto_auth_hmacsha256_state state;
    crypto_auth_hmacsha256_init(&state, (const unsigned char *)secret, sizeof secret - 1);
    crypto_auth_hmacsha256_update(&state, (const unsigned char *)body, strlen(body));
    crypto_auth_hmacsha256_final(&state, mac);
    sodium_bin2hex(hex, sizeof hex, mac, sizeof mac);
    snprintf(header, sizeof header, "X-Signature: %s", hex);
    return curl_slist_append(curl_slist_append(NULL, "Content-Type: application/json"), header);
}

static long post(struct world *w, const char *path, const char *body, struct answer *answer)
{
    char url[128];
    long status = 0;
    CURL *curl = curl_easy_init();
    struct curl_slist *headers = signed_headers(body);
    snprintf(url, sizeof url, "http://127.0.0.1:%d%s", w->g.port, path);
    curl_easy_setopt(curl, CURLOPT_URL, url);
    curl_easy_setopt(curl, CURLOPT_HTTPHEADER, headers);
    curl_easy_setopt(curl, CURLOPT_POSTFIELDS, body);
    curl_easy_setopt(curl, CURLOPT_WRITEFUNCTION, keep);
    curl_easy_setopt(curl, CURLOPT_WRITEDATA, answer);
    curl_easy_setopt(curl, CURLOPT_TIMEOUT_MS, (long)CALL_MS);
    if (curl_easy_perform(curl) == CURLE_OK)
        curl_easy_getinfo(curl, CURLINFO_RESPONSE_CODE, &status);
    curl_slist_free_all(headers);
    curl_easy_cleanup(curl);
    return status;
}

long world_post(struct world *w, const char *path, const char *body)
{
    return post(w, path, body, NULL);
}

int world_post_until(struct world *w, const char *path, const char *body)
{
    long status = 0;
    struct answer answer = {0};
    for (int i = 0; i < TRIES; i++) {
        if (world_alive(w) < 0)
            return -1;
        answer = (struct answer){0};
        status = post(w, path, body, &answer);
        if (status == 200)
            return 0;
        if (status >= 400 && status < 500 && status != 409)
            break;
        pause_ms(PAUSE_MS);
    }
    return world_fail(w, "%s was answered %ld: %.200s: %s", path, status, body, answer.text);
}

int world_text(struct world *w, const char *id, const char *from, const char *words)
{
    json_t *text = json_pack("{s:s, s:s, s:s, s:s}", "id", id, "from", from, "to", "+447700900001", "text", words);
    char *body = json_dumps(text, JSON_COMPACT);
    int error = world_post_until(w, "/hook/in", body);
    free(body);
    json_decref(text);
    return error;
}

int world_move(struct world *w, const char *to)
{
    char body[64];
    snprintf(body, sizeof body, "{\"to\":\"%s\"}", to);
    return world_post_until(w, "/clock", body);
}

int world_receipts(struct world *w)
{
    char body[96];
    int error = stage_hear(&w->g);
    for (size_t i = 0; i < json_array_size(w->g.sent) && !error; i++) {
        const json_t *m = json_array_get(w->g.sent, i);
        if (strcmp(json_string_value(json_object_get(m, "path")), "/messages"))
            continue;
        snprintf(body, sizeof body, "{\"id\":\"%s\",\"status\":\"delivered\"}", json_string_value(json_object_get(m, "id")));
        error = world_post_until(w, "/hook/receipt", body);
    }
    return error;
}

int world_configure(struct world *w, const char *from, const char *to)
{
    char path[PLAY_PATH + 32], text[16384] = "";
    snprintf(path, sizeof path, "%s/quietarm.ini", w->g.folder);
    FILE *f = fopen(path, "r");
    size_t n = f ? fread(text, 1, sizeof text - 1, f) : 0;
    if (f)
        fclose(f);
    text[n] = '\0';
    char *at = strstr(text, from);
    f = at ? fopen(path, "w") : NULL;
    if (!f)
        return world_fail(w, "the configuration has no %s", from);
    fprintf(f, "%.*s%s%s", (int)(at - text), text, to, at + strlen(from));
    fclose(f);
    return 0;
}

int world_mails(struct world *w, const char *words, int ms)
{
    int n = 0;
    for (int waited = 0; waited <= ms && n == 0; waited += PAUSE_MS) {
        json_t *mails = NULL;
        stage_carrier(&w->g, "/mails", NULL, &mails);
        for (size_t i = 0; i < json_array_size(mails); i++) {
            const char *text = json_string_value(json_object_get(json_array_get(mails, i), "text"));
            n += text && strstr(text, words);
        }
        json_decref(mails);
        if (n == 0)
            pause_ms(PAUSE_MS);
    }
    return n;
}

/* -- opening and closing ---------------------------------------------------------------------------------------------------- */

static int tally_open(struct world *w)
{
    snprintf(w->tally_path, sizeof w->tally_path, "%s/tally", w->g.folder);
    int fd = open(w->tally_path, O_RDWR | O_CREAT | O_CLOEXEC, 0600);
    if (fd < 0 || ftruncate(fd, sizeof *w->tally) < 0)
        return world_fail(w, "%s: %s", w->tally_path, strerror(errno));
    void *at = mmap(NULL, sizeof *w->tally, PROT_READ | PROT_WRITE, MAP_SHARED, fd, 0);
    close(fd);
    w->tally = at == MAP_FAILED ? NULL : at;
    return w->tally ? 0 : world_fail(w, "no memory for the tally");
}

int world_open(struct world *w, const char *folder, const char *bin)
{
    *w = (struct world){.s = {.start = 1795415400}}; /* 2026-11-23T06:30:00Z, a Monday */
    w->s.ini = strdup(practice);
    char *whole = realpath(bin, NULL), *root = realpath(folder, NULL);
    snprintf(w->shim, sizeof w->shim, "%s/torture/fault.so", whole ? whole : bin);
    int error = stage_open(&w->g, root ? root : folder, bin, &w->s);
    free(whole);
    free(root);
    if (error)
        return world_fail(w, "the stage does not open; see %s", folder);
    return tally_open(w);
}

void world_close(struct world *w)
{
    stage_close(&w->g);
    free(w->s.ini);
    if (w->tally)
        munmap((void *)w->tally, sizeof *w->tally);
}
