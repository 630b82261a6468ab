/* Alerts: to whom, how often, how they are taken, and what is done when nothing goes out. */
#include "care_play.h"

static size_t copies(const struct play *p, const char *target)
{
    size_t n = 0;
    for (size_t i = 0; i < p->n_sent; i++)
        n += p->sent[i].alert && strcmp(p->sent[i].to, target) == 0 && p->sent[i].class_ == CLASS_WORRY;
    return n;
}

static const struct outgoing *copy(const struct play *p, const char *target)
{
    for (size_t i = p->n_sent; i-- > 0;)
        if (p->sent[i].alert && strcmp(p->sent[i].to, target) == 0)
            return &p->sent[i];
    return NULL;
}

static void take(struct play *p, const char *staff)
{
    struct effects e = {0};
    struct moment_of_care m = play_moment(p);
    care_take(&p->r, &m, p->alerts[0].id, staff, &e);
    play_apply(p, &e);
    play_to(p, p->now);
}

static void each_target_gets_its_copy_by_its_form(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    snprintf(p.clinic.alert_to[3], TARGET_MAX, "target:lab");
    snprintf(p.clinic.alert_to[4], TARGET_MAX, "dir:alerts");
    snprintf(p.clinic.alert_to[5], TARGET_MAX, "https://duty.example.org/a");
    play_says(&p, .flags = FLAG_CHEST_PAIN);
    static const struct {
        const char *to;
        enum channel channel;
    } rows[] = {{"+447700900002", CHANNEL_TEXT}, {"mailto:duty@example.org", CHANNEL_MAIL},
                {"http://127.0.0.1:9200/alerts", CHANNEL_HTTP}, {"target:lab", CHANNEL_HTTP},
                {"dir:alerts", CHANNEL_FOLDER}, {"https://duty.example.org/a", CHANNEL_HTTP}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct outgoing *o = copy(&p, rows[i].to);
        assert_non_null(o);
        assert_int_equal(o->channel, rows[i].channel);
        assert_int_equal(o->class_, CLASS_WORRY);
        assert_int_equal(o->expires, INSTANT_NONE); /* never given up */
        assert_int_equal(o->due, p.now);
        assert_int_equal(strlen(o->code), rows[i].channel == CHANNEL_TEXT ? 4 : 0);
        assert_string_equal(o->code, o->saying.code);
        assert_int_equal(o->saying.parts[0], *o->code ? TEXT_S_ALERT : TEXT_S_ALERT_DESK); /* no "TAKE" without one */
        assert_string_equal(o->saying.ref, "P-0001"); /* by ref alone */
        assert_string_equal(o->saying.phone, "");
        assert_int_equal(o->saying.level, ALERT_EMERGENCY);
    }
    assert_int_equal(copies(&p, "+447700900003"), 0); /* the backup later */
    assert_int_equal(copies(&p, "+447700900004"), 0); /* in hours */
    play_end(&p);
}

static void codes_are_of_letters_and_digits_that_are_not_taken_for_each_other(void **state)
{
    (void)state;
    struct play p;
    char seen[200][CODE_MAX];
    size_t n = 0;
    play_joined(&p);
    play_says(&p, .flags = FLAG_CHEST_PAIN);
    play_wait(&p, 15 * 60);
    for (size_t i = 0; i < p.n_sent && n < 200; i++)
        if (p.sent[i].code[0]) {
            assert_int_equal(strspn(p.sent[i].code, "23456789ACDEFHJKMNPRTUVWXY"), 4);
            for (size_t k = 0; k < n; k++)
                assert_string_not_equal(seen[k], p.sent[i].code);
            memcpy(seen[n++], p.sent[i].code, CODE_MAX);
        }
    assert_true(n > 100);
    play_end(&p);
}

static void out_of_hours_it_goes_to_those_named_for_it(void **state)
{
    (void)state;
    for (int named = 0; named < 2; named++) {
        struct play p;
        play_joined(&p);
        play_to(&p, at_local(&p, 11, 24, 3, 0));
        if (!named)
            p.clinic.alert_out_of_hours[0][0] = '\0';
        play_says(&p, .flags = FLAG_CHEST_PAIN);
        assert_int_equal(copies(&p, "+447700900004"), named);
        assert_int_equal(copies(&p, "+447700900002"), !named);
        play_end(&p);
    }
}

static void untaken_it_goes_again_to_the_backup_too_and_the_patient_is_told(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    play_says(&p, .flags = FLAG_CHEST_PAIN);
    play_wait(&p, 14);
    assert_int_equal(copies(&p, "+447700900002"), 1);
    play_wait(&p, 1);
    assert_int_equal(copies(&p, "+447700900002"), 2);
    assert_int_equal(copies(&p, "+447700900003"), 1);
    assert_int_equal(copy(&p, "+447700900002")->kind, TEXT_S_ALERT_AGAIN);
    play_wait(&p, 29);
    assert_int_equal(play_count(&p, TEXT_W_NOBODY_YET, 0), 0);
    play_wait(&p, 1);
    assert_int_equal(copies(&p, "+447700900002"), 4);
    assert_int_equal(play_count(&p, TEXT_W_NOBODY_YET, 0), 1); /* after three repeats */
    play_wait(&p, 300);
    assert_int_equal(play_count(&p, TEXT_W_NOBODY_YET, 0), 1); /* once */
    assert_int_equal(copies(&p, "+447700900002"), 4 + 20);     /* until taken */
    play_end(&p);
}

