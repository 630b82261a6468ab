/* Flow: events in, effects applied. One thread, the writer, owns the writing connection; texts, receipts, send results,
 * looks and desk actions reach it as jobs in one queue and are committed in batches (group commit).
 *
 * A job is announced (`done`) only after its batch is durable, or when it could not be. Nothing leaves the process from
 * inside a transaction.
 */
#ifndef QUIETARM_FLOW_H
#define QUIETARM_FLOW_H

#include <stdatomic.h>
#include "gateway/base.h"
#include "gateway/care/care.h"
#include "gateway/config.h"
#include "gateway/texts/texts.h"
#include "parser/parser.h"
#include "store/store.h"

/* -- zone.c: the only place that knows zones ----------------------------------------------------------------------------- */

/* The table of offsets of an IANA zone for about two years around `around`. false: no such zone. Thread-safe, cached. */
bool zone_offsets(const char *zone, int64_t around, struct offsets *out);

/* -- jobs -------------------------------------------------------------------------------------------------------------------- */

enum job_kind { JOB_TEXT, JOB_RECEIPT, JOB_SENT, JOB_LOOK, JOB_ALERT, JOB_OVERDUE, JOB_ACTION, JOB_ENROL, JOB_ROSTER,
                JOB_CALL, JOB_CLOCK, JOB_NOTICE };
enum job_result {
    JOB_STORED = 0,   /* durable */
    JOB_REPEATED,     /* a message id that is known: nothing done, which is right */
    JOB_REFUSED,      /* an action that the world no longer allows: see `answer` */
    JOB_UNSTORED      /* could not be stored: answer 503; try again later */
};

struct job {
    struct job *next;
    enum job_kind kind;
    enum job_result result;
    bool left;                       /* of a look: another gateway has the patient, nothing was done */
    /* Called once, by the writer thread, after commit or failure; frees or answers. NULL: the writer frees the job. */
    void (*done)(struct job *job);
    void *owner;                     /* the caller's own */
    union {
        struct {                     /* JOB_TEXT: as the carrier's webhook said it, numbers already normalised */
            char message_id[256];
            char from[PHONE_MAX], to[PHONE_MAX];
            char *body;              /* malloced, NUL-terminated UTF-8, owned by the job; "" for a picture */
            size_t size;
            int64_t sent;            /* INSTANT_NONE */
        } text;
        struct {                     /* JOB_RECEIPT */
            char id[80];
            bool by_key, delivered;
        } receipt;
        struct {                     /* JOB_SENT: what came of an attempt */
            int64_t outgoing;
            enum sent_result { SENT_OK, SENT_PASSING, SENT_PERMANENT, SENT_ROUTE_BROKEN } result;
            int retry_after;         /* seconds, 0: none */
            char carrier_id[80], reason[128];
        } sent;
        struct {                     /* JOB_LOOK, JOB_ALERT, JOB_OVERDUE: made by looks.c */
            int64_t person, alert, due;
            struct outgoing *outgoing;
        } look;
        struct {                     /* JOB_ACTION: a person at the desk */
            int64_t person;
            struct care_action action;
            enum care_answer answer;
        } action;
        struct {                     /* JOB_ENROL */
            struct person person;
            bool joined;
            enum care_answer answer;
            char why[160];
        } enrol;
        struct {                     /* JOB_ROSTER: all of them or, with one refused, none */
            struct roster_entry {
                struct person person;
                bool joined;
                char why[160];       /* out: why this one was refused; "" */
            } *list;                 /* malloced, owned by the job */
            size_t n;
        } roster;
        struct {                     /* JOB_CALL: a write of the store alone, in the writer's transaction */
            int (*call)(struct db *db, int64_t now, void *what); /* a store_error */
            void *what;              /* owned by the job */
            void (*forget)(void *what);
        } call;
        char notice[160];            /* JOB_NOTICE: to ops_to; see flow_notice */
        struct {                     /* JOB_CLOCK: done when all that was due by `to` is handled and sent */
            int64_t to;
            bool jump;
            int64_t reached;
        } clock;
    };
};

void job_free(struct job *job); /* takes NULL; frees what the job owns */

/* -- the writer ---------------------------------------------------------------------------------------------------------------- */

struct flow;
struct sender; /* gateway/send */

/* Opens the database in config->state (creates, migrates), starts no thread yet. All borrowed things outlive the flow.
 * 0, or -1 with one line in `why`. */
int flow_open(struct flow **out, const struct config *config, const struct texts *texts, char *why, size_t why_size);
int flow_start(struct flow *f);          /* the writer thread */
/* Hands the job over. Any thread. After flow_stop has begun the job is done at once with JOB_UNSTORED. */
void flow_submit(struct flow *f, struct job *job);
/* Finishes what is queued, stops the writer. */
void flow_stop(struct flow *f);
void flow_close(struct flow *f);         /* takes NULL */

/* Called by the writer after each commit that left something for the sender, and when time moved. Set before start. */
void flow_on_outbox(struct flow *f, void (*wake)(void *context), void *context);
/* For the stepped clock: whether the sender has an attempt in flight or a row due at or before `now` that it can try. */
void flow_ask_sender(struct flow *f, bool (*busy)(void *context, int64_t now), void *context);

/* Tells `ops_to` that something is wrong with the machine or a way out: a few words, of nobody. By the outbox. Any thread. */
void flow_notice(struct flow *f, const char *words);
/* How to tell them when the database is what fails: the whole text. Called by the writer thread. Set before start. */
void flow_on_trouble(struct flow *f, void (*tell)(void *context, const char *body), void *context);

/* Figures for /metrics and /readyz. */
struct flow_figures {
    int64_t texts, repeats, batches, jobs, failures, looks;
    int64_t queue, oldest_queued_ms; /* jobs waiting, and for how long */
    int64_t last_commit_ms;          /* clock_real_ms of the last commit; 0 none */
    bool failing;                    /* the last commit failed */
};
void flow_figures(struct flow *f, struct flow_figures *out);

/* Texts read anew (SIGHUP): the flow takes them and uses them from the next batch on. */
void flow_use_texts(struct flow *f, struct texts *texts);

/* Says what the effects want said: fills body, from and segments of each outgoing row. For whoever writes effects without
 * the writer (the commands). Returns 0. */
int effects_say(const struct config *config, const struct texts *texts, struct effects *e);

/* Completes a loaded record: clinic, protocol, zones. false when its clinic is not configured. */
bool record_complete(const struct config *config, struct record *r, int64_t now);

#endif
