/* The week's end, its summary and versions, and the review that must follow. */
#include "care_play.h"

/* A sitting of two at this hour of a day of November. */
static void sit(struct play *p, int day, int hour, int16_t sys, int16_t dia)
{
    play_to(p, at_local(p, 11, day, hour, 0));
    play_pair(p, sys, dia, 70);
    play_wait(p, 4);
    play_pair(p, (int16_t)(sys - 2), (int16_t)(dia - 1), 71);
}

/* Mornings and evenings of these days, the last evening left out on demand. */
static void measure(struct play *p, int from, int to, bool last_evening)
{
    for (int day = from; day <= to; day++) {
        sit(p, day, 8, 132, 84);
        if (day < to || last_evening)
            sit(p, day, 20, 134, 85);
    }
}

static size_t summaries(const struct play *p, int version)
{
    size_t n = 0;
    for (size_t i = 0; i < p->n_sent; i++)
        n += p->sent[i].class_ == CLASS_SUMMARY && p->sent[i].version == version;
    return n;
}

static void it_ends_30_minutes_after_the_last_wanted_sitting_is_full(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    measure(&p, 23, 29, true);
    int64_t full = p.now;
    assert_int_equal(p.r.week.state, WEEK_MEASURING);
    play_to(&p, full + 30 * MINUTES - 1);
    assert_int_equal(p.r.week.state, WEEK_MEASURING);
    play_to(&p, full + 30 * MINUTES);
    assert_int_equal(p.r.week.state, WEEK_COMPLETE);
    assert_int_equal(p.r.week.last_day, civil_day(2026, 11, 29));
    assert_int_equal(p.r.week.sent_at, p.now);
    assert_int_equal(summaries(&p, 1), 3);
    assert_int_equal(play_count(&p, TEXT_WEEK_DONE, 0), 1);
    assert_non_null(play_desk(&p, DESK_WEEK_DONE));
    int64_t ended = p.now;
    play_wait(&p, 10 * 1440);
    assert_int_equal(play_count(&p, TEXT_REMIND_MORNING, ended) + play_count(&p, TEXT_REMIND_EVENING, ended), 0);
    play_end(&p);
}

static void an_open_question_holds_the_end(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    measure(&p, 23, 28, true);
    sit(&p, 29, 8, 132, 84);
    sit(&p, 29, 20, 134, 85);
    play_wait(&p, 5);
    play_pair(&p, 110, 39, 70);
    play_wait(&p, 60);
    assert_int_equal(p.r.week.state, WEEK_MEASURING);
    play_says(&p, .keyword = KEYWORD_NO);
    assert_int_equal(p.r.week.state, WEEK_COMPLETE);
    play_end(&p);
}

static void else_it_ends_when_the_next_first_window_ends(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    measure(&p, 23, 29, false);
    play_to(&p, at_local(&p, 11, 30, 11, 59));
    assert_int_equal(p.r.week.state, WEEK_MEASURING);
    play_to(&p, at_local(&p, 11, 30, 12, 0));
    assert_int_equal(p.r.week.state, WEEK_COMPLETE);
    play_end(&p);
}

static void not_enough_goes_on_day_by_day_telling_what_is_needed(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    sit(&p, 23, 20, 132, 84); /* day 1 is left out */
    for (int day = 24; day <= 28; day++) {
        play_to(&p, at_local(&p, 11, day, 20, 0));
        play_pair(&p, 132, 84, 70); /* five of twelve */
    }
    play_to(&p, at_local(&p, 11, 30, 12, 0));
    assert_int_equal(p.r.week.state, WEEK_MEASURING);
    assert_int_equal(p.r.week.days_wanted, 8);
    assert_int_equal(play_count(&p, TEXT_DAY_ADDED, 0), 1);
    assert_int_equal(play_last(&p, TEXT_DAY_ADDED)->saying.number, 7);
    play_pair(&p, 131, 83, 70);
    play_to(&p, at_local(&p, 12, 1, 12, 0));
    assert_int_equal(p.r.week.days_wanted, 9);
    assert_int_equal(play_last(&p, TEXT_DAY_ADDED)->saying.number, 6);
    play_to(&p, at_local(&p, 12, 2, 12, 0));
    play_to(&p, at_local(&p, 12, 3, 11, 59));
    assert_int_equal(p.r.week.days_wanted, 10);
    assert_int_equal(p.r.week.state, WEEK_MEASURING);
    play_to(&p, at_local(&p, 12, 3, 12, 0));
    assert_int_equal(p.r.week.state, WEEK_SHORT);
    assert_int_equal(summaries(&p, 1), 3);
    assert_int_equal(play_count(&p, TEXT_WEEK_SHORT, 0), 1);
    assert_non_null(play_desk(&p, DESK_SHORT_WEEK));
    play_end(&p);
}

