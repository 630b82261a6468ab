/* Roster: many patients from a table. First every mistake is shown and nothing is saved; a table without any is shown once
 * more, and saved with a second click: all of them, or none.
 *
 * The table travels back in the form, so that nothing waits on the server; it is read and judged anew when it is saved.
 * At most ROSTER_ROWS at once: the writer adds them in one go, and no text may wait long behind it. Longer ones are for the
 * command.
 */
#include "gateway/web/desk/pages.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/csv.h"
#include "gateway/enrolment.h"

enum { ROSTER_ROWS = 500, MISTAKES_SHOWN = 200 };

struct table {
    struct page *page;
    struct enrolment_place place;
    struct csv csv;
    const struct enrolment_option *columns[CSV_CELLS_MAX];
    int n_columns;
    struct enrolment *list;
    size_t n;
    struct buffer mistakes;        /* rows of the table of mistakes, as HTML */
    int n_mistakes;
};

/* -- mistakes ------------------------------------------------------------------------------------------------------------------- */

static void mistake(struct table *t, int row, int column, const char *what)
{
    struct buffer *out = &t->mistakes;
    if (++t->n_mistakes > MISTAKES_SHOWN)
        return;
    html_raw(out, "<tr><td class=\"figure\">");
    html_number(out, row);
    html_raw(out, "</td><td class=\"figure\">");
    html_number(out, column);
    html_raw(out, "</td><td>");
    html_text(out, what);
    html_raw(out, "</td></tr>\n");
}

static int column_of(const struct table *t, const char *option)
{
    for (int i = 0; i < t->n_columns; i++)
        if (t->columns[i] && strcmp(t->columns[i]->name, option) == 0)
            return i + 1;
    return 1;
}

/* -- reading the table ------------------------------------------------------------------------------------------------------------ */

static void column_take(struct table *t, int number_of, int column, const char *title)
{
    char what[160];
    if (strncmp(title, "--", 2) == 0)
        title += 2;
    for (const struct enrolment_option *o = enrolment_options; o->name; o++)
        if (strcmp(o->name, title) == 0)
            t->columns[column] = o;
    bool twice = false;
    for (int i = 0; i < column; i++)
        twice = twice || (t->columns[column] && t->columns[i] == t->columns[column]);
    if (!t->columns[column])
        mistake(t, number_of, column + 1,
                words_of(what, sizeof what, WORD_COLUMN_UNKNOWN, (const char *const[4]){title}));
    else if (twice)
        mistake(t, number_of, column + 1, words_of(what, sizeof what, WORD_COLUMN_TWICE, (const char *const[4]){title}));
}

static void header_take(struct table *t)
{
    char what[160];
    const struct csv_row *row = &t->csv.rows[0];
    t->n_columns = row->n;
    for (int i = 0; i < row->n; i++)
        column_take(t, row->number, i, csv_cell(&t->csv, row, i));
    for (const struct enrolment_option *o = enrolment_options; o->name; o++) {
        bool there = !o->needed;
        for (int i = 0; i < t->n_columns; i++)
            there = there || t->columns[i] == o;
        if (!there)
            mistake(t, row->number, t->n_columns + 1,
                    words_of(what, sizeof what, WORD_COLUMN_MISSING, (const char *const[4]){o->name}));
    }
}

static void row_take(struct table *t, const struct csv_row *row, struct enrolment *e)
{
    char why[ENROLMENT_WHY], what[ENROLMENT_WHY + 40];
    int before = t->n_mistakes;
    enrolment_blank(e, t->place.clinic);
    e->row = row->number;
    if (row->n != t->n_columns) {
        mistake(t, row->number, row->n < t->n_columns ? row->n : t->n_columns + 1, word(WORD_ROW_LENGTH));
        return;
    }
    for (int i = 0; i < row->n; i++) {
        const struct enrolment_option *o = t->columns[i];
        const char *cell = csv_cell(&t->csv, row, i);
        if ((!*cell && !o->needed) || o->take(&t->place, o, cell, e, why))
            continue;
        snprintf(what, sizeof what, "%s %s", o->name, why);
        mistake(t, row->number, i + 1, what);
    }
    if (t->n_mistakes == before && !enrolment_check(&t->place, e, why))
        mistake(t, row->number, 1, why);
}

/* One ref twice, or one number without tags that differ. */
static void doubles_tell(struct table *t)
{
    for (size_t i = 1; i < t->n; i++)
        for (size_t k = 0; k < i; k++) {
            const struct person *a = &t->list[i].person, *b = &t->list[k].person;
            if (a->ref[0] && strcmp(a->ref, b->ref) == 0)
                mistake(t, t->list[i].row, column_of(t, "ref"), word(WORD_REF_TWICE));
            else if (a->phone[0] && strcmp(a->phone, b->phone) == 0 &&
                     (!a->tag[0] || !b->tag[0] || strcasecmp(a->tag, b->tag) == 0))
                mistake(t, t->list[i].row, column_of(t, "phone"), word(WORD_PHONE_TWICE));
        }
}

