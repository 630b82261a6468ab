/* The simulated carrier: takes texts, alerts, summaries and mails, remembers them all, and misbehaves when told to.
 *
 * For the demo and the system tests; everything is on 127.0.0.1 and nothing leaves the machine. One lock, a thread a
 * connection: a hanging answer is simply a thread that waits.
 */
#ifndef QUIETARM_CARRIER_H
#define QUIETARM_CARRIER_H

#include <jansson.h>
#include <pthread.h>
#include <stdbool.h>
#include <stddef.h>

enum { RULES_MAX = 8, BODY_MOST = 8 << 20 };

/* How requests to a path are answered while it lasts. */
struct rule {
    char path[32], to[64];   /* to "": anybody */
    int status;              /* 0: as usual */
    int left;                /* how many more; -1 until told otherwise; 0 unused */
    int retry_after;         /* seconds; 0 none */
    int delay_ms;
    bool hang;               /* no answer until told otherwise */
};

struct carrier {
    pthread_mutex_t lock;
    pthread_cond_t changed;  /* rules, or closing */
    json_t *sent;            /* all that came, in order */
    json_t *mails;
    json_t *accepted;        /* key → its record, as answered the first time */
    int next_id;
    struct rule rules[RULES_MAX];
    int told;                /* how often the rules changed */
    bool closing;
    char secret[128];        /* asked of POST /messages as bearer; "" none */
    json_t *receipts;        /* POST /receipts: where receipts go; NULL none */
};

/* -- memory.c: what came, what shall happen -- */
void carrier_open(struct carrier *c, const char *secret);
/* The rule for this request, used up by one; a default one when there is none. Waits out its delay or hang. */
struct rule rule_take(struct carrier *c, const char *path, const char *to);
/* {} forgets all rules; else path ("/messages"), to, status, for, retry_after, delay_ms, hang. false: not understood. */
bool rules_set(struct carrier *c, const json_t *told);
/* Keeps what came under `path`, takes `record`. One that is refused (status not 2xx) is kept as path "/refused" with `was`.
 * A repeated key is marked "repeat", and "changed" when it is not the same as the first; its id is the first's. */
void carrier_keep(struct carrier *c, const char *path, json_t *record, int status, char id[32]);
json_t *carrier_since(struct carrier *c, size_t since);

/* -- post.c: signed posts to the gateway -- */
/* {"url", "secret", "body": object}: posts the body with X-Signature; the HTTP status, 0 when there was none. */
int post_signed(const json_t *what);

/* -- web.c -- */
struct MHD_Daemon;
struct MHD_Daemon *web_start(struct carrier *c, int *port); /* NULL when it cannot */

/* -- smtp.c: a mail sink of its own thread -- */
int smtp_start(struct carrier *c, int *port); /* 0 or -1 */

#endif
