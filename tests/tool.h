/* Runs another program and takes what it prints (readers of PDF, validators; no shell in between), and small files. For tests
 * only. */
#ifndef QUIETARM_TESTS_TOOL_H
#define QUIETARM_TESTS_TOOL_H

#include <fcntl.h>
#include <spawn.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

extern char **environ;

/* Its exit status; -1 when it cannot be run. Standard output and error go to `out`, as far as they fit. */
static inline int tool_run(const char *const argv[], char *out, size_t size)
{
    int ends[2], status = -1;
    size_t n = 0;
    pid_t pid;
    posix_spawn_file_actions_t actions;
    if (pipe(ends) != 0)
        return -1;
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_adddup2(&actions, ends[1], 1);
    posix_spawn_file_actions_adddup2(&actions, ends[1], 2);
    posix_spawn_file_actions_addclose(&actions, ends[0]);
    int error = posix_spawnp(&pid, argv[0], &actions, NULL, (char *const *)(uintptr_t)argv, environ);
    posix_spawn_file_actions_destroy(&actions);
    close(ends[1]);
    char rest[4096];
    for (ssize_t got; (got = read(ends[0], n + 1 < size ? out + n : rest, n + 1 < size ? size - n - 1 : sizeof rest)) > 0;)
        n += n + 1 < size ? (size_t)got : 0;
    if (size)
        out[n] = '\0';
    close(ends[0]);
    if (error || waitpid(pid, &status, 0) != pid)
        return -1;
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

/* A file of the test's own, to be removed by it; its name is filled in by mkstemp. */
static inline void tool_file(char path[64], const void *bytes, size_t size)
{
    snprintf(path, 64, "build/test-XXXXXX");
    int fd = mkstemp(path);
    if (fd < 0 || write(fd, bytes, size) != (ssize_t)size)
        abort();
    close(fd);
}

/* Puts `to` in the place of the first `from` in a small file, which must hold it. */
static inline void tool_replace(const char *path, const char *from, const char *to)
{
    enum { MOST = 1 << 16 };
    char *bytes = calloc(1, MOST), *at = NULL;
    FILE *file = fopen(path, "r+");
    if (file && bytes && fread(bytes, 1, MOST - 1, file) > 0)
        at = strstr(bytes, from);
    if (!at || fseek(file, at - bytes, SEEK_SET) || fprintf(file, "%s%s", to, at + strlen(from)) < 0 ||
        ftruncate(fileno(file), ftell(file)) || fclose(file))
        abort();
    free(bytes);
}

#endif
