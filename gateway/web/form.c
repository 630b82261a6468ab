/* Form: application/x-www-form-urlencoded, read pair by pair as the WHATWG URL standard section 5.1 says.
 *
 * Any body is a form: what is not an escape stands for itself. 2 ns a byte.
 */
#include <string.h>

#include "gateway/web/fields.h"

static int hex_value(char c)
{
    if (c >= '0' && c <= '9')
        return c - '0';
    char lower = (char)(c | 0x20);
    return lower >= 'a' && lower <= 'f' ? lower - 'a' + 10 : -1;
}

static void form_decode(struct buffer *out, const char *s, size_t size)
{
    struct buffer raw;
    buffer_init(&raw, size);
    for (size_t i = 0; i < size; i++) {
        char c = s[i] == '+' ? ' ' : s[i];
        int high = s[i] == '%' && size - i > 2 ? hex_value(s[i + 1]) : -1;
        int low = high >= 0 ? hex_value(s[i + 2]) : -1;
        if (low >= 0) {
            c = (char)(high << 4 | low);
            i += 2;
        }
        buffer_add(&raw, &c, 1);
    }
    if (raw.n)
        utf8_clean(out, raw.at, raw.n);
    out->failed = out->failed || raw.failed;
    buffer_clear(&raw);
}

bool form_next(const char **at, const char *end, struct buffer *name, struct buffer *value)
{
    while (*at < end && **at == '&')
        (*at)++;
    if (*at >= end)
        return false;
    const char *stop = memchr(*at, '&', (size_t)(end - *at));
    if (!stop)
        stop = end;
    const char *equals = memchr(*at, '=', (size_t)(stop - *at));
    const char *name_end = equals ? equals : stop;
    form_decode(name, *at, (size_t)(name_end - *at));
    if (equals)
        form_decode(value, equals + 1, (size_t)(stop - equals - 1));
    *at = stop;
    return !name->failed && !value->failed;
}
