/* Reminders and nudges: when they go, and all the times when they must not. Times of the day are the clinic's
 * defaults. */
#include "care_play.h"

/* Europe/London around the change of 2027-03-28, and America/New_York around 2026-11-01 (IANA rules). */
static const struct offsets london = {2, {{0, 0}, {1806195600, 3600}}};
static const struct offsets new_york = {2, {{0, -4 * 3600}, {1793512800, -5 * 3600}}};

static size_t reminders(const struct play *p)
{
    return play_count(p, TEXT_REMIND_MORNING, 0) + play_count(p, TEXT_REMIND_EVENING, 0);
}

static void a_reminder_goes_at_its_time_if_the_sitting_has_no_reading(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p); /* Monday 08:00: this morning's is past */
    play_to(&p, at_local(&p, 11, 23, 19, 29));
    assert_int_equal(reminders(&p), 0);
    play_to(&p, at_local(&p, 11, 23, 19, 30));
    assert_int_equal(play_count(&p, TEXT_REMIND_EVENING, 0), 1);
    assert_int_equal(play_last(&p, TEXT_REMIND_EVENING)->expires, p.now + 60 * MINUTES);
    assert_int_equal(play_last(&p, TEXT_REMIND_EVENING)->class_, CLASS_REMINDER);
    play_to(&p, at_local(&p, 11, 24, 6, 30));
    play_pair(&p, 132, 84, 70); /* before its reminder: none is needed */
    play_wait(&p, 2);
    play_pair(&p, 130, 83, 70);
    play_to(&p, at_local(&p, 11, 24, 12, 0));
    assert_int_equal(play_count(&p, TEXT_REMIND_MORNING, 0), 0);
    play_end(&p);
}

static void a_nudge_follows_once(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    play_to(&p, at_local(&p, 11, 23, 20, 59));
    assert_int_equal(play_count(&p, TEXT_NUDGE, 0), 0);
    play_to(&p, at_local(&p, 11, 23, 21, 0));
    assert_int_equal(play_count(&p, TEXT_NUDGE, 0), 1);
    play_to(&p, at_local(&p, 11, 23, 21, 10));
    play_pair(&p, 132, 84, 70); /* half of it now: no second nudge */
    play_to(&p, at_local(&p, 11, 24, 7, 0));
    assert_int_equal(play_count(&p, TEXT_NUDGE, 0) + play_count(&p, TEXT_NUDGE_HALF, 0), 1);
    play_end(&p);

    play_joined(&p);
    p.clinic.nudge_after = 0;
    play_to(&p, at_local(&p, 11, 24, 7, 0));
    assert_int_equal(play_count(&p, TEXT_NUDGE, 0), 0);
    play_end(&p);
}

static void half_a_sitting_is_nudged_after_20_minutes(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    play_pair(&p, 132, 84, 70);
    play_wait(&p, 19);
    assert_int_equal(play_count(&p, TEXT_NUDGE_HALF, 0), 0);
    play_wait(&p, 1);
    assert_int_equal(play_count(&p, TEXT_NUDGE_HALF, 0), 1);
    play_wait(&p, 200);
    assert_int_equal(play_count(&p, TEXT_NUDGE_HALF, 0), 1);
    play_end(&p);

    play_joined(&p); /* a question is open: it says what to do */
    play_pair(&p, 132, 84, 70);
    play_wait(&p, 3);
    play_pair(&p, 110, 39, 70);
    play_wait(&p, 60);
    assert_int_equal(play_count(&p, TEXT_NUDGE_HALF, 0), 0);
    play_end(&p);
}

static void no_reminder_while_an_alert_or_a_severe_reading_is_open(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    play_says(&p, .flags = FLAG_CHEST_PAIN);
    play_to(&p, at_local(&p, 11, 24, 12, 0));
    assert_int_equal(reminders(&p), 0);
    struct care_action resolve = {.kind = ACTION_RESOLVE, .id = p.r.alerts[0].id, .note = "seen at the surgery"};
    assert_int_equal(play_act(&p, resolve), CARE_DONE);
    play_to(&p, at_local(&p, 11, 24, 19, 30));
    assert_int_equal(reminders(&p), 1);
    play_end(&p);

    play_joined(&p);
    play_to(&p, at_local(&p, 11, 23, 19, 25));
    play_says(&p, .r = {{190, 100}});
    play_wait(&p, 10);
    assert_int_equal(reminders(&p), 0);
    play_end(&p);
}

