/* From the embedded store to a shared one: every row, then the proof that none is missing.
 *
 * While it runs meta "moving" stands in the target, and nobody may open it to write; what was cut off is taken up by running
 * it again. A target that holds something else is refused. The source is only read, and not served meanwhile: its folder's
 * lock is the target's too. A million rows take a minute.
 */
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "store/place.h"
#include "store/sqlite.h"
#include "store/transfer.h"

static int target_prepare(struct db *to, char *why, size_t why_size)
{
    static const char any[] = "SELECT (SELECT count(*) FROM people), (SELECT count(*) FROM messages), (SELECT count(*) FROM audit),"
                              " (SELECT count(*) FROM accounts)";
    int64_t moving, rows[4] = {0};
    bool found, counted;
    int error = meta_get(to, "moving", &moving, &found);
    if (!error && !found)
        error = db_whole(to, any, NULL, 0, rows, COUNT(rows), &counted);
    if (!error && rows[0] + rows[1] + rows[2] + rows[3] > 0)
        return place_fail(why, why_size, STORE_CONFLICT, "holds rows already; give it an empty database", to->driver->name);
    if (!error && !found) /* it may have been served, by nobody yet */
        error = db_run(to, "DELETE FROM meta", NULL, 0);
    return error ? error : meta_set(to, "moving", 1);
}

static int source_open(struct db **from, const char *folder, const char *file, char *why, size_t why_size)
{
    char path[PLACE_PATH];
    snprintf(path, sizeof path, "%.*s/quietarm.db", PLACE_PATH - 32, folder);
    int error = sqlite_open_file(from, file ? file : path, why, why_size);
    return error ? error : db_begin(*from); /* one snapshot */
}

int store_migrate(const char *folder, const char *file, void (*told)(void *context, const char *of, int64_t rows), void *context,
                  char *why, size_t why_size)
{
    struct db *from = NULL, *to = NULL;
    why[0] = '\0';
    int error = source_open(&from, folder, file, why, why_size);
    if (!error)
        error = place_driver()->open(&to, folder, place_conninfo(), DB_SERVE, why, why_size);
    if (!error)
        error = target_prepare(to, why, why_size);
    if (!error)
        error = transfer_all(from, to, told, context, why, why_size);
    if (!error)
        error = db_run(to, "DELETE FROM meta WHERE key = 'moving'", NULL, 0);
    if (error && !why[0])
        snprintf(why, why_size, "%s", to ? db_why(to) : from ? db_why(from) : store_error_name(error));
    db_close(from);
    db_close(to);
    return error;
}
