/* The desk at work: alerts taken and resolved, held readings decided, texts answered, rows put off and handed over, patients
 * enrolled one by one and from a table; and two people at one thing, of whom the second is told.
 *
 * The program is the real one; what came of it is read from `week --json`, the carrier, and `verify`.
 */
#include "tests/system/desk_client.h"

#include "gateway/web/desk/room.h"

static const char maple_number[] = "+447700900001", phone[] = "+447700900101";

static void enrolled(struct stage *g, const char *ref, const char *number_of)
{
    char command[256];
    snprintf(command, sizeof command, "enrol --clinic maple --ref %s --phone %s --joined --name 'Ada Example'", ref, number_of);
    assert_int_equal(stage_run(g, command, 0), 0);
}

static void texted(struct stage *g, const char *words)
{
    assert_int_equal(stage_text(g, phone, maple_number, words), 200);
    assert_int_equal(stage_move(g, g->now + 60), 0);
}

/* The week of P-0001 as JSON; the caller's. */
static json_t *week_json(struct stage *g)
{
    assert_int_equal(stage_run(g, "week --clinic maple --ref P-0001 --json", 0), 0);
    json_t *week = json_loads(g->output, 0, NULL);
    assert_non_null(week);
    return week;
}

static const char *standing_of(const json_t *week, int sys)
{
    const json_t *list = json_object_get(week, "readings");
    for (size_t i = 0; i < json_array_size(list); i++) {
        const json_t *x = json_array_get(list, i);
        if (json_integer_value(json_object_get(x, "sys")) == sys)
            return json_string_value(json_object_get(x, "standing"));
    }
    return "none";
}

static bool carrier_sent(struct stage *g, const char *words)
{
    assert_int_equal(stage_move(g, g->now + 5), 0);
    assert_int_equal(stage_hear(g), 0);
    for (size_t i = 0; i < json_array_size(g->sent); i++) {
        const char *body = json_string_value(json_object_get(json_array_get(g->sent, i), "text"));
        if (body && strstr(body, words))
            return true;
    }
    return false;
}

static void post_to(struct client *c, const char *before, long long id, const char *after, const char *fields, long wanted)
{
    char path[96];
    snprintf(path, sizeof path, "%s%lld%s", before, id, after);
    if (client_post(c, path, fields) != wanted)
        fail_msg("%s %s: %ld, not %ld\n%s", path, fields, c->status, wanted, c->page);
}

static void get_of(struct client *c, const char *before, long long id, const char *after)
{
    char path[96];
    snprintf(path, sizeof path, "%s%lld%s", before, id, after);
    if (client_get(c, path) != 200)
        fail_msg("%s: %ld", path, c->status);
}

/* -- alerts ---------------------------------------------------------------------------------------------------------------------- */

static void an_alert_is_taken_by_one_and_resolved_with_a_note(void **state)
{
    struct desk_scene *scene = *state;
    struct stage *g = &scene->g;
    enrolled(g, "P-0001", phone);
    texted(g, "186/104 80");
    texted(g, "188/106 82");
    struct client *anna = client_in(g, "anna"), *ben = client_in(g, "ben");
    long long alert = page_number(anna, "/desk/alert/");
    assert_true(alert > 0);
    post_to(anna, "/desk/alert/", alert, "/take", "", 303);
    post_to(ben, "/desk/alert/", alert, "/take", "", 409);
    assert_true(client_shows(ben, word(WORD_IT_CHANGED)));
    get_of(ben, "/desk/alert/", alert, "");
    assert_true(client_shows(ben, "Taken by anna."));
    post_to(anna, "/desk/alert/", alert, "/resolve", "note=++", 422);
    assert_true(client_shows(anna, word(WORD_OUTCOME_MISSING)));
    post_to(anna, "/desk/alert/", alert, "/resolve", "note=Rang+her%3B+she+is+seen+at+noon.", 303);
    post_to(ben, "/desk/alert/", alert, "/resolve", "note=too+late", 409);
    get_of(anna, "/desk/alert/", alert, "");
    assert_true(client_shows(anna, "Rang her; she is seen at noon."));
    assert_true(client_shows(anna, "188/106 82")); /* the episode has every text */
    assert_false(client_shows(anna, "too late"));
    json_t *week = week_json(g);
    const json_t *first = json_array_get(json_object_get(week, "alerts"), 0);
    assert_true(json_is_string(json_object_get(first, "taken_at")) && json_is_string(json_object_get(first, "resolved_at")));
    json_decref(week);
    client_free(anna);
    client_free(ben);
}

