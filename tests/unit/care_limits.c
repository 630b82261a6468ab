/* The edges: texts as long as can be, lists that are full, and what is told of numbers when nothing else is known. */
#include "care_talk.h"

static int64_t hear(struct play *p, const struct meaning *said)
{
    struct inbound in = {.text = ++p->next_text, .received = p->now, .sent = INSTANT_NONE, .meaning = said};
    struct effects e = {0};
    struct moment_of_care m = play_moment(p);
    size_t outcomes = p->n_outcomes;

    care_text(&p->r, &m, &in, &e);
    play_apply(p, &e);
    assert_int_equal(p->n_outcomes, outcomes + 1);
    play_to(p, p->now);
    return in.text;
}

static void fill(struct said_list *list, int n, int16_t sys, int16_t dia, uint8_t doubt)
{
    for (int i = 0; i < n; i++)
        list->at[list->n++] = (struct said){.sys = (int16_t)(sys + i % 7), .dia = dia, .day = DAY_UNSAID,
                                            .minute = MINUTE_UNSAID, .slot = SLOT_MORNING, .doubt = doubt};
}

static void a_text_of_as_many_readings_as_can_be_is_taken_whole(void **state)
{
    (void)state;
    struct play p;
    struct meaning *said = calloc(1, sizeof *said);
    play_joined(&p);
    said->temp_c = NAN;
    fill(&said->readings, MEANING_READINGS, 130, 84, 0);
    fill(&said->doubtful, MEANING_READINGS, 131, 83, DOUBT_UNCERTAIN);
    said->doubt = DOUBT_UNCERTAIN;
    int64_t text = hear(&p, said);
    const struct saying *s = &play_reply(&p, text)->saying;
    assert_int_equal(p.r.n_readings, 2 * MEANING_READINGS);
    assert_int_equal(s->n_echo, SAYING_ECHO);
    assert_true(s->more >= MEANING_READINGS - SAYING_ECHO);
    assert_int_equal(p.r.course.question.n_readings, QUESTION_READINGS);
    size_t held = 0; /* those that the question has no room for stand on the desk */
    for (size_t i = 0; i < p.r.n_desk; i++)
        held += p.r.desk[i].kind == DESK_HELD;
    assert_int_equal(held, MEANING_READINGS - QUESTION_READINGS);
    play_wait(&p, 2);
    play_says(&p, .keyword = KEYWORD_YES);
    size_t confirmed = 0;
    for (size_t i = 0; i < p.r.n_readings; i++)
        confirmed += p.r.readings[i].confirmed;
    assert_int_equal(confirmed, QUESTION_READINGS);
    play_wait(&p, 5);
    play_pair(&p, 133, 84, 70); /* the median is taken of a part */
    assert_int_equal(play_reading(&p, 133)->standing, STANDING_ACCEPTED);
    free(said);
    play_end(&p);
}

static void more_corrections_than_can_be_held_are_asked_about(void **state)
{
    (void)state;
    struct play p;
    struct meaning *said = calloc(1, sizeof *said);
    play_joined(&p);
    said->temp_c = NAN;
    fill(&said->readings, 40, 130, 84, 0);
    hear(&p, said);
    play_wait(&p, 5);
    said->amend = AMEND_CORRECT;
    int64_t text = hear(&p, said);
    assert_true(say_has(&play_reply(&p, text)->saying, TEXT_Q_WHICH_READING));
    play_wait(&p, 5);
    memset(said, 0, sizeof *said);
    said->temp_c = NAN;
    said->amend = AMEND_VOID;
    fill(&said->rejected, 40, 130, 84, 0);
    text = hear(&p, said);
    assert_int_equal(play_reply(&p, text)->kind, TEXT_DROPPED);
    size_t dropped = 0;
    for (size_t i = 0; i < p.r.n_readings; i++)
        dropped += p.r.readings[i].standing == STANDING_VOID;
    assert_int_equal(dropped, QUESTION_READINGS);
    free(said);
    play_end(&p);
}

