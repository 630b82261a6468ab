/* quietarm enrol: adds one patient and queues the invitation, or the welcome.
 *
 * Runs beside the daemon, which sends what is queued within a second. Nothing is sent from here.
 */
#include <stdio.h>
#include <string.h>

#include "gateway/command.h"
#include "gateway/enrolment.h"
#include "gateway/flow/flow.h"
#include "gateway/folder.h"

enum { OPTIONS_MAX = 40 };

/* --clinic, then an argument for each option. */
static size_t arguments_make(struct argument known[OPTIONS_MAX], char names[OPTIONS_MAX][24])
{
    size_t n = 0;
    known[n++] = (struct argument){.name = "--clinic", .means = "K", .needed = true};
    for (const struct enrolment_option *o = enrolment_options; o->name; o++, n++) {
        snprintf(names[n], sizeof names[n], "--%s", o->name);
        known[n] =
            (struct argument){.name = names[n], .means = o->means, .flag = o->flag, .needed = o->needed};
    }
    return n;
}

static int values_take(const struct invocation *in, const struct enrolment_place *place,
                       const struct argument *given, struct enrolment *e)
{
    char why[ENROLMENT_WHY];
    enrolment_blank(e, place->clinic);
    for (const struct enrolment_option *o = enrolment_options; o->name; o++) {
        const char *value = given[1 + (o - enrolment_options)].value;
        if (value && !*value && !o->flag)
            return command_fail(in, EXIT_USAGE, "--%s: nothing is there; write --%s %s", o->name, o->name,
                                o->means);
        if (value && !o->take(place, o, value, e, why))
            return command_fail(in, EXIT_USAGE, "--%s %s", o->name, why);
    }
    return enrolment_check(place, e, why) ? 0 : command_fail(in, EXIT_USAGE, "%s", why);
}

static void refused_tell(void *context, const struct enrolment *e, const char *column, const char *why)
{
    (void)e;
    command_fail(context, EXIT_WORLD, "--%s %s", column, why);
}

static int enrol_write(const struct invocation *in, const struct config *config, struct db *db,
                       const struct texts *texts, int64_t now, const struct enrolment *e)
{
    struct enrolment_watch watch = {.context = (void *)in, .refused = refused_tell};
    int result = enrolment_write(db, config, texts, now, e, 1, &watch);
    if (result)
        return result < 0 ? command_fail_store(in, db, result) : EXIT_WORLD;
    printf("enrolled %s %s\n", e->person.clinic, e->person.ref);
    return command_done(in);
}

static int enrol_with(const struct invocation *in, const struct config *config, const struct argument *given)
{
    struct db *db = NULL;
    struct texts *texts = NULL;
    struct enrolment e;
    struct enrolment_place place = {.config = config, .clinic = command_clinic(in, config, given[0].value)};
    char why[ENROLMENT_WHY];
    int64_t now;
    if (!place.clinic)
        return EXIT_USAGE;
    int status = command_db(in, config, DB_WRITE, &db);
    if (!status)
        status = command_now(in, config, db, &now);
    if (status)
        goto out;
    enrolment_place_day(&place, now);
    if (texts_load(&texts, config->texts, why, sizeof why) < 0)
        status = command_fail(in, EXIT_USAGE, "%s", why);
    if (!status)
        status = values_take(in, &place, given, &e);
    if (!status)
        status = enrol_write(in, config, db, texts, now, &e);
out:
    texts_close(texts);
    db_close(db);
    return status;
}

int enrol_command(const struct invocation *in)
{
    struct argument known[OPTIONS_MAX];
    char names[OPTIONS_MAX][24];
    struct config config;
    size_t n = arguments_make(known, names);
    int status = command_begin(in, known, n, false, &config);
    if (status)
        return status;
    status = enrol_with(in, &config, known);
    config_close(&config);
    return status;
}
