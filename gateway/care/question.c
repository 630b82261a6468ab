/* The one open question of a patient: asked, answered by YES, NO or new numbers, closed after 24 hours.
 *
 * Worded so that YES counts the number as written and NO drops it. Only the newest is open; what an older one was about
 * stays held, is never counted, and stands on the desk. YES and NO are never consent while one is open.
 */
#include "gateway/care/inside.h"

#include <stdio.h>
#include <string.h>

enum { NUMBERS_ANSWER = 60 * MINUTES };

bool question_open(const struct record *r, int64_t now)
{
    const struct question *q = &r->course.question;
    return q->kind != QUESTION_NONE && now - q->asked_at < QUESTION_LIFE;
}

void question_none(struct turn *t)
{
    memset(&t->r->course.question, 0, sizeof t->r->course.question);
    t->r->course.question.asked_at = INSTANT_NONE;
}

void question_close(struct turn *t)
{
    const struct question q = t->r->course.question;

    question_none(t);
    for (uint8_t i = 0; i < q.n_readings; i++) {
        const struct reading *x = reading_of(t->r, q.readings[i]);
        if (x && x->standing == STANDING_HELD)
            desk_open_reading(t, DESK_HELD, 4, x->id, "Asked, and not answered: accept it or void it.");
    }
}

void question_ask(struct turn *t, enum question_kind kind, enum text_kind text, const int64_t *readings, size_t n)
{
    struct question *q = &t->r->course.question;

    question_close(t);
    q->kind = kind;
    q->asked_at = t->m->now;
    q->text = t->in ? t->in->text : 0;
    t->say.n_got = t->say.n_echo;
    for (size_t i = 0; i < n && i < QUESTION_READINGS; i++) {
        const struct reading *x = reading_of(t->r, readings[i]);
        q->readings[q->n_readings++] = readings[i];
        if (!x || (x->held & HELD_AMENDED && n > 1))
            continue;
        if (kind == QUESTION_SWAPPED)
            say_echo(&t->say, x->dia, x->sys, x->pulse);
        else
            say_echo(&t->say, x->sys, x->dia, x->pulse);
    }
    say_part(&t->say, text);
}

/* -- yes and no ---------------------------------------------------------------------------------------------------- */

/* What was written the wrong way round is taken the right way round, as a row of its own: the written one stays. */
static int64_t turn_round(struct turn *t, const struct reading *written)
{
    struct reading x = *written;

    x.id = (*t->m->next_id)++;
    x.sys = written->dia;
    x.dia = written->sys;
    x.doubt = 0;
    x.standing = STANDING_ACCEPTED;
    x.confirmed = true;
    if (!care_put_reading(t->r, &x, t->out))
        return written->id;
    struct reading old = *reading_of(t->r, written->id);
    old.standing = STANDING_REPLACED;
    old.replaced_by = x.id;
    care_put_reading(t->r, &old, t->out);
    return x.id;
}

static void confirm(struct turn *t, int64_t id, enum question_kind kind)
{
    struct reading *at = reading_of(t->r, id);

    if (!at || at->standing != STANDING_HELD)
        return;
    struct reading x = *at;
    if (kind == QUESTION_SWAPPED) {
        id = turn_round(t, &x);
    } else {
        x.standing = STANDING_ACCEPTED;
        x.confirmed = true;
        care_put_reading(t->r, &x, t->out);
    }
    if (kind == QUESTION_IS_IT_RIGHT)
        t->r->course.dia_confirmed = x.dia;
    desk_close_reading(t, x.id);
    turn_echo(t, id);
    bool judged = kind == QUESTION_IS_IT_RIGHT || kind == QUESTION_MEASURE_AGAIN;
    if (!judged && t->n_taken < TAKEN_MAX) /* certain only now: worry is judged on it as on a new one */
        t->taken[t->n_taken++] = id;
}

static bool can_be_taken(enum question_kind kind)
{
    return kind == QUESTION_IS_IT_RIGHT || kind == QUESTION_MEASURE_AGAIN || kind == QUESTION_NEW_ONE ||
           kind == QUESTION_SWAPPED || kind == QUESTION_OWN;
}

/* The question again, for a YES that cannot take anything. */
static enum text_kind asked_as(const struct turn *t, const struct question *q)
{
    const struct reading *x = q->n_readings ? reading_of(t->r, q->readings[0]) : NULL;
    uint8_t doubt = x ? x->doubt : 0;

    if (q->kind == QUESTION_WHEN)
        return TEXT_Q_WHEN;
    if (q->kind == QUESTION_WHICH_DAYS)
        return TEXT_Q_WHICH_DAYS;
    if (q->kind == QUESTION_WHICH_READING)
        return TEXT_Q_WHICH_READING;
    if (q->kind == QUESTION_WHOSE)
        return TEXT_WHOSE;
    return doubt & DOUBT_OUT_OF_RANGE ? TEXT_Q_OUT_OF_RANGE : doubt & DOUBT_PAIRING ? TEXT_Q_PAIRING
           : doubt & DOUBT_ONE_NUMBER ? TEXT_Q_ONE_NUMBER : TEXT_NOT_UNDERSTOOD;
}

void question_again(struct turn *t)
{
    const struct question q = t->r->course.question;
    enum text_kind text = asked_as(t, &q);

    if (q.kind == QUESTION_WHOSE) /* a YES with a tag */
        snprintf(t->say.word, sizeof t->say.word, "%s", t->r->person.tag);
    question_none(t); /* so that asking again does not send its readings to the desk */
    question_ask(t, q.kind, text, q.readings, q.n_readings);
}

