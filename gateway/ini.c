/* The INI file's form: sections, keys and comments, by inih behind a reader that knows which line it is on.
 *
 * inih alone cuts lines over 200 bytes silently, gives no line numbers, takes an indented line for the continuation of
 * the one above, lets whatever follows a section's bracket pass, and knows only `;` behind a value. So the reader hands it
 * lines that are already bare (comment and indentation taken off), at most 190 bytes as written, and keeps back, with a
 * word about it, each that inih would misread. What a key means is not known here.
 */
#include "gateway/ini.h"

#include <glib.h>
#include <ini.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct ini_reader {
    const char *at, *end;
    int line;
    bool failed;   /* out of memory */
    bool skipping; /* under a section's line that cannot be taken: its keys would only repeat that mistake */
    struct ini *out;
    ini_mistake *mistake;
    void *context;
};

static bool is_blank(char c)
{
    return c == ' ' || c == '\t' || c == '\r' || c == '\f' || c == '\v';
}

/* Takes off the comment, the blanks at both ends and the line's end; returns where what is left begins. */
static char *line_bare(char *line)
{
    for (char *c = line; *c; c++)
        if ((*c == ';' || *c == '#') && (c == line || is_blank(c[-1]))) {
            *c = '\0';
            break;
        }
    size_t n = strlen(line);
    while (n && is_blank(line[n - 1]))
        line[--n] = '\0';
    return line + strspn(line, " \t");
}

static const char *section_fault(const char *line)
{
    size_t n = strlen(line);
    if (line[n - 1] != ']' || memchr(line, ']', n - 1))
        return "a section is [name] alone on its line; put what follows the bracket on a line of its own";
    if (n - 2 >= INI_NAME_BYTES)
        return "a section's name is over 49 bytes; shorten it";
    if (strspn(line + 1, " \t") == n - 2)
        return "a section without a name; write for example [gateway]";
    return NULL;
}

static const char *key_fault(const char *line)
{
    size_t n = strcspn(line, "=:");
    if (line[n] != '=')
        return "neither a [section] nor KEY = VALUE; write one of them, or begin a comment with ;";
    if (n == 0)
        return "no key before the =; write KEY = VALUE";
    if (n >= INI_NAME_BYTES)
        return "a key is over 49 bytes; no key is that long";
    return NULL;
}

/* Why this line, `n` bytes as written, cannot be handed on; NULL when it can. */
static const char *line_fault(const char *line, size_t n, const char *bare)
{
    if (n > INI_LINE_BYTES)
        return "a line over 190 bytes; split a list over several lines, or use body_file for a long body";
    if (*bare == '\0')
        return NULL;
    for (const char *c = bare; *c; c++)
        if (((unsigned char)*c < ' ' && *c != '\t') || *c == 0x7f)
            return "a control character in the line; take it out";
    if (strlen(line) == 0 || !g_utf8_validate(bare, -1, NULL))
        return "not UTF-8; save the file as UTF-8";
    return *bare == '[' ? section_fault(bare) : key_fault(bare);
}

/* "[ clinic   maple ]" is "clinic maple". */
static void section_name(char name[INI_NAME_BYTES], const char *bare)
{
    size_t n = 0;
    for (const char *c = bare + 1; *c != ']'; c++) {
        if (!is_blank(*c))
            name[n++] = *c;
        else if (n && name[n - 1] != ' ')
            name[n++] = ' ';
    }
    name[n && name[n - 1] == ' ' ? n - 1 : n] = '\0';
}

static void section_add(struct ini_reader *r, const char *bare)
{
    struct ini *o = r->out;
    struct ini_section *more = realloc(o->sections, (size_t)(o->n_sections + 1) * sizeof *more);
    if (!more) {
        r->failed = true;
        return;
    }
    o->sections = more;
    more[o->n_sections].line = r->line;
    section_name(more[o->n_sections++].name, bare);
}

/* The next line as inih may have it: as fgets would give it, NULL at the end. */
static char *line_next(char *str, int size, void *context)
{
    struct ini_reader *r = context;
    char copy[INI_LINE_BYTES + 2];
    if (r->at >= r->end || r->failed)
        return NULL;
    const char *stop = memchr(r->at, '\n', (size_t)(r->end - r->at));
    size_t n = (size_t)((stop ? stop : r->end) - r->at);
    n -= n && r->at[n - 1] == '\r'; /* a line end of Windows is no part of the line */
    r->line++;
    snprintf(copy, sizeof copy, "%.*s", n > INI_LINE_BYTES ? INI_LINE_BYTES : (int)n, r->at);
    char *bare = line_bare(copy);
    const char *fault = memchr(r->at, '\0', n) ? "a NUL byte in the line; save the file as UTF-8 text"
                                               : line_fault(copy, n, bare);
    r->at = stop ? stop + 1 : r->end;
    if (*bare == '[')
        r->skipping = fault != NULL;
    if (fault)
        r->mistake(r->context, r->line, fault);
    else if (*bare == '[')
        section_add(r, bare);
    snprintf(str, (size_t)size, "%s\n", fault ? "" : bare);
    return str;
}

static int key_add(void *context, const char *section, const char *name, const char *value)
{
    struct ini_reader *r = context;
    struct ini *o = r->out;
    (void)section; /* the reader knows it, whole and with its line */
    if (r->skipping)
        return 1;
    struct ini_key *more = realloc(o->keys, (size_t)(o->n_keys + 1) * sizeof *more);
    if (more)
        o->keys = more;
    char *copy = strdup(value);
    if (!more || !copy) {
        free(copy);
        r->failed = true;
        return 0;
    }
    struct ini_key *k = &more[o->n_keys++];
    *k = (struct ini_key){.line = r->line, .section = o->n_sections - 1, .value = copy};
    snprintf(k->name, sizeof k->name, "%s", name);
    return 1;
}

int ini_read(struct ini *out, const char *bytes, size_t size, ini_mistake *mistake, void *context)
{
    static const char bom[] = "\xEF\xBB\xBF";
    struct ini_reader r = {
        .at = bytes, .end = bytes + size, .out = out, .mistake = mistake, .context = context};
    *out = (struct ini){0};
    if (size >= 3 && memcmp(bytes, bom, 3) == 0)
        r.at += 3;
    int result = ini_parse_stream(line_next, &r, key_add, &r);
    return r.failed || result == -2 ? -1 : 0;
}

void ini_clear(struct ini *ini)
{
    for (int i = 0; i < ini->n_keys; i++)
        free(ini->keys[i].value);
    free(ini->keys);
    free(ini->sections);
    *ini = (struct ini){0};
}

int ini_section(const struct ini *ini, const char *name)
{
    for (int i = 0; i < ini->n_sections; i++)
        if (strcmp(ini->sections[i].name, name) == 0)
            return i;
    return -1;
}

const struct ini_key *ini_key(const struct ini *ini, int section, const char *name)
{
    for (int i = 0; i < ini->n_keys; i++)
        if (ini->keys[i].section == section && strcmp(ini->keys[i].name, name) == 0)
            return &ini->keys[i];
    return NULL;
}
