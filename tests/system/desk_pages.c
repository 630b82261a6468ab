/* Every page of the desk, walked from the table of routes for every role: sound as a page, usable by whoever does not see it,
 * and inert whatever patients, staff and addresses put into it.
 *
 * Sources: those of page_check.h; for hostile input the OWASP cheat sheet on cross-site scripting (the contexts: text, quoted
 * attribute, address); Unicode Standard Annex 9, section 2 (marks that turn the direction of text around).
 */
#include "tests/system/desk_routes.h"
#include "tests/system/page_check.h"

static const struct {
    const char *user;
    enum role role;
} people[] = {{"anna", ROLE_COORDINATOR}, {"cleo", ROLE_CLINICIAN}, {"dora", ROLE_ADMIN}, {"ella", ROLE_CLINICIAN}};

/* Pages of the layout: no file, no style, not the report's own page. */
static bool is_page(const struct client *c, const char *path)
{
    return strstr(c->head, "text/html") && !strstr(path, "/print");
}

static void judged(const struct client *c, const char *path, const char *user)
{
    const char *fault = page_fault(c->page);
    if (is_page(c, path) && fault)
        fail_msg("%s as %s: %s", path, user, fault);
}

/* Asks every page that this role may have, with each look that a query gives it. */
static void walk(struct stage *g, size_t who, const struct ids *ids, void (*judge)(const struct client *, const char *, const char *))
{
    static const char *const queries[] = {"", "?said=done&again=1&page=1&stage=measuring", "?still=1&put-off=1&acts=1&week=1"};
    struct client *c = client_in(g, people[who].user);
    static const struct ids nothing;
    const struct page_route *r;
    char path[200], whole[300];
    for (size_t i = 0; (r = page_route_at(i)); i++) {
        if (r->method != METHOD_GET || !(r->roles & people[who].role) || (r->noun != NOUN_NONE && !ids))
            continue;
        path_make(r, ids ? ids : &nothing, path);
        for (size_t q = 0; q < sizeof queries / sizeof *queries; q++) {
            const char *query = strcmp(path, "/desk/account") == 0 ? "?of=anna" : queries[q];
            snprintf(whole, sizeof whole, "%s%s", path, query);
            long status = client_get(c, whole);
            if (status != 200 && status != 303)
                fail_msg("%s as %s: %ld", whole, people[who].user, status);
            if (status == 200)
                judge(c, whole, people[who].user);
        }
    }
    client_free(c);
}

static void every_page_is_sound_before_anybody_is_enrolled(void **state)
{
    struct desk_scene *scene = *state;
    struct client *c = client_new(&scene->g);
    assert_int_equal(client_get(c, "/desk/sign-in?next=/desk/list"), 200);
    judged(c, "/desk/sign-in", "nobody");
    assert_int_equal(client_post(c, "/desk/sign-in", "user=anna&password=not+the+right+words"), 422);
    judged(c, "/desk/sign-in, refused", "nobody");
    client_free(c);
    for (size_t who = 0; who < sizeof people / sizeof *people; who++)
        walk(&scene->g, who, NULL, judged);
}

static void every_page_is_sound_with_a_patient_in_trouble(void **state)
{
    struct desk_scene *scene = *state;
    struct ids ids = maple_make(&scene->g);
    for (size_t who = 0; who < sizeof people / sizeof *people; who++)
        walk(&scene->g, who, &ids, judged);
}

/* What a form that is refused comes back as, and what else answers a form. */
static void every_refused_form_comes_back_sound(void **state)
{
    struct desk_scene *scene = *state;
    struct ids ids = maple_make(&scene->g);
    static const char *const fields[] = {"version=0", "version=0&note=&words=&days=99&until=x&at=x&ref=x&step=send",
                                         "version=9&note=a+note&to=nobody&words=some+words&step=count", "mark=1&ref=&phone=1"};
    const struct page_route *r;
    char path[200];
    for (size_t who = 0; who < 3; who++) {
        struct client *c = client_in(&scene->g, people[who].user);
        for (size_t i = 0; (r = page_route_at(i)); i++) {
            path_make(r, &ids, path);
            if (r->method != METHOD_POST || !(r->roles & people[who].role) || r->hashes || strcmp(path, "/desk/sign-out") == 0)
                continue;
            for (size_t k = 0; k < sizeof fields / sizeof *fields; k++) {
                long status = client_post(c, path, fields[k]);
                if (status != 200 && status != 303 && status != 400 && status != 404 && status != 409 && status != 422)
                    fail_msg("POST %s %s as %s: %ld", path, fields[k], people[who].user, status);
                if (status != 303)
                    judged(c, path, people[who].user);
            }
        }
        client_free(c);
    }
}

/* -- inert ------------------------------------------------------------------------------------------------------------------------ */

