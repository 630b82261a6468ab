/* Lists for those who look: the desk's open rows and alerts, a person's weeks and readings.
 *
 * Only read, from readers' connections. A clinic's desk is some dozens of rows, a person's readings some hundreds.
 */
#include <string.h>

#include "store/tables.h"

int desk_list(struct db *db, const char *clinic, int64_t now, size_t max, struct desk_row **out, size_t *n)
{
    static const char of_clinic[] = "SELECT " COLUMNS(DESK) " FROM desk WHERE clinic = $1 AND done_at IS NULL"
                                    " AND coalesce(put_off_until, 0) <= $2 ORDER BY rank, at, id LIMIT $3";
    static const char of_all[] = "SELECT " COLUMNS(DESK) " FROM desk WHERE done_at IS NULL"
                                 " AND coalesce(put_off_until, 0) <= $1 ORDER BY rank, at, id LIMIT $2";
    struct value values[] = {value_text(clinic), value_whole(now), value_whole((int64_t)max)};
    struct rows rows = {.columns = desk_columns, .n_columns = DESK_N, .size = sizeof **out};
    int error = *clinic ? rows_load(db, of_clinic, values, 3, &rows) : rows_load(db, of_all, values + 1, 2, &rows);
    *out = rows.at;
    *n = rows.n;
    return error;
}

int alerts_list(struct db *db, const char *clinic, size_t max, struct alert **out, size_t *n)
{
    static const char of_clinic[] = "SELECT " COLUMNS(ALERTS) " FROM alerts WHERE clinic = $1 AND resolved_at IS NULL"
                                    " ORDER BY at, id LIMIT $2";
    static const char of_all[] = "SELECT " COLUMNS(ALERTS) " FROM alerts WHERE resolved_at IS NULL"
                                 " ORDER BY at, id LIMIT $1";
    struct value values[] = {value_text(clinic), value_whole((int64_t)max)};
    struct rows rows = {.columns = alerts_columns, .n_columns = ALERTS_N, .size = sizeof **out};
    int error = *clinic ? rows_load(db, of_clinic, values, 2, &rows) : rows_load(db, of_all, values + 1, 1, &rows);
    *out = rows.at;
    *n = rows.n;
    return error;
}

int weeks_of_person(struct db *db, int64_t person, int below, size_t max, struct week **out, size_t *n)
{
    static const char of_person[] = "SELECT " COLUMNS(WEEKS) " FROM weeks"
                                    " WHERE person = $1 AND number < $2 ORDER BY number DESC LIMIT $3";
    struct value values[] = {value_whole(person), value_whole(below ? below : INT32_MAX), value_whole((int64_t)max)};
    struct rows rows = {.columns = weeks_columns, .n_columns = WEEKS_N, .size = sizeof **out};
    int error = rows_load(db, of_person, values, COUNT(values), &rows);
    *out = rows.at;
    *n = rows.n;
    return error;
}

int readings_of_person(struct db *db, int64_t person, int64_t from, int64_t to, struct reading **out, size_t *n)
{
    static const char of_person[] = "SELECT " COLUMNS(READINGS) " FROM readings"
                                    " WHERE person = $1 AND at >= $2 AND at < $3 ORDER BY at, id";
    struct value values[] = {value_whole(person), value_whole(from), value_whole(to)};
    struct rows rows = {.columns = readings_columns, .n_columns = READINGS_N, .size = sizeof **out};
    int error = rows_load(db, of_person, values, COUNT(values), &rows);
    *out = rows.at;
    *n = rows.n;
    return error;
}

/* -- one row by its id ---------------------------------------------------------------------------------------------------- */

struct one {
    const struct column *columns;
    void *row;
    bool found;
};

static int one_row(void *context, const struct value *columns, size_t n)
{
    struct one *one = context;
    one->found = true;
    return row_read(one->columns, n, columns, one->row);
}

static int one_get(struct db *db, const char *sql, int64_t id, const struct column *columns, void *row, bool *found)
{
    struct value value = value_whole(id);
    struct one one = {columns, row, false};
    int error = db_load(db, &(struct query){sql, &value, 1, one_row, &one}, 1);
    *found = !error && one.found;
    return error;
}

int reading_get(struct db *db, int64_t id, struct reading *out, bool *found)
{
    memset(out, 0, sizeof *out);
    return one_get(db, "SELECT " COLUMNS(READINGS) " FROM readings WHERE id = $1", id, readings_columns, out, found);
}

int alert_get(struct db *db, int64_t id, struct alert *out, bool *found)
{
    memset(out, 0, sizeof *out);
    return one_get(db, "SELECT " COLUMNS(ALERTS) " FROM alerts WHERE id = $1", id, alerts_columns, out, found);
}

int desk_get(struct db *db, int64_t id, struct desk_row *out, bool *found)
{
    memset(out, 0, sizeof *out);
    return one_get(db, "SELECT " COLUMNS(DESK) " FROM desk WHERE id = $1", id, desk_columns, out, found);
}
