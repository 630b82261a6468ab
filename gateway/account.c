/* quietarm account: who may use the desk. Add, enable, disable, change role or password, list.
 *
 * The password is one line of standard input; it is hashed here (argon2id) and never shown, logged or kept. Whatever changes
 * an account ends its sessions. Each change is a row of the audit.
 */
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/command.h"
#include "gateway/folder.h"

enum { PASSWORD_LEAST = 12, PASSWORD_MOST = 256 };

struct change {
    const struct invocation *in;
    const char *what, *user, *role, *clinic; /* clinic "": all */
    struct db *db;
    struct account account;
    bool found;
};

static bool user_good(const char *user)
{
    size_t n = strlen(user);
    return n > 0 && n < USER_MAX && strspn(user, "abcdefghijklmnopqrstuvwxyz0123456789.-_@") == n;
}

static bool role_good(const char *role)
{
    return strcmp(role, "coordinator") == 0 || strcmp(role, "clinician") == 0 || strcmp(role, "admin") == 0;
}

/* One line, without its end. 0, or the exit status, told. */
static int password_read(struct change *c)
{
    char line[PASSWORD_MOST + 4] = "";
    int status = 0;
    if (!fgets(line, sizeof line, stdin))
        line[0] = '\0';
    size_t n = strcspn(line, "\r\n");
    line[n] = '\0';
    if (n < PASSWORD_LEAST || n > PASSWORD_MOST)
        status = command_fail(c->in, EXIT_USAGE, "the password on standard input has %zu bytes; give a line of %d to %d", n,
                              PASSWORD_LEAST, PASSWORD_MOST);
    else if (crypto_pwhash_str(c->account.password, line, n, crypto_pwhash_OPSLIMIT_INTERACTIVE,
                               crypto_pwhash_MEMLIMIT_INTERACTIVE))
        status = command_fail(c->in, EXIT_WORLD, "out of memory; hashing a password takes 64 MiB");
    sodium_memzero(line, sizeof line);
    return status;
}

/* -- each change ------------------------------------------------------------------------------------------------------------- */

static int add(struct change *c)
{
    if (c->found)
        return command_fail(c->in, EXIT_WORLD, "%s is there already; choose another name", c->user);
    if (!c->role)
        return command_fail(c->in, EXIT_USAGE, "--role is missing; write coordinator, clinician or admin");
    snprintf(c->account.user, sizeof c->account.user, "%s", c->user);
    snprintf(c->account.clinic, sizeof c->account.clinic, "%s", c->clinic);
    snprintf(c->account.role, sizeof c->account.role, "%s", c->role);
    c->account.enabled = true;
    c->account.created = clock_real_now();
    return password_read(c);
}

static int enable(struct change *c)
{
    c->account.enabled = true;
    return 0;
}

static int disable(struct change *c)
{
    c->account.enabled = false;
    return 0;
}

static int change_role(struct change *c)
{
    if (!c->role)
        return command_fail(c->in, EXIT_USAGE, "--role is missing; write coordinator, clinician or admin");
    snprintf(c->account.role, sizeof c->account.role, "%s", c->role);
    return 0;
}

static const struct {
    const char *name, *action;
    int (*change)(struct change *c);
    bool anew; /* the account is not there yet */
} changes[] = {
    {"add", "account_add", add, true},
    {"enable", "account_enable", enable, false},
    {"disable", "account_disable", disable, false},
    {"role", "account_role", change_role, false},
    {"password", "account_password", password_read, false},
};

static int store(struct change *c, const char *action)
{
    struct effect e = {.kind = EFFECT_AUDIT};
    snprintf(e.audit.clinic, sizeof e.audit.clinic, "%s", c->account.clinic);
    snprintf(e.audit.who, sizeof e.audit.who, "command");
    snprintf(e.audit.action, sizeof e.audit.action, "%s", action);
    snprintf(e.audit.detail, sizeof e.audit.detail, "%s %s", c->account.user, c->account.role);
    c->account.changed = clock_real_now();
    int error = db_begin(c->db);
    if (!error)
        error = account_put(c->db, &c->account);
    if (!error)
        error = sessions_end_of(c->db, c->account.user);
    if (!error)
        error = effects_write(c->db, &(struct effects){.at = &e, .n = 1, .cap = 1});
    if (!error)
        error = db_commit(c->db);
    if (error)
        db_rollback(c->db);
    return error ? command_fail_store(c->in, c->db, error) : EXIT_DONE;
}

