/* Alert: one alert on a page: what it is about, whom to ring, who took it, the form that resolves it; below, printable, its
 * episode.
 *
 * Taking and resolving is decided by the writer: of two people the second is told, and what they wrote is given back.
 */
#include "gateway/web/desk/pages.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *alert_path(const struct page *p, char path[64])
{
    snprintf(path, 64, "/desk/alert/%lld", (long long)p->alert.id);
    return path;
}

/* -- the page ------------------------------------------------------------------------------------------------------------------------ */

static void state_write(struct page *p)
{
    const struct alert *a = &p->alert;
    raw(p, "<p class=\"what\"><strong class=\"badge urgent\">");
    text(p, word(level_word(a->level)));
    raw(p, "</strong> ");
    text(p, cause_words(a->cause));
    raw(p, " ");
    when_ago(p, p->clinic, a->at);
    raw(p, "</p>\n<p>");
    if (a->resolved_at != INSTANT_NONE) {
        say_of(p, RESOLVED_BY, a->resolved_by);
        raw(p, " <span class=\"second\">");
        when(p, p->clinic, a->resolved_at);
        raw(p, "</span></p>\n<p class=\"note settled\">");
        name(p, a->outcome);
    } else if (a->taken_at != INSTANT_NONE) {
        say_of(p, TAKEN_BY, a->taken_by);
        raw(p, " <span class=\"second\">");
        when(p, p->clinic, a->taken_at);
        raw(p, "</span>");
    } else {
        say(p, NOT_TAKEN);
    }
    raw(p, "</p>\n<p>");
    say(p, PHONE_OF_PATIENT);
    raw(p, " ");
    tel_write(p, &p->person);
    raw(p, "</p>\n");
}

static void forms_write(struct page *p, enum word fault)
{
    const struct alert *a = &p->alert;
    if (a->resolved_at != INSTANT_NONE || !(p->role & ROLE_CARE))
        return;
    if (a->taken_at == INSTANT_NONE) {
        form_begin(p, "/desk/alert/", a->id, "/take");
        form_end(p, WORD_TAKE, "main");
    }
    section_begin(p, WORD_RESOLVE);
    form_begin(p, "/desk/alert/", a->id, "/resolve");
    field_write(p, &(struct control){.name = "note", .label = WORD_OUTCOME, .hint = WORD_OUTCOME_HINT, .rows = 3, .needed = true,
                                   .error = fault ? word(fault) : NULL});
    form_end(p, WORD_RESOLVE, "main");
    raw(p, "</section>\n");
    if (a->taken_at != INSTANT_NONE) {
        form_begin(p, "/desk/alert/", a->id, "/reopen");
        form_end(p, WORD_REOPEN, "");
    }
}

static void alert_show(struct page *p, enum word fault)
{
    char who[REF_MAX + NAME_MAX_BYTES + 8];
    page_begin(p, WORD_ALERT_TITLE, person_words(&p->person, who, sizeof who));
    fault_write(p, fault);
    said_write(p);
    raw(p, "<p>");
    person_link(p, &p->person);
    raw(p, "</p>\n");
    state_write(p);
    forms_write(p, fault);
    episode_write(p);
    page_end(p);
}

void alert_page(struct page *p)
{
    char detail[48];
    snprintf(detail, sizeof detail, "alert %lld", (long long)p->alert.id);
    if (page_audit(p, p->person.id, p->person.clinic, "saw", detail))
        alert_show(p, WORD_NONE);
}

/* -- doing ------------------------------------------------------------------------------------------------------------------------ */

static void alert_act(struct page *p, struct care_action *a, const char *to)
{
    char back[64];
    bool answered;
    a->id = p->alert.id;
    a->version = -1;
    enum care_answer answer = page_act(p, p->person.id, a, &answered);
    if (!answered)
        acted(p, answer, to, alert_path(p, back));
}

void alert_take_do(struct page *p)
{
    char to[96];
    snprintf(to, sizeof to, "/desk/alert/%lld?said=taken", (long long)p->alert.id);
    alert_act(p, &(struct care_action){.kind = ACTION_TAKE}, to);
}

void alert_resolve_do(struct page *p)
{
    struct care_action a = {.kind = ACTION_RESOLVE};
    if (note_needed(p, "note", a.note, sizeof a.note))
        alert_act(p, &a, "/desk/list?said=resolved");
    else
        alert_show(p, WORD_OUTCOME_MISSING);
}

void alert_reopen_do(struct page *p)
{
    alert_act(p, &(struct care_action){.kind = ACTION_REOPEN}, "/desk/list?said=reopened");
}
