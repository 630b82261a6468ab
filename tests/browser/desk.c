/* The desk in a real browser: sign in, take an alert, accept and void held readings, answer a question, enrol, send a table
 * with mistakes, see the finished week; with the pages' script on and off, wide and 320 pixels narrow. Every page is judged
 * by axe-core (WCAG 2.2 AA) and kept as picture and source, which the Nu checker then reads. forms.c sends every form.
 *
 * Sources: W3C WCAG 2.2 (levels A and AA) as axe-core tests it; W3C WebDriver.
 */
#include "tests/browser/browse.h"

/* -- steps ------------------------------------------------------------------------------------------------------------------------ */

static void alert_taken_and_resolved(struct browsing *b)
{
    to(b, "/desk/list");
    driver_wait(&b->driver, "1 alert");
    look(b, "list");
    seen_otherwise(b, "list");
    driver_click(&b->driver, ".matter.red button.main");
    driver_wait(&b->driver, "You have taken it.");
    driver_type(&b->driver, "textarea[name=note]", "Rang her; she is seen at noon.");
    look(b, "alert");
    driver_click(&b->driver, "form[action$='/resolve'] button");
    driver_wait(&b->driver, "The alert is resolved.");
}

/* Each held reading of Ada's, by the links on her page. */
static void reading_decided(struct browsing *b, const char *figures, const char *form, const char *said)
{
    char selector[128];
    struct driver *d = &b->driver;
    struct client *c = client_in(&b->scene->g, "anna");
    assert_int_equal(client_get(c, "/desk/patients?find=Ada"), 200);
    long long person = page_number(c, "/desk/patient/");
    char path[96];
    snprintf(path, sizeof path, "/desk/patient/%lld", person);
    assert_int_equal(client_get(c, path), 200);
    snprintf(selector, sizeof selector, "\">%s</a>", figures);
    const char *at = strstr(c->page, selector);
    assert_non_null(at);
    while (at > c->page && strncmp(at, "/desk/reading/", 14) != 0)
        at--;
    snprintf(path, sizeof path, "%.*s", (int)strcspn(at, "\""), at);
    client_free(c);
    to(b, path);
    driver_wait(d, figures);
    snprintf(selector, sizeof selector, "form[action$='%s'] input[name=note]", form);
    driver_type(d, selector, "confirmed by telephone");
    look(b, form + 1);
    snprintf(selector, sizeof selector, "form[action$='%s'] button", form);
    driver_click(d, selector);
    driver_wait(d, said);
}

static void question_answered(struct browsing *b)
{
    struct driver *d = &b->driver;
    to(b, "/desk/list");
    driver_wait(d, "can I take my tablets at noon instead?");
    driver_click(d, ".do a[href*='/desk/row/']");
    driver_wait(d, "Answer by text");
    driver_choose(d, "#ready", "Please ring us today");
    driver_click(d, "button[value=words]");
    driver_wait(d, "Please ring us today.");
    driver_type(d, "#words", "Dr Hale will ring you at ten.");
    driver_wait(d, "1 segment");
    look(b, "answer");
    driver_click(d, "button[value=send]");
    driver_wait(d, "Your text is on its way.");
}

static void somebody_enrolled(struct browsing *b)
{
    struct driver *d = &b->driver;
    to(b, "/desk/enrol");
    driver_wait(d, "Reference");
    driver_type(d, "#ref", "P 3");
    driver_type(d, "#phone", "+447700900113");
    driver_type(d, "#name", "Cy Example");
    driver_tick(d, "#joined");
    driver_click(d, "main form > button");
    driver_wait(d, "nothing was saved");
    look(b, "enrol-mistake");
    driver_type(d, "#ref", "P-0003");
    driver_click(d, "main form > button");
    driver_wait(d, "Enrolled.");
    look(b, "enrolled");
}

static void table_with_mistakes(struct browsing *b)
{
    struct driver *d = &b->driver;
    char path[PLAY_PATH + 64];
    snprintf(path, sizeof path, "%s/table.csv", b->scene->g.folder);
    char *whole = NULL;
    FILE *out = fopen(path, "w");
    fputs("ref,phone,born\nP-0004,+447700900114,1960-02-30\nP-0001,12,\n", out);
    fclose(out);
    whole = realpath(path, NULL);
    to(b, "/desk/roster");
    driver_wait(d, "Table (CSV)");
    driver_type(d, "#file", whole);
    driver_click(d, "main form > button");
    driver_wait(d, "Nothing was saved.");
    look(b, "roster-mistakes");
    out = fopen(path, "w");
    fputs("ref,phone,born\nP-0004,+447700900114,1960-02-28\nP-0005,+447700900115,\n", out);
    fclose(out);
    to(b, "/desk/roster");
    driver_type(d, "#file", whole);
    driver_click(d, "main form > button");
    driver_wait(d, "no mistake");
    look(b, "roster-good");
    driver_click(d, "main form > button");
    driver_wait(d, "Enrolled.");
    look(b, "patients");
    free(whole);
}

