/* Is a reading believable? What is asked, and every way in which a reply settles it.
 *
 * Limits 70-260, 40-150, pulse 30-200 and a pulse pressure of 15-120: commonly used to edit 24-hour recordings, from
 * memory, confirm against the original. Times and the outlier line are ours.
 */
#include "care_talk.h"

#define AT(...) {.r = {__VA_ARGS__}}
#define YES {.keyword = KEYWORD_YES}

/* Two days of four readings each around 132/84, the last on Tuesday at about 20:30. */
static void a_steady_week(struct play *p)
{
    static const int hours[] = {8, 20};
    for (int day = 23; day <= 24; day++)
        for (int h = 0; h < 2; h++) {
            play_to(p, at_local(p, 11, day, hours[h], 10));
            play_pair(p, 132, 84, 70);
            play_wait(p, 4);
            play_pair(p, 134, 85, 71);
        }
    play_to(p, at_local(p, 11, 25, 8, 0));
}

static void a_steady_week_with_af(struct play *p)
{
    a_steady_week(p);
    p->r.person.af = true;
}

static void a_wide_week(struct play *p)
{
    static const int16_t sys[] = {110, 125, 140, 155};
    for (int i = 0; i < 4; i++) {
        play_wait(p, 4);
        play_pair(p, sys[i], 80, 70);
    }
    play_to(p, at_local(p, 11, 23, 20, 0));
}

static void unbelievable_numbers_are_held_and_asked_about(void **state)
{
    (void)state;
    static const struct talk rows[] = {
        {"systolic under 70 is low and asked about", NULL,
         {{0, AT({69, 45}), .says = TEXT_W_LOW, .also = TEXT_Q_DISPLAY, .level = ALERT_URGENT, .cause = "low"}}},
        {"diastolic under 40", NULL, {{0, AT({110, 39}), .says = TEXT_Q_DISPLAY}}},
        {"diastolic 40 is taken", NULL, {{0, AT({110, 40}), .says = TEXT_GOT}}},
        {"pulse under 30 asks to measure again and about the number", NULL,
         {{0, AT({132, 84, 29}), .says = TEXT_W_PULSE, .also = TEXT_Q_DISPLAY}}},
        {"pulse over 200", NULL, {{0, AT({132, 84, 201}), .says = TEXT_W_PULSE, .also = TEXT_Q_DISPLAY}}},
        {"a gap under 15", NULL, {{0, AT({110, 96}), .says = TEXT_Q_DISPLAY}}},
        {"a gap of 15 is taken", NULL, {{0, AT({110, 95}), .says = TEXT_GOT}}},
        {"a gap over 120", NULL, {{0, AT({170, 49}), .says = TEXT_Q_DISPLAY}}},
        {"a gap of 120 is taken", NULL, {{0, AT({170, 50}), .says = TEXT_GOT}}},
        {"a small gap is no outlier with fewer than four readings", NULL,
         {{0, AT({132, 84}), .says = TEXT_GOT}, {3, AT({170, 84}), .says = TEXT_GOT}}},
        {"an outlier: over 30 from a steady median", a_steady_week,
         {{0, AT({164, 85}), .says = TEXT_Q_OUTLIER}}},
        {"30 from it is taken", a_steady_week, {{0, AT({163, 85}), .says = TEXT_GOT}}},
        {"over 20 diastolic", a_steady_week, {{0, AT({133, 106}), .says = TEXT_Q_OUTLIER}}},
        {"in a wide week 3.5 SD is the line", a_wide_week, {{0, AT({178, 90}), .says = TEXT_GOT}}},
        {"atrial fibrillation: 40", a_steady_week_with_af, {{0, AT({173, 85}), .says = TEXT_GOT}}},
        {"atrial fibrillation: over 40", a_steady_week_with_af, {{0, AT({174, 85}), .says = TEXT_Q_OUTLIER}}},
        {"the same three numbers within 3 minutes", NULL,
         {{0, AT({132, 84, 70}), .says = TEXT_GOT}, {2, AT({132, 84, 70}), .says = TEXT_Q_NEW}}},
        {"after 3 minutes they are a measurement", NULL,
         {{0, AT({132, 84, 70}), .says = TEXT_GOT}, {3, AT({132, 84, 70}), .says = TEXT_GOT}}},
        {"another pulse is another measurement", NULL,
         {{0, AT({132, 84, 70}), .says = TEXT_GOT}, {2, AT({132, 84, 71}), .says = TEXT_GOT}}},
        {"within one text they are two", NULL, {{0, AT({132, 84, 70}, {132, 84, 70}), .says = TEXT_GOT}}},
        {"from before day 1", NULL,
         {{0, AT({132, 84}), .says = TEXT_GOT}, {3, AT({130, 82, .day = ON_DAY(-1)}), .says = TEXT_Q_WHEN}}},
        {"in the future", NULL, {{0, AT({132, 84, .day = ON_DAY(0), .clock = CLOCK(9, 0)}), .says = TEXT_Q_WHEN}}},
        {"a clock a little fast is not the future", NULL,
         {{0, AT({132, 84, .day = ON_DAY(0), .clock = CLOCK(8, 10)}), .says = TEXT_GOT}}},
        {"more than three pairs without day or slot", NULL,
         {{0, AT({132, 84}, {130, 82}, {134, 86}, {131, 83}), .says = TEXT_Q_WHICH_DAYS}}},
        {"three are taken", NULL, {{0, AT({132, 84}, {130, 82}, {134, 86}), .says = TEXT_GOT}}},
        {"four with their slots are taken", NULL,
         {{720, AT({132, 84, .slot = SLOT_MORNING}, {130, 82, .slot = SLOT_MORNING},
                   {134, 86, .slot = SLOT_EVENING}, {131, 83, .slot = SLOT_EVENING}), .says = TEXT_GOT}}},
        {"a doubt about a pulse alone asks nothing", NULL,
         {{0, {.r = {{132, 84}}, .d = {{0, 0, 300, .doubt = DOUBT_OUT_OF_RANGE}}}, .says = TEXT_GOT}}},
        {"only the doubtful number is held", NULL,
         {{0, {.r = {{132, 84}}, .d = {{84, 132, .doubt = DOUBT_SWAPPED}}}, .says = TEXT_GOT,
           .also = TEXT_Q_SWAPPED}}},
        {"pairing", NULL, {{0, {.d = {{132, 84, .doubt = DOUBT_PAIRING}}}, .says = TEXT_Q_PAIRING}}},
        {"an uncertain lone number cannot be taken by a YES", NULL,
         {{0, {.d = {{140, 0, .doubt = DOUBT_UNCERTAIN}}}, .says = TEXT_Q_ONE_NUMBER}}},
    };
    TALK_THROUGH(rows);
}

