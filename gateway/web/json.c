/* JSON: a body read strictly, after a mending pass for what phones and carriers break inside of strings; and pointers.
 *
 * The mending never changes which documents are well-formed but for: bytes that are not UTF-8, NULs and lone surrogates in
 * strings (U+FFFD), and numbers past 64 bits, which would else lose their last digits or the whole text. A body of 64 KiB
 * takes under a millisecond.
 */
#include <errno.h>
#include <jansson.h>
#include <string.h>

#include "gateway/web/fields.h"

enum { DEPTH_MAX = 32, LONG_DIGITS = 19, MEND_BYTES = 1024 * 1024 };

/* -- mending ------------------------------------------------------------------------------------------------------- */

/* The code unit of an escape at s (\u and four hexadecimal digits, RFC 8259 section 7); -1 when there is none. */
static int unit_read(const char *s, size_t left)
{
    int value = 0;
    if (left < 6 || s[0] != '\\' || s[1] != 'u')
        return -1;
    for (int i = 2; i < 6; i++) {
        const char *at = s[i] ? strchr("0123456789abcdef", s[i] | (s[i] >= 'A' ? 0x20 : 0)) : NULL;
        if (!at)
            return -1;
        value = value * 16 + (int)(at - "0123456789abcdef");
    }
    return value;
}

/* Copies the escape at s; returns how much of s it was. */
static size_t escape_mend(struct buffer *out, const char *s, size_t left)
{
    int unit = unit_read(s, left);
    size_t n = unit >= 0 ? 6 : left < 2 ? left : 2;
    if (unit >= 0xd800 && unit <= 0xdbff) {
        int low = unit_read(s + 6, left - 6);
        if (low >= 0xdc00 && low <= 0xdfff)
            n = 12;
        unit = n == 12 ? 0 : unit;
    }
    if (unit >= 0xd800 && unit <= 0xdfff)
        buffer_text(out, "\\uFFFD");
    else
        buffer_add(out, s, n);
    return n;
}

/* Copies a string from its opening to its closing mark. */
static size_t string_mend(struct buffer *out, const char *s, size_t left)
{
    size_t i = 1;
    buffer_add(out, s, 1);
    while (i < left && s[i] != '"') {
        size_t n = strcspn(s + i, "\\\""); /* the mended text has a NUL behind it and none inside */
        buffer_add(out, s + i, n);
        i += n;
        if (i < left && s[i] == '\\')
            i += escape_mend(out, s + i, left - i);
    }
    if (i < left)
        buffer_add(out, s + i, 1);
    return i < left ? i + 1 : i;
}

static size_t number_mend(struct buffer *out, const char *s)
{
    size_t n = strspn(s, "0123456789+-.eE");
    size_t sign = s[0] == '-', digits = strspn(s + sign, "0123456789");
    bool quote = digits >= LONG_DIGITS && sign + digits == n && s[sign] != '0';
    buffer_print(out, quote ? "\"%.*s\"" : "%.*s", (int)n, s);
    return n;
}

/* false: too deep, or no memory. */
static bool json_mend(struct buffer *out, const char *s, size_t size)
{
    int depth = 0;
    for (size_t i = 0; i < size && !out->failed;) {
        if (s[i] == '"') {
            i += string_mend(out, s + i, size - i);
        } else if (s[i] == '-' || (s[i] >= '0' && s[i] <= '9')) {
            i += number_mend(out, s + i);
        } else {
            depth += (s[i] == '{' || s[i] == '[') - (s[i] == '}' || s[i] == ']');
            if (depth > DEPTH_MAX)
                return false;
            buffer_add(out, s + i++, 1);
        }
    }
    return !out->failed;
}

json_t *json_read(const char *body, size_t size)
{
    static const char mark[] = "\xef\xbb\xbf";
    json_t *document = NULL;
    struct buffer clean, mended;
    errno = 0; /* jansson tells want of memory as bad syntax; malloc does not */
    if (size >= 3 && !memcmp(body, mark, 3))
        body += 3, size -= 3;
    buffer_init(&clean, MEND_BYTES);
    buffer_init(&mended, MEND_BYTES);
    utf8_clean(&clean, body, size);
    if (clean.n && !clean.failed && json_mend(&mended, clean.at, clean.n))
        document = json_loadb(mended.at, mended.n, JSON_REJECT_DUPLICATES | JSON_ALLOW_NUL, NULL);
    int why = document || errno != ENOMEM ? 0 : ENOMEM;
    buffer_clear(&clean);
    buffer_clear(&mended);
    errno = why;
    return document;
}

/* -- pointers, RFC 6901 -------------------------------------------------------------------------------------------- */

/* One token, ~1 and ~0 undone; moves *at behind it. false: too long, or an escape that is none. */
static bool token_read(const char **at, char token[POINTER_MAX])
{
    size_t n = 0;
    for ((*at)++; **at && **at != '/'; (*at)++) {
        char c = **at;
        if (c == '~') {
            c = *++*at;
            if (c != '0' && c != '1')
                return false;
            c = c == '0' ? '~' : '/';
        }
        if (n == POINTER_MAX - 1)
            return false;
        token[n++] = c;
    }
    token[n] = '\0';
    return true;
}

static const json_t *element_at(const json_t *array, const char *token)
{
    int64_t index;
    bool leading_zero = token[0] == '0' && token[1];
    if (leading_zero || !whole_read(token, 0, INT32_MAX, &index) || token[0] == '-')
        return NULL;
    return json_array_get(array, (size_t)index);
}

const json_t *json_at(const json_t *document, const char *pointer)
{
    char token[POINTER_MAX];
    if (*pointer && *pointer != '/')
        return NULL;
    while (document && *pointer) {
        if (!token_read(&pointer, token))
            return NULL;
        document = json_is_array(document) ? element_at(document, token) : json_object_get(document, token);
    }
    return document;
}
