/* Office and home compared: white-coat and masked patterns, by the protocol's lines on both sides.
 *
 * A pattern is a word for a clinician to weigh, never a diagnosis, and none is said without enough readings, without a
 * dated office figure at most 28 days from the week, or without a category (pregnancy).
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/care/result.h"
#include "gateway/care/statistics.h"

enum { OFFICE_DAYS = 28, FAR_FROM_OFFICE = 15 }; /* days; mmHg systolic: common practice, no source */

/* The office figure was taken during the week, or at most OFFICE_DAYS before its first or after its last day. */
static bool office_near(const struct record *r)
{
    int32_t on = r->person.office_day, first = r->week.first_day;

    if (r->person.office_sys <= 0 || r->person.office_dia <= 0 || on == DAY_NONE || first == DAY_NONE)
        return false;
    return first - on <= OFFICE_DAYS && on - week_last_day(r) <= OFFICE_DAYS;
}

void pattern_find(const struct record *r, struct week_result *out)
{
    const struct person *p = &r->person;
    const struct protocol *rules = &r->protocol;

    if (!out->enough || !office_near(r))
        return;
    out->far_from_office = abs(stat_half_up(out->all.sys) - p->office_sys) >= FAR_FROM_OFFICE &&
                           monitor_check(p) != CHECK_PASSED;
    if (!out->category[0])
        return;
    bool office_high = p->office_sys >= rules->office.sys || p->office_dia >= rules->office.dia;
    bool home_high = strcmp(out->category, "below") != 0;
    bool treated = p->treated == ANSWER_YES;
    const char *word = "";
    if (office_high && !home_high)
        word = treated ? "white-coat effect" : "white-coat pattern";
    else if (!office_high && home_high)
        word = treated ? "masked uncontrolled" : "masked pattern";
    snprintf(out->pattern, sizeof out->pattern, "%s", word);
}
