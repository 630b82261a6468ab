/* Adding patients to a real database: who may be added, and that a list is added whole or not at all. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <cmocka.h>

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "demo/play/place.h"
#include "gateway/care/care.h"
#include "gateway/enrolment.h"
#include "gateway/folder.h"

enum { NOW = 1795504200, TOLD_BYTES = 200 }; /* 2026-11-24T07:10:00Z */
static struct clinic clinics[2];
static struct config config = {.clinics = clinics, .n_clinics = 2};
static struct texts *texts;
static struct db *db;
static char folder[64];

static int clinics_make(void **state)
{
    static const char *const ids[] = {"maple", "oak"};
    (void)state;
    char why[256];
    for (int i = 0; i < 2; i++) {
        struct clinic *c = &clinics[i];
        snprintf(c->id, sizeof c->id, "%s", ids[i]);
        snprintf(c->name, sizeof c->name, "A practice of fiction");
        snprintf(c->text_number, sizeof c->text_number, "+44770090000%d", 1 + i);
        snprintf(c->voice_number, sizeof c->voice_number, "01632 960001");
        snprintf(c->out_of_hours, sizeof c->out_of_hours, "111");
        snprintf(c->emergency, sizeof c->emergency, "999");
        snprintf(c->zone, sizeof c->zone, "Europe/London");
        snprintf(c->language, sizeof c->language, "en");
        snprintf(c->protocol_name, sizeof c->protocol_name, "esh");
        c->morning = (struct span){300, 720};
        c->evening = (struct span){960, 1440};
        c->quiet = (struct span){1290, 420};
        assert_int_equal(protocol_find("esh", &c->protocol, why, sizeof why), 0);
    }
    return texts_load(&texts, "", why, sizeof why);
}

static int database_make(void **state)
{
    (void)state;
    char why[256] = "", conninfo[PLACE_CONNINFO];
    if (place_store())
        assert_true(place_fresh(conninfo) && store_choose(place_store(), conninfo));
    snprintf(folder, sizeof folder, "build/enrolment-XXXXXX");
    assert_non_null(mkdtemp(folder));
    if (db_open(&db, folder, DB_SERVE, why, sizeof why) < 0)
        fail_msg("%s", why);
    return 0;
}

static int database_remove(void **state)
{
    (void)state;
    struct dirent *entry;
    char file[400];
    db_close(db);
    DIR *dir = opendir(folder);
    while (dir && (entry = readdir(dir))) {
        snprintf(file, sizeof file, "%s/%s", folder, entry->d_name);
        unlink(file); /* not . and .. */
    }
    closedir(dir);
    return rmdir(folder);
}

static struct enrolment someone(int clinic, const char *ref, const char *phone, const char *tag)
{
    struct enrolment e;
    enrolment_blank(&e, &clinics[clinic]);
    snprintf(e.person.ref, sizeof e.person.ref, "%s", ref);
    snprintf(e.person.phone, sizeof e.person.phone, "%s", phone);
    snprintf(e.person.tag, sizeof e.person.tag, "%s", tag);
    return e;
}

/* What was refused, as "ref:column " each. */
static void note(void *context, const struct enrolment *e, const char *column, const char *why)
{
    char *told = context;
    size_t n = strlen(told);
    assert_non_null(strchr(why, ';'));
    snprintf(told + n, TOLD_BYTES - n, "%s:%s ", e->person.ref, column);
}

static int add(const struct enrolment *e, size_t n, char told[TOLD_BYTES])
{
    struct enrolment_watch watch = {.context = told, .refused = note};
    told[0] = '\0';
    return enrolment_write(db, &config, texts, NOW, e, n, &watch);
}

static bool there(const char *clinic, const char *ref, struct person *p)
{
    int64_t id;
    bool found = false;
    assert_int_equal(person_by_ref(db, clinic, ref, &id, &found), 0);
    if (found && p)
        assert_int_equal(person_get(db, id, p, &found), 0);
    return found;
}

static void one_is_invited_and_asked_by_text(void **state)
{
    (void)state;
    struct enrolment e = someone(0, "P-0001", "+447700900123", "");
    char told[TOLD_BYTES];
    struct person p;
    struct outgoing *sent = NULL;
    size_t n = 0;
    assert_int_equal(add(&e, 1, told), 0);
    assert_true(there("maple", "P-0001", &p));
    assert_int_equal(p.state, PERSON_INVITED);
    assert_true(p.enrolled_at == NOW && p.id > 0 && p.id < INT64_C(1) << 53);
    assert_int_equal(outbox_said(db, p.id, 0, INT64_MAX, 10, &sent, &n), 0);
    assert_true(n >= 1);
    assert_string_equal(sent[0].to, "+447700900123");
    assert_string_equal(sent[0].from, "+447700900001");
    assert_non_null(strstr(sent[0].body, "A practice of fiction"));
    assert_null(strstr(sent[0].body, "{"));
    free(sent);
}

