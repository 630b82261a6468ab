/* Receipt: what a carrier says of a text that we sent. 200 whatever it says, once it is known to be the carrier; only when
 * the disk refuses it, it shall be sent again.
 *
 * Statuses that the configuration does not name mean nothing and are let go.
 */
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "gateway/web/fields.h"
#include "gateway/web/room.h"

static void receipt_finish(struct request *r)
{
    if (r->job && r->job->result != JOB_UNSTORED)
        request_answer(r, MHD_HTTP_OK, NULL, "", 0);
    else
        request_unstored(r);
}

static bool word_among(const char words[][WORD_MAX], int n, const char *word)
{
    for (int i = 0; i < n; i++)
        if (!strcasecmp(words[i], word))
            return true;
    return false;
}

/* true when the receipt says that a message of ours was delivered, or was not. */
static bool receipt_read(struct fields *f, const struct receipt_config *c, struct job *job)
{
    char *id = NULL, *status = NULL;
    size_t size, id_size;
    bool read = field_take(f, c->id[0] ? c->id : c->key, &id, &id_size) == FIELD_TEXT && id_size &&
                field_take(f, c->status, &status, &size) == FIELD_TEXT;
    if (read) {
        id_fit(id, id_size, job->receipt.id, sizeof job->receipt.id);
        job->receipt.by_key = !c->id[0];
        job->receipt.delivered = word_among(c->delivered, c->n_delivered, status);
        read = job->receipt.delivered || word_among(c->failed, c->n_failed, status);
    }
    free(id);
    free(status);
    return read;
}

void receipt_handle(struct request *r)
{
    const struct receipt_config *c = &r->web->config->receipt;
    struct fields f;
    if (!request_admit(r, &r->web->receipt, c->format))
        return;
    struct job *job = request_job(r, JOB_RECEIPT);
    if (!job)
        return;
    bool open = fields_open(&f, c->format, r->body.at, r->body.n);
    if (open && receipt_read(&f, c, job)) {
        request_wait(r, job, receipt_finish);
    } else if (f.starved) {
        job_free(job);
        request_unstored(r);
    } else {
        if (!open)
            log_event(LOG_WARNING, "receipt", "unreadable=1");
        job_free(job);
        request_answer(r, MHD_HTTP_OK, NULL, "", 0);
    }
    fields_close(&f);
}