static void enough_on_an_added_day_completes_it(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    sit(&p, 23, 8, 132, 84);
    sit(&p, 24, 8, 132, 84);
    sit(&p, 24, 20, 132, 84);
    sit(&p, 25, 8, 132, 84);
    sit(&p, 25, 20, 132, 84);
    sit(&p, 26, 8, 132, 84); /* ten counted */
    play_to(&p, at_local(&p, 11, 29, 9, 0));
    play_says(&p, .asks = true);
    play_to(&p, at_local(&p, 11, 30, 12, 0));
    assert_int_equal(p.r.week.days_wanted, 8);
    sit(&p, 30, 20, 132, 84);
    play_wait(&p, 31);
    assert_int_equal(p.r.week.state, WEEK_COMPLETE);
    assert_int_equal(p.r.week.last_day, civil_day(2026, 11, 30));
    play_end(&p);
}

static void day_1_moves_with_the_earliest_accepted_reading(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    play_pair(&p, 110, 39, 70); /* held: starts nothing */
    assert_int_equal(p.r.week.first_day, DAY_NONE);
    assert_int_equal(p.r.week.state, WEEK_WAITING);
    play_to(&p, at_local(&p, 11, 24, 9, 0));
    play_pair(&p, 132, 84, 70);
    assert_int_equal(p.r.week.first_day, civil_day(2026, 11, 24));
    assert_int_equal(p.r.week.state, WEEK_MEASURING);
    play_act(&p, (struct care_action){.kind = ACTION_ACCEPT, .id = play_reading(&p, 110)->id, .version = -1, .note = "seen"});
    assert_int_equal(p.r.week.first_day, civil_day(2026, 11, 23));
    play_act(&p, (struct care_action){.kind = ACTION_VOID, .id = play_reading(&p, 110)->id, .version = -1, .note = "not hers"});
    play_act(&p, (struct care_action){.kind = ACTION_VOID, .id = play_reading(&p, 132)->id, .version = -1, .note = "not hers"});
    assert_int_equal(p.r.week.first_day, DAY_NONE);
    assert_int_equal(p.r.week.state, WEEK_WAITING);
    play_end(&p);
}

static void a_correction_after_the_end_makes_a_new_version(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    measure(&p, 23, 28, true);
    sit(&p, 29, 8, 132, 84);
    play_to(&p, at_local(&p, 11, 29, 20, 0));
    play_says(&p, .r = {{134, 85}, {157, 85}});
    play_wait(&p, 31);
    assert_int_equal(p.r.week.state, WEEK_COMPLETE);
    play_act(&p, (struct care_action){.kind = ACTION_REVIEW, .note = "well controlled"});
    assert_null(play_desk(&p, DESK_WEEK_DONE));
    int64_t text = play_says(&p, .r = {{137, 85}}, .rejected = {{157, 85}}, .amend = AMEND_CORRECT);
    assert_int_equal(play_reply(&p, text)->kind, TEXT_CORRECTED);
    assert_int_equal(p.r.week.version, 2);
    assert_int_equal(p.r.week.reviewed_at, INSTANT_NONE); /* it must be looked at again */
    assert_int_equal(summaries(&p, 2), 3);
    assert_non_null(play_desk(&p, DESK_WEEK_DONE));
    assert_int_equal(play_reading(&p, 137)->day, civil_day(2026, 11, 29));
    assert_true(reading_counted(&p.r, play_reading(&p, 137)));
    /* the keys tell week, version and target apart, and are the same when a row is made again */
    for (size_t i = 0; i < p.n_sent; i++)
        for (size_t k = i + 1; k < p.n_sent; k++)
            assert_string_not_equal(p.sent[i].key, p.sent[k].key);
    play_end(&p);
}

