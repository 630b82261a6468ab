/* Looks: what has come due. A patient has one due time, an alert one, an outbox row one; nothing is ever cancelled, a look
 * finds out from the record what still makes sense.
 *
 * Taking them is an index walk, never a scan: cost grows with what is due, not with how many patients there are.
 */
#include "gateway/flow/inside.h"

#include <stdlib.h>

enum { TAKEN_MAX = 512, OVERDUE_MAX = 16 };

static struct job *look_job(enum job_kind kind, int64_t person, int64_t alert, int64_t due, struct job *next)
{
    struct job *job = calloc(1, sizeof *job);
    if (!job)
        return next;
    job->kind = kind;
    job->next = next;
    job->look.person = person;
    job->look.alert = alert;
    job->look.due = due;
    return job;
}

static struct job *overdue_job(const struct outgoing *row, struct job *next)
{
    struct job *job = look_job(JOB_OVERDUE, row->person, row->alert, row->due, next);
    if (job == next)
        return next;
    job->look.outgoing = malloc(sizeof *row);
    if (!job->look.outgoing) {
        free(job);
        return next;
    }
    *job->look.outgoing = *row;
    return job;
}

/* In the order in which they came due; a list is built backwards. */
static struct job *reversed(struct job *list)
{
    struct job *out = NULL;
    for (struct job *next; list; list = next) {
        next = list->next;
        list->next = out;
        out = list;
    }
    return out;
}

static int overdue_collect(struct flow *f, int64_t now, size_t max, struct job **list, size_t *n)
{
    size_t found = 0;
    struct outgoing *rows = calloc(OVERDUE_MAX, sizeof *rows);
    int error = rows ? outbox_overdue(f->db, now, rows, max < OVERDUE_MAX ? max : OVERDUE_MAX, &found) : STORE_MEMORY;
    for (size_t i = 0; i < found && !error; i++) {
        struct job *before = *list;
        *list = overdue_job(&rows[i], before);
        *n += *list != before;
        error = *list == before ? STORE_MEMORY : 0;
    }
    free(rows);
    return error;
}

/* Looks at patients, or at alerts. */
static int due_collect(struct flow *f, enum job_kind kind, int64_t now, size_t max, struct job **list, size_t *n)
{
    int64_t persons[TAKEN_MAX], alerts[TAKEN_MAX], due[TAKEN_MAX];
    size_t found = 0;
    int error = kind == JOB_ALERT ? alerts_due(f->db, now, alerts, persons, due, max, &found)
                                  : looks_due(f->db, now, persons, due, max, &found);
    for (size_t i = 0; i < found && !error; i++) {
        struct job *before = *list;
        *list = look_job(kind, persons[i], kind == JOB_ALERT ? alerts[i] : 0, due[i], before);
        *n += *list != before;
        error = *list == before ? STORE_MEMORY : 0;
    }
    return error;
}

int looks_collect(struct flow *f, int64_t now, size_t max, struct job **jobs, size_t *n)
{
    struct job *list = NULL;
    *n = 0;
    if (max > TAKEN_MAX)
        max = TAKEN_MAX;
    int error = due_collect(f, JOB_ALERT, now, max, &list, n);
    if (!error && *n < max)
        error = due_collect(f, JOB_LOOK, now, max - *n, &list, n);
    if (!error && *n < max)
        error = overdue_collect(f, now, max - *n, &list, n);
    *jobs = reversed(list);
    return error;
}

/* It was due when it was taken; another gateway may have looked since. */
static bool still_due(const struct record *r, const struct job *job, int64_t now)
{
    if (job->kind == JOB_LOOK)
        return r->course.next_look != INSTANT_NONE && r->course.next_look <= now;
    for (size_t i = 0; i < r->n_alerts; i++)
        if (r->alerts[i].id == job->look.alert)
            return r->alerts[i].due != INSTANT_NONE && r->alerts[i].due <= now;
    return false;
}

int look_handle(struct batch *b, struct job *job)
{
    int error = 0;
    struct record *r = batch_record(b, job->look.person, &error);
    if (!r)
        return error ? error : STORE_CONFLICT; /* its clinic left the configuration: put off, see look_put_off */
    if (db_shared(b->f->db) && !still_due(r, job, b->now))
        return 0;
    struct moment_of_care m = batch_moment(b);
    if (job->kind == JOB_ALERT)
        care_alert_look(r, &m, job->look.alert, &b->effects);
    else
        care_look(r, &m, &b->effects);
    return batch_write(b);
}

void look_put_off(struct flow *f, const struct job *job)
{
    int64_t later = clock_now() + LOOK_AGAIN_S;
    int error = db_begin(f->db);
    if (!error)
        error = job->kind == JOB_ALERT     ? alert_due_set(f->db, job->look.alert, later)
                : job->kind == JOB_OVERDUE ? outbox_overdue_set(f->db, job->look.outgoing->id, later)
                                           : look_due_set(f->db, job->look.person, later);
    if (!error)
        error = db_commit(f->db);
    if (error)
        db_rollback(f->db);
    log_event(LOG_ERROR, "look-failed", "person=%lld alert=%lld again_in_s=%d stored=%s", (long long)job->look.person,
              (long long)job->look.alert, LOOK_AGAIN_S, error ? "no" : "yes");
}
