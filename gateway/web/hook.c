/* Hook: a text from the carrier becomes a job, and 200 once it is durable.
 *
 * It must never answer 200 for a text that is not stored, nor refuse one for what the patient wrote: only what the
 * carrier itself must say (who, to whom, which message) can be missing. The empty text is a picture. 15 µs, then the
 * writer's commit.
 */
#include <stdlib.h>
#include <string.h>

#include "gateway/web/fields.h"
#include "gateway/web/phone.h"
#include "gateway/web/room.h"

static void hook_finish(struct request *r)
{
    enum job_result result = r->job ? r->job->result : JOB_UNSTORED;
    if (result == JOB_STORED || result == JOB_REPEATED)
        request_answer(r, MHD_HTTP_OK, NULL, "", 0);
    else
        request_unstored(r);
}

/* What the carrier must say: a text that is not empty. The caller's; NULL when it is missing. */
static char *needed_take(struct fields *f, const char *name, size_t *size)
{
    char *text;
    if (field_take(f, name, &text, size) == FIELD_TEXT && *size)
        return text;
    free(text);
    return NULL;
}

static const char *phones_read(struct fields *f, const struct inbound_config *names, struct job *job)
{
    size_t size;
    char *from = needed_take(f, names->from, &size), *to = needed_take(f, names->to, &size);
    if (from && to) {
        phone_normal(from, job->text.from);
        phone_normal(to, job->text.to);
    }
    const char *why = !from ? "The sender's number is missing." : !to ? "The receiver's number is missing." : NULL;
    free(from);
    free(to);
    return why;
}

/* Fills the job from the fields; says what is missing, or NULL. */
static const char *text_read(struct fields *f, const struct inbound_config *names, struct job *job)
{
    char *sent = NULL;
    size_t size;
    char *id = needed_take(f, names->id, &size);
    if (!id)
        return "The message's id is missing.";
    id_fit(id, size, job->text.message_id, sizeof job->text.message_id);
    free(id);
    const char *why = phones_read(f, names, job);
    if (why)
        return why;
    enum field what = field_take(f, names->text, &job->text.body, &job->text.size);
    if (what == FIELD_ABSENT)
        job->text.body = calloc(1, 1);
    else if (what != FIELD_TEXT)
        return "The text is no string, or there twice.";
    job->text.sent = INSTANT_NONE;
    if (names->sent[0] && field_take(f, names->sent, &sent, &size) == FIELD_TEXT)
        job->text.sent = sent_read(sent, clock_now());
    free(sent);
    return NULL;
}

void hook_handle(struct request *r)
{
    const struct inbound_config *names = &r->web->config->inbound;
    struct fields f;
    if (!request_admit(r, &r->web->inbound, names->format))
        return;
    if (!fields_open(&f, names->format, r->body.at, r->body.n)) {
        if (f.starved)
            request_unstored(r);
        else
            request_problem(r, MHD_HTTP_BAD_REQUEST, "The body is no JSON object (RFC 8259, no member twice).");
        return;
    }
    struct job *job = request_job(r, JOB_TEXT);
    const char *why = job ? text_read(&f, names, job) : NULL;
    fields_close(&f);
    if (job && !f.starved && !why && job->text.body) {
        request_wait(r, job, hook_finish);
        return;
    }
    if (why && !f.starved)
        request_problem(r, MHD_HTTP_BAD_REQUEST, why);
    else if (job)
        request_unstored(r);
    job_free(job);
}
