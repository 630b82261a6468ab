/* A patient's week as JSON: the made-up diary of seven days, of which every figure is known.
 *
 * Sums and means of the diary are plain arithmetic; SDs computed with Python 3.11's statistics module (stdev). The keys are
 * those of the contract, in its order.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <cmocka.h>

#include <jansson.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/week.h"

static const int16_t diary[7][4][2] = {
    /* morning 1, morning 2, evening 1, evening 2 */
    {{148, 91}, {144, 89}, {150, 92}, {146, 90}}, {{138, 86}, {136, 85}, {141, 88}, {137, 86}},
    {{135, 84}, {133, 84}, {139, 87}, {136, 85}}, {{140, 87}, {134, 85}, {138, 86}, {135, 84}},
    {{132, 83}, {131, 82}, {136, 85}, {133, 83}}, {{137, 86}, {135, 84}, {142, 88}, {138, 87}},
    {{133, 84}, {130, 82}, {134, 84}, {132, 83}},
};

enum { PER_WEEK = 28 };
static struct clinic maple;
static struct record r;
static struct week_result result;
static struct reading readings[PER_WEEK + 4];
static const char *texts[PER_WEEK + 4];
static struct week_view view = {.record = &r, .result = &result, .texts = texts};
static int32_t first;

static struct reading *reading_add(int day, int at, int sys, int dia)
{
    struct reading *x = &readings[r.n_readings++];
    bool morning = at < 2;
    reading_blank(x, 7);
    x->id = (INT64_C(1) << 52) + (int64_t)r.n_readings;
    x->week = 3;
    x->day = first + day;
    x->slot = morning ? SLOT_MORNING : SLOT_EVENING;
    x->minute = (int16_t)((morning ? 7 * 60 : 20 * 60) + at);
    x->at = x->received = ((int64_t)first + day) * 86400 + x->minute * 60;
    x->sys = (int16_t)sys;
    x->dia = (int16_t)dia;
    return x;
}

static int week_make(void **state)
{
    (void)state;
    char why[200];
    first = civil_day(2026, 11, 24);
    snprintf(maple.id, sizeof maple.id, "maple");
    snprintf(maple.protocol_name, sizeof maple.protocol_name, "esh");
    maple.morning = (struct span){300, 720};
    maple.evening = (struct span){960, 1440};
    assert_int_equal(protocol_find("esh", &maple.protocol, why, sizeof why), 0);
    r = (struct record){.clinic = &maple, .protocol = maple.protocol, .readings = readings};
    memset(texts, 0, sizeof texts);
    view.alerts = NULL;
    view.n_alerts = 0;
    r.zone.n = r.clinic_zone.n = 1;
    person_blank(&r.person, &maple);
    course_blank(&r.course, 7);
    week_blank(&r.week, 7);
    r.person.id = 7;
    r.person.state = PERSON_JOINED;
    snprintf(r.person.ref, sizeof r.person.ref, "P-0001");
    return 0;
}

static void week_fill(void)
{
    r.week.id = 3;
    r.week.number = 1;
    r.week.version = 1;
    r.week.state = WEEK_MEASURING;
    r.week.first_day = first;
    r.week.days_wanted = 7;
    r.week.opened_at = (int64_t)first * 86400;
    snprintf(r.week.protocol, sizeof r.week.protocol, "esh");
    for (int day = 0; day < 7; day++)
        for (int at = 0; at < 4; at++)
            reading_add(day, at, diary[day][at][0], diary[day][at][1]);
}

static json_t *shown(void)
{
    week_result(&r, ((int64_t)first + 8) * 86400, &result);
    char *text = week_json(&view);
    assert_non_null(text);
    assert_null(strchr(text, '\n'));
    json_t *o = json_loads(text, JSON_REJECT_DUPLICATES, NULL);
    assert_non_null(o);
    free(text);
    return o;
}

static double number(const json_t *o, const char *a, const char *b)
{
    return json_number_value(json_object_get(json_object_get(o, a), b));
}

static void near(double got, double want)
{
    if (!(fabs(got - want) < 1e-6))
        fail_msg("%.9f instead of %.9f", got, want);
}

static void the_figures_of_the_diary_are_unrounded(void **state)
{
    (void)state;
    week_fill();
    json_t *o = shown();
    near(number(o, "mean", "sys"), 3255.0 / 24); /* without day 1 */
    near(number(o, "mean", "dia"), 2038.0 / 24);
    near(number(o, "mean", "n"), 24);
    assert_true(json_is_null(json_object_get(json_object_get(o, "mean"), "pulse")));
    near(number(o, "morning", "sys"), 134.5);
    near(number(o, "evening", "dia"), 85.5);
    near(number(o, "sd", "sys"), 3.145908);
    near(number(o, "sd", "dia"), 1.742479);
    assert_true(json_is_true(json_object_get(o, "enough")));
    assert_int_equal(json_array_size(json_object_get(o, "missing")), 0);
    near(number(o, "threshold", "sys"), 135);
    assert_int_equal(json_array_size(json_object_get(json_object_get(o, "interval95"), "sys")), 2);
    assert_string_not_equal(json_string_value(json_object_get(o, "category")), "below"); /* 136/85 as shown */
    json_decref(o);
}

