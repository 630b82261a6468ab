/* Several gateways at one database: what each holds, leaves and leases; what becomes of a lost link; moving in. On a shared
 * store only: `make check STORE=postgres`. The other side of each claim is asked with the server's own client library.
 */
#include "tests/unit/store_fresh.h"

#include "store/audit.h"
#include "store/place.h"

enum { NOW = 1780000000, DAY = 86400 };

static const char A[] = "+447700900101", B[] = "+447700900102";

/* A second gateway, with a folder of its own and the first one's key. */
static struct db *second_gateway(struct fresh *f, bool with_key)
{
    char folder[FRESH_PATH + 16], from[FRESH_PATH + 32], to[FRESH_PATH + 48], bytes[64];
    struct db *db = NULL;
    snprintf(folder, sizeof folder, "%s/second", f->folder);
    assert_int_equal(mkdir(folder, 0700), 0);
    snprintf(from, sizeof from, "%s/quietarm.key", f->folder);
    snprintf(to, sizeof to, "%s/quietarm.key", folder);
    FILE *in = fopen(from, "r"), *out = with_key ? fopen(to, "w") : NULL;
    size_t n = fread(bytes, 1, sizeof bytes, in);
    if (out) {
        assert_int_equal(fwrite(bytes, 1, n, out), n);
        fclose(out);
    }
    fclose(in);
    if (db_open(&db, folder, DB_SERVE, f->why, sizeof f->why) != 0)
        return NULL;
    return db;
}

static void gateways_are_numbered_and_share_one_key(void **state)
{
    struct fresh *f = *state;
    assert_int_equal(db_gateway(f->db), 1);
    assert_null(second_gateway(f, false));
    assert_non_null(strstr(f->why, "quietarm.key"));
    char folder[FRESH_PATH + 16];
    snprintf(folder, sizeof folder, "%s/second", f->folder);
    nftw(folder, fresh_remove_one, 8, FTW_DEPTH | FTW_PHYS);
    struct db *second = second_gateway(f, true);
    assert_non_null(second);
    assert_true(db_gateway(second) > 1);
    db_close(second);
}

static int lease_one(struct db *db, int64_t id, bool *mine)
{
    struct outgoing o;
    const struct outgoing *rows[] = {&o};
    bool found;
    int error = outbox_get(db, id, &o, &found);
    return error ? error : outbox_lease(db, rows, 1, NOW, mine);
}

static void a_number_that_one_leased_is_left_by_the_other(void **state)
{
    struct fresh *f = *state;
    struct person p = a_person(1, "P-0001", A);
    struct outgoing first = a_text(10, 1, A, CLASS_REPLY, NOW), later = a_text(11, 1, A, CLASS_REPLY, NOW), got[4];
    struct db *ours, *theirs, *second = second_gateway(f, true);
    char folder[FRESH_PATH + 16];
    bool mine;
    size_t n;
    assert_non_null(second);
    snprintf(folder, sizeof folder, "%s/second", f->folder);
    assert_ok(put_person(f->db, &p));
    assert_ok(put_text(f->db, &first));
    assert_ok(put_text(f->db, &later));
    assert_ok(db_open(&ours, f->folder, DB_TAKE, f->why, sizeof f->why));
    assert_ok(db_open(&theirs, folder, DB_TAKE, f->why, sizeof f->why));
    assert_ok(outbox_take(theirs, NOW, NULL, got, 4, &n));
    assert_int_equal(n, 1);
    assert_ok(lease_one(ours, 10, &mine));
    assert_true(mine);
    assert_ok(lease_one(ours, 10, &mine)); /* one that died and is back goes on with its own */
    assert_true(mine);
    assert_ok(lease_one(theirs, 10, &mine));
    assert_false(mine);
    assert_ok(outbox_take(theirs, NOW, NULL, got, 4, &n));
    assert_int_equal(n, 0);
    first.state = OUTGOING_SENT;
    assert_ok(db_begin(f->db));
    assert_ok(outbox_set(f->db, &first));
    assert_ok(outbox_release(f->db, 10));
    assert_ok(db_commit(f->db));
    assert_ok(lease_one(theirs, 10, &mine)); /* taken before it was sent */
    assert_false(mine);
    assert_ok(outbox_take(theirs, NOW, NULL, got, 4, &n));
    assert_true(n == 1 && got[0].id == 11);
    assert_ok(lease_one(theirs, 11, &mine));
    assert_true(mine);
    db_close(ours);
    db_close(theirs);
    db_close(second);
}

