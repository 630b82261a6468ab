/* Patient and Observation, read and searched; a page at a time, by id, so that what is added meanwhile breaks no page.
 *
 * Readings are the accepted ones (ids "r…"); averages are those of ended weeks ("w…"), behind all readings. Each is made
 * from its week's report, so that it says the same as the summary. A page of 100 takes some 50 ms.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/report/fhir.h"
#include "gateway/web/fhir.h"

/* The week last opened: neighbours by id are mostly of one. */
struct lens {
    struct db *db;
    const struct fhir_ask *ask;
    struct report report;
    int64_t person, week;
    bool open;
};

static void lens_close(struct lens *l)
{
    if (l->open)
        report_close(&l->report);
    l->open = false;
}

/* *found: the week is there, and shown as it is. */
static int lens_on(struct lens *l, int64_t person, int64_t week, bool *found)
{
    struct week row;
    *found = l->open && l->person == person && l->week == week;
    if (*found)
        return 0;
    lens_close(l);
    int error = week_get(l->db, week, &row, found);
    if (error || !*found || row.person != person)
        return error ? error : (*found = false, 0);
    error = report_open(&l->report, l->db, l->ask->config, person, row.number, l->ask->now, found);
    l->open = true;
    l->person = person;
    l->week = week;
    return error;
}

static json_t *reading_resource(const struct report *r, int64_t id)
{
    for (size_t i = 0; i < r->n_readings; i++)
        if (r->readings[i].reading->id == id && r->readings[i].reading->standing == STANDING_ACCEPTED)
            return fhir_reading(r, &r->readings[i], FHIR_SERVED);
    return NULL;
}

/* -- who may be shown ------------------------------------------------------------------------------------------------------ */

static bool shown(const struct fhir_ask *ask, const struct person *p)
{
    return strcmp(p->clinic, ask->clinic->id) == 0 && p->ref[0] && p->state != PERSON_WITHDRAWN;
}

static int not_found(struct fhir_answer *out)
{
    return fhir_fail(out, 404, "not-found", "this clinic has no resource with that id");
}

static int person_shown(struct db *db, const struct fhir_ask *ask, int64_t id, struct person *p, bool *found)
{
    int error = person_get(db, id, p, found);
    *found = *found && shown(ask, p);
    return error;
}

/* -- reading one ------------------------------------------------------------------------------------------------------------ */

int fhir_read_patient(struct db *db, const struct fhir_ask *ask, const char *text, struct fhir_answer *out)
{
    struct person p;
    int64_t id;
    bool found = false;
    int error = fhir_number(text, &id) ? person_shown(db, ask, id, &p, &found) : 0;
    if (error || !found)
        return error ? error : not_found(out);
    out->body = fhir_patient(&p, ask->clinic, ask->config->public_url, FHIR_SERVED);
    return 0;
}

/* The week and person behind "r12" or "w7". */
static int observation_find(struct db *db, char kind, int64_t id, int64_t *person, int64_t *week, bool *found)
{
    struct reading x;
    struct week w;
    int error = kind == 'r' ? reading_get(db, id, &x, found) : week_get(db, id, &w, found);
    if (error || !*found)
        return error;
    *person = kind == 'r' ? x.person : w.person;
    *week = kind == 'r' ? x.week : w.id;
    *found = kind == 'r' ? x.standing == STANDING_ACCEPTED && x.week != 0 : w.state == WEEK_COMPLETE || w.state == WEEK_SHORT;
    return 0;
}

/* *resource NULL: there is none to be shown. */
static int observation_load(struct lens *l, char kind, int64_t id, json_t **resource)
{
    struct person p;
    int64_t person = 0, week = 0;
    bool found = false;
    *resource = NULL;
    int error = observation_find(l->db, kind, id, &person, &week, &found);
    if (!error && found)
        error = person_shown(l->db, l->ask, person, &p, &found);
    if (!error && found)
        error = lens_on(l, person, week, &found);
    if (!error && found)
        *resource = kind == 'r' ? reading_resource(&l->report, id) : fhir_mean(&l->report, FHIR_SERVED);
    return error;
}

int fhir_read_observation(struct db *db, const struct fhir_ask *ask, const char *text, struct fhir_answer *out)
{
    struct lens l = {.db = db, .ask = ask};
    int64_t id;
    int error = 0;
    if ((*text == 'r' || *text == 'w') && fhir_number(text + 1, &id))
        error = observation_load(&l, *text, id, &out->body);
    lens_close(&l);
    return error || out->body ? error : not_found(out);
}

/* -- patients ------------------------------------------------------------------------------------------------------------------ */

int fhir_search_patients(struct db *db, const struct fhir_ask *ask, struct fhir_answer *out)
{
    struct fhir_search s;
    struct person *people = NULL;
    size_t n = 0;
    char next[32] = "";
    if (!fhir_search_read(ask, true, &s, out))
        return 0;
    int64_t after = s.id ? s.id - 1 : s.after;
    int error = s.nothing ? 0 : served_people(db, ask->clinic->id, s.ref, after, (size_t)s.count + 1, &people, &n);
    json_t *entries = json_array();
    for (size_t i = 0; i < n && i < (size_t)s.count; i++)
        if (!s.id || people[i].id == s.id)
            fhir_entry(ask, entries, fhir_patient(&people[i], ask->clinic, ask->config->public_url, FHIR_SERVED));
    if (people && n > (size_t)s.count && !s.id)
        snprintf(next, sizeof next, "r%lld", (long long)people[s.count - 1].id);
    free(people);
    out->body = fhir_searchset(ask, entries, next);
    return error;
}