/* -- held readings ------------------------------------------------------------------------------------------------------------------ */

static void held_readings_are_accepted_voided_or_joined_by_the_right_one(void **state)
{
    struct desk_scene *scene = *state;
    struct stage *g = &scene->g;
    static const char *const texts[] = {"132/84 71", "68/50 60", "265/84 70", "84/132"};
    enrolled(g, "P-0001", phone);
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++)
        texted(g, texts[i]);
    json_t *week = week_json(g);
    assert_string_equal(standing_of(week, 68), "held");
    assert_string_equal(standing_of(week, 265), "held");
    const json_t *list = json_object_get(week, "readings");
    long long low = 0, high = 0;
    for (size_t i = 0; i < json_array_size(list); i++) {
        const json_t *x = json_array_get(list, i);
        long long id = json_integer_value(json_object_get(x, "id"));
        low = json_integer_value(json_object_get(x, "sys")) == 68 ? id : low;
        high = json_integer_value(json_object_get(x, "sys")) == 265 ? id : high;
    }
    json_decref(week);
    struct client *c = client_in(g, "anna");
    get_of(c, "/desk/reading/", low, "");
    assert_true(client_shows(c, word(WORD_HELD_LIMITS)) && client_shows(c, "68/50 60"));
    post_to(c, "/desk/reading/", low, "/accept", "note=", 422);
    post_to(c, "/desk/reading/", low, "/accept", "note=confirmed+by+telephone", 303);
    post_to(c, "/desk/reading/", low, "/accept", "note=again", 409);
    post_to(c, "/desk/reading/", high, "/add", "sys=165&dia=84&pulse=70&at=2026-12-01T08:03&slot=morning&note=mistyped", 303);
    week = week_json(g);
    assert_string_equal(standing_of(week, 68), "accepted");
    assert_string_equal(standing_of(week, 265), "void");
    assert_string_equal(standing_of(week, 165), "accepted");
    json_decref(week);
    post_to(c, "/desk/reading/", low, "/void", "note=her+husband%27s", 303);
    static const char *const wrong[] = {"sys=84&dia=132&at=2026-12-01T08:00&note=x", "sys=999&dia=84&at=2026-12-01T08:00&note=x",
                                        "sys=132&dia=84&at=2027-12-01T08:00&note=x", "sys=132&dia=84&at=nonsense&note=x",
                                        "sys=132&dia=84&at=2026-12-01T08:00&note="};
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++)
        post_to(c, "/desk/reading/", high, "/add", wrong[i], 422);
    client_free(c);
}

/* -- rows --------------------------------------------------------------------------------------------------------------------------- */

static void of_two_people_on_a_row_the_second_is_told(void **state)
{
    struct desk_scene *scene = *state;
    struct stage *g = &scene->g;
    enrolled(g, "P-0001", phone);
    texted(g, "can I take my tablets at noon instead?");
    struct client *anna = client_in(g, "anna"), *ben = client_in(g, "ben");
    long long row = page_number(anna, "/desk/row/");
    get_of(anna, "/desk/row/", row, "");
    get_of(ben, "/desk/row/", row, "");
    long long version = page_number(ben, "name=\"version\" value=\"");
    char fields[64];
    snprintf(fields, sizeof fields, "version=%lld", version);
    post_to(anna, "/desk/row/", row, "/take", fields, 303);
    post_to(ben, "/desk/row/", row, "/take", fields, 409);
    post_to(ben, "/desk/row/", row, "/done", fields, 409);
    post_to(ben, "/desk/row/", row, "/done", "", 400); /* no version: no form of ours */
    get_of(ben, "/desk/row/", row, "");
    assert_true(client_shows(ben, "Taken by anna."));
    snprintf(fields, sizeof fields, "version=%lld&to=ben&note=I+am+off+at+noon", version + 1);
    post_to(anna, "/desk/row/", row, "/hand-over", fields, 303);
    get_of(ben, "/desk/row/", row, "");
    assert_true(client_shows(ben, "I am off at noon") && client_shows(ben, "Taken by ben."));
    snprintf(fields, sizeof fields, "version=%lld&to=bea", version + 2);
    post_to(ben, "/desk/row/", row, "/hand-over", fields, 422); /* of another clinic */
    snprintf(fields, sizeof fields, "version=%lld&until=2026-12-01T12:00", version + 2);
    post_to(ben, "/desk/row/", row, "/put-off", fields, 303);
    assert_int_equal(client_get(ben, "/desk/list"), 200);
    assert_true(client_shows(ben, word(WORD_LIST_EMPTY)));
    assert_int_equal(stage_move(g, 1796112000 + 4 * 3600 + 60), 0);
    assert_int_equal(client_get(ben, "/desk/list"), 200);
    assert_true(page_number(ben, "/desk/row/") == row);
    client_free(anna);
    client_free(ben);
}

