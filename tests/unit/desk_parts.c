/* The parts of the desk that need no server: how long a guesser waits, which path is which page, words and their places,
 * moments in the clinic's zone, what a form said.
 *
 * Numbers of the throttle are common practice, no source. Daylight saving of Europe/London 2026: clocks forward 29 March
 * 01:00 UTC, back 25 October 01:00 UTC (IANA tz database).
 */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <cmocka.h>

#include <math.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/web/desk/pages.h"

/* -- throttle --------------------------------------------------------------------------------------------------------------------- */

static void three_failures_are_free_then_the_wait_doubles(void **state)
{
    static const int address[] = {0, 0, 0, 1, 2, 4, 8, 16, 32, 64, 128, 256, 512, 900, 900}, account[] = {0, 0, 0, 1, 2, 4, 8, 16,
                                                                                                           32, 60, 60, 60, 60, 60, 60};
    struct throttle *t = calloc(1, sizeof *t);
    int64_t now = 1000000;
    (void)state;
    for (size_t i = 0; i < sizeof address / sizeof *address; i++) {
        throttle_failed(t, now, 'a', "192.0.2.1");
        throttle_failed(t, now, 'u', "anna");
        if (throttle_wait(t, now, 'a', "192.0.2.1") != address[i] || throttle_wait(t, now, 'u', "anna") != account[i])
            fail_msg("after %zu failures: %d and %d s", i + 1, throttle_wait(t, now, 'a', "192.0.2.1"),
                     throttle_wait(t, now, 'u', "anna"));
    }
    assert_int_equal(throttle_wait(t, now + 899001, 'a', "192.0.2.1"), 1);
    assert_int_equal(throttle_wait(t, now + 900000, 'a', "192.0.2.1"), 0);
    assert_int_equal(throttle_wait(t, now, 'a', "192.0.2.2"), 0);
    assert_int_equal(throttle_wait(t, now, 'u', "192.0.2.1"), 0); /* an account so named is another key */
    throttle_forget(t, 'a', "192.0.2.1");
    throttle_failed(t, now, 'a', "192.0.2.1");
    assert_int_equal(throttle_wait(t, now, 'a', "192.0.2.1"), 0);
    free(t);
}

/* A flood of other names does not set the one that waits the longest free. */
static void who_waits_long_is_not_pushed_out_by_newcomers(void **state)
{
    struct throttle *t = calloc(1, sizeof *t);
    char other[32];
    (void)state;
    for (int i = 0; i < 14; i++)
        throttle_failed(t, 0, 'a', "192.0.2.1");
    for (int i = 0; i < 20 * THROTTLE_ROWS; i++) {
        snprintf(other, sizeof other, "198.51.100.%d", i);
        throttle_failed(t, 0, 'a', other);
    }
    assert_int_equal(throttle_wait(t, 0, 'a', "192.0.2.1"), 900);
    free(t);
}

/* -- routes ------------------------------------------------------------------------------------------------------------------------ */

