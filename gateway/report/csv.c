/* Readings as CSV by RFC 4180: a header, CR LF, quotes doubled; for a spreadsheet that must not run what a patient wrote.
 *
 * A cell that a spreadsheet would take for a formula (it begins with = + - @, a tab or a line end) is led by an apostrophe.
 * Control characters come out as U+FFFD. One row a reading, of every standing.
 */
#include <stdio.h>
#include <string.h>

#include "gateway/care/equipment.h"
#include "gateway/report/html_writer.h"
#include "gateway/report/report.h"

enum { CELL_MAX = 2 * SENTENCE_MAX };

static const char *const columns[] = {"clinic", "ref", "week", "date", "time", "zone", "day", "sitting", "systolic", "diastolic",
                                      "pulse", "standing", "counted", "remarks", "arm", "room_celsius", "reading"};

/* The full-width = + - @ too, which some spreadsheets take for the plain ones. */
static bool formula_begins(const char *text)
{
    static const char *const wide[] = {"＝", "＋", "－", "＠"};
    if (*text && strchr("=+-@\t\r\n", *text))
        return true;
    for (size_t i = 0; i < sizeof wide / sizeof *wide; i++)
        if (strncmp(text, wide[i], strlen(wide[i])) == 0)
            return true;
    return false;
}

static void cell(struct buffer *out, const char *text)
{
    char clean[CELL_MAX];
    bool formula = formula_begins(text);
    text_clean(text, clean, sizeof clean);
    bool quote = strpbrk(clean, ",\"\r\n") != NULL;
    if (quote)
        buffer_text(out, "\"");
    if (formula)
        buffer_text(out, "'");
    for (const char *s = clean; *s; s++) {
        if (*s == '"')
            buffer_text(out, "\"");
        buffer_add(out, s, 1);
    }
    if (quote)
        buffer_text(out, "\"");
}

static void next(struct buffer *out, const char *text)
{
    buffer_text(out, ",");
    cell(out, text);
}

static void next_whole(struct buffer *out, int number)
{
    if (number > 0)
        buffer_print(out, ",%d", number);
    else
        buffer_text(out, ",");
}

char *report_csv_head(void)
{
    struct buffer out;
    buffer_init(&out, CELL_MAX);
    for (size_t i = 0; i < sizeof columns / sizeof *columns; i++)
        buffer_print(&out, "%s%s", i ? "," : "", columns[i]);
    buffer_text(&out, "\r\n");
    return buffer_take(&out);
}

static void row(const struct report *r, const struct report_reading *line, int32_t day, struct buffer *out)
{
    static const char *const arms[] = {"", "left", "right"};
    const struct reading *x = line->reading;
    const struct week *w = &r->record->week;
    char date[TIME_TEXT];
    uint8_t arm = x->arm != ARM_UNSAID ? x->arm : equipment_of(r->record).on_arm;
    date_text(day, date);
    cell(out, r->record->person.clinic);
    next(out, r->ref);
    next_whole(out, w->id ? w->number : 0);
    next(out, date);
    next(out, line->time);
    next(out, r->record->person.zone);
    next_whole(out, w->first_day != DAY_NONE && x->week == w->id ? x->day - w->first_day + 1 : 0);
    next(out, x->slot == SLOT_MORNING ? "morning" : "evening");
    next_whole(out, x->sys);
    next_whole(out, x->dia);
    next_whole(out, x->pulse);
    next(out, standing_word(x));
    next(out, line->counted ? "yes" : "no");
    next(out, line->note);
    next(out, arms[arm <= ARM_RIGHT ? arm : ARM_UNSAID]);
    if (x->temp_c == x->temp_c) /* known */
        buffer_print(out, ",%.1f", x->temp_c);
    else
        buffer_text(out, ",");
    buffer_print(out, ",%lld\r\n", (long long)x->id);
}

bool report_csv_rows(const struct report *r, int32_t from, int32_t to, bool aside, struct buffer *out)
{
    for (size_t i = 0; i < r->n_readings; i++) {
        const struct reading *x = r->readings[i].reading;
        int32_t day = civil_at(&r->record->zone, x->at).day;
        bool wanted = aside ? x->week == 0 : x->week == r->record->week.id;
        if (wanted && (from == DAY_NONE || day >= from) && (to == DAY_NONE || day <= to))
            row(r, &r->readings[i], day, out);
    }
    return !out->failed;
}
