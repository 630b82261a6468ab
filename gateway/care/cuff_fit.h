/* Whether the cuff fits the arm, and what to say when the arm is outside all cuffs. Lengths in cm, 0 where not known. */
#ifndef QUIETARM_CUFF_FIT_H
#define QUIETARM_CUFF_FIT_H

#include "gateway/care/record.h"

/* The word is what week --json and the summary say. */
#define CUFF_FITS_(X)                                                                                        \
    X(UNKNOWN, "unknown")                                                                                    \
    X(FITS, "fits") X(BORDERLINE, "borderline") X(TOO_SMALL, "too small") X(TOO_LARGE, "too large")
#define CUFF_FIT_(NAME, text) CUFF_##NAME,
enum cuff_fit { CUFF_FITS_(CUFF_FIT_) CUFF_FIT_COUNT };

/* The range printed on the cuff wins over any table. Both ends fit; within 1 cm of an end an arm that the patient
 * measured is borderline. Too small reads high, too large reads low (Ishigami 2023, JAMA Intern Med 183:1061). */
enum cuff_fit cuff_fit(double arm_cm, double low_cm, double high_cm, bool arm_by_staff);
const char *cuff_fit_word(enum cuff_fit fit);
bool cuff_misfits(enum cuff_fit fit); /* too small or too large */

/* Of the record's week: as it was when the week has ended, else as the person's row says now. */
enum cuff_fit week_cuff_fit(const struct record *r);

/* The size for an arm, rounded to whole cm: "small adult", "adult", "large adult", "extra-large"; NULL for an arm that is
 * unknown, under 22 or over 52 cm. AHA (Muntner 2019, Hypertension 73:e35). */
const char *cuff_size(double arm_cm);
/* An arm that is known and has no size: the clinic must choose. */
bool arm_outside_cuffs(double arm_cm);

#endif
