/* Episode: everything that was said, sent and done around one alert, in order, for the alert's page and for paper.
 *
 * It runs from an hour before the alert to a day after its end: what led to it and what came of it. Nothing of it is left
 * out for being much: copies of an alert that went to one of the staff again and again are one row that says how often.
 */
#include "gateway/web/desk/pages.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { BEFORE = 3600, AFTER = 86400, TEXTS = 1000, COPIES = 64, DEEDS = 200 };

struct happening {
    int64_t at;
    enum { FROM_PATIENT, TO_PATIENT, RAISED, TO_STAFF, DID, RESOLVED } what;
    const char *words, *more, *who;
    enum word state;
    const struct alert_copies *copies;
};

struct episode {
    struct stored_text *texts;
    struct outgoing *sent, *first;  /* first: of each of the copies */
    struct alert *alerts;
    struct audit_entry *deeds;
    size_t n_texts, n_sent, n_alerts, n_deeds, n_copies;
    struct alert_copies copies[COPIES];
    struct happening *list;
    size_t n;
    int64_t from, to;
};

/* -- loading -------------------------------------------------------------------------------------------------------------------- */

static void happened(struct episode *e, struct happening h)
{
    if (h.at != INSTANT_NONE && h.at >= e->from && h.at < e->to)
        e->list[e->n++] = h;
}

static int by_time(const void *a, const void *b)
{
    const struct happening *x = a, *y = b;
    if (x->at != y->at)
        return x->at < y->at ? -1 : 1;
    return (int)x->what - (int)y->what;
}

/* Looking and exporting is in the audit; here stands what was done. An action of the desk on an alert is told twice there. */
static bool is_deed(const struct audit_entry *d)
{
    static const char *const others[] = {"saw", "exported", "take", "resolve", "skipped"};
    for (size_t i = 0; i < sizeof others / sizeof *others; i++)
        if (strcmp(d->action, others[i]) == 0)
            return false;
    return true;
}

static void collect(struct episode *e)
{
    for (size_t i = 0; i < e->n_texts; i++)
        happened(e, (struct happening){e->texts[i].received, FROM_PATIENT, .words = e->texts[i].body});
    for (size_t i = 0; i < e->n_sent; i++)
        happened(e, (struct happening){e->sent[i].created, TO_PATIENT, .words = e->sent[i].body[0] ? e->sent[i].body : NULL,
                                       .state = outgoing_word(e->sent[i].state)});
    for (size_t i = 0; i < e->n_copies; i++)
        happened(e, (struct happening){e->copies[i].first, TO_STAFF, .words = e->first[i].body[0] ? e->first[i].body : NULL,
                                       .who = e->copies[i].to, .state = outgoing_word(e->copies[i].state),
                                       .copies = &e->copies[i]});
    for (size_t i = 0; i < e->n_alerts; i++) {
        const struct alert *a = &e->alerts[i];
        happened(e, (struct happening){a->at, RAISED, .words = cause_words(a->cause), .state = level_word(a->level)});
        happened(e, (struct happening){a->resolved_at, RESOLVED, .words = a->outcome, .who = a->resolved_by});
    }
    for (size_t i = 0; i < e->n_deeds; i++)
        if (is_deed(&e->deeds[i]))
            happened(e, (struct happening){e->deeds[i].at, DID, .words = action_words(e->deeds[i].action),
                                           .who = e->deeds[i].who,
                                           .more = strcmp(e->deeds[i].action, "state") == 0 ? e->deeds[i].detail : NULL});
    qsort(e->list, e->n, sizeof *e->list, by_time);
}

static bool deeds_load(struct page *p, struct episode *e)
{
    struct audit_query q = {.person = p->alert.person};
    return !audit_at(p->db, e->from, &q.from) && !audit_at(p->db, e->to, &q.before) &&
           !audit_list(p->db, &q, DEEDS, &e->deeds, &e->n_deeds);
}

