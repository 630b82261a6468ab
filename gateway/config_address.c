/* Where the gateway listens, and where it may send: addresses, targets, and the request that a text is sent with.
 *
 * Nothing that identifies a patient may leave over an open line: http: is for loopback only. A secret is never written in
 * the configuration itself. With a stepped clock or without authentication every address must be on loopback, so that a
 * test set-up can never text a real person. URLs are taken apart by libcurl, which will also fetch them.
 */
#include "gateway/config_parts.h"

#include <arpa/inet.h>
#include <curl/curl.h>
#include <jansson.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "gateway/send/send.h"

enum { BODY_FILE_BYTES = 64 << 10, HOST_BYTES = 128 };

/* -- hosts --------------------------------------------------------------------------------------------------------------- */

static bool host_loopback(const char *host)
{
    struct in_addr four;
    struct in6_addr six;
    if (strcasecmp(host, "localhost") == 0)
        return true;
    if (inet_pton(AF_INET, host, &four) == 1)
        return ntohl(four.s_addr) >> 24 == 127;
    return inet_pton(AF_INET6, host, &six) == 1 && memcmp(&six, &in6addr_loopback, sizeof six) == 0;
}

static bool host_address(const char *host)
{
    unsigned char any[sizeof(struct in6_addr)];
    return inet_pton(AF_INET, host, any) == 1 || inet_pton(AF_INET6, host, any) == 1;
}

/* False and told when the host is not on loopback though it must be. */
static bool host_allowed(const struct setting *s, const char *host)
{
    if (!s->r->loopback_only || host_loopback(host))
        return true;
    config_tell(s->r, s->line, "%s = %.60s: %s needs every address on loopback; write 127.0.0.1, or drop %s",
                s->rule->name, s->text, s->r->loopback_only, s->r->loopback_only);
    return false;
}

/* HOST:PORT or [HOST]:PORT; the port goes beside the host, into listen_port or desk_port. */
void take_listen(const struct setting *s)
{
    struct config *c = s->r->out;
    char host[HOST_BYTES];
    const char *colon = strrchr(s->text, ':');
    int64_t port;
    if (!colon || !whole_read(colon + 1, 0, 65535, &port)) {
        setting_bad(s, "no port from 0 to 65535 at its end");
        return;
    }
    bool bracket = s->text[0] == '[' && colon > s->text + 1 && colon[-1] == ']';
    snprintf(host, sizeof host, "%.*s", (int)(colon - s->text) - 2 * bracket, s->text + bracket);
    if (strcasecmp(host, "localhost") == 0)
        snprintf(host, sizeof host, "127.0.0.1");
    if (!host_address(host) || (strchr(host, ':') != NULL) != bracket)
        setting_bad(s, "not an IPv4 address, nor an IPv6 one in brackets");
    else if (host_allowed(s, host)) {
        snprintf(setting_field(s), s->rule->size, "%s", host);
        *(setting_field(s) == (void *)c->listen_host ? &c->listen_port : &c->desk_port) = (int)port;
    }
}

void take_proxy(const struct setting *s)
{
    if (!host_address(s->text))
        setting_bad(s, "not an IP address");
    else
        take_text(s);
}

/* -- URLs ---------------------------------------------------------------------------------------------------------------- */

struct place {
    char scheme[16], host[HOST_BYTES];
    bool user; /* a name or password before the host */
};

static void part_get(CURLU *u, CURLUPart part, char *out, size_t size)
{
    char *text = NULL;
    out[0] = '\0';
    if (curl_url_get(u, part, &text, 0) == CURLUE_OK)
        snprintf(out, size, "%s", text);
    curl_free(text);
}

static bool place_read(const char *text, struct place *out)
{
    char user[8];
    CURLU *u = curl_url();
    bool good = u && !strpbrk(text, " \t\"<>\\") &&
                curl_url_set(u, CURLUPART_URL, text, CURLU_NON_SUPPORT_SCHEME) == CURLUE_OK;
    if (good) {
        part_get(u, CURLUPART_SCHEME, out->scheme, sizeof out->scheme);
        part_get(u, CURLUPART_HOST, out->host, sizeof out->host);
        part_get(u, CURLUPART_USER, user, sizeof user);
        out->user = user[0];
        size_t n = strlen(out->host);
        if (n > 2 && out->host[0] == '[') {
            memmove(out->host, out->host + 1, n - 2);
            out->host[n - 2] = '\0';
        }
    }
    curl_url_cleanup(u);
    return good && out->host[0];
}

