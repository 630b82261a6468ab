/* No question of the daemon reads a whole table or sorts one: with a growing practice it would grow slow without a sign. SQLite
 * counts for each statement what it scanned and sorted (sqlite3_stmt_status).
 */
#define FRESH_EMBEDDED
#include "tests/unit/store_fresh.h"

#include "store/sqlite.h"

enum { NOW = 1780000000, ROWS = 30 };

static const char A[] = "+447700900101";

static void fill(void **state)
{
    struct fresh *f = *state;
    assert_ok(db_begin(f->db));
    for (int64_t i = 1; i <= ROWS; i++) {
        char ref[16];
        snprintf(ref, sizeof ref, "P-%d", (int)i);
        struct person p = a_person(i, ref, i % 2 ? A : "+447700900102");
        struct course c = {.person = i, .next_look = NOW + i};
        struct week w = {.id = 1000 + i, .person = i, .number = 1, .first_day = 1, .last_day = DAY_NONE};
        struct reading r = {.id = 2000 + i, .person = i, .week = w.id, .at = NOW, .day = 1, .temp_c = NAN};
        struct alert a = {.id = 3000 + i, .person = i, .at = NOW, .resolved_at = INSTANT_NONE, .due = NOW + i};
        struct desk_row d = {.id = 4000 + i, .person = i, .at = NOW, .done_at = INSTANT_NONE};
        struct outgoing o = a_text(5000 + i, i, p.phone, CLASS_REPLY, NOW);
        struct stored_text t = {.id = 6000 + i, .person = i, .body = (char *)"132/84", .received = NOW, .hash = {(uint8_t)i}};
        o.expires = NOW + i;
        struct effect e[] = {{.kind = EFFECT_PERSON, .person = p}, {.kind = EFFECT_COURSE, .course = c},
                             {.kind = EFFECT_WEEK, .week = w},     {.kind = EFFECT_READING, .reading = r},
                             {.kind = EFFECT_ALERT, .alert = a},   {.kind = EFFECT_DESK, .desk = d},
                             {.kind = EFFECT_SEND, .send = &o},    {.kind = EFFECT_AUDIT},
                             {.kind = EFFECT_WITHDRAW},            {.kind = EFFECT_OUTCOME}};
        e[9].outcome.text = t.id;
        e[9].outcome.person = i;
        assert_ok(text_write(f->db, &t));
        assert_ok(effects_write(f->db, &(struct effects){.at = e, .n = COUNT(e)}));
    }
    assert_ok(db_commit(f->db));
}

/* The table of patients in every order, the figures, the audit. */
static void ask_the_table(void **state)
{
    struct fresh *f = *state;
    struct stage_count stages[STAGES_MAX];
    struct audit_entry *entries;
    int64_t ids[4];
    size_t n;
    for (int sort = SORT_REF; sort <= SORT_MEAN; sort++)
        for (int staged = 0; staged < 2; staged++) {
            struct people_query q = {"maple", staged ? "waiting" : "", "", (enum people_sort)sort, 3};
            assert_ok(people_find(f->db, &q, ids, 4, &n));
        }
    assert_ok(people_stages(f->db, "maple", stages, &n));
    assert_ok(people_mean_set(f->db, 7, 132, 84));
    assert_ok(audit_list(f->db, &(struct audit_query){"maple", 0, 1, INT64_MAX}, 4, &entries, &n));
    free(entries);
    assert_ok(audit_list(f->db, &(struct audit_query){"", 7, 1, INT64_MAX}, 4, &entries, &n));
    free(entries);
    assert_ok(audit_at(f->db, NOW, &ids[0]));
}

