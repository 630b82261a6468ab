/* Worry: every row of the table, on certain and doubtful numbers, whoever sends it.
 *
 * Lines: severe 180/120 (NICE NG136; AHA); pregnancy 140/90 and 160/110 (NICE NG133); low and pulse from early-warning
 * scores, from memory, confirm against the original; 220/130 and all times are ours.
 */
#include "care_talk.h"

#define AT(...) {.r = {__VA_ARGS__}}

static void pregnant(struct play *p)
{
    p->r.person.pregnant = true;
}

static void six_weeks_after_birth(struct play *p)
{
    p->r.person.birth = civil_day(2026, 11, 23) - 42;
}

static void seven_weeks_after_birth(struct play *p)
{
    p->r.person.birth = civil_day(2026, 11, 23) - 49;
}

static void passed_counts(struct play *p)
{
    p->r.protocol.severe_either_at = false;
}

static void in_the_night(struct play *p)
{
    play_to(p, at_local(p, 11, 24, 3, 0));
}

static void nobody_on_call(struct play *p)
{
    in_the_night(p);
    p->clinic.alert_out_of_hours[0][0] = '\0';
}

static void a_red_flag_is_answered_and_alerted_at_once(void **state)
{
    (void)state;
    static const uint32_t red[] = {FLAG_BLEEDING, FLAG_BREATHLESS, FLAG_CHEST_PAIN, FLAG_CONFUSION, FLAG_EMERGENCY,
                                   FLAG_FAINT, FLAG_HEADACHE, FLAG_SEIZURE, FLAG_SPEECH, FLAG_SWELLING_FACE,
                                   FLAG_TEARING_PAIN, FLAG_VISION, FLAG_WEAKNESS};
    for (size_t i = 0; i < sizeof red / sizeof *red; i++) {
        struct talk row = {"each red flag is an emergency by its own name", NULL,
                           {{0, {.flags = red[i]}, .says = TEXT_W_FLAG, .level = ALERT_EMERGENCY,
                             .cause = flag_name((unsigned)__builtin_ctz(red[i]))}}};
        talk_through(&row, 1);
    }
    static const struct talk rows[] = {
        {"beside a reading that is well", NULL,
         {{0, {.r = {{132, 84}}, .flags = FLAG_CHEST_PAIN}, .says = TEXT_W_FLAG, .level = ALERT_EMERGENCY,
           .cause = "chest_pain"}}},
        {"beside a doubtful number: no question, the desk", NULL,
         {{0, {.d = {{84, 132, .doubt = DOUBT_SWAPPED}}, .flags = FLAG_CHEST_PAIN}, .says = TEXT_W_FLAG,
           .level = ALERT_EMERGENCY, .cause = "chest_pain", .desk = ON_DESK(HELD)}}},
        {"over a week old: the same reply, the desk only", NULL,
         {{0, {.past = FLAG_CHEST_PAIN}, .says = TEXT_W_FLAG, .desk = ON_DESK(FLAG_PAST)}}},
        {"in the night too", in_the_night,
         {{0, {.flags = FLAG_SPEECH}, .says = TEXT_W_FLAG, .level = ALERT_EMERGENCY, .cause = "speech"}}},
        {"a second flag joins while the alert is open", NULL,
         {{0, {.flags = FLAG_SPEECH}, .says = TEXT_W_FLAG, .level = ALERT_EMERGENCY, .cause = "speech"},
          {5, {.flags = FLAG_WEAKNESS}, .says = TEXT_W_FLAG}}},
        {"a warning sign of pregnancy from one not known to be pregnant", NULL,
         {{0, {.flags = FLAG_PREGNANCY_SIGN}, .says = TEXT_W_FLAG, .level = ALERT_EMERGENCY,
           .cause = "pregnancy_sign"}}},
    };
    TALK_THROUGH(rows);
}

static void severe_with_a_red_flag_is_an_emergency_in_either_order(void **state)
{
    (void)state;
    static const struct talk rows[] = {
        {"in one text", NULL,
         {{0, {.r = {{190, 100}}, .flags = FLAG_HEADACHE}, .says = TEXT_W_SEVERE_FLAG, .level = ALERT_EMERGENCY,
           .cause = "headache"}}},
        {"the flag first, the number within the hour", NULL,
         {{0, {.flags = FLAG_HEADACHE}, .says = TEXT_W_FLAG, .level = ALERT_EMERGENCY, .cause = "headache"},
          {59, AT({190, 100}), .says = TEXT_W_SEVERE_FLAG}}},
        {"the number first, the flag within the hour", NULL,
         {{0, AT({190, 100}), .says = TEXT_W_SEVERE},
          {10, {.flags = FLAG_VISION}, .says = TEXT_W_SEVERE_FLAG, .level = ALERT_EMERGENCY, .cause = "vision"}}},
        {"a doubtful severe number with a flag", NULL,
         {{0, {.d = {{190, 100, .doubt = DOUBT_UNCERTAIN}}, .flags = FLAG_VISION}, .says = TEXT_W_SEVERE_FLAG,
           .level = ALERT_EMERGENCY, .cause = "vision"}}},
    };
    TALK_THROUGH(rows);
}

