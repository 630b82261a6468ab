/* The stage: a folder with a configuration, the program and the carrier as processes of ours, and HTTP between us.
 *
 * Ports are free ones that each process prints. Only processes started here are ended. Everything is on 127.0.0.1.
 */
#include "demo/play/place.h"
#include "demo/play/play.h"

#include <curl/curl.h>
#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

enum { START_SECONDS = 30, CALL_SECONDS = 120, ARGUMENTS = 64 };
static const char INBOUND_SECRET[] = "in-secret-of-the-stage", OUTBOUND_SECRET[] = "out-secret-of-the-stage";

/* -- files ------------------------------------------------------------------------------------------------------------------ */

static int write_file(const struct stage *g, const char *name, const char *text)
{
    char path[PLAY_PATH + 64];
    snprintf(path, sizeof path, "%s/%s", g->folder, name);
    FILE *out = fopen(path, "w");
    if (!out) {
        fprintf(stderr, "%s: %s\n", path, strerror(errno));
        return -1;
    }
    fputs(text, out);
    fclose(out);
    return chmod(path, 0600);
}

/* The configuration of every play; a script's own lines are added behind it. */
static int write_configuration(const struct stage *g, int64_t start)
{
    char base[4096], when[40], conninfo[PLACE_CONNINFO] = "", store[64] = "";
    struct tm tm;
    time_t t = start;
    strftime(when, sizeof when, "%Y-%m-%dT%H:%M:%SZ", gmtime_r(&t, &tm));
    if (place_fresh(conninfo))
        snprintf(store, sizeof store, "store = %s\nconninfo_file = conninfo\n", place_store());
    snprintf(base, sizeof base,
             "[gateway]\n%slisten = 127.0.0.1:0\ndesk_listen = 127.0.0.1:0\npublic_url = http://127.0.0.1:8481\nstate = state\n"
             "clock = stepped\nclock_start = %s\nops_to = mailto:it@example.org\n\n"
             "[inbound]\npath = /hook/in\nformat = json\nid = /id\nfrom = /from\nto = /to\ntext = /text\nsent = /sent\n"
             "auth = hmac-sha256\nauth_header = X-Signature\nsigned = body\nsecret_file = in.secret\n\n"
             "[outbound]\nurl = http://127.0.0.1:%d/messages\nformat = json\n"
             "body = {\"from\":\"{from}\",\"to\":\"{to}\",\"text\":\"{text}\",\"key\":\"{key}\"}\n"
             "header = Authorization: Bearer {secret}\nsecret_file = out.secret\nid = /id\nin_flight = 16\n"
             "per_second = 2000\n\n"
             "[mail]\nurl = smtp://127.0.0.1:%d\nfrom = quietarm@example.org\n\n",
             store, when, g->carrier_port, g->smtp_port);
    char *whole = NULL, port[16], *hole;
    if (asprintf(&whole, "%s%s", base, g->ini ? g->ini : "") < 0)
        return -1;
    snprintf(port, sizeof port, "%05d", g->carrier_port);
    while ((hole = strstr(whole, "CPORT"))) /* the carrier's port in a script's own lines */
        memcpy(hole, port, 5);
    int error = write_file(g, "quietarm.ini", whole);
    free(whole);
    if (!error && conninfo[0])
        error = write_file(g, "conninfo", conninfo);
    if (!error)
        error = write_file(g, "in.secret", INBOUND_SECRET);
    return error ? error : write_file(g, "out.secret", OUTBOUND_SECRET);
}

/* -- processes -------------------------------------------------------------------------------------------------------------- */

static pid_t spawn(const struct stage *g, const char *const argv[], int out, int err)
{
    pid_t pid = fork();
    if (pid != 0)
        return pid;
    if (chdir(g->folder) < 0)
        _exit(126);
    int null = open("/dev/null", O_RDONLY);
    dup2(null, 0);
    dup2(out, 1);
    dup2(err, 2);
    for (int fd = 3; fd < 256; fd++)
        close(fd);
    execv(argv[0], (char *const *)argv);
    _exit(127);
}

/* Reads a log until `needle` and the number behind it have come; -1 when the process ends or takes too long. */
static int port_of(const char *path, const char *needle, pid_t pid)
{
    for (int tries = 0; tries < START_SECONDS * 200; tries++) {
        char text[8192] = "";
        FILE *in = fopen(path, "r");
        size_t n = in ? fread(text, 1, sizeof text - 1, in) : 0;
        text[n] = '\0';
        if (in)
            fclose(in);
        const char *at = strstr(text, needle);
        if (at && strchr(at, '\n'))
            return (int)strtol(at + strlen(needle), NULL, 10);
        if (waitpid(pid, NULL, WNOHANG) == pid) {
            fprintf(stderr, "%s ended before it said its port:\n%s", path, text);
            return -1;
        }
        struct timespec pause = {.tv_nsec = 5000000}; /* a poll of a growing file, bounded above */
        nanosleep(&pause, NULL);
    }
    fprintf(stderr, "%s: no \"%s\" within %d s\n", path, needle, START_SECONDS);
    return -1;
}

