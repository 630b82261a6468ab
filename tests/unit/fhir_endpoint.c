/* The FHIR endpoint's answers, asked of a real store: what may be seen, how it is searched, paged and refused. Names of
 * parameters and prefixes as R4 search.html has them; the HTTP around it is claimed in tests/system/summary.c. */
#include "tests/unit/store_fresh.h"

#include "gateway/care/care.h"
#include "gateway/web/fhir.h"

enum { ANA = 101, BO = 102, CY = 103, OAK = 201, DAY1 = 20781 /* 2026-11-24 */ };

static struct clinic clinics[2];
static struct config config;
static struct fhir_answer answer;

static void clinic_make(struct clinic *c, const char *id)
{
    char why[200];
    snprintf(c->id, sizeof c->id, "%s", id);
    snprintf(c->name, sizeof c->name, "%s", id);
    snprintf(c->zone, sizeof c->zone, "Europe/London");
    snprintf(c->language, sizeof c->language, "en");
    snprintf(c->protocol_name, sizeof c->protocol_name, "esh");
    c->morning = (struct span){300, 720};
    c->evening = (struct span){960, 1440};
    if (protocol_find("esh", &c->protocol, why, sizeof why) < 0)
        fail_msg("%s", why);
}

static void person_make(struct db *db, int64_t id, const char *clinic, const char *ref)
{
    char phone[32];
    snprintf(phone, sizeof phone, "+447700900%03d", (int)id);
    struct person p = a_person(id, ref, phone);
    snprintf(p.clinic, sizeof p.clinic, "%s", clinic);
    snprintf(p.zone, sizeof p.zone, "Europe/London");
    snprintf(p.language, sizeof p.language, "en");
    p.morning_from = p.morning_to = p.evening_from = p.evening_to = p.quiet_from = p.quiet_to = -1;
    p.remind_morning = p.remind_evening = -1;
    p.monitor_check_sys = p.monitor_check_dia = 127;
    assert_int_equal(put_person(db, &p), 0);
}

/* A week of four readings a day, 132/84, ids from `first` on; ended. */
static void week_make(struct db *db, int64_t person, int64_t first, int days)
{
    struct effect e = {.kind = EFFECT_WEEK};
    e.week = (struct week){.id = first, .person = person, .number = 1, .version = 1, .state = WEEK_COMPLETE, .first_day = DAY1,
                           .last_day = DAY1 + days - 1, .days_wanted = 7, .opened_at = (DAY1 - 1) * INT64_C(86400),
                           .ended_at = (DAY1 + 7) * INT64_C(86400), .sent_at = INSTANT_NONE, .reviewed_at = INSTANT_NONE};
    snprintf(e.week.protocol, sizeof e.week.protocol, "esh");
    assert_int_equal(write_one_effect(db, &e), 0);
    for (int i = 0; i < 4 * days; i++) {
        int minute = (i % 4 < 2 ? 430 : 1180) + i % 2 * 2;
        struct effect one = {.kind = EFFECT_READING};
        one.reading = (struct reading){.id = first + 1 + i, .person = person, .week = first, .at = (DAY1 + i / 4) * INT64_C(86400) + minute * 60,
                                       .received = 1, .day = DAY1 + i / 4, .minute = (int16_t)minute,
                                       .slot = i % 4 < 2 ? SLOT_MORNING : SLOT_EVENING, .sys = 132, .dia = 84, .pulse = 70,
                                       .standing = i == 5 ? STANDING_HELD : STANDING_ACCEPTED, .temp_c = NAN};
        assert_int_equal(write_one_effect(db, &one), 0);
    }
}

static int setup(void **state)
{
    fresh_setup(state);
    struct db *db = ((struct fresh *)*state)->db;
    memset(&config, 0, sizeof config);
    memset(clinics, 0, sizeof clinics);
    clinic_make(&clinics[0], "maple");
    clinic_make(&clinics[1], "oak");
    config.clinics = clinics;
    config.n_clinics = 2;
    snprintf(config.public_url, sizeof config.public_url, "http://127.0.0.1:8481");
    person_make(db, ANA, "maple", "P-1");
    person_make(db, BO, "maple", "P-2");
    person_make(db, CY, "maple", "P-3");
    person_make(db, OAK, "oak", "P-1");
    week_make(db, ANA, 1000, 7);
    week_make(db, BO, 2000, 7);
    week_make(db, OAK, 3000, 7);
    return 0;
}

