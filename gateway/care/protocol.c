/* Protocol files: `key = value` lines that say how a week is measured and judged. gateway/protocols/README.md
 * describes the keys.
 *
 * A mistake must never become a rule: every key is asked for once, every number has its bounds, and the first mistake
 * ends the reading with NAME:LINE. Fifteen keys, some thirty lines a file, read once at start.
 */
#include "gateway/care/care.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "parser/parser.h"

extern const struct embedded protocol_files[]; /* every file of gateway/protocols/ */

enum { LINE_MAX_BYTES = 512 };
static const char suffix[] = ".protocol";

struct reading_of_file {
    const char *name;
    int line;
    struct protocol *out;
    char *why;
    size_t why_size;
};

/* A key's value, NUL-terminated and without white space around it, into the protocol. 0 or -1. */
typedef int take_value(struct reading_of_file *f, const char *value, void *into, int least, int most);

static int mistake(struct reading_of_file *f, const char *format, ...) __attribute__((format(printf, 2, 3)));

static int mistake(struct reading_of_file *f, const char *format, ...)
{
    char what[256];
    va_list args;

    va_start(args, format);
    vsnprintf(what, sizeof what, format, args);
    va_end(args);
    snprintf(f->why, f->why_size, "%s:%d: %s", f->name, f->line ? f->line : 1, what);
    return -1;
}

static bool blank(char c)
{
    return c == ' ' || c == '\t';
}

/* Digits at *s, moved past them; -1 when there are none or too many. */
static int digits(const char **s)
{
    int n = 0, count = 0;

    for (; **s >= '0' && **s <= '9'; (*s)++)
        if (++count <= 4)
            n = n * 10 + (**s - '0');
    return count >= 1 && count <= 4 ? n : -1;
}

static int take_number(struct reading_of_file *f, const char *value, void *into, int least, int most)
{
    const char *s = value;
    int n = digits(&s);

    if (n < 0 || *s)
        return mistake(f, "'%s' is not a whole number, write one from %d to %d", value, least, most);
    if (n < least || n > most)
        return mistake(f, "%d is out of range, write a number from %d to %d", n, least, most);
    *(int16_t *)into = (int16_t)n;
    return 0;
}

static int take_text(struct reading_of_file *f, const char *value, void *into, int least, int most)
{
    (void)least;
    if ((int)strlen(value) >= most)
        return mistake(f, "the text is too long, write at most %d bytes", most - 1);
    memcpy(into, value, strlen(value) + 1);
    return 0;
}

/* One of two words: false for the first, true for the second. */
static int take_either(struct reading_of_file *f, const char *value, void *into, const char *no,
                       const char *yes)
{
    if (strcmp(value, no) && strcmp(value, yes))
        return mistake(f, "'%s' is unknown here, write '%s' or '%s'", value, no, yes);
    *(bool *)into = strcmp(value, yes) == 0;
    return 0;
}

static int take_first_day(struct reading_of_file *f, const char *value, void *into, int least, int most)
{
    (void)least, (void)most;
    return take_either(f, value, into, "left out", "counted");
}

static int take_halves(struct reading_of_file *f, const char *value, void *into, int least, int most)
{
    (void)least, (void)most;
    return take_either(f, value, into, "pooled", "apart");
}

static int take_reached(struct reading_of_file *f, const char *value, void *into, int least, int most)
{
    (void)least, (void)most;
    return take_either(f, value, into, "above", "at_or_above");
}

/* "135/85" at *s, moved past it: systolic 60-300 over diastolic 30-200, systolic the larger. */
static int pressures(struct reading_of_file *f, const char **s, int16_t *sys, int16_t *dia)
{
    const char *from = *s;
    int high = digits(s);
    int low = high >= 0 && **s == '/' ? ((*s)++, digits(s)) : -1;

    if (low < 0 || (**s && !blank(**s)))
        return mistake(f, "'%s' does not begin with two pressures, write them as 135/85", from);
    if (high < 60 || high > 300 || low < 30 || low > 200 || low >= high)
        return mistake(f, "%d/%d is no pressure, write systolic 60-300 over a lower diastolic 30-200", high,
                       low);
    *sys = (int16_t)high, *dia = (int16_t)low;
    return 0;
}

static int take_pressures(struct reading_of_file *f, const char *value, void *into, int least, int most)
{
    int16_t *pair = into; /* sys, then dia */
    const char *s = value;

    (void)least, (void)most;
    if (pressures(f, &s, &pair[0], &pair[1]) < 0)
        return -1;
    return *s ? mistake(f, "'%s' is more than two pressures, write them as 180/120", value) : 0;
}

