/* Rows with nothing known yet. One place says what "none" is in each field, so that a forgotten one is not taken for
 * 1970-01-01 or midnight.
 */
#include "gateway/care/care.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { MONITOR_NOT_CHECKED = 127 };

void person_blank(struct person *p, const struct clinic *c)
{
    memset(p, 0, sizeof *p);
    snprintf(p->clinic, sizeof p->clinic, "%s", c->id);
    snprintf(p->language, sizeof p->language, "%s", c->language);
    snprintf(p->zone, sizeof p->zone, "%s", c->zone);
    p->state = PERSON_STRANGER;
    p->state_since = p->enrolled_at = p->consent_at = INSTANT_NONE;
    p->born = p->office_day = p->pregnant_due = p->birth = p->start = p->medicine_changed = DAY_NONE;
    p->morning_from = p->morning_to = p->evening_from = p->evening_to = -1;
    p->quiet_from = p->quiet_to = p->remind_morning = p->remind_evening = -1;
    p->monitor_check_sys = p->monitor_check_dia = MONITOR_NOT_CHECKED;
}

void course_blank(struct course *c, int64_t person)
{
    memset(c, 0, sizeof *c);
    c->person = person;
    c->next_look = c->question.asked_at = c->follow.since = c->paused_until = c->pause_from = INSTANT_NONE;
    c->last_text = c->last_reading = c->last_flag = c->last_severe = INSTANT_NONE;
    c->misfit_told = c->ready_since = INSTANT_NONE;
    for (int i = 0; i < 2; i++)
        c->reminded_day[i] = c->nudged_day[i] = DAY_NONE;
    c->hinted_day = DAY_NONE;
}

void week_blank(struct week *w, int64_t person)
{
    memset(w, 0, sizeof *w);
    w->person = person;
    w->first_day = w->last_day = DAY_NONE;
    w->opened_at = w->ended_at = w->sent_at = w->reviewed_at = INSTANT_NONE;
}

void reading_blank(struct reading *x, int64_t person)
{
    memset(x, 0, sizeof *x);
    x->person = person;
    x->at = x->received = INSTANT_NONE;
    x->day = DAY_NONE;
    x->temp_c = NAN;
}

void alert_blank(struct alert *a, const struct person *p)
{
    memset(a, 0, sizeof *a);
    a->person = p->id;
    snprintf(a->clinic, sizeof a->clinic, "%s", p->clinic);
    a->at = a->taken_at = a->resolved_at = a->due = INSTANT_NONE;
}

void desk_blank(struct desk_row *d, const struct person *p)
{
    memset(d, 0, sizeof *d);
    d->person = p->id;
    snprintf(d->clinic, sizeof d->clinic, "%s", p->clinic);
    d->at = d->done_at = d->put_off_until = INSTANT_NONE;
}
