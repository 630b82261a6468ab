/* quietarm migrate: the embedded database into the shared one that the configuration names.
 *
 * Nothing of the source is changed. It may be broken off and run again; it says done only after counts and digests of every
 * table agree.
 */
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "gateway/command.h"

static void told(void *context, const char *of, int64_t rows)
{
    (void)context;
    printf("%s %lld\n", of, (long long)rows);
}

static int migrate_with(const struct invocation *in, const struct config *config, const char *to, const char *file)
{
    char why[512];
    bool shared = false, named = false;
    for (size_t i = 0; store_name(i, &shared); i++)
        if (strcmp(store_name(i, &shared), to) == 0)
            named = shared;
    if (!named)
        return command_fail(in, EXIT_USAGE, "--to %.40s: there is no such store to migrate to; write --to postgres", to);
    if (strcmp(config->store, to) != 0)
        return command_fail(in, EXIT_USAGE, "--to %.40s: the configuration says store = %s; set store and conninfo_file in it first",
                            to, config->store);
    if (file && access(file, R_OK) < 0)
        return command_fail(in, EXIT_WORLD, "%s: cannot be read; name a database or a backup", file);
    int error = store_migrate(config->state, file, told, NULL, why, sizeof why);
    if (error)
        return command_fail(in, EXIT_WORLD, "%s", why);
    printf("migrated to %s\n", to);
    return command_done(in);
}

int migrate_command(const struct invocation *in)
{
    struct argument known[] = {{.name = "--to", .needed = true, .means = "STORE"}, {.means = "FILE.db"}};
    struct config config;
    int status = command_begin(in, known, sizeof known / sizeof *known, false, &config);
    if (status)
        return status;
    status = migrate_with(in, &config, known[0].value, known[1].value);
    config_close(&config);
    return status;
}
