/* Templates of the configuration: URL, body and headers with {from} {to} {text} {key} {secret}.
 *
 * A value can never leave its place: in JSON it is escaped, in a form or URL percent-encoded, in a header CR and LF are
 * refused. A brace that does not open a word of small letters is itself. Pure; a filled body stays under REQUEST_MAX.
 */
#include "gateway/send/parts.h"

#include <string.h>

static const char LETTERS[] = "abcdefghijklmnopqrstuvwxyz_";

/* The length of the word of a {word} that begins at `s`; 0 when there is none. */
static size_t placeholder_word(const char *s)
{
    if (*s != '{')
        return 0;
    size_t n = strspn(s + 1, LETTERS);
    return n && s[1 + n] == '}' ? n : 0;
}

static bool word_is(const char *s, size_t n, const char *word)
{
    return strlen(word) == n && memcmp(s, word, n) == 0;
}

/* NULL: there is no such placeholder. */
static const char *field_of(const struct fields *f, const char *word, size_t n)
{
    const struct {
        const char *name, *value;
    } table[] = {{"from", f->from}, {"to", f->to}, {"text", f->text}, {"key", f->key}, {"secret", f->secret}};
    for (size_t i = 0; i < sizeof table / sizeof *table; i++)
        if (word_is(word, n, table[i].name))
            return table[i].value ? table[i].value : "";
    return NULL;
}

bool template_unknown(const char *pattern, char word[32])
{
    const struct fields none = {0};
    for (const char *s = pattern; *s; s++) {
        size_t n = placeholder_word(s);
        if (n && !field_of(&none, s + 1, n)) {
            snprintf(word, 32, "%.*s", (int)(n < 31 ? n : 31), s + 1);
            return true;
        }
    }
    return false;
}

static void add_json(struct buffer *out, const char *value)
{
    for (const unsigned char *s = (const unsigned char *)value; *s; s++) {
        if (*s == '"' || *s == '\\')
            buffer_print(out, "\\%c", *s);
        else if (*s == '\n')
            buffer_text(out, "\\n");
        else if (*s < 0x20 || *s == 0x7f)
            buffer_print(out, "\\u%04x", *s);
        else
            buffer_add(out, s, 1);
    }
}

/* RFC 3986, 2.3: the unreserved characters stand for themselves. A blank as %20 is right in a form too. */
static void add_percent(struct buffer *out, const char *value)
{
    for (const unsigned char *s = (const unsigned char *)value; *s; s++) {
        bool plain = (*s >= 'a' && *s <= 'z') || (*s >= 'A' && *s <= 'Z') || (*s >= '0' && *s <= '9') ||
                     strchr("-._~", *s);
        if (plain)
            buffer_add(out, s, 1);
        else
            buffer_print(out, "%%%02X", *s);
    }
}

static bool add_value(struct buffer *out, const char *value, enum escape how)
{
    if (how == ESCAPE_JSON)
        add_json(out, value);
    else if (how == ESCAPE_PERCENT)
        add_percent(out, value);
    else if (strpbrk(value, "\r\n"))
        return false;
    else
        buffer_text(out, value);
    return true;
}

bool template_fill(struct buffer *out, const char *pattern, enum escape how, const struct fields *f)
{
    if (how == ESCAPE_HEADER && strpbrk(pattern, "\r\n"))
        return false;
    for (const char *s = pattern; *s;) {
        size_t n = placeholder_word(s);
        if (!n) {
            buffer_add(out, s++, 1);
            continue;
        }
        const char *value = field_of(f, s + 1, n);
        if (!value || !add_value(out, value, how))
            return false;
        s += n + 2;
    }
    return true;
}
