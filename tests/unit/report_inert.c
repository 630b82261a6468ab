/* Names and texts that would do harm come out inert on every surface: markup, control characters, marks that turn text around,
 * formulas for spreadsheets, line breaks for mail headers. */
#include <jansson.h>

#include "gateway/report/fhir.h"
#include "gateway/report/html_writer.h"
#include "gateway/send/send.h"
#include "tests/report_fixture.h"

static struct report_fixture f;

static void text_comes_out_escaped_and_clean(void **state)
{
    static const struct {
        const char *in, *html, *why;
    } rows[] = {
        {"plain", "plain", "nothing to do"},
        {"<script>alert(1)</script>", "&lt;script&gt;alert(1)&lt;/script&gt;", "markup"},
        {"a\"b'c&d", "a&quot;b&#39;c&amp;d", "quotes end an attribute"},
        {"caf\xc3\xa9 \xd7\xa0\xd7\x95\xd7\xa2\xd7\x94", "caf\xc3\xa9 \xd7\xa0\xd7\x95\xd7\xa2\xd7\x94", "any script stays"},
        {"a\x01\x1b[31mb\x7f", "a\xef\xbf\xbd\xef\xbf\xbd[31mb\xef\xbf\xbd", "terminal escapes"},
        {"a\xe2\x80\xae" "b\xe2\x81\xa6" "c", "a\xef\xbf\xbd" "b\xef\xbf\xbd" "c", "overrides of direction"},
        {"a\xff" "b\xc3", "a\xef\xbf\xbd" "b\xef\xbf\xbd", "no UTF-8"},
        {"\xed\xa0\x80", "\xef\xbf\xbd\xef\xbf\xbd\xef\xbf\xbd", "a lone surrogate"},
        {"\xc0\xbc", "\xef\xbf\xbd\xef\xbf\xbd", "an overlong <"},
        {"a\tb\nc", "a b\nc", "a tab is a blank"},
        {"\xc2\x85x\xe2\x80\xa8y", "\xef\xbf\xbdx\xef\xbf\xbdy", "other line ends"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct buffer b;
        buffer_init(&b, 1000);
        html_text(&b, rows[i].in);
        if (strcmp(b.at, rows[i].html) != 0)
            fail_msg("%s: \"%s\"", rows[i].why, b.at);
        buffer_clear(&b);
    }
}

static void a_long_line_is_cut_between_characters(void **state)
{
    static const struct {
        const char *in;
        size_t size;
        const char *out;
    } rows[] = {{"abcdef", 7, "abcdef"}, {"abcdefg", 7, "abc…"}, {"ééééé", 8, "éé…"}, {"a\nb", 8, "a b"}, {"abc", 3, ""},
                {"", 1, ""}};
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char to[16] = "unset";
        assert_string_equal(text_clean(rows[i].in, to, rows[i].size), rows[i].out);
    }
}

static void decimals_do_not_depend_on_anything(void **state)
{
    static const struct {
        double in;
        int decimals;
        const char *out;
    } rows[] = {{1.5, 2, "1.5"}, {-0.004, 2, "0.0"}, {100, 0, "100"}, {-2.25, 1, "-2.3"}, {NAN, 1, ""}, {0.126, 2, "0.13"}};
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct buffer b;
        buffer_init(&b, 100);
        html_decimal(&b, rows[i].in, rows[i].decimals);
        assert_string_equal(b.at ? b.at : "", rows[i].out);
        buffer_clear(&b);
    }
}

/* -- a whole week by somebody with a hostile name ---------------------------------------------------------------------- */

static const char hostile_name[] = "<img src=x onerror=alert(1)>\x1b]0;x\x07\xe2\x80\xae\"'&";

static const struct report *hostile_week(void)
{
    report_fixture_open(&f, "esh");
    report_fixture_read(&f, 28, 2);
    struct person *p = &f.week.record.person;
    snprintf(p->name, sizeof p->name, "%s", hostile_name);
    snprintf(p->monitor, sizeof p->monitor, "</p><script>x\r\nBcc: a@example.org");
    snprintf(p->ref, sizeof p->ref, "=1+1");
    struct reading *x = &f.week.readings[6];
    x->standing = STANDING_VOID;
    snprintf(x->reason, sizeof x->reason, "=HYPERLINK(\"http://a.example\"),\"b\"\r\n@x");
    report_fixture_text(&f, 2, 430, "=cmd|' /C calc'!A0\r\n<b>\x01");
    f.week.readings[4].text = f.texts[0].id;
    f.week.readings[4].technique = TECHNIQUE_COLD;
    report_fixture_end(&f, 7, WEEK_COMPLETE);
    return report_fixture_make(&f);
}

