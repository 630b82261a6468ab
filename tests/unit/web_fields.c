/* What a body says, field by field, and the values in it: pointers, forms, broken characters, numbers, times, phones.
 *
 * Sources: RFC 6901 section 5 (pointers), RFC 8259 (JSON), WHATWG URL section 5.1 (forms; the rows are those of the
 * standard's public test collection, from memory), Unicode 15 section 3.9 tables 3-8 to 3-11 (ill-formed UTF-8), RFC 3339
 * section 5.8 (times), RFC 9110 section 8.3.1 (media types), numbers from the ranges reserved for fiction.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>
#include <errno.h>
#include <jansson.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/web/fields.h"
#include "gateway/web/phone.h"

#define R "\xef\xbf\xbd"

/* The field as text, or its kind in brackets. */
static const char *field_shown(enum body_format format, const char *body, size_t size, const char *name)
{
    static char shown[256];
    static const char *const kinds[] = {"", "(absent)", "(twice)", "(other)", "(memory)"};
    struct fields f;
    char *text;
    size_t n;
    if (!fields_open(&f, format, body, size))
        return "(broken)";
    enum field what = field_take(&f, name, &text, &n);
    if (what == FIELD_TEXT)
        assert_int_equal(n, strlen(text)); /* no NUL is left */
    else
        assert_null(text);
    snprintf(shown, sizeof shown, "%s", what == FIELD_TEXT ? text : kinds[what]);
    free(text);
    fields_close(&f);
    return shown;
}

