/* The locks of the database file survive whatever else this process opens: without them a command beside the daemon would
 * write over its log. The byte range is the shared lock of SQLite's file format (section "File Locking" of its unix VFS:
 * 510 bytes at 1073741826), asked with F_GETLK from another process.
 */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <cmocka.h>

#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/wait.h>
#include <unistd.h>

#include "store/store.h"

enum { SHARED_FIRST = 1073741826, SHARED_SIZE = 510 };

/* Whether another process finds the file locked. */
static bool locked(const char *file)
{
    pid_t pid = fork();
    if (pid == 0) {
        struct flock lock = {.l_type = F_WRLCK, .l_whence = SEEK_SET, .l_start = SHARED_FIRST, .l_len = SHARED_SIZE};
        int fd = open(file, O_RDWR);
        _exit(fd >= 0 && fcntl(fd, F_GETLK, &lock) == 0 && lock.l_type != F_UNLCK ? 1 : 0);
    }
    int status = 0;
    waitpid(pid, &status, 0);
    return WIFEXITED(status) && WEXITSTATUS(status) == 1;
}

static void a_second_connection_leaves_the_locks_of_the_first(void **state)
{
    (void)state;
    char folder[] = "/tmp/quietarm-locks-XXXXXX", file[64], why[256] = "";
    assert_non_null(mkdtemp(folder));
    snprintf(file, sizeof file, "%s/quietarm.db", folder);
    struct db *writer = NULL, *reader = NULL;
    assert_int_equal(db_open(&writer, folder, DB_SERVE, why, sizeof why), 0);
    assert_true(locked(file));
    assert_int_equal(db_open(&reader, folder, DB_READ, why, sizeof why), 0);
    assert_true(locked(file));
    db_close(reader);
    assert_true(locked(file));
    db_close(writer);
    char command[128];
    snprintf(command, sizeof command, "%s/quietarm.lock", folder);
    unlink(command);
    unlink(file);
    rmdir(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(a_second_connection_leaves_the_locks_of_the_first)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
