/* Rows and structs: a table's columns described once (tables.h), bound and read by that description.
 *
 * Absence is NULL in the database: an INSTANT_NONE, a DAY_NONE, a NAN, a reference or length of 0.
 */
#ifndef QUIETARM_ROW_H
#define QUIETARM_ROW_H

#include "store/driver.h"

enum column_kind {
    COLUMN_WHOLE,    /* signed, of the member's size */
    COLUMN_COUNT,    /* unsigned, likewise; bool, bits */
    COLUMN_REF,      /* int64_t id, 0 is NULL */
    COLUMN_INSTANT,  /* int64_t, INSTANT_NONE is NULL */
    COLUMN_DAY,      /* int32_t, DAY_NONE is NULL */
    COLUMN_REAL,     /* double, NAN is NULL */
    COLUMN_LENGTH,   /* double, 0 is NULL */
    COLUMN_TEXT,     /* char array */
    COLUMN_BODY,     /* char *: borrowed when bound, malloced when read */
    COLUMN_HASH,     /* byte array of fixed size */
    COLUMN_READINGS, /* the ids of a struct question, as "12,13"; "" none */
    /* enumerations, stored by name so that a program with more of them reads the same rows */
    COLUMN_NAMES,
    COLUMN_PERSON_STATE = COLUMN_NAMES,
    COLUMN_WEEK_STATE,
    COLUMN_STANDING,
    COLUMN_QUESTION,
    COLUMN_ALERT_LEVEL,
    COLUMN_DESK_KIND,
    COLUMN_CHANNEL,
    COLUMN_OUTGOING_STATE,
    COLUMN_TEXT_KIND /* 0 when a later program knows the name no more */
};

struct column {
    uint8_t kind;
    uint16_t at, size; /* of the member in its struct */
};

/* Room for the text of COLUMN_READINGS while it is bound. */
enum { READINGS_TEXT = 16 * 21 };

/* One value a column, borrowing from `row` and, for COLUMN_READINGS, from `text` (at least READINGS_TEXT; may be NULL
 * where there is no such column). */
void row_bind(const struct column *columns, size_t n, const void *row, struct value *values, char *text);
/* STORE_CORRUPT when a value does not fit its member. */
int row_read(const struct column *columns, size_t n, const struct value *values, void *row);
/* STANDING_VOID of "void"; -1 unknown. */
int name_value(enum column_kind kind, const char *name);
const char *name_of(enum column_kind kind, int64_t value); /* NULL past the end */

/* A growing array of rows, as the context of rows_add. */
struct rows {
    const struct column *columns;
    size_t n_columns;
    size_t size; /* of a struct */
    void *at;
    size_t n, cap;
};
row_function rows_add;
/* One query's rows as a malloced array (NULL when there are none); nothing is left on an error. Rows with a COLUMN_BODY are
 * not for this: see texts.c. */
int rows_load(struct db *db, const char *sql, const struct value *values, size_t n_values, struct rows *rows);

#endif
