/* A week as JSON: the figures unrounded, every reading with its standing and why it does not count, every key always there.
 *
 * Pure: a record, its result, alerts and bodies in; a string out. What cannot be computed is null, n is then 0. Ids are
 * under 2^53, so that they are numbers in any reader.
 */
#include "gateway/week_json.h"

#include <jansson.h>
#include <math.h>
#include <string.h>

enum { WHY_BYTES = 256, PRECISION = 15 };

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
    return r->week.first_day == DAY_NONE || day == DAY_NONE ? json_null() : json_integer((json_int_t)day - r->week.first_day + 1);
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

static json_t *reading_object(const struct week_view *v, size_t i)
{
    char buf[WHY_BYTES];
    const struct record *r = v->record;
    const struct reading *x = &r->readings[i];
    return json_pack("{sI so so ss so so so ss sb so so so}", "id", (json_int_t)x->id, "at", time_or_null(x->at), "day",
                     day_of_week(r, x->day), "slot", slot_word(x->slot), "sys", whole_or_null(x->sys), "dia",
                     whole_or_null(x->dia), "pulse", whole_or_null(x->pulse), "standing", standing_word(x), "counted",
                     reading_counted(r, x), "why", text_or_null(reading_why(r, x, buf, sizeof buf)), "technique",
                     technique_list(x->technique), "text", v->texts && v->texts[i] ? json_string(v->texts[i]) : json_null());
}

static json_t *reading_list(const struct week_view *v)
{
    json_t *list = json_array();
    for (size_t i = 0; i < v->record->n_readings; i++)
        json_array_append_new(list, reading_object(v, i));
    return list;
}

static json_t *mean_object(const struct mean *m)
{
    return json_pack("{so so so si}", "sys", number_or_null(m->n ? m->sys : NAN), "dia", number_or_null(m->n ? m->dia : NAN),
                     "pulse", number_or_null(m->n_pulse ? m->pulse : NAN), "n", m->n);
}

static json_t *pair_object(double sys, double dia)
{
    return json_pack("{so so}", "sys", number_or_null(sys), "dia", number_or_null(dia));
}

static json_t *interval_or_null(const double at[2])
{
    return isfinite(at[0]) && isfinite(at[1]) ? json_pack("[ff]", at[0], at[1]) : json_null();
}

static json_t *missing_list(const struct week_view *v)
{
    json_t *list = json_array();
    for (int i = 0; i < v->result->n_sittings; i++) {
        const struct sitting *s = &v->result->sittings[i];
        if (s->ended && s->accepted < s->wanted)
            json_array_append_new(list, json_pack("{so ss si}", "day", day_of_week(v->record, s->day), "slot",
                                                  slot_word(s->slot), "readings", s->wanted - s->accepted));
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
    return json_pack("{so so so}", "sys", whole_or_null(p->office_sys), "dia", whole_or_null(p->office_dia), "on",
                     date_or_null(p->office_day));
}

static json_t *alert_list(const struct week_view *v)
{
#define LEVEL_WORD(NAME, text) text,
    static const char *const levels[] = {ALERT_LEVELS(LEVEL_WORD)};
    json_t *list = json_array();
    for (size_t i = 0; i < v->n_alerts; i++) {
        const struct alert *a = &v->alerts[i];
        json_array_append_new(list, json_pack("{sI ss ss so so so}", "id", (json_int_t)a->id, "level", levels[a->level], "cause",
                                              a->cause, "at", time_or_null(a->at), "taken_at", time_or_null(a->taken_at),
                                              "resolved_at", time_or_null(a->resolved_at)));
    }
    return list;
}

/* -- the whole ----------------------------------------------------------------------------------------------------------------- */

static json_t *week_head(const struct record *r)
{
    const char *protocol = r->week.protocol[0] ? r->week.protocol : r->protocol.name;
    return json_pack("{ss ss ss ss ss si si so so si}", "clinic", r->person.clinic, "ref", r->person.ref, "person",
                     person_state_word(&r->person), "state", week_state_word(&r->week), "protocol", protocol, "week",
                     r->week.number ? r->week.number : 1, "version", r->week.version ? r->week.version : 1, "first_day",
                     date_or_null(r->week.first_day), "last_day", date_or_null(r->week.last_day), "days_wanted",
                     r->week.days_wanted ? r->week.days_wanted : r->protocol.days);
}

static json_t *week_figures(const struct week_view *v)
{
    const struct week_result *w = v->result;
    return json_pack("{so so so so s{so so} so sb so so s{si si} ss so so so}", "mean", mean_object(&w->all), "morning",
                     mean_object(&w->morning), "evening", mean_object(&w->evening), "sd", pair_object(w->sd_sys, w->sd_dia),
                     "interval95", "sys", interval_or_null(w->interval_sys), "dia", interval_or_null(w->interval_dia),
                     "chance_at_or_above", pair_object(w->chance_sys, w->chance_dia), "enough", w->enough, "missing",
                     missing_list(v), "category", text_or_null(w->category), "threshold", "sys", w->threshold.sys, "dia",
                     w->threshold.dia, "cuff", w->cuff[0] ? w->cuff : "unknown", "office", office_or_null(&v->record->person),
                     "pattern", text_or_null(w->pattern), "quality", quality_list(w));
}

char *week_json(const struct week_view *v)
{
    char *text = NULL;
    json_t *object = week_head(v->record), *figures = week_figures(v);
    json_t *readings = reading_list(v), *alerts = alert_list(v);
    /* the contract's order: head, readings, figures, alerts */
    if (object && figures && readings && alerts && json_object_set(object, "readings", readings) == 0 &&
        json_object_update(object, figures) == 0 && json_object_set(object, "alerts", alerts) == 0)
        text = json_dumps(object, JSON_COMPACT | JSON_REAL_PRECISION(PRECISION));
    json_decref(object);
    json_decref(figures);
    json_decref(readings);
    json_decref(alerts);
    return text;
}
