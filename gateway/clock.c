/* The clock: the only file that reads the machine's time.
 *
 * Two times. The gateway's (clock_now) is the machine's wall clock, or, stepped, an instant that stands still until it is
 * set and never goes back: a week of reminders can be played in a second. The real one (clock_real_ms) is monotonic and
 * never affected by either; timeouts and rates are counted in it.
 */
#include "gateway/base.h"

#include <stdatomic.h>
#include <time.h>

static atomic_bool stepped;
static _Atomic int64_t stands_at;

void clock_use_system(void)
{
    stepped = false;
}

void clock_use_stepped(int64_t now)
{
    stands_at = now;
    stepped = true;
}

bool clock_stepped(void)
{
    return stepped;
}

int64_t clock_now(void)
{
    return stepped ? stands_at : clock_real_now();
}

void clock_set(int64_t now)
{
    int64_t seen = stands_at;
    while (seen < now && !atomic_compare_exchange_weak(&stands_at, &seen, now))
        ;
}

static int64_t clock_read_ms(clockid_t which)
{
    struct timespec t;
    clock_gettime(which, &t);
    return (int64_t)t.tv_sec * 1000 + t.tv_nsec / 1000000;
}

int64_t clock_real_ms(void)
{
    return clock_read_ms(CLOCK_MONOTONIC);
}

int64_t clock_wall_ms(void)
{
    return clock_read_ms(CLOCK_REALTIME);
}

int64_t clock_real_now(void)
{
    return clock_wall_ms() / 1000;
}
