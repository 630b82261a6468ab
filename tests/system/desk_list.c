/* The list and what hangs on it: what each row says to do and in how many clicks, what may not be clicked away, what is put
 * off, many patients, weeks about to end short; an alert's whole episode; the conversation beside any number of alerts; the
 * audit by month; that nothing written is lost.
 *
 * The program is the real one. What each row asks for, and that the arms are 15 apart on repeat, is this project's contract.
 */
#include "tests/system/desk_routes.h"

#include "gateway/web/desk/pages.h"

static const char maple_number[] = "+447700900001", phone[] = "+447700900101";

static void run_good(struct stage *g, const char *command)
{
    if (stage_run(g, command, 0) != 0)
        fail_msg("%s", command);
}

static void enrolled(struct stage *g)
{
    run_good(g, "enrol --clinic maple --ref P-0001 --phone +447700900101 --joined --name 'Ada Example'");
}

static void texted(struct stage *g, const char *words)
{
    assert_int_equal(stage_text(g, phone, maple_number, words), 200);
    assert_int_equal(stage_move(g, g->now + 60), 0);
}

static void asked(struct client *c, const char *before, long long id, const char *after)
{
    char path[128];
    snprintf(path, sizeof path, "%s%lld%s", before, id, after);
    if (client_get(c, path) != 200)
        fail_msg("%s: %ld", path, c->status);
}

static void posted(struct client *c, const char *before, long long id, const char *after, const char *fields, long wanted)
{
    char path[128];
    snprintf(path, sizeof path, "%s%lld%s", before, id, after);
    if (client_post(c, path, fields) != wanted)
        fail_msg("%s %s: %ld, not %ld\n%s", path, fields, c->status, wanted, c->page);
}

static size_t counted(const char *page, const char *words)
{
    size_t n = 0;
    for (const char *at = page; (at = strstr(at, words)); at += strlen(words))
        n++;
    return n;
}

/* As a page escapes it. */
static bool shows(const struct client *c, enum word w)
{
    char words[400];
    size_t n = 0;
    for (const char *at = word(w); *at && n < 390; at++)
        n += (size_t)snprintf(words + n, sizeof words - n, *at == '\'' ? "&#39;" : "%c", *at);
    return client_shows(c, words);
}

/* -- what each row asks for ------------------------------------------------------------------------------------------------------- */

static void each_row_says_what_it_is_and_what_to_do(void **state)
{
    struct desk_scene *scene = *state;
    struct stage *g = &scene->g;
    static const struct {
        const char *options, *text;
        enum desk_kind kind;
        const char *leads; /* where a coordinator's one click goes */
    } rows[] = {
        {"", NULL, DESK_NOT_JOINED, "/invite-again\""},
        {"--joined --arm 38 --cuff 22-32", NULL, DESK_CUFF, "/edit\""},
        {"--joined --validated no", NULL, DESK_MONITOR, "/equipment\""},
        {"--joined", NULL, DESK_SILENT, "/write\""},
        {"--joined", "STOP", DESK_LEFT, "\">Look</a>"},
        {"--joined", "wrong number", DESK_WRONG_NUMBER, "/edit\""},
        {"--joined", "can I ask you something about next week?", DESK_ASKS, "/desk/row/"},
        {"--joined", "100/90 60", DESK_HELD, "/desk/reading/"},
        {"--joined", "I have run out of my tablets", DESK_MEDICINE, "/desk/row/"},
    };
    char command[256], number_of[24];
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        snprintf(number_of, sizeof number_of, "+4477009002%02zu", i);
        snprintf(command, sizeof command, "enrol --clinic maple --ref P-%zu --phone %s %s", i, number_of, rows[i].options);
        run_good(g, command);
        if (rows[i].text)
            assert_int_equal(stage_text(g, number_of, maple_number, rows[i].text), 200);
        assert_int_equal(stage_move(g, g->now + 60), 0);
    }
    assert_int_equal(stage_move(g, g->now + 5 * 86400), 0);
    struct client *c = client_in(g, "anna");
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct row_kind *k = row_kind(rows[i].kind);
        if (!shows(c, k->what) || !shows(c, k->task) || !client_shows(c, rows[i].leads))
            fail_msg("%s: what, what to do, or the way there\n%s", word(k->what), c->page);
    }
    assert_true(client_shows(c, "href=\"tel:+447700900203\""));
    client_free(c);
}

