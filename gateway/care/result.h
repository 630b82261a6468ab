/* Between the files that make a week's result; others use care.h. */
#ifndef QUIETARM_RESULT_H
#define QUIETARM_RESULT_H

#include "gateway/care/care.h"

/* Of this record's week, accepted, both pressures known, seated and on the patient's arm: it fills a sitting, and counts
 * unless the first day, the sitting's number or a change of medicine keeps it out (counting.c). */
bool reading_usable(const struct record *r, const struct reading *x);

/* Said to be of another arm than the patient's. */
bool reading_other_arm(const struct record *r, const struct reading *x);

/* `pattern` and `far_from_office` (pattern.c). Needs means, `enough` and `category`. */
void pattern_find(const struct record *r, struct week_result *out);

/* `quality` (quality.c). Needs means, SD, cuff and the sittings. */
void quality_find(const struct record *r, struct week_result *out);
enum monitor_check { CHECK_NOT_DONE, CHECK_PASSED, CHECK_FAILED };
/* Side by side at the clinic: failed when the means are more than 10 apart in either pressure (from memory, confirm against
 * the original). */
enum monitor_check monitor_check(const struct person *p);
bool quality_has(const struct week_result *w, const char *word);

/* The week spans a change of medicine and this reading was before it: no figure may mix the two. */
bool reading_before_change(const struct record *r, const struct reading *x);

/* The last day of the week that has a reading, or on which it ended; DAY_NONE. */
int32_t week_last_day(const struct record *r);

#endif
