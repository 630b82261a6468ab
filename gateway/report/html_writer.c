/* HTML with the escaping in the call; see html_writer.h. Must never let a byte of a value through unlooked at.
 *
 * A page of a week is some 30 KB.
 */
#include "gateway/report/html_writer.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const char replacement[] = "\xEF\xBF\xBD"; /* U+FFFD */

/* -- characters ------------------------------------------------------------------------------------------------------- */

/* The well-formed UTF-8 sequence at `s` (Unicode 15, table 3-7): its length, 0 when there is none. */
static size_t sequence(const unsigned char *s, uint32_t *code)
{
    static const struct {
        unsigned char from, to, second_from, second_to;
        size_t length;
    } forms[] = {
        {0x01, 0x7F, 0x00, 0x00, 1}, {0xC2, 0xDF, 0x80, 0xBF, 2}, {0xE0, 0xE0, 0xA0, 0xBF, 3},
        {0xE1, 0xEC, 0x80, 0xBF, 3}, {0xED, 0xED, 0x80, 0x9F, 3}, {0xEE, 0xEF, 0x80, 0xBF, 3},
        {0xF0, 0xF0, 0x90, 0xBF, 4}, {0xF1, 0xF3, 0x80, 0xBF, 4}, {0xF4, 0xF4, 0x80, 0x8F, 4},
    };
    for (size_t i = 0; i < sizeof forms / sizeof *forms; i++) {
        size_t n = forms[i].length;
        if (s[0] < forms[i].from || s[0] > forms[i].to)
            continue;
        if (n > 1 && (s[1] < forms[i].second_from || s[1] > forms[i].second_to))
            return 0;
        *code = n == 1 ? s[0] : s[0] & (0x7Fu >> n);
        for (size_t k = 1; k < n; k++) {
            if (k > 1 && (s[k] & 0xC0) != 0x80)
                return 0;
            *code = *code << 6 | (s[k] & 0x3F);
        }
        return n;
    }
    return 0;
}

/* Controls (but the line end), marks that override or isolate direction, and what is no character at all. */
static bool showable(uint32_t code)
{
    bool control = (code < 0x20 && code != '\n') || (code >= 0x7F && code < 0xA0);
    bool direction = (code >= 0x202A && code <= 0x202E) || (code >= 0x2066 && code <= 0x2069);
    bool line = code == 0x2028 || code == 0x2029;
    bool none = (code >= 0xFDD0 && code <= 0xFDEF) || (code & 0xFFFE) == 0xFFFE || code == 0xFEFF;
    return !control && !direction && !line && !none;
}

size_t text_next(const char **from, char to[4])
{
    const unsigned char *s = (const unsigned char *)*from;
    uint32_t code = 0;
    if (!*s)
        return 0;
    size_t n = sequence(s, &code);
    *from += n ? n : 1;
    if (n && code == '\t') {
        *to = ' ';
        return 1;
    }
    if (n && showable(code)) {
        memcpy(to, s, n);
        return n;
    }
    memcpy(to, replacement, 3);
    return 3;
}

const char *text_clean(const char *from, char *to, size_t size)
{
    static const char more[] = "…";
    size_t n = 0, kept = 0; /* kept: what leaves room for `more` */
    char c[4];
    for (size_t k; (k = text_next(&from, c)) != 0; n += k) {
        if (n + k >= size) {
            n = kept;
            snprintf(to + n, size - n, "%s", size - n >= sizeof more ? more : "");
            return to;
        }
        memcpy(to + n, c, k);
        if (k == 1 && c[0] == '\n')
            to[n] = ' ';
        if (n + k + sizeof more <= size)
            kept = n + k;
    }
    if (size)
        to[n] = '\0';
    return to;
}

/* -- values ------------------------------------------------------------------------------------------------------------ */

void html_text(struct buffer *out, const char *text)
{
    char c[4];
    for (size_t n; (n = text_next(&text, c)) != 0;) {
        switch (n == 1 ? c[0] : 0) {
        case '&':
            html_raw(out, "&amp;");
            break;
        case '<':
            html_raw(out, "&lt;");
            break;
        case '>':
            html_raw(out, "&gt;");
            break;
        case '"':
            html_raw(out, "&quot;");
            break;
        case '\'':
            html_raw(out, "&#39;");
            break;
        default:
            buffer_add(out, c, n);
        }
    }
}

void html_name(struct buffer *out, const char *text)
{
    html_raw(out, "<bdi>");
    html_text(out, text);
    html_raw(out, "</bdi>");
}

void html_value(struct buffer *out, const char *value)
{
    html_text(out, value);
}

void html_number(struct buffer *out, int64_t number)
{
    buffer_print(out, "%lld", (long long)number);
}

void html_decimal(struct buffer *out, double number, int decimals)
{
    double scale = 1;
    char fraction[24] = "";
    if (!isfinite(number) || fabs(number) > 1e12)
        return;
    for (int i = 0; i < decimals && i < 6; i++)
        scale *= 10;
    int64_t whole = llround(fabs(number) * scale), one = (int64_t)scale;
    if (one > 1) {
        snprintf(fraction, sizeof fraction, "%0*lld", decimals < 6 ? decimals : 6, (long long)(whole % one));
        for (size_t n = strlen(fraction); n > 1 && fraction[n - 1] == '0'; n--)
            fraction[n - 1] = '\0';
    }
    buffer_print(out, "%s%lld%s%s", number < 0 && whole ? "-" : "", (long long)(whole / one), *fraction ? "." : "", fraction);
}

/* -- the page ------------------------------------------------------------------------------------------------------------- */

void html_page_begin(struct buffer *out, const char *language, const char *title, const char *class_)
{
    html_raw(out, "<!doctype html>\n<html");
    html_attribute(out, "lang", language);
    html_raw(out, ">\n<head>\n<meta charset=\"utf-8\">\n"
                  "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>");
    html_text(out, title);
    html_raw(out, "</title>\n<style>\n");
    buffer_text(out, html_style);
    html_raw(out, "</style>\n</head>\n<body");
    html_attribute(out, "class", class_);
    html_raw(out, ">\n");
}

void html_page_end(struct buffer *out)
{
    html_raw(out, "</body>\n</html>\n");
}
