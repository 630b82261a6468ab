/* Zones: the one place that knows the IANA rules. Makes a table of offsets, so that care needs no zone file.
 *
 * A table reaches at least 400 days to either side of `around` and is the same for every `around` of one 64-day bucket,
 * whoever asked first: a decision must not depend on what was asked before. It needs some 900 look-ups of 0.3
 * microseconds, so the last 64 tables are kept.
 */
#include <glib.h>
#include <pthread.h>
#include <stdio.h>
#include <string.h>

#include "gateway/flow/flow.h"

enum { DAY = 86400, BUCKET = 64 * DAY, REACH = 400 * DAY, KEPT = 64 };

struct kept {
    char zone[ZONE_MAX];
    int64_t bucket;
    struct offsets offsets;
};

static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;
static struct kept kept[KEPT];
static unsigned next_kept; /* the oldest, overwritten next */

static int64_t bucket_of(int64_t instant)
{
    return instant / BUCKET - (instant % BUCKET < 0);
}

static int32_t offset_at(GTimeZone *tz, int64_t instant)
{
    return g_time_zone_get_offset(tz, g_time_zone_find_interval(tz, G_TIME_TYPE_UNIVERSAL, instant));
}

/* The first instant of (from, to] with another offset than at `from`, which there is. */
static int64_t transition(GTimeZone *tz, int64_t from, int64_t to)
{
    int32_t before = offset_at(tz, from);

    while (to - from > 1) {
        int64_t middle = from + (to - from) / 2;
        if (offset_at(tz, middle) == before)
            from = middle;
        else
            to = middle;
    }
    return to;
}

/* A zone does not change its offset twice within a day. Past OFFSETS_MAX changes the table ends; no zone of today has
 * more than four a year. */
static struct offsets table_of(GTimeZone *tz, int64_t from, int64_t to)
{
    struct offsets o = {.n = 1, .at = {{from, offset_at(tz, from)}}};

    for (int64_t t = from; t < to && o.n < OFFSETS_MAX; t += DAY) {
        if (offset_at(tz, t + DAY) == o.at[o.n - 1].seconds)
            continue;
        int64_t at = transition(tz, t, t + DAY);
        o.at[o.n].from = at;
        o.at[o.n++].seconds = offset_at(tz, at);
    }
    return o;
}

/* Names of the IANA database only: the library would also take a path, "Z", "+05:00" or a rule such as "ABC5". So a digit
 * needs a slash before it ("Etc/GMT+5"). */
static bool like_a_name(const char *zone)
{
    static const char letters[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz_-";
    size_t n = strlen(zone);

    if (n < 2 || n >= ZONE_MAX || !g_ascii_isalpha(zone[0]))
        return false;
    const char *rest = zone + strspn(zone, letters);
    return *rest == '\0' || (*rest == '/' && !strpbrk(rest, ".:,<> "));
}

static bool make_table(const char *zone, int64_t bucket, struct offsets *out)
{
    GTimeZone *tz = like_a_name(zone) ? g_time_zone_new_identifier(zone) : NULL;

    if (!tz)
        return false;
    *out = table_of(tz, bucket * BUCKET - REACH, (bucket + 1) * BUCKET + REACH);
    g_time_zone_unref(tz);
    return true;
}

static bool find_kept(const char *zone, int64_t bucket, struct offsets *out)
{
    for (int i = 0; i < KEPT; i++)
        if (kept[i].bucket == bucket && strcmp(kept[i].zone, zone) == 0) {
            *out = kept[i].offsets;
            return true;
        }
    return false;
}

bool zone_offsets(const char *zone, int64_t around, struct offsets *out)
{
    int64_t bucket = bucket_of(around);
    bool found = zone[0] != '\0';

    pthread_mutex_lock(&lock);
    if (found && !find_kept(zone, bucket, out)) {
        found = make_table(zone, bucket, out);
        if (found) {
            struct kept *k = &kept[next_kept++ % KEPT];
            snprintf(k->zone, sizeof k->zone, "%s", zone);
            k->bucket = bucket, k->offsets = *out;
        }
    }
    pthread_mutex_unlock(&lock);
    return found;
}
