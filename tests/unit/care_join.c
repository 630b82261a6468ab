/* People and states: consent first, who may be sent what, and what each word means in each state. */
#include "care_talk.h"

#define AT(...) {.r = {__VA_ARGS__}}
#define YES {.keyword = KEYWORD_YES}
#define NO {.keyword = KEYWORD_NO}
#define STOP {.keyword = KEYWORD_STOP}
#define START {.keyword = KEYWORD_START}
#define HELP {.keyword = KEYWORD_HELP}

static void play_invited(struct play *p)
{
    play_begin(p);
    play_enrol(p, false);
}

static void the_table_of_permits_is_that_of_the_contract(void **state)
{
    (void)state;
    static const struct {
        enum person_state state;
        bool invite, reminder, hint, reply, worry;
    } rows[] = {
        {PERSON_STRANGER, false, false, false, true, true}, {PERSON_INVITED, true, false, false, true, true},
        {PERSON_JOINED, false, true, true, true, true},     {PERSON_DECLINED, false, false, false, false, true},
        {PERSON_PAUSED, false, false, true, true, true},    {PERSON_LEFT, false, false, false, false, true},
        {PERSON_CLOSED, false, false, false, true, true},   {PERSON_DIED, false, false, false, false, true},
        {PERSON_WRONG_NUMBER, false, false, false, false, true},
        {PERSON_WITHDRAWN, false, false, false, false, true},
    };
    assert_int_equal(sizeof rows / sizeof *rows, PERSON_STATE_COUNT);
    for (size_t i = 0; i < PERSON_STATE_COUNT; i++) {
        assert_int_equal(state_permits(rows[i].state, PERMIT_INVITE), rows[i].invite);
        assert_int_equal(state_permits(rows[i].state, PERMIT_REMINDER), rows[i].reminder);
        assert_int_equal(state_permits(rows[i].state, PERMIT_HINT), rows[i].hint);
        assert_int_equal(state_permits(rows[i].state, PERMIT_REPLY), rows[i].reply);
        assert_int_equal(state_permits(rows[i].state, PERMIT_WORRY), rows[i].worry);
    }
}

static void the_invitation_asks_and_says_nothing_clinical(void **state)
{
    (void)state;
    struct play p;
    play_invited(&p);
    assert_int_equal(p.r.person.state, PERSON_INVITED);
    assert_int_equal(p.n_sent, 1);
    assert_int_equal(p.sent[0].kind, TEXT_INVITE);
    assert_int_equal(p.r.week.id, 0);
    assert_false(p.sent[0].saying.both_languages);
    play_end(&p);

    play_begin(&p);
    p.clinic.bilingual = true;
    play_enrol(&p, false);
    assert_true(p.sent[0].saying.both_languages);
    play_end(&p);
}

static void who_is_not_sure_is_asked_once_more(void **state)
{
    (void)state;
    struct play p;
    play_invited(&p);
    int64_t text = play_says(&p, .asks = true); /* "who is this?" */
    assert_int_equal(play_reply(&p, text)->kind, TEXT_INVITE_AGAIN);
    assert_true(desk_has(&p.r, DESK_ASKS));
    text = play_says(&p, .asks = true);
    assert_int_equal(play_reply(&p, text)->kind, TEXT_CLINIC_SEES);
    text = play_says(&p, .keyword = KEYWORD_YES);
    assert_int_equal(play_reply(&p, text)->kind, TEXT_WELCOME);
    play_end(&p);
}

