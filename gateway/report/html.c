/* The week as one page that stands alone: no script, no address to anything outside, printable.
 *
 * Order is meaning: who, what undermines the average, the average, then everything it rests on. Every value goes through
 * html_text. Some 30 KB.
 */
#include "gateway/report/chart.h"
#include "gateway/report/html_writer.h"
#include "gateway/report/report.h"

#include <stdio.h>
#include <string.h>

static void paragraph(struct buffer *out, const char *text)
{
    if (!text[0])
        return;
    html_raw(out, "<p>");
    html_text(out, text);
    html_raw(out, "</p>\n");
}

static void head(struct buffer *out, const struct report *r)
{
    html_raw(out, "<header>\n<h1>");
    html_text(out, r->title);
    html_raw(out, "</h1>\n<p class=\"who\">");
    html_name(out, r->clinic);
    html_raw(out, ", reference <b>");
    html_name(out, r->ref);
    html_raw(out, "</b>");
    if (r->name[0]) {
        html_raw(out, ", <b>");
        html_name(out, r->name);
        html_raw(out, "</b>");
    }
    if (r->who[0]) {
        html_raw(out, "; ");
        html_text(out, r->who);
    }
    html_raw(out, "</p>\n");
    paragraph(out, r->when);
    paragraph(out, r->version);
    html_raw(out, "</header>\n");
}

static void notes(struct buffer *out, const struct sentences *s)
{
    for (size_t i = 0; i < s->n; i++) {
        html_raw(out, "<p class=\"note ");
        if (s->at[i].tone == TONE_URGENT)
            html_raw(out, "urgent");
        else
            html_raw(out, "attention");
        html_raw(out, "\">");
        html_text(out, s->at[i].text);
        html_raw(out, "</p>\n");
    }
}

static void average(struct buffer *out, const struct report *r)
{
    html_raw(out, "<div class=\"average\">\n<p class=\"large");
    if (!r->result->enough)
        html_raw(out, " open");
    html_raw(out, "\">");
    if (r->has_mean) {
        html_number(out, r->sys);
        html_raw(out, "/");
        html_number(out, r->dia);
        html_raw(out, " <small>mmHg</small>");
    } else {
        html_raw(out, "–");
    }
    html_raw(out, "</p>\n<div class=\"beside\">\n");
    paragraph(out, r->average);
    html_raw(out, "<p class=\"judged\">");
    html_text(out, r->judged);
    html_raw(out, "</p>\n");
    paragraph(out, r->sure);
    html_raw(out, "</div>\n</div>\n");
}

static bool chart(struct buffer *out, const struct report *r)
{
    struct chart c;
    bool made = chart_make(&c, r, 13.0 / 186);
    if (made && c.n_days) {
        html_raw(out, "<figure>\n");
        chart_svg(out, &c);
        html_raw(out, "<figcaption>");
        html_text(out, c.legend);
        html_raw(out, "</figcaption>\n</figure>\n");
    }
    chart_close(&c);
    return made;
}

static void figures(struct buffer *out, const struct report *r)
{
    html_raw(out, "<table>\n<thead><tr><th>Average of</th><th class=\"figure\">mmHg</th><th class=\"figure\">Pulse</th>"
                  "<th class=\"figure\">Readings</th></tr></thead>\n<tbody>\n");
    for (int i = 0; i < r->n_figures; i++) {
        const struct report_figure *f = &r->figures[i];
        html_raw(out, "<tr><td>");
        html_text(out, f->what);
        html_raw(out, "</td><td class=\"figure\">");
        html_text(out, f->pressure);
        html_raw(out, "</td><td class=\"figure\">");
        html_text(out, f->pulse);
        html_raw(out, "</td><td class=\"figure\">");
        if (f->n)
            html_number(out, f->n);
        html_raw(out, "</td></tr>\n");
    }
    html_raw(out, "</tbody>\n</table>\n");
}

/* A heading, given as a literal, with its sentences; nothing when there is none. */
#define section(out, title, s)                                                                                        \
    do {                                                                                                              \
        if ((s)->n) {                                                                                                 \
            html_raw(out, "<section>\n<h2>" title "</h2>\n");                                                          \
            list(out, s);                                                                                             \
            html_raw(out, "</section>\n");                                                                             \
        }                                                                                                             \
    } while (0)

