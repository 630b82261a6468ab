/* The locks of the database file survive whatever else this process opens: without them a command beside the daemon would
 * write over its log. The byte range is the shared lock of SQLite's file format (section "File Locking" of its unix VFS:
 * 510 bytes at 1073741826), asked with F_GETLK from another process.
 */
#define FRESH_EMBEDDED
#include "tests/unit/store_fresh.h"

#include <fcntl.h>
#include <sys/wait.h>

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
    struct fresh *f = *state;
    struct db *reader;
    assert_true(locked(f->file));
    assert_ok(db_open(&reader, f->folder, DB_READ, f->why, sizeof f->why));
    assert_true(locked(f->file));
    db_close(reader);
    assert_true(locked(f->file));
}

static void a_backup_and_a_verification_leave_them_too(void **state)
{
    struct fresh *f = *state;
    struct verify_report r;
    char copy[FRESH_PATH + 32];
    snprintf(copy, sizeof copy, "%s/copy.db", f->folder);
    assert_ok(store_backup(f->folder, copy, f->why, sizeof f->why));
    assert_true(locked(f->file));
    assert_ok(store_verify(NULL, f->file, &r));
    assert_true(locked(f->file));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_second_connection_leaves_the_locks_of_the_first, fresh_setup, fresh_teardown),
        cmocka_unit_test_setup_teardown(a_backup_and_a_verification_leave_them_too, fresh_setup, fresh_teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
