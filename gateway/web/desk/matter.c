/* Matter: one patient on the list: the worst of what is open, in full, with what to do about it; the rest below, a line
 * each.
 */
#include "gateway/web/desk/list.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { ALSO_MOST = 6, QUOTE_MOST = 320 };

/* Red: an alert, or what has waited too long. */
static bool item_red(const struct item *i)
{
    return i->alert || row_kind(i->row->kind)->red;
}

/* -- one matter --------------------------------------------------------------------------------------------------------------------- */

static void taken_write(struct page *p, const char *by)
{
    if (!by[0])
        return;
    raw(p, " <span class=\"taken\">");
    if (strcmp(by, p->me.user) == 0)
        say(p, TAKEN_BY_YOU);
    else
        say_of(p, TAKEN_BY, by);
    raw(p, "</span>");
}

static void alert_actions(struct page *p, const struct alert *a)
{
    if (a->taken_at == INSTANT_NONE && (p->role & ROLE_CARE)) {
        form_begin(p, "/desk/alert/", a->id, "/take");
        form_end(p, WORD_TAKE, "main");
    }
    link_to(p, "/desk/alert/", a->id, "", word(a->taken_at == INSTANT_NONE ? WORD_OPEN : WORD_RESOLVE));
}

static void alert_item(struct page *p, const struct clinic *c, const struct alert *a)
{
    raw(p, "<p class=\"what\"><strong class=\"badge urgent\">");
    text(p, word(level_word(a->level)));
    raw(p, "</strong> ");
    text(p, cause_words(a->cause));
    raw(p, " ");
    when_ago(p, c, a->at);
    taken_write(p, a->taken_by);
    raw(p, "</p>\n");
    task_write(p, a->taken_at == INSTANT_NONE ? WORD_DO_ALERT : WORD_DO_ALERT_TAKEN);
}

static void row_actions(struct page *p, const struct desk_row *d)
{
    row_go(p, d, false);
    raw(p, " ");
    if (row_may_be_done(p, d->kind)) {
        form_begin(p, "/desk/row/", d->id, "/done");
        hidden_number(p, "version", d->version);
        form_end(p, WORD_DONE, "");
    }
    if (row_kind(d->kind)->ask != TO_ANSWER || !(p->role & ROLE_CARE))
        link_to(p, "/desk/row/", d->id, "", word(WORD_MORE));
}

/* What was understood of a held reading, and why it is held. */
static void held_write(struct page *p, int64_t id)
{
    struct reading x;
    char words[MOMENT];
    bool found = false;
    if (!id || reading_get(p->db, id, &x, &found) || !found)
        return;
    raw(p, "<p>");
    say(p, UNDERSTOOD);
    raw(p, " <b>");
    text(p, pressure_words(&x, words));
    raw(p, "</b>: ");
    held_words(p, x.held);
    raw(p, "</p>\n");
}

static void row_item(struct page *p, const struct clinic *c, const struct desk_row *d, bool whole)
{
    const struct row_kind *k = row_kind(d->kind);
    raw(p, "<p class=\"what\"><strong class=\"badge");
    if (k->red)
        raw(p, " urgent");
    else if (d->rank <= 1)
        raw(p, " attention");
    raw(p, "\">");
    text(p, word(k->what));
    raw(p, "</strong> ");
    text(p, d->note);
    raw(p, " ");
    when(p, c, d->at);
    if (d->put_off_until != INSTANT_NONE && d->put_off_until > p->now) {
        raw(p, ", ");
        say(p, PUT_OFF_TO);
        raw(p, " ");
        when(p, c, d->put_off_until);
    }
    taken_write(p, d->taken_by);
    raw(p, "</p>\n");
    if (!whole)
        return;
    quote_write(p, c, d->text, QUOTE_MOST);
    if (k->ask == TO_DECIDE)
        held_write(p, d->reading);
    task_write(p, k->task);
}

/* -- one patient ------------------------------------------------------------------------------------------------------------------- */

static void item_write(struct page *p, const struct clinic *c, const struct item *item, bool whole)
{
    if (item->alert)
        alert_item(p, c, item->alert);
    else
        row_item(p, c, item->row, whole);
}

static void item_actions(struct page *p, const struct item *item)
{
    if (item->alert)
        alert_actions(p, item->alert);
    else
        row_actions(p, item->row);
}

static void also_write(struct page *p, const struct list *l, size_t first, const struct clinic *c)
{
    int n = 0;
    char digits[16], words[48];
    for (size_t i = first + 1; i < l->n; i++) {
        const struct item *item = &l->items[i];
        if (item->person != l->items[first].person || ++n > ALSO_MOST)
            continue;
        raw(p, "<li><div>");
        item_write(p, c, item, false);
        raw(p, "</div><div class=\"do\">");
        item_actions(p, item);
        raw(p, "</div></li>\n");
    }
    if (n <= ALSO_MOST)
        return;
    snprintf(digits, sizeof digits, "%d", n - ALSO_MOST);
    raw(p, "<li>");
    link_to(p, "/desk/patient/", l->items[first].person, "", words_of(words, sizeof words, WORD_AND_MORE,
                                                                     (const char *const[4]){digits}));
    raw(p, "</li>\n");
}

static bool has_also(const struct list *l, size_t first)
{
    for (size_t i = first + 1; i < l->n; i++)
        if (l->items[i].person == l->items[first].person)
            return true;
    return false;
}

static void head_write(struct page *p, const struct person *who, const struct clinic *c)
{
    raw(p, "<h2>");
    person_link(p, who);
    raw(p, "</h2>\n<p class=\"second\">");
    tel_write(p, who);
    if (!p->me.clinic[0] && c) {
        raw(p, ", ");
        name(p, c->name);
    }
    raw(p, "</p>\n");
}

static void patient_write(struct page *p, const struct list *l, size_t i)
{
    const struct item *worst = &l->items[i];
    struct person who = {0};
    bool found = false;
    if (person_get(p->db, worst->person, &who, &found) || !found)
        snprintf(who.clinic, sizeof who.clinic, "%s", worst->alert ? worst->alert->clinic : worst->row->clinic);
    const struct clinic *c = config_clinic(p->config, who.clinic);
    raw(p, "<li class=\"matter");
    if (item_red(worst))
        raw(p, " red");
    raw(p, "\">\n<div class=\"says\">\n");
    head_write(p, &who, c);
    item_write(p, c, worst, true);
    raw(p, "</div>\n<div class=\"do\">");
    item_actions(p, worst);
    raw(p, "</div>\n");
    if (has_also(l, i)) {
        raw(p, "<ul class=\"also\">\n");
        also_write(p, l, i, c);
        raw(p, "</ul>\n");
    }
    raw(p, "</li>\n");
}

void matters_write(struct page *p, const struct list *l, size_t skip)
{
    size_t n = 0;
    raw(p, "<ol class=\"matters\">\n");
    for (size_t i = 0; i < l->n && n < skip + LIST_PATIENTS; i++) {
        if (!l->items[i].first)
            continue;
        if (n++ >= skip)
            patient_write(p, l, i);
    }
    raw(p, "</ol>\n");
}