static bool url_good(const struct setting *s)
{
    struct place p;
    char word[32];
    if (!place_read(s->text, &p) || (strcmp(p.scheme, "http") != 0 && strcmp(p.scheme, "https") != 0))
        setting_bad(s, "not an http or https address");
    else if (p.user)
        config_tell(s->r, s->line,
                    "%s: a name or password in an address; put it in a header and its secret_file",
                    s->rule->name);
    else if (strcmp(p.scheme, "http") == 0 && !host_loopback(p.host))
        config_tell(s->r, s->line,
                    "%s = %.60s: http: goes to loopback only, since nothing protects it; write https:",
                    s->rule->name, s->text);
    else if (template_unknown(s->text, word))
        config_tell(s->r, s->line,
                    "%s = %.60s: unknown placeholder {%s}; there are {from} {to} {text} {key} {secret}",
                    s->rule->name, s->text, word);
    else
        return host_allowed(s, p.host);
    return false;
}

void take_url(const struct setting *s)
{
    if (url_good(s))
        take_text(s);
}

/* True and told when one of the placeholders stands in the value: here nothing would be put for it. */
static bool holds_valueless(const struct setting *s, const char *const *words, size_t n, const char *what)
{
    for (size_t i = 0; i < n; i++)
        if (strstr(s->text, words[i])) {
            config_tell(s->r, s->line, "%s: %s has no value here; %s", s->rule->name, words[i], what);
            return true;
        }
    return false;
}

static const char *const valueless[] = {"{from}", "{to}", "{text}", "{secret}", "{key}"};
enum { OF_A_TARGET = 3, OF_AN_ADDRESS = 4, OF_A_PAGE = 5 }; /* how many of them */

void take_public_url(const struct setting *s)
{
    if (!holds_valueless(s, valueless, OF_A_PAGE, "write the desk's address as browsers see it"))
        take_url(s);
}

void take_target_url(const struct setting *s)
{
    if (!holds_valueless(s, valueless, OF_A_TARGET, "a target may use {key} and {secret}"))
        take_url(s);
}

/* An address in a list, without a [target] of its own. */
static bool url_alone_good(const struct setting *s)
{
    return !holds_valueless(s, valueless, OF_AN_ADDRESS, "write target:NAME, and a [target NAME] with its url and secret_file") &&
           url_good(s);
}

void take_mail_url(const struct setting *s)
{
    struct place p;
    if (!place_read(s->text, &p) || (strcmp(p.scheme, "smtp") != 0 && strcmp(p.scheme, "smtps") != 0))
        setting_bad(s, "not an smtp: or smtps: address");
    else if (p.user)
        config_tell(s->r, s->line,
                    "%s: a name or password in an address; write user = and secret_file = instead",
                    s->rule->name);
    else if (host_allowed(s, p.host))
        take_text(s);
}

/* One @, something on both sides, and nothing that a mail header could take for its own. */
bool mail_address_good(const char *s)
{
    const char *at = strchr(s, '@');
    for (const char *c = s; *c; c++)
        if ((unsigned char)*c <= ' ' || strchr("<>()[]\\,;:\"?%", *c))
            return false;
    return at && at > s && !strchr(at + 1, '@') && at[1] && at[1] != '.' && strlen(s) < TARGET_MAX;
}

void take_mail_address(const struct setting *s)
{
    if (!mail_address_good(s->text))
        setting_bad(s, "not a mail address");
    else
        take_text(s);
}

/* -- targets ------------------------------------------------------------------------------------------------------------- */

static bool target_mail(const struct setting *s)
{
    if (!mail_address_good(s->text + strlen("mailto:")))
        setting_bad(s, "not a mail address");
    else if (ini_section(&s->r->ini, "mail") < 0)
        config_tell(s->r, s->line, "%s = %.60s: there is no [mail] section to send it with; add one",
                    s->rule->name, s->text);
    else
        return true;
    return false;
}

static bool target_named(const struct setting *s)
{
    char section[INI_NAME_BYTES + 8];
    snprintf(section, sizeof section, "target %s", s->text + strlen("target:"));
    if (ini_section(&s->r->ini, section) >= 0)
        return true;
    config_tell(s->r, s->line, "%s = %.60s: there is no section [%s]; add it, or correct the name",
                s->rule->name, s->text, section);
    return false;
}

static bool target_folder(const struct setting *s)
{
    const char *path = s->text + strlen("dir:");
    if (*path && !strstr(path, ".."))
        return true;
    setting_bad(s, "not a folder's path");
    return false;
}

static bool target_phone(const struct setting *s)
{
    if (phone_e164(s->text))
        return true;
    setting_bad(s, "not a phone number with its country: + and 7 to 15 digits");
    return false;
}

static const struct target_form {
    const char *begins;
    bool (*good)(const struct setting *s);
    bool alert, summary;
} target_forms[] = {
    {"+", target_phone, true, false},     {"mailto:", target_mail, true, true},
    {"http:", url_alone_good, true, true}, {"https:", url_alone_good, true, true},
    {"dir:", target_folder, false, true}, {"target:", target_named, true, true},
};

