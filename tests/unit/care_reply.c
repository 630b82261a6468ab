/* Ordinary replies, coaching, cuff and arm, carers and shared phones. */
#include "care_talk.h"

#define AT(...) {.r = {__VA_ARGS__}}

static void af_known(struct play *p)
{
    p->r.person.af = true;
}

static void right_arm(struct play *p)
{
    p->r.person.on_arm = ARM_RIGHT;
}

static void carer(struct play *p)
{
    p->r.person.carer = true;
}

static void a_reply_echoes_what_was_taken_and_says_what_is_next(void **state)
{
    (void)state;
    static const struct talk rows[] = {
        {"the first of a sitting, then the second", NULL,
         {{0, AT({132, 84, 71}), .says = TEXT_GOT, .also = TEXT_SECOND_PLEASE},
          {2, AT({130, 83, 70}), .says = TEXT_GOT, .also = TEXT_SITTING_DONE},
          {2, AT({131, 83, 70}), .says = TEXT_GOT_EXTRA}}},
        {"both at once", NULL, {{0, AT({132, 84}, {130, 83}), .says = TEXT_GOT, .also = TEXT_SITTING_DONE}}},
        {"two that differ by more than 20 ask for a third", NULL,
         {{0, AT({152, 84}, {131, 83}), .says = TEXT_GOT, .also = TEXT_THIRD_PLEASE},
          {3, AT({140, 84}), .says = TEXT_GOT}}},
        {"20 does not", NULL, {{0, AT({152, 84}, {132, 83}), .says = TEXT_GOT, .also = TEXT_SITTING_DONE}}},
        {"more than four", NULL,
         {{720, AT({132, 84, .slot = SLOT_MORNING}, {130, 82, .slot = SLOT_MORNING}, {134, 86, .slot = SLOT_EVENING},
                   {131, 83, .slot = SLOT_EVENING}, {129, 81, .slot = SLOT_EVENING}), .says = TEXT_GOT_AND_MORE}}},
        {"atrial fibrillation wants three", af_known,
         {{0, AT({132, 84}, {130, 83}), .says = TEXT_GOT, .also = TEXT_SECOND_PLEASE},
          {2, AT({131, 83}), .says = TEXT_GOT, .also = TEXT_SITTING_DONE}}},
        {"a question is answered once in 24 hours", NULL,
         {{0, {.r = {{132, 84}}, .asks = true}, .says = TEXT_GOT, .also = TEXT_CLINIC_SEES_TAIL, .desk = ON_DESK(ASKS)},
          {60, {.asks = true}, .says = TEXT_NONE},
          {1380, {.asks = true}, .says = TEXT_CLINIC_SEES}}},
        {"a question beside a held number is still a question", NULL,
         {{0, {.r = {{110, 39}}, .asks = true}, .says = TEXT_Q_DISPLAY, .desk = ON_DESK(ASKS)}}},
        {"a remark on measuring", NULL,
         {{0, {.technique = TECHNIQUE_TALKING}, .says = TEXT_THANKS_TECHNIQUE, .also = TEXT_HINT_QUIET}}},
        {"room temperature alone", NULL, {{0, {.temp = 15.0}, .says = TEXT_THANKS_TECHNIQUE}}},
        {"the other arm is kept and does not fill the sitting", right_arm,
         {{0, {.r = {{132, 84, .arm = ARM_LEFT}}}, .says = TEXT_GOT},
          {2, {.r = {{130, 84}}}, .says = TEXT_GOT, .also = TEXT_SECOND_PLEASE}}},
        {"standing is kept and does not fill the sitting", NULL,
         {{0, {.r = {{132, 84, .posture = POSTURE_STANDING}}}, .says = TEXT_GOT},
          {2, {.r = {{130, 84}}}, .says = TEXT_GOT, .also = TEXT_SECOND_PLEASE}}},
        {"a carer's relative is the patient", carer,
         {{0, {.d = {{132, 84, .doubt = DOUBT_NOT_OWN}}}, .says = TEXT_GOT}}},
        {"a carer's relative who has collapsed is the patient, now", carer,
         {{0, {.past = FLAG_FAINT}, .says = TEXT_W_FLAG, .level = ALERT_EMERGENCY,
           .cause = "faint"}}},
        {"but a carer's doubtful number is doubtful", carer,
         {{0, {.d = {{84, 132, .doubt = DOUBT_NOT_OWN | DOUBT_SWAPPED}}}, .says = TEXT_Q_SWAPPED}}},
    };
    TALK_THROUGH(rows);
}

