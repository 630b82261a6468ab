/* What came of a sending: results of attempts, delivery receipts, rows whose time is over.
 *
 * An outbox row has one due time; after handling, it has ended or its due time has moved. Giving up is a state.
 */
#include "gateway/flow/inside.h"
#include "gateway/send/send.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void row_end(struct outgoing *o, enum outgoing_state state, const char *reason)
{
    o->state = state;
    snprintf(o->reason, sizeof o->reason, "%s", reason);
}

/* A failed or late worry reply or copy of an alert concerns people: care says what follows. */
static int tell_care(struct batch *b, const struct outgoing *o)
{
    int error = 0;
    if (!o->alert && !o->worry_reply && o->class_ != CLASS_WORRY && o->class_ != CLASS_SUMMARY)
        return 0;
    struct record *r = batch_record(b, o->person, &error);
    if (!r)
        return error;
    struct moment_of_care m = batch_moment(b);
    care_unsent(r, &m, o, &b->effects);
    return batch_write(b);
}

/* The receipt may have overtaken the answer, even the answer's being stored. */
static bool receipt_came(const struct outgoing *o)
{
    return o->state == OUTGOING_DELIVERED || o->state == OUTGOING_FAILED;
}

static void mark_sent(struct batch *b, const struct job *job, const struct early_receipt *early, struct outgoing *o)
{
    o->sent_at = b->now;
    snprintf(o->carrier_id, sizeof o->carrier_id, "%s", job->sent.carrier_id);
    if (receipt_came(o))
        return;
    o->state = OUTGOING_SENT;
    o->reason[0] = '\0';
    if (early->id[0] && early->delivered) {
        o->state = OUTGOING_DELIVERED;
        o->delivered_at = b->now;
    } else if (early->id[0]) {
        row_end(o, OUTGOING_FAILED, "the carrier could not deliver it");
    }
}

static void mark_again(struct batch *b, const struct job *job, struct outgoing *o)
{
    bool broken = job->sent.result == SENT_ROUTE_BROKEN;
    int wait = broken ? 60 : backoff_seconds(o->attempts, job->sent.retry_after, batch_moment(b).random);
    o->due = b->now + wait;
    snprintf(o->reason, sizeof o->reason, "%s", job->sent.reason);
}

static int sent_set(struct batch *b, const struct job *job, struct sought *s)
{
    struct outgoing *o = &s->row;
    int error = outbox_release(b->f->db, o->id);
    if (error)
        return error;
    if (o->channel == CHANNEL_TEXT)
        b->f->route_broken = job->sent.result == SENT_ROUTE_BROKEN;
    bool ended = o->state != OUTGOING_WAITING; /* withdrawn while it was in flight, or its receipt came */
    bool told = o->state == OUTGOING_FAILED;   /* by that receipt */
    o->attempts += o->attempts < INT16_MAX; /* at one a minute a broken route gets there in 23 days */
    if (job->sent.result == SENT_OK)
        mark_sent(b, job, &s->early, o);
    else if (ended)
        return 0;
    else if (job->sent.result == SENT_PERMANENT)
        row_end(o, OUTGOING_FAILED, job->sent.reason);
    else
        mark_again(b, job, o);
    error = sought_set(b, o);
    log_event(LOG_INFO, "sent", "outgoing=%lld state=%d attempts=%d to=%s", (long long)o->id, o->state, o->attempts,
              o->channel == CHANNEL_TEXT ? log_number(o->to) : "-");
    return error || told || o->state != OUTGOING_FAILED ? error : tell_care(b, o);
}

int result_sent(struct batch *b, struct job *job)
{
    struct sought *s = malloc(sizeof *s); /* a row is large: not on the stack */
    int error = s ? batch_sought(b, job, s) : STORE_MEMORY;
    if (!error && s->found)
        error = sent_set(b, job, s);
    free(s);
    return error;
}

static int receipt_set(struct batch *b, const struct job *job, struct outgoing *o)
{
    if (receipt_came(o)) /* delivered is final */
        return 0;
    if (job->receipt.delivered) {
        o->state = OUTGOING_DELIVERED;
        o->delivered_at = b->now;
    } else {
        row_end(o, OUTGOING_FAILED, "the carrier could not deliver it");
    }
    int error = sought_set(b, o);
    return error || o->state != OUTGOING_FAILED ? error : tell_care(b, o);
}

int result_receipt(struct batch *b, struct job *job)
{
    struct sought *s = malloc(sizeof *s);
    int error = s ? batch_sought(b, job, s) : STORE_MEMORY;
    if (!error && s->found) {
        error = receipt_set(b, job, &s->row);
    } else if (!error) {
        struct early_receipt r = {.by_key = job->receipt.by_key, .delivered = job->receipt.delivered, .at = b->now};
        snprintf(r.id, sizeof r.id, "%s", job->receipt.id);
        error = sought_keep(b, &r);
    }
    free(s);
    return error;
}

/* A target of alerts or summaries that takes nothing for ten minutes: whoever runs the gateway is told, once an hour. */
static void tell_operations(struct batch *b, const struct outgoing *o)
{
    char words[160];
    if (o->worry_reply || (o->class_ != CLASS_WORRY && o->class_ != CLASS_SUMMARY))
        return;
    if (b->f->target_told != INSTANT_NONE && b->now - b->f->target_told < 3600)
        return;
    b->f->target_told = b->now;
    snprintf(words, sizeof words, "a target of clinic %s takes no %s for ten minutes now", o->clinic,
             o->class_ == CLASS_SUMMARY ? "summaries" : "alerts");
    flow_notice(b->f, words);
}

/* Past its time: a reply is given up after a day, a reminder cancelled 60 minutes late; a worry reply unsent after five
 * minutes is an alert of its own, and stays in the queue. */
int result_overdue(struct batch *b, struct job *job)
{
    struct outgoing o;
    bool found = false;
    int error = outbox_get(b->f->db, job->look.outgoing->id, &o, &found);
    if (!error && found)
        error = outbox_overdue_still(b->f->db, o.id, b->now, &found);
    if (error || !found || o.state != OUTGOING_WAITING)
        return error;
    bool over = o.expires != INSTANT_NONE && o.expires <= b->now;
    if (over && !(o.class_ == CLASS_REPLY && b->f->route_broken)) {
        row_end(&o, o.class_ == CLASS_REMINDER ? OUTGOING_CANCELLED : OUTGOING_GIVEN_UP,
                o.class_ == CLASS_REMINDER ? "too late to make sense" : "not sent for a day");
        error = sought_set(b, &o);
        return error ? error : tell_care(b, &o);
    }
    error = outbox_overdue_set(b->f->db, o.id, over ? b->now + 60 : INSTANT_NONE);
    if (!error && !over)
        tell_operations(b, &o);
    return error || over ? error : tell_care(b, &o);
}
