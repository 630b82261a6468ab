/* The desk in a real browser: sign in, take an alert, accept and void held readings, answer a question, enrol, send a table
 * with mistakes, see the finished week; with the pages' script on and off, wide and 320 pixels narrow. Every page is judged
 * by axe-core (WCAG 2.2 AA) and kept as picture and source, which the Nu checker then reads.
 *
 * Sources: W3C WCAG 2.2 (levels A and AA) as axe-core tests it; W3C WebDriver.
 */
#include "tests/browser/driver.h"
#include "tests/system/desk_client.h"

enum { WIDE = 1100, NARROW = 320 };

struct browsing {
    struct desk_scene *scene;
    struct driver driver;
    char *axe;                     /* axe-core's source */
    char way[16];                  /* "script", "plain", "narrow" */
};

static void to(struct browsing *b, const char *path)
{
    char url[256];
    snprintf(url, sizeof url, "http://127.0.0.1:%d%s", b->scene->g.desk_port, path);
    driver_go(&b->driver, url);
}

/* -- judging ------------------------------------------------------------------------------------------------------------------ */

static char *file_read(const char *path)
{
    FILE *in = fopen(path, "rb");
    char *bytes = calloc(1, 2 << 20);
    if (!in)
        fail_msg("%s is not there; see tests/browser/run", path);
    bytes[fread(bytes, 1, (2 << 20) - 1, in)] = '\0';
    fclose(in);
    return bytes;
}

static void axe_judges(struct browsing *b, const char *name)
{
    static const char run[] =
        ";var done = arguments[arguments.length - 1];"
        "axe.run(document, {runOnly: {type: 'tag', values: ['wcag2a','wcag2aa','wcag21a','wcag21aa','wcag22aa']},"
        " rules: {'target-size': {enabled: true}}}).then(function (r) {"
        " done(r.violations.map(function (v) { return v.id + ': ' + v.nodes[0].html.slice(0, 200); }).join(' | ')); },"
        " function (e) { done('axe: ' + e); });";
    size_t n = strlen(b->axe) + sizeof run + 8;
    char *body = malloc(n);
    snprintf(body, n, "%s%s", b->axe, run);
    json_t *found = driver_run(&b->driver, body);
    const char *words = json_string_value(found);
    if (!words || words[0])
        fail_msg("%s: %s", name, words ? words : "axe-core does not run");
    json_decref(found);
    free(body);
}

/* Nothing is wider than the window. */
static void fits(struct browsing *b, const char *name)
{
    json_t *wide = driver_run(&b->driver, "arguments[arguments.length - 1](document.documentElement.scrollWidth -"
                                          " document.documentElement.clientWidth);");
    if (json_integer_value(wide) > 0)
        fail_msg("%s is %d pixels too wide", name, (int)json_integer_value(wide));
    json_decref(wide);
}

/* The page as the server sends it, for the Nu checker: the browser's own source has been mended by the browser. Fetched beside
 * it, with the browser's cookie; what answers a form cannot be fetched again. */
static void source_keep(struct browsing *b, const char *name)
{
    char path[700], cookie[160], session[65] = "", url[256];
    driver_address(&b->driver, url, sizeof url);
    driver_cookie(&b->driver, "quietarm", session);
    struct client *c = client_new(&b->scene->g);
    snprintf(cookie, sizeof cookie, "quietarm=%s", session);
    curl_easy_setopt(c->curl, CURLOPT_COOKIE, cookie);
    if (strncmp(url, c->origin, strlen(c->origin)) == 0 && client_get(c, url + strlen(c->origin)) != 303) {
        snprintf(path, sizeof path, "%s/%s.html", b->driver.folder, name);
        FILE *out = fopen(path, "wb");
        fputs(c->page, out);
        fclose(out);
    }
    client_free(c);
}

/* Judged, and kept as a picture. With the script off the browser runs none of ours either. */
static void look(struct browsing *b, const char *page)
{
    char name[64];
    snprintf(name, sizeof name, "%s-%s", page, b->way);
    driver_keep(&b->driver, name);
    if (!b->driver.script)
        return;
    axe_judges(b, name);
    fits(b, name);
    source_keep(b, name);
}

