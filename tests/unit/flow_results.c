/* What becomes of a row in the outbox when the carrier's receipt overtakes the answer to the request itself. The promise is
 * our own outside contract ("Receipts": delivered is final). */
#include "tests/unit/store_fresh.h"

#include "gateway/flow/inside.h"

enum { NOW = 1795503600, NO_RECEIPT = -1 };

static const struct row {
    const char *why;
    int receipt; /* NO_RECEIPT, or whether it says delivered */
    enum sent_result answer;
    enum outgoing_state state;
    int attempts;
} rows[] = {
    {"nothing came before the answer", NO_RECEIPT, SENT_OK, OUTGOING_SENT, 1},
    {"delivered before the carrier has answered", true, SENT_OK, OUTGOING_DELIVERED, 1},
    {"not deliverable, said before the carrier has answered", false, SENT_OK, OUTGOING_FAILED, 1},
    {"delivered although the answer never came", true, SENT_PASSING, OUTGOING_DELIVERED, 0},
    {"delivered although the answer was a refusal", true, SENT_PERMANENT, OUTGOING_DELIVERED, 0},
    {"no receipt and no answer: again later", NO_RECEIPT, SENT_PASSING, OUTGOING_WAITING, 1},
};

static void row_put(struct db *db, const struct row *r, int64_t id)
{
    struct outgoing o = {.id = id, .class_ = CLASS_REPLY, .channel = CHANNEL_TEXT, .created = NOW, .due = NOW,
                         .expires = INSTANT_NONE, .sent_at = INSTANT_NONE, .delivered_at = INSTANT_NONE,
                         .clinic = "maple", .to = "+447700900100", .from = "+447700900001", .body = "text"};
    struct effect e = {.kind = EFFECT_SEND, .send = &o};
    snprintf(o.key, sizeof o.key, "q%lld", (long long)id);
    if (effects_write(db, &(struct effects){.at = &e, .n = 1, .cap = 1}) != 0)
        fail_msg("%s: %s", r->why, db_why(db));
}

static void row_play(struct batch *b, const struct row *r, int64_t id)
{
    struct job receipt = {.kind = JOB_RECEIPT, .receipt = {.by_key = true, .delivered = r->receipt == true}};
    struct job sent = {.kind = JOB_SENT, .sent = {.outgoing = id, .result = r->answer, .carrier_id = "c-1"}};
    snprintf(receipt.receipt.id, sizeof receipt.receipt.id, "q%lld", (long long)id);
    if (r->receipt != NO_RECEIPT)
        assert_int_equal(result_receipt(b, &receipt), 0);
    assert_int_equal(result_sent(b, &sent), 0);
}

static void a_receipt_that_overtakes_the_answer_stands(void **state)
{
    struct fresh *f = *state;
    struct flow flow = {.db = f->db};
    struct batch *b = calloc(1, sizeof *b);
    *b = (struct batch){.f = &flow, .now = NOW + 60, .next_id = 1000};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct outgoing o;
        bool found = false;
        row_put(f->db, &rows[i], (int64_t)i + 1);
        row_play(b, &rows[i], (int64_t)i + 1);
        assert_int_equal(outbox_get(f->db, (int64_t)i + 1, &o, &found), 0);
        if (!found || o.state != rows[i].state || o.attempts != rows[i].attempts)
            fail_msg("%s: state %d after %d attempts", rows[i].why, (int)o.state, o.attempts);
    }
    free(b);
}

/* A target that nobody mends is tried once a minute for months: the count of attempts must not turn over. */
static void attempts_are_counted_to_a_ceiling(void **state)
{
    struct fresh *f = *state;
    struct flow flow = {.db = f->db};
    struct batch *b = calloc(1, sizeof *b);
    *b = (struct batch){.f = &flow, .now = NOW + 60, .next_id = 1000};
    const struct row again = {"again", NO_RECEIPT, SENT_ROUTE_BROKEN, OUTGOING_WAITING, 0};
    struct outgoing o;
    bool found = false;
    row_put(f->db, &again, 77);
    assert_int_equal(outbox_get(f->db, 77, &o, &found), 0);
    o.attempts = INT16_MAX - 1;
    assert_int_equal(outbox_set(f->db, &o), 0);
    for (int i = 0; i < 3; i++)
        row_play(b, &again, 77);
    assert_int_equal(outbox_get(f->db, 77, &o, &found), 0);
    assert_int_equal(o.attempts, INT16_MAX);
    assert_int_equal(o.due, NOW + 60 + 60);
    free(b);
}

/* What was read for the whole batch is read again where the batch itself has changed it. */
static void a_result_decides_on_the_row_as_its_batch_has_left_it(void **state)
{
    struct fresh *f = *state;
    struct flow flow = {.db = f->db};
    struct batch *b = calloc(1, sizeof *b);
    *b = (struct batch){.f = &flow, .now = NOW + 60, .next_id = 1000};
    struct job receipt = {.kind = JOB_RECEIPT, .receipt = {.id = "c-9", .delivered = true}};
    struct job sent = {.kind = JOB_SENT, .sent = {.outgoing = 90, .carrier_id = "c-9"}, .next = &receipt};
    struct job again = {.kind = JOB_SENT, .sent = {.outgoing = 91, .result = SENT_PASSING}, .next = &sent};
    struct effect stop = {.kind = EFFECT_WITHDRAW,
                          .withdraw = {.person = 7, .classes = 1u << CLASS_REPLY, .reason = "the patient left"}};
    const struct row as_is = {"in a batch", NO_RECEIPT, SENT_OK, OUTGOING_DELIVERED, 1};
    struct outgoing o;
    bool found = false;
    row_put(f->db, &as_is, 90);
    row_put(f->db, &as_is, 91);
    assert_int_equal(db_run(f->db, "UPDATE outbox SET person = 7 WHERE id = 91", NULL, 0), 0);
    assert_int_equal(sought_load(b, &again), 0);
    b->effects = (struct effects){.at = &stop, .n = 1, .cap = 1};
    sought_effects(b);
    assert_int_equal(effects_write(f->db, &b->effects), 0);
    assert_int_equal(result_sent(b, &again), 0);
    assert_int_equal(outbox_get(f->db, 91, &o, &found), 0);
    assert_int_equal(o.state, OUTGOING_CANCELLED); /* not waiting again */
    assert_int_equal(result_sent(b, &sent), 0);
    assert_int_equal(result_receipt(b, &receipt), 0); /* of a carrier's id that nobody knew when the batch began */
    assert_int_equal(outbox_get(f->db, 90, &o, &found), 0);
    assert_int_equal(o.state, OUTGOING_DELIVERED);
    free(b->sought);
    free(b->sought_rows);
    free(b);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_receipt_that_overtakes_the_answer_stands, fresh_setup, fresh_teardown),
        cmocka_unit_test_setup_teardown(attempts_are_counted_to_a_ceiling, fresh_setup, fresh_teardown),
        cmocka_unit_test_setup_teardown(a_result_decides_on_the_row_as_its_batch_has_left_it, fresh_setup, fresh_teardown)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
