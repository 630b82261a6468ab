/* What the files of gateway/web share: the open room, a visit (one connection), a request, a route.
 *
 * Private to this folder and its tests. Threads: each listener has one of libmicrohttpd's, which runs every handler of
 * that listener; the reaper has one; the writer calls request_done(). `lock` guards visits and who waits; nothing slow
 * happens under it, and no call into libmicrohttpd.
 */
#ifndef QUIETARM_WEB_ROOM_H
#define QUIETARM_WEB_ROOM_H

#include <microhttpd.h>
#include <pthread.h>
#include <stdatomic.h>

#include "gateway/web/web.h"

/* Every limit of the room, in one place. */
enum {
    VISITS_MAX = 120,               /* connections a listener: 128 ready at once starve libmicrohttpd 0.9.75 */
    VISIT_MEMORY = 32 * 1024,       /* bytes for the headers and the read buffer of one connection */
    BODY_BYTES = 64 * 1024,         /* the largest body; longer is 413 */
    ROSTER_BYTES = 2 * 1024 * 1024, /* the largest table of patients that the desk takes */
    DISCARD_BYTES = 1024 * 1024,    /* what of an overlong chunked body is read away before the line is cut */
    RETRY_SECONDS = 10,             /* Retry-After of a 503 */
    ANSWER_BYTES = 4 * 1024 * 1024, /* the largest answer that is made in memory */
    STATUS_CLASSES = 6
};

/* Time budgets in milliseconds of real time, whatever drips in. */
struct web_limits {
    int head;    /* from accept, or from the end of the last answer, to the last header */
    int whole;   /* from the same start to the last byte of the body */
    int answer;  /* for the client to take the answer */
    int wait;    /* for the writer; then 503, though the text may still be stored: its repeat does no harm */
    int shut;    /* for libmicrohttpd to take what came before the far side closed its half; then nothing more can come */
    int tick;    /* how often the reaper looks */
};
extern const struct web_limits web_limits_usual; /* 5 s, 10 s, 30 s, 15 s, 0.3 s, 0.1 s */
void web_limits_set(const struct web_limits *limits); /* before web_open; for tests */

enum listener { LISTENER_HOOK, LISTENER_DESK, LISTENER_COUNT };
enum method { METHOD_GET = 1 << 0, METHOD_POST = 1 << 1 }; /* HEAD is GET: libmicrohttpd leaves the body out */

/* -- a visit: one connection, from accept to close (reap.c) -------------------------------------------------------- */

struct visit {
    struct visit *next, *before;
    int fd;
    int64_t began_ms;          /* of the request that is being read */
    int64_t until_ms;          /* then the reaper cuts the line; INT64_MAX: not now */
    int64_t shut_ms;           /* since when the far side's half is known to be closed; 0 */
    bool answering;            /* a whole request is in and its answer not out */
    struct request *waiting;   /* suspended, for the writer; NULL */
};

struct web;

struct visit *visit_begin(struct web *w, int fd); /* NULL without memory */
void visit_end(struct web *w, struct visit *v);
void visit_head(struct web *w, struct visit *v);   /* the headers are in */
void visit_whole(struct web *w, struct visit *v);  /* the body is in: the time is the gateway's now */
void visit_answer(struct web *w, struct visit *v); /* the answer is queued */
void visit_idle(struct web *w, struct visit *v);   /* the answer is out; the next request may begin */

int reaper_start(struct web *w);
void reaper_stop(struct web *w);
void web_settle(struct web *w, int ms); /* waits until no answer is under way, at most `ms` */

/* -- a request (request.c) ----------------------------------------------------------------------------------------- */

struct request {
    struct web *web;
    struct visit *visit;
    struct MHD_Connection *connection;
    enum listener listener;
    const struct route *route;
    const char *path;                    /* as sent, without the query; libmicrohttpd's */
    enum method method;
    struct buffer body;
    size_t discarded;                    /* bytes of the body past its limit */
    int64_t length;                      /* Content-Length; 0 when chunked */
    unsigned refusal;                    /* the status of a request that no handler gets; 0 */
    unsigned allow;                      /* methods that the path has */
    unsigned status;                     /* of the answer */
    struct MHD_Response *answer;
    /* waiting for the writer: guarded by web->lock */
    int holders;                         /* the connection, and a job that is under way */
    bool waiting, abandoned;
    int64_t wait_until_ms;
    struct job *job;                     /* as it came back; NULL when it did not in time */
    void (*finish)(struct request *r);   /* answers from r->job */
};

enum MHD_Result request_step(void *web_listener, struct MHD_Connection *c, const char *url, const char *method,
                             const char *version, const char *upload, size_t *upload_size, void **state);