static void no_answer_one_reminder_after_two_days_then_the_desk(void **state)
{
    (void)state;
    struct play p;
    play_invited(&p);
    play_wait(&p, 2 * 1440 - 1);
    assert_int_equal(play_count(&p, TEXT_INVITE_AGAIN, 0), 0);
    play_wait(&p, 2);
    assert_int_equal(play_count(&p, TEXT_INVITE_AGAIN, 0), 1);
    assert_null(play_desk(&p, DESK_NOT_JOINED));
    play_wait(&p, 2 * 1440);
    assert_non_null(play_desk(&p, DESK_NOT_JOINED));
    play_wait(&p, 30 * 1440);
    assert_int_equal(p.n_sent, 2); /* and nothing more, ever */
    assert_int_equal(p.r.course.next_look, INSTANT_NONE);
    play_says(&p, .keyword = KEYWORD_YES); /* late, and welcome */
    assert_int_equal(p.r.person.state, PERSON_JOINED);
    assert_null(play_desk(&p, DESK_NOT_JOINED));
    play_end(&p);
}

static void readings_before_joining_are_kept_aside_and_taken_up(void **state)
{
    (void)state;
    struct play p;
    play_invited(&p);
    int64_t text = play_pair(&p, 132, 84, 71);
    assert_int_equal(play_reply(&p, text)->kind, TEXT_ASIDE);
    assert_int_equal(play_reading(&p, 132)->standing, STANDING_ASIDE);
    assert_int_equal(play_reading(&p, 132)->week, 0);
    text = play_says(&p, .d = {{84, 131, .doubt = DOUBT_SWAPPED}});
    play_wait(&p, 2);
    text = play_pair(&p, 110, 39, 70);
    assert_int_equal(play_reply(&p, text)->kind, TEXT_ASIDE); /* nothing is asked: YES is consent */
    play_to(&p, at_local(&p, 11, 23, 20, 0));
    assert_int_equal(play_count(&p, TEXT_REMIND_EVENING, 0), 0); /* no reminder before joining */
    text = play_says(&p, .keyword = KEYWORD_YES);
    assert_int_equal(play_reply(&p, text)->kind, TEXT_WELCOME);
    assert_int_equal(p.r.person.state, PERSON_JOINED);
    assert_int_equal(p.r.person.consent_at, p.now);
    assert_int_equal(play_reading(&p, 132)->standing, STANDING_ACCEPTED);
    assert_int_equal(play_reading(&p, 132)->week, p.r.week.id);
    assert_int_equal(p.r.week.first_day, civil_day(2026, 11, 23));
    assert_int_equal(play_reading(&p, 84)->standing, STANDING_HELD);
    assert_int_equal(play_reading(&p, 110)->standing, STANDING_HELD);
    assert_non_null(play_desk(&p, DESK_HELD));
    play_end(&p);
}

static void the_welcome_is_followed_by_the_question_for_arm_and_cuff(void **state)
{
    (void)state;
    struct play p;
    play_invited(&p);
    play_says(&p, .keyword = KEYWORD_YES);
    assert_int_equal(p.sent[p.n_sent - 2].kind, TEXT_WELCOME);
    assert_int_equal(p.sent[p.n_sent - 1].kind, TEXT_ASK_ARM_CUFF);
    assert_true(p.sent[p.n_sent - 2].id < p.sent[p.n_sent - 1].id);
    play_end(&p);

    play_joined(&p); /* all known: nothing is asked */
    assert_int_equal(p.n_sent, 1);
    assert_int_equal(p.sent[0].kind, TEXT_WELCOME_CLINIC);
    play_end(&p);
}

static void what_is_known_of_cuff_and_monitor_is_told_on_joining(void **state)
{
    (void)state;
    for (int in_clinic = 0; in_clinic < 2; in_clinic++) {
        struct play p;
        play_begin(&p);
        p.r.person.arm_cm = 45;
        p.r.person.cuff_low = 22;
        p.r.person.cuff_high = 42;
        p.r.person.validated = ANSWER_NO;
        play_enrol(&p, in_clinic);
        assert_non_null(play_desk(&p, DESK_CUFF)); /* the desk at once */
        assert_non_null(play_desk(&p, DESK_MONITOR));
        assert_int_equal(play_count(&p, TEXT_CUFF_TOO_SMALL, 0), in_clinic);
        play_says(&p, .keyword = KEYWORD_YES);
        assert_int_equal(play_count(&p, TEXT_CUFF_TOO_SMALL, 0), 1); /* the patient after consent, once */
        assert_int_equal(play_count(&p, TEXT_MONITOR_UNVALIDATED, 0), 1);
        play_end(&p);
    }
}

