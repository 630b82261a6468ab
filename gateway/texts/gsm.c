/* How long a text is on air: the GSM 03.38 default alphabet, its extension, and how carriers cut a text into parts.
 *
 * A text is sent in the 7-bit alphabet if every character is in it, else all of it in UCS-2. It must never be counted
 * shorter than it is: a clinic pays by the part. 160 septets go alone, 153 a part once it is cut; 70 and 67 units of
 * UCS-2. An escape pair or a surrogate pair is not split: it moves whole to the next part.
 * Source: 3GPP TS 23.038 (6.2.1 and 6.2.1.1) and TS 23.040; the table is tested against Perl's Encode.
 */
#include "gateway/texts/room.h"

#include <string.h>

/* First and last of each run of characters that take one septet, ascending: 127 characters. */
static const struct {
    uint16_t first, last;
} one_septet[] = {
    {0x0A, 0x0A},   {0x0D, 0x0D},                                 /* line feed, carriage return */
    {0x20, 0x5A},   {0x5F, 0x5F},   {0x61, 0x7A},                 /* space-Z, _, a-z */
    {0xA1, 0xA1},   {0xA3, 0xA5},   {0xA7, 0xA7},   {0xBF, 0xBF}, /* ¡ £¤¥ § ¿ */
    {0xC4, 0xC7},   {0xC9, 0xC9},   {0xD1, 0xD1},                 /* ÄÅÆÇ É Ñ */
    {0xD6, 0xD6},   {0xD8, 0xD8},   {0xDC, 0xDC},                 /* Ö Ø Ü */
    {0xDF, 0xE0},   {0xE4, 0xE6},   {0xE8, 0xE9},   {0xEC, 0xEC}, /* ßà äåæ èé ì */
    {0xF1, 0xF2},   {0xF6, 0xF6},   {0xF8, 0xF9},   {0xFC, 0xFC}, /* ñò ö øù ü */
    {0x393, 0x394}, {0x398, 0x398}, {0x39B, 0x39B}, {0x39E, 0x39E}, {0x3A0, 0x3A0}, /* ΓΔ Θ Λ Ξ Π */
    {0x3A3, 0x3A3}, {0x3A6, 0x3A6}, {0x3A8, 0x3A9},                                 /* Σ Φ ΨΩ */
};

/* An escape and one more septet. */
static const uint16_t two_septets[] = {'\f', '[', '\\', ']', '^', '{', '|', '}', '~', 0x20AC};

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

int gsm_septets(uint32_t code_point)
{
    for (size_t i = 0; i < COUNT(one_septet) && one_septet[i].first <= code_point; i++)
        if (code_point <= one_septet[i].last)
            return 1;
    for (size_t i = 0; i < COUNT(two_septets); i++)
        if (two_septets[i] == code_point)
            return 2;
    return 0;
}

/* Bytes that a leading byte announces; 0 when none may begin with it. */
static size_t utf8_announced(unsigned char first)
{
    if (first < 0x80)
        return 1;
    if (first >= 0xC2 && first <= 0xDF)
        return 2;
    if (first >= 0xE0 && first <= 0xEF)
        return 3;
    if (first >= 0xF0 && first <= 0xF4)
        return 4;
    return 0;
}

uint32_t utf8_next(const char *s, const char *end, size_t *size)
{
    static const uint32_t least[] = {0, 0, 0x80, 0x800, 0x10000};
    const unsigned char *u = (const unsigned char *)s;
    size_t n = utf8_announced(u[0]);
    uint32_t c = n == 1 ? u[0] : u[0] & (0xFFu >> (n + 1));

    *size = 1;
    if (!n || n > (size_t)(end - s))
        return 0xFFFD;
    for (size_t i = 1; i < n; i++) {
        if ((u[i] & 0xC0) != 0x80)
            return 0xFFFD;
        c = c << 6 | (u[i] & 0x3F);
    }
    if (c < least[n] || c > 0x10FFFF || (c >= 0xD800 && c <= 0xDFFF))
        return 0xFFFD;
    *size = n;
    return c;
}

bool gsm_fits(const char *utf8)
{
    const char *end = utf8 + strlen(utf8);
    size_t n;

    for (; utf8 < end; utf8 += n)
        if (!gsm_septets(utf8_next(utf8, end, &n)))
            return false;
    return true;
}

static int character_units(uint32_t c, bool gsm)
{
    if (gsm)
        return gsm_septets(c);
    return c > 0xFFFF ? 2 : 1;
}

int gsm_segments(const char *utf8)
{
    const char *end = utf8 + strlen(utf8);
    bool gsm = gsm_fits(utf8);
    int alone = gsm ? 160 : 70, part = gsm ? 153 : 67;
    int total = 0, parts = 1, filled = 0;
    size_t n;

    for (const char *s = utf8; s < end; s += n) {
        int units = character_units(utf8_next(s, end, &n), gsm);

        total += units;
        if (filled + units > part) {
            parts++;
            filled = 0;
        }
        filled += units;
    }
    if (total == 0)
        return 0;
    return total <= alone ? 1 : parts;
}

uint32_t gsm_near(uint32_t code_point)
{
    static const struct {
        uint16_t from, to;
    } near[] = {
        {0x60, '\''},  {0xA0, ' '},    {0xC1, 'A'},    {0xC2, 'A'},   {0xC3, 'A'},   {0xCA, 'E'},
        {0xCD, 'I'},   {0xCE, 'I'},    {0xD3, 'O'},    {0xD4, 'O'},   {0xD5, 'O'},   {0xDA, 'U'},
        {0xDB, 'U'},   {0xE1, 'a'},    {0xE2, 'a'},    {0xE3, 'a'},   {0xE7, 'c'},   {0xEA, 'e'},
        {0xEB, 'e'},   {0xED, 'i'},    {0xEE, 'i'},    {0xEF, 'i'},   {0xF3, 'o'},   {0xF4, 'o'},
        {0xF5, 'o'},   {0xFA, 'u'},    {0xFB, 'u'},    {0x2010, '-'}, {0x2011, '-'}, {0x2013, '-'},
        {0x2014, '-'}, {0x2018, '\''}, {0x2019, '\''}, {0x201C, '"'}, {0x201D, '"'}, {0x2212, '-'},
    };

    for (size_t i = 0; i < COUNT(near); i++)
        if (near[i].from == code_point)
            return near[i].to;
    return code_point;
}