static void severe_asks_for_a_repeat_and_follows_up(void **state)
{
    (void)state;
    static const struct talk rows[] = {
        {"the line is reached: systolic", NULL,
         {{0, AT({180, 80}), .says = TEXT_W_SEVERE, .also = TEXT_GOT, .desk = ON_DESK(SEVERE)}}},
        {"the line is reached: diastolic", NULL, {{0, AT({150, 120}), .says = TEXT_W_SEVERE}}},
        {"one below the line is ordinary", NULL, {{0, AT({179, 119}), .says = TEXT_GOT}}},
        {"where passing counts, reaching does not", passed_counts, {{0, AT({180, 120}), .says = TEXT_GOT}}},
        {"where passing counts, passing does", passed_counts, {{0, AT({181, 90}), .says = TEXT_W_SEVERE}}},
        {"the next one severe too", NULL,
         {{0, AT({185, 100}), .says = TEXT_W_SEVERE},
          {6, AT({182, 98}), .says = TEXT_W_SEVERE_AGAIN, .level = ALERT_URGENT, .cause = "severe",
           .gone = ON_DESK(SEVERE)}}},
        {"two in one text", NULL,
         {{0, AT({185, 100}, {182, 98}), .says = TEXT_W_SEVERE_AGAIN, .level = ALERT_URGENT, .cause = "severe"}}},
        {"a severe one and a lower one in one text", NULL,
         {{0, AT({185, 100}, {150, 90}), .says = TEXT_W_CAME_DOWN, .desk = ON_DESK(CAME_DOWN)}}},
        {"no repeat: a text at 15 minutes, urgent at 30", NULL,
         {{0, AT({185, 100}), .says = TEXT_W_SEVERE},
          {14, .only_wait = true, .says = TEXT_NONE},
          {1, .only_wait = true, .says = TEXT_W_REPEAT_NOW},
          {15, .only_wait = true, .says = TEXT_NONE, .level = ALERT_URGENT, .cause = "no_repeat"}}},
        {"a repeat after the alert still settles", NULL,
         {{0, AT({185, 100}), .says = TEXT_W_SEVERE},
          {31, .only_wait = true, .says = TEXT_W_REPEAT_NOW, .level = ALERT_URGENT, .cause = "no_repeat"},
          {5, AT({150, 90}), .says = TEXT_W_CAME_DOWN, .gone = ON_DESK(SEVERE)}}},
        {"a repeat below the line", NULL,
         {{0, AT({185, 100}), .says = TEXT_W_SEVERE},
          {6, AT({150, 90}), .says = TEXT_W_CAME_DOWN, .desk = ON_DESK(CAME_DOWN), .gone = ON_DESK(SEVERE)},
          {40, .only_wait = true, .says = TEXT_NONE}}},
        {"the second such sitting this week", NULL,
         {{0, AT({185, 100}), .says = TEXT_W_SEVERE},
          {6, AT({150, 90}), .says = TEXT_W_CAME_DOWN},
          {600, AT({185, 100}), .says = TEXT_W_SEVERE},
          {6, AT({150, 90}), .says = TEXT_W_CAME_DOWN_AGAIN, .level = ALERT_URGENT, .cause = "came_down_again"}}},
        {"more severe ones within 12 hours: kept; once, no need to keep measuring", NULL,
         {{0, AT({185, 100}), .says = TEXT_W_SEVERE},
          {6, AT({182, 98}), .says = TEXT_W_SEVERE_AGAIN, .level = ALERT_URGENT, .cause = "severe"},
          {6, AT({184, 98}), .says = TEXT_W_NO_NEED},
          {6, AT({186, 98}), .says = TEXT_W_KEPT},
          {300, AT({188, 98}), .says = TEXT_W_KEPT}}},
        {"a remark is no repeat", NULL,
         {{0, AT({185, 100}), .says = TEXT_W_SEVERE},
          {6, {.asks = true}, .says = TEXT_HELP_NOW},
          {9, .only_wait = true, .says = TEXT_W_REPEAT_NOW}}},
        {"a red flag after it ends its timer: told to ring, nobody is asked to measure again", NULL,
         {{0, AT({195, 118}), .says = TEXT_W_SEVERE},
          {2, {.flags = FLAG_CHEST_PAIN}, .says = TEXT_W_SEVERE_FLAG, .level = ALERT_EMERGENCY, .cause = "chest_pain"},
          {40, .only_wait = true, .says = TEXT_NONE}}},
        {"while it waits nobody is thanked for a remark", NULL,
         {{0, AT({195, 118}), .says = TEXT_W_SEVERE}, {2, {.technique = TECHNIQUE_MONITOR_ERROR}, .says = TEXT_HELP_NOW}}},
        {"a correction that is severe too is still the first", NULL,
         {{0, AT({190, 100}), .says = TEXT_W_SEVERE},
          {2, {.r = {{186, 100}}, .amend = AMEND_CORRECT, .rejected = {{190, 100}}}, .says = TEXT_W_SEVERE},
          {6, AT({184, 99}), .says = TEXT_W_SEVERE_AGAIN, .level = ALERT_URGENT, .cause = "severe"}}},
        {"of two severe ones the first is dropped: the timer is the other's", NULL,
         {{240, AT({262, 110}), .says = TEXT_W_VERY_HIGH, .also = TEXT_Q_DISPLAY, .level = ALERT_URGENT,
           .cause = "very_high"},
          {1, AT({190, 100, .clock = CLOCK(8, 30)}), .says = TEXT_W_SEVERE_OLD},
          {1, {.keyword = KEYWORD_NO}, .says = TEXT_DROPPED, .desk = ON_DESK(SEVERE)}}},
        {"very high: urgent at once", NULL,
         {{0, AT({220, 100}), .says = TEXT_W_VERY_HIGH, .level = ALERT_URGENT, .cause = "very_high"}}},
        {"very high diastolic", NULL,
         {{0, AT({170, 130}), .says = TEXT_W_VERY_HIGH, .level = ALERT_URGENT, .cause = "very_high"}}},
        {"219/129 waits for its repeat", NULL, {{0, AT({219, 129}), .says = TEXT_W_SEVERE}}},
        {"over two hours old at receipt: please measure now", NULL,
         {{180, AT({185, 100, .clock = CLOCK(8, 30)}), .says = TEXT_W_SEVERE_OLD},
          {31, .only_wait = true, .says = TEXT_W_REPEAT_NOW, .level = ALERT_URGENT, .cause = "no_repeat"}}},
        {"an old one does not answer for now", NULL,
         {{240, AT({185, 100}), .says = TEXT_W_SEVERE},
          {5, AT({140, 80, .clock = CLOCK(8, 30)}), .says = TEXT_GOT},
          {26, .only_wait = true, .says = TEXT_W_REPEAT_NOW, .level = ALERT_URGENT, .cause = "no_repeat"}}},
        {"a severe reading outside the believable is worried about and asked about", NULL,
         {{0, AT({262, 120}), .says = TEXT_W_VERY_HIGH, .also = TEXT_Q_DISPLAY, .level = ALERT_URGENT,
           .cause = "very_high"}}},
        {"in the night: worry ignores quiet hours", in_the_night, {{0, AT({185, 100}), .says = TEXT_W_SEVERE}}},
    };
    TALK_THROUGH(rows);
}