static void pointers_are_those_of_rfc_6901(void **state)
{
    (void)state;
    static const char document[] = "{\"foo\":[\"bar\",\"baz\"],\"\":0,\"a/b\":1,\"c%d\":2,\"e^f\":3,\"g|h\":4,"
                                   "\"i\\\\j\":5,\"k\\\"l\":6,\" \":7,\"m~n\":8}";
    static const struct {
        const char *pointer, *shown, *why;
    } rows[] = {
        {"", "(other)", "section 5: the whole document"},
        {"/foo", "(other)", "section 5: an array"},
        {"/foo/0", "bar", "section 5"},
        {"/", "0", "section 5: the empty name"},
        {"/a~1b", "1", "section 5"},
        {"/c%d", "2", "section 5"},
        {"/e^f", "3", "section 5"},
        {"/g|h", "4", "section 5"},
        {"/i\\j", "5", "section 5"},
        {"/k\"l", "6", "section 5"},
        {"/ ", "7", "section 5"},
        {"/m~0n", "8", "section 5"},
        {"/foo/1", "baz", "the second element"},
        {"/foo/01", "(absent)", "section 4: no leading zero"},
        {"/foo/2", "(absent)", "behind the last"},
        {"/foo/-", "(absent)", "section 4: the element that is not there yet"},
        {"/foo/-1", "(absent)", "no number"},
        {"/foo/0/x", "(absent)", "inside a string"},
        {"/m~n", "(absent)", "section 3: ~ is 0 or 1"},
        {"/m~", "(absent)", "an escape cut off"},
        {"foo", "(absent)", "no pointer"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const char *shown = field_shown(FORMAT_JSON, document, strlen(document), rows[i].pointer);
        if (strcmp(shown, rows[i].shown))
            fail_msg("'%s' (%s): %s", rows[i].pointer, rows[i].why, shown);
    }
}

static void json_is_strict_but_for_what_breaks_a_text(void **state)
{
    (void)state;
    static const struct {
        const char *body;
        size_t size; /* 0: to the NUL */
        const char *shown, *why;
    } rows[] = {
        {"{\"a\":\"x\"}", 0, "x", "plain"},
        {"\xef\xbb\xbf{\"a\":\"x\"}", 0, "x", "RFC 8259 section 8.1: a mark before it may be ignored"},
        {"{\"a\":null}", 0, "(absent)", "null"},
        {"{\"a\":true}", 0, "(other)", "no text"},
        {"{\"a\":-17}", 0, "-17", "a number"},
        {"{\"a\":9223372036854775807}", 0, "9223372036854775807", "the largest of 64 bits"},
        {"{\"a\":18446744073709551615}", 0, "18446744073709551615", "past them: every digit is kept"},
        {"{\"a\":\"18446744073709551615\"}", 0, "18446744073709551615", "a string of the same"},
        {"{\"a\":1.5}", 0, "1.5", "a fraction"},
        {"{\"a\":01}", 0, "(broken)", "a leading zero"},
        {"{\"a\":\"\\u0000\"}", 0, R, "an escaped NUL"},
        {"{\"a\":\"\0\"}", 9, R, "a NUL"},
        {"{\"a\":\"\xc3(\"}", 0, R "(", "no UTF-8"},
        {"{\"a\":\"\\ud83d\\ude00\"}", 0, "\xf0\x9f\x98\x80", "a pair"},
        {"{\"a\":\"\\ud83d\"}", 0, R, "its first half"},
        {"{\"a\":\"\\ude00!\"}", 0, R "!", "its second half"},
        {"{\"a\":\"\\ud83d\\ud83d\\ude00\"}", 0, R "\xf0\x9f\x98\x80", "a half before a pair"},
        {"{\"a\":\"\\\\ud83d\"}", 0, "\\ud83d", "an escaped backslash is no escape"},
        {"{\"a\":\"\\x\"}", 0, "(broken)", "an escape that is none"},
        {"{\"a\":\"\\u12\"}", 0, "(broken)", "a short escape"},
        {"{\"a\":\"x\n\"}", 0, "(broken)", "RFC 8259 section 7: controls are escaped"},
        {"{\"a\":\"x", 0, "(broken)", "cut off"},
        {"{\"a\":\"x\\", 0, "(broken)", "cut off inside an escape"},
        {"{\"a\":1,\"a\":2}", 0, "(broken)", "a member twice"},
        {"{\"a\":1}{", 0, "(broken)", "more behind it"},
        {"{\"a\":1,}", 0, "(broken)", "a comma too many"},
        {"\"a\"", 0, "(broken)", "no object"},
        {"", 0, "(broken)", "nothing"},
        {"{\"b\":[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[1]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]}", 0, "(broken)", "too deep"},
        {"{\"b\":\"[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[\",\"a\":1}", 0, "1", "brackets in a string"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const char *shown = field_shown(FORMAT_JSON, rows[i].body, rows[i].size ? rows[i].size : strlen(rows[i].body), "/a");
        if (strcmp(shown, rows[i].shown))
            fail_msg("%s: %s", rows[i].why, shown);
    }
}

/* All pairs as name=value, each ended by |. */
static void forms_are_read_as_browsers_do(void **state)
{
    (void)state;
    static const struct {
        const char *body, *pairs;
    } rows[] = {
        {"test", "test=|"},
        {"a=b&c=d", "a=b|c=d|"},
        {"a=b&c=d&", "a=b|c=d|"},
        {"&&&a=b&&&&c=d&", "a=b|c=d|"},
        {"a=a&a=b&a=c", "a=a|a=b|a=c|"},
        {"a==a", "a==a|"},
        {"a=a+b+c+d", "a=a b c d|"},
        {"%=a", "%=a|"},
        {"%a=a", "%a=a|"},
        {"%a_=a", "%a_=a|"},
        {"%61=a", "a=a|"},
        {"%61+%4d%4D=", "a MM=|"},
        {"id=0&value=%", "id=0|value=%|"},
        {"b=%2sf%2a", "b=%2sf*|"},
        {"b=%2%2af%2a", "b=%2*f*|"},
        {"b=%%2a", "b=%*|"},
        {"\xef\xbb\xbftest=\xef\xbb\xbf", "\xef\xbb\xbftest=\xef\xbb\xbf|"},
        {"%EF%BB%BFtest=%EF%BB%BF", "\xef\xbb\xbftest=\xef\xbb\xbf|"},
        {"%FE%FF", R R "=|"},
        {"%FF%FE", R R "=|"},
        {"\xe2\x80\xa0&\xe2\x80\xa0=x", "\xe2\x80\xa0=|\xe2\x80\xa0=x|"},
        {"%C2", R "=|"},
        {"%C2x", R "x=|"},
        {"_charset_=windows-1252&test=%C2x", "_charset_=windows-1252|test=" R "x|"},
        {"=", "=|"},
        {"", ""},
        {"a=%00", "a=" R "|"}, /* ours: no NUL in a text */
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct buffer name, value, all;
        const char *at = rows[i].body, *end = at + strlen(at);
        buffer_init(&name, 1024);
        buffer_init(&value, 1024);
        buffer_init(&all, 1024);
        buffer_text(&all, "");
        while (form_next(&at, end, &name, &value)) {
            buffer_print(&all, "%s=%s|", name.n ? name.at : "", value.n ? value.at : "");
            buffer_clear(&name);
            buffer_clear(&value);
        }
        if (strcmp(all.at, rows[i].pairs))
            fail_msg("%s: %s", rows[i].body, all.at);
        buffer_clear(&all);
    }
}

static void a_form_s_field_is_there_once(void **state)
{
    (void)state;
    static const struct {
        const char *body, *shown, *why;
    } rows[] = {
        {"From=x&Body=132%2F84", "132/84", "an escape"},
        {"Body=", "", "empty"},
        {"Body", "", "without a value"},
        {"From=x", "(absent)", "missing"},
        {"body=x", "(absent)", "names have case"},
        {"Body=1&Body=1", "(twice)", "twice the same"},
        {"Body=&Body=1", "(twice)", "empty and not"},
        {"", "(absent)", "nothing"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const char *shown = field_shown(FORMAT_FORM, rows[i].body, strlen(rows[i].body), "Body");
        if (strcmp(shown, rows[i].shown))
            fail_msg("%s: %s", rows[i].why, shown);
    }
    assert_string_equal(field_shown(FORMAT_FORM, NULL, 0, "Body"), "(absent)");
}

static void ill_formed_bytes_become_replacement_characters(void **state)
{
    (void)state;
    static const struct {
        const char *bytes, *clean, *why;
    } rows[] = {
        {"\xc0\xaf\xe0\x80\xbf\xf0\x81\x82\x41", R R R R R R R R "A", "table 3-8: overlong forms"},
        {"\xed\xa0\x80\xed\xbf\xbf\xed\xaf\x41", R R R R R R R R "A", "table 3-9: surrogates"},
        {"\xf4\x91\x92\x93\xff\x41\x80\xbf\x42", R R R R R "A" R R "B", "table 3-10: past the last"},
        {"\xe1\x80\xe2\xf0\x91\x92\xf1\xbf\x41", R R R R "A", "table 3-11: cut off"},
        {"\xf0\x9f\x98\x80\xe2\x82\xac\xc2\xa3$", "\xf0\x9f\x98\x80\xe2\x82\xac\xc2\xa3$", "one of each length"},
        {"\xf4\x8f\xbf\xbf\xed\x9f\xbf\xee\x80\x80\xe0\xa0\x80\xc2\x80\x7f",
         "\xf4\x8f\xbf\xbf\xed\x9f\xbf\xee\x80\x80\xe0\xa0\x80\xc2\x80\x7f", "the edges"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct buffer b;
        buffer_init(&b, 1024);
        utf8_clean(&b, rows[i].bytes, strlen(rows[i].bytes));
        if (strcmp(b.at, rows[i].clean))
            fail_msg("%s: %s", rows[i].why, b.at);
        buffer_clear(&b);
    }
}

static void phones_have_one_spelling_and_names_stay(void **state)
{
    (void)state;
    static const struct {
        const char *in, *out, *why;
    } rows[] = {
        {"+447700900123", "+447700900123", "as it should be"},
        {"+44 7700 900123", "+447700900123", "blanks"},
        {"+44\xc2\xa0" "7700\xe2\x80\x91" "900123", "+447700900123", "no-break blank and hyphen"},
        {"(+44) 7700-900.123", "+447700900123", "brackets, dash, dot"},
        {"00447700900123", "+447700900123", "00"},
        {"00 44 7700 900123", "+447700900123", "00 and blanks"},
        {"+1 (212) 555-0100", "+12125550100", "North America"},
        {"07700 900123", "07700900123", "a national number is not guessed at"},
        {"447700900123", "447700900123", "nor is one without its plus"},
        {"80123", "80123", "a short code"},
        {"00123", "00123", "a short code with zeros"},
        {"ACME-Net", "ACME-Net", "a name keeps its dash"},
        {"St. Mary", "St. Mary", "and its blank"},
        {"+44+7700", "+44+7700", "no number"},
        {"", "", "nothing"},
        {"1234567890123456789012345678901234567890", "1234567890123456789012345678901", "cut: nobody's number"},
        {"aaaaaaaaaaaaaaaaaaaaaaaaaaaaaa\xc3\xa9", "aaaaaaaaaaaaaaaaaaaaaaaaaaaaaa", "cut between characters"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char out[PHONE_MAX];
        phone_normal(rows[i].in, out);
        if (strcmp(out, rows[i].out))
            fail_msg("%s: %s", rows[i].why, out);
    }
}

#define NOW INT64_C(1795590000) /* 2026-11-25T07:00:00Z */

static void a_time_of_sending_counts_when_it_can_be_true(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        int64_t sent;
        const char *why;
    } rows[] = {
        {"2026-11-25T07:00:00Z", NOW, "now"},
        {"2026-11-25T06:59:59.99Z", NOW - 1, "a fraction is dropped"},
        {"2026-11-25T08:00:00+01:00", NOW, "an offset"},
        {"2026-11-25T07:00:01Z", INSTANT_NONE, "future"},
        {"2026-11-23T07:00:00Z", NOW - 48 * 3600, "48 hours"},
        {"2026-11-23T06:59:59Z", INSTANT_NONE, "older"},
        {"2026-11-25 07:00", INSTANT_NONE, "no zone"},
        {"1795590000", NOW, "seconds"},
        {"1795589990.75", NOW - 10, "seconds with a fraction"},
        {"1795590000000", NOW, "milliseconds"},
        {"1795589999999", NOW - 1, "milliseconds, rounded down"},
        {"1795590000000000", INSTANT_NONE, "finer is not promised"},
        {"99999999999999999999999", INSTANT_NONE, "past 64 bits"},
        {"1795590000s", INSTANT_NONE, "more behind it"},
        {"1795590000.", NOW, "a dot alone"},
        {"-1", INSTANT_NONE, "before 1970"},
        {"", INSTANT_NONE, "empty"},
        {"yesterday", INSTANT_NONE, "words"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (sent_read(rows[i].text, NOW) != rows[i].sent)
            fail_msg("%s: %lld", rows[i].why, (long long)sent_read(rows[i].text, NOW));
}

static void media_types_are_compared_without_their_parameters(void **state)
{
    (void)state;
    static const struct {
        const char *type;
        bool json, form;
    } rows[] = {
        {"application/json", true, false},
        {"Application/JSON; charset=UTF-8", true, false},
        {"application/json ;charset=utf-8", true, false},
        {"application/vnd.carrier+json", true, false},
        {"application/x-www-form-urlencoded", false, true},
        {"application/x-www-form-urlencoded;charset=UTF-8", false, true},
        {"application/jsonp", false, false},
        {"application/json x", false, false},
        {"application/+json", false, false},
        {"text/json", false, false},
        {"", false, false},
        {NULL, false, false},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (type_fits(rows[i].type, FORMAT_JSON) != rows[i].json || type_fits(rows[i].type, FORMAT_FORM) != rows[i].form)
            fail_msg("%s", rows[i].type ? rows[i].type : "no type");
}

static int fail_at; /* the allocation of jansson that fails; 0 none */

static void *starved_malloc(size_t n)
{
    if (!fail_at || --fail_at)
        return malloc(n);
    errno = ENOMEM; /* as malloc does, by POSIX */
    return NULL;
}

static void want_of_memory_is_no_broken_body(void **state)
{
    static const char body[] = "{\"a\":{\"id\":\"m-1\",\"n\":[1,2.5,null]},\"text\":\"132/84\"}";
    bool over = false;
    int starved = 0;
    (void)state;
    json_set_alloc_funcs(starved_malloc, free);
    for (int n = 1; !over; n++) {
        struct fields f;
        fail_at = n;
        bool open = fields_open(&f, FORMAT_JSON, body, sizeof body - 1);
        over = fail_at > 0;
        fail_at = 0;
        if (open == f.starved)
            fail_msg("allocation %d fails: open %d, starved %d", n, open, f.starved);
        starved += f.starved;
        fields_close(&f);
    }
    assert_true(starved > 5);
    errno = ENOMEM; /* of something before */
    struct fields broken;
    assert_false(fields_open(&broken, FORMAT_JSON, "{", 1));
    assert_false(broken.starved);
    json_set_alloc_funcs(malloc, free);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pointers_are_those_of_rfc_6901),
        cmocka_unit_test(json_is_strict_but_for_what_breaks_a_text),
        cmocka_unit_test(forms_are_read_as_browsers_do),
        cmocka_unit_test(a_form_s_field_is_there_once),
        cmocka_unit_test(ill_formed_bytes_become_replacement_characters),
        cmocka_unit_test(phones_have_one_spelling_and_names_stay),
        cmocka_unit_test(a_time_of_sending_counts_when_it_can_be_true),
        cmocka_unit_test(media_types_are_compared_without_their_parameters),
        cmocka_unit_test(want_of_memory_is_no_broken_body),
    };
    return cmocka_run_group_tests_name("web_fields", tests, NULL, NULL);
}