static void readings_after_the_end_are_kept_and_never_counted(void **state)
{
    (void)state;
    struct play p;
    struct week_result before, after;
    play_joined(&p);
    measure(&p, 23, 29, true);
    play_wait(&p, 31);
    week_result(&p.r, p.now, &before);
    play_to(&p, at_local(&p, 11, 30, 9, 0));
    int64_t text = play_pair(&p, 150, 95, 70);
    assert_int_equal(play_reply(&p, text)->kind, TEXT_NOT_MEASURING);
    assert_false(reading_counted(&p.r, play_reading(&p, 150)));
    play_wait(&p, 5);
    text = play_says(&p, .r = {{151, 95, .day = ON_DAY(-2), .slot = SLOT_MORNING}}); /* late for a week that is closed */
    assert_true(say_has(&play_reply(&p, text)->saying, TEXT_Q_WHEN));
    week_result(&p.r, p.now, &after);
    assert_int_equal(before.all.n, after.all.n);
    assert_true(before.all.sys == after.all.sys);
    assert_int_equal(p.r.week.version, 1);
    play_wait(&p, 5);
    play_act(&p, (struct care_action){.kind = ACTION_ACCEPT, .id = play_reading(&p, 151)->id, .version = -1, .note = "sent late"});
    assert_int_equal(p.r.week.version, 2); /* a person may still take it in */
    play_end(&p);
}

static void unreviewed_turns_red_after_five_days_or_one_when_high(void **state)
{
    (void)state;
    static const struct {
        const char *why;
        int16_t sys;
        bool severe;
        int days;
    } rows[] = {
        {"an ordinary week", 132, false, 5},
        {"a mean at or above 160", 162, false, 1},
        {"a severe one was confirmed", 132, true, 1},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct play p;
        play_joined(&p);
        for (int day = 23; day <= 29; day++) {
            sit(&p, day, 8, rows[i].sys, 84);
            sit(&p, day, 20, rows[i].sys, 84);
        }
        p.r.week.noted |= rows[i].severe ? NOTED_SEVERE : 0;
        play_wait(&p, 30);
        assert_int_equal(p.r.week.state, WEEK_COMPLETE);
        play_wait(&p, rows[i].days * 1440 - 1);
        assert_null(play_desk(&p, DESK_UNREVIEWED));
        play_wait(&p, 2);
        assert_non_null(play_desk(&p, DESK_UNREVIEWED));
        assert_int_equal(play_desk(&p, DESK_UNREVIEWED)->rank, 0);
        play_act(&p, (struct care_action){.kind = ACTION_REVIEW, .note = "see in a month"});
        assert_null(play_desk(&p, DESK_UNREVIEWED));
        assert_string_equal(p.r.week.reviewed_by, "ann");
        assert_int_equal(play_act(&p, (struct care_action){.kind = ACTION_REVIEW, .note = "again"}), CARE_CHANGED);
        play_wait(&p, 10 * 1440);
        assert_null(play_desk(&p, DESK_UNREVIEWED));
        play_end(&p);
    }
}

static void a_high_running_mean_is_told_once(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    sit(&p, 23, 8, 165, 90);
    sit(&p, 23, 20, 165, 90);
    sit(&p, 24, 8, 165, 90);
    sit(&p, 24, 20, 165, 90);
    sit(&p, 25, 8, 165, 90);
    assert_null(play_desk(&p, DESK_HIGH_MEAN)); /* day 1 left out: six counted */
    sit(&p, 25, 20, 165, 90);
    assert_non_null(play_desk(&p, DESK_HIGH_MEAN));
    struct care_action done = {.kind = ACTION_DONE, .id = play_desk(&p, DESK_HIGH_MEAN)->id, .version = -1};
    assert_int_equal(play_act(&p, done), CARE_DONE);
    sit(&p, 26, 8, 165, 90);
    assert_null(play_desk(&p, DESK_HIGH_MEAN));
    play_end(&p);
}

