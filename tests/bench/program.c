/* Program: the real one as a process, and what the system says of it.
 */
#include "tests/bench/bench.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/prctl.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include <arpa/inet.h>
#include <sys/socket.h>

enum { START_SECONDS = 60, ARGUMENTS = 24 };

static void program_become(const struct world *w, const char *binary, const char *const *wrapper, const char *preload)
{
    const char *argv[ARGUMENTS];
    int n = 0;
    prctl(PR_SET_PDEATHSIG, SIGTERM);
    for (; wrapper && wrapper[n] && n < ARGUMENTS - 3; n++)
        argv[n] = wrapper[n];
    argv[n++] = binary;
    argv[n++] = "serve";
    argv[n] = NULL;
    if (chdir(w->folder) < 0)
        _exit(126);
    int log = open("quietarm.log", O_WRONLY | O_CREAT | O_TRUNC, 0600), null = open("/dev/null", O_RDONLY);
    dup2(null, 0);
    dup2(log, 1);
    dup2(log, 2);
    if (preload)
        setenv("LD_PRELOAD", preload, 1);
    execvp(argv[0], (char *const *)argv);
    _exit(127);
}

/* Its log, until it says the port of the hook. */
static int port_wait(struct program *p, const char *log)
{
    for (int64_t end = now_ns() + START_SECONDS * INT64_C(1000000000); now_ns() < end;) {
        char text[8192];
        FILE *in = fopen(log, "r");
        size_t n = in ? fread(text, 1, sizeof text - 1, in) : 0;
        text[n] = '\0';
        if (in)
            fclose(in);
        const char *at = strstr(text, "listening port="), *desk = strstr(text, "desk port=");
        if (at && desk && strchr(desk, '\n'))
            return (int)strtol(at + 15, NULL, 10);
        if (waitpid(p->pid, NULL, WNOHANG) == p->pid) {
            fprintf(stderr, "the program ended at its start:\n%s", text);
            p->pid = 0;
            return -1;
        }
        nanosleep(&(struct timespec){.tv_nsec = 500000}, NULL); /* a poll of a growing file, bounded above */
    }
    return -1;
}

int program_start(struct program *p, const char *binary, const struct world *w, const char *const *wrapper, const char *preload)
{
    char log[BENCH_PATH + 32], *whole = realpath(binary, NULL);
    snprintf(log, sizeof log, "%s/quietarm.log", w->folder);
    *p = (struct program){.port = -1};
    if (!whole) {
        fprintf(stderr, "%s: %s\n", binary, strerror(errno));
        return -1;
    }
    unlink(log);
    int64_t from = now_ns();
    *p = (struct program){.pid = fork()};
    if (p->pid == 0)
        program_become(w, whole, wrapper, preload);
    free(whole);
    p->port = p->pid > 0 ? port_wait(p, log) : -1;
    p->start_ms = (double)(now_ns() - from) / 1e6;
    return p->port > 0 ? 0 : -1;
}

int program_stop(struct program *p)
{
    int status = 0;
    if (p->pid <= 0)
        return -1;
    kill(p->pid, SIGTERM);
    waitpid(p->pid, &status, 0);
    p->pid = 0;
    return WIFEXITED(status) && WEXITSTATUS(status) == 0 ? 0 : -1;
}

/* -- what the system says ------------------------------------------------------------------------------------------------------ */

static int64_t status_line(const struct program *p, const char *name)
{
    char path[64], line[256];
    int64_t value = -1;
    snprintf(path, sizeof path, "/proc/%d/status", (int)p->pid);
    FILE *in = fopen(path, "r");
    while (in && fgets(line, sizeof line, in))
        if (!strncmp(line, name, strlen(name)))
            value = strtoll(line + strlen(name), NULL, 10);
    if (in)
        fclose(in);
    return value;
}

int64_t program_memory(const struct program *p)
{
    return status_line(p, "VmRSS:") * 1024;
}

double program_cpu(const struct program *p)
{
    char path[64], text[1024] = "";
    snprintf(path, sizeof path, "/proc/%d/stat", (int)p->pid);
    FILE *in = fopen(path, "r");
    size_t n = in ? fread(text, 1, sizeof text - 1, in) : 0;
    text[n] = '\0';
    if (in)
        fclose(in);
    const char *at = strrchr(text, ')');
    unsigned long user = 0, kernel = 0;
    if (at)
        sscanf(at + 1, " %*c %*d %*d %*d %*d %*d %*u %*u %*u %*u %*u %lu %lu", &user, &kernel);
    return (double)(user + kernel) / (double)sysconf(_SC_CLK_TCK);
}

/* -- what it says itself --------------------------------------------------------------------------------------------------------- */

int64_t program_metric(const struct program *p, const char *name)
{
    char text[32768];
    size_t n = 0;
    ssize_t got = 0;
    int fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    struct sockaddr_in to = {.sin_family = AF_INET, .sin_port = htons((uint16_t)p->port), .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
    static const char ask[] = "GET /metrics HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n";
    if (fd >= 0 && connect(fd, (struct sockaddr *)&to, sizeof to) == 0 && send(fd, ask, sizeof ask - 1, MSG_NOSIGNAL) > 0)
        while (n < sizeof text - 1 && (got = recv(fd, text + n, sizeof text - 1 - n, 0)) > 0)
            n += (size_t)got;
    if (fd >= 0)
        close(fd);
    text[n] = '\0';
    for (const char *at = text; (at = strstr(at, name)); at++)
        if (at > text && at[-1] == '\n' && at[strlen(name)] == ' ')
            return strtoll(at + strlen(name), NULL, 10);
    return -1;
}
