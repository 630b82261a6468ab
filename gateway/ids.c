/* Ids: 64-bit, growing with time, made by the program so that writing needs no answer from the database.
 *
 * Milliseconds of the machine's wall clock since 2020 << 12 | a count. 41 bits of milliseconds last until 2089, and the
 * whole stays under 2^53, so that it is a number in every JSON reader. It never gives an id twice, whatever the wall
 * clock does: when that goes back, the count runs on from the last one. A burst of more than 4,096 in a millisecond
 * borrows from the next.
 */
#include "gateway/base.h"

#include <assert.h>
#include <sodium.h>
#include <string.h>

enum { COUNT_BITS = 12, COUNT_MASK = (1 << COUNT_BITS) - 1 };
#define YEAR_2020_MS INT64_C(1577836800000)

static int64_t next_id;
static unsigned first_count;

void ids_start(unsigned salt, int64_t least)
{
    first_count = salt & COUNT_MASK;
    next_id = least + 1;
}

int64_t ids_from(void)
{
    int64_t fresh = (clock_wall_ms() - YEAR_2020_MS) << COUNT_BITS | first_count;
    if (next_id < fresh)
        next_id = fresh;
    return next_id;
}

void ids_until(int64_t next)
{
    if (next > next_id)
        next_id = next;
}

void id_fit(const char *id, size_t size, char *out, size_t room)
{
    static const char mark[] = "blake2b:";
    unsigned char hash[crypto_generichash_BYTES];
    assert(room >= sizeof mark + 2 * sizeof hash);
    if (size < room) {
        memcpy(out, id, size);
        out[size] = '\0';
        return;
    }
    crypto_generichash(hash, sizeof hash, (const unsigned char *)id, size, NULL, 0);
    memcpy(out, mark, sizeof mark);
    sodium_bin2hex(out + sizeof mark - 1, room - (sizeof mark - 1), hash, sizeof hash);
}
