/* The sender's pieces that need no network. What a status means is the table of our own outside contract; Retry-After and
 * its check values are RFC 9110, 10.2.3 and 5.6.7; placeholders' escapes RFC 8259, 7 and RFC 3986, 2.3; pointers RFC 6901,
 * 5; mail RFC 5322, 3.3 and RFC 2047. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <jansson.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "gateway/send/inside.h"

/* -- when to try again ------------------------------------------------------------------------------------------------- */

static uint64_t random_state = 88172645463325252ull;
static uint64_t next_random(void) /* xorshift64: the same numbers in every run */
{
    random_state ^= random_state << 13;
    random_state ^= random_state >> 7;
    return random_state ^= random_state << 17;
}

static void a_retry_waits_within_its_bounds_and_is_spread_over_them(void **state)
{
    static const struct {
        int attempts, most;
        const char *why;
    } rows[] = {
        {0, 10, "nonsense is the first"}, {1, 10, "10 s at first"}, {2, 20, "doubled"}, {3, 40, "again"},
        {6, 320, "and on"}, {7, 640, "below the ceiling"}, {8, 900, "1280 is over 15 minutes"},
        {40, 900, "the ceiling"}, {INT32_MAX, 900, "no overflow"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        int lower = 0, upper = 0, tries = 4000;
        for (int k = 0; k < tries; k++) {
            int wait = backoff_seconds(rows[i].attempts, 0, next_random());
            if (wait < 1 || wait > rows[i].most)
                fail_msg("attempt %d waits %d s (%s)", rows[i].attempts, wait, rows[i].why);
            lower += 4 * wait <= rows[i].most;
            upper += 4 * wait > 3 * rows[i].most;
        }
        /* a quarter of the draws in each outer quarter (10 s has 2 and 3 of 10 whole seconds there) */
        if (lower < tries * 15 / 100 || lower > tries * 35 / 100 || upper < tries * 15 / 100 || upper > tries * 35 / 100)
            fail_msg("attempt %d: %d low, %d high of %d (%s)", rows[i].attempts, lower, upper, tries, rows[i].why);
    }
    assert_int_equal(backoff_seconds(1, 3600, 5), 3600);
    assert_int_equal(backoff_seconds(9, 1, 899), 900);
}

static void retry_after_is_seconds_or_a_date_up_to_an_hour(void **state)
{
    const int64_t now = 784111777; /* Sun, 06 Nov 1994 08:49:37 GMT, the date of RFC 9110, 5.6.7 */
    static const struct {
        const char *value;
        int seconds;
        const char *why;
    } rows[] = {
        {NULL, 0, "no header"}, {"", 0, "empty"}, {"0", 0, "at once"}, {"120", 120, "the RFC's example"},
        {"3600", 3600, "an hour"}, {"86400", 3600, "no more than an hour"}, {"99999999999999999999", 3600, "past 64 bits"},
        {"Sun, 06 Nov 1994 08:51:37 GMT", 120, "IMF-fixdate"},
        {"Sunday, 06-Nov-94 08:51:37 GMT", 120, "the obsolete RFC 850 form must be read"},
        {"Sun Nov  6 08:51:37 1994", 120, "asctime must be read"},
        {"Sun, 06 Nov 1994 08:49:00 GMT", 0, "past"}, {"Mon, 07 Nov 1994 08:49:37 GMT", 3600, "a day is cut to an hour"},
        {"soon", 0, "unreadable"}, {"-5", 0, "negative"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        int seconds = retry_after_read(rows[i].value, now);
        if (seconds != rows[i].seconds)
            fail_msg("\"%s\": %d, not %d (%s)", rows[i].value ? rows[i].value : "", seconds, rows[i].seconds, rows[i].why);
    }
}

static void each_status_has_its_meaning(void **state)
{
    (void)state;
    for (int status = 0; status < 700; status++) {
        enum sent_result expected = SENT_PASSING;
        if (status >= 200 && status < 300)
            expected = SENT_OK;
        else if (status == 400 || status == 410 || status == 413 || status == 422)
            expected = SENT_PERMANENT;
        else if ((status >= 300 && status < 400) || (status >= 401 && status <= 405) || status == 407)
            expected = SENT_ROUTE_BROKEN;
        if (status_result(status) != expected)
            fail_msg("status %d is %d, not %d", status, status_result(status), expected);
    }
}

static void a_transfer_is_judged_by_its_status_else_by_its_failure(void **state)
{
    static const struct {
        CURLcode code;
        long status;
        enum sent_result http, mail;
        const char *why;
    } rows[] = {
        {CURLE_OPERATION_TIMEDOUT, 0, SENT_PASSING, SENT_PASSING, "no answer in time"},
        {CURLE_COULDNT_CONNECT, 0, SENT_PASSING, SENT_PASSING, "nobody there now"},
        {CURLE_COULDNT_RESOLVE_HOST, 0, SENT_PASSING, SENT_PASSING, "name service out"},
        {CURLE_GOT_NOTHING, 0, SENT_PASSING, SENT_PASSING, "hung up"},
        {CURLE_PEER_FAILED_VERIFICATION, 0, SENT_ROUTE_BROKEN, SENT_ROUTE_BROKEN, "certificate"},
        {CURLE_SSL_CONNECT_ERROR, 0, SENT_ROUTE_BROKEN, SENT_ROUTE_BROKEN, "no TLS"},
        {CURLE_USE_SSL_FAILED, 220, SENT_OK, SENT_ROUTE_BROKEN, "STARTTLS is not there; of HTTP never"},
        {CURLE_LOGIN_DENIED, 535, SENT_PASSING, SENT_ROUTE_BROKEN, "mail: user and secret refused"},
        {CURLE_SEND_ERROR, 550, SENT_PASSING, SENT_PERMANENT, "mail: no such mailbox"},
        {CURLE_SEND_ERROR, 450, SENT_PASSING, SENT_PASSING, "mail: mailbox busy"},
        {CURLE_SEND_ERROR, 530, SENT_PASSING, SENT_ROUTE_BROKEN, "mail: authentication required"},
        {CURLE_PARTIAL_FILE, 200, SENT_OK, SENT_PASSING, "HTTP: accepted, the rest was cut off"},
        {CURLE_WRITE_ERROR, 202, SENT_OK, SENT_PASSING, "HTTP: accepted, an endless answer"},
        {CURLE_OPERATION_TIMEDOUT, 100, SENT_PASSING, SENT_PASSING, "an interim answer is none"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        if (http_result(rows[i].code, rows[i].status) != rows[i].http)
            fail_msg("http: %s", rows[i].why);
        if (mail_result(rows[i].code, rows[i].status) != rows[i].mail)
            fail_msg("mail: %s", rows[i].why);
    }
    assert_int_equal(mail_result(CURLE_OK, 250), SENT_OK);
}

static void the_carriers_id_is_found_by_its_pointer(void **state)
{
    static const struct {
        const char *json, *pointer, *id, *why;
    } rows[] = {
        {"{\"id\":\"m-1\"}", "/id", "m-1", "plain"},
        {"{\"id\":17}", "/id", "17", "a number"},
        {"{\"data\":[{\"sid\":\"x\"},{\"sid\":\"y\"}]}", "/data/1/sid", "y", "in a list"},
        {"{\"a/b\":{\"m~n\":\"z\"}}", "/a~1b/m~0n", "z", "~1 is /, ~0 is ~ (RFC 6901, 3)"},
        {"{\"\":\"e\"}", "/", "e", "the empty name (RFC 6901, 5)"},
        {"\"whole\"", "", "whole", "the empty pointer is the whole document"},
        {"{\"id\":\"m-1\"}", "/message", "", "not there"},
        {"{\"id\":{}}", "/id", "", "no text"},
        {"{\"id\":\"1234567890123456789012345678901234567890123456789012345678901234567890123456789\"}", "/id",
         "1234567890123456789012345678901234567890123456789012345678901234567890123456789", "79 bytes fit"},
        {"<html>", "/id", "", "no JSON"},
        {"{\"id\":1.5}", "/id", "", "a fraction is no id"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char id[80];
        answer_id(rows[i].json, strlen(rows[i].json), rows[i].pointer, id);
        if (strcmp(id, rows[i].id))
            fail_msg("\"%s\", not \"%s\" (%s)", id, rows[i].id, rows[i].why);
    }
}

/* BLAKE2b by RFC 7693; the values by Python's hashlib.blake2b(…, digest_size=32). */
static void an_id_without_room_is_known_by_its_hash(void **state)
{
    static const char digits[] = "12345678901234567890123456789012345678901234567890123456789012345678901234567890";
    char json[128], id[80], same[80], other[80];
    (void)state;
    snprintf(json, sizeof json, "{\"id\":\"%s\"}", digits);
    answer_id(json, strlen(json), "/id", id);
    assert_string_equal(id, "blake2b:a4705bbca1ae2e7a5d184a403a15f36c31c7e567adeae33f0f3e2f3ca9958198");
    id_fit(digits, strlen(digits), same, sizeof same); /* as a receipt's is */
    assert_string_equal(id, same);
    snprintf(json, sizeof json, "%s1", digits);
    id_fit(json, strlen(json), other, sizeof other);
    assert_string_not_equal(id, other);
}

static int fail_at; /* the allocation of jansson that fails; 0 none */

static void *starved_malloc(size_t n)
{
    return fail_at && --fail_at == 0 ? NULL : malloc(n);
}

static void the_carriers_id_is_found_though_an_allocation_fails(void **state)
{
    static const char json[] = "{\"data\":[{\"sid\":\"m-26\"}]}";
    char id[80];
    int tried = 0;
    (void)state;
    json_set_alloc_funcs(starved_malloc, free);
    for (int n = 1;; n++, tried++) {
        fail_at = n;
        answer_id(json, strlen(json), "/data/0/sid", id);
        bool all = fail_at > 0; /* there are no more */
        fail_at = 0;
        if (strcmp(id, "m-26"))
            fail_msg("\"%s\" when allocation %d fails: its receipt would find nothing", id, n);
        if (all)
            break;
    }
    json_set_alloc_funcs(malloc, free);
    assert_true(tried > 3);
}

/* -- templates --------------------------------------------------------------------------------------------------------- */

static const struct fields F = {"+447700900001", "+447700900123", "say \"hi\"\\\n\tñ 50% & {to}", "k-1", "s:e/c"};

static void a_value_stays_in_its_place(void **state)
{
    static const struct {
        const char *pattern;
        enum escape how;
        const char *filled, *why; /* NULL: refused */
    } rows[] = {
        {"{\"t\":\"{text}\"}", ESCAPE_JSON, "{\"t\":\"say \\\"hi\\\"\\\\\\n\\u0009ñ 50% & {to}\"}", "JSON; values are not filled again"},
        {"t={text}", ESCAPE_PERCENT, "t=say%20%22hi%22%5C%0A%09%C3%B1%2050%25%20%26%20%7Bto%7D", "form"},
        {"http://h/{to}?k={key}", ESCAPE_PERCENT, "http://h/%2B447700900123?k=k-1", "URL: + is data"},
        {"Authorization: Bearer {secret}", ESCAPE_HEADER, "Authorization: Bearer s:e/c", "header, as it is"},
        {"X-Text: {text}", ESCAPE_HEADER, NULL, "a line break in a header value"},
        {"X-A: b\r\nX-C: d", ESCAPE_HEADER, NULL, "a line break in the header itself"},
        {"{\"a\":{\"b\":\"{key}\"},\"c\":{}}", ESCAPE_JSON, "{\"a\":{\"b\":\"k-1\"},\"c\":{}}", "braces of JSON"},
        {"{to", ESCAPE_JSON, "{to", "an open brace at the end"},
        {"{nonsense}", ESCAPE_JSON, NULL, "an unknown placeholder"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct buffer b;
        buffer_init(&b, REQUEST_MAX);
        bool ok = template_fill(&b, rows[i].pattern, rows[i].how, &F);
        if (ok != (rows[i].filled != NULL) || (ok && strcmp(b.at, rows[i].filled)))
            fail_msg("%s: %s", rows[i].why, b.at ? b.at : "");
        buffer_clear(&b);
    }
}

static void every_byte_comes_back_from_json(void **state)
{
    char text[256];
    struct buffer b;
    (void)state;
    for (int i = 1; i < 128; i++)
        text[i - 1] = (char)i;
    text[127] = 0;
    buffer_init(&b, REQUEST_MAX);
    assert_true(template_fill(&b, "{\"t\":\"{text}\"}", ESCAPE_JSON, &(struct fields){.text = text}));
    json_t *read = json_loads(b.at, 0, NULL); /* jansson is the outside judge */
    assert_string_equal(json_string_value(json_object_get(read, "t")), text);
    json_decref(read);
    buffer_clear(&b);
    buffer_init(&b, REQUEST_MAX);
    assert_true(template_fill(&b, "{text}", ESCAPE_PERCENT, &(struct fields){.text = text}));
    int n = 0;
    char *back = curl_easy_unescape(NULL, b.at, (int)b.n, &n); /* and libcurl */
    assert_int_equal(n, 127);
    assert_memory_equal(back, text, 127);
    curl_free(back);
    buffer_clear(&b);
}

static void an_unknown_placeholder_is_named(void **state)
{
    char word[32] = "";
    (void)state;
    assert_false(template_unknown("{\"from\":\"{from}\",\"x\":{},\"{to}{text}{key}{secret}\"}", word));
    assert_true(template_unknown("a {key} {phone_number}", word));
    assert_string_equal(word, "phone_number");
}

/* -- rate -------------------------------------------------------------------------------------------------------------- */

static void no_second_holds_more_than_per_second(void **state)
{
    static const struct {
        double per_second;
        const char *why;
    } rows[] = {{0.5, "one in two seconds"}, {1, "one"}, {10, "the default"}, {37, "odd"}, {400, "many"}, {2000, "a burst"}};
    enum { RUN_MS = 20000 };
    static int starts[RUN_MS];
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct rate r;
        int in_window = 0, total = 0;
        rate_open(&r, rows[i].per_second, 0);
        for (int ms = 0; ms < RUN_MS; ms++) {
            for (starts[ms] = 0; rate_take(&r, ms); total++)
                starts[ms]++;
            in_window += starts[ms] - (ms >= 1000 ? starts[ms - 1000] : 0);
            if (in_window > (rows[i].per_second < 1 ? 1 : rows[i].per_second))
                fail_msg("%d in one second at %d ms (%s)", in_window, ms, rows[i].why);
            assert_true(rate_wait_ms(&r, ms) > 0);
        }
        if (total < rows[i].per_second * RUN_MS / 1000 * 0.9)
            fail_msg("only %d in %d s (%s)", total, RUN_MS / 1000, rows[i].why);
    }
}

static void the_wait_is_as_long_as_said(void **state)
{
    struct rate r;
    (void)state;
    rate_open(&r, 10, 1000);
    assert_true(rate_take(&r, 1000));
    assert_int_equal(rate_wait_ms(&r, 1040), 60);
    assert_false(rate_take(&r, 1099));
    assert_false(rate_take(&r, 1000)); /* a clock that goes back gives nothing */
    assert_true(rate_take(&r, 1100));
    rate_open(&r, 0, 0);
    for (int i = 0; i < 1000; i++)
        assert_true(rate_take(&r, 0));
    assert_int_equal(rate_wait_ms(&r, 0), 0);
}

/* -- mail -------------------------------------------------------------------------------------------------------------- */

static void an_address_cannot_carry_more(void **state)
{
    static const struct {
        const char *address;
        bool good;
    } rows[] = {
        {"duty@example.org", true}, {"first.last+tag@mail.example.org", true}, {"", false}, {"duty", false},
        {"@example.org", false}, {"duty@", false}, {"a@b@c", false}, {"a b@example.org", false},
        {"a@example.org\r\nBcc: x@example.org", false}, {"a@example.org>", false}, {"<a@example.org", false},
        {"a@example.org,b@example.org", false}, {"\"a\"@example.org", false}, {"ñ@example.org", false},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (mail_address(rows[i].address) != rows[i].good)
            fail_msg("%s", rows[i].address);
}

static const char *header_of(struct curl_slist *list, const char *name)
{
    for (; list; list = list->next)
        if (!strncmp(list->data, name, strlen(name)) && list->data[strlen(name)] == ':')
            return list->data + strlen(name) + 2;
    return "";
}

static void a_mail_has_the_headers_that_the_standard_asks(void **state)
{
    const struct mail m = {"quietarm@example.org", "duty@example.org", "Alert, maple", "k-1", 784111777};
    struct curl_slist *list = mail_headers(&m);
    (void)state;
    assert_string_equal(header_of(list, "Date"), "Sun, 6 Nov 1994 08:49:37 +0000");
    assert_string_equal(header_of(list, "From"), "<quietarm@example.org>");
    assert_string_equal(header_of(list, "To"), "<duty@example.org>");
    assert_string_equal(header_of(list, "Subject"), "Alert, maple");
    assert_string_equal(header_of(list, "Message-ID"), "<k-1@example.org>");
    assert_string_equal(header_of(list, "Auto-Submitted"), "auto-generated");
    curl_slist_free_all(list);
    assert_null(mail_headers(&(struct mail){"quietarm@example.org", "a@b.example\nBcc: c@d.example", "x", "k", 0}));
}

static void no_subject_can_add_a_header_or_break_its_line(void **state)
{
    static const struct {
        const char *subject, *line, *why;
    } rows[] = {
        {"a\r\nBcc: x@example.org", "=?UTF-8?Q?a=0D=0ABcc=3A_x=40example=2Eorg?=", "line breaks are encoded"},
        {"Añadir", "=?UTF-8?Q?A=C3=B1adir?=", "not ASCII"},
        {"=?x?=", "=?x?=", "printable ASCII is as it is"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct curl_slist *list = mail_headers(&(struct mail){"q@example.org", "d@example.org", rows[i].subject, "k", 0});
        if (strcmp(header_of(list, "Subject"), rows[i].line))
            fail_msg("%s: %s", rows[i].why, header_of(list, "Subject"));
        curl_slist_free_all(list);
    }
    char many[400] = "";
    for (int i = 0; i < 100; i++)
        memcpy(many + 3 * i, "€", 4);
    struct curl_slist *list = mail_headers(&(struct mail){"q@example.org", "d@example.org", many, "k", 0});
    const char *at = header_of(list, "Subject"), *end;
    for (; *at; at = *end ? end + 3 : end) { /* folded words of at most 75 (RFC 2047, 2), whole characters in each */
        end = strstr(at, "\r\n ");
        end = end ? end : at + strlen(at);
        assert_true(end - at <= 75);
        assert_int_equal((end - at - 12) % 9, 0);
    }
    curl_slist_free_all(list);
}

static void every_line_of_a_mail_ends_with_crlf(void **state)
{
    char *lines = mail_lines("a\nb\r\nc\rd");
    (void)state;
    assert_string_equal(lines, "a\r\nb\r\nc\r\nd");
    free(lines);
    lines = mail_lines("");
    assert_string_equal(lines, "");
    free(lines);
}

/* -- folder ------------------------------------------------------------------------------------------------------------ */

static int entries(const char *dir)
{
    DIR *d = opendir(dir);
    int n = 0;
    for (struct dirent *e; d && (e = readdir(d));)
        n += strcmp(e->d_name, ".") && strcmp(e->d_name, "..");
    if (d)
        closedir(d);
    return n;
}

static void a_file_is_whole_and_alone_in_its_folder(void **state)
{
    char base[256], dir[300], path[340], link[340], bytes[16] = "";
    struct stat st;
    (void)state;
    snprintf(base, sizeof base, "%s.XXXXXX", getenv("TEST_FOLDER") ? getenv("TEST_FOLDER") : "send_parts");
    assert_non_null(mkdtemp(base));
    snprintf(dir, sizeof dir, "%s/out", base);
    snprintf(path, sizeof path, "%s/week.pdf", dir);
    assert_int_equal(folder_write(dir, "week.pdf", "longer than later", 17), 0);
    assert_int_equal(folder_write(dir, "week.pdf", "a\0b", 3), 0);
    assert_int_equal(entries(dir), 1);
    assert_int_equal(stat(path, &st), 0);
    assert_int_equal(st.st_size, 3);
    assert_int_equal(st.st_mode & 0777, 0600);
    int fd = open(path, O_RDONLY);
    assert_int_equal(read(fd, bytes, sizeof bytes), 3);
    close(fd);
    assert_memory_equal(bytes, "a\0b", 3);
    assert_int_equal(folder_write(dir, "../up", "x", 1), -EINVAL);
    assert_int_equal(folder_write(dir, ".hidden", "x", 1), -EINVAL);
    assert_int_equal(folder_write(dir, "", "x", 1), -EINVAL);
    assert_int_equal(folder_write(path, "x", "x", 1), -ENOTDIR);
    snprintf(link, sizeof link, "%s/.week.pdf.part", dir); /* a trap: the temporary name leads elsewhere */
    assert_int_equal(symlink("/dev/null", link), 0);
    assert_int_equal(folder_write(dir, "week.pdf", "x", 1), -ELOOP);
    unlink(link);
    unlink(path);
    rmdir(dir);
    rmdir(base);
}

/* A machine that starts with its clock a year ahead and has it set right must not wait that year. */
static void a_broken_route_is_probed_within_a_minute_whatever_the_clock_does(void **state)
{
    static const struct {
        const char *why;
        bool broken;
        int in_flight;
        int64_t now;
        bool closed;
    } rows[] = {
        {"whole", false, 3, 1000, false}, {"just broken", true, 0, 1000, true}, {"a second before", true, 0, 1059, true},
        {"due", true, 0, 1060, false}, {"the probe is under way", true, 1, 1060, true}, {"long after", true, 0, 90000, false},
        {"the clock went back", true, 0, 999, false}, {"by a year", true, 0, 1000 - 31536000, false},
        {"and the probe is under way", true, 1, 1000 - 31536000, true},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct route r = {.broken = rows[i].broken, .in_flight = rows[i].in_flight, .probe_at = 1060};
        if (route_closed(&r, rows[i].now) != rows[i].closed)
            fail_msg("%s", rows[i].why);
    }
}

/* What the configuration lets pass as loopback the sender must take too: else a route that is never whole. RFC 3986, 3.2.2: a
 * host is the same in any case. */
static void plain_http_goes_to_loopback_alone_however_it_is_spelled(void **state)
{
    static const struct {
        const char *url;
        int allowed;
        bool loopback;
    } rows[] = {
        {"http://127.0.0.1:9/x", 1, true}, {"http://localhost/x", 1, true}, {"http://LocalHost:9/x", 1, true},
        {"http://[::1]:9/x", 1, true}, {"http://[0:0:0:0:0:0:0:1]/x", 1, true}, {"http://127.1/x", 1, true},
        {"http://example.org/", 0, false}, {"http://127.0.0.1.example.org/", 0, false}, {"https://example.org/", 1, false},
        {"smtp://LOCALHOST:25", 1, true}, {"ftp://127.0.0.1/", 0, true}, {"no address", 0, false},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        bool loopback;
        int allowed = url_allowed(rows[i].url, &loopback);
        if (allowed != rows[i].allowed || loopback != rows[i].loopback)
            fail_msg("%s: allowed %d, loopback %d", rows[i].url, allowed, loopback);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_retry_waits_within_its_bounds_and_is_spread_over_them),
        cmocka_unit_test(retry_after_is_seconds_or_a_date_up_to_an_hour),
        cmocka_unit_test(each_status_has_its_meaning),
        cmocka_unit_test(a_transfer_is_judged_by_its_status_else_by_its_failure),
        cmocka_unit_test(the_carriers_id_is_found_by_its_pointer),
        cmocka_unit_test(an_id_without_room_is_known_by_its_hash),
        cmocka_unit_test(the_carriers_id_is_found_though_an_allocation_fails),
        cmocka_unit_test(a_value_stays_in_its_place),
        cmocka_unit_test(every_byte_comes_back_from_json),
        cmocka_unit_test(an_unknown_placeholder_is_named),
        cmocka_unit_test(no_second_holds_more_than_per_second),
        cmocka_unit_test(the_wait_is_as_long_as_said),
        cmocka_unit_test(an_address_cannot_carry_more),
        cmocka_unit_test(a_mail_has_the_headers_that_the_standard_asks),
        cmocka_unit_test(no_subject_can_add_a_header_or_break_its_line),
        cmocka_unit_test(every_line_of_a_mail_ends_with_crlf),
        cmocka_unit_test(a_broken_route_is_probed_within_a_minute_whatever_the_clock_does),
        cmocka_unit_test(plain_http_goes_to_loopback_alone_however_it_is_spelled),
        cmocka_unit_test(a_file_is_whole_and_alone_in_its_folder),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
