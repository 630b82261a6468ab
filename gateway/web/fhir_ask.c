/* What a search asks for. A parameter that is not known is refused, not ignored: who filters by something that we do not know
 * would take the answer for less than it is.
 *
 * Dates by R4 search.html#date: a date without a time is a whole day of the clinic's zone. Pure but for the zone.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "gateway/flow/flow.h"
#include "gateway/web/fhir.h"

static const char loinc[] = "http://loinc.org";
static const char reading_code[] = "85354-9", mean_code[] = "96607-7";

bool fhir_number(const char *text, int64_t *id)
{
    return *text >= '0' && *text <= '9' && whole_read(text, 1, INT64_C(1) << 53, id);
}

/* -- dates ------------------------------------------------------------------------------------------------------------------- */

static int64_t day_begin(const struct fhir_ask *ask, int32_t day)
{
    struct offsets zone;
    int64_t about = (int64_t)day * 86400;
    if (!zone_offsets(ask->clinic->zone, about, &zone))
        return about;
    return civil_instant(&zone, (struct civil){.day = day});
}

/* Year, month or day as [from, to) of civil days; false: none of them. */
static bool days_read(const char *s, int32_t *from, int32_t *to)
{
    int64_t year, month = 1;
    char y[5], m[3];
    size_t n = strlen(s);
    if (n == 10)
        return date_read(s, from) && (*to = *from + 1, true);
    if (n != 4 && (n != 7 || s[4] != '-'))
        return false;
    snprintf(y, sizeof y, "%.4s", s);
    snprintf(m, sizeof m, "%.2s", n == 7 ? s + 5 : "01");
    if (!whole_read(y, 1900, 2200, &year) || !whole_read(m, 1, 12, &month))
        return false;
    *from = civil_day((int)year, (int)month, 1);
    *to = n == 4 || month == 12 ? civil_day((int)year + 1, 1, 1) : civil_day((int)year, (int)month + 1, 1);
    return true;
}

static bool range_read(const struct fhir_ask *ask, const char *value, int64_t *from, int64_t *to)
{
    char text[FHIR_VALUE_MAX];
    int32_t first, last;
    snprintf(text, sizeof text, "%s", value);
    for (char *c = text; *c; c++)
        if (*c == ' ') /* a plus sign that was not escaped */
            *c = '+';
    if (days_read(text, &first, &last)) {
        *from = day_begin(ask, first);
        *to = day_begin(ask, last);
        return true;
    }
    if (!time_read(text, from))
        return false;
    *to = *from + 1;
    return true;
}

static void later(int64_t *bound, int64_t instant)
{
    *bound = instant > *bound ? instant : *bound;
}

static void earlier(int64_t *bound, int64_t instant)
{
    *bound = instant < *bound ? instant : *bound;
}

static bool date_add(const struct fhir_ask *ask, const char *value, struct fhir_dates *d)
{
    static const char prefixes[][3] = {"eq", "ge", "gt", "le", "lt", "sa", "eb"};
    enum { EQ, GE, GT, LE, LT, SA, EB, NONE };
    int prefix = EQ, skip = 0;
    int64_t from, to;
    if (*value && strchr("abcdefghijklmnopqrstuvwxyz", *value)) {
        for (prefix = EQ; prefix < NONE && strncmp(value, prefixes[prefix], 2) != 0; prefix++)
            ;
        skip = 2;
    }
    if (prefix == NONE || !range_read(ask, value + skip, &from, &to))
        return false;
    switch (prefix) {
    case EQ:
        later(&d->start_from, from);
        earlier(&d->end_to, to);
        break;
    case GE:
        later(&d->end_from, from);
        break;
    case GT:
        later(&d->end_from, to);
        break;
    case LE:
        earlier(&d->start_to, to);
        break;
    case LT:
        earlier(&d->start_to, from);
        break;
    case SA:
        later(&d->start_from, to);
        break;
    default:
        earlier(&d->end_to, from);
    }
    return true;
}

/* -- tokens and references ------------------------------------------------------------------------------------------------ */

static bool code_is(const char *token, size_t n, const char *code)
{
    const char *bar = memchr(token, '|', n);
    size_t system = bar ? (size_t)(bar - token) : 0;
    if (bar && (system != sizeof loinc - 1 || memcmp(token, loinc, system) != 0))
        return false;
    token += bar ? system + 1 : 0;
    n -= bar ? system + 1 : 0;
    return n == strlen(code) && memcmp(token, code, n) == 0;
}

/* One of several, with a comma between them; a second `code` narrows the first. */
static void code_add(const char *value, struct fhir_search *s)
{
    bool readings = false, means = false;
    for (const char *at = value;; at++) {
        size_t n = strcspn(at, ",");
        readings |= code_is(at, n, reading_code);
        means |= code_is(at, n, mean_code);
        at += n;
        if (!*at)
            break;
    }
    s->readings &= readings;
    s->means &= means;
}