static void every_kind_of_row_has_its_words(void **state)
{
    (void)state;
    for (int k = 0; k < DESK_KIND_COUNT; k++) {
        const struct row_kind *kind = row_kind((enum desk_kind)k);
        if (!word(kind->what)[0] || !word(kind->task)[0] || (kind->ask == TO_LOOK && (!kind->path || !word(kind->go)[0])))
            fail_msg("kind %d", k);
    }
}

/* Not enough by the last day: a person hears of it while something can still be done. */
static void a_week_about_to_end_short_is_on_the_list(void **state)
{
    struct desk_scene *scene = *state;
    struct stage *g = &scene->g;
    enrolled(g);
    for (int day = 0; day < 7; day++) {
        texted(g, "132/84 71");
        assert_int_equal(stage_move(g, 1796112000 + (int64_t)(day + 1) * 86400), 0);
    }
    struct client *c = client_in(g, "anna");
    assert_false(shows(c, WORD_ROW_ENDING));
    assert_int_equal(stage_move(g, g->now + 6 * 3600), 0);
    assert_int_equal(client_get(c, "/desk/list"), 200);
    assert_true(shows(c, WORD_ROW_ENDING) && shows(c, WORD_DO_ENDING) && client_shows(c, "3 days left"));
    assert_int_equal(stage_move(g, g->now + 4 * 86400), 0);
    assert_int_equal(client_get(c, "/desk/list"), 200);
    assert_true(shows(c, WORD_ROW_SHORT_WEEK) && !shows(c, WORD_ROW_ENDING)); /* and gone when it has ended */
    client_free(c);
}

static void what_waits_for_a_decision_or_review_is_not_clicked_away(void **state)
{
    struct desk_scene *scene = *state;
    struct stage *g = &scene->g;
    enrolled(g);
    texted(g, "132/84 71");
    struct client *anna = client_in(g, "anna"), *cleo = client_in(g, "cleo");
    assert_int_equal(client_get(anna, "/desk/patients"), 200);
    long long person = page_number(anna, "/desk/patient/");
    posted(cleo, "/desk/patient/", person, "/end-week", "", 303);
    assert_int_equal(client_get(anna, "/desk/list"), 200);
    assert_true(shows(anna, WORD_ROW_SHORT_WEEK));
    long long row = page_number(anna, "/desk/row/");
    assert_false(client_shows(anna, "/done\""));
    posted(anna, "/desk/row/", row, "/done", "version=0", 422);
    assert_true(shows(anna, WORD_NOT_DONE_SO));
    posted(anna, "/desk/row/", row, "/answer", "version=0&words=Please+ring+us.&step=send", 303); /* sent, and it stays */
    assert_int_equal(client_get(anna, "/desk/list"), 200);
    assert_true(shows(anna, WORD_ROW_SHORT_WEEK));
    posted(cleo, "/desk/patient/", person, "/review", "note=another+week", 303);
    assert_int_equal(client_get(anna, "/desk/list"), 200);
    assert_true(shows(anna, WORD_LIST_EMPTY));
    client_free(anna);
    client_free(cleo);
}

static void an_answer_may_keep_its_row(void **state)
{
    struct desk_scene *scene = *state;
    struct stage *g = &scene->g;
    enrolled(g);
    texted(g, "can I ask you something about next week?");
    struct client *c = client_in(g, "anna");
    long long row = page_number(c, "/desk/row/");
    posted(c, "/desk/row/", row, "/answer", "version=0&words=We+will+ring+at+ten.&step=keep", 303);
    assert_int_equal(client_get(c, "/desk/list"), 200);
    assert_int_equal(page_number(c, "/desk/row/"), row);
    posted(c, "/desk/row/", row, "/answer", "version=0&words=Thank+you+for+your+time.&step=send", 303);
    assert_int_equal(client_get(c, "/desk/list"), 200);
    assert_true(shows(c, WORD_LIST_EMPTY));
    client_free(c);
}