void request_completed(void *web_listener, struct MHD_Connection *c, void **state, enum MHD_RequestTerminationCode code);

/* The value of a header that came exactly once; NULL otherwise. Borrowed. */
const char *request_header(const struct request *r, const char *name);
/* The one answer of a request. `body` is copied; `type` NULL when it is empty. */
void request_answer(struct request *r, unsigned status, const char *type, const char *body, size_t size);
void request_answer_header(struct request *r, const char *name, const char *value); /* after request_answer */
/* 400, 401, 403, 404 …: RFC 9457 problem JSON. `detail` says what to do; never what the request said. */
void request_problem(struct request *r, unsigned status, const char *detail);
void request_unstored(struct request *r); /* 503 + Retry-After */
/* Suspends, then hands `job` over (its owner and done are set here); `finish` is called when it came back. */
void request_wait(struct request *r, struct job *job, void (*finish)(struct request *r));
/* The same with whoever else takes the job; `take` may call job->done before it returns, from any thread. */
void request_wait_on(struct request *r, struct job *job, void (*finish)(struct request *r),
                     void (*take)(void *taker, struct job *job), void *taker);
struct job *request_job(struct request *r, enum job_kind kind); /* zeroed; NULL after it has answered 503 */
void request_abandon(struct request *r); /* the reaper's: web->lock is not held, `waiting` was taken back */

/* One host, one length or none, no strange name; notes r->length. (framing.c) */
bool framing_sound(struct request *r, const char *version);
/* 403, 401, 415 in this order; true when the request may go on. (admit.c) */
bool request_admit(struct request *r, const struct auth *auth, enum body_format format);
bool request_forwarded(const struct request *r); /* carries Forwarded or any X-Forwarded-… */

/* -- routes (route.c) ---------------------------------------------------------------------------------------------- */

struct route {
    enum listener listener;
    unsigned methods;          /* bits of enum method */
    const char *path;          /* exact, or the whole tree under it when it ends in "/" */
    enum path_of { PATH_FIXED, PATH_INBOUND, PATH_RECEIPT } of; /* the configuration's path instead */
    bool stepped;              /* only with a stepped clock */
    bool patient;              /* waits for the writer however long it takes */
    size_t body_bytes;
    void (*handle)(struct request *r);
};

/* The route of a path. NULL with *allow 0: no such path; with *allow: the methods that it has. `path` is as sent, not
 * unescaped, without the query. */
const struct route *route_find(const struct web *w, enum listener listener, const char *path, unsigned method,
                               unsigned *allow);
unsigned method_read(const char *method);       /* 0: none of ours */
const char *methods_text(unsigned methods);     /* "GET, HEAD": for Allow */

void hook_handle(struct request *r);
void receipt_handle(struct request *r);
void clock_handle(struct request *r);
void health_handle(struct request *r);
void ready_handle(struct request *r);
void metrics_handle(struct request *r);
void desk_handle(struct request *r); /* gateway/web/desk */
void fhir_handle(struct request *r); /* fhir_handle.c */

/* -- listen.c, tls.c ----------------------------------------------------------------------------------------------- */

/* A bound, listening, non-blocking socket; -1 with one line in `why`. Port 0 takes a free one. */
int listen_open(const char *host, int port, int *bound_port, char *why, size_t why_size);

bool tls_wanted(const struct config *c);
int tls_load(const struct config *c, char *why, size_t why_size); /* 0, also when none is wanted; -1: the old stays */
void tls_unload(void);
struct MHD_OptionItem tls_option(void);

/* -- the room (web.c) ---------------------------------------------------------------------------------------------- */

struct web_listener {
    struct web *web;
    enum listener which;
    struct MHD_Daemon *daemon;
    int fd, port;
};

struct web {
    const struct config *config;
    struct flow *flow;
    struct sender *sender;          /* NULL in tests */
    struct desk *desk;              /* the pages, with threads of their own */
    struct web_limits limits;
    struct web_listener listeners[LISTENER_COUNT];

    pthread_mutex_t lock;
    pthread_cond_t changed;         /* the reaper is to stop, or an answer went out */
    struct visit *visits;
    bool reaping, closing;
    pthread_t reaper;

    pthread_mutex_t secrets;        /* guards the two: a reload replaces them */
    struct auth inbound, receipt;
    char (*fhir_tokens)[128];       /* of each clinic; "" none */

    atomic_bool quiet;              /* answers say "Connection: close" */
    atomic_bool clock_moves;        /* a /clock is under way */
    atomic_llong answers[LISTENER_COUNT][STATUS_CLASSES], cut, open_visits, slow;
};

#endif
