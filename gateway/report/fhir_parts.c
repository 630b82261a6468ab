/* The pieces of FHIR R4 resources: names, references, codes, quantities.
 *
 * A name comes of the system and the number alone, so that the same thing has the same name for ever. An element that is not
 * known is left out, never empty (R4, 2.6.1: no empty arrays, no null).
 */
#include "gateway/report/fhir_parts.h"

#include <glib.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "gateway/report/html_writer.h"
#include "gateway/report/model.h"

/* -- names ------------------------------------------------------------------------------------------------------------------ */

/* RFC 9562, 5.5: SHA-1 over the namespace of URLs and the name. */
static void uuid_make(struct fhir_name *n)
{
    static const guchar url_space[16] = {0x6b, 0xa7, 0xb8, 0x11, 0x9d, 0xad, 0x11, 0xd1,
                                         0x80, 0xb4, 0x00, 0xc0, 0x4f, 0xd4, 0x30, 0xc8};
    guint8 d[20];
    gsize size = sizeof d;
    GChecksum *sum = g_checksum_new(G_CHECKSUM_SHA1);
    g_checksum_update(sum, url_space, sizeof url_space);
    g_checksum_update(sum, (const guchar *)n->system, (gssize)strlen(n->system));
    g_checksum_update(sum, (const guchar *)"|", 1);
    g_checksum_update(sum, (const guchar *)n->value, (gssize)strlen(n->value));
    g_checksum_get_digest(sum, d, &size);
    g_checksum_free(sum);
    d[6] = (guint8)((d[6] & 0x0f) | 0x50);
    d[8] = (guint8)((d[8] & 0x3f) | 0x80);
    snprintf(n->uuid, sizeof n->uuid, "urn:uuid:%02x%02x%02x%02x-%02x%02x-%02x%02x-%02x%02x-%02x%02x%02x%02x%02x%02x", d[0], d[1],
             d[2], d[3], d[4], d[5], d[6], d[7], d[8], d[9], d[10], d[11], d[12], d[13], d[14], d[15]);
}

void fhir_name_patient(struct fhir_name *n, const struct person *p, const char *public_url)
{
    *n = (struct fhir_name){.kind = FHIR_OF_PATIENT, .type = "Patient"};
    snprintf(n->system, sizeof n->system, "%s/identifier/%s/patient", public_url, p->clinic);
    snprintf(n->value, sizeof n->value, "%s", p->ref);
    snprintf(n->served, sizeof n->served, "%lld", (long long)p->id);
    uuid_make(n);
}

void fhir_name_reading(struct fhir_name *n, const struct report *r, const struct reading *x)
{
    *n = (struct fhir_name){.kind = FHIR_OF_READING, .type = "Observation"};
    snprintf(n->system, sizeof n->system, "%s/identifier/%s/reading", r->public_url, r->record->person.clinic);
    snprintf(n->value, sizeof n->value, "%lld", (long long)x->id);
    snprintf(n->served, sizeof n->served, "r%lld", (long long)x->id);
    uuid_make(n);
}

void fhir_name_week(struct fhir_name *n, const struct report *r, enum fhir_kind kind, const char *more)
{
    static const char *const words[] = {
        [FHIR_OF_MEAN] = "average", [FHIR_OF_REPORT] = "week", [FHIR_OF_ARM] = "arm", [FHIR_OF_CUFF] = "cuff",
        [FHIR_OF_ISSUE] = "finding"};
    const struct week *w = &r->record->week;
    *n = (struct fhir_name){.kind = kind, .type = kind == FHIR_OF_REPORT  ? "DiagnosticReport"
                                                  : kind == FHIR_OF_ISSUE ? "DetectedIssue"
                                                                          : "Observation"};
    snprintf(n->system, sizeof n->system, "%s/identifier/%s/%s", r->public_url, r->record->person.clinic, words[kind]);
    snprintf(n->value, sizeof n->value, "%s%lld%s", w->id ? "" : "none-", (long long)(w->id ? w->id : r->record->person.id), more);
    snprintf(n->served, sizeof n->served, "w%lld", (long long)w->id);
    uuid_make(n);
}

