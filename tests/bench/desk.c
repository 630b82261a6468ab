/* Desk: how long the list, the patients' table, a patient's own pages and the figures take, asked over HTTP, by the number of
 * patients. The largest world has a hundred thousand of them, some five and a half million readings, and 2,000 open rows a
 * clinic.
 *
 * What triggers keep for the table of patients is filled in here, since a world is copied without triggers.
 */
#include "tests/bench/bench.h"

#include <curl/curl.h>
#include <sodium.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { WEEKS_BEFORE = 1, ROWS = 2000 /* the most that a list holds */, ASKED = 25, PAGE_BYTES = 4 << 20 };
static const char password[] = "four words in a row";

/* `on`, `before`: the page has the number that goes for %lld behind these words. */
static const struct {
    const char *name, *path, *on, *before;
    int most;                    /* milliseconds wanted */
    const char *shows;           /* what the page must have, or it is not the page that is meant; NULL */
} pages[] = {
    {"the list", "/desk/list", .most = 100, .shows = "class=\"matter"},
    {"the list, page 10", "/desk/list?page=10", .most = 100},
    {"patients, first page", "/desk/patients", .most = 50, .shows = "<svg class=\"strip\""},
    {"patients, page 3000", "/desk/patients?page=3000", .most = 50},
    {"patients, longest silent first", "/desk/patients?sort=silent", .most = 50},
    {"patients, highest average first", "/desk/patients?sort=mean&stage=measuring", .most = 50},
    {"patients, found", "/desk/patients?find=p-77", .most = 50},
    {"one patient", "/desk/patient/%lld", "/desk/patients?page=30", "/desk/patient/", 50, "<svg class=\"week\""},
    {"the week before", "/desk/patient/%lld?week=1", "/desk/patients?page=30", "/desk/patient/", 50, "<svg class=\"week\""},
    {"the conversation", "/desk/patient/%lld/talk", "/desk/patients?page=30", "/desk/patient/", 50, "class=\"ours\""},
    {"a row", "/desk/row/%lld", "/desk/list", "/desk/row/", 50},
    {"figures", "/desk/figures", .most = 50},
};
enum { PAGES = sizeof pages / sizeof *pages };

/* -- the world ---------------------------------------------------------------------------------------------------------------- */

static int sql_run(sqlite3 *db, const char *sql)
{
    char *why = NULL;
    if (sqlite3_exec(db, sql, NULL, NULL, &why) == SQLITE_OK)
        return 0;
    fprintf(stderr, "%s\n", why);
    sqlite3_free(why);
    return -1;
}

static int account_put(sqlite3 *db)
{
    char hash[crypto_pwhash_STRBYTES];
    if (crypto_pwhash_str(hash, password, strlen(password), crypto_pwhash_OPSLIMIT_INTERACTIVE,
                          crypto_pwhash_MEMLIMIT_INTERACTIVE))
        return -1;
    char *sql = sqlite3_mprintf("INSERT INTO accounts VALUES ('bench', 'c00', 'coordinator', %Q, 1, 0, 0)", hash);
    int error = sql_run(db, sql);
    sqlite3_free(sql);
    return error;
}

static int world_fill(const struct world *w)
{
    static const char fill[] =
        "BEGIN; DELETE FROM overview; DELETE FROM stages; INSERT INTO overview (person, clinic, ref, stage, heard, mean_sys, mean_dia)"
        " SELECT p.id, p.clinic, p.ref, 'measuring', coalesce(c.last_text, 0), 120 + p.id % 50, 70 + p.id % 20 FROM people p"
        " JOIN courses c ON c.person = p.id WHERE p.ref <> '';"
        "DELETE FROM people_words; INSERT INTO people_words SELECT clinic, lower(ref), id FROM people WHERE ref <> '';"
        "INSERT INTO people_words SELECT clinic, substr(phone, 2), id FROM people WHERE ref <> ''; COMMIT; ANALYZE";
    char file[BENCH_PATH + 64];
    sqlite3 *db = NULL;
    snprintf(file, sizeof file, "%s/state/quietarm.db", w->folder);
    int error = sqlite3_open(file, &db) == SQLITE_OK ? 0 : -1;
    if (!error)
        error = sql_run(db, fill);
    if (!error)
        error = account_put(db);
    sqlite3_close(db);
    return error;
}

/* -- asking -------------------------------------------------------------------------------------------------------------------- */

struct visitor {
    CURL *curl;
    char origin[64], token[65];
    char *page;
    size_t n;
};

static size_t take(char *bytes, size_t size, size_t n, void *context)
{
    struct visitor *v = context;
    size_t much = size * n < PAGE_BYTES - v->n - 1 ? size * n : PAGE_BYTES - v->n - 1;
    memcpy(v->page + v->n, bytes, much);
    v->n += much;
    v->page[v->n] = '\0';
    return size * n;
}

/* The status; -1. */
static long ask(struct visitor *v, const char *path, const char *body)
{
    char url[256], origin[96];
    long status = -1;
    struct curl_slist *headers = NULL;
    snprintf(url, sizeof url, "%s%s", v->origin, path);
    snprintf(origin, sizeof origin, "Origin: %s", v->origin);
    headers = curl_slist_append(headers, origin);
    v->n = 0;
    curl_easy_setopt(v->curl, CURLOPT_URL, url);
    curl_easy_setopt(v->curl, CURLOPT_HTTPHEADER, headers);
    if (body)
        curl_easy_setopt(v->curl, CURLOPT_COPYPOSTFIELDS, body);
    else
        curl_easy_setopt(v->curl, CURLOPT_HTTPGET, 1L);
    if (curl_easy_perform(v->curl) == CURLE_OK)
        curl_easy_getinfo(v->curl, CURLINFO_RESPONSE_CODE, &status);
    curl_slist_free_all(headers);
    return status;
}

