/* RFC 4180: records by line ends (CRLF, or LF as most programs write), fields by commas, quoted fields with "" for a quote.
 *
 * Nothing is guessed: a stray quote is a fault with its row and column, not a character. Cells are cut out of one copy of
 * the file; at most 100,000 rows of 64 cells.
 */
#include "gateway/csv.h"

#include <glib.h>
#include <stdlib.h>
#include <string.h>

struct csv_reader {
    struct csv *out;
    struct csv_fault *fault;
    char *at, *end, *to; /* read from, write to: cells never grow */
    int row;
};

static int csv_stop(struct csv_reader *r, int column, const char *what)
{
    *r->fault = (struct csv_fault){.row = r->row, .column = column, .what = what};
    return -1;
}

/* Room for one more in an array that doubles at powers of two. */
static bool room_for(void **array, int n, size_t size)
{
    if (n & (n - 1))
        return true;
    void *more = realloc(*array, (size_t)(n ? 2 * n : 1) * size);
    if (more)
        *array = more;
    return more != NULL;
}

/* One quoted field, r->at behind the opening quote. */
static int quoted_read(struct csv_reader *r, int column)
{
    for (;;) {
        if (r->at >= r->end)
            return csv_stop(r, column, "a quoted field does not end; close it with \"");
        char c = *r->at++;
        if (c == '"') {
            if (r->at >= r->end || *r->at != '"')
                return 0;
            r->at++;
        }
        *r->to++ = c;
    }
}

static int plain_read(struct csv_reader *r, int column)
{
    while (r->at < r->end && *r->at != ',' && *r->at != '\n' &&
           !(*r->at == '\r' && (r->at + 1 >= r->end || r->at[1] == '\n'))) {
        if (*r->at == '"')
            return csv_stop(r, column,
                            "a quote inside a field that is not quoted; quote the whole field and double it");
        *r->to++ = *r->at++;
    }
    return 0;
}

/* One field; *last: it ends its record. */
static int field_read(struct csv_reader *r, int column, bool *last)
{
    char *begin = r->to;
    if (!room_for((void **)&r->out->cells, r->out->n_cells, sizeof *r->out->cells))
        return csv_stop(r, column, NULL);
    if (r->at < r->end && *r->at == '"') {
        r->at++;
        if (quoted_read(r, column) < 0)
            return -1;
    } else if (plain_read(r, column) < 0)
        return -1;
    bool comma = r->at < r->end && *r->at == ',';
    if (r->at < r->end && *r->at == '\r')
        r->at++;
    if (r->at < r->end && !comma && *r->at != '\n')
        return csv_stop(r, column, "something follows a closing quote; separate fields with a comma");
    if (r->at < r->end)
        r->at++;
    *r->to++ = '\0';
    r->out->cells[r->out->n_cells++] = begin;
    *last = !comma;
    return 0;
}

static int record_read(struct csv_reader *r)
{
    struct csv *o = r->out;
    struct csv_row row = {.number = ++r->row, .first = o->n_cells};
    bool last = false;
    for (int column = 1; !last; column++) {
        if (column > CSV_CELLS_MAX)
            return csv_stop(r, column, "more than 64 fields in a row; take some out");
        if (field_read(r, column, &last) < 0)
            return -1;
    }
    row.n = o->n_cells - row.first;
    if (row.n == 1 && !o->cells[row.first][0]) { /* an empty line */
        o->n_cells--;
        return 0;
    }
    if (o->n_rows == CSV_ROWS_MAX)
        return csv_stop(r, 1, "more than 100,000 rows; split the file");
    if (!room_for((void **)&o->rows, o->n_rows, sizeof *o->rows))
        return csv_stop(r, 1, NULL);
    o->rows[o->n_rows++] = row;
    return 0;
}

int csv_read(struct csv *out, const char *bytes, size_t size, struct csv_fault *fault)
{
    *out = (struct csv){0};
    struct csv_reader r = {.out = out, .fault = fault};
    size_t bom = size >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0;
    if (!g_utf8_validate_len(bytes, size, NULL)) /* refuses NUL too */
        return csv_stop(&r, 1, "the file is not UTF-8; save it as CSV UTF-8");
    out->text = malloc(2 * size + 2); /* a field of one byte takes two with its NUL */
    if (!out->text)
        return csv_stop(&r, 1, NULL);
    char *copy = out->text + size + 1;
    memcpy(copy, bytes, size);
    r.at = copy + bom;
    r.end = copy + size;
    r.to = out->text;
    while (r.at < r.end)
        if (record_read(&r) < 0)
            return -1;
    return 0;
}

void csv_clear(struct csv *csv)
{
    free(csv->text);
    free(csv->cells);
    free(csv->rows);
    *csv = (struct csv){0};
}

const char *csv_cell(const struct csv *csv, const struct csv_row *row, int column)
{
    return column < row->n ? csv->cells[row->first + column] : "";
}
