/* The model of a week: who, when, by which protocol; the rest is filled by one file a part.
 *
 * It works out no figure: those are care's. It must say the same for the same data, whenever it is asked: what a finished
 * week shows is as of its end. A week takes some 0.2 ms.
 */
#include "gateway/report/model.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/care/result.h"
#include "gateway/care/sitting.h"
#include "gateway/flow/flow.h"

enum { TEXTS_MAX = 2000 };

/* -- saying ---------------------------------------------------------------------------------------------------------------- */

static void say_clean(char *to, size_t size, const char *format, va_list args)
{
    char line[2 * SENTENCE_MAX];
    int n = vsnprintf(line, sizeof line, format, args);
    if (n < 0)
        line[0] = '\0';
    text_clean(line, to, size);
}

void say_to(char *to, size_t size, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    say_clean(to, size, format, args);
    va_end(args);
}

void say_add(char *to, size_t size, const char *format, ...)
{
    size_t n = strnlen(to, size);
    va_list args;
    va_start(args, format);
    if (n < size)
        say_clean(to + n, size - n, format, args);
    va_end(args);
}

void say(struct sentences *s, enum tone tone, const char *code, const char *format, ...)
{
    va_list args;
    if (s->n == s->cap) {
        size_t cap = s->cap ? 2 * s->cap : 8;
        struct sentence *at = realloc(s->at, cap * sizeof *at);
        s->failed = s->failed || !at;
        if (!at)
            return;
        s->at = at;
        s->cap = cap;
    }
    struct sentence *one = &s->at[s->n++];
    one->tone = tone;
    SAY(one->code, "%s", code);
    va_start(args, format);
    say_clean(one->text, sizeof one->text, format, args);
    va_end(args);
}

/* -- days and times ------------------------------------------------------------------------------------------------------ */