static void every_target_of_a_full_list_gets_its_copy(void **state)
{
    (void)state;
    struct play p;
    size_t alerts = 0, summaries = 0, told = 0;
    play_joined(&p);
    for (int i = 0; i < TARGETS_MAX; i++) {
        snprintf(p.clinic.alert_to[i], TARGET_MAX, "mailto:duty%d@example.org", i);
        snprintf(p.clinic.alert_backup[i], TARGET_MAX, "mailto:backup%d@example.org", i);
        snprintf(p.clinic.summary_to[i], TARGET_MAX, "mailto:results%d@example.org", i);
    }
    play_says(&p, .flags = FLAG_CHEST_PAIN);
    play_wait(&p, 16);
    struct effects e = {0};
    struct moment_of_care m = play_moment(&p);
    struct outgoing failed = {
        .alert = play_alert(&p)->id, .to = "mailto:duty3@example.org", .state = OUTGOING_FAILED};
    care_unsent(&p.r, &m, &failed, &e);
    play_apply(&p, &e);
    play_act(&p, (struct care_action){.kind = ACTION_TAKE, .id = play_alert(&p)->id});
    play_pair(&p, 132, 84, 70);
    play_act(&p, (struct care_action){.kind = ACTION_END_WEEK});
    for (size_t i = 0; i < p.n_sent; i++) {
        alerts += p.sent[i].alert && p.sent[i].class_ == CLASS_WORRY;
        told += p.sent[i].kind == TEXT_S_TAKEN_OTHER;
        summaries += p.sent[i].class_ == CLASS_SUMMARY;
    }
    assert_int_equal(alerts, 4 * TARGETS_MAX); /* at first, again with the backup, the backup for one that failed */
    assert_int_equal(told, 2 * TARGETS_MAX);
    assert_int_equal(summaries, TARGETS_MAX);
    play_end(&p);
}

static void a_copy_that_failed_after_the_alert_was_taken_goes_nowhere_else(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    play_says(&p, .flags = FLAG_CHEST_PAIN);
    play_act(&p, (struct care_action){.kind = ACTION_TAKE, .id = play_alert(&p)->id});
    size_t before = p.n_sent;
    struct effects e = {0};
    struct moment_of_care m = play_moment(&p);
    struct outgoing failed = {.alert = play_alert(&p)->id, .to = "+447700900002"};
    care_unsent(&p.r, &m, &failed, &e);
    failed.alert = 1; /* resolved long ago */
    care_unsent(&p.r, &m, &failed, &e);
    play_apply(&p, &e);
    assert_int_equal(p.n_sent, before);
    assert_non_null(play_desk(&p, DESK_UNDELIVERED));
    play_end(&p);
}

static void readings_of_a_person_without_a_week_are_kept_aside(void **state)
{
    (void)state;
    struct play p;
    play_begin(&p);
    play_enrol(&p, false);
    play_act(&p, (struct care_action){.kind = ACTION_CLOSE});
    play_pair(&p, 132, 84, 70);
    assert_int_equal(play_reading(&p, 132)->standing, STANDING_ASIDE);
    assert_int_equal(play_reading(&p, 132)->week, 0);
    struct said said = {.sys = 130, .dia = 80, .day = DAY_UNSAID, .minute = MINUTE_UNSAID};
    assert_int_equal(play_act(&p, (struct care_action){.kind = ACTION_ADD, .reading = said}), CARE_REFUSED);
    assert_int_equal(play_act(&p, (struct care_action){.kind = ACTION_NEW_WEEK}), CARE_DONE);
    int64_t id = play_reading(&p, 132)->id;
    assert_int_equal(play_act(&p, (struct care_action){.kind = ACTION_ACCEPT, .id = id, .note = "x"}), CARE_CHANGED);
    assert_int_equal(play_act(&p, (struct care_action){.kind = ACTION_VOID, .id = id, .note = "long ago"}), CARE_DONE);
    assert_int_equal(play_act(&p, (struct care_action){.kind = ACTION_ACCEPT, .id = id, .note = "hers"}), CARE_DONE);
    assert_int_equal(play_reading(&p, 132)->week, p.r.week.id);
    play_end(&p);
}