static void a_question_is_answered_by_text_and_done(void **state)
{
    struct desk_scene *scene = *state;
    struct stage *g = &scene->g;
    enrolled(g, "P-0001", phone);
    texted(g, "can I take my tablets at noon instead?");
    struct client *c = client_in(g, "anna");
    long long row = page_number(c, "/desk/row/");
    get_of(c, "/desk/row/", row, "");
    post_to(c, "/desk/row/", row, "/answer", "version=0&words=+&step=send", 422);
    post_to(c, "/desk/row/", row, "/answer", "version=0&words=&ready=ring&step=words", 200);
    assert_true(client_shows(c, "Please ring us today.") && client_shows(c, "1 segment"));
    post_to(c, "/desk/row/", row, "/answer", "version=0&words=Dr+Hale+will+ring+you+at+ten.&step=send", 303);
    assert_true(carrier_sent(g, "Dr Hale will ring you at ten."));
    assert_int_equal(client_get(c, "/desk/list"), 200);
    assert_true(client_shows(c, word(WORD_LIST_EMPTY)));
    client_free(c);
}

static void a_form_that_is_sent_twice_is_taken_once(void **state)
{
    struct desk_scene *scene = *state;
    struct stage *g = &scene->g;
    char fields[128], mark[20] = "";
    enrolled(g, "P-0001", phone);
    struct client *c = client_in(g, "anna");
    assert_int_equal(client_get(c, "/desk/patients"), 200);
    long long person = page_number(c, "/desk/patient/");
    get_of(c, "/desk/patient/", person, "/write");
    const char *at = strstr(strstr(c->page, "/write\""), "name=\"once\" value=\"");
    assert_non_null(at);
    snprintf(mark, sizeof mark, "%.16s", at + 19);
    snprintf(fields, sizeof fields, "once=%s&step=send&words=", mark);
    post_to(c, "/desk/patient/", person, "/write", fields, 422); /* refused: it may be sent again */
    snprintf(fields, sizeof fields, "once=%s&step=send&words=Please+ring+us.", mark);
    post_to(c, "/desk/patient/", person, "/write", fields, 303);
    post_to(c, "/desk/patient/", person, "/write", fields, 409);
    assert_true(carrier_sent(g, "Please ring us."));
    size_t n = 0;
    for (size_t i = 0; i < json_array_size(g->sent); i++) {
        const char *body = json_string_value(json_object_get(json_array_get(g->sent, i), "text"));
        n += body && strcmp(body, "Please ring us.") == 0;
    }
    assert_int_equal(n, 1);
    client_free(c);
}

/* -- enrolling and editing ------------------------------------------------------------------------------------------------------------ */

static void enrolling_says_what_is_wrong_beside_each_field(void **state)
{
    struct desk_scene *scene = *state;
    struct stage *g = &scene->g;
    static const struct {
        const char *fields, *shows, *why;
    } rows[] = {
        {"ref=&phone=%2B447700900101", "href=\"#ref\"", "no reference"},
        {"ref=P-0001&phone=12", "href=\"#phone\"", "no number"},
        {"ref=P-0001&phone=%2B447700900101&born=2015-01-01", "href=\"#born\"", "under 18"},
        {"ref=P-0001&phone=%2B447700900101&arm=500", "href=\"#arm\"", "no arm"},
        {"ref=P-0001&phone=%2B447700900101&morning=05%3A00-18%3A00", "overlap", "windows that meet"},
    };
    struct client *c = client_in(g, "anna");
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        assert_int_equal(client_get(c, "/desk/enrol"), 200);
        if (client_post(c, "/desk/enrol", rows[i].fields) != 422 || !client_shows(c, rows[i].shows))
            fail_msg("%s: %ld", rows[i].why, c->status);
    }
    assert_int_equal(client_post(c, "/desk/enrol", "ref=P-0001&phone=%2B447700900101&name=Ada&language=en"), 303);
    assert_true(carrier_sent(g, "Maple Row Practice"));
    assert_int_equal(client_post(c, "/desk/enrol", "ref=P-0001&phone=%2B447700900102&language=en"), 422);
    assert_int_equal(client_post(c, "/desk/enrol", "ref=P-0002&phone=%2B447700900101&language=en"), 422);
    client_free(c);
}

