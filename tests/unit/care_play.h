/* Plays a patient against care alone: a made-up clinic, a record in memory, a clock that moves from due time to due
 * time. What was sent, said of a text, put on the desk and alerted is kept for the claims.
 *
 * The clinic is Maple Row, Europe/London in winter unless a test sets another table of offsets; 2026-11-23 is a Monday.
 */
#ifndef QUIETARM_CARE_PLAY_H
#define QUIETARM_CARE_PLAY_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/care/care.h"
#include "gateway/care/inside.h"

#define UNUSED_OK __attribute__((unused))

enum { PLAY_SENT = 8192, PLAY_OUTCOMES = 4096, PLAY_DESK = 2048, PLAY_ALERTS = 1024, SAID_MOST = 6 };

struct play {
    struct clinic clinic;
    struct record r;
    int64_t now, next_id, next_text;
    uint64_t random;
    struct outgoing *sent;   /* everything queued, oldest first */
    size_t n_sent;
    struct { int64_t text; char why[64]; } *outcomes;
    size_t n_outcomes;
    struct desk_row *desk;   /* as last put */
    size_t n_desk;
    struct alert *alerts;    /* as last put */
    size_t n_alerts;
    int64_t texts[64];       /* times of the last texts received, a ring */
    size_t n_texts;
    size_t looks, audits, skipped;
    char last_audit[256];
};

/* -- what a text says, short --------------------------------------------------------------------------------------- */

/* A number as the parser would hand it over. day: 0 unsaid, else ON_DAY(n); clock: 0 unsaid, else CLOCK(h, m). */
struct number {
    int16_t sys, dia, pulse;
    int16_t day;
    int16_t clock;
    uint8_t slot, arm, posture, doubt;
};
#define ON_DAY(n) ((int16_t)((n) + 1000))
#define CLOCK(h, m) ((int16_t)((h) * 60 + (m) + 1))

struct heard {
    struct number r[SAID_MOST], d[SAID_MOST], rejected[2]; /* certain, doubtful, taken back; ended by zeros */
    uint32_t flags, past, technique, doubt, news;
    enum keyword keyword;
    enum amend amend;
    double arm, cuff[2], temp;
    struct number when; /* a bare day or time, with a number that does not count */
    bool asks, picture, foreign, wordless, resent, head;
    int16_t away_from, away; /* days until the first day away, and until the first day back; AWAY_OVER */
    int delayed; /* minutes that the carrier says it took; 0: it says nothing */
};

static UNUSED_OK void said_of(struct said_list *list, const struct number *n, size_t max)
{
    for (size_t i = 0; i < max && (n[i].sys || n[i].dia || n[i].pulse); i++)
        list->at[list->n++] = (struct said){.sys = n[i].sys, .dia = n[i].dia, .pulse = n[i].pulse,
                                            .day = n[i].day ? (int16_t)(n[i].day - 1000) : DAY_UNSAID,
                                            .minute = n[i].clock ? (int16_t)(n[i].clock - 1) : MINUTE_UNSAID,
                                            .slot = n[i].slot, .arm = n[i].arm, .posture = n[i].posture,
                                            .doubt = n[i].doubt};
}

static UNUSED_OK struct meaning meaning_of(const struct heard *h)
{
    struct meaning m = {.flags = h->flags | h->past, .flags_past = h->past, .technique = h->technique, .doubt = h->doubt,
                        .news = h->news, .keyword = h->keyword, .amend = h->amend, .arm_cm = h->arm,
                        .cuff_cm = {h->cuff[0], h->cuff[1]}, .temp_c = h->temp ? h->temp : NAN,
                        .asks = h->asks || h->flags || h->past, .head_hit = h->head, .away_from = h->away_from, .away_days = h->away};
    struct said_list when = {.at = {{.day = DAY_UNSAID, .minute = MINUTE_UNSAID}}};
    said_of(&when, &h->when, 1);
    m.moment = when.at[0];
    said_of(&m.readings, h->r, SAID_MOST);
    said_of(&m.doubtful, h->d, SAID_MOST);
    said_of(&m.rejected, h->rejected, 2);
    for (unsigned i = 0; i < m.doubtful.n; i++)
        m.doubt |= m.doubtful.at[i].doubt;
    if (!h->wordless && !h->foreign && !h->picture)
        memcpy(m.language, "en", 3);
    return m;
}

