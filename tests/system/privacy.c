/* What a busy day leaves behind where it should not be: in the log no text, name, whole number, address or secret; and no file
 * that anybody but its owner may read.
 *
 * The log is searched for the very words that were said. The day has worry, strangers, staff, refusals, guesses, broken bodies, a
 * carrier that is down, a page, an upload, a search, a bad configuration, an erasure.
 */
#include "tests/system/desk_client.h"

#include <dirent.h>
#include <sys/stat.h>

static const char *const said[] = {
    "marmalade", "Zebedee", "ZZ-77", "447700900123", "7700900123", "447700900188", "900188", "447700900002", "nobody-ever",
    "duty@example.org", "wrong-password", "four words", "in-secret", "out-secret", "not-the-token", "m-id-of-the-carrier", "gingerbread"};

static char *file_read(const char *folder, const char *name)
{
    char path[PLAY_PATH + 64];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *in = fopen(path, "r");
    char *text = calloc(1, 4 << 20);
    size_t n = in && text ? fread(text, 1, (4 << 20) - 1, in) : 0;
    if (in)
        fclose(in);
    assert_true(n > 0);
    return text;
}

static void texted(struct stage *g, const char *from, const char *words)
{
    assert_int_equal(stage_text(g, from, "+447700900001", words), 200);
}

static size_t answer_drop(char *bytes, size_t size, size_t n, void *context)
{
    (void)bytes, (void)context;
    return size * n;
}

static long raw_post(struct stage *g, const char *path, const char *headers, const char *body)
{
    char url[128];
    long status = 0;
    CURL *curl = curl_easy_init();
    struct curl_slist *list = curl_slist_append(curl_slist_append(NULL, "Content-Type: application/json"), headers);
    snprintf(url, sizeof url, "http://127.0.0.1:%d%s", g->port, path);
    curl_easy_setopt(curl, CURLOPT_URL, url);
    curl_easy_setopt(curl, CURLOPT_HTTPHEADER, list);
    curl_easy_setopt(curl, CURLOPT_POSTFIELDS, body);
    curl_easy_setopt(curl, CURLOPT_WRITEFUNCTION, answer_drop);
    curl_easy_perform(curl);
    curl_easy_getinfo(curl, CURLINFO_RESPONSE_CODE, &status);
    curl_slist_free_all(list);
    curl_easy_cleanup(curl);
    return status;
}

static void patients_speak(struct stage *g)
{
    texted(g, "+447700900123", "132/84 71 marmalade");
    texted(g, "+447700900123", "chest pain since the marmalade");
    texted(g, "+447700900123", "185/115 80");
    texted(g, "+447700900188", "who is Zebedee? gingerbread");
    texted(g, "+447700900002", "TAKE gingerbread");
    assert_int_equal(stage_post(g, "{\"id\":\"m-id-of-the-carrier\",\"from\":\"+447700900123\",\"to\":\"+447700900999\",\"text\":\"marmalade\"}"), 200);
    assert_int_equal(stage_post(g, "{\"id\":\"m-id-of-the-carrier\",\"from\":\"+447700900123\",\"text\":\"marmalade\""), 400);
    assert_int_equal(raw_post(g, "/hook/in", "X-Signature: not-the-token", "{\"text\":\"marmalade\"}"), 401);
    assert_int_equal(raw_post(g, "/gingerbread", "Authorization: Bearer not-the-token", "marmalade"), 404);
    assert_int_equal(stage_move(g, g->now + 1200), 0);
}

static void carrier_fails(struct stage *g)
{
    static const char *const behaviours[] = {"{\"path\":\"/messages\",\"status\":500}", "{\"path\":\"/messages\",\"status\":401}", "{}"};
    for (size_t i = 0; i < sizeof behaviours / sizeof *behaviours; i++) {
        stage_carrier(g, "/behave", behaviours[i], NULL);
        texted(g, "+447700900123", "131/83 70 marmalade");
        assert_int_equal(stage_move(g, g->now + 700), 0);
    }
}

static void people_sign_in(struct stage *g)
{
    struct client *c = client_in(g, "dora");
    client_get(c, "/desk/patients?search=Zebedee");
    client_get(c, "/desk/patients?search=447700900123");
    client_get(c, "/fhir/Patient?identifier=ZZ-77");
    client_get(c, "/desk/enrol");
    client_post(c, "/desk/enrol", "ref=ZZ-77&phone=%2B447700900188&name=Zebedee");
    client_post(c, "/desk/roster", "table=ref%2Cphone%0AZZ-77%2C%2B447700900123%0A");
    client_free(c);
    c = client_new(g);
    for (int i = 0; i < 5; i++) { /* afterwards: who guesses makes others at the same address wait */
        client_get(c, "/desk/sign-in");
        client_post(c, "/desk/sign-in", "user=nobody-ever&password=wrong-password");
    }
    client_free(c);
}