static void of_two_people_at_the_details_the_second_is_told(void **state)
{
    struct desk_scene *scene = *state;
    struct stage *g = &scene->g;
    char fields[256];
    enrolled(g, "P-0001", phone);
    struct client *anna = client_in(g, "anna"), *ben = client_in(g, "ben");
    assert_int_equal(client_get(anna, "/desk/patients"), 200);
    long long person = page_number(anna, "/desk/patient/");
    get_of(anna, "/desk/patient/", person, "/edit");
    get_of(ben, "/desk/patient/", person, "/edit");
    snprintf(fields, sizeof fields, "mark=%lld&ref=P-0001&phone=%%2B447700900101&name=Ada+Example&language=en&arm=31&cuff=22-42",
             page_number(anna, "name=\"mark\" value=\""));
    post_to(anna, "/desk/patient/", person, "/edit", fields, 303);
    post_to(ben, "/desk/patient/", person, "/edit", fields, 409);
    get_of(ben, "/desk/patient/", person, "/edit");
    assert_true(client_shows(ben, "value=\"31\"") && client_shows(ben, "value=\"22-42\""));
    json_t *week = week_json(g);
    assert_string_equal(json_string_value(json_object_get(week, "cuff")), "fits");
    json_decref(week);
    client_free(anna);
    client_free(ben);
}

/* The table as a browser sends it: multipart, a file. */
static long roster_post(struct client *c, const char *table)
{
    char url[128], origin[96];
    snprintf(url, sizeof url, "%s/desk/roster", c->origin);
    snprintf(origin, sizeof origin, "Origin: %s", c->origin);
    struct curl_slist *headers = curl_slist_append(NULL, origin);
    curl_mime *form = curl_mime_init(c->curl);
    curl_mimepart *part = curl_mime_addpart(form);
    curl_mime_name(part, "token");
    curl_mime_data(part, c->token, CURL_ZERO_TERMINATED);
    part = curl_mime_addpart(form);
    curl_mime_name(part, "file");
    curl_mime_filename(part, "table.csv");
    curl_mime_data(part, table, CURL_ZERO_TERMINATED);
    c->n_page = c->n_head = 0;
    curl_easy_setopt(c->curl, CURLOPT_URL, url);
    curl_easy_setopt(c->curl, CURLOPT_HTTPHEADER, headers);
    curl_easy_setopt(c->curl, CURLOPT_MIMEPOST, form);
    assert_int_equal(curl_easy_perform(c->curl), CURLE_OK);
    curl_easy_getinfo(c->curl, CURLINFO_RESPONSE_CODE, &c->status);
    curl_easy_setopt(c->curl, CURLOPT_MIMEPOST, NULL);
    curl_mime_free(form);
    curl_slist_free_all(headers);
    return c->status;
}

