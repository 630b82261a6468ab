/* One consistent copy while others write, and what verify finds in a file that is not whole any more. */
#define FRESH_EMBEDDED
#include "tests/unit/store_fresh.h"
#include "store/schema_sqlite.h"

#include <fcntl.h>
#include <pthread.h>
#include <sqlite3.h>
#include <stdatomic.h>

enum { NOW = 1780000000 };

static void by_hand(const char *file, const char *sql)
{
    sqlite3 *handle;
    assert_int_equal(sqlite3_open(file, &handle), SQLITE_OK);
    if (sqlite3_exec(handle, sql, NULL, NULL, NULL) != SQLITE_OK)
        fail_msg("%s: %s", sql, sqlite3_errmsg(handle));
    sqlite3_close(handle);
}

static struct effect an_audit(const char *action)
{
    struct effect e = {.kind = EFFECT_AUDIT};
    e.audit.person = 1;
    snprintf(e.audit.clinic, sizeof e.audit.clinic, "maple");
    snprintf(e.audit.who, sizeof e.audit.who, "ada");
    snprintf(e.audit.action, sizeof e.audit.action, "%s", action);
    return e;
}

/* A person with a week, a reading, a text, a reply and three rows of audit. */
static void fill(void **state)
{
    struct fresh *f = *state;
    struct person p = a_person(1, "P-0001", "+447700900101");
    struct week w = {.id = 2, .person = 1, .number = 1, .first_day = DAY_NONE, .last_day = DAY_NONE, .opened_at = NOW,
                     .ended_at = INSTANT_NONE, .sent_at = INSTANT_NONE, .reviewed_at = INSTANT_NONE};
    struct reading r = {.id = 3, .person = 1, .week = 2, .text = 4, .at = NOW, .received = NOW, .day = 20600, .sys = 132,
                        .dia = 84, .pulse = 71, .temp_c = NAN};
    struct stored_text t = {.id = 4, .person = 1, .clinic = "maple", .from = "+447700900101", .to = "+447700900001",
                            .body = (char *)"132/84 pulse 71, all well", .received = NOW, .sent = INSTANT_NONE, .hash = {4}};
    struct outgoing o = a_text(5, 1, "+447700900101", CLASS_REPLY, NOW);
    struct effect rows[] = {{.kind = EFFECT_PERSON, .person = p},
                            {.kind = EFFECT_WEEK, .week = w},
                            {.kind = EFFECT_READING, .reading = r},
                            {.kind = EFFECT_SEND, .send = &o},
                            an_audit("enrol"),
                            an_audit("accept")};
    db_now(f->db, NOW);
    assert_ok(db_begin(f->db));
    assert_ok(text_write(f->db, &t));
    assert_ok(effects_write(f->db, &(struct effects){.at = rows, .n = COUNT(rows)}));
    assert_ok(db_commit(f->db));
    struct effect one = an_audit("review");
    assert_ok(write_one_effect(f->db, &one));
}

static const char *copy_of(struct fresh *f)
{
    static char dest[FRESH_PATH + 32];
    snprintf(dest, sizeof dest, "%s/copy.db", f->folder);
    return dest;
}

static void back_up(void **state)
{
    struct fresh *f = *state;
    if (store_backup(f->folder, copy_of(f), f->why, sizeof f->why) != 0)
        fail_msg("%s", f->why);
}

static void a_copy_is_whole_and_private(void **state)
{
    struct fresh *f = *state;
    struct verify_report r;
    struct stat s;
    fill(state);
    back_up(state);
    assert_ok(store_verify(NULL, copy_of(f), &r));
    assert_string_equal(r.why, "");
    assert_true(r.sound);
    assert_int_equal(r.people + r.weeks + r.readings + r.texts + r.outbox, 5);
    assert_int_equal(r.audit, 3);
    assert_int_equal(r.schema, schema_sqlite.version);
    assert_int_equal(stat(copy_of(f), &s), 0);
    assert_int_equal(s.st_mode & 0777, 0600);
    char log[FRESH_PATH + 40];
    snprintf(log, sizeof log, "%s-wal", copy_of(f));
    assert_int_equal(access(log, F_OK), -1); /* one file, and verifying left nothing beside it */
}

