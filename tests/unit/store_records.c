/* What a record holds: which rows belong to it, which do not, and what is counted; and which rows the tables refuse. */
#include "tests/unit/store_fresh.h"

enum { NOW = 1780000000, MINUTE = 60, HOUR = 3600 };

static const char A[] = "+447700900101";

static void a_person_that_is_not_there_is_an_empty_record(void **state)
{
    struct fresh *f = *state;
    struct record r;
    memset(&r, 0xa5, sizeof r);
    assert_ok(records_load(f->db, NOW, &(int64_t){7}, 1, &r));
    assert_true(r.person.id == 0 && r.week.id == 0);
    assert_true(r.course.next_look == INSTANT_NONE && r.course.hinted_day == DAY_NONE);
    assert_true(r.n_readings == 0 && r.n_alerts == 0 && r.n_desk == 0 && r.n_sent == 0);
    assert_null(r.readings);
    assert_ok(records_load(f->db, NOW, NULL, 0, NULL));
}

static void many_records_are_loaded_at_once(void **state)
{
    struct fresh *f = *state;
    enum { N = 40 };
    int64_t ids[N + 1];
    struct record r[N + 1];
    for (int i = 0; i <= N; i++) {
        char ref[16];
        ids[i] = 100 + i;
        snprintf(ref, sizeof ref, "P-%d", i);
        struct person p = a_person(ids[i], ref, A);
        if (i < N)
            assert_ok(put_person(f->db, &p));
    }
    memset(r, 0, sizeof r);
    assert_ok(records_load(f->db, NOW, ids, N + 1, r));
    for (int i = 0; i < N; i++)
        assert_int_equal(r[i].person.id, ids[i]);
    assert_int_equal(r[N].person.id, 0);
}

/* -- which rows ---------------------------------------------------------------------------------------------------------- */

static struct week a_week(int64_t id, int number)
{
    return (struct week){.id = id, .person = 1, .number = (int16_t)number, .first_day = DAY_NONE, .last_day = DAY_NONE,
                         .opened_at = NOW, .ended_at = INSTANT_NONE, .sent_at = INSTANT_NONE,
                         .reviewed_at = INSTANT_NONE};
}

static void readings_of_the_week_and_those_aside_belong(void **state)
{
    struct fresh *f = *state;
    static const struct {
        int64_t id, week, at;
    } readings[] = {{31, 21, 5}, {32, 22, 9}, {33, 0, 7}, {34, 22, 3}, {35, 22, 9}, {36, 21, 4}};
    struct person p = a_person(1, "P-0001", A);
    struct week first = a_week(21, 1), second = a_week(22, 2);
    assert_ok(db_begin(f->db));
    assert_ok(put_person(f->db, &p));
    assert_ok(write_one_effect(f->db, &(struct effect){.kind = EFFECT_WEEK, .week = first}));
    assert_ok(write_one_effect(f->db, &(struct effect){.kind = EFFECT_WEEK, .week = second}));
    for (size_t i = 0; i < COUNT(readings); i++) {
        struct reading x = {.id = readings[i].id, .person = 1, .week = readings[i].week, .at = readings[i].at, .day = 1,
                            .temp_c = NAN, .standing = readings[i].week ? STANDING_VOID : STANDING_ASIDE};
        assert_ok(write_one_effect(f->db, &(struct effect){.kind = EFFECT_READING, .reading = x}));
    }
    assert_ok(db_commit(f->db));
    static const struct {
        int number;
        int64_t week;
        const char *readings, *why;
    } cases[] = {
        {0, 22, "34 33 32 35", "the latest week, every standing, by instant and id"},
        {1, 21, "36 31 33", "an earlier one by its number"},
        {2, 22, "34 33 32 35", "the latest by its number"},
        {3, 0, "33", "one that there is not"},
    };
    for (size_t i = 0; i < COUNT(cases); i++) {
        struct record r = {0};
        char text[64] = "";
        assert_ok(record_load_week(f->db, NOW, 1, cases[i].number, &r));
        for (size_t k = 0; k < r.n_readings; k++)
            snprintf(text + strlen(text), sizeof text - strlen(text), k ? " %d" : "%d", (int)r.readings[k].id);
        if (r.week.id != cases[i].week || strcmp(text, cases[i].readings) != 0)
            fail_msg("%s: week %d: %s", cases[i].why, (int)r.week.id, text);
        free_record(&r);
    }
}

