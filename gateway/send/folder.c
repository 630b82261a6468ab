/* A file for a folder that somebody else watches: there whole, or not there.
 *
 * Written under a hidden temporary name, synced, renamed, and the folder synced, so that neither a watcher nor a crash
 * ever sees half a file. The name is the same for every attempt: a repeat replaces. A few hundred kilobytes at most.
 */
#include "gateway/send/parts.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static int write_all(int fd, const char *bytes, size_t size)
{
    while (size) {
        ssize_t n = write(fd, bytes, size);
        if (n < 0 && errno == EINTR)
            continue;
        if (n < 0)
            return -errno;
        bytes += n;
        size -= (size_t)n;
    }
    return 0;
}

static bool name_safe(const char *name)
{
    return *name && *name != '.' && !strchr(name, '/');
}

static int file_write(int folder, const char *name, const void *bytes, size_t size)
{
    int fd = openat(folder, name, O_WRONLY | O_CREAT | O_TRUNC | O_NOFOLLOW | O_CLOEXEC, 0600);
    if (fd < 0)
        return -errno;
    int result = write_all(fd, bytes, size);
    if (!result && fsync(fd))
        result = -errno;
    if (close(fd) && !result)
        result = -errno;
    return result;
}

int folder_write(const char *dir, const char *name, const void *bytes, size_t size)
{
    char part[300];
    if (!name_safe(name) || strlen(name) > 240)
        return -EINVAL;
    snprintf(part, sizeof part, ".%s.part", name);
    if (mkdir(dir, 0700) && errno != EEXIST)
        return -errno;
    int folder = open(dir, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (folder < 0)
        return -errno;
    int result = file_write(folder, part, bytes, size);
    if (!result && renameat(folder, part, folder, name))
        result = -errno;
    if (!result && fsync(folder))
        result = -errno;
    if (result)
        unlinkat(folder, part, 0);
    close(folder);
    return result;
}
