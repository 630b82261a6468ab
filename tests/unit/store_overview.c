/* What is kept beside the rows for those who look at many: the table of patients with its stages and words, the figures by
 * month, the audit read back. Triggers keep it whoever writes, and it never keeps anything from being written.
 */
#include "tests/unit/store_fresh.h"

#include "store/search.h"

enum { NOW = 1796112000, DAY_SECONDS = 86400 }; /* 2026-12-01T08:00:00Z */

static void put(void **state, struct effect e)
{
    struct fresh *f = *state;
    assert_ok(effects_write(f->db, &(struct effects){.at = &e, .n = 1, .cap = 1}));
}

static void keep_person(void **state, int64_t id, const char *ref, const char *name, const char *phone, enum person_state s)
{
    struct person p = a_person(id, ref, phone);
    snprintf(p.name, sizeof p.name, "%s", name);
    p.state = s;
    put(state, (struct effect){.kind = EFFECT_PERSON, .person = p});
}

static void put_week(void **state, int64_t person, int number, enum week_state s, int64_t reviewed)
{
    struct week w = {.id = 100 * person + number, .person = person, .number = (int16_t)number, .state = s, .first_day = 20788,
                     .last_day = 20794, .opened_at = NOW, .reviewed_at = reviewed, .sent_at = INSTANT_NONE,
                     .ended_at = s == WEEK_COMPLETE || s == WEEK_SHORT ? NOW : INSTANT_NONE};
    put(state, (struct effect){.kind = EFFECT_WEEK, .week = w});
}

static int64_t found_one(void **state, const char *stage, const char *search, size_t *n)
{
    struct fresh *f = *state;
    int64_t ids[16] = {0};
    struct people_query q = {.clinic = "maple", .stage = stage, .search = search};
    assert_ok(people_find(f->db, &q, ids, 16, n));
    return *n ? ids[0] : 0;
}

static int64_t stage_n(void **state, const char *stage)
{
    struct fresh *f = *state;
    struct stage_count counts[STAGES_MAX];
    size_t n;
    assert_ok(people_stages(f->db, "maple", counts, &n));
    for (size_t i = 0; i < n; i++)
        if (strcmp(counts[i].stage, stage) == 0)
            return counts[i].n;
    return 0;
}

/* -- stages ------------------------------------------------------------------------------------------------------------------- */

