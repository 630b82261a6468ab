/* Cuff, arm and monitor as they were, and the clinic's own figure beside the home average.
 *
 * A pattern is a word for a clinician to weigh, not a finding about the patient.
 */
#include "gateway/report/model.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/care/cuff_fit.h"
#include "gateway/care/equipment.h"
#include "gateway/care/result.h"

enum { NOTED_OVER = 5 }; /* of the side-by-side check, mmHg; over 10 it fails: from memory, confirm against the original */

static void cuff_line(struct report *r)
{
    const struct person *p = &r->record->person;
    struct equipment e = equipment_of(r->record);
    enum cuff_fit fit = week_cuff_fit(r->record);
    char said[120] = "";
    if (e.arm_cm > 0)
        SAY(said, "Arm %.4g cm, measured by %s", e.arm_cm, p->arm_by_staff ? "the clinic" : "the patient");
    if (e.cuff_high > 0)
        say_add(said, sizeof said, "%s for %.4g to %.4g cm", said[0] ? "; cuff" : "Cuff", e.cuff_low, e.cuff_high);
    if (fit == CUFF_UNKNOWN)
        say(&r->equipment, TONE_ATTENTION, "cuff", "%s%sWhether the cuff fits is not known.", said, said[0] ? ". " : "");
    else if (fit == CUFF_BORDERLINE)
        say(&r->equipment, TONE_ATTENTION, "cuff", "%s: borderline, within 1 cm of an end.", said);
    else
        say(&r->equipment, TONE_PLAIN, "cuff", "%s: %s.", said, cuff_fit_word(fit));
}

static void monitor_lines(struct report *r)
{
    static const char *const validated[] = {"whether it is validated is not known", "not validated", "validated"};
    const struct person *p = &r->record->person;
    struct equipment e = equipment_of(r->record);
    const char *state = validated[e.validated <= ANSWER_YES ? e.validated : ANSWER_UNKNOWN];
    if (e.monitor[0])
        say(&r->equipment, TONE_PLAIN, "monitor", "Monitor as printed: %s; %s.", e.monitor, state);
    else
        say(&r->equipment, TONE_PLAIN, "monitor", "Make and model of the monitor are not known; %s.", state);
    if (monitor_check(p) == CHECK_NOT_DONE)
        return;
    int s = p->monitor_check_sys, d = p->monitor_check_dia;
    bool passed = monitor_check(p) == CHECK_PASSED, noted = abs(s) > NOTED_OVER || abs(d) > NOTED_OVER;
    say(&r->equipment, noted ? TONE_ATTENTION : TONE_PLAIN, "monitor", "Side by side at the clinic it read %+d/%+d against the clinic's: %s.",
        s, d, !passed ? "failed" : noted ? "passed, but more than 5 apart" : "passed");
}

static void arm_line(struct report *r)
{
    uint8_t arm = equipment_of(r->record).on_arm;
    if (arm != ARM_UNSAID)
        say(&r->equipment, TONE_PLAIN, "arm", "To be measured on the %s arm.", arm == ARM_LEFT ? "left" : "right");
}

static void office_lines(struct report *r)
{
    const struct person *p = &r->record->person;
    char day[WHEN_WORDS];
    date_words(p->office_day, day);
    if (p->office_sys <= 0)
        return;
    say(&r->office, TONE_PLAIN, "office", "At the clinic %d/%d%s%s.", p->office_sys, p->office_dia, day[0] ? " on " : "", day);
    if (r->result->pattern[0])
        say(&r->office, TONE_PLAIN, "pattern", "Beside the home average: %s, by this protocol's lines (%d/%d at the clinic, %d/%d at home).",
            r->result->pattern, r->record->protocol.office.sys, r->record->protocol.office.dia, r->result->threshold.sys,
            r->result->threshold.dia);
    if (p->treated == ANSWER_YES)
        say(&r->office, TONE_PLAIN, "treated", "On treatment for blood pressure.");
}

void equipment_words(struct report *r)
{
    cuff_line(r);
    arm_line(r);
    monitor_lines(r);
    office_lines(r);
}