static void take_takes_it_tells_the_number_and_tells_the_others(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    play_says(&p, .flags = FLAG_CHEST_PAIN);
    play_wait(&p, 16);
    size_t before = p.n_sent;
    take(&p, "+447700900002");
    const struct outgoing *you = play_last(&p, TEXT_S_TAKEN_YOU);
    assert_string_equal(you->to, "+447700900002");
    assert_string_equal(you->saying.phone, "+447700900100");
    assert_string_equal(you->saying.ref, "P-0001");
    size_t others = 0;
    for (size_t i = before; i < p.n_sent; i++)
        if (p.sent[i].kind == TEXT_S_TAKEN_OTHER) {
            assert_true(p.sent[i].channel == CHANNEL_TEXT || p.sent[i].channel == CHANNEL_MAIL);
            assert_string_not_equal(p.sent[i].to, "+447700900002");
            assert_string_equal(p.sent[i].saying.phone, "");
            others++;
        }
    assert_int_equal(others, 2); /* mail, and the backup that had its copy */
    assert_string_equal(play_alert(&p)->taken_by, "+447700900002");
    play_wait(&p, 30);
    assert_int_equal(copies(&p, "+447700900002"), 2); /* no more repeats */

    take(&p, "+447700900003"); /* somebody has it already */
    assert_string_equal(play_last(&p, TEXT_S_TAKEN_ALREADY)->to, "+447700900003");
    assert_string_equal(play_alert(&p)->taken_by, "+447700900002");
    play_end(&p);
}

static void taken_but_unresolved_after_an_hour_it_opens_again(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    play_says(&p, .flags = FLAG_CHEST_PAIN);
    take(&p, "+447700900002");
    play_wait(&p, 59);
    assert_true(play_alert(&p)->taken_at != INSTANT_NONE);
    play_wait(&p, 1);
    assert_int_equal(play_alert(&p)->taken_at, INSTANT_NONE);
    assert_int_equal(copies(&p, "+447700900002"), 2);
    assert_int_equal(copies(&p, "+447700900003"), 1);
    take(&p, "+447700900003");
    struct care_action a = {.kind = ACTION_RESOLVE, .id = play_alert(&p)->id};
    assert_int_equal(play_act(&p, a), CARE_REFUSED); /* an outcome is needed */
    snprintf(a.note, sizeof a.note, "rang her: ambulance called");
    assert_int_equal(play_act(&p, a), CARE_DONE);
    assert_string_equal(play_alert(&p)->outcome, "rang her: ambulance called");
    size_t sent = copies(&p, "+447700900003");
    play_wait(&p, 600);
    assert_int_equal(copies(&p, "+447700900003"), sent);
    take(&p, "+447700900003"); /* over: its code takes nothing */
    assert_int_equal(play_last(&p, TEXT_S_TAKEN_ALREADY)->alert, play_alert(&p)->id);
    play_end(&p);
}

static void a_cause_joins_and_a_higher_level_raises_anew(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    play_says(&p, .r = {{78, 50}});
    assert_int_equal(p.n_alerts, 1);
    take(&p, "+447700900002");
    play_wait(&p, 20);
    play_says(&p, .r = {{76, 50}}); /* joins, taken as it is */
    assert_int_equal(p.n_alerts, 1);
    play_says(&p, .flags = FLAG_FAINT);
    assert_int_equal(p.n_alerts, 2);
    assert_int_equal(play_alert(&p)->level, ALERT_EMERGENCY);
    play_wait(&p, 5);
    play_says(&p, .r = {{75, 50}}); /* a lower one joins the higher */
    assert_int_equal(p.n_alerts, 2);
    play_end(&p);
}

static size_t copies_of(const struct play *p, int64_t alert)
{
    size_t n = 0;
    for (size_t i = 0; i < p->n_sent; i++)
        n += p->sent[i].alert == alert;
    return n;
}

static void beside_a_more_urgent_one_an_alert_is_not_repeated(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    play_says(&p, .r = {{78, 50}});
    int64_t urgent = play_alert(&p)->id;
    play_says(&p, .flags = FLAG_FAINT);
    int64_t emergency = play_alert(&p)->id;
    assert_true(urgent != emergency);
    size_t once = copies_of(&p, urgent), first = copies_of(&p, emergency);
    play_wait(&p, 40);
    assert_int_equal(copies_of(&p, urgent), once);
    assert_true(copies_of(&p, emergency) > first);
    struct care_action over = {.kind = ACTION_RESOLVE, .id = emergency, .note = "seen"};
    assert_int_equal(play_act(&p, over), CARE_DONE);
    play_wait(&p, 20); /* and goes on when that is over */
    assert_true(copies_of(&p, urgent) > once);
    play_end(&p);
}

