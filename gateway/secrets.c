/* Secrets: read from files of their own, mode 0600, never from the configuration itself, never shown in a mistake.
 *
 * A certificate and its key are tried here too. One trailing newline is not part of a secret. Those that stand in a header
 * must have no control characters; one that signs (HMAC) may be any bytes. At most 511 bytes.
 */
#include "gateway/config_parts.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "gateway/web/web.h"
#include "store/store.h"

enum secret_use { SECRET_SIGNS, SECRET_HEADER, SECRET_BASIC };

/* All of the file into out, without its newline. NULL, or what is wrong and what to do. */
static const char *secret_bytes(const char *path, char *out, size_t size, size_t *n)
{
    static _Thread_local char why[160];
    struct buffer b;
    struct stat st;
    if (stat(path, &st) < 0) {
        snprintf(why, sizeof why, "%s; make it, with mode 0600", strerror(errno));
        return why;
    }
    if (!S_ISREG(st.st_mode))
        return "not a file; name a file that holds the secret";
    if (st.st_mode & 077) {
        snprintf(why, sizeof why, "others may read it (mode %04o); chmod 600 it",
                 (unsigned)st.st_mode & 07777);
        return why;
    }
    buffer_init(&b, size + 1); /* a newline of two bytes may follow */
    int error = buffer_read_file(&b, path);
    size_t read = b.n;
    if (read && b.at[read - 1] == '\n')
        read--;
    if (read < b.n && read && b.at[read - 1] == '\r')
        read--;
    bool fits = !error && read && read < size;
    if (fits) {
        memcpy(out, b.at, read);
        out[read] = '\0';
        *n = read;
    }
    bool empty = !error && !read;
    if (b.at)
        explicit_bzero(b.at, b.cap);
    buffer_clear(&b);
    if (error && error != -EFBIG) {
        snprintf(why, sizeof why, "%s; make it readable, with mode 0600", strerror(-error));
        return why;
    }
    return fits    ? NULL
           : empty ? "empty; put the secret in it"
                   : "longer than a secret may be; use a shorter one";
}

static const char *secret_fault(const char *secret, size_t n, enum secret_use use)
{
    for (size_t i = 0; i < n && use != SECRET_SIGNS; i++)
        if ((unsigned char)secret[i] < ' ' || secret[i] == 0x7f)
            return "a control character or a second line in it; put the secret alone on one line";
    if (use == SECRET_BASIC && !memchr(secret, ':', n))
        return "no colon in it; auth = basic takes user:password";
    return NULL;
}

/* `out` is left alone when the file is no good, and told. */
static void secret_take(struct config_reading *r, const char *section, const char *key, const char *path,
                        enum secret_use use, char *out, size_t size, size_t *n)
{
    char secret[SECRET_MAX];
    size_t got = 0;
    if (!path[0])
        return;
    const char *fault = secret_bytes(path, secret, size < sizeof secret ? size : sizeof secret, &got);
    if (!fault)
        fault = secret_fault(secret, got, use);
    if (fault)
        config_tell(r, config_line(r, section, key), "%s = %.200s: %s", key, path, fault);
    else {
        memcpy(out, secret, got + 1);
        if (n)
            *n = got;
    }
    explicit_bzero(secret, sizeof secret);
}

static void auth_secret(struct config_reading *r, const char *section, struct auth *auth)
{
    enum secret_use use = auth->kind == AUTH_HMAC_SHA256 ? SECRET_SIGNS
                          : auth->kind == AUTH_BASIC     ? SECRET_BASIC
                                                         : SECRET_HEADER;
    if (auth->kind != AUTH_NONE)
        secret_take(r, section, "secret_file", auth->secret_file, use, auth->secret, sizeof auth->secret,
                    &auth->secret_size);
}

/* A token says which clinic asks, so two clinics must not share one. */
static void tokens_take(struct config_reading *r)
{
    struct config *c = r->out;
    char section[INI_NAME_BYTES];
    for (size_t i = 0; i < c->n_clinics; i++) {
        struct clinic *clinic = &c->clinics[i];
        snprintf(section, sizeof section, "clinic %s", clinic->id);
        secret_take(r, section, "fhir_token_file", c->token_files[i], SECRET_HEADER, clinic->fhir_token,
                    sizeof clinic->fhir_token, NULL);
        for (size_t k = 0; k < i; k++)
            if (clinic->fhir_token[0] && strcmp(clinic->fhir_token, c->clinics[k].fhir_token) == 0)
                config_tell(
                    r, config_line(r, section, "fhir_token_file"),
                    "fhir_token_file: the token is that of [clinic %s] too; each clinic needs its own",
                    c->clinics[k].id);
    }
}

/* Half of the pair, or a file that is not there, has been told already. */
static void certificate_try(struct config_reading *r)
{
    struct config *c = r->out;
    char why[PATH_MAX_BYTES + 160];
    bool there = c->tls_cert[0] && c->tls_key[0] && access(c->tls_cert, R_OK) == 0 && access(c->tls_key, R_OK) == 0;
    bool bad = there && web_check(c, why, sizeof why) < 0;
    if (bad && why[0] && why[strlen(why) - 1] == '.') /* the library's own words may end so */
        why[strlen(why) - 1] = '\0';
    if (bad)
        config_tell(r, config_line(r, "gateway", "tls_cert"), "tls_cert, tls_key: %s; give a chain and its key, both in PEM", why);
}

void config_secrets(struct config_reading *r)
{
    struct config *c = r->out;
    char section[INI_NAME_BYTES];
    auth_secret(r, "inbound", &c->inbound.auth);
    if (c->receipt.present && config_value(r, "receipt", "auth"))
        auth_secret(r, "receipt", &c->receipt.auth);
    else
        c->receipt.auth = c->inbound.auth;
    secret_take(r, "outbound", "secret_file", c->outbound.secret_file, SECRET_HEADER, c->outbound.secret,
                sizeof c->outbound.secret, NULL);
    secret_take(r, "mail", "secret_file", c->mail.secret_file, SECRET_HEADER, c->mail.secret,
                sizeof c->mail.secret, NULL);
    for (size_t i = 0; i < c->n_targets; i++) {
        struct target_config *t = &c->targets[i];
        snprintf(section, sizeof section, "target %s", t->name);
        secret_take(r, section, "secret_file", t->secret_file, SECRET_HEADER, t->secret, sizeof t->secret,
                    NULL);
    }
    tokens_take(r);
    certificate_try(r);
}

/* How the store is reached may hold a password. Without `store` that needs it the file says nothing. */
void config_conninfo(struct config_reading *r)
{
    struct config *c = r->out;
    bool needs = false;
    const char *name = "";
    for (size_t i = 0; (name = store_name(i, &needs)) && strcmp(name, c->store) != 0; i++)
        ;
    if (name && needs && !c->conninfo_file[0])
        config_tell(r, config_line(r, "gateway", "store"), "store = %s: conninfo_file is missing; name the file that says how "
                    "the database is reached", c->store);
    if (name && !needs && c->conninfo_file[0])
        config_tell(r, config_line(r, "gateway", "conninfo_file"), "conninfo_file: store = %s needs none; drop the line", c->store);
    secret_take(r, "gateway", "conninfo_file", c->conninfo_file, SECRET_HEADER, c->conninfo, sizeof c->conninfo, NULL);
}
