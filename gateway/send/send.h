/* The sender: one thread that takes due outbox rows, most urgent class first, and sends them with libcurl multi.
 *
 * It never writes: what came of an attempt goes back to the writer as JOB_SENT. A crash repeats at most what was in
 * flight, same key, same body. To one number one text is in flight at a time.
 */
#ifndef QUIETARM_SEND_H
#define QUIETARM_SEND_H

#include "gateway/flow/flow.h"

struct sender;

int sender_open(struct sender **out, const struct config *config, struct flow *flow, char *why, size_t why_size);
int sender_start(struct sender *s);
void sender_wake(void *sender);                    /* flow_on_outbox */
bool sender_busy(void *sender, int64_t now);       /* flow_ask_sender */
/* Starts nothing new, lets what is in flight end, at most `ms`, and stops the thread. */
void sender_stop(struct sender *s, int ms);
void sender_close(struct sender *s);               /* takes NULL */

/* Seconds until attempt `attempts` + 1: 10 doubling to 900, full jitter by `random`, or retry_after if that is longer. */
int backoff_seconds(int attempts, int retry_after, uint64_t random);
/* How an HTTP status (0: no answer at all) is to be taken. */
enum sent_result status_result(int status);

struct sender_figures {
    int64_t attempts, sent, failed;
    int in_flight;
    bool route_broken;
};
void sender_figures(struct sender *s, struct sender_figures *out);

#endif
