/* Listen: one bound socket for a host and port of the configuration.
 *
 * Bound here, not by libmicrohttpd, so that a mistake is told in plain words and a second daemon on the same port fails
 * (SO_REUSEADDR alone: a port still in TIME_WAIT is free, one in use is not).
 */
#include <errno.h>
#include <netdb.h>
#include <netinet/in.h>
#include <stdio.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

#include "gateway/web/room.h"

enum { BACKLOG = 511 };

static int socket_bound(const struct addrinfo *a)
{
    int fd = socket(a->ai_family, a->ai_socktype | SOCK_CLOEXEC | SOCK_NONBLOCK, a->ai_protocol), on = 1;
    if (fd < 0)
        return -errno;
    setsockopt(fd, SOL_SOCKET, SO_REUSEADDR, &on, sizeof on);
    if (bind(fd, a->ai_addr, a->ai_addrlen) || listen(fd, BACKLOG)) {
        int error = errno;
        close(fd);
        return -error;
    }
    return fd;
}

static int socket_port(int fd)
{
    union {
        struct sockaddr any;
        struct sockaddr_in four;
        struct sockaddr_in6 six;
    } at = {0};
    socklen_t size = sizeof at;
    if (getsockname(fd, &at.any, &size))
        return 0;
    return ntohs(at.any.sa_family == AF_INET6 ? at.six.sin6_port : at.four.sin_port);
}

int listen_open(const char *host, int port, int *bound_port, char *why, size_t why_size)
{
    struct addrinfo hints = {.ai_socktype = SOCK_STREAM, .ai_flags = AI_PASSIVE | AI_NUMERICSERV}, *found = NULL;
    char service[16];
    int fd = -EADDRNOTAVAIL;
    snprintf(service, sizeof service, "%d", port);
    int error = getaddrinfo(host[0] ? host : "127.0.0.1", service, &hints, &found);
    if (error) {
        snprintf(why, why_size, "%s: no such address to listen on (%s)", host, gai_strerror(error));
        return -1;
    }
    for (const struct addrinfo *a = found; a && fd < 0; a = a->ai_next)
        fd = socket_bound(a);
    freeaddrinfo(found);
    if (fd < 0) {
        snprintf(why, why_size, "%s:%d: cannot listen: %s; give another port, or 0 for a free one", host, port,
                 strerror(-fd));
        return -1;
    }
    *bound_port = socket_port(fd);
    return fd;
}
