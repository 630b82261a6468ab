/* Load: distinct signed texts, made before the clock starts, posted over keep-alive connections by one epoll loop.
 *
 * One request a connection is under way. Unpaced: the next goes when the last was answered (closed loop). Paced: a text is
 * due at its time whatever became of the others, and its latency counts from then, so that a stall is not left out.
 */
#include "tests/bench/bench.h"

#include <arpa/inet.h>
#include <errno.h>
#include <math.h>
#include <netinet/tcp.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/epoll.h>
#include <sys/socket.h>
#include <unistd.h>

#include "gateway/base.h"

enum { CONNECTIONS_MAX = 256, LATENCIES = 4000000, ANSWER_BYTES = 2048, STRIDE = 7919, TEXT_ROOM = 640 };

/* -- making ------------------------------------------------------------------------------------------------------------------ */

void load_words(int64_t i, char words[64])
{
    int sys = (int)(118 + i * 7 % 23), dia = (int)(70 + i * 5 % 19), pulse = (int)(58 + i * 3 % 31);
    if (i % 4 == 0)
        snprintf(words, 64, "%d/%d %d", sys, dia, pulse);
    else if (i % 4 == 1)
        snprintf(words, 64, "%d/%d pulse %d", sys, dia, pulse);
    else if (i % 4 == 2)
        snprintf(words, 64, "This morning %d over %d, %d", sys, dia, pulse);
    else
        snprintf(words, 64, "%d %d %d sat quietly first", sys, dia, pulse);
}

static void request_add(struct buffer *b, const struct world *w, const char *path, int64_t i)
{
    char phone[32], number[32], words[64], body[256], hex[2 * crypto_auth_hmacsha256_BYTES + 1];
    unsigned char mac[crypto_auth_hmacsha256_BYTES];
    crypto_auth_hmacsha256_state state;
    int64_t patient = i * STRIDE % w->patients;
    world_phone(patient, phone);
    world_clinic_number(patient, number);
    load_words(i, words);
    int n = snprintf(body, sizeof body, "{\"id\":\"load-%lld\",\"from\":\"%s\",\"to\":\"%s\",\"text\":\"%s\"}", (long long)i,
                     phone, number, words);
    crypto_auth_hmacsha256_init(&state, (const unsigned char *)bench_secret, strlen(bench_secret));
    crypto_auth_hmacsha256_update(&state, (const unsigned char *)body, (size_t)n);
    crypto_auth_hmacsha256_final(&state, mac);
    sodium_bin2hex(hex, sizeof hex, mac, sizeof mac);
    buffer_print(b, "POST %s HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/json\r\nX-Signature: sha256=%s\r\n"
                    "Content-Length: %d\r\n\r\n%s", path, hex, n, body);
}

int load_make(struct load *l, const struct world *w, const char *path, int64_t first, int64_t n)
{
    struct buffer b;
    *l = (struct load){.n = (size_t)n};
    l->at = calloc((size_t)n + 1, sizeof *l->at);
    buffer_init(&b, (size_t)n * TEXT_ROOM);
    for (int64_t i = 0; i < n && l->at; i++) {
        l->at[i] = b.n;
        request_add(&b, w, path, first + i);
    }
    if (!l->at || b.failed) {
        buffer_clear(&b);
        free(l->at);
        return -1;
    }
    l->at[n] = b.n;
    l->bytes = buffer_take(&b);
    return l->bytes ? 0 : -1;
}

void load_free(struct load *l)
{
    free(l->bytes);
    free(l->at);
    *l = (struct load){0};
}

/* -- posting -------------------------------------------------------------------------------------------------------------------- */

struct line {
    int fd;
    bool busy;
    int64_t since;
    size_t sent_to, end; /* of the request under way, in l->bytes */
    char answer[ANSWER_BYTES];
    size_t n;
};

struct running {
    struct load *l;
    struct line *lines;
    int connections, epoll, busy;
    int64_t from, until, due_step;
    uint32_t *us;
    size_t n_us;
    struct load_result *out;
    size_t due; /* texts due so far, paced */
    int turn;
};

static int line_open(int port)
{
    int fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0), on = 1;
    struct sockaddr_in to = {.sin_family = AF_INET, .sin_port = htons((uint16_t)port), .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
    if (fd < 0 || connect(fd, (struct sockaddr *)&to, sizeof to) < 0) {
        fprintf(stderr, "connecting to port %d: %s\n", port, strerror(errno));
        return -1;
    }
    setsockopt(fd, IPPROTO_TCP, TCP_NODELAY, &on, sizeof on);
    return fd;
}

static int line_post(struct running *r, struct line *line, int64_t since)
{
    struct load *l = r->l;
    if (l->next >= l->n)
        return -1;
    size_t from = l->at[l->next], to = l->at[l->next + 1];
    l->next++;
    line->since = since;
    line->busy = true;
    line->n = 0;
    r->busy++;
    return send(line->fd, l->bytes + from, to - from, MSG_NOSIGNAL) == (ssize_t)(to - from) ? 0 : -1;
}

