/* Single: the program, but for this: each job is committed by itself. What group commit is compared with.
 */
#include "gateway/flow/inside.h"

void __real_batch_commit(struct flow *f, struct job *jobs, size_t n);
void __wrap_batch_commit(struct flow *f, struct job *jobs, size_t n);

void __wrap_batch_commit(struct flow *f, struct job *jobs, size_t n)
{
    (void)n;
    for (struct job *job = jobs, *next; job; job = next) {
        next = job->next;
        job->next = NULL;
        __real_batch_commit(f, job, 1);
    }
}