/* -- the clinic and its patient ------------------------------------------------------------------------------------ */

static UNUSED_OK void play_clinic(struct clinic *c)
{
    memset(c, 0, sizeof *c);
    snprintf(c->id, sizeof c->id, "maple");
    snprintf(c->name, sizeof c->name, "Maple Row Practice");
    snprintf(c->text_number, sizeof c->text_number, "+447700900001");
    snprintf(c->voice_number, sizeof c->voice_number, "01632 960001");
    snprintf(c->out_of_hours, sizeof c->out_of_hours, "111");
    snprintf(c->emergency, sizeof c->emergency, "999");
    snprintf(c->maternity, sizeof c->maternity, "01632 960003");
    snprintf(c->crisis, sizeof c->crisis, "01632 960004");
    snprintf(c->zone, sizeof c->zone, "Europe/London");
    snprintf(c->language, sizeof c->language, "en");
    for (int d = 0; d < 5; d++)
        c->hours[d] = (struct span){8 * 60, 18 * 60 + 30};
    c->morning = (struct span){5 * 60, 12 * 60};
    c->evening = (struct span){16 * 60, 24 * 60};
    c->quiet = (struct span){21 * 60 + 30, 7 * 60};
    c->remind_morning = 7 * 60 + 30;
    c->remind_evening = 19 * 60 + 30;
    c->nudge_after = 90;
    c->alert_again = 15;
    snprintf(c->alert_to[0], TARGET_MAX, "+447700900002");
    snprintf(c->alert_to[1], TARGET_MAX, "mailto:duty@example.org");
    snprintf(c->alert_to[2], TARGET_MAX, "http://127.0.0.1:9200/alerts");
    snprintf(c->alert_out_of_hours[0], TARGET_MAX, "+447700900004");
    snprintf(c->alert_backup[0], TARGET_MAX, "+447700900003");
    snprintf(c->summary_to[0], TARGET_MAX, "mailto:results@example.org");
    snprintf(c->summary_to[1], TARGET_MAX, "target:lab");
    snprintf(c->summary_to[2], TARGET_MAX, "dir:outbox");
    /* as the shipped esh file (see evidence in it) */
    c->protocol = (struct protocol){.name = "esh", .days = 7, .fewest_days = 3, .most_days = 10, .per_sitting = 2,
                                    .gap_minutes = 1, .fewest_readings = 12, .severe_either_at = true,
                                    .severe = {180, 120}, .office = {140, 90},
                                    .lines = {{"at or above 135/85", 135, 85}}, .n_lines = 1,
                                    .third_reading_over = 20};
}

static UNUSED_OK int64_t at_local(const struct play *p, int month, int day, int hour, int minute)
{
    return civil_instant(&p->r.zone, (struct civil){.day = civil_day(2026, month, day),
                                                    .minute = (int16_t)(hour * 60 + minute)});
}

/* A stranger of +447700900100 at 08:00 on Monday 2026-11-23. */
static UNUSED_OK void play_begin(struct play *p)
{
    memset(p, 0, sizeof *p);
    play_clinic(&p->clinic);
    p->next_id = 1000;
    p->random = 42;
    p->sent = calloc(PLAY_SENT, sizeof *p->sent);
    p->outcomes = calloc(PLAY_OUTCOMES, sizeof *p->outcomes);
    p->desk = calloc(PLAY_DESK, sizeof *p->desk);
    p->alerts = calloc(PLAY_ALERTS, sizeof *p->alerts);
    p->r.clinic = &p->clinic;
    p->r.protocol = p->clinic.protocol;
    p->r.zone.n = p->r.clinic_zone.n = 1; /* GMT */
    person_blank(&p->r.person, &p->clinic);
    p->r.person.id = 7;
    snprintf(p->r.person.phone, sizeof p->r.person.phone, "+447700900100");
    course_blank(&p->r.course, 7);
    p->now = at_local(p, 11, 23, 8, 0);
    p->r.person.state_since = p->now;
}