static int open_log(const struct stage *g, const char *name, char *path, size_t size, bool anew)
{
    snprintf(path, size, "%s/%s", g->folder, name);
    return open(path, O_WRONLY | O_CREAT | (anew ? O_TRUNC : O_APPEND), 0600);
}

static int start_carrier(struct stage *g)
{
    char path[PLAY_PATH + 64];
    int log = open_log(g, "carrier.log", path, sizeof path, true);
    const char *argv[] = {g->carrier, "--secret", OUTBOUND_SECRET, NULL};
    g->carrier_pid = spawn(g, argv, log, log);
    close(log);
    g->carrier_port = port_of(path, "carrier port=", g->carrier_pid);
    g->smtp_port = g->carrier_port < 0 ? -1 : port_of(path, "smtp port=", g->carrier_pid);
    return g->smtp_port < 0 ? -1 : 0;
}

int stage_start_program(struct stage *g)
{
    char path[PLAY_PATH + 64];
    int log = open_log(g, "quietarm.log", path, sizeof path, true);
    const char *argv[] = {g->program, "serve", NULL};
    g->program_pid = spawn(g, argv, log, log);
    close(log);
    g->port = port_of(path, "listening port=", g->program_pid);
    g->desk_port = g->port < 0 ? -1 : port_of(path, "desk port=", g->program_pid);
    return g->desk_port < 0 ? -1 : 0;
}

static int end_process(pid_t *pid, int signal)
{
    int status = 0;
    if (*pid <= 0)
        return 0;
    kill(*pid, signal);
    waitpid(*pid, &status, 0);
    *pid = 0;
    return signal == SIGTERM && !(WIFEXITED(status) && WEXITSTATUS(status) == 0) ? -1 : 0;
}

bool stage_alive(struct stage *g)
{
    if (g->program_pid > 0 && waitpid(g->program_pid, NULL, WNOHANG) == g->program_pid)
        g->program_pid = 0;
    return g->program_pid > 0;
}

int stage_stop_program(struct stage *g, int signal)
{
    return end_process(&g->program_pid, signal);
}

int stage_run(struct stage *g, const char *arguments, int expected)
{
    char words[PLAY_LINE], path[PLAY_PATH + 64];
    const char *argv[ARGUMENTS] = {g->program};
    int n = 1, status = 0;
    snprintf(words, sizeof words, "%s", arguments);
    for (char *at = words; *at && n < ARGUMENTS - 1;) { /* words, or 'several words' */
        while (*at == ' ')
            at++;
        char end = *at == '\'' ? *at++ : ' ';
        argv[n++] = at;
        at += strcspn(at, (char[]){end, '\0'});
        if (*at)
            *at++ = '\0';
    }
    if (n > 1 && !argv[n - 1][0])
        n--;
    argv[n] = NULL;
    int out = open_log(g, "output", path, sizeof path, true);
    pid_t pid = spawn(g, argv, out, out);
    close(out);
    waitpid(pid, &status, 0);
    FILE *in = fopen(path, "r");
    free(g->output);
    g->output = calloc(1, 1 << 20);
    if (in && g->output)
        g->output[fread(g->output, 1, (1 << 20) - 1, in)] = '\0';
    if (in)
        fclose(in);
    if (WIFEXITED(status) && WEXITSTATUS(status) == expected)
        return 0;
    fprintf(stderr, "quietarm %s\n  ended with %d, not %d:\n%s\n", arguments,
            WIFEXITED(status) ? WEXITSTATUS(status) : -1, expected, g->output ? g->output : "");
    return -1;
}

int stage_verify(struct stage *g)
{
    static int copies;
    char command[PLAY_PATH + 32];
    int error = stage_run(g, place_store() ? "verify" : "verify state/quietarm.db", 0);
    if (error || !place_store())
        return error;
    snprintf(command, sizeof command, "%.*s/copy-%d.db", (int)sizeof command - 24, g->folder, ++copies);
    unlink(command);
    snprintf(command, sizeof command, "backup copy-%d.db", copies);
    error = stage_run(g, command, 0);
    snprintf(command, sizeof command, "verify copy-%d.db", copies);
    return error ? error : stage_run(g, command, 0);
}

/* -- HTTP --------------------------------------------------------------------------------------------------------------------- */

struct answer {
    char *text;
    size_t n;
};

static size_t take_answer(char *bytes, size_t size, size_t n, void *context)
{
    struct answer *a = context;
    char *grown = realloc(a->text, a->n + size * n + 1);
    if (!grown)
        return 0;
    memcpy(grown + a->n, bytes, size * n);
    a->text = grown;
    a->n += size * n;
    a->text[a->n] = '\0';
    return size * n;
}