static void the_echo_is_that_of_the_text(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    int64_t text = play_says(&p, .r = {{132, 84, 71}});
    const struct saying *s = &play_reply(&p, text)->saying;
    assert_int_equal(s->n_echo, 1);
    assert_int_equal(s->echo[0].sys, 132);
    assert_int_equal(s->echo[0].pulse, 71);
    text = play_says(&p, .r = {{130, 83, 70}}, .d = {{85, 131, .doubt = DOUBT_SWAPPED}});
    s = &play_reply(&p, text)->saying;
    assert_int_equal(s->n_echo, 2);
    assert_int_equal(s->n_got, 1); /* the first was taken, the second is asked about */
    assert_int_equal(s->echo[1].sys, 131);
    play_end(&p);
}

static void a_reply_goes_at_once_and_is_given_up_after_a_day(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    play_to(&p, at_local(&p, 11, 24, 2, 0));
    int64_t text = play_pair(&p, 132, 84, 71);
    assert_int_equal(play_reply(&p, text)->due, p.now);
    assert_int_equal(play_reply(&p, text)->expires, p.now + DAYS);
    text = play_says(&p, .r = {{190, 100}});
    assert_int_equal(play_reply(&p, text)->due, p.now);
    assert_int_equal(play_reply(&p, text)->expires, INSTANT_NONE);
    play_end(&p);
}

static void no_text_is_repeated_within_a_minute(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    play_says(&p, .keyword = KEYWORD_HELP);
    play_clock(&p, p.now + 59);
    int64_t text = play_says(&p, .keyword = KEYWORD_HELP);
    assert_null(play_reply(&p, text));
    assert_string_equal(play_outcome(&p, text), "the same was said within a minute");
    play_clock(&p, p.now + 1);
    text = play_says(&p, .keyword = KEYWORD_HELP);
    assert_non_null(play_reply(&p, text));
    play_end(&p);

    play_joined(&p); /* other numbers make another text */
    play_pair(&p, 132, 84, 70);
    play_clock(&p, p.now + 20);
    text = play_pair(&p, 130, 83, 70);
    assert_non_null(play_reply(&p, text));
    play_clock(&p, p.now + 20);
    text = play_pair(&p, 132, 84, 70);
    play_clock(&p, p.now + 10);
    text = play_pair(&p, 130, 83, 70);
    play_end(&p);
}

/* -- coaching ------------------------------------------------------------------------------------------------------ */

static enum text_kind hint_in(const struct outgoing *o)
{
    for (uint8_t i = 0; o && i < o->saying.n_parts; i++)
        if (o->saying.parts[i] >= TEXT_HINT_REST && o->saying.parts[i] <= TEXT_HINT_ALL)
            return o->saying.parts[i];
    return TEXT_NONE;
}