static void a_path_is_one_page_in_one_spelling(void **state)
{
    static const struct {
        const char *path;
        enum method method;
        const char *route;
        unsigned allow;
        int64_t id;
        const char *why;
    } rows[] = {
        {"/desk/list", METHOD_GET, "/desk/list", 0, 0, "plain"},
        {"/desk/list/", METHOD_GET, NULL, 0, 0, "not a tree"},
        {"/desk/list", METHOD_POST, NULL, METHOD_GET, 0, "405"},
        {"/desk/patient/12", METHOD_GET, "/desk/patient/#", 0, 12, "a number"},
        {"/desk/patient/012", METHOD_GET, NULL, 0, 0, "one spelling a number"},
        {"/desk/patient/-1", METHOD_GET, NULL, 0, 0, "below zero"},
        {"/desk/patient/1234567890123456789", METHOD_GET, NULL, 0, 0, "too large"},
        {"/desk/patient/12x", METHOD_GET, NULL, 0, 0, "more than a number"},
        {"/desk/patient/", METHOD_GET, NULL, 0, 0, "no number"},
        {"/desk/patient/7/week/3/pdf", METHOD_GET, "/desk/patient/#/week/#/pdf", 0, 7, "two numbers"},
        {"/desk/patient/7/erase", METHOD_GET, NULL, METHOD_POST, 7, "never by a link"},
        {"/desk//list", METHOD_GET, NULL, 0, 0, "two slashes"},
        {"", METHOD_GET, NULL, 0, 0, "nothing"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        int64_t ids[2] = {0};
        unsigned allow;
        const struct page_route *r = page_route_find(rows[i].path, rows[i].method, ids, &allow);
        bool same = r && rows[i].route ? strcmp(r->path, rows[i].route) == 0 : !r && !rows[i].route;
        if (!same || allow != rows[i].allow || (r && rows[i].id && ids[0] != rows[i].id))
            fail_msg("%s: %s", rows[i].why, r ? r->path : "none");
    }
}

/* What changes something is a POST; what only shows is open to more. */
static void whatever_changes_something_is_a_post_and_names_its_roles(void **state)
{
    const struct page_route *r;
    (void)state;
    for (size_t i = 0; (r = page_route_at(i)); i++) {
        if (!r->handle || !r->roles || (r->roles & ~(unsigned)(ROLE_ALL | ROLE_NOBODY)))
            fail_msg("%s has no roles", r->path);
        if (strchr(r->path, '#') && r->noun == NOUN_NONE)
            fail_msg("%s has a number of nothing", r->path);
        if ((r->roles & ROLE_NOBODY) && r->noun != NOUN_NONE)
            fail_msg("%s shows somebody to anybody", r->path);
    }
}

/* -- words -------------------------------------------------------------------------------------------------------------------------- */

static void every_word_is_there_and_its_places_are_numbered(void **state)
{
    (void)state;
    for (int w = WORD_NONE + 1; w < WORDS_N; w++) {
        const char *text = word((enum word)w);
        if (!text || !text[0])
            fail_msg("word %d is empty", w);
        for (const char *at = strchr(text, '{'); at; at = strchr(at + 1, '{'))
            if (at[1] < '1' || at[1] > '4' || at[2] != '}')
                fail_msg("\"%s\" has a place without a number", text);
        if (strpbrk(text, "<>&\""))
            fail_msg("\"%s\" holds markup", text);
    }
}

static void values_are_put_in_their_places_and_escaped(void **state)
{
    struct page *p = calloc(1, sizeof *p);
    char words[64];
    (void)state;
    buffer_init(&p->out, 4096);
    say_of(p, TAKEN_BY, "<b>{1}&");
    assert_string_equal(p->out.at, "Taken by &lt;b&gt;{1}&amp;.");
    buffer_clear(&p->out);
    words_of(words, sizeof words, WORD_PRESSURE_PULSE, (const char *const[4]){"132", "84", "71"});
    assert_string_equal(words, "132/84, pulse 71");
    words_of(words, 9, WORD_PRESSURE_PULSE, (const char *const[4]){"132", "84", "71"});
    assert_string_equal(words, "132/84, ");
    buffer_clear(&p->out);
    free(p);
}

/* -- moments ------------------------------------------------------------------------------------------------------------------------ */

static void local_times_are_read_in_the_clinics_zone(void **state)
{
    static const struct {
        const char *local;
        int64_t instant;
        const char *why;
    } rows[] = {
        {"2026-12-01T08:00", 1796112000, "winter: UTC"},
        {"2026-07-01T08:00", 1782889200, "summer: an hour ahead"},
        {"2026-03-29T01:30", 1774746000, "there is no such time: the first that there is"},
        {"2026-10-25T01:30", 1792888200, "comes twice: the first"},
        {"2026-12-01 08:00", 1796112000, "a blank between"},
        {"2026-12-01T24:00", 0, "no such time of day"},
        {"2026-02-30T08:00", 0, "no such day"},
        {"2026-12-01T08:00:00", 0, "with seconds"},
        {"", 0, "nothing"},
    };
    struct clinic c = {.zone = "Europe/London"};
    char words[MOMENT];
    int64_t instant;
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        bool read = local_read(&c, rows[i].local, &instant);
        if (read != (rows[i].instant != 0) || (read && instant != rows[i].instant))
            fail_msg("%s: %lld", rows[i].why, read ? (long long)instant : -1);
    }
    assert_string_equal(local_write(&c, 1782889200, words), "2026-07-01T08:00");
    assert_string_equal(when_exact(&c, 1796112000, words), "Tue 1 Dec 2026 08:00");
}

static void ages_are_said_in_words(void **state)
{
    static const struct {
        int64_t seconds;
        const char *words;
    } rows[] = {{0, "just now"},          {59, "just now"},        {60, "a minute ago"},    {7199, "an hour ago"},
                {3599, "59 minutes ago"}, {3600, "an hour ago"},   {7200, "2 hours ago"},   {172799, "47 hours ago"},
                {172800, "2 days ago"}};
    char words[MOMENT];
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        assert_string_equal(age_words(rows[i].seconds, words), rows[i].words);
}

/* -- what a form said ------------------------------------------------------------------------------------------------------------------ */