/* One request; returns the status, or -1. `body` NULL is a GET. */
static int call(int port, const char *path, const char *body, const char *header, json_t **json)
{
    char url[256];
    long status = -1;
    struct answer a = {0};
    snprintf(url, sizeof url, "http://127.0.0.1:%d%s", port, path);
    CURL *curl = curl_easy_init();
    struct curl_slist *headers = curl_slist_append(NULL, "Content-Type: application/json");
    if (header)
        headers = curl_slist_append(headers, header);
    curl_easy_setopt(curl, CURLOPT_URL, url);
    curl_easy_setopt(curl, CURLOPT_HTTPHEADER, headers);
    if (body)
        curl_easy_setopt(curl, CURLOPT_POSTFIELDS, body);
    curl_easy_setopt(curl, CURLOPT_WRITEFUNCTION, take_answer);
    curl_easy_setopt(curl, CURLOPT_WRITEDATA, &a);
    curl_easy_setopt(curl, CURLOPT_TIMEOUT, (long)CALL_SECONDS);
    CURLcode error = curl_easy_perform(curl);
    if (error == CURLE_OK)
        curl_easy_getinfo(curl, CURLINFO_RESPONSE_CODE, &status);
    else
        fprintf(stderr, "%s: %s\n", url, curl_easy_strerror(error));
    if (json)
        *json = a.text ? json_loads(a.text, JSON_DECODE_ANY, NULL) : NULL;
    free(a.text);
    curl_slist_free_all(headers);
    curl_easy_cleanup(curl);
    return (int)status;
}

int stage_post(struct stage *g, const char *body)
{
    unsigned char mac[crypto_auth_hmacsha256_BYTES];
    char hex[2 * sizeof mac + 1], header[128];
    crypto_auth_hmacsha256_state state;
    crypto_auth_hmacsha256_init(&state, (const unsigned char *)INBOUND_SECRET, strlen(INBOUND_SECRET));
    crypto_auth_hmacsha256_update(&state, (const unsigned char *)body, strlen(body));
    crypto_auth_hmacsha256_final(&state, mac);
    sodium_bin2hex(hex, sizeof hex, mac, sizeof mac);
    snprintf(header, sizeof header, "X-Signature: sha256=%s", hex);
    return call(g->port, "/hook/in", body, header, NULL);
}

int stage_text(struct stage *g, const char *from, const char *to, const char *words)
{
    char id[32];
    snprintf(id, sizeof id, "in-%d", ++g->message);
    json_t *text = json_pack("{s:s, s:s, s:s, s:s}", "id", id, "from", from, "to", to, "text", words);
    char *body = json_dumps(text, JSON_COMPACT);
    int status = stage_post(g, body);
    free(body);
    json_decref(text);
    return status;
}

int stage_move(struct stage *g, int64_t to)
{
    char body[64];
    json_t *answer = NULL;
    if (to > g->now)
        snprintf(body, sizeof body, "{\"advance_s\":%lld}", (long long)(to - g->now));
    else
        snprintf(body, sizeof body, "{\"advance_s\":0}");
    int status = call(g->port, "/clock", body, NULL, &answer);
    if (status == 200 && to > g->now)
        g->now = to;
    if (status != 200)
        fprintf(stderr, "/clock %s was answered %d\n", body, status);
    json_decref(answer);
    return status == 200 ? 0 : -1;
}

int stage_carrier(struct stage *g, const char *path, const char *body, json_t **answer)
{
    return call(g->carrier_port, path, body, NULL, answer);
}

int stage_hear(struct stage *g)
{
    json_t *answer = NULL;
    char path[64];
    snprintf(path, sizeof path, "/sent?since=%zu", json_array_size(g->sent));
    int status = call(g->carrier_port, path, NULL, NULL, &answer);
    if (status == 200 && json_is_array(answer))
        json_array_extend(g->sent, answer);
    json_decref(answer);
    return status == 200 ? 0 : -1;
}

/* -- opening and closing -------------------------------------------------------------------------------------------------- */

int stage_open(struct stage *g, const char *folder, const char *bin, const struct script *s)
{
    *g = (struct stage){.now = s->start, .ini = s->ini, .sent = json_array()};
    char *whole = realpath(bin, NULL); /* the processes start in the folder */
    snprintf(g->folder, sizeof g->folder, "%s", folder);
    snprintf(g->program, sizeof g->program, "%s/quietarm", whole ? whole : bin);
    snprintf(g->carrier, sizeof g->carrier, "%s/demo/carrier", whole ? whole : bin);
    free(whole);
    if (mkdir(folder, 0700) < 0 && errno != EEXIST) {
        fprintf(stderr, "%s: %s\n", folder, strerror(errno));
        return -1;
    }
    if (sodium_init() < 0 || start_carrier(g) < 0 || write_configuration(g, s->start) < 0)
        return -1;
    return stage_start_program(g);
}

void stage_close(struct stage *g)
{
    end_process(&g->program_pid, SIGTERM);
    end_process(&g->carrier_pid, SIGTERM);
    json_decref(g->sent);
    free(g->output);
}