static void unsent_as(struct play *p, const struct outgoing *which, enum outgoing_state state)
{
    struct outgoing row = *which;
    row.state = state;
    struct effects e = {0};
    struct moment_of_care m = play_moment(p);
    care_unsent(&p->r, &m, &row, &e);
    play_apply(p, &e);
}

static void unsent(struct play *p, const struct outgoing *which)
{
    unsent_as(p, which, OUTGOING_FAILED);
}

static void what_could_not_be_sent_is_an_alert_or_a_row(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    int64_t text = play_says(&p, .r = {{190, 100}});
    assert_true(play_reply(&p, text)->worry_reply);
    unsent(&p, play_reply(&p, text));
    assert_int_equal(p.n_alerts, 1);
    assert_string_equal(play_alert(&p)->cause, "reply_unsent");
    assert_int_equal(play_alert(&p)->level, ALERT_URGENT);
    size_t backup = copies(&p, "+447700900003");
    unsent(&p, copy(&p, "+447700900002")); /* a failed copy goes to the backup at once */
    assert_int_equal(copies(&p, "+447700900003"), backup + 1);
    unsent(&p, copy(&p, "+447700900003")); /* and a failed backup not to itself */
    assert_int_equal(copies(&p, "+447700900003"), backup + 1);
    play_end(&p);

    play_joined(&p); /* an alert of its own, even while another is open */
    text = play_says(&p, .flags = FLAG_CHEST_PAIN);
    unsent(&p, play_reply(&p, text));
    assert_int_equal(p.n_alerts, 2);
    unsent(&p, play_reply(&p, text));
    assert_int_equal(p.n_alerts, 2);
    play_end(&p);

    play_joined(&p);
    unsent(&p, play_last(&p, TEXT_WELCOME_CLINIC));
    assert_int_equal(p.n_alerts, 0);
    assert_non_null(play_desk(&p, DESK_UNDELIVERED));
    struct outgoing summary = {.class_ = CLASS_SUMMARY, .channel = CHANNEL_MAIL};
    unsent(&p, &summary);
    assert_int_equal(play_desk(&p, DESK_UNDELIVERED)->rank, 1);
    play_end(&p);
}

static void a_look_at_an_alert_that_is_not_due_does_nothing(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    play_says(&p, .flags = FLAG_CHEST_PAIN);
    size_t sent = p.n_sent;
    struct effects e = {0};
    struct moment_of_care m = play_moment(&p);
    care_alert_look(&p.r, &m, play_alert(&p)->id, &e);
    care_alert_look(&p.r, &m, 12345, &e);
    assert_int_equal(e.n, 0);
    assert_int_equal(p.n_sent, sent);
    play_end(&p);
}

static void the_patient_who_stopped_is_not_told(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    play_says(&p, .flags = FLAG_CHEST_PAIN);
    play_wait(&p, 2);
    play_says(&p, .keyword = KEYWORD_STOP);
    play_wait(&p, 120);
    assert_int_equal(play_count(&p, TEXT_W_NOBODY_YET, 0), 0);
    assert_true(copies(&p, "+447700900002") > 4); /* but the staff go on being told */
    play_end(&p);
}

static void a_target_that_is_down_for_ten_minutes_is_an_alert_to_the_others(void **state)
{
    (void)state;
    struct play p;
    play_joined(&p);
    play_says(&p, .flags = FLAG_CHEST_PAIN);
    struct outgoing late = *copy(&p, "mailto:duty@example.org");
    unsent_as(&p, &late, OUTGOING_WAITING);
    size_t n = copies(&p, "+447700900002");
    assert_int_equal(n, 2); /* the chest pain, and that a target is down */
    unsent_as(&p, &late, OUTGOING_WAITING);
    assert_int_equal(copies(&p, "+447700900002"), n); /* once, while that alert is open */
    play_end(&p);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_target_that_is_down_for_ten_minutes_is_an_alert_to_the_others),
        cmocka_unit_test(each_target_gets_its_copy_by_its_form),
        cmocka_unit_test(codes_are_of_letters_and_digits_that_are_not_taken_for_each_other),
        cmocka_unit_test(out_of_hours_it_goes_to_those_named_for_it),
        cmocka_unit_test(untaken_it_goes_again_to_the_backup_too_and_the_patient_is_told),
        cmocka_unit_test(take_takes_it_tells_the_number_and_tells_the_others),
        cmocka_unit_test(taken_but_unresolved_after_an_hour_it_opens_again),
        cmocka_unit_test(a_cause_joins_and_a_higher_level_raises_anew),
        cmocka_unit_test(beside_a_more_urgent_one_an_alert_is_not_repeated),
        cmocka_unit_test(what_could_not_be_sent_is_an_alert_or_a_row),
        cmocka_unit_test(a_look_at_an_alert_that_is_not_due_does_nothing),
        cmocka_unit_test(the_patient_who_stopped_is_not_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
