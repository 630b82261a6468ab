/* Binds structs to statements and reads rows back, by the columns of tables.h.
 *
 * What does not fit its member (a name that is unknown, a number too large, a text too long) is damage or another
 * program's work: STORE_CORRUPT, never cut or wrapped. A row of 50 columns is bound or read in under a microsecond.
 */
#include "store/row.h"

#include <assert.h>
#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define NAME(NAME_, text) text,
#define KIND_NAME(NAME_, name, must, to, role) name,
static const char *const person_states[] = {PERSON_STATES(NAME) NULL};
static const char *const week_states[] = {WEEK_STATES(NAME) NULL};
static const char *const standings[] = {STANDINGS(NAME) NULL};
static const char *const questions[] = {QUESTIONS(NAME) NULL};
static const char *const alert_levels[] = {ALERT_LEVELS(NAME) NULL};
static const char *const desk_kinds[] = {DESK_KINDS(NAME) NULL};
static const char *const channels[] = {CHANNELS(NAME) NULL};
static const char *const outgoing_states[] = {OUTGOING_STATES(NAME) NULL};
static const char *const text_kinds[] = {"", TEXT_KINDS(KIND_NAME) NULL};

static const char *const *const names[] = {person_states, week_states, standings,       questions, alert_levels,
                                           desk_kinds,    channels,    outgoing_states, text_kinds};

int name_value(enum column_kind kind, const char *name)
{
    const char *const *of = names[kind - COLUMN_NAMES];
    for (int i = 0; of[i]; i++)
        if (of[i][0] == name[0] && strcmp(of[i], name) == 0)
            return i;
    return -1;
}

const char *name_of(enum column_kind kind, int64_t value)
{
    const char *const *of = names[kind - COLUMN_NAMES];
    for (int64_t i = 0; of[i]; i++)
        if (i == value)
            return of[i];
    return NULL;
}

struct value value_text(const char *text)
{
    if (!text)
        return (struct value){.kind = VALUE_NULL};
    return (struct value){.kind = VALUE_TEXT, .size = (int)strlen(text), .text = text};
}

struct value value_blob(const void *bytes, size_t size)
{
    return (struct value){.kind = VALUE_BLOB, .size = (int)size, .blob = bytes};
}

struct value value_ref(int64_t id)
{
    const struct value null = {.kind = VALUE_NULL};
    return id == 0 ? null : value_whole(id);
}

/* -- whole numbers of any size ------------------------------------------------------------------------------------------ */

static int64_t whole_get(const struct column *c, const char *member)
{
    bool is_signed = c->kind == COLUMN_WHOLE || c->kind == COLUMN_DAY || c->kind == COLUMN_INSTANT || c->kind == COLUMN_REF;
    int64_t whole = 0;
    switch (c->size) {
    case 1:
        return is_signed ? *(const int8_t *)member : *(const uint8_t *)member;
    case 2:
        return is_signed ? *(const int16_t *)member : *(const uint16_t *)member;
    case 4:
        return is_signed ? *(const int32_t *)member : (int64_t) * (const uint32_t *)member;
    default:
        memcpy(&whole, member, sizeof whole);
        return whole;
    }
}

static int whole_set(const struct column *c, char *member, int64_t whole)
{
    uint64_t bits = (uint64_t)whole; /* little-endian or not: stored by the member's own type */
    switch (c->size) {
    case 1:
        *(uint8_t *)member = (uint8_t)bits;
        break;
    case 2:
        *(uint16_t *)member = (uint16_t)bits;
        break;
    case 4:
        *(uint32_t *)member = (uint32_t)bits;
        break;
    default:
        memcpy(member, &whole, sizeof whole);
    }
    return whole_get(c, member) == whole ? 0 : STORE_CORRUPT;
}

/* -- the readings of a question ------------------------------------------------------------------------------------------ */

static struct value readings_text(const struct question *q, char *text)
{
    size_t n = 0;
    text[0] = '\0';
    for (int i = 0; i < q->n_readings && i < QUESTION_READINGS; i++)
        n += (size_t)snprintf(text + n, READINGS_TEXT - n, i == 0 ? "%" PRId64 : ",%" PRId64, q->readings[i]);
    return (struct value){.kind = VALUE_TEXT, .size = (int)n, .text = text};
}

static int readings_read(const char *text, struct question *q)
{
    q->n_readings = 0;
    memset(q->readings, 0, sizeof q->readings);
    while (*text) {
        char *end;
        if (q->n_readings == QUESTION_READINGS)
            return STORE_CORRUPT;
        q->readings[q->n_readings++] = strtoll(text, &end, 10);
        if (end == text || (*end && *end != ','))
            return STORE_CORRUPT;
        text = *end ? end + 1 : end;
    }
    return 0;
}

/* -- binding ----------------------------------------------------------------------------------------------------------- */

static struct value bind_real(double real, bool absent)
{
    const struct value null = {.kind = VALUE_NULL}, there = {.kind = VALUE_REAL, .real = real};
    return absent ? null : there;
}