static int desk_port(const struct world *w)
{
    char path[BENCH_PATH + 32], text[8192] = "";
    snprintf(path, sizeof path, "%s/quietarm.log", w->folder);
    FILE *in = fopen(path, "r");
    size_t n = in ? fread(text, 1, sizeof text - 1, in) : 0;
    text[n] = '\0';
    if (in)
        fclose(in);
    const char *at = strstr(text, "desk port=");
    return at ? (int)strtol(at + 10, NULL, 10) : -1;
}

static int sign_in(struct visitor *v, const struct world *w)
{
    char body[256];
    *v = (struct visitor){.curl = curl_easy_init(), .page = calloc(1, PAGE_BYTES)};
    snprintf(v->origin, sizeof v->origin, "http://127.0.0.1:%d", desk_port(w));
    curl_easy_setopt(v->curl, CURLOPT_COOKIEFILE, "");
    curl_easy_setopt(v->curl, CURLOPT_WRITEFUNCTION, take);
    curl_easy_setopt(v->curl, CURLOPT_WRITEDATA, v);
    if (ask(v, "/desk/sign-in", NULL) != 200)
        return -1;
    const char *token = strstr(v->page, "name=\"token\" value=\"");
    snprintf(v->token, sizeof v->token, "%.64s", token ? token + 20 : "");
    snprintf(body, sizeof body, "token=%s&user=bench&password=four+words+in+a+row", v->token);
    return ask(v, "/desk/sign-in", body) == 303 ? 0 : -1;
}

static int page_time(struct visitor *v, const char *path, double *ms)
{
    struct rounds all = {0};
    for (int i = 0; i < ASKED; i++) {
        int64_t began = now_ns();
        if (ask(v, path, NULL) != 200)
            return -1;
        if (i >= ASKED - ROUNDS_MAX) /* the first ones fill caches */
            rounds_add(&all, (double)(now_ns() - began) / 1e6);
    }
    *ms = rounds_median(&all);
    return 0;
}

/* The address, with the number found where the page says. -1: none is there. */
static int page_address(struct visitor *v, int k, char path[128])
{
    const char *at = NULL;
    if (!pages[k].on) {
        snprintf(path, 128, "%s", pages[k].path);
        return 0;
    }
    if (ask(v, pages[k].on, NULL) == 200)
        at = strstr(v->page, pages[k].before);
    if (!at)
        return -1;
    const char *place = strstr(pages[k].path, "%lld");
    snprintf(path, 128, "%.*s%lld%s", (int)(place - pages[k].path), pages[k].path, strtoll(at + strlen(pages[k].before), NULL, 10),
             place + 4);
    return 0;
}

static int world_ask(const struct bench *b, const struct world *w, double ms[PAGES])
{
    char binary[BENCH_PATH + 32];
    struct program p;
    struct visitor v = {0};
    snprintf(binary, sizeof binary, "%s/quietarm", b->build);
    int error = program_start(&p, binary, w, NULL, NULL);
    if (error)
        return error;
    error = sign_in(&v, w);
    for (int i = 0; i < PAGES && !error; i++) {
        char path[128];
        error = page_address(&v, i, path);
        if (!error)
            error = page_time(&v, path, &ms[i]);
        if (!error && pages[i].shows && !strstr(v.page, pages[i].shows))
            error = -1;
        if (error)
            fprintf(stderr, "%s is not to be had\n", pages[i].name);
    }
    curl_easy_cleanup(v.curl);
    free(v.page);
    program_stop(&p);
    return error;
}

/* -- by number of patients ------------------------------------------------------------------------------------------------------ */

int bench_desk(const struct bench *b)
{
    static const int64_t sizes[] = {1000, 10000, 100000};
    int n = b->brief ? 2 : 3, error = 0;
    static struct series s[PAGES];
    char name[128], path[BENCH_PATH + 64];
    heading("Desk: its pages, over HTTP");
    memset(s, 0, sizeof s);
    for (int i = 0; i < n && !error; i++) {
        double ms[PAGES] = {0};
        struct world w = {.patients = sizes[i], .days = 7, .weeks = WEEKS_BEFORE, .desk_rows = ROWS};
        snprintf(w.folder, sizeof w.folder, "%s/desk", b->folder);
        error = world_make(&w);
        if (!error)
            error = world_fill(&w);
        if (!error)
            error = world_ask(b, &w, ms);
        for (int k = 0; k < PAGES && !error; k++) {
            snprintf(s[k].name, sizeof s[k].name, "%s", pages[k].name);
            s[k].x[s[k].n] = (double)sizes[i];
            s[k].y[s[k].n++] = ms[k];
            snprintf(name, sizeof name, "%s, %lld patients", pages[k].name, (long long)sizes[i]);
            figure_one(name, ms[k], "ms", AT_MOST(pages[k].most));
        }
    }
    snprintf(path, sizeof path, "%s/bench/growth-desk.svg", b->build);
    if (!error && chart_write(path, "Pages of the desk by patients", "patients", "milliseconds", s, PAGES) < 0)
        fprintf(stderr, "%s could not be written\n", path);
    return error;
}
