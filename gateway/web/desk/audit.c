/* Audit: who saw, changed, sent and exported what, of a month, or all that is about one patient; AUDIT_ROWS a page.
 *
 * It is shown and never changed here. Patients are numbers in it. Months are the clinic's own; which entries they hold is
 * found by halves, so that ten years of it show as fast as a day.
 */
#include "gateway/web/desk/pages.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { AUDIT_ROWS = 100 };

struct audit_view {
    const struct clinic *clinic;
    int64_t person;                  /* 0: a month of the clinic */
    int month;                       /* year * 12 + month from 0 */
    struct audit_query q;
};

/* -- which ------------------------------------------------------------------------------------------------------------------------ */

/* "2026-11"; false: no month. */
static bool month_read(const char *value, int *month)
{
    int64_t year, number_of;
    char digits[5];
    snprintf(digits, sizeof digits, "%.4s", value);
    if (strlen(value) != 7 || value[4] != '-' || !whole_read(digits, 1970, 9999, &year) ||
        !whole_read(value + 5 + (value[5] == '0'), 1, 12, &number_of))
        return false;
    *month = (int)(year * 12 + number_of - 1);
    return true;
}

static const char *month_text(int month, char value[MOMENT])
{
    snprintf(value, MOMENT, "%04d-%02d", month / 12, month % 12 + 1);
    return value;
}

static int64_t month_begins(const struct clinic *c, int month)
{
    char local[MOMENT], at[MOMENT];
    int64_t instant = 0;
    snprintf(at, sizeof at, "%.20s-01T00:00", month_text(month, local));
    return local_read(c, at, &instant) ? instant : 0;
}

static bool view_read(struct page *p, struct audit_view *v)
{
    char value[24];
    int64_t before;
    int year, month, day;
    *v = (struct audit_view){.clinic = page_clinic_chosen(p)};
    if (!v->clinic)
        return false;
    civil_date(clinic_civil(v->clinic, p->now).day, &year, &month, &day);
    v->month = year * 12 + month - 1;
    if (month_read(query_value(p, "month", value, sizeof value), &month))
        v->month = month;
    if (!whole_read(query_value(p, "person", value, sizeof value), 1, INT64_MAX, &v->person))
        v->person = 0;
    v->q = (struct audit_query){v->clinic->id, v->person, 1, INT64_MAX};
    if (!v->person && (audit_at(p->db, month_begins(v->clinic, v->month), &v->q.from) ||
                       audit_at(p->db, month_begins(v->clinic, v->month + 1), &v->q.before)))
        return false;
    if (whole_read(query_value(p, "before", value, sizeof value), 1, INT64_MAX, &before) && before < v->q.before)
        v->q.before = before;
    return true;
}

/* -- rows -------------------------------------------------------------------------------------------------------------------------- */

static void audit_row(struct page *p, const struct clinic *c, const struct audit_entry *e)
{
    char exact[MOMENT];
    raw(p, "<tr><td class=\"figure\">");
    number(p, e->seq);
    raw(p, "</td><td>");
    text(p, when_exact(c, e->at, exact));
    raw(p, "</td><td>");
    name(p, strcmp(e->who, "care") == 0 ? word(WORD_BY_ITSELF) : e->who);
    raw(p, "</td><td>");
    name(p, action_words(e->action));
    raw(p, "</td><td>");
    if (e->person) {
        raw(p, "<a href=\"/desk/patient/");
        number(p, e->person);
        raw(p, "\">");
        number(p, e->person);
        raw(p, "</a> ");
    }
    name(p, e->detail);
    raw(p, "</td></tr>\n");
}

