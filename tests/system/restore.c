/* Backup and restore as the README tells it: its own lines are run, as they stand there, by a shell.
 *
 * Afterwards: what the copy has is there, what the carrier posts again is stored once, what was waiting goes with the same key.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <cmocka.h>

#include <curl/curl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "tests/system/scene.h"

/* The indented lines of the README behind `title`, up to `stop`; the caller's. */
static char *readme_lines(const char *title, const char *stop)
{
    char line[512], *out = calloc(1, 4096);
    bool within = false, over = false;
    FILE *in = fopen("README.md", "r");
    assert_non_null(in);
    while (!over && fgets(line, sizeof line, in)) {
        within = within || strstr(line, title);
        over = within && strstr(line, stop);
        if (within && !over && !strncmp(line, "    ", 4))
            snprintf(out + strlen(out), 4096 - strlen(out), "%s", line + 4);
    }
    fclose(in);
    return out;
}

/* Runs them in the stage's folder, where `quietarm` is the program with the stage's configuration; the exit status. */
static int shell(const struct stage *g, const char *lines)
{
    char *script;
    int status = -1;
    assert_true(asprintf(&script, "set -eu\nquietarm() { '%s' \"$@\"; }\n%s", g->program, lines) > 0);
    pid_t pid = fork();
    if (pid == 0) {
        if (chdir(g->folder) == 0)
            execl("/bin/sh", "sh", "-c", script, (char *)NULL);
        _exit(127);
    }
    waitpid(pid, &status, 0);
    free(script);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

static int text(struct stage *g, const char *id, const char *words)
{
    char body[256];
    snprintf(body, sizeof body, "{\"id\":\"%s\",\"from\":\"+447700900101\",\"to\":\"+447700900001\",\"text\":\"%s\"}", id, words);
    return stage_post(g, body);
}

static size_t sent_with(struct stage *g, const char *words, const char **key)
{
    size_t n = 0;
    stage_hear(g);
    for (size_t i = 0; i < json_array_size(g->sent); i++) {
        const json_t *m = json_array_get(g->sent, i);
        const char *said = json_string_value(json_object_get(m, "text")), *path = json_string_value(json_object_get(m, "path"));
        if (!said || !strstr(said, words) || !path || strcmp(path, "/messages"))
            continue;
        *key = json_string_value(json_object_get(m, "key"));
        n++;
    }
    return n;
}

/* The key of the one text that waits in the copy. */
static void waiting_read(const struct stage *g, char key[64])
{
    char path[PLAY_PATH + 32];
    snprintf(path, sizeof path, "%s/waiting", g->folder);
    FILE *in = fopen(path, "r");
    assert_true(in && fgets(key, 64, in));
    key[strcspn(key, "\n")] = '\0';
    fclose(in);
}

static void a_copy_is_restored_as_the_readme_says(void **state)
{
    struct stage *g = &((struct scene *)*state)->g;
    char *backup = readme_lines("**Backup.**", "**Restore.**"), *restore = readme_lines("**Restore.**", "**Trust.**");
    const char *first = NULL, *again = NULL;
    char waiting[64];
    if (place_store()) {
        print_message("left out: the lines are of the embedded store; a shared one's are in store/README.md\n");
        free(backup);
        free(restore);
        return;
    }
    assert_true(strstr(backup, "quietarm backup") && strstr(restore, "quietarm verify"));
    assert_int_equal(stage_run(g, "enrol --clinic maple --ref A --phone +447700900101 --joined", 0), 0);
    assert_int_equal(text(g, "t-1", "132/84 71"), 200);
    assert_int_equal(stage_move(g, g->now + 60), 0);
    stage_carrier(g, "/behave", "{\"path\":\"/messages\",\"hang\":true}", NULL); /* the next reply is under way for long */
    assert_int_equal(text(g, "t-2", "130/82 70"), 200);
    assert_int_equal(shell(g, backup), 0);
    assert_int_equal(shell(g, "sqlite3 copy.db \"SELECT key FROM outbox WHERE state = 'waiting'\" >waiting"), 0);
    waiting_read(g, waiting);
    assert_int_equal(text(g, "t-3", "128/80 69"), 200); /* the copy does not have it */

    stage_stop_program(g, SIGKILL); /* and the disk with it: what is there is damaged */
    assert_int_equal(shell(g, "for f in state/quietarm.db*; do printf 'damage' >\"$f\"; done"), 0);
    stage_carrier(g, "/behave", "{}", NULL);
    assert_int_equal(shell(g, restore), 0);
    struct stat st;
    char path[PLAY_PATH + 32];
    snprintf(path, sizeof path, "%s/state/quietarm.db", g->folder);
    assert_int_equal(stat(path, &st), 0);
    assert_int_equal(st.st_mode & 0777, 0600);
    assert_int_equal(stage_start_program(g), 0);
    for (int i = 1; i <= 3; i++) { /* the carrier posts again */
        char id[8];
        snprintf(id, sizeof id, "t-%d", i);
        assert_int_equal(text(g, id, i == 1 ? "132/84 71" : i == 2 ? "130/82 70" : "128/80 69"), 200);
    }
    assert_int_equal(stage_move(g, g->now + 60), 0);
    assert_int_equal(stage_run(g, "week --clinic maple --ref A --json", 0), 0);
    json_t *week = json_loads(g->output, 0, NULL);
    assert_int_equal(json_array_size(json_object_get(week, "readings")), 3);
    json_decref(week);
    assert_true(sent_with(g, "Got 130/82", &again) >= 1);
    assert_string_equal(again, waiting);
    assert_int_equal(sent_with(g, "Got 132/84", &first), 1); /* what had arrived is not sent again */
    free(backup);
    free(restore);
}

int main(void)
{
    curl_global_init(CURL_GLOBAL_ALL);
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_copy_is_restored_as_the_readme_says, scene_open, scene_close),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
