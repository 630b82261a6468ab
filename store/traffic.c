/* Whether texts go both ways: for whoever has to notice that none comes in any more. Two walks along an index. */
#include "store/driver.h"

int traffic(struct db *db, int64_t since, int enough, int64_t *last_in, int *asked)
{
    static const char last[] = "SELECT received FROM texts WHERE body IS NOT NULL ORDER BY received DESC LIMIT 1";
    static const char sent[] = "SELECT count(*) FROM (SELECT 1 FROM outbox WHERE body <> '' AND created > $1"
                               " AND channel = 'text' AND staff = 0 LIMIT $2) AS asked";
    struct value values[] = {value_whole(since), value_whole(enough)};
    int64_t n = 0;
    bool found;
    *last_in = INSTANT_NONE;
    int error = db_whole(db, last, NULL, 0, last_in, 1, &found);
    if (!error)
        error = db_whole(db, sent, values, COUNT(values), &n, 1, &found);
    *asked = (int)n;
    return error;
}
