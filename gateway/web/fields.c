/* Fields: one way to ask for a named value, whichever of the two formats the carrier speaks.
 *
 * It must never take one value for another: a form's field that is there twice is told as such.
 */
#include "gateway/web/fields.h"

#include <errno.h>
#include <jansson.h>
#include <string.h>
#include <strings.h>

enum { FIELD_BYTES = 1024 * 1024 };

bool fields_open(struct fields *f, enum body_format format, const char *body, size_t size)
{
    *f = (struct fields){.format = format, .form = body ? body : "", .form_size = size};
    if (format == FORMAT_JSON && size) {
        f->json = json_read(body, size);
        f->starved = !f->json && errno == ENOMEM;
    }
    return format == FORMAT_FORM || f->json;
}

void fields_close(struct fields *f)
{
    json_decref(f->json);
    f->json = NULL;
}

static enum field text_take(struct buffer *b, char **text, size_t *size)
{
    *size = b->n;
    *text = buffer_take(b);
    return *text ? FIELD_TEXT : FIELD_MEMORY;
}

static enum field json_take(const json_t *value, char **text, size_t *size)
{
    struct buffer b;
    buffer_init(&b, FIELD_BYTES);
    if (!value || json_is_null(value))
        return FIELD_ABSENT;
    if (json_is_string(value))
        utf8_clean(&b, json_string_value(value), json_string_length(value)); /* an escaped NUL is still in it */
    else if (json_is_integer(value))
        buffer_print(&b, "%" JSON_INTEGER_FORMAT, json_integer_value(value));
    else if (json_is_real(value))
        buffer_print(&b, "%.17g", json_real_value(value));
    else
        return FIELD_OTHER;
    return text_take(&b, text, size);
}

static enum field form_take(const struct fields *f, const char *wanted, char **text, size_t *size)
{
    const char *at = f->form, *end = f->form + f->form_size;
    struct buffer name, value, found;
    int times = 0;
    bool failed = false;
    buffer_init(&found, FIELD_BYTES);
    buffer_init(&name, FIELD_BYTES);
    buffer_init(&value, FIELD_BYTES);
    while (form_next(&at, end, &name, &value)) {
        if (!strcmp(name.at ? name.at : "", wanted) && times++ == 0 && value.n)
            buffer_add(&found, value.at, value.n);
        buffer_clear(&name);
        buffer_clear(&value);
    }
    failed = name.failed || value.failed;
    buffer_clear(&name);
    buffer_clear(&value);
    if (times == 1 && !failed)
        return text_take(&found, text, size);
    buffer_clear(&found);
    return failed ? FIELD_MEMORY : times ? FIELD_TWICE : FIELD_ABSENT;
}

enum field field_take(struct fields *f, const char *name, char **text, size_t *size)
{
    *text = NULL;
    *size = 0;
    enum field what = f->format == FORMAT_JSON ? json_take(json_at(f->json, name), text, size)
                                               : form_take(f, name, text, size);
    f->starved = f->starved || what == FIELD_MEMORY;
    return what;
}

bool type_fits(const char *content_type, enum body_format format)
{
    if (!content_type)
        return false;
    size_t n = strcspn(content_type, "; \t");
    const char *rest = content_type + n + strspn(content_type + n, " \t");
    if (*rest && *rest != ';')
        return false;
    if (format == FORMAT_FORM)
        return n == 33 && !strncasecmp(content_type, "application/x-www-form-urlencoded", n);
    if (n == 16 && !strncasecmp(content_type, "application/json", n))
        return true;
    return n > 17 && !strncasecmp(content_type, "application/", 12) && !strncasecmp(content_type + n - 5, "+json", 5);
}
