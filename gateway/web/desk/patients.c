/* Patients: the table, a page at a time: who, where they are, the week so far, its average, last heard from.
 *
 * Which are shown comes from an index; what is shown of the TABLE_PATIENTS on the page is worked out from their records
 * by care itself, so that it is never out of date. Some 10 ms with a hundred thousand patients.
 */
#include "gateway/web/desk/pages.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct table {
    const struct clinic *clinic;
    char search[80], stage[STAGE_MAX];
    enum people_sort sort;
    int64_t page;                  /* from 1 */
    struct stage_count stages[STAGES_MAX];
    size_t n_stages;
    int64_t ids[TABLE_PATIENTS + 1]; /* one more: there is another page */
    size_t n;
};

static const struct choice stages[] = {
    {"", WORD_STAGE_ANY},           {"invited", WORD_STAGE_INVITED},     {"waiting", WORD_STAGE_WAITING},
    {"measuring", WORD_STAGE_MEASURING}, {"to_review", WORD_STAGE_TO_REVIEW}, {"reviewed", WORD_STAGE_REVIEWED},
    {"paused", WORD_STAGE_PAUSED},  {"gone", WORD_STAGE_GONE},
};
static const struct choice sorts[] = {
    {"ref", WORD_SORT_REF}, {"heard", WORD_SORT_HEARD}, {"silent", WORD_SORT_SILENT}, {"mean", WORD_SORT_MEAN}};

/* -- what is asked ------------------------------------------------------------------------------------------------------------ */

static bool known(const struct choice *list, size_t n, const char *value, size_t *which)
{
    for (size_t i = 0; i < n; i++)
        if (strcmp(list[i].value, value) == 0) {
            *which = i;
            return true;
        }
    return false;
}

static void table_read(struct page *p, struct table *t)
{
    char value[24];
    size_t which = 0;
    *t = (struct table){.clinic = page_clinic_chosen(p), .page = 1};
    query_value(p, "find", t->search, sizeof t->search);
    if (known(stages, sizeof stages / sizeof *stages, query_value(p, "stage", value, sizeof value), &which))
        snprintf(t->stage, sizeof t->stage, "%s", stages[which].value);
    if (known(sorts, sizeof sorts / sizeof *sorts, query_value(p, "sort", value, sizeof value), &which))
        t->sort = (enum people_sort)which;
    if (!whole_read(query_value(p, "page", value, sizeof value), 1, 1000000, &t->page))
        t->page = 1;
}

static bool table_load(struct page *p, struct table *t)
{
    struct people_query q = {.clinic = t->clinic->id, .stage = t->stage, .search = t->search, .sort = t->sort,
                             .skip = (size_t)(t->page - 1) * TABLE_PATIENTS};
    return !people_stages(p->db, t->clinic->id, t->stages, &t->n_stages) &&
           !people_find(p->db, &q, t->ids, TABLE_PATIENTS + 1, &t->n);
}

/* -- the form ---------------------------------------------------------------------------------------------------------------------- */

static void form_write(struct page *p, const struct table *t)
{
    raw(p, "<form class=\"search\" role=\"search\" method=\"get\" action=\"/desk/patients\">\n");
    clinic_field(p, t->clinic);
    raw(p, "<div class=\"field\"><label for=\"find\">");
    say(p, FIND);
    raw(p, "</label><input type=\"search\" name=\"find\" id=\"find\" size=\"18\"");
    attribute(p, "value", t->search);
    raw(p, "></div>\n");
    choices_write(p, "stage", WORD_STAGE, stages, sizeof stages / sizeof *stages, t->stage);
    choices_write(p, "sort", WORD_SORT, sorts, sizeof sorts / sizeof *sorts, sorts[t->sort].value);
    raw(p, "<button class=\"main\">");
    say(p, SHOW);
    raw(p, "</button>\n</form>\n");
}

static void counts_write(struct page *p, const struct table *t)
{
    char digits[24];
    raw(p, "<ul class=\"counts\">\n");
    for (size_t k = 1; k < sizeof stages / sizeof *stages; k++)
        for (size_t i = 0; i < t->n_stages; i++) {
            if (strcmp(t->stages[i].stage, stages[k].value) != 0)
                continue;
            snprintf(digits, sizeof digits, "%lld ", (long long)t->stages[i].n);
            raw(p, "<li>");
            text(p, digits);
            text(p, word(stages[k].label));
            raw(p, "</li>\n");
        }
    raw(p, "</ul>\n");
}

/* -- the rows ----------------------------------------------------------------------------------------------------------------------- */

/* Where a patient is, in a word or two: "measuring, day 3 of 7". */
void whereabouts(struct page *p, const struct record *r)
{
    static const enum word states[PERSON_STATE_COUNT] = {
        [PERSON_STRANGER] = WORD_IS_STRANGER, [PERSON_INVITED] = WORD_IS_INVITED,   [PERSON_DECLINED] = WORD_IS_DECLINED,
        [PERSON_PAUSED] = WORD_IS_PAUSED,     [PERSON_LEFT] = WORD_IS_LEFT,         [PERSON_CLOSED] = WORD_IS_CLOSED,
        [PERSON_DIED] = WORD_IS_DIED,         [PERSON_WRONG_NUMBER] = WORD_IS_WRONG_NUMBER,
        [PERSON_WITHDRAWN] = WORD_IS_WITHDRAWN};
    static const enum word weeks[WEEK_STATE_COUNT] = {WORD_WEEK_WAITING,  WORD_WEEK_READY, WORD_WEEK_MEASURING,
                                                      WORD_WEEK_COMPLETE, WORD_WEEK_SHORT, WORD_WEEK_CLOSED};
    char day[16], of[16];
    if (r->person.state != PERSON_JOINED) {
        text(p, word(states[r->person.state]));
        if (!r->week.id || r->week.ended_at == INSTANT_NONE)
            return;
        raw(p, "; ");
    }
    snprintf(of, sizeof of, "%d", r->week.days_wanted);
    int32_t today = civil_at(&r->zone, p->now).day;
    snprintf(day, sizeof day, "%d", r->week.first_day == DAY_NONE ? 0 : (int)(today - r->week.first_day + 1));
    page_say(p, !r->week.id ? WORD_WEEK_WAITING : weeks[r->week.state], (const char *const[4]){day, of});
    if (r->week.ended_at != INSTANT_NONE) {
        raw(p, ", ");
        text(p, word(r->week.reviewed_at == INSTANT_NONE ? WORD_NOT_REVIEWED : WORD_IS_REVIEWED));
    }
}

