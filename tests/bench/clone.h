/* From one patient to many: clone.c, for world.c. */
#ifndef QUIETARM_BENCH_CLONE_H
#define QUIETARM_BENCH_CLONE_H

#include "tests/bench/bench.h"

/* Makes patients 1 … w->patients - 1 out of patient 0, and the weeks before; what was to be sent counts as delivered. */
int world_clone(const struct world *w);

#endif
