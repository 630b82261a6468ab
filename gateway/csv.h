/* A table from an RFC 4180 file: rows of cells, all kept. UTF-8, a BOM allowed. */
#ifndef QUIETARM_CSV_H
#define QUIETARM_CSV_H

#include "gateway/base.h"

enum { CSV_ROWS_MAX = 100000, CSV_CELLS_MAX = 64, CSV_FILE_BYTES = 32 << 20 };

struct csv_row {
    int number;   /* of the record in the file, the first is 1; empty lines count and are left out */
    int first, n; /* its cells, in `cells` */
};

struct csv {
    char *text;          /* holds all cells */
    char **cells;
    struct csv_row *rows;
    int n_cells, n_rows;
};

/* Where and why a file is no table. */
struct csv_fault {
    int row, column;
    const char *what; /* static; NULL: out of memory */
};

/* 0, or -1 and told. The caller calls csv_clear in both cases. */
int csv_read(struct csv *out, const char *bytes, size_t size, struct csv_fault *fault);
void csv_clear(struct csv *csv);
const char *csv_cell(const struct csv *csv, const struct csv_row *row, int column); /* "" past its end */

#endif
