/* The W3C WebDriver protocol, as much of it as the desk's tests need; see driver.h. */
#include "tests/browser/driver.h"

#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <cmocka.h>

#include <curl/curl.h>
#include <fcntl.h>
#include <signal.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

enum { START_TRIES = 400, WAIT_TRIES = 100, PATH_BYTES = 1024 };
static const char element_key[] = "element-6066-11e4-a52e-4f735466cecf"; /* WebDriver 1, section 12 */

static void pause_ms(int ms)
{
    struct timespec t = {.tv_sec = ms / 1000, .tv_nsec = (long)(ms % 1000) * 1000000};
    nanosleep(&t, NULL);
}

/* -- HTTP ------------------------------------------------------------------------------------------------------------------ */

struct answer {
    char *text;
    size_t n;
};

static size_t take(char *bytes, size_t size, size_t n, void *context)
{
    struct answer *a = context;
    char *grown = realloc(a->text, a->n + size * n + 1);
    if (!grown)
        return 0;
    memcpy(grown + a->n, bytes, size * n);
    a->text = grown;
    a->n += size * n;
    a->text[a->n] = '\0';
    return size * n;
}

/* The "value" of the answer, a new reference; NULL when the browser said no. `body` is taken over; NULL: a GET. */
static json_t *call(struct driver *d, const char *method, const char *path, json_t *body)
{
    char url[PATH_BYTES];
    struct answer a = {0};
    long status = 0;
    char *text = body ? json_dumps(body, JSON_COMPACT) : NULL;
    CURL *curl = curl_easy_init();
    struct curl_slist *headers = curl_slist_append(NULL, "Content-Type: application/json");
    snprintf(url, sizeof url, "http://127.0.0.1:%d%s", d->port, path);
    curl_easy_setopt(curl, CURLOPT_URL, url);
    curl_easy_setopt(curl, CURLOPT_CUSTOMREQUEST, method);
    curl_easy_setopt(curl, CURLOPT_HTTPHEADER, headers);
    if (text)
        curl_easy_setopt(curl, CURLOPT_POSTFIELDS, text);
    curl_easy_setopt(curl, CURLOPT_WRITEFUNCTION, take);
    curl_easy_setopt(curl, CURLOPT_WRITEDATA, &a);
    curl_easy_setopt(curl, CURLOPT_TIMEOUT, 40L);
    CURLcode code = curl_easy_perform(curl);
    curl_easy_getinfo(curl, CURLINFO_RESPONSE_CODE, &status);
    json_t *whole = code == CURLE_OK && a.text ? json_loads(a.text, 0, NULL) : NULL;
    json_t *value = status == 200 ? json_incref(json_object_get(whole, "value")) : NULL;
    const char *why = json_string_value(json_object_get(json_object_get(whole, "value"), "message"));
    snprintf(d->why, sizeof d->why, "%s", status == 200 ? "" : why ? why : "no answer");
    json_decref(whole);
    json_decref(body);
    curl_slist_free_all(headers);
    curl_easy_cleanup(curl);
    free(a.text);
    free(text);
    return value;
}

/* Within the session; fails the test. */
static json_t *ask(struct driver *d, const char *method, const char *path, json_t *body)
{
    char whole[PATH_BYTES], asked[64] = "";
    if (json_string_value(json_object_get(body, "cmd")))
        snprintf(asked, sizeof asked, "%s", json_string_value(json_object_get(body, "cmd")));
    snprintf(whole, sizeof whole, "/session/%s%s", d->session, path);
    json_t *value = call(d, method, whole, body);
    if (!value)
        fail_msg("the browser refuses %s %s: %s; %s", method, path, d->why, asked);
    return value;
}

/* -- opening and closing --------------------------------------------------------------------------------------------------- */

/* The driver prints its port; it takes a free one. */
static void process_start(struct driver *d)
{
    char path[600], text[2048] = "";
    snprintf(path, sizeof path, "%s/chromedriver.log", d->folder);
    int log = open(path, O_WRONLY | O_CREAT | O_TRUNC, 0600);
    d->pid = fork();
    if (d->pid == 0) {
        dup2(log, 1);
        dup2(log, 2);
        execlp("chromedriver", "chromedriver", "--port=0", (char *)NULL);
        _exit(127);
    }
    close(log);
    for (int tries = 0; tries < START_TRIES && !d->port; tries++) {
        FILE *in = fopen(path, "r");
        size_t n = in ? fread(text, 1, sizeof text - 1, in) : 0;
        text[n] = '\0';
        if (in)
            fclose(in);
        const char *at = strstr(text, "successfully on port ");
        d->port = at && strchr(at, '\n') ? (int)strtol(at + 21, NULL, 10) : 0;
        if (!d->port)
            pause_ms(25); /* a poll of a growing file, bounded above */
    }
    if (!d->port)
        fail_msg("chromedriver does not start: %s", text);
}