/* In grey and with the common colour blindnesses: pictures for people to look at. */
static void seen_otherwise(struct browsing *b, const char *page)
{
    static const char *const sights[] = {"achromatopsia", "deuteranopia", "protanopia", "tritanopia"};
    char name[64];
    for (size_t i = 0; b->driver.script && i < sizeof sights / sizeof *sights; i++) {
        driver_see_as(&b->driver, sights[i]);
        snprintf(name, sizeof name, "%s-%s-%s", page, b->way, sights[i]);
        driver_keep(&b->driver, name);
        driver_see_as(&b->driver, "none");
    }
}

/* -- the scene ------------------------------------------------------------------------------------------------------------------ */

static const char number[] = "+447700900001", ada[] = "+447700900101", bo[] = "+447700900102";

static void texted(struct stage *g, const char *from, const char *words, int seconds)
{
    assert_int_equal(stage_text(g, from, number, words), 200);
    assert_int_equal(stage_move(g, g->now + seconds), 0);
}

/* Bo has a whole week; Ada asks, is severe twice, and sends what cannot be. */
static void week_played(struct stage *g)
{
    char words[32];
    assert_int_equal(stage_run(g, "enrol --clinic maple --ref P-0001 --phone +447700900101 --joined --name 'Ada Example'", 0), 0);
    assert_int_equal(stage_run(g, "enrol --clinic maple --ref P-0002 --phone +447700900102 --joined --name 'Bo Example'"
                                  " --arm 31 --cuff 22-42", 0), 0);
    for (int half = 0; half < 14; half++) {
        for (int i = 0; i < 2; i++) {
            snprintf(words, sizeof words, "%d/%d %d", 128 + half % 5 + i, 80 + half % 4, 68 + i);
            texted(g, bo, words, 120);
        }
        assert_int_equal(stage_move(g, 1796112000 + (int64_t)(half + 1) * 12 * 3600), 0);
    }
    texted(g, ada, "132/84 71", 60);
    texted(g, ada, "265/84 70", 60);
    texted(g, ada, "68/50 70", 60);
    texted(g, ada, "186/104 80", 300);
    texted(g, ada, "188/106 82", 60);
    texted(g, ada, "can I take my tablets at noon instead?", 60);
}

static int open_with(void **state, const char *way, bool script, int width)
{
    struct browsing *b = calloc(1, sizeof *b);
    const char *folder = getenv("BROWSER_FOLDER"), *axe = getenv("AXE");
    void *scene = NULL;
    if (desk_scene_open(&scene))
        return -1;
    b->scene = scene;
    snprintf(b->way, sizeof b->way, "%s", way);
    b->axe = file_read(axe ? axe : "build/browser/node_modules/axe-core/axe.min.js");
    week_played(&b->scene->g);
    driver_open(&b->driver, folder ? folder : "build/browser", script, width);
    *state = b;
    return 0;
}

static int script_on(void **state)
{
    return open_with(state, "script", true, WIDE);
}

static int script_off(void **state)
{
    return open_with(state, "plain", false, WIDE);
}

static int narrow(void **state)
{
    return open_with(state, "narrow", true, NARROW);
}

static int browsing_close(void **state)
{
    struct browsing *b = *state;
    void *scene = b->scene;
    driver_close(&b->driver);
    free(b->axe);
    free(b);
    return desk_scene_close(&scene);
}

/* -- steps ------------------------------------------------------------------------------------------------------------------------ */

static void sign_in(struct browsing *b, const char *user)
{
    to(b, "/desk/sign-in");
    driver_wait(&b->driver, "Password");
    look(b, "sign-in");
    driver_type(&b->driver, "#user", user);
    driver_type(&b->driver, "#password", "not the right words");
    driver_click(&b->driver, "main button");
    driver_wait(&b->driver, "do not go together");
    driver_type(&b->driver, "#user", user);
    driver_type(&b->driver, "#password", password);
    driver_click(&b->driver, "main button");
    driver_wait(&b->driver, "What needs a person now");
}

static void sign_out(struct browsing *b)
{
    driver_click(&b->driver, ".me button");
    driver_wait(&b->driver, "User name");
}

static void alert_taken_and_resolved(struct browsing *b)
{
    to(b, "/desk/list");
    driver_wait(&b->driver, "1 alert");
    look(b, "list");
    seen_otherwise(b, "list");
    driver_click(&b->driver, ".matter.red button.main");
    driver_wait(&b->driver, "You have taken it.");
    driver_type(&b->driver, "textarea[name=note]", "Rang her; she is seen at noon.");
    look(b, "alert");
    driver_click(&b->driver, "form[action$='/resolve'] button");
    driver_wait(&b->driver, "The alert is resolved.");
}

