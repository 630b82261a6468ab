/* A fresh state folder for each test of the store, and rows of chance for its tables. */
#ifndef QUIETARM_TESTS_STORE_FRESH_H
#define QUIETARM_TESTS_STORE_FRESH_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <ftw.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "demo/play/place.h"
#include "store/tables.h"

enum { FRESH_PATH = 128 };

struct fresh {
    char folder[FRESH_PATH], file[FRESH_PATH + 16], why[256], conninfo[PLACE_CONNINFO];
    struct db *db;
};

static inline int fresh_remove_one(const char *path, const struct stat *s, int type, struct FTW *f)
{
    (void)s;
    (void)type;
    (void)f;
    return remove(path);
}

/* Whether the tests run on a store that is shared; those of the embedded one's own files say FRESH_EMBEDDED before they
 * include this, and always run on it. */
static inline bool fresh_shared(void)
{
#ifdef FRESH_EMBEDDED
    return false;
#else
    return place_store() != NULL;
#endif
}

static inline void fresh_paths(struct fresh *f)
{
    char template[] = "build/store-XXXXXX"; /* filled in by mkdtemp */
    assert_non_null(mkdtemp(template));
    snprintf(f->folder, sizeof f->folder, "%s/state", template);
    snprintf(f->file, sizeof f->file, "%s/quietarm.db", f->folder);
    if (fresh_shared())
        assert_true(place_fresh(f->conninfo) && store_choose(place_store(), f->conninfo));
}

static inline int fresh_setup(void **state)
{
    struct fresh *f = calloc(1, sizeof *f);
    fresh_paths(f);
    if (db_open(&f->db, f->folder, DB_SERVE, f->why, sizeof f->why) != 0)
        fail_msg("%s", f->why);
    *state = f;
    return 0;
}

static inline int fresh_teardown(void **state)
{
    struct fresh *f = *state;
    db_close(f->db);
    *strrchr(f->folder, '/') = '\0';
    nftw(f->folder, fresh_remove_one, 8, FTW_DEPTH | FTW_PHYS);
    free(f);
    return 0;
}

#define assert_ok(call)                                                                                                \
    do {                                                                                                               \
        int code_ = (call);                                                                                            \
        if (code_)                                                                                                     \
            fail_msg("%s: %s: %s", #call, store_error_name(code_), ((struct fresh *)*state)->db                        \
                                                                        ? db_why(((struct fresh *)*state)->db)         \
                                                                        : ((struct fresh *)*state)->why);              \
    } while (0)

/* -- chance: a fixed sequence, so that a failure comes again (xorshift64*, Vigna 2016) -------------------------------- */

static uint64_t chance_state = 88172645463325252u;

static inline uint64_t chance(void)
{
    chance_state ^= chance_state >> 12;
    chance_state ^= chance_state << 25;
    chance_state ^= chance_state >> 27;
    return chance_state * 2685821657736338717u;
}

/* A value that this column may hold, absent ones and extremes among them. */
static inline void chance_column(const struct column *c, char *member)
{
    static const char *const texts[] = {"", "a", "O'Brien; DROP TABLE people", "caf\xc3\xa9 \xe2\x9d\xa4", "12\n13"};
    uint64_t r = chance();
    int64_t whole = chance() % 4 == 0 ? (int64_t)(chance() % 100) : (int64_t)chance();
    double real = (double)(int)(r % 2000) / 10 + 0.1;
    switch (c->kind) {
    case COLUMN_TEXT: {
        size_t size = (size_t)snprintf(member, c->size, "%s", texts[r % COUNT(texts)]);
        while (size >= c->size && member[0] && (unsigned char)member[strlen(member) - 1] >= 0x80)
            member[strlen(member) - 1] = '\0'; /* no half a character */
        if (r % 7 == 0) /* filled to the brim */
            memset(member, 'x', c->size - 1u);
        return;
    }
    case COLUMN_REAL:
    case COLUMN_LENGTH:
        real = r % 5 ? real : c->kind == COLUMN_REAL ? NAN : 0;
        memcpy(member, &real, sizeof real);
        return;
    case COLUMN_INSTANT:
        whole = r % 3 ? whole : INSTANT_NONE;
        break;
    case COLUMN_DAY:
        whole = r % 3 ? (int32_t)whole : DAY_NONE;
        break;
    case COLUMN_REF:
        whole = r % 3 ? whole : 0;
        break;
    case COLUMN_READINGS: {
        struct question *q = (struct question *)member;
        q->n_readings = (uint8_t)(r % (QUESTION_READINGS + 1));
        for (int i = 0; i < q->n_readings; i++)
            q->readings[i] = (int64_t)(chance() >> 11);
        return;
    }
    default:
        if (c->kind >= COLUMN_NAMES) {
            while (!name_of(c->kind, (int64_t)(r % 256)))
                r = chance();
            whole = (int64_t)(r % 256);
        }
    }
    memcpy(member, &whole, c->size); /* little-endian: the low bytes */
    if (c->size == 1 && c->kind == COLUMN_COUNT)
        member[0] &= 1; /* it may be a bool */
}

static inline void chance_row(const struct column *columns, size_t n, void *row)
{
    for (size_t i = 0; i < n; i++)
        chance_column(&columns[i], (char *)row + columns[i].at);
}

/* -- small rows of a kind --------------------------------------------------------------------------------------------- */

static inline struct person a_person(int64_t id, const char *ref, const char *phone)
{
    struct person p = {.id = id, .clinic = "maple", .state = PERSON_JOINED, .born = DAY_NONE, .office_day = DAY_NONE,
                       .pregnant_due = DAY_NONE, .birth = DAY_NONE, .start = DAY_NONE, .medicine_changed = DAY_NONE,
                       .state_since = INSTANT_NONE, .enrolled_at = INSTANT_NONE, .consent_at = INSTANT_NONE};
    snprintf(p.ref, sizeof p.ref, "%s", ref);
    snprintf(p.phone, sizeof p.phone, "%s", phone);
    return p;
}

static inline struct outgoing a_text(int64_t id, int64_t person, const char *to, enum outgoing_class class_, int64_t due)
{
    struct outgoing o = {.id = id, .person = person, .clinic = "maple", .class_ = class_, .channel = CHANNEL_TEXT,
                         .kind = TEXT_WELCOME, .created = due, .due = due, .expires = INSTANT_NONE,
                         .sent_at = INSTANT_NONE, .delivered_at = INSTANT_NONE};
    snprintf(o.to, sizeof o.to, "%s", to);
    snprintf(o.key, sizeof o.key, "k%lld", (long long)id);
    return o;
}

static inline int write_one_effect(struct db *db, const struct effect *e)
{
    struct effect copy = *e;
    return effects_write(db, &(struct effects){.at = &copy, .n = 1, .cap = 1});
}

static inline int put_person(struct db *db, const struct person *p)
{
    return write_one_effect(db, &(struct effect){.kind = EFFECT_PERSON, .person = *p});
}

static inline int put_text(struct db *db, const struct outgoing *o)
{
    struct outgoing copy = *o;
    return write_one_effect(db, &(struct effect){.kind = EFFECT_SEND, .send = &copy});
}

static inline void free_record(struct record *r)
{
    free(r->readings);
    free(r->alerts);
    free(r->desk);
    free(r->sent);
    *r = (struct record){0};
}

#endif
