/* A mail sink by RFC 5321, as small as a client needs: EHLO, MAIL, RCPT, DATA, RSET, NOOP, AUTH PLAIN, QUIT.
 *
 * A thread a connection. Each mail is kept as {"from","to","data","text"} in /mails, and in /sent under the path "/mail". A rule for
 * "/mail" answers RCPT with its status.
 */
#include "demo/carrier/carrier.h"

#include <arpa/inet.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <unistd.h>

struct smtp {
    struct carrier *carrier;
    int fd;
};

struct letter {
    char from[256], to[256];
    char *data;
    size_t n;
};

static void say(int fd, const char *line)
{
    for (size_t left = strlen(line); left;) {
        ssize_t n = write(fd, line, left);
        if (n <= 0)
            return;
        line += n;
        left -= (size_t)n;
    }
}

/* The address between < and >. */
static void address(const char *line, char out[256])
{
    const char *open = strchr(line, '<'), *close = open ? strchr(open, '>') : NULL;
    snprintf(out, 256, "%.*s", close ? (int)(close - open - 1) : 0, close ? open + 1 : "");
}

/* Lines up to a lone dot; a dot doubled at a line's start is single (RFC 5321, 4.5.2). */
static bool read_data(FILE *in, struct letter *l)
{
    char line[2048];
    l->n = 0;
    while (fgets(line, sizeof line, in)) {
        if (!strcmp(line, ".\r\n"))
            return true;
        const char *from = line[0] == '.' ? line + 1 : line;
        size_t n = strlen(from);
        char *longer = l->n + n < BODY_MOST ? realloc(l->data, l->n + n + 1) : NULL;
        if (!longer)
            return false;
        memcpy(longer + l->n, from, n + 1);
        l->data = longer;
        l->n += n;
    }
    return false;
}

/* The first part's words as people read them: headers and boundaries off, quoted-printable (RFC 2045, 6.7) undone. malloced. */
static char *readable(const char *data)
{
    const char *s = strstr(data, "\r\n\r\n"), *part = s && s[4] == '-' && s[5] == '-' ? strstr(s + 4, "\r\n\r\n") : NULL;
    char *out = malloc(strlen(data) + 1), *to = out;
    unsigned byte;
    s = part ? part : s;
    const char *end = part ? strstr(part + 4, "\r\n--") : NULL;
    for (s = s ? s + 4 : data; out && *s && s != end;) {
        if (s[0] == '=' && s[1] == '\r' && s[2] == '\n') {
            s += 3;
        } else if (s[0] == '=' && strspn(s + 1, "0123456789ABCDEF") >= 2 && sscanf(s + 1, "%2x", &byte) == 1) {
            *to++ = (char)byte;
            s += 3;
        } else if (*s == '\r') {
            s++;
        } else {
            *to++ = *s++;
        }
    }
    if (out)
        *to = 0;
    return out;
}

static void keep(struct carrier *c, const struct letter *l)
{
    char id[32];
    char *text = readable(l->data ? l->data : "");
    json_t *mail = json_pack("{s:s, s:s, s:s, s:s}", "from", l->from, "to", l->to, "data", l->data ? l->data : "", "text",
                             text ? text : "");
    free(text);
    if (!mail) /* not UTF-8: no mail of ours */
        return;
    pthread_mutex_lock(&c->lock);
    json_array_append_new(c->mails, json_deep_copy(mail));
    pthread_mutex_unlock(&c->lock);
    carrier_keep(c, "/mail", mail, 200, id);
}

/* One command; false ends the connection. */
static bool command(const struct smtp *s, FILE *in, struct letter *l, const char *line)
{
    char refused[64];
    if (!strncasecmp(line, "EHLO", 4)) {
        say(s->fd, "250-sink\r\n250-8BITMIME\r\n250 AUTH PLAIN\r\n");
    } else if (!strncasecmp(line, "MAIL FROM:", 10)) {
        address(line, l->from);
        say(s->fd, "250 go on\r\n");
    } else if (!strncasecmp(line, "RCPT TO:", 8)) {
        address(line, l->to);
        struct rule rule = rule_take(s->carrier, "/mail", l->to);
        snprintf(refused, sizeof refused, "%d no\r\n", rule.status);
        say(s->fd, rule.status ? refused : "250 go on\r\n");
    } else if (!strncasecmp(line, "DATA", 4)) {
        say(s->fd, "354 end with a dot\r\n");
        if (!read_data(in, l))
            return false;
        keep(s->carrier, l);
        say(s->fd, "250 kept\r\n");
    } else if (!strncasecmp(line, "AUTH PLAIN", 10)) {
        char secret[1024];
        if (strlen(line) < 13) {
            say(s->fd, "334 \r\n");
            if (!fgets(secret, sizeof secret, in))
                return false;
        }
        say(s->fd, "235 welcome\r\n");
    } else if (!strncasecmp(line, "QUIT", 4)) {
        say(s->fd, "221 bye\r\n");
        return false;
    } else {
        say(s->fd, !strncasecmp(line, "HELO", 4) || !strncasecmp(line, "RSET", 4) || !strncasecmp(line, "NOOP", 4)
                       ? "250 fine\r\n" : "502 not here\r\n");
    }
    return true;
}

static void *converse(void *context)
{
    struct smtp *s = context;
    struct letter l = {.data = NULL};
    char line[1024];
    FILE *in = fdopen(s->fd, "r");
    if (in) {
        say(s->fd, "220 sink\r\n");
        while (fgets(line, sizeof line, in) && command(s, in, &l, line))
            ;
        fclose(in);
    }
    free(l.data);
    free(s);
    return NULL;
}

static void *take_calls(void *context)
{
    struct smtp listener = *(struct smtp *)context;
    free(context);
    for (;;) {
        pthread_t thread;
        struct smtp *s = malloc(sizeof *s);
        int fd = accept(listener.fd, NULL, NULL);
        if (s)
            *s = (struct smtp){listener.carrier, fd};
        if (fd < 0 || !s || pthread_create(&thread, NULL, converse, s)) {
            if (fd >= 0)
                close(fd);
            free(s);
            continue;
        }
        pthread_detach(thread);
    }
    return NULL;
}

int smtp_start(struct carrier *c, int *port)
{
    struct sockaddr_in at = {.sin_family = AF_INET, .sin_port = htons((unsigned short)*port),
                             .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
    socklen_t size = sizeof at;
    pthread_t thread;
    int one = 1;
    struct smtp *s = malloc(sizeof *s);
    int fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    setsockopt(fd, SOL_SOCKET, SO_REUSEADDR, &one, sizeof one);
    if (!s || fd < 0 || bind(fd, (struct sockaddr *)&at, sizeof at) || listen(fd, 64) ||
        getsockname(fd, (struct sockaddr *)&at, &size))
        goto bad;
    *s = (struct smtp){c, fd};
    if (pthread_create(&thread, NULL, take_calls, s))
        goto bad;
    pthread_detach(thread);
    *port = ntohs(at.sin_port);
    return 0;
bad:
    free(s);
    if (fd >= 0)
        close(fd);
    return -1;
}
