/* What a week's report says, from weeks made by hand. The figures behind the words are checked in tests/unit/result.c and
 * against the outside in tests/reference; here it is claimed that the right ones are said, and that what must not be said is
 * not. */
#include "tests/report_fixture.h"

static struct report_fixture f;

static bool says(const struct sentences *s, const char *words)
{
    for (size_t i = 0; i < s->n; i++)
        if (strstr(s->at[i].text, words))
            return true;
    return false;
}

static void claim(const struct sentences *s, const char *words)
{
    if (!says(s, words))
        fail_msg("nothing says \"%s\"; the first of %zu is \"%s\"", words, s->n, s->n ? s->at[0].text : "");
}

static const struct report *diary_week(const char *protocol)
{
    report_fixture_open(&f, protocol);
    report_fixture_read(&f, 28, 2);
    report_fixture_end(&f, 7, WEEK_COMPLETE);
    return NULL;
}

/* The diary without its first day is 135.625/84.916667 over 24 readings: 136/85 to whole mmHg, half up. */
static void the_average_is_said_as_it_is_judged(void **state)
{
    (void)state;
    diary_week("esh");
    const struct report *r = report_fixture_make(&f);
    assert_int_equal(r->sys, 136);
    assert_int_equal(r->dia, 85);
    assert_non_null(strstr(r->average, "Average of 24 counted readings on 6 days"));
    assert_string_equal(r->judged, "At or above 135/85, the line of this protocol for a home average.");
    assert_non_null(strstr(r->sure, "another week may differ by 5 or more"));
    claim(&r->counts, "28 readings asked for, 28 received: 24 counted, 4 not.");
    claim(&r->counts, "4 not counted: first day.");
    claim(&r->variation, "(SD) 3.1/1.7");
    assert_non_null(strstr(r->caution, "informs a clinician's judgement and does not replace it"));
    report_close(&f.report);
}