static json_t *capabilities(int width)
{
    json_t *options = json_pack("{s:[s,s,s,s,s], s:{s:{s:i, s:i, s:f}}}", "args", "--headless", "--no-sandbox", "--disable-gpu",
                                "--disable-background-networking", "--hide-scrollbars", "mobileEmulation", "deviceMetrics",
                                "width", width, "height", 900, "pixelRatio", 1.0);
    return json_pack("{s:{s:{s:s, s:o}}}", "capabilities", "alwaysMatch", "browserName", "chrome", "goog:chromeOptions", options);
}

void driver_open(struct driver *d, const char *folder, bool script, int width)
{
    *d = (struct driver){.script = script};
    snprintf(d->folder, sizeof d->folder, "%s", folder);
    process_start(d);
    json_t *session = call(d, "POST", "/session", capabilities(width));
    const char *id = json_string_value(json_object_get(session, "sessionId"));
    if (!id)
        fail_msg("no browser session is to be had");
    snprintf(d->session, sizeof d->session, "%s", id);
    json_decref(session);
    if (!script)
        json_decref(ask(d, "POST", "/goog/cdp/execute", json_pack("{s:s, s:{s:b}}", "cmd", "Emulation.setScriptExecutionDisabled",
                                                                  "params", "value", 1)));
}

void driver_close(struct driver *d)
{
    char path[200];
    int status;
    if (d->session[0]) {
        snprintf(path, sizeof path, "/session/%s", d->session);
        json_decref(call(d, "DELETE", path, NULL));
    }
    if (d->pid > 0) {
        kill(d->pid, SIGTERM);
        waitpid(d->pid, &status, 0);
    }
    *d = (struct driver){0};
}

/* -- pages ------------------------------------------------------------------------------------------------------------------ */

void driver_go(struct driver *d, const char *url)
{
    json_decref(ask(d, "POST", "/url", json_pack("{s:s}", "url", url)));
}

/* The element's id, malloced; NULL when there is none. */
static char *element(struct driver *d, const char *selector)
{
    char path[PATH_BYTES];
    snprintf(path, sizeof path, "/session/%s/element", d->session);
    json_t *value = call(d, "POST", path, json_pack("{s:s, s:s}", "using", "css selector", "value", selector));
    const char *id = json_string_value(json_object_get(value, element_key));
    char *copy = id ? strdup(id) : NULL;
    json_decref(value);
    return copy;
}

bool driver_has(struct driver *d, const char *selector)
{
    char *id = element(d, selector);
    free(id);
    return id;
}

static void element_do(struct driver *d, const char *selector, const char *what, json_t *body)
{
    char path[PATH_BYTES];
    char *id = element(d, selector);
    if (!id)
        fail_msg("the page has no %s", selector);
    snprintf(path, sizeof path, "/element/%s/%s", id, what);
    json_decref(ask(d, "POST", path, body));
    free(id);
}

/* Without script the driver cannot click (it waits for a frame of animation that never comes): there the keyboard does it. */
void driver_click(struct driver *d, const char *selector)
{
    if (d->script)
        element_do(d, selector, "click", json_object());
    else
        element_do(d, selector, "value", json_pack("{s:s}", "text", "\xEE\x80\x87")); /* enter: U+E007 */
}

void driver_tick(struct driver *d, const char *selector)
{
    element_do(d, selector, "value", json_pack("{s:s}", "text", " "));
}

void driver_type(struct driver *d, const char *selector, const char *words)
{
    if (words[0] != '/') /* a file's path is added, not typed over */
        element_do(d, selector, "clear", json_object());
    element_do(d, selector, "value", json_pack("{s:s}", "text", words));
}

void driver_choose(struct driver *d, const char *selector, const char *words)
{
    element_do(d, selector, "value", json_pack("{s:s}", "text", words));
}

void driver_address(struct driver *d, char *url, size_t size)
{
    json_t *value = ask(d, "GET", "/url", NULL);
    snprintf(url, size, "%s", json_string_value(value));
    json_decref(value);
}

void driver_cookie(struct driver *d, const char *name, char cookie[65])
{
    char path[PATH_BYTES];
    snprintf(path, sizeof path, "/session/%s/cookie/%s", d->session, name);
    json_t *value = call(d, "GET", path, NULL);
    const char *text = json_string_value(json_object_get(value, "value"));
    snprintf(cookie, 65, "%s", text ? text : "");
    json_decref(value);
}

