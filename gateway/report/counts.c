/* How many readings were asked for and came, what is left out of the average and why, and what was not measured.
 *
 * Nothing that was sent is missing here: every reading is counted or stands under a reason.
 */
#include "gateway/report/model.h"

#include <stdlib.h>
#include <string.h>

enum { WHY_MAX = 600, NAMED_MAX = 14 };

/* Sittings that count as asked for: over, or begun, or of a week that has ended. */
static int asked_for(const struct report *r)
{
    int n = 0;
    for (int i = 0; i < r->result->n_sittings; i++) {
        const struct sitting *s = &r->result->sittings[i];
        if (s->ended || s->accepted || week_finished(&r->record->week))
            n += s->wanted;
    }
    for (size_t i = 0; i < r->record->n_readings; i++)
        n += r->record->readings[i].asked_for;
    return n;
}

static const char *why_of(const struct report *r, size_t i, char why[WHY_MAX])
{
    return reading_why(r->record, &r->record->readings[i], why, WHY_MAX);
}

/* The readings that are left out for the same reason as `first`, from it on; 0 when an earlier one had that reason. */
static int same_reason(const struct report *r, size_t first, const char *why)
{
    char buf[WHY_MAX];
    int n = 0;
    for (size_t i = 0; i < r->record->n_readings; i++) {
        const char *other = why_of(r, i, buf);
        if (!other || strcmp(other, why) != 0)
            continue;
        if (i < first)
            return 0;
        n++;
    }
    return n;
}

static void left_out_words(struct report *r)
{
    char buf[WHY_MAX];
    for (size_t i = 0; i < r->record->n_readings; i++) {
        const char *why = why_of(r, i, buf);
        int n = why ? same_reason(r, i, why) : 0;
        if (n)
            say(&r->counts, TONE_PLAIN, "left_out", "%d not counted: %s.", n, why);
    }
}

static bool was_missed(const struct report *r, const struct sitting *s)
{
    bool over = s->ended || week_finished(&r->record->week);
    return over && s->accepted < s->wanted;
}

static void missed_words(struct report *r)
{
    char list[SENTENCE_MAX - 40] = "", day[DAY_WORDS];
    int n = 0, sittings = 0;
    for (int i = 0; i < r->result->n_sittings; i++) {
        const struct sitting *s = &r->result->sittings[i];
        if (!was_missed(r, s))
            continue;
        n += s->wanted - s->accepted;
        day_words(s->day, day);
        if (++sittings <= NAMED_MAX)
            say_add(list, sizeof list, "%s%s %s (%d)", sittings > 1 ? ", " : "", day, slot_words(s->slot),
                    s->wanted - s->accepted);
    }
    if (sittings > NAMED_MAX)
        say_add(list, sizeof list, " and %d more sittings", sittings - NAMED_MAX);
    if (n)
        say(&r->counts, TONE_PLAIN, "not_measured", "%d not measured: %s.", n, list);
}

void counts_words(struct report *r)
{
    int received = (int)r->record->n_readings, counted = r->result->all.n, asked = asked_for(r);
    if (!received && !asked)
        return;
    say(&r->counts, TONE_PLAIN, "", "%d reading%s asked for, %d received: %d counted, %d not.", asked, plural(asked), received,
        counted, received - counted);
    left_out_words(r);
    missed_words(r);
}
