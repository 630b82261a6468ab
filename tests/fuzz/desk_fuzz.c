/* The desk and the FHIR endpoint, signed in, with the real store and writer: forms, uploads, cookies, queries, searches over a
 * socket. Every request is answered, none by 500; afterwards the program still answers.
 *
 * The first byte chooses what the rest is, the second which form; pages that hash a password are left out: each takes a
 * tenth of a second.
 */
#include <fcntl.h>
#include <sodium.h>

#include "gateway/enrolment.h"
#include "gateway/flow/flow.h"
#include "gateway/folder.h"
#include "gateway/web/desk/room.h"
#include "tests/fuzz/line.h"

enum { HEAD_BYTES = 1024, IDS = 4 };

static struct world {
    struct config config;
    struct texts *texts;
    struct flow *flow;
    struct web *web;
    char token[2 * TOKEN_BYTES + 1], csrf[65], head[HEAD_BYTES];
    int64_t ids[IDS]; /* a person, an alert, a reading, a row of the desk */
    int port;
} w;

/* -- the world -------------------------------------------------------------------------------------------------------------- */

static void must(int error)
{
    CLAIM(error == 0, "the world opens");
}

static void staff_add(struct db *db)
{
    struct account a = {.user = "rowan", .role = "admin", .password = "none", .enabled = true};
    struct session s = {.user = "rowan", .created = clock_real_now(), .seen = clock_real_now(), .ends = clock_real_now() + 43200};
    memset(w.token, 'a', sizeof w.token - 1);
    csrf_make(w.token, w.csrf);
    crypto_generichash(s.token, TOKEN_HASH, (const unsigned char *)w.token, strlen(w.token), NULL, 0);
    a.created = a.changed = s.created - 1;
    must(account_put(db, &a));
    must(session_put(db, &s));
}

static void patients_add(struct db *db)
{
    struct enrolment_place place = {.config = &w.config, .clinic = &w.config.clinics[0]};
    struct enrolment_watch nobody = {0};
    struct enrolment e;
    enrolment_place_day(&place, clock_now());
    enrolment_blank(&e, place.clinic);
    e.joined = true;
    snprintf(e.person.ref, sizeof e.person.ref, "P-0001");
    snprintf(e.person.phone, sizeof e.person.phone, "+447700900101");
    snprintf(e.person.name, sizeof e.person.name, "Ada");
    must(enrolment_write(db, &w.config, w.texts, clock_now(), &e, 1, &nobody));
}

static void text_done(struct job *job)
{
    atomic_store((atomic_int *)job->owner, 1);
    job_free(job);
}

static void text_in(const char *id, const char *words)
{
    static atomic_int done;
    struct job *job = calloc(1, sizeof *job);
    atomic_store(&done, 0);
    *job = (struct job){.kind = JOB_TEXT, .done = text_done, .owner = &done,
                        .text = {.from = "+447700900101", .to = "+447700900001", .body = strdup(words),
                                 .size = strlen(words), .sent = INSTANT_NONE}};
    snprintf(job->text.message_id, sizeof job->text.message_id, "%s", id);
    flow_submit(w.flow, job);
    while (!atomic_load(&done))
        usleep(1000);
}

static void ids_find(void)
{
    struct db *db;
    struct alert *alerts;
    struct desk_row *rows;
    struct reading *readings;
    char why[256];
    bool found;
    size_t n;
    must(db_open(&db, w.config.state, DB_READ, why, sizeof why));
    must(person_by_ref(db, "maple", "P-0001", &w.ids[0], &found));
    must(alerts_list(db, "maple", 1, &alerts, &n));
    w.ids[1] = n ? alerts[0].id : 1;
    must(readings_of_person(db, w.ids[0], 0, INT64_MAX / 2, &readings, &n));
    w.ids[2] = n ? readings[0].id : 1;
    must(desk_list(db, "maple", INT64_MAX / 2, 1, &rows, &n));
    w.ids[3] = n ? rows[0].id : 1;
    free(alerts);
    free(rows);
    free(readings);
    db_close(db);
}

static void world_open(void)
{
    static const struct web_limits brief = {.head = 2000, .whole = 3000, .answer = 9000, .wait = 9000, .shut = 30, .tick = 5};
    char why[512] = "", folder[] = "desk-XXXXXX"; /* in the folder that the runner made */
    struct db *db;
    log_level_set(LOG_ERROR);
    CLAIM(mkdtemp(folder) && sodium_init() >= 0, "a folder");
    practice_open(&w.config, folder);
    snprintf(w.config.clinics[0].fhir_token, sizeof w.config.clinics[0].fhir_token, "a-token");
    must(texts_load(&w.texts, "", why, sizeof why));
    must(db_open(&db, folder, DB_SERVE, why, sizeof why));
    staff_add(db);
    patients_add(db);
    db_close(db);
    must(flow_open(&w.flow, &w.config, w.texts, why, sizeof why));
    must(flow_start(w.flow));
    text_in("t-1", "132/84 71");
    text_in("t-2", "chest pain");
    text_in("t-3", "will it rain, and who are you?");
    ids_find();
    web_limits_set(&brief);
    must(web_open(&w.web, &w.config, w.flow, NULL, why, sizeof why));
    w.port = w.web->listeners[LISTENER_DESK].port;
}

