/* Auth: whether a request to the hook is the carrier's. Pure: no header is read here, no clock. */
#ifndef QUIETARM_WEB_AUTH_H
#define QUIETARM_WEB_AUTH_H

#include "gateway/config.h"

/* What a request brings. Everything is borrowed; NULL where the header is missing or came twice. */
struct credentials {
    const char *value;  /* of auth_header_name() */
    const char *time;   /* of auth->time_header */
    const char *body;
    size_t size;
    int64_t now;        /* the gateway's, seconds */
};

/* The secret is compared in constant time. An empty secret fits nothing.
 * hmac-sha256: RFC 2104 with SHA-256 over the body, or over time "." body; 64 lower-case hex digits, "sha256=" before
 * them or not. The time is epoch seconds, at most auth->max_age away from now on either side.
 * bearer: RFC 6750 section 2.1. basic: RFC 7617, the secret is user:password. */
bool auth_accepts(const struct auth *auth, const struct credentials *c);
const char *auth_header_name(const struct auth *auth);
const char *auth_challenge(const struct auth *auth); /* for WWW-Authenticate; NULL for none */

#endif
