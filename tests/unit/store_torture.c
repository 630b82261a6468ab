/* Every write to the disk, every sync and every allocation of SQLite's fails in turn: what was committed stays, what was not
 * is gone, an error is told, and the same work done again succeeds. (The method is that of SQLite's own testing page:
 * fail the Nth, for every N until nothing fails.)
 */
#define FRESH_EMBEDDED
#include "tests/unit/store_fresh.h"

#include "store/sqlite.h"

enum { NOW = 1780000000, N_MAX = 5000 };

/* -- a disk that fails once, at the Nth call ------------------------------------------------------------------------------ */

static int calls_left = -1, fail_with;

static bool fails_now(void)
{
    return calls_left >= 0 && calls_left-- == 0;
}

static const sqlite3_io_methods *real_methods;

static int failing_write(sqlite3_file *file, const void *bytes, int n, sqlite3_int64 at)
{
    return fails_now() ? fail_with : real_methods->xWrite(file, bytes, n, at);
}

static int failing_sync(sqlite3_file *file, int flags)
{
    return fails_now() ? SQLITE_IOERR_FSYNC : real_methods->xSync(file, flags);
}

/* The database's file and its log keep their methods, which differ in how they lock, but for these two. */
static void disk_may_fail(struct db *db)
{
    static sqlite3_io_methods methods[2];
    static const int pointers[] = {SQLITE_FCNTL_FILE_POINTER, SQLITE_FCNTL_JOURNAL_POINTER};
    for (size_t i = 0; i < COUNT(pointers); i++) {
        sqlite3_file *file = NULL;
        assert_int_equal(sqlite3_file_control(((struct sqlite_db *)db)->handle, "main", pointers[i], &file), SQLITE_OK);
        assert_non_null(file);
        assert_non_null(file->pMethods);
        if (file->pMethods->xWrite != failing_write) {
            real_methods = file->pMethods;
            methods[i] = *real_methods;
        }
        methods[i].xWrite = failing_write;
        methods[i].xSync = failing_sync;
        file->pMethods = &methods[i];
    }
}

/* -- memory that fails once, at the Nth allocation -------------------------------------------------------------------------- */

static sqlite3_mem_methods real_memory;

static void *failing_malloc(int n)
{
    return fails_now() ? NULL : real_memory.xMalloc(n);
}

static void *failing_realloc(void *at, int n)
{
    return fails_now() ? NULL : real_memory.xRealloc(at, n);
}

static void memory_may_fail(void)
{
    sqlite3_mem_methods memory;
    assert_int_equal(sqlite3_shutdown(), SQLITE_OK);
    assert_int_equal(sqlite3_config(SQLITE_CONFIG_GETMALLOC, &real_memory), SQLITE_OK);
    memory = real_memory;
    memory.xMalloc = failing_malloc;
    memory.xRealloc = failing_realloc;
    assert_int_equal(sqlite3_config(SQLITE_CONFIG_MALLOC, &memory), SQLITE_OK);
    assert_int_equal(sqlite3_config(SQLITE_CONFIG_LOOKASIDE, 0, 0), SQLITE_OK);
}

/* -- one ordinary text, as the writer does it ------------------------------------------------------------------------------- */

static int one_text(struct db *db, int64_t id)
{
    int64_t person = 1;
    struct record r = {0};
    struct stored_text t = {.id = id, .person = 1, .clinic = "maple", .body = (char *)"132/84 71", .received = NOW,
                            .sent = INSTANT_NONE};
    struct reading x = {.id = id + 1, .person = 1, .text = id, .at = NOW, .day = 1, .sys = 132, .dia = 84, .temp_c = NAN};
    struct outgoing o = a_text(id + 2, 1, "+447700900101", CLASS_REPLY, NOW);
    struct effect e[] = {{.kind = EFFECT_READING, .reading = x},
                         {.kind = EFFECT_SEND, .send = &o},
                         {.kind = EFFECT_AUDIT},
                         {.kind = EFFECT_OUTCOME}};
    memcpy(t.hash, &id, sizeof id);
    e[3].outcome.text = id;
    e[3].outcome.person = 1;
    int error = db_begin(db);
    if (error)
        return error;
    error = records_load(db, NOW, &person, 1, &r);
    free_record(&r);
    if (!error)
        error = text_write(db, &t);
    if (!error)
        error = effects_write(db, &(struct effects){.at = e, .n = COUNT(e)});
    if (!error)
        return db_commit(db);
    db_rollback(db);
    return error;
}

static bool text_is_whole(void **state, int64_t id)
{
    struct fresh *f = *state;
    struct stored_text t;
    struct reading x;
    struct outgoing o;
    bool text, reading, reply;
    assert_ok(text_get(f->db, id, &t, &text));
    free(t.body);
    assert_ok(reading_get(f->db, id + 1, &x, &reading));
    assert_ok(outbox_get(f->db, id + 2, &o, &reply));
    assert_true(text == reading && reading == reply); /* all of it or nothing */
    return text;
}

/* Fails the Nth, for every N that `step` meets. With `anew` each round has a new connection, whose statements are not
 * prepared yet. */
static void fail_each(void **state, int code, bool anew, int step)
{
    struct fresh *f = *state;
    int n = 0;
    fail_with = code;
    for (bool failed = true; failed && n < N_MAX; n += step) {
        int64_t id = 1000 + 10 * n;
        if (anew) {
            db_close(f->db);
            assert_ok(db_open(&f->db, f->folder, DB_SERVE, f->why, sizeof f->why));
        }
        calls_left = n;
        int error = one_text(f->db, id);
        failed = calls_left < 0;
        calls_left = -1;
        if (failed && !error) /* what failed could be done without */
            assert_true(text_is_whole(state, id));
        if (!failed)
            assert_int_equal(error, 0);
        if (error) {
            assert_false(text_is_whole(state, id));
            assert_ok(one_text(f->db, id)); /* the same again */
        }
        assert_true(text_is_whole(state, id));
    }
    assert_true(n > step && n < N_MAX);
}

static void assert_sound(void **state)
{
    struct fresh *f = *state;
    struct verify_report r;
    assert_ok(store_verify(NULL, f->file, &r));
    assert_string_equal(r.why, "");
}

static int torture_setup(void **state)
{
    fresh_setup(state);
    struct fresh *f = *state;
    struct person p = a_person(1, "P-0001", "+447700900101");
    return put_person(f->db, &p);
}

static void a_disk_that_is_full_loses_nothing(void **state)
{
    disk_may_fail(((struct fresh *)*state)->db);
    fail_each(state, SQLITE_FULL, false, 1);
    assert_sound(state);
}

static void a_disk_that_fails_loses_nothing(void **state)
{
    disk_may_fail(((struct fresh *)*state)->db);
    fail_each(state, SQLITE_IOERR_WRITE, false, 1);
    assert_sound(state);
}

static void memory_that_fails_loses_nothing(void **state)
{
    /* Some 3,200 allocations: all of them, half a minute, when TORTURE is set. */
    fail_each(state, SQLITE_NOMEM, true, getenv("TORTURE") ? 1 : 17);
    assert_sound(state);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_disk_that_is_full_loses_nothing, torture_setup, fresh_teardown),
        cmocka_unit_test_setup_teardown(a_disk_that_fails_loses_nothing, torture_setup, fresh_teardown),
        cmocka_unit_test_setup_teardown(memory_that_fails_loses_nothing, torture_setup, fresh_teardown),
    };
    memory_may_fail();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
