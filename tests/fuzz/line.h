/* One connection to a listener: bytes sent as they stand, the answer read to its end.
 *
 * Whole requests ask for "Connection: close", so that the end of the answer is the end of the line; for bytes that may be
 * no request our half is shut, which the program takes for their end.
 */
#ifndef QUIETARM_TESTS_FUZZ_LINE_H
#define QUIETARM_TESTS_FUZZ_LINE_H

#include <arpa/inet.h>
#include <netinet/in.h>
#include <poll.h>
#include <signal.h>
#include <sys/socket.h>

#include "gateway/base.h"
#include "tests/fuzz/fuzz.h"

enum { LINE_MS = 10000, ANSWER_SEEN = 64 };

static inline int line_open(int port)
{
    struct sockaddr_in at = {.sin_family = AF_INET, .sin_port = htons((uint16_t)port),
                             .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
    struct linger hard = {.l_onoff = 1}; /* no port is left waiting: there are thousands of lines a second */
    int fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    CLAIM(fd >= 0 && connect(fd, (struct sockaddr *)&at, sizeof at) == 0, "the program listens");
    setsockopt(fd, SOL_SOCKET, SO_LINGER, &hard, sizeof hard);
    return fd;
}

/* The status of the first answer; 0: the line was closed without one. */
static inline int line_read(int fd)
{
    char answer[ANSWER_SEEN + 1] = "", piece[16384];
    size_t n = 0;
    for (;;) {
        struct pollfd p = {.fd = fd, .events = POLLIN};
        CLAIM(poll(&p, 1, LINE_MS) == 1, "a line is answered or closed in ten seconds");
        ssize_t got = recv(fd, piece, sizeof piece, 0);
        if (got <= 0)
            break;
        for (ssize_t i = 0; i < got && n < ANSWER_SEEN; i++)
            answer[n++] = piece[i];
    }
    return n > 12 && !strncmp(answer, "HTTP/1.", 7) ? (int)strtol(answer + 9, NULL, 10) : 0;
}

static inline int line_ask(int port, const char *bytes, size_t size, bool whole)
{
    sigset_t alarm, before; /* libFuzzer's own clock must not interrupt us */
    sigemptyset(&alarm);
    sigaddset(&alarm, SIGALRM);
    pthread_sigmask(SIG_BLOCK, &alarm, &before);
    int fd = line_open(port);
    while (size) {
        ssize_t n = send(fd, bytes, size, MSG_NOSIGNAL);
        if (n <= 0)
            break;
        bytes += n;
        size -= (size_t)n;
    }
    if (!whole)
        shutdown(fd, SHUT_WR);
    int status = line_read(fd);
    close(fd);
    pthread_sigmask(SIG_SETMASK, &before, NULL);
    return status;
}

/* `head` without its empty line, then the length of the body and the body. The status. */
static inline int line_post(int port, const char *head, const void *body, size_t size)
{
    struct buffer b;
    buffer_init(&b, 4 << 20);
    buffer_print(&b, "%sConnection: close\r\nContent-Length: %zu\r\n\r\n", head, size);
    buffer_add(&b, body, size);
    int status = line_ask(port, b.at, b.n, true);
    buffer_clear(&b);
    return status;
}

#endif
