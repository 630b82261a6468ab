/* Forms: every page of the table of routes looked at, every form of it sent, and none left out; with the mouse, without
 * script, and by keyboard alone. And how many presses the commonest acts take, counted from the list.
 */
#include "tests/browser/browse.h"

/* -- every page ------------------------------------------------------------------------------------------------------------------- */

static const char *const users[] = {"anna", "cleo", "dora"};
static const enum role roles[] = {ROLE_COORDINATOR, ROLE_CLINICIAN, ROLE_ADMIN};

/* Files and the like are no pages: the system tests have them. */
static bool is_page(const struct page_route *r)
{
    static const char *const files[] = {".css", ".js", "/pdf", "/csv", "/fhir", ".csv", "/desk", "/desk/", "/print", "/sign-in"};
    size_t n = strlen(r->path);
    if (r->method != METHOD_GET)
        return false;
    for (size_t i = 0; i < sizeof files / sizeof *files; i++) {
        size_t end = strlen(files[i]);
        if (n >= end && strcmp(r->path + n - end, files[i]) == 0 && (files[i][1] != 'd' || n == end))
            return false;
    }
    return true;
}

static struct ids ids_of(struct browsing *b)
{
    char path[64];
    struct ids ids = {.person = b->ada};
    snprintf(path, sizeof path, "/desk/patient/%lld", b->ada);
    ids.reading = found(b, path, "/desk/reading/");
    ids.alert = found(b, "/desk/list", "/desk/alert/");
    ids.row = found(b, "/desk/list", "/desk/row/");
    return ids;
}

/* A patient's own page and the list look otherwise to each role; the rest to whom it is first shown. */
static void pages_of_role(struct browsing *b, size_t who, const struct ids *ids)
{
    const struct page_route *r;
    char path[200], whole[220], name[96];
    for (size_t i = 0; (r = page_route_at(i)); i++) {
        bool all = strcmp(r->path, "/desk/patient/#") == 0 || strcmp(r->path, "/desk/list") == 0;
        if (!is_page(r) || !(r->roles & roles[who]) || (b->seen[i] && !all))
            continue;
        path_make(r, ids, path);
        snprintf(name, sizeof name, "%s-page-%zu%s", users[who], i, strchr(r->path + 1, '/') ? strrchr(r->path, '/') + 1 : "");
        for (char *at = name; *at; at++)
            *at = *at == '#' || *at == '/' ? '-' : *at;
        snprintf(whole, sizeof whole, "%s%s", path, strcmp(path, "/desk/account") == 0           ? "?of=anna"
                                                    : strcmp(r->path, "/desk/patient/#") == 0 ? "?acts=1"
                                                                                              : "");
        to(b, whole);
        driver_wait(&b->driver, "</html>");
        look(b, name);
        if (r->noun == NOUN_ALERT || strcmp(r->path, "/desk/patient/#") == 0)
            seen_on_paper(b, name);
    }
}

void every_page_is_looked_at(void **state)
{
    struct browsing *b = *state;
    struct ids ids = ids_of(b);
    const struct page_route *r;
    for (size_t who = 0; who < 3; who++) {
        sign_in(b, users[who]);
        pages_of_role(b, who, &ids);
        to(b, "/desk/list");
        driver_wait(&b->driver, "What needs a person now");
        sign_out(b);
    }
    for (size_t i = 0; (r = page_route_at(i)); i++)
        if (is_page(r) && !b->seen[i])
            fail_msg("%s was not looked at", r->path);
}

/* -- every form ------------------------------------------------------------------------------------------------------------------- */

