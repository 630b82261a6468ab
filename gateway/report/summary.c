/* The summary of an ended week, rendered where it is sent: text and PDF for a mail, a Bundle for an HTTP target, all of them
 * for a folder.
 *
 * Runs on the sender's thread with a connection of its own, never in the writer. What is sent for a week and version is as
 * of the week's end, so that every attempt sends the same bytes; after a late correction it is the latest version, whatever
 * the row asks for: an outdated average must not arrive last.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/report/fhir.h"
#include "gateway/report/report.h"
#include "gateway/send/send.h"

struct summaries {
    const struct config *config;
    struct db *db;             /* opened with the first summary */
};

struct summaries *summaries_open(const struct config *config)
{
    struct summaries *s = calloc(1, sizeof *s);
    if (s)
        s->config = config;
    return s;
}

void summaries_close(struct summaries *s)
{
    if (s)
        db_close(s->db);
    free(s);
}

void summary_name(const struct person *p, const struct week *w, char name[SUMMARY_NAME])
{
    if (strchr(p->ref, '/') || strchr(p->clinic, '-'))
        snprintf(name, SUMMARY_NAME, "%s-week-%lld-v%d", p->clinic, (long long)w->id, w->version);
    else
        snprintf(name, SUMMARY_NAME, "%s-%s-week-%d-v%d", p->clinic, p->ref, w->number, w->version);
}

static void name_make(const struct report *r, struct rendered *out)
{
    const struct week *w = &r->record->week;
    _Static_assert(sizeof out->name == SUMMARY_NAME, "the same room");
    summary_name(&r->record->person, w, out->name);
    snprintf(out->subject, sizeof out->subject, "%s, %s%s", r->title, r->ref,
             w->version > 1 ? ": a new version" : "");
}

static int render(const struct report *r, struct rendered *out)
{
    char why[160] = "";
    name_make(r, out);
    out->text = report_text(r);
    if (!out->text || report_pdf(r, report_paper(r->record->clinic), &out->pdf, &out->pdf_size, why, sizeof why)) {
        log_event(LOG_ERROR, "summary", "week=%lld error=%s", (long long)r->record->week.id, why);
        return -1;
    }
    out->fhir = fhir_bundle(r, out->pdf, out->pdf_size);
    return out->fhir ? 0 : -1;
}

static int week_render(struct summaries *s, int64_t id, struct rendered *out)
{
    struct report r = {0};
    struct week week = {0};
    bool found = false;
    int error = db_begin(s->db);
    if (!error)
        error = week_get(s->db, id, &week, &found);
    if (!error && found)
        error = report_open(&r, s->db, s->config, week.person, week.number, clock_now(), &found);
    db_rollback(s->db);
    if (!error && found && r.record->person.state != PERSON_WITHDRAWN)
        error = render(&r, out);
    else if (!error)
        error = -1; /* erased, or consent withdrawn: its rows are cancelled too */
    report_close(&r);
    return error;
}

int summary_render(void *summaries, const struct outgoing *row, struct rendered *out)
{
    struct summaries *s = summaries;
    char why[160];
    int error = s->db ? 0 : db_open(&s->db, s->config->state, DB_READ, why, sizeof why);
    if (!error)
        error = week_render(s, row->week, out);
    if (error)
        log_event(LOG_WARNING, "summary_unrendered", "week=%lld", (long long)row->week);
    return error;
}