static void a_lease_ends_by_the_databases_clock(void **state)
{
    struct fresh *f = *state;
    struct person p = a_person(1, "P-0001", A);
    struct outgoing o = a_text(10, 1, A, CLASS_REPLY, NOW);
    struct db *take, *second = second_gateway(f, true);
    bool mine;
    assert_non_null(second);
    assert_ok(put_person(f->db, &p));
    assert_ok(put_text(f->db, &o));
    assert_ok(db_open(&take, f->folder, DB_TAKE, f->why, sizeof f->why));
    assert_true(place_run(f->conninfo, "INSERT INTO leases VALUES ('+447700900101', 2, now() + interval '1 hour')"));
    assert_ok(lease_one(take, 10, &mine));
    assert_false(mine);
    assert_true(place_run(f->conninfo, "UPDATE leases SET until = now() - interval '1 second'"));
    assert_ok(lease_one(take, 10, &mine));
    assert_true(mine);
    db_close(take);
    db_close(second);
}

static void a_person_that_one_holds_is_left_by_the_other(void **state)
{
    struct fresh *f = *state;
    struct person one = a_person(1, "P-0001", A), two = a_person(2, "P-0002", B);
    struct db *second = second_gateway(f, true);
    struct course c = {.person = 1, .next_look = NOW};
    int64_t ids[] = {1}, both[] = {1, 2}, persons[4], due[4];
    size_t n = COUNT(ids), found;
    bool held[2];
    assert_non_null(second);
    assert_ok(put_person(f->db, &one));
    assert_ok(put_person(f->db, &two));
    assert_ok(write_one_effect(f->db, &(struct effect){.kind = EFFECT_COURSE, .course = c}));
    assert_ok(looks_due(second, NOW, persons, due, 4, &found));
    assert_int_equal(found, 1);
    assert_ok(db_begin(f->db));
    assert_ok(persons_hold(f->db, ids, &n));
    assert_int_equal(looks_due(second, NOW, persons, due, 4, &found), 0);
    assert_int_equal(found, 0); /* in hand elsewhere */
    assert_int_equal(db_begin(second), 0);
    assert_int_equal(persons_hold_unheld(second, both, 2, held), 0);
    assert_true(!held[0] && held[1]);
    db_rollback(second);
    assert_ok(db_commit(f->db));
    assert_int_equal(db_begin(second), 0);
    assert_int_equal(persons_hold_unheld(second, both, 2, held), 0);
    assert_true(held[0] && held[1]);
    db_rollback(second);
    db_close(second);
}

static void each_gateway_has_a_chain_a_day(void **state)
{
    struct fresh *f = *state;
    struct db *second = second_gateway(f, true), *each[] = {f->db, second};
    int64_t at;
    bool sound;
    assert_non_null(second);
    for (int day = 0; day < 3; day++)
        for (int g = 0; g < 2; g++)
            for (int i = 0; i < 3; i++) {
                db_now(each[g], NOW + day * DAY);
                assert_int_equal(db_begin(each[g]), 0);
                assert_int_equal(audit_one(each[g], 7, "maple", "ada", "look", ""), 0);
                assert_int_equal(db_commit(each[g]), 0);
            }
    assert_ok(audit_check(f->db, &sound, &at));
    assert_true(sound);
    assert_true(place_run(f->conninfo, "ALTER TABLE audit DISABLE TRIGGER audit_kept;"
                                       "DELETE FROM audit WHERE seq = (SELECT min(seq) FROM audit WHERE chain ="
                                       " (SELECT max(chain) FROM audit))"));
    assert_ok(audit_check(f->db, &sound, &at)); /* the first row of a day: the one before it is in another chain */
    assert_false(sound);
    db_close(second);
}

static void a_link_that_is_lost_fails_its_transaction_and_is_opened_anew(void **state)
{
    struct fresh *f = *state;
    static const char end_all[] = "SELECT pg_terminate_backend(l.pid) FROM pg_locks l JOIN pg_class c ON c.oid = l.relation"
                                  " WHERE c.relname = 'people' AND c.relnamespace = current_schema()::regnamespace"
                                  " AND l.pid <> pg_backend_pid()"; /* whoever is in a transaction on our people */
    struct person p = a_person(1, "P-0001", A), got;
    bool found;
    assert_ok(db_begin(f->db));
    assert_ok(put_person(f->db, &p));
    assert_ok(person_get(f->db, 1, &got, &found));
    assert_true(found);
    assert_true(place_run(f->conninfo, end_all));
    assert_int_equal(db_commit(f->db), STORE_IO);
    assert_ok(person_get(f->db, 1, &got, &found)); /* again by itself */
    assert_false(found);
    assert_ok(put_person(f->db, &p));
}