static int take_line(struct reading_of_file *f, const char *value, void *into, int least, int most)
{
    struct protocol *p = into;
    struct home_line line = {0}, *last = p->n_lines ? &p->lines[p->n_lines - 1] : NULL;
    const char *s = value;

    (void)least;
    if (p->n_lines == most)
        return mistake(f, "too many lines, keep at most %d", most);
    if (pressures(f, &s, &line.sys, &line.dia) < 0)
        return -1;
    while (blank(*s))
        s++;
    if (!*s || strlen(s) >= sizeof line.category)
        return mistake(f, "a line needs a name of 1 to %zu bytes, write '135/85 stage 1'",
                       sizeof line.category - 1);
    snprintf(line.category, sizeof line.category, "%s", s);
    if (last &&
        (line.sys < last->sys || line.dia < last->dia || (line.sys == last->sys && line.dia == last->dia)))
        return mistake(f, "%d/%d is not above the line before it, put the lowest first", line.sys, line.dia);
    for (int i = 0; i < p->n_lines; i++)
        if (strcmp(p->lines[i].category, line.category) == 0)
            return mistake(f, "two lines are named '%s', give each its own name", s);
    if (strcmp(line.category, "below") == 0)
        return mistake(f, "'below' is what a mean under all lines is called, name the line otherwise");
    p->lines[p->n_lines++] = line;
    return 0;
}

#define AT(field) offsetof(struct protocol, field)
static const struct {
    const char *key;
    take_value *take;
    size_t at; /* in struct protocol */
    int least, most;
} keys[] = {
    {"edition", take_text, AT(edition), 0, sizeof((struct protocol *)0)->edition},
    {"source", take_text, AT(source), 0, sizeof((struct protocol *)0)->source},
    {"days", take_number, AT(days), 1, 14},
    {"fewest_days", take_number, AT(fewest_days), 1, 14},
    {"most_days", take_number, AT(most_days), 1, WEEK_DAYS_MAX},
    {"per_sitting", take_number, AT(per_sitting), 1, 5},
    {"gap_minutes", take_number, AT(gap_minutes), 0, 30},
    {"first_day", take_first_day, AT(first_day_counted), 0, 0},
    {"fewest_readings", take_number, AT(fewest_readings), 1, 140},
    {"halves", take_halves, AT(apart), 0, 0},
    {"line", take_line, 0, 0, LINES_MAX},
    {"office", take_pressures, AT(office), 0, 0},
    {"severe", take_pressures, AT(severe), 0, 0},
    {"severe_counts", take_reached, AT(severe_either_at), 0, 0},
    {"third_reading_over", take_number, AT(third_reading_over), 1, 100},
};
enum { KEYS = sizeof keys / sizeof *keys };
#undef AT

/* Bytes of the UTF-8 character at `s`, a printable one or a tab; 0 when there is none. These texts are printed and become
 * JSON. */
static size_t character(const unsigned char *s, size_t left)
{
    static const uint32_t least[] = {0, 0, 0x80, 0x800, 0x10000};
    size_t n = s[0] < 0x80 ? 1 : s[0] >= 0xF0 ? 4 : s[0] >= 0xE0 ? 3 : 2;
    uint32_t c = n == 1 ? s[0] : s[0] & (0x7Fu >> n);

    if (n > left || (s[0] >= 0x80 && s[0] < 0xC0) || s[0] >= 0xF8)
        return 0;
    for (size_t i = 1; i < n; i++) {
        if ((s[i] & 0xC0) != 0x80)
            return 0;
        c = c << 6 | (s[i] & 0x3Fu);
    }
    if (c < least[n] || c > 0x10FFFF || (c >= 0xD800 && c < 0xE000))
        return 0;
    return (c < 0x20 && c != '\t') || (c >= 0x7F && c < 0xA0) ? 0 : n;
}

static bool readable(const char *bytes, size_t size)
{
    for (size_t at = 0, n; at < size; at += n)
        if ((n = character((const unsigned char *)bytes + at, size - at)) == 0)
            return false;
    return true;
}

/* Cuts a comment and the white space around; returns the trimmed start. */
static char *trim(char *s)
{
    for (char *p = s; *p; p++)
        if ((*p == '#' || *p == ';') && (p == s || blank(p[-1]))) {
            *p = '\0';
            break;
        }
    while (blank(*s))
        s++;
    for (size_t n = strlen(s); n && blank(s[n - 1]); n--)
        s[n - 1] = '\0';
    return s;
}