/* Those that are there already. */
static void known_tell(struct table *t)
{
    struct db *db = t->page->db;
    for (size_t i = 0; i < t->n; i++) {
        const struct person *a = &t->list[i].person;
        struct person other;
        int64_t ids[16], id;
        bool found = false;
        size_t n = 0;
        if (!person_by_ref(db, a->clinic, a->ref, &id, &found) && found)
            mistake(t, t->list[i].row, column_of(t, "ref"), word(WORD_REF_TAKEN));
        if (people_of_number(db, a->clinic, a->phone, ids, 16, &n))
            n = 0;
        for (size_t k = 0; k < n; k++)
            if (!person_get(db, ids[k], &other, &found) && found && other.ref[0] &&
                (!a->tag[0] || !other.tag[0] || strcasecmp(a->tag, other.tag) == 0)) {
                mistake(t, t->list[i].row, column_of(t, "phone"), word(WORD_PHONE_TAKEN));
                break;
            }
    }
}

static void rows_take(struct table *t)
{
    if (t->csv.n_rows == 0) {
        mistake(t, 1, 1, word(WORD_TABLE_EMPTY));
        return;
    }
    header_take(t);
    t->n = (size_t)t->csv.n_rows - 1;
    if (t->n > ROSTER_ROWS)
        mistake(t, ROSTER_ROWS + 2, 1, word(WORD_TABLE_LONG));
    if (t->n == 0)
        mistake(t, 1, 1, word(WORD_TABLE_EMPTY));
    t->list = t->n_mistakes ? NULL : calloc(t->n, sizeof *t->list);
    if (!t->list) {
        t->n = 0; /* with a wrong header each row would only repeat it */
        return;
    }
    for (size_t i = 0; i < t->n; i++)
        row_take(t, &t->csv.rows[i + 1], &t->list[i]);
    doubles_tell(t);
    known_tell(t);
}

static void table_read(struct table *t, const char *bytes, size_t size)
{
    struct csv_fault fault = {0};
    if (csv_read(&t->csv, bytes, size, &fault) < 0)
        mistake(t, fault.row, fault.column, fault.what ? fault.what : word(WORD_UNSTORED));
    else
        rows_take(t);
}

static void table_open(struct page *p, struct table *t)
{
    *t = (struct table){.page = p, .place = {.config = p->config, .clinic = p->clinic}};
    buffer_init(&t->mistakes, ANSWER_BYTES);
    enrolment_place_day(&t->place, p->now);
}

static void table_close(struct table *t)
{
    csv_clear(&t->csv);
    free(t->list);
    buffer_clear(&t->mistakes);
}

/* -- the pages --------------------------------------------------------------------------------------------------------------------- */

static void columns_write(struct page *p)
{
    raw(p, "<details><summary>");
    say(p, ROSTER_COLUMNS);
    raw(p, "</summary>\n<dl class=\"facts\">\n");
    for (const struct enrolment_option *o = enrolment_options; o->name; o++) {
        raw(p, "<dt>");
        text(p, o->name);
        raw(p, "</dt><dd>");
        text(p, o->means[0] ? o->means : "yes|no");
        raw(p, "</dd>\n");
    }
    raw(p, "</dl></details>\n");
}

static void upload_form(struct page *p)
{
    raw(p, "<form method=\"post\" enctype=\"multipart/form-data\" action=\"/desk/roster\">\n");
    hidden(p, "token", p->csrf);
    clinic_field(p, p->clinic);
    raw(p, "<div class=\"field\"><label for=\"file\">");
    say(p, ROSTER_FILE);
    raw(p, "</label><input type=\"file\" name=\"file\" id=\"file\" accept=\".csv,text/csv\" required "
           "aria-describedby=\"file-hint\"><span class=\"hint\" id=\"file-hint\">");
    say(p, ROSTER_FILE_HINT);
    raw(p, "</span></div>\n");
    form_end(p, WORD_ROSTER_LOOK, "main");
}

static void mistakes_write(struct page *p, struct table *t)
{
    char digits[16];
    snprintf(digits, sizeof digits, "%d", t->n_mistakes);
    p->status = MHD_HTTP_UNPROCESSABLE_CONTENT;
    raw(p, "<div class=\"note urgent\" role=\"alert\" tabindex=\"-1\" autofocus><p>");
    page_say(p, t->n_mistakes == 1 ? WORD_ROSTER_MISTAKE : WORD_ROSTER_MISTAKES, (const char *const[4]){digits});
    raw(p, "</p></div>\n<table class=\"cards\">\n<thead><tr><th scope=\"col\" class=\"figure\">");
    say(p, TABLE_ROW);
    raw(p, "</th><th scope=\"col\" class=\"figure\">");
    say(p, TABLE_COLUMN);
    raw(p, "</th><th scope=\"col\">");
    say(p, TABLE_WHAT);
    raw(p, "</th></tr></thead>\n<tbody>\n");
    buffer_add(&p->out, t->mistakes.n ? t->mistakes.at : "", t->mistakes.n);
    p->out.failed = p->out.failed || t->mistakes.failed;
    raw(p, "</tbody></table>\n");
}

