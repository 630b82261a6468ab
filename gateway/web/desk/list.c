/* The list: what needs a person now, most urgent first. A patient is there once, with the worst first and the rest below.
 *
 * It refreshes itself; nothing is written on it, so that nothing half-written is lost. LIST_PATIENTS patients a page, of at
 * most ROWS_MOST rows a clinic; the counts say when there are more. What is put off stands on a list of its own.
 */
#include "gateway/web/desk/list.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { ROWS_MOST = 2000, ALERTS_MOST = 500 };

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
                !desk_list(p->db, clinic, INT64_MAX, ROWS_MOST, &l->rows[i], &n_rows);
    for (size_t k = 0; k < n_alerts && good && !l->put_off; k++) {
        const struct alert *a = &l->alerts[i][k];
        good = item_add(l, (struct item){a->level == ALERT_EMERGENCY ? 0 : 1, a->at, a->person, .alert = a});
    }
    for (size_t k = 0; k < n_rows && good; k++) {
        const struct desk_row *d = &l->rows[i][k];
        bool later = d->put_off_until != INSTANT_NONE && d->put_off_until > p->now;
        l->n_put_off += later;
        if (later == l->put_off)
            good = item_add(l, (struct item){10 + d->rank, d->at, d->person, .row = d});
    }
    l->more = l->more || n_rows == ROWS_MOST || n_alerts == ALERTS_MOST;
    return good;
}

/* Of each patient the most urgent first: the list is in that order by now. */
static int by_person(const void *a, const void *b)
{
    const struct item *const *x = a, *const *y = b;
    if ((*x)->person != (*y)->person)
        return (*x)->person < (*y)->person ? -1 : 1;
    return *x < *y ? -1 : *x > *y;
}

/* A patient may have many rows: the first is marked. */
static bool people_mark(struct list *l)
{
    struct item **sorted = calloc(l->n + 1, sizeof *sorted);
    for (size_t i = 0; sorted && i < l->n; i++)
        sorted[i] = &l->items[i];
    if (sorted)
        qsort(sorted, l->n, sizeof *sorted, by_person);
    for (size_t i = 0; sorted && i < l->n; i++) {
        sorted[i]->first = i == 0 || sorted[i]->person != sorted[i - 1]->person;
        l->n_people += sorted[i]->first;
    }
    free(sorted);
    return sorted;
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
    return good && people_mark(l);
}

static void list_free(struct list *l)
{
    for (size_t i = 0; i < l->n_clinics; i++) {
        free(l->alerts[i]);
        free(l->rows[i]);
    }
    free(l->items);
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
    size_t alerts = 0, asks[TO_INVITE + 1] = {0};
    for (size_t i = 0; i < l->n; i++) {
        if (l->items[i].alert)
            alerts++;
        else
            asks[row_kind(l->items[i].row->kind)->ask]++;
    }
    raw(p, "<ul class=\"counts\">\n");
    count_write(p, alerts, WORD_COUNT_ALERT, WORD_COUNT_ALERTS);
    count_write(p, asks[TO_DECIDE], WORD_COUNT_HELD_ONE, WORD_COUNT_HELD);
    count_write(p, asks[TO_ANSWER], WORD_COUNT_ANSWER_ONE, WORD_COUNT_ANSWER);
    count_write(p, asks[TO_REVIEW], WORD_COUNT_REVIEW_ONE, WORD_COUNT_REVIEW);
    count_write(p, asks[TO_LOOK] + asks[TO_INVITE], WORD_COUNT_LOOK_ONE, WORD_COUNT_LOOK);
    raw(p, "</ul>\n");
}

static void put_off_write(struct page *p, const struct list *l)
{
    char n[24];
    if (!l->n_put_off && !l->put_off)
        return;
    raw(p, "<p class=\"second\">");
    if (!l->put_off) {
        snprintf(n, sizeof n, "%zu", l->n_put_off);
        page_say(p, l->n_put_off == 1 ? WORD_COUNT_PUT_OFF_ONE : WORD_COUNT_PUT_OFF, (const char *const[4]){n});
        raw(p, " ");
    }
    link_to(p, l->put_off ? "/desk/list" : "/desk/list?put-off=1", 0, "",
            word(l->put_off ? WORD_BACK_TO_NOW : WORD_SHOW_PUT_OFF));
    raw(p, "</p>\n");
}

/* -- the page ----------------------------------------------------------------------------------------------------------------------- */

static void part_write(struct page *p, const struct list *l, size_t skip)
{
    char from[24], to[24], of[24];
    size_t end = skip + LIST_PATIENTS < l->n_people ? skip + LIST_PATIENTS : l->n_people;
    if (l->n_people <= LIST_PATIENTS && !l->more)
        return;
    snprintf(from, sizeof from, "%zu", skip + 1);
    snprintf(to, sizeof to, "%zu", end);
    snprintf(of, sizeof of, "%zu%s", l->n_people, l->more ? "+" : "");
    raw(p, "<p class=\"second\">");
    say_of(p, LIST_PART, from, to, of);
    raw(p, "</p>\n");
}

static void pages_write(struct page *p, const struct list *l, size_t page)
{
    char to[48];
    if (l->n_people <= LIST_PATIENTS)
        return;
    raw(p, "<p class=\"pages\">");
    if (page > 1) {
        snprintf(to, sizeof to, "/desk/list?page=%zu%s", page - 1, l->put_off ? "&put-off=1" : "");
        link_to(p, to, 0, "", word(WORD_BEFORE));
    }
    if (page * LIST_PATIENTS < l->n_people) {
        snprintf(to, sizeof to, "/desk/list?page=%zu%s", page + 1, l->put_off ? "&put-off=1" : "");
        link_to(p, to, 0, "", word(WORD_NEXT));
    }
    raw(p, "</p>\n");
}

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

static void list_show(struct page *p, struct list *l, size_t page)
{
    page_begin(p, l->put_off ? WORD_LIST_PUT_OFF : WORD_LIST_TITLE, NULL);
    said_write(p);
    if (l->n) {
        counts_write(p, l);
        part_write(p, l, (page - 1) * LIST_PATIENTS);
        matters_write(p, l, (page - 1) * LIST_PATIENTS);
        pages_write(p, l, page);
    } else {
        raw(p, "<p class=\"empty\">");
        say(p, LIST_EMPTY);
        raw(p, "</p>\n");
    }
    put_off_write(p, l);
    if (page == 1 && !l->put_off)
        refresh(p);
    zone_note(p, p->me.clinic[0] ? config_clinic(p->config, p->me.clinic) : page_clinic_chosen(p));
    page_end(p);
}

void list_page(struct page *p)
{
    struct list l = {0};
    char value[16];
    int64_t page;
    if (!list_audit(p))
        return;
    l.put_off = query_value(p, "put-off", value, sizeof value)[0];
    if (!whole_read(query_value(p, "page", value, sizeof value), 1, 1000, &page))
        page = 1;
    if (!list_load(p, &l))
        page_unstored(p);
    else if ((size_t)(page - 1) * LIST_PATIENTS >= l.n_people && page > 1)
        page_goto(p, "/desk/list");
    else
        list_show(p, &l, (size_t)page);
    list_free(&l);
}
