/* What a result or a receipt is of: rows of the outbox by their id, their key or the carrier's id, and the receipt that
 * came before the carrier's id was known.
 *
 * All that a batch looks for is one list: a journey for a hundred of them. Changes nothing.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "store/tables.h"

static const char by_id[] = "SELECT " COLUMNS(OUTBOX) " FROM outbox WHERE id = $1";
static const char by_carrier_id[] = "SELECT " COLUMNS(OUTBOX) " FROM outbox WHERE carrier_id = $1 AND carrier_id <> ''"
                                    " ORDER BY id DESC LIMIT 1";
static const char by_key[] = "SELECT " COLUMNS(OUTBOX) " FROM outbox WHERE key = $1 AND key <> ''";
static const char receipt_get[] = "SELECT " COLUMNS(RECEIPTS) " FROM receipts"
                                  " WHERE (id = $1 AND by_key = 0) OR (id = $2 AND by_key = 1)"
                                  " ORDER BY delivered DESC, at DESC LIMIT 1";

/* -- receipts that came early ---------------------------------------------------------------------------------------------- */

static int receipt_row(void *context, const struct value *columns, size_t n)
{
    return row_read(receipts_columns, n, columns, context);
}

/* An empty id is nobody's. */
static struct query receipt_query(const char *carrier_id, const char *key, struct value values[2], struct early_receipt *out)
{
    values[0] = value_text(*carrier_id ? carrier_id : NULL);
    values[1] = value_text(*key ? key : NULL);
    out->id[0] = '\0';
    return (struct query){receipt_get, values, 2, receipt_row, out};
}

int receipt_find(struct db *db, const char *carrier_id, const char *key, struct early_receipt *out, bool *found)
{
    struct value values[2];
    struct query query = receipt_query(carrier_id, key, values, out);
    int error = db_load(db, &query, 1);
    *found = out->id[0] != '\0';
    return error;
}

/* -- rows ------------------------------------------------------------------------------------------------------------------ */

static int sought_row(void *context, const struct value *columns, size_t n)
{
    struct sought *s = context;
    memset(&s->row, 0, sizeof s->row);
    s->found = true;
    return row_read(outbox_columns, n, columns, &s->row);
}

struct asking {
    struct value row, receipt[2];
    char key[KEY_MAX]; /* of the row as it was sought before */
};

/* Its queries, one or two. */
static size_t sought_queries(struct sought *s, struct asking *a, struct query *q)
{
    a->row = s->id ? value_whole(s->id) : value_text(s->name);
    q[0] = (struct query){s->id ? by_id : s->by_key ? by_key : by_carrier_id, &a->row, 1, sought_row, s};
    bool known = s->found && s->carrier_id;
    snprintf(a->key, sizeof a->key, "%s", known ? s->row.key : "");
    s->found = false;
    s->early.id[0] = '\0';
    if (known)
        q[1] = receipt_query(s->carrier_id, a->key, a->receipt, &s->early);
    return known ? 2 : 1;
}

int outbox_seek(struct db *db, struct sought *list, size_t n)
{
    struct asking *asking = calloc(n + 1, sizeof *asking);
    struct query *queries = calloc(2 * n + 1, sizeof *queries);
    int error = asking && queries ? 0 : db_fail(db, STORE_MEMORY, "out of memory");
    size_t n_queries = 0;
    for (size_t i = 0; i < n && !error; i++)
        n_queries += sought_queries(&list[i], &asking[i], &queries[n_queries]);
    if (!error && n)
        error = db_load(db, queries, n_queries);
    free(queries);
    free(asking);
    return error;
}