/* A configuration with a mistake is read, and told in the log. */
static void configuration_spoiled(struct stage *g)
{
    char *before = file_read(g->folder, "quietarm.ini"), path[PLAY_PATH + 32];
    snprintf(path, sizeof path, "%s/quietarm.ini", g->folder);
    FILE *out = fopen(path, "w");
    fprintf(out, "%s\n[outbound]\ngingerbread = marmalade\n", before);
    fclose(out);
    kill(g->program_pid, SIGHUP);
    for (int i = 0; i < 500; i++, usleep(10000)) { /* it reads when it gets to it */
        char *log = file_read(g->folder, "quietarm.log");
        bool told = strstr(log, "the old configuration stays in force");
        free(log);
        if (told)
            break;
    }
    out = fopen(path, "w");
    fputs(before, out);
    fclose(out);
    free(before);
}

static void a_busy_log_names_nobody(void **state)
{
    struct stage *g = &((struct desk_scene *)*state)->g;
    assert_int_equal(stage_run(g, "enrol --clinic maple --ref ZZ-77 --phone +447700900123 --name Zebedee --joined", 0), 0);
    patients_speak(g);
    carrier_fails(g);
    people_sign_in(g);
    configuration_spoiled(g);
    char *log = file_read(g->folder, "quietarm.log");
    int lines = 0;
    for (const char *c = log; *c; c++)
        lines += *c == '\n';
    assert_true(lines > 40 && strstr(log, " route_broken ") && strstr(log, " refused ") && strstr(log, "sign_in_refused"));
    assert_non_null(strstr(log, "from=\xe2\x80\xa6" "123")); /* as much of a number as is told */
    for (size_t i = 0; i < sizeof said / sizeof *said; i++) {
        const char *at = strstr(log, said[i]);
        if (at && strcmp(said[i], "gingerbread") != 0) /* the unknown key of the configuration is named, and no patient's word */
            fail_msg("\"%s\" is in the log: %.120s", said[i], at > log + 60 ? at - 60 : log);
    }
    free(log);
}

/* -- files ---------------------------------------------------------------------------------------------------------------------- */

static void modes_check(const char *folder)
{
    char path[PLAY_PATH + 300];
    struct stat st;
    DIR *dir = opendir(folder);
    int n = 0;
    assert_non_null(dir);
    assert_int_equal(stat(folder, &st), 0);
    assert_int_equal(st.st_mode & 0777, 0700);
    for (struct dirent *e; (e = readdir(dir));) {
        snprintf(path, sizeof path, "%s/%s", folder, e->d_name);
        if (e->d_name[0] == '.' || stat(path, &st) < 0)
            continue;
        if (S_ISDIR(st.st_mode))
            modes_check(path);
        else if ((st.st_mode & 0777) != 0600)
            fail_msg("%s is %o", path, st.st_mode & 0777);
        n++;
    }
    closedir(dir);
    assert_true(n > 0);
}

static void every_file_is_its_owners_alone(void **state)
{
    struct stage *g = &((struct desk_scene *)*state)->g;
    char path[PLAY_PATH + 32];
    struct stat st;
    mode_t before = umask(0); /* whatever whoever starts it has set */
    assert_int_equal(stage_stop_program(g, SIGTERM), 0);
    assert_int_equal(stage_start_program(g), 0);
    assert_int_equal(stage_run(g, "enrol --clinic maple --ref A --phone +447700900123 --joined", 0), 0);
    texted(g, "+447700900123", "132/84 71");
    assert_int_equal(stage_move(g, g->now + 86400), 0);
    assert_int_equal(stage_run(g, "backup copy.db", 0), 0);
    assert_int_equal(stage_run(g, "backup state/copy.db", 0), 0);
    assert_int_equal(stage_run(g, "erase --clinic maple --ref A --yes", 0), 0);
    umask(before);
    snprintf(path, sizeof path, "%s/state", g->folder);
    modes_check(path);
    snprintf(path, sizeof path, "%s/copy.db", g->folder);
    assert_int_equal(stat(path, &st), 0);
    assert_int_equal(st.st_mode & 0777, 0600);
}

int main(void)
{
    curl_global_init(CURL_GLOBAL_ALL);
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_busy_log_names_nobody, desk_scene_open, desk_scene_close),
        cmocka_unit_test_setup_teardown(every_file_is_its_owners_alone, desk_scene_open, desk_scene_close),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
