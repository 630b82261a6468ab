/* quietarm roster: adds many patients from a table, all or none. Its columns are the options of enrol.
 *
 * Every bad cell is told as FILE:ROW:COLUMN before anything is written; ROW is the record's number in the file (the header
 * is 1), COLUMN the field's. Ten thousand rows take a second or two, so progress is shown when standard error is a terminal.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "gateway/command.h"
#include "gateway/csv.h"
#include "gateway/enrolment.h"
#include "gateway/flow/flow.h"
#include "gateway/folder.h"

enum { ROSTER_MOST = 50000 }; /* some seconds in one transaction; the running gateway waits ten for its turn */

struct roster {
    const struct invocation *in;
    const char *file;
    struct enrolment_place place;
    struct csv csv;
    const struct enrolment_option *columns[CSV_CELLS_MAX]; /* NULL: unknown, told */
    int n_columns;
    struct enrolment *list;
    size_t n;
    int mistakes;
};

static void cell_bad(struct roster *t, int row, int column, const char *what)
{
    fprintf(stderr, "%s:%d:%d: ", t->file, row, column);
    for (; *what; what++) /* what the file holds must not move a terminal's cursor */
        fputc((unsigned char)*what < ' ' || *what == 0x7f ? ' ' : *what, stderr);
    fputc('\n', stderr);
    t->mistakes++;
}

/* -- the header ---------------------------------------------------------------------------------------------------------------- */

static const struct enrolment_option *option_find(const char *name)
{
    for (const struct enrolment_option *o = enrolment_options; o->name; o++)
        if (strcmp(o->name, name) == 0)
            return o;
    return NULL;
}

static void column_take(struct roster *t, int number, int column, const char *name)
{
    char what[200];
    const struct enrolment_option *o = option_find(strncmp(name, "--", 2) == 0 ? name + 2 : name);
    t->columns[column] = o;
    if (!o) {
        snprintf(what, sizeof what,
                 "unknown column %.40s; name it as an option of quietarm enrol without dashes%s", name,
                 strchr(name, ';') ? ", and separate by commas" : "");
        cell_bad(t, number, column + 1, what);
    }
    for (int i = 0; o && i < column; i++)
        if (t->columns[i] == o) {
            snprintf(what, sizeof what, "column %s comes twice, first as the %d.; keep one", o->name, i + 1);
            cell_bad(t, number, column + 1, what);
        }
}

static void header_take(struct roster *t)
{
    char what[120];
    const struct csv_row *row = &t->csv.rows[0];
    t->n_columns = row->n;
    for (int i = 0; i < row->n; i++)
        column_take(t, row->number, i, csv_cell(&t->csv, row, i));
    for (const struct enrolment_option *o = enrolment_options; o->name; o++) {
        bool there = !o->needed;
        for (int i = 0; i < t->n_columns; i++)
            there = there || t->columns[i] == o;
        if (!there) {
            snprintf(what, sizeof what, "there is no column %s; add it", o->name);
            cell_bad(t, row->number, t->n_columns + 1, what);
        }
    }
}

/* -- the rows ------------------------------------------------------------------------------------------------------------------- */

static void row_take(struct roster *t, const struct csv_row *row, struct enrolment *e)
{
    char why[ENROLMENT_WHY], what[ENROLMENT_WHY + 40];
    int before = t->mistakes;
    enrolment_blank(e, t->place.clinic);
    e->row = row->number;
    if (row->n != t->n_columns) {
        snprintf(what, sizeof what, "%d fields in this row, %d in the header; add or drop a comma", row->n,
                 t->n_columns);
        cell_bad(t, row->number, row->n < t->n_columns ? row->n : t->n_columns + 1, what);
        return;
    }
    for (int i = 0; i < row->n; i++) {
        const struct enrolment_option *o = t->columns[i];
        const char *text = csv_cell(&t->csv, row, i);
        if (!o || (!*text && !o->needed))
            continue; /* an empty cell: not known */
        if (!o->take(&t->place, o, text, e, why)) {
            snprintf(what, sizeof what, "%s %s", o->name, why);
            cell_bad(t, row->number, i + 1, what);
        }
    }
    if (t->mistakes == before && !enrolment_check(&t->place, e, why))
        cell_bad(t, row->number, 1, why);
}

static int column_of(const struct roster *t, const char *name)
{
    for (int i = 0; i < t->n_columns; i++)
        if (t->columns[i] && strcmp(t->columns[i]->name, name) == 0)
            return i + 1;
    return 1;
}

static int by_ref(const void *a, const void *b)
{
    const struct enrolment *x = *(const struct enrolment *const *)a, *y = *(const struct enrolment *const *)b;
    int order = strcmp(x->person.ref, y->person.ref);
    return order ? order : x->row - y->row;
}