static void table_write(struct page *p, const struct clinic *c, const struct audit_entry *list, size_t n)
{
    raw(p, "<div class=\"scroll\" tabindex=\"0\" role=\"region\" aria-label=\"");
    say(p, AUDIT);
    raw(p, "\"><table>\n<caption>");
    say_of(p, TIMES_ARE, c->zone);
    raw(p, "</caption>\n<thead><tr><th scope=\"col\" class=\"figure\">");
    say(p, NUMBER);
    raw(p, "</th><th scope=\"col\">");
    say(p, TIME);
    raw(p, "</th><th scope=\"col\">");
    say(p, WHO);
    raw(p, "</th><th scope=\"col\">");
    say(p, DID);
    raw(p, "</th><th scope=\"col\">");
    say(p, ABOUT);
    raw(p, "</th></tr></thead>\n<tbody>\n");
    for (size_t i = 0; i < n; i++)
        audit_row(p, c, &list[i]);
    raw(p, "</tbody></table></div>\n");
}

/* -- ways to the rest ---------------------------------------------------------------------------------------------------------------- */

/* "/desk/audit?clinic=…" and what more there is. */
static void way_write(struct page *p, const struct audit_view *v, int month, int64_t before, const char *words)
{
    char value[MOMENT];
    raw(p, "<a href=\"/desk/audit?clinic=");
    text(p, v->clinic->id); /* a key of the configuration: letters, digits, - */
    if (!v->person)
        query_add(p, "month", month_text(month, value));
    snprintf(value, sizeof value, "%lld", (long long)v->person);
    query_add(p, "person", v->person ? value : "");
    snprintf(value, sizeof value, "%lld", (long long)before);
    query_add(p, "before", before ? value : "");
    raw(p, "\">");
    text(p, words);
    raw(p, "</a>\n");
}

static void months_write(struct page *p, const struct audit_view *v)
{
    char words[MOMENT];
    raw(p, "<p class=\"pages\">");
    way_write(p, v, v->month - 1, 0, month_said(v->month - 1, words));
    raw(p, "<b>");
    text(p, month_said(v->month, words));
    raw(p, "</b>\n");
    if (month_begins(v->clinic, v->month + 1) <= p->now)
        way_write(p, v, v->month + 1, 0, month_said(v->month + 1, words));
    raw(p, "</p>\n");
}

static void about_write(struct page *p, const struct audit_view *v)
{
    char digits[24];
    snprintf(digits, sizeof digits, "%lld", (long long)v->person);
    raw(p, "<p>");
    say_of(p, AUDIT_OF_PERSON, digits);
    raw(p, " <a href=\"/desk/audit?clinic=");
    text(p, v->clinic->id);
    raw(p, "\">");
    say(p, AUDIT_WHOLE);
    raw(p, "</a></p>\n");
}

static void audit_show(struct page *p, const struct audit_view *v, const struct audit_entry *list, size_t n)
{
    page_begin(p, WORD_AUDIT_TITLE, v->clinic->name);
    raw(p, "<p class=\"second\">");
    say(p, AUDIT_HOW);
    raw(p, "</p>\n");
    clinic_form(p, "/desk/audit", v->clinic);
    if (v->person)
        about_write(p, v);
    else
        months_write(p, v);
    if (n) {
        table_write(p, v->clinic, list, n);
    } else {
        raw(p, "<p class=\"empty\">");
        say(p, AUDIT_NONE);
        raw(p, "</p>\n");
    }
    if (n == AUDIT_ROWS) {
        raw(p, "<p class=\"pages\">");
        way_write(p, v, v->month, list[n - 1].seq, word(WORD_EARLIER));
        raw(p, "</p>\n");
    }
    page_end(p);
}

void audit_page(struct page *p)
{
    struct audit_view v;
    struct audit_entry *list = NULL;
    size_t n = 0;
    if (!view_read(p, &v) || audit_list(p->db, &v.q, AUDIT_ROWS, &list, &n)) {
        page_unstored(p);
        return;
    }
    p->clinic = v.clinic;
    if (page_audit(p, 0, v.clinic->id, "saw", "audit"))
        audit_show(p, &v, list, n);
    free(list);
}
