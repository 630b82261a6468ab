/* The PDF as other programs see it: poppler's readers and qpdf, which are not ours. Pages, fonts, text, language, nothing cut
 * off, on A4 and US Letter, with 4, 28 and 60 readings, long names and names written from right to left. */
#include "tests/report_fixture.h"
#include "tests/tool.h"

static struct report_fixture f;

struct printed {
    char path[64], text[1 << 16], info[4096];
};
static struct printed p;

static void read_back(const void *bytes, size_t size)
{
    char out[4096];
    tool_file(p.path, bytes, size);
    if (tool_run((const char *const[]){"qpdf", "--check", p.path, NULL}, out, sizeof out) != 0)
        fail_msg("qpdf: %s", out);
    assert_int_equal(tool_run((const char *const[]){"pdftotext", "-layout", p.path, "-", NULL}, p.text, sizeof p.text), 0);
    assert_int_equal(tool_run((const char *const[]){"pdfinfo", p.path, NULL}, p.info, sizeof p.info), 0);
    if (tool_run((const char *const[]){"pdffonts", p.path, NULL}, out, sizeof out) != 0 || !strstr(out, "DejaVu"))
        fail_msg("pdffonts: %s", out);
    for (char *line = strchr(strchr(out, '\n') + 1, '\n') + 1, *end; (end = strchr(line, '\n')); line = end + 1) {
        *end = '\0';
        if (!strstr(line, "yes yes yes")) /* embedded, a subset, and mapped to Unicode */
            fail_msg("a font is not embedded: %s", line);
    }
}

static void print_week(enum paper paper)
{
    void *bytes = NULL;
    size_t size = 0;
    char why[200];
    if (report_pdf(&f.report, paper, &bytes, &size, why, sizeof why))
        fail_msg("%s", why);
    read_back(bytes, size);
    unlink(p.path);
    free(bytes);
}

static void claim(const char *in, const char *words)
{
    if (!strstr(in, words))
        fail_msg("\"%s\" is not in:\n%s", words, in);
}

static int count(const char *in, const char *words)
{
    int n = 0;
    for (const char *at = in; (at = strstr(at, words)); at += strlen(words))
        n++;
    return n;
}

static void an_ordinary_week_is_one_page_of_either_paper(void **state)
{
    static const struct {
        enum paper paper;
        const char *size;
    } rows[] = {{PAPER_A4, "595.276 x 841.89 pts (A4)"}, {PAPER_LETTER, "612 x 792 pts (letter)"}};
    (void)state;
    for (size_t i = 0; i < 2; i++) {
        report_fixture_open(&f, "esh");
        report_fixture_read(&f, 28, 2);
        report_fixture_end(&f, 7, WEEK_COMPLETE);
        report_fixture_make(&f);
        print_week(rows[i].paper);
        claim(p.info, "Pages:           1\n");
        claim(p.info, rows[i].size);
        claim(p.info, "Tagged:          yes");
        claim(p.info, "Title:           Home blood pressure week, P-0001");
        claim(p.info, "Author:          Maple Row Practice");
        claim(p.info, "Mon Nov 30 20:15:00 2026"); /* created: the week's end */
        claim(p.text, "136/85");
        claim(p.text, "does not replace it");
        report_close(&f.report);
    }
}

static void the_language_is_in_the_catalogue(void **state)
{
    void *bytes = NULL;
    size_t size = 0;
    static char out[1 << 19];
    char why[200];
    (void)state;
    report_fixture_open(&f, "esh");
    report_fixture_read(&f, 4, 2);
    report_fixture_make(&f);
    assert_int_equal(report_pdf(&f.report, PAPER_A4, &bytes, &size, why, sizeof why), 0);
    tool_file(p.path, bytes, size);
    assert_int_equal(tool_run((const char *const[]){"qpdf", "--qdf", "--object-streams=disable", p.path, "-", NULL}, out, sizeof out), 0);
    claim(out, "/Lang (en)");
    unlink(p.path);
    free(bytes);
    report_close(&f.report);
}

