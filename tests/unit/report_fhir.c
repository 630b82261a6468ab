/* What validators do not see of FHIR: a wrong code or unit, a component that is missing, no subject, a reference to nothing,
 * two effective times. Codes are those of LOINC and SNOMED CT as named in gateway/report/fhir.h, units of UCUM, the profile
 * that of R4 vital signs (observation-vitalsigns, bp). */
#include <glib.h>
#include <jansson.h>

#include "gateway/report/fhir.h"
#include "tests/report_fixture.h"

static struct report_fixture f;
static json_t *bundle;

static void bundle_of(const void *pdf, size_t size)
{
    char *text = fhir_bundle(report_fixture_make(&f), pdf, size);
    assert_non_null(text);
    bundle = json_loads(text, JSON_REJECT_DUPLICATES, NULL);
    assert_non_null(bundle);
    free(text);
}

static void closed(void)
{
    json_decref(bundle);
    report_close(&f.report);
}

static void open_week(void)
{
    report_fixture_open(&f, "esh");
    report_fixture_read(&f, 28, 2);
    report_fixture_end(&f, 7, WEEK_COMPLETE);
}

static const char *at(json_t *j, const char *path)
{
    char part[80];
    while (j && *path) {
        size_t n = strcspn(path, "/");
        snprintf(part, sizeof part, "%.*s", (int)n, path);
        j = json_is_array(j) ? json_array_get(j, (size_t)strtoul(part, NULL, 10)) : json_object_get(j, part);
        path += n + (path[n] == '/');
    }
    return json_string_value(j) ? json_string_value(j) : json_is_integer(j) ? "integer" : j ? "there" : "";
}

static json_t *resource(size_t i)
{
    return json_object_get(json_array_get(json_object_get(bundle, "entry"), i), "resource");
}

static size_t entries(void)
{
    return json_array_size(json_object_get(bundle, "entry"));
}

static json_t *find(const char *type, const char *code)
{
    for (size_t i = 0; i < entries(); i++)
        if (!strcmp(at(resource(i), "resourceType"), type) && (!code || !strcmp(at(resource(i), "code/coding/0/code"), code)))
            return resource(i);
    return NULL;
}

static void component_is(json_t *o, size_t i, const char *code, const char *unit, json_int_t value)
{
    json_t *c = json_array_get(json_object_get(o, "component"), i), *q = json_object_get(c, "valueQuantity");
    assert_string_equal(at(c, "code/coding/0/system"), "http://loinc.org");
    assert_string_equal(at(c, "code/coding/0/code"), code);
    assert_string_equal(at(q, "system"), "http://unitsofmeasure.org");
    assert_string_equal(at(q, "code"), unit);
    assert_int_equal(json_integer_value(json_object_get(q, "value")), value);
}

static void each_accepted_reading_is_an_observation_of_the_profile(void **state)
{
    (void)state;
    open_week();
    f.week.readings[7].standing = STANDING_HELD;
    f.week.readings[8].standing = STANDING_VOID;
    f.week.record.person.on_arm = ARM_LEFT;
    f.week.readings[9].arm = ARM_RIGHT;
    f.week.readings[9].temp_c = 17.5;
    bundle_of(NULL, 0);
    int n = 0;
    for (size_t i = 0; i < entries(); i++) {
        json_t *o = resource(i);
        if (strcmp(at(o, "code/coding/0/code"), "85354-9") != 0)
            continue;
        const struct reading *x = &f.week.readings[strtol(at(o, "identifier/0/value"), NULL, 10) - 1];
        n++;
        assert_string_equal(at(o, "meta/profile/0"), "http://hl7.org/fhir/StructureDefinition/bp");
        assert_string_equal(at(o, "status"), "final");
        assert_string_equal(at(o, "category/0/coding/0/code"), "vital-signs");
        assert_int_equal(strncmp(at(o, "subject/reference"), "urn:uuid:", 9), 0);
        assert_string_equal(at(o, "effectivePeriod"), "");
        assert_int_equal(strlen(at(o, "effectiveDateTime")), 25); /* seconds and zone */
        assert_string_equal(at(o, "valueQuantity"), "");
        component_is(o, 0, "8480-6", "mm[Hg]", x->sys);
        component_is(o, 1, "8462-4", "mm[Hg]", x->dia);
        component_is(o, 2, "8867-4", "/min", x->pulse);
        assert_string_equal(at(o, "bodySite/coding/0/code"), x->arm == ARM_RIGHT ? "368209003" : "368208006");
        assert_string_equal(at(o, "component/3/code/coding/0/code"), x->id == 10 ? "60832-3" : "");
        if (x->id <= 4)
            assert_string_equal(at(o, "note/0/text"), "not counted: first day");
    }
    assert_int_equal(n, 26);
    closed();
}

