/* Browse: the scene, the steps and the judges of browse.h.
 *
 * Sources: W3C WCAG 2.2 (levels A and AA) as axe-core tests it; W3C WebDriver 1, section 17.4.2 (keys).
 */
#include "tests/browser/browse.h"

static const char tab[] = "\xEE\x80\x84", enter[] = "\xEE\x80\x87"; /* U+E004, U+E007 */

static void mark(struct browsing *b, const char *path, enum method method)
{
    int64_t ids[2];
    unsigned allow;
    char bare[200];
    snprintf(bare, sizeof bare, "%.*s", (int)strcspn(path, "?#"), path);
    const struct page_route *r = page_route_find(bare, method, ids, &allow);
    for (size_t i = 0; r && i < ROUTES_MOST; i++)
        b->seen[i] = b->seen[i] || page_route_at(i) == r;
}

void to(struct browsing *b, const char *path)
{
    char url[256];
    mark(b, path, METHOD_GET);
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

/* Nothing is wider than the window, from a telephone to a screen on a desk. */
static void fits(struct browsing *b, const char *name)
{
    static const int widths[] = {320, 360, 768, 1280};
    for (size_t i = 0; i < sizeof widths / sizeof *widths; i++) {
        driver_width(&b->driver, widths[i]);
        json_t *over = driver_run(&b->driver, "arguments[arguments.length - 1](document.documentElement.scrollWidth -"
                                              " document.documentElement.clientWidth);");
        if (json_integer_value(over) > 0)
            fail_msg("%s is %d pixels too wide at %d", name, (int)json_integer_value(over), widths[i]);
        json_decref(over);
    }
    driver_width(&b->driver, b->width);
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
void look(struct browsing *b, const char *page)
{
    char name[64];
    snprintf(name, sizeof name, "%s-%s", page, b->way);
    driver_keep(&b->driver, name);
    if (!b->driver.script)
        return;
    axe_judges(b, name);
    if (b->width == WIDE)
        fits(b, name);
    source_keep(b, name);
}

/* In grey and with the common colour blindnesses: pictures for people to look at. */
void seen_otherwise(struct browsing *b, const char *page)
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

void seen_on_paper(struct browsing *b, const char *page)
{
    char name[64];
    snprintf(name, sizeof name, "%s-%s-paper", page, b->way);
    driver_media(&b->driver, "print");
    driver_keep(&b->driver, name);
    driver_media(&b->driver, "");
}

/* -- the scene ------------------------------------------------------------------------------------------------------------------ */

static const char number[] = "+447700900001", ada[] = "+447700900101", bo[] = "+447700900102";

static void texted(struct stage *g, const char *from, const char *words, int seconds)
{
    assert_int_equal(stage_text(g, from, number, words), 200);
    assert_int_equal(stage_move(g, g->now + seconds), 0);
}

/* Bo has a whole week; Cy is invited; Dan has joined; Ada asks, is severe twice, and sends what cannot be. */
static void week_played(struct stage *g)
{
    char words[32];
    assert_int_equal(stage_run(g, "enrol --clinic maple --ref P-0001 --phone +447700900101 --joined --name 'Ada Example'", 0), 0);
    assert_int_equal(stage_run(g, "enrol --clinic maple --ref P-0002 --phone +447700900102 --joined --name 'Bo Example'"
                                  " --arm 31 --cuff 22-42", 0), 0);
    assert_int_equal(stage_run(g, "enrol --clinic maple --ref Q-0003 --phone +447700900103 --name 'Cy Example'", 0), 0);
    assert_int_equal(stage_run(g, "enrol --clinic maple --ref Q-0004 --phone +447700900104 --joined --name 'Dan Example'", 0), 0);
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

long long found(struct browsing *b, const char *path, const char *before)
{
    struct client *c = client_in(&b->scene->g, "anna");
    assert_int_equal(client_get(c, path), 200);
    long long n = page_number(c, before);
    if (!n)
        fail_msg("%s has no %s", path, before);
    client_free(c);
    return n;
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
    b->width = width;
    week_played(&b->scene->g);
    b->ada = found(b, "/desk/patients?find=Ada", "href=\"/desk/patient/");
    b->bo = found(b, "/desk/patients?find=Bo", "href=\"/desk/patient/");
    b->cy = found(b, "/desk/patients?find=Cy", "href=\"/desk/patient/");
    b->dan = found(b, "/desk/patients?find=Dan", "href=\"/desk/patient/");
    driver_open(&b->driver, folder ? folder : "build/browser", script, width);
    *state = b;
    return 0;
}

int script_on(void **state)
{
    return open_with(state, "script", true, WIDE);
}

int script_off(void **state)
{
    return open_with(state, "plain", false, WIDE);
}

int narrow(void **state)
{
    return open_with(state, "narrow", true, NARROW);
}

int keyboard(void **state)
{
    int error = open_with(state, "keys", true, WIDE);
    if (!error)
        ((struct browsing *)*state)->keys = true;
    return error;
}

int browsing_close(void **state)
{
    struct browsing *b = *state;
    void *scene = b->scene;
    driver_close(&b->driver);
    free(b->axe);
    free(b);
    return desk_scene_close(&scene);
}

bool focus_is(struct browsing *b, const char *selector)
{
    char body[256];
    snprintf(body, sizeof body, "arguments[arguments.length - 1](document.activeElement.matches(\"%s\"));", selector);
    json_t *is = driver_run(&b->driver, body);
    bool yes = json_is_true(is);
    json_decref(is);
    return yes;
}

/* Presses the tab key until what is wanted has the focus; a page has far fewer stops. */
static void tab_to(struct browsing *b, const char *selector)
{
    enum { STOPS_MOST = 150 };
    for (int i = 0; i < STOPS_MOST; i++) {
        driver_key(&b->driver, tab);
        if (focus_is(b, selector))
            return;
    }
    driver_keep(&b->driver, "not-reached");
    fail_msg("the keyboard does not reach %s", selector);
}

void press(struct browsing *b, const char *selector)
{
    b->presses++;
    if (b->keys) {
        tab_to(b, selector);
        driver_key(&b->driver, enter);
    } else {
        driver_click(&b->driver, selector);
    }
}

/* What stands in the field is replaced: marked whole with control and "a", then typed over. */
void fill(struct browsing *b, const char *selector, const char *words)
{
    if (b->keys) {
        tab_to(b, selector);
        driver_keys(&b->driver, words);
    } else {
        driver_type(&b->driver, selector, words);
    }
}

void choose(struct browsing *b, const char *selector, const char *words)
{
    if (b->keys)
        fill(b, selector, words);
    else
        driver_choose(&b->driver, selector, words);
}

void submit(struct browsing *b, const char *action, const char *button)
{
    char selector[160], address[200];
    snprintf(selector, sizeof selector, "main form[action$='%s']", action);
    driver_attribute(&b->driver, selector, "action", address, sizeof address);
    mark(b, address, METHOD_POST);
    snprintf(selector, sizeof selector, "main form[action$='%s'] %s", action, button ? button : "button");
    press(b, selector);
}

void sign_in(struct browsing *b, const char *user)
{
    to(b, "/desk/sign-in");
    driver_wait(&b->driver, "Password");
    look(b, "sign-in");
    fill(b, "#user", user);
    fill(b, "#password", "not the right words");
    submit(b, "/sign-in", NULL);
    driver_wait(&b->driver, "do not go together");
    fill(b, "#user", user);
    fill(b, "#password", password);
    submit(b, "/sign-in", NULL);
    driver_wait(&b->driver, "What needs a person now");
}

void sign_out(struct browsing *b)
{
    mark(b, "/desk/sign-out", METHOD_POST);
    press(b, ".me button");
    driver_wait(&b->driver, "User name");
}
