/* Doubtful numbers: worry is judged on each way in which they could be meant, and the question goes with it.
 *
 * Lines: severe 180/120 (NICE NG136; AHA); low from early-warning scores, from memory, confirm against the original; ten
 * minutes for one measurement in several texts are ours.
 */
#include "care_talk.h"

#define AT(...) {.r = {__VA_ARGS__}}

static void a_doubtful_number_is_worried_about_each_way_it_could_be_meant(void **state)
{
    (void)state;
    static const struct talk rows[] = {
        {"uncertain and severe", NULL,
         {{0, {.d = {{190, 100, .doubt = DOUBT_UNCERTAIN}}}, .says = TEXT_W_SEVERE_DOUBT, .also = TEXT_Q_UNCERTAIN},
          {31, .only_wait = true, .says = TEXT_NONE, .level = ALERT_URGENT, .cause = "doubtful"}}},
        {"a lone number as systolic", NULL,
         {{0, {.d = {{190, 0, .doubt = DOUBT_ONE_NUMBER}}}, .says = TEXT_W_SEVERE_DOUBT, .also = TEXT_Q_ONE_NUMBER}}},
        {"turned round", NULL,
         {{0, {.d = {{100, 190, .doubt = DOUBT_SWAPPED}}}, .says = TEXT_W_SEVERE_DOUBT, .also = TEXT_Q_SWAPPED}}},
        {"turned round and well: only the question", NULL,
         {{0, {.d = {{84, 132, .doubt = DOUBT_SWAPPED}}}, .says = TEXT_Q_SWAPPED}}},
        {"centimetres of mercury", NULL,
         {{0, {.d = {{19, 11, .doubt = DOUBT_OUT_OF_RANGE}}}, .says = TEXT_W_SEVERE_DOUBT,
           .also = TEXT_Q_OUT_OF_RANGE}}},
        {"13/84 is no human reading and none that worries", NULL,
         {{0, {.d = {{13, 84, .doubt = DOUBT_OUT_OF_RANGE}}}, .says = TEXT_Q_OUT_OF_RANGE}}},
        {"132 and 84 is no low systolic", NULL,
         {{0, {.d = {{132, 0, .doubt = DOUBT_PAIRING}, {84, 0, .doubt = DOUBT_PAIRING}}}, .says = TEXT_Q_PAIRING}}},
        {"four in a row that are well", NULL,
         {{0, {.d = {{132, 0, .doubt = DOUBT_PAIRING}, {128, 0, .doubt = DOUBT_PAIRING}, {84, 0, .doubt = DOUBT_PAIRING},
                     {82, 0, .doubt = DOUBT_PAIRING}}}, .says = TEXT_Q_PAIRING}}},
        {"150 and 125 may be a severe diastolic", NULL,
         {{0, {.d = {{150, 0, .doubt = DOUBT_PAIRING}, {125, 0, .doubt = DOUBT_PAIRING}}}, .says = TEXT_W_SEVERE_DOUBT,
           .also = TEXT_Q_PAIRING}}},
        {"88 and 50 may be a low systolic", NULL,
         {{0, {.d = {{88, 0, .doubt = DOUBT_PAIRING}, {50, 0, .doubt = DOUBT_PAIRING}}}, .says = TEXT_W_LOW_CHECK}}},
        {"the top, the bottom and the pulse, each in a text of its own: no false alarm", NULL,
         {{0, {.d = {{132, 0, .doubt = DOUBT_ONE_NUMBER}}}, .says = TEXT_Q_ONE_NUMBER},
          {1, {.d = {{84, 0, .doubt = DOUBT_ONE_NUMBER}}}, .says = TEXT_PERSON_WILL_LOOK},
          {1, {.d = {{71, 0, .doubt = DOUBT_ONE_NUMBER}}}, .says = TEXT_PERSON_WILL_LOOK},
          {40, .only_wait = true, .says = TEXT_NONE}}},
        {"a severe bottom number in a text of its own", NULL,
         {{0, {.d = {{170, 0, .doubt = DOUBT_ONE_NUMBER}}}, .says = TEXT_Q_ONE_NUMBER},
          {1, {.d = {{124, 0, .doubt = DOUBT_ONE_NUMBER}}}, .says = TEXT_W_SEVERE_DOUBT}}},
        {"a pulse after a pair without one", NULL,
         {{0, AT({132, 84}), .says = TEXT_GOT},
          {1, {.d = {{71, 0, .doubt = DOUBT_ONE_NUMBER}}}, .says = TEXT_Q_ONE_NUMBER}}},
        {"no pulse is that fast: a systolic", NULL,
         {{0, AT({132, 84}), .says = TEXT_GOT},
          {1, {.d = {{190, 0, .doubt = DOUBT_ONE_NUMBER}}}, .says = TEXT_W_SEVERE_DOUBT}}},
        {"the pulse was there already", NULL,
         {{0, AT({132, 84, 70}), .says = TEXT_GOT},
          {1, {.d = {{71, 0, .doubt = DOUBT_ONE_NUMBER}}}, .says = TEXT_W_LOW}}},
        {"a quarter of an hour later it belongs to nothing", NULL,
         {{0, AT({132, 84}), .says = TEXT_GOT},
          {15, {.d = {{71, 0, .doubt = DOUBT_ONE_NUMBER}}}, .says = TEXT_W_LOW}}},
        {"somebody else's", NULL,
         {{0, {.d = {{190, 100, .doubt = DOUBT_NOT_OWN}}}, .says = TEXT_W_SEVERE_DOUBT, .also = TEXT_Q_OWN}}},
        {"a doubtful low one", NULL,
         {{0, {.d = {{78, 50, .doubt = DOUBT_UNCERTAIN}}}, .says = TEXT_W_LOW, .also = TEXT_Q_UNCERTAIN},
          {31, .only_wait = true, .says = TEXT_NONE, .level = ALERT_URGENT, .cause = "doubtful"}}},
        {"a doubtful lowish one", NULL,
         {{0, {.d = {{88, 60, .doubt = DOUBT_UNCERTAIN}}}, .says = TEXT_W_LOW_CHECK}}},
        {"NO settles it", NULL,
         {{0, {.d = {{190, 100, .doubt = DOUBT_UNCERTAIN}}}, .says = TEXT_W_SEVERE_DOUBT},
          {5, {.keyword = KEYWORD_NO}, .says = TEXT_DROPPED, .gone = ON_DESK(SEVERE)},
          {40, .only_wait = true, .says = TEXT_NONE}}},
        {"YES makes it a severe reading, which is then followed up", NULL,
         {{0, {.d = {{190, 100, .doubt = DOUBT_UNCERTAIN}}}, .says = TEXT_W_SEVERE_DOUBT},
          {5, {.keyword = KEYWORD_YES}, .says = TEXT_W_SEVERE},
          {31, .only_wait = true, .says = TEXT_W_REPEAT_NOW, .level = ALERT_URGENT, .cause = "no_repeat"}}},
        {"clear numbers that are well settle it", NULL,
         {{0, {.d = {{19, 11, .doubt = DOUBT_OUT_OF_RANGE}}}, .says = TEXT_W_SEVERE_DOUBT},
          {5, AT({132, 84}), .says = TEXT_GOT, .gone = ON_DESK(SEVERE)},
          {40, .only_wait = true, .says = TEXT_NUDGE_HALF}}},
        {"clear numbers that are severe are the first severe reading", NULL,
         {{0, {.d = {{19, 11, .doubt = DOUBT_OUT_OF_RANGE}}}, .says = TEXT_W_SEVERE_DOUBT},
          {5, AT({190, 110}), .says = TEXT_W_SEVERE}}},
        {"a doubtful one leaves a severe timer alone", NULL,
         {{0, AT({190, 100}), .says = TEXT_W_SEVERE},
          {5, {.d = {{188, 100, .doubt = DOUBT_UNCERTAIN}}}, .says = TEXT_W_SEVERE_DOUBT},
          {26, .only_wait = true, .says = TEXT_W_REPEAT_NOW, .level = ALERT_URGENT, .cause = "no_repeat"}}},
    };
    TALK_THROUGH(rows);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_doubtful_number_is_worried_about_each_way_it_could_be_meant),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
