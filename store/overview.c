/* Overview: the table of patients, a page at a time, from a narrow table with an index for each order.
 *
 * The table is kept by triggers (schema) and, for the mean, by the writer; here it is only read. A page of a hundred
 * thousand patients is a few hundred steps in an index, its last page some milliseconds.
 */
#include <stdio.h>
#include <string.h>

#include "store/search.h"

/* Constants for each order, with and without a stage. */
#define ALL(order) "SELECT person FROM overview WHERE clinic = $1 ORDER BY " order " LIMIT $2 OFFSET $3"
#define STAGED(order) "SELECT person FROM overview WHERE clinic = $1 AND stage = $2 ORDER BY " order " LIMIT $3 OFFSET $4"

static const char *const all[] = {ALL("ref"), ALL("heard DESC, person DESC"), ALL("heard, person"),
                                  ALL("mean_sys DESC, person DESC")};
static const char *const staged[] = {STAGED("ref"), STAGED("heard DESC, person DESC"), STAGED("heard, person"),
                                     STAGED("mean_sys DESC, person DESC")};

/* U+10FFFF: after every word that begins so. */
static const char last[] = "\xF4\x8F\xBF\xBF";

static const char found_one[] =
    "SELECT o.person FROM (SELECT DISTINCT person FROM people_words WHERE clinic = $1 AND word >= $2 AND word < $3 LIMIT $4)"
    " AS w JOIN overview AS o ON o.person = w.person WHERE o.stage = $5 OR $5 = '' ORDER BY o.ref LIMIT $6 OFFSET $7";
/* The first word's people who have the second too. */
static const char found_two[] =
    "SELECT o.person FROM (SELECT DISTINCT a.person FROM people_words AS a WHERE a.clinic = $1 AND a.word >= $2"
    " AND a.word < $3 AND EXISTS (SELECT 1 FROM people_words AS b WHERE b.person = a.person AND b.word >= $4 AND b.word < $5)"
    " LIMIT $6) AS w JOIN overview AS o ON o.person = w.person WHERE o.stage = $7 OR $7 = '' ORDER BY o.ref"
    " LIMIT $8 OFFSET $9";

static int search(struct db *db, const struct people_query *q, int64_t *ids, size_t max, size_t *n)
{
    char words[2][SEARCH_WORD], ends[2][SEARCH_WORD + sizeof last];
    size_t n_words = search_words(q->search, words, 2);
    struct value values[9];
    size_t k = 0;
    *n = 0;
    if (!n_words)
        return 0;
    values[k++] = value_text(q->clinic);
    for (size_t i = 0; i < n_words; i++) {
        snprintf(ends[i], sizeof ends[i], "%.*s%s", SEARCH_WORD - 1, words[i], last);
        values[k++] = value_text(words[i]);
        values[k++] = value_text(ends[i]);
    }
    values[k++] = value_whole(SEARCH_MOST);
    values[k++] = value_text(q->stage);
    values[k++] = value_whole((int64_t)max);
    values[k++] = value_whole((int64_t)q->skip);
    return db_wholes(db, n_words == 1 ? found_one : found_two, values, k, (int64_t *const[]){ids}, 1, max, n);
}

int people_find(struct db *db, const struct people_query *q, int64_t *ids, size_t max, size_t *n)
{
    struct value values[4] = {value_text(q->clinic), value_text(q->stage), value_whole((int64_t)max),
                              value_whole((int64_t)q->skip)};
    if (q->search[0])
        return search(db, q, ids, max, n);
    if (q->stage[0])
        return db_wholes(db, staged[q->sort], values, 4, (int64_t *const[]){ids}, 1, max, n);
    values[1] = values[0];
    return db_wholes(db, all[q->sort], values + 1, 3, (int64_t *const[]){ids}, 1, max, n);
}

/* -- how many, and the mean -------------------------------------------------------------------------------------------------- */

struct stages {
    struct stage_count *at;
    size_t n;
};

static int stage_row(void *context, const struct value *columns, size_t n)
{
    struct stages *s = context;
    if (n != 2 || columns[0].kind != VALUE_TEXT)
        return STORE_CORRUPT;
    if (s->n == STAGES_MAX)
        return 0;
    snprintf(s->at[s->n].stage, STAGE_MAX, "%s", columns[0].text);
    s->at[s->n++].n = columns[1].whole;
    return 0;
}

int people_stages(struct db *db, const char *clinic, struct stage_count out[STAGES_MAX], size_t *n)
{
    struct stages s = {.at = out};
    struct value value = value_text(clinic);
    int error = db_load(db, &(struct query){"SELECT stage, n FROM stages WHERE clinic = $1 AND n > 0", &value, 1, stage_row, &s},
                        1);
    *n = s.n;
    return error;
}

int people_mean_set(struct db *db, int64_t person, int sys, int dia)
{
    struct value values[] = {value_whole(sys), value_whole(dia), value_whole(person)};
    return db_run(db, "UPDATE overview SET mean_sys = $1, mean_dia = $2 WHERE person = $3", values, COUNT(values));
}