static void given_stranger(struct play *p)
{
    p->r.person.state = PERSON_STRANGER;
    p->r.course.next_look = INSTANT_NONE;
    play_wait(p, 1441);
}

static void given_invited(struct play *p)
{
    play_end(p);
    play_invited(p);
}

static void given_declined(struct play *p)
{
    given_invited(p);
    play_says(p, .keyword = KEYWORD_NO);
    play_wait(p, 2);
}

static void given_left(struct play *p)
{
    play_says(p, .keyword = KEYWORD_STOP);
    play_wait(p, 2);
}

static void given_paused(struct play *p)
{
    play_says(p, .news = NEWS_AWAY);
    play_wait(p, 2);
}

static void given_closed(struct play *p)
{
    play_act(p, (struct care_action){.kind = ACTION_CLOSE});
    play_wait(p, 2);
}

static void given_died(struct play *p)
{
    play_act(p, (struct care_action){.kind = ACTION_DIED});
}

static void given_short(struct play *p)
{
    p->r.week.state = WEEK_SHORT;
}

static void each_word_means_one_thing_in_each_state(void **state)
{
    (void)state;
    static const struct row {
        const char *why;
        void (*given)(struct play *p);
        struct heard heard;
        enum text_kind says;
        enum person_state then;
    } rows[] = {
        {"YES joins one who is invited", given_invited, YES, TEXT_WELCOME, PERSON_JOINED},
        {"NO declines", given_invited, NO, TEXT_DECLINED, PERSON_DECLINED},
        {"START is not yet YES", given_invited, START, TEXT_INVITE_AGAIN, PERSON_INVITED},
        {"STOP before joining", given_invited, STOP, TEXT_STOPPED, PERSON_LEFT},
        {"HELP before joining", given_invited, HELP, TEXT_HELP, PERSON_INVITED},
        {"wrong number", given_invited, {.keyword = KEYWORD_WRONG_NUMBER}, TEXT_WRONG_NUMBER, PERSON_WRONG_NUMBER},
        {"YES when joined", NULL, YES, TEXT_ALREADY_JOINED, PERSON_JOINED},
        {"NO when joined", NULL, NO, TEXT_NOTHING_TO_CHANGE, PERSON_JOINED},
        {"START when joined", NULL, START, TEXT_ALREADY_JOINED, PERSON_JOINED},
        {"START after a short week begins another", given_short, START, TEXT_WELCOME_BACK, PERSON_JOINED},
        {"HELP when joined", NULL, HELP, TEXT_HELP, PERSON_JOINED},
        {"STOP when joined", NULL, STOP, TEXT_STOPPED, PERSON_LEFT},
        {"START joins again one who left", given_left, START, TEXT_WELCOME_BACK, PERSON_JOINED},
        {"YES does not", given_left, YES, TEXT_NONE, PERSON_LEFT},
        {"STOP again is silence", given_left, STOP, TEXT_NONE, PERSON_LEFT},
        {"HELP after STOP is silence: worry is the only reply", given_left, HELP, TEXT_NONE, PERSON_LEFT},
        {"a reading after STOP is silence", given_left, AT({132, 84}), TEXT_NONE, PERSON_LEFT},
        {"a question after STOP is silence", given_left, {.asks = true}, TEXT_NONE, PERSON_LEFT},
        {"START after NO asks again", given_declined, START, TEXT_INVITE_AGAIN, PERSON_INVITED},
        {"YES after NO is silence", given_declined, YES, TEXT_NONE, PERSON_DECLINED},
        {"STOP after NO", given_declined, STOP, TEXT_STOPPED, PERSON_LEFT},
        {"START ends a pause", given_paused, START, TEXT_WELCOME_BACK, PERSON_JOINED},
        {"a reading ends a pause", given_paused, AT({132, 84}), TEXT_GOT, PERSON_JOINED},
        {"a question does not", given_paused, {.asks = true}, TEXT_CLINIC_SEES, PERSON_PAUSED},
        {"still away, with a reading", given_paused, {.r = {{132, 84}}, .news = NEWS_AWAY}, TEXT_GOT, PERSON_PAUSED},
        {"away", NULL, {.news = NEWS_AWAY}, TEXT_PAUSED, PERSON_PAUSED},
        {"in hospital", NULL, {.news = NEWS_IN_HOSPITAL}, TEXT_IN_HOSPITAL, PERSON_PAUSED},
        {"away until a day", NULL, {.news = NEWS_AWAY, .away = 3}, TEXT_PAUSED_UNTIL, PERSON_PAUSED},
        {"in hospital until a day", NULL, {.news = NEWS_IN_HOSPITAL, .away = 3}, TEXT_IN_HOSPITAL_UNTIL, PERSON_PAUSED},
        {"it takes longer", given_paused, {.news = NEWS_AWAY, .away = 20}, TEXT_PAUSED_UNTIL, PERSON_PAUSED},
        {"away from a day to come", NULL, {.news = NEWS_AWAY, .away_from = 3, .away = 9}, TEXT_PAUSED_FROM, PERSON_JOINED},
        {"in hospital from a day to come", NULL, {.news = NEWS_IN_HOSPITAL, .away_from = 3}, TEXT_IN_HOSPITAL_FROM, PERSON_JOINED},
        {"back, in words", given_paused, {.away = AWAY_OVER}, TEXT_WELCOME_BACK, PERSON_JOINED},
        {"back, and nobody knew of it", NULL, {.away = AWAY_OVER}, TEXT_THANKS, PERSON_JOINED},
        {"was in hospital", NULL, {.news = NEWS_IN_HOSPITAL, .away = AWAY_OVER, .asks = true}, TEXT_CLINIC_SEES, PERSON_JOINED},
        {"was away, with a reading", given_paused, {.r = {{132, 84}}, .news = NEWS_AWAY, .away = AWAY_OVER}, TEXT_GOT,
         PERSON_JOINED},
        {"died", NULL, {.news = NEWS_DIED}, TEXT_NONE, PERSON_DIED},
        {"after a death", given_died, AT({132, 84}), TEXT_NONE, PERSON_DIED},
        {"START after a death changes nothing", given_died, START, TEXT_NONE, PERSON_DIED},
        {"closed: a reading is kept", given_closed, AT({132, 84}), TEXT_NOT_MEASURING, PERSON_CLOSED},
        {"closed: HELP", given_closed, HELP, TEXT_HELP, PERSON_CLOSED},
        {"a stranger", given_stranger, AT({132, 84}), TEXT_UNKNOWN_NUMBER, PERSON_STRANGER},
        {"a stranger's HELP", given_stranger, HELP, TEXT_HELP_STRANGER, PERSON_STRANGER},
        {"a stranger's STOP", given_stranger, STOP, TEXT_STOPPED, PERSON_STRANGER},
        {"a stranger's YES", given_stranger, YES, TEXT_UNKNOWN_NUMBER, PERSON_STRANGER},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct play p;
        play_joined(&p);
        if (rows[i].given)
            rows[i].given(&p);
        int64_t text = play_text(&p, &rows[i].heard);
        const struct outgoing *o = play_reply(&p, text);
        enum text_kind kind = o ? (enum text_kind)o->kind : TEXT_NONE;
        if (kind != rows[i].says || p.r.person.state != rows[i].then)
            fail_msg("%s: %s, state %d", rows[i].why, o ? text_kind_name(kind) : play_outcome(&p, text),
                     (int)p.r.person.state);
        play_end(&p);
    }
}

