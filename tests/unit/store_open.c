/* Opening a state folder: who may read it, who is let in, which schema is taken, what is refused with which words. */
#define FRESH_EMBEDDED
#include "tests/unit/store_fresh.h"

#include "store/sqlite.h"

static void closed_again(void **state)
{
    struct fresh *f = *state;
    db_close(f->db);
    f->db = NULL;
}

/* With SQLite itself, as another program might. */
static void by_hand(const char *file, const char *sql)
{
    sqlite3 *handle;
    assert_int_equal(sqlite3_open(file, &handle), SQLITE_OK);
    if (sqlite3_exec(handle, sql, NULL, NULL, NULL) != SQLITE_OK)
        fail_msg("%s: %s", sql, sqlite3_errmsg(handle));
    sqlite3_close(handle);
}

/* Into `text`, "" for none. */
static void text_by_hand(const char *file, const char *sql, char *text, size_t size)
{
    sqlite3 *handle;
    sqlite3_stmt *statement;
    assert_int_equal(sqlite3_open(file, &handle), SQLITE_OK);
    assert_int_equal(sqlite3_prepare_v2(handle, sql, -1, &statement, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_step(statement), SQLITE_ROW);
    const unsigned char *found = sqlite3_column_text(statement, 0);
    assert_true(snprintf(text, size, "%s", found ? (const char *)found : "") < (int)size);
    sqlite3_finalize(statement);
    sqlite3_close(handle);
}

static int64_t whole_by_hand(const char *file, const char *sql)
{
    sqlite3 *handle;
    sqlite3_stmt *statement;
    assert_int_equal(sqlite3_open(file, &handle), SQLITE_OK);
    assert_int_equal(sqlite3_prepare_v2(handle, sql, -1, &statement, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_step(statement), SQLITE_ROW);
    int64_t whole = sqlite3_column_int64(statement, 0);
    sqlite3_finalize(statement);
    sqlite3_close(handle);
    return whole;
}

static void only_the_owner_can_read_the_state(void **state)
{
    struct fresh *f = *state;
    static const char *const files[] = {"quietarm.db", "quietarm.db-wal", "quietarm.db-shm", "quietarm.lock"};
    struct person p = a_person(1, "P-0001", "+447700900101");
    struct stat s;
    assert_ok(put_person(f->db, &p));
    assert_int_equal(stat(f->folder, &s), 0);
    assert_int_equal(s.st_mode & 0777, 0700);
    for (size_t i = 0; i < COUNT(files); i++) {
        char path[FRESH_PATH + 32];
        snprintf(path, sizeof path, "%s/%s", f->folder, files[i]);
        assert_int_equal(stat(path, &s), 0);
        if ((s.st_mode & 0777) != 0600)
            fail_msg("%s: %o", files[i], s.st_mode & 0777);
    }
}

static void an_open_folder_is_closed_to_others(void **state)
{
    struct fresh *f = *state;
    struct stat s;
    closed_again(state);
    assert_int_equal(chmod(f->folder, 0755), 0);
    assert_int_equal(chmod(f->file, 0644), 0);
    assert_ok(db_open(&f->db, f->folder, DB_SERVE, f->why, sizeof f->why));
    assert_int_equal(stat(f->folder, &s), 0);
    assert_int_equal(s.st_mode & 0777, 0700);
    assert_int_equal(stat(f->file, &s), 0);
    assert_int_equal(s.st_mode & 0777, 0600);
}

static void a_second_server_is_refused(void **state)
{
    struct fresh *f = *state;
    struct db *second;
    assert_int_equal(db_open(&second, f->folder, DB_SERVE, f->why, sizeof f->why), STORE_BUSY);
    assert_null(second);
    assert_non_null(strstr(f->why, "another quietarm"));
    closed_again(state);
    assert_ok(db_open(&f->db, f->folder, DB_SERVE, f->why, sizeof f->why)); /* when the first has gone */
}

static void commands_and_readers_work_beside_the_server(void **state)
{
    struct fresh *f = *state;
    struct db *command, *reader;
    struct person p = a_person(1, "P-0001", "+447700900101"), got;
    int64_t before, after, id;
    bool found;
    assert_ok(db_changed(f->db, &before));
    assert_ok(db_open(&command, f->folder, DB_WRITE, f->why, sizeof f->why));
    assert_ok(db_open(&reader, f->folder, DB_READ, f->why, sizeof f->why));
    assert_ok(put_person(command, &p));
    assert_ok(db_changed(f->db, &after));
    assert_true(after != before); /* the daemon notices */
    assert_ok(person_get(reader, 1, &got, &found));
    assert_true(found);
    assert_ok(db_begin(reader)); /* a reader's transaction is one snapshot */
    assert_ok(person_by_ref(reader, "maple", "P-0002", &id, &found));
    p = a_person(2, "P-0002", "+447700900102");
    assert_ok(put_person(f->db, &p));
    assert_ok(person_by_ref(reader, "maple", "P-0002", &id, &found));
    assert_false(found);
    assert_ok(db_commit(reader));
    assert_ok(person_by_ref(reader, "maple", "P-0002", &id, &found));
    assert_true(found && id == 2);
    db_close(command);
    db_close(reader);
}

static void without_a_database_commands_are_told_so(void **state)
{
    struct fresh *f = *state;
    struct db *db;
    closed_again(state);
    assert_int_equal(unlink(f->file), 0);
    assert_int_equal(db_open(&db, f->folder, DB_WRITE, f->why, sizeof f->why), STORE_ABSENT);
    assert_non_null(strstr(f->why, "no database here yet"));
    assert_int_equal(db_open(&db, f->folder, DB_READ, f->why, sizeof f->why), STORE_ABSENT);
    assert_int_equal(access(f->file, F_OK), -1);
    assert_int_equal(db_open_file(&db, f->file, f->why, sizeof f->why), STORE_ABSENT);
    assert_int_equal(db_open(&db, "/dev/null/state", DB_SERVE, f->why, sizeof f->why), STORE_IO);
}

static void a_newer_schema_is_refused(void **state)
{
    struct fresh *f = *state;
    static const enum db_use uses[] = {DB_SERVE, DB_WRITE, DB_READ};
    struct db *db;
    closed_again(state);
    by_hand(f->file, "PRAGMA user_version = 99");
    for (size_t i = 0; i < COUNT(uses); i++) {
        assert_int_equal(db_open(&db, f->folder, uses[i], f->why, sizeof f->why), STORE_NEWER);
        assert_non_null(strstr(f->why, "schema 99"));
        assert_non_null(strstr(f->why, "use the newer program"));
    }
    assert_int_equal(whole_by_hand(f->file, "PRAGMA user_version"), 99);
}

enum { STEPS_MOST = 32 };

/* Every table's columns, by name: a column that was added stands last, in a new database as well. */
#define SCHEMA_AS_TEXT                                                                                                 \
    "SELECT group_concat(t.name || '(' || (SELECT group_concat(name || ' ' || type || ' ' || \"notnull\")"              \
    " FROM (SELECT * FROM pragma_table_info(t.name) ORDER BY name)) || ')', ' ')"                                      \
    " FROM (SELECT name FROM sqlite_schema WHERE type = 'table' AND name IN ('people', 'courses', 'weeks', 'readings') ORDER BY name) t"

/* As schema 1 has them, and what schema 2 says of them itself. */
#define WEEK_COLUMNS                                                                                                   \
    "INSERT INTO weeks (id, person, number, version, state, protocol, first_day, last_day, days_wanted, opened_at, ended_at,"\
    " sent_at, reviewed_at, reviewed_by, outcome, arm_cm, cuff_low, cuff_high, paused_days, noted) VALUES "
#define A_PERSON_WITH_TWO_WEEKS                                                                                        \
    "INSERT INTO people VALUES (1, 'maple', 'P-1', '+447700900101', '', '', 'en', 'Europe/London', 'joined', 1, 1, 1, NULL, 0,"\
    " -1, -1, -1, -1, -1, -1, -1, -1, 31, 22, 32, 0, 'Oak 3', 2, 0, 0, 1, 0, 0, NULL, '', 0, 0, NULL, NULL, NULL, NULL, 127,"\
    " 127);"                                                                                                           \
    WEEK_COLUMNS "(2, 1, 1, 1, 'complete', 'esh', 20700, 20706, 7, 1, 2, 2, 2, 'her', 'kept', 31, 22, 32, 0, 0);"        \
    WEEK_COLUMNS "(3, 1, 2, 1, 'measuring', 'esh', 20780, NULL, 7, 3, NULL, NULL, NULL, '', 'kept', 31, 22, 32, 0, 0);"
#define MEASURED_WITH "UPDATE weeks SET monitor = 'Oak 3', validated = 2, on_arm = 1 WHERE number = 2"

/* A program of tomorrow, with one step more. */
static struct schema tomorrow(const char *step)
{
    static const char *steps[STEPS_MOST];
    assert_true(schema_sqlite.version < STEPS_MOST);
    for (int i = 0; i < schema_sqlite.version; i++)
        steps[i] = schema_sqlite.steps[i];
    steps[schema_sqlite.version] = step;
    return (struct schema){steps, schema_sqlite.version + 1};
}

static void an_older_schema_is_copied_aside_and_migrated(void **state)
{
    struct fresh *f = *state;
    char step[200], aside[FRESH_PATH + 64];
    int now = schema_sqlite.version;
    snprintf(step, sizeof step, "ALTER TABLE meta ADD COLUMN note TEXT; INSERT INTO meta (key, value, note)"
             " VALUES ('migrated', 1, 'yes'); PRAGMA user_version = %d;", now + 1);
    struct schema next = tomorrow(step);
    int64_t value;
    bool found;
    assert_ok(meta_set(f->db, "clock", 1780000000));
    closed_again(state);
    struct db *command;
    assert_int_equal(sqlite_open(&command, f->folder, DB_WRITE, &next, f->why, sizeof f->why), STORE_OLDER);
    assert_ok(sqlite_open(&f->db, f->folder, DB_SERVE, &next, f->why, sizeof f->why));
    assert_ok(meta_get(f->db, "clock", &value, &found));
    assert_true(found && value == 1780000000);
    assert_ok(meta_get(f->db, "migrated", &value, &found));
    assert_true(found && value == 1);
    snprintf(aside, sizeof aside, "%s.before-%d", f->file, now + 1);
    assert_int_equal(whole_by_hand(aside, "PRAGMA user_version"), now);
    assert_int_equal(whole_by_hand(aside, "SELECT value FROM meta WHERE key = 'clock'"), 1780000000);
}

static void a_migration_that_fails_leaves_all_as_it_was(void **state)
{
    struct fresh *f = *state;
    struct schema next = tomorrow("CREATE TABLE half (id INTEGER); ALTER TABLE nowhere ADD COLUMN x TEXT;");
    struct db *db;
    closed_again(state);
    assert_true(sqlite_open(&db, f->folder, DB_SERVE, &next, f->why, sizeof f->why) < 0);
    assert_int_equal(whole_by_hand(f->file, "PRAGMA user_version"), schema_sqlite.version);
    assert_int_equal(whole_by_hand(f->file, "SELECT count(*) FROM sqlite_schema WHERE name = 'half'"), 0);
    assert_ok(db_open(&f->db, f->folder, DB_SERVE, f->why, sizeof f->why));
}

/* A database as each earlier program made it: what it holds is there afterwards, and can be read and written. */
static void every_earlier_schema_becomes_this_one(void **state)
{
    struct fresh *f = *state;
    char schema[64], wanted[4096], found[4096];
    assert_true(schema_sqlite.version > 1);
    text_by_hand(f->file, SCHEMA_AS_TEXT, wanted, sizeof wanted);
    closed_again(state);
    for (int version = 1; version < schema_sqlite.version; version++) {
        struct schema earlier = {schema_sqlite.steps, version};
        unlink(f->file);
        assert_ok(sqlite_open(&f->db, f->folder, DB_SERVE, &earlier, f->why, sizeof f->why));
        closed_again(state);
        by_hand(f->file, A_PERSON_WITH_TWO_WEEKS);
        if (version >= 2)
            by_hand(f->file, MEASURED_WITH);
        assert_ok(db_open(&f->db, f->folder, DB_SERVE, f->why, sizeof f->why));
        closed_again(state);
        snprintf(schema, sizeof schema, "version %d", version);
        text_by_hand(f->file, SCHEMA_AS_TEXT, found, sizeof found);
        if (strcmp(wanted, found))
            fail_msg("%s: %s instead of %s", schema, found, wanted);
        assert_int_equal(whole_by_hand(f->file, "SELECT count(*) FROM weeks WHERE outcome = 'kept'"), 2);
        assert_int_equal(whole_by_hand(f->file, "SELECT count(*) FROM weeks WHERE number = 2 AND monitor = 'Oak 3'"
                                                " AND on_arm = 1 AND validated = 2 AND wrist = 0"), 1);
        assert_int_equal(whole_by_hand(f->file, "SELECT count(*) FROM weeks WHERE number = 1 AND monitor = ''"), 1);
        assert_int_equal(whole_by_hand(f->file, "SELECT count(*) FROM pragma_foreign_key_check"), 0);
    }
    assert_ok(db_open(&f->db, f->folder, DB_SERVE, f->why, sizeof f->why));
}

static void what_is_no_database_of_ours_is_refused(void **state)
{
    struct fresh *f = *state;
    struct db *db;
    closed_again(state);
    FILE *file = fopen(f->file, "w");
    assert_non_null(file);
    for (int i = 0; i < 500; i++)
        fputs("this is a letter, not a database\n", file);
    fclose(file);
    assert_int_equal(db_open(&db, f->folder, DB_SERVE, f->why, sizeof f->why), STORE_CORRUPT);
    unlink(f->file);
    by_hand(f->file, "CREATE TABLE recipes (name TEXT)");
    assert_int_equal(db_open(&db, f->folder, DB_SERVE, f->why, sizeof f->why), STORE_CORRUPT);
    assert_non_null(strstr(f->why, "not a database of quietarm"));
    assert_int_equal(whole_by_hand(f->file, "SELECT count(*) FROM sqlite_schema"), 1); /* and is left as it was */
}

static void the_writer_is_set_for_durability(void **state)
{
    struct fresh *f = *state;
    static const struct {
        const char *pragma;
        int64_t value;
        const char *why;
    } settings[] = {
        {"PRAGMA synchronous", 2, "FULL: a commit returns after the sync"},
        {"PRAGMA foreign_keys", 1, "references hold"},
        {"PRAGMA secure_delete", 1, "what is erased is overwritten"},
        {"PRAGMA wal_autocheckpoint", 16000, "pages of log"},
        {"PRAGMA trusted_schema", 0, "a tampered schema can call nothing"},
        {"PRAGMA busy_timeout", 10000, "ten seconds"},
        {"PRAGMA application_id", SCHEMA_APPLICATION_ID, "the file says whose it is"},
    };
    for (size_t i = 0; i < COUNT(settings); i++) {
        int64_t value = -1;
        bool found;
        assert_ok(db_whole(f->db, settings[i].pragma, NULL, 0, &value, 1, &found));
        if (value != settings[i].value)
            fail_msg("%s: %lld: %s", settings[i].pragma, (long long)value, settings[i].why);
    }
    assert_int_equal(whole_by_hand(f->file, "SELECT journal_mode = 'wal' FROM pragma_journal_mode"), 1);
}

static void a_word_in_double_quotes_is_never_taken_for_a_text(void **state)
{
    struct fresh *f = *state;
    assert_true(db_run(f->db, "DELETE FROM meta WHERE key = \"clock\"", NULL, 0) < 0);
}

static void what_is_deleted_leaves_no_trace_in_the_file(void **state)
{
    struct fresh *f = *state;
    struct stored_text t = {.id = 1, .body = (char *)"Zebedee-7731", .received = 1, .sent = INSTANT_NONE, .hash = {1}};
    char *bytes = malloc(1 << 20);
    assert_ok(text_write(f->db, &t));
    assert_ok(db_run(f->db, "DELETE FROM texts", NULL, 0));
    closed_again(state); /* the last one out brings the log into the file */
    FILE *file = fopen(f->file, "r");
    assert_non_null(file);
    size_t n = fread(bytes, 1, 1 << 20, file);
    fclose(file);
    assert_true(n > 4096);
    assert_null(memmem(bytes, n, "Zebedee", 7));
    free(bytes);
}

static void a_path_with_special_signs_is_only_a_path(void **state)
{
    struct fresh *f = *state;
    char folder[FRESH_PATH + 32];
    struct db *db;
    snprintf(folder, sizeof folder, "%s/a?mode=memory#b%%20c", f->folder);
    assert_ok(db_open(&db, folder, DB_SERVE, f->why, sizeof f->why));
    db_close(db);
    snprintf(folder + strlen(folder), sizeof folder - strlen(folder), "/quietarm.db");
    assert_int_equal(access(folder, F_OK), 0);
}

#define FRESH(test) cmocka_unit_test_setup_teardown(test, fresh_setup, fresh_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        FRESH(only_the_owner_can_read_the_state),
        FRESH(an_open_folder_is_closed_to_others),
        FRESH(a_second_server_is_refused),
        FRESH(commands_and_readers_work_beside_the_server),
        FRESH(without_a_database_commands_are_told_so),
        FRESH(a_newer_schema_is_refused),
        FRESH(an_older_schema_is_copied_aside_and_migrated),
        FRESH(a_migration_that_fails_leaves_all_as_it_was),
        FRESH(every_earlier_schema_becomes_this_one),
        FRESH(what_is_no_database_of_ours_is_refused),
        FRESH(the_writer_is_set_for_durability),
        FRESH(a_word_in_double_quotes_is_never_taken_for_a_text),
        FRESH(what_is_deleted_leaves_no_trace_in_the_file),
        FRESH(a_path_with_special_signs_is_only_a_path),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
