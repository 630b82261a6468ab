/* A week's summary on all its ways, from the real program: by mail through a real SMTP server and MIME library that are not
 * ours, posted as a Bundle, put into a folder; the commands give the same bytes; the FHIR endpoint answers by HTTP.
 */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <cmocka.h>

#include <errno.h>
#include <signal.h>
#include <spawn.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include <curl/curl.h>

#include "demo/play/play.h"
#include "gateway/base.h"
#include "tests/tool.h"

enum { DAY = 86400 };
static const int64_t START = 1795428000; /* 2026-11-23T10:00:00Z: the week begins the next morning */
static const char token[] = "token-of-the-test", other_token[] = "token-of-the-other";

static const char ini[] =
    "[clinic maple]\nname = Maple Row Practice\ntext_number = +447700900001\nvoice_number = 01632 960001\n"
    "hours = mon-fri 08:00-18:30\nout_of_hours = 111\nemergency = 999\ntime_zone = Europe/London\nlanguage = en\nprotocol = esh\n"
    "morning = 05:00-12:00\nevening = 16:00-24:00\nremind_morning = 07:30\nremind_evening = 20:30\nquiet = 21:30-07:00\n"
    "alert_to = +447700900002\nsummary_to = mailto:results@example.org, http://127.0.0.1:CPORT/fhir, dir:outbox\n"
    "fhir_token_file = maple.token\n\n"
    "[clinic oak]\nname = Oak Lane Practice\ntext_number = +447700900011\nvoice_number = 01632 960011\n"
    "hours = mon-fri 08:00-18:30\nout_of_hours = 111\nemergency = 999\ntime_zone = Europe/London\nlanguage = en\nprotocol = esh\n"
    "morning = 05:00-12:00\nevening = 16:00-24:00\nremind_morning = 07:30\nremind_evening = 20:30\nquiet = 21:30-07:00\n"
    "alert_to = +447700900012\nfhir_token_file = oak.token\n";

struct scene {
    struct stage g;
    struct script s;
    pid_t server;
    FILE *said; /* by the mail server */
    char mails[PLAY_PATH + 16];
};
static struct scene scene;

/* -- opening ------------------------------------------------------------------------------------------------------------------ */

static void file_put(const char *folder, const char *name, const char *text)
{
    char path[PLAY_PATH + 64];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *f = fopen(path, "w");
    if (!f || fputs(text, f) < 0)
        fail_msg("%s: %s", path, strerror(errno));
    fclose(f);
    chmod(path, 0600);
}

/* The port that the mail server says. */
static int server_start(const char *folder)
{
    int ends[2], port = 0;
    char line[200];
    const char *argv[] = {"/usr/bin/python3", "tests/system/mail_server.py", folder, NULL};
    posix_spawn_file_actions_t actions;
    assert_int_equal(pipe(ends), 0);
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_adddup2(&actions, ends[1], 1);
    posix_spawn_file_actions_addclose(&actions, ends[0]);
    assert_int_equal(posix_spawn(&scene.server, argv[0], &actions, NULL, (char *const *)(uintptr_t)argv, environ), 0);
    posix_spawn_file_actions_destroy(&actions);
    close(ends[1]);
    scene.said = fdopen(ends[0], "r");
    if (!fgets(line, sizeof line, scene.said) || sscanf(line, "port=%d", &port) != 1)
        fail_msg("the mail server does not start; is python3-aiosmtpd there?");
    return port;
}

/* The stage's own mail relay is the simulated one: the real one takes its place. */
static void relay_replace(int port)
{
    char path[PLAY_PATH + 64], from[64], to[64];
    snprintf(path, sizeof path, "%s/quietarm.ini", scene.g.folder);
    snprintf(from, sizeof from, "smtp://127.0.0.1:%d", scene.g.smtp_port);
    snprintf(to, sizeof to, "smtp://127.0.0.1:%d", port);
    tool_replace(path, from, to);
}

static void week_texted(void)
{
    static const char *const words[] = {"132/84 71", "130/83 70", "134/85 72", "129/82 69", "136/86 74", "131/83 70", "133/84 73"};
    static const int minutes[] = {430, 432, 1180, 1182};
    int64_t midnight = START - START % DAY + DAY;
    for (int i = 0; i < 28; i++) {
        assert_int_equal(stage_move(&scene.g, midnight + i / 4 * DAY + minutes[i % 4] * 60), 0);
        assert_int_equal(stage_text(&scene.g, "+447700900101", "+447700900001", i == 9 ? "131/84 70 it was very cold in the room" : words[i % 7]), 200);
    }
    assert_int_equal(stage_move(&scene.g, midnight + 6 * DAY + 1260 * 60), 0);
}