static void yes_counts_the_number_and_no_drops_it(void **state)
{
    (void)state;
    static const struct row {
        const char *why;
        struct heard first;
        bool can; /* a YES can take it */
        int16_t sys, taken;
        int before; /* minutes waited before the answer */
    } rows[] = {
        {"display", AT({110, 39}), true, 110, 110, 5},
        {"swapped: larger over smaller", {.d = {{84, 132, .doubt = DOUBT_SWAPPED}}}, true, 84, 132, 5},
        {"own", {.d = {{140, 85, .doubt = DOUBT_NOT_OWN}}}, true, 140, 140, 5},
        {"uncertain", {.d = {{140, 85, .doubt = DOUBT_UNCERTAIN}}}, true, 140, 140, 5},
        {"out of range", {.d = {{132, 844, .doubt = DOUBT_OUT_OF_RANGE}}}, false, 132, 0, 5},
        {"pairing", {.d = {{132, 130, .doubt = DOUBT_PAIRING}}}, false, 132, 0, 5},
        {"one number", {.d = {{132, 0, .doubt = DOUBT_ONE_NUMBER}}}, false, 132, 0, 5},
        {"unreadable", {.d = {{132, 84, .doubt = DOUBT_UNREADABLE}}}, false, 132, 0, 5},
        {"almost a day later", AT({110, 39}), true, 110, 110, 24 * 60 - 1},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        for (int yes = 0; yes < 2; yes++) {
            struct play p;
            play_joined(&p);
            play_text(&p, &rows[i].first);
            assert_int_equal(play_reading(&p, rows[i].sys)->standing, STANDING_HELD);
            play_wait(&p, rows[i].before);
            int64_t text = yes ? play_says(&p, .keyword = KEYWORD_YES) : play_says(&p, .keyword = KEYWORD_NO);
            const struct outgoing *o = play_reply(&p, text);
            assert_non_null(o);
            if (!yes) {
                assert_int_equal(o->kind, TEXT_DROPPED);
                assert_int_equal(play_reading(&p, rows[i].sys)->standing, STANDING_VOID);
            } else if (rows[i].can) {
                assert_int_equal(o->kind, TEXT_KEPT_AS_WRITTEN);
                assert_int_equal(o->saying.echo[0].sys, rows[i].taken);
                assert_int_equal(play_reading(&p, rows[i].taken)->standing, STANDING_ACCEPTED);
                assert_true(play_reading(&p, rows[i].taken)->confirmed);
            } else {
                assert_int_equal(play_reading(&p, rows[i].sys)->standing, STANDING_HELD);
                assert_true(question_open(&p.r, p.now)); /* the form is asked again */
            }
            play_end(&p);
        }
}

static void swapped_stays_as_written_beside_what_was_taken(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    int64_t text = play_says(&p, .d = {{84, 132, .doubt = DOUBT_SWAPPED}});
    assert_int_equal(play_reply(&p, text)->saying.echo[0].sys, 132); /* asked as it would be taken */
    play_says(&p, .keyword = KEYWORD_YES);
    assert_int_equal(play_reading(&p, 84)->standing, STANDING_REPLACED);
    assert_int_equal(play_reading(&p, 84)->replaced_by, play_reading(&p, 132)->id);
    play_end(&p);
}

static void a_question_ends_after_a_day_and_goes_to_the_desk(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    play_pair(&p, 110, 39, 70);
    assert_null(play_desk(&p, DESK_HELD));
    play_wait(&p, 24 * 60 + 1);
    assert_non_null(play_desk(&p, DESK_HELD));
    assert_int_equal(play_desk(&p, DESK_HELD)->reading, play_reading(&p, 110)->id);
    int64_t text = play_says(&p, .keyword = KEYWORD_YES);
    assert_int_equal(play_reply(&p, text)->kind, TEXT_ALREADY_JOINED);
    assert_int_equal(play_reading(&p, 110)->standing, STANDING_HELD);
    struct care_action accept = {.kind = ACTION_ACCEPT, .id = play_reading(&p, 110)->id, .version = -1,
                                 .note = "seen on the display at a visit"};
    assert_int_equal(play_act(&p, accept), CARE_DONE);
    assert_int_equal(play_reading(&p, 110)->standing, STANDING_ACCEPTED);
    assert_null(play_desk(&p, DESK_HELD)); /* settled rows close themselves */
    play_end(&p);
}

static void only_the_newest_question_is_open(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    play_pair(&p, 110, 39, 70);
    play_wait(&p, 70);
    play_pair(&p, 120, 38, 70);
    assert_int_equal(play_desk(&p, DESK_HELD)->reading, play_reading(&p, 110)->id);
    play_says(&p, .keyword = KEYWORD_YES);
    assert_int_equal(play_reading(&p, 120)->standing, STANDING_ACCEPTED);
    assert_int_equal(play_reading(&p, 110)->standing, STANDING_HELD);
    play_end(&p);
}

static void new_numbers_answer_within_the_hour_unless_they_are_of_another_time(void **state)
{
    (void)state;
    static const struct row {
        const char *why;
        struct heard first, second;
        int after;
        bool answers, asked_for;
        enum standing old;
    } rows[] = {
        {"a believable measurement stands beside the held one", AT({110, 39}), AT({112, 70}), 59, true, true,
         STANDING_HELD},
        {"an hour later it is a reading of its own", AT({110, 39}), AT({112, 70}), 60, false, false, STANDING_HELD},
        {"of another slot: its own", AT({110, 39}), AT({112, 70, .slot = SLOT_EVENING, .day = ON_DAY(-1)}), 5, false, false,
         STANDING_HELD},
        {"of another time: its own", AT({110, 39}), AT({112, 70, .clock = CLOCK(8, 3)}), 5, false, false,
         STANDING_HELD},
        {"the same slot named: an answer", AT({110, 39}), AT({112, 70, .slot = SLOT_MORNING}), 5, true, true,
         STANDING_HELD},
        {"the form was asked for: the clear numbers replace", {.d = {{132, 844, .doubt = DOUBT_OUT_OF_RANGE}}},
         AT({132, 84}), 5, true, false, STANDING_REPLACED},
        {"swapped, sent again in order", {.d = {{84, 132, .doubt = DOUBT_SWAPPED}}}, AT({132, 84}), 5, true, false,
         STANDING_REPLACED},
        {"own? a number of their own", {.d = {{150, 90, .doubt = DOUBT_NOT_OWN}}}, AT({132, 84}), 5, true, false,
         STANDING_REPLACED},
        {"when? other numbers say nothing about it", AT({132, 84, .day = ON_DAY(0), .clock = CLOCK(9, 0)}),
         AT({128, 80}), 5, false, false, STANDING_HELD},
        {"new? new numbers stand beside", AT({110, 39}), AT({131, 83}), 5, true, true, STANDING_HELD},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct play p;
        play_joined(&p);
        int64_t first = play_text(&p, &rows[i].first);
        play_wait(&p, rows[i].after);
        int64_t second = play_text(&p, &rows[i].second);
        const struct reading *old = NULL, *new_ = NULL;
        for (size_t k = 0; k < p.r.n_readings; k++) {
            old = p.r.readings[k].text == first ? &p.r.readings[k] : old;
            new_ = p.r.readings[k].text == second ? &p.r.readings[k] : new_;
        }
        if (old->standing != rows[i].old || new_->asked_for != rows[i].asked_for ||
            (p.r.course.question.kind == QUESTION_NONE) != rows[i].answers)
            fail_msg("%s: standing %d, asked for %d, question %d", rows[i].why, (int)old->standing, new_->asked_for,
                     (int)p.r.course.question.kind);
        play_end(&p);
    }
}

#define FOUR {132, 84}, {130, 82}, {134, 86}, {131, 83}
#define LATER {132, 84, .day = ON_DAY(0), .clock = CLOCK(9, 0)} /* an hour from now */

/* Rows that were held are put where the answer says; no row is made, and nothing is asked about as a repeat. */
static void when_and_which_days_are_answered_in_place(void **state)
{
    (void)state;
    enum { YESTERDAY = -1, TODAY = 0 };
    static const struct row {
        const char *why;
        struct heard first, answer;
        int after;                /* minutes */
        enum text_kind says;
        unsigned accepted, rows;  /* in all, after it */
        int day, slot, minute;    /* of the first row; minute -1: not checked */
        bool open;                /* the question stays */
    } rows[] = {
        {"yesterday morning, all of them", AT(FOUR), {.when = {120, 80, .day = ON_DAY(-1), .slot = SLOT_MORNING}}, 2,
         TEXT_GOT, 4, 4, YESTERDAY, SLOT_MORNING, -1, false},
        {"today: the slot is that of when they came", AT(FOUR), {.when = {120, 80, .day = ON_DAY(0)}}, 2,
         TEXT_GOT, 4, 4, TODAY, SLOT_MORNING, -1, false},
        {"a clock time", AT(FOUR), {.when = {120, 80, .clock = CLOCK(7, 10)}}, 2, TEXT_GOT, 4, 4, TODAY,
         SLOT_MORNING, 7 * 60 + 10, false},
        {"hours later, the same day", AT(FOUR), {.when = {120, 80, .day = ON_DAY(-1), .slot = SLOT_EVENING}}, 600,
         TEXT_GOT, 4, 4, YESTERDAY, SLOT_EVENING, -1, false},
        {"after they were sent cannot be: asked again", AT(FOUR), {.when = {120, 80, .day = ON_DAY(0), .slot = SLOT_EVENING}},
         2, TEXT_Q_WHICH_DAYS, 0, 4, TODAY, SLOT_MORNING, -1, true},
        {"the same numbers, each with its day, within three minutes", AT(FOUR),
         AT({132, 84, .day = ON_DAY(-1), .slot = SLOT_EVENING}, {130, 82, .day = ON_DAY(-1), .slot = SLOT_EVENING},
            {134, 86, .day = ON_DAY(0), .slot = SLOT_MORNING}, {131, 83, .day = ON_DAY(0), .slot = SLOT_MORNING}), 2,
         TEXT_GOT, 4, 4, YESTERDAY, SLOT_EVENING, -1, false},
        {"two of the four: the others stay asked about", AT(FOUR),
         AT({132, 84, .day = ON_DAY(-1), .slot = SLOT_EVENING}, {130, 82, .day = ON_DAY(-1), .slot = SLOT_EVENING}), 2,
         TEXT_GOT, 2, 4, YESTERDAY, SLOT_EVENING, -1, true},
        {"a new one beside the answer is taken too", AT(FOUR),
         AT({132, 84, .day = ON_DAY(-1), .slot = SLOT_EVENING}, {127, 79, .day = ON_DAY(0), .slot = SLOT_MORNING}), 2,
         TEXT_GOT, 2, 5, YESTERDAY, SLOT_EVENING, -1, true},
        {"the same numbers without a day answer nothing", AT(FOUR), AT({132, 84}), 2, TEXT_Q_WHICH_DAYS, 0, 4, TODAY,
         SLOT_MORNING, -1, true},
        {"when? a bare time", AT(LATER), {.when = {120, 80, .day = ON_DAY(0), .clock = CLOCK(7, 45)}}, 2,
         TEXT_GOT, 1, 1, TODAY, SLOT_MORNING, 7 * 60 + 45, false},
        {"when? the number with its time", AT(LATER), AT({132, 84, .day = ON_DAY(0), .clock = CLOCK(7, 45)}), 2,
         TEXT_GOT, 1, 1, TODAY, SLOT_MORNING, 7 * 60 + 45, false},
        {"when? still in the future", AT(LATER), {.when = {120, 80, .day = ON_DAY(0), .clock = CLOCK(8, 55)}}, 2,
         TEXT_Q_WHEN, 0, 1, TODAY, SLOT_MORNING, 9 * 60, true},
        {"after a day it answers nothing", AT(FOUR), {.when = {120, 80, .day = ON_DAY(-1)}, .wordless = true}, 24 * 60 + 1,
         TEXT_NOT_UNDERSTOOD, 0, 4, TODAY, SLOT_MORNING, -1, false},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct play p;
        unsigned accepted = 0;
        play_joined(&p);
        int32_t today = day_of(&p.r, p.now);
        play_text(&p, &rows[i].first);
        int64_t id = p.r.readings[0].id;
        play_wait(&p, rows[i].after);
        int64_t text = play_text(&p, &rows[i].answer);
        for (size_t k = 0; k < p.r.n_readings; k++)
            accepted += p.r.readings[k].standing == STANDING_ACCEPTED;
        const struct reading *x = reading_of(&p.r, id);
        const struct outgoing *o = play_reply(&p, text);
        if (!o || !say_has(&o->saying, rows[i].says) || accepted != rows[i].accepted || p.r.n_readings != rows[i].rows)
            fail_msg("%s: %s, %u accepted of %zu", rows[i].why, o ? text_kind_name(o->kind) : play_outcome(&p, text),
                     accepted, p.r.n_readings);
        if (x->day - today != rows[i].day || x->slot != rows[i].slot || (rows[i].minute >= 0 && x->minute != rows[i].minute))
            fail_msg("%s: day %d, slot %d, minute %d", rows[i].why, x->day - today, x->slot, x->minute);
        if (question_open(&p.r, p.now) != rows[i].open)
            fail_msg("%s: question %d", rows[i].why, (int)p.r.course.question.kind);
        play_end(&p);
    }
}

/* What was worried about when it came is not worried about again because its day is known now. */
static void a_day_told_later_is_no_second_severe_reading(void **state)
{
    (void)state;
    static const struct talk rows[] = {
        {"by a bare day", NULL,
         {{0, AT({190, 100}, {150, 90}, {148, 88}, {146, 86}), .says = TEXT_W_SEVERE_OLD, .also = TEXT_Q_WHICH_DAYS},
          {2, {.when = {120, 80, .day = ON_DAY(-1)}}, .says = TEXT_GOT, .desk = ON_DESK(SEVERE)}}},
        {"a number that cannot be right stays for the desk", NULL,
         {{0, AT({132, 84}, {130, 82}, {134, 86}, {110, 38}), .says = TEXT_Q_WHICH_DAYS},
          {2, {.when = {120, 80, .day = ON_DAY(-1)}}, .says = TEXT_GOT, .desk = ON_DESK(HELD)}}},
        {"only from before day 1: thanked, and at the desk", NULL,
         {{0, AT({128, 78}), .says = TEXT_GOT},
          {5, AT(FOUR), .says = TEXT_Q_WHICH_DAYS},
          {5, {.when = {120, 80, .day = ON_DAY(-2)}}, .says = TEXT_THANKS, .desk = ON_DESK(HELD)}}},
    };
    TALK_THROUGH(rows);
}

static void a_low_diastolic_confirmed_once_is_not_asked_again_that_week(void **state)
{
    (void)state;
    static const struct talk rows[] = {
        {"once", NULL,
         {{0, AT({110, 39}), .says = TEXT_Q_DISPLAY},
          {5, YES, .says = TEXT_KEPT_AS_WRITTEN},
          {5, AT({112, 38}), .says = TEXT_GOT},
          {700, AT({108, 37}), .says = TEXT_GOT}}},
        {"a high one is another matter", NULL,
         {{0, AT({110, 39}), .says = TEXT_Q_DISPLAY},
          {5, YES, .says = TEXT_KEPT_AS_WRITTEN},
          {5, AT({175, 151}), .says = TEXT_W_VERY_HIGH, .also = TEXT_Q_DISPLAY, .level = ALERT_URGENT,
           .cause = "very_high"}}},
    };
    TALK_THROUGH(rows);
}

static void corrections_replace_and_voids_drop(void **state)
{
    (void)state;
    static const struct row {
        const char *why;
        struct heard first, second;
        enum text_kind says;
        int16_t old;
        enum standing standing;
        int16_t fresh; /* accepted after it; 0 none */
    } rows[] = {
        {"not 182/82", AT({172, 82}), {.r = {{132, 82}}, .rejected = {{172, 82}}, .amend = AMEND_CORRECT},
         TEXT_CORRECTED, 172, STANDING_REPLACED, 132},
        {"one number of it named", AT({172, 82}), {.r = {{132, 82}}, .rejected = {{172}}, .amend = AMEND_CORRECT},
         TEXT_CORRECTED, 172, STANDING_REPLACED, 132},
        {"the pulse named", AT({142, 82, 170}), {.r = {{142, 82, 70}}, .rejected = {{0, 0, 170}}, .amend = AMEND_CORRECT},
         TEXT_CORRECTED, 142, STANDING_ACCEPTED, 142},
        {"none named: the only one of the last text", AT({172, 82}), {.r = {{132, 82}}, .amend = AMEND_CORRECT},
         TEXT_CORRECTED, 172, STANDING_REPLACED, 132},
        {"two of two", AT({172, 82}, {170, 84}), {.r = {{132, 82}, {130, 84}}, .amend = AMEND_CORRECT},
         TEXT_CORRECTED, 172, STANDING_REPLACED, 130},
        {"one of two: which?", AT({172, 82}, {140, 84}), {.r = {{132, 82}}, .amend = AMEND_CORRECT},
         TEXT_Q_WHICH_READING, 172, STANDING_ACCEPTED, 0},
        {"void", AT({172, 82}), {.amend = AMEND_VOID}, TEXT_DROPPED, 172, STANDING_VOID, 0},
        {"void of a named one", AT({172, 82}, {140, 84}), {.amend = AMEND_VOID, .rejected = {{172, 82}}}, TEXT_DROPPED, 172,
         STANDING_VOID, 140},
        {"void of one of two: which?", AT({172, 82}, {140, 84}), {.amend = AMEND_VOID}, TEXT_Q_WHICH_READING, 172,
         STANDING_ACCEPTED, 0},
        {"a correction that is held itself", AT({142, 82}), {.r = {{142, 32}}, .amend = AMEND_CORRECT}, TEXT_Q_DISPLAY,
         142, STANDING_HELD, 0},
        {"a correction without a number", AT({142, 82}), {.amend = AMEND_CORRECT}, TEXT_NOTHING_TO_CHANGE, 142,
         STANDING_ACCEPTED, 0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct play p;
        play_joined(&p);
        play_text(&p, &rows[i].first);
        play_wait(&p, 5);
        int64_t text = play_text(&p, &rows[i].second);
        const struct outgoing *o = play_reply(&p, text);
        if (!o || !say_has(&o->saying, rows[i].says) || play_reading(&p, rows[i].old)->standing != rows[i].standing)
            fail_msg("%s: %s, standing %d", rows[i].why, o ? text_kind_name(o->kind) : play_outcome(&p, text),
                     (int)play_reading(&p, rows[i].old)->standing);
        if (rows[i].fresh)
            assert_int_equal(play_reading(&p, rows[i].fresh)->standing, STANDING_ACCEPTED);
        play_end(&p);
    }
}

static void a_correction_keeps_the_place_of_what_it_replaces(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    play_pair(&p, 172, 82, 70);
    int64_t at = play_reading(&p, 172)->at;
    play_to(&p, at_local(&p, 11, 23, 17, 0));
    play_says(&p, .r = {{132, 82}}, .rejected = {{172, 82}}, .amend = AMEND_CORRECT);
    assert_int_equal(play_reading(&p, 132)->at, at);
    assert_int_equal(play_reading(&p, 132)->slot, SLOT_MORNING);
    assert_int_equal(play_reading(&p, 172)->replaced_by, play_reading(&p, 132)->id);
    play_says(&p, .r = {{128, 80, .slot = SLOT_EVENING}}, .rejected = {{132, 82}}, .amend = AMEND_CORRECT);
    assert_int_equal(play_reading(&p, 128)->slot, SLOT_EVENING); /* unless it names another */
    play_end(&p);
}

static void what_is_taken_back_waits_until_it_is_known_what_is_right(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    play_pair(&p, 172, 82, 70);
    play_wait(&p, 5);
    /* "128 not 172" */
    int64_t text = play_says(&p, .d = {{128, 0, .doubt = DOUBT_ONE_NUMBER}}, .rejected = {{172}}, .amend = AMEND_CORRECT);
    assert_true(say_has(&play_reply(&p, text)->saying, TEXT_Q_ONE_NUMBER));
    assert_int_equal(play_reading(&p, 172)->standing, STANDING_HELD); /* never counted meanwhile */
    play_wait(&p, 5);
    play_pair(&p, 128, 82, 70);
    assert_int_equal(play_reading(&p, 172)->standing, STANDING_REPLACED);
    for (size_t i = 0; i < p.r.n_readings; i++)
        assert_true(p.r.readings[i].sys != 128 || p.r.readings[i].dia == 82 ?
                    p.r.readings[i].standing != STANDING_HELD : p.r.readings[i].standing == STANDING_REPLACED);
    play_end(&p);
}

static void which_reading_is_answered_by_its_numbers(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    play_says(&p, .r = {{172, 82}, {140, 84}});
    play_wait(&p, 5);
    play_says(&p, .r = {{132, 82}}, .amend = AMEND_CORRECT);
    play_wait(&p, 5);
    int64_t text = play_says(&p, .r = {{172, 82}});
    assert_int_equal(play_reply(&p, text)->kind, TEXT_CORRECTED);
    assert_int_equal(play_reading(&p, 172)->standing, STANDING_REPLACED);
    assert_int_equal(play_reading(&p, 132)->standing, STANDING_ACCEPTED);
    play_end(&p);

    play_joined(&p);
    play_says(&p, .r = {{172, 82}, {140, 84}});
    play_wait(&p, 5);
    play_says(&p, .amend = AMEND_VOID);
    play_wait(&p, 5);
    text = play_says(&p, .r = {{172, 82}});
    assert_int_equal(play_reply(&p, text)->kind, TEXT_DROPPED);
    assert_int_equal(play_reading(&p, 172)->standing, STANDING_VOID);
    assert_int_equal(play_reading(&p, 140)->standing, STANDING_ACCEPTED);
    play_end(&p);
}

static void not_understood_twice_a_person_looks(void **state)
{
    (void)state;
    static const struct talk rows[] = {
        {"gibberish twice", NULL,
         {{0, {.wordless = true}, .says = TEXT_NOT_UNDERSTOOD, .gone = ON_DESK(UNREADABLE)},
          {3, {.wordless = true}, .says = TEXT_PERSON_WILL_LOOK, .desk = ON_DESK(UNREADABLE)}}},
        {"a picture, then a garbled number", NULL,
         {{0, {.picture = true}, .says = TEXT_NOT_UNDERSTOOD},
          {3, {.doubt = DOUBT_UNREADABLE}, .says = TEXT_PERSON_WILL_LOOK}}},
        {"the form asked for twice", NULL,
         {{0, {.d = {{13, 84, .doubt = DOUBT_OUT_OF_RANGE}}}, .says = TEXT_Q_OUT_OF_RANGE},
          {3, {.d = {{132, 844, .doubt = DOUBT_OUT_OF_RANGE}}}, .says = TEXT_PERSON_WILL_LOOK,
           .desk = ON_DESK(UNREADABLE)}}},
        {"a reading between the two", NULL,
         {{0, {.wordless = true}, .says = TEXT_NOT_UNDERSTOOD},
          {3, AT({132, 84}), .says = TEXT_GOT},
          {3, {.wordless = true}, .says = TEXT_NOT_UNDERSTOOD}}},
        {"another language: whom to ring, then the form", NULL,
         {{0, {.foreign = true}, .says = TEXT_HELP, .desk = ON_DESK(UNREADABLE)},
          {5, {.foreign = true}, .says = TEXT_NOT_UNDERSTOOD}}},
        {"a lone pulse", NULL,
         {{0, {.d = {{0, 0, 71, .doubt = DOUBT_ONE_NUMBER}}}, .says = TEXT_NOT_UNDERSTOOD}}},
        {"thanks are thanked for, once an hour", NULL,
         {{0, {.asks = false, .temp = 0}, .says = TEXT_THANKS}, {30, {.temp = 0}, .says = TEXT_NONE}}},
    };
    TALK_THROUGH(rows);
}

static void three_questions_at_once_ask_one_and_the_rest_stands_on_the_desk(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    int64_t text = play_says(&p, .r = {{110, 39}}, .d = {{84, 132, .doubt = DOUBT_SWAPPED}});
    assert_true(say_has(&play_reply(&p, text)->saying, TEXT_Q_SWAPPED));
    assert_int_equal(play_desk(&p, DESK_HELD)->reading, play_reading(&p, 110)->id);
    play_end(&p);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(unbelievable_numbers_are_held_and_asked_about),
        cmocka_unit_test(yes_counts_the_number_and_no_drops_it),
        cmocka_unit_test(swapped_stays_as_written_beside_what_was_taken),
        cmocka_unit_test(a_question_ends_after_a_day_and_goes_to_the_desk),
        cmocka_unit_test(only_the_newest_question_is_open),
        cmocka_unit_test(new_numbers_answer_within_the_hour_unless_they_are_of_another_time),
        cmocka_unit_test(when_and_which_days_are_answered_in_place),
        cmocka_unit_test(a_day_told_later_is_no_second_severe_reading),
        cmocka_unit_test(a_low_diastolic_confirmed_once_is_not_asked_again_that_week),
        cmocka_unit_test(corrections_replace_and_voids_drop),
        cmocka_unit_test(a_correction_keeps_the_place_of_what_it_replaces),
        cmocka_unit_test(what_is_taken_back_waits_until_it_is_known_what_is_right),
        cmocka_unit_test(which_reading_is_answered_by_its_numbers),
        cmocka_unit_test(not_understood_twice_a_person_looks),
        cmocka_unit_test(three_questions_at_once_ask_one_and_the_rest_stands_on_the_desk),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
