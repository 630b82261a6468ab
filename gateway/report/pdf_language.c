/* The language of a PDF: cairo 1.16 has no call for it, and a reader of screens needs it.
 *
 * An incremental update (ISO 32000-1:2008, 7.5.6) repeats the catalogue with /Lang and says where the former table of
 * objects is. Nothing of what cairo wrote is changed; a form that is not its own is refused. 200 bytes more.
 */
#include "gateway/report/sheet.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { CATALOGUE_MAX = 600 };

/* The last place of `word` in the file; NULL. */
static const char *last(const struct buffer *pdf, const char *word)
{
    size_t size = strlen(word);
    for (size_t i = pdf->n >= size ? pdf->n - size + 1 : 0; i-- > 0;)
        if (memcmp(pdf->at + i, word, size) == 0)
            return pdf->at + i;
    return NULL;
}

static bool number_behind(const char *at, const char *word, long *number)
{
    char *end = NULL;
    const char *found = at ? strstr(at, word) : NULL;
    if (!found)
        return false;
    *number = strtol(found + strlen(word), &end, 10);
    return end != found + strlen(word) && *number > 0;
}

/* What stands between "N 0 obj\n<< " and " >>" of the catalogue. */
static bool catalogue_find(const struct buffer *pdf, long object, char inside[CATALOGUE_MAX])
{
    char head[40];
    int n = snprintf(head, sizeof head, "\n%ld 0 obj\n<<", object);
    const char *at = last(pdf, head), *end = at ? strstr(at, "endobj") : NULL;
    if (!end || end - at - n >= CATALOGUE_MAX)
        return false;
    memcpy(inside, at + n, (size_t)(end - at - n));
    inside[end - at - n] = '\0';
    char *close = NULL;
    for (char *s = inside; (s = strstr(s, ">>")) != NULL; s += 2)
        close = s;
    if (close)
        *close = '\0';
    return close && strstr(inside, "/Catalog");
}

bool pdf_language(struct buffer *pdf, const char *language)
{
    char inside[CATALOGUE_MAX];
    long root, size, info, table;
    const char *trailer = last(pdf, "trailer"), *start = last(pdf, "startxref");
    if (pdf->failed || !number_behind(trailer, "/Root ", &root) || !number_behind(trailer, "/Size ", &size) ||
        !number_behind(trailer, "/Info ", &info) || !number_behind(start, "startxref", &table) ||
        !catalogue_find(pdf, root, inside))
        return false;
    size_t object = pdf->n;
    buffer_print(pdf, "%ld 0 obj\n<<%s   /Lang (%s)\n   /MarkInfo << /Marked true >>\n   /ViewerPreferences << /DisplayDocTitle true >>\n>>\nendobj\n", root, inside,
                 language);
    size_t xref = pdf->n;
    buffer_print(pdf, "xref\n%ld 1\n%010zu 00000 n \ntrailer\n<< /Size %ld\n   /Root %ld 0 R\n   /Info %ld 0 R\n   /Prev %ld\n>>\n",
                 root, object, size, root, info, table);
    buffer_print(pdf, "startxref\n%zu\n%%%%EOF\n", xref);
    return !pdf->failed;
}
