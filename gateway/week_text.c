/* A week for people: one line a reading, then the means, then what is missing and what to know. Pure.
 *
 * Means are shown as they are judged: whole mmHg, half up. Times are the patient's own.
 */
#include "gateway/week.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static int half_up(double x)
{
    return (int)floor(x + 0.5);
}

static void local_text(const struct record *r, int64_t instant, char text[TIME_TEXT])
{
    struct civil at = civil_at(&r->zone, instant);
    date_text(at.day, text);
    size_t n = strlen(text);
    snprintf(text + n, TIME_TEXT - n, " %02d:%02d", at.minute / 60, at.minute % 60);
}

static void head_text(const struct week_view *v, struct buffer *out)
{
    const struct record *r = v->record;
    char first[TIME_TEXT], last[TIME_TEXT];
    date_text(r->week.first_day, first);
    date_text(r->week.last_day, last);
    buffer_print(out, "%s %s: %s, week %d %s, protocol %s\n", r->person.clinic, r->person.ref,
                 person_state_word(&r->person), r->week.number ? r->week.number : 1,
                 week_state_word(&r->week), r->week.protocol[0] ? r->week.protocol : r->protocol.name);
    if (!first[0])
        buffer_text(out, "no reading yet\n");
    else
        buffer_print(out, "from %s%s%s, %d days wanted\n", first, last[0] ? " to " : "", last,
                     r->week.days_wanted);
}

static void reading_text(const struct week_view *v, size_t i, struct buffer *out)
{
    char when[TIME_TEXT], why[200], dia[8] = "?", pulse[16] = ""; /* a lone number has no second */
    const struct record *r = v->record;
    const struct reading *x = &r->readings[i];
    const char *reason = reading_why(r, x, why, sizeof why);
    local_text(r, x->at, when);
    if (x->dia)
        snprintf(dia, sizeof dia, "%d", x->dia);
    if (x->pulse)
        snprintf(pulse, sizeof pulse, " pulse %d", x->pulse);
    buffer_print(out, "  %s %-7s  %3d/%-3s%-10s  %s%s%s\n", when,
                 x->slot == SLOT_MORNING ? "morning" : "evening", x->sys, dia, pulse, standing_word(x),
                 reason ? ", not counted: " : "", reason ? reason : "");
}

static void mean_text(const char *name, const struct mean *m, struct buffer *out)
{
    if (!m->n)
        return;
    buffer_print(out, "%s %d/%d", name, half_up(m->sys), half_up(m->dia));
    if (m->n_pulse)
        buffer_print(out, ", pulse %d", half_up(m->pulse));
    buffer_print(out, " (%d reading%s)\n", m->n, m->n == 1 ? "" : "s");
}

static void judged_text(const struct week_view *v, struct buffer *out)
{
    const struct week_result *w = v->result;
    mean_text("mean", &w->all, out);
    mean_text("  mornings", &w->morning, out);
    mean_text("  evenings", &w->evening, out);
    buffer_print(out, "category: %s (lowest line %d/%d)\n",
                 w->category[0] ? w->category : "none, not enough readings yet", w->threshold.sys,
                 w->threshold.dia);
    if (isfinite(w->interval_sys[0]))
        buffer_print(
            out,
            "likely between %d and %d systolic, %d and %d diastolic; another week may differ by 5 or more\n",
            half_up(w->interval_sys[0]), half_up(w->interval_sys[1]), half_up(w->interval_dia[0]),
            half_up(w->interval_dia[1]));
    buffer_print(out, "cuff: %s\n", w->cuff[0] ? w->cuff : "unknown");
    if (w->pattern[0])
        buffer_print(out, "pattern: %s\n", w->pattern);
    for (int i = 0; i < w->n_quality; i++)
        buffer_print(out, "%s%s%s", i ? ", " : "note: ", w->quality[i], i + 1 == w->n_quality ? "\n" : "");
}

static void missing_text(const struct week_view *v, struct buffer *out)
{
    for (int i = 0; i < v->result->n_sittings; i++) {
        const struct sitting *s = &v->result->sittings[i];
        char day[TIME_TEXT];
        date_text(s->day, day);
        if (s->ended && s->accepted < s->wanted)
            buffer_print(out, "missing: %s %s, %d of %d\n", day,
                         s->slot == SLOT_MORNING ? "morning" : "evening", s->wanted - s->accepted, s->wanted);
    }
}

static void alerts_text(const struct week_view *v, struct buffer *out)
{
#define LEVEL_WORD(NAME, text) text,
    static const char *const levels[] = {ALERT_LEVELS(LEVEL_WORD)};
    for (size_t i = 0; i < v->n_alerts; i++) {
        const struct alert *a = &v->alerts[i];
        char at[TIME_TEXT];
        local_text(v->record, a->at, at);
        buffer_print(out, "alert: %s %s %s, %s\n", at, levels[a->level], a->cause,
                     a->resolved_at != INSTANT_NONE ? "resolved"
                     : a->taken_at != INSTANT_NONE  ? "taken"
                                                    : "open");
    }
}

void week_text(const struct week_view *v, struct buffer *out)
{
    head_text(v, out);
    for (size_t i = 0; i < v->record->n_readings; i++)
        reading_text(v, i, out);
    judged_text(v, out);
    missing_text(v, out);
    alerts_text(v, out);
    buffer_text(out, "This informs a clinician's judgement and does not replace it.\n");
}