static void finished_week_seen(struct browsing *b)
{
    struct driver *d = &b->driver;
    to(b, "/desk/patients?find=Bo");
    driver_click(d, "table .who");
    driver_wait(d, "complete");
    look(b, "week");
    driver_type(d, "#for-review", "As expected; again in a year.");
    driver_click(d, "form[action$='/review'] button");
    driver_wait(d, "Done.");
    driver_click(d, "a[href$='/print']");
    driver_wait(d, "Every reading");
    driver_keep(d, "print");
}

static void other_pages(struct browsing *b)
{
    static const char *const paths[][2] = {{"figures", "/desk/figures"}, {"accounts", "/desk/accounts"},
                                           {"account", "/desk/account?of=anna"}, {"audit", "/desk/audit"},
                                           {"settings", "/desk/settings"}, {"absent", "/desk/nowhere"}};
    for (size_t i = 0; i < sizeof paths / sizeof *paths; i++) {
        to(b, paths[i][1]);
        driver_wait(&b->driver, "</html>");
        look(b, paths[i][0]);
    }
}

static void patient_forms(struct browsing *b)
{
    static const char *const links[] = {"write", "add", "edit", "equipment"};
    for (size_t i = 0; i < sizeof links / sizeof *links; i++) {
        char selector[64];
        to(b, "/desk/patients?find=Ada");
        driver_click(&b->driver, "table .who");
        driver_wait(&b->driver, "Conversation");
        if (i == 0)
            look(b, "patient");
        snprintf(selector, sizeof selector, ".buttons a[href$='/%s']", links[i]);
        driver_click(&b->driver, selector);
        driver_wait(&b->driver, "<form");
        look(b, links[i]);
    }
}

/* -- claims ------------------------------------------------------------------------------------------------------------------------ */

static void a_day_at_the_desk_goes_as_it_should(void **state)
{
    struct browsing *b = *state;
    sign_in(b, "anna");
    alert_taken_and_resolved(b);
    reading_decided(b, "265/84", "/void", "The reading is void.");
    reading_decided(b, "68/50", "/accept", "The reading is accepted.");
    question_answered(b);
    somebody_enrolled(b);
    table_with_mistakes(b);
    patient_forms(b);
    sign_out(b);
    sign_in(b, "cleo");
    finished_week_seen(b);
    to(b, "/desk/list");
    sign_out(b);
    sign_in(b, "dora");
    other_pages(b);
}

/* The first stop of the keyboard is the way past the head; a mistake has the focus. */
static void the_keyboard_begins_at_the_content_and_at_the_mistake(void **state)
{
    struct browsing *b = *state;
    static const char tab[] = "\xEE\x80\x84", enter[] = "\xEE\x80\x87"; /* U+E004, U+E007: WebDriver 1, section 17.4.2 */
    sign_in(b, "anna");
    to(b, "/desk/enrol");
    driver_wait(&b->driver, "Reference");
    driver_key(&b->driver, tab);
    assert_true(focus_is(b, "a.skip"));
    driver_keep(&b->driver, "skip");
    driver_key(&b->driver, enter);
    driver_key(&b->driver, tab);
    assert_true(focus_is(b, "main a"));
    fill(b, "#ref", "P 9");
    fill(b, "#phone", "+447700900109");
    driver_key(&b->driver, enter);
    driver_wait(&b->driver, "nothing was saved");
    assert_true(focus_is(b, "[role=alert]"));
}

int main(void)
{
    curl_global_init(CURL_GLOBAL_ALL);
    const struct CMUnitTest tests[] = {
        {"a day, with script", a_day_at_the_desk_goes_as_it_should, script_on, browsing_close, NULL},
        {"a day, without script", a_day_at_the_desk_goes_as_it_should, script_off, browsing_close, NULL},
        {"a day, at 320 pixels", a_day_at_the_desk_goes_as_it_should, narrow, browsing_close, NULL},
        {"the keyboard's first stops", the_keyboard_begins_at_the_content_and_at_the_mistake, keyboard, browsing_close, NULL},
        {"every page", every_page_is_looked_at, script_on, browsing_close, NULL},
        {"every form, with script", every_form_is_sent, script_on, browsing_close, NULL},
        {"every form, without script", every_form_is_sent, script_off, browsing_close, NULL},
        {"every form, by keyboard", every_form_is_sent, keyboard, browsing_close, NULL},
        {"presses counted", the_commonest_acts_take_one_press_or_two, script_on, browsing_close, NULL},
    };
    if (getenv("CMOCKA_TEST_FILTER"))
        cmocka_set_test_filter(getenv("CMOCKA_TEST_FILTER"));
    return cmocka_run_group_tests(tests, NULL, NULL);
}
