/* What is erased or past its time is nowhere: not in the database, its log, a backup made afterwards, nor in what was logged.
 *
 * Found by searching the bytes of every file in the state folder, not by asking the store.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <cmocka.h>

#include <curl/curl.h>
#include <dirent.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "tests/system/scene.h"

/* Whether a file of the stage holds these bytes. */
static bool file_holds(const char *path, const char *words)
{
    FILE *in = fopen(path, "r");
    char *bytes = calloc(1, 8 << 20);
    size_t n = in && bytes ? fread(bytes, 1, 8 << 20, in) : 0;
    bool found = n && memmem(bytes, n, words, strlen(words));
    free(bytes);
    if (in)
        fclose(in);
    return found;
}

/* How many files in the stage's folder and its state hold the words; the carrier's own log and the output do not count. */
static int files_with(struct stage *g, const char *words)
{
    static const char *const places[] = {"", "/state"};
    char path[PLAY_PATH + 300];
    int n = 0;
    for (size_t i = 0; i < sizeof places / sizeof *places; i++) {
        snprintf(path, sizeof path, "%s%s", g->folder, places[i]);
        DIR *dir = opendir(path);
        assert_non_null(dir);
        for (struct dirent *e; (e = readdir(dir));) {
            if (e->d_type != DT_REG || !strncmp(e->d_name, "carrier", 7) || !strcmp(e->d_name, "output"))
                continue;
            snprintf(path, sizeof path, "%s%s/%s", g->folder, places[i], e->d_name);
            n += file_holds(path, words);
        }
        closedir(dir);
    }
    return n;
}

/* A shared store keeps no rows in these folders: what it would give away is searched, in a backup. */
static int found_in(struct stage *g, const char *words)
{
    char path[PLAY_PATH + 32];
    if (place_store())
        assert_int_equal(stage_run(g, "backup rows.db", 0), 0);
    int n = files_with(g, words);
    snprintf(path, sizeof path, "%s/rows.db", g->folder);
    unlink(path);
    return n;
}

static void an_erased_patient_is_in_no_file(void **state)
{
    struct stage *g = &((struct scene *)*state)->g;
    static const char *const traces[] = {"+447700900123", "7700900123", "Zebedee", "wobbly-marmalade", "ZZ-77"};
    assert_int_equal(stage_run(g, "enrol --clinic maple --ref ZZ-77 --phone +447700900123 --name Zebedee --joined", 0), 0);
    assert_int_equal(stage_run(g, "enrol --clinic maple --ref STAYS --phone +447700900124 --joined", 0), 0);
    for (int i = 0; i < 6; i++)
        assert_int_equal(stage_text(g, "+447700900123", "+447700900001", "132/84 71 wobbly-marmalade"), 200);
    assert_int_equal(stage_text(g, "+447700900124", "+447700900001", "128/80 66 plain-porridge"), 200);
    assert_int_equal(stage_move(g, g->now + 600), 0);
    for (size_t i = 0; i < 4; i++)
        assert_true(found_in(g, traces[i]) > 0); /* the search does find */
    assert_int_equal(stage_run(g, "erase --clinic maple --ref ZZ-77", 1), 0); /* nobody confirmed */
    assert_int_equal(stage_run(g, "erase --clinic maple --ref ZZ-77 --yes", 0), 0);
    assert_non_null(strstr(g->output, "erased maple ZZ-77"));
    assert_int_equal(stage_run(g, "backup after.db", 0), 0);
    assert_int_equal(stage_run(g, "erase --clinic maple --ref ZZ-77 --yes", 1), 0); /* already gone */
    for (size_t i = 0; i < sizeof traces / sizeof *traces; i++)
        if (files_with(g, traces[i]) != 0)
            fail_msg("%s is still in %d files", traces[i], files_with(g, traces[i]));
    assert_true(files_with(g, "plain-porridge") > 0);
    assert_int_equal(stage_run(g, "verify after.db", 0), 0);
    assert_int_equal(stage_move(g, g->now + 86400), 0);
}

static void texts_past_their_time_are_in_no_file(void **state)
{
    struct scene *scene = *state;
    struct stage *g = &scene->g;
    char path[PLAY_PATH + 32], text[8192] = "";
    assert_int_equal(stage_run(g, "enrol --clinic maple --ref OLD --phone +447700900125 --joined", 0), 0);
    assert_int_equal(stage_text(g, "+447700900125", "+447700900001", "132/84 71 crumbly-gingerbread"), 200);
    assert_int_equal(stage_stop_program(g, SIGTERM), 0);
    snprintf(path, sizeof path, "%s/quietarm.ini", g->folder);
    FILE *f = fopen(path, "r");
    assert_non_null(f);
    assert_true(fread(text, 1, sizeof text - 1, f) > 0);
    fclose(f);
    f = fopen(path, "w");
    fprintf(f, "[gateway]\nretain_texts_days = 3\nretain_alert_days = 3\n%s", strchr(text, '\n') + 1);
    fclose(f);
    assert_int_equal(stage_start_program(g), 0);
    assert_int_equal(stage_move(g, g->now + 86400), 0);
    assert_true(found_in(g, "crumbly-gingerbread") > 0);
    for (int day = 0; day < 5; day++)
        assert_int_equal(stage_move(g, g->now + 86400), 0);
    assert_int_equal(found_in(g, "crumbly-gingerbread"), 0);
    assert_int_equal(stage_run(g, "week --clinic maple --ref OLD --json", 0), 0);
    assert_non_null(strstr(g->output, "\"sys\":132")); /* what was measured stays */
}

/* operations.md of our own: erased and opted out refuses enrolment until START. */
static void who_opted_out_and_was_erased_is_not_asked_again_before_start(void **state)
{
    static const char enrol[] = "enrol --clinic maple --ref AGAIN --phone +447700900126";
    struct stage *g = &((struct scene *)*state)->g;
    assert_int_equal(stage_run(g, "enrol --clinic maple --ref GONE --phone +447700900126 --joined", 0), 0);
    assert_int_equal(stage_text(g, "+447700900126", "+447700900001", "STOP"), 200);
    assert_int_equal(stage_run(g, "erase --clinic maple --ref GONE --yes", 0), 0);
    assert_int_equal(stage_run(g, enrol, 1), 0);
    assert_non_null(strstr(g->output, "opted out"));
    assert_int_equal(stage_text(g, "+447700900126", "+447700900001", "132/84 71"), 200); /* is no START */
    assert_int_equal(stage_run(g, enrol, 1), 0);
    assert_int_equal(stage_text(g, "+447700900126", "+447700900001", "START"), 200);
    assert_int_equal(stage_run(g, enrol, 0), 0);
    assert_non_null(strstr(g->output, "enrolled maple AGAIN"));
    assert_int_equal(stage_run(g, "enrol --clinic maple --ref MOVED --phone +447700900127 --joined", 0), 0);
    assert_int_equal(stage_run(g, "erase --clinic maple --ref MOVED --yes", 0), 0); /* had not opted out */
    assert_int_equal(stage_run(g, "enrol --clinic maple --ref BACK --phone +447700900127", 0), 0);
}

int main(void)
{
    curl_global_init(CURL_GLOBAL_ALL);
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(an_erased_patient_is_in_no_file, scene_open, scene_close),
        cmocka_unit_test_setup_teardown(texts_past_their_time_are_in_no_file, scene_open, scene_close),
        cmocka_unit_test_setup_teardown(who_opted_out_and_was_erased_is_not_asked_again_before_start, scene_open, scene_close),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