static UNUSED_OK void play_end(struct play *p)
{
    record_clear(&p->r);
    free(p->sent);
    free(p->outcomes);
    free(p->desk);
    free(p->alerts);
}

/* -- effects ------------------------------------------------------------------------------------------------------- */

static UNUSED_OK void play_withdraw(struct play *p, const struct effect *e)
{
    for (size_t i = 0; i < p->n_sent; i++) {
        struct outgoing *o = &p->sent[i];
        bool staff = o->alert && strcmp(o->to, p->r.person.phone) != 0;
        if (o->state == OUTGOING_WAITING && e->withdraw.classes >> o->class_ & 1 && !staff &&
            (!e->withdraw.unprompted_only || o->unprompted))
            o->state = OUTGOING_CANCELLED;
    }
}

static UNUSED_OK void play_put_desk(struct play *p, const struct desk_row *row)
{
    size_t i = 0;
    while (i < p->n_desk && p->desk[i].id != row->id)
        i++;
    assert_true(i < PLAY_DESK);
    p->desk[i] = *row;
    p->n_desk += i == p->n_desk;
}

static UNUSED_OK void play_put_alert(struct play *p, const struct alert *row)
{
    size_t i = 0;
    while (i < p->n_alerts && p->alerts[i].id != row->id)
        i++;
    assert_true(i < PLAY_ALERTS);
    p->alerts[i] = *row;
    p->n_alerts += i == p->n_alerts;
}

static UNUSED_OK void play_apply(struct play *p, struct effects *e)
{
    assert_false(e->failed);
    for (size_t i = 0; i < e->n; i++) {
        struct effect *x = &e->at[i];
        if (x->kind == EFFECT_SEND) {
            assert_true(p->n_sent < PLAY_SENT);
            p->sent[p->n_sent++] = *x->send;
        } else if (x->kind == EFFECT_WITHDRAW) {
            play_withdraw(p, x);
        } else if (x->kind == EFFECT_OUTCOME) {
            assert_true(p->n_outcomes < PLAY_OUTCOMES);
            p->outcomes[p->n_outcomes].text = x->outcome.text;
            memcpy(p->outcomes[p->n_outcomes++].why, x->outcome.why, 64);
        } else if (x->kind == EFFECT_DESK) {
            play_put_desk(p, &x->desk);
        } else if (x->kind == EFFECT_ALERT) {
            play_put_alert(p, &x->alert);
        } else if (x->kind == EFFECT_AUDIT) {
            p->audits++;
            p->skipped += strcmp(x->audit.action, "skipped") == 0;
            snprintf(p->last_audit, sizeof p->last_audit, "%s: %s", x->audit.action, x->audit.detail);
        }
    }
    effects_clear(e);
}

/* -- time ---------------------------------------------------------------------------------------------------------- */

static UNUSED_OK struct moment_of_care play_moment(struct play *p)
{
    p->random = p->random * 6364136223846793005u + 1442695040888963407u;
    return (struct moment_of_care){.now = p->now, .random = p->random, .next_id = &p->next_id};
}

/* What was due by now has been sent; what is over 48 hours old is not remembered. */
static UNUSED_OK void play_clock(struct play *p, int64_t now)
{
    size_t old = 0;
    p->now = now;
    for (size_t i = 0; i < p->n_sent; i++)
        if (p->sent[i].state == OUTGOING_WAITING && p->sent[i].due <= now)
            p->sent[i].state = OUTGOING_SENT;
    while (old < p->r.n_sent && now - p->r.sent[old].at > 48 * HOURS)
        old++;
    p->r.n_sent -= old;
    if (old)
        memmove(p->r.sent, p->r.sent + old, p->r.n_sent * sizeof *p->r.sent);
}

