/* A week as a report to look at: built in a week_fixture, made without a database. For tests only. Everything is invented;
 * the numbers are from the ranges kept for fiction. */
#ifndef QUIETARM_REPORT_FIXTURE_H
#define QUIETARM_REPORT_FIXTURE_H

#include "gateway/care/equipment.h"
#include "gateway/report/report.h"
#include "tests/week_fixture.h"

enum { REPORT_TEXTS = 40 };

struct report_fixture {
    struct week_fixture week;
    struct week_result result;
    struct week_view view;
    struct alert alerts[8];
    struct week_before before[3];
    const char *bodies[FIXTURE_READINGS];
    struct stored_text texts[REPORT_TEXTS];
    size_t n_texts;
    struct report report;
};

/* The diary whose every figure is known (its means and spreads were worked out with Python's statistics module). */
static const struct {
    int sys, dia;
} report_diary[28] = {
    {148, 91}, {144, 89}, {150, 92}, {146, 90}, {138, 86}, {136, 85}, {141, 88}, {137, 86}, {135, 84}, {133, 84},
    {139, 87}, {136, 85}, {140, 87}, {134, 85}, {138, 86}, {135, 84}, {132, 83}, {131, 82}, {136, 85}, {133, 83},
    {137, 86}, {135, 84}, {142, 88}, {138, 87}, {133, 84}, {130, 82}, {134, 84}, {132, 83}};

static inline void report_fixture_open(struct report_fixture *f, const char *protocol)
{
    memset(f, 0, sizeof *f);
    fixture_open(&f->week, protocol);
    struct clinic *c = &f->week.clinic;
    struct person *p = &f->week.record.person;
    struct week *w = &f->week.record.week;
    snprintf(c->id, sizeof c->id, "maple");
    snprintf(c->name, sizeof c->name, "Maple Row Practice");
    snprintf(c->text_number, sizeof c->text_number, "+447700900001");
    snprintf(c->voice_number, sizeof c->voice_number, "01632 960001");
    snprintf(c->out_of_hours, sizeof c->out_of_hours, "111");
    snprintf(c->emergency, sizeof c->emergency, "999");
    snprintf(c->zone, sizeof c->zone, "UTC");
    snprintf(p->clinic, sizeof p->clinic, "maple");
    snprintf(p->ref, sizeof p->ref, "P-0001");
    snprintf(p->zone, sizeof p->zone, "UTC");
    snprintf(p->language, sizeof p->language, "en");
    p->id = 11;
    p->state = PERSON_JOINED;
    w->person = 11;
    w->number = 1;
    w->version = 1;
    w->state = WEEK_MEASURING;
    w->opened_at = fixture_instant(&f->week, 0, 600);
    w->ended_at = w->sent_at = w->reviewed_at = INSTANT_NONE;
}

/* `n` readings of the diary, over and over, two a sitting (or `each`). */
static inline void report_fixture_read(struct report_fixture *f, int n, int each)
{
    for (int i = 0; i < n; i++) {
        int sitting = i / each, minute = (sitting % 2 ? 1180 : 430) + 2 * (i % each);
        struct reading *x = fixture_read(&f->week, sitting / 2 + 1, minute, report_diary[i % 28].sys, report_diary[i % 28].dia);
        x->pulse = (int16_t)(66 + i * 7 % 11);
    }
}

/* The week is over after `days`. */
static inline void report_fixture_end(struct report_fixture *f, int days, enum week_state state)
{
    struct week *w = &f->week.record.week;
    w->state = state;
    w->days_wanted = (int16_t)days;
    w->last_day = f->week.day1 + days - 1;
    w->ended_at = fixture_instant(&f->week, days, 1215);
}

static inline struct stored_text *report_fixture_text(struct report_fixture *f, int day, int minute, const char *body)
{
    struct stored_text *t = &f->texts[f->n_texts++];
    *t = (struct stored_text){.id = 1000 + (int64_t)f->n_texts, .person = 11, .received = fixture_instant(&f->week, day, minute)};
    t->body = (char *)(uintptr_t)body;
    return t;
}

static inline struct alert *report_fixture_alert(struct report_fixture *f, int day, int minute, enum alert_level level,
                                                 const char *cause)
{
    struct alert *a = &f->alerts[f->view.n_alerts++];
    *a = (struct alert){.id = 500 + (int64_t)f->view.n_alerts, .person = 11, .level = level};
    snprintf(a->cause, sizeof a->cause, "%s", cause);
    a->at = fixture_instant(&f->week, day, minute);
    a->taken_at = a->resolved_at = a->due = INSTANT_NONE;
    return a;
}

/* A week before it, `days` days earlier, with what the person measures with now. The latest first. */
static inline struct week_before *report_fixture_before(struct report_fixture *f, int days, double sys, double dia)
{
    struct week_before *b = &f->before[f->view.n_before++];
    week_blank(&b->week, 11);
    week_equip(&b->week, &f->week.record.person);
    week_equip(&f->week.record.week, &f->week.record.person);
    b->week.number = (int16_t)(f->week.record.week.number - (int)f->view.n_before);
    b->week.first_day = f->week.day1 - days;
    b->week.last_day = b->week.first_day + 6;
    b->mean = (struct mean){.sys = sys, .dia = dia, .n = 24};
    return b;
}

/* Makes f->report; to be closed with report_close. */
static inline const struct report *report_fixture_make(struct report_fixture *f)
{
    const struct week *w = &f->week.record.week;
    int64_t now = w->ended_at != INSTANT_NONE ? w->ended_at : fixture_instant(&f->week, 8, 0);
    week_result(&f->week.record, now, &f->result);
    f->view.record = &f->week.record;
    f->view.result = &f->result;
    f->view.alerts = f->alerts;
    f->view.texts = f->bodies;
    f->view.before = f->before;
    assert_true(report_make(&f->report, &f->view, f->texts, f->n_texts, "http://127.0.0.1:8481", now));
    return &f->report;
}

#endif