static void a_stop_withdraws_all_that_is_unsent(void **state)
{
    (void)state;
    static const struct heard stops[] = {STOP, {.keyword = KEYWORD_WRONG_NUMBER}, {.news = NEWS_DIED}};
    for (size_t i = 0; i < sizeof stops / sizeof *stops; i++) {
        struct play p;
        play_joined(&p);
        play_to(&p, at_local(&p, 11, 23, 23, 0)); /* quiet: what is unprompted waits */
        play_act(&p, (struct care_action){.kind = ACTION_EDIT, .version = -1, .person = p.r.person});
        struct care_action edit = {.kind = ACTION_EDIT, .version = -1, .person = p.r.person};
        edit.person.validated = ANSWER_NO;
        play_act(&p, edit);
        assert_int_equal(play_last(&p, TEXT_MONITOR_UNVALIDATED)->state, OUTGOING_WAITING);
        play_text(&p, &stops[i]);
        assert_int_equal(play_last(&p, TEXT_MONITOR_UNVALIDATED)->state, OUTGOING_CANCELLED);
        size_t sent = p.n_sent;
        play_wait(&p, 20 * 1440);
        assert_int_equal(p.n_sent, sent); /* silence until START */
        play_end(&p);
    }
}

static void start_is_no_consent_of_one_who_left_before_joining(void **state)
{
    (void)state;
    struct play p;
    play_invited(&p);
    play_says(&p, .keyword = KEYWORD_STOP);
    play_wait(&p, 60);
    int64_t text = play_says(&p, .keyword = KEYWORD_START);
    assert_int_equal(p.r.person.state, PERSON_INVITED);
    assert_int_equal(play_reply(&p, text)->kind, TEXT_INVITE_AGAIN);
    play_says(&p, .keyword = KEYWORD_YES);
    assert_int_equal(p.r.person.state, PERSON_JOINED);
    play_end(&p);
}