static void each_technique_mentioned_has_its_hint(void **state)
{
    (void)state;
    static const struct {
        uint32_t technique;
        enum text_kind hint;
    } rows[] = {
        {TECHNIQUE_AFTER_MEDICINE, TEXT_HINT_MEDICINE}, {TECHNIQUE_ALCOHOL, TEXT_HINT_ALCOHOL},
        {TECHNIQUE_ARM_UNSUPPORTED, TEXT_HINT_ARM},     {TECHNIQUE_BLADDER, TEXT_HINT_BLADDER},
        {TECHNIQUE_CAFFEINE, TEXT_HINT_COFFEE},         {TECHNIQUE_COLD, TEXT_HINT_ROOM},
        {TECHNIQUE_CUFF_LARGE, TEXT_HINT_CUFF_SIZE},    {TECHNIQUE_CUFF_LOOSE, TEXT_HINT_CUFF_SNUG},
        {TECHNIQUE_CUFF_REVERSED, TEXT_HINT_CUFF_WAY},  {TECHNIQUE_CUFF_SMALL, TEXT_HINT_CUFF_SIZE},
        {TECHNIQUE_CUFF_TIGHT, TEXT_HINT_CUFF_SNUG},    {TECHNIQUE_EXERCISE, TEXT_HINT_COFFEE},
        {TECHNIQUE_HOT, TEXT_HINT_ROOM},                {TECHNIQUE_LEGS_CROSSED, TEXT_HINT_LEGS},
        {TECHNIQUE_MEAL, TEXT_HINT_MEAL},               {TECHNIQUE_MONITOR_ERROR, TEXT_HINT_MONITOR},
        {TECHNIQUE_MOVED, TEXT_HINT_STILL},             {TECHNIQUE_NO_REST, TEXT_HINT_REST},
        {TECHNIQUE_OTHER_ARM, TEXT_HINT_SAME_ARM},      {TECHNIQUE_OVER_CLOTHES, TEXT_HINT_BARE},
        {TECHNIQUE_SMOKING, TEXT_HINT_COFFEE},          {TECHNIQUE_STRESS, TEXT_HINT_REST},
        {TECHNIQUE_TALKING, TEXT_HINT_QUIET},           {TECHNIQUE_TUBE_KINKED, TEXT_HINT_TUBE},
        {TECHNIQUE_WRIST, TEXT_HINT_WRIST},             {TECHNIQUE_IRREGULAR_SIGN, TEXT_NONE},
    };
    assert_int_equal(sizeof rows / sizeof *rows, TECHNIQUE_COUNT);
    for (size_t i = 0; i < TECHNIQUE_COUNT; i++) {
        struct play p;
        play_joined(&p);
        int64_t text = play_says(&p, .r = {{132, 84}}, .technique = rows[i].technique);
        assert_int_equal(hint_in(play_reply(&p, text)), rows[i].hint);
        play_end(&p);
    }
}

static void one_hint_a_sitting_and_not_the_same_within_48_hours(void **state)
{
    (void)state;
    struct play p;
    enum text_kind seen[16];
    size_t n = 0;
    play_joined(&p);
    for (int day = 23; day <= 26; day++)
        for (int hour = 8; hour <= 20; hour += 12) {
            play_to(&p, at_local(&p, 11, day, hour, 0));
            int64_t first = play_pair(&p, 132, 84, 70);
            play_wait(&p, 3);
            int64_t second = play_pair(&p, 131, 83, 70);
            enum text_kind one = hint_in(play_reply(&p, first)), two = hint_in(play_reply(&p, second));
            assert_int_equal(one, TEXT_NONE);
            assert_int_not_equal(two, TEXT_NONE);
            for (size_t i = n > 4 ? n - 4 : 0; i < n; i++)
                assert_int_not_equal(seen[i], two);
            seen[n++] = two;
            play_wait(&p, 3);
            int64_t third = play_pair(&p, 130, 83, 70); /* the sitting had its hint */
            assert_int_equal(hint_in(play_reply(&p, third)), TEXT_NONE);
        }
    play_end(&p);
}

static void a_mentioned_technique_comes_first_and_again_when_mentioned_again(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    int64_t text = play_says(&p, .r = {{132, 84}}, .technique = TECHNIQUE_LEGS_CROSSED);
    assert_int_equal(hint_in(play_reply(&p, text)), TEXT_HINT_LEGS);
    play_to(&p, at_local(&p, 11, 23, 20, 0));
    text = play_says(&p, .r = {{132, 84}}, .technique = TECHNIQUE_LEGS_CROSSED);
    assert_int_equal(hint_in(play_reply(&p, text)), TEXT_HINT_LEGS);
    play_end(&p);
}

static void readings_suggest_a_hint(void **state)
{
    (void)state;
    static const struct {
        const char *why;
        struct heard heard;
        enum text_kind hint;
    } rows[] = {
        {"the first much higher than the second", AT({150, 84}, {138, 83}), TEXT_HINT_REST},
        {"the second much higher", AT({130, 84}, {142, 83}), TEXT_HINT_STILL},
        {"a cold room", {.r = {{132, 84}, {131, 83}}, .temp = 16.0}, TEXT_HINT_ROOM},
        {"a hot room", {.r = {{132, 84}, {131, 83}}, .temp = 29.0}, TEXT_HINT_ROOM},
        {"an agreeable room: the rotation", {.r = {{132, 84}, {131, 83}}, .temp = 21.0}, TEXT_HINT_REST},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct play p;
        play_joined(&p);
        int64_t text = play_text(&p, &rows[i].heard);
        assert_int_equal(hint_in(play_reply(&p, text)), rows[i].hint);
        play_end(&p);
    }
    struct play p; /* only round numbers */
    play_joined(&p);
    play_says(&p, .r = {{130, 80}, {140, 80}});
    play_to(&p, at_local(&p, 11, 23, 20, 0));
    play_says(&p, .r = {{130, 80}, {130, 80}});
    play_to(&p, at_local(&p, 11, 24, 8, 0));
    int64_t text = play_says(&p, .r = {{130, 80}, {130, 80}});
    assert_int_equal(hint_in(play_reply(&p, text)), TEXT_HINT_ALL);
    play_end(&p);
}

