/* quietarm week: a patient's current or last week, for people, as JSON, as a page, a PDF or a FHIR Bundle. Reads beside the
 * running daemon.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/command.h"
#include "gateway/output.h"
#include "gateway/report/fhir.h"
#include "gateway/report/report.h"
#include "gateway/week.h"

enum { WEEK_TEXT_BYTES = 16 << 20, WEEKS_MAX = 10000 };

/* The forms of a week; the first is for people. */
enum form { FORM_PLAIN, FORM_JSON, FORM_HTML, FORM_PDF, FORM_FHIR };

struct wanted {
    const char *clinic, *ref;
    int number;
    enum form form;
    const char *path; /* of the last three */
};

static int no_memory(const struct invocation *in)
{
    return command_fail(in, EXIT_WORLD, "out of memory; close something and try again");
}

static int no_week(const struct invocation *in, const struct wanted *w)
{
    return command_fail(in, EXIT_WORLD, "--week %d: %s has no such week; leave --week out for the last", w->number, w->ref);
}

/* -- printed --------------------------------------------------------------------------------------------------------------- */

static int week_print(const struct invocation *in, const struct week_view *v, enum form form)
{
    struct buffer b;
    char *text = NULL;
    buffer_init(&b, WEEK_TEXT_BYTES);
    if (form == FORM_JSON)
        text = week_json(v);
    else {
        week_text(v, &b);
        text = buffer_take(&b);
    }
    if (!text)
        return no_memory(in);
    printf("%s%s", text, form == FORM_JSON ? "\n" : "");
    free(text);
    return command_done(in);
}

static int week_shown(const struct invocation *in, const struct config *config, struct db *db, const struct wanted *w, int64_t now,
                      int64_t person)
{
    struct week_loaded week = {0};
    bool found = false;
    int error = week_load(db, config, now, person, w->number, &week, &found);
    int status = error ? command_fail_store(in, db, error) : found ? week_print(in, &week.view, w->form) : no_week(in, w);
    week_unload(&week);
    return status;
}

/* -- written --------------------------------------------------------------------------------------------------------------- */

static int form_write(const struct invocation *in, const char *path, char *text)
{
    int status = text ? output_write(in, path, text, strlen(text)) : no_memory(in);
    free(text);
    return status;
}

static int report_write(const struct invocation *in, const struct report *r, const struct wanted *w)
{
    void *pdf = NULL;
    size_t size = 0;
    char why[200] = "";
    int status;
    if (w->form == FORM_HTML)
        return form_write(in, w->path, report_html(r));
    if (report_pdf(r, report_paper(r->record->clinic), &pdf, &size, why, sizeof why))
        return command_fail(in, EXIT_WORLD, "%s", why);
    if (w->form == FORM_PDF)
        status = output_write(in, w->path, pdf, size);
    else
        status = form_write(in, w->path, fhir_bundle(r, pdf, size));
    free(pdf);
    return status;
}

static int week_written(const struct invocation *in, const struct config *config, struct db *db, const struct wanted *w, int64_t now,
                        int64_t person)
{
    struct report r = {0};
    bool found = false;
    int error = report_open(&r, db, config, person, w->number, now, &found);
    int status = error ? command_fail_store(in, db, error) : found ? report_write(in, &r, w) : no_week(in, w);
    report_close(&r);
    return status;
}

/* -- found ------------------------------------------------------------------------------------------------------------------ */

/* In one snapshot. */
static int week_find(const struct invocation *in, const struct config *config, struct db *db, const struct wanted *w)
{
    int64_t now, person = 0;
    bool found = false;
    int status = command_now(in, config, db, &now);
    if (status)
        return status;
    int error = db_begin(db);
    if (!error)
        error = person_by_ref(db, w->clinic, w->ref, &person, &found);
    if (error)
        status = command_fail_store(in, db, error);
    else if (!found)
        status = command_fail(in, EXIT_WORLD, "--ref %.48s: nobody in clinic %s has this ref; see the desk's list", w->ref, w->clinic);
    else if (w->path)
        status = week_written(in, config, db, w, now, person);
    else
        status = week_shown(in, config, db, w, now, person);
    db_rollback(db);
    return status;
}

/* At most one form is asked for: known[3] on, in the order of enum form. */
static int form_read(const struct invocation *in, const struct argument *known, struct wanted *w)
{
    for (int i = FORM_JSON; i <= FORM_FHIR; i++) {
        const struct argument *a = &known[2 + i];
        if (!a->value)
            continue;
        if (w->form != FORM_PLAIN)
            return command_fail(in, EXIT_USAGE, "%s and %s: one form at a time; leave one out", known[2 + w->form].name, a->name);
        w->form = (enum form)i;
        w->path = a->flag ? NULL : a->value;
    }
    return 0;
}

int week_command(const struct invocation *in)
{
    struct argument known[] = {
        {.name = "--clinic", .means = "K", .needed = true}, {.name = "--ref", .means = "R", .needed = true},
        {.name = "--week", .means = "N"},                   {.name = "--json", .means = "", .flag = true},
        {.name = "--html", .means = "F"},                   {.name = "--pdf", .means = "F"},
        {.name = "--fhir", .means = "F"},
    };
    struct config config;
    struct db *db = NULL;
    int64_t number = 0;
    struct wanted wanted = {0};
    int status = arguments_read(in, known, sizeof known / sizeof *known);
    if (!status && known[2].value && !whole_read(known[2].value, 1, WEEKS_MAX, &number))
        status = command_fail(in, EXIT_USAGE, "--week %.20s: not a week's number; write 1 for the first", known[2].value);
    if (!status)
        status = form_read(in, known, &wanted);
    if (!status)
        status = command_config(in, false, &config);
    if (status)
        return status;
    wanted.clinic = known[0].value;
    wanted.ref = known[1].value;
    wanted.number = (int)number;
    if (!command_clinic(in, &config, wanted.clinic))
        status = EXIT_USAGE;
    else if (!(status = command_db(in, &config, DB_READ, &db)))
        status = week_find(in, &config, db, &wanted);
    db_close(db);
    config_close(&config);
    return status;
}
