/* Patient and Observations of a week; see fhir.h for the codes and their sources.
 *
 * A reading is sent as it was texted, and its note says when it is not counted and why. The average is sent as shown: whole
 * mmHg. One reading takes 1.5 KB.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/care/equipment.h"
#include "gateway/json_memory.h"
#include "gateway/report/fhir_parts.h"

char *fhir_text(json_t *resource)
{
    char *text = resource ? json_dumps(resource, JSON_COMPACT) : NULL;
    json_decref(resource);
    if (!json_starved())
        return text;
    free(text); /* something is not in it */
    return NULL;
}

json_t *fhir_patient(const struct person *p, const struct clinic *c, const char *public_url, enum fhir_links links)
{
    struct fhir_name n;
    char born[TIME_TEXT];
    fhir_name_patient(&n, p, public_url);
    json_t *patient = fhir_begin(&n, links);
    json_object_set_new(patient, "active", json_boolean(p->state == PERSON_JOINED || p->state == PERSON_PAUSED));
    json_t *name = fhir_string(p->name);
    if (name)
        json_object_set_new(patient, "name", json_pack("[{s:o}]", "text", name));
    date_text(p->born, born);
    if (born[0])
        json_object_set_new(patient, "birthDate", json_string(born));
    json_object_set_new(patient, "managingOrganization",
                        json_pack("{s:o}", "display", fhir_string(c && c->name[0] ? c->name : p->clinic)));
    return patient;
}

/* -- a reading -------------------------------------------------------------------------------------------------------------- */

static json_t *body_site(uint8_t arm)
{
    if (arm == ARM_UNSAID)
        return NULL;
    return arm == ARM_LEFT ? fhir_coded(SNOMED, "368208006", "Left upper arm structure")
                           : fhir_coded(SNOMED, "368209003", "Right upper arm structure");
}

static json_t *device(const struct equipment *e)
{
    static const char *const validated[] = {"not known whether validated", "not validated", "validated"};
    char words[MONITOR_MAX + 80];
    snprintf(words, sizeof words, "%s%s (%s)", e->monitor[0] ? e->monitor : "monitor not named", e->wrist ? ", wrist" : "",
             validated[e->validated <= ANSWER_YES ? e->validated : ANSWER_UNKNOWN]);
    return json_pack("{s:o}", "display", fhir_string(words));
}

static json_t *reading_components(const struct reading *x)
{
    json_t *list = json_array();
    json_array_append_new(list, fhir_component("8480-6", "Systolic blood pressure", x->sys, "mmHg", "mm[Hg]"));
    if (x->dia > 0)
        json_array_append_new(list, fhir_component("8462-4", "Diastolic blood pressure", x->dia, "mmHg", "mm[Hg]"));
    else
        json_array_append_new(list, json_pack("{s:o, s:o}", "code", fhir_coded(LOINC, "8462-4", "Diastolic blood pressure"),
                                              "dataAbsentReason",
                                              fhir_coded("http://terminology.hl7.org/CodeSystem/data-absent-reason", "unknown",
                                                         "Unknown")));
    if (x->pulse > 0)
        json_array_append_new(list, fhir_component("8867-4", "Heart rate", x->pulse, "beats/minute", "/min"));
    if (!isnan(x->temp_c))
        json_array_append_new(list, fhir_component("60832-3", "Room temperature", x->temp_c, "°C", "Cel"));
    return list;
}

static const char *reading_status(const struct reading *x)
{
    if (x->standing == STANDING_ACCEPTED)
        return "final";
    return x->standing == STANDING_HELD ? "preliminary" : "entered-in-error";
}

