/* The daemon's life: it says when it is ready, is alone on its folder, reads secrets anew, and ends when told to.
 *
 * Each daemon is a child of this process, ended by its own id; its log comes through a pipe and is waited for, line by
 * line. The ten seconds are the contract's.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <cmocka.h>

#include <dirent.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "demo/play/place.h"
#include "gateway/command.h"

static const char ini[] =
    "[gateway]\nlisten = 127.0.0.1:0\nclock = stepped\nclock_start = 2026-11-24T07:00:00Z\n"
    "[clinic maple]\ntext_number = +447700900001\nout_of_hours = 111\nemergency = 999\n"
    "[inbound]\nauth = bearer\nsecret_file = s\n[outbound]\nurl = http://127.0.0.1:9/\n";
static char folder[64], home[512];

static void file_put(const char *name, const char *text, mode_t mode)
{
    FILE *f = fopen(name, "w");
    assert_non_null(f);
    fputs(text, f);
    fclose(f);
    assert_int_equal(chmod(name, mode), 0);
}

static int folder_make(void **state)
{
    (void)state;
    assert_non_null(getcwd(home, sizeof home));
    snprintf(folder, sizeof folder, "build/serve-XXXXXX");
    assert_non_null(mkdtemp(folder));
    assert_int_equal(chdir(folder), 0);
    file_put("quietarm.ini", ini, 0644);
    assert_true(place_settle("quietarm.ini"));
    file_put("s", "secret", 0600);
    return 0;
}

static void emptied(const char *name)
{
    struct dirent *entry;
    char file[400];
    DIR *dir = opendir(name);
    while (dir && (entry = readdir(dir))) {
        snprintf(file, sizeof file, "%s/%s", name, entry->d_name);
        unlink(file); /* not . and .. */
    }
    if (dir)
        closedir(dir);
}

static int folder_remove(void **state)
{
    (void)state;
    emptied("state");
    rmdir("state");
    emptied(".");
    return chdir(home) || rmdir(folder);
}

struct daemon {
    pid_t pid;
    FILE *log;
};

/* With a limit of descriptors, or NULL for that of the test. */
static struct daemon daemon_start_limited(const struct rlimit *limit)
{
    int ends[2];
    assert_int_equal(pipe(ends), 0);
    struct daemon d = {.pid = fork()};
    assert_true(d.pid >= 0);
    if (d.pid == 0) {
        struct invocation in = {.command = "serve", .config_file = "quietarm.ini"};
        dup2(ends[1], STDERR_FILENO);
        close(ends[0]);
        close(ends[1]);
        if (limit && setrlimit(RLIMIT_NOFILE, limit) < 0)
            _exit(99);
        alarm(60); /* should this test itself be ended */
        _exit(serve_command(&in));
    }
    close(ends[1]);
    d.log = fdopen(ends[0], "r");
    assert_non_null(d.log);
    return d;
}

static struct daemon daemon_start(void)
{
    return daemon_start_limited(NULL);
}

/* Waits for a line that holds `what`; what came until then is in `all`. False when the log ended first. */
static bool log_says(struct daemon *d, const char *what, char all[4096])
{
    size_t n = 0;
    all[0] = '\0';
    while (n < 4095 && fgets(all + n, (int)(4096 - n), d->log)) {
        if (strstr(all + n, what))
            return true;
        n += strlen(all + n);
    }
    return false;
}

static int daemon_end(struct daemon *d)
{
    int status;
    assert_int_equal(waitpid(d->pid, &status, 0), d->pid);
    fclose(d->log);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
}

static void it_says_its_ports_and_ends_when_told_to(void **state)
{
    static const int signals[] = {SIGTERM, SIGINT};
    (void)state;
    char all[4096];
    for (int i = 0; i < 2; i++) {
        struct daemon d = daemon_start();
        if (!log_says(&d, " info desk port=", all))
            fail_msg("%s", all);
        assert_non_null(strstr(all, " info listening port="));
        int64_t told = clock_real_ms();
        assert_int_equal(kill(d.pid, signals[i]), 0);
        assert_true(log_says(&d, " info stopped", all));
        assert_int_equal(daemon_end(&d), EXIT_DONE);
        assert_true(clock_real_ms() - told < 10000);
    }
}

static void a_second_one_on_the_same_folder_is_refused(void **state)
{
    (void)state;
    char all[4096];
    struct daemon first = daemon_start();
    assert_true(log_says(&first, " info desk port=", all));
    struct daemon second = daemon_start();
    assert_true(log_says(&second, "quietarm serve: ", all));
    assert_int_equal(daemon_end(&second), EXIT_WORLD);
    kill(first.pid, SIGTERM);
    assert_int_equal(daemon_end(&first), EXIT_DONE);
}