static void a_table_is_shown_whole_before_anything_is_saved(void **state)
{
    struct desk_scene *scene = *state;
    struct stage *g = &scene->g;
    const struct {
        const char *table, *shows, *why;
    } rows[] = {
        {"ref,phone,colour\nP-1,+447700900101,red\n", "colour", "an unknown column"},
        {"ref\nP-1\n", "phone", "a missing column"},
        {"ref,phone\nP-1,+447700900101\nP-1,+447700900102\n", word(WORD_REF_TWICE), "a reference twice"},
        {"ref,phone\nP-1,+447700900101\nP-2,+447700900101\n", word(WORD_PHONE_TWICE), "a number twice"},
        {"ref,phone\nP-1,+447700900101,x\n", word(WORD_ROW_LENGTH), "a cell too many"},
        {"ref,phone,born\nP-1,+447700900101,2020-01-01\n", "born", "a child"},
        {"", word(WORD_TABLE_EMPTY), "nothing"},
        {"ref,phone,name\nP-1,+447700900101,<script>alert(1)</script>\nP-2,12,x\n", "phone", "one good, one bad"},
    };
    struct client *c = client_in(g, "anna");
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        assert_int_equal(client_get(c, "/desk/roster"), 200);
        if (roster_post(c, rows[i].table) != 422 || !client_shows(c, rows[i].shows) || client_shows(c, "<script>alert"))
            fail_msg("%s: %ld\n%s", rows[i].why, c->status, c->page);
    }
    assert_int_equal(client_get(c, "/desk/patients"), 200);
    assert_true(client_shows(c, word(WORD_NOBODY_YET)));
    assert_int_equal(client_get(c, "/desk/roster"), 200);
    assert_int_equal(roster_post(c, "ref,phone,name,joined\nP-1,+447700900101,Ada,yes\nP-2,+447700900102,Bo,no\n"), 200);
    assert_true(client_shows(c, "2 patients, no mistake."));
    assert_int_equal(client_get(c, "/desk/patients"), 200);
    assert_true(client_shows(c, word(WORD_NOBODY_YET))); /* looking saves nothing */
    assert_int_equal(client_get(c, "/desk/roster"), 200);
    assert_int_equal(client_post(c, "/desk/roster", "table=ref,phone%0D%0AP-1,%2B447700900101%0D%0AP-2,%2B447700900102%0D%0A"),
                     303);
    assert_int_equal(client_get(c, "/desk/patients"), 200);
    assert_true(client_shows(c, "P-1") && client_shows(c, "P-2"));
    client_free(c);
}

/* -- the patient's page, files, table, audit -------------------------------------------------------------------------------------------- */

static void what_is_done_with_a_patient_is_done_audited_and_verified(void **state)
{
    struct desk_scene *scene = *state;
    struct stage *g = &scene->g;
    enrolled(g, "P-0001", phone);
    texted(g, "132/84 71");
    texted(g, "130/82 70");
    struct client *anna = client_in(g, "anna"), *cleo = client_in(g, "cleo"), *dora = client_in(g, "dora");
    assert_int_equal(client_get(anna, "/desk/patients"), 200);
    long long person = page_number(anna, "/desk/patient/");
    static const struct {
        const char *after, *type, *begins;
    } files[] = {{"/week/1/print", "text/html", "<!doctype html>"},
                 {"/week/1/pdf", "application/pdf", "%PDF-"},
                 {"/week/1/csv", "text/csv", "clinic,ref"},
                 {"/week/1/fhir", "application/fhir+json", "{"}};
    for (size_t i = 0; i < sizeof files / sizeof *files; i++) {
        get_of(anna, "/desk/patient/", person, files[i].after);
        if (!strstr(anna->head, files[i].type) || strncmp(anna->page, files[i].begins, strlen(files[i].begins)) != 0)
            fail_msg("%s: %s", files[i].after, anna->head);
    }
    get_of(anna, "/desk/patient/", person, "/add");
    post_to(anna, "/desk/patient/", person, "/add", "sys=136&dia=86&at=2026-12-01T08:01&slot=morning&note=rang+up", 303);
    post_to(anna, "/desk/patient/", person, "/extend", "days=2", 303);
    post_to(anna, "/desk/patient/", person, "/extend", "days=99", 422);
    post_to(anna, "/desk/patient/", person, "/pause", "until=2026-12-05T08:00", 303);
    post_to(anna, "/desk/patient/", person, "/resume", "", 303);
    post_to(anna, "/desk/patient/", person, "/arms", "left-1=132/84&right-1=150/90&left-2=130/82&right-2=149/90", 200);
    assert_true(client_shows(anna, "19 apart"));
    post_to(anna, "/desk/patient/", person, "/office", "office=148/92&on=2026-11-30", 200);
    post_to(anna, "/desk/patient/", person, "/office", "office=148/92&on=2026-12-31", 422); /* still to come */
    post_to(anna, "/desk/patient/", person, "/office", "office=148&on=2026-11-30", 422);
    get_of(anna, "/desk/patient/", person, "");
    assert_true(client_shows(anna, "148/92") && client_shows(anna, "Mon 30 Nov 2026"));
    post_to(anna, "/desk/patient/", person, "/end-week", "", 403); /* a clinician's */
    post_to(cleo, "/desk/patient/", person, "/end-week", "", 303);
    post_to(cleo, "/desk/patient/", person, "/review", "note=", 422);
    post_to(cleo, "/desk/patient/", person, "/review", "note=Too+few%3B+another+week", 303);
    post_to(cleo, "/desk/patient/", person, "/review", "note=again", 409);
    post_to(anna, "/desk/patient/", person, "/new-week", "", 303);
    assert_int_equal(client_get(dora, "/desk/audit"), 200);
    static const char *const audited[] = {"exported", "saw", "entered a reading", "let the week go on", "reviewed the week",
                                          "began another week", "signed in", "compared both arms"};
    for (size_t i = 0; i < sizeof audited / sizeof *audited; i++)
        if (!client_shows(dora, audited[i]))
            fail_msg("the audit lacks %s", audited[i]);
    assert_false(client_shows(dora, "Ada"));
    assert_int_equal(stage_move(g, g->now + 60), 0); /* the summary goes out */
    get_of(dora, "/desk/patient/", person, "");
    post_to(dora, "/desk/patient/", person, "/erase", "ref=P-0002", 422);
    post_to(dora, "/desk/patient/", person, "/erase", "ref=P-0001", 200);
    assert_true(client_shows(dora, word(WORD_ERASED_WENT)) && client_shows(dora, "dir:outbox"));
    assert_int_equal(client_get(dora, "/desk/patients?find=Ada"), 200);
    assert_true(client_shows(dora, word(WORD_NONE_FOUND)));
    assert_int_equal(stage_verify(g), 0);
    client_free(anna);
    client_free(cleo);
    client_free(dora);
}

