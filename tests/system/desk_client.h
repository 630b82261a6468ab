/* For the tests of the desk: the real program with two clinics, accounts and patients, and clients that sign in and fill in
 * forms over HTTP as a browser would.
 */
#ifndef QUIETARM_TESTS_DESK_CLIENT_H
#define QUIETARM_TESTS_DESK_CLIENT_H

#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <cmocka.h>

#include <curl/curl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "demo/play/play.h"

#define CLINIC_INI(name, title, number)                                                                                \
    "[clinic " name "]\nname = " title "\ntext_number = " number "\nvoice_number = 01632 960001\n"                     \
    "hours = mon-sun 06:00-22:00\nout_of_hours = 111\nemergency = 999\ntime_zone = Europe/London\nlanguage = en\n"      \
    "protocol = esh\nmorning = 05:00-12:00\nevening = 16:00-24:00\nremind_morning = 07:30\nremind_evening = 19:30\n"    \
    "quiet = 21:30-07:00\nalert_to = +447700900002\nsummary_to = dir:outbox\n"

static const char desk_ini[] = CLINIC_INI("maple", "Maple Row Practice", "+447700900001")
    CLINIC_INI("birch", "Birch Lane Surgery", "+447700900011");
static const char password[] = "four words in a row";
enum { CLIENT_BYTES = 4 << 20, MAPLE = 0, BIRCH = 1 };

struct client {
    CURL *curl;
    char origin[64];
    char *page, *head;        /* of the last answer */
    size_t n_page, n_head;
    long status;
    char location[256], token[65];
};

struct desk_scene {
    struct stage g;
    struct script s;
};

/* -- commands -------------------------------------------------------------------------------------------------------------- */