static int change_run(struct change *c, size_t which)
{
    int error = account_get(c->db, c->user, &c->account, &c->found);
    if (error)
        return command_fail_store(c->in, c->db, error);
    bool here = c->found && strcmp(c->account.clinic, c->clinic) == 0;
    if (!here && !changes[which].anew)
        return command_fail(c->in, EXIT_WORLD, "there is no account %s in this clinic; see quietarm account list", c->user);
    int status = changes[which].change(c);
    return status ? status : store(c, changes[which].action);
}

/* -- list --------------------------------------------------------------------------------------------------------------------- */

static int list(struct change *c)
{
    struct account *all = NULL;
    size_t n = 0;
    int error = accounts_list(c->db, c->clinic, &all, &n);
    if (error)
        return command_fail_store(c->in, c->db, error);
    for (size_t i = 0; i < n; i++)
        printf("%s %s %s %s\n", all[i].user, all[i].clinic[0] ? all[i].clinic : "(all clinics)", all[i].role,
               all[i].enabled ? "enabled" : "disabled");
    free(all);
    return command_done(c->in);
}

/* -- the command --------------------------------------------------------------------------------------------------------------- */

static int check(struct change *c, const struct config *config, const struct argument *known, size_t *which)
{
    bool listing = strcmp(c->what, "list") == 0;
    for (*which = 0; *which < sizeof changes / sizeof *changes && strcmp(changes[*which].name, c->what) != 0; ++*which)
        continue;
    if (!listing && *which == sizeof changes / sizeof *changes)
        return command_fail(c->in, EXIT_USAGE, "%.40s is no change; write add, enable, disable, role, password or list",
                            c->what);
    if (!!known[1].value == !!known[2].value)
        return command_fail(c->in, EXIT_USAGE, "give --clinic K or --all-clinics, one of the two");
    if (known[1].value && !command_clinic(c->in, config, known[1].value))
        return EXIT_USAGE;
    if (!listing && !c->user)
        return command_fail(c->in, EXIT_USAGE, "--user is missing; write --user U");
    if (c->user && !user_good(c->user))
        return command_fail(c->in, EXIT_USAGE, "--user %.70s: write 1 to %d of a-z, 0-9, . - _ @", c->user, USER_MAX - 1);
    if (c->role && !role_good(c->role))
        return command_fail(c->in, EXIT_USAGE, "--role %.40s: write coordinator, clinician or admin", c->role);
    return 0;
}

int account_command(const struct invocation *in)
{
    struct argument known[] = {{.means = "add|enable|disable|role|password|list", .needed = true},
                               {.name = "--clinic", .means = "K"},
                               {.name = "--all-clinics", .flag = true},
                               {.name = "--user", .means = "U"},
                               {.name = "--role", .means = "coordinator|clinician|admin"}};
    struct config config;
    size_t which = 0;
    int status = arguments_read(in, known, sizeof known / sizeof *known);
    if (!status)
        status = command_config(in, false, &config);
    if (status)
        return status;
    struct change c = {.in = in, .what = known[0].value, .user = known[3].value, .role = known[4].value,
                       .clinic = known[1].value ? known[1].value : ""};
    bool listing = strcmp(c.what, "list") == 0;
    int64_t now = 0;
    status = check(&c, &config, known, &which);
    if (!status && sodium_init() < 0)
        status = command_fail(in, EXIT_WORLD, "no random numbers are to be had from this machine");
    if (!status)
        status = command_db(in, &config, listing ? DB_READ : DB_WRITE, &c.db);
    if (!status)
        status = command_now(in, &config, c.db, &now);
    if (!status) {
        db_now(c.db, now);
        status = listing ? list(&c) : change_run(&c, which);
    }
    sodium_memzero(c.account.password, sizeof c.account.password);
    db_close(c.db);
    config_close(&config);
    return status;
}
