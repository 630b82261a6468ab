/* A week as JSON: the figures unrounded, every reading with its standing and why it does not count, every key always there.
 *
 * Pure: a record, its result, alerts and bodies in; a string out. What cannot be computed is null, n is then 0. Ids are
 * under 2^53, so that they are numbers in any reader.
 */
#include "gateway/week_json.h"

#include <jansson.h>
#include <math.h>
#include <string.h>

#include "gateway/json_memory.h"

enum { WHY_BYTES = 256, PRECISION = 15, WEEK_KEYS = 26 };

/* -- words ------------------------------------------------------------------------------------------------------------------- */

const char *person_state_word(const struct person *p)
{
    switch (p->state) {
    case PERSON_INVITED:
    case PERSON_STRANGER:
        return "invited";
    case PERSON_JOINED:
        return "joined";
    case PERSON_DECLINED:
        return "declined";
    case PERSON_PAUSED:
        return "paused";
    case PERSON_DIED:
        return "died";
    default:
        return "left"; /* closed, wrong number, consent withdrawn: nothing more is sent, as with one who left */
    }
}

const char *week_state_word(const struct week *w)
{
#define WEEK_WORD(NAME, text) text,
    static const char *const words[] = {WEEK_STATES(WEEK_WORD)};
    return words[w->id ? w->state : WEEK_WAITING];
}

const char *standing_word(const struct reading *x)
{
#define STANDING_WORD(NAME, text) text,
    static const char *const words[] = {STANDINGS(STANDING_WORD)};
    return words[x->standing == STANDING_ASIDE ? STANDING_HELD : x->standing];
}

/* -- values ------------------------------------------------------------------------------------------------------------------ */

static json_t *number_or_null(double x)
{
    return isfinite(x) ? json_real(x) : json_null();
}

static json_t *whole_or_null(int x)
{
    return x > 0 ? json_integer(x) : json_null();
}

static json_t *text_or_null(const char *s)
{
    return s && *s ? json_string(s) : json_null();
}

static json_t *time_or_null(int64_t instant)
{
    char text[TIME_TEXT];
    time_utc(instant, text);
    return text_or_null(text);
}

static json_t *date_or_null(int32_t day)
{
    char text[TIME_TEXT];
    date_text(day, text);
    return text_or_null(text);
}

/* The day of the week, from 1; null before the week has a first one. */
static json_t *day_of_week(const struct record *r, int32_t day)
{
    return r->week.first_day == DAY_NONE || day == DAY_NONE
               ? json_null()
               : json_integer((json_int_t)day - r->week.first_day + 1);
}

static const char *slot_word(uint8_t slot)
{
    return slot == SLOT_MORNING ? "morning" : "evening";
}

/* -- parts ------------------------------------------------------------------------------------------------------------------- */

static json_t *technique_list(uint32_t bits)
{
    json_t *list = json_array();
    for (unsigned i = 0; i < TECHNIQUE_COUNT; i++)
        if (bits & 1u << i)
            json_array_append_new(list, json_string(technique_name(i)));
    return list;
}

/* A value that could not be made, or a key that could not be set, is not there: whole() then gives up. */
static void put(json_t *o, const char *key, json_t *value)
{
    json_object_set_new(o, key, value);
}

static json_t *whole(json_t *o, size_t keys)
{
    if (json_object_size(o) == keys)
        return o;
    json_decref(o);
    return NULL;
}

static json_t *whole_list(json_t *list, size_t n)
{
    if (json_array_size(list) == n)
        return list;
    json_decref(list);
    return NULL;
}

static json_t *reading_object(const struct week_view *v, size_t i)
{
    char buf[WHY_BYTES];
    const struct record *r = v->record;
    const struct reading *x = &r->readings[i];
    json_t *o = json_object();
    put(o, "id", json_integer(x->id));
    put(o, "at", time_or_null(x->at));
    put(o, "day", day_of_week(r, x->day));
    put(o, "slot", json_string(slot_word(x->slot)));
    put(o, "sys", whole_or_null(x->sys));
    put(o, "dia", whole_or_null(x->dia));
    put(o, "pulse", whole_or_null(x->pulse));
    put(o, "standing", json_string(standing_word(x)));
    put(o, "counted", json_boolean(reading_counted(r, x)));
    put(o, "why", text_or_null(reading_why(r, x, buf, sizeof buf)));
    put(o, "technique", technique_list(x->technique));
    put(o, "text", v->texts && v->texts[i] ? json_string(v->texts[i]) : json_null());
    return whole(o, 12);
}

static json_t *reading_list(const struct week_view *v)
{
    json_t *list = json_array();
    for (size_t i = 0; i < v->record->n_readings; i++)
        json_array_append_new(list, reading_object(v, i));
    return whole_list(list, v->record->n_readings);
}

static json_t *mean_object(const struct mean *m)
{
    json_t *o = json_object();
    put(o, "sys", number_or_null(m->n ? m->sys : NAN));
    put(o, "dia", number_or_null(m->n ? m->dia : NAN));
    put(o, "pulse", number_or_null(m->n_pulse ? m->pulse : NAN));
    put(o, "n", json_integer(m->n));
    return whole(o, 4);
}