static void arms_that_differ_are_on_the_list(void **state)
{
    struct desk_scene *scene = *state;
    struct stage *g = &scene->g;
    static const struct {
        const char *fields, *why;
        bool listed;
    } rows[] = {
        {"left-1=132/84&right-1=130/90&left-2=130/82&right-2=149/90", "apart once only", false},
        {"left-1=150/84&right-1=132/90&left-2=130/82&right-2=149/90", "apart the other way round", false},
        {"left-1=147/84&right-1=132/90&left-2=147/82&right-2=133/90", "fourteen on repeat", false},
        {"left-1=147/84&right-1=132/90&left-2=147/82&right-2=132/90", "fifteen, twice", true},
    };
    enrolled(g);
    struct client *c = client_in(g, "anna");
    assert_int_equal(client_get(c, "/desk/patients"), 200);
    long long person = page_number(c, "/desk/patient/");
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        posted(c, "/desk/patient/", person, "/arms", rows[i].fields, 200);
        assert_int_equal(client_get(c, "/desk/list"), 200);
        if (shows(c, WORD_ROW_ARM) != rows[i].listed)
            fail_msg("%s", rows[i].why);
    }
    assert_true(client_shows(c, "15 mmHg apart on repeat; the left one"));
    asked(c, "/desk/patient/", person, "/edit");
    assert_true(client_shows(c, "<option value=\"left\" selected>"));
    client_free(c);
}

static void what_is_put_off_has_a_list_of_its_own(void **state)
{
    struct desk_scene *scene = *state;
    struct stage *g = &scene->g;
    enrolled(g);
    texted(g, "can I ask you something about next week?");
    struct client *c = client_in(g, "anna");
    long long row = page_number(c, "/desk/row/");
    assert_false(shows(c, WORD_SHOW_PUT_OFF));
    posted(c, "/desk/row/", row, "/put-off", "version=0&until=2026-12-02T12:00", 303);
    assert_int_equal(client_get(c, "/desk/list"), 200);
    assert_true(shows(c, WORD_LIST_EMPTY) && client_shows(c, "1 row is put off.") && shows(c, WORD_SHOW_PUT_OFF));
    assert_int_equal(client_get(c, "/desk/list?put-off=1"), 200);
    assert_true(page_number(c, "/desk/row/") == row && client_shows(c, "put off until"));
    assert_null(strstr(c->head, "Refresh:"));
    client_free(c);
}

/* More patients than a page holds: none is silently left out. */
static void a_long_list_goes_on_overleaf(void **state)
{
    struct desk_scene *scene = *state;
    struct stage *g = &scene->g;
    char path[PLAY_PATH + 32];
    snprintf(path, sizeof path, "%s/many.csv", g->folder);
    FILE *out = fopen(path, "w");
    fputs("ref,phone\n", out);
    for (int i = 0; i < LIST_PATIENTS + 7; i++)
        fprintf(out, "M-%03d,+447700900%03d\n", i, 300 + i);
    fclose(out);
    run_good(g, "roster --clinic maple many.csv");
    assert_int_equal(stage_move(g, g->now + 5 * 86400), 0);
    struct client *c = client_in(g, "anna");
    assert_true(client_shows(c, "107 other matters") && client_shows(c, "Patients 1 to 100 of 107"));
    assert_int_equal(counted(c->page, "class=\"matter"), LIST_PATIENTS + 1); /* and "matters" */
    assert_int_equal(client_get(c, "/desk/list?page=2"), 200);
    assert_true(client_shows(c, "Patients 101 to 107 of 107"));
    assert_int_equal(counted(c->page, "class=\"matter"), 8);
    assert_int_equal(client_get(c, "/desk/list?page=3"), 303);
    client_free(c);
}

/* -- an alert that nobody takes ------------------------------------------------------------------------------------------------------ */

