/* What forgetting leaves behind, what it does not, and what the desk's lists and accounts keep. */
#include "tests/unit/store_fresh.h"

#include "store/audit.h"

enum { NOW = 1780000000, DAY = 86400 };

static const char A[] = "+447700900101", B[] = "+447700900102";

/* One person with everything that may say who they are: the word "Zebedee" stands in all of it. */
static void a_whole_person(void **state, int64_t id, const char *ref, const char *phone, enum person_state person_state)
{
    struct fresh *f = *state;
    struct person p = a_person(id, ref, phone);
    struct week w = {.id = id + 1, .person = id, .number = 1, .first_day = 1, .last_day = DAY_NONE, .outcome = "Zebedee"};
    struct reading r = {.id = id + 2, .person = id, .week = id + 1, .text = id + 6, .day = 1, .temp_c = NAN,
                        .reason = "Zebedee"};
    struct alert a = {.id = id + 3, .person = id, .clinic = "maple", .at = NOW, .taken_at = NOW, .resolved_at = NOW,
                      .due = INSTANT_NONE, .outcome = "rang Zebedee"};
    struct desk_row open = {.id = id + 4, .person = id, .done_at = INSTANT_NONE, .note = "Zebedee asks"}, done = open;
    struct course c = {.person = id, .next_look = NOW};
    struct stored_text t = {.id = id + 6, .person = id, .clinic = "maple", .body = (char *)"Zebedee here", .received = NOW,
                            .sent = INSTANT_NONE};
    struct outgoing waiting = a_text(id + 7, id, phone, CLASS_REPLY, NOW), sent = a_text(id + 8, id, phone, CLASS_REPLY, NOW),
                    summary = a_text(id + 9, id, "mailto:results@example.org", CLASS_SUMMARY, NOW);
    snprintf(p.name, sizeof p.name, "Zebedee");
    p.state = person_state;
    done.id = id + 5;
    done.done_at = NOW;
    memcpy(t.hash, &id, sizeof id);
    sent.state = summary.state = OUTGOING_SENT;
    summary.channel = CHANNEL_MAIL;
    snprintf(waiting.body, sizeof waiting.body, "Zebedee, thanks");
    snprintf(sent.body, sizeof sent.body, "Zebedee, thanks");
    snprintf(summary.body, sizeof summary.body, "Zebedee's week");
    struct effect e[] = {{.kind = EFFECT_PERSON, .person = p},   {.kind = EFFECT_WEEK, .week = w},
                         {.kind = EFFECT_READING, .reading = r}, {.kind = EFFECT_ALERT, .alert = a},
                         {.kind = EFFECT_DESK, .desk = open},    {.kind = EFFECT_DESK, .desk = done},
                         {.kind = EFFECT_COURSE, .course = c},   {.kind = EFFECT_SEND, .send = &waiting},
                         {.kind = EFFECT_SEND, .send = &sent},   {.kind = EFFECT_SEND, .send = &summary},
                         {.kind = EFFECT_AUDIT}};
    e[10].audit.person = id;
    db_now(f->db, NOW);
    assert_ok(db_begin(f->db));
    assert_ok(text_write(f->db, &t));
    assert_ok(effects_write(f->db, &(struct effects){.at = e, .n = COUNT(e)}));
    assert_ok(db_commit(f->db));
}

static bool file_holds(const char *path, const char *word)
{
    char *bytes = malloc(1 << 21);
    FILE *file = fopen(path, "r");
    size_t n = file ? fread(bytes, 1, 1 << 21, file) : 0;
    bool found = memmem(bytes, n, word, strlen(word)) != NULL;
    if (file)
        fclose(file);
    free(bytes);
    return found;
}

static void assert_erased(void **state, int64_t id)
{
    struct fresh *f = *state;
    struct person p;
    struct stored_text t;
    struct outgoing o;
    struct alert a;
    struct verify_report r;
    uint8_t hash[1][MESSAGE_HASH] = {{0}};
    bool found, known;
    memcpy(hash[0], &id, sizeof id);
    assert_ok(person_get(f->db, id, &p, &found));
    assert_false(found);
    assert_ok(text_get(f->db, id + 6, &t, &found));
    assert_false(found);
    assert_ok(texts_known(f->db, (const uint8_t(*)[MESSAGE_HASH])hash, 1, &known));
    assert_true(known); /* a replay stays dead */
    assert_ok(outbox_get(f->db, id + 7, &o, &found));
    assert_false(found); /* what waited */
    assert_ok(outbox_get(f->db, id + 8, &o, &found));
    assert_true(found && !o.body[0] && !o.to[0] && o.person == id);
    assert_ok(outbox_get(f->db, id + 9, &o, &found));
    assert_true(found && !o.body[0]);
    assert_string_equal(o.to, "mailto:results@example.org");
    assert_ok(alert_get(f->db, id + 3, &a, &found));
    assert_true(found && a.person == id && !a.outcome[0]);
    if (fresh_shared()) {
        assert_ok(audit_check(f->db, &r.sound, &r.audit));
        assert_true(r.sound);
        return;
    }
    assert_ok(store_verify(NULL, f->file, &r));
    assert_string_equal(r.why, "");
}