static void weeks_follow_each_other(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    measure(&p, 23, 29, true);
    play_wait(&p, 31);
    assert_int_equal(play_act(&p, (struct care_action){.kind = ACTION_NEW_WEEK}), CARE_DONE);
    assert_int_equal(p.r.week.number, 2);
    assert_int_equal(p.r.week.state, WEEK_WAITING);
    assert_int_equal(play_act(&p, (struct care_action){.kind = ACTION_NEW_WEEK}), CARE_CHANGED);
    sit(&p, 30, 8, 140, 84);
    assert_int_equal(p.r.week.first_day, civil_day(2026, 11, 30));
    play_end(&p);
}

static void an_outage_over_the_end_ends_it_once(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    measure(&p, 23, 27, true);
    play_outage(&p, at_local(&p, 12, 20, 9, 0));
    assert_int_equal(p.r.week.state, WEEK_COMPLETE);
    assert_int_equal(summaries(&p, 1), 3);
    assert_int_equal(play_count(&p, TEXT_WEEK_DONE, 0), 1);
    play_end(&p);

    play_joined(&p);
    sit(&p, 23, 8, 132, 84);
    play_outage(&p, at_local(&p, 12, 20, 9, 0));
    assert_int_equal(p.r.week.state, WEEK_SHORT);
    assert_int_equal(p.r.week.days_wanted, 10);
    assert_int_equal(summaries(&p, 1), 3);
    assert_true(play_count(&p, TEXT_DAY_ADDED, 0) == 0); /* days that are over are not asked for */
    play_end(&p);
}

static void hold_start_waits_until_cuff_and_monitor_are_settled(void **state)
{
    (void)state;
    struct play p;
    play_begin(&p);
    p.clinic.hold_start = true;
    play_enrol(&p, true);
    assert_int_equal(p.r.week.state, WEEK_READY);
    int64_t text = play_pair(&p, 132, 84, 70);
    assert_int_equal(play_reply(&p, text)->kind, TEXT_PRACTICE_READING);
    play_says(&p, .arm = 31, .cuff = {22, 42});
    assert_int_equal(p.r.week.state, WEEK_READY);
    struct care_action edit = {.kind = ACTION_EDIT, .version = -1, .person = p.r.person};
    edit.person.validated = ANSWER_YES;
    play_act(&p, edit);
    assert_int_equal(p.r.week.state, WEEK_WAITING);
    assert_int_equal(play_count(&p, TEXT_WEEK_STARTS, 0), 1);
    assert_int_equal(play_reading(&p, 132)->standing, STANDING_HELD);
    play_end(&p);

    play_begin(&p);
    p.clinic.hold_start = true;
    play_enrol(&p, true);
    play_wait(&p, 48 * 60 - 1);
    assert_int_equal(p.r.week.state, WEEK_READY);
    play_wait(&p, 2);
    assert_int_equal(p.r.week.state, WEEK_WAITING);
    play_end(&p);

    play_begin(&p); /* the answer alone, the monitor known */
    p.clinic.hold_start = true;
    p.r.person.validated = ANSWER_YES;
    play_enrol(&p, true);
    assert_int_equal(p.r.week.state, WEEK_READY);
    play_says(&p, .arm = 31, .cuff = {22, 42});
    assert_int_equal(p.r.week.state, WEEK_WAITING);
    play_end(&p);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(it_ends_30_minutes_after_the_last_wanted_sitting_is_full),
        cmocka_unit_test(an_open_question_holds_the_end),
        cmocka_unit_test(else_it_ends_when_the_next_first_window_ends),
        cmocka_unit_test(not_enough_goes_on_day_by_day_telling_what_is_needed),
        cmocka_unit_test(enough_on_an_added_day_completes_it),
        cmocka_unit_test(day_1_moves_with_the_earliest_accepted_reading),
        cmocka_unit_test(a_correction_after_the_end_makes_a_new_version),
        cmocka_unit_test(readings_after_the_end_are_kept_and_never_counted),
        cmocka_unit_test(unreviewed_turns_red_after_five_days_or_one_when_high),
        cmocka_unit_test(a_high_running_mean_is_told_once),
        cmocka_unit_test(weeks_follow_each_other),
        cmocka_unit_test(an_outage_over_the_end_ends_it_once),
        cmocka_unit_test(hold_start_waits_until_cuff_and_monitor_are_settled),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
