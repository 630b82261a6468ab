/* A week as a transaction Bundle: Patient, readings, average, arm and cuff, findings, and a DiagnosticReport that points to
 * all of them and carries the PDF.
 *
 * Every entry is a conditional update (PUT Type?identifier=…, R4 http.html#cond-update): sent again it replaces, so that a
 * repeat after a crash, or a later version, does no harm. Refers within itself by urn:uuid. 60 KB with the PDF.
 */
#include <glib.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/report/fhir_parts.h"
#include "gateway/care/cuff_fit.h"
#include "gateway/care/equipment.h"
#include "gateway/report/model.h"

struct making {
    const struct report *r;
    json_t *entries, *results; /* results: what the report points to */
    struct fhir_name patient;
};

static void entry_add(struct making *m, const struct fhir_name *n, json_t *resource)
{
    char url[FHIR_WORDS + 160];
    char *system = g_uri_escape_string(n->system, NULL, FALSE), *value = g_uri_escape_string(n->value, NULL, FALSE);
    snprintf(url, sizeof url, "%s?identifier=%s%%7C%s", n->type, system, value);
    json_array_append_new(m->entries, json_pack("{s:s, s:o, s:{s:s, s:s}}", "fullUrl", n->uuid, "resource", resource, "request",
                                                "method", "PUT", "url", url));
    g_free(system);
    g_free(value);
}

static void result_add(struct making *m, const struct fhir_name *n, json_t *resource)
{
    entry_add(m, n, resource);
    json_array_append_new(m->results, fhir_reference(n, FHIR_TRANSACTION));
}

/* In a later version: what an earlier one may have sent as good must be called back where it went, not left out in silence. */
static bool called_back(const struct report *r, const struct reading *x)
{
    bool taken_back = x->standing == STANDING_VOID || x->standing == STANDING_REPLACED ||
                      (x->standing == STANDING_HELD && x->held & HELD_AMENDED);
    return r->record->week.version > 1 && taken_back && of_week(r->record, x) && x->sys > 0;
}

static void readings_add(struct making *m)
{
    for (size_t i = 0; i < m->r->n_readings; i++) {
        const struct report_reading *x = &m->r->readings[i];
        struct fhir_name n;
        fhir_name_reading(&n, m->r, x->reading);
        if (x->reading->standing == STANDING_ACCEPTED)
            result_add(m, &n, fhir_reading(m->r, x, FHIR_TRANSACTION));
        else if (called_back(m->r, x->reading))
            entry_add(m, &n, fhir_reading(m->r, x, FHIR_TRANSACTION));
    }
}

static void mean_add(struct making *m)
{
    struct fhir_name n;
    json_t *mean = fhir_mean(m->r, FHIR_TRANSACTION);
    if (!mean)
        return;
    fhir_name_week(&n, m->r, FHIR_OF_MEAN, "");
    result_add(m, &n, mean);
}

/* -- arm and cuff ------------------------------------------------------------------------------------------------------------ */

static json_t *size_observation(const struct making *m, const struct fhir_name *n, json_t *code)
{
    char at[TIME_TEXT];
    const struct week *w = &m->r->record->week;
    json_t *o = fhir_begin(n, FHIR_TRANSACTION);
    fhir_zoned(m->r, w->id && w->opened_at != INSTANT_NONE ? w->opened_at : m->r->as_of, at);
    json_object_set_new(o, "status", json_string("final"));
    json_object_set_new(o, "code", code);
    json_object_set_new(o, "subject", fhir_reference(&m->patient, FHIR_TRANSACTION));
    json_object_set_new(o, "effectiveDateTime", json_string(at));
    return o;
}

static void sizes_add(struct making *m)
{
    struct equipment e = equipment_of(m->r->record);
    struct fhir_name n;
    char range[80];
    if (e.arm_cm > 0) {
        fhir_name_week(&n, m->r, FHIR_OF_ARM, "");
        json_t *o = size_observation(m, &n, fhir_coded(LOINC, "56072-2", "Mid upper arm circumference"));
        json_object_set_new(o, "valueQuantity", fhir_quantity(e.arm_cm, "cm", "cm"));
        result_add(m, &n, o);
    }
    if (e.cuff_high > 0) {
        fhir_name_week(&n, m->r, FHIR_OF_CUFF, "");
        json_t *o = size_observation(m, &n, fhir_coded(LOINC, "8358-4", "Blood pressure device cuff size"));
        snprintf(range, sizeof range, "for arms of %.4g to %.4g cm, as printed: %s", e.cuff_low, e.cuff_high, m->r->result->cuff);
        json_object_set_new(o, "valueString", json_string(range));
        result_add(m, &n, o);
    }
}

/* -- findings ---------------------------------------------------------------------------------------------------------------- */

