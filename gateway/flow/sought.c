/* Sought: the rows of the outbox that a batch's results and receipts are of, looked for together.
 *
 * Where each question is a journey they are read twice, in one list each: to know what must be held, and again when it is.
 * What the batch itself has changed since is asked for anew, so that no job decides on a row as it was. Elsewhere a row is
 * read when its job is handled. One to 128 rows.
 */
#include "gateway/flow/inside.h"

#include <stdlib.h>

struct sought_row {
    const struct job *job;
    bool stale;
};

static bool is_sought(const struct job *job)
{
    return job->kind == JOB_SENT || job->kind == JOB_RECEIPT;
}

static struct sought sought_of(const struct job *job)
{
    if (job->kind == JOB_SENT)
        return (struct sought){.id = job->sent.outgoing,
                               .carrier_id = job->sent.result == SENT_OK ? job->sent.carrier_id : NULL};
    return (struct sought){.name = job->receipt.id, .by_key = job->receipt.by_key};
}

int sought_load(struct batch *b, const struct job *jobs)
{
    size_t n = 0;
    for (const struct job *job = jobs; job; job = job->next)
        n += is_sought(job);
    if (!n)
        return 0;
    if (!b->sought) {
        b->sought = calloc(n, sizeof *b->sought);
        b->sought_rows = calloc(n, sizeof *b->sought_rows);
    }
    if (!b->sought || !b->sought_rows)
        return STORE_MEMORY;
    for (const struct job *job = jobs; job && b->n_sought < n; job = job->next)
        if (is_sought(job)) {
            b->sought_rows[b->n_sought].job = job;
            b->sought[b->n_sought++] = sought_of(job);
        }
    return outbox_seek(b->f->db, b->sought, b->n_sought);
}

int batch_sought(struct batch *b, const struct job *job, struct sought *out)
{
    for (size_t i = 0; i < b->n_sought; i++)
        if (b->sought_rows[i].job == job && !b->sought_rows[i].stale) {
            *out = b->sought[i];
            return 0;
        }
    *out = sought_of(job);
    int error = outbox_seek(b->f->db, out, 1);
    if (!error && out->found && out->carrier_id)
        error = receipt_find(b->f->db, out->carrier_id, out->row.key, &out->early, &(bool){false});
    return error;
}

/* A row by its id, all of a person's; and what was not found may be there now. */
static void sought_changed(struct batch *b, int64_t id, int64_t person)
{
    for (size_t i = 0; i < b->n_sought; i++) {
        const struct sought *s = &b->sought[i];
        b->sought_rows[i].stale |= !s->found || s->row.id == id || (person && s->row.person == person);
    }
}

void sought_effects(struct batch *b)
{
    for (size_t i = 0; i < b->effects.n && b->n_sought; i++) {
        const struct effect *e = &b->effects.at[i];
        if (e->kind == EFFECT_WITHDRAW)
            sought_changed(b, 0, e->withdraw.person);
        else if (e->kind == EFFECT_SEND && e->send->alert) /* it takes the place of an earlier copy */
            sought_changed(b, 0, e->send->person);
    }
}

int sought_set(struct batch *b, const struct outgoing *row)
{
    sought_changed(b, row->id, 0);
    b->outbox = true;
    return outbox_set(b->f->db, row);
}

int sought_keep(struct batch *b, const struct early_receipt *r)
{
    for (size_t i = 0; i < b->n_sought; i++) /* it may be of any that was only now sent */
        b->sought_rows[i].stale = true;
    return receipt_keep(b->f->db, r);
}
