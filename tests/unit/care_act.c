/* The desk: what a person may do, what is refused, and that the world may have changed since they looked. */
#include "care_play.h"

#define ACT(...) play_act(&p, (struct care_action){__VA_ARGS__})

static void a_person_accepts_and_drops_readings_with_a_reason(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    play_pair(&p, 110, 39, 70);
    int64_t id = play_reading(&p, 110)->id;
    assert_int_equal(ACT(.kind = ACTION_ACCEPT, .id = 99), CARE_GONE);
    assert_int_equal(ACT(.kind = ACTION_ACCEPT, .id = id), CARE_REFUSED); /* a reason is needed */
    assert_int_equal(ACT(.kind = ACTION_ACCEPT, .id = id, .note = "seen on the display"), CARE_DONE);
    assert_string_equal(play_reading(&p, 110)->decided_by, "ann");
    assert_string_equal(play_reading(&p, 110)->reason, "seen on the display");
    assert_int_equal(ACT(.kind = ACTION_ACCEPT, .id = id, .note = "again"), CARE_CHANGED);
    assert_int_equal(ACT(.kind = ACTION_VOID, .id = id), CARE_REFUSED);
    assert_int_equal(ACT(.kind = ACTION_VOID, .id = id, .note = "not hers"), CARE_DONE);
    assert_int_equal(ACT(.kind = ACTION_VOID, .id = id, .note = "not hers"), CARE_CHANGED);
    assert_int_equal(ACT(.kind = ACTION_VOID, .id = 99, .note = "x"), CARE_GONE);
    assert_int_equal(ACT(.kind = ACTION_ACCEPT, .id = id, .note = "hers after all"), CARE_DONE);

    play_says(&p, .d = {{132, 0, .doubt = DOUBT_ONE_NUMBER}}); /* half a reading has no mean */
    assert_int_equal(ACT(.kind = ACTION_ACCEPT, .id = play_reading(&p, 132)->id, .note = "x"), CARE_REFUSED);
    play_end(&p);
}

static void a_telephoned_reading_is_worried_about_like_any_other(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    struct said said = {.sys = 190, .dia = 100, .day = DAY_UNSAID, .minute = MINUTE_UNSAID};
    assert_int_equal(ACT(.kind = ACTION_ADD, .reading = said, .note = "rang in"), CARE_DONE);
    assert_true(play_reading(&p, 190)->telephoned);
    assert_int_equal(play_reading(&p, 190)->standing, STANDING_ACCEPTED);
    assert_non_null(play_desk(&p, DESK_SEVERE));
    said.sys = 188;
    assert_int_equal(ACT(.kind = ACTION_ADD, .reading = said, .note = "rang in"), CARE_DONE);
    assert_string_equal(play_alert(&p)->cause, "severe");
    said.dia = 200;
    assert_int_equal(ACT(.kind = ACTION_ADD, .reading = said, .note = "rang in"), CARE_REFUSED);
    play_end(&p);
}

static void desk_rows_are_taken_put_off_handed_over_and_done(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    play_says(&p, .asks = true);
    int64_t id = play_desk(&p, DESK_ASKS)->id;
    int32_t seen = play_desk(&p, DESK_ASKS)->version;
    assert_int_equal(ACT(.kind = ACTION_TAKE, .id = id, .version = seen), CARE_DONE);
    assert_string_equal(play_desk(&p, DESK_ASKS)->taken_by, "ann");
    assert_int_equal(ACT(.kind = ACTION_TAKE, .id = id, .version = seen), CARE_CHANGED); /* two people on one row */
    assert_int_equal(ACT(.kind = ACTION_DONE, .id = id, .version = seen), CARE_CHANGED);
    assert_int_equal(ACT(.kind = ACTION_PUT_OFF, .id = id, .version = -1, .until = p.now), CARE_REFUSED);
    assert_int_equal(ACT(.kind = ACTION_PUT_OFF, .id = id, .version = -1, .until = p.now + 3600), CARE_DONE);
    assert_int_equal(play_desk(&p, DESK_ASKS)->put_off_until, p.now + 3600);
    assert_int_equal(ACT(.kind = ACTION_HAND_OVER, .id = id, .version = -1, .note = "ben"), CARE_DONE);
    assert_string_equal(play_desk(&p, DESK_ASKS)->taken_by, "ben");
    play_wait(&p, 10);
    play_says(&p, .asks = true); /* asked again: the row is back, with a new version */
    assert_int_equal(play_desk(&p, DESK_ASKS)->id, id);
    assert_int_equal(play_desk(&p, DESK_ASKS)->put_off_until, INSTANT_NONE);
    assert_int_equal(ACT(.kind = ACTION_DONE, .id = id, .version = -1), CARE_DONE);
    assert_null(play_desk(&p, DESK_ASKS));
    assert_int_equal(ACT(.kind = ACTION_DONE, .id = id, .version = -1), CARE_GONE);
    assert_int_equal(ACT(.kind = ACTION_TAKE, .id = id, .version = -1), CARE_GONE);
    play_end(&p);
}