json_t *fhir_begin(const struct fhir_name *n, enum fhir_links links)
{
    json_t *resource = json_pack("{s:s}", "resourceType", n->type);
    if (links == FHIR_SERVED)
        json_object_set_new(resource, "id", json_string(n->served));
    json_object_set_new(resource, "identifier", json_pack("[{s:s, s:s}]", "system", n->system, "value", n->value));
    return resource;
}

json_t *fhir_reference(const struct fhir_name *n, enum fhir_links links)
{
    char at[96];
    snprintf(at, sizeof at, "%s/%s", n->type, n->served);
    return json_pack("{s:s}", "reference", links == FHIR_SERVED ? at : n->uuid);
}

/* -- codes and quantities -------------------------------------------------------------------------------------------------- */

json_t *fhir_coded(const char *system, const char *code, const char *display)
{
    return json_pack("{s:[{s:s, s:s, s:s}], s:s}", "coding", "system", system, "code", code, "display", display, "text", display);
}

json_t *fhir_worded(const char *text)
{
    return json_pack("{s:o}", "text", fhir_string(text));
}

json_t *fhir_quantity(double value, const char *unit, const char *code)
{
    bool whole = value == floor(value);
    json_t *number = whole ? json_integer((json_int_t)value) : json_real(round(value * 10) / 10);
    return json_pack("{s:o, s:s, s:s, s:s}", "value", number, "unit", unit, "system", UCUM, "code", code);
}

json_t *fhir_component(const char *code, const char *display, double value, const char *unit, const char *ucum)
{
    return json_pack("{s:o, s:o}", "code", fhir_coded(LOINC, code, display), "valueQuantity", fhir_quantity(value, unit, ucum));
}

json_t *fhir_vital_signs(void)
{
    return json_pack("[o]", fhir_coded("http://terminology.hl7.org/CodeSystem/observation-category", "vital-signs", "Vital Signs"));
}

json_t *fhir_string(const char *text)
{
    char clean[2 * SENTENCE_MAX], plain[2 * SENTENCE_MAX];
    size_t n = 0;
    text_clean(text, clean, sizeof clean);
    for (const char *s = clean; *s; s = g_utf8_next_char(s)) {
        size_t bytes = (size_t)(g_utf8_next_char(s) - s);
        bool blank = g_unichar_isspace(g_utf8_get_char(s));
        memcpy(plain + n, blank ? " " : s, blank ? 1 : bytes);
        n += blank ? 1 : bytes;
    }
    plain[n] = '\0';
    return n ? json_string(plain) : NULL;
}

void fhir_note(json_t *notes, const char *text)
{
    json_t *string = fhir_string(text);
    if (string)
        json_array_append_new(notes, json_pack("{s:o}", "text", string));
}

/* -- times ------------------------------------------------------------------------------------------------------------------ */

void fhir_zoned(const struct report *r, int64_t instant, char text[TIME_TEXT])
{
    struct civil c = civil_at(&r->record->zone, instant);
    int64_t local = ((int64_t)c.day * MINUTES_A_DAY + c.minute) * 60 + c.second;
    time_zoned(instant, (int32_t)(local - instant), text);
}

json_t *fhir_period(const struct report *r)
{
    char start[TIME_TEXT], end[TIME_TEXT];
    int64_t first = INT64_MAX, last = INT64_MIN;
    for (size_t i = 0; i < r->n_readings; i++) {
        int64_t at = r->readings[i].reading->at;
        if (!r->readings[i].counted)
            continue;
        first = at < first ? at : first;
        last = at > last ? at : last;
    }
    if (first > last)
        return NULL;
    fhir_zoned(r, first, start);
    fhir_zoned(r, last, end);
    return json_pack("{s:s, s:s}", "start", start, "end", end);
}

const char *fhir_status(const struct report *r)
{
    const struct week *w = &r->record->week;
    if (!week_finished(w) || !r->result->enough)
        return "preliminary";
    return w->version > 1 ? "amended" : "final";
}
