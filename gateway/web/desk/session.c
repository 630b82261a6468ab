/* Session: who asks. The browser holds a random token in a cookie; the database its hash, so that a stolen copy signs
 * nobody in.
 *
 * A session ends after half an hour without use, after twelve hours in any case, and at once when the account's password,
 * role or being enabled changes. What a form proves (CSRF) is a hash keyed by the token: no other site can know it.
 */
#include "gateway/web/desk/room.h"

#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* -- cookies ---------------------------------------------------------------------------------------------------------------- */

bool config_https(const struct config *c)
{
    return strncmp(c->public_url, "https:", 6) == 0;
}

/* The prefix makes a browser refuse the cookie unless it is Secure, of this host alone and of the whole of it (RFC 6265bis
 * section 4.1.3.2). It cannot be had over plain HTTP. */
const char *cookie_session(const struct config *c)
{
    return config_https(c) ? "__Host-quietarm" : "quietarm";
}

const char *cookie_door(const struct config *c)
{
    return config_https(c) ? "__Host-quietarm-door" : "quietarm-door";
}

void page_cookie(struct page *p, const char *cookie, const char *value)
{
    char line[320];
    snprintf(line, sizeof line, "%s=%s; Path=/; HttpOnly; SameSite=Strict%s%s", cookie, value,
             config_https(p->config) ? "; Secure" : "", *value ? "" : "; Max-Age=0");
    page_header(p, "Set-Cookie", line);
}

/* -- tokens ------------------------------------------------------------------------------------------------------------------ */

static void token_hash(const char *token, uint8_t hash[TOKEN_HASH])
{
    crypto_generichash(hash, TOKEN_HASH, (const unsigned char *)token, strlen(token), NULL, 0);
}

void csrf_make(const char *token, char csrf[65])
{
    static const unsigned char what[] = "form";
    unsigned char hash[32];
    crypto_generichash(hash, sizeof hash, what, sizeof what, (const unsigned char *)token, strlen(token));
    sodium_bin2hex(csrf, 65, hash, sizeof hash);
}

bool csrf_fits(const struct page *p, const char *token)
{
    char csrf[65], sent[65];
    form_value(p, "token", sent, sizeof sent);
    if (strlen(token) != 2 * TOKEN_BYTES || strlen(sent) != 64)
        return false;
    csrf_make(token, csrf);
    return sodium_memcmp(csrf, sent, 64) == 0;
}

/* -- finding ------------------------------------------------------------------------------------------------------------------ */

static int session_write(struct db *db, int64_t now, void *what)
{
    (void)now;
    return session_put(db, what);
}

/* That it is in use is written now and then, and nobody waits for it. */
static void session_seen(struct page *p, int64_t now)
{
    char self[8];
    if (now - p->session.seen < SESSION_STEP || query_value(p, "again", self, sizeof self)[0])
        return; /* a list that refreshes itself is not somebody at work */
    struct job *job = calloc(1, sizeof *job);
    struct session *s = malloc(sizeof *s);
    if (!job || !s) {
        free(job);
        free(s);
        return;
    }
    *s = p->session;
    s->seen = now;
    job->kind = JOB_CALL;
    job->call.call = session_write;
    job->call.what = s;
    job->call.forget = free;
    flow_submit(p->desk->web->flow, job);
}

static bool session_lives(const struct session *s, const struct account *a, int64_t now)
{
    return s->ends > now && s->seen + SESSION_IDLE > now && a->enabled && role_named(a->role) && a->changed <= s->created;
}

void session_find(struct page *p)
{
    uint8_t hash[TOKEN_HASH];
    struct account a;
    bool found = false;
    int64_t now = clock_real_now();
    if (!p->ask.token[0])
        return;
    token_hash(p->ask.token, hash);
    if (session_get(p->db, hash, &p->session, &found) || !found || account_get(p->db, p->session.user, &a, &found) || !found)
        return;
    if (!session_lives(&p->session, &a, now) || (a.clinic[0] && !config_clinic(p->config, a.clinic)))
        return;
    p->me = a;
    p->role = role_named(a.role);
    csrf_make(p->ask.token, p->csrf);
    session_seen(p, now);
}

/* -- beginning ---------------------------------------------------------------------------------------------------------------- */

struct beginning {
    struct session session;
    const struct account *account;
};

static int beginning_write(struct db *db, int64_t now, void *what)
{
    struct beginning *b = what;
    struct effect e = {.kind = EFFECT_AUDIT};
    (void)now;
    snprintf(e.audit.clinic, sizeof e.audit.clinic, "%s", b->account->clinic);
    snprintf(e.audit.who, sizeof e.audit.who, "%s", b->account->user);
    snprintf(e.audit.action, sizeof e.audit.action, "sign_in");
    int error = sessions_end_before(db, b->session.created);
    if (!error)
        error = session_put(db, &b->session);
    return error ? error : effects_write(db, &(struct effects){.at = &e, .n = 1, .cap = 1});
}

bool session_begin(struct page *p, const struct account *a)
{
    unsigned char bytes[TOKEN_BYTES];
    char token[2 * TOKEN_BYTES + 1];
    int64_t now = clock_real_now();
    struct beginning b = {.account = a, .session = {.created = now, .seen = now, .ends = now + SESSION_LONGEST}};
    randombytes_buf(bytes, sizeof bytes);
    sodium_bin2hex(token, sizeof token, bytes, sizeof bytes);
    token_hash(token, b.session.token);
    snprintf(b.session.user, sizeof b.session.user, "%s", a->user);
    bool stored = desk_call(p->desk, beginning_write, &b);
    if (stored)
        page_cookie(p, cookie_session(p->config), token);
    sodium_memzero(token, sizeof token);
    sodium_memzero(bytes, sizeof bytes);
    return stored;
}
