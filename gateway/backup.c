/* quietarm backup, quietarm verify: one consistent copy while the daemon runs, and whether a copy is sound. */
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "gateway/command.h"

int backup_command(const struct invocation *in)
{
    struct argument known[] = {{.means = "DEST.db", .needed = true}};
    struct config config;
    char why[256] = "";
    int status = command_begin(in, known, 1, false, &config);
    if (status)
        return status;
    const char *dest = known[0].value;
    if (access(dest, F_OK) == 0)
        status = command_fail(in, EXIT_WORLD, "%s: exists already; name a file that does not", dest);
    else {
        int error = store_backup(config.state, dest, why, sizeof why);
        if (error)
            status = why[0] ? command_fail(in, EXIT_WORLD, "%s", why) : command_fail_store(in, NULL, error);
    }
    if (!status) {
        printf("backed up to %s\n", dest);
        status = command_done(in);
    }
    config_close(&config);
    return status;
}

static int verify_print(const struct invocation *in, const char *of, const char *folder, const char *file)
{
    struct verify_report v = {0};
    int error = store_verify(folder, file, &v);
    if (error && !v.why[0])
        return command_fail_store(in, NULL, error);
    bool names_it = strncmp(v.why, of, strlen(of)) == 0; /* what could not be opened says so itself */
    const char *name = names_it ? "" : of, *colon = names_it ? "" : ": ";
    if (error)
        return command_fail(in, EXIT_WORLD, "%s%s%s", name, colon, v.why);
    if (!v.sound)
        return command_fail(in, EXIT_WORLD, "%s%sdamaged: %s; restore %s backup", name, colon, v.why, file ? "another" : "the last");
    printf("sound: %s\nschema %d\n", of, v.schema);
    printf("people %lld\ntexts %lld\nreadings %lld\nweeks %lld\noutbox %lld\nalerts %lld\naudit %lld\n",
           (long long)v.people, (long long)v.texts, (long long)v.readings, (long long)v.weeks,
           (long long)v.outbox, (long long)v.alerts, (long long)v.audit);
    return command_done(in);
}

int verify_command(const struct invocation *in)
{
    struct argument known[] = {{.means = "FILE.db"}};
    struct config config;
    int status = arguments_read(in, known, 1);
    const char *file = known[0].value;
    if (status)
        return status;
    if (file && access(file, R_OK) < 0)
        return command_fail(in, EXIT_WORLD, "%s: cannot be read; name a database or a backup", file);
    if (file)
        return verify_print(in, file, NULL, file);
    status = command_config(in, false, &config);
    if (status)
        return status;
    status = verify_print(in, config.state, config.state, NULL);
    config_close(&config);
    return status;
}
