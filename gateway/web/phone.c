/* Phone: drops what people and systems write between digits. It must never make a number that somebody may have out of a
 * name or a short code. The seven digits are our own choice; the most is 15 (ITU-T E.164).
 */
#include "gateway/web/phone.h"

#include <string.h>

enum { INTERNATIONAL_LEAST = 7 };

/* Blanks (also no-break, figure, thin, narrow), hyphens and dashes, dots, brackets, marks of direction. */
static const char *const dropped[] = {" ", "\t", "-", ".", "(", ")", "[", "]", "{", "}",
    "\u00a0", "\u2007", "\u2009", "\u202f", "\u2010", "\u2011", "\u2012", "\u2013", "\u2014", "\u2015", "\u2212",
    "\u200e", "\u200f", "\u202a", "\u202c"};

static size_t dropped_size(const char *s)
{
    for (size_t i = 0; i < sizeof dropped / sizeof *dropped; i++) {
        size_t n = strlen(dropped[i]);
        if (!strncmp(s, dropped[i], n))
            return n;
    }
    return 0;
}

/* The digits of a number, a + before them or not; false when anything else is in it. */
static bool number_strip(const char *in, char out[PHONE_MAX])
{
    size_t n = 0;
    while (*in) {
        size_t skip = dropped_size(in);
        if (skip) {
            in += skip;
            continue;
        }
        bool plus = *in == '+' && n == 0;
        if ((!plus && (*in < '0' || *in > '9')) || n == PHONE_MAX - 1)
            return false;
        out[n++] = *in++;
    }
    out[n] = '\0';
    return n > 0;
}

static void copy_cut(const char *in, char out[PHONE_MAX])
{
    size_t n = strlen(in);
    if (n >= PHONE_MAX)
        for (n = PHONE_MAX - 1; n > 0 && ((unsigned char)in[n] & 0xc0) == 0x80;)
            n--;
    memcpy(out, in, n);
    out[n] = '\0';
}

void phone_normal(const char *in, char out[PHONE_MAX])
{
    if (!number_strip(in, out)) {
        copy_cut(in, out);
        return;
    }
    if (!strncmp(out, "00", 2) && strlen(out) >= 2 + INTERNATIONAL_LEAST) {
        out[0] = '+';
        memmove(out + 1, out + 2, strlen(out + 2) + 1);
    }
}
