/* Files that commands write: beside the name, synced, renamed, so that nobody reads half of one; for their owner alone, as
 * they tell of patients.
 */
#include "gateway/output.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static int file_write(const char *path, const void *bytes, size_t size)
{
    char beside[PATH_MAX_BYTES + 16];
    if (snprintf(beside, sizeof beside, "%s.part", path) >= (int)sizeof beside)
        return ENAMETOOLONG;
    mode_t before = umask(077);
    FILE *f = fopen(beside, "wbe");
    umask(before);
    if (!f)
        return errno;
    int error = fwrite(bytes, 1, size, f) != size || fflush(f) != 0 || fsync(fileno(f)) != 0 ? errno : 0;
    if (fclose(f) != 0 && !error)
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
    int error = file_write(path, bytes, size);
    if (error)
        return command_fail(in, EXIT_WORLD, "%s: %s; name a file that can be written", path, strerror(error));
    return EXIT_DONE;
}
