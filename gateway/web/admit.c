/* Admit: whether a request to the hook may go on, in the order that is promised: 401, then 415.
 *
 * It must never let a request through when in doubt: a header that came twice is a header that is missing. What the
 * request said is never logged, only why it was refused.
 */
#include <sodium.h>

#include "gateway/web/auth.h"
#include "gateway/web/fields.h"
#include "gateway/web/room.h"

/* As it is now: a reload may replace it while this request is looked at. */
static struct auth auth_copy(struct web *w, const struct auth *auth)
{
    pthread_mutex_lock(&w->secrets);
    struct auth copy = *auth;
    pthread_mutex_unlock(&w->secrets);
    return copy;
}

static bool signature_fits(const struct request *r, const struct auth *auth)
{
    struct credentials c = {
        .value = request_header(r, auth_header_name(auth)),
        .time = auth->timestamped ? request_header(r, auth->time_header) : NULL,
        .body = r->body.at,
        .size = r->body.n,
        .now = clock_now(),
    };
    return auth_accepts(auth, &c);
}

static bool refuse(struct request *r, unsigned status, const char *detail)
{
    log_event(LOG_WARNING, "refused", "status=%u", status);
    request_problem(r, status, detail);
    return false;
}

static bool sender_admit(struct request *r, const struct auth *auth)
{
    if (auth->kind == AUTH_NONE && request_forwarded(r))
        return refuse(r, MHD_HTTP_FORBIDDEN, "Without a signature only this machine may send, without a proxy.");
    if (signature_fits(r, auth))
        return true;
    refuse(r, MHD_HTTP_UNAUTHORIZED, "The request is not signed as agreed; check the secret and the signed bytes.");
    request_answer_header(r, MHD_HTTP_HEADER_WWW_AUTHENTICATE, auth_challenge(auth));
    return false;
}

bool request_admit(struct request *r, const struct auth *auth, enum body_format format)
{
    struct auth now = auth_copy(r->web, auth);
    bool admitted = sender_admit(r, &now);
    sodium_memzero(&now, sizeof now);
    if (!admitted)
        return false;
    if (request_header(r, MHD_HTTP_HEADER_CONTENT_ENCODING))
        return refuse(r, MHD_HTTP_UNSUPPORTED_MEDIA_TYPE, "Send the body without a content coding.");
    if (!type_fits(request_header(r, MHD_HTTP_HEADER_CONTENT_TYPE), format))
        return refuse(r, MHD_HTTP_UNSUPPORTED_MEDIA_TYPE,
                      format == FORMAT_JSON ? "Send application/json." : "Send application/x-www-form-urlencoded.");
    return true;
}