json_t *fhir_reading(const struct report *r, const struct report_reading *line, enum fhir_links links)
{
    const struct reading *x = line->reading;
    const struct person *p = &r->record->person;
    struct equipment e = equipment_of(r->record);
    struct fhir_name n, of;
    char at[TIME_TEXT], received[TIME_TEXT];
    fhir_name_reading(&n, r, x);
    fhir_name_patient(&of, p, r->public_url);
    fhir_zoned(r, x->at, at);
    time_utc(x->received ? x->received : x->at, received);
    json_t *o = fhir_begin(&n, links), *notes = json_array();
    json_object_set_new(o, "meta", json_pack("{s:[s]}", "profile", "http://hl7.org/fhir/StructureDefinition/bp"));
    json_object_set_new(o, "status", json_string(reading_status(x)));
    json_object_set_new(o, "category", fhir_vital_signs());
    json_object_set_new(o, "code", fhir_coded(LOINC, "85354-9", "Blood pressure panel with all children optional"));
    json_object_set_new(o, "subject", fhir_reference(&of, links));
    json_object_set_new(o, "effectiveDateTime", json_string(at));
    json_object_set_new(o, "issued", json_string(received));
    json_t *site = body_site(x->arm != ARM_UNSAID ? x->arm : e.on_arm);
    if (site)
        json_object_set_new(o, "bodySite", site);
    json_object_set_new(o, "method", fhir_worded("Measured by the patient at home and sent as a text message"));
    json_object_set_new(o, "device", device(&e));
    fhir_note(notes, line->note);
    if (json_array_size(notes))
        json_object_set(o, "note", notes);
    json_decref(notes);
    json_object_set_new(o, "component", reading_components(x));
    return o;
}

/* -- the average ------------------------------------------------------------------------------------------------------------ */

static json_t *mean_notes(const struct report *r)
{
    json_t *notes = json_array();
    for (size_t i = 0; i < r->above.n; i++)
        fhir_note(notes, r->above.at[i].text);
    fhir_note(notes, r->average);
    fhir_note(notes, r->judged);
    fhir_note(notes, r->sure);
    for (size_t i = 0; i < r->counts.n; i++)
        fhir_note(notes, r->counts.at[i].text);
    for (size_t i = 0; i < r->before.n; i++)
        fhir_note(notes, r->before.at[i].text);
    fhir_note(notes, r->protocol);
    fhir_note(notes, r->caution);
    return notes;
}

static json_t *derived_from(const struct report *r, enum fhir_links links)
{
    json_t *list = json_array();
    for (size_t i = 0; i < r->n_readings; i++) {
        struct fhir_name n;
        if (!r->readings[i].counted)
            continue;
        fhir_name_reading(&n, r, r->readings[i].reading);
        json_array_append_new(list, fhir_reference(&n, links));
    }
    return list;
}

json_t *fhir_mean(const struct report *r, enum fhir_links links)
{
    struct fhir_name n, of;
    json_t *period = r->has_mean ? fhir_period(r) : NULL;
    if (!period)
        return NULL;
    fhir_name_week(&n, r, FHIR_OF_MEAN, "");
    fhir_name_patient(&of, &r->record->person, r->public_url);
    json_t *o = fhir_begin(&n, links);
    json_object_set_new(o, "status", json_string(fhir_status(r)));
    json_object_set_new(o, "category", fhir_vital_signs());
    json_object_set_new(o, "code", fhir_coded(LOINC, "96607-7", "Blood pressure panel mean systolic and mean diastolic"));
    json_object_set_new(o, "subject", fhir_reference(&of, links));
    json_object_set_new(o, "effectivePeriod", period);
    json_object_set_new(o, "method", fhir_worded("Arithmetic mean of the counted readings, to whole mmHg"));
    json_object_set_new(o, "note", mean_notes(r));
    json_object_set_new(o, "derivedFrom", derived_from(r, links));
    json_object_set_new(o, "component", json_pack("[o, o]", fhir_component("96608-5", "Systolic blood pressure mean", r->sys, "mmHg", "mm[Hg]"),
                                                  fhir_component("96609-3", "Diastolic blood pressure mean", r->dia, "mmHg", "mm[Hg]")));
    return o;
}