static void no_control(const char *text, bool lines)
{
    for (const unsigned char *s = (const unsigned char *)text; *s; s++)
        if ((*s < 0x20 && !(lines && *s == '\n')) || *s == 0x7f)
            fail_msg("a control character %02x before \"%.20s\"", *s, s);
    assert_null(strstr(text, "\xe2\x80\xae"));
}

static void a_page_of_a_hostile_name_has_only_our_markup(void **state)
{
    (void)state;
    char *page = report_html(hostile_week());
    no_control(page, true);
    assert_null(strstr(page, "<img"));
    assert_null(strstr(page, "<script"));
    assert_null(strstr(page, "</p><script"));
    assert_null(strstr(page, "<b>\xef"));
    assert_non_null(strstr(page, "&lt;img src=x onerror=alert(1)&gt;"));
    assert_null(strstr(page, "href="));
    free(page);
    report_close(&f.report);
}

static void the_text_of_a_hostile_name_stays_one_line_a_line(void **state)
{
    (void)state;
    char *text = report_text(hostile_week());
    no_control(text, true);
    assert_null(strstr(text, "\nBcc:"));
    free(text);
    report_close(&f.report);
}

/* Every cell that a spreadsheet would run (common practice, no source: = + - @ and their full-width forms, tab, line end)
 * begins with an apostrophe; rows end in CR LF and nothing else does (RFC 4180). */
static void no_cell_is_a_formula(void **state)
{
    struct buffer b;
    (void)state;
    const struct report *r = hostile_week();
    buffer_init(&b, 1 << 20);
    assert_true(report_csv_rows(r, DAY_NONE, DAY_NONE, false, &b));
    int rows = 0;
    bool quoted = false, begins = true;
    for (const char *s = b.at; *s; s++) {
        if (begins && *s == '"')
            quoted = true, s++;
        if (begins && strchr("=+-@\t", *s))
            fail_msg("a formula: %.30s", s);
        begins = false;
        if (quoted && *s == '"' && s[1] == '"')
            s++;
        else if (quoted && *s == '"')
            quoted = false;
        else if (!quoted && *s == ',')
            begins = true;
        else if (*s == '\r') {
            assert_true(!quoted && s[1] == '\n');
            s++, rows++, begins = true;
        } else
            assert_int_not_equal(*s, '\n');
    }
    assert_int_equal(rows, 28);
    assert_non_null(strstr(b.at, "maple,'=1+1,1,2026-11-24"));
    assert_non_null(strstr(b.at, "\"not counted: void: =HYPERLINK(\"\"http://a.example\"\"),\"\"b\"\"\xef\xbf\xbd @x\""));
    buffer_clear(&b);
    report_close(&f.report);
}

static void fhir_of_a_hostile_name_is_json_with_plain_strings(void **state)
{
    (void)state;
    char *text = fhir_bundle(hostile_week(), NULL, 0);
    json_t *bundle = json_loads(text, 0, NULL);
    assert_non_null(bundle);
    no_control(text, false);
    json_t *patient = json_object_get(json_array_get(json_object_get(bundle, "entry"), 0), "resource");
    const char *name = json_string_value(json_object_get(json_array_get(json_object_get(patient, "name"), 0), "text"));
    assert_non_null(strstr(name, "<img src=x onerror=alert(1)>\xef\xbf\xbd]0;x\xef\xbf\xbd\xef\xbf\xbd\"'&"));
    json_decref(bundle);
    free(text);
    report_close(&f.report);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(text_comes_out_escaped_and_clean),
        cmocka_unit_test(a_long_line_is_cut_between_characters),
        cmocka_unit_test(decimals_do_not_depend_on_anything),
        cmocka_unit_test(a_page_of_a_hostile_name_has_only_our_markup),
        cmocka_unit_test(the_text_of_a_hostile_name_stays_one_line_a_line),
        cmocka_unit_test(no_cell_is_a_formula),
        cmocka_unit_test(fhir_of_a_hostile_name_is_json_with_plain_strings),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