static void only_what_is_open_belongs(void **state)
{
    struct fresh *f = *state;
    struct person p = a_person(1, "P-0001", A);
    struct alert open = {.id = 1, .person = 1, .at = NOW, .taken_at = NOW, .resolved_at = INSTANT_NONE, .due = NOW},
                 resolved = {.id = 2, .person = 1, .at = NOW - 1, .taken_at = NOW, .resolved_at = NOW, .due = INSTANT_NONE};
    struct desk_row row = {.id = 1, .person = 1, .at = NOW, .done_at = INSTANT_NONE, .put_off_until = NOW},
                    done = {.id = 2, .person = 1, .at = NOW, .done_at = NOW, .put_off_until = INSTANT_NONE};
    struct alert *all;
    struct record r = {0};
    size_t n;
    assert_ok(put_person(f->db, &p));
    assert_ok(write_one_effect(f->db, &(struct effect){.kind = EFFECT_ALERT, .alert = open}));
    assert_ok(write_one_effect(f->db, &(struct effect){.kind = EFFECT_ALERT, .alert = resolved}));
    assert_ok(write_one_effect(f->db, &(struct effect){.kind = EFFECT_DESK, .desk = row}));
    assert_ok(write_one_effect(f->db, &(struct effect){.kind = EFFECT_DESK, .desk = done}));
    assert_ok(records_load(f->db, NOW, &p.id, 1, &r));
    assert_true(r.n_alerts == 1 && r.alerts[0].id == 1 && r.n_desk == 1 && r.desk[0].id == 1);
    free_record(&r);
    assert_ok(alerts_of_person(f->db, 1, NOW - 1, NOW + 1, &all, &n));
    assert_true(n == 2 && all[0].id == 2 && all[1].id == 1);
    free(all);
    assert_ok(alerts_of_person(f->db, 1, NOW - 1, NOW, &all, &n));
    assert_int_equal(n, 1);
    free(all);
}

/* -- what was said lately, and counts ------------------------------------------------------------------------------------- */

