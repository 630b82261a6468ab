/* Whole numbers that are kept in the database: the stepped clock, the number of audit rows. */
#include "store/driver.h"

int meta_get(struct db *db, const char *key, int64_t *value, bool *found)
{
    return db_whole(db, "SELECT value FROM meta WHERE key = $1", (struct value[]){value_text(key)}, 1, value, 1, found);
}

int meta_set(struct db *db, const char *key, int64_t value)
{
    return db_run(db,
                  "INSERT INTO meta (key, value) VALUES ($1, $2) ON CONFLICT (key) DO UPDATE SET value = excluded.value",
                  (struct value[]){value_text(key), value_whole(value)}, 2);
}