static void a_patient_is_in_the_stage_that_person_and_week_say(void **state)
{
    static const struct {
        enum person_state person;
        int week; /* -1 none */
        bool reviewed;
        const char *stage;
    } rows[] = {
        {PERSON_INVITED, -1, false, "invited"},
        {PERSON_JOINED, -1, false, "waiting"},
        {PERSON_JOINED, WEEK_WAITING, false, "waiting"},
        {PERSON_JOINED, WEEK_READY, false, "waiting"},
        {PERSON_JOINED, WEEK_MEASURING, false, "measuring"},
        {PERSON_PAUSED, WEEK_MEASURING, false, "paused"},
        {PERSON_JOINED, WEEK_COMPLETE, false, "to_review"},
        {PERSON_LEFT, WEEK_SHORT, false, "to_review"},
        {PERSON_JOINED, WEEK_COMPLETE, true, "reviewed"},
        {PERSON_LEFT, WEEK_MEASURING, false, "gone"},
        {PERSON_CLOSED, WEEK_COMPLETE, true, "gone"},
        {PERSON_DIED, WEEK_COMPLETE, false, "gone"},
        {PERSON_WITHDRAWN, WEEK_SHORT, false, "gone"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char ref[16];
        size_t n;
        snprintf(ref, sizeof ref, "R-%zu", i);
        int64_t before = stage_n(state, rows[i].stage), id = (int64_t)i + 1;
        keep_person(state, id, ref, "", "+447700900101", rows[i].person);
        if (rows[i].week >= 0)
            put_week(state, id, 1, (enum week_state)rows[i].week, rows[i].reviewed ? NOW : INSTANT_NONE);
        if (found_one(state, rows[i].stage, ref, &n) != id || stage_n(state, rows[i].stage) != before + 1)
            fail_msg("row %zu is not in %s", i, rows[i].stage);
    }
}

static void the_latest_week_counts_and_a_stranger_is_nowhere(void **state)
{
    size_t n;
    keep_person(state, 1, "", "", "+447700900109", PERSON_STRANGER);
    assert_int_equal(found_one(state, "", "", &n), 0);
    keep_person(state, 1, "R-1", "Ada", "+447700900109", PERSON_JOINED); /* the stranger becomes the patient */
    put_week(state, 1, 1, WEEK_COMPLETE, NOW);
    assert_int_equal(found_one(state, "reviewed", "", &n), 1);
    put_week(state, 1, 2, WEEK_MEASURING, INSTANT_NONE);
    assert_int_equal(found_one(state, "measuring", "", &n), 1);
    assert_int_equal(stage_n(state, "reviewed"), 0);
}

/* -- words ---------------------------------------------------------------------------------------------------------------------- */

static void words_are_folded_alike_where_they_are_kept_and_looked_for(void **state)
{
    static const struct {
        const char *text, *words[3];
        size_t n;
    } rows[] = {
        {"Ada Lovelight", {"ada", "lovelight"}, 2}, {"Núñez", {"nunez"}, 1},     {"  O'Hara-Smith ", {"o", "hara-smith"}, 2},
        {"P-0001/7", {"p-0001/7"}, 1},              {"STRASSE Straße", {"strasse", "strasse"}, 2}, {"<>&\"'", {NULL}, 0},
        {"", {NULL}, 0},                            {"\xFF\xFE" "a", {"a"}, 1},  {"Ünal Øster", {"unal", "øster"}, 2},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char words[4][SEARCH_WORD];
        size_t n = search_words(rows[i].text, words, 4);
        if (n != rows[i].n)
            fail_msg("\"%s\": %zu words", rows[i].text, n);
        for (size_t k = 0; k < n; k++)
            assert_string_equal(words[k], rows[i].words[k]);
    }
}

static void people_are_found_by_beginnings_of_words_and_ends_of_numbers(void **state)
{
    static const struct {
        const char *search;
        int64_t id;
        size_t n;
    } rows[] = {
        {"ad", 1, 1},      {"ADA", 1, 1},        {"núñ", 2, 1},  {"nunez", 2, 1}, {"p-00", 1, 2},   {"900101", 1, 1},
        {"101", 1, 1},     {"4477009001", 1, 2}, {"ca nu", 2, 1}, {"ada nu", 0, 0}, {"da", 0, 0},   {"%", 0, 0},
        {"ada%", 1, 1},    {"a_a", 0, 0},        {"  ", 0, 0},
    };
    size_t n;
    keep_person(state, 1, "P-0001", "Ada Bo", "+447700900101", PERSON_JOINED);
    keep_person(state, 2, "P-0002", "Carla Núñez", "+447700900102", PERSON_JOINED);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (found_one(state, "", rows[i].search, &n) != rows[i].id || n != rows[i].n)
            fail_msg("\"%s\" finds %zu", rows[i].search, n);
    keep_person(state, 2, "P-0002", "Carla Ortiz", "+447700900102", PERSON_JOINED);
    assert_int_equal(found_one(state, "", "nunez", &n), 0); /* the old name is forgotten */
}

/* -- months ---------------------------------------------------------------------------------------------------------------------- */

static void figures_are_counted_as_things_happen(void **state)
{
    struct fresh *f = *state;
    struct month m[4];
    size_t n;
    keep_person(state, 1, "P-1", "Ada", "+447700900101", PERSON_JOINED);
    put_week(state, 1, 1, WEEK_MEASURING, INSTANT_NONE);
    put_week(state, 1, 1, WEEK_COMPLETE, INSTANT_NONE);
    put_week(state, 1, 1, WEEK_COMPLETE, NOW); /* reviewed: not counted again */
    struct alert a = {.id = 900, .person = 1, .clinic = "maple", .at = NOW, .taken_at = INSTANT_NONE, .resolved_at = INSTANT_NONE,
                      .due = NOW};
    put(state, (struct effect){.kind = EFFECT_ALERT, .alert = a});
    a.taken_at = NOW + 240;
    put(state, (struct effect){.kind = EFFECT_ALERT, .alert = a});
    struct outgoing o = a_text(800, 1, "+447700900101", CLASS_REPLY, NOW);
    o.segments = 2;
    snprintf(o.clinic, sizeof o.clinic, "maple");
    put(state, (struct effect){.kind = EFFECT_SEND, .send = &o});
    o.sent_at = NOW + 35 * DAY_SECONDS; /* in January */
    o.state = OUTGOING_SENT;
    assert_ok(outbox_set(f->db, &o));
    assert_ok(months_list(f->db, "maple", m, 4, &n));
    assert_int_equal(n, 2);
    assert_int_equal(m[0].month, 2026 * 12 + 11);
    assert_int_equal(m[0].weeks_complete, 1);
    assert_int_equal(m[0].days[7], 1);
    assert_int_equal(m[0].alerts, 1);
    assert_int_equal(m[0].alerts_taken, 1);
    assert_int_equal(m[0].seconds_to_take, 240);
    assert_int_equal(m[1].month, 2027 * 12);
    assert_int_equal(m[1].texts_sent, 1);
    assert_int_equal(m[1].segments_sent, 2);
    assert_ok(months_list(f->db, "maple", m, 1, &n));
    assert_int_equal(m[0].month, 2027 * 12); /* the latest alone */
    assert_ok(months_list(f->db, "birch", m, 4, &n));
    assert_int_equal(n, 0);
}

/* -- audit ------------------------------------------------------------------------------------------------------------------------ */

static void the_audit_is_read_back_newest_first_by_clinic_or_person(void **state)
{
    struct fresh *f = *state;
    struct audit_entry *list;
    size_t n;
    for (int i = 1; i <= 5; i++) {
        struct effect e = {.kind = EFFECT_AUDIT};
        e.audit.person = i % 2;
        snprintf(e.audit.clinic, sizeof e.audit.clinic, "%s", i == 5 ? "birch" : "maple");
        snprintf(e.audit.who, sizeof e.audit.who, "anna");
        snprintf(e.audit.action, sizeof e.audit.action, "did %d", i);
        put(state, e);
    }
    assert_ok(audit_list(f->db, &(struct audit_query){"maple", 0, 1, INT64_MAX}, 3, &list, &n));
    assert_int_equal(n, 3);
    assert_string_equal(list[0].action, "did 4");
    assert_string_equal(list[0].who, "anna");
    int64_t before = list[2].seq;
    free(list);
    assert_ok(audit_list(f->db, &(struct audit_query){"maple", 0, 1, before}, 3, &list, &n));
    assert_int_equal(n, 1);
    assert_string_equal(list[0].action, "did 1");
    free(list);
    assert_ok(audit_list(f->db, &(struct audit_query){"", 1, 1, INT64_MAX}, 9, &list, &n));
    assert_int_equal(n, 3);
    free(list);
    assert_ok(audit_list(f->db, &(struct audit_query){"elm", 0, 1, INT64_MAX}, 9, &list, &n));
    assert_int_equal(n, 0);
    assert_null(list);
    assert_ok(audit_list(f->db, &(struct audit_query){"maple", 0, before + 1, INT64_MAX}, 9, &list, &n));
    assert_int_equal(n, 2);
    free(list);
}

static void the_audit_is_found_by_when_it_was(void **state)
{
    struct fresh *f = *state;
    int64_t seq, first;
    struct audit_entry *entries;
    size_t n;
    static const struct {
        int64_t at, after;
        const char *why;
    } rows[] = {{999, 0, "before all"}, {1000, 0, "the first instant"}, {1001, 2, "between"},
                {2000, 2, "two at one instant, the first of them"}, {3000, 4, "the last"}, {3001, 5, "behind all"}};
    assert_ok(audit_at(f->db, 0, &first)); /* nothing yet: the next to come */
    for (int i = 0; i < 5; i++) {
        struct effect e = {.kind = EFFECT_AUDIT};
        db_now(f->db, i < 2 ? 1000 : i < 4 ? 2000 : 3000);
        put(state, e);
    }
    assert_ok(audit_list(f->db, &(struct audit_query){.clinic = "", .before = INT64_MAX}, 5, &entries, &n));
    assert_int_equal(n, 5); /* newest first; several gateways leave gaps between numbers */
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        int64_t before = rows[i].after > 0 ? entries[5 - rows[i].after].seq : first - 1;
        int64_t there = rows[i].after < 5 ? entries[4 - rows[i].after].seq : INT64_MAX;
        assert_ok(audit_at(f->db, rows[i].at, &seq));
        if (seq <= before || seq > there)
            fail_msg("%s: %lld", rows[i].why, (long long)(seq - first));
    }
    free(entries);
}

int main(void)
{
#define CLAIM(name) cmocka_unit_test_setup_teardown(name, fresh_setup, fresh_teardown)
    const struct CMUnitTest tests[] = {
        CLAIM(a_patient_is_in_the_stage_that_person_and_week_say),
        CLAIM(the_latest_week_counts_and_a_stranger_is_nowhere),
        CLAIM(words_are_folded_alike_where_they_are_kept_and_looked_for),
        CLAIM(people_are_found_by_beginnings_of_words_and_ends_of_numbers),
        CLAIM(figures_are_counted_as_things_happen),
        CLAIM(the_audit_is_read_back_newest_first_by_clinic_or_person),
        CLAIM(the_audit_is_found_by_when_it_was),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
