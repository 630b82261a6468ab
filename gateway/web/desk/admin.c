/* Admin: the audit, and the settings as they are in force.
 *
 * Settings are shown, not changed: they live in the configuration. Secrets are never shown.
 */
#include "gateway/web/desk/pages.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { AUDIT_ROWS = 100 };

/* -- audit -------------------------------------------------------------------------------------------------------------------------- */

static void audit_row(struct page *p, const struct audit_entry *e)
{
    char exact[MOMENT];
    raw(p, "<tr><td class=\"figure\">");
    number(p, e->seq);
    raw(p, "</td><td>");
    text(p, when_exact(p->clinic, e->at, exact));
    raw(p, "</td><td>");
    name(p, e->who);
    raw(p, "</td><td>");
    name(p, e->action);
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

void audit_page(struct page *p)
{
    char value[24];
    int64_t before = INT64_MAX;
    struct audit_entry *list = NULL;
    size_t n = 0;
    const struct clinic *c = p->clinic = page_clinic_chosen(p);
    if (!whole_read(query_value(p, "before", value, sizeof value), 1, INT64_MAX, &before))
        before = INT64_MAX;
    if (!c || audit_list(p->db, c->id, 0, before, AUDIT_ROWS, &list, &n)) {
        page_unstored(p);
        return;
    }
    page_begin(p, WORD_AUDIT_TITLE, c->name);
    raw(p, "<p class=\"second\">");
    say(p, AUDIT_HOW);
    raw(p, "</p>\n<div class=\"scroll\" tabindex=\"0\" role=\"region\" aria-label=\"");
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
    say(p, ACTION);
    raw(p, "</th><th scope=\"col\">");
    say(p, ABOUT);
    raw(p, "</th></tr></thead>\n<tbody>\n");
    for (size_t i = 0; i < n; i++)
        audit_row(p, &list[i]);
    raw(p, "</tbody></table></div>\n");
    if (n == AUDIT_ROWS) {
        raw(p, "<p class=\"pages\"><a href=\"/desk/audit?before=");
        number(p, list[n - 1].seq);
        query_add(p, "clinic", c->id);
        raw(p, "\">");
        say(p, EARLIER);
        raw(p, "</a></p>\n");
    }
    page_end(p);
    free(list);
}

/* -- settings ---------------------------------------------------------------------------------------------------------------------- */

static void setting(struct page *p, const char *key, const char *value)
{
    if (!value[0])
        return;
    raw(p, "<dt><code>");
    text(p, key);
    raw(p, "</code></dt><dd>");
    name(p, value);
    raw(p, "</dd>\n");
}

static void setting_list(struct page *p, const char *key, const char (*list)[TARGET_MAX])
{
    for (int i = 0; i < TARGETS_MAX; i++)
        setting(p, key, list[i]);
}

static void setting_minute(struct page *p, const char *key, int16_t minute)
{
    char value[16];
    snprintf(value, sizeof value, "%02d:%02d", minute / 60, minute % 60);
    setting(p, key, value);
}

static void setting_span(struct page *p, const char *key, const struct span *s)
{
    char value[32];
    snprintf(value, sizeof value, "%02d:%02d-%02d:%02d", s->from / 60, s->from % 60, s->to / 60, s->to % 60);
    setting(p, key, value);
}

static void clinic_settings(struct page *p, const struct clinic *c)
{
    char value[16];
    raw(p, "<section>\n<h2>");
    name(p, c->name);
    raw(p, "</h2>\n<dl class=\"facts\">\n");
    setting(p, "clinic", c->id);
    setting(p, "text_number", c->text_number);
    setting(p, "voice_number", c->voice_number);
    setting(p, "out_of_hours", c->out_of_hours);
    setting(p, "emergency", c->emergency);
    setting(p, "maternity", c->maternity);
    setting(p, "crisis", c->crisis);
    setting(p, "time_zone", c->zone);
    setting(p, "language", c->bilingual ? "en+es" : c->language);
    setting(p, "protocol", c->protocol_name);
    setting_span(p, "morning", &c->morning);
    setting_span(p, "evening", &c->evening);
    setting_minute(p, "remind_morning", c->remind_morning);
    setting_minute(p, "remind_evening", c->remind_evening);
    setting_span(p, "quiet", &c->quiet);
    setting(p, "hold_start", c->hold_start ? "yes" : "no");
    setting_list(p, "alert_to", c->alert_to);
    setting_list(p, "alert_out_of_hours", c->alert_out_of_hours);
    setting_list(p, "alert_backup", c->alert_backup);
    snprintf(value, sizeof value, "%d", c->alert_again);
    setting(p, "alert_again", value);
    setting_list(p, "summary_to", c->summary_to);
    raw(p, "</dl>\n</section>\n");
}

/* Texts that are nobody's: a carrier's mistake, or a number of ours that the configuration does not have. */
static void nobody_write(struct page *p)
{
    enum { LATEST = 50 };
    struct stored_text *list = NULL;
    size_t n = 0;
    if (p->me.clinic[0] || texts_of_nobody(p->db, 0, LATEST, &list, &n) || !n)
        return;
    raw(p, "<section>\n<h2>");
    say(p, NOBODYS);
    raw(p, "</h2>\n<ul class=\"talk\">\n");
    for (size_t i = 0; i < n; i++) {
        raw(p, "<li><p class=\"second\">");
        name(p, list[i].from);
        raw(p, " → ");
        name(p, list[i].to);
        raw(p, " ");
        when(p, page_clinic_chosen(p), list[i].received);
        raw(p, "</p><p>");
        name(p, list[i].body ? list[i].body : word(WORD_TEXT_FORGOTTEN));
        raw(p, "</p></li>\n");
        free(list[i].body);
    }
    raw(p, "</ul>\n</section>\n");
    free(list);
}

void settings_page(struct page *p)
{
    page_begin(p, WORD_SETTINGS, NULL);
    raw(p, "<p class=\"second\">");
    say(p, SETTINGS_HOW);
    raw(p, "</p>\n");
    for (size_t i = 0; i < p->config->n_clinics; i++)
        if (page_sees(p, p->config->clinics[i].id))
            clinic_settings(p, &p->config->clinics[i]);
    nobody_write(p);
    page_end(p);
}