static void ask_everything(void **state)
{
    struct fresh *f = *state;
    struct db *db = f->db;
    int64_t ids[4], due[4], more[4], id = 7;
    struct record r = {0};
    struct outgoing out[4], *sent;
    struct stored_text text, *texts;
    struct alert alert, *alerts;
    struct early_receipt receipt;
    struct alert_copies copies[4];
    uint8_t hash[1][MESSAGE_HASH] = {{9}};
    char ref[REF_MAX];
    bool found;
    size_t n;
    int count;
    assert_ok(texts_known(db, (const uint8_t(*)[MESSAGE_HASH])hash, 1, &found));
    assert_ok(people_of_number(db, "maple", A, ids, 4, &n));
    assert_ok(person_by_ref(db, "maple", "P-7", &id, &found));
    assert_ok(records_load(db, NOW, &id, 1, &r));
    free_record(&r);
    assert_ok(alerts_of_person(db, 7, 0, NOW + 1, &alerts, &n));
    free(alerts);
    assert_ok(strangers_answered(db, "maple", 0, &count));
    ask_the_table(state);
    assert_ok(looks_due(db, NOW + 3, ids, due, 4, &n));
    assert_ok(alerts_due(db, NOW + 3, ids, more, due, 4, &n));
    assert_ok(outbox_overdue(db, NOW + 3, out, 4, &n));
    assert_ok(due_next(db, due));
    assert_ok(due_after(db, NOW, due));
    assert_ok(outbox_take(db, NOW, NULL, out, 4, &n));
    assert_ok(outbox_set(db, &out[0]));
    assert_ok(outbox_overdue_set(db, out[0].id, NOW));
    struct sought sought[] = {{.id = 5007}, {.name = "c"}, {.name = "k5007", .by_key = true}};
    assert_ok(outbox_seek(db, sought, COUNT(sought)));
    sought[2].carrier_id = "c";
    assert_ok(outbox_seek(db, sought, COUNT(sought)));
    assert_ok(outbox_code(db, A, "K7Q2", &id, ids, &found));
    assert_ok(outbox_staff(db, A, &found));
    assert_ok(alert_of_copy(db, &out[0], &alert, ref, &count, &found));
    assert_ok(outbox_said(db, 7, 0, NOW + 1, 4, &sent, &n));
    free(sent);
    assert_ok(outbox_copies(db, 3007, copies, 4, &n));
    assert_ok(texts_of_person(db, 7, 0, NOW + 1, 4, &texts, &n));
    for (size_t i = 0; i < n; i++)
        free(texts[i].body);
    free(texts);
    assert_ok(texts_counted(db, A, "no alert has this code", NOW - 1800, &id));
    assert_ok(text_get(db, 6007, &text, &found));
    free(text.body);
    assert_ok(receipt_keep(db, &(struct early_receipt){.id = "c", .at = NOW}));
    assert_ok(receipt_find(db, "c", "k", &receipt, &found));
    assert_ok(db_largest_id(db, &id));
}

/* Sorting a person's own few rows is no matter; reading a table of all is. */
static void no_question_scans_a_table(void **state)
{
    struct fresh *f = *state;
    sqlite3 *handle = ((struct sqlite_db *)f->db)->handle;
    int statements = 0;
    fill(state);
    ask_everything(state);
    for (sqlite3_stmt *s = sqlite3_next_stmt(handle, NULL); s; s = sqlite3_next_stmt(handle, s)) {
        int scanned = sqlite3_stmt_status(s, SQLITE_STMTSTATUS_FULLSCAN_STEP, 0);
        int indexed = sqlite3_stmt_status(s, SQLITE_STMTSTATUS_AUTOINDEX, 0);
        if (scanned > 0 || indexed > 0)
            fail_msg("%d rows scanned, %d indexed anew: %s", scanned, indexed, sqlite3_sql(s));
        statements++;
    }
    assert_true(statements > 30);
}

static void taking_sorts_nothing(void **state)
{
    struct fresh *f = *state;
    struct outgoing out[4];
    size_t n;
    fill(state);
    assert_ok(outbox_take(f->db, NOW, NULL, out, 4, &n));
    assert_int_equal(n, 2); /* two numbers */
    for (sqlite3_stmt *s = NULL; (s = sqlite3_next_stmt(((struct sqlite_db *)f->db)->handle, s));)
        if (sqlite3_sql(s) == NULL || strstr(sqlite3_sql(s), "INDEXED BY outbox_waiting"))
            assert_int_equal(sqlite3_stmt_status(s, SQLITE_STMTSTATUS_SORT, 0), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(no_question_scans_a_table, fresh_setup, fresh_teardown),
        cmocka_unit_test_setup_teardown(taking_sorts_nothing, fresh_setup, fresh_teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