static void no_hint_while_an_alert_is_open(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    play_says(&p, .flags = FLAG_FAINT);
    play_wait(&p, 90);
    int64_t text = play_says(&p, .r = {{132, 84}, {131, 83}}, .technique = TECHNIQUE_TALKING);
    assert_non_null(play_reply(&p, text));
    assert_int_equal(hint_in(play_reply(&p, text)), TEXT_NONE);
    play_end(&p);
}

/* -- arm and cuff -------------------------------------------------------------------------------------------------- */

static void nothing_known(struct play *p)
{
    p->r.person.arm_cm = p->r.person.cuff_low = p->r.person.cuff_high = 0;
    p->r.person.monitor[0] = '\0';
}

static void arm_and_cuff_are_judged_by_the_printed_range(void **state)
{
    (void)state;
    static const struct talk rows[] = {
        {"arm alone", nothing_known, {{0, {.arm = 31}, .says = TEXT_ARM_THANKS}}},
        {"cuff alone", nothing_known, {{0, {.cuff = {22, 42}}, .says = TEXT_CUFF_THANKS}}},
        {"one after the other", nothing_known,
         {{0, {.arm = 31}, .says = TEXT_ARM_THANKS}, {3, {.cuff = {22, 42}}, .says = TEXT_CUFF_FITS}}},
        {"within a centimetre of an end", nothing_known,
         {{0, {.arm = 41.5, .cuff = {22, 42}}, .says = TEXT_CUFF_BORDERLINE}}},
        {"too small", nothing_known,
         {{0, {.arm = 45, .cuff = {22, 42}}, .says = TEXT_CUFF_TOO_SMALL, .desk = ON_DESK(CUFF)}}},
        {"too large", nothing_known,
         {{0, {.arm = 24, .cuff = {32, 42}}, .says = TEXT_CUFF_TOO_LARGE, .desk = ON_DESK(CUFF)}}},
        {"an arm that no cuff is made for", nothing_known,
         {{0, {.arm = 54}, .says = TEXT_ARM_BEYOND, .desk = ON_DESK(CUFF)}}},
        {"a better cuff settles it", nothing_known,
         {{0, {.arm = 45, .cuff = {22, 42}}, .says = TEXT_CUFF_TOO_SMALL, .desk = ON_DESK(CUFF)},
          {3, {.cuff = {32, 52}}, .says = TEXT_CUFF_FITS, .gone = ON_DESK(CUFF)}}},
        {"beside a reading", nothing_known,
         {{0, {.r = {{132, 84}}, .arm = 45, .cuff = {22, 42}}, .says = TEXT_GOT, .also = TEXT_CUFF_TOO_SMALL}}},
        {"at the wrist", NULL,
         {{0, {.technique = TECHNIQUE_WRIST}, .says = TEXT_WRIST_MONITOR, .desk = ON_DESK(MONITOR)},
          {700, {.technique = TECHNIQUE_WRIST}, .says = TEXT_THANKS_TECHNIQUE}}},
    };
    TALK_THROUGH(rows);
}

static void arm_and_cuff_are_asked_once_more_on_day_1(void **state)
{
    (void)state;
    struct play p;
    play_begin(&p);
    play_enrol(&p, true);
    assert_int_equal(play_count(&p, TEXT_ASK_ARM_CUFF, 0), 1);
    play_wait(&p, 5);
    play_says(&p, .r = {{132, 84}, {131, 83}});
    play_wait(&p, 29);
    assert_int_equal(play_count(&p, TEXT_ASK_ARM_CUFF_AGAIN, 0), 0);
    play_wait(&p, 1);
    assert_int_equal(play_count(&p, TEXT_ASK_ARM_CUFF_AGAIN, 0), 1);
    play_wait(&p, 7 * 1440);
    assert_int_equal(play_count(&p, TEXT_ASK_ARM_CUFF_AGAIN, 0), 1);
    play_end(&p);
}

