/* quietarm export: a clinic's readings between two dates, as CSV (every standing) or as FHIR Observations (accepted ones), one
 * a line. Reads beside the running daemon, week by week, so that a year takes no more memory than a week.
 *
 * Dates are local to each patient, both included. Nothing of one whose consent was withdrawn.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/command.h"
#include "gateway/report/fhir.h"
#include "gateway/report/report.h"

enum { WEEKS_AT_ONCE = 256, DAY_SECONDS = 24 * 60 * 60, FARTHEST_ZONE = 14 * 60 * 60, ROWS_BYTES = 16 << 20 };

struct export {
    const struct invocation *in;
    const struct config *config;
    struct db *db;
    const char *clinic;
    int32_t from, to;
    int64_t now;
    bool csv;
};

static int no_memory(const struct export *e)
{
    return command_fail(e->in, EXIT_WORLD, "out of memory; export fewer days at a time");
}

/* -- one week ------------------------------------------------------------------------------------------------------------- */

static int csv_print(const struct export *e, const struct report *r, bool aside)
{
    struct buffer rows;
    buffer_init(&rows, ROWS_BYTES);
    bool whole = report_csv_rows(r, e->from, e->to, aside, &rows);
    if (whole && rows.n)
        fwrite(rows.at, 1, rows.n, stdout);
    buffer_clear(&rows);
    return whole ? 0 : no_memory(e);
}

static int observations_print(const struct export *e, const struct report *r)
{
    for (size_t i = 0; i < r->n_readings; i++) {
        const struct reading *x = r->readings[i].reading;
        int32_t day = civil_at(&r->record->zone, x->at).day;
        if (x->standing != STANDING_ACCEPTED || x->week != r->record->week.id || day < e->from || day > e->to)
            continue;
        char *line = fhir_text(fhir_reading(r, &r->readings[i], FHIR_SERVED));
        if (!line)
            return no_memory(e);
        printf("%s\n", line);
        free(line);
    }
    return 0;
}

/* Number 0 stands for readings that belong to no week. */
static int week_export(const struct export *e, int64_t person, int number)
{
    struct report r = {0};
    bool found = false;
    int error = report_open(&r, e->db, e->config, person, number, e->now, &found), status = 0;
    if (error)
        status = command_fail_store(e->in, e->db, error);
    else if (found && e->csv)
        status = csv_print(e, &r, number == 0);
    else if (found && number)
        status = observations_print(e, &r);
    report_close(&r);
    return status;
}

/* -- all of them ---------------------------------------------------------------------------------------------------------- */

static int weeks_export(const struct export *e)
{
    int64_t persons[WEEKS_AT_ONCE], numbers[WEEKS_AT_ONCE], after = 0, after_week = -1;
    int64_t from = (int64_t)e->from * DAY_SECONDS - FARTHEST_ZONE, to = ((int64_t)e->to + 1) * DAY_SECONDS + FARTHEST_ZONE;
    size_t n = WEEKS_AT_ONCE;
    int status = 0;
    while (!status && n == WEEKS_AT_ONCE) {
        int error = weeks_measured(e->db, e->clinic, from, to, after, after_week, WEEKS_AT_ONCE, persons, numbers, &n);
        if (error)
            return command_fail_store(e->in, e->db, error);
        for (size_t i = 0; i < n && !status; i++)
            status = week_export(e, after = persons[i], (int)(after_week = numbers[i]));
    }
    return status;
}

static int export_run(struct export *e)
{
    int status = command_now(e->in, e->config, e->db, &e->now);
    int error = status ? 0 : db_begin(e->db);
    if (error)
        return command_fail_store(e->in, e->db, error);
    if (!status && e->csv) {
        char *head = report_csv_head();
        status = head ? 0 : no_memory(e);
        printf("%s", head ? head : "");
        free(head);
    }
    if (!status)
        status = weeks_export(e);
    db_rollback(e->db);
    return status ? status : command_done(e->in);
}

static int values_read(const struct invocation *in, const struct argument *known, struct export *e)
{
    if (!date_read(known[1].value, &e->from))
        return command_fail(in, EXIT_USAGE, "--from %.20s: not a date; write it like 2026-11-24", known[1].value);
    if (!date_read(known[2].value, &e->to))
        return command_fail(in, EXIT_USAGE, "--to %.20s: not a date; write it like 2026-11-30", known[2].value);
    if (e->to < e->from)
        return command_fail(in, EXIT_USAGE, "--to is before --from; change them round");
    e->csv = strcmp(known[3].value, "csv") == 0;
    if (!e->csv && strcmp(known[3].value, "ndjson") != 0)
        return command_fail(in, EXIT_USAGE, "--format %.20s: no such format; write csv or ndjson", known[3].value);
    e->clinic = known[0].value;
    return 0;
}

int export_command(const struct invocation *in)
{
    struct argument known[] = {
        {.name = "--clinic", .means = "K", .needed = true},
        {.name = "--from", .means = "DATE", .needed = true},
        {.name = "--to", .means = "DATE", .needed = true},
        {.name = "--format", .means = "csv|ndjson", .needed = true},
    };
    struct config config;
    struct export e = {.in = in, .config = &config};
    int status = arguments_read(in, known, sizeof known / sizeof *known);
    if (!status)
        status = values_read(in, known, &e);
    if (!status)
        status = command_config(in, false, &config);
    if (status)
        return status;
    if (!command_clinic(in, &config, e.clinic))
        status = EXIT_USAGE;
    else if (!(status = command_db(in, &config, DB_READ, &e.db)))
        status = export_run(&e);
    db_close(e.db);
    config_close(&config);
    return status;
}
