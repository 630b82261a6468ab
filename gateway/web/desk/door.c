/* Door: signing in and out.
 *
 * It never says whether a name or a password was wrong, nor takes longer for one than for the other. What was typed is
 * never logged: people type passwords into the wrong field. A form from another site is refused by Origin, by the cookie
 * that the form's token is made of, and by SameSite.
 */
#include "gateway/web/desk/pages.h"

#include <sodium.h>
#include <stdio.h>
#include <string.h>

static const struct {
    enum role role;
    const char *name;
    enum word word;
} roles[] = {
    {ROLE_COORDINATOR, "coordinator", WORD_COORDINATOR},
    {ROLE_CLINICIAN, "clinician", WORD_CLINICIAN},
    {ROLE_ADMIN, "admin", WORD_ADMIN},
};

enum role role_named(const char *role)
{
    for (size_t i = 0; i < sizeof roles / sizeof *roles; i++)
        if (strcmp(roles[i].name, role) == 0)
            return roles[i].role;
    return 0;
}

const char *role_name(enum role role)
{
    for (size_t i = 0; i < sizeof roles / sizeof *roles; i++)
        if (roles[i].role == role)
            return roles[i].name;
    return "";
}

enum word role_word(enum role role)
{
    for (size_t i = 0; i < sizeof roles / sizeof *roles; i++)
        if (roles[i].role == role)
            return roles[i].word;
    return WORD_NONE;
}

/* -- passwords ---------------------------------------------------------------------------------------------------------------- */

bool password_long_enough(const char *password)
{
    size_t n = strlen(password);
    return n >= PASSWORD_LEAST && n <= PASSWORD_MOST;
}

/* argon2id, 64 MiB, two passes: libsodium's "interactive", which is past the least that RFC 9106 section 4 recommends for
 * memory-constrained places in passes times memory. */
bool password_hash(const char *password, char hash[132])
{
    _Static_assert(crypto_pwhash_STRBYTES <= 132, "the account's field");
    return crypto_pwhash_str(hash, password, strlen(password), crypto_pwhash_OPSLIMIT_INTERACTIVE,
                             crypto_pwhash_MEMLIMIT_INTERACTIVE) == 0;
}

/* The account whose password this is. An unknown name costs as much as a known one. */
static bool password_fits(struct page *p, const char *user, const char *password, struct account *a)
{
    struct desk *d = p->desk;
    bool found = false;
    if (account_get(p->db, user, a, &found))
        found = false;
    if (!d->nobody_hash[0] && !password_hash("nobody has this password", d->nobody_hash))
        return false;
    bool fits = crypto_pwhash_str_verify(found ? a->password : d->nobody_hash, password, strlen(password)) == 0;
    return fits && found && a->enabled && role_named(a->role) && (!a->clinic[0] || config_clinic(p->config, a->clinic));
}

/* -- the form ------------------------------------------------------------------------------------------------------------------ */

/* Only to a page of ours: a path under /desk/, of plain characters. */
static bool next_good(const char *next)
{
    return strncmp(next, "/desk/", 6) == 0 && !strstr(next, "//") &&
           strspn(next, "abcdefghijklmnopqrstuvwxyz0123456789/-.") == strlen(next);
}

/* The form's own cookie, made anew with each form. */
static void door_cookie(struct page *p)
{
    unsigned char bytes[TOKEN_BYTES];
    randombytes_buf(bytes, sizeof bytes);
    sodium_bin2hex(p->ask.door, sizeof p->ask.door, bytes, sizeof bytes);
    csrf_make(p->ask.door, p->csrf);
    page_cookie(p, cookie_door(p->config), p->ask.door);
}

