/* The sender: one thread that takes due outbox rows, most urgent class first, and sends them with libcurl multi.
 *
 * It never writes: what came of an attempt goes back to the writer as JOB_SENT. A crash repeats at most what was in
 * flight, same key, same body. To one number one text is in flight at a time.
 */
#ifndef QUIETARM_SEND_H
#define QUIETARM_SEND_H

#include "gateway/flow/flow.h"

struct sender;

/* Opens its own read-only connection to the database, which flow_open has made. `config` and `flow` are borrowed. 0, or
 * -1 with one line in `why`. Starts nothing. */
int sender_open(struct sender **out, const struct config *config, struct flow *flow, char *why, size_t why_size);
int sender_start(struct sender *s);                /* 0, or -1 when there is no thread to be had */
void sender_wake(void *sender);                    /* flow_on_outbox: rows were committed, or time moved. Any thread */
/* flow_ask_sender. True while anything is in flight, or ended and not yet committed by the writer, or a row due at or
 * before `now` could be tried (waiting for a free place or for per_second is trying; behind a broken route is not, until
 * its next probe is due). Never misses a row committed before the last sender_wake. Any thread; takes microseconds. */
bool sender_busy(void *sender, int64_t now);
/* The instant of the next probe of a broken route; INSTANT_NONE when every route is whole. For a stepped clock. */
int64_t sender_next_probe(struct sender *s);
/* The row that tells the ith of `ops_to`; its id and key are the caller's to give. false: there are no more. */
bool notice_row(const struct config *config, size_t i, const char *body, int64_t now, struct outgoing *o);
/* Sends a notice to every `ops_to` straight, without a row: the database may be what is broken. Once each, no retry. Any
 * thread. */
void sender_tell(void *sender, const char *body);
/* Called by the sender's thread when a way out breaks or works again, in a few words. Set before sender_start. */
void sender_on_route(struct sender *s, void (*say)(void *context, const char *words), void *context);
/* Takes the secrets anew from `config` (SIGHUP). */
void sender_reload(struct sender *s, const struct config *config);
/* Starts nothing new, lets what is in flight end, at most `ms`, hands the results to the flow and stops the thread. Call
 * it before flow_stop. What was cut off stays in the outbox for the next start. */
void sender_stop(struct sender *s, int ms);
void sender_close(struct sender *s);               /* after flow_stop: no job of it is left in the queue; takes NULL */

/* -- rules, pure (answer.c) --------------------------------------------------------------------------------------------- */

/* Seconds until attempt `attempts` + 1 (attempts ≥ 1 were made): between 1 and 10 doubling to 900, full jitter by
 * `random`; or retry_after if that is longer. Source of full jitter: common practice. */
int backoff_seconds(int attempts, int retry_after, uint64_t random);
/* How an HTTP status (0: no answer at all) is to be taken. */
enum sent_result status_result(int status);

/* -- figures ------------------------------------------------------------------------------------------------------------ */

struct sender_figures {
    int64_t attempts, sent, failed; /* failed: whatever was not sent, each attempt */
    int in_flight;
    bool route_broken;
    char route[64];                 /* the name of a broken one: "carrier", "mail", "target:lab", "http://host" */
};
void sender_figures(struct sender *s, struct sender_figures *out);

/* -- summaries ---------------------------------------------------------------------------------------------------------- */

/* A week's summary in its forms; what is NULL is not sent. All malloced, freed by rendered_clear. */
struct rendered {
    char *text;          /* UTF-8: the mail's body, or the file when there is no other form */
    void *pdf;           /* attached to the mail, written to a folder */
    size_t pdf_size;
    char *fhir;          /* JSON: posted to an HTTP target, written to a folder */
    char name[96];       /* of files, without ending: letters, digits, . _ -; "" lets the sender choose */
    char subject[128];   /* of the mail; "" lets the sender choose */
};
void rendered_clear(struct rendered *r);

/* Renders the summary of a row (week, version), the same every time. Runs in the sender's thread. 0; anything else is
 * tried again later. */
typedef int render_summary(void *context, const struct outgoing *row, struct rendered *out);
/* Set before sender_start. Until then a summary is the plain text of row.body. */
void sender_on_summary(struct sender *s, render_summary *render, void *context);

/* -- templates, for whoever checks a configuration (template.c) --------------------------------------------------------- */

/* The first {word} of a template that is no placeholder; false when all are known. `word` takes it without braces. */
bool template_unknown(const char *pattern, char word[32]);

#endif