/* -- asking --------------------------------------------------------------------------------------------------------------- */

/* "/Observation?code=x&date=y": nothing in it is escaped. */
static json_t *ask_as(void **state, const struct clinic *clinic, const char *question)
{
    struct fhir_ask a = {.config = &config, .clinic = clinic, .now = (DAY1 + 20) * INT64_C(86400)};
    size_t n = strcspn(question, "?");
    snprintf(a.path, sizeof a.path, "%.*s", (int)n, question);
    for (const char *at = question + n; *at; at += n) {
        at++;
        n = strcspn(at, "&");
        int name = (int)strcspn(at, "=");
        snprintf(a.parameters[a.n_parameters].name, sizeof a.parameters[0].name, "%.*s", name, at);
        snprintf(a.parameters[a.n_parameters++].value, FHIR_VALUE_MAX, "%.*s", (int)n - name - 1, at + name + 1);
    }
    json_decref(answer.body);
    assert_int_equal(fhir_answer(((struct fresh *)*state)->db, &a, &answer), 0);
    return answer.body;
}

static json_t *ask(void **state, const char *question)
{
    return ask_as(state, &clinics[0], question);
}

static const char *text(json_t *j, const char *key)
{
    return json_string_value(json_object_get(j, key)) ? json_string_value(json_object_get(j, key)) : "";
}

static size_t found(json_t *bundle)
{
    return json_array_size(json_object_get(bundle, "entry"));
}

static json_t *entry(json_t *bundle, size_t i)
{
    return json_object_get(json_array_get(json_object_get(bundle, "entry"), i), "resource");
}

static const char *next_page(json_t *bundle)
{
    json_t *links = json_object_get(bundle, "link");
    for (size_t i = 0; i < json_array_size(links); i++)
        if (!strcmp(text(json_array_get(links, i), "relation"), "next"))
            return text(json_array_get(links, i), "url") + strlen("http://127.0.0.1:8481/fhir");
    return NULL;
}

/* -- claims ------------------------------------------------------------------------------------------------------------------- */