static void the_average_is_a_panel_of_means_over_its_period(void **state)
{
    (void)state;
    open_week();
    bundle_of(NULL, 0);
    json_t *o = find("Observation", "96607-7");
    assert_non_null(o);
    assert_string_equal(at(o, "status"), "final");
    assert_string_equal(at(o, "effectiveDateTime"), "");
    assert_string_equal(at(o, "effectivePeriod/start"), "2026-11-25T07:10:00+00:00"); /* the first day is left out */
    assert_string_equal(at(o, "effectivePeriod/end"), "2026-11-30T19:42:00+00:00");
    component_is(o, 0, "96608-5", "mm[Hg]", 136);
    component_is(o, 1, "96609-3", "mm[Hg]", 85);
    assert_int_equal(json_array_size(json_object_get(o, "derivedFrom")), 24);
    assert_null(find("Observation", "8478-0")); /* that is arterial mean pressure */
    closed();
}

/* What an earlier version sent as good and a later one does not count any more is called back by its own name. */
static void a_later_version_calls_back_what_was_taken_back(void **state)
{
    static const struct {
        int version, standing, held;
        const char *status, *why;
    } rows[] = {{1, STANDING_VOID, 0, "", "never sent"},
                {2, STANDING_ACCEPTED, 0, "final", "still good"},
                {2, STANDING_VOID, 0, "entered-in-error", "void at the desk"},
                {2, STANDING_REPLACED, 0, "entered-in-error", "corrected by the patient"},
                {2, STANDING_HELD, HELD_AMENDED, "preliminary", "taken back, and not yet said what it should be"},
                {2, STANDING_HELD, HELD_OUTLIER, "", "was never accepted"}};
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const char *status = "";
        open_week();
        f.week.record.week.version = (int16_t)rows[i].version;
        f.week.readings[9].standing = (enum standing)rows[i].standing;
        f.week.readings[9].held = (uint16_t)rows[i].held;
        bundle_of(NULL, 0);
        for (size_t k = 0; k < entries(); k++)
            if (!strcmp(at(resource(k), "code/coding/0/code"), "85354-9") && !strcmp(at(resource(k), "identifier/0/value"), "10"))
                status = at(resource(k), "status");
        if (strcmp(status, rows[i].status) != 0)
            fail_msg("%s: \"%s\"", rows[i].why, status);
        size_t good = 27 + (rows[i].standing == STANDING_ACCEPTED);
        assert_int_equal(json_array_size(json_object_get(find("DiagnosticReport", NULL), "result")), good + 1);
        closed();
    }
}

/* R4: a dateTime with a time has seconds and a zone. In a zone of an hour east the same instant is written an hour later; from a
 * change of the clocks on, by another offset. */
static void times_carry_the_offset_of_their_day(void **state)
{
    (void)state;
    open_week();
    f.week.record.zone = (struct offsets){.n = 2, .at = {{.seconds = 3600}, {.from = fixture_instant(&f.week, 2, 0), .seconds = -1800}}};
    bundle_of(NULL, 0);
    assert_string_equal(at(resource(1), "effectiveDateTime"), "2026-11-24T08:10:00+01:00");
    assert_string_equal(at(resource(5), "effectiveDateTime"), "2026-11-25T06:40:00-00:30");
    closed();
}

static void status_follows_the_week(void **state)
{
    static const struct {
        int readings, version;
        bool ended;
        const char *status, *why;
    } rows[] = {{28, 1, true, "final", "ended, enough"},
                {28, 2, true, "amended", "corrected after its end"},
                {28, 1, false, "preliminary", "still running"},
                {8, 1, true, "preliminary", "not enough for a category"}};
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        report_fixture_open(&f, "esh");
        report_fixture_read(&f, rows[i].readings, 2);
        if (rows[i].ended)
            report_fixture_end(&f, 7, rows[i].readings > 8 ? WEEK_COMPLETE : WEEK_SHORT);
        f.week.record.week.version = (int16_t)rows[i].version;
        bundle_of(NULL, 0);
        if (strcmp(at(find("DiagnosticReport", NULL), "status"), rows[i].status) != 0)
            fail_msg("%s: %s", rows[i].why, at(find("DiagnosticReport", NULL), "status"));
        closed();
    }
}

static void references_walk(json_t *j, const char *const *urls, size_t n)
{
    const char *key;
    json_t *value;
    size_t i;
    const char *to = json_string_value(json_object_get(j, "reference"));
    bool found = !to;
    for (i = 0; i < n && !found; i++)
        found = strcmp(urls[i], to) == 0;
    if (!found)
        fail_msg("%s points nowhere", to);
    json_object_foreach(j, key, value) references_walk(value, urls, n);
    json_array_foreach(j, i, value) references_walk(value, urls, n);
}

