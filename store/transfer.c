/* Copies one database into another, a page of a table in each transaction, and proves that nothing is missing.
 *
 * What is copied is values, never structs: so it needs no more than the two drivers. A table is taken up behind the greatest
 * key that has arrived, so that a copy that was cut off goes on. At the end both are read whole: the count and the digest
 * (BLAKE2b) of every table must be the same. Triggers count while it copies; what they cannot know (figures of months long
 * gone, means) is replaced by what the source has. Some 20,000 rows a second.
 */
#include "store/transfer.h"

#include <glib.h>
#include <inttypes.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "store/row.h"

enum { PAGE_ROWS = 500, COLUMNS_MOST = 48, DIGEST = 32 };

/* -- one page, kept ------------------------------------------------------------------------------------------------------- */

struct page {
    struct db *db; /* of the source */
    size_t columns, rows;
    struct value *values;  /* rows × columns, their bytes owned */
};

static void page_clear(struct page *p)
{
    for (size_t i = 0; i < p->rows * p->columns; i++)
        if (p->values[i].kind == VALUE_TEXT || p->values[i].kind == VALUE_BLOB)
            free((void *)(uintptr_t)p->values[i].blob);
    p->rows = 0;
}

/* As a store that takes valid UTF-8 only would keep it: see text_valid of postgres_wire.c. */
static void text_settle(char *text, size_t size)
{
    const char *end, *at = text;
    while (!g_utf8_validate_len(at, (gsize)(text + size - at), &end)) {
        text[end - text] = '?';
        at = end + 1;
    }
}

static int value_keep(struct value *v)
{
    if (v->kind != VALUE_TEXT && v->kind != VALUE_BLOB)
        return 0;
    char *copy = malloc((size_t)v->size + 1);
    if (!copy) {
        v->kind = VALUE_NULL;
        return STORE_MEMORY;
    }
    if (v->size)
        memcpy(copy, v->blob, (size_t)v->size);
    copy[v->size] = '\0';
    if (v->kind == VALUE_TEXT)
        text_settle(copy, (size_t)v->size);
    v->blob = copy;
    return 0;
}

static int page_row(void *context, const struct value *columns, size_t n)
{
    struct page *p = context;
    int error = 0;
    if (n != p->columns || p->rows == PAGE_ROWS)
        return STORE_CORRUPT;
    struct value *row = &p->values[p->rows++ * p->columns];
    memcpy(row, columns, n * sizeof *row);
    for (size_t i = 0; i < n; i++) {
        int bad = value_keep(&row[i]);
        error = error ? error : bad;
    }
    return error;
}

/* The rows behind the key; NULL: from the start. */
static int page_load(struct page *p, const struct transfer_table *t, const struct value *behind)
{
    struct value values[TRANSFER_KEYS + 1];
    size_t n = 0;
    for (; behind && n < t->keys; n++)
        values[n] = behind[n];
    values[n++] = value_whole(PAGE_ROWS);
    p->columns = t->columns;
    p->rows = 0;
    return db_load(p->db, &(struct query){behind ? t->next : t->first, values, n, page_row, p}, 1);
}

/* The key of its last row. */
static void page_key(const struct page *p, const struct transfer_table *t, struct value key[TRANSFER_KEYS])
{
    for (size_t i = 0; i < t->keys; i++)
        key[i] = p->values[(p->rows - 1) * p->columns + t->key_at[i]];
}

/* -- copying ---------------------------------------------------------------------------------------------------------------- */

static int page_put(struct db *to, const struct transfer_table *t, const struct page *p)
{
    int error = db_begin(to);
    if (error)
        return error;
    for (size_t row = 0; row < p->rows && !error; row++)
        error = db_run(to, t->put, &p->values[row * p->columns], p->columns);
    if (!error)
        return db_commit(to);
    db_rollback(to);
    return error;
}

/* What has arrived: its greatest key is kept in `last`. */
static int arrived(struct db *to, const struct transfer_table *t, struct page *last)
{
    last->columns = t->keys;
    last->rows = 0;
    if (t->clear)
        return db_run(to, t->clear, NULL, 0);
    return db_load(to, &(struct query){t->last, NULL, 0, page_row, last}, 1);
}

