/* Figures: the practice by month, as a table, a chart of weeks, and CSV. They are counted as things happen; nobody's name is
 * in them.
 */
#include "gateway/web/desk/pages.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MONTHS = 24, BAR = 22, GAP = 14, HEIGHT = 120 };

/* The median length of weeks, in days; 0 without any. */
static int median_days(const struct month *m)
{
    int64_t all = 0, seen = 0;
    for (int i = 0; i < 32; i++)
        all += m->days[i];
    for (int i = 0; i < 32; i++) {
        seen += m->days[i];
        if (all && 2 * seen >= all)
            return i;
    }
    return 0;
}

/* What is shown of a month, in the order of the columns. */
static const struct column {
    enum word word;
    size_t at;
} columns[] = {
    {WORD_M_COMPLETE, offsetof(struct month, weeks_complete)},
    {WORD_M_SHORT, offsetof(struct month, weeks_short)},
    {WORD_M_RECEIVED, offsetof(struct month, texts_received)},
    {WORD_M_SENT, offsetof(struct month, texts_sent)},
    {WORD_M_SEGMENTS, offsetof(struct month, segments_sent)},
    {WORD_M_READINGS, offsetof(struct month, readings)},
    {WORD_M_HELD, offsetof(struct month, readings_held)},
    {WORD_M_CORRECTED, offsetof(struct month, readings_corrected)},
    {WORD_M_CUFFS, offsetof(struct month, cuffs)},
    {WORD_M_ALERTS, offsetof(struct month, alerts)},
};
enum { COLUMNS = sizeof columns / sizeof *columns };

static int64_t column_value(const struct month *m, const struct column *c)
{
    return *(const int64_t *)((const char *)m + c->at);
}

static bool weeks_ended(const struct month *list, size_t n)
{
    int64_t sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += list[i].weeks_complete + list[i].weeks_short;
    return sum > 0;
}

static int64_t minutes_to_take(const struct month *m)
{
    return m->alerts_taken ? m->seconds_to_take / m->alerts_taken / 60 : -1;
}

/* -- chart -------------------------------------------------------------------------------------------------------------------------- */

static void bar(struct page *p, int64_t x, int64_t y, int64_t height, bool hollow)
{
    raw(p, "<rect x=\"");
    number(p, x);
    raw(p, "\" y=\"");
    number(p, y);
    raw(p, "\" width=\"22\" height=\"");
    number(p, height);
    if (hollow)
        raw(p, "\" fill=\"#fbfaf6\" stroke=\"#1f2933\"/>");
    else
        raw(p, "\" fill=\"#6b2d5c\"/>");
}

/* Complete weeks filled, short ones hollow on top; the table beside says the same. */
static void chart_write(struct page *p, const struct month *list, size_t n)
{
    char words[MOMENT];
    int64_t most = 1;
    for (size_t i = 0; i < n; i++)
        if (list[i].weeks_complete + list[i].weeks_short > most)
            most = list[i].weeks_complete + list[i].weeks_short;
    raw(p, "<figure><div class=\"scroll\" tabindex=\"0\" role=\"region\" aria-label=\"");
    say(p, M_CHART);
    raw(p, "\"><svg role=\"img\" aria-label=\"");
    say(p, M_CHART);
    raw(p, "\" height=\"160\" width=\"");
    number(p, (int64_t)n * (BAR + GAP) + 40);
    raw(p, "\">");
    for (size_t i = 0; i < n; i++) {
        int64_t x = 20 + (int64_t)i * (BAR + GAP), full = list[i].weeks_complete * HEIGHT / most,
                part = list[i].weeks_short * HEIGHT / most;
        bar(p, x, HEIGHT - full + 12, full, false);
        if (part)
            bar(p, x, HEIGHT - full - part + 12, part, true);
        raw(p, "<text text-anchor=\"middle\" font-size=\"11\" fill=\"#1f2933\" x=\"");
        number(p, x + BAR / 2);
        raw(p, "\" y=\"");
        number(p, HEIGHT - full - part + 9);
        raw(p, "\">");
        number(p, list[i].weeks_complete + list[i].weeks_short);
        raw(p, "</text>");
        month_said(list[i].month, words);
        raw(p, "<text text-anchor=\"middle\" font-size=\"11\" fill=\"#1f2933\" y=\"150\" x=\"");
        number(p, x + BAR / 2);
        raw(p, "\">");
        words[3] = '\0';
        text(p, words);
        raw(p, "</text>");
    }
    raw(p, "<line stroke=\"#56616b\" y1=\"132.5\" y2=\"132.5\" x1=\"10\" x2=\"");
    number(p, (int64_t)n * (BAR + GAP) + 30);
    raw(p, "\"/></svg></div><figcaption>");
    say(p, M_CHART_HOW);
    raw(p, "</figcaption></figure>\n");
}

