/* Notices to whoever runs the gateway (`ops_to`): by the outbox like everything else, or, where the database is what fails,
 * handed to the sender as they are.
 *
 * A notice names no patient and no number: it may go by plain mail. It is never given up.
 */
#include "gateway/flow/inside.h"
#include "gateway/send/send.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

size_t notice_say(const struct flow *f, const char *words, char *body, size_t size)
{
    const struct clinic *clinic = &f->config->clinics[0];
    struct saying saying = {.parts = {TEXT_S_OPERATIONS}, .n_parts = 1};
    snprintf(saying.word, sizeof saying.word, "%s", words);
    return texts_say(f->texts, &saying, clinic, clinic->language, body, size);
}

int notice_handle(struct batch *b, struct job *job)
{
    char body[BODY_MAX];
    struct outgoing row;
    notice_say(b->f, job->notice, body, sizeof body);
    b->effects.at = calloc(OPS_MAX, sizeof *b->effects.at);
    b->effects.cap = b->effects.at ? OPS_MAX : 0;
    if (!b->effects.at)
        return STORE_MEMORY;
    for (size_t i = 0; notice_row(b->f->config, i, body, b->now, &row); i++) {
        struct outgoing *o = malloc(sizeof *o);
        if (!o)
            return STORE_MEMORY;
        row.id = b->next_id++;
        snprintf(row.key, sizeof row.key, "q%lld", (long long)row.id);
        *o = row;
        b->effects.at[b->effects.n++] = (struct effect){.kind = EFFECT_SEND, .send = o};
    }
    return batch_write(b);
}

static void notice_done(struct job *job)
{
    if (job->result == JOB_UNSTORED)
        log_event(LOG_ERROR, "notice-unstored", "%s", job->notice);
    job_free(job);
}

void flow_notice(struct flow *f, const char *words)
{
    struct job *job = calloc(1, sizeof *job);
    log_event(LOG_WARNING, "notice", "%s", words);
    if (!job || !f->config->ops_to[0][0]) {
        free(job);
        return;
    }
    job->kind = JOB_NOTICE;
    job->done = notice_done;
    snprintf(job->notice, sizeof job->notice, "%s", words);
    flow_submit(f, job);
}
