/* What the files of flow/ share: the writer's state and one batch. Private to the room. */
#ifndef QUIETARM_FLOW_INSIDE_H
#define QUIETARM_FLOW_INSIDE_H

#include <pthread.h>
#include "gateway/flow/flow.h"

enum {
    BATCH_JOBS = 128,   /* the most jobs committed together */
    BATCH_LOOKS = 16,   /* of them looks, while texts come in too: a reminder morning must not delay an answer */
    ASKED_LATELY_MS = 1000,
    LINE_PEOPLE = NUMBER_PEOPLE, /* people who may share one number */
    LOOK_AGAIN_S = 900  /* a look that could not be stored is tried again after this */
};

/* What the watch remembers; see watch.c. */
struct watch {
    int64_t looked_ms, disk_ms;
    int64_t failing_ms, told_failing_ms; /* since when commits fail, when that was told; 0 */
    int64_t gap_ms;                      /* the wall clock's over the steady one */
    int64_t silence_due;                 /* when to look next whether texts come in */
    bool gap_known, told_low, told_silent;
    bool reserve;                        /* the file is there */
};

struct flow {
    const struct config *config;
    const struct texts *texts;
    struct texts *owned_texts;       /* after a reload: ours to close */
    struct texts *next_texts;        /* handed over, not yet in use */
    struct parser *parser;
    struct db *db;
    void (*wake)(void *context);
    void *wake_context;
    bool wake_due;                   /* the writer's own: it has left something for the sender since */
    bool (*sender_busy)(void *context, int64_t now);
    void *sender_context;

    pthread_mutex_t lock;
    pthread_cond_t woken;
    pthread_t thread;
    bool started, stopping;
    struct job *first, **last;       /* the queue */
    int64_t queued;
    int64_t oldest_ms;               /* when the oldest waiting job came */
    int64_t asked_ms;                /* the writer's own: when it last took a text or an action from the queue */
    struct job *clock_job;           /* the writer's own: time is being moved */

    struct flow_figures figures;     /* under lock */
    int64_t seen_version;            /* db_changed at the last look */
    int64_t seen_ms;                 /* when that was, of clock_real_ms */
    bool left;                       /* the last batch left a look to another gateway */
    int64_t next_due;                /* the earliest due time known; INSTANT_NONE */
    bool route_broken;               /* the carrier's, as the last attempt said */
    void (*tell)(void *context, const char *body);
    void *tell_context;
    struct watch watch;
    int64_t target_told;             /* when ops_to last heard that a target takes nothing; INSTANT_NONE */
    int64_t retain_due;              /* when old texts are looked for next */
    int64_t rest_ms, rest_until_ms;  /* the present rest, of clock_real_ms; 0 none */
};

/* Everybody on one number of one clinic. */
struct line {
    const struct clinic *clinic;
    char phone[PHONE_MAX];
    int64_t people[LINE_PEOPLE];
    size_t n;
};

/* One batch: the records that its jobs need, as its jobs change them, and what shall be written. */
struct batch {
    struct flow *f;
    int64_t now;
    uint64_t random;
    int64_t next_id;
    struct record *records;
    size_t n_records, cap_records;
    struct line *lines;
    size_t n_lines, cap_lines;
    struct effects effects;          /* of the job being handled */
    struct meaning meaning;
    struct stored_text kept;         /* of the job being handled, not yet written: its outcome goes with it; id 0: none */
    bool outbox;                     /* something for the sender was written */
    uint8_t (*heard)[MESSAGE_HASH];  /* gathered: the message ids of its texts, and which of them are known by now */
    bool *heard_known;
    size_t n_heard;
    struct sought *sought;           /* gathered: rows of its results and receipts (sought.c) */
    struct sought_row *sought_rows;
    size_t n_sought;
    bool left;                       /* a look was left to the gateway that has the patient */
};

/* -- batch.c -- */
/* Decides and writes all jobs of the list in one transaction, and answers them. One by one after a failure. */
void batch_commit(struct flow *f, struct job *jobs, size_t n);
/* gather.c: where several gateways work at one database, holds and loads what the jobs need; else nothing. */
int batch_gather(struct batch *b, struct job *jobs);
unsigned ids_salt(int64_t gateway); /* where in a millisecond its ids begin */
/* The record of a person, loaded once a batch; NULL when there is none or its clinic is gone. *error is set when the
 * store failed. */
