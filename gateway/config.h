/* The configuration: an INI file, read whole, every mistake told as FILE:LINE: what, what to do.
 *
 * Read once at start; `reload` reads texts, secrets and certificates anew. Relative paths have been made absolute here, but
 * for those of dir: targets, which begin at `state` wherever that is.
 */
#ifndef QUIETARM_CONFIG_H
#define QUIETARM_CONFIG_H

#include "gateway/base.h"
#include "gateway/care/record.h"

enum { PATH_MAX_BYTES = 1024, SECRET_MAX = 512, POINTER_MAX = 160, WORDS_MAX = 8, WORD_MAX = 40, OPS_MAX = 8 };

enum body_format { FORMAT_JSON, FORMAT_FORM };
enum auth_kind { AUTH_NONE, AUTH_HMAC_SHA256, AUTH_BEARER, AUTH_BASIC };

struct auth {
    enum auth_kind kind;
    char header[64];
    bool timestamped;          /* signed = timestamp.body */
    char time_header[64];
    int max_age;               /* seconds */
    char secret_file[PATH_MAX_BYTES];
    char secret[SECRET_MAX];
    size_t secret_size;
};

struct inbound_config {
    char path[128];
    enum body_format format;
    char id[POINTER_MAX], from[POINTER_MAX], to[POINTER_MAX], text[POINTER_MAX], sent[POINTER_MAX]; /* sent may be "" */
    struct auth auth;
};

struct receipt_config {
    bool present;
    char path[128];
    enum body_format format;
    char id[POINTER_MAX], key[POINTER_MAX], status[POINTER_MAX];
    char delivered[WORDS_MAX][WORD_MAX], failed[WORDS_MAX][WORD_MAX];
    int n_delivered, n_failed;
    struct auth auth;
};

struct outbound_config {
    char url[512];
    enum body_format format;
    char *body;                 /* the template, owned */
    char header[4][512];        /* with placeholders; "" unused */
    char secret_file[PATH_MAX_BYTES], secret[SECRET_MAX];
    char id[POINTER_MAX];
    int in_flight;
    double per_second;
};

struct mail_config {
    bool present;
    char url[256], from[TARGET_MAX], user[128];
    char secret_file[PATH_MAX_BYTES], secret[SECRET_MAX];
};

struct target_config {
    char name[CLINIC_MAX], url[512], header[4][512];
    char secret_file[PATH_MAX_BYTES], secret[SECRET_MAX];
};

struct config {
    char file[PATH_MAX_BYTES], folder[PATH_MAX_BYTES];
    char listen_host[64], desk_host[64];
    int listen_port, desk_port;              /* desk_port -1: the one after listen, or a free one */
    char public_url[256], state[PATH_MAX_BYTES];
    char store[16];                          /* a name that store_choose knows */
    char conninfo_file[PATH_MAX_BYTES], conninfo[SECRET_MAX];
    bool stepped;
    int64_t clock_start;                     /* INSTANT_NONE */
    int retain_texts_days, retain_alert_days;
    char ops_to[OPS_MAX][TARGET_MAX];
    char proxy[8][64];
    char tls_cert[PATH_MAX_BYTES], tls_key[PATH_MAX_BYTES];
    char words[PATH_MAX_BYTES], texts[PATH_MAX_BYTES];
    struct clinic *clinics;
    size_t n_clinics;
    char (*token_files)[PATH_MAX_BYTES];     /* fhir_token_file of each clinic; "" */
    struct target_config *targets;
    size_t n_targets;
    struct inbound_config inbound;
    struct outbound_config outbound;
    struct receipt_config receipt;
    struct mail_config mail;
};

/* One mistake as it is found; `line` 0 when it belongs to no line. */
typedef void config_mistake(void *context, const char *file, int line, const char *what);

/* Reads `file`. Returns the number of mistakes (0: *out is whole and the caller closes it with config_close), each told to
 * `mistake`. -1 when out of memory. With `secrets` false secret files are not read (for commands that send nothing). */
int config_open(struct config *out, const char *file, bool secrets, config_mistake *mistake, void *context);
void config_close(struct config *c);
/* For what is told of a patient by hand (enrolment): the same judgements that the configuration's own values get. */
bool config_language(const struct config *c, const char *language); /* texts in it are at hand */
bool span_read(const char *text, struct span *out);                /* HH:MM-HH:MM; from may be later than to */
bool spans_meet(const struct span *a, const struct span *b);       /* they overlap, on the clock's face */
const struct clinic *config_clinic(const struct config *c, const char *id);              /* NULL */
const struct clinic *config_clinic_by_number(const struct config *c, const char *phone); /* NULL */
const struct target_config *config_target(const struct config *c, const char *name);     /* NULL */

#endif
