/* The list: what needs a person now, most urgent first. A patient is there once, with the worst first and the rest below.
 *
 * It refreshes itself; nothing is written on it, so that nothing half-written is lost. It holds no more rows than anyone
 * could work through: LIST_PATIENTS patients, of at most ROWS_MOST rows a clinic; the counts say when there are more.
 */
#include "gateway/web/desk/pages.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { ROWS_MOST = 2000, ALERTS_MOST = 500, ALSO_MOST = 6 };

struct item {
    int rank;                      /* alerts first: 0 emergency, 1 urgent; then 10 + the row's */
    int64_t at, person;
    const struct alert *alert;     /* one of the two */
    const struct desk_row *row;
    bool shown;
};

struct list {
    struct item *items;
    size_t n, cap;
    struct alert *alerts[64];      /* of each clinic, malloced */
    struct desk_row *rows[64];
    size_t n_clinics;
    bool more;                     /* not all rows were loaded */
};

/* -- loading -------------------------------------------------------------------------------------------------------------------- */

static bool item_add(struct list *l, struct item item)
{
    if (l->n == l->cap) {
        size_t cap = l->cap ? 2 * l->cap : 128;
        struct item *grown = realloc(l->items, cap * sizeof *grown);
        if (!grown)
            return false;
        l->items = grown;
        l->cap = cap;
    }
    l->items[l->n++] = item;
    return true;
}

static bool clinic_load(struct page *p, struct list *l, const char *clinic)
{
    size_t n_alerts = 0, n_rows = 0, i = l->n_clinics++;
    bool good = !alerts_list(p->db, clinic, ALERTS_MOST, &l->alerts[i], &n_alerts) &&
                !desk_list(p->db, clinic, p->now, ROWS_MOST, &l->rows[i], &n_rows);
    for (size_t k = 0; k < n_alerts && good; k++) {
        const struct alert *a = &l->alerts[i][k];
        good = item_add(l, (struct item){a->level == ALERT_EMERGENCY ? 0 : 1, a->at, a->person, .alert = a});
    }
    for (size_t k = 0; k < n_rows && good; k++) {
        const struct desk_row *d = &l->rows[i][k];
        good = item_add(l, (struct item){10 + d->rank, d->at, d->person, .row = d});
    }
    l->more = l->more || n_rows == ROWS_MOST || n_alerts == ALERTS_MOST;
    return good;
}

static int by_urgency(const void *a, const void *b)
{
    const struct item *x = a, *y = b;
    if (x->rank != y->rank)
        return x->rank - y->rank;
    return x->at < y->at ? -1 : x->at > y->at;
}

static bool list_load(struct page *p, struct list *l)
{
    bool good = true;
    size_t most = sizeof l->alerts / sizeof *l->alerts;
    for (size_t i = 0; i < p->config->n_clinics && good && l->n_clinics < most; i++)
        if (page_sees(p, p->config->clinics[i].id))
            good = clinic_load(p, l, p->config->clinics[i].id);
    if (good && l->n)
        qsort(l->items, l->n, sizeof *l->items, by_urgency);
    return good;
}

static void list_free(struct list *l)
{
    for (size_t i = 0; i < l->n_clinics; i++) {
        free(l->alerts[i]);
        free(l->rows[i]);
    }
    free(l->items);
}

/* -- what each kind asks of a person --------------------------------------------------------------------------------------------- */

enum ask_of { TO_LOOK, TO_ANSWER, TO_DECIDE, TO_REVIEW };