static void start_continues_the_week_within_48_hours(void **state)
{
    (void)state;
    for (int late = 0; late < 2; late++) {
        struct play p;
        play_joined(&p);
        play_pair(&p, 132, 84, 70);
        int64_t week = p.r.week.id;
        play_says(&p, .keyword = KEYWORD_STOP);
        play_wait(&p, 48 * 60 + late);
        play_says(&p, .keyword = KEYWORD_START);
        assert_int_equal(p.r.week.id == week, !late);
        assert_int_equal(p.r.week.number, late ? 2 : 1);
        play_end(&p);
    }
}

static void withdrawing_consent_stops_what_leaves_for_the_clinic(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    play_pair(&p, 132, 84, 70);
    assert_int_equal(play_act(&p, (struct care_action){.kind = ACTION_WITHDRAW}), CARE_DONE);
    assert_int_equal(play_act(&p, (struct care_action){.kind = ACTION_END_WEEK}), CARE_DONE);
    play_wait(&p, 10 * 1440);
    for (size_t i = 0; i < p.n_sent; i++)
        assert_true(p.sent[i].class_ != CLASS_SUMMARY || p.sent[i].state == OUTGOING_CANCELLED);
    play_end(&p);
}

static void a_pause_ends_by_itself_and_its_days_do_not_end_the_week(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    play_pair(&p, 132, 84, 70);
    play_wait(&p, 1440);
    play_says(&p, .news = NEWS_AWAY);
    int64_t from = p.now;
    play_wait(&p, 7 * 1440 - 5);
    assert_int_equal(p.r.person.state, PERSON_PAUSED);
    assert_int_equal(play_count(&p, TEXT_REMIND_MORNING, from), 0);
    assert_int_equal(play_count(&p, TEXT_REMIND_EVENING, from), 0);
    play_wait(&p, 10);
    assert_int_equal(p.r.person.state, PERSON_JOINED);
    assert_int_equal(p.r.week.days_wanted, 14);
    assert_int_equal(p.r.week.paused_days, 7);
    assert_int_equal(p.r.week.state, WEEK_MEASURING);
    play_end(&p);
}

