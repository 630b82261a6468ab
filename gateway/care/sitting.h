/* Sittings: to which window and which day a reading belongs, and when that window begins and ends.
 *
 * A person has two windows a day, after waking (SLOT_MORNING) and before sleep (SLOT_EVENING): their own if set, else
 * the clinic's. A sitting is one window of one day; its day is the civil day on which the window starts, so that 00:30
 * belongs to the evening before. All times are in the record's zone; instants are seconds since 1970 UTC.
 */
#ifndef QUIETARM_SITTING_H
#define QUIETARM_SITTING_H

#include "gateway/care/record.h"

/* The person's window, their own or the clinic's; from > to runs over midnight. `slot` is MORNING or EVENING. */
struct span person_window(const struct record *r, enum slot slot);

/* The sitting of a reading.
 *
 * `said` is the slot that the text states, SLOT_NONE when it states none. A stated clock time decides over a stated slot:
 * the caller then passes SLOT_NONE. `local` is the local time of measuring: stated, else sent, else received.
 * With SLOT_NONE it is the window that holds `local`, or that with the nearer edge, which is `off_time`; in the middle
 * the earlier one. With a stated slot it is the last such window that has begun, or the next when that begins
 * within SITTING_EARLY minutes; never off time, for when it was measured is not known.
 * The outs may be NULL. */
enum { SITTING_EARLY = 180 }; /* ours, no source: "morning" sent at 04:30 is the morning that comes */
void sitting_of(const struct record *r, enum slot said, struct civil local, int32_t *day, enum slot *slot,
                bool *off_time);

/* The instants at which the window of this day and slot begins, and is over (the first instant after it). */
int64_t sitting_start(const struct record *r, int32_t day, enum slot slot);
int64_t sitting_end(const struct record *r, int32_t day, enum slot slot);

/* How many readings a sitting wants: the protocol's number, with known atrial fibrillation at least 3. */
int per_sitting(const struct record *r);

/* Whether the lines for pregnancy hold on this local day: pregnant, or within six weeks (42 days) after birth. */
bool person_expecting(const struct record *r, int32_t day);

#endif
