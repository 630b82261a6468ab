/* Ask: what a request says, copied so that another thread can read it.
 *
 * Nothing is believed here: values are decoded where they are read, once, and are clean UTF-8. A header that came twice
 * is a header that is missing. An upload is at most ROSTER_BYTES.
 */
#include "gateway/web/desk/room.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include <arpa/inet.h>
#include <netinet/in.h>

enum { QUERY_BYTES = 8 * 1024, UPLOAD_STEP = 4096 };

/* -- the query ------------------------------------------------------------------------------------------------------------ */

/* libmicrohttpd has taken it apart and made blanks of its plus signs; the escapes still stand. */
static enum MHD_Result argument_add(void *context, enum MHD_ValueKind kind, const char *key, const char *value)
{
    struct buffer *query = context;
    (void)kind;
    buffer_text(query, query->n ? "&" : "");
    buffer_text(query, key);
    buffer_text(query, "=");
    buffer_text(query, value ? value : "");
    return MHD_YES;
}

const char *ask_value(const struct buffer *pairs, const char *wanted, char *value, size_t size)
{
    const char *at = pairs->at, *end = at ? at + pairs->n : NULL;
    struct buffer key, found;
    value[0] = '\0';
    buffer_init(&key, 3 * ROSTER_BYTES);
    buffer_init(&found, 3 * ROSTER_BYTES);
    while (at && form_next(&at, end, &key, &found)) {
        bool is = key.n && strcmp(key.at, wanted) == 0;
        if (is && found.n)
            snprintf(value, size, "%s", found.at);
        buffer_clear(&key);
        buffer_clear(&found);
        if (is)
            break;
    }
    buffer_clear(&key);
    buffer_clear(&found);
    for (size_t n = strlen(value); n == size - 1 && n && (value[n - 1] & 0x80); n--) /* cut: no half character */
        value[n - 1] = '\0';
    return value;
}

/* -- cookies, headers, address ---------------------------------------------------------------------------------------------- */

/* A token of ours is hexadecimal and of one length; anything else is none. */
static void token_copy(struct request *r, const char *cookie, char token[2 * TOKEN_BYTES + 1])
{
    const char *value = MHD_lookup_connection_value(r->connection, MHD_COOKIE_KIND, cookie);
    bool good = value && strlen(value) == 2 * TOKEN_BYTES && strspn(value, "0123456789abcdef") == 2 * TOKEN_BYTES;
    snprintf(token, 2 * TOKEN_BYTES + 1, "%s", good ? value : "");
}

static bool header_copy(struct request *r, const char *header, char *to, size_t size)
{
    const char *value = request_header(r, header);
    snprintf(to, size, "%s", value ? value : "");
    return !value || strlen(value) < size;
}

static bool is_proxy(const struct config *c, const char *address)
{
    for (size_t i = 0; i < sizeof(c->proxy) / sizeof(c->proxy[0]); i++)
        if (c->proxy[i][0] && strcmp(c->proxy[i], address) == 0)
            return true;
    return false;
}

/* Who asks: the other end of the line, or, where that is a proxy of ours, the last address that it names. */
static void address_copy(struct request *r, char to[64])
{
    const union MHD_ConnectionInfo *info = MHD_get_connection_info(r->connection, MHD_CONNECTION_INFO_CLIENT_ADDRESS);
    const struct sockaddr *from = info ? info->client_addr : NULL;
    to[0] = '\0';
    if (from && from->sa_family == AF_INET)
        inet_ntop(AF_INET, &((const struct sockaddr_in *)from)->sin_addr, to, 64);
    else if (from && from->sa_family == AF_INET6)
        inet_ntop(AF_INET6, &((const struct sockaddr_in6 *)from)->sin6_addr, to, 64);
    const char *named = is_proxy(r->web->config, to) ? request_header(r, "X-Forwarded-For") : NULL;
    if (!named)
        return;
    const char *last = strrchr(named, ',');
    last = last ? last + 1 : named;
    snprintf(to, 64, "%s", last + strspn(last, " "));
}

/* -- an uploaded file --------------------------------------------------------------------------------------------------------- */

static enum MHD_Result upload_take(void *context, enum MHD_ValueKind kind, const char *key, const char *filename,
                                   const char *type, const char *coding, const char *bytes, uint64_t at, size_t size)
{
    struct ask *a = context;
    (void)kind, (void)type, (void)coding;
    if (strcmp(key, "file") == 0 && filename) {
        char *grown = realloc(a->file, at + size + 1);
        if (!grown)
            return MHD_NO;
        a->file = grown;
        memcpy(a->file + at, bytes, size);
        a->file_size = at + size;
        a->file[a->file_size] = '\0';
        return MHD_YES;
    }
    if (at > 0) /* values beside a file are short */
        return MHD_NO;
    buffer_text(&a->form, a->form.n ? "&" : "");
    buffer_text(&a->form, key);
    buffer_text(&a->form, "=");
    for (size_t i = 0; i < size; i++)
        buffer_print(&a->form, "%%%02X", (unsigned char)bytes[i]);
    return MHD_YES;
}

static void upload_read(struct ask *a, struct request *r)
{
    struct MHD_PostProcessor *reader = MHD_create_post_processor(r->connection, UPLOAD_STEP, upload_take, a);
    if (reader && r->body.n)
        MHD_post_process(reader, r->body.at, r->body.n);
    if (reader)
        MHD_destroy_post_processor(reader);
}

/* -- the whole --------------------------------------------------------------------------------------------------------------- */

static void form_read(struct ask *a, struct request *r)
{
    const char *type = request_header(r, MHD_HTTP_HEADER_CONTENT_TYPE);
    static const char multipart[] = "multipart/form-data";
    if (type && strncasecmp(type, multipart, sizeof multipart - 1) == 0)
        upload_read(a, r);
    else if (type_fits(type, FORMAT_FORM))
        buffer_add(&a->form, r->body.n ? r->body.at : "", r->body.n);
}

bool ask_read(struct ask *a, struct request *r)
{
    a->method = r->method;
    buffer_init(&a->query, QUERY_BYTES);
    buffer_init(&a->form, ROSTER_BYTES);
    a->too_long = strlen(r->path) >= sizeof a->path;
    snprintf(a->path, sizeof a->path, "%s", a->too_long ? "" : r->path);
    MHD_get_connection_values(r->connection, MHD_GET_ARGUMENT_KIND, argument_add, &a->query);
    bool fits = header_copy(r, MHD_HTTP_HEADER_HOST, a->host, sizeof a->host) &&
                header_copy(r, MHD_HTTP_HEADER_ORIGIN, a->origin, sizeof a->origin) &&
                header_copy(r, "Sec-Fetch-Site", a->site, sizeof a->site);
    a->too_long = a->too_long || !fits || a->query.failed;
    address_copy(r, a->address);
    token_copy(r, cookie_session(r->web->config), a->token);
    token_copy(r, cookie_door(r->web->config), a->door);
    if (r->method == METHOD_POST)
        form_read(a, r);
    return !a->form.failed;
}

void ask_clear(struct ask *a)
{
    buffer_clear(&a->query);
    if (a->form.at)
        explicit_bzero(a->form.at, a->form.n); /* people type passwords into forms */
    buffer_clear(&a->form);
    free(a->file);
    a->file = NULL;
}