static void a_search_finds_what_it_names_and_nothing_else(void **state)
{
    static const struct {
        const char *question;
        size_t found;
        const char *why;
    } rows[] = {
        {"/Patient", 3, "this clinic's"},
        {"/Patient?identifier=P-2", 1, "by ref"},
        {"/Patient?identifier=http://127.0.0.1:8481/identifier/maple/patient|P-2", 1, "with our system"},
        {"/Patient?identifier=http://elsewhere.example|P-2", 0, "with another system"},
        {"/Patient?_id=102", 1, "by id"},
        {"/Patient?_id=201", 0, "another clinic's id"},
        {"/Patient?_id=x", 0, "no id of ours"},
        {"/Observation?_count=100", 56, "27 readings and an average each: one is held"},
        {"/Observation?patient=101&_count=100", 28, "of one patient"},
        {"/Observation?patient=Patient/101&_count=100", 28, "by reference"},
        {"/Observation?subject=Patient/101&_count=100", 28, "by its other name"},
        {"/Observation?patient=103", 0, "a patient without readings"},
        {"/Observation?patient=201", 0, "another clinic's patient"},
        {"/Observation?patient=abc", 0, "no patient"},
        {"/Observation?code=85354-9&_count=100", 54, "readings"},
        {"/Observation?code=http://loinc.org|96607-7", 2, "averages"},
        {"/Observation?code=8480-6,96607-7", 2, "one of two codes"},
        {"/Observation?code=http://snomed.info/sct|85354-9", 0, "another system's code"},
        {"/Observation?code=8480-6", 0, "a component's code is not the Observation's"},
        {"/Observation?date=2026-11-24&code=85354-9", 8, "a day"},
        {"/Observation?date=2026-11&code=85354-9&_count=100", 54, "a month"},
        {"/Observation?date=2027", 0, "another year"},
        {"/Observation?date=ge2026-11-29&code=85354-9", 16, "from a day on"},
        {"/Observation?date=gt2026-11-29&code=85354-9", 8, "after a day"},
        {"/Observation?date=lt2026-11-25&code=85354-9", 8, "before a day"},
        {"/Observation?date=le2026-11-25&code=85354-9", 14, "until the end of a day; one of each patient is held"},
        {"/Observation?date=ge2026-11-25&date=lt2026-11-26&code=85354-9", 6, "between two"},
        {"/Observation?date=2026-11-24T07:10:00Z", 2, "an instant"},
        {"/Observation?date=2026-11-24T08:10:00+01:00", 2, "the same in another zone"},
        {"/Observation?date=eq2026-11-24&date=eq2026-11-25", 0, "two days at once"},
        {"/Observation?date=2026-11&code=96607-7", 2, "a period within the month"},
        {"/Observation?date=2026-11-26&code=96607-7", 0, "a period is not within one of its days"},
        {"/Observation?date=ge2026-11-26&date=le2026-11-26&code=96607-7", 2, "but touches it"},
        {"/Observation?_id=r1001", 1, "a reading by id"},
        {"/Observation?_id=w1000", 1, "an average by id"},
        {"/Observation?_id=w1000&code=85354-9", 0, "which is no reading"},
        {"/Observation?_id=r1001&patient=102", 0, "which is another's"},
        {"/Observation?_id=r3001", 0, "another clinic's"},
        {"/Observation?_id=r1006", 0, "a held one"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        json_t *bundle = ask(state, rows[i].question);
        if (answer.status != 200 || found(bundle) != rows[i].found)
            fail_msg("%s (%s): %u, %zu found, not %zu", rows[i].question, rows[i].why, answer.status, found(bundle), rows[i].found);
        assert_string_equal(text(bundle, "type"), "searchset");
    }
}

static void pages_hold_everything_once(void **state)
{
    static const int counts[] = {1, 2, 7, 27, 28, 54, 55, 56, 100};
    for (size_t i = 0; i < sizeof counts / sizeof *counts; i++) {
        char question[200], seen[60][32];
        int n = 0;
        snprintf(question, sizeof question, "/Observation?_count=%d", counts[i]);
        for (const char *next = question; next;) {
            json_t *bundle = ask(state, next);
            assert_true((int)found(bundle) <= counts[i]);
            for (size_t k = 0; k < found(bundle); k++) {
                snprintf(seen[n], sizeof seen[0], "%s", text(entry(bundle, k), "id"));
                for (int j = 0; j < n; j++)
                    assert_string_not_equal(seen[j], seen[n]);
                assert_true(++n < 60);
            }
            next = next_page(bundle);
            if (next) {
                snprintf(question, sizeof question, "%s", next);
                next = question;
            }
        }
        assert_int_equal(n, 56);
    }
}

static void what_is_read_by_id_is_whole(void **state)
{
    json_t *o = ask(state, "/Observation/r1001");
    assert_int_equal(answer.status, 200);
    assert_string_equal(text(o, "id"), "r1001");
    assert_string_equal(text(json_object_get(o, "subject"), "reference"), "Patient/101");
    assert_string_equal(text(o, "effectiveDateTime"), "2026-11-24T07:10:00+00:00");
    assert_string_equal(text(json_array_get(json_object_get(o, "note"), 0), "text"), "not counted: first day");
    o = ask(state, "/Observation/w1000");
    assert_string_equal(text(o, "status"), "final");
    assert_int_equal(json_array_size(json_object_get(o, "derivedFrom")), 23);
    assert_string_equal(text(json_array_get(json_object_get(o, "derivedFrom"), 0), "reference"), "Observation/r1005");
    o = ask(state, "/Patient/101");
    assert_string_equal(text(json_array_get(json_object_get(o, "identifier"), 0), "value"), "P-1");
    assert_null(json_object_get(o, "telecom")); /* the number stays here */
}

static void what_may_not_be_seen_is_not_found(void **state)
{
    static const char *const questions[] = {"/Patient/201",     "/Patient/999",      "/Patient/",       "/Patient/101x",
                                            "/Observation/r3001", "/Observation/w3000", "/Observation/r1006", "/Observation/1001",
                                            "/Observation/r",   "/Condition/1",      "/",               "/Patient/101/_history"};
    for (size_t i = 0; i < sizeof questions / sizeof *questions; i++) {
        json_t *o = ask(state, questions[i]);
        if (answer.status != 404)
            fail_msg("%s: %u", questions[i], answer.status);
        assert_string_equal(text(o, "resourceType"), "OperationOutcome");
        assert_string_equal(text(json_array_get(json_object_get(o, "issue"), 0), "code"), "not-found");
    }
    json_t *bundle = ask_as(state, &clinics[1], "/Observation?patient=101");
    assert_int_equal(found(bundle), 0);
}

static void nothing_leaves_of_one_who_withdrew_consent(void **state)
{
    static const struct {
        const char *question;
        size_t found;
    } rows[] = {{"/Patient", 2}, {"/Observation?patient=101", 0}, {"/Observation?_count=100", 28}, {"/Observation?_id=r1001", 0}};
    struct db *db = ((struct fresh *)*state)->db;
    struct person p;
    bool there;
    assert_int_equal(person_get(db, ANA, &p, &there), 0);
    p.state = PERSON_WITHDRAWN;
    assert_int_equal(put_person(db, &p), 0);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        assert_int_equal(found(ask(state, rows[i].question)), rows[i].found);
    ask(state, "/Observation/r1001");
    assert_int_equal(answer.status, 404);
    ask(state, "/Patient/101");
    assert_int_equal(answer.status, 404);
}

static void a_question_that_is_not_understood_is_refused_not_guessed(void **state)
{
    static const struct {
        const char *question;
        unsigned status;
        const char *why;
    } rows[] = {
        {"/Observation?value-quantity=gt180", 400, "a filter that we do not have"},
        {"/Patient?name=Ana", 400, "likewise"},
        {"/Observation?date=yesterday", 400, "no date"},
        {"/Observation?date=ne2026-11-24", 400, "a prefix that we do not have"},
        {"/Observation?date=2026-13-01", 400, "no such month"},
        {"/Observation?date=", 400, "empty"},
        {"/Observation?_count=0", 400, "nothing asked for"},
        {"/Observation?_count=ten", 400, "no number"},
        {"/Observation?_page=x", 400, "not ours"},
        {"/Observation?_format=xml", 406, "JSON only"},
        {"/Observation?_format=json", 200, "which is fine"},
        {"/Observation?_count=5000", 200, "cut to the most"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        json_t *o = ask(state, rows[i].question);
        if (answer.status != rows[i].status)
            fail_msg("%s (%s): %u", rows[i].question, rows[i].why, answer.status);
        assert_string_equal(text(o, "resourceType"), rows[i].status == 200 ? "Bundle" : "OperationOutcome");
    }
}

static void the_server_tells_what_it_can(void **state)
{
    json_t *o = ask(state, "/metadata");
    assert_string_equal(text(o, "resourceType"), "CapabilityStatement");
    json_t *rest = json_array_get(json_object_get(o, "rest"), 0);
    assert_int_equal(json_array_size(json_object_get(rest, "resource")), 2);
}

static int teardown(void **state)
{
    json_decref(answer.body);
    answer.body = NULL;
    return fresh_teardown(state);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_search_finds_what_it_names_and_nothing_else, setup, teardown),
        cmocka_unit_test_setup_teardown(pages_hold_everything_once, setup, teardown),
        cmocka_unit_test_setup_teardown(what_is_read_by_id_is_whole, setup, teardown),
        cmocka_unit_test_setup_teardown(what_may_not_be_seen_is_not_found, setup, teardown),
        cmocka_unit_test_setup_teardown(nothing_leaves_of_one_who_withdrew_consent, setup, teardown),
        cmocka_unit_test_setup_teardown(a_question_that_is_not_understood_is_refused_not_guessed, setup, teardown),
        cmocka_unit_test_setup_teardown(the_server_tells_what_it_can, setup, teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