#define SCRIPT "<script>alert(1)</script>"
#define BIDI "\xE2\x80\xAE" /* U+202E, right-to-left override */

/* What would be live: markup, a value that ends early, text that is turned around. */
static void inert(const struct client *c, const char *path, const char *user)
{
    static const char *const live[] = {"<script>alert", "<img", "<svg onload", "\" onmouseover", "'onclick='", BIDI, "</textarea></title>"};
    for (size_t k = 0; k < sizeof live / sizeof *live; k++)
        if (strstr(c->page, live[k]) && !strstr(c->head, "application/") && !strstr(c->head, "text/csv"))
            fail_msg("%s as %s has %s", path, user, live[k]);
    judged(c, path, user);
}

static void post_good(struct client *c, const char *before, long long id, const char *after, const char *fields)
{
    char path[96];
    snprintf(path, sizeof path, "%s%lld%s", before, id, after);
    if (client_post(c, path, fields) != 303)
        fail_msg("%s %s: %ld\n%s", path, fields, c->status, c->page);
}

/* A text of 1,600 characters, of which the first are `begins`. */
static void long_text(struct stage *g, const char *from, const char *begins)
{
    char body[1601];
    size_t n = (size_t)snprintf(body, sizeof body, "%s", begins);
    while (n < 1600)
        n += (size_t)snprintf(body + n, sizeof body - n, "%s", SCRIPT "\"'>&");
    body[1600] = '\0';
    assert_int_equal(stage_text(g, from, "+447700900001", body), 200);
}

#define HOSTILE "%3Cscript%3Ealert(1)%3C/script%3E%22%27%3E%3Cimg+src%3Dx%3E%E2%80%AE"

static struct ids hostile_make(struct stage *g)
{
    static const char from[] = "+447700900199";
    static const char *const texts[] = {
        SCRIPT " what about my tablets?", "\"><img src=x onerror=alert(2)> hello? 132/84 71", BIDI "132/84 'onclick='x' can I ask?",
        "</textarea></title><svg onload=alert(4)> is this right?", "186/104 " SCRIPT, "188/106 \"><img src=x>", "68/50 " SCRIPT BIDI};
    struct client *c = client_in(g, "anna");
    struct ids ids = {0};
    assert_int_equal(client_get(c, "/desk/enrol"), 200);
    assert_int_equal(client_post(c, "/desk/enrol", "ref=H-1&phone=%2B447700900199&joined=yes&language=en&name=" HOSTILE
                                                   "&monitor=%22+onmouseover%3D%22alert(3)" HOSTILE), 303);
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        assert_int_equal(stage_text(g, from, "+447700900001", texts[i]), 200);
        assert_int_equal(stage_move(g, g->now + 90), 0);
    }
    long_text(g, from, "please read this: \" onmouseover=\"x ");
    assert_int_equal(stage_move(g, g->now + 1900), 0);
    assert_int_equal(client_get(c, "/desk/list"), 200);
    ids.person = page_number(c, "/desk/patient/");
    ids.alert = page_number(c, "/desk/alert/");
    ids.row = page_number(c, "/desk/row/");
    char path[64];
    snprintf(path, sizeof path, "/desk/patient/%lld", ids.person);
    assert_int_equal(client_get(c, path), 200);
    ids.reading = page_number(c, "/desk/reading/");
    if (!ids.person || !ids.alert || !ids.row || !ids.reading)
        fail_msg("%lld %lld %lld %lld\n%s", ids.person, ids.alert, ids.row, ids.reading, c->page);
    client_free(c);
    return ids;
}

/* What staff write is theirs to write and still never markup. */
static void hostile_staff(struct stage *g, const struct ids *ids)
{
    struct client *anna = client_in(g, "anna"), *cleo = client_in(g, "cleo");
    char fields[400];
    char path[96];
    snprintf(path, sizeof path, "/desk/row/%lld", ids->row);
    assert_int_equal(client_get(anna, path), 200);
    snprintf(fields, sizeof fields, "version=%lld&to=ben&note=%s", page_number(anna, "name=\"version\" value=\""), HOSTILE);
    post_good(anna, "/desk/row/", ids->row, "/hand-over", fields);
    post_good(anna, "/desk/reading/", ids->reading, "/void", "note=" HOSTILE);
    post_good(anna, "/desk/alert/", ids->alert, "/resolve", "note=" HOSTILE);
    post_good(anna, "/desk/patient/", ids->person, "/write", "step=send&words=" HOSTILE);
    post_good(cleo, "/desk/patient/", ids->person, "/end-week", "");
    post_good(cleo, "/desk/patient/", ids->person, "/review", "note=" HOSTILE);
    post_good(cleo, "/desk/patient/", ids->person, "/new-week", "");
    client_free(anna);
    client_free(cleo);
}