static void what_was_sent_is_remembered_and_counted(void **state)
{
    static const struct {
        const char *why;
        int ago;
        enum outgoing_class class_;
        uint16_t kind;
        enum channel channel;
        bool unprompted, other_person, cancelled;
        int sent, replies, strangers;
    } cases[] = {
        {"a reply of now", 0, CLASS_REPLY, TEXT_HELP, CHANNEL_TEXT, false, false, false, 1, 1, 0},
        {"a worry reply", MINUTE, CLASS_WORRY, TEXT_HELP, CHANNEL_TEXT, false, false, false, 1, 1, 0},
        {"of half an hour ago", 30 * MINUTE, CLASS_REPLY, TEXT_HELP, CHANNEL_TEXT, false, false, false, 1, 0, 0},
        {"of nearly half an hour ago", 30 * MINUTE - 1, CLASS_REPLY, TEXT_HELP, CHANNEL_TEXT, false, false, false, 1, 1, 0},
        {"of nearly two days ago", 48 * HOUR - 1, CLASS_REPLY, TEXT_HELP, CHANNEL_TEXT, false, false, false, 1, 0, 0},
        {"of two days ago", 48 * HOUR, CLASS_REPLY, TEXT_HELP, CHANNEL_TEXT, false, false, false, 0, 0, 0},
        {"a reminder is no reply", 0, CLASS_REMINDER, TEXT_HELP, CHANNEL_TEXT, true, false, false, 1, 0, 0},
        {"a nudge of the reply class is no reply", 0, CLASS_REPLY, TEXT_HELP, CHANNEL_TEXT, true, false, false, 1, 0, 0},
        {"what was withdrawn was not said", 0, CLASS_REPLY, TEXT_HELP, CHANNEL_TEXT, false, false, true, 0, 0, 0},
        {"staff are told of the patient, not the patient", 0, CLASS_WORRY, TEXT_S_ALERT, CHANNEL_TEXT, false, false, false, 0, 0, 0},
        {"a mail is no text", 0, CLASS_SUMMARY, TEXT_NONE, CHANNEL_MAIL, false, false, false, 0, 0, 0},
        {"to another person on that number", 0, CLASS_REPLY, TEXT_HELP, CHANNEL_TEXT, false, true, false, 0, 1, 0},
        {"the answer to a stranger", 0, CLASS_REPLY, TEXT_UNKNOWN_NUMBER, CHANNEL_TEXT, false, false, false, 1, 1, 1},
        {"of an hour ago", HOUR, CLASS_REPLY, TEXT_UNKNOWN_NUMBER, CHANNEL_TEXT, false, false, false, 1, 0, 0},
    };
    (void)state;
    for (size_t i = 0; i < COUNT(cases); i++) {
        void *fresh = NULL;
        fresh_setup(&fresh);
        void **state_of = &fresh;
        struct fresh *f = fresh;
        struct person one = a_person(1, "P-0001", A), two = a_person(2, "P-0002", A);
        struct outgoing o = a_text(5, cases[i].other_person ? 2 : 1, A, cases[i].class_, NOW - cases[i].ago);
        struct record r = {0};
        o.kind = cases[i].kind;
        o.channel = cases[i].channel;
        o.unprompted = cases[i].unprompted;
        o.hint = TEXT_HINT_QUIET;
        o.state = cases[i].cancelled ? OUTGOING_CANCELLED : OUTGOING_WAITING;
        if (put_person(f->db, &one) || put_person(f->db, &two) || put_text(f->db, &o) ||
            records_load(f->db, NOW, &one.id, 1, &r))
            fail_msg("%s: %s", cases[i].why, db_why(f->db));
        if ((int)r.n_sent != cases[i].sent || r.replies_30min != cases[i].replies ||
            r.strangers_hour != cases[i].strangers)
            fail_msg("%s: %zu sent, %d replies, %d to strangers", cases[i].why, r.n_sent, r.replies_30min,
                     r.strangers_hour);
        if (r.n_sent == 1)
            assert_true(r.sent[0].at == NOW - cases[i].ago && r.sent[0].kind == cases[i].kind &&
                        r.sent[0].hint == TEXT_HINT_QUIET && r.sent[0].class_ == cases[i].class_);
        free_record(&r);
        fresh_teardown(state_of);
    }
}

static struct stored_text a_stored(int64_t id, int64_t person, int64_t received)
{
    struct stored_text t = {.id = id, .person = person, .clinic = "maple", .to = "+447700900001",
                            .body = (char *)"132/84", .received = received, .sent = INSTANT_NONE};
    snprintf(t.from, sizeof t.from, "%s", A);
    memcpy(t.hash, &id, sizeof id);
    return t;
}

static void texts_of_the_last_ten_minutes_are_counted_by_number(void **state)
{
    struct fresh *f = *state;
    struct person p = a_person(1, "P-0001", A);
    struct record r = {0};
    static const int ago[] = {0, 1, 599, 600, 601, HOUR};
    assert_ok(put_person(f->db, &p));
    for (size_t i = 0; i < COUNT(ago); i++) {
        struct stored_text t = a_stored((int64_t)i + 1, i % 2 ? 1 : 0, NOW - ago[i]); /* whoever it was taken for */
        assert_ok(text_write(f->db, &t));
    }
    assert_ok(records_load(f->db, NOW, &p.id, 1, &r));
    assert_int_equal(r.texts_10min, 3);
    free_record(&r);
}

/* -- texts ------------------------------------------------------------------------------------------------------------- */

