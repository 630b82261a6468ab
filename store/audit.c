/* Who did what to whom, chained: hash = BLAKE2b-256(the hash before, then seq, at, person, clinic, who, action, detail).
 *
 * Numbers go in as 8 bytes, least first, texts with their length before them; the hash before the first row is 32 zero
 * bytes. Tables refuse to change or delete a row; the chain shows when someone did so regardless. It names persons by number
 * only.
 *
 * A gateway that is alone has one chain, 0, its rows numbered 1, 2, 3 …; where there are several, each has a chain for each
 * day of UTC (gateway << 20 | day), whose first row goes on from the head of that gateway's chain before, and numbers that
 * grow with time and are never two gateways' (seconds << 20 | count << 8 | gateway). meta "audit_head" (or "audit_head:"
 * and the chain) is the number of a chain's last row, so that rows cut off the end are missed.
 */
#include "store/audit.h"

#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct audit_row {
    int64_t seq, at, person;
    const char *clinic, *who, *action, *detail;
};

static void hash_whole(crypto_generichash_state *state, int64_t whole)
{
    unsigned char bytes[8];
    for (int i = 0; i < 8; i++)
        bytes[i] = (unsigned char)((uint64_t)whole >> (8 * i));
    crypto_generichash_update(state, bytes, sizeof bytes);
}

static void hash_text(crypto_generichash_state *state, const char *text)
{
    hash_whole(state, (int64_t)strlen(text));
    crypto_generichash_update(state, (const unsigned char *)text, strlen(text));
}

/* `hash` is that of the row before, and then of this one. */
static void audit_hash(const struct audit_row *row, unsigned char hash[AUDIT_HASH])
{
    crypto_generichash_state state;
    crypto_generichash_init(&state, NULL, 0, AUDIT_HASH);
    crypto_generichash_update(&state, hash, AUDIT_HASH);
    hash_whole(&state, row->seq);
    hash_whole(&state, row->at);
    hash_whole(&state, row->person);
    hash_text(&state, row->clinic);
    hash_text(&state, row->who);
    hash_text(&state, row->action);
    hash_text(&state, row->detail);
    crypto_generichash_final(&state, hash, AUDIT_HASH);
}

/* -- adding -------------------------------------------------------------------------------------------------------------- */

enum { DAY_SECONDS = 86400, CHAIN_DAYS = 20, SEQ_GATEWAYS = 8, SEQ_SECOND = 20, HEAD_KEY = 40, PAGE_ROWS = 2000 };

struct audit_head {
    int64_t seq;
    unsigned char hash[AUDIT_HASH];
};

/* The first chain of this gateway, and the one of today. */
static int64_t chain_first(const struct db *db)
{
    return db->gateway << CHAIN_DAYS;
}

static int64_t chain_today(const struct db *db)
{
    return db->gateway ? chain_first(db) + (db->now > 0 ? db->now / DAY_SECONDS : 0) : 0;
}

static int64_t seq_next(const struct db *db, int64_t before)
{
    if (!db->gateway)
        return before + 1;
    int64_t fresh = (db->now << SEQ_SECOND) + db->gateway, next = before + (1 << SEQ_GATEWAYS);
    return fresh > next ? fresh : next;
}

static void head_key(int64_t chain, char key[HEAD_KEY])
{
    if (chain)
        snprintf(key, HEAD_KEY, "audit_head:%lld", (long long)chain);
    else
        snprintf(key, HEAD_KEY, "audit_head");
}

static int head_row(void *context, const struct value *columns, size_t n)
{
    struct audit_head *head = context;
    (void)n;
    if (columns[1].kind != VALUE_BLOB || columns[1].size != AUDIT_HASH)
        return STORE_CORRUPT;
    head->seq = columns[0].whole;
    memcpy(head->hash, columns[1].blob, AUDIT_HASH);
    return 0;
}

static int row_put(struct db *db, const struct audit_row *row, int64_t chain, struct audit_head *head)
{
    static const char put[] = "INSERT INTO audit (seq, at, person, clinic, who, action, detail, hash, chain)"
                              " VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)";
    audit_hash(row, head->hash);
    head->seq = row->seq;
    struct value values[] = {value_whole(row->seq),   value_whole(row->at), value_ref(row->person),
                             value_text(row->clinic), value_text(row->who), value_text(row->action),
                             value_text(row->detail), value_blob(head->hash, AUDIT_HASH), value_whole(chain)};
    return db_run(db, put, values, COUNT(values));
}

