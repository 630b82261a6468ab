/* TLS: the certificate and key of both listeners, replaced while they run.
 *
 * libmicrohttpd asks for them at each handshake without saying for whom, so they are the one mutable global of this room.
 * The last one stays readable after a reload, for handshakes under way: a handshake is cut after five seconds, and an old
 * pair is freed no sooner than at the second reload after it, at least a minute later.
 */
#include <gnutls/abstract.h>
#include <gnutls/gnutls.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/web/room.h"

enum { CHAIN_MAX = 8, PEM_BYTES = 256 * 1024, OLD_KEPT_MS = 60 * 1000 };

struct identity {
    struct identity *older;
    int64_t replaced_ms;
    gnutls_pcert_st chain[CHAIN_MAX];
    unsigned n;
    gnutls_privkey_t key;
};

static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;
static struct identity *current;

bool tls_wanted(const struct config *c)
{
    return c->tls_cert[0] != '\0';
}

static void identity_free(struct identity *id)
{
    if (!id)
        return;
    for (unsigned i = 0; i < id->n; i++)
        gnutls_pcert_deinit(&id->chain[i]);
    if (id->key)
        gnutls_privkey_deinit(id->key);
    free(id);
}

static int pem_read(struct buffer *b, const char *path, char *why, size_t why_size)
{
    buffer_init(b, PEM_BYTES);
    int error = buffer_read_file(b, path);
    if (error || !b->n) {
        snprintf(why, why_size, "%s: cannot be read: %s", path, error ? strerror(-error) : "it is empty");
        return -1;
    }
    return 0;
}

static int chain_read(struct identity *id, const char *path, char *why, size_t why_size)
{
    struct buffer pem;
    unsigned n = CHAIN_MAX;
    int result = pem_read(&pem, path, why, why_size);
    if (!result) {
        const gnutls_datum_t bytes = {.data = (unsigned char *)pem.at, .size = (unsigned)pem.n};
        int error = gnutls_pcert_list_import_x509_raw(id->chain, &n, &bytes, GNUTLS_X509_FMT_PEM, 0);
        id->n = error < 0 ? 0 : n;
        if (error < 0 || !n) {
            snprintf(why, why_size, "%s: no certificate chain in PEM: %s", path, gnutls_strerror(error));
            result = -1;
        }
    }
    buffer_clear(&pem);
    return result;
}

static int key_read(struct identity *id, const char *path, char *why, size_t why_size)
{
    struct buffer pem;
    int result = pem_read(&pem, path, why, why_size);
    if (!result) {
        const gnutls_datum_t bytes = {.data = (unsigned char *)pem.at, .size = (unsigned)pem.n};
        int error = gnutls_privkey_init(&id->key);
        if (error >= 0)
            error = gnutls_privkey_import_x509_raw(id->key, &bytes, GNUTLS_X509_FMT_PEM, NULL, 0);
        if (error < 0) {
            snprintf(why, why_size, "%s: no key in PEM: %s", path, gnutls_strerror(error));
            result = -1;
        }
        gnutls_memset(pem.at, 0, pem.n);
    }
    buffer_clear(&pem);
    return result;
}

/* The key signs what the certificate checks. */
static int pair_check(struct identity *id, const char *path, char *why, size_t why_size)
{
    unsigned char certificate[64], key[64];
    size_t n = sizeof certificate, m = sizeof key;
    gnutls_pubkey_t of_key = NULL;
    int error = gnutls_pubkey_init(&of_key);
    if (error >= 0)
        error = gnutls_pubkey_import_privkey(of_key, id->key, 0, 0);
    if (error >= 0)
        error = gnutls_pubkey_get_key_id(id->chain[0].pubkey, GNUTLS_KEYID_USE_SHA256, certificate, &n);
    if (error >= 0)
        error = gnutls_pubkey_get_key_id(of_key, GNUTLS_KEYID_USE_SHA256, key, &m);
    if (of_key)
        gnutls_pubkey_deinit(of_key);
    if (error >= 0 && n == m && !memcmp(certificate, key, n))
        return 0;
    snprintf(why, why_size, "%s: is not the key of the certificate", path);
    return -1;
}

/* Frees what nobody can be using any more. Under the lock. */
static void old_free(int64_t now_ms)
{
    struct identity **at = current ? &current->older : &current;
    while (*at && now_ms - (*at)->replaced_ms < OLD_KEPT_MS)
        at = &(*at)->older;
    for (struct identity *id = *at, *older; id; id = older) {
        older = id->older;
        identity_free(id);
    }
    *at = NULL;
}

/* The pair of the configuration, read and checked; NULL with one line in `why`. */
static struct identity *identity_read(const struct config *c, char *why, size_t why_size)
{
    struct identity *id = calloc(1, sizeof *id);
    snprintf(why, why_size, "out of memory");
    if (id && !chain_read(id, c->tls_cert, why, why_size) && !key_read(id, c->tls_key, why, why_size) &&
        !pair_check(id, c->tls_key, why, why_size))
        return id;
    identity_free(id);
    return NULL;
}

int web_check(const struct config *c, char *why, size_t why_size)
{
    struct identity *id = tls_wanted(c) ? identity_read(c, why, why_size) : NULL;
    identity_free(id);
    return id || !tls_wanted(c) ? 0 : -1;
}

int tls_load(const struct config *c, char *why, size_t why_size)
{
    if (!tls_wanted(c))
        return 0;
    struct identity *id = identity_read(c, why, why_size);
    if (!id)
        return -1;
    pthread_mutex_lock(&lock);
    if (current)
        current->replaced_ms = clock_real_ms();
    id->older = current;
    current = id;
    old_free(clock_real_ms());
    pthread_mutex_unlock(&lock);
    return 0;
}

void tls_unload(void)
{
    pthread_mutex_lock(&lock);
    while (current) {
        struct identity *older = current->older;
        identity_free(current);
        current = older;
    }
    pthread_mutex_unlock(&lock);
}

static int identity_for(gnutls_session_t session, const gnutls_datum_t *authorities, int n,
                        const gnutls_pk_algorithm_t *algorithms, int n_algorithms, gnutls_pcert_st **chain,
                        unsigned *chain_n, gnutls_privkey_t *key)
{
    (void)session, (void)authorities, (void)n, (void)algorithms, (void)n_algorithms;
    pthread_mutex_lock(&lock);
    *chain = current ? current->chain : NULL;
    *chain_n = current ? current->n : 0;
    *key = current ? current->key : NULL;
    pthread_mutex_unlock(&lock);
    return 0;
}

struct MHD_OptionItem tls_option(void)
{
    return (struct MHD_OptionItem){MHD_OPTION_HTTPS_CERT_CALLBACK, 0, (void *)(uintptr_t)identity_for};
}
