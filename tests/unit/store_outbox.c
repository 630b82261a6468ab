/* What may be sent next: order, classes, one text a number in flight; what is withdrawn, counted, found. The rules are
 * those of the outside contract (four classes, order for each number, worry passes everything).
 */
#include "tests/unit/store_fresh.h"

enum { NOW = 1780000000, TAKE = 8 };

static const char A[] = "+447700900101", B[] = "+447700900102", M[] = "mailto:results@example.org";

struct queued {
    int64_t id;
    const char *to;
    enum outgoing_class class_;
    int due;       /* seconds from now */
    int attempts;
};

static void queue_row(void **state, const struct queued *q)
{
    struct fresh *f = *state;
    struct outgoing o = a_text(q->id, 7, q->to, q->class_, NOW + q->due);
    if (strncmp(q->to, "mailto:", 7) == 0)
        o.channel = CHANNEL_MAIL;
    assert_ok(put_text(f->db, &o));
    o.attempts = (int16_t)q->attempts;
    assert_ok(outbox_set(f->db, &o));
}

static void taken_as_text(void **state, const struct busy_numbers *busy, size_t max, char *text, size_t size)
{
    struct fresh *f = *state;
    struct outgoing out[TAKE];
    size_t n, at = 0;
    assert_ok(outbox_take(f->db, NOW, busy, out, max, &n));
    text[0] = '\0';
    for (size_t i = 0; i < n; i++)
        at += (size_t)snprintf(text + at, size - at, i ? " %lld" : "%lld", (long long)out[i].id);
}

static void rows_are_taken_in_their_order(void **state)
{
    (void)state;
    static const struct {
        const char *why;
        struct queued rows[5]; /* ended by id 0 */
        const char *busy;
        uint32_t shut;
        size_t max;
        const char *taken;
    } cases[] = {
        {"nothing waits", {{0}}, NULL, 0, TAKE, ""},
        {"not before its time", {{1, A, CLASS_REPLY, 1, 0}}, NULL, 0, TAKE, ""},
        {"due now", {{1, A, CLASS_REPLY, 0, 0}}, NULL, 0, TAKE, "1"},
        {"worry first, then replies, reminders, summaries",
         {{1, M, CLASS_SUMMARY, -9, 0}, {2, A, CLASS_REMINDER, -8, 0}, {3, B, CLASS_REPLY, -7, 0},
          {4, "+447700900103", CLASS_WORRY, 0, 0}}, NULL, 0, TAKE, "4 3 2 1"},
        {"within a class by due time", {{1, A, CLASS_REPLY, -1, 0}, {2, B, CLASS_REPLY, -2, 0}}, NULL, 0, TAKE, "2 1"},
        {"due at once: by id", {{2, A, CLASS_REPLY, -1, 0}, {1, B, CLASS_REPLY, -1, 0}}, NULL, 0, TAKE, "1 2"},
        {"across channels by due time", {{1, M, CLASS_WORRY, -1, 0}, {2, A, CLASS_WORRY, -2, 0},
                                         {3, B, CLASS_WORRY, 0, 0}}, NULL, 0, TAKE, "2 1 3"},
        {"one text a number at a time", {{1, A, CLASS_REPLY, -2, 0}, {2, A, CLASS_REPLY, -1, 0}}, NULL, 0, TAKE, "1"},
        {"the earlier one, though it is due later after an attempt",
         {{1, A, CLASS_REPLY, -1, 3}, {2, A, CLASS_REPLY, -2, 0}}, NULL, 0, TAKE, "1"},
        {"a later text waits while the earlier waits for its next attempt",
         {{1, A, CLASS_REPLY, 60, 1}, {2, A, CLASS_REPLY, -1, 0}}, NULL, 0, TAKE, ""},
        {"it does not wait for one that was queued for later", {{1, A, CLASS_REPLY, 60, 0}, {2, A, CLASS_REPLY, -1, 0}},
         NULL, 0, TAKE, "2"},
        {"worry does not wait for a worry that failed", {{1, A, CLASS_WORRY, 60, 1}, {2, A, CLASS_WORRY, -1, 0}},
         NULL, 0, TAKE, "2"},
        {"worry waits for nothing else", {{1, A, CLASS_REPLY, -9, 2}, {2, A, CLASS_WORRY, 0, 0}}, NULL, 0, TAKE, "2"},
        {"a mail does not wait for one that failed", {{1, M, CLASS_SUMMARY, 60, 1}, {2, M, CLASS_SUMMARY, -1, 0}},
         NULL, 0, TAKE, "2"},
        {"a reminder waits while a reply to the number is due",
         {{1, A, CLASS_REMINDER, -9, 0}, {2, A, CLASS_REPLY, 0, 0}}, NULL, 0, TAKE, "2"},
        {"but not for a reply that is not due", {{1, A, CLASS_REMINDER, -9, 0}, {2, A, CLASS_REPLY, 60, 1}}, NULL, 0,
         TAKE, "1"},
        {"nothing to a number with a text in flight", {{1, A, CLASS_WORRY, -9, 0}, {2, B, CLASS_REPLY, 0, 0}}, A, 0,
         TAKE, "2"},
        {"a busy number takes no place", {{1, A, CLASS_REPLY, -9, 0}, {2, B, CLASS_REPLY, 0, 0}}, A, 0, 1, "2"},
        {"at most so many, the most urgent", {{1, A, CLASS_REPLY, -9, 0}, {2, B, CLASS_WORRY, 0, 0}}, NULL, 0, 1, "2"},
        {"a channel that is shut is left", {{1, A, CLASS_WORRY, -9, 0}, {2, M, CLASS_SUMMARY, 0, 0}}, NULL,
         1u << CHANNEL_TEXT, TAKE, "2"},
    };
    for (size_t i = 0; i < COUNT(cases); i++) {
        void *fresh = NULL;
        fresh_setup(&fresh);
        for (int r = 0; cases[i].rows[r].id; r++)
            queue_row(&fresh, &cases[i].rows[r]);
        char text[64];
        struct busy_numbers busy = {&cases[i].busy, cases[i].busy ? 1 : 0, cases[i].shut};
        taken_as_text(&fresh, &busy, cases[i].max, text, sizeof text);
        if (strcmp(text, cases[i].taken) != 0)
            fail_msg("%s: took \"%s\", not \"%s\"", cases[i].why, text, cases[i].taken);
        fresh_teardown(&fresh);
    }
}

