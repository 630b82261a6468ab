/* Start: how long until the program listens, and what memory it then takes, with a database of 10 GB.
 *
 * The largest world, filled up with old texts of many kilobytes each: what is stored does not matter to a start, how large
 * the file is might.
 */
#include "tests/bench/bench.h"

#include <sqlite3.h>
#include <stdio.h>
#include <time.h>

static int fill_up(const struct world *w, double gigabytes)
{
    char file[BENCH_PATH + 64], sql[512];
    sqlite3 *db;
    double missing = gigabytes - (double)world_bytes(w) / 1e9;
    int rows = missing > 0 ? (int)(missing * 1000) : 0; /* of a megabyte */
    snprintf(file, sizeof file, "%s/state/quietarm.db", w->folder);
    snprintf(sql, sizeof sql,
             "PRAGMA journal_mode = DELETE; PRAGMA journal_mode = OFF; PRAGMA synchronous = OFF; WITH RECURSIVE n(i) AS (SELECT 1"
             " UNION ALL SELECT i + 1 FROM n WHERE i < %d) INSERT INTO texts (id, clinic, sender, recipient, body, received, hash,"
             " why) SELECT 1000 + i, 'c00', '', '', hex(zeroblob(500000)), 1000 + i, randomblob(16), '' FROM n;"
             "PRAGMA journal_mode = WAL", rows);
    int error = sqlite3_open(file, &db);
    if (!error && rows)
        error = sqlite3_exec(db, sql, NULL, NULL, NULL);
    if (error)
        fprintf(stderr, "%s\n", sqlite3_errmsg(db));
    sqlite3_close(db);
    return error ? -1 : 0;
}

int bench_start(const struct bench *b)
{
    char binary[BENCH_PATH + 32];
    struct rounds ms = {0}, memory = {0};
    heading("Start: until it listens");
    struct world *w = world_large(b);
    snprintf(binary, sizeof binary, "%s/quietarm", b->build);
    int error = w ? 0 : -1;
    if (!error && !b->brief)
        error = fill_up(w, 10);
    for (int i = 0; i < (b->brief ? 2 : 7) && !error; i++) {
        struct program p;
        error = program_start(&p, binary, w, NULL, NULL);
        if (error)
            break;
        nanosleep(&(struct timespec){.tv_sec = 1}, NULL); /* let it settle: memory is looked at when idle */
        rounds_add(&ms, p.start_ms);
        rounds_add(&memory, (double)program_memory(&p) / 1048576);
        program_stop(&p);
    }
    if (w)
        figure_one("database", (double)world_bytes(w) / 1e9, "GB", NO_GOAL);
    figure("from exec to both ports", &ms, "ms", AT_MOST(100));
    figure("memory a second later", &memory, "MiB", AT_MOST(64));
    return error;
}
