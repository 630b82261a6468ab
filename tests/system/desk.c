/* The desk over real HTTP: who may what, of which clinic, against which forgery; how sessions begin and end. The program is
 * the real one, the pages are fetched and the forms filled in as a browser would.
 *
 * Sources: OWASP cheat sheets on session management and cross-site request forgery (cookie attributes, token and Origin);
 * Content Security Policy level 3. Roles and isolation: as this project's contract says.
 */
#include "demo/play/place.h"
#include "tests/system/desk_routes.h"

#include <sodium.h>

/* -- who may what ---------------------------------------------------------------------------------------------------------------- */

static void without_signing_in_there_is_only_the_door(void **state)
{
    struct desk_scene *scene = *state;
    struct ids ids = maple_make(&scene->g);
    struct client *c = client_new(&scene->g);
    const struct page_route *r;
    char path[200];
    for (size_t i = 0; (r = page_route_at(i)); i++) {
        bool post = r->method == METHOD_POST, open = r->roles & ROLE_NOBODY;
        path_make(r, &ids, path);
        long status = post ? client_ask(c, path, "a=b", c->origin) : client_get(c, path);
        long wanted = post ? 403 : open ? 200 : 303;
        if (status != wanted || client_shows(c, "Ada"))
            fail_msg("%s: %ld, not %ld", path, status, wanted);
        if (!post && !open && strncmp(c->location, "/desk/sign-in?next=", 19) != 0)
            fail_msg("%s leads to %s", path, c->location);
    }
    client_free(c);
}

/* Asked without a form's token: whoever may is told that the form is old, whoever may not that the role does not cover it. */
static void each_role_may_what_the_table_says_and_nothing_else(void **state)
{
    static const struct {
        const char *user;
        enum role role;
    } people[] = {{"anna", ROLE_COORDINATOR}, {"cleo", ROLE_CLINICIAN}, {"dora", ROLE_ADMIN}};
    struct desk_scene *scene = *state;
    struct ids ids = maple_make(&scene->g);
    const struct page_route *r;
    char path[200];
    for (size_t k = 0; k < 3; k++) {
        struct client *c = client_in(&scene->g, people[k].user);
        for (size_t i = 0; (r = page_route_at(i)); i++) {
            bool may = r->roles & (people[k].role | ROLE_NOBODY), post = r->method == METHOD_POST;
            path_make(r, &ids, path);
            if (strcmp(path, "/desk/account") == 0)
                snprintf(path, sizeof path, "/desk/account?of=anna");
            long status = post ? client_ask(c, path, "a=b", c->origin) : client_get(c, path);
            bool refused = status == 403 && client_shows(c, word(WORD_NOT_YOURS));
            bool old = status == 403 && client_shows(c, word(WORD_OLD_FORM));
            if (refused == may || (post && may && !old) || (!post && may && status != 200 && status != 303))
                fail_msg("%s %s as %s: %ld", post ? "POST" : "GET", path, people[k].user, status);
        }
        client_free(c);
    }
    assert_int_equal(stage_run(&scene->g, "week --clinic maple --ref P-0001 --json", 0), 0);
    assert_non_null(strstr(scene->g.output, "\"person\":\"joined\""));
}

/* The marks that make each form the only one of its kind are not compared. */
static void marks_blot(char *page)
{
    static const char before[] = "name=\"once\" value=\"";
    for (char *at = page; (at = strstr(at, before)); at += sizeof before)
        memset(at + sizeof before - 1, '-', 16);
}

