/* Accounts: who may use the desk, as an admin sees and changes it. An admin of one clinic sees and changes that one's alone.
 *
 * Every change ends the account's sessions and is in the audit. Some dozens of accounts.
 */
#include "gateway/web/desk/pages.h"

#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const struct choice roles[] = {
    {"coordinator", WORD_COORDINATOR}, {"clinician", WORD_CLINICIAN}, {"admin", WORD_ADMIN}};

/* -- accounts --------------------------------------------------------------------------------------------------------------------- */

/* An admin of all clinics sees every account; of one clinic, that clinic's. */
static bool account_mine(const struct page *p, const struct account *a)
{
    return !p->me.clinic[0] || strcmp(p->me.clinic, a->clinic) == 0;
}

static void account_row(struct page *p, const struct account *a)
{
    const struct clinic *c = a->clinic[0] ? config_clinic(p->config, a->clinic) : NULL;
    raw(p, "<tr><th scope=\"row\">");
    name(p, a->user);
    raw(p, "</th><td>");
    name(p, c ? c->name : a->clinic[0] ? a->clinic : word(WORD_ALL_CLINICS));
    raw(p, "</td><td>");
    text(p, word(role_word(role_named(a->role))));
    raw(p, "</td><td>");
    text(p, word(a->enabled ? WORD_ENABLED : WORD_DISABLED));
    raw(p, "</td><td><a href=\"/desk/account?of=");
    text(p, a->user); /* a-z, 0-9, . - _ @ alone: see user_good */
    raw(p, "\">");
    say_of(p, CHANGE, a->user);
    raw(p, "</a></td></tr>\n");
}

static void account_form(struct page *p)
{
    section_begin(p, WORD_ACCOUNT_ADD);
    form_begin(p, "/desk/account/add", 0, "");
    field_write(p, &(struct control){.name = "user", .label = WORD_USER, .hint = WORD_USER_HINT, .autocomplete = "off",
                                     .needed = true});
    choices_write(p, "role", WORD_ROLE, roles, 3, NULL);
    if (!p->me.clinic[0]) {
        raw(p, "<div class=\"field\"><label for=\"clinic\">");
        say(p, CLINIC);
        raw(p, "</label><select name=\"clinic\" id=\"clinic\"><option value=\"\">");
        say(p, ALL_CLINICS);
        raw(p, "</option>");
        for (size_t i = 0; i < p->config->n_clinics; i++) {
            raw(p, "<option");
            attribute(p, "value", p->config->clinics[i].id);
            raw(p, ">");
            text(p, p->config->clinics[i].name);
            raw(p, "</option>");
        }
        raw(p, "</select></div>\n");
    }
    field_write(p, &(struct control){.name = "password", .label = WORD_PASSWORD, .hint = WORD_PASSWORD_HINT,
                                     .type = "password", .value = "", .autocomplete = "new-password", .needed = true});
    form_end(p, WORD_ADD, "main");
    raw(p, "</section>\n");
}

static void accounts_show(struct page *p, enum word fault)
{
    struct account *list = NULL;
    size_t n = 0;
    if (accounts_list(p->db, p->me.clinic, &list, &n)) {
        page_unstored(p);
        return;
    }
    page_begin(p, WORD_ACCOUNTS, NULL);
    fault_write(p, fault);
    said_write(p);
    raw(p, "<table class=\"cards\">\n<thead><tr><th scope=\"col\">");
    say(p, USER);
    raw(p, "</th><th scope=\"col\">");
    say(p, CLINIC);
    raw(p, "</th><th scope=\"col\">");
    say(p, ROLE);
    raw(p, "</th><th scope=\"col\">");
    say(p, STATE);
    raw(p, "</th><th scope=\"col\">");
    say(p, ACTION);
    raw(p, "</th></tr></thead>\n<tbody>\n");
    for (size_t i = 0; i < n; i++)
        account_row(p, &list[i]);
    raw(p, "</tbody></table>\n");
    account_form(p);
    page_end(p);
    free(list);
}

void accounts_page(struct page *p)
{
    accounts_show(p, WORD_NONE);
}

/* -- one account ----------------------------------------------------------------------------------------------------------------- */

/* The account that a form or a link names, if it is this admin's to change. */
static bool account_named(struct page *p, const struct buffer *pairs, struct account *a)
{
    char user[USER_MAX];
    bool found = false;
    ask_value(pairs, "of", user, sizeof user);
    if (!account_get(p->db, user, a, &found) && found && account_mine(p, a))
        return true;
    page_error(p, MHD_HTTP_NOT_FOUND, WORD_NOT_HERE);
    return false;
}

static void account_begin(struct page *p, const struct account *a, const char *path, enum word title)
{
    section_begin(p, title);
    form_begin(p, path, 0, "");
    hidden(p, "of", a->user);
}

