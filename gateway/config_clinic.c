/* Values of a [clinic] section: numbers, hours, windows, zone, language, protocol.
 *
 * These steer what a patient is told and when, so nothing is guessed: an hour that cannot be is a mistake, not midnight.
 */
#include "gateway/config_parts.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>
#include <unistd.h>

#include "gateway/care/care.h"
#include "gateway/flow/flow.h"

enum { PROTOCOL_FILE_BYTES = 64 << 10 };

/* -- numbers ---------------------------------------------------------------------------------------------------------------- */

void take_phone(const struct setting *s)
{
    if (!phone_e164(s->text))
        setting_bad(s, "not a phone number with its country: + and 7 to 15 digits, without blanks");
    else
        take_text(s);
}

void take_dialled(const struct setting *s)
{
    if (strspn(s->text, "+0123456789 ()-*#") != strlen(s->text) || !strpbrk(s->text, "0123456789"))
        setting_bad(s, "not a number to dial");
    else
        take_text(s);
}

/* -- times -------------------------------------------------------------------------------------------------------------------- */

/* HH:MM-HH:MM, the whole of `text`. */
bool span_read(const char *text, struct span *out)
{
    char from[8], to[8];
    if (strlen(text) != 11 || text[5] != '-')
        return false;
    snprintf(from, sizeof from, "%.5s", text);
    snprintf(to, sizeof to, "%.5s", text + 6);
    struct span span;
    if (!minutes_read(from, &span.from) || !minutes_read(to, &span.to) || span.from == MINUTES_A_DAY)
        return false;
    *out = span;
    return true;
}

void take_time_of_day(const struct setting *s)
{
    int16_t minute;
    if (!minutes_read(s->text, &minute) || minute == MINUTES_A_DAY)
        setting_bad(s, "not a time of the day");
    else
        *(int16_t *)setting_field(s) = minute;
}

/* A window may run over midnight, but is never empty. */
void take_window(const struct setting *s)
{
    struct span span;
    if (!span_read(s->text, &span) || span.from == span.to)
        setting_bad(s, "not a window of time");
    else
        *(struct span *)setting_field(s) = span;
}

void take_quiet(const struct setting *s)
{
    struct span span;
    if (!span_read(s->text, &span))
        setting_bad(s, "not a span of time");
    else
        *(struct span *)setting_field(s) = span;
}

/* 0 Monday … 6 Sunday, -1 */
static int weekday_read(const char *s, size_t n)
{
    static const char days[7][4] = {"mon", "tue", "wed", "thu", "fri", "sat", "sun"};
    for (int i = 0; i < 7; i++)
        if (n == 3 && strncasecmp(s, days[i], 3) == 0)
            return i;
    return -1;
}

/* mon-fri 08:00-18:30, or one day */
void take_hours(const struct setting *s)
{
    struct clinic *c = s->base;
    size_t n = strcspn(s->text, " \t"), first = strcspn(s->text, "- \t");
    int from = weekday_read(s->text, first),
        to = first < n ? weekday_read(s->text + first + 1, n - first - 1) : from;
    struct span span;
    if (from < 0 || to < 0 || !span_read(s->text + n + strspn(s->text + n, " \t"), &span) ||
        span.from >= span.to) {
        setting_bad(s, "not days and hours");
        return;
    }
    for (int day = from;; day = (day + 1) % 7) {
        if (c->hours[day].from != c->hours[day].to) {
            setting_bad(s, "a day in it has hours already; one span a day, so leave a lunch break out");
            return;
        }
        c->hours[day] = span;
        if (day == to)
            break;
    }
}

void take_closed(const struct setting *s)
{
    struct clinic *c = s->base;
    int32_t day;
    if (!date_read(s->text, &day))
        setting_bad(s, "not a date");
    else if (c->n_closed < CLOSED_MAX)
        c->closed[c->n_closed++] = day;
}

