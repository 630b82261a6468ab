/* Cutting the text of a shared phone at its tags. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <cmocka.h>

#include <stdio.h>
#include <string.h>

#include "gateway/flow/inside.h"

static const char *const tags[] = {"Hal", "Ida"};

struct row {
    const char *text;
    const char *parts; /* "Hal=132/84|Ida=…", blanks around a part left out; "" for none */
    const char *why;
};

static const struct row rows[] = {
    {"Hal 132/84 71 Ida 128/77", "Hal=132/84 71|Ida=128/77", "each tag owns what follows"},
    {"132/84 71 hal, 128/77 IDA", "Hal=132/84 71|Ida=, 128/77", "each tag owns what precedes, any case"},
    {"Hal: 132/84", "Hal=: 132/84", "one tag in front"},
    {"132/84 Ida", "Ida=132/84", "one tag behind"},
    {"this is Ida 128/77", "Ida=this is Ida 128/77", "one tag inside: the whole text is hers"},
    {"Hal 132/84 and Hal 130/82", "Hal=132/84 and Hal 130/82", "one person, twice"},
    {"132/84", "", "no tag"},
    {"Halifax 132/84", "", "a tag is a word of its own"},
    {"Hal 132/84 Ida", "", "whose is it? not guessed"},
    {"us: Hal 132/84 Ida 128/77 ok", "", "neither leads nor trails: not guessed"},
    {"Hal", "Hal=", "nothing but a tag"},
    {"", "", "a picture"},
};

static void append(char *out, size_t size, const char *name, const char *text, size_t n)
{
    while (n && *text == ' ')
        text++, n--;
    while (n && text[n - 1] == ' ')
        n--;
    size_t have = strlen(out);
    snprintf(out + have, size - have, "%s%s=%.*s", have ? "|" : "", name, (int)n, text);
}

static void a_text_is_cut_at_its_tags_or_not_at_all(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct tagged parts[8];
        char found[256] = "";
        size_t n = tags_cut(rows[i].text, tags, 2, parts, 8);
        for (size_t k = 0; k < n; k++)
            append(found, sizeof found, tags[parts[k].person], rows[i].text + parts[k].from, parts[k].size);
        if (strcmp(found, rows[i].parts) != 0)
            fail_msg("%s: \"%s\" gave \"%s\", not \"%s\"", rows[i].why, rows[i].text, found, rows[i].parts);
    }
}

/* Two people's readings of some days in one text: with more tags than there is room for, whose the last ones are must not be
 * guessed from the last tag that was seen. */
static void with_too_many_tags_nothing_is_taken_for_anybodys(void **state)
{
    (void)state;
    for (size_t pairs = 1; pairs <= 60; pairs++) {
        struct tagged parts[16];
        char text[2000] = "", one[2000] = "";
        for (size_t i = 0; i < pairs; i++) {
            snprintf(text + strlen(text), sizeof text - strlen(text), "Hal 13%zu/84 Ida 12%zu/77 ", i % 10, i % 10);
            snprintf(one + strlen(one), sizeof one - strlen(one), "Hal 13%zu/84 ", i % 10);
        }
        size_t n = tags_cut(text, tags, 2, parts, 16);
        if (n != (pairs <= 8 ? 2 * pairs : 0))
            fail_msg("%zu pairs: %zu parts", pairs, n);
        for (size_t i = 0; i < n; i++)
            if (memmem(text + parts[i].from, parts[i].size, tags[!(i % 2)], 3))
                fail_msg("%zu pairs: part %zu is of two people", pairs, i);
        snprintf(one + strlen(one), sizeof one - strlen(one), "Ida 190/110");
        n = tags_cut(one, tags, 2, parts, 16); /* Ida's only tag is the last of all */
        for (size_t i = 0; i < n; i++)
            if (parts[i].person == 0 && memmem(one + parts[i].from, parts[i].size, "Ida", 3))
                fail_msg("%zu of Hal and one of Ida: hers is taken for his", pairs);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(a_text_is_cut_at_its_tags_or_not_at_all),
                                       cmocka_unit_test(with_too_many_tags_nothing_is_taken_for_anybodys)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
