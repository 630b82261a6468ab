/* The answer to a question: which resource or search it is, errors as OperationOutcome, pages as a searchset with links.
 *
 * Another clinic's patient is "not found", like one that does not exist.
 */
#include <glib.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/version.h"
#include "gateway/web/fhir.h"

int fhir_fail(struct fhir_answer *out, unsigned status, const char *code, const char *diagnostics)
{
    out->status = status;
    out->body = json_pack("{s:s, s:[{s:s, s:s, s:s}]}", "resourceType", "OperationOutcome", "issue", "severity", "error", "code", code,
                          "diagnostics", diagnostics);
    return 0;
}

/* -- the server itself ------------------------------------------------------------------------------------------------------ */

static json_t *parameter(const char *name, const char *type)
{
    return json_pack("{s:s, s:s}", "name", name, "type", type);
}

static json_t *resource(const char *type, json_t *parameters)
{
    return json_pack("{s:s, s:[{s:s}, {s:s}], s:s, s:b, s:o}", "type", type, "interaction", "code", "read", "code", "search-type",
                     "versioning", "no-version", "readHistory", 0, "searchParam", parameters);
}

/* 4.0.0: R4 as first published. What is answered is the same in 4.0.1, its technical correction, but the JSON schema that we
 * are checked with (tests/fhir) knows the first number only. */
json_t *fhir_capabilities(const struct config *config)
{
    char url[300];
    snprintf(url, sizeof url, "%s/fhir", config->public_url);
    json_t *patient = resource("Patient", json_pack("[o, o]", parameter("_id", "token"), parameter("identifier", "token")));
    json_t *observation = resource("Observation", json_pack("[o, o, o, o]", parameter("_id", "token"), parameter("patient", "reference"),
                                                           parameter("code", "token"), parameter("date", "date")));
    json_t *rest = json_pack("{s:s, s:{s:s}, s:[o, o]}", "mode", "server", "security", "description",
                             "A bearer token of one clinic; read only.", "resource", patient, observation);
    return json_pack("{s:s, s:s, s:s, s:s, s:s, s:[s], s:{s:s, s:s}, s:{s:s, s:s}, s:[o]}", "resourceType", "CapabilityStatement",
                     "status", "active", "date", "2026-11-25", "kind", "instance", "fhirVersion", "4.0.0", "format", "json", "software",
                     "name", "quietarm", "version", QUIETARM_VERSION, "implementation", "description",
                     "Home blood pressure readings of one clinic", "url", url, "rest", rest);
}

/* -- a page of a search ------------------------------------------------------------------------------------------------------ */

void fhir_entry(const struct fhir_ask *ask, json_t *entries, json_t *one)
{
    char url[400];
    snprintf(url, sizeof url, "%s/fhir/%s/%s", ask->config->public_url, json_string_value(json_object_get(one, "resourceType")),
             json_string_value(json_object_get(one, "id")));
    json_array_append_new(entries, json_pack("{s:s, s:o, s:{s:s}}", "fullUrl", url, "resource", one, "search", "mode", "match"));
}

/* The address of this search, with `page` instead of its own; malloced by GLib. */
static char *search_url(const struct fhir_ask *ask, const char *page)
{
    GString *url = g_string_new(ask->config->public_url);
    g_string_append_printf(url, "/fhir%s", ask->path);
    char mark = '?';
    for (int i = 0; i < ask->n_parameters; i++) {
        if (page && strcmp(ask->parameters[i].name, "_page") == 0)
            continue;
        g_string_append_c(url, mark);
        g_string_append_uri_escaped(url, ask->parameters[i].name, NULL, FALSE);
        g_string_append_c(url, '=');
        g_string_append_uri_escaped(url, ask->parameters[i].value, NULL, FALSE);
        mark = '&';
    }
    if (page)
        g_string_append_printf(url, "%c_page=%s", mark, page);
    return g_string_free(url, FALSE);
}

static void link_add(json_t *links, const char *relation, char *url)
{
    json_array_append_new(links, json_pack("{s:s, s:s}", "relation", relation, "url", url));
    g_free(url);
}

json_t *fhir_searchset(const struct fhir_ask *ask, json_t *entries, const char *next)
{
    json_t *links = json_array();
    link_add(links, "self", search_url(ask, NULL));
    if (next[0])
        link_add(links, "next", search_url(ask, next));
    json_t *bundle = json_pack("{s:s, s:s, s:o}", "resourceType", "Bundle", "type", "searchset", "link", links);
    if (json_array_size(entries))
        json_object_set(bundle, "entry", entries);
    json_decref(entries);
    return bundle;
}

/* -- which --------------------------------------------------------------------------------------------------------------------- */

int fhir_answer(struct db *db, const struct fhir_ask *ask, struct fhir_answer *out)
{
    const char *path = ask->path;
    *out = (struct fhir_answer){.status = 200};
    if (strcmp(path, "/metadata") == 0) {
        out->body = fhir_capabilities(ask->config);
        return 0;
    }
    if (strcmp(path, "/Patient") == 0)
        return fhir_search_patients(db, ask, out);
    if (strcmp(path, "/Observation") == 0)
        return fhir_search_observations(db, ask, out);
    if (strncmp(path, "/Patient/", 9) == 0)
        return fhir_read_patient(db, ask, path + 9, out);
    if (strncmp(path, "/Observation/", 13) == 0)
        return fhir_read_observation(db, ask, path + 13, out);
    return fhir_fail(out, 404, "not-found", "there is metadata, Patient and Observation here");
}