/* With the right role and a good token: another clinic's things are as absent as those that never were. */
static void another_clinics_things_are_not_there(void **state)
{
    static const char *const people[] = {"bea", "carl", "dirk"};
    struct desk_scene *scene = *state;
    struct ids ids = maple_make(&scene->g), none = {1, 1, 1, 1};
    const struct page_route *r;
    char path[200], absent[CLIENT_BYTES / 64];
    for (size_t k = 0; k < 3; k++) {
        struct client *c = client_in(&scene->g, people[k]);
        for (size_t i = 0; (r = page_route_at(i)); i++) {
            bool post = r->method == METHOD_POST;
            if (r->noun == NOUN_NONE)
                continue;
            path_make(r, &none, path);
            long status_absent = post ? client_post(c, path, "note=x&version=0") : client_get(c, path);
            marks_blot(c->page);
            snprintf(absent, sizeof absent, "%s", c->page);
            path_make(r, &ids, path);
            long status = post ? client_post(c, path, "note=x&version=0&ref=P-0001") : client_get(c, path);
            marks_blot(c->page);
            if (status != status_absent || strcmp(absent, c->page) != 0 || (status != 404 && status != 403))
                fail_msg("%s as %s: %ld, absent %ld", path, people[k], status, status_absent);
        }
        client_free(c);
    }
    struct client *d = client_in(&scene->g, "dirk");
    static const char *const named[] = {"/desk/patients?clinic=maple", "/desk/figures?clinic=maple", "/desk/audit?clinic=maple",
                                        "/desk/accounts", "/desk/settings", "/desk/patients?find=Exam", "/desk/list"};
    for (size_t i = 0; i < sizeof named / sizeof *named; i++) {
        assert_int_equal(client_get(d, named[i]), 200);
        if (client_shows(d, "Maple") || client_shows(d, "Ada") || client_shows(d, "anna"))
            fail_msg("%s shows the other clinic", named[i]);
    }
    for (size_t i = 0; (r = page_route_at(i)); i++) { /* whatever takes a clinic's name takes one's own */
        if (r->noun != NOUN_NONE || !(r->roles & (ROLE_ADMIN | ROLE_NOBODY)) || r->hashes || strstr(r->path, "sign-"))
            continue;
        snprintf(path, sizeof path, "%s?clinic=maple&of=anna&person=%lld", r->path, ids.person);
        if (r->method == METHOD_GET)
            client_get(d, path);
        else
            client_post(d, r->path, "clinic=maple&of=anna&role=admin");
        if (client_shows(d, "Maple") || client_shows(d, "Ada") || client_shows(d, "anna") || client_shows(d, "P-0001"))
            fail_msg("%s shows the other clinic", r->path);
    }
    struct client *b = client_in(&scene->g, "bea");
    assert_int_equal(client_get(b, "/desk/enrol?clinic=maple"), 200);
    assert_int_equal(client_post(b, "/desk/enrol", "clinic=maple&ref=X-1&phone=%2B447700900150&language=en"), 303);
    assert_int_equal(client_post(b, "/desk/roster", "clinic=maple&table=ref,phone%0D%0AX-2,%2B447700900151%0D%0A"), 303);
    client_free(b);
    assert_int_equal(stage_run(&scene->g, "week --clinic maple --ref X-1", 1), 0);
    assert_int_equal(stage_run(&scene->g, "week --clinic maple --ref X-2", 1), 0);
    assert_int_equal(stage_run(&scene->g, "week --clinic birch --ref X-1", 0), 0);
    assert_int_equal(stage_run(&scene->g, "week --clinic birch --ref X-2", 0), 0);
    assert_int_equal(client_get(d, "/desk/account?of=anna"), 404);
    assert_int_equal(client_get(d, "/desk/account?of=ella"), 404); /* of all clinics: not a clinic's to change */
    assert_int_equal(client_get(d, "/desk/accounts"), 200);
    assert_int_equal(client_post(d, "/desk/account/disable", "of=anna"), 404);
    assert_int_equal(client_post(d, "/desk/account/add", "user=eve&role=admin&clinic=&password=long+enough+for+all"), 303);
    assert_int_equal(stage_run(&scene->g, "account list --all-clinics", 0), 0);
    assert_non_null(strstr(scene->g.output, "eve birch admin enabled"));
    client_free(d);
    struct client *e = client_in(&scene->g, "ella");
    snprintf(path, sizeof path, "/desk/patient/%lld", ids.person);
    assert_int_equal(client_get(e, path), 200);
    client_free(e);
}

/* -- forgery --------------------------------------------------------------------------------------------------------------------- */