static void an_erased_person_is_a_number(void **state)
{
    struct fresh *f = *state;
    char(*to)[TARGET_MAX], log[FRESH_PATH + 32];
    size_t n;
    bool open, found;
    int64_t id;
    a_whole_person(state, 100, "P-0001", A, PERSON_LEFT);
    assert_ok(summaries_went(f->db, 100, &to, &n));
    assert_int_equal(n, 1);
    assert_string_equal(to[0], "mailto:results@example.org");
    free(to);
    assert_ok(person_erase(f->db, 100, "ada", &open));
    assert_false(open);
    assert_erased(state, 100);
    assert_ok(person_by_ref(f->db, "maple", "P-0001", &id, &found));
    assert_false(found);
    assert_ok(person_erase(f->db, 100, "ada", &open)); /* again is nothing */
    db_close(f->db);
    f->db = NULL;
    snprintf(log, sizeof log, "%s-wal", f->file);
    assert_false(file_holds(f->file, "Zebedee"));
    assert_false(file_holds(f->file, A));
    assert_false(file_holds(log, "Zebedee"));
}

static void with_an_open_alert_nobody_is_erased(void **state)
{
    struct fresh *f = *state;
    struct alert a = {.id = 900, .person = 100, .clinic = "maple", .at = NOW, .taken_at = NOW, .resolved_at = INSTANT_NONE,
                      .due = NOW};
    struct person p;
    bool open, found;
    a_whole_person(state, 100, "P-0001", A, PERSON_JOINED);
    assert_ok(write_one_effect(f->db, &(struct effect){.kind = EFFECT_ALERT, .alert = a}));
    assert_ok(person_erase(f->db, 100, "ada", &open));
    assert_true(open);
    assert_ok(person_get(f->db, 100, &p, &found));
    assert_true(found);
}

static void only_who_had_opted_out_is_refused_later(void **state)
{
    static const struct {
        enum person_state state;
        bool refused;
    } cases[] = {{PERSON_LEFT, true},       {PERSON_DECLINED, true}, {PERSON_WITHDRAWN, true}, {PERSON_WRONG_NUMBER, true},
                 {PERSON_JOINED, false},    {PERSON_CLOSED, false},  {PERSON_DIED, false}};
    struct fresh *f = *state;
    for (size_t i = 0; i < COUNT(cases); i++) {
        char phone[PHONE_MAX], ref[REF_MAX];
        bool open, refused;
        snprintf(phone, sizeof phone, "+4477009002%02d", (int)i);
        snprintf(ref, sizeof ref, "P-%d", (int)i);
        a_whole_person(state, 100 * ((int64_t)i + 1), ref, phone, cases[i].state);
        assert_ok(refusal_of(f->db, "maple", phone, &refused));
        assert_false(refused);
        assert_ok(person_erase(f->db, 100 * ((int64_t)i + 1), "ada", &open));
        assert_ok(refusal_of(f->db, "maple", phone, &refused));
        assert_int_equal(refused, cases[i].refused);
        assert_ok(refusal_of(f->db, "birch", phone, &refused)); /* another clinic may ask */
        assert_false(refused);
        assert_ok(refusal_clear(f->db, "maple", phone));
        assert_ok(refusal_of(f->db, "maple", phone, &refused));
        assert_false(refused);
    }
}

static void a_restored_copy_forgets_again(void **state)
{
    struct fresh *f = *state;
    char copy[FRESH_PATH + 32];
    struct person p;
    bool open, found;
    if (fresh_shared()) {
        print_message("left out: a shared store has no file to put back\n");
        return;
    }
    snprintf(copy, sizeof copy, "%s/copy.db", f->folder);
    a_whole_person(state, 100, "P-0001", A, PERSON_LEFT);
    a_whole_person(state, 200, "P-0002", B, PERSON_JOINED);
    assert_int_equal(store_backup(f->folder, copy, f->why, sizeof f->why), 0);
    assert_ok(person_erase(f->db, 100, "ada", &open));
    db_close(f->db);
    f->db = NULL;
    assert_int_equal(rename(copy, f->file), 0);
    assert_ok(db_open(&f->db, f->folder, DB_SERVE, f->why, sizeof f->why));
    assert_erased(state, 100);
    assert_ok(refusal_of(f->db, "maple", A, &found));
    assert_true(found);
    assert_ok(person_get(f->db, 200, &p, &found));
    assert_true(found);
}