static void an_alert_sent_again_for_days_hides_neither_conversation_nor_episode(void **state)
{
    struct desk_scene *scene = *state;
    struct stage *g = &scene->g;
    enrolled(g);
    texted(g, "132/84 71");
    texted(g, "186/104 80");
    assert_int_equal(stage_move(g, g->now + 300), 0);
    texted(g, "188/106 82");
    assert_int_equal(stage_move(g, g->now + 2 * 86400), 0);
    struct client *anna = client_in(g, "anna"), *ben = client_in(g, "ben");
    long long alert = page_number(anna, "/desk/alert/"), person = page_number(anna, "/desk/patient/");
    assert_true(client_shows(anna, "2 days ago") || client_shows(anna, "48 hours ago") || client_shows(anna, "47 hours ago"));
    asked(anna, "/desk/patient/", person, "/talk");
    assert_true(counted(anna->page, "<li class=\"ours\">") >= 4 && client_shows(anna, "<bdi>132/84 71</bdi>"));
    assert_false(client_shows(anna, "TAKE"));
    asked(anna, "/desk/alert/", alert, "");
    assert_in_range(counted(anna->page, word(WORD_TO_STAFF)), 1, 8);
    assert_true(client_shows(anna, "times, until") && client_shows(anna, "132/84 71") && client_shows(anna, "188/106 82"));
    posted(anna, "/desk/alert/", alert, "/take", "", 303);
    posted(anna, "/desk/alert/", alert, "/reopen", "", 303);
    posted(ben, "/desk/alert/", alert, "/take", "", 303);
    posted(ben, "/desk/alert/", alert, "/resolve", "note=Seen+at+the+clinic.", 303);
    asked(anna, "/desk/alert/", alert, "");
    static const char *const told[] = {"took the alert", "gave the alert back", "<bdi>anna</bdi>", "<bdi>ben</bdi>",
                                       "Seen at the clinic.", "Alert raised", "186/104 80"};
    for (size_t i = 0; i < sizeof told / sizeof *told; i++)
        if (!client_shows(anna, told[i]))
            fail_msg("the episode lacks %s\n%s", told[i], anna->page);
    assert_int_equal(counted(anna->page, "took the alert"), 2);
    client_free(anna);
    client_free(ben);
}

/* -- nothing written is lost -------------------------------------------------------------------------------------------------------- */

static void what_was_written_comes_back_when_it_cannot_be_taken(void **state)
{
    struct desk_scene *scene = *state;
    struct stage *g = &scene->g;
    enrolled(g);
    texted(g, "186/104 80");
    texted(g, "188/106 82");
    struct client *anna = client_in(g, "anna"), *ben = client_in(g, "ben"), *cleo = client_in(g, "cleo");
    long long alert = page_number(anna, "/desk/alert/");
    posted(anna, "/desk/alert/", alert, "/resolve", "note=Rang+her.", 303);
    posted(ben, "/desk/alert/", alert, "/resolve", "note=Her+daughter+drives+her+in.", 409);
    assert_true(shows(ben, WORD_YOU_WROTE) && client_shows(ben, "Her daughter drives her in."));
    assert_int_equal(stage_run(g, "account disable --clinic maple --user cleo", 0), 0);
    posted(cleo, "/desk/alert/", alert, "/resolve", "note=A+long+thought+of+mine.", 403);
    assert_true(shows(cleo, WORD_SIGNED_OUT) && client_shows(cleo, "A long thought of mine."));
    char path[64];
    snprintf(path, sizeof path, "/desk/alert/%lld/resolve", alert);
    assert_int_equal(client_ask(cleo, path, "note=planted+by+another+site", "http://evil.example"), 403);
    assert_false(client_shows(cleo, "planted")); /* but never to another site */
    client_free(anna);
    client_free(ben);
    client_free(cleo);
}

static void nobody_is_led_to_write_what_cannot_be_sent(void **state)
{
    struct desk_scene *scene = *state;
    struct stage *g = &scene->g;
    enrolled(g);
    struct client *c = client_in(g, "anna");
    assert_int_equal(client_get(c, "/desk/patients"), 200);
    long long person = page_number(c, "/desk/patient/");
    asked(c, "/desk/patient/", person, "/write");
    assert_true(client_shows(c, "name=\"words\"") && !shows(c, WORD_NO_TEXTS));
    texted(g, "STOP");
    asked(c, "/desk/patient/", person, "/write");
    assert_true(shows(c, WORD_NO_TEXTS) && !client_shows(c, "name=\"words\""));
    assert_int_equal(client_get(c, "/desk/list"), 200);
    asked(c, "/desk/row/", page_number(c, "/desk/row/"), "");
    assert_true(shows(c, WORD_NO_TEXTS) && !client_shows(c, "name=\"words\""));
    client_free(c);
}

