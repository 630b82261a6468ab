/* The week as plain text: for a mail's body and a terminal. Lines of at most 78 columns, in the order of the page.
 *
 * A mail may be read where no attachment can be opened: everything is said here too.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/report/html_writer.h"
#include "gateway/report/report.h"

enum { COLUMNS_WIDE = 78 };

/* Characters, not bytes; a character that takes two columns counts as one. */
static size_t columns_of(const char *s, size_t bytes)
{
    size_t n = 0;
    for (size_t i = 0; i < bytes; i++)
        n += ((unsigned char)s[i] & 0xC0) != 0x80;
    return n;
}

/* Folds at blanks; what follows the first line is set in by the width of `lead`. */
static void fold(struct buffer *out, const char *lead, const char *text)
{
    char clean[2 * SENTENCE_MAX];
    size_t indent = columns_of(lead, strlen(lead)), used = indent;
    bool first = true;
    text_clean(text, clean, sizeof clean);
    buffer_text(out, lead);
    for (const char *s = clean; *s;) {
        size_t bytes = strcspn(s, " "), wide = columns_of(s, bytes);
        if (!first && used + 1 + wide > COLUMNS_WIDE) {
            buffer_print(out, "\n%*s", (int)indent, "");
            used = indent;
        } else if (!first) {
            buffer_text(out, " ");
            used++;
        }
        buffer_add(out, s, bytes);
        used += wide;
        first = false;
        s += bytes + strspn(s + bytes, " ");
    }
    buffer_text(out, "\n");
}

static void line(struct buffer *out, const char *text)
{
    if (text[0])
        fold(out, "", text);
}

static void list(struct buffer *out, const char *heading, const struct sentences *s, const char *lead)
{
    if (s->n && heading)
        buffer_print(out, "\n%s\n", heading);
    for (size_t i = 0; i < s->n; i++)
        fold(out, lead, s->at[i].text);
}

static void head(struct buffer *out, const struct report *r)
{
    char who[REF_MAX + 2 * NAME_MAX_BYTES + 200];
    snprintf(who, sizeof who, "Reference %s%s%s%s%s", r->ref, r->name[0] ? ", " : "", r->name, r->who[0] ? "; " : "", r->who);
    line(out, r->title);
    line(out, r->clinic);
    line(out, who);
    line(out, r->when);
    line(out, r->version);
}

static void average(struct buffer *out, const struct report *r)
{
    if (r->has_mean)
        buffer_print(out, "\n%d/%d mmHg\n", r->sys, r->dia);
    else
        buffer_text(out, "\n");
    line(out, r->average);
    line(out, r->judged);
    line(out, r->sure);
}

static void figures(struct buffer *out, const struct report *r)
{
    buffer_text(out, "\nAverages\n");
    for (int i = 0; i < r->n_figures; i++) {
        const struct report_figure *f = &r->figures[i];
        buffer_print(out, "  %-24s %9s", f->what, f->pressure);
        if (f->pulse[0])
            buffer_print(out, ", pulse %s", f->pulse);
        if (f->n)
            buffer_print(out, " (%d reading%s)", f->n, f->n == 1 ? "" : "s");
        buffer_text(out, "\n");
    }
}

static void quotes(struct buffer *out, const struct report *r)
{
    char lead[64];
    if (r->n_quotes)
        buffer_text(out, "\nIn the patient's own words\n");
    for (size_t i = 0; i < r->n_quotes; i++) {
        snprintf(lead, sizeof lead, "  %s: ", r->quotes[i].when);
        fold(out, lead, r->quotes[i].text);
    }
}

static void readings(struct buffer *out, const struct report *r)
{
    char lead[96];
    if (r->n_readings)
        buffer_print(out, "\nEvery reading. %s\n", r->zone);
    for (size_t i = 0; i < r->n_readings; i++) {
        const struct report_reading *x = &r->readings[i];
        snprintf(lead, sizeof lead, "  %-10s %s %-12s %7s %3s  ", x->day, x->time, x->slot, x->pressure, x->pulse);
        fold(out, lead, x->note);
    }
}

/* Blanks at line ends are of no use to anybody. */
static void trim(struct buffer *out)
{
    size_t to = 0;
    for (size_t i = 0; i < out->n; i++) {
        if (out->at[i] == '\n')
            while (to && out->at[to - 1] == ' ')
                to--;
        out->at[to++] = out->at[i];
    }
    out->n = to;
    if (out->at)
        out->at[to] = '\0';
}

char *report_text(const struct report *r)
{
    struct buffer out;
    buffer_init(&out, REPORT_BYTES);
    head(&out, r);
    if (r->above.n)
        buffer_text(&out, "\n");
    list(&out, NULL, &r->above, "! ");
    average(&out, r);
    figures(&out, r);
    list(&out, "Alerts in this week", &r->alerts, "- ");
    list(&out, "Counted and left out", &r->counts, "- ");
    list(&out, "Cuff, arm and monitor", &r->equipment, "- ");
    list(&out, "Earlier weeks", &r->before, "- ");
    list(&out, "At the clinic", &r->office, "- ");
    list(&out, "How it was measured", &r->quality, "- ");
    list(&out, "How the readings vary", &r->variation, "- ");
    quotes(&out, r);
    readings(&out, r);
    buffer_text(&out, "\n");
    line(&out, r->protocol);
    buffer_text(&out, "\n");
    line(&out, r->caution);
    trim(&out);
    return buffer_take(&out);
}