static void low_pressure_and_odd_pulse_are_followed_up(void **state)
{
    (void)state;
    static const struct talk rows[] = {
        {"under 80", NULL, {{0, AT({79, 50}), .says = TEXT_W_LOW, .level = ALERT_URGENT, .cause = "low"}}},
        {"80 is checked first", NULL, {{0, AT({80, 50}), .says = TEXT_W_LOW_CHECK, .desk = ON_DESK(LOW)}}},
        {"90 with a flag", NULL,
         {{0, {.r = {{90, 60}}, .flags = FLAG_PALPITATIONS}, .says = TEXT_W_LOW, .level = ALERT_URGENT,
           .cause = "low"}}},
        {"99 with dizzy", NULL,
         {{0, {.r = {{99, 60}}, .flags = FLAG_DIZZY}, .says = TEXT_W_LOW, .level = ALERT_URGENT, .cause = "low",
           .desk = ON_DESK(SYMPTOM)}}},
        {"dizzy within the hour after it", NULL,
         {{0, AT({95, 60}), .says = TEXT_GOT},
          {50, {.flags = FLAG_DIZZY}, .says = TEXT_W_LOW, .level = ALERT_URGENT, .cause = "low"}}},
        {"dizzy within the hour before it", NULL,
         {{0, {.flags = FLAG_DIZZY}, .says = TEXT_W_SYMPTOM},
          {50, AT({95, 60}), .says = TEXT_W_LOW, .level = ALERT_URGENT, .cause = "low"}}},
        {"dizzy more than an hour after it", NULL,
         {{0, AT({95, 60}), .says = TEXT_GOT},
          {61, {.flags = FLAG_DIZZY}, .says = TEXT_W_SYMPTOM}}},
        {"dizzy, and the newest is well", NULL,
         {{0, AT({95, 60}), .says = TEXT_GOT}, {5, AT({124, 70}), .says = TEXT_GOT},
          {5, {.flags = FLAG_DIZZY}, .says = TEXT_W_SYMPTOM}}},
        {"100 with dizzy is a symptom", NULL,
         {{0, {.r = {{100, 60}}, .flags = FLAG_DIZZY}, .says = TEXT_W_SYMPTOM, .desk = ON_DESK(SYMPTOM)}}},
        {"91 is ordinary", NULL, {{0, AT({91, 60}), .says = TEXT_GOT}}},
        {"again 90 or less", NULL,
         {{0, AT({88, 55}), .says = TEXT_W_LOW_CHECK},
          {6, AT({90, 55}), .says = TEXT_W_LOW, .level = ALERT_URGENT, .cause = "low", .gone = ON_DESK(LOW)}}},
        {"two low ones in one text", NULL,
         {{0, AT({88, 55}, {86, 54}), .says = TEXT_W_LOW, .level = ALERT_URGENT, .cause = "low"}}},
        {"higher again", NULL,
         {{0, AT({88, 55}), .says = TEXT_W_LOW_CHECK},
          {6, AT({104, 62}), .says = TEXT_W_LOW_SETTLED, .gone = ON_DESK(LOW)},
          {10, AT({106, 62}), .says = TEXT_GOT_EXTRA}}},
        {"pregnant: on the side", pregnant,
         {{0, AT({78, 50}), .says = TEXT_W_LOW_PREGNANT, .level = ALERT_URGENT, .cause = "low"}}},
        {"from severe to low", NULL,
         {{0, AT({185, 100}), .says = TEXT_W_SEVERE},
          {6, AT({78, 50}), .says = TEXT_W_LOW, .level = ALERT_URGENT, .cause = "low"}}},
        {"pulse 40", NULL, {{0, AT({132, 84, 40}), .says = TEXT_W_PULSE, .desk = ON_DESK(PULSE)}}},
        {"pulse 131", NULL, {{0, AT({132, 84, 131}), .says = TEXT_W_PULSE}}},
        {"pulse 41 and 130 are ordinary", NULL,
         {{0, AT({132, 84, 41}), .says = TEXT_GOT}, {2, AT({130, 84, 130}), .says = TEXT_GOT}}},
        {"pulse again", NULL,
         {{0, AT({132, 84, 135}), .says = TEXT_W_PULSE},
          {6, AT({130, 82, 133}), .says = TEXT_W_PULSE_AGAIN, .level = ALERT_URGENT, .cause = "pulse",
           .gone = ON_DESK(PULSE)}}},
        {"pulse with a flag", NULL,
         {{0, {.r = {{132, 84, 135}}, .flags = FLAG_PALPITATIONS}, .says = TEXT_W_PULSE_AGAIN, .level = ALERT_URGENT,
           .cause = "pulse"}}},
        {"pulse as usual again", NULL,
         {{0, AT({132, 84, 135}), .says = TEXT_W_PULSE},
          {6, AT({130, 82, 90}), .says = TEXT_GOT, .gone = ON_DESK(PULSE)}}},
        {"a low follow is forgotten after 12 hours", NULL,
         {{0, AT({88, 55}), .says = TEXT_W_LOW_CHECK},
          {730, AT({88, 55}), .says = TEXT_W_LOW_CHECK}}},
        {"an odd pulse beside a severe pressure leaves the severe timer", NULL,
         {{0, AT({185, 100, 140}), .says = TEXT_W_SEVERE, .desk = ON_DESK(PULSE)},
          {31, .only_wait = true, .says = TEXT_W_REPEAT_NOW, .level = ALERT_URGENT, .cause = "no_repeat"}}},
    };
    TALK_THROUGH(rows);
}

