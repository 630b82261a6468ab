/* quietarm erase: a patient's identity, texts and readings are removed for good.
 *
 * It asks for the ref a second time unless --yes is given: nothing brings back what it removes. It says where summaries
 * went, since those copies are not ours to remove. An open alert is refused: somebody may still be in danger.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/command.h"

static int confirmed(const struct invocation *in, const char *ref)
{
    char line[REF_MAX + 2] = "";
    fprintf(stderr, "This removes %s for good. Type the ref again: ", ref);
    if (fgets(line, sizeof line, stdin))
        line[strcspn(line, "\r\n")] = '\0';
    return strcmp(line, ref) == 0 ? 0 : command_fail(in, EXIT_WORLD, "not confirmed; nothing was erased");
}

static int erase_one(const struct invocation *in, struct db *db, int64_t person, const char *clinic, const char *ref)
{
    char(*to)[TARGET_MAX] = NULL;
    size_t n = 0;
    bool open = false;
    int error = summaries_went(db, person, &to, &n);
    if (!error)
        error = person_erase(db, person, "command", &open);
    int status = error  ? command_fail_store(in, db, error)
                 : open ? command_fail(in, EXIT_WORLD, "--ref %s: an alert is open; resolve it at the desk first", ref)
                        : 0;
    if (!status) {
        printf("erased %s %s\n", clinic, ref);
        for (size_t i = 0; i < n; i++)
            printf("a summary went to %s\n", to[i]);
        status = command_done(in);
    }
    free(to);
    return status;
}

static int erase_with(const struct invocation *in, const struct config *config, const struct argument *given)
{
    const struct clinic *clinic = command_clinic(in, config, given[0].value);
    const char *ref = given[1].value;
    struct db *db = NULL;
    int64_t person = 0, now = 0;
    bool found = false;
    if (!clinic)
        return EXIT_USAGE;
    int status = command_db(in, config, DB_WRITE, &db);
    if (!status)
        status = command_now(in, config, db, &now);
    if (status)
        goto out;
    db_now(db, now);
    int error = person_by_ref(db, clinic->id, ref, &person, &found);
    if (error)
        status = command_fail_store(in, db, error);
    else if (!found)
        status = command_fail(in, EXIT_WORLD, "--ref %s: nobody in clinic %s has this ref", ref, clinic->id);
    if (!status && !given[2].value)
        status = confirmed(in, ref);
    if (!status)
        status = erase_one(in, db, person, clinic->id, ref);
out:
    db_close(db);
    return status;
}

int erase_command(const struct invocation *in)
{
    struct argument known[] = {{.name = "--clinic", .needed = true, .means = "K"},
                               {.name = "--ref", .needed = true, .means = "R"},
                               {.name = "--yes", .flag = true}};
    struct config config;
    int status = command_begin(in, known, sizeof known / sizeof *known, false, &config);
    if (status)
        return status;
    status = erase_with(in, &config, known);
    config_close(&config);
    return status;
}
