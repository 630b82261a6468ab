/* Protocol files: what is linked in reads, and every mistake is told with its line. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>
#include <stdio.h>
#include <string.h>

#include "gateway/care/care.h"

static const char good[] = "edition = E\n"
                           "source = S ; a comment\n"
                           "days = 7   # a comment\n"
                           "fewest_days = 3\n"
                           "most_days = 10\n"
                           "per_sitting = 2\n"
                           "gap_minutes = 1\n"
                           "first_day = left out\n"
                           "fewest_readings = 12\n"
                           "halves = pooled\n"
                           "line = 135/85 stage 1\n"
                           "line = 150/95 stage 2\n"
                           "office = 140/90\n"
                           "severe = 180/120\n"
                           "severe_counts = at_or_above\n"
                           "third_reading_over = 20\n";

static void a_good_file_is_read_whole(void **state)
{
    (void)state;
    struct protocol p;
    char why[256] = "";
    assert_int_equal(protocol_read("folder/own.protocol", good, strlen(good), &p, why, sizeof why), 0);
    assert_string_equal(p.name, "own");
    assert_string_equal(p.source, "S");
    assert_int_equal(p.days, 7);
    assert_false(p.first_day_counted);
    assert_true(p.severe_either_at);
    assert_int_equal(p.n_lines, 2);
    assert_string_equal(p.lines[1].category, "stage 2");
    assert_int_equal(p.lines[1].dia, 95);
    assert_int_equal(p.severe.dia, 120);
    assert_int_equal(p.office.sys, 140);
}

/* Each row changes one line of the good file. */
static void every_mistake_is_told_with_its_line(void **state)
{
    static const struct {
        const char *from, *to, *told, *why;
    } rows[] = {
        {"days = 7   # a comment", "dayz = 7", "f:3: 'dayz' is not a key", "unknown key"},
        {"days = 7   # a comment", "", "f:16: 'days' is missing", "missing key"},
        {"most_days = 10", "days = 7", "f:5: 'days' comes twice", "repeated key"},
        {"days = 7   # a comment", "days = seven", "f:3: 'seven' is not a whole number", "no number"},
        {"days = 7   # a comment", "days = 7.5", "f:3: '7.5' is not a whole number", "a fraction"},
        {"days = 7   # a comment", "days = 0", "f:3: 0 is out of range", "too low"},
        {"days = 7   # a comment", "days = 15", "f:3: 15 is out of range", "too high"},
        {"days = 7   # a comment", "days = 70000", "f:3: '70000' is not a whole number", "would overflow"},
        {"days = 7   # a comment", "days =", "f:3: 'days' has no value", "no value"},
        {"days = 7   # a comment", "days 7", "f:3: 'days 7' is not 'key = value'", "no equals sign"},
        {"halves = pooled", "halves = mixed", "f:10: 'mixed' is unknown here", "an unknown word"},
        {"first_day = left out", "first_day = no", "f:8: 'no' is unknown here", "an unknown word"},
        {"severe_counts = at_or_above", "severe_counts = reached", "f:15: 'reached' is unknown",
         "an unknown word"},
        {"150/95", "130/80", "f:12: 130/80 is not above", "lines descending"},
        {"150/95", "135/85", "f:12: 135/85 is not above", "the same line twice"},
        {"150/95", "150/80", "f:12: 150/80 is not above", "one pressure descending"},
        {"stage 2", "stage 1", "f:12: two lines are named 'stage 1'", "one name twice"},
        {"stage 2", "2\nline = 160/96 3\nline = 161/97 4\nline = 162/98 5\nline = 163/99 6\nline = 164/99 7",
         "f:17: too many lines", "seven lines"},
        {"stage 2", "below", "f:12: 'below' is what", "the name of no line"},
        {"150/95 stage 2", "150/95", "f:12: a line needs a name", "no name"},
        {"150/95 stage 2", "150 stage 2", "f:12: '150 stage 2' does not begin", "half a line"},
        {"150/95 stage 2", "95/150 stage 2", "f:12: 95/150 is no pressure", "turned round"},
        {"severe = 180/120", "severe = 180/120/60", "f:14: '180/120/60' does not begin", "three numbers"},
        {"severe = 180/120", "severe = 180/120 60", "f:14: '180/120 60' is more than", "three numbers"},
        {"severe = 180/120", "severe = 140/90", "f:16: a home line is above the severe", "severe too low"},
        {"fewest_days = 3", "fewest_days = 8", "f:16: fewest_days 8 is more than days", "never enough"},
        {"most_days = 10", "most_days = 5", "f:16: most_days 5 is less than days", "ends too early"},
        {"fewest_readings = 12", "fewest_readings = 25", "f:16: fewest_readings 25 cannot", "never enough"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char text[1024], why[256] = "";
        struct protocol p;
        const char *at = strstr(good, rows[i].from);
        assert_non_null(at);
        snprintf(text, sizeof text, "%.*s%s%s", (int)(at - good), good, rows[i].to,
                 at + strlen(rows[i].from));
        if (protocol_read("f", text, strlen(text), &p, why, sizeof why) != -1 || !strstr(why, rows[i].told))
            fail_msg("%s: wanted \"%s\", told \"%s\"", rows[i].why, rows[i].told, why);
    }
}

static void odd_files_are_mistakes_and_not_crashes(void **state)
{
    static const struct {
        const char *bytes;
        size_t size;
        const char *told, *why;
    } rows[] = {
        {"", 0, "f:1: 'edition' is missing", "empty"},
        {"\n\n# only comments", 17, "f:3: 'edition' is missing", "nothing but comments"},
        {"days = 7\0\n", 10, "f:1: there is a byte", "a zero byte"},
        {"edition = \xff\n", 12, "f:1: there is a byte", "no UTF-8"},
        {"edition = \xc3\n", 12, "f:1: there is a byte", "UTF-8 cut off"},
        {"edition = \xed\xa0\x80\n", 14, "f:1: there is a byte", "half a surrogate pair"},
        {"edition = \xc0\xaf\n", 13, "f:1: there is a byte", "longer than need be"},
        {"edition = a\x1b[0m\n", 16, "f:1: there is a byte", "a terminal's command"},
        {"edition = tensi\xc3\xb3n \xe2\x89\xa5 \xf0\x9f\x91\x8d\n", 27, "f:1: 'source' is missing",
         "good UTF-8"},
        {"= 7\n", 4, "f:1: '' is not a key", "no key"},
    };
    char text[2048], why[256];
    struct protocol p;

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        why[0] = '\0';
        if (protocol_read("f", rows[i].bytes, rows[i].size, &p, why, sizeof why) != -1 ||
            !strstr(why, rows[i].told))
            fail_msg("%s: told \"%s\"", rows[i].why, why);
    }
    memset(text, 'x', sizeof text);
    assert_int_equal(protocol_read("f", text, sizeof text, &p, why, sizeof why), -1);
    assert_non_null(strstr(why, "f:1: the line is too long"));
    snprintf(text, sizeof text, "edition = %0*d\n", 200, 0);
    assert_int_equal(protocol_read("f", text, strlen(text), &p, why, sizeof why), -1);
    assert_non_null(strstr(why, "f:1: the text is too long"));
}

