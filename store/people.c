/* Who: a row a patient of a clinic, and one a number that texted and is nobody's (a stranger, ref '').
 *
 * Magnitude: some thousands a clinic, a hundred thousand in all.
 */
#include <stdlib.h>
#include <string.h>

#include "store/tables.h"

static const char of_number[] = "SELECT id FROM people WHERE clinic = $1 AND phone = $2 ORDER BY id LIMIT $3";

int people_of_number(struct db *db, const char *clinic, const char *phone, int64_t *ids, size_t max, size_t *n)
{
    return db_wholes(db, of_number,
                     (struct value[]){value_text(clinic), value_text(phone), value_whole((int64_t)max)}, 3,
                     (int64_t *const[]){ids}, 1, max, n);
}

static int line_row(void *context, const struct value *columns, size_t n)
{
    struct number_line *line = context;
    (void)n;
    if (line->n < line->max)
        line->people[line->n++] = columns[0].whole;
    return 0;
}

int people_of_numbers(struct db *db, struct number_line *lines, size_t n)
{
    struct value(*values)[3] = calloc(n + 1, sizeof *values);
    struct query *queries = calloc(n + 1, sizeof *queries);
    int error = values && queries ? 0 : db_fail(db, STORE_MEMORY, "out of memory");
    for (size_t i = 0; i < n && !error; i++) {
        values[i][0] = value_text(lines[i].clinic);
        values[i][1] = value_text(lines[i].phone);
        values[i][2] = value_whole((int64_t)lines[i].max);
        queries[i] = (struct query){of_number, values[i], 3, line_row, &lines[i]};
    }
    if (!error)
        error = db_load(db, queries, n);
    free(queries);
    free(values);
    return error;
}

int person_by_ref(struct db *db, const char *clinic, const char *ref, int64_t *id, bool *found)
{
    return db_whole(db, "SELECT id FROM people WHERE clinic = $1 AND ref = $2 AND ref <> ''",
                    (struct value[]){value_text(clinic), value_text(ref)}, 2, id, 1, found);
}

static int person_row(void *context, const struct value *columns, size_t n)
{
    return row_read(people_columns, n, columns, context);
}

int person_get(struct db *db, int64_t id, struct person *out, bool *found)
{
    static const char get[] = "SELECT " COLUMNS(PEOPLE) " FROM people WHERE id = $1";
    struct value value = value_whole(id);
    memset(out, 0, sizeof *out);
    int error = db_load(db, &(struct query){get, &value, 1, person_row, out}, 1);
    *found = out->id != 0;
    return error;
}
