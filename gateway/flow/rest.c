/* Rest: what the writer does while nothing can be stored, by a full, broken or locked disk.
 *
 * Texts are answered 503 at once, so that the carrier keeps them and posts them again; what is due stays due, and is tried
 * again after 0.1 s, doubling to 5 s, so that a broken disk does not keep a core and the log busy. When nothing else is to be
 * written a row of no meaning is, so that the end of the trouble is known within 5 s. The stepped clock stands meanwhile.
 */
#include "gateway/flow/inside.h"

enum { REST_LEAST_MS = 100, REST_MOST_MS = 5000 };

bool rest_needed(int error)
{
    return error == STORE_BUSY || error == STORE_FULL || error == STORE_IO || error == STORE_MEMORY ||
           error == STORE_AGAIN;
}

void rest_begin(struct flow *f, int error)
{
    if (!rest_needed(error))
        return;
    if (error == STORE_FULL)
        watch_full(f);
    int64_t ms = f->rest_ms ? 2 * f->rest_ms : REST_LEAST_MS;
    f->rest_ms = ms < REST_MOST_MS ? ms : REST_MOST_MS;
    f->rest_until_ms = clock_real_ms() + f->rest_ms;
}

void rest_end(struct flow *f)
{
    f->rest_ms = f->rest_until_ms = 0;
}

int64_t rest_left_ms(const struct flow *f)
{
    int64_t left = f->rest_ms ? f->rest_until_ms - clock_real_ms() : 0;
    return left > 0 ? left : 0;
}

int rest_probe(struct flow *f)
{
    int error = db_begin(f->db);
    if (!error)
        error = meta_set(f->db, "probed", clock_now());
    if (!error)
        error = db_commit(f->db);
    if (error)
        db_rollback(f->db);
    return error;
}