struct record *batch_record(struct batch *b, int64_t person, int *error);
struct line *batch_line(struct batch *b, const struct clinic *clinic, const char *phone, int *error);
struct moment_of_care batch_moment(struct batch *b);

/* -- sought.c -- */
int sought_load(struct batch *b, const struct job *jobs); /* reads them all, each time */
/* The row that a result or receipt is of, and the receipt that came before a result, as they are now. */
int batch_sought(struct batch *b, const struct job *job, struct sought *out);
void sought_effects(struct batch *b);                           /* before the effects are written: what they may change */
int sought_set(struct batch *b, const struct outgoing *row);    /* outbox_set, noted */
int sought_keep(struct batch *b, const struct early_receipt *r); /* receipt_keep, noted */

/* -- one file for each kind of job; each decides, writes, and returns a store_error -- */
int intake_text(struct batch *b, struct job *job);     /* intake.c */
void intake_hash(const struct job *job, uint8_t hash[MESSAGE_HASH]); /* of the carrier's id */
/* Stores the text itself; *id (may be NULL) is its id. With an empty `why` it waits for intake_write. */
int intake_keep(struct batch *b, const struct job *job, const struct clinic *clinic, int64_t person, const char *why,
                int64_t *id);
int intake_write(struct batch *b); /* the text that waits, with what the effects say became of it */
/* Whether a text says again, with a tag in front, all that `asked` said. */
bool says_again(struct parser *p, const char *asked, const char *text, size_t size); /* again.c */
/* Whether this was a staff member's TAKE, which has then been handled. */
bool staff_takes(struct batch *b, struct job *job, const struct clinic *clinic, int *error); /* staff.c */
/* Whether it was anything else from a staff number that is no patient's, without a worry in it, which has been handled. */
bool staff_says(struct batch *b, struct job *job, const struct line *line, int *error);
int look_handle(struct batch *b, struct job *job);     /* looks.c */
int result_sent(struct batch *b, struct job *job);     /* results.c */
int result_receipt(struct batch *b, struct job *job);
int result_overdue(struct batch *b, struct job *job);
int action_handle(struct batch *b, struct job *job);   /* actions.c */
int enrol_handle(struct batch *b, struct job *job);
int roster_handle(struct batch *b, struct job *job);
int call_handle(struct batch *b, struct job *job);

int notice_handle(struct batch *b, struct job *job);   /* notice.c */

/* Says what must be said and writes the effects of the job being handled. */
int batch_write(struct batch *b);

/* -- looks.c -- */
/* Jobs for what is due at `now`, at most `max`: looks, alerts, overdue rows. 0, or the store_error for which something may
 * be missing from them. */
int looks_collect(struct flow *f, int64_t now, size_t max, struct job **jobs, size_t *n);
/* A look that cannot be stored moves its due time on, so that it does not stand in the way of all others. */
void look_put_off(struct flow *f, const struct job *job);

/* -- notice.c -- */
/* A notice as it is sent. */
size_t notice_say(const struct flow *f, const char *words, char *body, size_t size);

/* -- watch.c -- */
void watch_look(struct flow *f); /* between two rounds */
void watch_full(struct flow *f); /* a commit found no space */
/* By how much the wall clock has jumped against the steady one since it was last asked, if by two minutes or more; else 0.
 * Milliseconds. */
int64_t watch_jump(struct watch *w, int64_t wall_ms, int64_t steady_ms);

/* -- retain.c -- */
void retain_look(struct flow *f); /* between two rounds */

/* -- rest.c -- */
/* Whether an error is the store's as a whole and may pass by itself, rather than of one job. */
bool rest_needed(int error);
void rest_begin(struct flow *f, int error); /* nothing when the error is one job's */
void rest_end(struct flow *f);              /* something was stored */
int64_t rest_left_ms(const struct flow *f); /* 0: work */
int rest_probe(struct flow *f);             /* one commit that means nothing; its store_error */

/* -- clockwork.c -- */
/* Moves a stepped clock one step towards the job's target, if all that is due now is done; true when the job is done. */
bool clockwork_step(struct flow *f);
int clockwork_start(struct flow *f);

/* -- tags.c -- */
struct tagged {
    size_t person;     /* index into the line's people */
    size_t from, size; /* of the text, the tag itself left out */
};
/* Cuts a text at the tags of the people who share a phone. Returns how many parts; 0 when it has no tag, or none that tells
 * whose each part is. */
size_t tags_cut(const char *text, const char *const *tags, size_t n_tags, struct tagged *out, size_t max);

#endif