/* Whether the answer is whole: its headers, and the body that they promise. */
static bool answer_whole(const struct line *line)
{
    const char *end = memmem(line->answer, line->n, "\r\n\r\n", 4);
    const char *length = end ? memmem(line->answer, line->n, "Content-Length: ", 16) : NULL;
    if (!end)
        return false;
    size_t body = length ? (size_t)strtol(length + 16, NULL, 10) : 0;
    return line->n >= (size_t)(end + 4 - line->answer) + body;
}

static int line_hear(struct running *r, struct line *line)
{
    ssize_t n = recv(line->fd, line->answer + line->n, ANSWER_BYTES - 1 - line->n, MSG_DONTWAIT);
    if (n <= 0)
        return n < 0 && errno == EAGAIN ? 0 : -1;
    line->n += (size_t)n;
    line->answer[line->n] = '\0';
    if (!answer_whole(line))
        return 0;
    int64_t now = now_ns();
    bool right = !strncmp(line->answer, "HTTP/1.1 200", 12);
    r->out->answered += right;
    r->out->refused += !right;
    if (r->n_us < LATENCIES)
        r->us[r->n_us++] = (uint32_t)((now - line->since) / 1000);
    line->busy = false;
    r->busy--;
    return 0;
}

static int64_t text_due(const struct running *r, size_t i)
{
    return r->from + (int64_t)i * r->due_step;
}

/* Gives free lines what there is to post. */
static int lines_feed(struct running *r)
{
    int64_t now = now_ns();
    for (int i = 0; i < r->connections; i++) {
        struct line *line = &r->lines[(r->turn + i) % r->connections]; /* in turn: none idles until it is closed */
        if (line->busy || now >= r->until)
            continue;
        if (r->due_step && text_due(r, r->due) > now)
            break;
        if (line_post(r, line, r->due_step ? text_due(r, r->due++) : now) < 0)
            return -1;
    }
    r->turn++;
    return 0;
}

static int wait_ms(const struct running *r)
{
    if (!r->due_step)
        return 100;
    int64_t left = text_due(r, r->due) - now_ns();
    return left < 1000000 ? 0 : (int)(left / 1000000); /* epoll counts whole milliseconds: the last one is spun */
}

static int lines_run(struct running *r)
{
    struct epoll_event events[CONNECTIONS_MAX];
    int error = 0;
    while (!error && (now_ns() < r->until || r->busy)) {
        if (r->l->next < r->l->n)
            error = lines_feed(r);
        else if (!r->busy)
            break;
        int n = epoll_wait(r->epoll, events, CONNECTIONS_MAX, wait_ms(r));
        for (int i = 0; i < n && !error; i++)
            error = line_hear(r, events[i].data.ptr);
        if (now_ns() > r->until + INT64_C(20000000000))
            error = -1;
    }
    return error;
}

static int lines_open(struct running *r, int port)
{
    for (int i = 0; i < r->connections; i++) {
        struct line *line = &r->lines[i];
        struct epoll_event e = {.events = EPOLLIN, .data.ptr = line};
        line->fd = line_open(port);
        if (line->fd < 0 || epoll_ctl(r->epoll, EPOLL_CTL_ADD, line->fd, &e) < 0)
            return -1;
    }
    return 0;
}

int load_run(struct load *l, int port, int connections, double seconds, double per_second, struct load_result *out)
{
    *out = (struct load_result){0};
    struct running r = {.l = l, .connections = connections, .out = out, .epoll = epoll_create1(EPOLL_CLOEXEC)};
    r.lines = calloc((size_t)connections, sizeof *r.lines);
    r.us = calloc(LATENCIES, sizeof *r.us);
    int error = r.lines && r.us && r.epoll >= 0 ? lines_open(&r, port) : -1;
    if (!error) {
        r.from = now_ns();
        r.until = r.from + (int64_t)(seconds * 1e9);
        r.due_step = per_second > 0 ? (int64_t)(1e9 / per_second) : 0;
        error = lines_run(&r);
        out->per_second = (double)out->answered * 1e9 / (double)(now_ns() - r.from);
        out->p99_ms = quantile(r.us, r.n_us, 0.99) / 1000;
        out->p50_ms = quantile(r.us, r.n_us, 0.5) / 1000;
        out->most_ms = quantile(r.us, r.n_us, 1) / 1000;
    }
    if (error)
        fprintf(stderr, "the load ended early: %lld answered, %lld refused, %d under way\n", (long long)out->answered,
                (long long)out->refused, r.busy);
    for (int i = 0; i < connections && r.lines; i++)
        if (r.lines[i].fd > 0)
            close(r.lines[i].fd);
    close(r.epoll);
    free(r.lines);
    free(r.us);
    return error;
}