static void what_the_staff_measured_stands(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    p.r.person.arm_by_staff = true;
    play_says(&p, .arm = 50, .cuff = {22, 42});
    assert_true(p.r.person.arm_cm == 31);
    assert_true(p.r.week.cuff_high == 42);
    play_end(&p);

    play_joined(&p); /* two tapes that differ: nobody is told that the cuff is right */
    p.r.person.arm_by_staff = true;
    int64_t text = play_says(&p, .arm = 36, .cuff = {22, 32});
    assert_int_equal(play_reply(&p, text)->kind, TEXT_ARM_THANKS);
    assert_true(play_reply(&p, text)->saying.arm_cm == 36);
    assert_true(desk_has(&p.r, DESK_CUFF));
    text = play_says(&p, .arm = 32.5, .cuff = {22, 32});
    assert_int_equal(play_reply(&p, text)->kind, TEXT_CUFF_FITS);
    play_end(&p);
}

/* -- shared phones ------------------------------------------------------------------------------------------------- */

static void two_of_a_phone(struct play *a, struct play *b)
{
    play_joined(a);
    play_joined(b);
    snprintf(a->r.person.tag, TAG_MAX, "ann");
    snprintf(b->r.person.tag, TAG_MAX, "bob");
    b->r.person.id = b->r.course.person = 8;
    snprintf(b->r.person.ref, REF_MAX, "P-0002");
}

static int64_t untagged(struct play *a, struct play *b, const struct heard *h)
{
    struct meaning said = meaning_of(h);
    struct inbound in = {.text = ++a->next_text, .received = a->now, .sent = INSTANT_NONE, .meaning = &said};
    struct record *both[] = {&a->r, &b->r};
    struct effects e = {0};
    struct moment_of_care m = play_moment(a);
    size_t outcomes = a->n_outcomes;
    care_text_shared(both, 2, &m, &in, &e);
    play_apply(a, &e);
    assert_int_equal(a->n_outcomes, outcomes + 1);
    return in.text;
}

static void an_untagged_text_is_asked_about_and_worry_goes_first(void **state)
{
    (void)state;
    struct play a, b;
    two_of_a_phone(&a, &b);
    int64_t text = untagged(&a, &b, &(struct heard){.r = {{132, 84}}});
    const struct outgoing *o = play_reply(&a, text);
    assert_int_equal(o->kind, TEXT_WHOSE);
    assert_string_equal(o->saying.word, "ann, bob");
    assert_int_equal(a.r.course.question.kind, QUESTION_WHOSE);
    assert_int_equal(b.r.course.question.text, text);
    assert_int_equal(a.r.n_readings + b.r.n_readings, 0); /* nobody's reading is guessed */

    text = untagged(&a, &b, &(struct heard){.flags = FLAG_CHEST_PAIN, .r = {{132, 84}}});
    o = play_reply(&a, text);
    assert_int_equal(o->kind, TEXT_W_FLAG);
    assert_true(say_has(&o->saying, TEXT_WHOSE));
    assert_int_equal(a.n_alerts, 2); /* both refs */
    assert_int_equal(a.r.n_alerts, 1);
    assert_int_equal(b.r.n_alerts, 1);
    play_end(&a);
    play_end(&b);
}