/* Every row of chance is taken once, never two of one number at a time, and those of one number and class in order. */
static void a_whole_queue_drains_in_order(void **state)
{
    struct fresh *f = *state;
    enum { ROWS = 400, NUMBERS = 23 };
    int64_t latest[NUMBERS][CLASS_COUNT] = {{0}};
    assert_ok(db_begin(f->db));
    for (int i = 1; i <= ROWS; i++) {
        char to[PHONE_MAX];
        snprintf(to, sizeof to, "+4477009002%02d", (int)(chance() % NUMBERS));
        queue_row(state, &(struct queued){i, to, (enum outgoing_class)(chance() % 3), -(int)(chance() % 50), 0});
    }
    assert_ok(db_commit(f->db));
    int taken = 0;
    for (size_t n = 1; n > 0; taken += (int)n) {
        struct outgoing out[TAKE];
        assert_ok(outbox_take(f->db, NOW, NULL, out, TAKE, &n));
        for (size_t i = 0; i < n; i++) {
            long number = strtol(out[i].to + strlen("+4477009002"), NULL, 10);
            assert_true(out[i].id > latest[number][out[i].class_]);
            latest[number][out[i].class_] = out[i].id;
            for (size_t j = 0; j < i; j++)
                assert_string_not_equal(out[i].to, out[j].to);
            out[i].state = OUTGOING_SENT;
            assert_ok(outbox_set(f->db, &out[i]));
        }
    }
    assert_int_equal(taken, ROWS);
}

