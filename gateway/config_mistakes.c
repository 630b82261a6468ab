/* How a mistake in the configuration is told: FILE:LINE: what; what to do. All of them, not only the first.
 *
 * A value is shown as it was written, cut at 60 characters; one that may hold a secret never is.
 */
#include "gateway/config_parts.h"

#include <stdio.h>
#include <string.h>

void config_tell_in(struct config_reading *r, const char *file, int line, const char *what)
{
    r->mistakes++;
    r->mistake(r->context, file, line, what);
}

void config_tell(struct config_reading *r, int line, const char *format, ...)
{
    char what[MISTAKE_BYTES];
    va_list args;
    va_start(args, format);
    vsnprintf(what, sizeof what, format, args);
    va_end(args);
    config_tell_in(r, r->out->file, line, what);
}

void setting_bad(const struct setting *s, const char *format, ...)
{
    char what[MISTAKE_BYTES];
    va_list args;
    va_start(args, format);
    vsnprintf(what, sizeof what, format, args);
    va_end(args);
    const char *example = s->rule->example;
    const char *write = example ? "; write " : "";
    if (s->rule->flags & KEY_PRIVATE)
        config_tell(s->r, s->line, "%s: %s%s%s", s->rule->name, what, write, example ? example : "");
    else
        config_tell(s->r, s->line, "%s = %.60s: %s%s%s", s->rule->name, s->text, what, write,
                    example ? example : "");
}

int config_line(const struct config_reading *r, const char *section, const char *key)
{
    int at = ini_section(&r->ini, section);
    const struct ini_key *k = at >= 0 && key ? ini_key(&r->ini, at, key) : NULL;
    return k ? k->line : at >= 0 ? r->ini.sections[at].line : 0;
}

const char *config_value(const struct config_reading *r, const char *section, const char *key)
{
    int at = ini_section(&r->ini, section);
    const struct ini_key *k = at >= 0 ? ini_key(&r->ini, at, key) : NULL;
    return k ? k->value : NULL;
}
