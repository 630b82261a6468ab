/* What each channel sends: the carrier's request by the configuration's templates, an alert or summary by HTTP, a mail, a
 * file.
 *
 * Every attempt of a row sends the same body under the same key. Alerts name a patient by `ref` only, and a mail's subject
 * not even by that: subjects show on locked screens.
 */
#include "gateway/send/inside.h"

#include <errno.h>
#include <jansson.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#define ALERT_LEVEL_NAME(NAME, text) text,
static const char *const LEVEL_NAMES[] = {ALERT_LEVELS(ALERT_LEVEL_NAME)};

/* Never for good: memory comes back. */
static bool no_memory(struct attempt *a)
{
    return attempt_ended(a, SENT_PASSING, "out of memory");
}

static bool header_add(struct attempt *a, const char *line)
{
    struct curl_slist *longer = curl_slist_append(a->headers, line);
    if (longer)
        a->headers = longer;
    return longer;
}

static bool header_pair(struct attempt *a, const char *name, const char *value)
{
    char line[300];
    return strlen(value) < 200 && snprintf(line, sizeof line, "%s: %s", name, value) > 0 && header_add(a, line);
}

static bool header_configured(const char headers[4][512], const char *name)
{
    size_t n = strlen(name);
    for (int i = 0; i < 4; i++)
        if (!strncasecmp(headers[i], name, n) && headers[i][n] == ':')
            return true;
    return false;
}

static bool headers_fill(struct attempt *a, const char headers[4][512], const struct fields *f)
{
    for (int i = 0; i < 4; i++) {
        struct buffer line;
        buffer_init(&line, 8192);
        if (!headers[i][0])
            continue;
        bool made = template_fill(&line, headers[i], ESCAPE_HEADER, f) && (!line.failed || line.starved);
        bool added = made && !line.failed && header_add(a, line.at);
        if (line.at)
            explicit_bzero(line.at, line.n); /* it may hold a secret */
        buffer_clear(&line);
        if (!made)
            return attempt_ended(a, SENT_PERMANENT, "a header cannot be made: unknown placeholder or line break in it");
        if (!added)
            return no_memory(a);
    }
    return true;
}

/* POSTs a->body to a->url with the configured headers, the key and a type. */
static bool post_ready(struct attempt *a, const char headers[4][512], const struct fields *f, const char *type)
{
    bool loopback;
    int allowed = a->url.at ? url_allowed(a->url.at, &loopback) : 0;
    if (a->url.starved || a->body.starved || allowed < 0)
        return no_memory(a);
    if (a->url.failed || a->body.failed || !a->url.n)
        return attempt_ended(a, SENT_PERMANENT, "the request cannot be made: too long");
    if (!allowed)
        return attempt_ended(a, SENT_ROUTE_BROKEN, "plain http to another machine is refused");
    if (strpbrk(a->row.key, "\r\n"))
        return attempt_ended(a, SENT_PERMANENT, "its key has a line break in it");
    if (!headers_fill(a, headers, f))
        return false;
    bool ok = header_pair(a, "Idempotency-Key", a->row.key) && header_add(a, "Expect:") &&
              (header_configured(headers, "Content-Type") || header_pair(a, "Content-Type", type));
    CURLcode bad = ok ? CURLE_OK : CURLE_OUT_OF_MEMORY;
#define SET(option, value) bad = bad ? bad : curl_easy_setopt(a->easy, option, value)
    SET(CURLOPT_URL, a->url.at);
    SET(CURLOPT_POST, 1L);
    SET(CURLOPT_POSTFIELDSIZE_LARGE, (curl_off_t)a->body.n);
    SET(CURLOPT_POSTFIELDS, a->body.at ? a->body.at : "");
    SET(CURLOPT_HTTPHEADER, a->headers);
#undef SET
    return bad ? attempt_ended(a, SENT_PASSING, curl_easy_strerror(bad)) : true;
}

bool request_text(struct attempt *a, const char *secret)
{
    const struct outbound_config *o = &a->sender->config->outbound;
    const struct fields f = {a->row.from, a->row.to, a->row.body, a->row.key, secret};
    bool json = o->format == FORMAT_JSON;
    if (!template_fill(&a->url, o->url, ESCAPE_PERCENT, &f) ||
        !template_fill(&a->body, o->body ? o->body : "", json ? ESCAPE_JSON : ESCAPE_PERCENT, &f))
        return attempt_ended(a, SENT_PERMANENT, "the request cannot be made: unknown placeholder");
    return post_ready(a, o->header, &f, json ? "application/json" : "application/x-www-form-urlencoded");
}