static void pregnancy_has_lines_of_its_own(void **state)
{
    (void)state;
    static const struct talk rows[] = {
        {"160 is severe: urgent at once, and measured again", pregnant,
         {{0, AT({160, 80}), .says = TEXT_W_PREGNANT_SEVERE, .level = ALERT_URGENT, .cause = "pregnant_severe"},
          {15, .only_wait = true, .says = TEXT_W_REPEAT_NOW}}},
        {"110 is severe", pregnant,
         {{0, AT({130, 110}), .says = TEXT_W_PREGNANT_SEVERE, .level = ALERT_URGENT, .cause = "pregnant_severe"}}},
        {"140 is urgent", pregnant,
         {{0, AT({140, 80}), .says = TEXT_W_PREGNANT_HIGH, .level = ALERT_URGENT, .cause = "pregnant_high"}}},
        {"90 is urgent", pregnant,
         {{0, AT({120, 90}), .says = TEXT_W_PREGNANT_HIGH, .level = ALERT_URGENT, .cause = "pregnant_high"}}},
        {"135/85 is for the desk", pregnant, {{0, AT({135, 80}), .says = TEXT_GOT, .desk = ON_DESK(PREGNANT)}}},
        {"134/84 is ordinary", pregnant, {{0, AT({134, 84}), .says = TEXT_GOT, .gone = ON_DESK(PREGNANT)}}},
        {"below severe is not yet well", pregnant,
         {{0, AT({165, 100}), .says = TEXT_W_PREGNANT_SEVERE, .level = ALERT_URGENT, .cause = "pregnant_severe"},
          {6, AT({145, 88}), .says = TEXT_W_PREGNANT_HIGH, .desk = ON_DESK(CAME_DOWN)}}},
        {"nor when she was told of it before", pregnant,
         {{0, AT({142, 88}), .says = TEXT_W_PREGNANT_HIGH, .level = ALERT_URGENT, .cause = "pregnant_high"},
          {3, AT({162, 104}), .says = TEXT_W_PREGNANT_SEVERE},
          {6, AT({155, 104}), .says = TEXT_W_PREGNANT_HIGH}}},
        {"again severe: she is told to ring again, the alert is one", pregnant,
         {{0, AT({165, 100}), .says = TEXT_W_PREGNANT_SEVERE, .level = ALERT_URGENT, .cause = "pregnant_severe"},
          {6, AT({168, 102}), .says = TEXT_W_PREGNANT_SEVERE}}},
        {"told within 12 hours, the alert open: an ordinary reply", pregnant,
         {{0, AT({142, 88}), .says = TEXT_W_PREGNANT_HIGH, .level = ALERT_URGENT, .cause = "pregnant_high"},
          {2, AT({144, 86}), .says = TEXT_GOT}}},
        {"a severe headache at any pressure", pregnant,
         {{0, {.r = {{110, 70}}, .flags = FLAG_HEADACHE}, .says = TEXT_W_PREGNANT_SIGN, .level = ALERT_EMERGENCY,
           .cause = "headache"}}},
        {"a warning sign", pregnant,
         {{0, {.flags = FLAG_PREGNANCY_SIGN}, .says = TEXT_W_PREGNANT_SIGN, .level = ALERT_EMERGENCY,
           .cause = "pregnancy_sign"}}},
        {"chest pain is any patient's emergency", pregnant,
         {{0, {.flags = FLAG_CHEST_PAIN}, .says = TEXT_W_FLAG, .level = ALERT_EMERGENCY, .cause = "chest_pain"}}},
        {"six weeks after birth", six_weeks_after_birth,
         {{0, AT({142, 80}), .says = TEXT_W_PREGNANT_HIGH, .level = ALERT_URGENT, .cause = "pregnant_high"}}},
        {"seven weeks after", seven_weeks_after_birth, {{0, AT({142, 80}), .says = TEXT_GOT}}},
        {"told for the first time: thanks, the desk, and the lines hold until the desk has decided", NULL,
         {{0, {.flags = FLAG_PREGNANT}, .says = TEXT_PREGNANT_THANKS, .desk = ON_DESK(PREGNANT)},
          {10, AT({142, 80}), .says = TEXT_W_PREGNANT_HIGH, .level = ALERT_URGENT, .cause = "pregnant_high"}}},
        {"told again: no news", pregnant, {{0, {.flags = FLAG_PREGNANT}, .says = TEXT_CLINIC_SEES}}},
    };
    TALK_THROUGH(rows);
}