static void values_of_a_form_are_decoded_once_and_clean(void **state)
{
    static const struct {
        const char *form, *name, *value, *why;
    } rows[] = {
        {"a=1&b=2", "b", "2", "the second"},
        {"a=1&a=2", "a", "1", "the first of two"},
        {"a=%3Cb%3E%26+c", "a", "<b>& c", "escapes and plus"},
        {"a=%2541", "a", "%41", "once, not twice"},
        {"a=%00x", "a", "\xEF\xBF\xBD" "x", "a NUL"},
        {"a=%FF", "a", "\xEF\xBF\xBD", "no UTF-8"},
        {"ab=1", "a", "", "another name"},
        {"", "a", "", "nothing"},
        {"a", "a", "", "a name alone"},
        {"a=%C3%A9%C3%A9%C3%A9%C3%A9%C3%A9%C3%A9", "a", "\xC3\xA9\xC3\xA9\xC3\xA9", "cut at eight bytes, no half character"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct buffer b;
        char value[8];
        buffer_init(&b, 1024);
        buffer_text(&b, rows[i].form);
        if (strcmp(ask_value(&b, rows[i].name, value, sizeof value), rows[i].value) != 0)
            fail_msg("%s: \"%s\"", rows[i].why, value);
        buffer_clear(&b);
    }
}

/* -- colours ------------------------------------------------------------------------------------------------------------------------ */

/* Relative luminance and contrast ratio: W3C WCAG 2.2, definitions. */
static double luminance(const char *hex)
{
    static const double weights[] = {0.2126, 0.7152, 0.0722};
    double sum = 0;
    for (int i = 0; i < 3; i++) {
        char part[3] = {hex[1 + 2 * i], hex[2 + 2 * i], '\0'};
        double c = (double)strtol(part, NULL, 16) / 255;
        sum += weights[i] * (c <= 0.04045 ? c / 12.92 : pow((c + 0.055) / 1.055, 2.4));
    }
    return sum;
}

/* "--plum" as the style sheet has it, or a colour as it stands. */
static const char *colour(const char *named)
{
    char before[32];
    if (named[0] == '#')
        return named;
    snprintf(before, sizeof before, "%s:", named);
    const char *at = strstr(html_style, before);
    assert_non_null(at);
    return at + strlen(before);
}

static void every_pair_of_colours_can_be_read(void **state)
{
    static const struct {
        const char *text, *ground;
        double least;
        const char *where;
    } rows[] = {
        {"--ink", "--paper", 7, "figures and text"},     {"--second", "--paper", 4.5, "times, hints"},
        {"--plum", "--paper", 4.5, "links, buttons"},    {"#ffffff", "--plum", 4.5, "main buttons"},
        {"#ffffff", "#55244a", 4.5, "under the pointer"}, {"--plum", "--tint", 4.5, "buttons under the pointer"},
        {"--brick", "--brick-tint", 4.5, "urgent"},      {"--amber", "--amber-tint", 4.5, "attention"},
        {"--moss", "--moss-tint", 4.5, "settled"},       {"--brick", "--paper", 4.5, "errors"},
        {"--moss", "--paper", 4.5, "taken"},             {"--ink", "--brick-tint", 7, "an urgent row"},
        {"--second", "--brick-tint", 4.5, "its time"},   {"--plum", "--brick-tint", 4.5, "its links"},
        {"--moss", "--brick-tint", 4.5, "taken, in it"}, {"--ink", "#ece9df", 4.5, "badges"},
        {"--second", "--tint", 4.5, "our texts' times"}, {"--ink", "--tint", 7, "our texts"},
        {"--rule", "--paper", 3, "edges of controls"},   {"--plum", "#ffffff", 3, "the focus ring on a field"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double a = luminance(colour(rows[i].text)), b = luminance(colour(rows[i].ground));
        double ratio = a > b ? (a + 0.05) / (b + 0.05) : (b + 0.05) / (a + 0.05);
        if (ratio < rows[i].least)
            fail_msg("%s: %.2f:1, not %.1f:1", rows[i].where, ratio, rows[i].least);
    }
}

/* -- cookies ------------------------------------------------------------------------------------------------------------------------ */

/* RFC 6265bis, section 4.1.3.2: a __Host- cookie is Secure, has Path=/ and no Domain. */
static void behind_https_a_cookie_is_of_its_host_alone(void **state)
{
    static const struct {
        const char *url, *cookie, *why;
    } rows[] = {
        {"https://desk.example.org", "__Host-quietarm=v; Path=/; HttpOnly; SameSite=Strict; Secure", "HTTPS"},
        {"http://127.0.0.1:8481", "quietarm=v; Path=/; HttpOnly; SameSite=Strict", "this machine alone"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct config *c = calloc(1, sizeof *c);
        struct page *p = calloc(1, sizeof *p);
        snprintf(c->public_url, sizeof c->public_url, "%s", rows[i].url);
        p->config = c;
        page_cookie(p, cookie_session(c), "v");
        if (p->n_headers != 1 || strcmp(p->headers[0].value, rows[i].cookie) != 0)
            fail_msg("%s: %s", rows[i].why, p->headers[0].value);
        page_cookie(p, cookie_session(c), "");
        assert_non_null(strstr(p->headers[1].value, "; Max-Age=0"));
        free(p);
        free(c);
    }
}

int main(void)
{
    if (sodium_init() < 0)
        return 1;
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(three_failures_are_free_then_the_wait_doubles),
        cmocka_unit_test(who_waits_long_is_not_pushed_out_by_newcomers),
        cmocka_unit_test(a_path_is_one_page_in_one_spelling),
        cmocka_unit_test(whatever_changes_something_is_a_post_and_names_its_roles),
        cmocka_unit_test(every_word_is_there_and_its_places_are_numbered),
        cmocka_unit_test(values_are_put_in_their_places_and_escaped),
        cmocka_unit_test(local_times_are_read_in_the_clinics_zone),
        cmocka_unit_test(ages_are_said_in_words),
        cmocka_unit_test(every_pair_of_colours_can_be_read),
        cmocka_unit_test(behind_https_a_cookie_is_of_its_host_alone),
        cmocka_unit_test(values_of_a_form_are_decoded_once_and_clean),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