static UNUSED_OK void play_look(struct play *p)
{
    struct effects e = {0};
    struct moment_of_care m = play_moment(p);
    care_look(&p->r, &m, &e);
    p->looks++;
    assert_true(p->r.course.next_look == INSTANT_NONE || p->r.course.next_look > p->now);
    play_apply(p, &e);
}

static UNUSED_OK int64_t play_alert_due(const struct play *p, int64_t *id)
{
    int64_t due = INSTANT_NONE;
    for (size_t i = 0; i < p->r.n_alerts; i++)
        if (p->r.alerts[i].due != INSTANT_NONE && (due == INSTANT_NONE || p->r.alerts[i].due < due))
            due = p->r.alerts[i].due, *id = p->r.alerts[i].id;
    return due;
}

/* Lets time pass to this instant: every look and every alert's due time at its own. */
static UNUSED_OK void play_to(struct play *p, int64_t to)
{
    for (;;) {
        int64_t id = 0, alert = play_alert_due(p, &id), look = p->r.course.next_look;
        bool alert_first = alert != INSTANT_NONE && (look == INSTANT_NONE || alert <= look);
        int64_t due = alert_first ? alert : look;
        if (due == INSTANT_NONE || due > to)
            break;
        play_clock(p, due > p->now ? due : p->now);
        if (!alert_first) {
            play_look(p);
            continue;
        }
        struct effects e = {0};
        struct moment_of_care m = play_moment(p);
        care_alert_look(&p->r, &m, id, &e);
        play_apply(p, &e);
    }
    play_clock(p, to);
}

static UNUSED_OK void play_wait(struct play *p, int minutes)
{
    play_to(p, p->now + (int64_t)minutes * 60);
}

/* The machine was off until this instant: what was due meanwhile comes late, all at once. */
static UNUSED_OK void play_outage(struct play *p, int64_t to)
{
    play_clock(p, to);
    play_to(p, to);
}

/* -- what happens -------------------------------------------------------------------------------------------------- */

static UNUSED_OK int16_t play_recent(const struct play *p, int64_t seconds)
{
    int16_t n = 0;
    for (size_t i = p->n_texts > 64 ? p->n_texts - 64 : 0; i < p->n_texts; i++)
        n += p->now - p->texts[i % 64] < seconds;
    return n;
}

static UNUSED_OK int16_t play_replies(const struct play *p)
{
    int16_t n = 0;
    for (size_t i = p->n_sent; i-- > 0 && p->now - p->sent[i].created < 30 * MINUTES;)
        n += p->sent[i].class_ <= CLASS_REPLY && !p->sent[i].unprompted && p->sent[i].channel == CHANNEL_TEXT &&
             strcmp(p->sent[i].to, p->r.person.phone) == 0;
    return n;
}

/* A text of the patient, now; returns its id. */
static UNUSED_OK int64_t play_text(struct play *p, const struct heard *h)
{
    struct meaning said = meaning_of(h);
    struct inbound in = {.text = ++p->next_text, .received = p->now, .meaning = &said, .resent = h->resent,
                         .sent = h->delayed ? p->now - (int64_t)h->delayed * MINUTES : INSTANT_NONE, .empty = h->picture, .other_language = h->foreign};
    struct effects e = {0};
    struct moment_of_care m = play_moment(p);
    size_t before = p->n_outcomes;
    p->r.texts_10min = play_recent(p, 10 * MINUTES);
    p->r.replies_30min = play_replies(p);
    p->texts[p->n_texts++ % 64] = p->now;
    care_text(&p->r, &m, &in, &e);
    play_apply(p, &e);
    assert_int_equal(p->n_outcomes, before + 1); /* exactly one outcome a text */
    assert_int_equal(p->outcomes[before].text, in.text);
    play_to(p, p->now);
    return in.text;
}

