/* What must always hold, whatever a patient does: checked after every event of the simulation (care_simulate.c).
 *
 * Each is a sentence, and looks at the record and at all that was sent, not at how care came to it.
 */
#ifndef QUIETARM_CARE_HOLD_H
#define QUIETARM_CARE_HOLD_H

#include "care_talk.h"

enum { PENDING = 256 };

/* A severe reading that must be confirmed, unrepeated for 30 minutes, corrected, or flagged: each ends somewhere. */
struct pending {
    int64_t at, reading, text;
};

struct world {
    struct play p;
    uint64_t seed, rng;
    int16_t level;             /* the patient's own usual systolic */
    bool careful;              /* sends what is asked for */
    struct pending pending[PENDING];
    size_t n_pending;
    int64_t last_outage;       /* INSTANT_NONE; care could not look before it */
    int64_t last_numbers;      /* the last text that had any */
    size_t checked_sent;       /* rows of p.sent that have been checked */
    size_t texts, readings, alerts;
    char (*bodies)[BODY_MAX];
};

static struct texts *words;
static uint64_t seed_now;
static bool finished = true;
static size_t all_texts, all_readings, all_alerts, all_looks, all_weeks;

#define HOLDS(w, what)                                                                                                 \
    do {                                                                                                               \
        if (!(what))                                                                                                   \
            fail_msg("SEED=%llu: %s (instant %lld)", (unsigned long long)(w)->seed, #what, (long long)(w)->p.now);     \
    } while (0)

/* -- chance -------------------------------------------------------------------------------------------------------- */

static uint64_t draw(struct world *w)
{
    w->rng += 0x9E3779B97F4A7C15u; /* splitmix64, Steele et al. 2014 */
    uint64_t x = w->rng;
    x = (x ^ (x >> 30)) * 0xBF58476D1CE4E5B9u;
    x = (x ^ (x >> 27)) * 0x94D049BB133111EBu;
    return x ^ (x >> 31);
}

static int among(struct world *w, int n)
{
    return (int)(draw(w) % (uint64_t)n);
}

static bool once_in(struct world *w, int n)
{
    return among(w, n) == 0;
}

static int16_t about(struct world *w, int x, int spread)
{
    return (int16_t)(x + among(w, spread) + among(w, spread) - spread + 1);
}

/* -- what must always hold ----------------------------------------------------------------------------------------- */

static void counted_readings_are_accepted_and_of_the_week(struct world *w)
{
    const struct record *r = &w->p.r;
    struct week_result res;
    double sys = 0, dia = 0;
    int n = 0;

    if (!r->week.id)
        return;
    week_result(r, w->p.now, &res);
    for (size_t i = 0; i < r->n_readings; i++) {
        const struct reading *x = &r->readings[i];
        if (!reading_counted(r, x))
            continue;
        HOLDS(w, x->standing == STANDING_ACCEPTED);
        HOLDS(w, x->week == r->week.id);
        HOLDS(w, x->day >= r->week.first_day);
        HOLDS(w, r->week.last_day == DAY_NONE || x->day <= r->week.last_day);
        HOLDS(w, r->protocol.first_day_counted || x->day != r->week.first_day);
        HOLDS(w, x->dia > 0 && x->sys > x->dia);
        sys += x->sys;
        dia += x->dia;
        n++;
    }
    HOLDS(w, res.all.n == n);
    HOLDS(w, n == 0 || (fabs(res.all.sys - sys / n) < 1e-9 && fabs(res.all.dia - dia / n) < 1e-9));
}

static void a_question_is_about_held_readings_and_the_rest_is_on_the_desk(struct world *w)
{
    struct record *r = &w->p.r;
    const struct question *q = &r->course.question;

    for (uint8_t i = 0; i < q->n_readings; i++)
        if (q->kind != QUESTION_WHICH_READING && reading_of(r, q->readings[i]))
            HOLDS(w, reading_of(r, q->readings[i])->standing != STANDING_ASIDE);
    for (size_t i = 0; i < r->n_readings; i++) {
        const struct reading *x = &r->readings[i];
        bool seen = x->standing != STANDING_HELD || x->held & HELD_PRACTICE;
        for (uint8_t k = 0; k < q->n_readings && !seen; k++)
            seen = q->readings[k] == x->id;
        for (size_t k = 0; k < w->p.n_desk && !seen; k++)
            seen = w->p.desk[k].kind == DESK_HELD && w->p.desk[k].reading == x->id;
        HOLDS(w, seen);
    }
    for (size_t i = 0; i < r->n_desk; i++)
        if (r->desk[i].kind == DESK_HELD && reading_of(r, r->desk[i].reading))
            HOLDS(w, reading_of(r, r->desk[i].reading)->standing == STANDING_HELD);
}

static bool is_severe(const struct record *r, const struct reading *x)
{
    return r->protocol.severe_either_at ? x->sys >= 180 || x->dia >= 120 : x->sys > 180 || x->dia > 120;
}

/* A lower one stands after it in the same text: that is its repeat. */
static bool came_down_at_once(const struct record *r, const struct reading *x)
{
    for (size_t i = 0; i < r->n_readings; i++)
        if (r->readings[i].text == x->text && r->readings[i].id > x->id && !is_severe(r, &r->readings[i]))
            return true;
    return false;
}

static void severe_readings_end_somewhere(struct world *w)
{
    struct play *p = &w->p;

    for (size_t i = 0; i < w->n_pending; i++) {
        struct pending *s = &w->pending[i];
        struct reading *x = reading_of(&p->r, s->reading);
        bool settled = w->last_numbers > s->text || !x || !reading_stands(x) || came_down_at_once(&p->r, x);
        for (size_t k = 0; k < p->n_alerts && !settled; k++)
            settled = p->alerts[k].at >= s->at || p->alerts[k].resolved_at == INSTANT_NONE ||
                      p->alerts[k].resolved_at >= s->at;
        if (!settled && p->now < s->at + 30 * MINUTES)
            continue;
        HOLDS(w, settled);
        w->pending[i--] = w->pending[--w->n_pending];
    }
}

static bool silenced(enum person_state s)
{
    return s == PERSON_LEFT || s == PERSON_DECLINED || s == PERSON_DIED || s == PERSON_WRONG_NUMBER ||
           s == PERSON_WITHDRAWN;
}

static void say(struct world *w, size_t i)
{
    const struct outgoing *o = &w->p.sent[i];
    texts_say(words, &o->saying, &w->p.clinic, o->saying.language, w->bodies[i], BODY_MAX);
}

static bool asks_and_worries(const struct saying *s)
{
    bool worry = false, asks = false;
    for (uint8_t i = 0; i < s->n_parts; i++) {
        worry |= s->parts[i] >= TEXT_W_FLAG && s->parts[i] <= TEXT_W_NOBODY_YET;
        asks |= (s->parts[i] >= TEXT_Q_DISPLAY && s->parts[i] <= TEXT_Q_WHICH_READING) || s->parts[i] == TEXT_NOT_UNDERSTOOD;
    }
    return worry && asks;
}

static void a_text_fits_and_is_not_said_twice_in_a_minute(struct world *w, size_t i)
{
    const struct play *p = &w->p;
    const struct outgoing *o = &p->sent[i];
    int segments;

    say(w, i);
    segments = gsm_segments(w->bodies[i]);
    if (!o->saying.both_languages && segments > (asks_and_worries(&o->saying) ? 3 : 2))
        fail_msg("SEED=%llu: %d segments: %s", (unsigned long long)w->seed, segments, w->bodies[i]);
    for (size_t k = i; k-- > 0 && o->created - p->sent[k].created < DAYS;)
        if (to_patient(p, &p->sent[k]) && p->sent[k].state != OUTGOING_CANCELLED && llabs(o->due - p->sent[k].due) < 60 &&
            strcmp(w->bodies[i], w->bodies[k]) == 0)
            fail_msg("SEED=%llu: said twice in a minute: %s", (unsigned long long)w->seed, w->bodies[i]);
}

static void a_reminder_is_one_a_sitting_and_not_in_the_quiet(struct world *w, size_t i)
{
    const struct play *p = &w->p;
    const struct outgoing *o = &p->sent[i];
    bool reminder = o->kind == TEXT_REMIND_MORNING || o->kind == TEXT_REMIND_EVENING;

    if (o->unprompted)
        HOLDS(w, !quiet_now(&p->r, o->due));
    if (reminder) { /* at its local time, or the moment after it where clocks jump over it; worth an hour */
        int minute = civil_at(&p->r.zone, o->due).minute;
        enum slot s = o->kind == TEXT_REMIND_EVENING ? SLOT_EVENING : SLOT_MORNING;
        int at = civil_at(&p->r.zone, remind_at(&p->r, day_of(&p->r, o->due), s)).minute;
        int16_t own = s == SLOT_EVENING ? p->r.person.remind_evening : p->r.person.remind_morning;
        int wanted = own >= 0 ? own : s == SLOT_EVENING ? p->clinic.remind_evening : p->clinic.remind_morning;
        HOLDS(w, (minute - wanted + 1440) % 1440 <= 60 || minute == at);
        HOLDS(w, (at - wanted + 1440) % 1440 <= 60);
    }
    for (size_t k = i; k-- > 0 && reminder;)
        HOLDS(w, p->sent[k].kind != o->kind || p->sent[k].state == OUTGOING_CANCELLED ||
                     day_of(&p->r, p->sent[k].due) != day_of(&p->r, o->due));
}

static void what_was_sent_may_be_sent(struct world *w, enum person_state before)
{
    struct play *p = &w->p;
    enum person_state s = p->r.person.state;

    for (; w->checked_sent < p->n_sent; w->checked_sent++) {
        const struct outgoing *o = &p->sent[w->checked_sent];
        if (!to_patient(p, o))
            continue;
        if (silenced(s) && silenced(before) && s == before)
            if (o->class_ != CLASS_WORRY || o->unprompted)
                fail_msg("SEED=%llu: sent in silence: %s", (unsigned long long)w->seed, text_kind_name(o->kind));
        if (s == PERSON_INVITED && before == PERSON_INVITED)
            HOLDS(w, o->class_ != CLASS_REMINDER);
        if (silenced(s) && o->unprompted)
            HOLDS(w, o->state == OUTGOING_CANCELLED || o->state == OUTGOING_SENT || o->due <= p->now);
        a_text_fits_and_is_not_said_twice_in_a_minute(w, w->checked_sent);
        a_reminder_is_one_a_sitting_and_not_in_the_quiet(w, w->checked_sent);
    }
}

/* STOP, died, wrong number and closing withdraw what waits: nothing of before is left to be sent later. */
static void nothing_waits_for_whom_is_silent(struct world *w)
{
    const struct play *p = &w->p;
    int64_t since = p->r.person.state_since;

    if (!silenced(p->r.person.state) && p->r.person.state != PERSON_CLOSED)
        return;
    for (size_t i = p->n_sent; i-- > 0 && since - p->sent[i].created < 2 * DAYS;) {
        const struct outgoing *o = &p->sent[i];
        if (to_patient(p, o) && o->created < since && o->due > since)
            HOLDS(w, o->state != OUTGOING_WAITING);
    }
}

static void an_ended_week_has_its_summaries(struct world *w)
{
    const struct week *k = &w->p.r.week;
    size_t n = 0;

    if (k->state != WEEK_COMPLETE && k->state != WEEK_SHORT)
        return;
    for (size_t i = 0; i < w->p.n_sent; i++)
        n += w->p.sent[i].class_ == CLASS_SUMMARY && w->p.sent[i].week == k->id;
    HOLDS(w, n <= 3u * (size_t)k->version);
    HOLDS(w, n == 3u * (size_t)k->version || k->sent_at == INSTANT_NONE || k->version > 1);
}

static void hold(struct world *w, enum person_state before)
{
    counted_readings_are_accepted_and_of_the_week(w);
    a_question_is_about_held_readings_and_the_rest_is_on_the_desk(w);
    severe_readings_end_somewhere(w);
    what_was_sent_may_be_sent(w, before);
    nothing_waits_for_whom_is_silent(w);
    an_ended_week_has_its_summaries(w);
}

#endif
