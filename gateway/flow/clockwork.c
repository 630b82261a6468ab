/* The stepped clock: time stands still until it is told to move, then goes from due row to due row, each handled at its own
 * due time; it waits while anything is in flight outside. With `jump` it plays a machine that was off.
 */
#include "gateway/flow/inside.h"


static int clock_keep(struct flow *f, int64_t now)
{
    int error = db_begin(f->db);
    if (!error)
        error = meta_set(f->db, "clock", now);
    if (!error)
        error = db_commit(f->db);
    if (error)
        db_rollback(f->db);
    return error;
}

int clockwork_start(struct flow *f)
{
    int64_t now = 0;
    bool found = false;
    int error = meta_get(f->db, "clock", &now, &found);
    if (error)
        return error;
    if (!found)
        now = f->config->clock_start != INSTANT_NONE ? f->config->clock_start : clock_real_now();
    clock_use_stepped(now);
    return found ? 0 : clock_keep(f, now);
}

/* The next instant to stop at, never past the target. */
static int next_stop(struct flow *f, int64_t now, int64_t target, int64_t *stop)
{
    int64_t due = INSTANT_NONE;
    int error = due_after(f->db, now, &due);
    *stop = due != INSTANT_NONE && due < target ? due : target;
    return error;
}

bool clockwork_step(struct flow *f)
{
    struct job *job = f->clock_job;
    int64_t now = clock_now(), stop = now;
    if (f->sender_busy && f->sender_busy(f->sender_context, now))
        return false;
    if (now >= job->clock.to) {
        job->result = JOB_STORED;
        job->clock.reached = now;
        return true;
    }
    int error = job->clock.jump ? 0 : next_stop(f, now, job->clock.to, &stop);
    if (job->clock.jump)
        stop = job->clock.to;
    if (!error)
        error = clock_keep(f, stop);
    if (error) {
        job->result = JOB_UNSTORED;
        job->clock.reached = now;
        return true;
    }
    clock_set(stop);
    if (f->wake)
        f->wake(f->wake_context);
    return false;
}
