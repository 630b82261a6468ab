/* Alert: one alert on a page: what it is about, who took it, the form that resolves it; and, printable, everything that
 * was said, sent and done in its episode, in order.
 *
 * An episode runs from an hour before the alert to a day after its end: what led to it and what came of it.
 */
#include "gateway/web/desk/pages.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { EPISODE_BEFORE = 3600, EPISODE_AFTER = 86400, EPISODE_TEXTS = 400 };

static const char *alert_path(const struct page *p, char path[64])
{
    snprintf(path, 64, "/desk/alert/%lld", (long long)p->alert.id);
    return path;
}

/* -- what happened ----------------------------------------------------------------------------------------------------------------- */

struct happening {
    int64_t at;
    enum { FROM_PATIENT, TO_PATIENT, TO_STAFF, RAISED, TAKEN, RESOLVED } what;
    const char *words, *who, *state;
};

static int by_time(const void *a, const void *b)
{
    const struct happening *x = a, *y = b;
    if (x->at != y->at)
        return x->at < y->at ? -1 : 1;
    return (int)x->what - (int)y->what;
}

static enum word state_word(enum outgoing_state s)
{
    static const enum word words[OUTGOING_STATE_COUNT] = {WORD_OUT_WAITING, WORD_OUT_SENT,     WORD_OUT_DELIVERED,
                                                          WORD_OUT_FAILED,  WORD_OUT_GIVEN_UP, WORD_OUT_CANCELLED};
    return words[s];
}

enum word outgoing_word(enum outgoing_state s)
{
    return state_word(s);
}

static void happening_write(struct page *p, const struct happening *h)
{
    static const enum word whats[] = {WORD_FROM_PATIENT, WORD_TO_PATIENT, WORD_TO_STAFF,
                                      WORD_RAISED,       WORD_TAKEN,      WORD_RESOLVED};
    char exact[MOMENT];
    raw(p, "<tr><td>");
    text(p, when_exact(p->clinic, h->at, exact));
    raw(p, "</td><th scope=\"row\">");
    text(p, word(whats[h->what]));
    if (h->who && h->who[0]) {
        raw(p, " ");
        name(p, h->who);
    }
    raw(p, "</th><td>");
    name(p, h->words ? h->words : word(WORD_TEXT_FORGOTTEN));
    raw(p, "</td><td>");
    text(p, h->state ? h->state : "");
    raw(p, "</td></tr>\n");
}

struct episode {
    struct stored_text *texts;
    struct outgoing *sent;
    size_t n_texts, n_sent;
    struct happening *list;
    size_t n;
    int64_t from, to;
};

static void happened(struct episode *e, struct happening h)
{
    if (h.at != INSTANT_NONE && h.at >= e->from && h.at < e->to)
        e->list[e->n++] = h;
}

static void episode_collect(const struct page *p, struct episode *e)
{
    const struct alert *a = &p->alert;
    for (size_t i = 0; i < e->n_texts; i++)
        happened(e, (struct happening){e->texts[i].received, FROM_PATIENT, e->texts[i].body, NULL, NULL});
    for (size_t i = 0; i < e->n_sent; i++) {
        const struct outgoing *o = &e->sent[i];
        bool staff = o->alert == a->id && strcmp(o->to, p->person.phone) != 0;
        if (o->class_ == CLASS_SUMMARY || (o->alert && o->alert != a->id && strcmp(o->to, p->person.phone) != 0))
            continue;
        happened(e, (struct happening){o->created, staff ? TO_STAFF : TO_PATIENT, o->body, staff ? o->to : NULL,
                                       word(state_word(o->state))});
    }
    happened(e, (struct happening){a->at, RAISED, cause_words(a->cause), NULL, word(level_word(a->level))});
    happened(e, (struct happening){a->taken_at, TAKEN, "", a->taken_by, NULL});
    happened(e, (struct happening){a->resolved_at, RESOLVED, a->outcome, a->resolved_by, NULL});
    qsort(e->list, e->n, sizeof *e->list, by_time);
}

static bool episode_load(struct page *p, struct episode *e)
{
    const struct alert *a = &p->alert;
    e->from = a->at - EPISODE_BEFORE;
    e->to = a->resolved_at == INSTANT_NONE ? INT64_MAX : a->resolved_at + EPISODE_AFTER;
    if (texts_of_person(p->db, a->person, e->from, EPISODE_TEXTS, &e->texts, &e->n_texts) ||
        outbox_of_person(p->db, a->person, e->from, EPISODE_TEXTS, &e->sent, &e->n_sent))
        return false;
    e->list = calloc(e->n_texts + e->n_sent + 3, sizeof *e->list);
    if (e->list)
        episode_collect(p, e);
    return e->list;
}

static void episode_free(struct episode *e)
{
    for (size_t i = 0; i < e->n_texts; i++)
        free(e->texts[i].body);
    free(e->texts);
    free(e->sent);
    free(e->list);
}

static void episode_write(struct page *p, const struct episode *e)
{
    raw(p, "<section>\n<h2>");
    say(p, EPISODE);
    raw(p, "</h2>\n<div class=\"scroll\" tabindex=\"0\" role=\"region\" aria-label=\"");
    say(p, EPISODE);
    raw(p, "\"><table>\n<caption>");
    say_of(p, TIMES_ARE, p->clinic->zone);
    raw(p, "</caption>\n<thead><tr><th scope=\"col\">");
    say(p, TIME);
    raw(p, "</th><th scope=\"col\">");
    say(p, WHO);
    raw(p, "</th><th scope=\"col\">");
    say(p, WORDS);
    raw(p, "</th><th scope=\"col\">");
    say(p, STATE);
    raw(p, "</th></tr></thead>\n<tbody>\n");
    for (size_t i = 0; i < e->n; i++)
        happening_write(p, &e->list[i]);
    raw(p, "</tbody></table></div>\n</section>\n");
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
    when(p, p->clinic, a->at);
    raw(p, "</p>\n<p>");
    if (a->resolved_at != INSTANT_NONE) {
        say_of(p, RESOLVED_BY, a->resolved_by);
        raw(p, " ");
        when(p, p->clinic, a->resolved_at);
        raw(p, "</p>\n<p class=\"note settled\">");
        name(p, a->outcome);
    } else if (a->taken_at != INSTANT_NONE) {
        say_of(p, TAKEN_BY, a->taken_by);
        raw(p, " ");
        when(p, p->clinic, a->taken_at);
    } else {
        say(p, NOT_TAKEN);
    }
    raw(p, "</p>\n<p>");
    say_of(p, PHONE_OF_PATIENT, p->person.phone);
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
    raw(p, "<section>\n<h2>");
    say(p, RESOLVE);
    raw(p, "</h2>\n");
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
    struct episode e = {0};
    char who[REF_MAX + NAME_MAX_BYTES + 8];
    if (!episode_load(p, &e)) {
        episode_free(&e);
        page_unstored(p);
        return;
    }
    page_begin(p, WORD_ALERT_TITLE, person_words(&p->person, who, sizeof who));
    fault_write(p, fault);
    said_write(p);
    raw(p, "<p>");
    person_link(p, &p->person);
    raw(p, "</p>\n");
    state_write(p);
    forms_write(p, fault);
    episode_write(p, &e);
    page_end(p);
    episode_free(&e);
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