static void a_tag_that_has_no_room_is_not_cut(void **state)
{
    static const struct {
        const char *why, *a, *b, *c, *word;
    } rows[] = {
        {"all fit", "ann", "bob", "cyd", "ann, bob, cyd"},
        {"63 bytes fit", "aaaaaaaaaaaaaaaaaaaaaaa", "bbbbbbbbbbbbbbbbbbbbbbb", "ccccccccccccc",
         "aaaaaaaaaaaaaaaaaaaaaaa, bbbbbbbbbbbbbbbbbbbbbbb, ccccccccccccc"},
        {"64 do not", "aaaaaaaaaaaaaaaaaaaaaaa", "bbbbbbbbbbbbbbbbbbbbbbb", "cccccccccccccc",
         "aaaaaaaaaaaaaaaaaaaaaaa, bbbbbbbbbbbbbbbbbbbbbbb, ..."},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct play a, b, c;
        struct record *all[] = {&a.r, &b.r, &c.r};
        struct effects e = {0};
        two_of_a_phone(&a, &b);
        play_joined(&c);
        c.r.person.id = c.r.course.person = 9;
        snprintf(a.r.person.tag, TAG_MAX, "%s", rows[i].a);
        snprintf(b.r.person.tag, TAG_MAX, "%s", rows[i].b);
        snprintf(c.r.person.tag, TAG_MAX, "%s", rows[i].c);
        struct meaning said = meaning_of(&(struct heard){.r = {{132, 84}}});
        struct inbound in = {.text = ++a.next_text, .received = a.now, .sent = INSTANT_NONE, .meaning = &said};
        struct moment_of_care m = play_moment(&a);
        care_text_shared(all, 3, &m, &in, &e);
        play_apply(&a, &e);
        if (strcmp(play_reply(&a, in.text)->saying.word, rows[i].word) != 0)
            fail_msg("%s: %s", rows[i].why, play_reply(&a, in.text)->saying.word);
        play_end(&a);
        play_end(&b);
        play_end(&c);
    }
}

static void told_whose(struct play *b, const struct question *asked)
{
    struct effects e = {0};
    struct moment_of_care m = play_moment(b);
    care_told_whose(&b->r, &m, asked, &e);
    play_apply(b, &e);
}

static void a_severe_number_of_a_shared_phone_is_one_persons(void **state)
{
    (void)state;
    struct play a, b;
    two_of_a_phone(&a, &b);
    int64_t text = untagged(&a, &b, &(struct heard){.r = {{190, 100}}});
    const struct question asked = a.r.course.question;
    assert_int_equal(play_reply(&a, text)->kind, TEXT_W_SEVERE);
    assert_true(desk_has(&b.r, DESK_SEVERE));
    b.now = a.now;
    play_wait(&a, 2);
    text = play_says(&a, .r = {{190, 100}}, .resent = true); /* heard again, with its tag: not its own repeat */
    assert_int_equal(play_reply(&a, text)->kind, TEXT_W_SEVERE);
    assert_int_equal(a.r.course.question.kind, QUESTION_NONE);
    assert_false(desk_has(&a.r, DESK_WHOSE));
    told_whose(&b, &asked);
    assert_int_equal(b.r.course.question.kind, QUESTION_NONE);
    assert_int_equal(b.r.course.follow.kind, FOLLOW_NONE);
    assert_int_equal(b.r.n_desk, 0);
    assert_true(b.r.course.last_severe == INSTANT_NONE);
    play_wait(&a, 31);
    assert_string_equal(play_alert(&a)->cause, "no_repeat");
    size_t alerts = b.n_alerts;
    play_wait(&b, 40);
    assert_int_equal(b.n_alerts, alerts); /* one person's alert, nobody else's */
    play_end(&a);
    play_end(&b);
}

/* Until it is known whose it is, nobody is left out; another number with a tag tells nothing about it. */
static void until_it_is_known_whose_all_timers_go_on(void **state)
{
    (void)state;
    struct play a, b;
    two_of_a_phone(&a, &b);
    untagged(&a, &b, &(struct heard){.r = {{190, 100}}});
    b.now = a.now;
    play_wait(&a, 2);
    int64_t text = play_says(&a, .r = {{132, 84}});
    assert_true(say_has(&play_reply(&a, text)->saying, TEXT_W_CAME_DOWN)); /* it may have been theirs */
    assert_int_equal(a.r.course.question.kind, QUESTION_WHOSE);
    assert_true(desk_has(&a.r, DESK_WHOSE));
    text = play_says(&a, .keyword = KEYWORD_YES); /* no consent, and no answer */
    assert_int_equal(play_reply(&a, text)->kind, TEXT_WHOSE);
    assert_string_equal(play_reply(&a, text)->saying.word, "ann");
    play_wait(&b, 31);
    assert_string_equal(play_alert(&b)->cause, "no_repeat");
    assert_int_equal(play_count(&b, TEXT_W_REPEAT_NOW, 0), 0); /* one phone is asked once */

    const struct course before = b.r.course; /* a question that was none of theirs ends nothing */
    told_whose(&b, &(struct question){.kind = QUESTION_WHEN, .asked_at = before.follow.since});
    assert_int_equal(b.r.course.follow.kind, before.follow.kind);
    told_whose(&b, &(struct question){.kind = QUESTION_WHOSE, .asked_at = b.now, .text = 99});
    assert_int_equal(b.r.course.follow.kind, before.follow.kind);
    assert_int_equal(b.r.course.question.kind, QUESTION_WHOSE);
    play_end(&a);
    play_end(&b);
}