static void only_the_patients_waiting_texts_are_withdrawn(void **state)
{
    static const struct {
        const char *why;
        enum outgoing_class class_;
        enum channel channel;
        uint16_t kind;
        const char *code;
        bool unprompted, other_person, sent;
        int attempts;
        uint32_t classes;
        bool unprompted_only, gone;
    } cases[] = {
        {"a reply", CLASS_REPLY, CHANNEL_TEXT, TEXT_HELP, "", false, false, false, 0, ~0u, false, true},
        {"one that waits for its next attempt", CLASS_REPLY, CHANNEL_TEXT, TEXT_HELP, "", false, false, false, 3, ~0u, false, true},
        {"a class that is not meant", CLASS_WORRY, CHANNEL_TEXT, TEXT_HELP, "", false, false, false, 0, 1u << CLASS_REPLY, false, false},
        {"another person's", CLASS_REPLY, CHANNEL_TEXT, TEXT_HELP, "", false, true, false, 0, ~0u, false, false},
        {"what was sent", CLASS_REPLY, CHANNEL_TEXT, TEXT_HELP, "", false, false, true, 0, ~0u, false, false},
        {"a reply, when only unprompted texts are meant", CLASS_REPLY, CHANNEL_TEXT, TEXT_HELP, "", false, false, false, 0, ~0u, true, false},
        {"a reminder, when only unprompted texts are meant", CLASS_REMINDER, CHANNEL_TEXT, TEXT_HELP, "", true, false, false, 0, ~0u, true, true},
        {"an alert to staff by text", CLASS_WORRY, CHANNEL_TEXT, TEXT_S_ALERT, "K7Q2", false, false, false, 0, ~0u, false, false},
        {"what staff are told besides", CLASS_REPLY, CHANNEL_TEXT, TEXT_S_TAKEN_YOU, "", false, false, false, 0, ~0u, false, false},
        {"an alert by mail", CLASS_WORRY, CHANNEL_MAIL, TEXT_S_ALERT, "K7Q2", false, false, false, 0, ~0u, false, false},
        {"a summary, when summaries are meant", CLASS_SUMMARY, CHANNEL_HTTP, TEXT_NONE, "", false, false, false, 0, 1u << CLASS_SUMMARY, false, true},
        {"a summary, when texts are meant", CLASS_SUMMARY, CHANNEL_HTTP, TEXT_NONE, "", false, false, false, 0, 7, false, false},
    };
    struct fresh *f = *state;
    for (size_t i = 0; i < COUNT(cases); i++) {
        struct outgoing o = a_text((int64_t)i + 1, cases[i].other_person ? 8 : 7, A, cases[i].class_, NOW), after;
        bool found;
        o.channel = cases[i].channel;
        o.kind = cases[i].kind;
        o.unprompted = cases[i].unprompted;
        snprintf(o.code, sizeof o.code, "%s", cases[i].code);
        assert_ok(put_text(f->db, &o));
        o.attempts = (int16_t)cases[i].attempts;
        o.state = cases[i].sent ? OUTGOING_SENT : OUTGOING_WAITING;
        assert_ok(outbox_set(f->db, &o));
        struct effect e = {.kind = EFFECT_WITHDRAW};
        e.withdraw.person = 7;
        e.withdraw.classes = cases[i].classes;
        e.withdraw.unprompted_only = cases[i].unprompted_only;
        snprintf(e.withdraw.reason, sizeof e.withdraw.reason, "STOP");
        assert_ok(write_one_effect(f->db, &e));
        assert_ok(outbox_get(f->db, o.id, &after, &found));
        assert_true(found);
        if ((after.state == OUTGOING_CANCELLED) != cases[i].gone)
            fail_msg("%s", cases[i].why);
        if (cases[i].gone)
            assert_string_equal(after.reason, "STOP");
        after.state = OUTGOING_FAILED; /* out of the way of the next */
        assert_ok(outbox_set(f->db, &after));
    }
}

static void rows_are_counted_by_class_and_state(void **state)
{
    struct fresh *f = *state;
    int64_t counts[CLASS_COUNT][OUTGOING_STATE_COUNT], oldest;
    assert_ok(outbox_counts(f->db, counts, &oldest));
    assert_true(oldest == INSTANT_NONE);
    queue_row(state, &(struct queued){1, A, CLASS_WORRY, -5, 0});
    queue_row(state, &(struct queued){2, A, CLASS_WORRY, -3, 0});
    queue_row(state, &(struct queued){3, M, CLASS_SUMMARY, -9, 0});
    struct outgoing o;
    bool found;
    assert_ok(outbox_get(f->db, 3, &o, &found));
    o.state = OUTGOING_SENT;
    assert_ok(outbox_set(f->db, &o));
    assert_ok(outbox_counts(f->db, counts, &oldest));
    assert_int_equal(counts[CLASS_WORRY][OUTGOING_WAITING], 2);
    assert_int_equal(counts[CLASS_SUMMARY][OUTGOING_WAITING], 0);
    assert_int_equal(counts[CLASS_SUMMARY][OUTGOING_SENT], 1);
    assert_int_equal(oldest, NOW - 5);
}