static void take_target(const struct setting *s, bool summary)
{
    for (size_t i = 0; i < sizeof target_forms / sizeof *target_forms; i++) {
        const struct target_form *f = &target_forms[i];
        if (strncmp(s->text, f->begins, strlen(f->begins)) != 0)
            continue;
        if (!(summary ? f->summary : f->alert))
            break;
        if (f->good(s))
            take_text(s);
        return;
    }
    setting_bad(s, summary ? "not where a summary can go" : "not where an alert can go");
}

void take_alert_target(const struct setting *s)
{
    take_target(s, false);
}

void take_summary_target(const struct setting *s)
{
    take_target(s, true);
}

/* -- the request ----------------------------------------------------------------------------------------------------------- */

/* RFC 9110: a token, a colon, a value without control characters (the INI reader has refused those). */
static bool header_good(const struct setting *s)
{
    char word[32];
    size_t n = strcspn(s->text, ":");
    if (!n || !s->text[n] || strcspn(s->text, " \t\"(),/;<=>?@[\\]{}") < n)
        setting_bad(s, "not a header");
    else if (template_unknown(s->text, word))
        config_tell(s->r, s->line, "%s: unknown placeholder {%s}; there are {from} {to} {key} {secret}",
                    s->rule->name, word);
    else if (strstr(s->text, "{text}"))
        config_tell(s->r, s->line, "%s: {text} in a header; put it in the body", s->rule->name);
    else if (strncasecmp(s->text, "authorization:", 14) == 0 && !strstr(s->text, "{secret}"))
        config_tell(s->r, s->line,
                    "%s: the secret itself is written here; write {secret} and put it in a secret_file",
                    s->rule->name);
    else
        return true;
    return false;
}

void take_header(const struct setting *s)
{
    if (header_good(s))
        take_text(s);
}

void take_target_header(const struct setting *s)
{
    if (strstr(s->text, "{to}") || strstr(s->text, "{from}"))
        config_tell(s->r, s->line, "%s: a target has no {from} and {to}; it may use {key} and {secret}",
                    s->rule->name);
    else
        take_header(s);
}

/* The template with a 1 in the place of each placeholder must be JSON: right inside a string and as a number. */
static bool body_is_json(const char *body)
{
    static const char *const words[] = {"{from}", "{to}", "{text}", "{key}", "{secret}"};
    struct buffer b;
    buffer_init(&b, BODY_FILE_BYTES);
    for (const char *c = body; *c;) {
        size_t n = 0;
        for (size_t i = 0; i < sizeof words / sizeof *words && !n; i++)
            n = strncmp(c, words[i], strlen(words[i])) == 0 ? strlen(words[i]) : 0;
        buffer_add(&b, n ? "1" : c, 1);
        c += n ? n : 1;
    }
    char *json = buffer_take(&b);
    json_t *parsed = json ? json_loads(json, JSON_REJECT_DUPLICATES, NULL) : NULL;
    bool good = parsed != NULL;
    json_decref(parsed);
    free(json);
    return good;
}

static void body_set(const struct setting *s, const char *body)
{
    struct outbound_config *o = &s->r->out->outbound;
    const char *format = config_value(s->r, "outbound", "format");
    char word[32];
    if (o->body)
        config_tell(s->r, s->line, "both body and body_file are given in [outbound]; keep one");
    else if (template_unknown(body, word))
        config_tell(s->r, s->line,
                    "%s: unknown placeholder {%s}; there are {from} {to} {text} {key} {secret}",
                    s->rule->name, word);
    else if (!strstr(body, "{to}") || !strstr(body, "{text}"))
        setting_bad(s, "{to} or {text} is missing in it");
    else if ((!format || strcmp(format, "json") == 0) && !body_is_json(body))
        setting_bad(s, "not JSON once its placeholders are filled in");
    else if (!(o->body = strdup(body)))
        s->r->failed = true;
}

void take_body(const struct setting *s)
{
    body_set(s, s->text);
}

void take_body_file(const struct setting *s)
{
    char path[PATH_MAX_BYTES];
    struct buffer b;
    struct setting file = *s;
    struct key_rule rule = {.name = s->rule->name, .size = sizeof path, .example = s->rule->example};
    file.rule = &rule;
    file.base = path;
    path[0] = '\0';
    take_path(&file);
    if (!path[0])
        return;
    buffer_init(&b, BODY_FILE_BYTES);
    int error = buffer_read_file(&b, path);
    while (b.n && (b.at[b.n - 1] == '\n' || b.at[b.n - 1] == '\r'))
        b.at[--b.n] = '\0';
    if (error)
        setting_bad(s, "%s", strerror(-error));
    else if (!b.n || strlen(b.at) != b.n)
        setting_bad(s, "an empty file, or one with a NUL byte");
    else
        body_set(s, b.at);
    buffer_clear(&b);
}