static void alerts_are_taken_opened_again_and_resolved_at_the_desk(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    play_says(&p, .flags = FLAG_FAINT);
    int64_t id = play_alert(&p)->id;
    assert_int_equal(ACT(.kind = ACTION_TAKE, .id = id), CARE_DONE);
    assert_string_equal(play_alert(&p)->taken_by, "ann");
    assert_null(play_last(&p, TEXT_S_TAKEN_YOU)); /* the page says it */
    assert_non_null(play_last(&p, TEXT_S_TAKEN_OTHER));
    assert_int_equal(ACT(.kind = ACTION_TAKE, .id = id), CARE_CHANGED);
    assert_int_equal(ACT(.kind = ACTION_REOPEN, .id = id), CARE_DONE);
    assert_int_equal(play_alert(&p)->taken_at, INSTANT_NONE);
    assert_int_equal(ACT(.kind = ACTION_RESOLVE, .id = id, .note = "well again"), CARE_DONE);
    assert_int_equal(ACT(.kind = ACTION_RESOLVE, .id = id, .note = "again"), CARE_GONE);
    assert_int_equal(ACT(.kind = ACTION_REOPEN, .id = id), CARE_GONE);
    play_end(&p);
}

static void a_text_of_the_clinic_goes_only_to_whom_it_may(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    assert_int_equal(ACT(.kind = ACTION_WRITE), CARE_REFUSED);
    assert_int_equal(ACT(.kind = ACTION_WRITE, .note = "Please ring us about your monitor."), CARE_DONE);
    assert_string_equal(play_last(&p, TEXT_FROM_CLINIC)->body, "Please ring us about your monitor.");
    play_says(&p, .keyword = KEYWORD_STOP);
    assert_int_equal(ACT(.kind = ACTION_WRITE, .note = "Are you well?"), CARE_REFUSED);
    play_end(&p);
}

static void a_held_reading_is_asked_about_again(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    play_pair(&p, 110, 39, 70);
    play_wait(&p, 1500);
    int64_t id = play_reading(&p, 110)->id;
    assert_int_equal(ACT(.kind = ACTION_ASK_AGAIN, .id = 1), CARE_GONE);
    assert_int_equal(ACT(.kind = ACTION_ASK_AGAIN, .id = id), CARE_DONE);
    assert_int_equal(play_count(&p, TEXT_Q_DISPLAY, 0), 2);
    play_says(&p, .keyword = KEYWORD_YES);
    assert_int_equal(play_reading(&p, 110)->standing, STANDING_ACCEPTED);
    assert_int_equal(ACT(.kind = ACTION_ASK_AGAIN, .id = id), CARE_CHANGED);
    play_wait(&p, 5);
    play_says(&p, .d = {{84, 132, .doubt = DOUBT_SWAPPED}});
    play_wait(&p, 5);
    assert_int_equal(ACT(.kind = ACTION_ASK_AGAIN, .id = play_reading(&p, 84)->id), CARE_DONE);
    play_says(&p, .keyword = KEYWORD_STOP);
    assert_int_equal(ACT(.kind = ACTION_ASK_AGAIN, .id = play_reading(&p, 84)->id), CARE_REFUSED);
    play_end(&p);
}