static void every_reference_points_into_the_bundle_and_every_entry_replaces(void **state)
{
    const char *urls[80];
    (void)state;
    open_week();
    struct person *p = &f.week.record.person;
    p->arm_cm = 36, p->cuff_low = 22, p->cuff_high = 32, p->validated = ANSWER_NO;
    p->monitor_check_sys = 12, p->monitor_check_dia = 0;
    bundle_of("%PDF", 4);
    assert_string_equal(at(bundle, "type"), "transaction");
    for (size_t i = 0; i < entries(); i++) {
        json_t *entry = json_array_get(json_object_get(bundle, "entry"), i);
        char want[80];
        urls[i] = at(entry, "fullUrl");
        snprintf(want, sizeof want, "%s?identifier=", at(entry, "resource/resourceType"));
        assert_string_equal(at(entry, "request/method"), "PUT");
        assert_int_equal(strncmp(at(entry, "request/url"), want, strlen(want)), 0);
        assert_null(strpbrk(at(entry, "request/url"), " |"));
        assert_int_equal(urls[i][9 + 14], '5'); /* RFC 9562: the version of a name-based UUID by SHA-1 */
        assert_non_null(strchr("89ab", urls[i][9 + 19]));
        for (size_t k = 0; k < i; k++)
            assert_string_not_equal(urls[i], urls[k]);
    }
    references_walk(bundle, urls, entries());
    closed();
}

/* RFC 9562 has no example of this name; Python's uuid.uuid5(uuid.NAMESPACE_URL, "…/identifier/maple/patient|P-0001") gave it. */
static void names_are_those_of_another_maker(void **state)
{
    (void)state;
    open_week();
    bundle_of(NULL, 0);
    assert_string_equal(at(bundle, "entry/0/fullUrl"), "urn:uuid:94cea64b-e335-5ebf-a28d-f40a0586acb0");
    closed();
}

static void the_pdf_is_in_the_report_whole(void **state)
{
    static const char pdf[] = "%PDF-1.5 \x00\xff bytes";
    gsize size = 0;
    (void)state;
    open_week();
    bundle_of(pdf, sizeof pdf);
    json_t *report = find("DiagnosticReport", NULL);
    assert_string_equal(at(report, "presentedForm/0/contentType"), "application/pdf");
    guchar *bytes = g_base64_decode(at(report, "presentedForm/0/data"), &size);
    assert_int_equal(size, sizeof pdf);
    assert_memory_equal(bytes, pdf, size);
    g_free(bytes);
    assert_int_equal(json_array_size(json_object_get(report, "result")), 28 + 1);
    assert_non_null(strstr(at(report, "conclusion"), "does not replace it"));
    closed();
}

static void what_undermines_the_average_is_an_issue_of_its_own(void **state)
{
    (void)state;
    open_week();
    struct person *p = &f.week.record.person;
    p->arm_cm = 36, p->cuff_low = 22, p->cuff_high = 32;
    bundle_of(NULL, 0);
    json_t *issue = find("DetectedIssue", NULL);
    assert_non_null(issue);
    assert_string_equal(at(issue, "code/text"), "cuff");
    assert_string_equal(at(issue, "severity"), "moderate");
    assert_non_null(strstr(at(issue, "detail"), "too small"));
    component_is(find("Observation", "96607-7"), 0, "96608-5", "mm[Hg]", 136); /* and nothing is corrected */
    assert_string_equal(at(find("Observation", "56072-2"), "valueQuantity/code"), "cm");
    assert_non_null(strstr(at(find("Observation", "8358-4"), "valueString"), "22 to 32 cm"));
    closed();
}

static void a_week_without_readings_has_a_patient_and_a_report(void **state)
{
    (void)state;
    report_fixture_open(&f, "esh");
    f.week.record.week.first_day = DAY_NONE;
    bundle_of(NULL, 0);
    assert_int_equal(entries(), 2);
    assert_null(find("Observation", NULL));
    closed();
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_accepted_reading_is_an_observation_of_the_profile),
        cmocka_unit_test(the_average_is_a_panel_of_means_over_its_period),
        cmocka_unit_test(a_later_version_calls_back_what_was_taken_back),
        cmocka_unit_test(times_carry_the_offset_of_their_day),
        cmocka_unit_test(status_follows_the_week),
        cmocka_unit_test(every_reference_points_into_the_bundle_and_every_entry_replaces),
        cmocka_unit_test(names_are_those_of_another_maker),
        cmocka_unit_test(the_pdf_is_in_the_report_whole),
        cmocka_unit_test(what_undermines_the_average_is_an_issue_of_its_own),
        cmocka_unit_test(a_week_without_readings_has_a_patient_and_a_report),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