/* Every reading stands in the table, whatever their number; a page has its number. */
static void no_reading_is_cut_off(void **state)
{
    static const struct {
        int n, each, days;
    } rows[] = {{4, 2, 7}, {28, 2, 7}, {60, 3, 10}, {300, 20, 8}};
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        for (enum paper paper = PAPER_A4; paper <= PAPER_LETTER; paper++) {
            report_fixture_open(&f, "esh");
            report_fixture_read(&f, rows[i].n, rows[i].each);
            for (int k = 0; k < rows[i].n; k++)
                f.week.readings[k].pulse = 199; /* no other number on the page is like it */
            report_fixture_end(&f, rows[i].days, WEEK_COMPLETE);
            report_fixture_make(&f);
            print_week(paper);
            int wanted = rows[i].n + (f.report.pulse != 0); /* and in the words and the table of averages */
            for (int k = 0; k < f.report.n_figures; k++)
                wanted += f.report.figures[k].pulse[0] != '\0';
            if (count(p.text, "199") != wanted)
                fail_msg("%d of %d pulses are on the page", count(p.text, "199"), wanted);
            claim(p.text, "page 1 of ");
            assert_int_equal(count(p.text, "does not replace it"), count(p.text, "P-0001, page "));
            report_close(&f.report);
        }
    }
}

static void names_of_any_length_and_script_can_be_read_back(void **state)
{
    static const char *const names[] = {
        "Aleksandra Wilhelmina Featherstonehaugh-Montgomery de la Fontaine y Villanueva-Castellón the Younger",
        "Hubertblaineschweifelweisensteinhauserdorffbergermeisterpfalzgraf-Oberammergau-Unterwasserkirchen",
        "محمد عبد الرحمن الهاشمي", "נועה בן־דוד", "Ångström Žižka Ольга Ελένη"};
    (void)state;
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        report_fixture_open(&f, "esh");
        report_fixture_read(&f, 28, 2);
        snprintf(f.week.record.person.name, sizeof f.week.record.person.name, "%s", names[i]);
        report_fixture_end(&f, 7, WEEK_COMPLETE);
        report_fixture_make(&f);
        print_week(PAPER_LETTER);
        claim(p.info, "Pages:           1\n");
        char word[128];
        snprintf(word, sizeof word, "%.*s", (int)strcspn(names[i], " -"), names[i]);
        if (i != 2) /* poppler gives Arabic back in its presentation forms */
            claim(p.text, word);
        report_close(&f.report);
    }
}

/* -- the handout ------------------------------------------------------------------------------------------------------------ */

static void the_handout_is_one_page_in_either_language_print_and_paper(void **state)
{
    static const char *const languages[] = {"en", "es"}, *const numbers[] = {"+447700900001", "+12125550100"};
    (void)state;
    for (int i = 0; i < 8; i++) {
        void *bytes = NULL, *again = NULL;
        size_t size = 0, size2 = 0;
        char why[200];
        report_fixture_open(&f, "esh");
        struct clinic *c = &f.week.clinic;
        c->protocol = f.week.record.protocol;
        snprintf(c->text_number, sizeof c->text_number, "%s", numbers[i / 4]);
        if (leaflet_pdf(c, languages[i % 2], i / 2 % 2, &bytes, &size, why, sizeof why))
            fail_msg("%d: %s", i, why);
        assert_int_equal(leaflet_pdf(c, languages[i % 2], i / 2 % 2, &again, &size2, why, sizeof why), 0);
        assert_true(size == size2 && memcmp(bytes, again, size) == 0);
        read_back(bytes, size);
        claim(p.info, "Pages:           1\n");
        claim(p.info, i / 4 ? "(letter)" : "(A4)");
        claim(p.text, numbers[i / 4]);
        claim(p.text, "01632 960001");
        claim(p.text, "999");
        claim(p.text, "132/84 71");
        unlink(p.path);
        free(bytes), free(again);
    }
}

static void what_is_too_long_for_the_handout_is_told(void **state)
{
    void *bytes = NULL;
    size_t size = 0;
    char why[200] = "";
    (void)state;
    report_fixture_open(&f, "esh");
    assert_int_equal(leaflet_pdf(&f.week.clinic, "cy", false, &bytes, &size, why, sizeof why), -1);
    assert_null(bytes);
    claim(why, "en and es");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_ordinary_week_is_one_page_of_either_paper),
        cmocka_unit_test(the_language_is_in_the_catalogue),
        cmocka_unit_test(no_reading_is_cut_off),
        cmocka_unit_test(names_of_any_length_and_script_can_be_read_back),
        cmocka_unit_test(the_handout_is_one_page_in_either_language_print_and_paper),
        cmocka_unit_test(what_is_too_long_for_the_handout_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