static void the_table_finds_filters_and_counts(void **state)
{
    struct desk_scene *scene = *state;
    struct stage *g = &scene->g;
    static const struct {
        const char *query, *shows, *hides;
    } rows[] = {
        {"?find=nunez", "P-2", "P-1"},          {"?find=NÚÑ", "P-2", "P-1"},  {"?find=P-1", "P-1", "P-2"},
        {"?find=900102", "P-2", "P-1"},         {"?find=car+nu", "P-2", "P-1"}, {"?find=nu+ada", "Nobody fits", "P-1"},
        {"?stage=invited", "P-2", "P-1"},       {"?stage=measuring", "P-1", "P-2"}, {"?sort=heard", "P-1", "zzz"},
        {"?page=9", "Nobody", "P-1"},           {"?sort=nonsense&stage=x&page=-1", "P-2", "zzz"},
    };
    assert_int_equal(stage_run(g, "enrol --clinic maple --ref P-1 --phone +447700900101 --joined --name 'Ada Bo'", 0), 0);
    assert_int_equal(stage_run(g, "enrol --clinic maple --ref P-2 --phone +447700900102 --name 'Carla Núñez'", 0), 0);
    texted(g, "132/84 71");
    struct client *c = client_in(g, "anna");
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char path[128];
        snprintf(path, sizeof path, "/desk/patients%s", rows[i].query);
        if (client_get(c, path) != 200 || !client_shows(c, rows[i].shows) || client_shows(c, rows[i].hides))
            fail_msg("%s", path);
    }
    client_free(c);
}

int main(void)
{
    curl_global_init(CURL_GLOBAL_ALL);
#define CLAIM(name) cmocka_unit_test_setup_teardown(name, desk_scene_open, desk_scene_close)
    const struct CMUnitTest tests[] = {
        CLAIM(an_alert_is_taken_by_one_and_resolved_with_a_note),
        CLAIM(held_readings_are_accepted_voided_or_joined_by_the_right_one),
        CLAIM(of_two_people_on_a_row_the_second_is_told),
        CLAIM(a_question_is_answered_by_text_and_done),
        CLAIM(a_form_that_is_sent_twice_is_taken_once),
        CLAIM(enrolling_says_what_is_wrong_beside_each_field),
        CLAIM(of_two_people_at_the_details_the_second_is_told),
        CLAIM(a_table_is_shown_whole_before_anything_is_saved),
        CLAIM(what_is_done_with_a_patient_is_done_audited_and_verified),
        CLAIM(the_table_finds_filters_and_counts),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