static void a_copy_that_is_there_is_never_written_over(void **state)
{
    struct fresh *f = *state;
    fill(state);
    FILE *file = fopen(copy_of(f), "w");
    assert_non_null(file);
    fputs("mine", file);
    fclose(file);
    assert_int_equal(store_backup(f->folder, copy_of(f), f->why, sizeof f->why), STORE_CONFLICT);
    struct stat s;
    assert_int_equal(stat(copy_of(f), &s), 0);
    assert_int_equal(s.st_size, 4);
    assert_int_equal(store_backup(f->folder, "/nowhere/at/all.db", f->why, sizeof f->why), STORE_IO);
}

/* -- while others write ----------------------------------------------------------------------------------------------- */

struct writing {
    struct db *db;
    atomic_bool stop;
    atomic_int pairs;
};

/* Two rows a transaction: a copy that is not one instant would hold an odd one. */
static void *write_pairs(void *context)
{
    struct writing *w = context;
    for (int64_t i = 100; !w->stop; i += 2) {
        struct outgoing o = a_text(i, 1, "+447700900101", CLASS_REPLY, NOW), p = a_text(i + 1, 1, "+447700900101", CLASS_REPLY, NOW);
        struct effect two[] = {{.kind = EFFECT_SEND, .send = &o}, {.kind = EFFECT_SEND, .send = &p}};
        if (effects_write(w->db, &(struct effects){.at = two, .n = 2}) != 0)
            break;
        w->pairs++;
    }
    return NULL;
}

static void a_copy_is_one_instant_while_others_write(void **state)
{
    struct fresh *f = *state;
    struct writing w = {.db = f->db};
    pthread_t thread;
    assert_int_equal(pthread_create(&thread, NULL, write_pairs, &w), 0);
    while (w.pairs < 20)
        sched_yield();
    for (int copies = 0; copies < 5; copies++) {
        struct verify_report r;
        unlink(copy_of(f));
        int before = w.pairs;
        back_up(state);
        assert_int_equal(store_verify(NULL, copy_of(f), &r), 0);
        assert_true(r.sound);
        assert_int_equal(r.outbox % 2, 0);
        assert_true(r.outbox >= 2 * before);
    }
    w.stop = true;
    pthread_join(thread, NULL);
}

static void a_living_database_is_verified_beside_its_server(void **state)
{
    struct fresh *f = *state;
    struct verify_report r;
    fill(state);
    assert_ok(store_verify(NULL, f->file, &r));
    assert_true(r.sound);
    assert_int_equal(r.texts, 1); /* it is still in the log */
}

/* -- damage ------------------------------------------------------------------------------------------------------------ */

static void flip_at(const char *file, long at)
{
    FILE *f = fopen(file, "r+");
    assert_non_null(f);
    assert_int_equal(fseek(f, at, SEEK_SET), 0);
    int byte = fgetc(f);
    assert_int_equal(fseek(f, at, SEEK_SET), 0);
    fputc(byte ^ 1, f);
    fclose(f);
}

static long find_in(const char *file, const char *word)
{
    char *bytes = malloc(1 << 20);
    FILE *f = fopen(file, "r");
    assert_non_null(f);
    size_t n = fread(bytes, 1, 1 << 20, f);
    fclose(f);
    char *found = memmem(bytes, n, word, strlen(word));
    long at = found ? found - bytes : -1;
    free(bytes);
    return at;
}

static void a_changed_byte_in_a_copied_text_is_found(void **state)
{
    struct fresh *f = *state;
    struct verify_report r;
    fill(state);
    back_up(state);
    long at = find_in(copy_of(f), "132/84 pulse");
    assert_true(at > 0);
    flip_at(copy_of(f), at);
    assert_ok(store_verify(NULL, copy_of(f), &r));
    assert_false(r.sound);
    assert_non_null(strstr(r.why, "seal"));
}

/* Every byte of every page that holds something: the header's free fields and empty space hold nothing to damage. */
static void a_changed_byte_anywhere_is_found_or_changes_nothing(void **state)
{
    struct fresh *f = *state;
    struct stat s;
    fill(state);
    back_up(state);
    assert_int_equal(stat(copy_of(f), &s), 0);
    int damaged = 0;
    for (long at = 0; at < s.st_size; at += 61) {
        struct verify_report r;
        flip_at(copy_of(f), at);
        int error = store_verify(NULL, copy_of(f), &r);
        if (error != 0 && error != STORE_NEWER && error != STORE_OLDER)
            fail_msg("byte %ld: %s", at, r.why);
        damaged += error != 0 || !r.sound;
        if (error == 0 && r.sound) /* then all is still there */
            assert_true(r.people == 1 && r.texts == 1 && r.readings == 1 && r.audit == 3);
        flip_at(copy_of(f), at);
    }
    assert_true(damaged > 0);
}