static void distress_is_answered_shortly_and_alerted(void **state)
{
    (void)state;
    static const struct talk rows[] = {
        {"somebody is on call in hours", NULL,
         {{0, {.flags = FLAG_SELF_HARM}, .says = TEXT_W_SELF_HARM, .also = TEXT_W_SELF_HARM_TOLD,
           .level = ALERT_EMERGENCY, .cause = "self_harm"}}},
        {"out of hours when somebody is named for it", in_the_night,
         {{0, {.flags = FLAG_SELF_HARM}, .says = TEXT_W_SELF_HARM, .also = TEXT_W_SELF_HARM_TOLD,
           .level = ALERT_EMERGENCY, .cause = "self_harm"}}},
        {"before a reading's reply", NULL,
         {{0, {.r = {{132, 84}}, .flags = FLAG_SELF_HARM}, .says = TEXT_W_SELF_HARM, .level = ALERT_EMERGENCY,
           .cause = "self_harm"}}},
        {"long ago, or somebody else's", NULL,
         {{0, {.past = FLAG_SELF_HARM}, .says = TEXT_W_SELF_HARM, .desk = ON_DESK(FLAG_PAST)}}},
    };
    TALK_THROUGH(rows);

    struct play p; /* no promise that nobody can keep */
    play_joined(&p);
    nobody_on_call(&p);
    int64_t text = play_says(&p, .flags = FLAG_SELF_HARM);
    assert_true(say_has(&play_reply(&p, text)->saying, TEXT_W_SELF_HARM));
    assert_false(say_has(&play_reply(&p, text)->saying, TEXT_W_SELF_HARM_TOLD));
    play_end(&p);
}

