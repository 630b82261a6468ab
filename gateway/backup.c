/* quietarm backup, quietarm verify: one consistent copy while the daemon runs, and whether a copy is sound. */
#include <stdio.h>
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

int verify_command(const struct invocation *in)
{
    struct argument known[] = {{.means = "FILE.db", .needed = true}};
    struct verify_report v = {0};
    int status = arguments_read(in, known, 1);
    if (status)
        return status;
    const char *file = known[0].value;
    if (access(file, R_OK) < 0)
        return command_fail(in, EXIT_WORLD, "%s: cannot be read; name a database or a backup", file);
    int error = store_verify(file, &v);
    if (error)
        return v.why[0] ? command_fail(in, EXIT_WORLD, "%s: %s", file, v.why)
                        : command_fail_store(in, NULL, error);
    if (!v.sound)
        return command_fail(in, EXIT_WORLD, "%s: damaged: %s; restore another backup", file, v.why);
    printf("sound: %s\nschema %d\n", file, v.schema);
    printf("people %lld\ntexts %lld\nreadings %lld\nweeks %lld\noutbox %lld\nalerts %lld\naudit %lld\n",
           (long long)v.people, (long long)v.texts, (long long)v.readings, (long long)v.weeks,
           (long long)v.outbox, (long long)v.alerts, (long long)v.audit);
    return command_done(in);
}