/* -- old texts ------------------------------------------------------------------------------------------------------------- */

static void old_texts_are_blanked_and_those_of_an_alert_kept_longer(void **state)
{
    static const struct {
        const char *why;
        int days;      /* before now */
        bool of_alert; /* an alert of that person, resolved the same day */
        bool blanked;
    } cases[] = {
        {"of yesterday", 1, false, false},
        {"of a year ago", 364, false, false},
        {"older", 366, false, true},
        {"older, around an alert", 366, true, false},
        {"older than alerts are kept", 3651, true, true},
    };
    struct fresh *f = *state;
    size_t n;
    for (size_t i = 0; i < COUNT(cases); i++) {
        int64_t id = 10 * ((int64_t)i + 1), at = NOW - (int64_t)cases[i].days * DAY;
        char ref[8];
        snprintf(ref, sizeof ref, "P-%d", (int)i);
        struct person p = a_person(id, ref, A);
        struct stored_text t = {.id = id, .person = id, .body = (char *)"132/84", .received = at, .hash = {(uint8_t)id}};
        struct outgoing o = a_text(id, id, A, CLASS_REPLY, at);
        struct alert a = {.id = id, .person = id, .at = at, .taken_at = at, .resolved_at = at, .due = INSTANT_NONE};
        snprintf(o.body, sizeof o.body, "Got 132/84");
        o.state = OUTGOING_SENT;
        assert_ok(put_person(f->db, &p));
        assert_ok(text_write(f->db, &t));
        assert_ok(put_text(f->db, &o));
        if (cases[i].of_alert)
            assert_ok(write_one_effect(f->db, &(struct effect){.kind = EFFECT_ALERT, .alert = a}));
    }
    assert_ok(texts_blank(f->db, NOW - 365 * (int64_t)DAY, NOW - 3650 * (int64_t)DAY, 1, &n));
    assert_int_equal(n, 2); /* one each way, as many as were asked for */
    assert_ok(texts_blank(f->db, NOW - 365 * (int64_t)DAY, NOW - 3650 * (int64_t)DAY, 100, &n));
    assert_int_equal(n, 2);
    assert_ok(texts_blank(f->db, NOW - 365 * (int64_t)DAY, NOW - 3650 * (int64_t)DAY, 100, &n));
    assert_int_equal(n, 0);
    for (size_t i = 0; i < COUNT(cases); i++) {
        struct stored_text t;
        struct outgoing o;
        bool found;
        assert_ok(text_get(f->db, 10 * ((int64_t)i + 1), &t, &found));
        assert_ok(outbox_get(f->db, 10 * ((int64_t)i + 1), &o, &found));
        if ((t.body == NULL) != cases[i].blanked || !o.body[0] != cases[i].blanked)
            fail_msg("%s", cases[i].why);
        free(t.body);
    }
}

/* -- lists, accounts, sessions ---------------------------------------------------------------------------------------------- */

static void the_desk_sees_what_is_open_most_urgent_first(void **state)
{
    static const struct desk_row rows[] = {
        {.id = 1, .clinic = "maple", .rank = 5, .at = 1, .done_at = INSTANT_NONE, .put_off_until = INSTANT_NONE},
        {.id = 2, .clinic = "maple", .rank = 0, .at = 9, .done_at = INSTANT_NONE, .put_off_until = INSTANT_NONE},
        {.id = 3, .clinic = "maple", .rank = 5, .at = 0, .done_at = INSTANT_NONE, .put_off_until = NOW},
        {.id = 4, .clinic = "maple", .rank = 0, .at = 1, .done_at = INSTANT_NONE, .put_off_until = NOW + 1},
        {.id = 5, .clinic = "maple", .rank = 0, .at = 1, .done_at = NOW, .put_off_until = INSTANT_NONE},
        {.id = 6, .clinic = "birch", .rank = 1, .at = 1, .done_at = INSTANT_NONE, .put_off_until = INSTANT_NONE},
    };
    struct fresh *f = *state;
    struct desk_row *list, one;
    struct alert a = {.id = 1, .clinic = "maple", .at = NOW, .taken_at = INSTANT_NONE, .resolved_at = INSTANT_NONE}, *alerts;
    bool found;
    size_t n;
    for (size_t i = 0; i < COUNT(rows); i++)
        assert_ok(write_one_effect(f->db, &(struct effect){.kind = EFFECT_DESK, .desk = rows[i]}));
    assert_ok(desk_list(f->db, "maple", NOW, 10, &list, &n));
    assert_true(n == 3 && list[0].id == 2 && list[1].id == 3 && list[2].id == 1);
    free(list);
    assert_ok(desk_list(f->db, "", NOW, 2, &list, &n));
    assert_true(n == 2 && list[0].id == 2 && list[1].id == 6);
    free(list);
    assert_ok(desk_get(f->db, 5, &one, &found));
    assert_true(found && one.done_at == NOW);
    assert_ok(write_one_effect(f->db, &(struct effect){.kind = EFFECT_ALERT, .alert = a}));
    assert_ok(alerts_list(f->db, "maple", 10, &alerts, &n));
    assert_int_equal(n, 1);
    free(alerts);
    assert_ok(alerts_list(f->db, "birch", 10, &alerts, &n));
    assert_int_equal(n, 0);
}

