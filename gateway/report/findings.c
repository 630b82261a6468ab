/* What undermines the average, to be read before it: cuff, monitor, rhythm, how the figures look.
 *
 * Figures beside an error are those published (sources below); they tell its direction and size and never correct anything.
 */
#include "gateway/report/model.h"

#include <stdlib.h>
#include <string.h>

#include "gateway/care/cuff_fit.h"
#include "gateway/care/equipment.h"
#include "gateway/care/result.h"

static void cuff_finding(struct report *r)
{
    struct equipment e = equipment_of(r->record);
    enum cuff_fit fit = week_cuff_fit(r->record);
    /* Ishigami 2023, JAMA Intern Med 183:1061 */
    if (fit == CUFF_TOO_SMALL)
        say(&r->above, TONE_URGENT, "cuff",
            "The cuff is too small: arm %.4g cm, cuff for %.4g to %.4g cm. That reads high: one size too small read 4.8 systolic "
            "and 1.8 diastolic more, two sizes 19.5 and 7.4 (Ishigami 2023). Nothing here is corrected for it.",
            e.arm_cm, e.cuff_low, e.cuff_high);
    if (fit == CUFF_TOO_LARGE)
        say(&r->above, TONE_URGENT, "cuff",
            "The cuff is too large: arm %.4g cm, cuff for %.4g to %.4g cm. That reads low: one size too large read 3.6 systolic "
            "and 1.3 diastolic less (Ishigami 2023). Nothing here is corrected for it.",
            e.arm_cm, e.cuff_low, e.cuff_high);
}

static void monitor_findings(struct report *r)
{
    const struct person *p = &r->record->person;
    if (report_has(r, "wrist"))
        say(&r->above, TONE_URGENT, "wrist", "Measured with a wrist monitor; an upper-arm monitor is what the protocol asks for.");
    if (equipment_of(r->record).validated == ANSWER_NO)
        say(&r->above, TONE_URGENT, "monitor", "The monitor is not a validated one.");
    if (monitor_check(p) == CHECK_FAILED)
        say(&r->above, TONE_URGENT, "monitor",
            "The monitor failed its check side by side at the clinic: %+d/%+d against the clinic's.", p->monitor_check_sys,
            p->monitor_check_dia);
}

static void zeros_count(const struct record *r, int *zeros, int *digits)
{
    for (size_t i = 0; i < r->n_readings; i++) {
        const struct reading *x = &r->readings[i];
        if (!reading_counted(r, x))
            continue;
        *zeros += (x->sys % 10 == 0) + (x->dia % 10 == 0);
        *digits += 2;
    }
}

static void figures_findings(struct report *r)
{
    int zeros = 0, digits = 0;
    zeros_count(r->record, &zeros, &digits);
    if (report_has(r, "rounded"))
        say(&r->above, TONE_ATTENTION, "rounded", "The figures look rounded: %d of %d pressures end in 0; about one in ten would by chance.",
            zeros, digits);
    if (report_has(r, "repeats"))
        say(&r->above, TONE_ATTENTION, "repeats", "The same three numbers came four times or more.");
    if (report_has(r, "too even"))
        say(&r->above, TONE_ATTENTION, "too even", "The readings are unusually alike: systolic SD %.1f over %d readings.",
            r->result->sd_sys, r->result->all.n);
}

static void held_finding(struct report *r)
{
    char buf[16];
    int n = 0;
    for (size_t i = 0; i < r->record->n_readings; i++) {
        const struct reading *x = &r->record->readings[i];
        const char *why = x->standing == STANDING_HELD ? reading_why(r->record, x, buf, sizeof buf) : NULL;
        n += why && strncmp(why, "held", 4) == 0;
    }
    if (n)
        say(&r->above, TONE_ATTENTION, "held left open",
            "%d reading%s still held and not in the average: nobody has said yet whether %s right.", n, n == 1 ? " is" : "s are",
            n == 1 ? "it is" : "they are");
}

static void change_finding(struct report *r)
{
    char day[WHEN_WORDS];
    int n = 0;
    for (size_t i = 0; i < r->record->n_readings; i++)
        n += of_week(r->record, &r->record->readings[i]) && reading_before_change(r->record, &r->record->readings[i]);
    date_words(r->record->person.medicine_changed, day);
    if (n)
        say(&r->above, TONE_ATTENTION, "medicine", "Medicine was changed on %s, within the week: the %d reading%s before it %s left out.",
            day, n, plural(n), n == 1 ? "is" : "are");
}

/* Not about the average, but nobody should read it without having seen this. */
static void alerts_finding(struct report *r, const struct alert *alerts, size_t n)
{
    int raised[ALERT_LEVEL_COUNT] = {0}, open = 0;
    for (size_t i = 0; i < n; i++) {
        raised[alerts[i].level < ALERT_LEVEL_COUNT ? alerts[i].level : ALERT_URGENT]++;
        open += alerts[i].resolved_at == INSTANT_NONE && alerts[i].level != ALERT_DESK;
    }
    int emergency = raised[ALERT_EMERGENCY], urgent = raised[ALERT_URGENT];
    char counts[80] = "";
    if (emergency)
        SAY(counts, "%d emergency alert%s", emergency, plural(emergency));
    if (urgent)
        say_add(counts, sizeof counts, "%s%d urgent alert%s", emergency ? " and " : "", urgent, plural(urgent));
    if (counts[0])
        say(&r->above, open ? TONE_URGENT : TONE_ATTENTION, "", "%s in this week, %s; see below.", counts,
            !open ? "resolved" : emergency + urgent == 1 ? "not resolved" : "not all of them resolved");
}

void findings_words(struct report *r, const struct alert *alerts, size_t n)
{
    alerts_finding(r, alerts, n);
    if (r->record->person.af)
        say(&r->above, TONE_URGENT, "af", "Confirm by hand: atrial fibrillation is known.");
    cuff_finding(r);
    monitor_findings(r);
    if (r->result->far_from_office)
        say(&r->above, TONE_ATTENTION, "office",
            "The home average is 15 systolic or more away from the office figure: look at cuff and monitor first (common "
            "practice).");
    change_finding(r);
    figures_findings(r);
    held_finding(r);
}