static void a_pause_lasts_until_the_day_that_was_said(void **state)
{
    (void)state;
    static const struct {
        int16_t said, later; /* days; later: said two days on, 0 not */
        int lasts;
        const char *why;
    } rows[] = {
        {0, 0, 7, "no day was said"},     {1, 0, 1, "until tomorrow"},  {3, 0, 3, "until a day"},
        {12, 0, 12, "longer than seven"}, {3, 10, 12, "it takes longer"}, {12, 1, 3, "back sooner"},
        {300, 0, 92, "the longest that a text can pause for"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct play p;
        play_joined(&p);
        int64_t from = p.now;
        play_says(&p, .news = NEWS_AWAY, .away = rows[i].said);
        if (rows[i].later) {
            play_wait(&p, 2 * 1440);
            play_says(&p, .news = NEWS_AWAY, .away = rows[i].later);
        }
        int64_t midnight = civil_instant(&p.r.zone, (struct civil){.day = day_of(&p.r, from) + rows[i].lasts});
        int64_t end = rows[i].said ? midnight : from + 7 * DAYS;
        play_wait(&p, (int)((end - p.now) / 60) - 2);
        bool before = p.r.person.state == PERSON_PAUSED && !play_count(&p, TEXT_REMIND_MORNING, from);
        play_wait(&p, 4);
        if (!before || p.r.person.state != PERSON_JOINED)
            fail_msg("%s: paused before %d, joined after %d", rows[i].why, before, p.r.person.state == PERSON_JOINED);
        play_end(&p);
    }
}

static void a_pause_begins_on_the_day_that_was_said(void **state)
{
    (void)state;
    static const struct {
        int16_t from, until; /* days; until 0: not said */
        int begins, ends;
        bool reading; /* the day before it begins: still at home */
        bool home;    /* "it is off": said before it begins */
        const char *why;
    } rows[] = {
        {2, 5, 2, 5, false, false, "from a day, until a day"},
        {2, 0, 2, 9, false, false, "no end: a week from its first day"},
        {2, 5, 2, 5, true, false, "a reading before it ends nothing"},
        {2, 5, 0, 3, false, true, "said again, now with another beginning"},
        {3, 300, 3, 92, false, false, "the longest that a text can pause for"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct play p;
        play_joined(&p);
        int32_t today = day_of(&p.r, p.now);
        play_says(&p, .news = NEWS_AWAY, .away_from = rows[i].from, .away = rows[i].until);
        play_wait(&p, 2);
        if (rows[i].home)
            play_says(&p, .news = NEWS_AWAY, .away = 3);
        if (rows[i].reading)
            play_pair(&p, 132, 84, 70);
        int64_t begins = civil_instant(&p.r.zone, (struct civil){.day = today + rows[i].begins});
        int64_t ends = civil_instant(&p.r.zone, (struct civil){.day = today + rows[i].ends});
        bool at_home = true;
        if (rows[i].begins) {
            play_wait(&p, (int)((begins - p.now) / 60) - 2);
            at_home = p.r.person.state == PERSON_JOINED && play_count(&p, TEXT_REMIND_MORNING, p.now - DAYS) > 0;
            play_wait(&p, 4);
        }
        bool away = p.r.person.state == PERSON_PAUSED;
        play_wait(&p, (int)((ends - p.now) / 60) - 2);
        away = away && p.r.person.state == PERSON_PAUSED && p.r.course.pause_from == INSTANT_NONE;
        play_wait(&p, 4);
        if (!at_home || !away || p.r.person.state != PERSON_JOINED)
            fail_msg("%s: at home %d, away %d, then state %d", rows[i].why, at_home, away, (int)p.r.person.state);
        play_end(&p);
    }
}

static void a_pause_longer_than_a_week_can_wait_begins_a_new_one(void **state)
{
    (void)state;
    static const struct {
        int16_t days;
        int before; /* days measured before it */
        int16_t number;
        enum week_state then;
        const char *why;
    } rows[] = {
        {9, 1, 1, WEEK_MEASURING, "as long as the week can wait"},
        {10, 1, 2, WEEK_MEASURING, "a day longer: what came before is no one week with what comes after"},
        {30, 1, 2, WEEK_MEASURING, "a month"},
        {30, 6, 1, WEEK_COMPLETE, "enough was measured: it ends as it is"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct play p;
        play_joined(&p);
        for (int d = 0; d < rows[i].before; d++) {
            for (int half = 0; half < 2; half++) {
                play_pair(&p, 132, 84, 70);
                play_wait(&p, 2);
                play_pair(&p, 131, 83, 71);
                play_wait(&p, 718);
            }
        }
        play_says(&p, .news = NEWS_AWAY, .away = rows[i].days);
        play_wait(&p, 1440 * rows[i].days + 5);
        int64_t text = play_pair(&p, 128, 82, 70);
        assert_non_null(play_reply(&p, text));
        if (p.r.week.number != rows[i].number || p.r.week.state != rows[i].then)
            fail_msg("%s: week %d, state %d", rows[i].why, p.r.week.number, p.r.week.state);
        play_end(&p);
    }
}

static void start_after_a_week_that_is_over_begins_another(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    given_short(&p);
    play_says(&p, .keyword = KEYWORD_START);
    assert_int_equal(p.r.week.number, 2);
    assert_true(week_running(&p.r));
    assert_non_null(play_desk(&p, DESK_NEWS));
    play_wait(&p, 5);
    play_says(&p, .keyword = KEYWORD_START); /* and no third */
    assert_int_equal(p.r.week.number, 2);
    play_end(&p);
}

static void strangers_get_one_answer_a_day(void **state)
{
    (void)state;
    struct play p;
    play_begin(&p);
    int64_t text = play_pair(&p, 132, 84, 70);
    assert_int_equal(play_reply(&p, text)->kind, TEXT_UNKNOWN_NUMBER);
    assert_non_null(play_desk(&p, DESK_STRANGER));
    play_wait(&p, 23 * 60);
    text = play_says(&p, .asks = true);
    assert_null(play_reply(&p, text));
    assert_string_equal(play_outcome(&p, text), "unknown number, answered today");
    play_wait(&p, 61);
    text = play_says(&p, .keyword = KEYWORD_HELP);
    assert_non_null(play_reply(&p, text));
    p.r.strangers_hour = 60;
    play_wait(&p, 25 * 60);
    text = play_says(&p, .asks = true);
    assert_null(play_reply(&p, text));
    assert_string_equal(play_outcome(&p, text), "too many unknown numbers this hour");
    play_end(&p);
}

static void under_18_is_refused(void **state)
{
    (void)state;
    static const struct {
        int year, month, day;
        bool may;
    } rows[] = {{2008, 11, 23, true}, {2008, 11, 24, false}, {2008, 12, 1, false}, {1950, 1, 1, true}, {2030, 1, 1, false}};
    const char *why;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct person p = {.born = civil_day(rows[i].year, rows[i].month, rows[i].day)};
        assert_int_equal(care_may_enrol(&p, civil_day(2026, 11, 23), &why), rows[i].may);
        assert_int_equal(why == NULL, rows[i].may);
    }
    struct person unknown = {.born = DAY_NONE};
    assert_true(care_may_enrol(&unknown, civil_day(2026, 11, 23), &why));
}

static void news_reach_the_desk_and_are_answered(void **state)
{
    (void)state;
    static const struct talk rows[] = {
        {"a new number", NULL, {{0, {.news = NEWS_NEW_NUMBER}, .says = TEXT_NEW_NUMBER, .desk = ON_DESK(NEWS)}}},
        {"night work", NULL, {{0, {.news = NEWS_NIGHTS}, .says = TEXT_NIGHTS, .desk = ON_DESK(NEWS)}}},
        {"works days again", NULL, {{0, {.news = NEWS_DAYS}, .says = TEXT_NIGHTS, .desk = ON_DESK(NEWS)}}},
        {"in hospital", NULL, {{0, {.news = NEWS_IN_HOSPITAL}, .says = TEXT_IN_HOSPITAL, .desk = ON_DESK(NEWS)}}},
        {"Spanish", NULL, {{0, {.news = NEWS_ES}, .says = TEXT_LANGUAGE_CHANGED}}},
        {"Spanish, with a reading", NULL, {{0, {.r = {{132, 84}}, .news = NEWS_ES}, .says = TEXT_LANGUAGE_CHANGED, .also = TEXT_GOT}}},
        {"died", NULL, {{0, {.news = NEWS_DIED}, .says = TEXT_NONE, .desk = ON_DESK(DIED)}}},
        {"STOP", NULL, {{0, STOP, .says = TEXT_STOPPED, .desk = ON_DESK(LEFT)}}},
        {"back after STOP", NULL,
         {{0, STOP, .says = TEXT_STOPPED}, {5, START, .says = TEXT_WELCOME_BACK, .gone = ON_DESK(LEFT)}}},
        {"wrong number", NULL,
         {{0, {.keyword = KEYWORD_WRONG_NUMBER}, .says = TEXT_WRONG_NUMBER, .desk = ON_DESK(WRONG_NUMBER)}}},
        {"HELP", NULL, {{0, HELP, .says = TEXT_HELP, .desk = ON_DESK(HELP)}}},
    };
    TALK_THROUGH(rows);
    struct play p;
    play_joined(&p);
    int64_t text = play_says(&p, .news = NEWS_ES);
    assert_string_equal(play_reply(&p, text)->saying.language, "es");
    play_wait(&p, 5);
    text = play_says(&p, .news = NEWS_EN);
    assert_string_equal(play_reply(&p, text)->saying.language, "en");
    play_end(&p);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_table_of_permits_is_that_of_the_contract),
        cmocka_unit_test(the_invitation_asks_and_says_nothing_clinical),
        cmocka_unit_test(who_is_not_sure_is_asked_once_more),
        cmocka_unit_test(no_answer_one_reminder_after_two_days_then_the_desk),
        cmocka_unit_test(readings_before_joining_are_kept_aside_and_taken_up),
        cmocka_unit_test(the_welcome_is_followed_by_the_question_for_arm_and_cuff),
        cmocka_unit_test(what_is_known_of_cuff_and_monitor_is_told_on_joining),
        cmocka_unit_test(each_word_means_one_thing_in_each_state),
        cmocka_unit_test(a_stop_withdraws_all_that_is_unsent),
        cmocka_unit_test(start_is_no_consent_of_one_who_left_before_joining),
        cmocka_unit_test(start_continues_the_week_within_48_hours),
        cmocka_unit_test(withdrawing_consent_stops_what_leaves_for_the_clinic),
        cmocka_unit_test(a_pause_ends_by_itself_and_its_days_do_not_end_the_week),
        cmocka_unit_test(a_pause_lasts_until_the_day_that_was_said),
        cmocka_unit_test(start_after_a_week_that_is_over_begins_another),
        cmocka_unit_test(a_pause_begins_on_the_day_that_was_said),
        cmocka_unit_test(a_pause_longer_than_a_week_can_wait_begins_a_new_one),
        cmocka_unit_test(strangers_get_one_answer_a_day),
        cmocka_unit_test(under_18_is_refused),
        cmocka_unit_test(news_reach_the_desk_and_are_answered),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