enum { FILLS = 6 };
static const struct form {
    const char *user, *page;
    char whose;                        /* a b c d: Ada, Bo, Cy, Dan; A alert, R row, 1 2 held readings */
    const char *action, *button;
    const char *fills[FILLS][2];       /* by name */
    const char *says;
} forms[] = {
    {"anna", "/desk/list", 0, "/take", NULL, {{0}}, "You have taken it."},
    {"anna", "/desk/alert/%lld", 'A', "/reopen", NULL, {{0}}, "has gone out anew"},
    {"anna", "/desk/alert/%lld", 'A', "/take", NULL, {{0}}, "You have taken it."},
    {"anna", "/desk/alert/%lld", 'A', "/resolve", NULL, {{"note", "Rang her; she is seen at noon."}}, "The alert is resolved."},
    {"anna", "/desk/row/%lld", 'R', "/take", NULL, {{0}}, "You have taken it."},
    {"anna", "/desk/row/%lld", 'R', "/put-off", NULL, {{0}}, "Put off."},
    {"anna", "/desk/row/%lld", 'R', "/hand-over", NULL, {{"note", "I am off at noon"}}, "Handed over."},
    {"anna", "/desk/row/%lld", 'R', "/answer", "button[value=words]", {{0}}, "Please ring us today."},
    {"anna", "/desk/row/%lld", 'R', "/answer", "button[value=count]", {{"words", "We will ring at ten."}}, "1 segment"},
    {"anna", "/desk/row/%lld", 'R', "/answer", "button[value=keep]", {{"words", "We will ring at ten."}}, "on its way"},
    {"anna", "/desk/row/%lld", 'R', "/done", NULL, {{0}}, "Done."},
    {"anna", "/desk/reading/%lld", '1', "/ask-again", NULL, {{0}}, "The patient is asked again."},
    {"anna", "/desk/reading/%lld", '1', "/add", NULL, {{"sys", "165"}, {"dia", "84"}, {"note", "read out again"}}, "is added"},
    {"anna", "/desk/reading/%lld", '2', "/accept", NULL, {{"note", "confirmed by telephone"}}, "is accepted"},
    {"anna", "/desk/reading/%lld", '2', "/void", NULL, {{"note", "her husband's"}}, "is void"},
    {"anna", "/desk/patient/%lld/write", 'a', "/write", "button[value=send]", {{"words", "Please bring your monitor."}}, "on its way"},
    {"anna", "/desk/patient/%lld/add", 'a', "/add", NULL, {{"sys", "136"}, {"dia", "86"}, {"note", "rang up"}}, "is added"},
    {"anna", "/desk/patient/%lld/edit", 'a', "/edit", NULL, {{"name", "Ada Example-Hill"}}, "Saved."},
    {"anna", "/desk/patient/%lld/equipment", 'a', "/office", NULL, {{"office", "148/92"}}, "is noted"},
    {"anna", "/desk/patient/%lld/equipment", 'a', "/arms", NULL,
     {{"left-1", "140/84"}, {"right-1", "132/84"}, {"left-2", "141/85"}, {"right-2", "131/83"}}, "The left arm is used"},
    {"anna", "/desk/patient/%lld/equipment", 'a', "/monitor", NULL,
     {{"own-1", "140/84"}, {"clinic-1", "138/84"}, {"own-2", "141/85"}, {"clinic-2", "139/84"}, {"own-3", "140/84"}, {"clinic-3", "138/83"}},
     "It passes."},
    {"anna", "/desk/patient/%lld?acts=1", 'a', "/extend", NULL, {{0}}, "Done."},
    {"anna", "/desk/patient/%lld?acts=1", 'a', "/pause", NULL, {{0}}, "Done."},
    {"anna", "/desk/patient/%lld?acts=1", 'a', "/resume", NULL, {{0}}, "Done."},
    {"anna", "/desk/patient/%lld?acts=1", 'c', "/invite-again", NULL, {{0}}, "Done."},
    {"anna", "/desk/patient/%lld?acts=1", 'c', "/consent", NULL, {{0}}, "Done."},
    {"anna", "/desk/patient/%lld?acts=1", 'd', "/stop", NULL, {{0}}, "Done."},
    {"anna", "/desk/patient/%lld?acts=1", 'd', "/withdraw", NULL, {{0}}, "Done."},
    {"anna", "/desk/patient/%lld?acts=1", 'c', "/died", NULL, {{0}}, "Done."},
    {"anna", "/desk/enrol", 0, "/enrol", NULL, {{"ref", "P-0009"}, {"phone", "+447700900119"}}, "Enrolled."},
    {"cleo", "/desk/patient/%lld?acts=1", 'a', "/end-week", NULL, {{0}}, "Done."},
    {"cleo", "/desk/patient/%lld?acts=1", 'a', "/review", NULL, {{"note", "too few; another week"}}, "Done."},
    {"cleo", "/desk/patient/%lld?acts=1", 'a', "/new-week", NULL, {{0}}, "Done."},
    {"cleo", "/desk/patient/%lld?acts=1", 'a', "/close", NULL, {{0}}, "Done."},
    {"dora", "/desk/accounts", 0, "/account/add", NULL, {{"user", "fay"}, {"password", "four words in a row"}}, "Saved."},
    {"dora", "/desk/account?of=fay", 0, "/account/role", NULL, {{0}}, "Saved."},
    {"dora", "/desk/account?of=fay", 0, "/account/password", NULL, {{"password", "five words in a row now"}}, "Saved."},
    {"dora", "/desk/account?of=fay", 0, "/account/disable", NULL, {{0}}, "Saved."},
    {"dora", "/desk/account?of=fay", 0, "/account/enable", NULL, {{0}}, "Saved."},
    {"dora", "/desk/patient/%lld?acts=1", 'b', "/erase", NULL, {{"ref", "P-0002"}}, "Identity, texts and readings are gone"},
};

/* The reading of Ada's with these figures. */
static long long reading_of(struct browsing *b, const char *figures)
{
    char path[64], words[48];
    struct client *c = client_in(&b->scene->g, "anna");
    snprintf(path, sizeof path, "/desk/patient/%lld", b->ada);
    snprintf(words, sizeof words, "\">%s</a>", figures);
    assert_int_equal(client_get(c, path), 200);
    const char *at = strstr(c->page, words);
    while (at && at > c->page && strncmp(at, "/desk/reading/", 14) != 0)
        at--;
    long long id = at ? strtoll(at + 14, NULL, 10) : 0;
    client_free(c);
    return id;
}