static int take_key(struct reading_of_file *f, const char *key, const char *value, bool seen[KEYS])
{
    for (int i = 0; i < KEYS; i++) {
        if (strcmp(keys[i].key, key))
            continue;
        if (seen[i] && keys[i].take != take_line)
            return mistake(f, "'%s' comes twice, remove one", key);
        seen[i] = true;
        if (!*value)
            return mistake(f, "'%s' has no value, write '%s = ...'", key, key);
        return keys[i].take(f, value, (char *)f->out + keys[i].at, keys[i].least, keys[i].most);
    }
    return mistake(f, "'%s' is not a key of a protocol, remove it", key);
}

static int take_one_line(struct reading_of_file *f, const char *bytes, size_t size, bool seen[KEYS])
{
    char text[LINE_MAX_BYTES];

    if (size >= sizeof text)
        return mistake(f, "the line is too long, keep it under %d bytes", LINE_MAX_BYTES);
    if (size && bytes[size - 1] == '\r')
        size--;
    if (!readable(bytes, size))
        return mistake(f, "there is a byte that is no text, save the file as UTF-8");
    memcpy(text, bytes, size);
    text[size] = '\0';
    char *line = trim(text), *equals = strchr(line, '=');
    if (!*line)
        return 0;
    if (!equals)
        return mistake(f, "'%.60s' is not 'key = value'", line);
    *equals = '\0';
    return take_key(f, trim(line), trim(equals + 1), seen);
}

/* What only the whole file shows. Told at its last line. */
static int check_whole(struct reading_of_file *f, const bool seen[KEYS])
{
    const struct protocol *p = f->out;

    for (int i = 0; i < KEYS; i++)
        if (!seen[i])
            return mistake(f, "'%s' is missing, add it", keys[i].key);
    if (p->fewest_days > p->days)
        return mistake(f, "fewest_days %d is more than days %d, lower it", p->fewest_days, p->days);
    if (p->most_days < p->days)
        return mistake(f, "most_days %d is less than days %d, raise it", p->most_days, p->days);
    int counted = (p->days - !p->first_day_counted) * 2 * p->per_sitting;
    if (p->fewest_readings > counted)
        return mistake(f, "fewest_readings %d cannot be reached, %d days give %d", p->fewest_readings,
                       p->days, counted);
    if (p->lines[p->n_lines - 1].sys > p->severe.sys || p->lines[p->n_lines - 1].dia > p->severe.dia)
        return mistake(f, "a home line is above the severe line, put it below");
    return 0;
}

/* "…/esh.protocol" is named "esh". */
static void name_protocol(struct protocol *p, const char *name)
{
    const char *slash = strrchr(name, '/'), *base = slash ? slash + 1 : name;
    size_t n = strlen(base), s = sizeof suffix - 1;

    if (n > s && strcmp(base + n - s, suffix) == 0)
        n -= s;
    snprintf(p->name, sizeof p->name, "%.*s", (int)n, base);
}

int protocol_read(const char *name, const char *bytes, size_t size, struct protocol *out, char *why,
                  size_t why_size)
{
    struct reading_of_file f = {.name = name, .out = out, .why = why, .why_size = why_size};
    bool seen[KEYS] = {false};

    memset(out, 0, sizeof *out);
    name_protocol(out, name);
    for (size_t at = 0; at < size;) {
        const char *end = memchr(bytes + at, '\n', size - at);
        size_t length = end ? (size_t)(end - bytes) - at : size - at;
        f.line++;
        if (take_one_line(&f, bytes + at, length, seen) < 0)
            return -1;
        at += length + 1;
    }
    return check_whole(&f, seen);
}

int protocol_find(const char *name, struct protocol *out, char *why, size_t why_size)
{
    char known[160] = "";

    for (const struct embedded *e = protocol_files; e->name; e++) {
        size_t n = strlen(e->name) - (sizeof suffix - 1), used = strlen(known);
        if (strlen(name) == n && strncmp(e->name, name, n) == 0)
            return protocol_read(e->name, e->bytes, e->size, out, why, why_size);
        snprintf(known + used, sizeof known - used, "%s%.*s", used ? ", " : "", (int)n, e->name);
    }
    snprintf(why, why_size, "no protocol is named '%.60s', name one of %s, or a file", name, known);
    return -1;
}