static void many_are_leased_together_and_those_not_next_are_given_back(void **state)
{
    struct fresh *f = *state;
    struct person p = a_person(1, "P-0001", A), q = a_person(2, "P-0002", B);
    struct outgoing first = a_text(10, 1, A, CLASS_REPLY, NOW), second = a_text(11, 1, A, CLASS_REPLY, NOW),
                    other = a_text(12, 2, B, CLASS_REPLY, NOW);
    const struct outgoing *rows[] = {&other, &first}, *not_next[] = {&second};
    struct db *take;
    bool ours[2];
    int64_t n;
    bool found;
    assert_ok(put_person(f->db, &p));
    assert_ok(put_person(f->db, &q));
    assert_ok(put_text(f->db, &first));
    assert_ok(put_text(f->db, &second));
    assert_ok(put_text(f->db, &other));
    assert_ok(db_open(&take, f->folder, DB_TAKE, f->why, sizeof f->why));
    assert_ok(outbox_lease(take, not_next, 1, NOW, ours));
    assert_false(ours[0]);
    assert_ok(db_whole(f->db, "SELECT count(*) FROM leases", NULL, 0, &n, 1, &found));
    assert_int_equal(n, 0);
    assert_ok(outbox_lease(take, rows, 2, NOW, ours));
    assert_true(ours[0] && ours[1]);
    db_close(take);
}

static int plan_row(void *context, const struct value *columns, size_t n)
{
    char *plan = context;
    size_t used = strlen(plan);
    (void)n;
    snprintf(plan + used, 4096 - used, "%s\n", columns[0].text);
    return 0;
}

/* A plan is made once: one that is bad because the table was still empty would stay. */
static void what_goes_next_is_found_by_index_on_a_server_that_knows_nothing_yet(void **state)
{
    struct fresh *f = *state;
    static char prepare[2048], plan[4096];
    for (int i = 0; i < 300; i++) {
        struct outgoing o = a_text(10 + i, 0, i % 2 ? A : B, CLASS_REPLY, NOW);
        assert_ok(put_text(f->db, &o));
    }
    snprintf(prepare, sizeof prepare, "PREPARE take AS %s", driver_postgres.take.outbox);
    plan[0] = '\0';
    assert_ok(db_load(f->db, &(struct query){prepare, NULL, 0, plan_row, plan}, 1));
    assert_ok(db_load(f->db, &(struct query){"EXPLAIN EXECUTE take(1, 'text', 1, 1)", NULL, 0, plan_row, plan}, 1));
    const char *const wanted[] = {"outbox_waiting on outbox o", "outbox_in_order on outbox e", "outbox_in_order on outbox h",
                                  "leases_pkey"};
    for (size_t i = 0; i < COUNT(wanted); i++)
        if (!strstr(plan, wanted[i]))
            fail_msg("no %s in\n%s", wanted[i], plan);
}

/* A primary that was made read-only, a plan of before a migration: the same link would say so for ever. */
static void a_link_that_works_no_more_is_changed_for_another(void **state)
{
    struct fresh *f = *state;
    struct person p = a_person(1, "P-0001", A);
    assert_ok(db_run(f->db, "SET default_transaction_read_only = on", NULL, 0));
    assert_int_equal(put_person(f->db, &p), STORE_IO);
    assert_ok(put_person(f->db, &p));
}

/* Else what is loaded behind a lock would be what was there before it. */
static void a_batch_sees_what_was_committed_whatever_the_databases_default(void **state)
{
    struct fresh *f = *state;
    int64_t one;
    bool found;
    assert_ok(db_run(f->db, "SET default_transaction_isolation = 'serializable'", NULL, 0));
    assert_ok(db_begin(f->db));
    assert_ok(db_whole(f->db, "SELECT 1 WHERE current_setting('transaction_isolation') = 'read committed'", NULL, 0, &one, 1, &found));
    assert_true(found);
    db_rollback(f->db);
}

static void a_schema_is_not_changed_under_those_who_know_it(void **state)
{
    struct fresh *f = *state;
    assert_true(place_run(f->conninfo, "UPDATE schema_version SET version = -1")); /* an older one */
    assert_null(second_gateway(f, true));
    assert_non_null(strstr(f->why, "stop every gateway"));
    assert_true(place_run(f->conninfo, "UPDATE schema_version SET version = 3"));
}

static void another_schema_is_refused(void **state)
{
    struct fresh *f = *state;
    struct db *db;
    assert_true(place_run(f->conninfo, "UPDATE schema_version SET version = 99"));
    assert_int_equal(db_open(&db, f->folder, DB_READ, f->why, sizeof f->why), STORE_NEWER);
    assert_non_null(strstr(f->why, "schema 99"));
    assert_true(place_run(f->conninfo, "UPDATE schema_version SET version = 3"));
}