static const char weekdays[][4] = {"Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"};
static const char months[][4] = {"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};

void day_words(int32_t day, char words[DAY_WORDS])
{
    int year, month, of_month;
    words[0] = '\0';
    if (day == DAY_NONE)
        return;
    civil_date(day, &year, &month, &of_month);
    say_to(words, DAY_WORDS, "%s %d %s", weekdays[civil_weekday(day)], of_month, months[month - 1]);
}

void date_words(int32_t day, char words[WHEN_WORDS])
{
    int year, month, of_month;
    words[0] = '\0';
    if (day == DAY_NONE)
        return;
    civil_date(day, &year, &month, &of_month);
    say_to(words, WHEN_WORDS, "%s %d %s %d", weekdays[civil_weekday(day)], of_month, months[month - 1], year);
}

void minute_words(int16_t minute, char words[8])
{
    unsigned m = (unsigned)minute % MINUTES_A_DAY;
    say_to(words, 8, "%02u:%02u", m / 60, m % 60);
}

void when_words(const struct record *r, int64_t instant, char words[WHEN_WORDS])
{
    struct civil at = civil_at(&r->zone, instant);
    char day[DAY_WORDS], time[8];
    day_words(at.day, day);
    minute_words(at.minute, time);
    say_to(words, WHEN_WORDS, "%s %s", day, time);
}

const char *slot_words(uint8_t slot)
{
    return slot == SLOT_EVENING ? "before sleep" : "after waking";
}

const char *plural(int n)
{
    return n == 1 ? "" : "s";
}

/* -- what is asked of the record --------------------------------------------------------------------------------------- */

bool week_finished(const struct week *w)
{
    return w->id && w->ended_at != INSTANT_NONE && w->state >= WEEK_COMPLETE;
}

bool of_week(const struct record *r, const struct reading *x)
{
    return x->week == r->week.id;
}

bool report_has(const struct report *r, const char *quality)
{
    return quality_has(r->result, quality);
}

bool report_expecting(const struct record *r)
{
    return person_expecting(r, r->week.first_day) || person_expecting(r, week_last_day(r));
}

/* -- the head ------------------------------------------------------------------------------------------------------------- */

static void who_words(struct report *r)
{
    const struct person *p = &r->record->person;
    char born[WHEN_WORDS];
    SAY(r->title, "Home blood pressure week");
    SAY(r->clinic, "%s", r->record->clinic && r->record->clinic->name[0] ? r->record->clinic->name : p->clinic);
    SAY(r->ref, "%s", p->ref);
    SAY(r->name, "%s", p->name);
    date_words(p->born, born);
    if (born[0])
        SAY(r->who, "born %s", born + 4); /* without the weekday */
    if (p->carer)
        say_add(r->who, sizeof r->who, "%sa carer sends the figures", born[0] ? "; " : "");
}

static void when_head(struct report *r)
{
    const struct week *w = &r->record->week;
    int number = w->number ? w->number : 1;
    char first[WHEN_WORDS], last[WHEN_WORDS], now[WHEN_WORDS];
    date_words(w->first_day, first);
    date_words(w->last_day != DAY_NONE ? w->last_day : week_last_day(r->record), last);
    when_words(r->record, r->as_of, now);
    if (!first[0])
        SAY(r->when, "Week %d: no reading yet, as of %s", number, now);
    else if (!week_finished(w))
        SAY(r->when, "Week %d, still running since %s; this is as of %s", number, first, now);
    else
        SAY(r->when, "Week %d, %s: %s to %s", number,
            w->state == WEEK_COMPLETE ? "complete" : w->state == WEEK_SHORT ? "ended with too few readings" : "closed", first,
            last);
    if (w->id && w->version > 1)
        SAY(r->version, "Version %d: changed after the week had ended; it replaces what was sent before.", w->version);
}

static void protocol_head(struct report *r)
{
    const struct protocol *p = &r->record->protocol;
    int each = per_sitting(r->record);
    SAY(r->protocol,
        "%s (%s). Asks for %d reading%s after waking and %d before sleep on %d days; the first day is %s. An average needs "
        "%d counted readings and readings on %d days.",
        p->edition[0] ? p->edition : p->name, p->source[0] ? p->source : "no source named", each, plural(each), each, p->days,
        p->first_day_counted ? "counted" : "left out", p->fewest_readings, p->fewest_days);
}

static void foot(struct report *r)
{
    SAY(r->zone, "Times are local%s%s.", r->record->person.zone[0] ? ", " : "", r->record->person.zone);
    SAY(r->caution, "Measured at home and taken as it was texted; nothing is corrected. What was left out, and why, is said "
                    "above. This informs a clinician's judgement and does not replace it; it is not a diagnosis.");
}

/* -- making it ------------------------------------------------------------------------------------------------------------- */

static bool report_whole(const struct report *r)
{
    const struct sentences *lists[] = {&r->above, &r->variation, &r->counts, &r->equipment, &r->before, &r->office, &r->quality, &r->alerts};
    for (size_t i = 0; i < sizeof lists / sizeof *lists; i++)
        if (lists[i]->failed)
            return false;
    return true;
}

bool report_make(struct report *out, const struct week_view *v, const struct stored_text *texts, size_t n_texts,
                 const char *public_url, int64_t now)
{
    out->record = v->record;
    out->result = v->result;
    out->public_url = public_url ? public_url : "";
    out->as_of = week_finished(&v->record->week) ? v->record->week.ended_at : now;
    who_words(out);
    when_head(out);
    protocol_head(out);
    average_words(out);
    counts_words(out);
    findings_words(out, v->alerts, v->n_alerts);
    equipment_words(out);
    before_words(out, v->before, v->n_before);
    quality_words(out);
    alerts_words(out, v->alerts, v->n_alerts);
    foot(out);
    return readings_words(out) && quotes_words(out, v, texts, n_texts) && report_whole(out);
}

/* The table of offsets as it was then, and the result as of the end: both independent of when it is asked. */
static void week_as_of(struct week_loaded *w, int64_t now)
{
    struct record *r = &w->record;
    int64_t at = week_finished(&r->week) ? r->week.ended_at : now;
    zone_offsets(r->person.zone, at, &r->zone);
    week_result(r, at, &w->result);
}

int report_open(struct report *out, struct db *db, const struct config *config, int64_t person, int number, int64_t now,
                bool *found)
{
    struct stored_text *texts = NULL;
    size_t n = 0;
    memset(out, 0, sizeof *out);
    int error = week_load(db, config, now, person, number, &out->week, found);
    if (error || !*found)
        return error;
    const struct week *w = &out->week.record.week;
    week_as_of(&out->week, now);
    if (w->id)
        error = texts_of_person(db, person, w->opened_at, INT64_MAX, TEXTS_MAX, &texts, &n);
    if (!error && !report_make(out, &out->week.view, texts, n, config->public_url, now))
        error = STORE_MEMORY;
    texts_free(texts, n);
    return error;
}

void report_close(struct report *r)
{
    struct sentences *lists[] = {&r->above, &r->variation, &r->counts, &r->equipment, &r->before, &r->office, &r->quality, &r->alerts};
    for (size_t i = 0; i < sizeof lists / sizeof *lists; i++)
        free(lists[i]->at);
    free(r->quotes);
    free(r->readings);
    week_unload(&r->week);
    memset(r, 0, sizeof *r);
}