/* The last row of this gateway, of today or of the last day that has one. */
static int head_get(struct db *db, struct audit_head *head)
{
    static const char last[] = "SELECT seq, hash FROM audit WHERE chain >= $1 AND chain <= $2"
                               " ORDER BY chain DESC, seq DESC LIMIT 1";
    struct value values[] = {value_whole(chain_first(db)), value_whole(chain_today(db))};
    *head = (struct audit_head){0};
    return db_load(db, &(struct query){last, values, COUNT(values), head_row, head}, 1);
}

int audit_add(struct db *db, const struct effects *e)
{
    struct audit_head head = {0};
    char key[HEAD_KEY];
    int64_t chain = chain_today(db);
    head_key(chain_first(db), key);
    int error = names_hold(db, (const char *const[]){key}, 1); /* a command may write to this gateway's chain too */
    if (!error)
        error = head_get(db, &head);
    for (size_t i = 0; i < e->n && !error; i++) {
        const struct effect *x = &e->at[i];
        if (x->kind != EFFECT_AUDIT)
            continue;
        error = row_put(db,
                        &(struct audit_row){seq_next(db, head.seq), db->now, x->audit.person, x->audit.clinic, x->audit.who,
                                            x->audit.action, x->audit.detail},
                        chain, &head);
    }
    head_key(chain, key);
    return error ? error : meta_set(db, key, head.seq);
}

int audit_one(struct db *db, int64_t person, const char *clinic, const char *who, const char *action, const char *detail)
{
    struct effect e = {.kind = EFFECT_AUDIT};
    e.audit.person = person;
    snprintf(e.audit.clinic, sizeof e.audit.clinic, "%s", clinic);
    snprintf(e.audit.who, sizeof e.audit.who, "%s", who);
    snprintf(e.audit.action, sizeof e.audit.action, "%s", action);
    snprintf(e.audit.detail, sizeof e.audit.detail, "%s", detail);
    return audit_add(db, &(struct effects){.at = &e, .n = 1, .cap = 1});
}

/* -- checking --------------------------------------------------------------------------------------------------------- */

struct audit_walk {
    struct audit_head head;
    int64_t chain, wrong;
    size_t rows;
    struct chain_end {
        int64_t chain, seq;
    } *ends;               /* of each chain, as it was found */
    size_t n_ends;
};

static int walk_end(struct audit_walk *walk)
{
    if (walk->n_ends % 64 == 0) {
        struct chain_end *more = realloc(walk->ends, (walk->n_ends + 64) * sizeof *more);
        if (!more)
            return STORE_MEMORY;
        walk->ends = more;
    }
    walk->ends[walk->n_ends++] = (struct chain_end){walk->chain, walk->head.seq};
    return 0;
}

/* A day's chain goes on from the same gateway's chain before; another gateway's begins anew. */
static int walk_chain(struct audit_walk *walk, int64_t chain)
{
    int error = walk->head.seq ? walk_end(walk) : 0;
    if (chain >> CHAIN_DAYS != walk->chain >> CHAIN_DAYS)
        walk->head = (struct audit_head){0};
    walk->chain = chain;
    return error;
}

static int walk_row(void *context, const struct value *columns, size_t n)
{
    struct audit_walk *walk = context;
    (void)n;
    for (int i = 3; i < 7; i++)
        if (columns[i].kind != VALUE_TEXT)
            return STORE_CORRUPT;
    struct audit_row row = {columns[0].whole,
                            columns[1].whole,
                            columns[2].kind == VALUE_WHOLE ? columns[2].whole : 0,
                            columns[3].text,
                            columns[4].text,
                            columns[5].text,
                            columns[6].text};
    int error = columns[8].whole != walk->chain ? walk_chain(walk, columns[8].whole) : 0;
    if (error)
        return error;
    int64_t before = walk->head.seq;
    walk->rows++;
    audit_hash(&row, walk->head.hash);
    walk->head.seq = row.seq;
    bool fits = (walk->chain ? row.seq > before : row.seq == before + 1) && columns[7].kind == VALUE_BLOB &&
                columns[7].size == AUDIT_HASH && memcmp(columns[7].blob, walk->head.hash, AUDIT_HASH) == 0;
    if (!fits && walk->wrong == 0)
        walk->wrong = row.seq;
    return 0;
}

/* Each chain ends where it is said to; chain 0 may be empty, and then must be said to be. */
static int ends_check(struct db *db, struct audit_walk *walk)
{
    int error = walk_end(walk);
    for (size_t i = 0; i < walk->n_ends && !error && walk->wrong == 0; i++) {
        char key[HEAD_KEY];
        int64_t head = 0;
        bool found;
        head_key(walk->ends[i].chain, key);
        error = meta_get(db, key, &head, &found);
        if (!error && walk->ends[i].seq != (found ? head : 0))
            walk->wrong = walk->ends[i].seq + 1;
    }
    return error;
}

