/* "That was wrong": a correction replaces, a void drops; a new measurement never does either.
 *
 * It acts on the latest reading of the week that holds a rejected number; when none is named, on the readings of the
 * last text if they are as many as the new ones; else it asks which. What is replaced or dropped stays on record.
 */
#include "gateway/care/inside.h"

#include <stdio.h>

bool reading_stands(const struct reading *x)
{
    return x->standing == STANDING_ACCEPTED || x->standing == STANDING_HELD || x->standing == STANDING_ASIDE;
}

static bool holds(const struct reading *x, const struct said *rejected)
{
    if (rejected->sys != SAID_NONE && rejected->dia != SAID_NONE)
        return x->sys == rejected->sys && x->dia == rejected->dia;
    int16_t one = rejected->sys != SAID_NONE ? rejected->sys : rejected->dia;
    if (one == SAID_NONE)
        return rejected->pulse != SAID_NONE && x->pulse == rejected->pulse;
    return x->sys == one || x->dia == one;
}

static bool listed(const int64_t *ids, size_t n, int64_t id)
{
    for (size_t i = 0; i < n; i++)
        if (ids[i] == id)
            return true;
    return false;
}

static size_t rejected_readings(const struct turn *t, int64_t *ids, size_t max)
{
    size_t n = 0;

    for (unsigned k = 0; k < t->said.rejected.n && n < max; k++)
        for (size_t i = t->r->n_readings; i-- > 0;) {
            const struct reading *x = &t->r->readings[i];
            if (x->text == t->in->text || !reading_stands(x) || !holds(x, &t->said.rejected.at[k]) ||
                listed(ids, n, x->id))
                continue;
            ids[n++] = x->id;
            break;
        }
    return n;
}

/* The standing readings of the last text that had any, oldest first. */
static size_t last_text_readings(const struct turn *t, int64_t *ids, size_t max)
{
    int64_t text = 0, when = INSTANT_NONE;
    size_t n = 0;

    for (size_t i = 0; i < t->r->n_readings; i++) {
        const struct reading *x = &t->r->readings[i];
        if (x->text && x->text != t->in->text && reading_stands(x) && x->received >= when)
            when = x->received, text = x->text;
    }
    for (size_t i = 0; i < t->r->n_readings && text && n < max; i++)
        if (t->r->readings[i].text == text && reading_stands(&t->r->readings[i]))
            ids[n++] = t->r->readings[i].id;
    return n;
}

void turn_echo(struct turn *t, int64_t reading)
{
    if (t->n_echoed < QUESTION_READINGS)
        t->echoed[t->n_echoed++] = reading;
}

static void amended(struct turn *t, const int64_t *ids, size_t n)
{
    bool of_week = false;

    for (size_t i = 0; i < n; i++)
        of_week |= reading_of(t->r, ids[i])->week == t->r->week.id;
    if (of_week)
        week_amended(t);
}

/* Somebody was alerted by it: whoever looks at the alert must not miss that the patient has changed it. */
static void tell_of_alerted(struct turn *t, int64_t old)
{
    const struct reading *x = reading_of(t->r, old);

    if (alert_open(t->r) && figures_severe(t, (struct figures){x->sys, x->dia, x->pulse}))
        desk_open_reading(t, DESK_SEVERE, 1, old, "The patient took back a severe reading while an alert is open: look at both.");
}

static void drop(struct turn *t, const int64_t *ids, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        reading_stand(t, ids[i], STANDING_VOID, "the patient took it back");
        follow_end(t, ids[i]);
        tell_of_alerted(t, ids[i]);
        turn_echo(t, ids[i]);
    }
    t->opener = n ? TEXT_DROPPED : TEXT_NOTHING_TO_CHANGE;
    amended(t, ids, n);
}