/* -- table -------------------------------------------------------------------------------------------------------------------------- */

static void cell(struct page *p, int64_t value)
{
    raw(p, "<td class=\"figure\">");
    if (value >= 0)
        number(p, value);
    else
        raw(p, "–");
    raw(p, "</td>");
}

static void head_write(struct page *p, const struct month *list, size_t n)
{
    char words[MOMENT];
    raw(p, "<thead><tr><td></td>");
    for (size_t i = n; i-- > 0;) {
        month_said(list[i].month, words);
        raw(p, "<th scope=\"col\" class=\"figure\">");
        text(p, words);
        raw(p, "</th>");
    }
    raw(p, "</tr></thead>\n<tbody>\n");
}

static void row_begin(struct page *p, enum word title)
{
    raw(p, "<tr><th scope=\"row\">");
    text(p, word(title));
    raw(p, "</th>");
}

/* A row a figure, a column a month, the latest first. */
static void table_write(struct page *p, const struct month *list, size_t n)
{
    raw(p, "<div class=\"scroll\" tabindex=\"0\" role=\"region\" aria-label=\"");
    say(p, FIGURES);
    raw(p, "\"><table class=\"months\">\n<caption>");
    say(p, M_UTC);
    raw(p, "</caption>\n");
    head_write(p, list, n);
    for (size_t k = 0; k < COLUMNS; k++) {
        row_begin(p, columns[k].word);
        for (size_t i = n; i-- > 0;)
            cell(p, column_value(&list[i], &columns[k]));
        raw(p, "</tr>\n");
    }
    row_begin(p, WORD_M_TAKE);
    for (size_t i = n; i-- > 0;)
        cell(p, minutes_to_take(&list[i]));
    raw(p, "</tr>\n");
    row_begin(p, WORD_M_DAYS);
    for (size_t i = n; i-- > 0;)
        cell(p, median_days(&list[i]) ? median_days(&list[i]) : -1);
    raw(p, "</tr>\n</tbody></table></div>\n");
}

static bool months_load(struct page *p, struct month **list, size_t *n)
{
    p->clinic = page_clinic_chosen(p);
    *list = calloc(MONTHS, sizeof **list);
    *n = 0;
    if (p->clinic && *list && !months_list(p->db, p->clinic->id, *list, MONTHS, n))
        return true;
    free(*list);
    page_unstored(p);
    return false;
}

void figures_page(struct page *p)
{
    struct month *list;
    size_t n;
    if (!months_load(p, &list, &n))
        return;
    page_begin(p, WORD_FIGURES_TITLE, p->clinic->name);
    clinic_form(p, "/desk/figures", p->clinic);
    if (!n) {
        raw(p, "<p class=\"empty\">");
        say(p, M_NONE);
        raw(p, "</p>\n");
    } else {
        if (weeks_ended(list, n))
            chart_write(p, list, n);
        table_write(p, list, n);
        raw(p, "<p><a href=\"/desk/figures.csv?of=practice");
        query_add(p, "clinic", p->clinic->id);
        raw(p, "\">");
        say(p, M_CSV);
        raw(p, "</a></p>\n");
    }
    page_end(p);
    free(list);
}

void figures_csv_page(struct page *p)
{
    struct month *list;
    struct buffer b;
    size_t n;
    if (!months_load(p, &list, &n))
        return;
    buffer_init(&b, ANSWER_BYTES);
    buffer_text(&b, "month,weeks_complete,weeks_short,texts_received,texts_sent,segments_sent,readings,readings_held,"
                    "readings_corrected,cuff_mismatches,alerts,minutes_to_take,median_days\r\n");
    for (size_t i = 0; i < n; i++) {
        buffer_print(&b, "%04d-%02d", list[i].month / 12, list[i].month % 12 + 1);
        for (size_t k = 0; k < COLUMNS; k++)
            buffer_print(&b, ",%lld", (long long)column_value(&list[i], &columns[k]));
        if (minutes_to_take(&list[i]) >= 0)
            buffer_print(&b, ",%lld", (long long)minutes_to_take(&list[i]));
        else
            buffer_text(&b, ",");
        if (median_days(&list[i]))
            buffer_print(&b, ",%d\r\n", median_days(&list[i]));
        else
            buffer_text(&b, ",\r\n");
    }
    if (page_audit(p, 0, p->clinic->id, "exported", "figures as csv"))
        page_download(p, "text/csv; charset=utf-8; header=present", "figures.csv", b.n ? b.at : "", b.n);
    buffer_clear(&b);
    free(list);
}
