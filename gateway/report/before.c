/* Earlier weeks of the same patient beside this one, where both were measured with the same arm, cuff and monitor.
 *
 * A difference is said as it is and never explained: two weeks of one person differ by some mmHg without any cause. Weeks that
 * are not alike are named with the reason, and their averages are not set against this one's. At most three are shown.
 */
#include "gateway/report/model.h"

#include <math.h>
#include <stdlib.h>

#include "gateway/care/equipment.h"

static const char *const unlike[] = {
    [WEEKS_CHANGED] = "cuff, monitor or arm changed during one of the two",
    [WEEKS_ARM] = "not known to be measured on the same arm",
    [WEEKS_CUFF] = "another cuff",
    [WEEKS_CUFF_UNKNOWN] = "the cuff of one of the two is not known",
    [WEEKS_MONITOR] = "another monitor",
    [WEEKS_MONITOR_UNKNOWN] = "the monitor of one of the two is not known",
};

/* "6 lower", "the same". */
static const char *apart_words(int apart, char words[24])
{
    if (apart == 0)
        return "the same";
    say_to(words, 24, "%d %s", abs(apart), apart < 0 ? "lower" : "higher");
    return words;
}

/* Whether the medicine was changed after the earlier week began and before this one was over. */
static bool change_between(const struct report *r, const struct week *earlier)
{
    int32_t change = r->record->person.medicine_changed, last = r->record->week.last_day;

    return change != DAY_NONE && change > earlier->first_day && (last == DAY_NONE || change <= last);
}

static bool week_said(struct report *r, const struct week_before *b)
{
    enum weeks_alike alike = weeks_alike(&b->week, &r->record->week);
    char first[DAY_WORDS], last[WHEN_WORDS], change[WHEN_WORDS], sys[24], dia[24], line[SENTENCE_MAX];

    day_words(b->week.first_day, first);
    date_words(b->week.last_day, last);
    SAY(line, "Week %d, %s to %s: %d/%d.", b->week.number, first, last, (int)floor(b->mean.sys + 0.5),
        (int)floor(b->mean.dia + 0.5));
    if (alike != WEEKS_ALIKE) {
        say(&r->before, TONE_PLAIN, "before", "%s Not compared: %s.", line, unlike[alike]);
        return false;
    }
    if (!r->has_mean) {
        say(&r->before, TONE_PLAIN, "before", "%s", line);
        return false;
    }
    struct weeks_apart by = weeks_apart(&b->mean, &r->result->all);
    date_words(r->record->person.medicine_changed, change);
    bool between = change_between(r, &b->week);
    say(&r->before, TONE_PLAIN, "before", "%s Since then systolic is %s, diastolic %s, with the same arm, cuff and monitor.%s%s%s",
        line, apart_words(by.sys, sys), apart_words(by.dia, dia), between ? " The medicine was changed on " : "",
        between ? change : "", between ? "." : "");
    return true;
}

void before_words(struct report *r, const struct week_before *before, size_t n)
{
    bool compared = false;

    for (size_t i = 0; i < n; i++)
        compared |= week_said(r, &before[i]);
    if (compared)
        say(&r->before, TONE_PLAIN, "before", "One week and another may differ by 5 or more by chance.");
}
