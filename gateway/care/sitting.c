/* Sittings: see sitting.h. Windows are kept as minutes of a day and compared on one line of minutes since 1970 local,
 * so that a window over midnight needs no case of its own. Never looks at more than the day before, the day and the
 * day after.
 */
#include "gateway/care/sitting.h"

#include <stdlib.h>

enum { AF_PER_SITTING = 3, AFTER_BIRTH_DAYS = 42 };

struct span person_window(const struct record *r, enum slot slot)
{
    const struct person *p = &r->person;
    bool evening = slot == SLOT_EVENING;
    struct span w = evening ? r->clinic->evening : r->clinic->morning;
    int16_t from = evening ? p->evening_from : p->morning_from;
    int16_t to = evening ? p->evening_to : p->morning_to;

    if (from >= 0 && to >= 0)
        w = (struct span){from, to};
    return w;
}

/* Minutes from the window's start to its end: 1 to 1440. */
static int window_length(struct span w)
{
    return w.to > w.from ? w.to - w.from : w.to + MINUTES_A_DAY - w.from;
}

static int64_t window_start(struct span w, int32_t day)
{
    return (int64_t)day * MINUTES_A_DAY + w.from;
}

/* Minutes from `at` to the nearer edge of the window of `day`; -1 inside. The end is outside, at distance 0. */
static int64_t window_distance(struct span w, int32_t day, int64_t at)
{
    int64_t start = window_start(w, day), end = start + window_length(w);

    if (at < start)
        return start - at;
    return at < end ? -1 : at - end;
}

/* The day of the stated window: the last that has begun, or the next when it is about to. */
static int32_t day_of_slot(struct span w, int32_t day, int64_t at)
{
    for (int32_t d = day + 1; d >= day; d--)
        if (window_start(w, d) - SITTING_EARLY <= at)
            return d;
    return day - 1;
}

/* Of six windows the one that holds `at`, else the nearest; of two as near the one that begins earlier. */
static void nearest(const struct record *r, int32_t around, int64_t at, int32_t *day, enum slot *slot,
                    bool *off)
{
    int64_t best = INT64_MAX, best_start = INT64_MAX;

    for (int32_t d = around - 1; d <= around + 1; d++)
        for (enum slot s = SLOT_MORNING; s <= SLOT_EVENING; s++) {
            struct span w = person_window(r, s);
            int64_t far = window_distance(w, d, at), start = window_start(w, d);
            if (far > best || (far == best && start > best_start))
                continue;
            best = far, best_start = start;
            *day = d, *slot = s, *off = far >= 0;
        }
}

void sitting_of(const struct record *r, enum slot said, struct civil local, int32_t *day, enum slot *slot,
                bool *off_time)
{
    int64_t at = (int64_t)local.day * MINUTES_A_DAY + local.minute;
    int32_t d = local.day;
    enum slot s = said;
    bool off = false;

    if (said == SLOT_NONE)
        nearest(r, local.day, at, &d, &s, &off);
    else
        d = day_of_slot(person_window(r, said), local.day, at);
    if (day)
        *day = d;
    if (slot)
        *slot = s;
    if (off_time)
        *off_time = off;
}

static int64_t instant_of(const struct record *r, int64_t minutes)
{
    struct civil local = {.day = (int32_t)(minutes / MINUTES_A_DAY),
                          .minute = (int16_t)(minutes % MINUTES_A_DAY)};

    if (local.minute < 0) {
        local.minute += MINUTES_A_DAY;
        local.day--;
    }
    return civil_instant(&r->zone, local);
}

int64_t sitting_start(const struct record *r, int32_t day, enum slot slot)
{
    return instant_of(r, window_start(person_window(r, slot), day));
}

int64_t sitting_end(const struct record *r, int32_t day, enum slot slot)
{
    struct span w = person_window(r, slot);

    return instant_of(r, window_start(w, day) + window_length(w));
}

int per_sitting(const struct record *r)
{
    int n = r->protocol.per_sitting;

    return r->person.af && n < AF_PER_SITTING ? AF_PER_SITTING : n;
}

bool person_expecting(const struct record *r, int32_t day)
{
    const struct person *p = &r->person;

    if (p->pregnant)
        return true;
    return p->birth != DAY_NONE && day != DAY_NONE && day >= p->birth && day - p->birth <= AFTER_BIRTH_DAYS;
}