static void patient_add(const char *value, struct fhir_search *s)
{
    int64_t id;
    const char *at = strncmp(value, "Patient/", 8) ? value : value + 8;
    if (!fhir_number(at, &id) || (s->patient && s->patient != id))
        s->nothing = true;
    else
        s->patient = id;
}

static void id_add(const char *value, bool patients, struct fhir_search *s)
{
    const char *digits = patients ? value : value + (*value == 'r' || *value == 'w');
    if (!fhir_number(digits, &s->id) || (!patients && digits == value))
        s->nothing = true;
    s->id_kind = patients ? 0 : *value;
}

/* "ref", or "system|ref" with the system that our patients have. */
static void identifier_add(const struct fhir_ask *ask, const char *value, struct fhir_search *s)
{
    char system[400];
    const char *bar = strrchr(value, '|'), *ref = bar ? bar + 1 : value;
    int n = snprintf(system, sizeof system, "%s/identifier/%s/patient", ask->config->public_url, ask->clinic->id);
    bool ours = !bar || (bar - value == n && memcmp(system, value, (size_t)n) == 0);
    if (!ours || !*ref || strlen(ref) >= sizeof s->ref)
        s->nothing = true;
    else
        snprintf(s->ref, sizeof s->ref, "%s", ref);
}

static bool page_add(const char *value, struct fhir_search *s)
{
    int64_t after = 0;
    if ((*value != 'r' && *value != 'm') || !whole_read(value + 1, 0, INT64_C(1) << 53, &after))
        return false;
    s->phase = *value;
    s->after = after;
    return true;
}

static bool format_good(const char *value)
{
    static const char *const good[] = {"json", "application/json", "application/fhir+json", "application/fhir json"};
    for (size_t i = 0; i < sizeof good / sizeof *good; i++)
        if (strcmp(value, good[i]) == 0)
            return true;
    return false;
}

/* -- all of them -------------------------------------------------------------------------------------------------------------- */

enum known { COUNT, PAGE, FORMAT, ID, IDENTIFIER, PATIENT, CODE, DATE, UNKNOWN };

static enum known parameter_named(const char *name, bool patients)
{
    static const struct {
        const char *name;
        enum known known;
        bool patients, observations;
    } all[] = {{"_count", COUNT, true, true},       {"_page", PAGE, true, true},        {"_format", FORMAT, true, true},
               {"_id", ID, true, true},             {"identifier", IDENTIFIER, true, false},
               {"patient", PATIENT, false, true},   {"subject", PATIENT, false, true},
               {"subject:Patient", PATIENT, false, true},
               {"code", CODE, false, true},         {"date", DATE, false, true}};
    for (size_t i = 0; i < sizeof all / sizeof *all; i++)
        if (strcmp(all[i].name, name) == 0 && (patients ? all[i].patients : all[i].observations))
            return all[i].known;
    return UNKNOWN;
}

static bool refuse(struct fhir_answer *out, const char *diagnostics)
{
    fhir_fail(out, 400, "invalid", diagnostics);
    return false;
}

static bool parameter_take(const struct fhir_ask *ask, int i, bool patients, struct fhir_search *s, struct fhir_answer *out)
{
    const char *value = ask->parameters[i].value;
    int64_t count;
    switch (parameter_named(ask->parameters[i].name, patients)) {
    case COUNT:
        if (!whole_read(value, 1, INT32_MAX, &count))
            return refuse(out, "_count is a whole number, at least 1");
        s->count = count < FHIR_COUNT_MOST ? (int)count : FHIR_COUNT_MOST;
        return true;
    case PAGE:
        return page_add(value, s) ? true : refuse(out, "_page comes from a next link; follow that as it is");
    case FORMAT:
        if (!format_good(value))
            fhir_fail(out, 406, "not-supported", "only JSON is spoken here: application/fhir+json");
        return format_good(value);
    case ID:
        id_add(value, patients, s);
        return true;
    case IDENTIFIER:
        identifier_add(ask, value, s);
        return true;
    case PATIENT:
        patient_add(value, s);
        return true;
    case CODE:
        code_add(value, s);
        return true;
    case DATE:
        return date_add(ask, value, &s->dates)
                   ? true
                   : refuse(out, "date is like 2026-11-24 or 2026-11-24T07:00:00Z, with eq ge gt le lt sa or eb before it");
    default:
        return refuse(out, patients ? "the parameters of Patient are _id, identifier, _count"
                                    : "the parameters of Observation are _id, patient, code, date, _count");
    }
}

bool fhir_search_read(const struct fhir_ask *ask, bool patients, struct fhir_search *s, struct fhir_answer *out)
{
    *s = (struct fhir_search){.readings = true, .means = true, .count = FHIR_COUNT_USUAL, .phase = 'r'};
    s->dates = (struct fhir_dates){INT64_MIN, INT64_MAX, INT64_MIN, INT64_MAX};
    if (ask->too_many)
        return refuse(out, "too many parameters, or one that is too long");
    for (int i = 0; i < ask->n_parameters; i++)
        if (!parameter_take(ask, i, patients, s, out))
            return false;
    return true;
}