static void a_forged_form_changes_nothing(void **state)
{
    struct desk_scene *scene = *state;
    struct ids ids = maple_make(&scene->g);
    struct client *anna = client_in(&scene->g, "anna"), *ben = client_in(&scene->g, "ben");
    char path[64], good[128], others[128], broken[128];
    snprintf(path, sizeof path, "/desk/row/%lld/done", ids.row);
    snprintf(good, sizeof good, "token=%s&version=0", anna->token);
    snprintf(others, sizeof others, "token=%s&version=0", ben->token);
    snprintf(broken, sizeof broken, "token=%.63s%c&version=0", anna->token, anna->token[63] == '0' ? '1' : '0');
    const struct {
        const char *body, *origin, *why;
    } rows[] = {
        {"version=0", anna->origin, "no token"},
        {others, anna->origin, "another session's token"},
        {broken, anna->origin, "nearly the token"},
        {"token=&version=0", anna->origin, "an empty token"},
        {good, NULL, "no Origin"},
        {good, "null", "an opaque Origin"},
        {good, "http://evil.example", "another site"},
        {good, "https://127.0.0.1", "another scheme and port"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (client_ask(anna, path, rows[i].body, rows[i].origin) != 403)
            fail_msg("%s: %ld", rows[i].why, anna->status);
    assert_int_equal(client_get(anna, "/desk/list"), 200);
    assert_true(client_shows(anna, path));
    client_free(anna);
    client_free(ben);
}

static void a_page_is_only_at_its_own_host(void **state)
{
    struct desk_scene *scene = *state;
    struct client *c = client_new(&scene->g);
    struct curl_slist *host = curl_slist_append(NULL, "Host: evil.example");
    char url[128];
    snprintf(url, sizeof url, "%s/desk/sign-in", c->origin);
    curl_easy_setopt(c->curl, CURLOPT_URL, url);
    curl_easy_setopt(c->curl, CURLOPT_HTTPHEADER, host);
    assert_int_equal(curl_easy_perform(c->curl), CURLE_OK);
    curl_easy_getinfo(c->curl, CURLINFO_RESPONSE_CODE, &c->status);
    assert_int_equal(c->status, 421);
    assert_false(client_shows(c, "password"));
    curl_slist_free_all(host);
    client_free(c);
}

static void every_answer_carries_its_headers(void **state)
{
    static const char *const headers[] = {
        "Content-Security-Policy: default-src 'none'; ", "frame-ancestors 'none'", "X-Content-Type-Options: nosniff",
        "X-Frame-Options: DENY", "Referrer-Policy: same-origin", "Cache-Control: no-store",
        "Cross-Origin-Opener-Policy: same-origin"};
    static const char *const paths[] = {"/desk/list", "/desk/sign-in", "/desk/style.css", "/desk/nowhere", "/desk/audit"};
    struct desk_scene *scene = *state;
    struct client *c = client_in(&scene->g, "anna");
    for (size_t i = 0; i < sizeof paths / sizeof *paths; i++) {
        client_get(c, paths[i]);
        for (size_t k = 0; k < sizeof headers / sizeof *headers; k++)
            if (!strstr(c->head, headers[k]))
                fail_msg("%s has no %s\n%s", paths[i], headers[k], c->head);
        if (strstr(c->head, "unsafe"))
            fail_msg("%s allows what it should not", paths[i]);
    }
    client_free(c);
}

static void the_session_is_in_a_cookie_that_scripts_and_other_sites_cannot_use(void **state)
{
    struct desk_scene *scene = *state;
    struct client *c = client_new(&scene->g);
    assert_int_equal(client_get(c, "/desk/sign-in"), 200);
    char before[65];
    snprintf(before, sizeof before, "%s", c->token);
    assert_int_equal(client_post(c, "/desk/sign-in", "user=anna&password=four+words+in+a+row"), 303);
    const char *cookie = strstr(c->head, "Set-Cookie: quietarm=");
    assert_non_null(cookie);
    assert_non_null(strstr(cookie, "; HttpOnly"));
    assert_non_null(strstr(cookie, "; SameSite=Strict"));
    assert_non_null(strstr(cookie, "; Path=/"));
    char token[65] = "", path[PLAY_PATH + 64];
    snprintf(token, sizeof token, "%.64s", cookie + 21);
    assert_int_equal(client_get(c, "/desk/list"), 200);
    assert_string_not_equal(before, c->token); /* the door's token is not the session's */
    snprintf(path, sizeof path, "%s/state/quietarm.db-wal", scene->g.folder);
    FILE *wal = fopen(path, "rb");
    char *bytes = calloc(1, 8 << 20);
    size_t n = wal ? fread(bytes, 1, 8 << 20, wal) : 0;
    assert_null(memmem(bytes, n, token, 64)); /* the database has its hash alone */
    if (wal)
        fclose(wal);
    free(bytes);
    client_free(c);
}

/* -- sessions end ------------------------------------------------------------------------------------------------------------------ */

static void a_session_ends_with_what_it_rests_on(void **state)
{
    struct desk_scene *scene = *state;
    struct stage *g = &scene->g;
    struct client *out = client_in(g, "anna"), *disabled = client_in(g, "ben"), *changed = client_in(g, "cleo");
    assert_int_equal(client_post(out, "/desk/sign-out", ""), 303);
    assert_int_equal(client_get(out, "/desk/list"), 303);
    assert_int_equal(stage_run(g, "account disable --clinic maple --user ben", 0), 0);
    assert_int_equal(client_get(disabled, "/desk/list"), 303);
    assert_int_equal(stage_run(g, "account role --clinic maple --user cleo --role coordinator", 0), 0);
    assert_int_equal(client_get(changed, "/desk/list"), 303);
    client_get(disabled, "/desk/sign-in");
    assert_int_equal(client_post(disabled, "/desk/sign-in", "user=ben&password=four+words+in+a+row"), 422);
    client_free(out);
    client_free(disabled);
    client_free(changed);
}

/* The session as the database has it, with other times. */
static void session_age(struct client *c, struct stage *g, int64_t created, int64_t seen, int64_t ends)
{
    char folder[PLAY_PATH + 16], why[256], token[65], conninfo[PLACE_CONNINFO];
    struct db *db = NULL;
    struct session s;
    bool found = false;
    struct curl_slist *cookies = NULL, *at;
    token[0] = '\0';
    curl_easy_getinfo(c->curl, CURLINFO_COOKIELIST, &cookies);
    for (at = cookies; at; at = at->next) /* domain, …, name, value: tabs between */
        if (strstr(at->data, "\tquietarm\t"))
            snprintf(token, sizeof token, "%.64s", strrchr(at->data, '\t') + 1);
    curl_slist_free_all(cookies);
    uint8_t hash[TOKEN_HASH];
    crypto_generichash(hash, TOKEN_HASH, (const unsigned char *)token, strlen(token), NULL, 0);
    snprintf(folder, sizeof folder, "%s/conninfo", g->folder);
    if (place_read(folder, conninfo))
        assert_true(store_choose(place_store(), conninfo));
    snprintf(folder, sizeof folder, "%s/state", g->folder);
    assert_int_equal(db_open(&db, folder, DB_WRITE, why, sizeof why), 0);
    assert_int_equal(session_get(db, hash, &s, &found), 0);
    assert_true(found);
    s.created += created, s.seen += seen, s.ends += ends;
    assert_int_equal(session_put(db, &s), 0);
    db_close(db);
}

static void a_session_ends_without_use_and_in_any_case(void **state)
{
    static const struct {
        int64_t created, seen, ends;
        long status;
        const char *why;
    } rows[] = {
        {0, -29 * 60, 0, 200, "29 minutes without use"},
        {0, -30 * 60 - 1, 0, 303, "half an hour without use"},
        {0, 0, -11 * 3600, 200, "eleven hours on, in use"},
        {0, 0, -12 * 3600 - 1, 303, "twelve hours on, in use"},
        {-1 - 3600, 0, 0, 303, "begun before the account was last changed"},
    };
    struct desk_scene *scene = *state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct client *c = client_in(&scene->g, "anna");
        session_age(c, &scene->g, rows[i].created, rows[i].seen, rows[i].ends);
        if (client_get(c, "/desk/list") != rows[i].status)
            fail_msg("%s: %ld", rows[i].why, c->status);
        client_free(c);
    }
}

/* A list that looks again by itself is nobody at work; whoever opens a page is. */
static void a_list_that_refreshes_itself_does_not_keep_a_session_alive(void **state)
{
    struct desk_scene *scene = *state;
    struct client *c = client_in(&scene->g, "anna");
    session_age(c, &scene->g, 0, -20 * 60, 0);
    assert_int_equal(client_get(c, "/desk/list?again=1"), 200);
    assert_non_null(strstr(c->head, "Refresh: 30; url=/desk/list?again=1"));
    session_age(c, &scene->g, 0, -11 * 60, 0);
    assert_int_equal(client_get(c, "/desk/list"), 303);
    client_free(c);
    c = client_in(&scene->g, "anna");
    session_age(c, &scene->g, 0, -20 * 60, 0);
    assert_int_equal(client_get(c, "/desk/list"), 200);
    assert_int_equal(client_post(c, "/desk/nowhere", ""), 404); /* behind it, the writer has written that it is in use */
    assert_int_equal(stage_move(&scene->g, scene->g.now + 1), 0);
    session_age(c, &scene->g, 0, -11 * 60, 0);
    assert_int_equal(client_get(c, "/desk/list"), 200);
    client_free(c);
}

static void the_command_says_what_is_wrong_with_an_account(void **state)
{
    static const struct {
        const char *what, *clinic, *user, *role, *line;
        int status;
        const char *why;
    } rows[] = {
        {"add", "maple", "fay", "coordinator", "elevenbytes", 2, "a password too short"},
        {"add", "maple", "fay", "coordinator", "", 2, "no password"},
        {"add", "maple", "fay", "nurse", "four words in a row", 2, "no such role"},
        {"add", "elm", "fay", "coordinator", "four words in a row", 2, "no such clinic"},
        {"add", "maple", "Fay Smith", "coordinator", "four words in a row", 2, "no user name"},
        {"add", "maple", "anna", "coordinator", "four words in a row", 1, "there already"},
        {"add", "birch", "anna", "coordinator", "four words in a row", 1, "there in another clinic"},
        {"disable", "birch", "anna", "coordinator", "", 1, "of another clinic"},
        {"remove", "maple", "anna", "coordinator", "", 2, "no such change"},
        {"add", "maple", "fay", "clinician", "twelve bytes", 0, "twelve bytes"},
        {"password", "maple", "fay", "clinician", "another twelve", 0, "a new password"},
    };
    struct desk_scene *scene = *state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char line[64];
        const char *argv[] = {scene->g.program, "account", rows[i].what, "--clinic", rows[i].clinic, "--user", rows[i].user,
                              "--role", rows[i].role, NULL};
        snprintf(line, sizeof line, "%s\n", rows[i].line);
        int status = run_with_line(&scene->g, argv, line);
        if (status != rows[i].status)
            fail_msg("%s: %d", rows[i].why, status);
    }
}