static void preview_write(struct page *p, struct table *t)
{
    char digits[16], born[MOMENT];
    snprintf(digits, sizeof digits, "%zu", t->n);
    raw(p, "<p class=\"note settled\" role=\"status\">");
    say_of(p, ROSTER_GOOD, digits);
    raw(p, "</p>\n<form method=\"post\" action=\"/desk/roster\">\n");
    hidden(p, "token", p->csrf);
    hidden(p, "clinic", p->clinic->id);
    raw(p, "<textarea name=\"table\" hidden aria-hidden=\"true\">\n");
    text(p, p->ask.file);
    raw(p, "</textarea>\n");
    form_end(p, WORD_ROSTER_SAVE, "main");
    raw(p, "<table class=\"cards\">\n<thead><tr><th scope=\"col\">");
    say(p, REFERENCE);
    raw(p, "</th><th scope=\"col\">");
    say(p, NAME);
    raw(p, "</th><th scope=\"col\">");
    say(p, PHONE);
    raw(p, "</th><th scope=\"col\">");
    say(p, BORN);
    raw(p, "</th></tr></thead>\n<tbody>\n");
    for (size_t i = 0; i < t->n; i++) {
        const struct person *q = &t->list[i].person;
        raw(p, "<tr><td>");
        name(p, q->ref);
        raw(p, "</td><td>");
        name(p, q->name);
        raw(p, "</td><td>");
        text(p, q->phone);
        raw(p, "</td><td>");
        text(p, q->born == DAY_NONE ? "" : day_exact(q->born, born));
        raw(p, "</td></tr>\n");
    }
    raw(p, "</tbody></table>\n");
}

void roster_page(struct page *p)
{
    p->clinic = page_clinic_chosen(p);
    if (!p->clinic) {
        page_error(p, MHD_HTTP_NOT_FOUND, WORD_NOT_HERE);
        return;
    }
    page_begin(p, WORD_ROSTER_TITLE, NULL);
    raw(p, "<p>");
    say(p, ROSTER_HOW);
    raw(p, "</p>\n");
    upload_form(p);
    columns_write(p);
    page_end(p);
}

/* -- saving ------------------------------------------------------------------------------------------------------------------------ */

static struct job *roster_job(const struct table *t)
{
    struct job *job = calloc(1, sizeof *job);
    struct roster_entry *list = calloc(t->n, sizeof *list);
    if (!job || !list) {
        free(job);
        free(list);
        return NULL;
    }
    job->kind = JOB_ROSTER;
    job->roster.list = list;
    job->roster.n = t->n;
    for (size_t i = 0; i < t->n; i++) {
        list[i].person = t->list[i].person;
        list[i].joined = t->list[i].joined;
    }
    return job;
}

/* false: shown anew, with what the writer refused. */
static bool roster_save(struct page *p, struct table *t)
{
    char detail[48];
    struct job *job = roster_job(t);
    if (job)
        desk_do(p->desk, job);
    bool stored = job && job->result == JOB_STORED;
    if (!job || job->result == JOB_UNSTORED)
        page_unstored(p);
    for (size_t i = 0; job && job->result == JOB_REFUSED && i < t->n; i++)
        if (job->roster.list[i].why[0])
            mistake(t, t->list[i].row, column_of(t, "ref"), job->roster.list[i].why);
    job_free(job);
    snprintf(detail, sizeof detail, "%zu patients", t->n);
    if (stored && page_audit(p, 0, p->clinic->id, "enrolled", detail))
        page_goto(p, "/desk/patients?said=enrolled");
    return !t->n_mistakes;
}

static void roster_show(struct page *p, struct table *t)
{
    page_begin(p, WORD_ROSTER_TITLE, NULL);
    if (t->n_mistakes) {
        mistakes_write(p, t);
        upload_form(p);
    } else {
        preview_write(p, t);
    }
    page_end(p);
}

void roster_do(struct page *p)
{
    struct table t;
    p->clinic = page_clinic_chosen(p);
    if (!p->clinic) {
        page_error(p, MHD_HTTP_NOT_FOUND, WORD_NOT_HERE);
        return;
    }
    bool save = !p->ask.file;
    if (save) { /* what the preview gave back */
        p->ask.file = calloc(1, ROSTER_BYTES);
        if (p->ask.file)
            form_value(p, "table", p->ask.file, ROSTER_BYTES);
        p->ask.file_size = p->ask.file ? strlen(p->ask.file) : 0;
    }
    table_open(p, &t);
    table_read(&t, p->ask.file ? p->ask.file : "", p->ask.file_size);
    if (!save || t.n_mistakes || !roster_save(p, &t))
        roster_show(p, &t);
    table_close(&t);
}