void take_zone(const struct setting *s)
{
    struct offsets table;
    if (!zone_offsets(s->text, clock_real_now(), &table))
        setting_bad(s, "no time zone is so named");
    else
        take_text(s);
}

/* -- language, protocol ------------------------------------------------------------------------------------------------------ */

bool config_language(const struct config *c, const char *language)
{
    char path[PATH_MAX_BYTES + 32];
    if (strcmp(language, "en") == 0 || strcmp(language, "es") == 0)
        return true;
    if (!c->texts[0] || !*language || strlen(language) >= LANGUAGE_MAX ||
        strspn(language, "abcdefghijklmnopqrstuvwxyz-") != strlen(language))
        return false;
    snprintf(path, sizeof path, "%s/%s.texts", c->texts, language);
    return access(path, R_OK) == 0;
}

void take_language(const struct setting *s)
{
    struct clinic *c = s->base;
    struct config look = {0};
    const char *texts = config_value(s->r, "gateway", "texts"); /* [gateway] may come later in the file */
    c->bilingual = strcmp(s->text, "en+es") == 0;
    if (texts)
        snprintf(look.texts, sizeof look.texts, "%.*s%s%.190s", texts[0] == '/' ? 0 : FOLDER_MAX,
                 s->r->out->folder, texts[0] == '/' ? "" : "/", texts);
    if (c->bilingual)
        snprintf(c->language, sizeof c->language, "en");
    else if (config_language(&look, s->text))
        snprintf(c->language, sizeof c->language, "%s", s->text);
    else
        setting_bad(s, "no texts are in this language");
}

/* A protocol file of the clinic's own. Its mistakes are told at its own lines. */
static void protocol_from_file(const struct setting *s, const char *path)
{
    struct clinic *c = s->base;
    char why[256];
    int64_t line = 0;
    struct buffer b;
    buffer_init(&b, PROTOCOL_FILE_BYTES);
    int error = buffer_read_file(&b, path);
    if (error)
        setting_bad(s, "no protocol is so named (there are esh, nice, aha, canada, jsh), and as a file: %s",
                    strerror(-error));
    else if (protocol_read(s->text, b.n ? b.at : "", b.n, &c->protocol, why, sizeof why) < 0) {
        const char *rest = why + (strncmp(why, s->text, strlen(s->text)) == 0 ? strlen(s->text) + 1 : 0);
        size_t digits = strspn(rest, "0123456789");
        char number[16];
        snprintf(number, sizeof number, "%.*s", (int)digits, rest);
        if (digits && whole_read(number, 0, 1 << 20, &line))
            rest += digits + strspn(rest + digits, ": ");
        config_tell_in(s->r, path, (int)line, rest);
    }
    buffer_clear(&b);
}

void take_protocol(const struct setting *s)
{
    struct clinic *c = s->base;
    struct key_rule rule = {.name = s->rule->name, .size = PATH_MAX_BYTES};
    char path[PATH_MAX_BYTES] = "", why[256];
    struct setting file = *s;
    if (strlen(s->text) >= sizeof c->protocol_name) {
        setting_bad(s, "over %zu bytes; move the file nearer", sizeof c->protocol_name - 1);
        return;
    }
    snprintf(c->protocol_name, sizeof c->protocol_name, "%s", s->text);
    if (!strpbrk(s->text, "/.") && protocol_find(s->text, &c->protocol, why, sizeof why) == 0)
        return;
    file.rule = &rule;
    file.base = path;
    take_path(&file);
    if (path[0])
        protocol_from_file(s, path);
    snprintf(c->protocol.name, sizeof c->protocol.name, "%s", s->text);
}

void take_token_file(const struct setting *s)
{
    struct config *c = s->r->out;
    struct key_rule rule = {.name = s->rule->name, .size = PATH_MAX_BYTES, .example = s->rule->example};
    struct setting file = *s;
    file.rule = &rule;
    file.base = c->token_files[(struct clinic *)s->base - c->clinics];
    take_path(&file);
}
