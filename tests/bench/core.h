/* The writer without HTTP, opened up: for the files of the bench that hand it jobs of their own. */
#ifndef QUIETARM_BENCH_CORE_H
#define QUIETARM_BENCH_CORE_H

#include "gateway/flow/flow.h"

struct core {
    struct config config;
    struct texts *texts;
    struct flow *flow;
    int64_t patients;
    int failed;      /* jobs of the last batch that were not stored */
};

struct job *core_job(struct core *c, enum job_kind kind);
struct job *core_text(struct core *c, int64_t message, int64_t patient, const char *words);
int core_commit(struct core *c, struct job *jobs, size_t n);

#endif
