/* Cuff and arm: see cuff_fit.h. Judged in tenths of a cm, as patients measure at best, so that 23.1 - 22.1 is one cm and
 * not a hair more. Never changes a reading.
 */
#include "gateway/care/cuff_fit.h"

#include <math.h>

#include "gateway/care/equipment.h"

enum { NEAR_END = 10 }; /* tenths of a cm */

static int tenths(double cm)
{
    return (int)lround(cm * 10);
}

enum cuff_fit cuff_fit(double arm_cm, double low_cm, double high_cm, bool arm_by_staff)
{
    int arm = tenths(arm_cm), low = tenths(low_cm), high = tenths(high_cm);

    if (arm <= 0 || low <= 0 || high < low)
        return CUFF_UNKNOWN;
    if (arm > high)
        return CUFF_TOO_SMALL;
    if (arm < low)
        return CUFF_TOO_LARGE;
    if (!arm_by_staff && (arm - low <= NEAR_END || high - arm <= NEAR_END))
        return CUFF_BORDERLINE;
    return CUFF_FITS;
}

const char *cuff_fit_word(enum cuff_fit fit)
{
#define WORD(NAME, text) text,
    static const char *const words[] = {CUFF_FITS_(WORD)};
#undef WORD
    return words[fit];
}

bool cuff_misfits(enum cuff_fit fit)
{
    return fit == CUFF_TOO_SMALL || fit == CUFF_TOO_LARGE;
}

enum cuff_fit week_cuff_fit(const struct record *r)
{
    struct equipment e = equipment_of(r);

    return cuff_fit(e.arm_cm, e.cuff_low, e.cuff_high, r->person.arm_by_staff);
}

static const struct {
    int from, to; /* whole cm, both included */
    const char *name;
} sizes[] = {{22, 26, "small adult"}, {27, 34, "adult"}, {35, 44, "large adult"}, {45, 52, "extra-large"}};

const char *cuff_size(double arm_cm)
{
    long arm = lround(arm_cm);

    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++)
        if (arm >= sizes[i].from && arm <= sizes[i].to)
            return sizes[i].name;
    return NULL;
}

bool arm_outside_cuffs(double arm_cm)
{
    return arm_cm > 0 && !cuff_size(arm_cm);
}