/* A ref that is twice in the file. */
static void doubles_tell(struct roster *t)
{
    char what[160];
    const struct enrolment **sorted = malloc((t->n ? t->n : 1) * sizeof *sorted);
    for (size_t i = 0; sorted && i < t->n; i++)
        sorted[i] = &t->list[i];
    if (sorted)
        qsort(sorted, t->n, sizeof *sorted, by_ref);
    for (size_t i = 1; sorted && i < t->n; i++)
        if (sorted[i]->person.ref[0] && strcmp(sorted[i]->person.ref, sorted[i - 1]->person.ref) == 0) {
            snprintf(what, sizeof what, "ref %s: is in row %d already; give each patient a ref of their own",
                     sorted[i]->person.ref, sorted[i - 1]->row);
            cell_bad(t, sorted[i]->row, column_of(t, "ref"), what);
        }
    free(sorted);
}

static int table_read(struct roster *t)
{
    struct buffer b;
    struct csv_fault fault;
    buffer_init(&b, CSV_FILE_BYTES);
    int error = buffer_read_file(&b, t->file);
    int status = 0;
    if (error)
        status = command_fail(t->in, EXIT_WORLD, "%s: %s; name a CSV file of at most 32 MiB", t->file,
                              strerror(-error));
    else if (csv_read(&t->csv, b.n ? b.at : "", b.n, &fault) < 0) {
        if (fault.what)
            cell_bad(t, fault.row, fault.column, fault.what);
        status = fault.what ? EXIT_USAGE : command_fail(t->in, EXIT_WORLD, "out of memory; split the file");
    } else if (t->csv.n_rows == 0)
        status = command_fail(t->in, EXIT_USAGE, "%s: the file is empty; begin it with a row of column names",
                              t->file);
    else if (t->csv.n_rows - 1 > ROSTER_MOST)
        status = command_fail(t->in, EXIT_USAGE, "%s: %d patients, and at most %d at once, as no text is taken meanwhile; "
                              "split the file, each part with the header", t->file, t->csv.n_rows - 1, ROSTER_MOST);
    buffer_clear(&b);
    return status;
}

static int rows_take(struct roster *t)
{
    header_take(t);
    bool header_bad = t->mistakes > 0; /* then each row would only repeat it */
    t->n = (size_t)t->csv.n_rows - 1;
    t->list = calloc(t->n + 1, sizeof *t->list);
    if (!t->list)
        return command_fail(t->in, EXIT_WORLD, "out of memory; split the file");
    for (size_t i = 0; i < t->n && !header_bad; i++)
        row_take(t, &t->csv.rows[i + 1], &t->list[i]);
    doubles_tell(t);
    return t->mistakes ? EXIT_USAGE : 0;
}

/* -- writing --------------------------------------------------------------------------------------------------------------------- */

static void progress_show(size_t done, size_t of)
{
    if (done % 50 == 0 || done == of)
        fprintf(stderr, "\rquietarm roster: %zu of %zu%s", done, of, done == of ? "\n" : "");
}

static void refused_tell(void *context, const struct enrolment *e, const char *column, const char *why)
{
    char what[ENROLMENT_WHY + 40];
    struct roster *t = context;
    snprintf(what, sizeof what, "%s %s", column, why);
    cell_bad(t, e->row, column_of(t, column), what);
}

static int roster_write(struct roster *t, struct db *db, const struct texts *texts, int64_t now)
{
    struct enrolment_watch watch = {
        .context = t, .refused = refused_tell, .progress = isatty(STDERR_FILENO) ? progress_show : NULL};
    int result = enrolment_write(db, t->place.config, texts, now, t->list, t->n, &watch);
    if (result)
        return result < 0 ? command_fail_store(t->in, db, result) : EXIT_WORLD;
    for (size_t i = 0; i < t->n; i++)
        printf("enrolled %s %s\n", t->place.clinic->id, t->list[i].person.ref);
    return command_done(t->in);
}

static int roster_with(struct roster *t, const char *clinic)
{
    struct db *db = NULL;
    struct texts *texts = NULL;
    char why[ENROLMENT_WHY];
    int64_t now;
    t->place.clinic = command_clinic(t->in, t->place.config, clinic);
    if (!t->place.clinic)
        return EXIT_USAGE;
    int status = table_read(t);
    if (!status)
        status = command_db(t->in, t->place.config, DB_WRITE, &db);
    if (!status)
        status = command_now(t->in, t->place.config, db, &now);
    if (status)
        goto out;
    enrolment_place_day(&t->place, now);
    status = rows_take(t);
    if (!status && texts_load(&texts, t->place.config->texts, why, sizeof why) < 0)
        status = command_fail(t->in, EXIT_USAGE, "%s", why);
    if (!status)
        status = roster_write(t, db, texts, now);
out:
    texts_close(texts);
    db_close(db);
    return status;
}

int roster_command(const struct invocation *in)
{
    struct argument known[] = {{.name = "--clinic", .means = "K", .needed = true},
                               {.means = "FILE.csv", .needed = true}};
    struct config config;
    int status = command_begin(in, known, 2, false, &config);
    if (status)
        return status;
    struct roster t = {.in = in, .file = known[1].value, .place.config = &config};
    status = roster_with(&t, known[0].value);
    free(t.list);
    csv_clear(&t.csv);
    config_close(&config);
    return status;
}