static void a_queued_reminder_is_withdrawn_when_a_reading_comes(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    p.clinic.remind_evening = 21 * 60 + 40; /* in the quiet hours: it would come in the morning, an hour late */
    play_to(&p, at_local(&p, 11, 23, 23, 0));
    assert_int_equal(reminders(&p), 0);
    p.clinic.quiet = (struct span){21 * 60 + 30, 22 * 60};
    play_to(&p, at_local(&p, 11, 24, 21, 45));
    assert_int_equal(play_last(&p, TEXT_REMIND_EVENING)->due, at_local(&p, 11, 24, 22, 0));
    play_pair(&p, 132, 84, 70);
    assert_int_equal(play_last(&p, TEXT_REMIND_EVENING)->state, OUTGOING_CANCELLED);
    play_end(&p);
}

static void silent_for_four_sittings_is_told_once(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    play_to(&p, at_local(&p, 11, 25, 11, 59));
    assert_int_equal(play_count(&p, TEXT_SILENT, 0), 0);
    size_t before = reminders(&p);
    assert_int_equal(before, 4);
    play_to(&p, at_local(&p, 11, 26, 0, 0)); /* Mon evening, Tue, Tue, Wed morning: the fourth ends at Wed noon */
    assert_int_equal(play_count(&p, TEXT_SILENT, 0), 1);
    assert_non_null(play_desk(&p, DESK_SILENT));
    play_to(&p, at_local(&p, 11, 29, 12, 0));
    assert_int_equal(reminders(&p), before);
    assert_int_equal(play_count(&p, TEXT_SILENT, 0), 1);
    play_pair(&p, 132, 84, 70); /* until they text */
    assert_null(play_desk(&p, DESK_SILENT));
    play_to(&p, at_local(&p, 11, 29, 20, 0));
    assert_int_equal(reminders(&p), before + 1);
    play_end(&p);
}

static void after_an_outage_what_makes_no_sense_is_skipped_and_recorded(void **state)
{
    (void)state;
    static const struct {
        const char *why;
        int hour, minute;
        size_t reminded, skipped;
    } rows[] = {
        {"an hour late is still worth it", 20, 30, 1, 0},
        {"over an hour late", 20, 31, 0, 1},
        {"the next morning", 32, 0, 1, 1}, /* the evening's is skipped, the morning's is half an hour late */
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct play p;
        play_joined(&p);
        play_to(&p, at_local(&p, 11, 23, 19, 0));
        play_outage(&p, at_local(&p, 11, 23, rows[i].hour, rows[i].minute));
        assert_int_equal(reminders(&p), rows[i].reminded);
        assert_int_equal(p.skipped, rows[i].skipped);
        play_end(&p);
    }
    struct play p; /* a nudge for a window that is over */
    play_joined(&p);
    play_to(&p, at_local(&p, 11, 24, 8, 0));
    play_outage(&p, at_local(&p, 11, 24, 15, 0));
    assert_int_equal(play_count(&p, TEXT_NUDGE, at_local(&p, 11, 24, 0, 0)), 0);
    assert_true(p.skipped > 0);
    play_end(&p);
}

static void night_work_has_its_own_windows(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    struct care_action edit = {.kind = ACTION_EDIT, .version = -1, .person = p.r.person};
    edit.person.morning_from = 15 * 60, edit.person.morning_to = 20 * 60;
    edit.person.evening_from = 6 * 60, edit.person.evening_to = 11 * 60;
    edit.person.remind_morning = 16 * 60, edit.person.remind_evening = 8 * 60 + 30;
    edit.person.quiet_from = 11 * 60, edit.person.quiet_to = 15 * 60;
    play_act(&p, edit);
    play_to(&p, at_local(&p, 11, 24, 17, 0));
    assert_int_equal(play_count(&p, TEXT_REMIND_EVENING, 0), 2); /* 08:30 on Monday and on Tuesday */
    assert_int_equal(play_count(&p, TEXT_REMIND_MORNING, 0), 2); /* 16:00 on both */
    play_pair(&p, 132, 84, 70);
    assert_int_equal(play_reading(&p, 132)->slot, SLOT_MORNING);
    play_end(&p);
}

static void a_window_over_midnight_reminds_on_the_civil_day_that_has_the_minute(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    p.r.person.evening_from = 22 * 60, p.r.person.evening_to = 2 * 60;
    p.r.person.remind_evening = 30; /* 00:30 */
    p.r.person.quiet_from = 3 * 60, p.r.person.quiet_to = 9 * 60;
    assert_int_equal(remind_at(&p.r, civil_day(2026, 11, 23), SLOT_EVENING), at_local(&p, 11, 24, 0, 30));
    play_to(&p, at_local(&p, 11, 24, 0, 40));
    play_look(&p);
    play_end(&p);
}

