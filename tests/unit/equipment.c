/* Weeks compared: only with the same arm, cuff and monitor (care rules, "The week ends"). What counts as the same is ours;
 * the cuff's range is what is printed on it. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "gateway/care/equipment.h"

#define ROWS(rows) (sizeof(rows) / sizeof(rows)[0])

struct kit {
    double low, high;
    const char *monitor;
    uint8_t on_arm;
    bool wrist;
};

static const struct kit oak = {22, 32, "Oak 3", ARM_UNSAID, false};

static struct person person_with(const struct kit *k)
{
    struct person p = {.arm_cm = 30, .cuff_low = k->low, .cuff_high = k->high, .on_arm = k->on_arm, .wrist = k->wrist};
    snprintf(p.monitor, sizeof p.monitor, "%s", k->monitor);
    return p;
}

static struct week week_with(const struct kit *k)
{
    struct week w;
    struct person p = person_with(k);
    week_blank(&w, 1);
    week_equip(&w, &p);
    return w;
}

static void only_like_weeks_are_compared(void **state)
{
    static const struct {
        const char *why;
        struct kit earlier, later;
        enum weeks_alike alike;
    } rows[] = {
        {"the same", {22, 32, "Oak 3"}, {22, 32, "Oak 3"}, WEEKS_ALIKE},
        {"written otherwise", {22, 32, "Oak 3"}, {22, 32, "oak-3 "}, WEEKS_ALIKE},
        {"a rounded inch", {22.04, 32, "Oak 3"}, {22, 32.0, "Oak 3"}, WEEKS_ALIKE},
        {"both said the left arm", {22, 32, "Oak 3", ARM_LEFT}, {22, 32, "Oak 3", ARM_LEFT}, WEEKS_ALIKE},
        {"the other arm", {22, 32, "Oak 3", ARM_LEFT}, {22, 32, "Oak 3", ARM_RIGHT}, WEEKS_ARM},
        {"which arm is known of one", {22, 32, "Oak 3"}, {22, 32, "Oak 3", ARM_LEFT}, WEEKS_ARM},
        {"a larger cuff", {22, 32, "Oak 3"}, {32, 42, "Oak 3"}, WEEKS_CUFF},
        {"a cuff with one end the same", {22, 32, "Oak 3"}, {22, 42, "Oak 3"}, WEEKS_CUFF},
        {"no cuff then", {0, 0, "Oak 3"}, {22, 32, "Oak 3"}, WEEKS_CUFF_UNKNOWN},
        {"no cuff now", {22, 32, "Oak 3"}, {0, 0, "Oak 3"}, WEEKS_CUFF_UNKNOWN},
        {"two unknown cuffs are not the same", {0, 0, "Oak 3"}, {0, 0, "Oak 3"}, WEEKS_CUFF_UNKNOWN},
        {"another monitor", {22, 32, "Oak 3"}, {22, 32, "Oak 4"}, WEEKS_MONITOR},
        {"a longer name", {22, 32, "Oak 3"}, {22, 32, "Oak 3 plus"}, WEEKS_MONITOR},
        {"one at the wrist", {22, 32, "Oak 3"}, {22, 32, "Oak 3", ARM_UNSAID, true}, WEEKS_MONITOR},
        {"letters outside ASCII differ", {22, 32, "\303\226 3"}, {22, 32, "\303\234 3"}, WEEKS_MONITOR},
        {"no monitor then", {22, 32, ""}, {22, 32, "Oak 3"}, WEEKS_MONITOR_UNKNOWN},
        {"two unknown monitors are not the same", {22, 32, ""}, {22, 32, ""}, WEEKS_MONITOR_UNKNOWN},
    };
    (void)state;
    for (size_t i = 0; i < ROWS(rows); i++) {
        struct week earlier = week_with(&rows[i].earlier), later = week_with(&rows[i].later);
        enum weeks_alike alike = weeks_alike(&earlier, &later);
        if (alike != rows[i].alike)
            fail_msg("%s: %d", rows[i].why, (int)alike);
    }
}

static void a_change_while_it_is_measured_is_noted(void **state)
{
    static const struct {
        const char *why;
        enum week_state at;
        struct kit was, is;
        bool noted;
    } rows[] = {
        {"nothing changed", WEEK_MEASURING, {22, 32, "Oak 3"}, {22, 32, "Oak 3"}, false},
        {"told for the first time", WEEK_MEASURING, {0, 0, ""}, {22, 32, "Oak 3", ARM_LEFT}, false},
        {"the cuff", WEEK_MEASURING, {22, 32, "Oak 3"}, {32, 42, "Oak 3"}, true},
        {"the monitor", WEEK_MEASURING, {22, 32, "Oak 3"}, {22, 32, "Ash"}, true},
        {"the arm", WEEK_MEASURING, {22, 32, "Oak 3", ARM_LEFT}, {22, 32, "Oak 3", ARM_RIGHT}, true},
        {"the monitor is no longer known", WEEK_MEASURING, {22, 32, "Oak 3"}, {22, 32, ""}, true},
        {"before the first reading", WEEK_WAITING, {22, 32, "Oak 3"}, {32, 42, "Oak 3"}, false},
        {"before cuff and monitor are settled", WEEK_READY, {22, 32, "Oak 3"}, {32, 42, "Oak 3"}, false},
    };
    (void)state;
    for (size_t i = 0; i < ROWS(rows); i++) {
        struct week w = week_with(&rows[i].was), same = week_with(&rows[i].is);
        struct person p = person_with(&rows[i].is);
        w.state = rows[i].at;
        bool changed = week_equip(&w, &p);
        bool unlike = weeks_alike(&w, &same) == WEEKS_CHANGED;
        if (!(w.noted & NOTED_EQUIPMENT) != !rows[i].noted || unlike != rows[i].noted || week_equip(&w, &p))
            fail_msg("%s: noted %x, unlike %d", rows[i].why, w.noted, unlike);
        if (changed != (memcmp(&rows[i].was, &rows[i].is, sizeof(struct kit)) != 0))
            fail_msg("%s: changed %d", rows[i].why, changed);
    }
}

static void an_ended_week_keeps_what_it_was_measured_with(void **state)
{
    struct record r = {0};
    (void)state;
    r.person = person_with(&oak);
    r.person.validated = ANSWER_YES;
    r.week = week_with(&oak);
    week_equip(&r.week, &r.person);
    r.week.id = 7;
    const struct kit wrist = {32, 42, "Ash", ARM_RIGHT, true};
    r.person = person_with(&wrist);
    assert_string_equal(equipment_of(&r).monitor, "Ash"); /* it still runs: what is known now */
    r.week.last_day = 20780;
    struct equipment e = equipment_of(&r);
    assert_string_equal(e.monitor, "Oak 3");
    assert_true(e.cuff_low == 22 && e.cuff_high == 32 && !e.wrist && e.validated == ANSWER_YES);
    assert_int_equal(e.on_arm, ARM_RIGHT); /* it was not known then */
    r.week.on_arm = ARM_LEFT;
    assert_int_equal(equipment_of(&r).on_arm, ARM_LEFT);
    r.week.monitor[0] = '\0';
    r.week.arm_cm = 0;
    assert_string_equal(equipment_of(&r).monitor, "Ash"); /* not known then, known now */
    assert_true(equipment_of(&r).cuff_high == 42);
}

/* The figures are those shown: half up. */
static void the_difference_is_that_of_the_figures_shown(void **state)
{
    static const struct {
        double earlier, later;
        int by;
    } rows[] = {{138, 132, -6}, {132.5, 132.4, -1}, {132.4, 132.49, 0}, {131.5, 132.5, 1}, {90, 140, 50}};
    (void)state;
    for (size_t i = 0; i < ROWS(rows); i++) {
        struct mean a = {.sys = rows[i].earlier, .dia = rows[i].later}, b = {.sys = rows[i].later, .dia = rows[i].earlier};
        struct weeks_apart by = weeks_apart(&a, &b);
        assert_int_equal(by.sys, rows[i].by);
        assert_int_equal(by.dia, -rows[i].by);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(only_like_weeks_are_compared),
        cmocka_unit_test(a_change_while_it_is_measured_is_noted),
        cmocka_unit_test(an_ended_week_keeps_what_it_was_measured_with),
        cmocka_unit_test(the_difference_is_that_of_the_figures_shown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