static void json_take(struct buffer *out, json_t *value)
{
    char *text = value ? json_dumps(value, JSON_COMPACT) : NULL;
    if (text)
        buffer_text(out, text);
    out->failed = out->starved = out->failed || !text; /* all of it is our own words: only memory can be missing */
    free(text);
    json_decref(value);
}

/* The alert's JSON of operations.md. An alert that is not to be found is still an alert: what is not known is null. */
static int alert_body(struct attempt *a)
{
    struct alert alert = {0};
    char ref[REF_MAX] = "", at[TIME_TEXT];
    int time = 1;
    bool found = false;
    int error = alert_of_copy(a->sender->db, &a->row, &alert, ref, &time, &found);
    if (error)
        return error;
    time_utc(found ? alert.at : a->row.created, at);
    const char *level = found && alert.level < ALERT_LEVEL_COUNT ? LEVEL_NAMES[alert.level] : NULL;
    json_take(&a->body, json_pack("{s:I, s:s?, s:s?, s:s, s:s?, s:s, s:i}", "alert", (json_int_t)a->row.alert, "level", level,
                                  "cause", found ? alert.cause : NULL, "clinic", a->row.clinic, "ref",
                                  ref[0] ? ref : NULL, "at", at, "time", time));
    return 0;
}

static void notice_body(struct attempt *a)
{
    char at[TIME_TEXT];
    time_utc(a->row.created, at);
    json_take(&a->body, json_pack("{s:s, s:s}", "notice", a->row.body, "at", at));
}

bool request_http(struct attempt *a, const char *secret)
{
    static const char none[4][512];
    const struct route *r = a->route;
    const struct fields f = {a->row.from, a->row.to, a->row.body, a->row.key, secret};
    const char *type = "application/json";
    if (!strncmp(a->row.to, "target:", 7) && !r->target)
        return attempt_ended(a, SENT_PERMANENT, "the configuration has no target of that name any more");
    if (!template_fill(&a->url, r->url, ESCAPE_PERCENT, &f))
        return attempt_ended(a, SENT_PERMANENT, "the address has an unknown placeholder");
    if (a->row.alert && a->row.class_ != CLASS_SUMMARY) {
        if (alert_body(a))
            return attempt_ended(a, SENT_PASSING, "the database could not be read");
    } else if (a->row.class_ == CLASS_SUMMARY) {
        type = a->rendered.fhir ? "application/fhir+json" : "text/plain; charset=utf-8";
        buffer_init(&a->body, 4u << 20); /* a week with all its readings */
        buffer_text(&a->body, a->rendered.fhir ? a->rendered.fhir : a->rendered.text ? a->rendered.text : a->row.body);
    } else {
        notice_body(a);
    }
    return post_ready(a, r->target ? r->target->header : none, &f, type);
}

static void mail_subject(const struct attempt *a, char *subject, size_t size)
{
    const char *clinic = a->row.clinic;
    if (a->rendered.subject[0])
        snprintf(subject, size, "%s", a->rendered.subject);
    else if (a->row.class_ == CLASS_SUMMARY)
        snprintf(subject, size, "Home blood pressure week, %s", clinic);
    else if (a->row.alert)
        snprintf(subject, size, "Alert, %s: please look now", clinic);
    else
        snprintf(subject, size, "Notice from the gateway%s%s", clinic[0] ? ", " : "", clinic);
}

static CURLcode mail_body(struct attempt *a)
{
    char *text = mail_lines(a->rendered.text ? a->rendered.text : a->row.body), name[110];
    a->mime = curl_mime_init(a->easy);
    curl_mimepart *part = a->mime ? curl_mime_addpart(a->mime) : NULL;
    CURLcode bad = part && text ? CURLE_OK : CURLE_OUT_OF_MEMORY;
    bad = bad ? bad : curl_mime_data(part, text, CURL_ZERO_TERMINATED);
    bad = bad ? bad : curl_mime_type(part, "text/plain; charset=utf-8");
    bad = bad ? bad : curl_mime_encoder(part, "quoted-printable");
    free(text);
    if (bad || !a->rendered.pdf)
        return bad;
    snprintf(name, sizeof name, "%s.pdf", a->rendered.name[0] ? a->rendered.name : "summary");
    part = curl_mime_addpart(a->mime);
    bad = part ? curl_mime_data(part, a->rendered.pdf, a->rendered.pdf_size) : CURLE_OUT_OF_MEMORY;
    bad = bad ? bad : curl_mime_type(part, "application/pdf");
    bad = bad ? bad : curl_mime_encoder(part, "base64");
    return bad ? bad : curl_mime_filename(part, name);
}

