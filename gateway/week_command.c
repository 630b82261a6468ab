/* quietarm week: a patient's current or last week, for people or as JSON. Reads beside the running daemon.
 */
#include <stdio.h>
#include <stdlib.h>

#include "gateway/command.h"
#include "gateway/week.h"

enum { WEEK_TEXT_BYTES = 16 << 20, WEEKS_MAX = 10000 };

static int week_print(const struct invocation *in, const struct week_view *v, bool json)
{
    struct buffer b;
    char *text = NULL;
    buffer_init(&b, WEEK_TEXT_BYTES);
    if (json)
        text = week_json(v);
    else {
        week_text(v, &b);
        text = buffer_take(&b);
    }
    if (!text)
        return command_fail(in, EXIT_WORLD, "out of memory; close something and try again");
    printf("%s%s", text, json ? "\n" : "");
    free(text);
    return command_done(in);
}

/* In one snapshot. */
static int week_find(const struct invocation *in, const struct config *config, struct db *db,
                     const char *clinic, const char *ref, int number, bool json)
{
    struct week_loaded w = {0};
    int64_t now, person = 0;
    bool found = false;
    int status = command_now(in, config, db, &now);
    if (status)
        return status;
    int error = db_begin(db);
    if (!error)
        error = person_by_ref(db, clinic, ref, &person, &found);
    if (!error && !found)
        status =
            command_fail(in, EXIT_WORLD, "--ref %.48s: nobody in clinic %s has this ref; see the desk's list",
                         ref, clinic);
    if (!error && found)
        error = week_load(db, config, now, person, number, &w, &found);
    if (!error && !status)
        status = found ? week_print(in, &w.view, json)
                       : command_fail(in, EXIT_WORLD,
                                      "--week %d: %s has no such week; leave --week out for the last", number,
                                      ref);
    if (error)
        status = command_fail_store(in, db, error);
    week_unload(&w);
    db_rollback(db);
    return status;
}

int week_command(const struct invocation *in)
{
    struct argument known[] = {
        {.name = "--clinic", .means = "K", .needed = true},
        {.name = "--ref", .means = "R", .needed = true},
        {.name = "--week", .means = "N"},
        {.name = "--json", .means = "", .flag = true},
    };
    struct config config;
    struct db *db = NULL;
    int64_t number = 0;
    int status = arguments_read(in, known, 4);
    if (!status && known[2].value && !whole_read(known[2].value, 1, WEEKS_MAX, &number))
        status = command_fail(in, EXIT_USAGE, "--week %.20s: not a week's number; write 1 for the first",
                              known[2].value);
    if (!status)
        status = command_config(in, false, &config);
    if (status)
        return status;
    if (!command_clinic(in, &config, known[0].value))
        status = EXIT_USAGE;
    else if (!(status = command_db(in, &config, DB_READ, &db)))
        status =
            week_find(in, &config, db, known[0].value, known[1].value, (int)number, known[3].value != NULL);
    db_close(db);
    config_close(&config);
    return status;
}