static const struct {
    enum word what;
    enum ask_of ask;
} kinds[DESK_KIND_COUNT] = {
    [DESK_ASKS] = {WORD_ROW_ASKS, TO_ANSWER},
    [DESK_UNREADABLE] = {WORD_ROW_UNREADABLE, TO_ANSWER},
    [DESK_HELD] = {WORD_ROW_HELD, TO_DECIDE},
    [DESK_MEDICINE] = {WORD_ROW_MEDICINE, TO_ANSWER},
    [DESK_PREGNANT] = {WORD_ROW_PREGNANT, TO_LOOK},
    [DESK_CAME_DOWN] = {WORD_ROW_CAME_DOWN, TO_LOOK},
    [DESK_SYMPTOM] = {WORD_ROW_SYMPTOM, TO_ANSWER},
    [DESK_FLAG_PAST] = {WORD_ROW_FLAG_PAST, TO_ANSWER},
    [DESK_IRREGULAR] = {WORD_ROW_IRREGULAR, TO_LOOK},
    [DESK_SILENT] = {WORD_ROW_SILENT, TO_LOOK},
    [DESK_NOT_JOINED] = {WORD_ROW_NOT_JOINED, TO_LOOK},
    [DESK_CUFF] = {WORD_ROW_CUFF, TO_LOOK},
    [DESK_MONITOR] = {WORD_ROW_MONITOR, TO_LOOK},
    [DESK_FLOOD] = {WORD_ROW_FLOOD, TO_LOOK},
    [DESK_UNDELIVERED] = {WORD_ROW_UNDELIVERED, TO_LOOK},
    [DESK_HIGH_MEAN] = {WORD_ROW_HIGH_MEAN, TO_LOOK},
    [DESK_SHORT_WEEK] = {WORD_ROW_SHORT_WEEK, TO_REVIEW},
    [DESK_WEEK_DONE] = {WORD_ROW_WEEK_DONE, TO_REVIEW},
    [DESK_NEWS] = {WORD_ROW_NEWS, TO_LOOK},
    [DESK_LEFT] = {WORD_ROW_LEFT, TO_LOOK},
    [DESK_DIED] = {WORD_ROW_DIED, TO_LOOK},
    [DESK_WRONG_NUMBER] = {WORD_ROW_WRONG_NUMBER, TO_LOOK},
    [DESK_STRANGER] = {WORD_ROW_STRANGER, TO_ANSWER},
    [DESK_SEVERE] = {WORD_ROW_SEVERE, TO_LOOK},
    [DESK_LOW] = {WORD_ROW_LOW, TO_LOOK},
    [DESK_PULSE] = {WORD_ROW_PULSE, TO_LOOK},
    [DESK_HELP] = {WORD_ROW_HELP, TO_ANSWER},
    [DESK_DECLINED] = {WORD_ROW_DECLINED, TO_LOOK},
    [DESK_UNREVIEWED] = {WORD_ROW_UNREVIEWED, TO_REVIEW},
    [DESK_SKIPPED] = {WORD_ROW_SKIPPED, TO_LOOK},
    [DESK_WHOSE] = {WORD_ROW_WHOSE, TO_ANSWER},
    [DESK_ARM] = {WORD_ROW_ARM, TO_LOOK},
};

enum word row_word(enum desk_kind kind)
{
    return kinds[kind].what;
}

/* Red: an alert, or what must be seen to today. */
static bool item_urgent(const struct item *i)
{
    return i->rank < 10;
}

/* -- the counts ------------------------------------------------------------------------------------------------------------------- */

static void count_write(struct page *p, size_t n, enum word one, enum word many)
{
    char digits[24];
    if (!n)
        return;
    snprintf(digits, sizeof digits, "%zu", n);
    raw(p, "<li>");
    page_say(p, n == 1 ? one : many, (const char *const[4]){digits});
    raw(p, "</li>\n");
}

static void counts_write(struct page *p, const struct list *l)
{
    size_t alerts = 0, asks[4] = {0};
    for (size_t i = 0; i < l->n; i++) {
        if (l->items[i].alert)
            alerts++;
        else
            asks[kinds[l->items[i].row->kind].ask]++;
    }
    raw(p, "<ul class=\"counts\">\n");
    count_write(p, alerts, WORD_COUNT_ALERT, WORD_COUNT_ALERTS);
    count_write(p, asks[TO_DECIDE], WORD_COUNT_HELD_ONE, WORD_COUNT_HELD);
    count_write(p, asks[TO_ANSWER], WORD_COUNT_ANSWER_ONE, WORD_COUNT_ANSWER);
    count_write(p, asks[TO_REVIEW], WORD_COUNT_REVIEW_ONE, WORD_COUNT_REVIEW);
    count_write(p, asks[TO_LOOK], WORD_COUNT_LOOK_ONE, WORD_COUNT_LOOK);
    raw(p, "</ul>\n");
    if (l->more) {
        raw(p, "<p class=\"second\">");
        say(p, COUNT_MORE);
        raw(p, "</p>\n");
    }
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
    when(p, c, a->at);
    taken_write(p, a->taken_by);
    raw(p, "</p>\n");
}

static void row_actions(struct page *p, const struct desk_row *d)
{
    static const enum word words[] = {WORD_LOOK, WORD_ANSWER, WORD_DECIDE, WORD_REVIEW};
    enum ask_of ask = kinds[d->kind].ask;
    if (ask == TO_DECIDE)
        link_to(p, "/desk/reading/", d->reading, "", word(words[ask]));
    else if (ask == TO_ANSWER)
        link_to(p, "/desk/row/", d->id, "", word(words[ask]));
    else
        link_to(p, "/desk/patient/", d->person, ask == TO_REVIEW ? "#review" : "", word(words[ask]));
    if (ask != TO_DECIDE && (p->role & ROLE_CARE)) {
        form_begin(p, "/desk/row/", d->id, "/done");
        hidden_number(p, "version", d->version);
        form_end(p, WORD_DONE, "");
    }
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
    raw(p, "<p class=\"what\"><strong class=\"badge");
    if (d->rank <= 1)
        raw(p, " attention");
    raw(p, "\">");
    text(p, word(kinds[d->kind].what));
    raw(p, "</strong> ");
    text(p, d->note);
    raw(p, " ");
    when(p, c, d->at);
    taken_write(p, d->taken_by);
    raw(p, "</p>\n");
    if (!whole)
        return;
    if (kinds[d->kind].ask == TO_DECIDE || kinds[d->kind].ask == TO_ANSWER)
        quote_write(p, c, d->text);
    if (kinds[d->kind].ask == TO_DECIDE)
        held_write(p, d->reading);
}