static void every_key_is_there_in_the_contracts_order(void **state)
{
    static const char *const keys[] = {"clinic",
                                       "ref",
                                       "person",
                                       "state",
                                       "protocol",
                                       "week",
                                       "version",
                                       "first_day",
                                       "last_day",
                                       "days_wanted",
                                       "readings",
                                       "mean",
                                       "morning",
                                       "evening",
                                       "sd",
                                       "interval95",
                                       "chance_at_or_above",
                                       "enough",
                                       "missing",
                                       "category",
                                       "threshold",
                                       "cuff",
                                       "office",
                                       "pattern",
                                       "quality",
                                       "alerts"};
    (void)state;
    for (int filled = 0; filled < 2; filled++) {
        if (filled)
            week_fill();
        json_t *o = shown(), *value;
        const char *key;
        size_t n = 0;
        json_object_foreach(o, key, value)
        {
            assert_true(n < sizeof keys / sizeof *keys);
            assert_string_equal(key, keys[n++]);
        }
        assert_int_equal(n, sizeof keys / sizeof *keys);
        json_decref(o);
    }
}

static void no_reading_yet_is_null_and_n_0(void **state)
{
    (void)state;
    json_t *o = shown();
    assert_string_equal(json_string_value(json_object_get(o, "state")), "waiting");
    assert_int_equal(json_integer_value(json_object_get(o, "week")), 1);
    assert_int_equal(json_integer_value(json_object_get(o, "days_wanted")), 7);
    assert_true(json_is_null(json_object_get(o, "first_day")));
    assert_true(json_is_null(json_object_get(json_object_get(o, "mean"), "sys")));
    near(number(o, "mean", "n"), 0);
    assert_true(json_is_null(json_object_get(json_object_get(o, "interval95"), "sys")));
    assert_true(json_is_null(json_object_get(o, "category")));
    assert_true(json_is_null(json_object_get(o, "office")));
    assert_true(json_is_null(json_object_get(o, "pattern")));
    json_decref(o);
}

static const char *text_of(const json_t *o, const char *key)
{
    return json_string_value(json_object_get(o, key));
}

static void every_reading_is_listed_with_its_standing_and_why(void **state)
{
    (void)state;
    week_fill();
    texts[0] = "148/91 71";
    readings[0].pulse = 71;
    readings[0].technique = TECHNIQUE_COLD | TECHNIQUE_TALKING;
    struct reading *held = reading_add(2, 3, 272, 84), *aside = reading_add(0, 0, 150, 90);
    held->standing = STANDING_HELD;
    held->held = HELD_LIMITS;
    aside->standing = STANDING_ASIDE;
    aside->held = HELD_CONSENT;
    aside->week = 0;
    aside->day = first - 1;
    json_t *o = shown(), *list = json_object_get(o, "readings");
    assert_int_equal(json_array_size(list), PER_WEEK + 2);
    const json_t *one = json_array_get(list, 0), *two = json_array_get(list, 1),
                 *counted = json_array_get(list, 4);
    assert_true(json_integer_value(json_object_get(one, "id")) == (INT64_C(1) << 52) + 1);
    assert_string_equal(text_of(one, "at"), "2026-11-24T07:00:00Z");
    assert_int_equal(json_integer_value(json_object_get(one, "day")), 1);
    assert_string_equal(text_of(one, "slot"), "morning");
    assert_string_equal(text_of(one, "standing"), "accepted");
    assert_true(json_is_false(json_object_get(one, "counted")));
    assert_string_equal(text_of(one, "why"), "first day");
    assert_string_equal(text_of(one, "text"), "148/91 71");
    assert_int_equal(json_array_size(json_object_get(one, "technique")), 2);
    assert_string_equal(json_string_value(json_array_get(json_object_get(one, "technique"), 0)), "cold");
    assert_true(json_is_null(json_object_get(two, "pulse")));
    assert_true(json_is_null(json_object_get(two, "text"))); /* entered at the desk, or blanked since */
    assert_true(json_is_true(json_object_get(counted, "counted")));
    assert_true(json_is_null(json_object_get(counted, "why")));
    assert_string_equal(text_of(json_array_get(list, PER_WEEK), "standing"), "held");
    assert_string_equal(text_of(json_array_get(list, PER_WEEK + 1), "standing"),
                        "held"); /* aside: no word of its own */
    assert_int_equal(json_integer_value(json_object_get(json_array_get(list, PER_WEEK + 1), "day")), 0);
    json_decref(o);
}