static void readings_and_weeks_are_listed_by_person(void **state)
{
    struct fresh *f = *state;
    struct reading *readings, one;
    struct week *weeks;
    struct stored_text nobody = {.id = 1, .from = "60777", .body = (char *)"hello", .received = NOW, .hash = {1}}, *texts;
    bool found;
    size_t n;
    a_whole_person(state, 100, "P-0001", A, PERSON_JOINED);
    assert_ok(readings_of_person(f->db, 100, 0, 1, &readings, &n));
    assert_true(n == 1 && readings[0].id == 102);
    free(readings);
    assert_ok(reading_get(f->db, 102, &one, &found));
    assert_true(found && one.week == 101);
    assert_ok(weeks_of_person(f->db, 100, 0, 10, &weeks, &n));
    assert_true(n == 1 && weeks[0].id == 101);
    free(weeks);
    assert_ok(text_write(f->db, &nobody));
    assert_ok(texts_of_nobody(f->db, 0, 10, &texts, &n));
    assert_true(n == 1 && texts[0].id == 1);
    assert_string_equal(texts[0].body, "hello");
    free(texts[0].body);
    free(texts);
}

static void accounts_and_sessions_come_back(void **state)
{
    struct fresh *f = *state;
    struct account a = {.user = "ada", .clinic = "maple", .role = "clinician", .password = "$argon2id$x", .enabled = true,
                        .created = NOW, .changed = NOW},
                   got, *list;
    struct session s = {.token = {7}, .user = "ada", .created = NOW, .seen = NOW, .ends = NOW + 60}, there;
    bool found;
    size_t n;
    assert_ok(account_put(f->db, &a));
    a.enabled = false;
    assert_ok(account_put(f->db, &a));
    assert_ok(account_get(f->db, "ada", &got, &found));
    assert_true(found);
    assert_memory_equal(&got, &a, sizeof a);
    assert_ok(account_get(f->db, "", &got, &found));
    assert_false(found);
    assert_ok(accounts_list(f->db, "birch", &list, &n));
    assert_int_equal(n, 0);
    assert_ok(accounts_list(f->db, "", &list, &n));
    assert_int_equal(n, 1);
    free(list);
    assert_ok(session_put(f->db, &s));
    assert_ok(session_get(f->db, s.token, &there, &found));
    assert_true(found && there.ends == NOW + 60);
    assert_ok(sessions_end_before(f->db, NOW + 59));
    assert_ok(session_get(f->db, s.token, &there, &found));
    assert_true(found);
    assert_ok(sessions_end_before(f->db, NOW + 60));
    assert_ok(session_get(f->db, s.token, &there, &found));
    assert_false(found);
    assert_ok(session_put(f->db, &s));
    assert_ok(sessions_end_of(f->db, "ada"));
    assert_ok(session_get(f->db, s.token, &there, &found));
    assert_false(found);
    snprintf(s.user, sizeof s.user, "nobody");
    assert_int_equal(session_put(f->db, &s), STORE_CONFLICT); /* of no account */
}

#define FRESH(test) cmocka_unit_test_setup_teardown(test, fresh_setup, fresh_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        FRESH(an_erased_person_is_a_number),
        FRESH(with_an_open_alert_nobody_is_erased),
        FRESH(only_who_had_opted_out_is_refused_later),
        FRESH(a_restored_copy_forgets_again),
        FRESH(old_texts_are_blanked_and_those_of_an_alert_kept_longer),
        FRESH(the_desk_sees_what_is_open_most_urgent_first),
        FRESH(readings_and_weeks_are_listed_by_person),
        FRESH(accounts_and_sessions_come_back),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
