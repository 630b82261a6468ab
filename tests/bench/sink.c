/* Sink: the least that a far side over HTTP can be, in a process of its own: takes a post, answers 200.
 *
 * Plain, it stands for the carrier. Signed, it is the ceiling of intake: the same HTTP library with the same settings,
 * the same signature checked, the same JSON read, and then nothing is stored.
 */
#include "tests/bench/bench.h"

#include <arpa/inet.h>
#include <microhttpd.h>
#include <signal.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

enum { LINES_MAX_OPEN = 120, BODY_MOST = 4096 };

struct post {
    char body[BODY_MOST];
    size_t n;
};

struct serving {
    bool signed_;
    int delay_ms;
    volatile struct sink_seen *seen;
};

static bool signature_right(struct MHD_Connection *c, const struct post *p)
{
    const char *given = MHD_lookup_connection_value(c, MHD_HEADER_KIND, "X-Signature");
    unsigned char mac[crypto_auth_hmacsha256_BYTES];
    char hex[2 * sizeof mac + 1];
    crypto_auth_hmacsha256_state state;
    crypto_auth_hmacsha256_init(&state, (const unsigned char *)bench_secret, strlen(bench_secret));
    crypto_auth_hmacsha256_update(&state, (const unsigned char *)p->body, p->n);
    crypto_auth_hmacsha256_final(&state, mac);
    sodium_bin2hex(hex, sizeof hex, mac, sizeof mac);
    return given && strlen(given) == 7 + sizeof hex - 1 && !sodium_memcmp(given + 7, hex, sizeof hex - 1);
}

static bool body_right(const struct post *p)
{
    json_t *body = json_loadb(p->body, p->n, JSON_REJECT_DUPLICATES, NULL);
    const char *id, *from, *to, *text;
    bool right = body && json_unpack(body, "{s:s, s:s, s:s, s:s}", "id", &id, "from", &from, "to", &to, "text", &text) == 0;
    json_decref(body);
    return right;
}

static enum MHD_Result post_answer(struct serving *s, struct MHD_Connection *c, const struct post *p)
{
    static char answer[] = "{\"id\":\"m-1\"}";
    bool right = !s->signed_ || (signature_right(c, p) && body_right(p));
    int64_t now = now_ns();
    if (s->delay_ms)
        nanosleep(&(struct timespec){.tv_nsec = s->delay_ms * 1000000L}, NULL); /* this connection has a thread of its own */
    if (!__atomic_fetch_add(&s->seen->requests, 1, __ATOMIC_RELAXED))
        s->seen->first_ns = now;
    s->seen->last_ns = now;
    struct MHD_Response *r = MHD_create_response_from_buffer(s->signed_ ? 0 : sizeof answer - 1, answer, MHD_RESPMEM_PERSISTENT);
    enum MHD_Result queued = MHD_queue_response(c, right ? 200 : 401, r);
    MHD_destroy_response(r);
    return queued;
}

static enum MHD_Result post_step(void *context, struct MHD_Connection *c, const char *url, const char *method,
                                 const char *version, const char *upload, size_t *upload_size, void **state)
{
    struct post *p = *state;
    (void)url, (void)method, (void)version;
    if (!p) {
        *state = calloc(1, sizeof *p);
        return *state ? MHD_YES : MHD_NO;
    }
    if (!*upload_size)
        return post_answer(context, c, p);
    if (p->n + *upload_size > BODY_MOST)
        return MHD_NO;
    memcpy(p->body + p->n, upload, *upload_size);
    p->n += *upload_size;
    *upload_size = 0;
    return MHD_YES;
}

static void post_completed(void *context, struct MHD_Connection *c, void **state, enum MHD_RequestTerminationCode code)
{
    (void)context, (void)c, (void)code;
    free(*state);
}

static void serve(struct serving *s, int pipe_end)
{
    prctl(PR_SET_PDEATHSIG, SIGTERM);
    struct sockaddr_in at = {.sin_family = AF_INET, .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
    unsigned flags = s->delay_ms ? MHD_USE_THREAD_PER_CONNECTION | MHD_USE_INTERNAL_POLLING_THREAD : MHD_USE_EPOLL_INTERNAL_THREAD;
    struct MHD_Daemon *d = MHD_start_daemon(flags, 0, NULL, NULL, post_step, s, MHD_OPTION_SOCK_ADDR, &at,
                                            MHD_OPTION_CONNECTION_LIMIT, (unsigned)LINES_MAX_OPEN, MHD_OPTION_NOTIFY_COMPLETED,
                                            post_completed, NULL, MHD_OPTION_END);
    const union MHD_DaemonInfo *info = d ? MHD_get_daemon_info(d, MHD_DAEMON_INFO_BIND_PORT) : NULL;
    int port = info ? info->port : 0;
    if (write(pipe_end, &port, sizeof port) != sizeof port || !port)
        _exit(1);
    for (;;)
        pause();
}

int sink_open(struct sink *s, bool signed_, int delay_ms)
{
    int ends[2];
    *s = (struct sink){0};
    s->seen = mmap(NULL, sizeof *s->seen, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    if (s->seen == MAP_FAILED || pipe(ends) < 0)
        return -1;
    s->pid = fork();
    if (s->pid == 0)
        serve(&(struct serving){.signed_ = signed_, .delay_ms = delay_ms, .seen = s->seen}, ends[1]);
    close(ends[1]);
    int error = s->pid > 0 && read(ends[0], &s->port, sizeof s->port) == sizeof s->port && s->port ? 0 : -1;
    close(ends[0]);
    return error;
}

void sink_close(struct sink *s)
{
    if (s->pid > 0) {
        kill(s->pid, SIGTERM);
        waitpid(s->pid, NULL, 0);
    }
    if (s->seen)
        munmap((void *)(uintptr_t)s->seen, sizeof *s->seen);
    *s = (struct sink){0};
}