static void af_known(struct play *p)
{
    p->r.person.af = true;
}

static void symptoms_and_medicine_go_to_the_desk(void **state)
{
    (void)state;
    static const struct talk rows[] = {
        {"dizzy", NULL, {{0, {.flags = FLAG_DIZZY}, .says = TEXT_W_SYMPTOM, .desk = ON_DESK(SYMPTOM)}}},
        {"palpitations", NULL, {{0, {.flags = FLAG_PALPITATIONS}, .says = TEXT_W_SYMPTOM, .desk = ON_DESK(SYMPTOM)}}},
        {"a fall", NULL, {{0, {.flags = FLAG_FALL}, .says = TEXT_W_SYMPTOM, .desk = ON_DESK(SYMPTOM)}}},
        {"a fall with the head hit", NULL,
         {{0, {.flags = FLAG_FALL, .head = true}, .says = TEXT_W_FLAG, .level = ALERT_EMERGENCY, .cause = "emergency"}}},
        {"a fall with bleeding", NULL,
         {{0, {.flags = FLAG_FALL | FLAG_BLEEDING}, .says = TEXT_W_FLAG, .level = ALERT_EMERGENCY,
           .cause = "bleeding"}}},
        {"medicine", NULL,
         {{0, {.news = NEWS_MEDICINE, .asks = true}, .says = TEXT_MEDICINE, .desk = ON_DESK(MEDICINE)}}},
        {"medicine beside a reading", NULL,
         {{0, {.r = {{132, 84}}, .news = NEWS_MEDICINE}, .says = TEXT_MEDICINE, .also = TEXT_GOT}}},
        {"the irregular sign once", NULL,
         {{0, {.r = {{132, 84}}, .technique = TECHNIQUE_IRREGULAR_SIGN}, .says = TEXT_GOT,
           .gone = ON_DESK(IRREGULAR)}}},
        {"in two of the last six sittings, then not again that week", NULL,
         {{0, {.r = {{132, 84}, {130, 82}}, .technique = TECHNIQUE_IRREGULAR_SIGN}, .says = TEXT_GOT},
          {600, {.r = {{131, 84}}, .technique = TECHNIQUE_IRREGULAR_SIGN}, .says = TEXT_W_IRREGULAR,
           .desk = ON_DESK(IRREGULAR)},
          {800, {.r = {{130, 84}}, .technique = TECHNIQUE_IRREGULAR_SIGN}, .says = TEXT_GOT}}},
        {"told without a reading, after one with", NULL,
         {{0, {.r = {{132, 84}, {130, 82}}, .technique = TECHNIQUE_IRREGULAR_SIGN}, .says = TEXT_GOT},
          {600, {.technique = TECHNIQUE_IRREGULAR_SIGN}, .says = TEXT_W_IRREGULAR}}},
        {"not where atrial fibrillation is known", af_known,
         {{0, {.r = {{132, 84}, {130, 82}}, .technique = TECHNIQUE_IRREGULAR_SIGN}, .says = TEXT_GOT},
          {600, {.r = {{131, 84}}, .technique = TECHNIQUE_IRREGULAR_SIGN}, .says = TEXT_GOT,
           .gone = ON_DESK(IRREGULAR)}}},
    };
    TALK_THROUGH(rows);
}

