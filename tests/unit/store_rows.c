/* Every row comes back as it was written: structs of chance, through effects and back by loading. */
#include "tests/unit/store_fresh.h"

enum { NOW = 1780000000, ROUNDS = 200 };

static int column_order(const void *a, const void *b)
{
    return ((const struct column *)a)->at - ((const struct column *)b)->at;
}

/* A member that the list forgot leaves a gap that no alignment explains. */
static void every_member_of_a_row_has_its_column(void **state)
{
    (void)state;
    static const struct {
        const char *what;
        const struct column *columns;
        size_t n, size, gap; /* gap: bytes that are not stored, on purpose */
    } rows[] = {
        {"person", people_columns, PEOPLE_N, sizeof(struct person), 0},
        {"course", courses_columns, COURSES_N, sizeof(struct course), 0},
        {"week", weeks_columns, WEEKS_N, sizeof(struct week), 0},
        {"reading", readings_columns, READINGS_N, sizeof(struct reading), 0},
        {"alert", alerts_columns, ALERTS_N, sizeof(struct alert), 0},
        {"desk row", desk_columns, DESK_N, sizeof(struct desk_row), 0},
        {"outgoing, whose saying and tag are not stored", outbox_columns, OUTBOX_N, sizeof(struct outgoing),
         sizeof(struct saying) + TAG_MAX},
        {"sent", sent_columns, SENT_N, sizeof(struct sent), 0},
        {"stored text", texts_columns, TEXTS_N, sizeof(struct stored_text), 0},
        {"account", accounts_columns, ACCOUNTS_N, sizeof(struct account), 0},
        {"session", sessions_columns, SESSIONS_N, sizeof(struct session), 0},
        {"early receipt", receipts_columns, RECEIPTS_N, sizeof(struct early_receipt), 0},
    };
    for (size_t r = 0; r < COUNT(rows); r++) {
        struct column sorted[ROW_COLUMNS_MAX];
        memcpy(sorted, rows[r].columns, rows[r].n * sizeof *sorted);
        qsort(sorted, rows[r].n, sizeof *sorted, column_order);
        size_t end = 0, gap = 0;
        for (size_t i = 0; i <= rows[r].n; i++) {
            size_t next = i < rows[r].n ? sorted[i].at : rows[r].size;
            if (next > end)
                gap = next - end > gap ? next - end : gap;
            if (i < rows[r].n && sorted[i].at + (size_t)sorted[i].size > end)
                end = sorted[i].at + (size_t)sorted[i].size;
        }
        if (gap > rows[r].gap + 7)
            fail_msg("%s: %zu bytes have no column", rows[r].what, gap);
    }
}

static void add(struct effects *e, struct effect x)
{
    e->at = realloc(e->at, (e->n + 1) * sizeof *e->at);
    assert_non_null(e->at);
    e->at[e->n++] = x;
}

struct expected {
    struct person person;
    struct course course;
    struct week week;
    struct reading readings[3];
    struct alert alert;
    struct desk_row desk;
    struct outgoing text;
};

static void chance_expected(struct expected *x, int64_t id)
{
    memset(x, 0, sizeof *x);
    chance_row(people_columns, PEOPLE_N, &x->person);
    chance_row(courses_columns, COURSES_N, &x->course);
    chance_row(weeks_columns, WEEKS_N, &x->week);
    chance_row(alerts_columns, ALERTS_N, &x->alert);
    chance_row(desk_columns, DESK_N, &x->desk);
    chance_row(outbox_columns, OUTBOX_N, &x->text);
    memset(x->person.ref, 0, sizeof x->person.ref); /* bytes past the end are compared too */
    snprintf(x->person.ref, sizeof x->person.ref, "R-%lld", (long long)id);
    x->person.id = x->course.person = x->week.person = x->alert.person = x->desk.person = x->text.person = id;
    x->week.id = id + 1;
    for (int i = 0; i < 3; i++) { /* two of the week, one aside */
        chance_row(readings_columns, READINGS_N, &x->readings[i]);
        x->readings[i].id = id + 2 + i;
        x->readings[i].person = id;
        x->readings[i].week = i < 2 ? id + 1 : 0;
        x->readings[i].text = 0;
        x->readings[i].at = NOW + i;
    }
    x->alert.id = x->desk.id = x->text.id = id + 5;
    x->alert.resolved_at = x->desk.done_at = INSTANT_NONE;
    x->text.class_ %= CLASS_COUNT;
    memset(x->text.key, 0, sizeof x->text.key);
    snprintf(x->text.key, sizeof x->text.key, "k%lld", (long long)id);
}

