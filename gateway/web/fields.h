/* Fields: a request's body, JSON or form, as named values. Pure.
 *
 * A name is a JSON pointer (RFC 6901) or a form's field name, as in the configuration.
 */
#ifndef QUIETARM_WEB_FIELDS_H
#define QUIETARM_WEB_FIELDS_H

#include "gateway/config.h"

/* -- utf8.c -------------------------------------------------------------------------------------------------------- */

/* Adds `bytes` as valid UTF-8 without NUL: each ill-formed stretch (a maximal subpart, Unicode 15 section 3.9, as the
 * WHATWG decoder does it) and each NUL becomes U+FFFD. At most three times as long. */
void utf8_clean(struct buffer *out, const char *bytes, size_t size);

/* -- form.c -------------------------------------------------------------------------------------------------------- */

/* One pair of application/x-www-form-urlencoded (WHATWG URL section 5.1): moves *at behind it; the name and value are
 * decoded, clean UTF-8. false at the end, or without memory (a buffer has failed). */
bool form_next(const char **at, const char *end, struct buffer *name, struct buffer *value);

/* -- json.c -------------------------------------------------------------------------------------------------------- */

struct json_t;

/* A JSON object or array, RFC 8259, in whole, no member twice, at most 32 deep. For texts' sake bytes that are not UTF-8,
 * NULs and lone surrogates in strings become U+FFFD, and whole numbers of 19 digits and more become strings of the same
 * digits. The caller's (json_decref). NULL: it is broken; or, with errno ENOMEM, there is no memory to read it. */
struct json_t *json_read(const char *body, size_t size);
/* What a pointer points at, borrowed; NULL when there is nothing. */
const struct json_t *json_at(const struct json_t *document, const char *pointer);

/* -- fields.c ------------------------------------------------------------------------------------------------------ */

struct fields {
    enum body_format format;
    struct json_t *json;
    const char *form;      /* borrowed */
    size_t form_size;
    bool starved;          /* something could not be read for want of memory: it says nothing about the body */
};

enum field {
    FIELD_TEXT,     /* a string, or a number as its digits */
    FIELD_ABSENT,   /* missing or null */
    FIELD_TWICE,    /* a form's field that is there more than once */
    FIELD_OTHER,    /* true, false, an object, an array */
    FIELD_MEMORY
};

/* false: the body is broken, or `starved`. `body` must outlive the fields. */
bool fields_open(struct fields *f, enum body_format format, const char *body, size_t size);
void fields_close(struct fields *f);
/* *text: malloced, clean UTF-8 of *size bytes and a NUL, the caller's; NULL unless FIELD_TEXT. */
enum field field_take(struct fields *f, const char *name, char **text, size_t *size);
/* The media type without its parameters is JSON (application/json or …+json), or that of a form. NULL is neither. */
bool type_fits(const char *content_type, enum body_format format);

/* -- sent.c -------------------------------------------------------------------------------------------------------- */

/* When a text was sent, as the carrier says: RFC 3339, or seconds since 1970, or milliseconds when past 1e11. INSTANT_NONE
 * when it cannot be read, lies after `now`, or more than 48 hours before it. */
int64_t sent_read(const char *text, int64_t now);

#endif