static void issue_add(struct making *m, const struct sentence *one, int number)
{
    struct fhir_name n, mean;
    char more[64], at[TIME_TEXT];
    snprintf(more, sizeof more, "-%.24s-%d", one->code, number);
    for (char *c = more; *c; c++)
        if (*c == ' ' || *c == '_')
            *c = '-';
    fhir_name_week(&n, m->r, FHIR_OF_ISSUE, more);
    fhir_name_week(&mean, m->r, FHIR_OF_MEAN, "");
    fhir_zoned(m->r, m->r->as_of, at);
    json_t *issue = fhir_begin(&n, FHIR_TRANSACTION);
    json_object_set_new(issue, "status", json_string(week_finished(&m->r->record->week) ? "final" : "preliminary"));
    json_object_set_new(issue, "code", fhir_worded(one->code));
    json_object_set_new(issue, "severity", json_string(one->tone == TONE_URGENT ? "moderate" : "low"));
    json_object_set_new(issue, "patient", fhir_reference(&m->patient, FHIR_TRANSACTION));
    json_object_set_new(issue, "identifiedDateTime", json_string(at));
    if (m->r->has_mean)
        json_object_set_new(issue, "implicated", json_pack("[o]", fhir_reference(&mean, FHIR_TRANSACTION)));
    json_object_set_new(issue, "detail", fhir_string(one->text));
    entry_add(m, &n, issue);
}

/* Sentences of one code are numbered, so that each keeps its name. */
static void issues_add(struct making *m, const struct sentences *s)
{
    for (size_t i = 0; i < s->n; i++) {
        int number = 1;
        for (size_t k = 0; k < i; k++)
            number += strcmp(s->at[k].code, s->at[i].code) == 0;
        if (s->at[i].code[0])
            issue_add(m, &s->at[i], number);
    }
}

/* -- the report ---------------------------------------------------------------------------------------------------------------- */

static void conclusion_words(const struct report *r, char words[2 * SENTENCE_MAX])
{
    words[0] = '\0';
    for (size_t i = 0; i < r->above.n; i++)
        say_add(words, 2 * SENTENCE_MAX, "%s ", r->above.at[i].text);
    if (r->has_mean)
        say_add(words, 2 * SENTENCE_MAX, "%d/%d mmHg. ", r->sys, r->dia);
    say_add(words, 2 * SENTENCE_MAX, "%s. %s %s", r->average, r->judged, r->caution);
}

static json_t *attachment(const struct report *r, const void *pdf, size_t size)
{
    char at[TIME_TEXT];
    gchar *data = g_base64_encode(pdf, size);
    fhir_zoned(r, r->as_of, at);
    json_t *form = json_pack("[{s:s, s:s, s:s, s:s, s:s}]", "contentType", "application/pdf", "language", "en", "data", data, "title",
                             r->title, "creation", at);
    g_free(data);
    return form;
}

static void report_add(struct making *m, const void *pdf, size_t pdf_size)
{
    const struct report *r = m->r;
    struct fhir_name n;
    char issued[TIME_TEXT], words[2 * SENTENCE_MAX];
    fhir_name_week(&n, r, FHIR_OF_REPORT, "");
    json_t *report = fhir_begin(&n, FHIR_TRANSACTION), *period = fhir_period(r);
    time_utc(r->as_of, issued);
    conclusion_words(r, words);
    json_object_set_new(report, "status", json_string(fhir_status(r)));
    json_object_set_new(report, "code", fhir_coded(LOINC, "96607-7", "Blood pressure panel mean systolic and mean diastolic"));
    json_object_set_new(report, "subject", fhir_reference(&m->patient, FHIR_TRANSACTION));
    if (period)
        json_object_set_new(report, "effectivePeriod", period);
    json_object_set_new(report, "issued", json_string(issued));
    json_object_set_new(report, "performer", json_pack("[{s:o}]", "display", fhir_string(r->clinic)));
    if (json_array_size(m->results))
        json_object_set(report, "result", m->results);
    json_object_set_new(report, "conclusion", fhir_string(words));
    if (pdf)
        json_object_set_new(report, "presentedForm", attachment(r, pdf, pdf_size));
    entry_add(m, &n, report);
}

char *fhir_bundle(const struct report *r, const void *pdf, size_t pdf_size)
{
    char at[TIME_TEXT];
    struct making m = {.r = r, .entries = json_array(), .results = json_array()};
    fhir_name_patient(&m.patient, &r->record->person, r->public_url);
    time_utc(r->as_of, at);
    entry_add(&m, &m.patient, fhir_patient(&r->record->person, r->record->clinic, r->public_url, FHIR_TRANSACTION));
    readings_add(&m);
    mean_add(&m);
    sizes_add(&m);
    issues_add(&m, &r->above);
    issues_add(&m, &r->quality);
    report_add(&m, pdf, pdf_size);
    json_decref(m.results);
    return fhir_text(json_pack("{s:s, s:s, s:s, s:o}", "resourceType", "Bundle", "type", "transaction", "timestamp", at, "entry",
                               m.entries));
}