static void the_desk_adds_to_and_closes_weeks_that_are_over(void **state)
{
    (void)state;
    struct play p;
    struct said said = {.sys = 130, .dia = 80, .day = DAY_UNSAID, .minute = MINUTE_UNSAID};
    play_joined(&p);
    play_pair(&p, 132, 84, 70);
    play_wait(&p, 60);
    play_act(&p, (struct care_action){.kind = ACTION_END_WEEK});
    assert_int_equal(p.r.week.days_wanted, 1);
    assert_int_equal(play_act(&p, (struct care_action){.kind = ACTION_ADD, .reading = said, .note = "rang"}), CARE_DONE);
    assert_int_equal(play_reading(&p, 130)->week, 0); /* measured after it: in no week */
    assert_int_equal(p.r.week.version, 1);
    said.minute = 8 * 60 + 2; /* while it ran */
    said.sys = 131;
    assert_int_equal(play_act(&p, (struct care_action){.kind = ACTION_ADD, .reading = said, .note = "rang"}), CARE_DONE);
    assert_int_equal(p.r.week.version, 2);
    struct care_action edit = {.kind = ACTION_EDIT, .version = -1, .person = p.r.person};
    edit.person.cuff_high = 33; /* the week keeps the cuff it was measured with */
    play_act(&p, edit);
    assert_true(p.r.week.cuff_high == 42);
    play_end(&p);

    play_joined(&p); /* closed: no summary, no version */
    play_pair(&p, 132, 84, 70);
    play_says(&p, .keyword = KEYWORD_STOP);
    play_wait(&p, 3 * 1440);
    play_act(&p, (struct care_action){.kind = ACTION_CLOSE});
    assert_int_equal(p.r.week.state, WEEK_CLOSED);
    play_act(&p, (struct care_action){.kind = ACTION_VOID, .id = play_reading(&p, 132)->id, .note = "not hers"});
    assert_int_equal(p.r.week.version, 1);
    play_end(&p);
}

static void doubtful(struct play *p)
{
    play_says(p, .d = {{84, 132, .doubt = DOUBT_SWAPPED}});
    play_wait(p, 5);
}

static void dated(struct play *p)
{
    play_says(p, .r = {{132, 84, .day = ON_DAY(0), .clock = CLOCK(9, 30)}}); /* still to come */
    play_wait(p, 5);
}

static void taken_back(struct play *p)
{
    play_pair(p, 172, 82, 70);
    play_wait(p, 5);
    play_says(p, .d = {{128, 0, .doubt = DOUBT_ONE_NUMBER}}, .rejected = {{172}}, .amend = AMEND_CORRECT);
    play_wait(p, 5);
}

static void which(struct play *p)
{
    play_says(p, .r = {{172, 82}, {140, 84}});
    play_wait(p, 5);
    play_says(p, .r = {{132, 82}}, .amend = AMEND_CORRECT);
    play_wait(p, 5);
}

static void dropped_at_the_desk(struct play *p)
{
    doubtful(p);
    play_act(p, (struct care_action){.kind = ACTION_VOID, .id = play_reading(p, 84)->id, .note = "asked her"});
}

static void one_of_two_targets(struct play *p)
{
    p->r.person.carer = true;
}