char *driver_source(struct driver *d)
{
    json_t *value = ask(d, "GET", "/source", NULL);
    char *copy = strdup(json_string_value(value) ? json_string_value(value) : "");
    json_decref(value);
    return copy;
}

void driver_wait(struct driver *d, const char *words)
{
    char *source = NULL;
    for (int tries = 0; tries < WAIT_TRIES; tries++) {
        free(source);
        source = driver_source(d);
        if (strstr(source, words)) {
            free(source);
            return;
        }
        pause_ms(50); /* the next page is on its way; bounded above */
    }
    driver_keep(d, "lacks");
    fail_msg("the page does not say \"%s\":\n%.4000s", words, source);
}

void driver_key(struct driver *d, const char *key)
{
    json_t *down = json_pack("{s:s, s:s}", "type", "keyDown", "value", key);
    json_t *up = json_pack("{s:s, s:s}", "type", "keyUp", "value", key);
    json_decref(ask(d, "POST", "/actions", json_pack("{s:[{s:s, s:s, s:[o,o]}]}", "actions", "type", "key", "id", "keys",
                                                     "actions", down, up)));
}

/* {"type": …, "value": …} for each sign; control with "a" before. */
void driver_keys(struct driver *d, const char *words)
{
    static const char control[] = "\xEE\x80\x89"; /* U+E009 */
    json_t *keys = json_pack("[{s:s,s:s},{s:s,s:s},{s:s,s:s},{s:s,s:s}]", "type", "keyDown", "value", control, "type", "keyDown",
                             "value", "a", "type", "keyUp", "value", "a", "type", "keyUp", "value", control);
    for (const char *at = words; *at; at++) {
        char one[2] = {*at, '\0'};
        json_array_append_new(keys, json_pack("{s:s,s:s}", "type", "keyDown", "value", one));
        json_array_append_new(keys, json_pack("{s:s,s:s}", "type", "keyUp", "value", one));
    }
    json_decref(ask(d, "POST", "/actions", json_pack("{s:[{s:s, s:s, s:o}]}", "actions", "type", "key", "id", "keys", "actions",
                                                     keys)));
}

void driver_attribute(struct driver *d, const char *selector, const char *name, char *value, size_t size)
{
    char path[PATH_BYTES];
    char *id = element(d, selector);
    if (!id)
        fail_msg("the page has no %s", selector);
    snprintf(path, sizeof path, "/session/%s/element/%s/attribute/%s", d->session, id, name);
    json_t *found = call(d, "GET", path, NULL);
    snprintf(value, size, "%s", json_string_value(found) ? json_string_value(found) : "");
    json_decref(found);
    free(id);
}

json_t *driver_run(struct driver *d, const char *body)
{
    return ask(d, "POST", "/execute/async", json_pack("{s:s, s:[]}", "script", body, "args"));
}

/* A command of Chromium's own protocol, beside WebDriver. */
static void chromium_do(struct driver *d, const char *command, json_t *parameters)
{
    json_decref(ask(d, "POST", "/goog/cdp/execute", json_pack("{s:s, s:o}", "cmd", command, "params", parameters)));
}

void driver_width(struct driver *d, int width)
{
    chromium_do(d, "Emulation.setDeviceMetricsOverride", json_pack("{s:i, s:i, s:f, s:b}", "width", width, "height", 900,
                                                                   "deviceScaleFactor", 1.0, "mobile", 0));
}

void driver_media(struct driver *d, const char *media)
{
    chromium_do(d, "Emulation.setEmulatedMedia", json_pack("{s:s}", "media", media));
}

void driver_see_as(struct driver *d, const char *sight)
{
    chromium_do(d, "Emulation.setEmulatedVisionDeficiency", json_pack("{s:s}", "type", sight));
}

/* -- keeping ------------------------------------------------------------------------------------------------------------------ */

static void file_write(const struct driver *d, const char *name, const char *ending, const void *bytes, size_t n)
{
    char path[700];
    snprintf(path, sizeof path, "%s/%s.%s", d->folder, name, ending);
    FILE *out = fopen(path, "wb");
    if (!out || fwrite(bytes, 1, n, out) != n)
        fail_msg("%s cannot be written", path);
    fclose(out);
}

void driver_keep(struct driver *d, const char *name)
{
    json_t *picture = ask(d, "GET", "/screenshot", NULL);
    const char *base64 = json_string_value(picture);
    size_t room = base64 ? strlen(base64) : 0, n = 0;
    unsigned char *bytes = malloc(room + 1);
    if (base64 && sodium_base642bin(bytes, room, base64, room, NULL, &n, NULL, sodium_base64_VARIANT_ORIGINAL) == 0)
        file_write(d, name, "png", bytes, n);
    free(bytes);
    json_decref(picture);
}
