/* Routes: which path has which methods, limits and handler, as one table.
 *
 * A path is compared as it was sent, byte for byte: an unusual spelling is 404, never another page. A new page is a row
 * here and a function.
 */
#include <string.h>

#include "gateway/web/room.h"

static const struct route routes[] = {
    {LISTENER_HOOK, METHOD_POST, .of = PATH_INBOUND, .body_bytes = BODY_BYTES, .handle = hook_handle},
    {LISTENER_HOOK, METHOD_POST, .of = PATH_RECEIPT, .body_bytes = BODY_BYTES, .handle = receipt_handle},
    {LISTENER_HOOK, METHOD_POST, "/clock", .stepped = true, .patient = true, .body_bytes = 1024, .handle = clock_handle},
    {LISTENER_HOOK, METHOD_GET, "/healthz", .handle = health_handle},
    {LISTENER_HOOK, METHOD_GET, "/readyz", .handle = ready_handle},
    {LISTENER_HOOK, METHOD_GET, "/metrics", .handle = metrics_handle},
    {LISTENER_DESK, METHOD_POST, "/desk/roster", .body_bytes = ROSTER_BYTES, .handle = desk_handle},
    {LISTENER_DESK, METHOD_GET | METHOD_POST, "/desk", .body_bytes = BODY_BYTES, .handle = desk_handle},
    {LISTENER_DESK, METHOD_GET | METHOD_POST, "/fhir/", .body_bytes = BODY_BYTES, .handle = fhir_handle},
    {LISTENER_DESK, METHOD_GET | METHOD_POST, "/desk/", .body_bytes = BODY_BYTES, .handle = desk_handle},
};

unsigned method_read(const char *method)
{
    if (!strcmp(method, "GET") || !strcmp(method, "HEAD"))
        return METHOD_GET;
    return !strcmp(method, "POST") ? METHOD_POST : 0;
}

const char *methods_text(unsigned methods)
{
    return methods == METHOD_POST ? "POST" : methods == METHOD_GET ? "GET, HEAD" : "GET, HEAD, POST";
}

/* "": this gateway does not have the route. */
static const char *route_path(const struct web *w, const struct route *r)
{
    if (r->stepped && !w->config->stepped)
        return "";
    switch (r->of) {
    case PATH_INBOUND:
        return w->config->inbound.path;
    case PATH_RECEIPT:
        return w->config->receipt.present ? w->config->receipt.path : "";
    default:
        return r->path;
    }
}

static bool path_fits(const char *pattern, const char *path)
{
    size_t n = strlen(pattern);
    return !strcmp(pattern, path) || (n > 1 && pattern[n - 1] == '/' && !strncmp(pattern, path, n));
}

const struct route *route_find(const struct web *w, enum listener listener, const char *path, unsigned method,
                               unsigned *allow)
{
    const struct route *found = NULL;
    *allow = 0;
    for (size_t i = 0; i < sizeof routes / sizeof *routes; i++) {
        const struct route *r = &routes[i];
        if (r->listener != listener || !path_fits(route_path(w, r), path))
            continue;
        *allow |= r->methods;
        if (!found && (r->methods & method))
            found = r;
    }
    return found;
}