static void answers_that_do_not_fit_take_nothing(void **state)
{
    (void)state;
    static const struct talk rows[] = {
        {"NO to what the desk has dropped", dropped_at_the_desk,
         {{0, {.keyword = KEYWORD_NO}, .says = TEXT_NOTHING_TO_CHANGE}}},
        {"YES to what the desk has dropped", dropped_at_the_desk,
         {{0, {.keyword = KEYWORD_YES}, .says = TEXT_NOTHING_TO_CHANGE}}},
        {"YES to: when?", dated, {{0, {.keyword = KEYWORD_YES}, .says = TEXT_Q_WHEN}}},
        {"\"this morning\" without the numbers", dated, {{0, {.temp = 0}, .says = TEXT_Q_WHEN}}},
        {"YES to: which one?", which, {{0, {.keyword = KEYWORD_YES}, .says = TEXT_Q_WHICH_READING}}},
        {"NO to: which one?", which, {{0, {.keyword = KEYWORD_NO}, .says = TEXT_DROPPED}}},
        {"two readings to: which one?", which, {{0, {.r = {{172, 82}, {140, 84}}}, .says = TEXT_GOT}}},
        {"another number to: which one?", which, {{0, {.r = {{133, 83}}}, .says = TEXT_GOT}}},
        {"NO to what was taken back", taken_back, {{0, {.keyword = KEYWORD_NO}, .says = TEXT_DROPPED}}},
        {"a void of nothing", NULL, {{0, {.amend = AMEND_VOID}, .says = TEXT_NOTHING_TO_CHANGE}}},
        {"a correction of nothing is new", NULL, {{0, {.r = {{132, 84}}, .amend = AMEND_CORRECT}, .says = TEXT_GOT}}},
        {"a rejected number that nobody sent", NULL,
         {{0, {.r = {{132, 84}}}, .says = TEXT_GOT},
          {5, {.amend = AMEND_VOID, .rejected = {{182, 82}}}, .says = TEXT_Q_WHICH_READING},
          {5, {.r = {{133, 84}}, .amend = AMEND_CORRECT, .rejected = {{182, 82}}}, .says = TEXT_Q_WHICH_READING}}},
        {"two taken back at once", NULL,
         {{0, {.r = {{172, 82}, {174, 83}}}, .says = TEXT_GOT},
          {5, {.amend = AMEND_VOID, .rejected = {{172, 82}, {174, 83}}}, .says = TEXT_DROPPED}}},
        {"doubts without a bit are uncertain", NULL, {{0, {.d = {{132, 84}}}, .says = TEXT_Q_UNCERTAIN}}},
        {"a diastolic alone", NULL, {{0, {.d = {{0, 84, .doubt = DOUBT_ONE_NUMBER}}}, .says = TEXT_Q_ONE_NUMBER}}},
        {"a severe diastolic alone", NULL,
         {{0, {.d = {{0, 125, .doubt = DOUBT_ONE_NUMBER}}}, .says = TEXT_W_SEVERE_DOUBT}}},
        {"a severe and a low doubtful one", NULL,
         {{0, {.d = {{190, 100, .doubt = DOUBT_UNCERTAIN}, {78, 50, .doubt = DOUBT_UNCERTAIN}}},
           .says = TEXT_W_SEVERE_DOUBT}}},
        {"a low and a severe doubtful one", NULL,
         {{0, {.d = {{78, 50, .doubt = DOUBT_UNCERTAIN}, {190, 100, .doubt = DOUBT_UNCERTAIN}}},
           .says = TEXT_W_SEVERE_DOUBT}}},
        {"a carer's lone number", one_of_two_targets,
         {{0, {.d = {{132, 0, .doubt = DOUBT_NOT_OWN}}}, .says = TEXT_Q_ONE_NUMBER}}},
        {"four without day and one with", NULL,
         {{0, {.r = {{132, 84}, {130, 82}, {134, 86}, {131, 83}, {133, 85, .slot = SLOT_MORNING}}}, .says = TEXT_GOT,
           .also = TEXT_Q_WHICH_DAYS}}},
        {"four of which one has a time", NULL,
         {{0, {.r = {{132, 84}, {130, 82}, {134, 86}, {131, 83, .clock = CLOCK(7, 30)}}}, .says = TEXT_GOT}}},
        {"away while away", NULL,
         {{0, {.news = NEWS_AWAY}, .says = TEXT_PAUSED}, {5, {.news = NEWS_IN_HOSPITAL}, .says = TEXT_IN_HOSPITAL}}},
        {"wrong number after wrong number", NULL,
         {{0, {.keyword = KEYWORD_WRONG_NUMBER}, .says = TEXT_WRONG_NUMBER},
          {5, {.keyword = KEYWORD_WRONG_NUMBER}, .says = TEXT_NONE},
          {5, {.keyword = KEYWORD_STOP}, .says = TEXT_NONE}}},
        {"a cuff's remark and wrist beside a reading", NULL,
         {{0, {.r = {{132, 84}}, .technique = TECHNIQUE_WRIST}, .says = TEXT_GOT, .desk = ON_DESK(MONITOR)}}},
        {"two pieces of news", NULL,
         {{0, {.news = NEWS_ES | NEWS_NIGHTS}, .says = TEXT_LANGUAGE_CHANGED, .desk = ON_DESK(NEWS)}}},
    };
    TALK_THROUGH(rows);
}

