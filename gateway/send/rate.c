/* At most per_second attempts in any second: a token bucket on real time.
 *
 * A burst is paid for by a slower refill, so that no second ever holds more than per_second: with a bucket of b tokens a
 * second holds at most b - 1 + refill. The bucket is a twentieth of a second's worth, one at least.
 */
#include "gateway/send/parts.h"

#include <math.h>

void rate_open(struct rate *r, double per_second, int64_t now_ms)
{
    *r = (struct rate){.at_ms = now_ms};
    if (!(per_second > 0))
        return;
    r->most = fmax(1, floor(per_second / 20));
    r->refill = per_second - (r->most - 1);
    r->tokens = r->most;
}

static void rate_fill(struct rate *r, int64_t now_ms)
{
    if (now_ms <= r->at_ms)
        return;
    r->tokens = fmin(r->most, r->tokens + (double)(now_ms - r->at_ms) / 1000 * r->refill);
    r->at_ms = now_ms;
}

/* A millionth of a token is forgiven: sums of doubles do not reach 1 exactly. */
static const double WHOLE = 1 - 1e-6;

bool rate_take(struct rate *r, int64_t now_ms)
{
    if (r->most == 0)
        return true;
    rate_fill(r, now_ms);
    if (r->tokens < WHOLE)
        return false;
    r->tokens -= 1;
    return true;
}

int rate_wait_ms(struct rate *r, int64_t now_ms)
{
    if (r->most == 0)
        return 0;
    rate_fill(r, now_ms);
    if (r->tokens >= WHOLE)
        return 0;
    return (int)fmin(60000, ceil((WHOLE - r->tokens) / r->refill * 1000));
}
