/* Every reading as a line of the table, and the patient's own words where they matter.
 *
 * Words matter that tell how a reading was taken, that belong to one in doubt, or that led to an alert. At most
 * QUOTES_MAX; how many more there are is said.
 */
#include "gateway/report/model.h"

#include <stdlib.h>
#include <string.h>

enum { QUOTES_MAX = 8, WHY_MAX = 600, ALERT_SECONDS = 60 };

/* -- the table ------------------------------------------------------------------------------------------------------------- */

static void note_add(struct report_reading *line, const char *words)
{
    say_add(line->note, sizeof line->note, "%s%s", line->note[0] ? "; " : "", words);
}

static void note_words(const struct report *r, struct report_reading *line)
{
    const struct reading *x = line->reading;
    char buf[WHY_MAX];
    const char *why = reading_why(r->record, x, buf, sizeof buf);
    if (why)
        SAY(line->note, "not counted: %s", why);
    for (unsigned b = 0; b < TECHNIQUE_COUNT; b++)
        if (x->technique & 1u << b)
            note_add(line, technique_words(b));
    if (x->off_time)
        note_add(line, "outside the times agreed");
    if (x->sent_late)
        note_add(line, "sent late");
    if (x->telephoned)
        note_add(line, "told by telephone");
    if (x->confirmed)
        note_add(line, "confirmed by the patient");
    if (x->asked_for)
        note_add(line, "measured because we asked");
}

bool readings_words(struct report *r)
{
    const struct record *record = r->record;
    r->readings = calloc(record->n_readings + 1, sizeof *r->readings);
    if (!r->readings)
        return false;
    for (size_t i = 0; i < record->n_readings; i++) {
        struct report_reading *line = &r->readings[r->n_readings++];
        const struct reading *x = &record->readings[i];
        line->reading = x;
        line->counted = reading_counted(record, x);
        day_words(x->day, line->day);
        minute_words(x->minute, line->time);
        SAY(line->slot, "%s", slot_words(x->slot));
        if (x->dia > 0)
            SAY(line->pressure, "%d/%d", x->sys, x->dia);
        else
            SAY(line->pressure, "%d", x->sys);
        if (x->pulse > 0)
            SAY(line->pulse, "%d", x->pulse);
        note_words(r, line);
    }
    return true;
}

/* -- own words ------------------------------------------------------------------------------------------------------------ */

static bool led_to_alert(const struct week_view *v, const struct stored_text *t)
{
    for (size_t i = 0; i < v->n_alerts; i++) {
        int64_t after = v->alerts[i].at - t->received;
        if (after >= 0 && after <= ALERT_SECONDS)
            return true;
    }
    return false;
}

static bool tells_of_reading(const struct record *r, const struct stored_text *t)
{
    for (size_t i = 0; i < r->n_readings; i++) {
        const struct reading *x = &r->readings[i];
        if (x->text == t->id && (x->technique || x->doubt || x->standing != STANDING_ACCEPTED))
            return true;
    }
    return false;
}

static bool quoted(const struct week_view *v, const struct stored_text *t)
{
    return t->body && t->body[0] && (led_to_alert(v, t) || tells_of_reading(v->record, t));
}

bool quotes_words(struct report *r, const struct week_view *v, const struct stored_text *texts, size_t n)
{
    r->quotes = calloc(QUOTES_MAX + 1, sizeof *r->quotes);
    if (!r->quotes)
        return false;
    int64_t until = week_finished(&r->record->week) ? r->as_of : INT64_MAX;
    size_t more = 0;
    for (size_t i = 0; i < n; i++) {
        if (texts[i].received > until || !quoted(v, &texts[i]))
            continue;
        if (r->n_quotes == QUOTES_MAX) {
            more++;
            continue;
        }
        struct report_quote *q = &r->quotes[r->n_quotes++];
        when_words(r->record, texts[i].received, q->when);
        SAY(q->text, "%s", texts[i].body);
    }
    if (more) {
        SAY(r->quotes[r->n_quotes].when, "and");
        SAY(r->quotes[r->n_quotes++].text, "%zu more texts, at the desk", more);
    }
    return true;
}