static void damage_by_hand_is_named(void **state)
{
    static const struct {
        const char *sql, *why;
    } cases[] = {
        {"DROP TRIGGER audit_fixed; UPDATE audit SET detail = 'nothing' WHERE seq = 2", "audit chain is broken: row 2"},
        {"DROP TRIGGER audit_fixed; UPDATE audit SET at = at - 60 WHERE seq = 3", "audit chain is broken: row 3"},
        {"DROP TRIGGER audit_kept; DELETE FROM audit WHERE seq = 2", "audit chain is broken: row 3"},
        {"DROP TRIGGER audit_kept; DELETE FROM audit WHERE seq = 3", "audit chain is broken: row 3"},
        {"DROP TRIGGER audit_kept; DELETE FROM audit", "audit chain is broken: row 1"},
        {"DELETE FROM people", "refers to one that is not there"},
        {"DROP TRIGGER outbox_gone; DELETE FROM outbox", "another number of rows"},
        {"PRAGMA writable_schema = ON; UPDATE sqlite_schema SET rootpage = 2 WHERE name = 'weeks'", "damaged"},
    };
    for (size_t i = 0; i < COUNT(cases); i++) {
        void *fresh = NULL;
        struct verify_report r;
        fresh_setup(&fresh);
        struct fresh *f = fresh;
        fill(&fresh);
        db_close(f->db);
        f->db = NULL;
        by_hand(f->file, cases[i].sql);
        assert_int_equal(store_verify(NULL, f->file, &r), 0);
        if (r.sound || !strstr(r.why, cases[i].why))
            fail_msg("%s: \"%s\"", cases[i].sql, r.why);
        fresh_teardown(&fresh);
    }
    (void)state;
}

static void the_audit_cannot_be_changed(void **state)
{
    struct fresh *f = *state;
    fill(state);
    assert_int_equal(db_run(f->db, "UPDATE audit SET who = 'nobody'", NULL, 0), STORE_CONFLICT);
    assert_int_equal(db_run(f->db, "DELETE FROM audit", NULL, 0), STORE_CONFLICT);
}

static void a_cut_file_is_damaged(void **state)
{
    struct fresh *f = *state;
    struct verify_report r;
    fill(state);
    back_up(state);
    assert_int_equal(truncate(copy_of(f), 3 * 2048), 0);
    assert_ok(store_verify(NULL, copy_of(f), &r));
    assert_false(r.sound);
    assert_true(r.why[0] != '\0');
    assert_int_equal(truncate(copy_of(f), 0), 0);
    assert_true(store_verify(NULL, copy_of(f), &r) != 0 || !r.sound);
    assert_int_equal(store_verify(NULL, "/nowhere.db", &r), STORE_ABSENT);
    assert_false(r.sound);
}

/* A restored copy is an ordinary database again: what is written to it does not break a seal. */
static void a_restored_copy_lives_on(void **state)
{
    struct fresh *f = *state;
    struct verify_report r;
    fill(state);
    back_up(state);
    db_close(f->db);
    f->db = NULL;
    assert_int_equal(rename(copy_of(f), f->file), 0);
    assert_ok(db_open(&f->db, f->folder, DB_SERVE, f->why, sizeof f->why));
    struct person p = a_person(9, "P-0009", "+447700900109");
    assert_ok(put_person(f->db, &p));
    assert_ok(store_verify(NULL, f->file, &r));
    assert_string_equal(r.why, "");
    assert_true(r.sound);
    back_up(state);
    assert_ok(store_verify(NULL, copy_of(f), &r));
    assert_true(r.sound);
}

#define FRESH(test) cmocka_unit_test_setup_teardown(test, fresh_setup, fresh_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        FRESH(a_copy_is_whole_and_private),
        FRESH(a_copy_that_is_there_is_never_written_over),
        FRESH(a_copy_is_one_instant_while_others_write),
        FRESH(a_living_database_is_verified_beside_its_server),
        FRESH(a_changed_byte_in_a_copied_text_is_found),
        FRESH(a_changed_byte_anywhere_is_found_or_changes_nothing),
        cmocka_unit_test(damage_by_hand_is_named),
        FRESH(the_audit_cannot_be_changed),
        FRESH(a_cut_file_is_damaged),
        FRESH(a_restored_copy_lives_on),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