static int scene_open(void **state)
{
    const char *base = getenv("TEST_FOLDER"), *build = getenv("TEST_BUILD");
    char folder[PLAY_PATH];
    (void)state;
    snprintf(folder, sizeof folder, "%s", base ? base : "build/run/summary.d");
    snprintf(scene.mails, sizeof scene.mails, "%s/mails", folder);
    mkdir(folder, 0700);
    mkdir(scene.mails, 0700);
    file_put(folder, "maple.token", token);
    file_put(folder, "oak.token", other_token);
    scene.s.start = START;
    scene.s.ini = strdup(ini);
    int port = server_start(scene.mails);
    if (stage_open(&scene.g, folder, build ? build : "build", &scene.s) < 0)
        return -1;
    stage_stop_program(&scene.g, SIGTERM);
    relay_replace(port);
    if (stage_start_program(&scene.g) < 0)
        return -1;
    if (stage_run(&scene.g, "enrol --clinic maple --ref P-0001 --phone +447700900101 --joined --name 'Zoë <b>Bcc: x</b>' --arm 31 --cuff 22-32",
                  0) < 0)
        return -1;
    week_texted();
    return 0;
}

static int scene_close(void **state)
{
    (void)state;
    stage_close(&scene.g);
    if (scene.server > 0) {
        kill(scene.server, SIGTERM);
        waitpid(scene.server, NULL, 0);
    }
    if (scene.said)
        fclose(scene.said);
    free(scene.s.ini);
    return 0;
}

/* -- claims -------------------------------------------------------------------------------------------------------------------- */

static struct buffer file_get(const char *folder, const char *name)
{
    struct buffer b;
    char path[PLAY_PATH + 200];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    buffer_init(&b, 8 << 20);
    if (buffer_read_file(&b, path) < 0)
        fail_msg("%s is not there", path);
    return b;
}

static void same_files(const char *folder, const char *name, const char *folder2, const char *name2)
{
    struct buffer a = file_get(folder, name), b = file_get(folder2, name2);
    if (a.n != b.n || memcmp(a.at, b.at, a.n) != 0)
        fail_msg("%s/%s (%zu bytes) is not %s/%s (%zu bytes)", folder, name, a.n, folder2, name2, b.n);
    buffer_clear(&a);
    buffer_clear(&b);
}

static void the_mail_is_taken_by_a_real_server_and_read_by_a_mime_library(void **state)
{
    char line[600] = "", out[2000], path[PLAY_PATH + 200];
    (void)state;
    if (!fgets(line, sizeof line, scene.said))
        fail_msg("no mail came");
    if (!strstr(line, "from=quietarm@example.org to=results@example.org subject=Home blood pressure week, P-0001 "
                      "attachments=maple-P-0001-week-1-v1.pdf:application/pdf headers=6 defects=0"))
        fail_msg("%s", line);
    struct buffer text = file_get(scene.mails, "text.txt");
    assert_non_null(strstr(text.at, "Home blood pressure week"));
    assert_non_null(strstr(text.at, "Zoë <b>Bcc: x</b>")); /* a name is text here, and no header came of it */
    assert_non_null(strstr(text.at, "it was very cold in the room"));
    assert_non_null(strstr(text.at, "does not replace it"));
    buffer_clear(&text);
    snprintf(path, sizeof path, "%s/maple-P-0001-week-1-v1.pdf", scene.mails);
    assert_int_equal(tool_run((const char *const[]){"qpdf", "--check", path, NULL}, out, sizeof out), 0);
}

static void the_folder_has_every_form_and_no_half_of_one(void **state)
{
    char folder[PLAY_PATH + 32], out[2000];
    (void)state;
    snprintf(folder, sizeof folder, "%s/state/outbox", scene.g.folder);
    same_files(scene.mails, "maple-P-0001-week-1-v1.pdf", folder, "maple-P-0001-week-1-v1.pdf");
    struct buffer text = file_get(folder, "maple-P-0001-week-1-v1.txt");
    buffer_clear(&text);
    assert_int_equal(tool_run((const char *const[]){"ls", "-A", folder, NULL}, out, sizeof out), 0);
    assert_string_equal(out, "maple-P-0001-week-1-v1.json\nmaple-P-0001-week-1-v1.pdf\nmaple-P-0001-week-1-v1.txt\n");
}