static void who_may_not_be_added_is_told_by_column(void **state)
{
    static const struct {
        const char *why;
        int clinic;
        const char *ref, *phone, *tag, *column; /* column NULL: added */
    } rows[] = {
        {"the same ref", 0, "P-0001", "+447700900200", "", "ref"},
        {"the same ref in another clinic", 1, "P-0001", "+447700900200", "", NULL},
        {"the same number", 0, "P-0002", "+447700900123", "", "phone"},
        {"the same number, and the other has no tag", 0, "P-0002", "+447700900123", "ana", "phone"},
        {"the same number in another clinic", 1, "P-0003", "+447700900123", "", NULL},
        {"a number with a tag", 0, "P-0004", "+447700900124", "ana", NULL},
        {"its second, of the same tag in other letters", 0, "P-0005", "+447700900124", "ANA", "phone"},
        {"its second, with another tag", 0, "P-0005", "+447700900124", "leo", NULL},
    };
    (void)state;
    char told[TOLD_BYTES];
    struct enrolment first = someone(0, "P-0001", "+447700900123", "");
    assert_int_equal(add(&first, 1, told), 0);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct enrolment e = someone(rows[i].clinic, rows[i].ref, rows[i].phone, rows[i].tag);
        char want[TOLD_BYTES] = "";
        if (rows[i].column)
            snprintf(want, sizeof want, "%s:%s ", rows[i].ref, rows[i].column);
        int result = add(&e, 1, told);
        if (result != (rows[i].column ? 1 : 0) || strcmp(told, want) != 0)
            fail_msg("%s: %d %s", rows[i].why, result, told);
    }
}

static void a_number_is_shared_by_no_more_than_are_heard(void **state)
{
    (void)state;
    char told[TOLD_BYTES];
    for (int i = 0; i <= 16; i++) {
        char ref[16], tag[8];
        snprintf(ref, sizeof ref, "S-%02d", i);
        snprintf(tag, sizeof tag, "bed%c", 'a' + i);
        struct enrolment e = someone(0, ref, "+447700900150", tag);
        assert_int_equal(add(&e, 1, told), i == 16);
    }
    assert_string_equal(told, "S-16:phone ");
}

static void a_list_is_added_whole_or_not_at_all(void **state)
{
    (void)state;
    char told[TOLD_BYTES];
    struct enrolment list[] = {someone(0, "A", "+447700900201", ""), someone(0, "B", "+447700900202", ""),
                               someone(0, "C", "+447700900201", ""), someone(0, "A", "+447700900204", "")};
    assert_int_equal(add(list, 4, told), 2);
    assert_string_equal(told, "C:phone A:ref "); /* each is told, not only the first */
    assert_false(there("maple", "A", NULL));
    assert_int_equal(add(list, 2, told), 0);
    assert_true(there("maple", "A", NULL) && there("maple", "B", NULL));
}

static void a_number_that_had_texted_before_keeps_its_record(void **state)
{
    (void)state;
    struct effects effects = {0};
    struct record r = {.clinic = &clinics[0]};
    char told[TOLD_BYTES];
    struct enrolment e = someone(0, "P-0001", "+447700900123", "");
    struct person p;
    person_blank(&r.person, &clinics[0]);
    r.person.id = 4711;
    snprintf(r.person.phone, sizeof r.person.phone, "+447700900123");
    course_blank(&r.course, 4711);
    care_put_person(&r, &effects);
    care_put_course(&r, &effects);
    assert_int_equal(db_begin(db), 0);
    assert_int_equal(effects_write(db, &effects), 0);
    assert_int_equal(db_commit(db), 0);
    effects_clear(&effects);
    assert_int_equal(add(&e, 1, told), 0);
    assert_true(there("maple", "P-0001", &p));
    assert_true(p.id == 4711);
    assert_int_equal(p.state, PERSON_INVITED);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(one_is_invited_and_asked_by_text, database_make, database_remove),
        cmocka_unit_test_setup_teardown(who_may_not_be_added_is_told_by_column, database_make,
                                        database_remove),
        cmocka_unit_test_setup_teardown(a_number_is_shared_by_no_more_than_are_heard, database_make, database_remove),
        cmocka_unit_test_setup_teardown(a_list_is_added_whole_or_not_at_all, database_make, database_remove),
        cmocka_unit_test_setup_teardown(a_number_that_had_texted_before_keeps_its_record, database_make,
                                        database_remove),
    };
    int failed = cmocka_run_group_tests_name("enrolment", tests, clinics_make, NULL);
    texts_close(texts);
    return failed;
}