static void a_message_is_taken_once_for_ever(void **state)
{
    struct fresh *f = *state;
    struct stored_text t = a_stored(1, 0, NOW), again = a_stored(2, 0, NOW);
    uint8_t hashes[40][MESSAGE_HASH] = {{0}};
    bool known[40];
    memcpy(again.hash, t.hash, MESSAGE_HASH);
    memcpy(hashes[39], t.hash, MESSAGE_HASH);
    assert_ok(text_write(f->db, &t));
    assert_int_equal(text_write(f->db, &again), STORE_CONFLICT);
    assert_ok(texts_known(f->db, (const uint8_t(*)[MESSAGE_HASH])hashes, 40, known));
    for (int i = 0; i < 40; i++)
        assert_int_equal(known[i], i == 39);
    assert_ok(db_run(f->db, "DELETE FROM texts", NULL, 0)); /* its text may go, its hash stays */
    assert_int_equal(text_write(f->db, &again), STORE_CONFLICT);
}

static void a_text_comes_back_as_it_was_said(void **state)
{
    struct fresh *f = *state;
    struct person p = a_person(1, "P-0001", A);
    struct stored_text t = a_stored(1, 0, NOW), got, *all;
    struct effect outcome = {.kind = EFFECT_OUTCOME};
    bool found;
    size_t n;
    char *body = malloc(70001); /* texts are kept whole */
    memset(body, 'x', 70000);
    body[70000] = '\0';
    t.body = body;
    t.sent = NOW - 5;
    assert_ok(put_person(f->db, &p));
    assert_ok(text_write(f->db, &t));
    outcome.outcome.text = 1;
    outcome.outcome.person = 1;
    snprintf(outcome.outcome.why, sizeof outcome.outcome.why, "answered");
    assert_ok(write_one_effect(f->db, &outcome));
    assert_ok(text_get(f->db, 1, &got, &found));
    assert_true(found && got.person == 1 && got.received == NOW && got.sent == NOW - 5);
    assert_string_equal(got.body, body);
    assert_string_equal(got.why, "answered");
    assert_string_equal(got.from, A);
    assert_memory_equal(got.hash, t.hash, MESSAGE_HASH);
    free(got.body);
    for (int64_t id = 2; id < 6; id++) {
        t = a_stored(id, 1, NOW + id);
        t.body = id == 4 ? NULL : (char *)"134/85"; /* one was blanked */
        assert_ok(text_write(f->db, &t));
    }
    assert_ok(texts_of_person(f->db, 1, NOW, INT64_MAX, 3, &all, &n)); /* the latest three, oldest first */
    assert_true(n == 3 && all[0].id == 3 && all[1].id == 4 && all[2].id == 5);
    assert_null(all[1].body);
    for (size_t i = 0; i < n; i++)
        free(all[i].body);
    free(all);
    free(body);
    assert_ok(text_get(f->db, 99, &got, &found));
    assert_false(found);
}

/* -- people -------------------------------------------------------------------------------------------------------------- */

static void people_are_found_by_number_and_ref(void **state)
{
    struct fresh *f = *state;
    static const char *const refs[] = {"P-2", "", "P-1", "", "P-3", "P-4"};
    int64_t ids[4], id;
    size_t n;
    bool found;
    for (size_t i = 0; i < COUNT(refs); i++) { /* two strangers have no ref */
        struct person p = a_person((int64_t)i + 1, refs[i], i < 3 ? A : "+447700900102");
        assert_ok(put_person(f->db, &p));
    }
    assert_ok(people_of_number(f->db, "maple", A, ids, 4, &n));
    assert_true(n == 3 && ids[0] == 1 && ids[1] == 2 && ids[2] == 3);
    assert_ok(people_of_number(f->db, "maple", A, ids, 2, &n));
    assert_int_equal(n, 2);
    assert_ok(people_of_number(f->db, "birch", A, ids, 4, &n));
    assert_int_equal(n, 0);
    assert_ok(person_by_ref(f->db, "maple", "P-1", &id, &found));
    assert_true(found && id == 3);
    assert_ok(person_by_ref(f->db, "maple", "", &id, &found));
    assert_false(found);
    struct person twin = a_person(9, "P-1", A);
    assert_int_equal(put_person(f->db, &twin), STORE_CONFLICT);
    snprintf(twin.clinic, sizeof twin.clinic, "birch"); /* unique in its clinic only */
    assert_ok(put_person(f->db, &twin));
}