static void rows_are_found_by_what_the_carrier_and_staff_say(void **state)
{
    struct fresh *f = *state;
    struct outgoing o = a_text(5, 7, A, CLASS_WORRY, NOW);
    struct sought sought[] = {{.name = "c-1"}, {.name = ""}, {.name = "k5", .by_key = true}, {.id = 5}, {.id = 6}};
    int64_t alert, person;
    bool found;
    o.alert = 70;
    snprintf(o.code, sizeof o.code, "K7Q2");
    assert_ok(put_text(f->db, &o));
    snprintf(o.carrier_id, sizeof o.carrier_id, "c-1");
    o.state = OUTGOING_SENT;
    assert_ok(outbox_set(f->db, &o));
    assert_ok(outbox_seek(f->db, sought, COUNT(sought)));
    for (size_t i = 0; i < COUNT(sought); i++)
        assert_int_equal(sought[i].found ? sought[i].row.id : 0, i == 1 || i == 4 ? 0 : 5);
    assert_ok(receipt_keep(f->db, &(struct early_receipt){.id = "c-1", .delivered = true, .at = NOW}));
    sought[3].carrier_id = sought[4].carrier_id = "c-1";
    sought[2].carrier_id = "c-2";
    assert_ok(outbox_seek(f->db, sought, COUNT(sought)));
    assert_string_equal(sought[3].early.id, "c-1");
    assert_string_equal(sought[2].early.id, "");
    assert_string_equal(sought[4].early.id, ""); /* of no row */
    assert_ok(outbox_code(f->db, A, "K7Q2", &alert, &person, &found));
    assert_true(found && alert == 70 && person == 7);
    assert_ok(outbox_code(f->db, B, "K7Q2", &alert, &person, &found)); /* a code counts from its own number only */
    assert_false(found);
    assert_ok(outbox_code(f->db, A, "", &alert, &person, &found));
    assert_false(found);
    assert_ok(outbox_staff(f->db, A, &found));
    assert_true(found);
    assert_ok(outbox_staff(f->db, B, &found));
    assert_false(found);
}

static void a_copy_knows_its_alert_and_how_manieth_it_is(void **state)
{
    struct fresh *f = *state;
    struct person p = a_person(7, "P-0001", B);
    struct alert alert = {.id = 70, .person = 7, .clinic = "maple", .level = ALERT_URGENT, .cause = "severe", .at = NOW,
                          .taken_at = INSTANT_NONE, .resolved_at = INSTANT_NONE, .due = INSTANT_NONE}, got;
    struct outgoing first = a_text(1, 7, "http://127.0.0.1:9200/alerts", CLASS_WORRY, NOW), other, again;
    char ref[REF_MAX];
    int time;
    bool found;
    first.channel = CHANNEL_HTTP;
    first.alert = 70;
    other = again = first;
    other.id = 2;
    snprintf(other.to, sizeof other.to, "mailto:duty@example.org");
    snprintf(other.key, sizeof other.key, "k2");
    again.id = 3;
    snprintf(again.key, sizeof again.key, "k3");
    assert_ok(put_person(f->db, &p));
    assert_ok(write_one_effect(f->db, &(struct effect){.kind = EFFECT_ALERT, .alert = alert}));
    assert_ok(put_text(f->db, &first));
    assert_ok(put_text(f->db, &other));
    assert_ok(put_text(f->db, &again));
    assert_ok(alert_of_copy(f->db, &first, &got, ref, &time, &found));
    assert_true(found && time == 1 && got.id == 70);
    assert_string_equal(got.cause, "severe");
    assert_string_equal(ref, "P-0001");
    assert_ok(alert_of_copy(f->db, &again, &got, ref, &time, &found));
    assert_int_equal(time, 2);
    again.alert = 71;
    assert_ok(alert_of_copy(f->db, &again, &got, ref, &time, &found));
    assert_false(found);
}

static void a_key_is_given_once(void **state)
{
    struct fresh *f = *state;
    struct outgoing o = a_text(1, 7, A, CLASS_REPLY, NOW), twin = a_text(2, 7, A, CLASS_REPLY, NOW);
    assert_ok(put_text(f->db, &o));
    assert_ok(put_text(f->db, &o)); /* the same again is nothing */
    snprintf(twin.key, sizeof twin.key, "%s", o.key);
    assert_int_equal(put_text(f->db, &twin), STORE_CONFLICT);
    twin.id = 1;
    snprintf(twin.key, sizeof twin.key, "another");
    assert_int_equal(put_text(f->db, &twin), STORE_CONFLICT); /* an id that another program gave too */
}

