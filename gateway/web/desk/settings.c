/* Settings: as they are in force; and texts that came to no clinic.
 *
 * They are shown, not changed: they live in the configuration. Secrets are never shown.
 */
#include "gateway/web/desk/pages.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

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

static void hours_settings(struct page *p, const struct clinic *c)
{
    static const enum word days[7] = {WORD_MON, WORD_TUE, WORD_WED, WORD_THU, WORD_FRI, WORD_SAT, WORD_SUN};
    char value[MOMENT];
    for (int i = 0; i < 7; i++) {
        const struct span *s = &c->hours[i];
        if (s->from == s->to)
            continue;
        snprintf(value, sizeof value, "%s %02d:%02d-%02d:%02d", word(days[i]), s->from / 60, s->from % 60, s->to / 60, s->to % 60);
        setting(p, "hours", value);
    }
    for (int i = 0; i < c->n_closed; i++)
        setting(p, "closed", day_exact(c->closed[i], value));
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
    hours_settings(p, c);
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
    snprintf(value, sizeof value, "%d", c->nudge_after);
    setting(p, "nudge_after", value);
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
    section_begin(p, WORD_NOBODYS);
    raw(p, "<ul class=\"talk\">\n");
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
    }
    raw(p, "</ul>\n</section>\n");
    texts_free(list, n);
}

void settings_page(struct page *p)
{
    if (!page_audit(p, 0, p->me.clinic, "saw", "settings"))
        return;
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