/* Each held reading of Ada's, by the links on her page. */
static void reading_decided(struct browsing *b, const char *figures, const char *form, const char *said)
{
    char selector[128];
    struct driver *d = &b->driver;
    struct client *c = client_in(&b->scene->g, "anna");
    assert_int_equal(client_get(c, "/desk/patients?find=Ada"), 200);
    long long person = page_number(c, "/desk/patient/");
    char path[96];
    snprintf(path, sizeof path, "/desk/patient/%lld", person);
    assert_int_equal(client_get(c, path), 200);
    snprintf(selector, sizeof selector, "\">%s</a>", figures);
    const char *at = strstr(c->page, selector);
    assert_non_null(at);
    while (at > c->page && strncmp(at, "/desk/reading/", 14) != 0)
        at--;
    snprintf(path, sizeof path, "%.*s", (int)strcspn(at, "\""), at);
    client_free(c);
    to(b, path);
    driver_wait(d, figures);
    snprintf(selector, sizeof selector, "form[action$='%s'] input[name=note]", form);
    driver_type(d, selector, "confirmed by telephone");
    look(b, form + 1);
    snprintf(selector, sizeof selector, "form[action$='%s'] button", form);
    driver_click(d, selector);
    driver_wait(d, said);
}

static void question_answered(struct browsing *b)
{
    struct driver *d = &b->driver;
    to(b, "/desk/list");
    driver_wait(d, "can I take my tablets at noon instead?");
    driver_click(d, ".do a[href*='/desk/row/']");
    driver_wait(d, "Answer by text");
    driver_choose(d, "#ready", "Please ring us today");
    driver_click(d, "button[value=words]");
    driver_wait(d, "Please ring us today.");
    driver_type(d, "#words", "Dr Hale will ring you at ten.");
    driver_wait(d, "1 segment");
    look(b, "answer");
    driver_click(d, "button[value=send]");
    driver_wait(d, "Your text is on its way.");
}

static void somebody_enrolled(struct browsing *b)
{
    struct driver *d = &b->driver;
    to(b, "/desk/enrol");
    driver_wait(d, "Reference");
    driver_type(d, "#ref", "P 3");
    driver_type(d, "#phone", "+447700900103");
    driver_type(d, "#name", "Cy Example");
    driver_tick(d, "#joined");
    driver_click(d, "main form > button");
    driver_wait(d, "nothing was saved");
    look(b, "enrol-mistake");
    driver_type(d, "#ref", "P-0003");
    driver_click(d, "main form > button");
    driver_wait(d, "Enrolled.");
    look(b, "enrolled");
}

static void table_with_mistakes(struct browsing *b)
{
    struct driver *d = &b->driver;
    char path[PLAY_PATH + 64];
    snprintf(path, sizeof path, "%s/table.csv", b->scene->g.folder);
    char *whole = NULL;
    FILE *out = fopen(path, "w");
    fputs("ref,phone,born\nP-0004,+447700900104,1960-02-30\nP-0001,12,\n", out);
    fclose(out);
    whole = realpath(path, NULL);
    to(b, "/desk/roster");
    driver_wait(d, "Table (CSV)");
    driver_type(d, "#file", whole);
    driver_click(d, "main form > button");
    driver_wait(d, "Nothing was saved.");
    look(b, "roster-mistakes");
    out = fopen(path, "w");
    fputs("ref,phone,born\nP-0004,+447700900104,1960-02-28\nP-0005,+447700900105,\n", out);
    fclose(out);
    to(b, "/desk/roster");
    driver_type(d, "#file", whole);
    driver_click(d, "main form > button");
    driver_wait(d, "no mistake");
    look(b, "roster-good");
    driver_click(d, "main form > button");
    driver_wait(d, "Enrolled.");
    look(b, "patients");
    free(whole);
}

