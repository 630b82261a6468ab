/* Delivery receipts that came before what they are of was known: kept a day for their match (seek.c).
 *
 * There are none, or a handful: a carrier that answers slower than it delivers.
 */
#include "store/tables.h"

enum { KEPT_SECONDS = 24 * 60 * 60 };

static const char receipt_forget[] = "DELETE FROM receipts WHERE at < $1";
static const char receipt_put[] =
    "INSERT INTO receipts (" COLUMNS(RECEIPTS) ") VALUES (" DOLLARS_4 ")"
    " ON CONFLICT (id, by_key) DO UPDATE SET at = excluded.at,"
    " delivered = CASE WHEN receipts.delivered = 1 THEN 1 ELSE excluded.delivered END";
_Static_assert(RECEIPTS_N == 4, "the dollars of receipt_put");

int receipt_keep(struct db *db, const struct early_receipt *r)
{
    struct value values[RECEIPTS_N], before = value_whole(r->at - KEPT_SECONDS);
    row_bind(receipts_columns, RECEIPTS_N, r, values, NULL);
    return db_write(db, (struct write[]){{receipt_forget, &before, 1}, {receipt_put, values, RECEIPTS_N}}, 2);
}