/* An emergency that was somebody else's: the alert is for a person to end, but it makes no other number worse. */
static void a_symptom_of_another_does_not_reach_over(void **state)
{
    (void)state;
    struct play a, b;
    two_of_a_phone(&a, &b);
    untagged(&a, &b, &(struct heard){.flags = FLAG_CHEST_PAIN, .asks = true});
    const struct question asked = a.r.course.question;
    b.now = a.now;
    told_whose(&b, &asked);
    assert_int_equal(b.r.n_alerts, 1);
    int64_t text = play_says(&b, .r = {{185, 100}});
    assert_true(say_has(&play_reply(&b, text)->saying, TEXT_W_SEVERE));
    play_end(&a);
    play_end(&b);
}

static void an_untagged_stop_stops_all(void **state)
{
    (void)state;
    struct play a, b;
    two_of_a_phone(&a, &b);
    int64_t text = untagged(&a, &b, &(struct heard){.keyword = KEYWORD_STOP});
    assert_int_equal(a.r.person.state, PERSON_LEFT);
    assert_int_equal(b.r.person.state, PERSON_LEFT);
    assert_int_equal(play_reply(&a, text)->kind, TEXT_STOPPED_SHARED);
    assert_non_null(play_desk(&a, DESK_LEFT));
    text = untagged(&a, &b, &(struct heard){.keyword = KEYWORD_STOP});
    assert_null(play_reply(&a, text));
    play_end(&a);
    play_end(&b);
}

static void help_and_remarks_of_a_shared_phone(void **state)
{
    (void)state;
    struct play a, b;
    two_of_a_phone(&a, &b);
    a.r.person.state = PERSON_LEFT; /* the one who may be answered speaks */
    int64_t text = untagged(&a, &b, &(struct heard){.keyword = KEYWORD_HELP});
    assert_int_equal(play_reply(&a, text)->kind, TEXT_HELP);
    text = untagged(&a, &b, &(struct heard){.temp = 0});
    assert_null(play_reply(&a, text));
    assert_string_equal(play_outcome(&a, text), "a remark from a shared phone");
    b.r.person.state = PERSON_LEFT;
    text = untagged(&a, &b, &(struct heard){.asks = true});
    assert_null(play_reply(&a, text));
    play_end(&a);
    play_end(&b);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_reply_echoes_what_was_taken_and_says_what_is_next),
        cmocka_unit_test(the_echo_is_that_of_the_text),
        cmocka_unit_test(a_reply_goes_at_once_and_is_given_up_after_a_day),
        cmocka_unit_test(no_text_is_repeated_within_a_minute),
        cmocka_unit_test(each_technique_mentioned_has_its_hint),
        cmocka_unit_test(one_hint_a_sitting_and_not_the_same_within_48_hours),
        cmocka_unit_test(a_mentioned_technique_comes_first_and_again_when_mentioned_again),
        cmocka_unit_test(readings_suggest_a_hint),
        cmocka_unit_test(no_hint_while_an_alert_is_open),
        cmocka_unit_test(arm_and_cuff_are_judged_by_the_printed_range),
        cmocka_unit_test(arm_and_cuff_are_asked_once_more_on_day_1),
        cmocka_unit_test(what_the_staff_measured_stands),
        cmocka_unit_test(an_untagged_text_is_asked_about_and_worry_goes_first),
        cmocka_unit_test(a_tag_that_has_no_room_is_not_cut),
        cmocka_unit_test(a_severe_number_of_a_shared_phone_is_one_persons),
        cmocka_unit_test(until_it_is_known_whose_all_timers_go_on),
        cmocka_unit_test(a_symptom_of_another_does_not_reach_over),
        cmocka_unit_test(an_untagged_stop_stops_all),
        cmocka_unit_test(help_and_remarks_of_a_shared_phone),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