/* -- one patient ------------------------------------------------------------------------------------------------------------------- */

static void also_write(struct page *p, struct list *l, size_t first, const struct clinic *c)
{
    int n = 0;
    for (size_t i = first + 1; i < l->n; i++) {
        struct item *item = &l->items[i];
        if (item->person != l->items[first].person || item->shown)
            continue;
        item->shown = true;
        if (++n > ALSO_MOST)
            continue;
        raw(p, "<li>");
        if (item->alert)
            alert_item(p, c, item->alert);
        else
            row_item(p, c, item->row, false);
        raw(p, "<div class=\"do\">");
        if (item->alert)
            alert_actions(p, item->alert);
        else
            row_actions(p, item->row);
        raw(p, "</div></li>\n");
    }
}

static bool has_also(const struct list *l, size_t first)
{
    for (size_t i = first + 1; i < l->n; i++)
        if (l->items[i].person == l->items[first].person)
            return true;
    return false;
}

static void patient_write(struct page *p, struct list *l, size_t i)
{
    struct item *worst = &l->items[i];
    struct person who = {0};
    bool found = false;
    if (person_get(p->db, worst->person, &who, &found) || !found)
        snprintf(who.clinic, sizeof who.clinic, "%s", worst->alert ? worst->alert->clinic : worst->row->clinic);
    const struct clinic *c = config_clinic(p->config, who.clinic);
    raw(p, "<li class=\"matter");
    if (item_urgent(worst))
        raw(p, " red");
    raw(p, "\">\n<div class=\"says\">\n<h2>");
    person_link(p, &who);
    if (!p->me.clinic[0] && c) {
        raw(p, " <span class=\"second\">");
        name(p, c->name);
        raw(p, "</span>");
    }
    raw(p, "</h2>\n");
    if (worst->alert)
        alert_item(p, c, worst->alert);
    else
        row_item(p, c, worst->row, true);
    raw(p, "</div>\n<div class=\"do\">");
    if (worst->alert)
        alert_actions(p, worst->alert);
    else
        row_actions(p, worst->row);
    raw(p, "</div>\n");
    if (has_also(l, i)) {
        raw(p, "<ul class=\"also\">\n");
        also_write(p, l, i, c);
        raw(p, "</ul>\n");
    }
    raw(p, "</li>\n");
}

static void patients_write(struct page *p, struct list *l)
{
    int n = 0;
    raw(p, "<ol class=\"matters\">\n");
    for (size_t i = 0; i < l->n && n < LIST_PATIENTS; i++) {
        if (l->items[i].shown)
            continue;
        patient_write(p, l, i);
        n++;
    }
    raw(p, "</ol>\n");
}

/* -- the page ----------------------------------------------------------------------------------------------------------------------- */

static void refresh(struct page *p)
{
    char still[4];
    bool stopped = query_value(p, "still", still, sizeof still)[0];
    if (!stopped)
        page_header(p, "Refresh", "30; url=/desk/list?again=1");
    raw(p, "<p class=\"second\">");
    text(p, word(stopped ? WORD_STANDS_STILL : WORD_REFRESHES));
    raw(p, " ");
    link_to(p, stopped ? "/desk/list" : "/desk/list?still=1", 0, "", word(stopped ? WORD_LET_REFRESH : WORD_STOP_REFRESH));
    raw(p, "</p>\n");
}

/* Names and texts are on it: opened by somebody it is in the audit, looked at again by itself it is not once more. */
static bool list_audit(struct page *p)
{
    char again[4];
    return query_value(p, "again", again, sizeof again)[0] || page_audit(p, 0, p->me.clinic, "saw", "list");
}

void list_page(struct page *p)
{
    struct list l = {0};
    if (!list_audit(p))
        return;
    if (!list_load(p, &l)) {
        list_free(&l);
        page_unstored(p);
        return;
    }
    page_begin(p, WORD_LIST_TITLE, NULL);
    said_write(p);
    if (l.n) {
        counts_write(p, &l);
        patients_write(p, &l);
    } else {
        raw(p, "<p class=\"empty\">");
        say(p, LIST_EMPTY);
        raw(p, "</p>\n");
    }
    refresh(p);
    zone_note(p, p->me.clinic[0] ? config_clinic(p->config, p->me.clinic) : page_clinic_chosen(p));
    page_end(p);
    list_free(&l);
}
