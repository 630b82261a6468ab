/* A week from the database, completed and computed: what `week`, and whoever shows a week, begins with.
 *
 * Reads only, in one snapshot that the caller has begun.
 */
#include "gateway/week.h"

#include <stdlib.h>
#include <string.h>

#include "gateway/flow/flow.h"

enum { WEEKS_SOUGHT = 24 };

/* The body of each reading's text; several readings often share one. */
static int bodies_load(struct db *db, struct week_loaded *w)
{
    const struct record *r = &w->record;
    w->bodies = calloc(r->n_readings + 1, sizeof *w->bodies);
    if (!w->bodies)
        return STORE_MEMORY;
    for (size_t i = 0; i < r->n_readings; i++) {
        struct stored_text t = {0};
        bool found = false;
        int error = r->readings[i].text ? text_get(db, r->readings[i].text, &t, &found) : 0;
        if (error)
            return error;
        w->bodies[i] = found ? t.body : NULL;
    }
    return 0;
}

/* From when a week is: its alerts are those from there to the next week. The first week has what came before it too. */
static int alerts_load(struct db *db, int64_t now, struct week_loaded *w)
{
    const struct week *week = &w->record.week;
    int64_t from = week->number <= 1 ? 0 : week->opened_at, to = INT64_MAX;
    struct record next = {0};
    int error = week->number ? record_load_week(db, now, w->record.person.id, week->number + 1, &next) : 0;
    if (!error && next.week.id && next.week.number == week->number + 1)
        to = next.week.opened_at;
    record_clear(&next);
    return error ? error : alerts_of_person(db, w->record.person.id, from, to, &w->alerts, &w->view.n_alerts);
}

static int before_add(struct db *db, const struct config *config, int64_t now, const struct week *week, struct week_loaded *w)
{
    struct record r = {0};
    struct week_result *result = malloc(sizeof *result);
    int error = result ? record_load_week(db, now, week->person, week->number, &r) : STORE_MEMORY;
    if (!error && r.week.id == week->id && record_complete(config, &r, now)) {
        week_result(&r, r.week.ended_at, result);
        if (result->enough)
            w->before[w->view.n_before++] = (struct week_before){r.week, result->all};
    }
    free(result);
    record_clear(&r);
    return error;
}

/* Earlier weeks that came to an end with a mean, the latest first; sought among the last two dozen. */
static int before_load(struct db *db, const struct config *config, int64_t now, struct week_loaded *w)
{
    struct week *weeks = NULL;
    size_t n = 0;
    int number = w->record.week.number;
    int error = number > 1 ? weeks_of_person(db, w->record.person.id, number, WEEKS_SOUGHT, &weeks, &n) : 0;
    for (size_t i = 0; i < n && !error && w->view.n_before < WEEKS_BEFORE; i++)
        if (weeks[i].state == WEEK_COMPLETE)
            error = before_add(db, config, now, &weeks[i], w);
    free(weeks);
    w->view.before = w->before;
    return error;
}

int week_load(struct db *db, const struct config *config, int64_t now, int64_t person, int number,
              struct week_loaded *out, bool *found)
{
    *out = (struct week_loaded){0};
    *found = false;
    int error = record_load_week(db, now, person, number, &out->record);
    if (error || !out->record.person.id || !record_complete(config, &out->record, now))
        return error;
    *found = number == 0 || out->record.week.number == number || (number == 1 && !out->record.week.id);
    if (!*found)
        return 0;
    error = alerts_load(db, now, out);
    if (!error)
        error = bodies_load(db, out);
    if (!error)
        error = before_load(db, config, now, out);
    if (error)
        return error;
    week_result(&out->record, now, &out->result);
    out->view.record = &out->record;
    out->view.result = &out->result;
    out->view.alerts = out->alerts;
    out->view.texts = (const char *const *)out->bodies;
    return 0;
}

void week_unload(struct week_loaded *w)
{
    for (size_t i = 0; w->bodies && i < w->record.n_readings; i++)
        free(w->bodies[i]);
    free(w->bodies);
    free(w->alerts);
    record_clear(&w->record);
    *w = (struct week_loaded){0};
}