/* Runs the program with a line of standard input; returns its exit status. */
static inline int run_with_line(struct stage *g, const char *const argv[], const char *line)
{
    int ends[2], status = 0;
    assert_int_equal(pipe(ends), 0);
    pid_t pid = fork();
    if (pid == 0) {
        dup2(ends[0], 0);
        close(ends[0]);
        close(ends[1]);
        if (chdir(g->folder) == 0)
            execv(g->program, (char *const *)argv);
        _exit(127);
    }
    close(ends[0]);
    assert_int_equal(write(ends[1], line, strlen(line)), (ssize_t)strlen(line));
    close(ends[1]);
    waitpid(pid, &status, 0);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

/* `clinic` NULL: all of them. */
static inline void account_add(struct stage *g, const char *clinic, const char *user, const char *role)
{
    char line[64];
    const char *argv[] = {g->program, "account", "add", "--user", user, "--role", role, clinic ? "--clinic" : "--all-clinics",
                          clinic, NULL};
    snprintf(line, sizeof line, "%s\n", password);
    assert_int_equal(run_with_line(g, argv, line), 0);
}

/* -- the scene --------------------------------------------------------------------------------------------------------------- */

static inline int desk_scene_open(void **state)
{
    static int n;
    struct desk_scene *scene = calloc(1, sizeof *scene);
    char folder[PLAY_PATH];
    const char *base = getenv("TEST_FOLDER"), *build = getenv("TEST_BUILD");
    snprintf(folder, sizeof folder, "%s-%d", base ? base : "build/run/desk.d", ++n);
    scene->s.start = 1796112000; /* 2026-12-01T08:00:00Z, a Tuesday */
    scene->s.ini = strdup(desk_ini);
    *state = scene;
    if (stage_open(&scene->g, folder, build ? build : "build", &scene->s))
        return -1;
    account_add(&scene->g, "maple", "anna", "coordinator");
    account_add(&scene->g, "maple", "ben", "coordinator");
    account_add(&scene->g, "maple", "cleo", "clinician");
    account_add(&scene->g, "maple", "dora", "admin");
    account_add(&scene->g, "birch", "bea", "coordinator");
    account_add(&scene->g, "birch", "carl", "clinician");
    account_add(&scene->g, "birch", "dirk", "admin");
    account_add(&scene->g, NULL, "ella", "clinician");
    return 0;
}

static inline int desk_scene_close(void **state)
{
    struct desk_scene *scene = *state;
    stage_close(&scene->g);
    free(scene->s.ini);
    free(scene);
    return 0;
}

/* -- a client ------------------------------------------------------------------------------------------------------------------ */

static inline size_t client_take(char *bytes, size_t size, size_t n, void *context)
{
    struct client *c = context;
    size_t much = size * n < CLIENT_BYTES - c->n_page - 1 ? size * n : CLIENT_BYTES - c->n_page - 1;
    memcpy(c->page + c->n_page, bytes, much);
    c->n_page += much;
    c->page[c->n_page] = '\0';
    return size * n;
}

static inline size_t client_head(char *bytes, size_t size, size_t n, void *context)
{
    struct client *c = context;
    if (c->n_head + size * n < 16384) {
        memcpy(c->head + c->n_head, bytes, size * n);
        c->n_head += size * n;
        c->head[c->n_head] = '\0';
    }
    if (size * n > 10 && strncasecmp(bytes, "location: ", 10) == 0)
        snprintf(c->location, sizeof c->location, "%.*s", (int)strcspn(bytes + 10, "\r\n"), bytes + 10);
    return size * n;
}

static inline struct client *client_new(struct stage *g)
{
    struct client *c = calloc(1, sizeof *c);
    c->curl = curl_easy_init();
    c->page = calloc(1, CLIENT_BYTES);
    c->head = calloc(1, 16384);
    snprintf(c->origin, sizeof c->origin, "http://127.0.0.1:%d", g->desk_port);
    curl_easy_setopt(c->curl, CURLOPT_COOKIEFILE, "");
    curl_easy_setopt(c->curl, CURLOPT_WRITEFUNCTION, client_take);
    curl_easy_setopt(c->curl, CURLOPT_WRITEDATA, c);
    curl_easy_setopt(c->curl, CURLOPT_HEADERFUNCTION, client_head);
    curl_easy_setopt(c->curl, CURLOPT_HEADERDATA, c);
    curl_easy_setopt(c->curl, CURLOPT_TIMEOUT, 60L);
    return c;
}

static inline void client_free(struct client *c)
{
    curl_easy_cleanup(c->curl);
    free(c->page);
    free(c->head);
    free(c);
}

/* `origin` NULL: none is said. A page's own token is remembered. */
static inline long client_ask(struct client *c, const char *path, const char *body, const char *origin)
{
    char url[1200], line[128];
    struct curl_slist *headers = NULL;
    snprintf(url, sizeof url, "%s%s", c->origin, path);
    snprintf(line, sizeof line, "Origin: %s", origin ? origin : "");
    if (origin)
        headers = curl_slist_append(headers, line);
    c->n_page = c->n_head = 0;
    c->page[0] = c->head[0] = c->location[0] = '\0';
    curl_easy_setopt(c->curl, CURLOPT_URL, url);
    curl_easy_setopt(c->curl, CURLOPT_HTTPHEADER, headers);
    if (body)
        curl_easy_setopt(c->curl, CURLOPT_COPYPOSTFIELDS, body);
    else
        curl_easy_setopt(c->curl, CURLOPT_HTTPGET, 1L);
    assert_int_equal(curl_easy_perform(c->curl), CURLE_OK);
    curl_easy_getinfo(c->curl, CURLINFO_RESPONSE_CODE, &c->status);
    curl_slist_free_all(headers);
    const char *token = strstr(c->page, "name=\"token\" value=\"");
    if (token)
        snprintf(c->token, sizeof c->token, "%.64s", token + 20);
    return c->status;
}

static inline long client_get(struct client *c, const char *path)
{
    return client_ask(c, path, NULL, NULL);
}

/* `fields`: "name=value&…", escaped, or ""; the token is added. */
static inline long client_post(struct client *c, const char *path, const char *fields)
{
    size_t n = strlen(fields) + 128;
    char *body = malloc(n);
    snprintf(body, n, "token=%s%s%s", c->token, *fields ? "&" : "", fields);
    long status = client_ask(c, path, body, c->origin);
    free(body);
    return status;
}

static inline bool client_shows(const struct client *c, const char *words)
{
    return strstr(c->page, words) != NULL;
}

static inline struct client *client_in(struct stage *g, const char *user)
{
    char fields[128];
    struct client *c = client_new(g);
    assert_int_equal(client_get(c, "/desk/sign-in"), 200);
    snprintf(fields, sizeof fields, "user=%s&password=four+words+in+a+row", user);
    if (client_post(c, "/desk/sign-in", fields) != 303)
        fail_msg("%s cannot sign in: %ld\n%s", user, c->status, c->page);
    assert_int_equal(client_get(c, "/desk/list"), 200);
    return c;
}

/* The first number behind `before` on the page; 0. */
static inline long long page_number(const struct client *c, const char *before)
{
    const char *at = strstr(c->page, before);
    return at ? strtoll(at + strlen(before), NULL, 10) : 0;
}

#endif