#define play_says(p, ...) play_text((p), &(struct heard){__VA_ARGS__})
#define play_pair(p, s, d, pu) play_says((p), .r = {{(s), (d), (pu)}})

static UNUSED_OK void play_enrol(struct play *p, bool joined)
{
    struct effects e = {0};
    struct moment_of_care m = play_moment(p);
    snprintf(p->r.person.ref, sizeof p->r.person.ref, "P-0001");
    care_enrol(&p->r, &m, joined, &e);
    play_apply(p, &e);
    play_to(p, p->now);
}

/* One who agreed in the clinic, whose arm, cuff and monitor are known. */
static UNUSED_OK void play_joined(struct play *p)
{
    play_begin(p);
    p->r.person.arm_cm = 31;
    p->r.person.cuff_low = 22;
    p->r.person.cuff_high = 42;
    p->r.person.validated = ANSWER_YES;
    snprintf(p->r.person.monitor, sizeof p->r.person.monitor, "Oakfield 3");
    play_enrol(p, true);
}

static UNUSED_OK enum care_answer play_act(struct play *p, struct care_action a)
{
    struct effects e = {0};
    struct moment_of_care m = play_moment(p);
    if (!a.who[0])
        snprintf(a.who, sizeof a.who, "ann");
    enum care_answer answer = care_act(&p->r, &m, &a, &e);
    if (answer == CARE_DONE)
        play_apply(p, &e);
    else
        effects_clear(&e);
    play_to(p, p->now);
    return answer;
}

/* -- what came of it ----------------------------------------------------------------------------------------------- */

static UNUSED_OK bool to_patient(const struct play *p, const struct outgoing *o)
{
    return o->channel == CHANNEL_TEXT && strcmp(o->to, p->r.person.phone) == 0;
}

/* The reply to a text, NULL when it had none. */
static UNUSED_OK const struct outgoing *play_reply(const struct play *p, int64_t text)
{
    for (size_t i = p->n_sent; i-- > 0;)
        if (to_patient(p, &p->sent[i]) && p->sent[i].text == text)
            return &p->sent[i];
    return NULL;
}

static UNUSED_OK const char *play_outcome(const struct play *p, int64_t text)
{
    for (size_t i = p->n_outcomes; i-- > 0;)
        if (p->outcomes[i].text == text)
            return p->outcomes[i].why;
    return NULL;
}

/* Texts of a kind to the patient, any part, queued since `from`, not withdrawn. */
static UNUSED_OK size_t play_count(const struct play *p, enum text_kind kind, int64_t from)
{
    size_t n = 0;
    for (size_t i = 0; i < p->n_sent; i++)
        n += to_patient(p, &p->sent[i]) && p->sent[i].created >= from && p->sent[i].state != OUTGOING_CANCELLED &&
             say_has(&p->sent[i].saying, kind);
    return n;
}

static UNUSED_OK const struct outgoing *play_last(const struct play *p, enum text_kind kind)
{
    for (size_t i = p->n_sent; i-- > 0;)
        if (say_has(&p->sent[i].saying, kind))
            return &p->sent[i];
    return NULL;
}

static UNUSED_OK const struct desk_row *play_desk(const struct play *p, enum desk_kind kind)
{
    for (size_t i = p->n_desk; i-- > 0;)
        if (p->desk[i].kind == kind && p->desk[i].done_at == INSTANT_NONE)
            return &p->desk[i];
    return NULL;
}

/* The newest alert, NULL when there is none. */
static UNUSED_OK const struct alert *play_alert(const struct play *p)
{
    return p->n_alerts ? &p->alerts[p->n_alerts - 1] : NULL;
}

static UNUSED_OK const struct reading *play_reading(const struct play *p, int16_t sys)
{
    for (size_t i = p->r.n_readings; i-- > 0;)
        if (p->r.readings[i].sys == sys)
            return &p->r.readings[i];
    return NULL;
}

#endif
