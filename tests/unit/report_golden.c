/* Each surface of three weeks as it was looked at: a good one, one with everything that can be said of a week, one with four
 * readings. The PDF is compared as the text that pdftotext reads out of it. Also: the same in, the same bytes out. */
#include <pthread.h>

#include "gateway/report/fhir.h"
#include "tests/golden.h"
#include "tests/report_fixture.h"
#include "tests/tool.h"

static struct report_fixture f;

static void make_good(void)
{
    report_fixture_open(&f, "esh");
    report_fixture_read(&f, 28, 2);
    report_fixture_end(&f, 7, WEEK_COMPLETE);
    struct person *p = &f.week.record.person;
    snprintf(p->name, sizeof p->name, "Rowan Ashdown");
    p->born = civil_day(1961, 5, 4);
    p->arm_cm = 31, p->cuff_low = 22, p->cuff_high = 32, p->arm_by_staff = true;
    snprintf(p->monitor, sizeof p->monitor, "Larkfield 20");
    p->validated = ANSWER_YES;
    p->on_arm = ARM_LEFT;
    p->office_sys = 138, p->office_dia = 86, p->office_day = civil_day(2026, 11, 20);
    p->medicine_changed = civil_day(2026, 11, 9);
    f.week.record.week.number = 3;
    report_fixture_before(&f, 28, 143.4, 90.6);
    report_fixture_before(&f, 90, 139.5, 88.2)->week.cuff_high = 42;
}

static void make_everything(void)
{
    report_fixture_open(&f, "nice");
    report_fixture_read(&f, 60, 3);
    report_fixture_end(&f, 10, WEEK_COMPLETE);
    struct person *p = &f.week.record.person;
    snprintf(p->name, sizeof p->name, "نور الهدى");
    p->arm_cm = 36, p->cuff_low = 22, p->cuff_high = 32;
    p->af = p->carer = true;
    p->validated = ANSWER_NO;
    p->treated = ANSWER_YES;
    p->office_sys = 160, p->office_dia = 99, p->office_day = civil_day(2026, 11, 20);
    f.week.record.week.version = 2;
    struct reading *x = f.week.readings;
    x[9].technique = TECHNIQUE_COLD | TECHNIQUE_TALKING;
    x[10].technique = TECHNIQUE_BLADDER;
    x[10].temp_c = 15;
    x[20].standing = STANDING_HELD, x[20].held = HELD_OUTLIER, x[20].sys = 212;
    x[25].standing = STANDING_VOID;
    snprintf(x[25].reason, sizeof x[25].reason, "Read to us by a neighbour, who was not sure of the number");
    x[30].off_time = x[31].sent_late = x[32].telephoned = x[33].confirmed = true;
    x[40].arm = ARM_RIGHT, x[41].posture = POSTURE_STANDING;
    x[9].text = report_fixture_text(&f, 3, 432, "139/87 70 it was bitterly cold and the boy was talking to me")->id;
    report_fixture_text(&f, 4, 500, "my chest hurts");
    struct alert *a = report_fixture_alert(&f, 4, 500, ALERT_EMERGENCY, "chest_pain");
    a->taken_at = a->at + 300, a->resolved_at = a->at + 4000;
    snprintf(a->taken_by, sizeof a->taken_by, "+447700900002");
    snprintf(a->outcome, sizeof a->outcome, "seen at the hospital, home the same evening");
    report_fixture_alert(&f, 6, 500, ALERT_URGENT, "severe");
}

static void make_few(void)
{
    report_fixture_open(&f, "aha");
    report_fixture_read(&f, 4, 2);
}

static const struct {
    const char *name;
    void (*make)(void);
} weeks[] = {{"good", make_good}, {"everything", make_everything}, {"few", make_few}};

/* Makes the text of one surface of a report; malloced. */
typedef char *surface(const struct report *r);

static char *csv(const struct report *r)
{
    struct buffer b;
    char *head = report_csv_head();
    buffer_init(&b, 1 << 20);
    buffer_text(&b, head);
    free(head);
    assert_true(report_csv_rows(r, DAY_NONE, DAY_NONE, false, &b));
    return buffer_take(&b);
}