static void every_protocol_names_its_own_lines(void **state)
{
    static const struct {
        const char *protocol, *judged, *why;
    } rows[] = {
        {"esh", "At or above 135/85, the line", "one line"},
        {"canada", "At or above 135/85, the line", "one line"},
        {"nice", "Stage 1, by this protocol's lines for a home average: stage 1 135/85, stage 2 150/95.", "named lines"},
        {"aha", "At or above 135/85, by this protocol's lines for a home average: 130/80, 135/85.", "two unnamed ones"},
        {"jsh", "Judged apart; the worse one leads", "mornings and evenings"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        diary_week(rows[i].protocol);
        const struct report *r = report_fixture_make(&f);
        if (!strstr(r->judged, rows[i].judged))
            fail_msg("%s (%s): \"%s\"", rows[i].protocol, rows[i].why, r->judged);
        report_close(&f.report);
    }
}

static void no_category_is_said_without_enough_readings(void **state)
{
    (void)state;
    report_fixture_open(&f, "esh");
    report_fixture_read(&f, 14, 2);
    const struct report *r = report_fixture_make(&f);
    assert_non_null(strstr(r->judged, "Not enough readings for a category: 10 counted and 4 days"));
    assert_null(strstr(r->judged, "135"));
    assert_non_null(strstr(r->average, "so far"));
    assert_string_equal(f.result.category, "");
    report_close(&f.report);
}

static void no_category_and_no_line_is_said_in_pregnancy(void **state)
{
    (void)state;
    diary_week("esh");
    f.week.record.person.pregnant = true;
    f.week.record.person.pregnant_due = f.week.day1 + 60;
    const struct report *r = report_fixture_make(&f);
    assert_non_null(strstr(r->judged, "No category: pregnant"));
    assert_null(strstr(r->sure, "Chance"));
    report_close(&f.report);
}

/* -- what undermines the average stands above it ---------------------------------------------------------------------- */

static void too_small(struct person *p)
{
    p->arm_cm = 36, p->cuff_low = 22, p->cuff_high = 32;
}

static void too_large(struct person *p)
{
    p->arm_cm = 21, p->cuff_low = 22, p->cuff_high = 32;
}

static void af(struct person *p)
{
    p->af = true;
}

static void wrist(struct person *p)
{
    p->wrist = true;
}

static void unvalidated(struct person *p)
{
    p->validated = ANSWER_NO;
}

static void failed_check(struct person *p)
{
    p->monitor_check_sys = 12, p->monitor_check_dia = 3;
}

static void far_office(struct person *p)
{
    p->office_sys = 160, p->office_dia = 95, p->office_day = civil_day(2026, 11, 20);
}


static void what_undermines_the_average_is_said_above_it(void **state)
{
    static const struct {
        void (*make)(struct person *p);
        const char *words, *unsure;
    } rows[] = {
        {too_small, "The cuff is too small: arm 36 cm, cuff for 22 to 32 cm. That reads high", "the cuff does not fit"},
        {too_large, "The cuff is too large: arm 21 cm, cuff for 22 to 32 cm. That reads low", "the cuff does not fit"},
        {af, "Confirm by hand", "atrial fibrillation"},
        {wrist, "wrist monitor", "wrist monitor"},
        {unvalidated, "not a validated one", NULL},
        {failed_check, "failed its check side by side at the clinic: +12/+3", NULL},
        {far_office, "look at cuff and monitor first", NULL},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        diary_week("esh");
        rows[i].make(&f.week.record.person);
        const struct report *r = report_fixture_make(&f);
        claim(&r->above, rows[i].words);
        if (rows[i].unsure && !strstr(r->sure, rows[i].unsure))
            fail_msg("row %zu is sure: \"%s\"", i, r->sure);
        report_close(&f.report);
    }
}

static void nothing_stands_above_a_good_week(void **state)
{
    (void)state;
    diary_week("esh");
    f.week.record.person.arm_cm = 30, f.week.record.person.cuff_low = 22, f.week.record.person.cuff_high = 32;
    f.week.record.person.arm_by_staff = true;
    const struct report *r = report_fixture_make(&f);
    assert_int_equal(r->above.n, 0);
    claim(&r->equipment, "Arm 30 cm, measured by the clinic; cuff for 22 to 32 cm: fits.");
    claim(&r->quality, "Nothing stands out");
    report_close(&f.report);
}

/* -- earlier weeks ------------------------------------------------------------------------------------------------------ */

static void changed(struct week_before *b) { b->week.noted |= NOTED_EQUIPMENT; }
static void right_arm(struct week_before *b) { b->week.on_arm = ARM_RIGHT; }
static void large_cuff(struct week_before *b) { b->week.cuff_low = 32, b->week.cuff_high = 42; }
static void no_cuff(struct week_before *b) { b->week.cuff_low = b->week.cuff_high = 0; }
static void other_monitor(struct week_before *b) { snprintf(b->week.monitor, sizeof b->week.monitor, "Ash"); }
static void no_monitor(struct week_before *b) { b->week.monitor[0] = '\0'; }
static void same_mean(struct week_before *b) { b->mean.sys = 137.4, b->mean.dia = 85.6; }
static void lower_mean(struct week_before *b) { b->mean.sys = 129.5, b->mean.dia = 87.49; }

static void earlier_weeks_are_said_and_only_like_ones_compared(void **state)
{
    static const struct {
        void (*make)(struct week_before *b);
        int medicine; /* days before day 1; 0 never changed */
        const char *words;
        bool compared;
    } rows[] = {
        {NULL, 0, "Week 1, Tue 27 Oct to Mon 2 Nov 2026: 143/91. Since then systolic is 7 lower, diastolic 6 lower, with the same "
                  "arm, cuff and monitor.", true},
        {lower_mean, 0, "Week 1, Tue 27 Oct to Mon 2 Nov 2026: 130/87. Since then systolic is 6 higher, diastolic 2 lower", true},
        {same_mean, 0, "137/86. Since then systolic is 1 lower, diastolic 1 lower", true},
        {NULL, 15, "monitor. The medicine was changed on Mon 9 Nov 2026.", true},
        {NULL, 60, "with the same arm, cuff and monitor.", true},
        {changed, 0, "Not compared: cuff, monitor or arm changed during one of the two.", false},
        {right_arm, 0, "Not compared: not known to be measured on the same arm.", false},
        {large_cuff, 0, "Not compared: another cuff.", false},
        {no_cuff, 0, "Not compared: the cuff of one of the two is not known.", false},
        {other_monitor, 0, "Not compared: another monitor.", false},
        {no_monitor, 0, "Not compared: the monitor of one of the two is not known.", false},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        diary_week("esh");
        struct person *p = &f.week.record.person;
        p->arm_cm = 30, p->cuff_low = 22, p->cuff_high = 32;
        snprintf(p->monitor, sizeof p->monitor, "Oak 3");
        p->medicine_changed = rows[i].medicine ? f.week.day1 - rows[i].medicine : DAY_NONE;
        f.week.record.week.number = 2;
        struct week_before *b = report_fixture_before(&f, 28, 143.4, 90.6);
        if (rows[i].make)
            rows[i].make(b);
        const struct report *r = report_fixture_make(&f);
        claim(&r->before, rows[i].words);
        assert_int_equal(r->before.n, rows[i].compared ? 2 : 1);
        if (rows[i].compared)
            claim(&r->before, "may differ by 5 or more by chance");
        else
            assert_null(strstr(r->before.at[0].text, "lower"));
        report_close(&f.report);
    }
    report_fixture_open(&f, "esh"); /* no mean yet: nothing to compare */
    report_fixture_read(&f, 4, 2);
    f.week.record.week.number = 2;
    f.week.record.person.cuff_low = 22, f.week.record.person.cuff_high = 32;
    snprintf(f.week.record.person.monitor, sizeof f.week.record.person.monitor, "Oak 3");
    report_fixture_before(&f, 28, 143.4, 90.6);
    const struct report *r = report_fixture_make(&f);
    assert_int_equal(r->before.n, 1);
    assert_null(strstr(r->before.at[0].text, "Since"));
    report_close(&f.report);
}

/* A quarter of all pressures end in 0 already by the measuring of some people; all of them do not. */
static void rounded_figures_are_said_with_their_count(void **state)
{
    (void)state;
    report_fixture_open(&f, "esh");
    fixture_days(&f.week, 1, 7, 140, 90, 0);
    report_fixture_end(&f, 7, WEEK_COMPLETE);
    const struct report *r = report_fixture_make(&f);
    claim(&r->above, "48 of 48 pressures end in 0");
    claim(&r->above, "unusually alike");
    report_close(&f.report);
}

/* -- what is left out is said, with why ----------------------------------------------------------------------------------- */

static void every_reading_that_does_not_count_has_its_reason(void **state)
{
    (void)state;
    report_fixture_open(&f, "esh");
    report_fixture_read(&f, 24, 2);
    struct reading *x = &f.week.readings[8];
    x->standing = STANDING_HELD, x->held = HELD_OUTLIER;
    f.week.readings[9].standing = STANDING_VOID;
    snprintf(f.week.readings[9].reason, sizeof f.week.readings[9].reason, "not hers");
    f.week.readings[10].posture = POSTURE_STANDING;
    fixture_read(&f.week, 6, 1190, 120, 70);
    report_fixture_end(&f, 7, WEEK_COMPLETE);
    const struct report *r = report_fixture_make(&f);
    claim(&r->counts, "25 received: 17 counted, 8 not.");
    claim(&r->counts, "1 not counted: void: not hers.");
    claim(&r->counts, "1 not counted: standing.");
    claim(&r->counts, "1 not counted: held");
    claim(&r->counts, "1 not counted: extra.");
    claim(&r->counts, "not measured: Thu 26 Nov after waking (2)");
    claim(&r->above, "1 reading is still held");
    int out = 0;
    for (size_t i = 0; i < r->n_readings; i++)
        out += !r->readings[i].counted && strncmp(r->readings[i].note, "not counted: ", 13) == 0;
    assert_int_equal(out, 8);
    report_close(&f.report);
}

static void technique_is_told_by_sittings_with_what_is_published(void **state)
{
    (void)state;
    diary_week("esh");
    f.week.readings[9].technique = f.week.readings[10].technique = f.week.readings[11].technique = TECHNIQUE_BLADDER;
    f.week.readings[11].off_time = true;
    const struct report *r = report_fixture_make(&f);
    claim(&r->quality, "Said of 2 of 14 sittings: full bladder (published effect +4.2 to +33 / +2.8 to +18.5).");
    claim(&r->quality, "1 reading outside the times agreed.");
    report_close(&f.report);
}

/* -- alerts and the patient's own words -------------------------------------------------------------------------------------- */

static void alerts_are_told_with_what_came_of_them(void **state)
{
    (void)state;
    diary_week("esh");
    struct alert *a = report_fixture_alert(&f, 3, 500, ALERT_EMERGENCY, "chest_pain");
    a->taken_at = a->at + 300, a->resolved_at = a->at + 3600;
    snprintf(a->taken_by, sizeof a->taken_by, "+447700900002");
    snprintf(a->outcome, sizeof a->outcome, "seen at the hospital");
    report_fixture_alert(&f, 4, 600, ALERT_URGENT, "no_repeat");
    report_fixture_text(&f, 3, 500, "my chest is tight");
    report_fixture_text(&f, 5, 500, "lovely weather");
    const struct report *r = report_fixture_make(&f);
    claim(&r->alerts, "Thu 26 Nov 08:20, emergency: chest pain. Taken Thu 26 Nov 08:25 by the phone ending in 002. Resolved Thu 26 Nov 09:20: seen at the "
                      "hospital.");
    claim(&r->alerts, "urgent: a severe reading, not measured again. Not taken by anybody yet.");
    claim(&r->above, "1 emergency alert and 1 urgent alert in this week, not all of them resolved");
    assert_int_equal(r->n_quotes, 1);
    assert_string_equal(r->quotes[0].text, "my chest is tight");
    for (size_t i = 0; i < r->alerts.n; i++)
        assert_null(strstr(r->alerts.at[i].text, "7700900002"));
    report_close(&f.report);
}

static void a_later_version_says_so(void **state)
{
    (void)state;
    diary_week("esh");
    f.week.record.week.version = 2;
    const struct report *r = report_fixture_make(&f);
    assert_non_null(strstr(r->version, "Version 2"));
    report_close(&f.report);
}

static void an_empty_week_is_said_to_be_empty(void **state)
{
    (void)state;
    report_fixture_open(&f, "esh");
    f.week.record.week.first_day = DAY_NONE;
    const struct report *r = report_fixture_make(&f);
    assert_false(r->has_mean);
    assert_non_null(strstr(r->when, "no reading yet"));
    assert_string_equal(r->average, "No reading is counted yet.");
    report_close(&f.report);
}

/* dir:outbox is one folder for all clinics: a file that replaces another patient's loses that summary. */
static void no_two_patients_have_one_file(void **state)
{
    static const struct {
        const char *clinic, *ref;
    } who[] = {{"maple", "P-0001"}, {"maple", "row-1"}, {"maple-row", "1"}, {"maple", "row/1"}, {"maple-row", "1/1"},
               {"maple-row", "week-7"}, {"maple", "row-week-7"}, {"maple", "row-week-7-v1"}, {"maple", "row.week_7"}};
    enum { WHO = sizeof who / sizeof *who };
    char names[WHO][SUMMARY_NAME];
    (void)state;
    for (int i = 0; i < WHO; i++) {
        struct person p = {.id = i + 1};
        struct week w = {.id = 800 + i, .number = 1, .version = 1};
        snprintf(p.clinic, sizeof p.clinic, "%s", who[i].clinic);
        snprintf(p.ref, sizeof p.ref, "%s", who[i].ref);
        summary_name(&p, &w, names[i]);
        assert_null(strchr(names[i], '/'));
        for (int k = 0; k < i; k++)
            if (strcmp(names[i], names[k]) == 0)
                fail_msg("%s %s and %s %s: %s", who[i].clinic, who[i].ref, who[k].clinic, who[k].ref, names[i]);
    }
    assert_string_equal(names[0], "maple-P-0001-week-1-v1");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(earlier_weeks_are_said_and_only_like_ones_compared),
        cmocka_unit_test(the_average_is_said_as_it_is_judged),
        cmocka_unit_test(every_protocol_names_its_own_lines),
        cmocka_unit_test(no_category_is_said_without_enough_readings),
        cmocka_unit_test(no_category_and_no_line_is_said_in_pregnancy),
        cmocka_unit_test(what_undermines_the_average_is_said_above_it),
        cmocka_unit_test(nothing_stands_above_a_good_week),
        cmocka_unit_test(rounded_figures_are_said_with_their_count),
        cmocka_unit_test(every_reading_that_does_not_count_has_its_reason),
        cmocka_unit_test(technique_is_told_by_sittings_with_what_is_published),
        cmocka_unit_test(alerts_are_told_with_what_came_of_them),
        cmocka_unit_test(a_later_version_says_so),
        cmocka_unit_test(an_empty_week_is_said_to_be_empty),
        cmocka_unit_test(no_two_patients_have_one_file),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
