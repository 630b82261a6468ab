/* Doing: what a page changes, as a job of the one writer, which the page waits for.
 *
 * Nothing is written from here. When the writer ends it answers every job, so that no page waits for ever.
 */
#include "gateway/web/desk/room.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct waiting {
    struct desk *desk;
    bool over;
};

static void job_over(struct job *job)
{
    struct waiting *w = job->owner;
    struct desk *d = w->desk;
    pthread_mutex_lock(&d->lock);
    w->over = true;
    pthread_cond_broadcast(&d->done);
    pthread_mutex_unlock(&d->lock);
}

void desk_do(struct desk *d, struct job *job)
{
    struct waiting w = {.desk = d};
    job->owner = &w;
    job->done = job_over;
    flow_submit(d->web->flow, job);
    pthread_mutex_lock(&d->lock);
    while (!w.over)
        pthread_cond_wait(&d->done, &d->lock);
    pthread_mutex_unlock(&d->lock);
}

bool desk_call(struct desk *d, int (*call)(struct db *db, int64_t now, void *what), void *what)
{
    struct job *job = calloc(1, sizeof *job);
    if (!job)
        return false;
    job->kind = JOB_CALL;
    job->call.call = call;
    job->call.what = what;
    desk_do(d, job);
    bool stored = job->result == JOB_STORED;
    job_free(job);
    return stored;
}

enum care_answer page_act(struct page *p, int64_t person, struct care_action *a, bool *answered)
{
    struct job *job = calloc(1, sizeof *job);
    enum care_answer answer = CARE_REFUSED;
    *answered = false;
    snprintf(a->who, sizeof a->who, "%s", p->me.user);
    if (job) {
        job->kind = JOB_ACTION;
        job->action.person = person;
        job->action.action = *a;
        desk_do(p->desk, job);
        answer = job->action.answer;
    }
    if (!job || job->result == JOB_UNSTORED) {
        page_unstored(p);
        *answered = true;
    }
    job_free(job);
    return answer;
}

static int audit_write(struct db *db, int64_t now, void *what)
{
    (void)now;
    return effects_write(db, &(struct effects){.at = what, .n = 1, .cap = 1});
}

bool page_audit(struct page *p, int64_t person, const char *clinic, const char *action, const char *detail)
{
    struct effect e = {.kind = EFFECT_AUDIT};
    e.audit.person = person;
    snprintf(e.audit.clinic, sizeof e.audit.clinic, "%s", clinic);
    snprintf(e.audit.who, sizeof e.audit.who, "%s", p->me.user);
    snprintf(e.audit.action, sizeof e.audit.action, "%s", action);
    snprintf(e.audit.detail, sizeof e.audit.detail, "%s", detail);
    if (desk_call(p->desk, audit_write, &e))
        return true;
    page_unstored(p);
    return false;
}