/* -- observations ------------------------------------------------------------------------------------------------------------- */

/* One search under way. */
struct page {
    struct lens lens;
    const struct fhir_search *s;
    json_t *entries;
    char next[32];
};

static bool page_full(const struct page *p)
{
    return json_array_size(p->entries) >= (size_t)p->s->count;
}

/* The average's period against the dates asked for. */
static bool period_fits(const struct report *r, const struct fhir_dates *d)
{
    int64_t first = INT64_MAX, last = INT64_MIN;
    for (size_t i = 0; i < r->n_readings; i++) {
        int64_t at = r->readings[i].reading->at;
        if (!r->readings[i].counted)
            continue;
        first = at < first ? at : first;
        last = at > last ? at : last;
    }
    return first <= last && first >= d->start_from && first < d->start_to && last >= d->end_from && last < d->end_to;
}

static struct served served_of(const struct page *p, int64_t after)
{
    const struct fhir_dates *d = &p->s->dates;
    return (struct served){.clinic = p->lens.ask->clinic->id,
                           .person = p->s->patient,
                           .from = d->start_from > d->end_from ? d->start_from : d->end_from,
                           .to = d->start_to < d->end_to ? d->start_to : d->end_to,
                           .after = after};
}

static int readings_page(struct page *p)
{
    struct served which = served_of(p, p->s->after);
    struct reading *list = NULL;
    size_t n = 0, most = (size_t)p->s->count;
    int error = served_readings(p->lens.db, &which, most + 1, &list, &n);
    for (size_t i = 0; i < n && i < most && !error; i++) {
        bool found = false;
        error = lens_on(&p->lens, list[i].person, list[i].week, &found);
        json_t *one = !error && found ? reading_resource(&p->lens.report, list[i].id) : NULL;
        if (one)
            fhir_entry(p->lens.ask, p->entries, one);
    }
    if (n > most)
        snprintf(p->next, sizeof p->next, "r%lld", (long long)list[most - 1].id);
    free(list);
    return error;
}

static int mean_add(struct page *p, const struct week *w)
{
    bool found = false;
    int error = lens_on(&p->lens, w->person, w->id, &found);
    if (error || !found || !period_fits(&p->lens.report, &p->s->dates))
        return error;
    json_t *one = fhir_mean(&p->lens.report, FHIR_SERVED);
    if (one)
        fhir_entry(p->lens.ask, p->entries, one);
    return 0;
}

/* Weeks that do not fit are passed over; the page ends where it is full, or after so many that were looked at. */
static int means_page(struct page *p, int64_t after)
{
    struct served which = served_of(p, after);
    struct week *list = NULL;
    size_t n = 0, i = 0;
    int error = served_weeks(p->lens.db, &which, FHIR_COUNT_MOST + 1, &list, &n);
    for (; i < n && i < FHIR_COUNT_MOST && !error && !page_full(p); i++)
        error = mean_add(p, &list[i]);
    if (i < n)
        snprintf(p->next, sizeof p->next, "m%lld", (long long)(i ? list[i - 1].id : after));
    free(list);
    return error;
}

static int search_run(struct page *p)
{
    int error = 0;
    bool first = p->s->phase == 'r';
    if (p->s->readings && first)
        error = readings_page(p);
    if (error || p->next[0] || !p->s->means)
        return error;
    return means_page(p, first ? 0 : p->s->after);
}

/* One that is asked for by its id is found like any other, then kept only if it fits the rest. */
static int search_one(struct page *p)
{
    json_t *one = NULL;
    const struct fhir_search *s = p->s;
    if (s->id_kind == 'r' ? !s->readings : !s->means)
        return 0;
    int error = observation_load(&p->lens, s->id_kind, s->id, &one);
    if (!one)
        return error;
    struct served which = served_of(p, 0);
    bool fits = !s->patient || s->patient == p->lens.person;
    for (size_t i = 0; i < p->lens.report.n_readings && s->id_kind == 'r'; i++) {
        const struct reading *x = p->lens.report.readings[i].reading;
        fits = fits && (x->id != s->id || (x->at >= which.from && x->at < which.to));
    }
    if (fits && (s->id_kind == 'r' || period_fits(&p->lens.report, &s->dates)))
        fhir_entry(p->lens.ask, p->entries, one);
    else
        json_decref(one);
    return 0;
}

int fhir_search_observations(struct db *db, const struct fhir_ask *ask, struct fhir_answer *out)
{
    struct fhir_search s;
    int error = 0;
    if (!fhir_search_read(ask, false, &s, out))
        return 0;
    struct page p = {.lens = {.db = db, .ask = ask}, .s = &s, .entries = json_array()};
    if (!s.nothing)
        error = s.id ? search_one(&p) : search_run(&p);
    lens_close(&p.lens);
    out->body = fhir_searchset(ask, p.entries, p.next);
    return error;
}