static struct value column_bind(const struct column *c, const char *member, char *text)
{
    const struct value null = {.kind = VALUE_NULL};
    double real = 0;
    if (c->kind == COLUMN_REAL || c->kind == COLUMN_LENGTH)
        memcpy(&real, member, sizeof real);
    switch (c->kind) {
    case COLUMN_WHOLE:
    case COLUMN_COUNT:
        return value_whole(whole_get(c, member));
    case COLUMN_REF:
        return value_ref(whole_get(c, member));
    case COLUMN_INSTANT:
        return whole_get(c, member) == INSTANT_NONE ? null : value_whole(whole_get(c, member));
    case COLUMN_DAY:
        return whole_get(c, member) == DAY_NONE ? null : value_whole(whole_get(c, member));
    case COLUMN_REAL:
        return bind_real(real, isnan(real));
    case COLUMN_LENGTH:
        return bind_real(real, real == 0 || isnan(real));
    case COLUMN_TEXT:
        return (struct value){.kind = VALUE_TEXT, .size = (int)strnlen(member, c->size - 1u), .text = member};
    case COLUMN_BODY:
        return value_text(*(const char *const *)member);
    case COLUMN_HASH:
        return value_blob(member, c->size);
    case COLUMN_READINGS:
        return readings_text((const struct question *)member, text);
    default: { /* an enumeration; a value without a name is bound as null, which the table refuses */
        return value_text(name_of(c->kind, whole_get(c, member)));
    }
    }
}

void row_bind(const struct column *columns, size_t n, const void *row, struct value *values, char *text)
{
    for (size_t i = 0; i < n; i++)
        values[i] = column_bind(&columns[i], (const char *)row + columns[i].at, text);
}

/* -- reading ------------------------------------------------------------------------------------------------------------ */

static int text_read(const struct column *c, const struct value *v, char *member)
{
    if (v->kind == VALUE_NULL) {
        member[0] = '\0';
        return 0;
    }
    if (v->kind != VALUE_TEXT || (size_t)v->size >= c->size)
        return STORE_CORRUPT;
    memcpy(member, v->text, (size_t)v->size);
    member[v->size] = '\0';
    return 0;
}

static int body_read(const struct value *v, char *member)
{
    char *body = NULL;
    if (v->kind == VALUE_TEXT && !(body = strndup(v->text, (size_t)v->size)))
        return STORE_MEMORY;
    memcpy(member, &body, sizeof body);
    return 0;
}

static int real_read(const struct column *c, const struct value *v, char *member)
{
    double real = c->kind == COLUMN_REAL ? NAN : 0;
    if (v->kind == VALUE_REAL)
        real = v->real;
    else if (v->kind == VALUE_WHOLE)
        real = (double)v->whole;
    memcpy(member, &real, sizeof real);
    return 0;
}

static int name_read(const struct column *c, const struct value *v, char *member)
{
    int value = v->kind == VALUE_TEXT ? name_value(c->kind, v->text) : 0;
    if (value < 0 && c->kind == COLUMN_TEXT_KIND)
        value = 0;
    return value < 0 ? STORE_CORRUPT : whole_set(c, member, value);
}

static int column_read(const struct column *c, const struct value *v, char *member)
{
    switch (c->kind) {
    case COLUMN_REAL:
    case COLUMN_LENGTH:
        return real_read(c, v, member);
    case COLUMN_TEXT:
        return text_read(c, v, member);
    case COLUMN_BODY:
        return body_read(v, member);
    case COLUMN_HASH:
        memset(member, 0, c->size);
        if (v->kind == VALUE_BLOB && v->size == c->size)
            memcpy(member, v->blob, c->size);
        return 0;
    case COLUMN_READINGS:
        return readings_read(v->kind == VALUE_TEXT ? v->text : "", (struct question *)member);
    case COLUMN_INSTANT:
        return whole_set(c, member, v->kind == VALUE_WHOLE ? v->whole : INSTANT_NONE);
    case COLUMN_DAY:
        return whole_set(c, member, v->kind == VALUE_WHOLE ? v->whole : DAY_NONE);
    case COLUMN_WHOLE:
    case COLUMN_COUNT:
    case COLUMN_REF:
        return whole_set(c, member, v->kind == VALUE_WHOLE ? v->whole : 0);
    default:
        return name_read(c, v, member);
    }
}

int row_read(const struct column *columns, size_t n, const struct value *values, void *row)
{
    for (size_t i = 0; i < n; i++) {
        int error = column_read(&columns[i], &values[i], (char *)row + columns[i].at);
        if (error)
            return error;
    }
    return 0;
}

int rows_add(void *context, const struct value *columns, size_t n)
{
    struct rows *rows = context;
    assert(n == rows->n_columns);
    if (rows->n == rows->cap) {
        size_t cap = rows->cap ? 2 * rows->cap : 8;
        void *at = realloc(rows->at, cap * rows->size);
        if (!at)
            return STORE_MEMORY;
        rows->at = at;
        rows->cap = cap;
    }
    void *row = (char *)rows->at + rows->n * rows->size;
    memset(row, 0, rows->size);
    rows->n++; /* counted before it is read: what a half-read row holds is freed with the rest */
    return row_read(rows->columns, n, columns, row);
}

int rows_load(struct db *db, const char *sql, const struct value *values, size_t n_values, struct rows *rows)
{
    int error = db_load(db, &(struct query){sql, values, n_values, rows_add, rows}, 1);
    if (error) {
        free(rows->at);
        rows->at = NULL;
        rows->n = rows->cap = 0;
    }
    return error;
}
