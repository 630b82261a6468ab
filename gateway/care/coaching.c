/* Coaching: at most one hint a sitting, about how to measure, never about the number.
 *
 * Technique the patient mentioned, then what the readings suggest, then the next of the rotation; not the same
 * within 48 hours unless it was mentioned again. None while an alert is open. Sources of the errors that hints
 * prevent: Kallioinen 2017 (J Hypertens 35:421), ACC/AHA 2017; two fingers, the mark and the tube are common
 * practice, no source.
 */
#include "gateway/care/inside.h"

#include <math.h>
#include <stdlib.h>

enum { HINT_MEMORY = 48 * HOURS, SETTLING = 10, ROUND_TAIL = 6 };
static const double ROOM_COLD = 18, ROOM_HOT = 28; /* WHO housing minimum 18, from memory, confirm against the original */

static const struct {
    uint32_t technique;
    enum text_kind hint;
} by_technique[] = {
    {TECHNIQUE_MONITOR_ERROR, TEXT_HINT_MONITOR},
    {TECHNIQUE_WRIST, TEXT_HINT_WRIST},
    {TECHNIQUE_CUFF_SMALL | TECHNIQUE_CUFF_LARGE, TEXT_HINT_CUFF_SIZE},
    {TECHNIQUE_CUFF_REVERSED, TEXT_HINT_CUFF_WAY},
    {TECHNIQUE_CUFF_LOOSE | TECHNIQUE_CUFF_TIGHT, TEXT_HINT_CUFF_SNUG},
    {TECHNIQUE_OVER_CLOTHES, TEXT_HINT_BARE},
    {TECHNIQUE_ARM_UNSUPPORTED, TEXT_HINT_ARM},
    {TECHNIQUE_OTHER_ARM, TEXT_HINT_SAME_ARM},
    {TECHNIQUE_TUBE_KINKED, TEXT_HINT_TUBE},
    {TECHNIQUE_TALKING, TEXT_HINT_QUIET},
    {TECHNIQUE_MOVED, TEXT_HINT_STILL},
    {TECHNIQUE_LEGS_CROSSED, TEXT_HINT_LEGS},
    {TECHNIQUE_BLADDER, TEXT_HINT_BLADDER},
    {TECHNIQUE_CAFFEINE | TECHNIQUE_SMOKING | TECHNIQUE_EXERCISE, TEXT_HINT_COFFEE},
    {TECHNIQUE_COLD | TECHNIQUE_HOT, TEXT_HINT_ROOM},
    {TECHNIQUE_AFTER_MEDICINE, TEXT_HINT_MEDICINE},
    {TECHNIQUE_ALCOHOL, TEXT_HINT_ALCOHOL},
    {TECHNIQUE_MEAL, TEXT_HINT_MEAL},
    {TECHNIQUE_NO_REST | TECHNIQUE_STRESS, TEXT_HINT_REST},
};

static const enum text_kind rotation[] = {
    TEXT_HINT_REST, TEXT_HINT_SEAT, TEXT_HINT_ARM, TEXT_HINT_BARE, TEXT_HINT_CUFF_PLACE, TEXT_HINT_QUIET,
    TEXT_HINT_BLADDER, TEXT_HINT_COFFEE, TEXT_HINT_CUFF_SNUG, TEXT_HINT_MINUTE, TEXT_HINT_CUFF_WAY, TEXT_HINT_TUBE,
    TEXT_HINT_SAME_ARM, TEXT_HINT_ROOM, TEXT_HINT_LEGS, TEXT_HINT_ALL, TEXT_HINT_MEDICINE,
};
enum { ROTATION = sizeof rotation / sizeof rotation[0] };

enum text_kind hint_of_technique(uint32_t technique)
{
    for (size_t i = 0; i < sizeof by_technique / sizeof by_technique[0]; i++)
        if (technique & by_technique[i].technique)
            return by_technique[i].hint;
    return TEXT_NONE;
}

static bool fresh(const struct turn *t, enum text_kind hint)
{
    return !sent_within(t->r, hint, t->m->now, HINT_MEMORY);
}

/* The last `ROUND_TAIL` accepted readings all end in 0: "send all you measure" says it without blame. */
static bool all_round(const struct record *r)
{
    int n = 0;

    for (size_t i = r->n_readings; i-- > 0 && n < ROUND_TAIL;) {
        const struct reading *x = &r->readings[i];
        if (x->standing != STANDING_ACCEPTED)
            continue;
        if (x->sys % 10 || x->dia % 10)
            return false;
        n++;
    }
    return n == ROUND_TAIL;
}

static const struct reading *before_in_sitting(const struct record *r, const struct reading *x)
{
    const struct reading *last = NULL;

    for (size_t i = 0; i < r->n_readings; i++) {
        const struct reading *y = &r->readings[i];
        if (y->id != x->id && y->day == x->day && y->slot == x->slot && y->standing == STANDING_ACCEPTED &&
            y->at <= x->at)
            last = y;
    }
    return last;
}

static enum text_kind hint_suggested(const struct turn *t, const struct reading *x)
{
    const struct reading *y = before_in_sitting(t->r, x);

    if (!isnan(x->temp_c) && (x->temp_c < ROOM_COLD || x->temp_c > ROOM_HOT))
        return TEXT_HINT_ROOM;
    if (y && y->sys - x->sys >= SETTLING)
        return TEXT_HINT_REST; /* the first was taken before the patient had settled */
    if (y && abs(y->sys - x->sys) >= SETTLING)
        return TEXT_HINT_STILL;
    return all_round(t->r) ? TEXT_HINT_ALL : TEXT_NONE;
}

static bool apt(const struct turn *t, enum text_kind hint, const struct reading *x)
{
    if (hint == TEXT_HINT_MEDICINE && (x->slot != SLOT_MORNING || t->r->person.treated == ANSWER_NO))
        return false;
    return fresh(t, hint);
}

static enum text_kind hint_rotated(struct turn *t, const struct reading *x)
{
    struct course *c = &t->r->course;

    for (int i = 0; i < ROTATION; i++) {
        enum text_kind hint = rotation[(c->rotation + i) % ROTATION];
        if (!apt(t, hint, x))
            continue;
        c->rotation = (int16_t)((c->rotation + i + 1) % ROTATION);
        return hint;
    }
    return TEXT_NONE;
}

/* The hint for the sitting of `x` (NULL: a remark without a reading), TEXT_NONE when it had one. */
enum text_kind hint_next(struct turn *t, const struct reading *x)
{
    struct course *c = &t->r->course;
    int32_t sitting = x ? x->day * 2 + (x->slot == SLOT_EVENING) : DAY_NONE;
    enum text_kind hint;

    if (!state_permits(t->r->person.state, PERMIT_HINT) || alert_open(t->r) || follow_waits(t->r))
        return TEXT_NONE;
    hint = hint_of_technique(t->said.technique);
    if (!x || (hint != TEXT_NONE && c->hinted_day != sitting)) {
        if (x)
            c->hinted_day = sitting;
        return hint;
    }
    if (c->hinted_day == sitting || sitting_accepted(t->r, x->day, x->slot) < per_sitting(t->r))
        return TEXT_NONE;
    hint = hint_suggested(t, x);
    if (hint == TEXT_NONE || !fresh(t, hint))
        hint = hint_rotated(t, x);
    if (hint != TEXT_NONE)
        c->hinted_day = sitting;
    return hint;
}