static void mean_write(struct page *p, const struct week_result *w)
{
    if (!w->all.n) {
        raw(p, "–");
        return;
    }
    raw(p, "<b>");
    number(p, (int64_t)floor(w->all.sys + 0.5));
    raw(p, "/");
    number(p, (int64_t)floor(w->all.dia + 0.5));
    raw(p, "</b> <span class=\"second\">");
    number(p, w->all.n);
    raw(p, "</span>");
}

/* What the column's head says, where there is no room for columns. */
static void narrow_label(struct page *p, enum word column)
{
    raw(p, "<span class=\"narrow\">");
    text(p, word(column));
    raw(p, ": </span>");
}

static void row_write(struct page *p, const struct record *r)
{
    struct week_result *w = malloc(sizeof *w);
    if (!w) {
        p->out.failed = true;
        return;
    }
    week_result(r, p->now, w);
    raw(p, "<tr><th scope=\"row\">");
    person_link(p, &r->person);
    raw(p, "</th><td>");
    whereabouts(p, r);
    raw(p, "</td><td>");
    strip_write(p, r, w);
    raw(p, "</td><td class=\"figure\">");
    narrow_label(p, WORD_AVERAGE);
    mean_write(p, w);
    raw(p, "</td><td>");
    narrow_label(p, WORD_LAST_HEARD);
    if (r->course.last_text == INSTANT_NONE)
        say(p, NEVER);
    else
        when(p, r->clinic, r->course.last_text);
    raw(p, "</td></tr>\n");
    free(w);
}

static bool rows_write(struct page *p, const struct table *t)
{
    size_t n = t->n > TABLE_PATIENTS ? TABLE_PATIENTS : t->n;
    struct record *records = calloc(n, sizeof *records);
    bool good = records && !records_load(p->db, p->now, t->ids, n, records);
    for (size_t i = 0; good && i < n; i++)
        if (records[i].person.id && record_complete(p->config, &records[i], p->now))
            row_write(p, &records[i]);
    for (size_t i = 0; records && i < n; i++)
        record_clear(&records[i]);
    free(records);
    return good;
}

/* -- paging ------------------------------------------------------------------------------------------------------------------------ */

static void page_link(struct page *p, const struct table *t, int64_t to, enum word words)
{
    raw(p, "<a href=\"/desk/patients?page=");
    number(p, to);
    query_add(p, "clinic", t->clinic->id);
    query_add(p, "find", t->search);
    query_add(p, "stage", t->stage);
    query_add(p, "sort", sorts[t->sort].value);
    raw(p, "\">");
    text(p, word(words));
    raw(p, "</a>\n");
}

static void paging(struct page *p, const struct table *t)
{
    raw(p, "<p class=\"pages\">");
    if (t->page > 1)
        page_link(p, t, t->page - 1, WORD_BEFORE);
    if (t->n > TABLE_PATIENTS)
        page_link(p, t, t->page + 1, WORD_NEXT);
    raw(p, "</p>\n");
}

static void table_write(struct page *p, const struct table *t)
{
    raw(p, "<table class=\"cards people\">\n<caption>");
    say_of(p, TIMES_ARE, t->clinic->zone);
    raw(p, "</caption>\n<thead><tr><th scope=\"col\">");
    say(p, PATIENT);
    raw(p, "</th><th scope=\"col\">");
    say(p, STAGE);
    raw(p, "</th><th scope=\"col\">");
    say(p, WEEK);
    raw(p, "</th><th scope=\"col\" class=\"figure\">");
    say(p, AVERAGE);
    raw(p, "</th><th scope=\"col\">");
    say(p, LAST_HEARD);
    raw(p, "</th></tr></thead>\n<tbody>\n");
    bool good = rows_write(p, t);
    raw(p, "</tbody></table>\n");
    if (!good)
        page_unstored(p);
}

void patients_page(struct page *p)
{
    struct table t;
    table_read(p, &t);
    if (!t.clinic || !table_load(p, &t)) {
        page_unstored(p);
        return;
    }
    if (!page_audit(p, 0, t.clinic->id, "saw", "table of patients"))
        return;
    page_begin(p, WORD_PATIENTS, NULL);
    said_write(p);
    form_write(p, &t);
    counts_write(p, &t);
    if (!t.n) {
        raw(p, "<p class=\"empty\">");
        text(p, word(t.search[0] || t.stage[0] ? WORD_NONE_FOUND : WORD_NOBODY_YET));
        raw(p, "</p>\n");
        page_end(p);
        return;
    }
    table_write(p, &t);
    if (p->status != MHD_HTTP_OK)
        return;
    paging(p, &t);
    strip_legend(p);
    page_end(p);
}