/* -- what is refused ------------------------------------------------------------------------------------------------------- */

static void rows_that_do_not_hold_are_refused(void **state)
{
    struct fresh *f = *state;
    struct person one = a_person(1, "P-0001", A), two = a_person(2, "P-0002", A);
    struct week w = a_week(21, 1);
    struct reading x = {.id = 31, .person = 1, .week = 21, .day = 1, .temp_c = NAN};
    assert_ok(put_person(f->db, &one));
    assert_ok(put_person(f->db, &two));
    assert_ok(write_one_effect(f->db, &(struct effect){.kind = EFFECT_WEEK, .week = w}));
    assert_ok(write_one_effect(f->db, &(struct effect){.kind = EFFECT_READING, .reading = x}));
    struct week twin = a_week(22, 1), other = a_week(21, 1);
    struct reading stray = x, taken = x, unknown = x, textless = x;
    other.person = taken.person = 2;
    taken.week = 0;
    stray.id = 32;
    stray.person = 2; /* in a week of person 1 */
    unknown.id = 33;
    unknown.person = 3;
    unknown.week = 0;
    textless.id = 34;
    textless.text = 77;
    struct course course = {.person = 3};
    const struct {
        const char *why;
        struct effect e;
    } cases[] = {
        {"two first weeks", {.kind = EFFECT_WEEK, .week = twin}},
        {"an id that is another person's week", {.kind = EFFECT_WEEK, .week = other}},
        {"an id that is another person's reading", {.kind = EFFECT_READING, .reading = taken}},
        {"a reading in another person's week", {.kind = EFFECT_READING, .reading = stray}},
        {"a reading of nobody", {.kind = EFFECT_READING, .reading = unknown}},
        {"a reading of a text that is not there", {.kind = EFFECT_READING, .reading = textless}},
        {"a course of nobody", {.kind = EFFECT_COURSE, .course = course}},
    };
    for (size_t i = 0; i < COUNT(cases); i++)
        if (write_one_effect(f->db, &cases[i].e) != STORE_CONFLICT)
            fail_msg("%s", cases[i].why);
    struct record r = {0};
    assert_ok(records_load(f->db, NOW, &one.id, 1, &r)); /* and nothing of it was written */
    assert_true(r.week.id == 21 && r.n_readings == 1 && r.readings[0].person == 1);
    free_record(&r);
}

static void a_transaction_is_all_or_nothing(void **state)
{
    struct fresh *f = *state;
    struct person one = a_person(1, "P-0001", A), twin = a_person(2, "P-0001", A), got;
    bool found;
    assert_ok(db_begin(f->db));
    assert_ok(put_person(f->db, &one));
    int error = put_person(f->db, &twin);
    if (!error) /* a driver across a network may tell it later, but before it commits */
        error = db_commit(f->db);
    assert_int_equal(error, STORE_CONFLICT);
    assert_true(strlen(db_why(f->db)) > 0);
    assert_null(strstr(db_why(f->db), "P-0001")); /* what went wrong, never data */
    db_rollback(f->db);
    assert_ok(person_get(f->db, 1, &got, &found));
    assert_false(found);
    assert_ok(put_person(f->db, &one)); /* and it goes on */
}

/* -- what is due ----------------------------------------------------------------------------------------------------------- */