static void what_is_missing_is_of_ended_sittings_only(void **state)
{
    (void)state;
    week_fill();
    r.n_readings = 4 * 3 + 1; /* three whole days, one of the fourth morning */
    week_result(&r, ((int64_t)first + 3) * 86400 + 13 * 3600, &result); /* 13:00: the evening has not begun */
    char *text = week_json(&view);
    json_t *o = json_loads(text, 0, NULL), *missing = json_object_get(o, "missing"),
           *one = json_array_get(missing, 0);
    free(text);
    assert_int_equal(json_array_size(missing), 1);
    assert_int_equal(json_integer_value(json_object_get(one, "day")), 4);
    assert_string_equal(text_of(one, "slot"), "morning");
    assert_int_equal(json_integer_value(json_object_get(one, "readings")), 1);
    json_decref(o);
}

static void office_and_alerts_are_shown(void **state)
{
    (void)state;
    struct alert a[2];
    alert_blank(&a[0], &r.person);
    a[0].id = 17;
    a[0].level = ALERT_URGENT;
    a[0].at = (int64_t)first * 86400;
    snprintf(a[0].cause, sizeof a[0].cause, "severe");
    a[1] = a[0];
    a[1].level = ALERT_EMERGENCY;
    a[1].taken_at = a[0].at + 60;
    r.person.office_sys = 148;
    r.person.office_dia = 92;
    r.person.office_day = civil_day(2026, 11, 20);
    view.alerts = a;
    view.n_alerts = 2;
    json_t *o = shown(), *list = json_object_get(o, "alerts");
    near(number(o, "office", "dia"), 92);
    assert_string_equal(text_of(json_object_get(o, "office"), "on"), "2026-11-20");
    assert_int_equal(json_array_size(list), 2);
    assert_string_equal(text_of(json_array_get(list, 0), "level"), "urgent");
    assert_true(json_is_null(json_object_get(json_array_get(list, 0), "taken_at")));
    assert_string_equal(text_of(json_array_get(list, 1), "taken_at"), "2026-11-24T00:01:00Z");
    json_decref(o);
}

static void a_state_without_a_word_in_the_contract_is_left(void **state)
{
    static const struct {
        enum person_state is;
        const char *word;
    } rows[] = {{PERSON_INVITED, "invited"}, {PERSON_JOINED, "joined"},     {PERSON_DECLINED, "declined"},
                {PERSON_PAUSED, "paused"},   {PERSON_LEFT, "left"},         {PERSON_DIED, "died"},
                {PERSON_CLOSED, "left"},     {PERSON_WRONG_NUMBER, "left"}, {PERSON_WITHDRAWN, "left"}};
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        r.person.state = rows[i].is;
        assert_string_equal(person_state_word(&r.person), rows[i].word);
    }
}

static void people_read_whole_numbers_half_up(void **state)
{
    (void)state;
    struct buffer b;
    buffer_init(&b, 1 << 20);
    week_fill();
    week_result(&r, ((int64_t)first + 8) * 86400, &result);
    week_text(&view, &b);
    assert_false(b.failed);
    assert_non_null(strstr(b.at, "maple P-0001: joined, week 1 measuring, protocol esh\n"));
    assert_non_null(
        strstr(b.at, "  2026-11-24 07:00 morning  148/91             accepted, not counted: first day\n"));
    assert_non_null(strstr(
        b.at,
        "\nmean 136/85 (24 readings)\n  mornings 135/84 (12 readings)\n  evenings 137/86 (12 readings)\n"));
    buffer_clear(&b);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup(the_figures_of_the_diary_are_unrounded, week_make),
        cmocka_unit_test_setup(every_key_is_there_in_the_contracts_order, week_make),
        cmocka_unit_test_setup(no_reading_yet_is_null_and_n_0, week_make),
        cmocka_unit_test_setup(every_reading_is_listed_with_its_standing_and_why, week_make),
        cmocka_unit_test_setup(what_is_missing_is_of_ended_sittings_only, week_make),
        cmocka_unit_test_setup(office_and_alerts_are_shown, week_make),
        cmocka_unit_test_setup(a_state_without_a_word_in_the_contract_is_left, week_make),
        cmocka_unit_test_setup(people_read_whole_numbers_half_up, week_make),
    };
    return cmocka_run_group_tests_name("week_json", tests, NULL, NULL);
}