/* -- asking ------------------------------------------------------------------------------------------------------------------- */

static void answered(int status)
{
    CLAIM(status >= 200 && status < 600 && status != 500, "a request is answered, and not by 500");
}

/* The pattern of a route with the numbers that there are. */
static void path_of(const struct page_route *r, char *path, size_t size)
{
    const int64_t first = w.ids[r->noun == NOUN_ALERT ? 1 : r->noun == NOUN_READING ? 2 : r->noun == NOUN_ROW ? 3 : 0];
    size_t n = 0;
    bool second = false;
    for (const char *c = r->path; *c && n + 20 < size; c++) {
        if (*c != '#')
            path[n++] = *c;
        else
            n += (size_t)snprintf(path + n, size - n, "%lld", (long long)(second ? 1 : first));
        second = second || *c == '#';
    }
    path[n] = '\0';
}

static const char *head_of(const char *method, const char *path, const char *type)
{
    snprintf(w.head, sizeof w.head,
             "%s %s HTTP/1.1\r\nHost: 127.0.0.1:8481\r\nOrigin: http://127.0.0.1:8481\r\nCookie: quietarm=%s\r\n"
             "Authorization: Bearer a-token\r\nContent-Type: %s\r\n", method, path, w.token, type);
    return w.head;
}

static void form_post(const struct page_route *r, const uint8_t *data, size_t size)
{
    char path[256];
    struct buffer body;
    buffer_init(&body, 4 << 20);
    path_of(r, path, sizeof path);
    buffer_print(&body, "token=%s&", w.csrf);
    buffer_add(&body, data, size);
    answered(line_post(w.port, head_of("POST", path, "application/x-www-form-urlencoded"), body.at, body.n));
    buffer_clear(&body);
}

static void upload_post(const uint8_t *data, size_t size, bool signed_in)
{
    struct buffer body;
    buffer_init(&body, 4 << 20);
    if (signed_in)
        buffer_print(&body, "--X\r\nContent-Disposition: form-data; name=\"token\"\r\n\r\n%s\r\n", w.csrf);
    buffer_add(&body, data, size);
    answered(line_post(w.port, head_of("POST", "/desk/roster", "multipart/form-data; boundary=X"), body.at, body.n));
    buffer_clear(&body);
}

/* A query, a search or a header: whatever ends a line in it would only make another request. */
static void line_get(const char *before, const uint8_t *data, size_t size, const char *behind)
{
    struct buffer b;
    if (memchr(data, '\r', size) || memchr(data, '\n', size))
        return;
    buffer_init(&b, 1 << 20);
    buffer_text(&b, before);
    buffer_add(&b, data, size);
    buffer_text(&b, behind);
    line_ask(w.port, b.at, b.n, false);
    buffer_clear(&b);
}

static const struct page_route *route_at(uint8_t which, enum method method)
{
    size_t n = 0;
    while (page_route_at(n))
        n++;
    for (size_t i = 0; i < n; i++) {
        const struct page_route *r = page_route_at((which + i) % n);
        if (r->method == method && !r->hashes)
            return r;
    }
    return page_route_at(0);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static const char rest[] = " HTTP/1.1\r\nHost: 127.0.0.1:8481\r\nAuthorization: Bearer a-token\r\nConnection: close\r\n";
    char path[256], before[512], behind[512];
    if (!w.web)
        world_open();
    if (size < 2)
        return 0;
    uint8_t kind = data[0] % 6, which = data[1];
    data += 2, size -= 2;
    if (kind == 0)
        form_post(route_at(which, METHOD_POST), data, size);
    if (kind == 1 || kind == 2)
        upload_post(data, size, kind == 1);
    path_of(route_at(which, METHOD_GET), path, sizeof path);
    snprintf(before, sizeof before, "GET %s?", kind == 4 ? "/fhir/Observation" : path);
    snprintf(behind, sizeof behind, "%sCookie: quietarm=%s\r\n\r\n", rest, w.token);
    if (kind == 3)
        line_get(before, data, size, behind);
    if (kind == 4)
        line_get(which & 1 ? before : "GET /fhir/", data, size, behind);
    if (kind == 5)
        line_get("GET /desk HTTP/1.1\r\nHost: 127.0.0.1:8481\r\nConnection: close\r\nCookie: ", data, size, "\r\n\r\n");
    return 0;
}