static void the_commands_give_the_bytes_that_were_sent(void **state)
{
    char folder[PLAY_PATH + 32];
    (void)state;
    snprintf(folder, sizeof folder, "%s/state/outbox", scene.g.folder);
    assert_int_equal(stage_run(&scene.g, "week --clinic maple --ref P-0001 --pdf week.pdf", 0), 0);
    assert_int_equal(stage_run(&scene.g, "week --clinic maple --ref P-0001 --fhir week.json", 0), 0);
    assert_int_equal(stage_run(&scene.g, "week --clinic maple --ref P-0001 --html -", 0), 0);
    assert_non_null(strstr(scene.g.output, "<!doctype html>"));
    assert_non_null(strstr(scene.g.output, "Zoë &lt;b&gt;"));
    same_files(scene.g.folder, "week.pdf", folder, "maple-P-0001-week-1-v1.pdf");
    same_files(scene.g.folder, "week.json", folder, "maple-P-0001-week-1-v1.json");
    assert_int_equal(stage_move(&scene.g, scene.g.now + 3 * DAY), 0); /* and still do, days later */
    assert_int_equal(stage_run(&scene.g, "week --clinic maple --ref P-0001 --pdf week.pdf", 0), 0);
    same_files(scene.g.folder, "week.pdf", folder, "maple-P-0001-week-1-v1.pdf");
    assert_int_equal(stage_run(&scene.g, "week --clinic maple --ref P-0001 --pdf a --html b", 2), 0);
    assert_int_equal(stage_run(&scene.g, "week --clinic maple --ref P-0001 --pdf nowhere/week.pdf", 1), 0);
}

static void the_bundle_was_posted_as_it_is(void **state)
{
    char folder[PLAY_PATH + 32];
    (void)state;
    snprintf(folder, sizeof folder, "%s/state/outbox", scene.g.folder);
    struct buffer json = file_get(folder, "maple-P-0001-week-1-v1.json");
    json_t *sent = json_loads(json.at, 0, NULL);
    assert_int_equal(stage_hear(&scene.g), 0);
    int posted = 0;
    for (size_t i = 0; i < json_array_size(scene.g.sent); i++) {
        json_t *one = json_array_get(scene.g.sent, i);
        const char *path = json_string_value(json_object_get(one, "path"));
        posted += path && strcmp(path, "/fhir") == 0;
    }
    assert_int_equal(posted, 1);
    assert_int_equal(json_array_size(json_object_get(sent, "entry")), 1 + 28 + 1 + 2 + 2 + 1); /* patient, readings, average, arm and cuff, findings, report */
    json_decref(sent);
    buffer_clear(&json);
}

static void the_export_has_every_reading(void **state)
{
    int lines = 0;
    (void)state;
    assert_int_equal(stage_run(&scene.g, "export --clinic maple --from 2026-11-24 --to 2026-11-30 --format csv", 0), 0);
    for (const char *at = scene.g.output; (at = strstr(at, "\r\n")); at += 2)
        lines++;
    assert_int_equal(lines, 1 + 28);
    assert_int_equal(stage_run(&scene.g, "export --clinic maple --from 2026-11-25 --to 2026-11-25 --format ndjson", 0), 0);
    lines = 0;
    for (const char *at = scene.g.output; (at = strstr(at, "\"resourceType\":\"Observation\"")); at++)
        lines++;
    assert_int_equal(lines, 4);
    assert_int_equal(stage_run(&scene.g, "export --clinic maple --from 2026-11-30 --to 2026-11-24 --format csv", 2), 0);
    assert_int_equal(stage_run(&scene.g, "leaflet --clinic maple --language es --large leaflet.pdf", 0), 0);
}

/* -- the endpoint -------------------------------------------------------------------------------------------------------------- */

static size_t answer_add(char *bytes, size_t size, size_t n, void *context)
{
    buffer_add(context, bytes, size * n);
    return size * n;
}