/* -- whoever sends it ---------------------------------------------------------------------------------------------- */

static const struct sender {
    const char *why;
    enum person_state state;
    bool hourly; /* one worry reply an hour */
} senders[] = {
    {"unknown number", PERSON_STRANGER, false}, {"not joined", PERSON_INVITED, false},
    {"declined", PERSON_DECLINED, true},        {"paused", PERSON_PAUSED, false},
    {"stopped", PERSON_LEFT, true},             {"closed", PERSON_CLOSED, false},
    {"wrong number", PERSON_WRONG_NUMBER, true}, {"withdrawn", PERSON_WITHDRAWN, true},
    {"died, says the desk", PERSON_DIED, true},
};

static void as_sender(struct play *p, enum person_state s)
{
    play_joined(p);
    play_wait(p, 120);
    p->r.person.state = s;
    p->r.course.next_look = INSTANT_NONE;
    if (s == PERSON_STRANGER)
        p->r.person.ref[0] = '\0';
}

static void worry_is_answered_and_alerted_whoever_sends_it(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof senders / sizeof *senders; i++) {
        struct play p;
        as_sender(&p, senders[i].state);
        int64_t text = play_says(&p, .flags = FLAG_CHEST_PAIN);
        assert_non_null(play_reply(&p, text));
        assert_int_equal(play_reply(&p, text)->kind, TEXT_W_FLAG);
        assert_string_equal(play_alert(&p)->cause, "chest_pain");
        play_wait(&p, 10);
        text = play_says(&p, .r = {{78, 50}});
        assert_int_equal(play_reply(&p, text) == NULL, senders[i].hourly);
        play_wait(&p, 61);
        text = play_says(&p, .r = {{78, 50}});
        assert_non_null(play_reply(&p, text));
        play_end(&p);

        as_sender(&p, senders[i].state);
        text = play_says(&p, .r = {{190, 100}});
        assert_int_equal(play_reply(&p, text)->kind, TEXT_W_SEVERE);
        play_wait(&p, 31);
        assert_string_equal(play_alert(&p)->cause, "no_repeat");
        assert_int_equal(play_count(&p, TEXT_W_REPEAT_NOW, 0), senders[i].hourly ? 0 : 1);
        play_end(&p);
    }
}

static void who_stopped_hears_one_worry_an_hour_and_an_emergency_at_once(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    play_says(&p, .r = {{190, 100}});
    play_wait(&p, 2);
    play_says(&p, .keyword = KEYWORD_STOP);
    play_wait(&p, 2);
    int64_t text = play_says(&p, .r = {{78, 50}}); /* the reply before STOP does not count */
    assert_int_equal(play_reply(&p, text)->kind, TEXT_W_LOW);
    play_wait(&p, 10);
    text = play_says(&p, .r = {{77, 50}});
    assert_null(play_reply(&p, text));
    assert_string_equal(play_outcome(&p, text), "worry was answered within the hour");
    text = play_says(&p, .flags = FLAG_CHEST_PAIN); /* does not wait behind it */
    assert_int_equal(play_reply(&p, text)->kind, TEXT_W_SEVERE_FLAG);
    play_wait(&p, 10);
    text = play_says(&p, .flags = FLAG_SPEECH);
    assert_null(play_reply(&p, text));
    play_end(&p);
}

static void an_unknown_number_is_named_as_that_to_staff(void **state)
{
    (void)state;
    struct play p;
    as_sender(&p, PERSON_STRANGER);
    play_says(&p, .flags = FLAG_SPEECH);
    const struct outgoing *copy = play_last(&p, TEXT_S_ALERT);
    assert_string_equal(copy->saying.ref, "unknown number");
    assert_string_equal(copy->saying.cause, "speech");
    play_end(&p);
}

static void worry_passes_the_flood_limits(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    for (int i = 0; i < 25; i++) {
        play_says(&p, .keyword = KEYWORD_HELP);
        play_clock(&p, p.now + 20);
    }
    assert_non_null(play_desk(&p, DESK_FLOOD));
    int64_t text = play_says(&p, .r = {{132, 84}});
    assert_null(play_reply(&p, text));
    assert_string_equal(play_outcome(&p, text), "too many texts: only worry is answered");
    assert_non_null(play_reading(&p, 132)); /* taken all the same */
    text = play_says(&p, .flags = FLAG_CHEST_PAIN);
    assert_int_equal(play_reply(&p, text)->kind, TEXT_W_FLAG);
    text = play_says(&p, .keyword = KEYWORD_STOP); /* and whoever has had enough is told that it ends */
    assert_int_equal(play_reply(&p, text)->kind, TEXT_STOPPED);
    play_end(&p);
}

