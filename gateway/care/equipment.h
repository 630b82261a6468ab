/* What a week was measured with, and whether two weeks may be compared: only with the same arm, cuff and monitor. */
#ifndef QUIETARM_EQUIPMENT_H
#define QUIETARM_EQUIPMENT_H

#include "gateway/care/care.h"

/* Of the record's week: as it was when it ended, where that is known, else as the person's row says now. Lengths in cm, 0
 * where not known; `monitor` borrowed from the record, "" where not known. */
struct equipment {
    double arm_cm, cuff_low, cuff_high;
    const char *monitor;
    bool wrist;
    uint8_t validated, on_arm; /* enum answer3, enum arm */
};
struct equipment equipment_of(const struct record *r);

/* Puts what the person measures with into the week, noting when something that was known changes while it is measured.
 * True when the week's row is another then. */
bool week_equip(struct week *w, const struct person *p);

/* Why a week is not compared with another one. */
enum weeks_alike { WEEKS_ALIKE, WEEKS_CHANGED, WEEKS_ARM, WEEKS_CUFF, WEEKS_CUFF_UNKNOWN, WEEKS_MONITOR, WEEKS_MONITOR_UNKNOWN };
/* Both ended, or the later one running. Arms count as the same where neither side was ever said: a patient keeps to one. */
enum weeks_alike weeks_alike(const struct week *earlier, const struct week *later);

/* How far the later mean is from the earlier, of the figures as shown (whole mmHg, half up). */
struct weeks_apart { int sys, dia; };
struct weeks_apart weeks_apart(const struct mean *earlier, const struct mean *later);

#endif