static long fhir_get(const char *path, const char *with, const char *method, json_t **json)
{
    char url[300], authorization[200];
    const char *type = NULL;
    long status = -1;
    struct buffer b;
    struct curl_slist *headers = NULL;
    CURL *curl = curl_easy_init();
    buffer_init(&b, 8 << 20);
    snprintf(url, sizeof url, "http://127.0.0.1:%d/fhir/%s", scene.g.desk_port, path);
    snprintf(authorization, sizeof authorization, "Authorization: Bearer %s", with ? with : "");
    if (with)
        headers = curl_slist_append(headers, authorization);
    curl_easy_setopt(curl, CURLOPT_URL, url);
    curl_easy_setopt(curl, CURLOPT_HTTPHEADER, headers);
    if (!strcmp(method, "POST"))
        curl_easy_setopt(curl, CURLOPT_POSTFIELDS, "{}");
    curl_easy_setopt(curl, CURLOPT_WRITEFUNCTION, answer_add);
    curl_easy_setopt(curl, CURLOPT_WRITEDATA, &b);
    assert_int_equal(curl_easy_perform(curl), CURLE_OK);
    curl_easy_getinfo(curl, CURLINFO_RESPONSE_CODE, &status);
    curl_easy_getinfo(curl, CURLINFO_CONTENT_TYPE, &type);
    assert_string_equal(type, "application/fhir+json; charset=utf-8");
    *json = json_loads(b.at, 0, NULL);
    assert_non_null(*json);
    buffer_clear(&b);
    curl_slist_free_all(headers);
    curl_easy_cleanup(curl);
    return status;
}

static void the_endpoint_answers_the_clinic_of_the_token_alone(void **state)
{
    static const struct {
        const char *path, *token, *method;
        long status;
        const char *type, *why;
    } rows[] = {
        {"metadata", token, "GET", 200, "CapabilityStatement", "ours"},
        {"Patient?identifier=P-0001", token, "GET", 200, "Bundle", "ours"},
        {"Observation?code=http%3A%2F%2Floinc.org%7C96607-7", token, "GET", 200, "Bundle", "escapes are undone"},
        {"Observation?date=2026-11-24T07%3A10%3A00%2B00%3A00", token, "GET", 200, "Bundle", "a plus sign too"},
        {"Patient", NULL, "GET", 401, "OperationOutcome", "no token"},
        {"metadata", "token-of-the-tes", "GET", 401, "OperationOutcome", "a shorter one"},
        {"Patient", "", "GET", 401, "OperationOutcome", "an empty one"},
        {"Patient", token, "POST", 405, "OperationOutcome", "read only"},
        {"Patient/1", token, "GET", 404, "OperationOutcome", "nobody"},
        {"Observation?pulse=1", token, "GET", 400, "OperationOutcome", "no such parameter"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        json_t *json;
        long status = fhir_get(rows[i].path, rows[i].token, rows[i].method, &json);
        if (status != rows[i].status || strcmp(json_string_value(json_object_get(json, "resourceType")), rows[i].type) != 0)
            fail_msg("%s (%s): %ld", rows[i].path, rows[i].why, status);
        json_decref(json);
    }
}

static void another_clinic_does_not_find_the_patient(void **state)
{
    json_t *json;
    char path[64];
    (void)state;
    assert_int_equal(fhir_get("Patient", token, "GET", &json), 200);
    json_t *patient = json_object_get(json_array_get(json_object_get(json, "entry"), 0), "resource");
    snprintf(path, sizeof path, "Patient/%s", json_string_value(json_object_get(patient, "id")));
    json_decref(json);
    assert_int_equal(fhir_get(path, token, "GET", &json), 200);
    json_decref(json);
    assert_int_equal(fhir_get(path, other_token, "GET", &json), 404);
    json_decref(json);
    assert_int_equal(fhir_get("Patient", other_token, "GET", &json), 200);
    assert_null(json_object_get(json, "entry"));
    json_decref(json);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_mail_is_taken_by_a_real_server_and_read_by_a_mime_library),
        cmocka_unit_test(the_folder_has_every_form_and_no_half_of_one),
        cmocka_unit_test(the_commands_give_the_bytes_that_were_sent),
        cmocka_unit_test(the_bundle_was_posted_as_it_is),
        cmocka_unit_test(the_export_has_every_reading),
        cmocka_unit_test(the_endpoint_answers_the_clinic_of_the_token_alone),
        cmocka_unit_test(another_clinic_does_not_find_the_patient),
    };
    return cmocka_run_group_tests(tests, scene_open, scene_close);
}