static void form_sent(struct browsing *b, const struct form *f, long long id)
{
    char path[96], field[96], name[48];
    snprintf(path, sizeof path, "%s", f->page);
    char *place = strstr(path, "%lld");
    if (place)
        snprintf(place, sizeof path - (size_t)(place - path), "%lld%s", id, strstr(f->page, "%lld") + 4);
    to(b, path);
    driver_wait(&b->driver, "</html>");
    for (size_t i = 0; i < FILLS && f->fills[i][0]; i++) {
        snprintf(field, sizeof field, "main form[action$='%s'] [name='%s']", f->action, f->fills[i][0]);
        fill(b, field, f->fills[i][1]);
    }
    submit(b, f->action, f->button);
    driver_wait(&b->driver, f->says);
    snprintf(name, sizeof name, "sent%s-%td", strrchr(f->action, '/'), f - forms);
    for (char *at = name; *at; at++)
        *at = *at == '/' ? '-' : *at;
    if (!b->keys)
        look(b, name);
}

/* The table: looked at, then saved; choosing a file is the browser's own window. */
static void roster_sent(struct browsing *b)
{
    char path[PLAY_PATH + 64];
    snprintf(path, sizeof path, "%s/table.csv", b->scene->g.folder);
    FILE *out = fopen(path, "w");
    fputs("ref,phone,born\nP-0014,+447700900134,1960-02-28\nP-0015,+447700900135,\n", out);
    fclose(out);
    char *whole = realpath(path, NULL);
    to(b, "/desk/roster");
    driver_wait(&b->driver, "Table (CSV)");
    driver_type(&b->driver, "#file", whole);
    submit(b, "/roster", NULL);
    driver_wait(&b->driver, "no mistake");
    submit(b, "/roster", NULL);
    driver_wait(&b->driver, "Enrolled.");
    free(whole);
}

void every_form_is_sent(void **state)
{
    struct browsing *b = *state;
    struct ids ids = ids_of(b);
    long long held[2] = {reading_of(b, "265/84"), reading_of(b, "68/50")};
    const char *user = "";
    const struct page_route *r;
    for (size_t i = 0; i < sizeof forms / sizeof *forms; i++) {
        const struct form *f = &forms[i];
        if (strcmp(user, f->user) != 0) {
            if (user[0])
                sign_out(b);
            sign_in(b, user = f->user);
            if (i == 0)
                roster_sent(b);
        }
        form_sent(b, f, f->whose == 'a'   ? b->ada
                        : f->whose == 'b' ? b->bo
                        : f->whose == 'c' ? b->cy
                        : f->whose == 'd' ? b->dan
                        : f->whose == 'A' ? ids.alert
                        : f->whose == 'R' ? ids.row
                                          : held[f->whose == '2']);
    }
    sign_out(b);
    for (size_t i = 0; (r = page_route_at(i)); i++)
        if (r->method == METHOD_POST && !b->seen[i])
            fail_msg("%s was not sent", r->path);
}

/* -- presses ------------------------------------------------------------------------------------------------------------------------ */

static void begin_at_the_list(struct browsing *b)
{
    to(b, "/desk/list");
    driver_wait(&b->driver, "What needs a person now");
    b->presses = 0;
}

static void took(struct browsing *b, const char *act, int most)
{
    print_message("presses: %s: %d\n", act, b->presses);
    if (b->presses > most)
        fail_msg("%s takes %d presses", act, b->presses);
}

/* What a coordinator does all day, from the list on; words that must be typed are not counted. */
void the_commonest_acts_take_one_press_or_two(void **state)
{
    struct browsing *b = *state;
    sign_in(b, "anna");
    begin_at_the_list(b);
    press(b, ".matter.red form[action$='/take'] button");
    driver_wait(&b->driver, "You have taken it.");
    took(b, "take an alert", 1);
    begin_at_the_list(b);
    press(b, ".matter.red .do > a[href*='/desk/alert/']");
    driver_wait(&b->driver, "What came of it");
    fill(b, "textarea[name=note]", "Rang her; she is seen at noon.");
    press(b, "form[action$='/resolve'] button");
    driver_wait(&b->driver, "The alert is resolved.");
    took(b, "resolve it", 2);
    begin_at_the_list(b);
    press(b, ".do a[href*='/desk/reading/']");
    driver_wait(&b->driver, "Held because");
    fill(b, "form[action$='/void'] [name=note]", "her husband's");
    press(b, "form[action$='/void'] button");
    driver_wait(&b->driver, "The reading is void.");
    took(b, "decide a held reading", 2);
    begin_at_the_list(b);
    press(b, ".do a[href*='/desk/row/']");
    driver_wait(&b->driver, "Answer by text");
    fill(b, "#words", "Dr Hale will ring you at ten.");
    press(b, "button[value=send]");
    driver_wait(&b->driver, "Your text is on its way.");
    took(b, "answer a text, and call it done", 2);
    begin_at_the_list(b);
    press(b, ".do form[action$='/done'] button");
    driver_wait(&b->driver, "Done.");
    took(b, "call a row done", 1);
}
