/* What comes after a reading and changes it: a pulse by itself, a correction of what somebody was alerted by; and the words
 * that end everything, beside other words.
 *
 * Ten minutes for the pieces of one measurement are ours. Lines for a pulse: as in care_worry.c.
 */
#include "care_talk.h"

#define AT(...) {.r = {__VA_ARGS__}}
#define PULSE(n) {.d = {{0, 0, (n), .doubt = DOUBT_ONE_NUMBER}}}

static void a_pulse_by_itself_goes_to_the_reading_sent_without_one(void **state)
{
    (void)state;
    static const struct row {
        const char *why;
        struct heard first, pulse;
        int after;
        enum text_kind says;
        int16_t now; /* the pulse of the first reading, after it */
    } rows[] = {
        {"a minute later", AT({132, 84}), PULSE(71), 1, TEXT_GOT, 71},
        {"ten minutes later", AT({132, 84}), PULSE(71), 10, TEXT_GOT, 71},
        {"eleven minutes later it belongs to nothing", AT({132, 84}), PULSE(71), 11, TEXT_NOT_UNDERSTOOD, 0},
        {"it had one", AT({132, 84, 70}), PULSE(71), 1, TEXT_NOT_UNDERSTOOD, 70},
        {"a number that was not called a pulse", AT({132, 84}), {.d = {{71, 0, .doubt = DOUBT_ONE_NUMBER}}}, 1,
         TEXT_Q_ONE_NUMBER, 0},
        {"one that no human has", AT({132, 84}), {.d = {{0, 0, 300, .doubt = DOUBT_OUT_OF_RANGE}}}, 1, TEXT_NOT_UNDERSTOOD, 0},
        {"about 70", AT({132, 84}), {.d = {{0, 0, 70, .doubt = DOUBT_UNCERTAIN}}}, 1, TEXT_NOT_UNDERSTOOD, 0},
        {"somebody else's", AT({132, 84}), {.d = {{0, 0, 70, .doubt = DOUBT_NOT_OWN}}}, 1, TEXT_NOT_UNDERSTOOD, 0},
        {"two of them", AT({132, 84}), {.d = {{0, 0, 70, .doubt = DOUBT_ONE_NUMBER}, {0, 0, 71, .doubt = DOUBT_ONE_NUMBER}}}, 1,
         TEXT_NOT_UNDERSTOOD, 0},
        {"a pair in the same text has its own", AT({132, 84}),
         {.r = {{130, 82}}, .d = {{0, 0, 70, .doubt = DOUBT_ONE_NUMBER}}}, 1, TEXT_GOT, 0},
        {"taken back", AT({132, 84}), {.d = {{0, 0, 70, .doubt = DOUBT_ONE_NUMBER}}, .amend = AMEND_VOID}, 1, TEXT_DROPPED, 0},
        {"an unusual one is taken and worried about", AT({132, 84}), PULSE(38), 1, TEXT_W_PULSE, 38},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct play p;
        play_joined(&p);
        play_text(&p, &rows[i].first);
        play_wait(&p, rows[i].after);
        int64_t text = play_text(&p, &rows[i].pulse);
        const struct outgoing *o = play_reply(&p, text);
        if (!o || !say_has(&o->saying, rows[i].says))
            fail_msg("%s: %s", rows[i].why, o ? text_kind_name(o->kind) : play_outcome(&p, text));
        if (play_reading(&p, 132)->pulse != rows[i].now)
            fail_msg("%s: pulse %d", rows[i].why, play_reading(&p, 132)->pulse);
        play_end(&p);
    }
}

static void an_unusual_pulse_by_itself_is_a_pulse_like_any_other(void **state)
{
    (void)state;
    static const struct talk rows[] = {
        {"slow, again", NULL,
         {{0, PULSE(38), .says = TEXT_W_PULSE, .desk = ON_DESK(PULSE)},
          {6, PULSE(39), .says = TEXT_W_PULSE_AGAIN, .level = ALERT_URGENT, .cause = "pulse"}}},
        {"fast, with palpitations", NULL,
         {{0, {.d = {{0, 0, 140, .doubt = DOUBT_ONE_NUMBER}}, .flags = FLAG_PALPITATIONS}, .says = TEXT_W_PULSE_AGAIN,
           .level = ALERT_URGENT, .cause = "pulse"}}},
        {"41 is ordinary", NULL, {{0, PULSE(41), .says = TEXT_NOT_UNDERSTOOD}}},
    };
    TALK_THROUGH(rows);
}