/* The new reading stands where the old one stood, unless it says when it was measured. */
static void replace(struct turn *t, int64_t old, const struct said *said)
{
    struct reading x, was = *reading_of(t->r, old);

    reading_fill(t, &x, said);
    if (!said_when(said)) {
        x.at = was.at, x.minute = was.minute, x.day = was.day, x.slot = was.slot;
        x.off_time = was.off_time, x.sent_late = was.sent_late, x.week = was.week;
    }
    x.asked_for = was.asked_for;
    x.technique |= was.technique;
    reading_stand(t, old, STANDING_REPLACED, "the patient corrected it"); /* first: it is no measure for the new one */
    x.doubt = 0;
    x.held = reading_doubts(t, &x, NULL);
    x.standing = x.held ? STANDING_HELD : STANDING_ACCEPTED;
    reading_keep(t, &x);
    was = *reading_of(t->r, old);
    was.replaced_by = x.id;
    care_put_reading(t->r, &was, t->out);
    follow_end(t, old);
    tell_of_alerted(t, old);
    if (x.standing == STANDING_ACCEPTED)
        turn_echo(t, x.id);
    t->opener = TEXT_CORRECTED;
}

/* Nothing says which reading is meant: the new numbers are held with the question. */
static void ask_which(struct turn *t)
{
    struct reading x;

    for (unsigned i = 0; i < t->said.readings.n && i < QUESTION_READINGS; i++) {
        reading_fill(t, &x, &t->said.readings.at[i]);
        x.doubt = 0;
        x.held = HELD_AMENDED;
        x.standing = STANDING_HELD;
        reading_keep(t, &x);
    }
    question_ask(t, QUESTION_WHICH_READING, TEXT_Q_WHICH_READING, t->taken, t->n_taken);
}

/* "128 not 182": what was wrong is known, what is right is not yet. It waits, held, beside the doubtful number. */
static void take_back(struct turn *t, const int64_t *ids, size_t n)
{
    for (size_t i = 0; i < n && t->n_amended < QUESTION_READINGS; i++) {
        struct reading x = *reading_of(t->r, ids[i]);
        x.held |= HELD_AMENDED;
        x.standing = STANDING_HELD;
        care_put_reading(t->r, &x, t->out);
        t->amended[t->n_amended++] = x.id;
    }
}

static void correct(struct turn *t, const int64_t *ids, size_t n)
{
    size_t said = t->said.readings.n;

    if (said == 0 && t->said.doubtful.n)
        take_back(t, ids, n);
    else if (said == 0)
        t->opener = TEXT_NOTHING_TO_CHANGE;
    else if (n != said)
        ask_which(t);
    for (size_t i = 0; i < said && n == said; i++)
        replace(t, ids[i], &t->said.readings.at[i]);
    if (n == said)
        amended(t, ids, n);
}

static bool names_any(const struct turn *t)
{
    for (unsigned i = 0; i < t->said.rejected.n; i++) {
        const struct said *s = &t->said.rejected.at[i];
        if (s->sys != SAID_NONE || s->dia != SAID_NONE || s->pulse != SAID_NONE)
            return true;
    }
    return false;
}

bool amend_act(struct turn *t)
{
    int64_t ids[QUESTION_READINGS];
    size_t named = rejected_readings(t, ids, QUESTION_READINGS);
    size_t n = named ? named : last_text_readings(t, ids, QUESTION_READINGS);
    bool unknown = !named && n && names_any(t); /* it names a number that nobody sent: never the nearest instead */

    if (t->said.amend == AMEND_CORRECT) {
        if (n == 0 && t->said.readings.n) /* nothing to replace: they are new */
            return false;
        correct(t, ids, unknown ? 0 : n);
        return true;
    }
    if (t->said.amend != AMEND_VOID)
        return false;
    if (!unknown && (named || n <= 1))
        drop(t, ids, n);
    else
        question_ask(t, QUESTION_WHICH_READING, TEXT_Q_WHICH_READING, ids, n);
    return false;
}