static bool firsts_load(struct page *p, struct episode *e)
{
    bool found, good = !outbox_copies(p->db, p->alert.id, e->copies, COPIES, &e->n_copies);
    e->first = calloc(e->n_copies + 1, sizeof *e->first);
    for (size_t i = 0; good && e->first && i < e->n_copies; i++)
        good = !outbox_get(p->db, e->copies[i].outgoing, &e->first[i], &found);
    return good && e->first;
}

static bool episode_load(struct page *p, struct episode *e)
{
    const struct alert *a = &p->alert;
    e->from = a->at - BEFORE;
    e->to = a->resolved_at == INSTANT_NONE ? INT64_MAX : a->resolved_at + AFTER;
    if (texts_of_person(p->db, a->person, e->from, e->to, TEXTS, &e->texts, &e->n_texts) ||
        outbox_said(p->db, a->person, e->from, e->to, TEXTS, &e->sent, &e->n_sent) ||
        alerts_of_person(p->db, a->person, e->from, e->to, &e->alerts, &e->n_alerts) || !deeds_load(p, e) ||
        !firsts_load(p, e))
        return false;
    e->list = calloc(e->n_texts + e->n_sent + e->n_copies + 2 * e->n_alerts + e->n_deeds + 1, sizeof *e->list);
    if (e->list)
        collect(e);
    return e->list;
}

static void episode_free(struct episode *e)
{
    texts_free(e->texts, e->n_texts);
    free(e->sent);
    free(e->first);
    free(e->alerts);
    free(e->deeds);
    free(e->list);
}

/* -- writing -------------------------------------------------------------------------------------------------------------------- */

static void who_write(struct page *p, const struct happening *h)
{
    static const enum word whats[] = {WORD_FROM_PATIENT, WORD_TO_PATIENT, WORD_RAISED,
                                      WORD_TO_STAFF,     WORD_NONE,       WORD_RESOLVED};
    text(p, word(whats[h->what]));
    if (!h->who || !h->who[0])
        return;
    if (whats[h->what])
        raw(p, " ");
    name(p, strcmp(h->who, "care") == 0 ? word(WORD_BY_ITSELF) : h->who);
}

static void state_write(struct page *p, const struct happening *h)
{
    char n[24], exact[MOMENT];
    text(p, word(h->state));
    if (!h->copies || h->copies->n < 2)
        return;
    snprintf(n, sizeof n, "%lld", (long long)h->copies->n);
    raw(p, "; ");
    say_of(p, COPIES_UNTIL, n, when_exact(p->clinic, h->copies->last, exact));
}

static void happening_write(struct page *p, const struct happening *h)
{
    char exact[MOMENT];
    raw(p, "<tr><td>");
    text(p, when_exact(p->clinic, h->at, exact));
    raw(p, "</td><th scope=\"row\">");
    who_write(p, h);
    raw(p, "</th><td>");
    if (h->words && !h->words[0] && h->what == FROM_PATIENT)
        say(p, TEXT_EMPTY);
    else
        name(p, h->words ? h->words : word(WORD_TEXT_FORGOTTEN));
    if (h->more) {
        raw(p, " ");
        name(p, h->more);
    }
    raw(p, "</td><td>");
    state_write(p, h);
    raw(p, "</td></tr>\n");
}

static void table_write(struct page *p, const struct episode *e)
{
    section_begin(p, WORD_EPISODE);
    raw(p, "<div class=\"scroll\" tabindex=\"0\" role=\"region\" aria-label=\"");
    say(p, EPISODE);
    raw(p, "\"><table class=\"episode\">\n<caption>");
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

void episode_write(struct page *p)
{
    struct episode *e = calloc(1, sizeof *e);
    if (e && episode_load(p, e))
        table_write(p, e);
    else
        p->out.failed = true;
    if (e)
        episode_free(e);
    free(e);
}