/* A page at a time: an audit of years does not fit into the memory of a driver that fetches whole answers. */
int audit_check(struct db *db, bool *sound, int64_t *at)
{
    static const char page[] = "SELECT seq, at, person, clinic, who, action, detail, hash, chain FROM audit"
                               " WHERE (chain, seq) > ($1, $2) ORDER BY chain, seq LIMIT $3";
    struct audit_walk walk = {0};
    size_t before;
    int error = 0;
    do {
        struct value values[] = {value_whole(walk.chain), value_whole(walk.head.seq), value_whole(PAGE_ROWS)};
        before = walk.rows;
        error = db_load(db, &(struct query){page, values, COUNT(values), walk_row, &walk}, 1);
    } while (!error && walk.rows - before == PAGE_ROWS);
    if (!error)
        error = ends_check(db, &walk);
    free(walk.ends);
    *sound = !error && walk.wrong == 0;
    *at = walk.wrong;
    return error;
}

/* -- reading ----------------------------------------------------------------------------------------------------------- */

struct entries {
    struct audit_entry *at;
    size_t n, cap;
};

static int entry_row(void *context, const struct value *columns, size_t n)
{
    struct entries *list = context;
    (void)n;
    for (int i = 3; i < 7; i++)
        if (columns[i].kind != VALUE_TEXT)
            return STORE_CORRUPT;
    if (list->n == list->cap) {
        size_t cap = list->cap ? 2 * list->cap : 32;
        struct audit_entry *grown = realloc(list->at, cap * sizeof *grown);
        if (!grown)
            return STORE_MEMORY;
        list->at = grown;
        list->cap = cap;
    }
    struct audit_entry *e = &list->at[list->n++];
    *e = (struct audit_entry){.seq = columns[0].whole, .at = columns[1].whole,
                              .person = columns[2].kind == VALUE_WHOLE ? columns[2].whole : 0};
    snprintf(e->clinic, sizeof e->clinic, "%s", columns[3].text);
    snprintf(e->who, sizeof e->who, "%s", columns[4].text);
    snprintf(e->action, sizeof e->action, "%s", columns[5].text);
    snprintf(e->detail, sizeof e->detail, "%s", columns[6].text);
    return 0;
}

int audit_list(struct db *db, const struct audit_query *q, size_t max, struct audit_entry **out, size_t *n)
{
    static const char of_clinic[] = "SELECT seq, at, person, clinic, who, action, detail FROM audit WHERE clinic = $1"
                                    " AND seq >= $2 AND seq < $3 ORDER BY seq DESC LIMIT $4";
    static const char of_person[] = "SELECT seq, at, person, clinic, who, action, detail FROM audit WHERE person = $1"
                                    " AND seq >= $2 AND seq < $3 AND ($4 = '' OR clinic = $4) ORDER BY seq DESC LIMIT $5";
    struct value of_p[] = {value_whole(q->person), value_whole(q->from), value_whole(q->before),
                           value_text(q->clinic ? q->clinic : ""), value_whole((int64_t)max)};
    struct value of_c[] = {value_text(q->clinic), value_whole(q->from), value_whole(q->before), value_whole((int64_t)max)};
    struct entries list = {0};
    struct query query = {of_clinic, of_c, COUNT(of_c), entry_row, &list};
    if (q->person)
        query = (struct query){of_person, of_p, COUNT(of_p), entry_row, &list};
    int error = db_load(db, &query, 1);
    if (error) {
        free(list.at);
        list = (struct entries){0};
    }
    *out = list.at;
    *n = list.n;
    return error;
}

/* By halves: instants grow with numbers, but for what a clock that was set back wrote. */
int audit_at(struct db *db, int64_t at, int64_t *seq)
{
    static const char last[] = "SELECT coalesce(max(seq), 0) FROM audit";
    static const char from[] = "SELECT at, seq FROM audit WHERE seq >= $1 ORDER BY seq LIMIT 1";
    int64_t low = 1, high = 0;
    bool found;
    int error = db_whole(db, last, NULL, 0, &high, 1, &found);
    high++;
    while (!error && low < high) {
        int64_t middle = low + (high - low) / 2, then[2] = {0, 0};
        struct value value = value_whole(middle);
        error = db_whole(db, from, &value, 1, then, 2, &found);
        if (found && then[0] < at)
            low = then[1] + 1;
        else
            high = middle;
    }
    *seq = low;
    return error;
}