static int write_expected(struct db *db, const struct expected *x)
{
    struct outgoing text = x->text;
    struct effects e = {0};
    /* Not in the order of the references: they are checked when it is committed. */
    for (int i = 0; i < 3; i++)
        add(&e, (struct effect){.kind = EFFECT_READING, .reading = x->readings[i]});
    add(&e, (struct effect){.kind = EFFECT_WEEK, .week = x->week});
    add(&e, (struct effect){.kind = EFFECT_COURSE, .course = x->course});
    add(&e, (struct effect){.kind = EFFECT_ALERT, .alert = x->alert});
    add(&e, (struct effect){.kind = EFFECT_DESK, .desk = x->desk});
    add(&e, (struct effect){.kind = EFFECT_SEND, .send = &text});
    add(&e, (struct effect){.kind = EFFECT_PERSON, .person = x->person});
    int error = effects_write(db, &e);
    free(e.at);
    return error;
}

static void assert_loaded(void **state, const struct expected *x)
{
    struct fresh *f = *state;
    struct record r = {0};
    struct outgoing text;
    bool found;
    assert_ok(records_load(f->db, NOW, &x->person.id, 1, &r));
    assert_memory_equal(&r.person, &x->person, sizeof r.person);
    assert_memory_equal(&r.course, &x->course, sizeof r.course);
    assert_memory_equal(&r.week, &x->week, sizeof r.week);
    assert_int_equal(r.n_readings, 3);
    assert_memory_equal(r.readings, x->readings, sizeof x->readings);
    assert_int_equal(r.n_alerts, 1);
    assert_memory_equal(r.alerts, &x->alert, sizeof x->alert);
    assert_int_equal(r.n_desk, 1);
    assert_memory_equal(r.desk, &x->desk, sizeof x->desk);
    free_record(&r);
    assert_ok(outbox_get(f->db, x->text.id, &text, &found));
    assert_true(found);
    assert_memory_equal(&text, &x->text, sizeof text);
}

static void what_is_written_is_loaded(void **state)
{
    struct fresh *f = *state;
    struct expected *x = malloc(sizeof *x);
    for (int round = 0; round < ROUNDS; round++) {
        chance_expected(x, 100 * (round + 1));
        assert_ok(write_expected(f->db, x));
        assert_loaded(state, x);
    }
    free(x);
}

static void writing_twice_changes_nothing(void **state)
{
    struct fresh *f = *state;
    struct expected *x = malloc(sizeof *x);
    chance_expected(x, 100);
    assert_ok(write_expected(f->db, x));
    assert_ok(write_expected(f->db, x));
    assert_loaded(state, x);
    free(x);
}

static void writing_anew_changes_the_row(void **state)
{
    struct fresh *f = *state;
    struct expected *x = malloc(sizeof *x), *y = malloc(sizeof *y);
    chance_expected(x, 100);
    assert_ok(write_expected(f->db, x));
    chance_expected(y, 100);
    memcpy(y->person.clinic, x->person.clinic, sizeof y->person.clinic); /* a person's clinic never changes */
    y->text = x->text;                                                   /* what is queued is fixed */
    assert_ok(write_expected(f->db, y));
    assert_loaded(state, y);
    free(x);
    free(y);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_member_of_a_row_has_its_column),
        cmocka_unit_test_setup_teardown(what_is_written_is_loaded, fresh_setup, fresh_teardown),
        cmocka_unit_test_setup_teardown(writing_twice_changes_nothing, fresh_setup, fresh_teardown),
        cmocka_unit_test_setup_teardown(writing_anew_changes_the_row, fresh_setup, fresh_teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
