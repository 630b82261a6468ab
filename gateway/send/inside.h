/* What the files of send/ share: routes, attempts, the sender's state. Private to the room.
 *
 *     outbox row ──take.c──▶ attempt: running ──curl──▶ reported ──committed──▶ settled: freed
 *                                                       ▲     │
 *                                                       └─────┴ unstored: reported again a second later
 *
 * An attempt keeps its row out of outbox_take from the start until the writer has committed what came of it. Only the
 * sender's thread touches routes, transfers and the list of attempts; what other threads ask for is under `lock`.
 */
#ifndef QUIETARM_SEND_INSIDE_H
#define QUIETARM_SEND_INSIDE_H

#include <pthread.h>
#include "gateway/send/parts.h"

enum {
    PROBE_EVERY = 60,      /* seconds of the gateway's clock */
    REFUSED_KEPT = 16,     /* rows that broke a route lately */
    MAILS_AT_ONCE = 4,
    TAKE_MAX = 64,         /* rows asked of the outbox at once */
    TAKE_MORE = 4,         /* beyond the carrier's free places */
    LOOK_EVERY_MS = 1000,  /* when nothing wakes us: another process may have queued */
    REPORT_AGAIN_MS = 1000,
    CONNECT_MS = 10000, HTTP_MS = 30000, MAIL_MS = 60000
};

/* One way out that can break by itself: the carrier, the mail relay, each HTTP target and folder. */
struct route {
    char name[64];                 /* for the log: never a path or query, which may hold a secret */
    enum channel channel;
    char to[TARGET_MAX];           /* of HTTP and folders; "" the carrier, the relay */
    const char *url;               /* borrowed from the configuration, or `to` */
    const struct target_config *target; /* target:NAME, else NULL */
    char secret[SECRET_MAX];       /* under lock */
    int in_flight, most;           /* attempts started and not yet settled: a crash may repeat them; at most */
    bool broken;
    int64_t probe_at;              /* while broken */
    struct {
        int64_t row;
        bool well_since;           /* the route has worked since it refused this row: then it is the row */
    } refused[REFUSED_KEPT];
    unsigned next_refused;
};

enum attempt_state { ATTEMPT_RUNNING, ATTEMPT_REPORTED, ATTEMPT_UNSTORED, ATTEMPT_SETTLED };

struct attempt {
    struct attempt *next;
    struct sender *sender;
    struct route *route;
    enum attempt_state state;      /* under lock */
    int64_t again_ms;              /* when to report again */
    struct outgoing row;
    bool straight;                 /* it has no row: nothing is reported to the writer */
    struct job job;                /* JOB_SENT, ours: the flow only lends it */
    int64_t started_ms;
    CURL *easy;
    curl_mime *mime;
    struct curl_slist *headers, *recipients;
    struct buffer url, body, answer;
    size_t received;
    struct rendered rendered;
};

struct sender {
    const struct config *config;
    struct flow *flow;
    struct db *db;
    CURLM *multi;
    render_summary *render;
    void *render_context;
    void (*say_route)(void *context, const char *words);
    void *route_context;
    struct rate rate;
    char trust[PATH_MAX_BYTES];    /* a file of certificates that are trusted besides the machine's; "" none */
    struct route **routes;         /* [0] the carrier, [1] the mail relay, then as they are met */
    size_t n_routes;
    struct outgoing *rows;         /* TAKE_MAX, scratch of the thread */
    uint64_t looked_generation;    /* what the last look knew */
    int64_t looked_now, looked_ms;
    int64_t room_at_ms;            /* when per_second allows the next; -1 nothing waits for it */
    bool reading_fails;            /* told once */
    struct attempt *attempts;      /* all that are not freed */
    int running;

    pthread_mutex_t lock;
    pthread_t thread;
    bool started, stopping;
    int64_t stop_ms;               /* real time at which what is in flight is cut off */
    char *told;                    /* a notice to be sent straight; the newest counts */
    int unsettled;                 /* attempts that the writer has not committed yet */
    uint64_t generation;           /* grows with every wake and every committed result */
    uint64_t idle_generation;      /* for which nothing was found to try, as of idle_now */
    int64_t idle_now, asked_now;
    int64_t next_probe;
    struct sender_figures figures;
};

/* -- route.c -- */
int routes_open(struct sender *s);          /* 0, -1 no memory */
void routes_close(struct sender *s);
struct route *route_of(struct sender *s, const struct outgoing *row); /* NULL: no memory */
void route_secrets(struct sender *s, const struct config *config);    /* under lock */
/* Whether a URL may be used at all: https, smtps, smtp, or http to loopback; *loopback as it is. 1, 0, -1: no memory. */
int url_allowed(const char *url, bool *loopback);
/* Takes an ended attempt into account, and may make its result milder: a row that a working route refuses again is that
 * row's trouble. */
void route_judge(struct attempt *a, int64_t now);
/* Whether nothing may be tried on it now: broken, and its probe is under way or not due. */
bool route_closed(const struct route *r, int64_t now);
/* Whether a row that broke this route before should let another go first as the probe. */
bool route_refused(const struct route *r, int64_t row);

/* -- attempt.c -- */
struct attempt *attempt_new(struct sender *s, struct route *r, const struct outgoing *row);
/* True: a->easy is ready to run. False: it has ended already, a->job.sent says how. */
bool attempt_prepare(struct attempt *a);
void attempt_judge(struct attempt *a, CURLcode code);
void attempt_release(struct attempt *a);    /* the transfer's things; the row and the job stay */
void attempt_free(struct attempt *a);
bool attempt_ended(struct attempt *a, enum sent_result result, const char *reason); /* always false, for returning */

/* -- request.c: what each channel sends -- */
bool request_text(struct attempt *a, const char *secret);
bool request_http(struct attempt *a, const char *secret);
bool request_mail(struct attempt *a, const char *secret);
bool request_folder(struct attempt *a);     /* always false: done at once */

/* -- straight.c -- */
void straight_begin(struct sender *s);      /* starts what sender_tell was asked for */

/* -- take.c -- */
/* Starts what may be started now, and publishes whether nothing was found. */
void sender_look(struct sender *s);
/* -- sender.c -- */
void sender_begin(struct sender *s, struct attempt *a); /* counts it in and runs it, or reports it at once */
uint64_t sender_reap(struct sender *s);     /* frees what is settled; the generation as of that */
int64_t sender_now(struct sender *s);       /* the gateway's time, or the later instant that it was asked about */

#endif
