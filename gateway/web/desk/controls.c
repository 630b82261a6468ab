/* Controls: forms, one column, label above, hint below, error beside. Every form carries the token; every value is escaped.
 */
#include "gateway/web/desk/room.h"

#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

const char *form_value(const struct page *p, const char *field, char *value, size_t size)
{
    return ask_value(&p->ask.form, field, value, size);
}

const char *query_value(const struct page *p, const char *field, char *value, size_t size)
{
    return ask_value(&p->ask.query, field, value, size);
}

int64_t form_number(const struct page *p, const char *field, int64_t otherwise)
{
    char value[24];
    int64_t n;
    return whole_read(form_value(p, field, value, sizeof value), INT64_MIN + 1, INT64_MAX, &n) ? n : otherwise;
}

void query_add(struct page *p, const char *field, const char *value)
{
    static const char plain[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-._~";
    if (!value[0])
        return;
    raw(p, "&amp;");
    text(p, field);
    raw(p, "=");
    for (const char *c = value; *c; c++) {
        if (strchr(plain, *c))
            buffer_add(&p->out, c, 1);
        else
            buffer_print(&p->out, "%%%02X", (unsigned char)*c);
    }
}

static void address_write(struct page *p, const char *before, int64_t id, const char *after)
{
    text(p, before);
    if (id)
        number(p, id);
    text(p, after);
}

void link_to(struct page *p, const char *before, int64_t id, const char *after, const char *words)
{
    raw(p, "<a href=\"");
    address_write(p, before, id, after);
    raw(p, "\">");
    text(p, words);
    raw(p, "</a>");
}

void hidden(struct page *p, const char *field, const char *value)
{
    raw(p, "<input type=\"hidden\"");
    attribute(p, "name", field);
    attribute(p, "value", value);
    raw(p, ">\n");
}

void hidden_number(struct page *p, const char *field, int64_t value)
{
    char digits[24];
    snprintf(digits, sizeof digits, "%lld", (long long)value);
    hidden(p, field, digits);
}

/* A mark of this one form: sent twice by a double click, it is taken once. */
static void once_write(struct page *p)
{
    char mark[24];
    uint64_t random;
    randombytes_buf(&random, sizeof random);
    snprintf(mark, sizeof mark, "%016llx", (unsigned long long)random);
    hidden(p, "once", mark);
}

void form_begin(struct page *p, const char *before, int64_t id, const char *after)
{
    raw(p, "<form method=\"post\" action=\"");
    address_write(p, before, id, after);
    raw(p, "\">\n");
    hidden(p, "token", p->csrf);
    once_write(p);
}

void form_end(struct page *p, enum word button, const char *class_)
{
    raw(p, "<button");
    attribute(p, "class", class_);
    raw(p, ">");
    text(p, word(button));
    raw(p, "</button>\n</form>\n");
}

/* -- fields ------------------------------------------------------------------------------------------------------------------- */

/* Which texts describe the control: hint and error, by their ids. */
static void described(struct page *p, const struct control *f, const char *id)
{
    if (!f->hint && !f->error)
        return;
    raw(p, " aria-describedby=\"");
    if (f->hint) {
        text(p, id);
        raw(p, "-hint");
    }
    if (f->error) {
        if (f->hint)
            raw(p, " ");
        text(p, id);
        raw(p, "-error");
    }
    raw(p, "\"");
    if (f->error)
        raw(p, " aria-invalid=\"true\"");
}

static void notes_write(struct page *p, const struct control *f, const char *id)
{
    if (f->hint) {
        raw(p, "<span class=\"hint\" id=\"");
        text(p, id);
        raw(p, "-hint\">");
        text(p, word(f->hint));
        raw(p, "</span>\n");
    }
    if (f->error) {
        raw(p, "<span class=\"error\" id=\"");
        text(p, id);
        raw(p, "-error\">");
        text(p, f->error);
        raw(p, "</span>\n");
    }
}

static void common(struct page *p, const struct control *f, const char *id)
{
    attribute(p, "name", f->name);
    attribute(p, "id", id);
    if (f->autocomplete)
        attribute(p, "autocomplete", f->autocomplete);
    if (f->needed)
        raw(p, " required");
    described(p, f, id);
}

void field_write(struct page *p, const struct control *f)
{
    char sent[2048];
    const char *id = f->id ? f->id : f->name;
    const char *value = f->value ? f->value : form_value(p, f->name, sent, sizeof sent);
    raw(p, "<div class=\"field\">\n<label");
    attribute(p, "for", id);
    raw(p, ">");
    text(p, word(f->label));
    if (!f->needed)
        say(p, IF_KNOWN);
    raw(p, "</label>\n");
    if (f->rows) {
        raw(p, "<textarea rows=\"");
        number(p, f->rows);
        raw(p, "\"");
        common(p, f, id);
        raw(p, ">\n");
        text(p, value);
        raw(p, "</textarea>\n");
    } else {
        raw(p, "<input");
        bool figures = f->type && strcmp(f->type, "number") == 0; /* a text with a keyboard of digits: no wheel, no arrows */
        attribute(p, "type", f->type && !figures ? f->type : "text");
        if (figures)
            raw(p, " inputmode=\"numeric\"");
        common(p, f, id);
        if (f->size) {
            raw(p, " size=\"");
            number(p, f->size);
            raw(p, "\"");
        }
        attribute(p, "value", value);
        raw(p, ">\n");
    }
    notes_write(p, f, id);
    raw(p, "</div>\n");
}

void choices_write(struct page *p, const char *field, enum word label, const struct choice *list, size_t n,
                   const char *chosen)
{
    char sent[80];
    if (!chosen)
        chosen = form_value(p, field, sent, sizeof sent);
    raw(p, "<div class=\"field\">\n<label");
    attribute(p, "for", field);
    raw(p, ">");
    text(p, word(label));
    raw(p, "</label>\n<select");
    attribute(p, "name", field);
    attribute(p, "id", field);
    raw(p, ">\n");
    for (size_t i = 0; i < n; i++) {
        raw(p, "<option");
        attribute(p, "value", list[i].value);
        if (strcmp(list[i].value, chosen) == 0)
            raw(p, " selected");
        raw(p, ">");
        text(p, list[i].label ? word(list[i].label) : list[i].value);
        raw(p, "</option>\n");
    }
    raw(p, "</select>\n</div>\n");
}
