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
    int64_t now;
    struct account account;
    char password[sizeof((struct account *)0)->password]; /* hashed */
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
    else if (crypto_pwhash_str(c->password, line, n, crypto_pwhash_OPSLIMIT_INTERACTIVE,
                               crypto_pwhash_MEMLIMIT_INTERACTIVE))
        status = command_fail(c->in, EXIT_WORLD, "out of memory; hashing a password takes 64 MiB");
    sodium_memzero(line, sizeof line);
    return status;
}

/* -- each change ------------------------------------------------------------------------------------------------------------- */

static void set_password(struct change *c)
{
    memcpy(c->account.password, c->password, sizeof c->password);
}

static void set_role(struct change *c)
{
    snprintf(c->account.role, sizeof c->account.role, "%s", c->role);
}

static void add(struct change *c)
{
    snprintf(c->account.user, sizeof c->account.user, "%s", c->user);
    snprintf(c->account.clinic, sizeof c->account.clinic, "%s", c->clinic);
    c->account.enabled = true;
    c->account.created = c->now;
    set_role(c);
    set_password(c);
}

static void enable(struct change *c)
{
    c->account.enabled = true;
}

static void disable(struct change *c)
{
    c->account.enabled = false;
}

static const struct kind {
    const char *name, *action;
    void (*change)(struct change *c);
    bool anew, role, password; /* the account is not there yet; needs --role; needs a password */
} kinds[] = {
    {"add", "account_add", add, true, true, true},
    {"enable", "account_enable", enable, false, false, false},
    {"disable", "account_disable", disable, false, false, false},
    {"role", "account_role", set_role, false, true, false},
    {"password", "account_password", set_password, false, false, true},
};

/* The account as it is now; an exit status, told, when it is not as this change needs it. */
static int look(struct change *c, const struct kind *k)
{
    bool found;
    int error = account_get(c->db, c->user, &c->account, &found);
    if (error)
        return command_fail_store(c->in, c->db, error);
    if (found && k->anew)
        return command_fail(c->in, EXIT_WORLD, "%s is there already; choose another name", c->user);
    if (!k->anew && (!found || strcmp(c->account.clinic, c->clinic) != 0))
        return command_fail(c->in, EXIT_WORLD, "there is no account %s in this clinic; see quietarm account list", c->user);
    return 0;
}

static int put(struct change *c, const char *action)
{
    struct effect e = {.kind = EFFECT_AUDIT};
    snprintf(e.audit.clinic, sizeof e.audit.clinic, "%s", c->account.clinic);
    snprintf(e.audit.who, sizeof e.audit.who, "command");
    snprintf(e.audit.action, sizeof e.audit.action, "%s", action);
    snprintf(e.audit.detail, sizeof e.audit.detail, "%s %s", c->account.user, c->account.role);
    c->account.changed = clock_real_now(); /* as sessions are: one that began before it has ended */
    int error = account_put(c->db, &c->account);
    if (!error)
        error = sessions_end_of(c->db, c->account.user);
    if (!error)
        error = effects_write(c->db, &(struct effects){.at = &e, .n = 1, .cap = 1});
    if (!error)
        error = db_commit(c->db);
    return error ? command_fail_store(c->in, c->db, error) : EXIT_DONE;
}

/* Looks first, so that no password is asked for nothing; and again in the transaction, since typing takes a while and whoever
 * was disabled meanwhile must stay so. */
static int change_run(struct change *c, const struct kind *k)
{
    int status = look(c, k);
    if (!status && k->password)
        status = password_read(c);
    int error = status ? 0 : db_begin(c->db);
    if (error)
        return command_fail_store(c->in, c->db, error);
    if (!status)
        status = look(c, k);
    if (!status) {
        k->change(c);
        status = put(c, k->action);
    }
    db_rollback(c->db);
    return status;
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

static const struct kind *kind_find(const char *name)
{
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        if (strcmp(kinds[i].name, name) == 0)
            return &kinds[i];
    return NULL;
}

/* `k` NULL: list. */
static int check(struct change *c, const struct config *config, const struct argument *known, const struct kind *k)
{
    if (!k && strcmp(c->what, "list") != 0)
        return command_fail(c->in, EXIT_USAGE, "%.40s is no change; write add, enable, disable, role, password or list",
                            c->what);
    if (!!known[1].value == !!known[2].value)
        return command_fail(c->in, EXIT_USAGE, "give --clinic K or --all-clinics, one of the two");
    if (known[1].value && !command_clinic(c->in, config, known[1].value))
        return EXIT_USAGE;
    if (k && !c->user)
        return command_fail(c->in, EXIT_USAGE, "--user is missing; write --user U");
    if (c->user && !user_good(c->user))
        return command_fail(c->in, EXIT_USAGE, "--user %.70s: write 1 to %d of a-z, 0-9, . - _ @", c->user, USER_MAX - 1);
    if (k && k->role && !c->role)
        return command_fail(c->in, EXIT_USAGE, "--role is missing; write coordinator, clinician or admin");
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
    int status = command_begin(in, known, sizeof known / sizeof *known, false, &config);
    if (status)
        return status;
    struct change c = {.in = in, .what = known[0].value, .user = known[3].value, .role = known[4].value,
                       .clinic = known[1].value ? known[1].value : ""};
    const struct kind *k = kind_find(c.what);
    status = check(&c, &config, known, k);
    if (!status && sodium_init() < 0)
        status = command_fail(in, EXIT_WORLD, "no random numbers are to be had from this machine");
    if (!status)
        status = command_db(in, &config, k ? DB_WRITE : DB_READ, &c.db);
    if (!status)
        status = command_now(in, &config, c.db, &c.now);
    if (!status) {
        db_now(c.db, c.now);
        status = k ? change_run(&c, k) : list(&c);
    }
    sodium_memzero(c.password, sizeof c.password);
    sodium_memzero(c.account.password, sizeof c.account.password);
    db_close(c.db);
    config_close(&config);
    return status;
}
