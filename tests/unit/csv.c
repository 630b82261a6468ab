/* Tables by RFC 4180 (its section 2, the rules by their numbers), and what is no table. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <cmocka.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/csv.h"

/* Cells in brackets, a row a line with its number: "1[a][b]\n". */
static void shown(const struct csv *csv, char *out, size_t size)
{
    size_t n = 0;
    out[0] = '\0';
    for (int i = 0; i < csv->n_rows; i++) {
        const struct csv_row *row = &csv->rows[i];
        n += (size_t)snprintf(out + n, size - n, "%d", row->number);
        for (int k = 0; k < row->n; k++)
            n += (size_t)snprintf(out + n, size - n, "[%s]", csv_cell(csv, row, k));
        n += (size_t)snprintf(out + n, size - n, "\n");
    }
}

static void a_table_is_read_as_the_rfc_says(void **state)
{
    static const struct {
        const char *why, *text, *shown;
    } rows[] = {
        {"rule 1: records by CRLF", "aaa,bbb\r\nzzz,yyy\r\n", "1[aaa][bbb]\n2[zzz][yyy]\n"},
        {"rule 2: the last may have no line end", "aaa,bbb\r\nzzz,yyy", "1[aaa][bbb]\n2[zzz][yyy]\n"},
        {"rule 4: blanks are part of a field", " a , b ", "1[ a ][ b ]\n"},
        {"rule 5: quoted fields", "\"aaa\",\"bbb\"\r\nzzz,yyy", "1[aaa][bbb]\n2[zzz][yyy]\n"},
        {"rule 6: line ends and commas in quotes", "\"a\r\nb\",\"c,d\"\r\ne,f", "1[a\r\nb][c,d]\n2[e][f]\n"},
        {"rule 7: a doubled quote", "\"a\"\"b\",c", "1[a\"b][c]\n"},
        {"a BOM is no part of the first field",
         "\xEF\xBB\xBF"
         "ref,phone",
         "1[ref][phone]\n"},
        {"LF alone, as most programs write", "a,b\nc,d\n", "1[a][b]\n2[c][d]\n"},
        {"a CR inside a field stays", "a\rb,c", "1[a\rb][c]\n"},
        {"empty fields", ",,\r\n\"\",", "1[][][]\n2[][]\n"},
        {"empty lines count and are left out", "a\n\n\nb\n", "1[a]\n4[b]\n"},
        {"rows of different length are told by whoever knows", "a,b\nc", "1[a][b]\n2[c]\n"},
        {"UTF-8", "Zo\xC3\xAB,\xE2\x80\x99", "1[Zo\xC3\xAB][\xE2\x80\x99]\n"},
        {"many one-byte fields: a cell and its NUL need room", "a,b,c,d,e,f,g,h,i,j",
         "1[a][b][c][d][e][f][g][h][i][j]\n"},
        {"nothing", "", ""},
        {"only a BOM", "\xEF\xBB\xBF", ""},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct csv csv;
        struct csv_fault fault = {0};
        char out[400];
        int error = csv_read(&csv, rows[i].text, strlen(rows[i].text), &fault);
        if (error)
            fail_msg("%s: %d:%d: %s", rows[i].why, fault.row, fault.column, fault.what);
        shown(&csv, out, sizeof out);
        if (strcmp(out, rows[i].shown) != 0)
            fail_msg("%s: %s", rows[i].why, out);
        csv_clear(&csv);
    }
}

static void what_is_no_table_is_told_by_row_and_column(void **state)
{
    static const struct {
        const char *text;
        size_t size; /* 0: its length */
        int row, column;
        const char *what;
    } rows[] = {
        {"a,b\nc,\"d", 0, 2, 2, "a quoted field does not end; close it with \""},
        {"a,b\"c", 0, 1, 2, "a quote inside a field that is not quoted; quote the whole field and double it"},
        {"a,\"b\"c,d", 0, 1, 2, "something follows a closing quote; separate fields with a comma"},
        {"a,caf\xE9", 0, 0, 1, "the file is not UTF-8; save it as CSV UTF-8"},
        {"a,b\0c", 5, 0, 1, "the file is not UTF-8; save it as CSV UTF-8"},
        {"\xFF\xFEr\0e\0f\0", 8, 0, 1,
         "the file is not UTF-8; save it as CSV UTF-8"}, /* UTF-16 of a spreadsheet */
        {",,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,", 0, 1, 65,
         "more than 64 fields in a row; take some out"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct csv csv;
        struct csv_fault fault = {0};
        size_t size = rows[i].size ? rows[i].size : strlen(rows[i].text);
        assert_int_equal(csv_read(&csv, rows[i].text, size, &fault), -1);
        csv_clear(&csv);
        if (fault.row != rows[i].row || fault.column != rows[i].column ||
            strcmp(fault.what, rows[i].what) != 0)
            fail_msg("row %zu: %d:%d: %s", i, fault.row, fault.column, fault.what);
    }
}

static void a_cell_past_the_end_of_its_row_is_empty(void **state)
{
    (void)state;
    struct csv csv;
    struct csv_fault fault;
    assert_int_equal(csv_read(&csv, "a,b\nc", 5, &fault), 0);
    assert_string_equal(csv_cell(&csv, &csv.rows[1], 1), "");
    csv_clear(&csv);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_table_is_read_as_the_rfc_says),
        cmocka_unit_test(what_is_no_table_is_told_by_row_and_column),
        cmocka_unit_test(a_cell_past_the_end_of_its_row_is_empty),
    };
    return cmocka_run_group_tests_name("csv", tests, NULL, NULL);
}