static void form_show(struct page *p, unsigned status, enum word wrong, int seconds)
{
    char next[160], wait[16];
    snprintf(wait, sizeof wait, "%d", seconds);
    snprintf(next, sizeof next, "%s",
             p->ask.method == METHOD_GET ? query_value(p, "next", next, sizeof next) : form_value(p, "next", next, sizeof next));
    p->status = status;
    door_cookie(p);
    page_begin(p, WORD_SIGN_IN, NULL);
    if (wrong) {
        raw(p, "<p class=\"note urgent\" role=\"alert\" tabindex=\"-1\" autofocus>");
        page_say(p, wrong, (const char *const[4]){wait});
        raw(p, "</p>\n");
    }
    form_begin(p, "/desk/sign-in", 0, "");
    if (next_good(next))
        hidden(p, "next", next);
    field_write(p, &(struct control){.name = "user", .label = WORD_USER, .autocomplete = "username", .needed = true});
    field_write(p, &(struct control){.name = "password", .label = WORD_PASSWORD, .type = "password", .value = "",
                                   .autocomplete = "current-password", .needed = true});
    form_end(p, WORD_SIGN_IN, "main");
    raw(p, "<p class=\"second\">");
    say(p, SIGN_IN_HELP);
    raw(p, "</p>\n");
    page_end(p);
}

void sign_in_page(struct page *p)
{
    if (p->me.user[0])
        page_goto(p, "/desk/list");
    else
        form_show(p, MHD_HTTP_OK, WORD_NONE, 0);
}

/* -- trying ---------------------------------------------------------------------------------------------------------------------- */

static int wait_of(struct page *p, const char *user)
{
    struct desk *d = p->desk;
    int64_t now = clock_real_ms();
    pthread_mutex_lock(&d->lock);
    int address = throttle_wait(&d->throttle, now, 'a', p->ask.address);
    int account = throttle_wait(&d->throttle, now, 'u', user);
    pthread_mutex_unlock(&d->lock);
    return address > account ? address : account;
}

static void tried(struct page *p, const char *user, bool good)
{
    struct desk *d = p->desk;
    int64_t now = clock_real_ms();
    pthread_mutex_lock(&d->lock);
    if (good) {
        throttle_forget(&d->throttle, 'u', user);
        throttle_forget(&d->throttle, 'a', p->ask.address);
    } else {
        throttle_failed(&d->throttle, now, 'a', p->ask.address);
        throttle_failed(&d->throttle, now, 'u', user);
    }
    pthread_mutex_unlock(&d->lock);
    log_event(good ? LOG_INFO : LOG_WARNING, good ? "signed_in" : "sign_in_refused", "%s", "");
}

static void enter(struct page *p, const struct account *a)
{
    char next[160];
    if (!session_begin(p, a)) {
        page_unstored(p);
        return;
    }
    page_cookie(p, cookie_door(p->config), "");
    form_value(p, "next", next, sizeof next);
    page_goto(p, next_good(next) ? next : "/desk/list");
}

void sign_in_do(struct page *p)
{
    char user[USER_MAX], password[PASSWORD_MOST + 2], seconds[16];
    struct account a;
    form_value(p, "user", user, sizeof user);
    form_value(p, "password", password, sizeof password);
    int wait = wait_of(p, user);
    if (wait) {
        snprintf(seconds, sizeof seconds, "%d", wait);
        form_show(p, MHD_HTTP_TOO_MANY_REQUESTS, WORD_SIGN_IN_WAIT, wait);
        page_header(p, "Retry-After", seconds);
        return;
    }
    bool good = password_fits(p, user, password, &a);
    sodium_memzero(password, sizeof password);
    tried(p, user, good);
    if (good)
        enter(p, &a);
    else
        form_show(p, MHD_HTTP_UNPROCESSABLE_CONTENT, WORD_SIGN_IN_WRONG, 0);
    sodium_memzero(a.password, sizeof a.password);
}

static int sign_out_write(struct db *db, int64_t now, void *what)
{
    const struct page *p = what;
    struct effect e = {.kind = EFFECT_AUDIT};
    (void)now;
    snprintf(e.audit.clinic, sizeof e.audit.clinic, "%s", p->me.clinic);
    snprintf(e.audit.who, sizeof e.audit.who, "%s", p->me.user);
    snprintf(e.audit.action, sizeof e.audit.action, "sign_out");
    int error = session_end(db, p->session.token);
    return error ? error : effects_write(db, &(struct effects){.at = &e, .n = 1, .cap = 1});
}

void sign_out_do(struct page *p)
{
    desk_call(p->desk, sign_out_write, p);
    page_cookie(p, cookie_session(p->config), "");
    page_goto(p, "/desk/sign-in");
}
