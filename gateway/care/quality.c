/* How good the week's readings are, in words: each is a reason to look twice, and none changes a figure.
 *
 * The words are a fixed, sorted list. Those about the mean look at counted readings, the others at all accepted ones.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/care/cuff_fit.h"
#include "gateway/care/equipment.h"
#include "gateway/care/result.h"
#include "gateway/care/statistics.h"

enum { DIGITS_LEAST = 10, REPEATS_LEAST = 4, EVEN_LEAST = 12 };
enum { NOT_DONE = 127, FAILS_OVER = 10 }; /* of the side-by-side check, mmHg */
static const double zero_chance = 0.1, rounded_tail = 0.001;
static const double even_sd = 2;             /* mmHg systolic; ours, no source */
static const double cold_c = 18, hot_c = 28; /* WHO housing minimum 18, from memory; 28 ours */

/* Last digits 0 among the counted pressures, both of each reading: more often than one in ten allows, by the exact
 * binomial tail. */
static bool rounded(const struct record *r)
{
    int digits = 0, zeros = 0;

    for (size_t i = 0; i < r->n_readings; i++) {
        const struct reading *x = &r->readings[i];
        if (!reading_counted(r, x))
            continue;
        digits += 2;
        zeros += (x->sys % 10 == 0) + (x->dia % 10 == 0);
    }
    return digits >= DIGITS_LEAST && stat_binomial_tail(zeros, digits, zero_chance) < rounded_tail;
}

static bool same_numbers(const struct reading *a, const struct reading *b)
{
    return a->sys == b->sys && a->dia == b->dia && a->pulse == b->pulse;
}

/* The same three numbers, all three known, four times or more. */
static bool repeats(const struct record *r)
{
    for (size_t i = 0; i < r->n_readings; i++) {
        const struct reading *x = &r->readings[i];
        int times = 0;
        if (!reading_usable(r, x) || x->pulse <= 0)
            continue;
        for (size_t j = i; j < r->n_readings && times < REPEATS_LEAST; j++)
            times += reading_usable(r, &r->readings[j]) && same_numbers(x, &r->readings[j]);
        if (times >= REPEATS_LEAST)
            return true;
    }
    return false;
}

static bool single_readings(const struct week_result *w)
{
    for (int i = 0; i < w->n_sittings; i++) {
        const struct sitting *s = &w->sittings[i];
        if (s->ended && s->wanted > 1 && s->accepted == 1)
            return true;
    }
    return false;
}

enum monitor_check monitor_check(const struct person *p)
{
    if (p->monitor_check_sys == NOT_DONE || p->monitor_check_dia == NOT_DONE)
        return CHECK_NOT_DONE;
    bool failed = abs(p->monitor_check_sys) > FAILS_OVER || abs(p->monitor_check_dia) > FAILS_OVER;
    return failed ? CHECK_FAILED : CHECK_PASSED;
}

/* Held, of this week, not for practice, and no longer asked about. */
static bool left_open(const struct record *r, const struct reading *x)
{
    char buf[16];

    return x->week == r->week.id && x->standing == STANDING_HELD &&
           strcmp(reading_why(r, x, buf, sizeof buf), "held: not answered") == 0;
}

/* What single readings tell, gathered in one walk. */
struct told {
    bool off_time, sent_late, left_open, cold, hot;
    uint32_t technique;
};

static struct told gather(const struct record *r)
{
    struct told t = {0};

    for (size_t i = 0; i < r->n_readings; i++) {
        const struct reading *x = &r->readings[i];
        t.left_open |= left_open(r, x);
        if (x->week != r->week.id || x->standing != STANDING_ACCEPTED)
            continue;
        t.off_time |= x->off_time;
        t.sent_late |= x->sent_late;
        t.technique |= x->technique;
        t.cold |= !isnan(x->temp_c) && x->temp_c < cold_c;
        t.hot |= !isnan(x->temp_c) && x->temp_c > hot_c;
    }
    return t;
}

static void add(struct week_result *out, bool holds, const char *word)
{
    if (holds)
        snprintf(out->quality[out->n_quality++], sizeof out->quality[0], "%s", word);
}

void quality_find(const struct record *r, struct week_result *out)
{
    struct told t = gather(r);

    add(out, t.technique & TECHNIQUE_AFTER_MEDICINE, "after medicine");
    add(out, t.cold || t.technique & TECHNIQUE_COLD, "cold room");
    add(out, cuff_misfits(week_cuff_fit(r)), "cuff");
    add(out, t.left_open, "held left open");
    add(out, t.hot || t.technique & TECHNIQUE_HOT, "hot room");
    add(out, equipment_of(r).validated == ANSWER_NO || monitor_check(&r->person) == CHECK_FAILED, "monitor");
    add(out, t.technique & TECHNIQUE_NO_REST, "no rest");
    add(out, t.off_time, "off time");
    add(out, repeats(r), "repeats");
    add(out, rounded(r), "rounded");
    add(out, t.sent_late, "sent late");
    add(out, single_readings(out), "single readings");
    add(out, out->all.n >= EVEN_LEAST && out->sd_sys < even_sd, "too even");
    add(out, equipment_of(r).wrist || t.technique & TECHNIQUE_WRIST, "wrist");
}

bool quality_has(const struct week_result *w, const char *word)
{
    for (int i = 0; i < w->n_quality; i++)
        if (strcmp(w->quality[i], word) == 0)
            return true;
    return false;
}
