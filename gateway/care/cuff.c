/* Arm, cuff and monitor: what the patient tells of them, and what follows.
 *
 * The range printed on the cuff wins over any table. A misfit, a wrist monitor or an unvalidated one is told to the
 * patient (don't buy; talk to the clinic) and to the desk at once; a reading is never "corrected" for it.
 */
#include "gateway/care/inside.h"
#include "gateway/care/cuff_fit.h"
#include "gateway/care/equipment.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

enum {
    MONITOR_UNCHECKED = 127,
    CHECK_FAILS = 10, /* from memory, confirm against the original */
    ARMS_APART = 15,  /* mmHg; ours, by common practice */
    TAPES_DIFFER = 2  /* cm; ours */
};

static enum cuff_fit fit_of(const struct person *p)
{
    return cuff_fit(p->arm_cm, p->cuff_low, p->cuff_high, p->arm_by_staff);
}

bool cuff_settled(const struct record *r)
{
    enum cuff_fit fit = fit_of(&r->person);

    return (fit == CUFF_FITS || fit == CUFF_BORDERLINE) && r->person.validated == ANSWER_YES;
}

static enum text_kind fit_text(const struct person *p)
{
    static const enum text_kind texts[CUFF_FIT_COUNT] = {
        [CUFF_FITS] = TEXT_CUFF_FITS, [CUFF_BORDERLINE] = TEXT_CUFF_BORDERLINE,
        [CUFF_TOO_SMALL] = TEXT_CUFF_TOO_SMALL, [CUFF_TOO_LARGE] = TEXT_CUFF_TOO_LARGE};

    if (arm_outside_cuffs(p->arm_cm))
        return TEXT_ARM_BEYOND;
    if (fit_of(p) != CUFF_UNKNOWN)
        return texts[fit_of(p)];
    return p->arm_cm > 0 ? TEXT_ARM_THANKS : p->cuff_high > 0 ? TEXT_CUFF_THANKS : TEXT_NONE;
}

static void say_lengths(struct turn *t)
{
    t->say.arm_cm = t->r->person.arm_cm;
    t->say.cuff_low = t->r->person.cuff_low;
    t->say.cuff_high = t->r->person.cuff_high;
}

void cuff_judge(struct turn *t, bool to_patient)
{
    const struct person *p = &t->r->person;
    enum cuff_fit fit = fit_of(p);
    bool misfit = cuff_misfits(fit), beyond = arm_outside_cuffs(p->arm_cm);
    char note[NOTE_MAX];

    if (!misfit && !beyond) {
        desk_close(t, DESK_CUFF, "the cuff fits now");
        return;
    }
    snprintf(note, sizeof note, "Arm %.1f cm, cuff %.1f-%.1f cm: %s.", p->arm_cm, p->cuff_low, p->cuff_high,
             beyond ? "outside 22 to 52 cm, the clinic must choose" : cuff_fit_word(fit));
    desk_open(t, DESK_CUFF, 2, note);
    t->r->course.misfit_told = t->m->now;
    if (!to_patient)
        return;
    struct saying s = {.arm_cm = p->arm_cm, .cuff_low = p->cuff_low, .cuff_high = p->cuff_high};
    say_part(&s, fit_text(p));
    send_patient(t, &s, CLASS_REPLY, true);
}

static bool check_failed(int8_t difference)
{
    return difference != MONITOR_UNCHECKED && abs(difference) > CHECK_FAILS;
}

void monitor_judge(struct turn *t, bool to_patient)
{
    const struct person *p = &t->r->person;

    if (check_failed(p->monitor_check_sys) || check_failed(p->monitor_check_dia))
        desk_open(t, DESK_MONITOR, 2, "Side by side the monitor was more than 10 mmHg from the clinic's.");
    else if (p->validated == ANSWER_NO)
        desk_open(t, DESK_MONITOR, 2, "The monitor is not validated.");
    else if (p->wrist)
        desk_open(t, DESK_MONITOR, 2, "The patient measures at the wrist.");
    else
        desk_close(t, DESK_MONITOR, "settled");
    if (to_patient && p->validated == ANSWER_NO)
        send_one(t, TEXT_MONITOR_UNVALIDATED, CLASS_REPLY, true);
    else if (to_patient && p->wrist)
        send_one(t, TEXT_WRIST_MONITOR, CLASS_REPLY, true);
}

void week_learns(struct turn *t)
{
    if (week_running(t->r) && week_equip(&t->r->week, &t->r->person))
        care_put_week(t->r, t->out);
}

bool arms_apart(const int16_t left[2], const int16_t right[2], int *by, enum arm *higher)
{
    int first = left[0] - right[0], again = left[1] - right[1];

    *by = abs(again);
    *higher = first + again >= 0 ? ARM_LEFT : ARM_RIGHT;
    return abs(first) >= ARMS_APART && *by >= ARMS_APART && (first > 0) == (again > 0);
}

/* Both arms compared once, at the clinic: the higher one is used; far apart, a clinician is told. */
enum care_answer act_arms(struct turn *t, const struct care_action *a)
{
    char note[NOTE_MAX];
    enum arm higher;
    int by;
    bool apart = arms_apart(a->left, a->right, &by, &higher);

    t->r->person.on_arm = (uint8_t)higher;
    care_put_person(t->r, t->out);
    week_learns(t);
    snprintf(note, sizeof note, "The arms were %d mmHg apart on repeat; the %s one is used from now on.", by,
             higher == ARM_LEFT ? "left" : "right");
    if (apart)
        desk_open(t, DESK_ARM, 2, note);
    else
        desk_close(t, DESK_ARM, a->who);
    return CARE_DONE;
}

static void wrist_heard(struct turn *t)
{
    if (!(t->said.technique & TECHNIQUE_WRIST) || t->r->person.wrist)
        return;
    t->r->person.wrist = true;
    care_put_person(t->r, t->out);
    week_learns(t);
    desk_open(t, DESK_MONITOR, 2, "The patient measures at the wrist.");
    if (t->opener == TEXT_NONE && !t->n_taken)
        t->opener = TEXT_WRIST_MONITOR;
}

/* The clinic's tape is kept; a patient whose tape says otherwise is not told that all is well. */
static bool tapes_differ(struct turn *t)
{
    double said = t->said.arm_cm, kept = t->r->person.arm_cm;
    char note[NOTE_MAX];

    if (!(said > 0) || !t->r->person.arm_by_staff || fabs(said - kept) <= TAPES_DIFFER)
        return false;
    snprintf(note, sizeof note, "The patient's tape says %.1f cm for the upper arm, the clinic's %.1f cm.", said, kept);
    desk_open(t, DESK_CUFF, 3, note);
    t->say.arm_cm = said;
    return true;
}

void cuff_heard(struct turn *t)
{
    struct person *p = &t->r->person;
    bool arm = t->said.arm_cm > 0, cuff = t->said.cuff_cm[1] > 0;

    wrist_heard(t);
    if (!arm && !cuff)
        return;
    if (arm && !p->arm_by_staff)
        p->arm_cm = t->said.arm_cm;
    if (cuff) {
        p->cuff_low = t->said.cuff_cm[0];
        p->cuff_high = t->said.cuff_cm[1];
    }
    care_put_person(t->r, t->out);
    week_learns(t);
    cuff_judge(t, false);
    say_lengths(t);
    enum text_kind text = tapes_differ(t) ? TEXT_ARM_THANKS : fit_text(p);
    if (t->opener == TEXT_NONE && !t->n_taken && !t->n_doubted)
        t->opener = text;
    else
        t->cuff_tail = text;
}