static void list(struct buffer *out, const struct sentences *s)
{
    html_raw(out, "<ul>\n");
    for (size_t i = 0; i < s->n; i++) {
        html_raw(out, "<li>");
        if (s->at[i].tone != TONE_PLAIN)
            html_raw(out, "<strong>");
        html_text(out, s->at[i].text);
        if (s->at[i].tone != TONE_PLAIN)
            html_raw(out, "</strong>");
        html_raw(out, "</li>\n");
    }
    html_raw(out, "</ul>\n");
}

static void quotes(struct buffer *out, const struct report *r)
{
    if (!r->n_quotes)
        return;
    html_raw(out, "<h2>In the patient's own words</h2>\n");
    for (size_t i = 0; i < r->n_quotes; i++) {
        html_raw(out, "<blockquote><span class=\"second\">");
        html_text(out, r->quotes[i].when);
        html_raw(out, "</span> ");
        html_name(out, r->quotes[i].text);
        html_raw(out, "</blockquote>\n");
    }
}

static void reading_row(struct buffer *out, const struct report_reading *x)
{
    html_raw(out, "<tr");
    if (!x->counted)
        html_raw(out, " class=\"apart\"");
    html_raw(out, "><td>");
    html_text(out, x->day);
    html_raw(out, "</td><td>");
    html_text(out, x->time);
    html_raw(out, "</td><td>");
    html_text(out, x->slot);
    html_raw(out, "</td><td class=\"figure\">");
    html_text(out, x->pressure);
    html_raw(out, "</td><td class=\"figure\">");
    html_text(out, x->pulse);
    html_raw(out, "</td><td>");
    html_text(out, x->note);
    html_raw(out, "</td></tr>\n");
}

static void readings(struct buffer *out, const struct report *r)
{
    if (!r->n_readings)
        return;
    html_raw(out, "<h2>Every reading</h2>\n<div class=\"scroll\">\n<table>\n<caption>");
    html_text(out, r->zone);
    html_raw(out, "</caption>\n<thead><tr><th>Day</th><th>Time</th><th>Sitting</th><th class=\"figure\">mmHg</th>"
                  "<th class=\"figure\">Pulse</th><th>Remarks</th></tr></thead>\n<tbody>\n");
    for (size_t i = 0; i < r->n_readings; i++)
        reading_row(out, &r->readings[i]);
    html_raw(out, "</tbody>\n</table>\n</div>\n");
}

static void title_words(const struct report *r, char title[256])
{
    char ref[REF_MAX + 8];
    text_clean(r->ref, ref, sizeof ref);
    snprintf(title, 256, "%s, %s", r->title, ref);
}

char *report_html(const struct report *r)
{
    struct buffer out;
    char title[256];
    buffer_init(&out, REPORT_BYTES);
    title_words(r, title);
    html_page_begin(&out, "en", title, "week");
    html_raw(&out, "<main>\n");
    head(&out, r);
    notes(&out, &r->above);
    average(&out, r);
    bool drawn = chart(&out, r);
    figures(&out, r);
    html_raw(&out, "<div class=\"parts\">\n");
    section(&out, "Alerts in this week", &r->alerts);
    section(&out, "Counted and left out", &r->counts);
    section(&out, "Cuff, arm and monitor", &r->equipment);
    section(&out, "Earlier weeks", &r->before);
    section(&out, "At the clinic", &r->office);
    section(&out, "How it was measured", &r->quality);
    section(&out, "How the readings vary", &r->variation);
    html_raw(&out, "</div>\n");
    quotes(&out, r);
    readings(&out, r);
    html_raw(&out, "<h2>Protocol</h2>\n");
    paragraph(&out, r->protocol);
    html_raw(&out, "<p class=\"caution\">");
    html_text(&out, r->caution);
    html_raw(&out, "</p>\n</main>\n");
    html_page_end(&out);
    if (!drawn)
        buffer_clear(&out);
    return drawn ? buffer_take(&out) : NULL;
}