static void reminders_keep_local_time_when_the_clocks_change(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    p.r.zone = london;
    play_clock(&p, 1806048000); /* Friday 2027-03-26 08:00 GMT */
    p.r.person.state_since = p.r.week.opened_at = p.now;
    play_look(&p);
    for (int i = 0; i < 4; i++) {
        play_wait(&p, 1440);
        play_says(&p, .asks = true); /* not silent */
    }
    size_t n = 0;
    for (size_t i = 0; i < p.n_sent; i++)
        if (p.sent[i].kind == TEXT_REMIND_MORNING) {
            assert_int_equal(civil_at(&london, p.sent[i].due).minute, 7 * 60 + 30);
            n++;
        }
    assert_int_equal(n, 4);
    play_end(&p);

    play_joined(&p);
    p.r.zone = new_york;
    play_clock(&p, 1793448000); /* Saturday 2026-10-31 08:00 EDT */
    p.r.person.state_since = p.r.week.opened_at = p.now;
    play_look(&p);
    play_wait(&p, 2880);
    for (size_t i = 0; i < p.n_sent; i++)
        if (p.sent[i].kind == TEXT_REMIND_EVENING)
            assert_int_equal(civil_at(&new_york, p.sent[i].due).minute, 19 * 60 + 30);
    play_end(&p);
}

static void nothing_unprompted_is_due_in_the_quiet_hours(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    assert_true(quiet_now(&p.r, at_local(&p, 11, 23, 21, 30)));
    assert_true(quiet_now(&p.r, at_local(&p, 11, 24, 6, 59)));
    assert_false(quiet_now(&p.r, at_local(&p, 11, 24, 7, 0)));
    assert_int_equal(quiet_over(&p.r, at_local(&p, 11, 23, 22, 0)), at_local(&p, 11, 24, 7, 0));
    assert_int_equal(quiet_over(&p.r, at_local(&p, 11, 24, 3, 0)), at_local(&p, 11, 24, 7, 0));
    p.r.person.quiet_from = 13 * 60, p.r.person.quiet_to = 15 * 60;
    assert_int_equal(quiet_over(&p.r, at_local(&p, 11, 24, 14, 0)), at_local(&p, 11, 24, 15, 0));
    assert_int_equal(quiet_over(&p.r, at_local(&p, 11, 24, 3, 0)), at_local(&p, 11, 24, 3, 0));
    play_end(&p);
}

static void the_week_starts_no_earlier_than_its_day(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    p.r.person.start = civil_day(2026, 11, 26);
    play_look(&p);
    play_to(&p, at_local(&p, 11, 24, 9, 0));
    assert_int_equal(reminders(&p), 0);
    int64_t text = play_pair(&p, 132, 84, 70);
    assert_int_equal(play_reply(&p, text)->kind, TEXT_PRACTICE_READING);
    assert_int_equal(p.r.week.first_day, DAY_NONE);
    play_to(&p, at_local(&p, 11, 26, 7, 30));
    assert_int_equal(reminders(&p), 1);
    play_pair(&p, 131, 84, 70);
    assert_int_equal(p.r.week.first_day, civil_day(2026, 11, 26));
    play_end(&p);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_reminder_goes_at_its_time_if_the_sitting_has_no_reading),
        cmocka_unit_test(a_nudge_follows_once),
        cmocka_unit_test(half_a_sitting_is_nudged_after_20_minutes),
        cmocka_unit_test(no_reminder_while_an_alert_or_a_severe_reading_is_open),
        cmocka_unit_test(a_queued_reminder_is_withdrawn_when_a_reading_comes),
        cmocka_unit_test(silent_for_four_sittings_is_told_once),
        cmocka_unit_test(after_an_outage_what_makes_no_sense_is_skipped_and_recorded),
        cmocka_unit_test(night_work_has_its_own_windows),
        cmocka_unit_test(a_window_over_midnight_reminds_on_the_civil_day_that_has_the_minute),
        cmocka_unit_test(reminders_keep_local_time_when_the_clocks_change),
        cmocka_unit_test(nothing_unprompted_is_due_in_the_quiet_hours),
        cmocka_unit_test(the_week_starts_no_earlier_than_its_day),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