static void a_wrong_pulse_is_put_right_and_nothing_else(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    play_pair(&p, 132, 84, 70);
    play_wait(&p, 2);
    play_pair(&p, 130, 82, 72);
    play_wait(&p, 2);
    int64_t text = play_says(&p, .d = {{0, 0, 66, .doubt = DOUBT_ONE_NUMBER}}, .rejected = {{0, 0, 70}},
                             .amend = AMEND_CORRECT); /* the one that it names, not the last */
    assert_int_equal(play_reply(&p, text)->kind, TEXT_CORRECTED);
    assert_int_equal(play_reply(&p, text)->saying.echo[0].sys, 132);
    assert_int_equal(play_reply(&p, text)->saying.echo[0].pulse, 66);
    assert_int_equal(play_reading(&p, 130)->pulse, 72);
    assert_int_equal(play_reading(&p, 130)->standing, STANDING_ACCEPTED);
    play_wait(&p, 2);
    text = play_says(&p, .d = {{0, 0, 75, .doubt = DOUBT_ONE_NUMBER}}, .amend = AMEND_CORRECT); /* none named: the last text's */
    assert_int_equal(play_reply(&p, text)->kind, TEXT_CORRECTED);
    assert_int_equal(play_reply(&p, text)->saying.echo[0].pulse, 75);
    text = play_says(&p, .d = {{0, 0, 60, .doubt = DOUBT_ONE_NUMBER}}, .rejected = {{0, 0, 99}}, .amend = AMEND_CORRECT);
    assert_false(say_has(&play_reply(&p, text)->saying, TEXT_CORRECTED)); /* nobody sent a 99 */
    for (size_t i = 0; i < p.r.n_readings; i++)
        if (p.r.readings[i].standing == STANDING_HELD)
            fail_msg("a reading is held for a pulse that nobody sent");
    play_end(&p);
}

static void a_joining_pulse_before_joining_is_put_aside_too(void **state)
{
    (void)state;
    struct play p;
    play_begin(&p);
    play_enrol(&p, false);
    play_pair(&p, 132, 84, 0);
    play_wait(&p, 2);
    int64_t text = play_text(&p, &(struct heard)PULSE(71));
    assert_int_equal(play_reply(&p, text)->kind, TEXT_ASIDE);
    assert_int_equal(play_reading(&p, 132)->pulse, 71);
    play_end(&p);
}

static void what_somebody_was_alerted_by_is_not_changed_unseen(void **state)
{
    (void)state;
    static const struct talk rows[] = {
        {"corrected while the alert is open", NULL,
         {{0, AT({186, 112}), .says = TEXT_W_SEVERE},
          {6, AT({184, 110}), .says = TEXT_W_SEVERE_AGAIN, .level = ALERT_URGENT, .cause = "severe", .gone = ON_DESK(SEVERE)},
          {2, {.r = {{128, 82}}, .rejected = {{184, 110}}, .amend = AMEND_CORRECT}, .says = TEXT_CORRECTED,
           .desk = ON_DESK(SEVERE)}}},
        {"dropped while the alert is open", NULL,
         {{0, AT({225, 112}), .says = TEXT_W_VERY_HIGH, .level = ALERT_URGENT, .cause = "very_high"},
          {2, {.amend = AMEND_VOID}, .says = TEXT_DROPPED, .desk = ON_DESK(SEVERE)}}},
        {"a severe one that alerted nobody", NULL,
         {{0, AT({186, 112}), .says = TEXT_W_SEVERE, .desk = ON_DESK(SEVERE)},
          {2, {.r = {{128, 82}}, .amend = AMEND_CORRECT}, .says = TEXT_CORRECTED, .gone = ON_DESK(SEVERE)}}},
        {"one that is well, while an alert is open", NULL,
         {{0, {.r = {{128, 82}}, .flags = FLAG_CHEST_PAIN}, .says = TEXT_W_FLAG, .level = ALERT_EMERGENCY,
           .cause = "chest_pain"},
          {2, {.r = {{126, 82}}, .amend = AMEND_CORRECT}, .says = TEXT_CORRECTED, .gone = ON_DESK(SEVERE)}}},
    };
    TALK_THROUGH(rows);
}

static void whoever_ends_it_is_told_that_and_nothing_more(void **state)
{
    (void)state;
    static const struct row {
        const char *why;
        struct heard heard;
        enum text_kind says; /* alone; TEXT_NONE: nothing is sent */
        enum person_state state;
        enum desk_kind desk;
    } rows[] = {
        {"STOP with a question: the desk reads it", {.keyword = KEYWORD_STOP, .asks = true}, TEXT_STOPPED, PERSON_LEFT, DESK_LEFT},
        {"a wrong number", {.keyword = KEYWORD_WRONG_NUMBER, .asks = true}, TEXT_WRONG_NUMBER, PERSON_WRONG_NUMBER,
         DESK_WRONG_NUMBER},
        {"a death, and please stop: nobody is told how to start again",
         {.keyword = KEYWORD_STOP, .news = NEWS_DIED, .asks = true}, TEXT_NONE, PERSON_DIED, DESK_DIED},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct play p;
        play_joined(&p);
        play_wait(&p, 5);
        int64_t text = play_text(&p, &rows[i].heard);
        const struct outgoing *o = play_reply(&p, text);
        if (o ? o->saying.n_parts != 1 || o->kind != rows[i].says : rows[i].says != TEXT_NONE)
            fail_msg("%s: %s, %d parts", rows[i].why, o ? text_kind_name(o->kind) : "nothing", o ? o->saying.n_parts : 0);
        if (p.r.person.state != rows[i].state || !play_desk(&p, rows[i].desk))
            fail_msg("%s: state %d", rows[i].why, (int)p.r.person.state);
        play_end(&p);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_pulse_by_itself_goes_to_the_reading_sent_without_one),
        cmocka_unit_test(an_unusual_pulse_by_itself_is_a_pulse_like_any_other),
        cmocka_unit_test(a_wrong_pulse_is_put_right_and_nothing_else),
        cmocka_unit_test(a_joining_pulse_before_joining_is_put_aside_too),
        cmocka_unit_test(what_somebody_was_alerted_by_is_not_changed_unseen),
        cmocka_unit_test(whoever_ends_it_is_told_that_and_nothing_more),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
