/* Watches the allocations of JSON values: see json_memory.h. One flag a thread; an allocation costs a compare more. */
#include "gateway/json_memory.h"

#include <jansson.h>
#include <stdlib.h>

static _Thread_local bool starved;
static void *(*allocator)(size_t size);

static void *watched_malloc(size_t size)
{
    void *memory = allocator(size);
    starved = starved || !memory;
    return memory;
}

void json_memory_watch(void *(*allocate)(size_t size))
{
    allocator = allocate;
    json_set_alloc_funcs(watched_malloc, free);
}

bool json_starved(void)
{
    bool was = starved;
    starved = false;
    return was;
}