static json_t *pair_object(json_t *sys, json_t *dia)
{
    json_t *o = json_object();
    put(o, "sys", sys);
    put(o, "dia", dia);
    return whole(o, 2);
}

static json_t *interval_or_null(const double at[2])
{
    if (!isfinite(at[0]) || !isfinite(at[1]))
        return json_null();
    json_t *list = json_array();
    json_array_append_new(list, json_real(at[0]));
    json_array_append_new(list, json_real(at[1]));
    return list;
}

static json_t *missing_object(const struct record *r, const struct sitting *s)
{
    json_t *o = json_object();
    put(o, "day", day_of_week(r, s->day));
    put(o, "slot", json_string(slot_word(s->slot)));
    put(o, "readings", json_integer(s->wanted - s->accepted));
    return whole(o, 3);
}

static json_t *missing_list(const struct week_view *v)
{
    json_t *list = json_array();
    for (int i = 0; i < v->result->n_sittings; i++) {
        const struct sitting *s = &v->result->sittings[i];
        if (s->ended && s->accepted < s->wanted)
            json_array_append_new(list, missing_object(v->record, s));
    }
    return list;
}

static json_t *quality_list(const struct week_result *w)
{
    json_t *list = json_array();
    for (int i = 0; i < w->n_quality; i++)
        json_array_append_new(list, json_string(w->quality[i]));
    return list;
}

static json_t *office_or_null(const struct person *p)
{
    if (!p->office_sys)
        return json_null();
    json_t *o = json_object();
    put(o, "sys", whole_or_null(p->office_sys));
    put(o, "dia", whole_or_null(p->office_dia));
    put(o, "on", date_or_null(p->office_day));
    return whole(o, 3);
}

static json_t *alert_object(const struct alert *a)
{
#define LEVEL_WORD(NAME, text) text,
    static const char *const levels[] = {ALERT_LEVELS(LEVEL_WORD)};
    json_t *o = json_object();
    put(o, "id", json_integer(a->id));
    put(o, "level", json_string(levels[a->level]));
    put(o, "cause", json_string(a->cause));
    put(o, "at", time_or_null(a->at));
    put(o, "taken_at", time_or_null(a->taken_at));
    put(o, "resolved_at", time_or_null(a->resolved_at));
    return whole(o, 6);
}

static json_t *alert_list(const struct week_view *v)
{
    json_t *list = json_array();
    for (size_t i = 0; i < v->n_alerts; i++)
        json_array_append_new(list, alert_object(&v->alerts[i]));
    return whole_list(list, v->n_alerts);
}

/* -- the whole -------------------------------------------------------------------------------------------- */

static void week_head(json_t *o, const struct record *r)
{
    const struct week *w = &r->week;
    put(o, "clinic", json_string(r->person.clinic));
    put(o, "ref", json_string(r->person.ref));
    put(o, "person", json_string(person_state_word(&r->person)));
    put(o, "state", json_string(week_state_word(w)));
    put(o, "protocol", json_string(w->protocol[0] ? w->protocol : r->protocol.name));
    put(o, "week", json_integer(w->number ? w->number : 1));
    put(o, "version", json_integer(w->version ? w->version : 1));
    put(o, "first_day", date_or_null(w->first_day));
    put(o, "last_day", date_or_null(w->last_day));
    put(o, "days_wanted", json_integer(w->days_wanted ? w->days_wanted : r->protocol.days));
}

static void week_figures(json_t *o, const struct week_result *w)
{
    put(o, "mean", mean_object(&w->all));
    put(o, "morning", mean_object(&w->morning));
    put(o, "evening", mean_object(&w->evening));
    put(o, "sd", pair_object(number_or_null(w->sd_sys), number_or_null(w->sd_dia)));
    put(o, "interval95", pair_object(interval_or_null(w->interval_sys), interval_or_null(w->interval_dia)));
    put(o, "chance_at_or_above", pair_object(number_or_null(w->chance_sys), number_or_null(w->chance_dia)));
    put(o, "enough", json_boolean(w->enough));
}

static void week_judged(json_t *o, const struct week_view *v)
{
    const struct week_result *w = v->result;
    put(o, "missing", missing_list(v));
    put(o, "category", text_or_null(w->category));
    put(o, "threshold", pair_object(json_integer(w->threshold.sys), json_integer(w->threshold.dia)));
    put(o, "cuff", json_string(w->cuff[0] ? w->cuff : "unknown"));
    put(o, "office", office_or_null(&v->record->person));
    put(o, "pattern", text_or_null(w->pattern));
    put(o, "quality", quality_list(w));
    put(o, "alerts", alert_list(v));
}

char *week_json(const struct week_view *v)
{
    json_starved(); /* of something before */
    json_t *o = json_object(); /* keeps the order in which keys are put */
    week_head(o, v->record);
    put(o, "readings", reading_list(v));
    week_figures(o, v->result);
    week_judged(o, v);
    o = whole(o, WEEK_KEYS);
    char *text = o ? json_dumps(o, JSON_COMPACT | JSON_REAL_PRECISION(PRECISION)) : NULL;
    json_decref(o);
    if (!json_starved())
        return text;
    free(text); /* something is not in it */
    return NULL;
}