static void shared(struct play *a, struct play *b, const struct heard *h, enum text_kind says)
{
    struct meaning said = meaning_of(h);
    struct inbound in = {.text = ++a->next_text, .received = a->now, .sent = INSTANT_NONE, .meaning = &said};
    struct record *both[] = {&a->r, &b->r};
    struct effects e = {0};
    struct moment_of_care m = play_moment(a);

    care_text_shared(both, 2, &m, &in, &e);
    play_apply(a, &e);
    const struct outgoing *o = play_reply(a, in.text);
    assert_int_equal(o ? o->kind : TEXT_NONE, says);
}

static void whatever_a_shared_phone_says_is_asked_about(void **state)
{
    (void)state;
    static const struct heard asked[] = {
        {.r = {{132, 84}}}, {.d = {{132, 0, .doubt = DOUBT_ONE_NUMBER}}}, {.technique = TECHNIQUE_COLD}, {.asks = true},
        {.amend = AMEND_VOID}, {.news = NEWS_AWAY}, {.arm = 31}, {.cuff = {22, 42}}, {.keyword = KEYWORD_YES},
        {.keyword = KEYWORD_NO},
    };
    struct play a, b;
    play_joined(&a);
    play_joined(&b);
    b.r.person.id = 8;
    memset(a.r.person.tag, 'a', TAG_MAX - 1);
    memset(b.r.person.tag, 'b', TAG_MAX - 1);
    for (size_t i = 0; i < sizeof asked / sizeof *asked; i++) {
        play_clock(&a, a.now + 120);
        shared(&a, &b, &asked[i], TEXT_WHOSE);
    }
    play_clock(&a, a.now + 120);
    shared(&a, &b, &(struct heard){.keyword = KEYWORD_WRONG_NUMBER}, TEXT_STOPPED_SHARED);
    shared(&a, &b, &(struct heard){.keyword = KEYWORD_WRONG_NUMBER}, TEXT_NONE);
    b.r.person.state = PERSON_DIED;
    shared(&a, &b, &(struct heard){.keyword = KEYWORD_STOP}, TEXT_NONE);
    shared(&a, &b, &(struct heard){.keyword = KEYWORD_START}, TEXT_NONE);
    play_end(&a);
    play_end(&b);
}

static void a_question_about_whose_is_asked_again_on_yes(void **state)
{
    (void)state;
    struct play a;
    play_joined(&a);
    a.r.course.question = (struct question){.kind = QUESTION_SEND_AGAIN, .asked_at = a.now};
    int64_t text = play_says(&a, .keyword = KEYWORD_YES); /* nothing it was about is left */
    assert_int_equal(play_reply(&a, text)->kind, TEXT_NOT_UNDERSTOOD);
    play_end(&a);
}

static void rows_are_handed_over_with_a_reason(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    play_says(&p, .asks = true);
    struct care_action a = {.kind = ACTION_HAND_OVER, .id = play_desk(&p, DESK_ASKS)->id, .version = -1, .to = "ben"};
    assert_int_equal(play_act(&p, a), CARE_DONE);
    assert_string_equal(play_desk(&p, DESK_ASKS)->taken_by, "ben");
    snprintf(a.note, sizeof a.note, "he knows her");
    assert_int_equal(play_act(&p, a), CARE_DONE);
    assert_non_null(strstr(play_desk(&p, DESK_ASKS)->note, "ann: he knows her"));
    assert_int_equal(play_act(&p, (struct care_action){.kind = ACTION_TAKE, .id = a.id, .version = -1}), CARE_DONE);
    play_end(&p);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_text_of_as_many_readings_as_can_be_is_taken_whole),
        cmocka_unit_test(more_corrections_than_can_be_held_are_asked_about),
        cmocka_unit_test(every_target_of_a_full_list_gets_its_copy),
        cmocka_unit_test(a_copy_that_failed_after_the_alert_was_taken_goes_nowhere_else),
        cmocka_unit_test(readings_of_a_person_without_a_week_are_kept_aside),
        cmocka_unit_test(the_desk_adds_to_and_closes_weeks_that_are_over),
        cmocka_unit_test(answers_that_do_not_fit_take_nothing),
        cmocka_unit_test(whatever_a_shared_phone_says_is_asked_about),
        cmocka_unit_test(a_question_about_whose_is_asked_again_on_yes),
        cmocka_unit_test(rows_are_handed_over_with_a_reason),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
