/* Weeks and what they were measured with: see equipment.h.
 *
 * A difference between two cuffs or two monitors looks just like one between two weeks, so unlike weeks are never set side
 * by side. Not known is not the same. Whether a difference means anything is for a clinician: nothing is judged here.
 */
#include "gateway/care/equipment.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

struct equipment equipment_of(const struct record *r)
{
    const struct person *p = &r->person;
    const struct week *w = &r->week;
    bool then = w->id && w->last_day != DAY_NONE, sizes = then && w->arm_cm > 0;

    return (struct equipment){
        .arm_cm = sizes ? w->arm_cm : p->arm_cm,
        .cuff_low = sizes ? w->cuff_low : p->cuff_low,
        .cuff_high = sizes ? w->cuff_high : p->cuff_high,
        .monitor = then && w->monitor[0] ? w->monitor : p->monitor,
        .wrist = then && w->monitor[0] ? w->wrist : p->wrist,
        .validated = then && w->monitor[0] ? w->validated : p->validated,
        .on_arm = then && w->on_arm != ARM_UNSAID ? w->on_arm : p->on_arm,
    };
}

static bool same_length(double a, double b)
{
    return lround(a * 10) == lround(b * 10);
}

static bool other_cuff(const struct week *w, double low, double high)
{
    return !same_length(w->cuff_low, low) || !same_length(w->cuff_high, high);
}

/* As printed, letters and digits alone: "Oak 3" is "oak-3". */
static bool same_monitor(const char *a, const char *b)
{
    for (;; a++, b++) {
        while (*a && isascii((unsigned char)*a) && !isalnum((unsigned char)*a))
            a++;
        while (*b && isascii((unsigned char)*b) && !isalnum((unsigned char)*b))
            b++;
        if (tolower((unsigned char)*a) != tolower((unsigned char)*b))
            return false;
        if (!*a)
            return true;
    }
}

bool week_equip(struct week *w, const struct person *p)
{
    struct week was = *w;
    bool cuff = w->cuff_high > 0 && other_cuff(w, p->cuff_low, p->cuff_high);
    bool monitor = w->monitor[0] && !same_monitor(w->monitor, p->monitor);
    bool arm = w->on_arm != ARM_UNSAID && w->on_arm != p->on_arm;

    if (w->state == WEEK_MEASURING && (cuff || monitor || arm))
        w->noted |= NOTED_EQUIPMENT;
    w->arm_cm = p->arm_cm;
    w->cuff_low = p->cuff_low;
    w->cuff_high = p->cuff_high;
    snprintf(w->monitor, sizeof w->monitor, "%s", p->monitor);
    w->wrist = p->wrist;
    w->validated = p->validated;
    w->on_arm = p->on_arm;
    return was.noted != w->noted || was.arm_cm != w->arm_cm || was.cuff_low != w->cuff_low ||
           was.cuff_high != w->cuff_high || strcmp(was.monitor, w->monitor) != 0 || was.wrist != w->wrist ||
           was.validated != w->validated || was.on_arm != w->on_arm;
}

enum weeks_alike weeks_alike(const struct week *earlier, const struct week *later)
{
    if ((earlier->noted | later->noted) & NOTED_EQUIPMENT)
        return WEEKS_CHANGED;
    if (earlier->on_arm != later->on_arm)
        return WEEKS_ARM;
    if (earlier->cuff_high <= 0 || later->cuff_high <= 0)
        return WEEKS_CUFF_UNKNOWN;
    if (other_cuff(earlier, later->cuff_low, later->cuff_high))
        return WEEKS_CUFF;
    if (!earlier->monitor[0] || !later->monitor[0])
        return WEEKS_MONITOR_UNKNOWN;
    return same_monitor(earlier->monitor, later->monitor) && earlier->wrist == later->wrist ? WEEKS_ALIKE : WEEKS_MONITOR;
}

static int shown(double mean)
{
    return (int)floor(mean + 0.5);
}

struct weeks_apart weeks_apart(const struct mean *earlier, const struct mean *later)
{
    return (struct weeks_apart){shown(later->sys) - shown(earlier->sys), shown(later->dia) - shown(earlier->dia)};
}
