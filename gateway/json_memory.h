/* Whether a JSON value is whole. jansson leaves out of an object or a list what it had no memory for, and a list of readings
 * without one of them must never be taken for all of them: whoever has built a value asks here before it is sent. */
#ifndef QUIETARM_JSON_MEMORY_H
#define QUIETARM_JSON_MEMORY_H

#include <stdbool.h>
#include <stddef.h>

/* Before the first value of the process: its allocations are made with `allocate` (malloc, but for tests) and watched. */
void json_memory_watch(void *(*allocate)(size_t size));
/* Whether an allocation of a JSON value has failed on this thread since the last call; then it is forgotten. */
bool json_starved(void);

#endif
