/* Whether the clinic can be rung now: its hours by weekday, less the days on which it is closed. Decides only which
 * number a text names, never whether a text goes out.
 */
#include "gateway/care/care.h"

static bool closed_on(const struct clinic *c, int32_t day)
{
    for (int i = 0; i < c->n_closed; i++)
        if (c->closed[i] == day)
            return true;
    return false;
}

/* The hours that begin on `day` and run to `to` minutes of it, past 1440 where they go over midnight. */
static bool open_in(const struct clinic *c, int32_t day, int minute)
{
    struct span h = c->hours[civil_weekday(day)];
    int to = h.to < h.from ? h.to + MINUTES_A_DAY : h.to;

    return !closed_on(c, day) && minute >= h.from && minute < to;
}

bool clinic_open(const struct clinic *c, const struct offsets *zone, int64_t now)
{
    struct civil local = civil_at(zone, now);

    return open_in(c, local.day, local.minute) || open_in(c, local.day - 1, local.minute + MINUTES_A_DAY);
}
