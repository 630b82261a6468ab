/* Values that any section may hold: text, paths, numbers, words. Each reader takes one value or tells what is wrong.
 *
 * A reader never takes part of a value: what does not fit whole is a mistake.
 */
#include "gateway/config_parts.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "store/store.h"

void *setting_field(const struct setting *s)
{
    size_t step = s->rule->flags & (KEY_LIST | KEY_AGAIN) ? (size_t)s->index * s->rule->size : 0;
    return (char *)s->base + s->rule->at + step;
}

void take_text(const struct setting *s)
{
    if (strlen(s->text) >= s->rule->size)
        setting_bad(s, "over %zu bytes", s->rule->size - 1);
    else
        snprintf(setting_field(s), s->rule->size, "%s", s->text);
}

/* Made absolute; whether anything is there is asked where it is opened. */
void take_path(const struct setting *s)
{
    char path[2 * PATH_MAX_BYTES];
    if (s->text[0] == '/')
        snprintf(path, sizeof path, "%s", s->text);
    else
        snprintf(path, sizeof path, "%s/%s", s->r->out->folder, s->text);
    if (strlen(path) >= s->rule->size)
        setting_bad(s, "a path over %zu bytes", s->rule->size - 1);
    else
        snprintf(setting_field(s), s->rule->size, "%s", path);
}

void take_whole(const struct setting *s)
{
    int64_t value;
    if (!whole_read(s->text, s->rule->least, s->rule->most, &value))
        setting_bad(s, "not a whole number from %lld to %lld", (long long)s->rule->least,
                    (long long)s->rule->most);
    else
        *(int *)setting_field(s) = (int)value;
}

void take_minutes(const struct setting *s)
{
    int64_t value;
    if (!whole_read(s->text, s->rule->least, s->rule->most, &value))
        setting_bad(s, "not a whole number from %lld to %lld", (long long)s->rule->least,
                    (long long)s->rule->most);
    else
        *(int16_t *)setting_field(s) = (int16_t)value;
}

void take_rate(const struct setting *s)
{
    char *end;
    errno = 0;
    double value = strtod(s->text, &end);
    if (strspn(s->text, "0123456789.") != strlen(s->text) || *end || errno ||
        !(value > 0 && value <= (double)s->rule->most))
        setting_bad(s, "not a number over 0 and at most %lld", (long long)s->rule->most);
    else
        *(double *)setting_field(s) = value;
}

/* Which of the two words it is; -1 and told when neither. */
static int either(const struct setting *s, const char *no, const char *yes)
{
    if (strcmp(s->text, yes) == 0)
        return 1;
    if (strcmp(s->text, no) == 0)
        return 0;
    setting_bad(s, "neither %s nor %s", no, yes);
    return -1;
}

void take_yes(const struct setting *s)
{
    int yes = either(s, "no", "yes");
    if (yes >= 0)
        *(bool *)setting_field(s) = yes;
}

void take_clock(const struct setting *s)
{
    int stepped = either(s, "system", "stepped");
    if (stepped >= 0)
        *(bool *)setting_field(s) = stepped;
}

void take_store(const struct setting *s)
{
    bool needs;
    for (size_t i = 0; store_name(i, &needs); i++)
        if (strcmp(s->text, store_name(i, &needs)) == 0) {
            take_text(s);
            return;
        }
    setting_bad(s, "not a store");
}

void take_format(const struct setting *s)
{
    int form = either(s, "json", "form");
    if (form >= 0)
        *(enum body_format *)setting_field(s) = form ? FORMAT_FORM : FORMAT_JSON;
}

void take_signed(const struct setting *s)
{
    struct auth *auth = setting_field(s);
    int timestamped = either(s, "body", "timestamp.body");
    if (timestamped >= 0)
        auth->timestamped = timestamped;
}

void take_auth(const struct setting *s)
{
    static const char *const names[] = {"none", "hmac-sha256", "bearer", "basic"}; /* as enum auth_kind */
    struct auth *auth = setting_field(s);
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (strcmp(s->text, names[i]) == 0) {
            auth->kind = (enum auth_kind)i;
            return;
        }
    setting_bad(s, "unknown");
}

void take_instant(const struct setting *s)
{
    if (!time_read(s->text, setting_field(s)))
        setting_bad(s, "not an RFC 3339 time");
}

void take_word(const struct setting *s)
{
    struct receipt_config *receipt = &s->r->out->receipt;
    take_text(s);
    if (setting_field(s) == receipt->delivered[s->index])
        receipt->n_delivered = s->index + 1;
    else
        receipt->n_failed = s->index + 1;
}

/* Whether it is a JSON pointer or a field's name depends on `format`: see config_check.c. */
void take_pointer(const struct setting *s)
{
    take_text(s);
}

/* RFC 9110, 5.6.2: a token. */
void take_header_name(const struct setting *s)
{
    static const char token[] =
        "!#$%&'*+-.^_`|~0123456789abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ";
    if (strspn(s->text, token) != strlen(s->text))
        setting_bad(s, "not a header's name");
    else
        take_text(s);
}

void take_request_path(const struct setting *s)
{
    static const char *const ours[] = {"/healthz", "/readyz", "/metrics", "/clock", "/desk", "/fhir"};
    if (s->text[0] != '/' || strpbrk(s->text, " ?#%\"<>\\") || strstr(s->text, "//")) {
        setting_bad(s, "not a plain path that begins with /");
        return;
    }
    for (size_t i = 0; i < sizeof ours / sizeof *ours; i++)
        if (strncmp(s->text, ours[i], strlen(ours[i])) == 0 && strchr("/", s->text[strlen(ours[i])])) {
            setting_bad(s, "%s is the gateway's own", ours[i]);
            return;
        }
    take_text(s);
}
