/* What leaves for a clinic: its patients, their accepted readings and ended weeks, page by page, by id.
 *
 * Never a stranger, and never one whose consent was withdrawn: nothing more of them leaves. A page costs the rows that it
 * brings, as long as most rows are the clinic's own.
 */
#include <stdlib.h>
#include <string.h>

#include "store/tables.h"

#define SERVED "clinic = $1 AND ref <> '' AND state <> 'withdrawn'"
#define SERVED_PEOPLE "SELECT id FROM people WHERE " SERVED

/* Adds all rows; on error there are none. */
static int page_load(struct db *db, const char *sql, const struct value *values, size_t n, struct rows *rows)
{
    int error = db_load(db, &(struct query){sql, values, n, rows_add, rows}, 1);
    if (error) {
        free(rows->at);
        rows->at = NULL;
        rows->n = 0;
    }
    return error;
}

int served_people(struct db *db, const char *clinic, const char *ref, int64_t after, size_t max, struct person **out, size_t *n)
{
    static const char get[] = "SELECT " COLUMNS(PEOPLE) " FROM people WHERE " SERVED
                              " AND ($2 = '' OR ref = $2) AND id > $3 ORDER BY id LIMIT $4";
    struct value values[] = {value_text(clinic), value_text(ref), value_whole(after), value_whole((int64_t)max)};
    struct rows rows = {.columns = people_columns, .n_columns = PEOPLE_N, .size = sizeof **out};
    int error = page_load(db, get, values, COUNT(values), &rows);
    *out = rows.at;
    *n = rows.n;
    return error;
}

int served_readings(struct db *db, const struct served *which, size_t max, struct reading **out, size_t *n)
{
    static const char of_clinic[] =
        "SELECT " COLUMNS(READINGS) " FROM readings WHERE person IN (" SERVED_PEOPLE ") AND standing = 'accepted'"
        " AND at >= $2 AND at < $3 AND id > $4 ORDER BY id LIMIT $5";
    static const char of_person[] =
        "SELECT " COLUMNS(READINGS) " FROM readings WHERE person IN (" SERVED_PEOPLE " AND id = $2)"
        " AND standing = 'accepted' AND at >= $3 AND at < $4 AND id > $5 ORDER BY id LIMIT $6";
    struct value of[] = {value_text(which->clinic), value_whole(which->person), value_whole(which->from), value_whole(which->to),
                         value_whole(which->after), value_whole((int64_t)max)};
    struct value all[] = {of[0], of[2], of[3], of[4], of[5]};
    struct rows rows = {.columns = readings_columns, .n_columns = READINGS_N, .size = sizeof **out};
    int error = which->person ? page_load(db, of_person, of, COUNT(of), &rows) : page_load(db, of_clinic, all, COUNT(all), &rows);
    *out = rows.at;
    *n = rows.n;
    return error;
}

int served_weeks(struct db *db, const struct served *which, size_t max, struct week **out, size_t *n)
{
    static const char of_clinic[] =
        "SELECT " COLUMNS(WEEKS) " FROM weeks WHERE person IN (" SERVED_PEOPLE ") AND state IN ('complete', 'short')"
        " AND id > $2 ORDER BY id LIMIT $3";
    static const char of_person[] =
        "SELECT " COLUMNS(WEEKS) " FROM weeks WHERE person IN (" SERVED_PEOPLE " AND id = $2)"
        " AND state IN ('complete', 'short') AND id > $3 ORDER BY id LIMIT $4";
    struct value of[] = {value_text(which->clinic), value_whole(which->person), value_whole(which->after),
                         value_whole((int64_t)max)};
    struct value all[] = {of[0], of[2], of[3]};
    struct rows rows = {.columns = weeks_columns, .n_columns = WEEKS_N, .size = sizeof **out};
    int error = which->person ? page_load(db, of_person, of, COUNT(of), &rows) : page_load(db, of_clinic, all, COUNT(all), &rows);
    *out = rows.at;
    *n = rows.n;
    return error;
}

static int week_row(void *context, const struct value *columns, size_t n)
{
    return row_read(weeks_columns, n, columns, context);
}

int week_get(struct db *db, int64_t id, struct week *out, bool *found)
{
    static const char get[] = "SELECT " COLUMNS(WEEKS) " FROM weeks WHERE id = $1";
    struct value value = value_whole(id);
    memset(out, 0, sizeof *out);
    int error = db_load(db, &(struct query){get, &value, 1, week_row, out}, 1);
    *found = out->id != 0;
    return error;
}

int weeks_measured(struct db *db, const char *clinic, int64_t from, int64_t to, int64_t after, int64_t after_week, size_t max,
                   int64_t *persons, int64_t *numbers, size_t *n)
{
    static const char get[] =
        "SELECT DISTINCT p.id, coalesce(w.number, 0) FROM people p JOIN readings r ON r.person = p.id"
        " LEFT JOIN weeks w ON w.id = r.week WHERE p.clinic = $1 AND p.ref <> '' AND p.state <> 'withdrawn'"
        " AND r.at >= $2 AND r.at < $3 AND (p.id > $4 OR (p.id = $4 AND coalesce(w.number, 0) > $5)) ORDER BY 1, 2 LIMIT $6";
    struct value values[] = {value_text(clinic),  value_whole(from),       value_whole(to),
                             value_whole(after), value_whole(after_week), value_whole((int64_t)max)};
    return db_wholes(db, get, values, COUNT(values), (int64_t *const[]){persons, numbers}, 2, max, n);
}