static void hostile_words_are_words_on_every_page(void **state)
{
    struct desk_scene *scene = *state;
    struct stage *g = &scene->g;
    struct ids ids = hostile_make(g);
    for (size_t who = 0; who < sizeof people / sizeof *people; who++)
        walk(g, who, &ids, inert);
    hostile_staff(g, &ids);
    for (size_t who = 0; who < sizeof people / sizeof *people; who++)
        walk(g, who, &ids, inert);
}

static void hostile_addresses_and_forms_are_words(void **state)
{
    static const char *const paths[] = {
        "/desk/patients?find=" HOSTILE, "/desk/patients?stage=" HOSTILE "&sort=" HOSTILE "&page=" HOSTILE,
        "/desk/list?said=" HOSTILE "&page=" HOSTILE, "/desk/figures?clinic=" HOSTILE};
    struct desk_scene *scene = *state;
    struct client *c = client_in(&scene->g, "anna");
    for (size_t i = 0; i < sizeof paths / sizeof *paths; i++) {
        assert_int_equal(client_get(c, paths[i]), 200);
        inert(c, paths[i], "anna");
    }
    assert_int_equal(client_get(c, "/desk/" HOSTILE), 404);
    inert(c, "no such path", "anna");
    assert_int_equal(client_get(c, "/desk/enrol"), 200);
    assert_int_equal(client_post(c, "/desk/enrol", "ref=" HOSTILE "&phone=" HOSTILE "&name=" HOSTILE "&tag=" HOSTILE "&arm=" HOSTILE
                                                   "&born=" HOSTILE "&office=" HOSTILE "&time-zone=" HOSTILE), 422);
    inert(c, "the form that came back", "anna");
    struct client *out = client_new(&scene->g);
    assert_int_equal(client_get(out, "/desk/sign-in?next=" HOSTILE), 200);
    inert(out, "sign-in", "nobody");
    assert_int_equal(client_post(out, "/desk/sign-in", "user=" HOSTILE "&password=" HOSTILE "&next=" HOSTILE), 422);
    inert(out, "sign-in, refused", "nobody");
    client_free(out);
    client_free(c);
}

/* -- the checker itself ------------------------------------------------------------------------------------------------------------ */

#define HEAD "<!doctype html>\n<html lang=\"en\"><head><title>x</title></head><body><a href=\"#main\">to</a><main id=\"main\"><h1>x</h1>"
#define TAIL "</main></body></html>"

static void the_checker_finds_what_is_wrong(void **state)
{
    static const struct {
        const char *page, *why;
    } rows[] = {
        {"<p>x</p>", "no page"},
        {HEAD "<p>x" TAIL, "unclosed"},
        {HEAD "<p>x</div>" TAIL, "closed by another"},
        {HEAD "<h3>x</h3>" TAIL, "a level left out"},
        {HEAD "<h1>y</h1>" TAIL, "two first headings"},
        {HEAD "<input id=\"a\" name=\"a\">" TAIL, "no label"},
        {HEAD "<label for=\"a\">a</label>" TAIL, "a label for nothing"},
        {HEAD "<p id=\"a\">a</p><p id=\"a\">b</p>" TAIL, "an id twice"},
        {HEAD "<p><ul><li>x</li></ul></p>" TAIL, "a list in a paragraph"},
        {HEAD "<table><tbody><tr><th>x</th></tr></tbody></table>" TAIL, "no scope"},
        {HEAD "<button></button>" TAIL, "a button without words"},
        {HEAD "<a href=\"/x\"> </a>" TAIL, "a link without words"},
        {HEAD "<svg></svg>" TAIL, "a picture without words"},
        {HEAD "<p onclick=\"x\">x</p>" TAIL, "script in the page"},
        {HEAD "<p class=\"a\" class=\"b\">x</p>" TAIL, "an attribute twice"},
        {HEAD "1 < 2" TAIL, "a bare sign"},
        {"<!doctype html>\n<html><head><title>x</title></head><body><a href=\"#main\">to</a><main id=\"main\"><h1>x</h1>" TAIL, "no language"},
    };
    (void)state;
    assert_null(page_fault(HEAD "<p><label for=\"a\">a</label> <input id=\"a\"></p>" TAIL));
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (!page_fault(rows[i].page))
            fail_msg("not found: %s", rows[i].why);
}

int main(void)
{
    curl_global_init(CURL_GLOBAL_ALL);
#define CLAIM(name) cmocka_unit_test_setup_teardown(name, desk_scene_open, desk_scene_close)
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_checker_finds_what_is_wrong),
        CLAIM(every_page_is_sound_before_anybody_is_enrolled),
        CLAIM(every_page_is_sound_with_a_patient_in_trouble),
        CLAIM(every_refused_form_comes_back_sound),
        CLAIM(hostile_words_are_words_on_every_page),
        CLAIM(hostile_addresses_and_forms_are_words),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
