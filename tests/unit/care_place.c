/* Where a reading belongs: day, slot, time, by what the text says; and rows and effects kept together. */
#include "care_play.h"

static void a_reading_is_placed_by_what_is_stated(void **state)
{
    (void)state;
    static const struct row {
        const char *why;
        int day, hour, minute; /* of November, when it is received */
        struct number n;
        int on;                /* day of November of the sitting */
        enum slot slot;
        int at;                /* minute of the day of `at`; -1 not checked */
        bool off_time, late;
    } rows[] = {
        {"in the morning window", 24, 7, 10, {132, 84}, 24, SLOT_MORNING, 430, false, false},
        {"in the evening window", 24, 20, 0, {132, 84}, 24, SLOT_EVENING, 1200, false, false},
        {"after midnight: the evening before", 24, 0, 30, {132, 84}, 23, SLOT_EVENING, 30, true, false},
        {"nearer the morning", 24, 12, 30, {132, 84}, 24, SLOT_MORNING, 750, true, false},
        {"nearer the evening", 24, 15, 0, {132, 84}, 24, SLOT_EVENING, 900, true, false},
        {"a stated time", 24, 20, 0, {132, 84, .clock = CLOCK(7, 30)}, 24, SLOT_MORNING, 450, false, false},
        {"a stated time decides over the slot", 24, 20, 0, {132, 84, .clock = CLOCK(7, 30), .slot = SLOT_EVENING}, 24,
         SLOT_MORNING, 450, false, false},
        {"a stated slot without a time is in its window", 24, 13, 0, {132, 84, .slot = SLOT_MORNING}, 24, SLOT_MORNING,
         719, false, false},
        {"a stated slot, earlier today", 24, 20, 0, {132, 84, .slot = SLOT_MORNING}, 24, SLOT_MORNING, 719, false, false},
        {"evening, said in the morning", 24, 8, 0, {132, 84, .slot = SLOT_EVENING}, 23, SLOT_EVENING, 1170, false, false},
        {"last night", 24, 8, 0, {132, 84, .slot = SLOT_EVENING, .day = ON_DAY(-1)}, 23, SLOT_EVENING, 1170, false, true},
        {"yesterday, no slot: by the time of day", 24, 20, 0, {132, 84, .day = ON_DAY(-1)}, 23, SLOT_EVENING, 1170, false,
         true},
        {"yesterday at a time", 24, 20, 0, {132, 84, .day = ON_DAY(-1), .clock = CLOCK(7, 15)}, 23, SLOT_MORNING, 435,
         false, true},
        {"today at a time", 24, 20, 0, {132, 84, .day = ON_DAY(0), .clock = CLOCK(7, 15)}, 24, SLOT_MORNING, 435, false,
         false},
        {"a clock time still to come was yesterday's", 24, 0, 30, {132, 84, .clock = CLOCK(22, 0)}, 23, SLOT_EVENING,
         1320, false, false},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct play p;
        play_joined(&p);
        p.r.week.opened_at = at_local(&p, 11, 20, 8, 0);
        play_to(&p, at_local(&p, 11, rows[i].day, rows[i].hour, rows[i].minute));
        play_text(&p, &(struct heard){.r = {rows[i].n}});
        const struct reading *x = play_reading(&p, 132);
        if (x->day != civil_day(2026, 11, rows[i].on) || x->slot != rows[i].slot || x->off_time != rows[i].off_time ||
            x->sent_late != rows[i].late || (rows[i].at >= 0 && x->minute != rows[i].at))
            fail_msg("%s: day %d, slot %d, minute %d, off %d, late %d", rows[i].why,
                     x->day - civil_day(2026, 11, 0 + 1) + 1, x->slot, x->minute, x->off_time, x->sent_late);
        assert_int_equal(x->standing, STANDING_ACCEPTED);
        play_end(&p);
    }
}

static void the_carriers_time_of_sending_counts_when_none_is_stated(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    play_to(&p, at_local(&p, 11, 23, 20, 0));
    struct heard h = {.r = {{132, 84}}};
    struct meaning said = meaning_of(&h);
    struct inbound in = {.text = 1, .received = p.now, .sent = at_local(&p, 11, 23, 8, 15), .meaning = &said};
    struct effects e = {0};
    struct moment_of_care m = play_moment(&p);
    care_text(&p.r, &m, &in, &e);
    play_apply(&p, &e);
    assert_int_equal(play_reading(&p, 132)->slot, SLOT_MORNING);
    assert_int_equal(play_reading(&p, 132)->at, in.sent);

    h.r[0].sys = 133;
    said = meaning_of(&h);
    in = (struct inbound){.text = 2, .received = p.now, .sent = p.now - 49 * HOURS, .meaning = &said};
    care_text(&p.r, &m, &in, &e); /* over 48 hours old with no day said */
    play_apply(&p, &e);
    assert_int_equal(play_reading(&p, 133)->standing, STANDING_HELD);
    assert_true(play_reading(&p, 133)->held & HELD_WHEN);
    play_end(&p);
}

static void readings_stay_in_the_order_of_their_times(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    struct effects e = {0};
    static const int64_t at[] = {500, 100, 300, 300, 900, 200};
    for (int i = 0; i < 6; i++) {
        struct reading x;
        reading_blank(&x, 7);
        x.id = 10 + i;
        x.at = at[i];
        assert_non_null(care_put_reading(&p.r, &x, &e));
    }
    struct reading moved = p.r.readings[0]; /* and when one is moved */
    moved.at = 400;
    care_put_reading(&p.r, &moved, &e);
    moved = p.r.readings[5];
    moved.at = 50;
    care_put_reading(&p.r, &moved, &e);
    assert_int_equal(p.r.n_readings, 6);
    for (size_t i = 1; i < 6; i++)
        assert_true(p.r.readings[i - 1].at < p.r.readings[i].at ||
                    (p.r.readings[i - 1].at == p.r.readings[i].at && p.r.readings[i - 1].id < p.r.readings[i].id));
    assert_int_equal(e.n, 6); /* a row set twice is one effect, as it was last */
    effects_clear(&e);
    play_end(&p);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_reading_is_placed_by_what_is_stated),
        cmocka_unit_test(the_carriers_time_of_sending_counts_when_none_is_stated),
        cmocka_unit_test(readings_stay_in_the_order_of_their_times),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
