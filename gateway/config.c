/* The configuration as a whole: opened, looked up, closed. What each key takes is in config_keys.c.
 *
 * It is read once, is never half taken over, and tells all its mistakes at once. A file has a few dozen keys; its ceiling
 * is 1 MiB.
 */
#include "gateway/config.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/config_parts.h"

/* -- one key ------------------------------------------------------------------------------------------------------------- */

static char *trimmed(char *text)
{
    text += strspn(text, " \t");
    size_t n = strlen(text);
    while (n && (text[n - 1] == ' ' || text[n - 1] == '\t'))
        text[--n] = '\0';
    return text;
}

/* One item, or each item of a comma-separated list. `value` is cut up. */
static void key_take(struct config_reading *r, const struct key_rule *rule, const struct ini_key *k,
                     void *base, int *count)
{
    char *value = k->value, *comma;
    do {
        comma = rule->flags & KEY_LIST ? strchr(value, ',') : NULL;
        if (comma)
            *comma = '\0';
        char *item = trimmed(value);
        struct setting s = {
            .r = r, .rule = rule, .line = k->line, .index = *count, .text = item, .base = base};
        if (!*item)
            setting_bad(&s, "nothing is there");
        else if ((rule->flags & (KEY_LIST | KEY_AGAIN)) && *count >= rule->most)
            setting_bad(&s, "one more than the %d that are allowed here; take one out", (int)rule->most);
        else {
            rule->take(&s);
            ++*count;
        }
        if (comma)
            value = comma + 1;
    } while (comma);
}

static void key_unknown(struct config_reading *r, const struct section_rule *section, const struct ini_key *k)
{
    char known[MISTAKE_BYTES / 2] = "";
    size_t n = 0;
    for (const struct key_rule *rule = section->keys; rule->name && n < sizeof known - 1; rule++)
        n += (size_t)snprintf(known + n, sizeof known - n, "%s%s", n ? ", " : "", rule->name);
    config_tell(r, k->line, "unknown key %s in [%s]; the keys there are %s", k->name,
                r->ini.sections[k->section].name, known);
}

static void keys_needed(struct config_reading *r, const struct section_rule *section, int at,
                        const int *counts)
{
    for (int i = 0; section->keys[i].name; i++) {
        const struct key_rule *rule = &section->keys[i];
        if ((rule->flags & KEY_NEEDED) && !counts[i] && !ini_key(&r->ini, at, rule->name))
            config_tell(r, r->ini.sections[at].line, "[%s] has no %s; add %s = %s", r->ini.sections[at].name,
                        rule->name, rule->name, rule->example);
    }
}

/* -- one section --------------------------------------------------------------------------------------------------------- */

static void section_keys(struct config_reading *r, const struct section_rule *section, int at, void *base)
{
    int counts[KEYS_MAX] = {0};
    for (int i = 0; i < r->ini.n_keys; i++) {
        const struct ini_key *k = &r->ini.keys[i];
        if (k->section != at)
            continue;
        int n = 0;
        while (section->keys[n].name && strcmp(section->keys[n].name, k->name) != 0)
            n++;
        const struct key_rule *rule = &section->keys[n];
        const struct ini_key *first = ini_key(&r->ini, at, k->name);
        if (!rule->name)
            key_unknown(r, section, k);
        else if (first != k && !(rule->flags & (KEY_LIST | KEY_AGAIN)))
            config_tell(r, k->line, "%s is given twice in [%s], first in line %d; keep one", k->name,
                        r->ini.sections[at].name, first->line);
        else
            key_take(r, rule, k, base, &counts[n]);
    }
    keys_needed(r, section, at, counts);
}

