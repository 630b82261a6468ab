/* After the machine's clock was set back: what was put off by some minutes must not wait for the whole jump as well.
 *
 * Only delays are moved: of texts that answer or warn or are tried again, of repeats of an alert, of a severe reading's follow-up. What is due at
 * an hour of the day (reminders, the end of quiet hours) stays, and no record of what was is changed. Of several gateways one
 * machine's clock says nothing about the others': nothing is moved.
 */
#include "store/tables.h"

int clock_set_back(struct db *db, int64_t seconds, int64_t now)
{
    static const char *const moves[] = {
        "UPDATE outbox SET due = due - $1, expires = expires - $1 WHERE state = 'waiting' AND (unprompted = 0 OR attempts > 0) AND due > $2",
        "UPDATE outbox SET check_due = check_due - $1 WHERE state = 'waiting' AND (unprompted = 0 OR attempts > 0) AND check_due > $2",
        "UPDATE alerts SET due = due - $1 WHERE due > $2",
        "UPDATE courses SET follow_since = follow_since - $1, next_look = next_look - $1 WHERE follow <> 0 AND next_look > $2",
    };
    struct value values[] = {value_whole(seconds), value_whole(now)};
    if (db->gateway)
        return 0;
    int error = db_begin(db);
    for (size_t i = 0; i < COUNT(moves) && !error; i++)
        error = db_run(db, moves[i], values, COUNT(values));
    if (!error)
        error = db_commit(db);
    if (error)
        db_rollback(db);
    return error;
}
