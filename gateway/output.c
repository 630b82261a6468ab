/* Files that commands write: beside the name, synced, renamed, so that nobody reads half of one; for their owner alone, as
 * they tell of patients.
 */
#include "gateway/output.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static int all_write(int fd, const char *bytes, size_t size)
{
    while (size) {
        ssize_t n = write(fd, bytes, size);
        if (n < 0 && errno != EINTR)
            return errno;
        bytes += n < 0 ? 0 : n;
        size -= n < 0 ? 0 : (size_t)n;
    }
    return 0;
}

/* A device, a pipe, /dev/stdout: it stays what it is. */
static int device_write(const char *path, const void *bytes, size_t size)
{
    int fd = open(path, O_WRONLY | O_CLOEXEC);
    int error = fd < 0 ? errno : all_write(fd, bytes, size);
    if (fd >= 0 && close(fd) != 0 && !error)
        error = errno;
    return error;
}

/* The name beside is one that nobody else has: what lies there already, a link of somebody's too, is left alone. mkostemp
 * fills in the six X that POSIX wants at the end of its template. */
static int file_write(const char *path, const void *bytes, size_t size)
{
    char beside[PATH_MAX_BYTES + 16];
    if (snprintf(beside, sizeof beside, "%s.part-XXXXXX", path) >= (int)sizeof beside)
        return ENAMETOOLONG;
    int fd = mkostemp(beside, O_CLOEXEC); /* 0600 */
    if (fd < 0)
        return errno;
    int error = all_write(fd, bytes, size);
    if (!error && fsync(fd) != 0)
        error = errno;
    if (close(fd) != 0 && !error)
        error = errno;
    if (!error && rename(beside, path) != 0)
        error = errno;
    if (error)
        unlink(beside);
    return error;
}

int output_write(const struct invocation *in, const char *path, const void *bytes, size_t size)
{
    if (strcmp(path, "-") == 0) {
        fwrite(bytes, 1, size, stdout);
        return command_done(in);
    }
    struct stat there;
    bool device = stat(path, &there) == 0 && !S_ISREG(there.st_mode) && !S_ISDIR(there.st_mode);
    int error = device ? device_write(path, bytes, size) : file_write(path, bytes, size);
    if (error)
        return command_fail(in, EXIT_WORLD, "%s: %s; name a file that can be written", path, strerror(error));
    return EXIT_DONE;
}