static void an_early_receipt_is_kept_a_day(void **state)
{
    struct fresh *f = *state;
    struct early_receipt r = {.id = "c-9", .delivered = true, .at = NOW}, got;
    bool found;
    assert_ok(receipt_keep(f->db, &r));
    r.delivered = false; /* delivered is final */
    assert_ok(receipt_keep(f->db, &r));
    assert_ok(receipt_find(f->db, "c-9", "", &got, &found));
    assert_true(found && got.delivered && got.at == NOW);
    assert_ok(receipt_find(f->db, "", "c-9", &got, &found)); /* a key is no carrier's id */
    assert_false(found);
    assert_ok(receipt_keep(f->db, &(struct early_receipt){.id = "c-10", .at = NOW + 24 * 3600 + 1}));
    assert_ok(receipt_find(f->db, "c-9", "", &got, &found));
    assert_false(found);
}

/* What a patient was told stands apart from what staff were told about the patient, however much that is. */
static void what_a_patient_was_told_is_read_without_what_staff_were_told(void **state)
{
    struct fresh *f = *state;
    struct person p = a_person(1, "P-1", "+447700900101");
    struct outgoing *said;
    struct alert_copies copies[8];
    size_t n;
    assert_ok(put_person(f->db, &p));
    for (int64_t i = 0; i < 60; i++) {
        bool patient = i == 0 || i == 59, mail = i % 2;
        struct outgoing o = a_text(100 + i, 1, patient ? p.phone : mail ? "duty@example.org" : "+447700900002", CLASS_WORRY, NOW + i);
        o.kind = patient ? TEXT_WELCOME : i < 3 ? TEXT_S_ALERT : TEXT_S_ALERT_AGAIN;
        o.channel = !patient && mail ? CHANNEL_MAIL : CHANNEL_TEXT;
        o.alert = 7;
        o.state = OUTGOING_SENT;
        assert_ok(write_one_effect(f->db, &(struct effect){.kind = EFFECT_SEND, .send = &o}));
    }
    assert_ok(outbox_said(f->db, 1, 0, INT64_MAX, 8, &said, &n));
    assert_true(n == 2 && said[0].id == 100 && said[1].id == 159);
    free(said);
    assert_ok(outbox_said(f->db, 1, NOW, NOW + 59, 8, &said, &n));
    assert_true(n == 1 && said[0].id == 100);
    free(said);
    assert_ok(outbox_copies(f->db, 7, copies, 8, &n));
    assert_int_equal(n, 4); /* first and again, to two */
    assert_true(copies[0].n == 1 && copies[0].outgoing == 101 && copies[0].first == NOW + 1);
    assert_true(copies[2].n == 28 && copies[2].first == NOW + 3 && copies[2].last == NOW + 57);
    assert_ok(outbox_copies(f->db, 7, copies, 3, &n));
    assert_int_equal(n, 3);
    assert_ok(outbox_copies(f->db, 8, copies, 8, &n));
    assert_int_equal(n, 0);
}

static struct outgoing a_copy(int64_t id, int64_t alert, const char *to, enum text_kind kind, enum outgoing_state s)
{
    struct outgoing o = a_text(id, 1, to, CLASS_WORRY, NOW + id);
    o.kind = kind;
    o.alert = alert;
    o.state = s;
    return o;
}

