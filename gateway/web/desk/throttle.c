/* Throttle: how long a sign-in must wait after others failed, by address and by account.
 *
 * Three failures cost nothing; then the wait doubles from a second: up to a quarter of an hour for an address, to a minute
 * for an account, so that nobody can keep its owner out for long. 4,096 rows; where two keys meet in one row the one that
 * waits longer stays. Numbers are common practice, no source. Pure but for the table.
 */
#include "gateway/web/desk/room.h"

#include <sodium.h>
#include <string.h>

enum { FREE_FAILURES = 3, LONGEST_ADDRESS = 15 * 60, LONGEST_ACCOUNT = 60, FORGET_MS = 3600 * 1000, PLACES = 4 };

static uint64_t key_of(const struct throttle *t, char kind, const char *of)
{
    unsigned char key[crypto_shorthash_KEYBYTES] = {(unsigned char)kind};
    uint64_t hash;
    memcpy(key + 8, &t->salt, sizeof t->salt);
    crypto_shorthash((unsigned char *)&hash, (const unsigned char *)of, strlen(of), key);
    return hash ? hash : 1;
}

static struct throttle_row *row_find(struct throttle *t, uint64_t key)
{
    for (unsigned i = 0; i < PLACES; i++) {
        struct throttle_row *row = &t->rows[(key + i) % THROTTLE_ROWS];
        if (row->key == key)
            return row;
    }
    return NULL;
}

/* A free place, or that of the one who may try again the earliest. */
static struct throttle_row *row_make(struct throttle *t, uint64_t key)
{
    struct throttle_row *best = &t->rows[key % THROTTLE_ROWS];
    for (unsigned i = 0; i < PLACES; i++) {
        struct throttle_row *row = &t->rows[(key + i) % THROTTLE_ROWS];
        if (!row->key || row->until_ms < best->until_ms)
            best = row;
        if (!row->key)
            break;
    }
    *best = (struct throttle_row){.key = key};
    return best;
}

int throttle_wait(struct throttle *t, int64_t now_ms, char kind, const char *of)
{
    struct throttle_row *row = row_find(t, key_of(t, kind, of));
    if (!row || row->until_ms <= now_ms)
        return 0;
    return (int)((row->until_ms - now_ms + 999) / 1000);
}

void throttle_failed(struct throttle *t, int64_t now_ms, char kind, const char *of)
{
    uint64_t key = key_of(t, kind, of);
    struct throttle_row *row = row_find(t, key);
    int longest = kind == 'a' ? LONGEST_ADDRESS : LONGEST_ACCOUNT;
    if (row && now_ms - row->until_ms > FORGET_MS)
        row->failures = 0;
    if (!row)
        row = row_make(t, key);
    row->failures++;
    int over = row->failures - FREE_FAILURES;
    int seconds = over <= 0 ? 0 : over > 10 ? longest : 1 << (over - 1);
    row->until_ms = now_ms + 1000 * (int64_t)(seconds < longest ? seconds : longest);
}

void throttle_forget(struct throttle *t, char kind, const char *of)
{
    struct throttle_row *row = row_find(t, key_of(t, kind, of));
    if (row)
        *row = (struct throttle_row){0};
}