static void account_show(struct page *p, const struct account *a, enum word fault)
{
    page_begin(p, WORD_ACCOUNT_TITLE, a->user);
    fault_write(p, fault);
    raw(p, "<div class=\"side\">\n");
    account_begin(p, a, "/desk/account/role", WORD_ROLE);
    choices_write(p, "role", WORD_ROLE, roles, 3, a->role);
    form_end(p, WORD_SAVE, "main");
    raw(p, "</section>\n");
    account_begin(p, a, "/desk/account/password", WORD_PASSWORD_NEW);
    field_write(p, &(struct control){.name = "password", .label = WORD_PASSWORD, .hint = WORD_PASSWORD_HINT,
                                     .type = "password", .value = "", .autocomplete = "new-password", .needed = true});
    form_end(p, WORD_SAVE, "main");
    raw(p, "</section>\n");
    account_begin(p, a, a->enabled ? "/desk/account/disable" : "/desk/account/enable",
                  a->enabled ? WORD_DISABLE : WORD_ENABLE);
    hint_write(p, WORD_ACCOUNT_ENDS);
    form_end(p, a->enabled ? WORD_DISABLE : WORD_ENABLE, "");
    raw(p, "</section>\n</div>\n");
    page_end(p);
}

void account_page(struct page *p)
{
    struct account a;
    if (account_named(p, &p->ask.query, &a))
        account_show(p, &a, WORD_NONE);
    sodium_memzero(a.password, sizeof a.password);
}

struct account_change {
    struct account account;
    const char *who, *action;
    bool fresh;               /* must not be there yet */
    bool taken;
};

static int account_write(struct db *db, int64_t now, void *what)
{
    struct account_change *c = what;
    struct account was;
    struct effect e = {.kind = EFFECT_AUDIT};
    bool found = false;
    (void)now;
    int error = account_get(db, c->account.user, &was, &found);
    c->taken = c->fresh && found;
    if (error || c->taken)
        return error;
    snprintf(e.audit.clinic, sizeof e.audit.clinic, "%s", c->account.clinic);
    snprintf(e.audit.who, sizeof e.audit.who, "%s", c->who);
    snprintf(e.audit.action, sizeof e.audit.action, "%s", c->action);
    snprintf(e.audit.detail, sizeof e.audit.detail, "%s %s", c->account.user, c->account.role);
    error = account_put(db, &c->account);
    if (!error)
        error = sessions_end_of(db, c->account.user);
    return error ? error : effects_write(db, &(struct effects){.at = &e, .n = 1, .cap = 1});
}

static void account_store(struct page *p, struct account_change *c)
{
    c->who = p->me.user;
    c->account.changed = clock_real_now();
    bool stored = desk_call(p->desk, account_write, c);
    sodium_memzero(c->account.password, sizeof c->account.password);
    if (!stored)
        page_unstored(p);
    else if (c->taken)
        accounts_show(p, WORD_USER_TAKEN);
    else
        page_goto(p, "/desk/accounts?said=saved");
}

static bool role_read(struct page *p, struct account *a)
{
    char role[16];
    form_value(p, "role", role, sizeof role);
    if (!role_named(role))
        return false;
    snprintf(a->role, sizeof a->role, "%s", role);
    return true;
}

/* false: too short or too long, or no memory for the hash. */
static bool password_read(struct page *p, struct account *a)
{
    char password[PASSWORD_MOST + 2];
    form_value(p, "password", password, sizeof password);
    bool good = password_long_enough(password) && password_hash(password, a->password);
    sodium_memzero(password, sizeof password);
    return good;
}

static bool user_good(const char *user)
{
    size_t n = strlen(user);
    return n > 0 && n < USER_MAX && strspn(user, "abcdefghijklmnopqrstuvwxyz0123456789.-_@") == n;
}

void account_add_do(struct page *p)
{
    char clinic[CLINIC_MAX];
    struct account_change c = {.action = "account_add", .fresh = true};
    struct account *a = &c.account;
    form_value(p, "user", a->user, sizeof a->user);
    form_value(p, "clinic", clinic, sizeof clinic);
    snprintf(a->clinic, sizeof a->clinic, "%s", p->me.clinic[0] ? p->me.clinic : clinic);
    a->enabled = true;
    a->created = clock_real_now();
    if (!user_good(a->user))
        accounts_show(p, WORD_USER_WRONG);
    else if (!role_read(p, a) || (a->clinic[0] && !config_clinic(p->config, a->clinic)))
        accounts_show(p, WORD_ROLE_WRONG);
    else if (!password_read(p, a))
        accounts_show(p, WORD_PASSWORD_WRONG);
    else
        account_store(p, &c);
}

void account_role_do(struct page *p)
{
    struct account_change c = {.action = "account_role"};
    if (!account_named(p, &p->ask.form, &c.account))
        return;
    if (role_read(p, &c.account))
        account_store(p, &c);
    else
        account_show(p, &c.account, WORD_ROLE_WRONG);
}

void account_password_do(struct page *p)
{
    struct account_change c = {.action = "account_password"};
    if (!account_named(p, &p->ask.form, &c.account))
        return;
    if (password_read(p, &c.account))
        account_store(p, &c);
    else
        account_show(p, &c.account, WORD_PASSWORD_WRONG);
}

static void account_switch(struct page *p, bool enabled)
{
    struct account_change c = {.action = enabled ? "account_enable" : "account_disable"};
    if (!account_named(p, &p->ask.form, &c.account))
        return;
    c.account.enabled = enabled;
    account_store(p, &c);
}

void account_enable_do(struct page *p)
{
    account_switch(p, true);
}

void account_disable_do(struct page *p)
{
    account_switch(p, false);
}