static void settings_are_shown_as_they_are_in_force(void **state)
{
    struct desk_scene *scene = *state;
    struct client *c = client_in(&scene->g, "dora");
    static const char *const shown[] = {"+447700900001", "Mon 06:00-22:00", "Sun 06:00-22:00", "Europe/London", "05:00-12:00", "dir:outbox"};
    assert_int_equal(client_get(c, "/desk/settings"), 200);
    for (size_t i = 0; i < sizeof shown / sizeof *shown; i++)
        if (!client_shows(c, shown[i]))
            fail_msg("%s", shown[i]);
    assert_false(client_shows(c, "secret") || client_shows(c, "<input type=\"text\""));
    client_free(c);
}

/* -- the audit ------------------------------------------------------------------------------------------------------------------------ */

static void the_audit_is_shown_by_month_and_by_patient(void **state)
{
    struct desk_scene *scene = *state;
    struct stage *g = &scene->g;
    char path[96];
    enrolled(g);
    texted(g, "132/84 71");
    struct client *anna = client_in(g, "anna");
    assert_int_equal(client_get(anna, "/desk/patients"), 200);
    long long person = page_number(anna, "/desk/patient/");
    asked(anna, "/desk/patient/", person, "");
    assert_int_equal(stage_move(g, 1798848000), 0); /* 2027-01-02 */
    asked(anna, "/desk/patient/", person, "/talk");
    struct client *dora = client_in(g, "dora"), *dirk = client_in(g, "dirk");
    assert_int_equal(client_get(dora, "/desk/audit"), 200);
    assert_true(client_shows(dora, "conversation") && client_shows(dora, "<b>Jan 2027</b>") && client_shows(dora, "Dec 2026</a>"));
    assert_false(client_shows(dora, "table of patients"));
    assert_int_equal(client_get(dora, "/desk/audit?month=2026-12"), 200);
    assert_true(client_shows(dora, "table of patients") && client_shows(dora, "Jan 2027</a>"));
    assert_false(client_shows(dora, "conversation"));
    assert_int_equal(client_get(dora, "/desk/audit?month=2025-06"), 200);
    assert_true(shows(dora, WORD_AUDIT_NONE));
    asked(dora, "/desk/patient/", person, "");
    snprintf(path, sizeof path, "/desk/audit?person=%lld", person);
    assert_true(client_shows(dora, path));
    assert_int_equal(client_get(dora, path), 200);
    assert_true(client_shows(dora, "conversation") && !client_shows(dora, "table of patients"));
    assert_int_equal(client_get(dirk, path), 200);
    assert_true(shows(dirk, WORD_AUDIT_NONE));
    assert_int_equal(stage_verify(g), 0);
    client_free(anna);
    client_free(dora);
    client_free(dirk);
}

int main(void)
{
    curl_global_init(CURL_GLOBAL_ALL);
#define CLAIM(name) cmocka_unit_test_setup_teardown(name, desk_scene_open, desk_scene_close)
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_kind_of_row_has_its_words),
        CLAIM(each_row_says_what_it_is_and_what_to_do),
        CLAIM(a_week_about_to_end_short_is_on_the_list),
        CLAIM(what_waits_for_a_decision_or_review_is_not_clicked_away),
        CLAIM(an_answer_may_keep_its_row),
        CLAIM(arms_that_differ_are_on_the_list),
        CLAIM(what_is_put_off_has_a_list_of_its_own),
        CLAIM(a_long_list_goes_on_overleaf),
        CLAIM(an_alert_sent_again_for_days_hides_neither_conversation_nor_episode),
        CLAIM(what_was_written_comes_back_when_it_cannot_be_taken),
        CLAIM(nobody_is_led_to_write_what_cannot_be_sent),
        CLAIM(settings_are_shown_as_they_are_in_force),
        CLAIM(the_audit_is_shown_by_month_and_by_patient),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