static void the_next_copy_takes_the_place_of_those_that_wait_for_its_recipient(void **state)
{
    struct fresh *f = *state;
    static const char duty[] = "+447700900002", other[] = "+447700900003", patient[] = "+447700900101";
    struct person p = a_person(1, "P-1", patient);
    struct outgoing rows[] = {
        a_copy(99, 7, duty, TEXT_S_ALERT, OUTGOING_SENT),            /* sent is sent */
        a_copy(100, 7, duty, TEXT_S_ALERT_AGAIN, OUTGOING_WAITING),  /* cancelled by 105 */
        a_copy(101, 7, other, TEXT_S_ALERT, OUTGOING_WAITING),       /* another recipient */
        a_copy(102, 8, duty, TEXT_S_ALERT, OUTGOING_WAITING),        /* another alert */
        a_copy(104, 7, patient, TEXT_W_FLAG, OUTGOING_WAITING),      /* the patient's */
        a_copy(105, 7, duty, TEXT_S_ALERT_AGAIN, OUTGOING_WAITING),
        a_copy(106, 7, duty, TEXT_S_TAKEN_YOU, OUTGOING_WAITING),    /* no copy: cancels nothing */
    };
    rows[6].class_ = CLASS_REPLY;
    assert_ok(put_person(f->db, &p));
    for (size_t i = 0; i < COUNT(rows); i++)
        assert_ok(write_one_effect(f->db, &(struct effect){.kind = EFFECT_SEND, .send = &rows[i]}));
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct outgoing o;
        bool found;
        assert_ok(outbox_get(f->db, rows[i].id, &o, &found));
        if (o.state != (i == 1 ? OUTGOING_CANCELLED : rows[i].state))
            fail_msg("row %zu is %d: %s", i, o.state, o.reason);
    }
    /* how long the recipient has taken nothing goes on from the first: ten minutes */
    struct outgoing late[8];
    size_t n;
    bool there = false;
    assert_ok(outbox_overdue(f->db, NOW + 100 + 600, late, 8, &n));
    for (size_t i = 0; i < n; i++)
        there = there || late[i].id == 105;
    assert_true(there);
}

#define FRESH(test) cmocka_unit_test_setup_teardown(test, fresh_setup, fresh_teardown)

/* After the clock was set back by a day. Where gateways share a store one machine's clock moves nothing of the others'. */
static void what_was_put_off_by_minutes_does_not_wait_for_the_jump(void **state)
{
    enum { DAY = 86400 };
    struct fresh *f = *state;
    static const struct {
        const char *why;
        enum outgoing_class class_;
        bool unprompted;
        int attempts, due, then; /* seconds from the clock as it is now */
    } rows[] = {
        {"a retry in ten minutes", CLASS_REPLY, false, 1, DAY + 600, 600},
        {"a worry reply that was due", CLASS_WORRY, false, 0, DAY - 5, -5},
        {"due already", CLASS_REPLY, false, 0, -60, -60},
        {"a reminder at its hour", CLASS_REMINDER, true, 0, DAY + 600, DAY + 600},
        {"a text that waits for the end of quiet hours", CLASS_REPLY, true, 0, 2 * DAY, 2 * DAY},
        {"a retry of one of those, which the next reply waits for", CLASS_REPLY, true, 1, DAY + 600, 600},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct outgoing o = a_text((int64_t)i + 1, 7, A, rows[i].class_, NOW + rows[i].due);
        o.unprompted = rows[i].unprompted;
        o.expires = NOW + rows[i].due + DAY;
        assert_ok(put_text(f->db, &o));
        o.attempts = (int16_t)rows[i].attempts;
        assert_ok(outbox_set(f->db, &o));
    }
    assert_ok(clock_set_back(f->db, DAY, NOW));
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct outgoing o;
        bool found;
        assert_ok(outbox_get(f->db, (int64_t)i + 1, &o, &found));
        int then = fresh_shared() ? rows[i].due : rows[i].then; /* of several gateways one machine's clock moves nothing */
        if (!found || o.due != NOW + then || o.expires != NOW + then + DAY)
            fail_msg("%s: due in %lld s", rows[i].why, (long long)(o.due - NOW));
        assert_int_equal(o.created, NOW + rows[i].due); /* what was is left as it was */
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rows_are_taken_in_their_order),
        FRESH(what_was_put_off_by_minutes_does_not_wait_for_the_jump),
        FRESH(a_whole_queue_drains_in_order),
        FRESH(only_the_patients_waiting_texts_are_withdrawn),
        FRESH(rows_are_counted_by_class_and_state),
        FRESH(rows_are_found_by_what_the_carrier_and_staff_say),
        FRESH(a_copy_knows_its_alert_and_how_manieth_it_is),
        FRESH(a_key_is_given_once),
        FRESH(the_next_copy_takes_the_place_of_those_that_wait_for_its_recipient),
        FRESH(an_early_receipt_is_kept_a_day),
        FRESH(what_a_patient_was_told_is_read_without_what_staff_were_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