static int table_copy(struct db *to, const struct transfer_table *t, struct page pages[2], int64_t *rows)
{
    int at = 0, error = arrived(to, t, &pages[1]);
    const struct value *behind = pages[1].rows ? pages[1].values : NULL;
    struct value key[TRANSFER_KEYS];
    *rows = 0;
    while (!error) {
        error = page_load(&pages[at], t, behind);
        page_clear(&pages[!at]); /* the key before was in it */
        if (error || !pages[at].rows)
            break;
        error = page_put(to, t, &pages[at]);
        *rows += (int64_t)pages[at].rows;
        page_key(&pages[at], t, key);
        behind = key;
        at = !at;
    }
    page_clear(&pages[0]);
    page_clear(&pages[1]);
    return error;
}

/* -- comparing -------------------------------------------------------------------------------------------------------------- */

static void digest_value(crypto_generichash_state *state, const struct value *v)
{
    int64_t head[2] = {v->kind, 0};
    const void *bytes = &v->whole;
    size_t size = sizeof v->whole;
    if (v->kind == VALUE_TEXT || v->kind == VALUE_BLOB) {
        bytes = v->blob;
        size = (size_t)v->size;
        head[1] = v->size;
    } else if (v->kind == VALUE_NULL) {
        size = 0;
    }
    crypto_generichash_update(state, (const unsigned char *)head, sizeof head);
    crypto_generichash_update(state, bytes, size);
}

static int table_digest(struct db *db, const struct transfer_table *t, struct page pages[2], int64_t *rows,
                        unsigned char digest[DIGEST])
{
    crypto_generichash_state state;
    struct value key[TRANSFER_KEYS];
    int at = 0, error = 0;
    bool more = true;
    *rows = 0;
    crypto_generichash_init(&state, NULL, 0, DIGEST);
    while (more && !error) {
        pages[at].db = db;
        error = page_load(&pages[at], t, *rows ? key : NULL);
        page_clear(&pages[!at]);
        more = !error && pages[at].rows;
        for (size_t i = 0; more && i < pages[at].rows * t->columns; i++)
            digest_value(&state, &pages[at].values[i]);
        *rows += more ? (int64_t)pages[at].rows : 0;
        if (more)
            page_key(&pages[at], t, key);
        at = !at;
    }
    page_clear(&pages[0]);
    page_clear(&pages[1]);
    crypto_generichash_final(&state, digest, DIGEST);
    return error;
}

static int table_compare(struct db *from, struct db *to, const struct transfer_table *t, struct page pages[2], char *why,
                         size_t why_size, struct db **failed)
{
    unsigned char digests[2][DIGEST];
    int64_t rows[2];
    *failed = from;
    int error = table_digest(from, t, pages, &rows[0], digests[0]);
    if (!error) {
        *failed = to;
        error = table_digest(to, t, pages, &rows[1], digests[1]);
    }
    if (error || (rows[0] == rows[1] && memcmp(digests[0], digests[1], DIGEST) == 0))
        return error;
    snprintf(why, why_size, "%s: %" PRId64 " rows here and %" PRId64 " there%s; empty the target and begin anew", t->of, rows[0],
             rows[1], rows[0] == rows[1] ? ", not the same ones" : "");
    return STORE_CORRUPT;
}

/* -- all of it -------------------------------------------------------------------------------------------------------------- */

int transfer_all(struct db *from, struct db *to, void (*told)(void *context, const char *of, int64_t rows), void *context,
                 char *why, size_t why_size)
{
    struct page pages[2] = {{.db = from}, {.db = from}};
    struct db *failed = to;
    int error = 0;
    for (int i = 0; i < 2 && !error; i++)
        if (!(pages[i].values = calloc(PAGE_ROWS * COLUMNS_MOST, sizeof *pages[i].values)))
            error = db_fail(to, STORE_MEMORY, "out of memory");
    why[0] = '\0';
    for (const struct transfer_table *t = transfer_tables; t->of && !error; t++) {
        int64_t rows;
        error = table_copy(to, t, pages, &rows);
        failed = error && db_why(to)[0] ? to : from;
        if (!error && told)
            told(context, t->of, rows);
    }
    for (const struct transfer_table *t = transfer_tables; t->of && !error; t++) {
        pages[0].db = pages[1].db = from;
        error = table_compare(from, to, t, pages, why, why_size, &failed);
    }
    if (error && !why[0])
        snprintf(why, why_size, "%s", db_why(failed)[0] ? db_why(failed) : store_error_name(error));
    free(pages[0].values);
    free(pages[1].values);
    return error;
}
