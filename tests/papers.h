/* For tests of TLS: an authority of their own, and a certificate that it has signed, or ought to have.
 *
 * Made anew in each run, by GnuTLS; the program's side of TLS towards others is OpenSSL's.
 */
#ifndef QUIETARM_TESTS_PAPERS_H
#define QUIETARM_TESTS_PAPERS_H

#include <gnutls/gnutls.h>
#include <gnutls/x509.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/base.h"

static char certificate[4096], key[4096], authority[4096]; /* PEM, by papers_make */

/* What a certificate of the far side says; the rest of it is right. */
struct paper {
    const char *name;        /* a DNS name instead of 127.0.0.1 */
    int from, to;            /* seconds from now */
    bool stranger;           /* signed by another authority */
};
static const struct paper good = {NULL, -3600, 3600, false};

static inline void certificate_make(gnutls_x509_crt_t *c, gnutls_x509_privkey_t *k, const struct paper *p)
{
    gnutls_x509_privkey_init(k);
    gnutls_x509_privkey_generate(*k, GNUTLS_PK_ECDSA, GNUTLS_CURVE_TO_BITS(GNUTLS_ECC_CURVE_SECP256R1), 0);
    gnutls_x509_crt_init(c);
    gnutls_x509_crt_set_version(*c, 3);
    gnutls_x509_crt_set_serial(*c, "\1", 1);
    gnutls_x509_crt_set_activation_time(*c, (time_t)(clock_real_now() + p->from));
    gnutls_x509_crt_set_expiration_time(*c, (time_t)(clock_real_now() + p->to));
    gnutls_x509_crt_set_key(*c, *k);
}

static inline void authority_make(gnutls_x509_crt_t *c, gnutls_x509_privkey_t *k)
{
    certificate_make(c, k, &good);
    gnutls_x509_crt_set_dn_by_oid(*c, GNUTLS_OID_X520_COMMON_NAME, 0, "authority", 9);
    gnutls_x509_crt_set_basic_constraints(*c, 1, 0);
    gnutls_x509_crt_set_key_usage(*c, GNUTLS_KEY_KEY_CERT_SIGN);
    assert_int_equal(gnutls_x509_crt_sign2(*c, *c, *k, GNUTLS_DIG_SHA256, 0), 0);
}

static inline void pem(gnutls_x509_crt_t c, char out[4096])
{
    size_t size = 4095;
    memset(out, 0, 4096);
    assert_int_equal(gnutls_x509_crt_export(c, GNUTLS_X509_FMT_PEM, out, &size), 0);
}

/* An authority, and a certificate that it, or another one, has signed. */
static inline void papers_make(const struct paper *p)
{
    static const unsigned char loopback[] = {127, 0, 0, 1};
    gnutls_x509_crt_t ca[2], c;
    gnutls_x509_privkey_t ca_key[2], k;
    size_t size = sizeof key - 1;
    for (int i = 0; i < 2; i++)
        authority_make(&ca[i], &ca_key[i]);
    certificate_make(&c, &k, p);
    gnutls_x509_crt_set_dn_by_oid(c, GNUTLS_OID_X520_COMMON_NAME, 0, "carrier", 7);
    if (p->name)
        gnutls_x509_crt_set_subject_alt_name(c, GNUTLS_SAN_DNSNAME, p->name, (unsigned)strlen(p->name), GNUTLS_FSAN_SET);
    else
        gnutls_x509_crt_set_subject_alt_name(c, GNUTLS_SAN_IPADDRESS, loopback, sizeof loopback, GNUTLS_FSAN_SET);
    assert_int_equal(gnutls_x509_crt_sign2(c, ca[p->stranger], ca_key[p->stranger], GNUTLS_DIG_SHA256, 0), 0);
    pem(c, certificate);
    pem(ca[0], authority);
    memset(key, 0, sizeof key);
    assert_int_equal(gnutls_x509_privkey_export(k, GNUTLS_X509_FMT_PEM, key, &size), 0);
    gnutls_x509_crt_deinit(c);
    gnutls_x509_privkey_deinit(k);
    for (int i = 0; i < 2; i++) {
        gnutls_x509_crt_deinit(ca[i]);
        gnutls_x509_privkey_deinit(ca_key[i]);
    }
}

static inline void paper_file(const char *path, const char *text)
{
    FILE *out = fopen(path, "w");
    assert_non_null(out);
    fputs(text, out);
    fclose(out);
}

#endif
