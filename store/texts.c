/* Inbound texts, each with the hash of its carrier's message id: known hashes are kept for ever, so that a message that is
 * delivered again, even after its text was erased, does nothing.
 *
 * Magnitude: four a patient and day, some hundred bytes each.
 */
#include <stdlib.h>
#include <string.h>

#include "store/tables.h"

static const char message_put[] = "INSERT INTO messages (hash, received) VALUES ($1, $2)";
static const char text_put[] = "INSERT INTO texts (" COLUMNS(TEXTS) ") VALUES (" DOLLARS_10 ")";
_Static_assert(TEXTS_N == 10, "the dollars of text_put");

int text_write(struct db *db, const struct stored_text *t)
{
    struct value values[TEXTS_N], message[] = {value_blob(t->hash, MESSAGE_HASH), value_whole(t->received)};
    row_bind(texts_columns, TEXTS_N, t, values, NULL);
    return db_write(db, (struct write[]){{message_put, message, COUNT(message)}, {text_put, values, TEXTS_N}}, 2);
}

/* -- known messages, in one list ------------------------------------------------------------------------------------------- */

static int known_row(void *context, const struct value *columns, size_t n)
{
    (void)columns;
    (void)n;
    *(bool *)context = true;
    return 0;
}

int texts_known(struct db *db, const uint8_t (*hashes)[MESSAGE_HASH], size_t n, bool *known)
{
    static const char get[] = "SELECT 1 FROM messages WHERE hash = $1";
    enum { AT_ONCE = 32 };
    int error = 0;
    for (size_t done = 0; done < n && !error; done += AT_ONCE) {
        struct value values[AT_ONCE];
        struct query queries[AT_ONCE];
        size_t some = n - done < AT_ONCE ? n - done : AT_ONCE;
        for (size_t i = 0; i < some; i++) {
            known[done + i] = false;
            values[i] = value_blob(hashes[done + i], MESSAGE_HASH);
            queries[i] = (struct query){get, &values[i], 1, known_row, &known[done + i]};
        }
        error = db_load(db, queries, some);
    }
    return error;
}

/* -- reading them -------------------------------------------------------------------------------------------------------- */

void texts_free(struct stored_text *at, size_t n)
{
    for (size_t i = 0; i < n; i++)
        free(at[i].body);
    free(at);
}

static int texts_list(struct db *db, const char *sql, const struct value *values, size_t n_values,
                      struct stored_text **out, size_t *n)
{
    struct rows rows = {.columns = texts_columns, .n_columns = TEXTS_N, .size = sizeof **out};
    int error = db_load(db, &(struct query){sql, values, n_values, rows_add, &rows}, 1);
    if (error) {
        texts_free(rows.at, rows.n);
        rows = (struct rows){0};
    }
    *out = rows.at;
    *n = rows.n;
    return error;
}

int texts_of_person(struct db *db, int64_t person, int64_t from, int64_t to, size_t max, struct stored_text **out, size_t *n)
{
    static const char of_person[] = "SELECT " COLUMNS(TEXTS) " FROM (SELECT " COLUMNS(TEXTS) " FROM texts"
                                    " WHERE person = $1 AND received >= $2 AND received < $3"
                                    " ORDER BY received DESC, id DESC LIMIT $4) AS latest ORDER BY received, id";
    struct value values[] = {value_whole(person), value_whole(from), value_whole(to), value_whole((int64_t)max)};
    return texts_list(db, of_person, values, COUNT(values), out, n);
}

int texts_of_nobody(struct db *db, int64_t since, size_t max, struct stored_text **out, size_t *n)
{
    static const char of_nobody[] = "SELECT " COLUMNS(TEXTS) " FROM (SELECT " COLUMNS(TEXTS) " FROM texts"
                                    " WHERE person IS NULL AND received >= $1 ORDER BY received DESC, id DESC LIMIT $2)"
                                    " AS latest ORDER BY received, id";
    struct value values[] = {value_whole(since), value_whole((int64_t)max)};
    return texts_list(db, of_nobody, values, COUNT(values), out, n);
}

static int text_row(void *context, const struct value *columns, size_t n)
{
    return row_read(texts_columns, n, columns, context);
}

int text_get(struct db *db, int64_t id, struct stored_text *out, bool *found)
{
    static const char get[] = "SELECT " COLUMNS(TEXTS) " FROM texts WHERE id = $1";
    struct value value = value_whole(id);
    *out = (struct stored_text){0};
    int error = db_load(db, &(struct query){get, &value, 1, text_row, out}, 1);
    if (error) {
        free(out->body);
        *out = (struct stored_text){0};
    }
    *found = out->id != 0;
    return error;
}

int texts_counted(struct db *db, const char *from, const char *why, int64_t since, int64_t *n)
{
    bool found;
    return db_whole(db, "SELECT count(*) FROM texts WHERE sender = $1 AND received >= $2 AND why = $3 AND person IS NULL",
                    (struct value[]){value_text(from), value_whole(since), value_text(why)}, 3, n, 1, &found);
}