static void a_question_that_was_kept_back_cannot_be_answered(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    for (int i = 0; i < 25; i++) {
        play_says(&p, .keyword = KEYWORD_HELP);
        play_clock(&p, p.now + 20);
    }
    int64_t text = play_says(&p, .r = {{72, 50}});
    assert_true(!play_reply(&p, text) || play_reply(&p, text)->class_ == CLASS_WORRY);
    text = play_says(&p, .d = {{82, 131, .doubt = DOUBT_SWAPPED}});
    assert_null(play_reply(&p, text));
    play_says(&p, .keyword = KEYWORD_YES);
    assert_null(play_reading(&p, 131));
    play_end(&p);
}

static void a_text_in_another_language_gets_worry_in_both(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    int64_t text = play_says(&p, .flags = FLAG_CHEST_PAIN, .foreign = true);
    assert_true(play_reply(&p, text)->saying.both_languages);
    text = play_says(&p, .r = {{190, 100}});
    assert_false(play_reply(&p, text)->saying.both_languages);
    play_end(&p);

    play_joined(&p); /* "me duele el pecho", of one who is written to in English */
    snprintf(p.r.person.language, sizeof p.r.person.language, "es");
    text = play_says(&p, .flags = FLAG_CHEST_PAIN);
    assert_true(play_reply(&p, text)->saying.both_languages);
    text = play_says(&p, .asks = true); /* whom to ring: as well */
    assert_int_equal(play_reply(&p, text)->kind, TEXT_HELP_NOW);
    assert_true(play_reply(&p, text)->saying.both_languages);
    play_end(&p);
}

static void a_corrected_severe_reading_ends_its_timer_not_its_alert(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    play_says(&p, .r = {{225, 100}});
    assert_string_equal(play_alert(&p)->cause, "very_high");
    play_wait(&p, 2);
    int64_t text = play_says(&p, .r = {{125, 80}}, .rejected = {{225, 100}}, .amend = AMEND_CORRECT);
    assert_int_equal(play_reply(&p, text)->kind, TEXT_CORRECTED);
    play_wait(&p, 40);
    assert_int_equal(play_count(&p, TEXT_W_REPEAT_NOW, 0), 0);
    assert_int_equal(p.r.n_alerts, 1);
    assert_non_null(strstr(play_desk(&p, DESK_SEVERE)->note, "took back")); /* not of its timer, but of the change */
    play_end(&p);
}

static void a_repeat_of_the_same_text_is_no_second_severe_reading(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    play_says(&p, .r = {{190, 100, 80}});
    play_wait(&p, 2);
    int64_t text = play_says(&p, .r = {{190, 100, 80}});
    assert_int_equal(play_reply(&p, text)->kind, TEXT_Q_NEW);
    assert_int_equal(p.n_alerts, 0);
    play_wait(&p, 1);
    text = play_says(&p, .keyword = KEYWORD_YES);
    assert_int_equal(play_reply(&p, text)->kind, TEXT_W_SEVERE_AGAIN);
    assert_string_equal(play_alert(&p)->cause, "severe");
    play_end(&p);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_red_flag_is_answered_and_alerted_at_once),
        cmocka_unit_test(severe_with_a_red_flag_is_an_emergency_in_either_order),
        cmocka_unit_test(severe_asks_for_a_repeat_and_follows_up),
        cmocka_unit_test(low_pressure_and_odd_pulse_are_followed_up),
        cmocka_unit_test(pregnancy_has_lines_of_its_own),
        cmocka_unit_test(distress_is_answered_shortly_and_alerted),
        cmocka_unit_test(symptoms_and_medicine_go_to_the_desk),
        cmocka_unit_test(worry_is_answered_and_alerted_whoever_sends_it),
        cmocka_unit_test(who_stopped_hears_one_worry_an_hour_and_an_emergency_at_once),
        cmocka_unit_test(an_unknown_number_is_named_as_that_to_staff),
        cmocka_unit_test(worry_passes_the_flood_limits),
        cmocka_unit_test(a_question_that_was_kept_back_cannot_be_answered),
        cmocka_unit_test(a_text_in_another_language_gets_worry_in_both),
        cmocka_unit_test(a_corrected_severe_reading_ends_its_timer_not_its_alert),
        cmocka_unit_test(a_repeat_of_the_same_text_is_no_second_severe_reading),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