/* The Bundle, of its readings the first three: the others are like them. */
static char *fhir(const struct report *r)
{
    char *one = fhir_bundle(r, NULL, 0);
    json_t *bundle = json_loads(one, 0, NULL), *entries = json_object_get(bundle, "entry");
    for (size_t i = json_array_size(entries); i-- > 0;) {
        json_t *resource = json_object_get(json_array_get(entries, i), "resource");
        if (json_object_get(resource, "meta") && i > 3) /* only readings name a profile */
            json_array_remove(entries, i);
    }
    char *lines = json_dumps(bundle, JSON_INDENT(1));
    free(one);
    json_decref(bundle);
    return lines;
}

static char *pdf(const struct report *r)
{
    void *bytes = NULL;
    size_t size = 0;
    char why[200], path[64], *text = calloc(1, 1 << 16);
    if (report_pdf(r, PAPER_A4, &bytes, &size, why, sizeof why))
        fail_msg("%s", why);
    tool_file(path, bytes, size);
    assert_int_equal(tool_run((const char *const[]){"pdftotext", "-layout", path, "-", NULL}, text, 1 << 16), 0);
    unlink(path);
    free(bytes);
    return text;
}

static const struct {
    const char *ending;
    surface *make;
} surfaces[] = {{"html", report_html}, {"txt", report_text}, {"csv", csv}, {"json", fhir}, {"pdf.txt", pdf}};

static void every_surface_is_as_it_was_looked_at(void **state)
{
    (void)state;
    for (size_t w = 0; w < sizeof weeks / sizeof *weeks; w++) {
        weeks[w].make();
        const struct report *r = report_fixture_make(&f);
        for (size_t s = 0; s < sizeof surfaces / sizeof *surfaces; s++) {
            char name[64], *text = surfaces[s].make(r);
            snprintf(name, sizeof name, "week-%s.%s", weeks[w].name, surfaces[s].ending);
            golden_same(name, text, strlen(text));
            free(text);
        }
        report_close(&f.report);
    }
}

static void the_same_week_gives_the_same_bytes(void **state)
{
    (void)state;
    for (size_t w = 0; w < sizeof weeks / sizeof *weeks; w++) {
        void *first = NULL, *again = NULL;
        size_t n = 0, m = 0;
        char why[200];
        weeks[w].make();
        const struct report *r = report_fixture_make(&f);
        assert_int_equal(report_pdf(r, PAPER_A4, &first, &n, why, sizeof why), 0);
        char *one = fhir_bundle(r, first, n), *page = report_html(r);
        report_close(&f.report);
        weeks[w].make();
        r = report_fixture_make(&f);
        assert_int_equal(report_pdf(r, PAPER_A4, &again, &m, why, sizeof why), 0);
        char *two = fhir_bundle(r, again, m), *page2 = report_html(r);
        assert_int_equal(n, m);
        assert_memory_equal(first, again, n);
        assert_string_equal(one, two);
        assert_string_equal(page, page2);
        free(one), free(two), free(page), free(page2), free(first), free(again);
        report_close(&f.report);
    }
}

/* The sender's thread prints while the desk's do. */
enum { THREADS = 4, PRINTS = 10 };

static void *print_often(void *context)
{
    struct buffer *first = context;
    for (int i = 0; i < PRINTS; i++) {
        void *bytes = NULL;
        size_t size = 0;
        char why[200];
        if (report_pdf(&f.report, PAPER_A4, &bytes, &size, why, sizeof why))
            return NULL;
        if (i == 0)
            buffer_add(first, bytes, size);
        bool same = size == first->n && memcmp(bytes, first->at, size) == 0;
        free(bytes);
        if (!same)
            return NULL;
    }
    return first;
}

static void threads_print_side_by_side(void **state)
{
    pthread_t threads[THREADS];
    struct buffer prints[THREADS];
    (void)state;
    make_good();
    report_fixture_make(&f);
    for (int i = 0; i < THREADS; i++) {
        buffer_init(&prints[i], 1 << 20);
        assert_int_equal(pthread_create(&threads[i], NULL, print_often, &prints[i]), 0);
    }
    for (int i = 0; i < THREADS; i++) {
        void *done = NULL;
        pthread_join(threads[i], &done);
        assert_non_null(done);
        assert_true(prints[i].n == prints[0].n && memcmp(prints[i].at, prints[0].at, prints[0].n) == 0);
    }
    for (int i = 0; i < THREADS; i++)
        buffer_clear(&prints[i]);
    report_close(&f.report);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_surface_is_as_it_was_looked_at),
        cmocka_unit_test(the_same_week_gives_the_same_bytes),
        cmocka_unit_test(threads_print_side_by_side),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