static void finished_week_seen(struct browsing *b)
{
    struct driver *d = &b->driver;
    to(b, "/desk/patients?find=Bo");
    driver_click(d, "table .who");
    driver_wait(d, "complete");
    look(b, "week");
    driver_type(d, "#for-review", "As expected; again in a year.");
    driver_click(d, "form[action$='/review'] button");
    driver_wait(d, "Done.");
    driver_click(d, "a[href$='/print']");
    driver_wait(d, "Every reading");
    driver_keep(d, "print");
}

static void other_pages(struct browsing *b)
{
    static const char *const paths[][2] = {{"figures", "/desk/figures"}, {"accounts", "/desk/accounts"},
                                           {"account", "/desk/account?of=anna"}, {"audit", "/desk/audit"},
                                           {"settings", "/desk/settings"}, {"absent", "/desk/nowhere"}};
    for (size_t i = 0; i < sizeof paths / sizeof *paths; i++) {
        to(b, paths[i][1]);
        driver_wait(&b->driver, "</html>");
        look(b, paths[i][0]);
    }
}

static void patient_forms(struct browsing *b)
{
    static const char *const links[] = {"write", "add", "edit", "equipment"};
    for (size_t i = 0; i < sizeof links / sizeof *links; i++) {
        char selector[64];
        to(b, "/desk/patients?find=Ada");
        driver_click(&b->driver, "table .who");
        driver_wait(&b->driver, "Conversation");
        if (i == 0)
            look(b, "patient");
        snprintf(selector, sizeof selector, ".buttons a[href$='/%s']", links[i]);
        driver_click(&b->driver, selector);
        driver_wait(&b->driver, "<form");
        look(b, links[i]);
    }
}

/* -- claims ------------------------------------------------------------------------------------------------------------------------ */

static void a_day_at_the_desk_goes_as_it_should(void **state)
{
    struct browsing *b = *state;
    sign_in(b, "anna");
    alert_taken_and_resolved(b);
    reading_decided(b, "265/84", "/void", "The reading is void.");
    reading_decided(b, "68/50", "/accept", "The reading is accepted.");
    question_answered(b);
    somebody_enrolled(b);
    table_with_mistakes(b);
    patient_forms(b);
    sign_out(b);
    sign_in(b, "cleo");
    finished_week_seen(b);
    to(b, "/desk/list");
    sign_out(b);
    sign_in(b, "dora");
    other_pages(b);
}

static bool focus_is(struct browsing *b, const char *selector)
{
    char body[256];
    snprintf(body, sizeof body, "arguments[arguments.length - 1](document.activeElement.matches(\"%s\"));", selector);
    json_t *is = driver_run(&b->driver, body);
    bool yes = json_is_true(is);
    json_decref(is);
    return yes;
}

/* By keyboard alone: the first stop is the way past the head; a mistake has the focus. */
static void the_keyboard_alone_is_enough(void **state)
{
    struct browsing *b = *state;
    static const char tab[] = "\xEE\x80\x84", enter[] = "\xEE\x80\x87"; /* U+E004, U+E007: WebDriver 1, section 17.4.2 */
    sign_in(b, "anna");
    to(b, "/desk/enrol");
    driver_wait(&b->driver, "Reference");
    driver_key(&b->driver, tab);
    assert_true(focus_is(b, "a.skip"));
    driver_keep(&b->driver, "skip");
    driver_key(&b->driver, enter);
    driver_key(&b->driver, tab);
    assert_true(focus_is(b, "main a"));
    driver_type(&b->driver, "#ref", "P 9");
    driver_type(&b->driver, "#phone", "+447700900109");
    driver_key(&b->driver, enter);
    driver_wait(&b->driver, "nothing was saved");
    assert_true(focus_is(b, "[role=alert]"));
}

int main(void)
{
    curl_global_init(CURL_GLOBAL_ALL);
    const struct CMUnitTest tests[] = {
        {"with script", a_day_at_the_desk_goes_as_it_should, script_on, browsing_close, NULL},
        {"without script", a_day_at_the_desk_goes_as_it_should, script_off, browsing_close, NULL},
        {"at 320 pixels", a_day_at_the_desk_goes_as_it_should, narrow, browsing_close, NULL},
        {"by keyboard", the_keyboard_alone_is_enough, script_on, browsing_close, NULL},
    };
    if (getenv("CMOCKA_TEST_FILTER"))
        cmocka_set_test_filter(getenv("CMOCKA_TEST_FILTER"));
    return cmocka_run_group_tests(tests, NULL, NULL);
}
