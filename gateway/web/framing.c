/* Framing: whether it is certain where a request ends, from its headers (RFC 9112 sections 3.2, 5.1 and 6.3).
 *
 * A body whose end is in doubt is where one request is smuggled inside another. libmicrohttpd 0.9.75 refuses some of it
 * itself, with a page of its own instead of a problem; it takes the first of two lengths, and a name with a blank in it.
 */
#include <string.h>
#include <strings.h>

#include "gateway/web/room.h"

struct framing {
    int hosts, lengths, codings, strange;
    const char *length, *coding;
};

static enum MHD_Result framing_note(void *context, enum MHD_ValueKind kind, const char *name, const char *value)
{
    struct framing *f = context;
    (void)kind;
    f->strange += !*name || strpbrk(name, " \t") != NULL; /* "Content-Length :" is read by some and not by others */
    f->hosts += !strcasecmp(name, MHD_HTTP_HEADER_HOST);
    if (!strcasecmp(name, MHD_HTTP_HEADER_CONTENT_LENGTH)) {
        f->lengths++;
        f->length = value ? value : "";
    } else if (!strcasecmp(name, MHD_HTTP_HEADER_TRANSFER_ENCODING)) {
        f->codings++;
        f->coding = value ? value : "";
    }
    return MHD_YES;
}

bool framing_sound(struct request *r, const char *version)
{
    struct framing f = {0};
    MHD_get_connection_values(r->connection, MHD_HEADER_KIND, framing_note, &f);
    bool old = !strcmp(version, MHD_HTTP_VERSION_1_0);
    if (f.strange || f.hosts > 1 || (!f.hosts && !old) || f.lengths + f.codings > 1)
        return false;
    if (f.codings)
        return !strcasecmp(f.coding, "chunked");
    return !f.lengths || whole_read(f.length, 0, INT64_MAX, &r->length); /* past 64 bits is libmicrohttpd's 413 */
}
