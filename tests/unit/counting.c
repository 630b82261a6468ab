/* Which readings count in the mean, and the plain words for those that do not. */
#include "tests/week_fixture.h"

enum { AM = 430, PM = 1180 };

static void change_nothing(struct week_fixture *f, struct reading *x)
{
    (void)f, (void)x;
}
static void on_first_day(struct week_fixture *f, struct reading *x)
{
    x->day = f->day1;
}
static void on_first_day_of_aha(struct week_fixture *f, struct reading *x)
{
    x->day = f->day1;
    f->record.protocol.first_day_counted = true;
}
static void replaced(struct week_fixture *f, struct reading *x)
{
    (void)f;
    x->standing = STANDING_REPLACED, x->replaced_by = 99;
}
static void voided(struct week_fixture *f, struct reading *x)
{
    (void)f;
    x->standing = STANDING_VOID;
}
static void voided_with_reason(struct week_fixture *f, struct reading *x)
{
    voided(f, x);
    snprintf(x->reason, sizeof x->reason, "typed twice");
}
static void held(struct week_fixture *f, struct reading *x)
{
    (void)f;
    x->standing = STANDING_HELD, x->held = HELD_LIMITS;
}
static void held_and_asked(struct week_fixture *f, struct reading *x)
{
    held(f, x);
    f->record.course.question =
        (struct question){.kind = QUESTION_IS_IT_RIGHT, .readings = {4, x->id}, .n_readings = 2};
}
static void practice(struct week_fixture *f, struct reading *x)
{
    held(f, x);
    x->held |= HELD_PRACTICE;
}
static void aside(struct week_fixture *f, struct reading *x)
{
    (void)f;
    x->standing = STANDING_ASIDE, x->held = HELD_CONSENT, x->week = 0;
}
static void settled(struct week_fixture *f, struct reading *x)
{
    held_and_asked(f, x);
    x->standing = STANDING_ACCEPTED;
}
static void other_arm(struct week_fixture *f, struct reading *x)
{
    f->record.person.on_arm = ARM_LEFT, x->arm = ARM_RIGHT;
}
static void same_arm(struct week_fixture *f, struct reading *x)
{
    f->record.person.on_arm = ARM_LEFT, x->arm = ARM_LEFT;
}
static void arm_not_set(struct week_fixture *f, struct reading *x)
{
    (void)f;
    x->arm = ARM_RIGHT;
}
static void said_other_arm(struct week_fixture *f, struct reading *x)
{
    (void)f;
    x->technique = TECHNIQUE_OTHER_ARM;
}
static void standing_up(struct week_fixture *f, struct reading *x)
{
    (void)f;
    x->posture = POSTURE_STANDING;
}
static void lying(struct week_fixture *f, struct reading *x)
{
    (void)f;
    x->posture = POSTURE_LYING, x->asked_for = true;
}
static void lone(struct week_fixture *f, struct reading *x)
{
    (void)f;
    x->dia = 0;
}
static void of_another_week(struct week_fixture *f, struct reading *x)
{
    (void)f;
    x->week = FIXTURE_WEEK + 1;
}
static void before_day_one(struct week_fixture *f, struct reading *x)
{
    x->day = f->day1 - 1;
}
static void third_of_sitting(struct week_fixture *f, struct reading *x)
{
    x->slot = SLOT_MORNING, x->at = fixture_instant(f, 2, AM + 9);
}
static void third_but_asked_for(struct week_fixture *f, struct reading *x)
{
    third_of_sitting(f, x);
    x->asked_for = true;
}
static void third_with_af(struct week_fixture *f, struct reading *x)
{
    third_of_sitting(f, x);
    f->record.person.af = true;
}
static void third_after_an_unusable(struct week_fixture *f, struct reading *x)
{
    third_of_sitting(f, x);
    f->readings[0].posture = POSTURE_STANDING;
}
static void earlier_though_later_in_the_list(struct week_fixture *f, struct reading *x)
{
    x->slot = SLOT_MORNING, x->at = fixture_instant(f, 2, AM - 9);
}
static void before_medicine_changed(struct week_fixture *f, struct reading *x)
{
    (void)x;
    f->record.person.medicine_changed = f->day1 + 2; /* with readings on that day */
}
static void medicine_changed_before(struct week_fixture *f, struct reading *x)
{
    (void)x;
    f->record.person.medicine_changed = f->day1 + 1;
}
static void medicine_changed_after_the_week(struct week_fixture *f, struct reading *x)
{
    (void)x;
    f->record.person.medicine_changed = f->day1 + 20;
}

static void a_reading_counts_or_says_why_not(void **state)
{
    static const struct {
        void (*change)(struct week_fixture *f, struct reading *x);
        const char *why; /* NULL: counts */
    } rows[] = {
        {change_nothing, NULL},
        {on_first_day, "first day"},
        {on_first_day_of_aha, NULL},
        {replaced, "replaced by a correction"},
        {voided, "void"},
        {voided_with_reason, "void: typed twice"},
        {held, "held: not answered"},
        {held_and_asked, "held: waiting for an answer"},
        {practice, "practice"},
        {aside, "held: sent before joining"},
        {settled, NULL},
        {other_arm, "other arm"},
        {same_arm, NULL},
        {arm_not_set, NULL},
        {said_other_arm, "other arm"},
        {standing_up, "standing"},
        {lying, "lying"},
        {lone, "one number"},
        {of_another_week, "outside the week"},
        {before_day_one, "outside the week"},
        {third_of_sitting, "extra"},
        {third_but_asked_for, NULL},
        {third_with_af, NULL},
        {third_after_an_unusable, NULL},
        {earlier_though_later_in_the_list, NULL},
        {before_medicine_changed, "before a change of medicine"},
        {medicine_changed_before, NULL},
        {medicine_changed_after_the_week, NULL},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct week_fixture f;
        char buf[64];
        fixture_open(&f, "esh");
        fixture_read(&f, 2, AM, 130, 80);
        fixture_read(&f, 2, AM + 2, 131, 81);
        struct reading *x = fixture_read(&f, 2, PM, 132, 82);
        fixture_read(&f, 3, PM, 133, 83);
        rows[i].change(&f, x);
        const char *why = reading_why(&f.record, x, buf, sizeof buf);
        if (reading_counted(&f.record, x) != (rows[i].why == NULL) ||
            (why == NULL) != (rows[i].why == NULL) || (why && strcmp(why, rows[i].why)))
            fail_msg("row %zu: '%s', not '%s'", i, why ? why : "counts",
                     rows[i].why ? rows[i].why : "counts");
    }
}

static void of_four_in_a_sitting_the_first_two_in_time_count(void **state)
{
    struct week_fixture f;

    (void)state;
    fixture_open(&f, "aha");
    for (int i = 0; i < 4; i++)
        fixture_read(&f, 1, AM + i, 120 + i, 70 + i);
    struct week_result w;
    week_result(&f.record, fixture_instant(&f, 1, PM), &w);
    assert_int_equal(w.all.n, 2);
    assert_close(w.all.sys, 120.5, 0);
    f.record.person.af = true;
    week_result(&f.record, fixture_instant(&f, 1, PM), &w);
    assert_close(w.all.sys, 121, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_reading_counts_or_says_why_not),
        cmocka_unit_test(of_four_in_a_sitting_the_first_two_in_time_count),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