static bool short_name_good(const char *s)
{
    static const char allowed[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_.";
    return *s && strlen(s) < CLINIC_MAX && strspn(s, allowed) == strlen(s);
}

/* The rule of the section so named, and its own name ("maple"), "" if it takes none; NULL: unknown. */
static const struct section_rule *section_find(const char *name, const char **own)
{
    size_t n = strcspn(name, " \t");
    *own = name + n + strspn(name + n, " \t");
    for (const struct section_rule *s = config_sections; s->word; s++)
        if (strlen(s->word) == n && strncmp(s->word, name, n) == 0)
            return s;
    return NULL;
}

static void section_take(struct config_reading *r, int at)
{
    const struct ini_section *s = &r->ini.sections[at];
    const char *own;
    const struct section_rule *rule = section_find(s->name, &own);
    int first = ini_section(&r->ini, s->name);
    if (!rule)
        config_tell(r, s->line,
                    "unknown section [%s]; the sections are gateway, clinic NAME, target NAME, inbound, "
                    "outbound, receipt, mail",
                    s->name);
    else if (first != at)
        config_tell(r, s->line, "section [%s] comes twice, first in line %d; put its keys together", s->name,
                    r->ini.sections[first].line);
    else if (!rule->named && *own)
        config_tell(r, s->line, "[%s]: this section takes no name; write [%s]", s->name, rule->word);
    else if (rule->named && !short_name_good(own))
        config_tell(r, s->line,
                    "[%s]: the section needs a name of 1 to 31 letters, digits, - _ .; write for example "
                    "[%s maple]",
                    s->name, rule->word);
    else {
        void *base = rule->open(r, own);
        if (base)
            section_keys(r, rule, at, base);
    }
}

static void sections_take(struct config_reading *r)
{
    for (int i = 0; i < r->ini.n_keys; i++)
        if (r->ini.keys[i].section < 0)
            config_tell(r, r->ini.keys[i].line, "%s stands before the first [section]; put it under one",
                        r->ini.keys[i].name);
    for (int i = 0; i < r->ini.n_sections; i++)
        section_take(r, i);
    for (const struct section_rule *s = config_sections; s->word; s++)
        if (s->needed && !s->named && ini_section(&r->ini, s->word) < 0)
            config_tell(r, 0, "there is no [%s] section; add one", s->word);
    if (!r->out->n_clinics)
        config_tell(r, 0, "there is no clinic; add a section [clinic NAME]");
}

/* -- the whole ------------------------------------------------------------------------------------------------------------ */

static void ini_told(void *context, int line, const char *what)
{
    config_tell(context, line, "%s", what);
}

/* Where the file is, so that relative paths can begin there. */
static void place_find(struct config_reading *r, const char *file)
{
    struct config *c = r->out;
    char *real = realpath(file, NULL), *slash;
    snprintf(c->file, sizeof c->file, "%s", file);
    snprintf(c->folder, sizeof c->folder, "%s", real ? real : file);
    free(real);
    if ((slash = strrchr(c->folder, '/')))
        slash[slash == c->folder ? 1 : 0] = '\0';
    else
        snprintf(c->folder, sizeof c->folder, ".");
    if (strlen(c->folder) > FOLDER_MAX)
        config_tell(r, 0, "its folder's path is over %d bytes; move it to a shorter one", FOLDER_MAX);
}

/* Room for every clinic and target, so that pointers to them stay. */
static bool room_make(struct config_reading *r)
{
    size_t n = (size_t)r->ini.n_sections + 1;
    r->out->clinics = calloc(n, sizeof *r->out->clinics);
    r->out->token_files = calloc(n, sizeof *r->out->token_files);
    r->out->targets = calloc(n, sizeof *r->out->targets);
    return r->out->clinics && r->out->token_files && r->out->targets;
}

/* Addresses are checked one by one as they are read: whether only loopback will do must be known before. */
static const char *loopback_reason(const struct config_reading *r)
{
    const char *clock = config_value(r, "gateway", "clock"), *in = config_value(r, "inbound", "auth");
    const char *receipt = config_value(r, "receipt", "auth");
    if (clock && strcmp(clock, "stepped") == 0)
        return "clock = stepped";
    return (in && strcmp(in, "none") == 0) || (receipt && strcmp(receipt, "none") == 0) ? "auth = none"
                                                                                        : NULL;
}

static void config_take(struct config_reading *r, const struct buffer *b)
{
    if (ini_read(&r->ini, b->n ? b->at : "", b->n, ini_told, r) < 0 || !room_make(r)) {
        r->failed = true;
        return;
    }
    r->loopback_only = loopback_reason(r);
    config_defaults(r->out);
    sections_take(r);
    config_finish(r);
    config_conninfo(r);
    if (r->secrets)
        config_secrets(r);
}

int config_open(struct config *out, const char *file, bool secrets, config_mistake *mistake, void *context)
{
    struct config_reading r = {.out = out, .mistake = mistake, .context = context, .secrets = secrets};
    struct buffer b;
    *out = (struct config){0};
    place_find(&r, file);
    buffer_init(&b, INI_FILE_BYTES);
    int error = buffer_read_file(&b, file);
    if (error)
        config_tell(&r, 0, "%s; name a configuration file that can be read, with -c FILE", strerror(-error));
    else
        config_take(&r, &b);
    buffer_clear(&b);
    ini_clear(&r.ini);
    if (r.failed || r.mistakes)
        config_close(out);
    return r.failed ? -1 : r.mistakes;
}

void config_close(struct config *c)
{
    for (size_t i = 0; i < c->n_clinics; i++)
        explicit_bzero(c->clinics[i].fhir_token, sizeof c->clinics[i].fhir_token);
    if (c->targets)
        explicit_bzero(c->targets, c->n_targets * sizeof *c->targets);
    free(c->clinics);
    free(c->token_files);
    free(c->targets);
    free(c->outbound.body);
    explicit_bzero(c, sizeof *c);
}

const struct clinic *config_clinic(const struct config *c, const char *id)
{
    for (size_t i = 0; i < c->n_clinics; i++)
        if (strcmp(c->clinics[i].id, id) == 0)
            return &c->clinics[i];
    return NULL;
}

const struct clinic *config_clinic_by_number(const struct config *c, const char *phone)
{
    for (size_t i = 0; i < c->n_clinics; i++)
        if (strcmp(c->clinics[i].text_number, phone) == 0)
            return &c->clinics[i];
    return NULL;
}

const struct target_config *config_target(const struct config *c, const char *name)
{
    for (size_t i = 0; i < c->n_targets; i++)
        if (strcmp(c->targets[i].name, name) == 0)
            return &c->targets[i];
    return NULL;
}