static void weeks_are_extended_ended_and_begun(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    assert_int_equal(ACT(.kind = ACTION_END_WEEK), CARE_REFUSED); /* nothing has begun */
    assert_int_equal(ACT(.kind = ACTION_REVIEW, .note = "x"), CARE_GONE);
    play_pair(&p, 132, 84, 70);
    assert_int_equal(ACT(.kind = ACTION_EXTEND, .days = 2), CARE_DONE);
    assert_int_equal(p.r.week.days_wanted, 9);
    assert_int_equal(ACT(.kind = ACTION_EXTEND, .days = 0), CARE_REFUSED);
    assert_int_equal(ACT(.kind = ACTION_EXTEND, .days = 8), CARE_REFUSED);
    play_wait(&p, 2880);
    assert_int_equal(ACT(.kind = ACTION_END_WEEK), CARE_DONE);
    assert_int_equal(p.r.week.state, WEEK_SHORT);
    assert_int_equal(p.r.week.last_day, day_of(&p.r, p.now));
    assert_int_equal(ACT(.kind = ACTION_END_WEEK), CARE_GONE);
    assert_int_equal(ACT(.kind = ACTION_EXTEND, .days = 1), CARE_GONE);
    assert_int_equal(ACT(.kind = ACTION_REVIEW), CARE_REFUSED);
    assert_int_equal(ACT(.kind = ACTION_REVIEW, .note = "repeat in spring"), CARE_DONE);
    play_says(&p, .keyword = KEYWORD_STOP);
    assert_int_equal(ACT(.kind = ACTION_NEW_WEEK), CARE_REFUSED);
    play_end(&p);
}

static void states_change_by_their_own_actions(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    assert_int_equal(ACT(.kind = ACTION_PAUSE, .until = p.now + 3 * DAYS), CARE_DONE);
    assert_int_equal(p.r.course.paused_until, p.now + 3 * DAYS);
    assert_int_equal(ACT(.kind = ACTION_PAUSE), CARE_CHANGED);
    assert_int_equal(ACT(.kind = ACTION_RESUME), CARE_DONE);
    assert_int_equal(ACT(.kind = ACTION_RESUME), CARE_CHANGED);
    assert_int_equal(ACT(.kind = ACTION_STOP), CARE_DONE);
    assert_int_equal(ACT(.kind = ACTION_STOP), CARE_CHANGED);
    assert_int_equal(ACT(.kind = ACTION_CONSENT), CARE_DONE);
    assert_int_equal(p.r.person.state, PERSON_JOINED);
    assert_int_equal(ACT(.kind = ACTION_CONSENT), CARE_CHANGED);
    assert_int_equal(ACT(.kind = ACTION_DIED), CARE_DONE);
    assert_int_equal(ACT(.kind = ACTION_CONSENT), CARE_REFUSED);
    assert_int_equal(ACT(.kind = ACTION_RESUME), CARE_DONE); /* it was a mistake */
    assert_int_equal(p.r.person.state, PERSON_JOINED);
    assert_int_equal(ACT(.kind = ACTION_WITHDRAW), CARE_DONE);
    assert_int_equal(ACT(.kind = ACTION_CLOSE), CARE_DONE);
    assert_int_equal(ACT(.kind = ACTION_CLOSE), CARE_CHANGED);
    assert_int_equal(ACT(.kind = ACTION_NEW_WEEK), CARE_DONE);
    assert_int_equal(p.r.person.state, PERSON_JOINED);
    assert_int_equal(ACT(.kind = (enum care_action_kind)99), CARE_REFUSED);
    play_end(&p);

    play_begin(&p);
    play_enrol(&p, false);
    assert_int_equal(ACT(.kind = ACTION_NEW_WEEK), CARE_REFUSED);
    play_wait(&p, 5 * 1440);
    assert_non_null(play_desk(&p, DESK_NOT_JOINED));
    assert_int_equal(ACT(.kind = ACTION_INVITE_AGAIN), CARE_DONE);
    assert_null(play_desk(&p, DESK_NOT_JOINED));
    assert_int_equal(play_count(&p, TEXT_INVITE_AGAIN, 0), 2);
    play_wait(&p, 2 * 1440 + 1);
    assert_non_null(play_desk(&p, DESK_NOT_JOINED));
    assert_int_equal(ACT(.kind = ACTION_CONSENT), CARE_DONE);
    assert_int_equal(p.r.person.state, PERSON_JOINED);
    assert_int_equal(ACT(.kind = ACTION_INVITE_AGAIN), CARE_REFUSED);
    play_end(&p);
}

static void closing_ends_the_week_and_thanks(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    play_pair(&p, 132, 84, 70);
    assert_int_equal(ACT(.kind = ACTION_CLOSE), CARE_DONE);
    assert_int_equal(p.r.week.state, WEEK_CLOSED);
    assert_int_equal(play_count(&p, TEXT_WEEK_CLOSED, 0), 1);
    for (size_t i = 0; i < p.n_sent; i++)
        assert_int_not_equal(p.sent[i].class_, CLASS_SUMMARY);
    play_end(&p);
}