/* -- moving in --------------------------------------------------------------------------------------------------------------- */

static void embedded_fill(struct fresh *f, char *folder, size_t size)
{
    struct db *db;
    snprintf(folder, size, "%s/embedded", f->folder);
    assert_int_equal(driver_sqlite.open(&db, folder, "", DB_SERVE, f->why, sizeof f->why), 0);
    for (int64_t i = 1; i <= 1200; i++) { /* more than a page */
        char ref[16];
        snprintf(ref, sizeof ref, "P-%d", (int)i);
        struct person p = a_person(i, ref, i % 2 ? A : B);
        struct stored_text t = {.id = 5000 + i, .person = i, .clinic = "maple", .body = (char *)(i % 3 ? "132/84" : "caf\xc3 1"),
                                .received = NOW, .sent = INSTANT_NONE};
        memcpy(t.hash, &i, sizeof i);
        assert_int_equal(put_person(db, &p), 0);
        assert_int_equal(text_write(db, &t), 0);
    }
    db_close(db);
}

static void told(void *context, const char *of, int64_t rows)
{
    if (strcmp(of, "texts") == 0)
        *(int64_t *)context = rows;
}

static void an_embedded_database_moves_in_whole_and_goes_on_where_it_was_cut_off(void **state)
{
    struct fresh *f = *state;
    char folder[FRESH_PATH + 16], file[FRESH_PATH + 48];
    int64_t rows = 0;
    struct stage_count stages[STAGES_MAX];
    size_t n;
    embedded_fill(f, folder, sizeof folder);
    snprintf(file, sizeof file, "%s/quietarm.db", folder);
    db_close(f->db);
    f->db = NULL;
    if (store_migrate(f->folder, file, told, &rows, f->why, sizeof f->why) != 0)
        fail_msg("%s", f->why);
    assert_int_equal(rows, 1200);
    assert_true(place_run(f->conninfo, "DELETE FROM texts WHERE id > 5700; INSERT INTO meta VALUES ('moving', 1)"));
    struct db *db;
    assert_int_equal(db_open(&db, f->folder, DB_SERVE, f->why, sizeof f->why), STORE_BUSY); /* half a copy is no database */
    assert_int_equal(store_migrate(f->folder, file, told, &rows, f->why, sizeof f->why), 0);
    assert_int_equal(rows, 500);
    assert_true(place_run(f->conninfo, "UPDATE people SET name = 'other' WHERE id = 3; INSERT INTO meta VALUES ('moving', 1)"));
    assert_int_equal(store_migrate(f->folder, file, told, &rows, f->why, sizeof f->why), STORE_CORRUPT);
    assert_non_null(strstr(f->why, "people"));
    assert_true(place_run(f->conninfo, "UPDATE people SET name = '' WHERE id = 3; DELETE FROM meta WHERE key = 'moving'"));
    assert_int_equal(store_migrate(f->folder, file, told, &rows, f->why, sizeof f->why), STORE_CONFLICT); /* not empty */
    assert_ok(db_open(&f->db, f->folder, DB_SERVE, f->why, sizeof f->why));
    assert_ok(people_stages(f->db, "maple", stages, &n));
    assert_true(n == 1 && stages[0].n == 1200);
}

#define FRESH(test) cmocka_unit_test_setup_teardown(test, fresh_setup, fresh_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        FRESH(gateways_are_numbered_and_share_one_key),
        FRESH(a_number_that_one_leased_is_left_by_the_other),
        FRESH(a_lease_ends_by_the_databases_clock),
        FRESH(a_person_that_one_holds_is_left_by_the_other),
        FRESH(each_gateway_has_a_chain_a_day),
        FRESH(a_link_that_is_lost_fails_its_transaction_and_is_opened_anew),
        FRESH(many_are_leased_together_and_those_not_next_are_given_back),
        FRESH(what_goes_next_is_found_by_index_on_a_server_that_knows_nothing_yet),
        FRESH(a_link_that_works_no_more_is_changed_for_another),
        FRESH(a_batch_sees_what_was_committed_whatever_the_databases_default),
        FRESH(a_schema_is_not_changed_under_those_who_know_it),
        FRESH(another_schema_is_refused),
        FRESH(an_embedded_database_moves_in_whole_and_goes_on_where_it_was_cut_off),
    };
    if (!fresh_shared()) {
        printf("left out: this store has one gateway; make check STORE=postgres runs them\n");
        return 0;
    }
    return cmocka_run_group_tests(tests, NULL, NULL);
}