static void guessing_is_slowed_down_for_known_and_unknown_names(void **state)
{
    static const char *const users[] = {"anna", "nobody-here"};
    struct desk_scene *scene = *state;
    for (size_t k = 0; k < 2; k++) {
        struct client *c = client_new(&scene->g);
        char fields[80];
        int tries = 0;
        snprintf(fields, sizeof fields, "user=%s&password=wrong+wrong+wrong", users[k]);
        do {
            client_get(c, "/desk/sign-in");
            client_post(c, "/desk/sign-in", fields);
            if (c->status == 422)
                assert_true(client_shows(c, word(WORD_SIGN_IN_WRONG)));
        } while (c->status == 422 && ++tries < 20);
        assert_int_equal(c->status, 429);
        assert_non_null(strstr(c->head, "Retry-After: "));
        assert_in_range(tries, k == 0 ? 3 : 0, 6); /* the second name comes from the same address */
        client_free(c);
    }
}

int main(void)
{
    curl_global_init(CURL_GLOBAL_ALL);
#define CLAIM(name) cmocka_unit_test_setup_teardown(name, desk_scene_open, desk_scene_close)
    const struct CMUnitTest tests[] = {
        CLAIM(without_signing_in_there_is_only_the_door),
        CLAIM(each_role_may_what_the_table_says_and_nothing_else),
        CLAIM(another_clinics_things_are_not_there),
        CLAIM(a_forged_form_changes_nothing),
        CLAIM(a_page_is_only_at_its_own_host),
        CLAIM(every_answer_carries_its_headers),
        CLAIM(the_session_is_in_a_cookie_that_scripts_and_other_sites_cannot_use),
        CLAIM(a_session_ends_with_what_it_rests_on),
        CLAIM(a_session_ends_without_use_and_in_any_case),
        CLAIM(a_list_that_refreshes_itself_does_not_keep_a_session_alive),
        CLAIM(the_command_says_what_is_wrong_with_an_account),
        CLAIM(guessing_is_slowed_down_for_known_and_unknown_names),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