static void a_bad_file_leaves_the_old_in_force(void **state)
{
    (void)state;
    char all[4096];
    struct daemon d = daemon_start();
    assert_true(log_says(&d, " info desk port=", all));
    chmod("s", 0644);
    kill(d.pid, SIGHUP);
    assert_true(log_says(&d, " error reload the old configuration stays in force", all));
    assert_non_null(strstr(all, place_store() ? "quietarm.ini:13: secret_file = " : "quietarm.ini:11: secret_file = "));
    chmod("s", 0600);
    char two[sizeof ini + 120];
    snprintf(two, sizeof two, "%s[clinic oak]\ntext_number = +447700900001\nout_of_hours = 111\nemergency = 999\n", ini);
    file_put("quietarm.ini", two, 0644);
    kill(d.pid, SIGHUP);
    assert_true(log_says(&d, " error reload the old configuration stays in force", all));
    assert_non_null(strstr(all, "quietarm.ini:15: text_number = +…001 is that of [clinic maple] too, in line 6; "));
    assert_null(strstr(all, "7700900001")); /* a log holds no whole number */
    file_put("quietarm.ini", ini, 0644);
    kill(d.pid, SIGHUP);
    assert_true(log_says(&d, " info reload texts, secrets and certificates are read anew", all));
    kill(d.pid, SIGTERM);
    assert_int_equal(daemon_end(&d), EXIT_DONE);
}

/* The configuration is a pipe, so that the moment is certain: it is being read. */
static void a_reload_asked_for_during_the_start_does_not_end_it(void **state)
{
    (void)state;
    char all[4096];
    assert_int_equal(unlink("quietarm.ini"), 0);
    assert_int_equal(mkfifo("quietarm.ini", 0600), 0);
    struct daemon d = daemon_start();
    FILE *pipe = fopen("quietarm.ini", "w"); /* returns when the other end is open */
    assert_non_null(pipe);
    file_put("next.ini", ini, 0644);
    assert_int_equal(rename("next.ini", "quietarm.ini"), 0);
    assert_int_equal(kill(d.pid, SIGHUP), 0);
    fputs(ini, pipe);
    fclose(pipe);
    if (!log_says(&d, " info reload texts, secrets and certificates are read anew", all))
        fail_msg("%s", all);
    kill(d.pid, SIGTERM);
    assert_int_equal(daemon_end(&d), EXIT_DONE);
}

static void a_mistake_in_the_configuration_is_told_and_ends_it(void **state)
{
    (void)state;
    char all[4096];
    file_put("quietarm.ini", "[gateway]\nclock = sundial\n", 0644);
    struct daemon d = daemon_start();
    assert_true(log_says(&d, "quietarm.ini:2: clock = sundial: ", all));
    assert_int_equal(daemon_end(&d), EXIT_USAGE);
}

/* What accept(2) says of EMFILE is that the line stays in the queue: a server that polls is told of it again at once, for ever.
 * So a limit that may be reached is refused before anything is opened, and a soft one that may be raised is. */
static void descriptors_are_enough_or_it_does_not_begin(void **state)
{
    static const struct {
        rlim_t soft, hard;
        const char *says;
        int ends;
        const char *why;
    } rows[] = {
        {64, 1024, " info desk port=", EXIT_DONE, "a low soft limit is raised"},
        {64, 64, "quietarm serve: 432 descriptors are wanted and 64 allowed; raise the limit", EXIT_WORLD, "400 and 2 for each of 16 in flight"},
    };
    (void)state;
    char all[4096];
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct daemon d = daemon_start_limited(&(struct rlimit){rows[i].soft, rows[i].hard});
        if (!log_says(&d, rows[i].says, all))
            fail_msg("%s: %s", rows[i].why, all);
        kill(d.pid, SIGTERM);
        assert_int_equal(daemon_end(&d), rows[i].ends);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(it_says_its_ports_and_ends_when_told_to, folder_make, folder_remove),
        cmocka_unit_test_setup_teardown(a_second_one_on_the_same_folder_is_refused, folder_make,
                                        folder_remove),
        cmocka_unit_test_setup_teardown(a_bad_file_leaves_the_old_in_force, folder_make, folder_remove),
        cmocka_unit_test_setup_teardown(a_reload_asked_for_during_the_start_does_not_end_it, folder_make, folder_remove),
        cmocka_unit_test_setup_teardown(descriptors_are_enough_or_it_does_not_begin, folder_make, folder_remove),
        cmocka_unit_test_setup_teardown(a_mistake_in_the_configuration_is_told_and_ends_it, folder_make,
                                        folder_remove),
    };
    return cmocka_run_group_tests_name("serve", tests, NULL, NULL);
}