static void an_edit_changes_what_a_person_may_and_tells_of_cuff_and_monitor(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    struct care_action a = {.kind = ACTION_EDIT, .version = -1, .person = p.r.person};
    a.person.state = PERSON_LEFT; /* not through an edit */
    a.person.cuff_low = 18, a.person.cuff_high = 26;
    a.person.validated = ANSWER_NO;
    assert_int_equal(play_act(&p, a), CARE_DONE);
    assert_int_equal(p.r.person.state, PERSON_JOINED);
    assert_true(p.r.week.cuff_high == 26);
    assert_int_equal(play_count(&p, TEXT_CUFF_TOO_SMALL, 0), 1);
    assert_int_equal(play_count(&p, TEXT_MONITOR_UNVALIDATED, 0), 1);
    assert_non_null(play_desk(&p, DESK_CUFF));
    assert_non_null(play_desk(&p, DESK_MONITOR));
    a.person = p.r.person;
    a.person.cuff_low = 22, a.person.cuff_high = 42, a.person.validated = ANSWER_YES;
    assert_int_equal(play_act(&p, a), CARE_DONE);
    assert_null(play_desk(&p, DESK_CUFF));
    assert_null(play_desk(&p, DESK_MONITOR));
    a.person.monitor_check_sys = -11; /* side by side at the clinic */
    assert_int_equal(play_act(&p, a), CARE_DONE);
    assert_non_null(play_desk(&p, DESK_MONITOR));
    a.person.monitor_check_sys = 10, a.person.monitor_check_dia = 3, a.person.wrist = true;
    assert_int_equal(play_act(&p, a), CARE_DONE);
    assert_non_null(play_desk(&p, DESK_MONITOR));
    a.version = person_mark(&p.r.person) ^ 1; /* somebody changed it since it was seen */
    assert_int_equal(play_act(&p, a), CARE_CHANGED);
    a.version = person_mark(&p.r.person);
    assert_int_equal(play_act(&p, a), CARE_DONE);
    a.person.id = 99;
    assert_int_equal(play_act(&p, a), CARE_GONE);
    play_end(&p);
}

/* At least 15 apart, twice and the same way round: ours, by common practice. */
static void arms_far_apart_twice_are_told_and_the_higher_one_is_used(void **state)
{
    static const struct {
        int16_t left[2], right[2];
        bool told;
        enum arm used;
        const char *why;
    } rows[] = {
        {{130, 130}, {130, 130}, false, ARM_LEFT, "alike"},
        {{130, 130}, {145, 144}, false, ARM_RIGHT, "fourteen on repeat"},
        {{145, 130}, {130, 145}, false, ARM_LEFT, "the other way round on repeat"},
        {{130, 130}, {145, 145}, true, ARM_RIGHT, "fifteen, twice"},
        {{160, 155}, {130, 131}, true, ARM_LEFT, "the left one"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct play p;
        play_joined(&p);
        assert_int_equal(ACT(.kind = ACTION_ARMS, .left = {rows[i].left[0], rows[i].left[1]},
                             .right = {rows[i].right[0], rows[i].right[1]}), CARE_DONE);
        if (!play_desk(&p, DESK_ARM) == rows[i].told || p.r.person.on_arm != (uint8_t)rows[i].used)
            fail_msg("%s", rows[i].why);
        play_end(&p);
    }
}

static void every_action_leaves_its_name_in_the_audit(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    size_t before = p.audits;
    assert_int_equal(ACT(.kind = ACTION_EXTEND, .days = 1, .id = 0), CARE_DONE);
    assert_int_equal(p.audits, before + 1);
    assert_string_equal(p.last_audit, "extend: id 0");
    play_end(&p);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_person_accepts_and_drops_readings_with_a_reason),
        cmocka_unit_test(a_telephoned_reading_is_worried_about_like_any_other),
        cmocka_unit_test(desk_rows_are_taken_put_off_handed_over_and_done),
        cmocka_unit_test(alerts_are_taken_opened_again_and_resolved_at_the_desk),
        cmocka_unit_test(a_text_of_the_clinic_goes_only_to_whom_it_may),
        cmocka_unit_test(a_held_reading_is_asked_about_again),
        cmocka_unit_test(weeks_are_extended_ended_and_begun),
        cmocka_unit_test(states_change_by_their_own_actions),
        cmocka_unit_test(closing_ends_the_week_and_thanks),
        cmocka_unit_test(an_edit_changes_what_a_person_may_and_tells_of_cuff_and_monitor),
        cmocka_unit_test(arms_far_apart_twice_are_told_and_the_higher_one_is_used),
        cmocka_unit_test(every_action_leaves_its_name_in_the_audit),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