bool request_mail(struct attempt *a, const char *secret)
{
    const struct mail_config *m = &a->sender->config->mail;
    const char *to = a->row.to + (strncmp(a->row.to, "mailto:", 7) ? 0 : 7);
    char subject[160], from[TARGET_MAX + 2], recipient[TARGET_MAX + 2];
    bool loopback = false;
    if (!m->present)
        return attempt_ended(a, SENT_PERMANENT, "no mail is configured any more");
    int allowed = url_allowed(m->url, &loopback);
    if (allowed <= 0)
        return allowed ? no_memory(a) : attempt_ended(a, SENT_ROUTE_BROKEN, "the mail relay's address is refused");
    mail_subject(a, subject, sizeof subject);
    if (!mail_address(m->from) || !mail_address(to))
        return attempt_ended(a, SENT_PERMANENT, "the mail address is refused");
    a->headers = mail_headers(&(struct mail){m->from, to, subject, a->row.key, clock_now()});
    if (!a->headers)
        return no_memory(a);
    snprintf(from, sizeof from, "<%s>", m->from);
    snprintf(recipient, sizeof recipient, "<%s>", to);
    a->recipients = curl_slist_append(NULL, recipient);
    CURLcode bad = a->recipients ? mail_body(a) : CURLE_OUT_OF_MEMORY;
#define SET(option, value) bad = bad ? bad : curl_easy_setopt(a->easy, option, value)
    SET(CURLOPT_URL, m->url);
    SET(CURLOPT_USE_SSL, loopback ? (long)CURLUSESSL_NONE : (long)CURLUSESSL_ALL);
    SET(CURLOPT_MAIL_FROM, from);
    SET(CURLOPT_MAIL_RCPT, a->recipients);
    SET(CURLOPT_HTTPHEADER, a->headers);
    SET(CURLOPT_MIMEPOST, a->mime);
    if (m->user[0]) {
        SET(CURLOPT_USERNAME, m->user);
        SET(CURLOPT_PASSWORD, secret);
    }
#undef SET
    return bad ? attempt_ended(a, SENT_PASSING, curl_easy_strerror(bad)) : true;
}

/* Name without ending: letters, digits, . _ - of what the renderer said, else by week and version or key. */
static void file_stem(const struct attempt *a, char *stem, size_t size)
{
    if (a->rendered.name[0])
        snprintf(stem, size, "%s", a->rendered.name);
    else if (a->row.class_ == CLASS_SUMMARY)
        snprintf(stem, size, "%s-week-%lld-v%d", a->row.clinic, (long long)a->row.week, a->row.version);
    else
        snprintf(stem, size, "notice-%s", a->row.key);
    for (char *c = stem; *c; c++)
        if (!strchr("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789._-", *c))
            *c = '-';
    if (*stem == '.')
        *stem = '-';
}

static int folder_put(const struct attempt *a, const char *dir, const char *ending, const void *bytes, size_t size)
{
    char stem[110], name[120];
    file_stem(a, stem, sizeof stem);
    snprintf(name, sizeof name, "%s%s", stem, ending);
    return folder_write(dir, name, bytes, size);
}

bool request_folder(struct attempt *a)
{
    const char *to = a->row.to + (strncmp(a->row.to, "dir:", 4) ? 0 : 4), *text = a->rendered.text;
    char dir[PATH_MAX_BYTES + TARGET_MAX + 2];
    int bad = 0;
    if (*to == '/')
        snprintf(dir, sizeof dir, "%s", to);
    else
        snprintf(dir, sizeof dir, "%s/%s", a->sender->config->state, to);
    if (a->rendered.fhir)
        bad = folder_put(a, dir, ".json", a->rendered.fhir, strlen(a->rendered.fhir));
    if (!bad && a->rendered.pdf)
        bad = folder_put(a, dir, ".pdf", a->rendered.pdf, a->rendered.pdf_size);
    if (!text)
        text = a->row.body;
    if (!bad && (a->rendered.text || !a->rendered.pdf))
        bad = folder_put(a, dir, ".txt", text, strlen(text));
    if (!bad)
        return attempt_ended(a, SENT_OK, "");
    bool closed = bad == -EACCES || bad == -ENOENT || bad == -ENOTDIR || bad == -EROFS || bad == -EPERM || bad == -ELOOP;
    return attempt_ended(a, closed ? SENT_ROUTE_BROKEN : SENT_PASSING, strerror(-bad));
}
