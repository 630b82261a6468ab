/* Which rows go next: asks the outbox, most urgent first, and starts what routes, places and per_second allow.
 *
 * Nothing that was taken waits in memory: a STOP committed before this instant withdraws its row from us too. A row that
 * cannot start for want of a place holds back every lower class, on every route; worry has places of its own at the
 * carrier, so that sixteen slow summaries do not stand before it. A look costs one or two queries.
 */
#include "gateway/send/inside.h"

#include <stdlib.h>
#include <string.h>

/* One look in progress. */
struct look {
    struct sender *s;
    int64_t now;
    const char **to;             /* numbers and addresses that nothing may be taken for, sorted */
    size_t n_to, cap_to;
    uint32_t channels;           /* bits: nothing more of these this time */
    int floor;                   /* the class that waits for a place: lower ones do not start */
    bool waits, started, failed;
    const struct outgoing *chosen[TAKE_MAX]; /* of this query's rows */
    size_t n_chosen;
};

static void look_avoid(struct look *l, const char *to)
{
    if (l->n_to == l->cap_to) {
        size_t cap = l->cap_to ? 2 * l->cap_to : 64;
        const char **more = realloc(l->to, cap * sizeof *more);
        l->failed = l->failed || !more;
        if (!more)
            return;
        l->to = more;
        l->cap_to = cap;
    }
    l->to[l->n_to++] = to;
}

static int by_text(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

/* Nothing is taken for what is in flight or not yet committed, nor for what lies behind a broken route. */
static void look_survey(struct look *l)
{
    struct sender *s = l->s;
    l->n_to = 0;
    for (struct attempt *a = s->attempts; a; a = a->next)
        look_avoid(l, a->row.to);
    for (size_t i = 0; i < s->n_routes; i++) {
        if (!route_closed(s->routes[i], l->now))
            continue;
        if (i < 2)
            l->channels |= 1u << s->routes[i]->channel;
        else
            look_avoid(l, s->routes[i]->to);
    }
    if (l->n_to)
        qsort(l->to, l->n_to, sizeof *l->to, by_text);
}

/* An eighth of the carrier's places is for worry alone; a broken route has one, for its probe. */
static int places(const struct sender *s, const struct route *r, int class_)
{
    if (r->broken)
        return 1;
    if (r != s->routes[0] || class_ == CLASS_WORRY || r->most < 2)
        return r->most;
    return r->most - (r->most >= 16 ? r->most / 8 : 1);
}

static bool place_take(struct sender *s, const struct route *r, int class_)
{
    int64_t now_ms = clock_real_ms();
    if (r->in_flight >= places(s, r, class_))
        return false;
    if (r != s->routes[0] || rate_take(&s->rate, now_ms))
        return true;
    s->room_at_ms = now_ms + rate_wait_ms(&s->rate, now_ms);
    return false;
}

/* A probe is rather a row that was not refused before: that may be the row's own trouble. */
static bool probe_better(struct look *l, const struct route *r, size_t i, size_t n)
{
    const struct outgoing *rows = l->s->rows;
    if (!r->broken || !route_refused(r, rows[i].id))
        return false;
    for (size_t k = i + 1; k < n; k++)
        if (route_of(l->s, &rows[k]) == r && !route_refused(r, rows[k].id))
            return true;
    return false;
}

static void look_row(struct look *l, size_t i, size_t n)
{
    struct sender *s = l->s;
    const struct outgoing *row = &s->rows[i];
    struct route *r = route_of(s, row);
    l->failed = l->failed || !r;
    if (!r || l->channels & 1u << row->channel || route_closed(r, l->now) || probe_better(l, r, i, n))
        return;
    if (!place_take(s, r, row->class_)) {
        l->waits = true;
        l->floor = row->class_;
        l->channels |= 1u << row->channel;
        return;
    }
    r->in_flight++; /* its place, until it begins */
    l->chosen[l->n_chosen++] = row;
}

/* All that were chosen, if they are ours: else another gateway sends to this number, or has sent this since. */
static void look_begin(struct look *l)
{
    struct sender *s = l->s;
    bool ours[TAKE_MAX] = {false};
    l->failed = outbox_lease(s->db, l->chosen, l->n_chosen, l->now, ours) || l->failed;
    for (size_t i = 0; i < l->n_chosen; i++) {
        struct route *r = route_of(s, l->chosen[i]);
        r->in_flight--;
        bool begins = !l->failed && ours[i] && !route_closed(r, l->now); /* one before it may just have broken it */
        struct attempt *a = begins ? attempt_new(s, r, l->chosen[i]) : NULL;
        l->failed = l->failed || (begins && !a);
        l->started = l->started || a;
        if (a)
            sender_begin(s, a);
    }
    l->n_chosen = 0;
}

/* As many rows as may start at the carrier and some more, which tell that others wait; what is behind them is asked for
 * in turn. While a route is broken there must be rows to choose a probe from. */
static size_t look_most(const struct sender *s)
{
    int left = s->routes[0]->most - s->routes[0]->in_flight;
    for (size_t i = 0; i < s->n_routes; i++)
        if (s->routes[i]->broken)
            return TAKE_MAX;
    return left < 0 ? TAKE_MORE : left + TAKE_MORE < TAKE_MAX ? (size_t)left + TAKE_MORE : TAKE_MAX;
}

/* One query and what it brings; true when there may be more behind it. */
static bool look_once(struct look *l)
{
    size_t n = 0, most = look_most(l->s);
    uint32_t before = l->channels;
    bool started = l->started;
    look_survey(l);
    const struct busy_numbers busy = {l->to, l->n_to, l->channels};
    int error = l->failed ? STORE_MEMORY : outbox_take(l->s->db, l->now, &busy, l->s->rows, most, &n);
    if (error && !l->s->reading_fails)
        log_event(LOG_ERROR, "outbox_unreadable", "error=%s", store_error_name(error));
    l->s->reading_fails = error;
    l->failed = l->failed || error;
    l->started = false;
    for (size_t i = 0; i < n && !l->failed && (int)l->s->rows[i].class_ <= l->floor; i++)
        look_row(l, i, n);
    look_begin(l);
    bool changed = l->started || l->channels != before;
    l->started = l->started || started;
    return !l->failed && n == most && changed;
}

void sender_look(struct sender *s)
{
    uint64_t generation = sender_reap(s);
    struct look l = {.s = s, .now = sender_now(s), .floor = CLASS_COUNT};
    s->room_at_ms = -1;
    while (look_once(&l))
        ;
    free(l.to);
    s->looked_generation = generation;
    s->looked_ms = clock_real_ms();
    if (l.failed || l.waits || l.started)
        return;
    pthread_mutex_lock(&s->lock);
    s->idle_generation = generation;
    s->idle_now = l.now;
    pthread_mutex_unlock(&s->lock);
}
