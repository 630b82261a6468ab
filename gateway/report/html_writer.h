/* HTML, written with the escaping in the call: html_text for anything, html_raw for literals of the source alone.
 *
 * Whatever a patient, a carrier or a member of staff wrote comes out inert: markup is escaped, bytes that are no UTF-8,
 * control characters and the invisible marks that turn the direction of text around become U+FFFD. There is no other way
 * to put a value into a page. Pages are HTML 5 in UTF-8.
 */
#ifndef QUIETARM_HTML_WRITER_H
#define QUIETARM_HTML_WRITER_H

#include "gateway/base.h"

/* A literal: anything else does not compile. */
#define html_raw(out, literal) buffer_add(out, "" literal "", sizeof(literal) - 1)

/* Between tags. A line end stays a line end. */
void html_text(struct buffer *out, const char *text);
/* The same in an isolate of its own direction (<bdi>), for names and texts of any script within a sentence. */
void html_name(struct buffer *out, const char *text);
/* ` name="value"`, with the blank before it; `name` is a literal.. */
#define html_attribute(out, name, value) \
    (html_raw(out, " " name "=\""), html_value(out, value), html_raw(out, "\""))
void html_value(struct buffer *out, const char *value);
void html_number(struct buffer *out, int64_t number);
/* Fixed decimals, at most 6, a point whatever the locale; "" for NAN. For coordinates and figures. */
void html_decimal(struct buffer *out, double number, int decimals);

/* From <!doctype> to <body>, with the look's style sheet inside, and the end. `class_` of the body, a word; `language` a tag
 * ("en"). */
void html_page_begin(struct buffer *out, const char *language, const char *title, const char *class_);
void html_page_end(struct buffer *out);
/* The style sheet by itself, for whoever serves it as a file of its own. Static. */
extern const char html_style[];

/* One line of clean UTF-8, in at most `size` bytes with NUL, never cutting a character ("…" then ends it): invalid bytes,
 * control characters and direction marks become U+FFFD, line ends a blank. For surfaces that are not HTML. Returns `to`. */
const char *text_clean(const char *from, char *to, size_t size);
/* The next character of a text, as it may be shown: its bytes are written to `to` (room for 4) and their number returned;
 * *from moves behind it. 0 at the end. */
size_t text_next(const char **from, char to[4]);

#endif