static void a_file_with_other_line_ends_is_the_same(void **state)
{
    char text[1024];
    size_t n = 0;
    struct protocol a, b;
    char why[256];

    (void)state;
    for (const char *s = good; *s; s++) {
        if (*s == '\n')
            text[n++] = '\r';
        text[n++] = *s;
    }
    assert_int_equal(protocol_read("f", good, strlen(good), &a, why, sizeof why), 0);
    assert_int_equal(protocol_read("f", text, n - 2, &b, why, sizeof why), 0);
    assert_memory_equal(&a, &b, sizeof a);
}

/* The table of the sources, evidence.md's figures: see gateway/protocols for where each is from. */
static void the_five_protocols_say_what_their_guidelines_say(void **state)
{
    static const struct {
        const char *name;
        int days, fewest_days, per_sitting, fewest_readings;
        bool first_counted, apart, at;
        int sys, dia, lines;
    } rows[] = {
        {"esh", 7, 3, 2, 12, false, false, true, 135, 85, 1},
        {"nice", 7, 4, 2, 12, false, false, true, 135, 85, 2},
        {"aha", 7, 3, 2, 12, true, false, false, 130, 80, 2},
        {"canada", 7, 7, 2, 20, false, false, true, 135, 85, 1},
        {"jsh", 7, 5, 2, 10, true, true, true, 135, 85, 1},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct protocol p;
        char why[256] = "";
        if (protocol_find(rows[i].name, &p, why, sizeof why) < 0)
            fail_msg("%s", why);
        assert_string_equal(p.name, rows[i].name);
        assert_int_equal(p.days, rows[i].days);
        assert_int_equal(p.fewest_days, rows[i].fewest_days);
        assert_int_equal(p.most_days, 10);
        assert_int_equal(p.per_sitting, rows[i].per_sitting);
        assert_int_equal(p.gap_minutes, 1);
        assert_int_equal(p.fewest_readings, rows[i].fewest_readings);
        assert_int_equal(p.first_day_counted, rows[i].first_counted);
        assert_int_equal(p.apart, rows[i].apart);
        assert_int_equal(p.severe_either_at, rows[i].at);
        assert_int_equal(p.lines[0].sys, rows[i].sys);
        assert_int_equal(p.lines[0].dia, rows[i].dia);
        assert_int_equal(p.n_lines, rows[i].lines);
        assert_int_equal(p.severe.sys, 180);
        assert_int_equal(p.severe.dia, 120);
        assert_int_equal(p.third_reading_over, 20);
    }
}

static void a_name_that_is_no_protocol_is_told_with_those_there_are(void **state)
{
    static const char *const names[] = {"", "es", "eshh", "esh.protocol", "ESH"};
    (void)state;
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        struct protocol p;
        char why[256] = "";
        assert_int_equal(protocol_find(names[i], &p, why, sizeof why), -1);
        assert_non_null(strstr(why, "aha, canada, esh, jsh, nice"));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_good_file_is_read_whole),
        cmocka_unit_test(every_mistake_is_told_with_its_line),
        cmocka_unit_test(odd_files_are_mistakes_and_not_crashes),
        cmocka_unit_test(a_file_with_other_line_ends_is_the_same),
        cmocka_unit_test(the_five_protocols_say_what_their_guidelines_say),
        cmocka_unit_test(a_name_that_is_no_protocol_is_told_with_those_there_are),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