static void what_is_due_comes_earliest_first(void **state)
{
    struct fresh *f = *state;
    int64_t persons[4], due[4], alerts[4], next, largest;
    struct outgoing rows[4];
    size_t n;
    assert_ok(due_next(f->db, &next));
    assert_true(next == INSTANT_NONE);
    for (int64_t id = 1; id <= 3; id++) {
        char ref[8];
        snprintf(ref, sizeof ref, "P-%d", (int)id);
        struct person p = a_person(id, ref, A);
        struct course c = {.person = id, .next_look = id == 3 ? INSTANT_NONE : NOW - id};
        struct alert a = {.id = 10 + id, .person = id, .at = NOW, .due = id == 3 ? INSTANT_NONE : NOW - 10 * id};
        assert_ok(put_person(f->db, &p));
        assert_ok(write_one_effect(f->db, &(struct effect){.kind = EFFECT_COURSE, .course = c}));
        assert_ok(write_one_effect(f->db, &(struct effect){.kind = EFFECT_ALERT, .alert = a}));
    }
    assert_ok(looks_due(f->db, NOW, persons, due, 4, &n));
    assert_true(n == 2 && persons[0] == 2 && persons[1] == 1 && due[0] == NOW - 2);
    assert_ok(looks_due(f->db, NOW, persons, due, 1, &n));
    assert_int_equal(n, 1);
    assert_ok(looks_due(f->db, NOW - 3, persons, due, 4, &n));
    assert_int_equal(n, 0);
    assert_ok(alerts_due(f->db, NOW, alerts, persons, due, 4, &n));
    assert_true(n == 2 && alerts[0] == 12 && persons[0] == 2 && due[0] == NOW - 20);
    assert_ok(due_next(f->db, &next));
    assert_int_equal(next, NOW - 20);
    assert_ok(due_after(f->db, NOW - 20, &next));
    assert_int_equal(next, NOW - 10);
    assert_ok(alert_due_set(f->db, 12, NOW + 60));
    assert_ok(look_due_set(f->db, 2, INSTANT_NONE));
    assert_ok(due_after(f->db, NOW, &next));
    assert_int_equal(next, NOW + 60);

    struct outgoing worry = a_text(50, 1, A, CLASS_WORRY, NOW), reminder = a_text(51, 1, A, CLASS_REMINDER, NOW + 30);
    worry.worry_reply = true;
    reminder.expires = NOW + HOUR;
    assert_ok(put_text(f->db, &worry));
    assert_ok(put_text(f->db, &reminder));
    assert_ok(due_after(f->db, NOW, &next)); /* the stepped clock stops where a text is to go */
    assert_int_equal(next, NOW + 30);
    worry.due = NOW + 900; /* retries do not put off that it is late */
    worry.attempts = 4;
    assert_ok(outbox_set(f->db, &worry));
    assert_ok(outbox_overdue(f->db, NOW + 299, rows, 4, &n));
    assert_int_equal(n, 0);
    assert_ok(outbox_overdue(f->db, NOW + HOUR, rows, 4, &n));
    assert_true(n == 2 && rows[0].id == 50 && rows[1].id == 51);
    assert_ok(outbox_overdue_set(f->db, 50, INSTANT_NONE)); /* told: no more */
    assert_ok(outbox_overdue_set(f->db, 51, NOW + HOUR + 60));
    assert_ok(outbox_overdue(f->db, NOW + HOUR, rows, 4, &n));
    assert_int_equal(n, 0);
    assert_ok(outbox_overdue(f->db, NOW + HOUR + 60, rows, 4, &n));
    assert_int_equal(n, 1);
    assert_ok(db_largest_id(f->db, &largest));
    assert_int_equal(largest, 51);
}

#define FRESH(test) cmocka_unit_test_setup_teardown(test, fresh_setup, fresh_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        FRESH(a_person_that_is_not_there_is_an_empty_record),
        FRESH(many_records_are_loaded_at_once),
        FRESH(readings_of_the_week_and_those_aside_belong),
        FRESH(only_what_is_open_belongs),
        cmocka_unit_test(what_was_sent_is_remembered_and_counted),
        FRESH(texts_of_the_last_ten_minutes_are_counted_by_number),
        FRESH(a_message_is_taken_once_for_ever),
        FRESH(a_text_comes_back_as_it_was_said),
        FRESH(people_are_found_by_number_and_ref),
        FRESH(rows_that_do_not_hold_are_refused),
        FRESH(a_transaction_is_all_or_nothing),
        FRESH(what_is_due_comes_earliest_first),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