static void deny(struct turn *t, int64_t id)
{
    const struct reading *x = reading_of(t->r, id);

    if (!x || x->standing != STANDING_HELD)
        return;
    reading_stand(t, id, STANDING_VOID, "the patient said NO");
    follow_end(t, id);
    turn_echo(t, id);
}

bool question_answer(struct turn *t, bool yes)
{
    if (!question_open(t->r, t->m->now))
        return false;
    const struct question q = t->r->course.question;
    if (yes && !can_be_taken(q.kind)) {
        question_again(t);
        return true;
    }
    question_none(t);
    for (uint8_t i = 0; i < q.n_readings; i++)
        if (yes)
            confirm(t, q.readings[i], q.kind);
        else
            deny(t, q.readings[i]);
    if (yes && t->r->course.follow.kind == FOLLOW_DOUBTFUL)
        follow_end(t, t->r->course.follow.reading);
    t->opener = t->n_echoed == 0 ? TEXT_NOTHING_TO_CHANGE : yes ? TEXT_KEPT_AS_WRITTEN : TEXT_DROPPED;
    week_settle(t);
    return true;
}

/* -- new numbers --------------------------------------------------------------------------------------------------- */

static bool same_numbers(const struct reading *x, const struct said *s)
{
    return x && x->sys == s->sys && x->dia == s->dia;
}

/* The patient names another slot, day or time than that of the reading that was asked about. */
static bool names_another(struct turn *t, const struct said *s, const struct reading *about)
{
    struct reading x;

    if (!about || !said_when(s))
        return false;
    reading_fill(t, &x, s);
    if (s->minute != MINUTE_UNSAID && s->minute != about->minute)
        return true;
    return x.day != about->day || x.slot != about->slot;
}

/* "Which one?": numbers that are already there point to a reading; they are no new measurement. */
static bool which_answered(struct turn *t, const struct question *q)
{
    const struct said *s = &t->said.readings.at[0];
    struct reading *old = NULL;

    if (q->kind != QUESTION_WHICH_READING || t->said.readings.n != 1)
        return false;
    for (size_t i = t->r->n_readings; i-- > 0 && !old;)
        if (reading_stands(&t->r->readings[i]) && !(t->r->readings[i].held & HELD_AMENDED) &&
            same_numbers(&t->r->readings[i], s))
            old = &t->r->readings[i];
    if (!old)
        return false;
    int64_t id = old->id, fresh = q->n_readings == 1 ? q->readings[0] : 0;
    struct reading *now_right = fresh ? reading_of(t->r, fresh) : NULL;
    bool correcting = now_right && now_right->held & HELD_AMENDED;
    follow_end(t, id);
    reading_stand(t, id, correcting ? STANDING_REPLACED : STANDING_VOID, "the patient said which one");
    if (correcting) {
        struct reading x = *reading_of(t->r, fresh), was = *reading_of(t->r, id);
        x.at = was.at, x.minute = was.minute, x.day = was.day, x.slot = was.slot;
        x.standing = STANDING_ACCEPTED;
        care_put_reading(t->r, &x, t->out);
        was.replaced_by = x.id;
        care_put_reading(t->r, &was, t->out);
        id = x.id;
    }
    turn_echo(t, id);
    t->opener = correcting ? TEXT_CORRECTED : TEXT_DROPPED;
    t->said.readings.n = 0;
    question_none(t);
    week_settle(t);
    week_amended(t);
    return true;
}

void question_new_numbers(struct turn *t)
{
    const struct question *q = &t->r->course.question;

    if (!t->said.readings.n || !question_open(t->r, t->m->now) || t->m->now - q->asked_at >= NUMBERS_ANSWER ||
        q->kind == QUESTION_WHOSE || when_asked(q)) /* answered by that text with a tag; by its numbers with a day */
        return;
    if (which_answered(t, q))
        return;
    const struct reading *about = q->n_readings ? reading_of(t->r, q->readings[0]) : NULL;
    t->answered = !names_another(t, &t->said.readings.at[0], about);
    t->asked_for = t->answered && (q->kind == QUESTION_MEASURE_AGAIN || q->kind == QUESTION_IS_IT_RIGHT);
}

static void replaced_by(struct turn *t, int64_t old, int64_t id)
{
    struct reading *x = reading_of(t->r, old);

    if (!x || !id || x->standing != STANDING_HELD)
        return;
    struct reading row = *x;
    row.standing = STANDING_REPLACED;
    row.replaced_by = id;
    care_put_reading(t->r, &row, t->out);
    desk_close_reading(t, old);
    follow_end(t, old);
}

/* A doubtful number is replaced by the clear one that answers; a believable measurement never replaces another: the
 * held one stays beside it, on the desk. */
void question_replaced(struct turn *t)
{
    const struct question q = t->r->course.question;

    if (q.kind == QUESTION_IS_IT_RIGHT || q.kind == QUESTION_MEASURE_AGAIN || q.kind == QUESTION_NEW_ONE) {
        question_close(t);
        return;
    }
    for (uint8_t i = 0; i < q.n_readings && t->n_taken; i++)
        replaced_by(t, q.readings[i], t->taken[i < t->n_taken ? i : t->n_taken - 1]);
    question_close(t);
}
