/* Sudden death under load: four carriers post, the program gets SIGKILL at a random instant, starts again, is asked again.
 *
 * The harness's own ledger says which posts were answered 200. After each restart every one of those must be stored, nothing
 * twice; at the end every text has its one reading and no reply of it was made twice. Every fifth round the program is killed
 * while it starts, too. One database through all rounds: it grows to some 20,000 texts in 200 rounds.
 */
#include "tests/torture/kill.h"

#include <pthread.h>
#include <signal.h>
#include <sodium.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "tests/torture/torture.h"

enum { PATIENTS = 50, POSTERS = 4, EACH = 40, ROUND_MINUTES = 31, KILL_WITHIN_MS = 120, START_WITHIN_MS = 60 };

struct poster {
    struct world *w;
    int first;
    long status[EACH];
};

static void nap_ms(uint32_t within)
{
    nanosleep(&(struct timespec){.tv_nsec = (long)randombytes_uniform(within * 1000) * 1000}, NULL);
}

/* Text n: its patient, and figures that no other text of the patient near it has. */
static void body_of(int n, char *body, size_t size)
{
    snprintf(body, size,
             "{\"id\":\"kill-%d\",\"from\":\"+4477009001%02d\",\"to\":\"+447700900001\",\"text\":\"%d/%d %d\"}", n, n % PATIENTS,
             115 + n % 31, 70 + n % 17, 60 + n % 23);
}

static void *post_some(void *context)
{
    struct poster *p = context;
    char body[256];
    for (int i = 0; i < EACH; i++) {
        body_of(p->first + i, body, sizeof body);
        p->status[i] = world_post(p->w, "/hook/in", body);
    }
    return NULL;
}

static void *kill_while_starting(void *context)
{
    struct world *w = context;
    nap_ms(START_WITHIN_MS);
    pid_t pid = w->g.program_pid;
    if (pid > 0)
        kill(pid, SIGKILL);
    return NULL;
}

/* -- what is stored --------------------------------------------------------------------------------------------------------- */

static int count(struct world *w, sqlite3 *db, const char *sql, const void *blob, int size, int *out)
{
    sqlite3_stmt *s = NULL;
    int error = sqlite3_prepare_v2(db, sql, -1, &s, NULL);
    if (!error && blob)
        sqlite3_bind_blob(s, 1, blob, size, SQLITE_STATIC);
    *out = !error && sqlite3_step(s) == SQLITE_ROW ? sqlite3_column_int(s, 0) : -1;
    sqlite3_finalize(s);
    return *out < 0 ? world_fail(w, "%s: %s", sql, sqlite3_errmsg(db)) : 0;
}

/* How often text n is stored. Its key is the hash of the carrier's id, as the program keeps it: BLAKE2b, 16 bytes. */
static int stored(struct world *w, sqlite3 *db, int n, int *times)
{
    unsigned char hash[16];
    char id[32];
    snprintf(id, sizeof id, "kill-%d", n);
    crypto_generichash(hash, sizeof hash, (const unsigned char *)id, strlen(id), NULL, 0);
    return count(w, db, "SELECT count(*) FROM texts WHERE hash = $1", hash, sizeof hash, times);
}

static sqlite3 *database(struct world *w)
{
    char path[PLAY_PATH + 64];
    sqlite3 *db = NULL;
    snprintf(path, sizeof path, "%s/state/quietarm.db", w->g.folder);
    if (sqlite3_open_v2(path, &db, SQLITE_OPEN_READWRITE, NULL) != SQLITE_OK || sqlite3_busy_timeout(db, 10000))
        world_fail(w, "%s: %s", path, sqlite3_errmsg(db));
    return db;
}

static int acknowledged_is_stored(struct world *w, sqlite3 *db, const struct poster *posters)
{
    int times, error = 0;
    for (int p = 0; p < POSTERS && !error; p++)
        for (int i = 0; i < EACH && !error; i++) {
            error = stored(w, db, posters[p].first + i, &times);
            if (!error && (times > 1 || (times == 0 && posters[p].status[i] == 200)))
                error = world_fail(w, "text %d was answered %ld and is stored %d times", posters[p].first + i,
                                   posters[p].status[i], times);
        }
    return error;
}

static int none(struct world *w, sqlite3 *db, const char *what, const char *sql)
{
    int n = 0;
    if (count(w, db, sql, NULL, 0, &n) < 0)
        return -1;
    return n ? world_fail(w, "%d %s", n, what) : 0;
}

static int effects_once(struct world *w, sqlite3 *db, int texts)
{
    int n = 0;
    if (count(w, db, "SELECT count(*) FROM texts", NULL, 0, &n) < 0)
        return -1;
    if (n != texts)
        return world_fail(w, "%d texts were taken and %d are stored", texts, n);
    if (none(w, db, "texts without their one reading",
             "SELECT count(*) FROM (SELECT t.id FROM texts t LEFT JOIN readings r ON r.text = t.id GROUP BY t.id"
             " HAVING count(r.id) <> 1)") < 0)
        return -1;
    return none(w, db, "replies made twice", "SELECT count(*) FROM (SELECT 1 FROM outbox WHERE text IS NOT NULL"
                                             " GROUP BY text, kind, recipient HAVING count(*) > 1)");
}

/* -- rounds ------------------------------------------------------------------------------------------------------------------- */

static int enrol_all(struct world *w)
{
    char line[160];
    int error = 0;
    for (int i = 0; i < PATIENTS && !error; i++) {
        snprintf(line, sizeof line, "enrol --clinic maple --ref K-%d --phone +4477009001%02d --joined --arm 30 --cuff 22-42", i,
                 i);
        error = stage_run(&w->g, line, 0);
    }
    return error;
}

static int start_again(struct world *w, bool harshly)
{
    pthread_t killer;
    stage_stop_program(&w->g, SIGKILL);
    if (harshly && pthread_create(&killer, NULL, kill_while_starting, w) == 0) {
        stage_start_program(&w->g);
        pthread_join(killer, NULL);
        stage_stop_program(&w->g, SIGKILL);
    }
    return stage_start_program(&w->g) < 0 ? world_fail(w, "it does not start again") : 0;
}

static int repost(struct world *w, const struct poster *posters)
{
    char body[256];
    int error = 0;
    for (int p = 0; p < POSTERS; p++)
        for (int i = 0; i < EACH && !error; i++) {
            body_of(posters[p].first + i, body, sizeof body);
            error = world_post_until(w, "/hook/in", body);
        }
    return error;
}

static int round_play(struct world *w, int round, int *acknowledged)
{
    struct poster posters[POSTERS];
    pthread_t threads[POSTERS];
    char to[40];
    for (int i = 0; i < POSTERS; i++) {
        posters[i] = (struct poster){.w = w, .first = (round * POSTERS + i) * EACH};
        if (pthread_create(&threads[i], NULL, post_some, &posters[i]))
            return world_fail(w, "no thread");
    }
    nap_ms(KILL_WITHIN_MS);
    kill(w->g.program_pid, SIGKILL);
    for (int i = 0; i < POSTERS; i++)
        pthread_join(threads[i], NULL);
    if (start_again(w, round % 5 == 4) < 0)
        return -1;
    sqlite3 *db = database(w);
    int error = acknowledged_is_stored(w, db, posters);
    if (!error)
        error = none(w, db, "breaches of integrity", "SELECT count(*) FROM pragma_integrity_check WHERE integrity_check <> 'ok'");
    if (!error)
        error = none(w, db, "breaches of foreign keys", "SELECT count(*) FROM pragma_foreign_key_check");
    sqlite3_close(db);
    for (int i = 0; i < POSTERS * EACH; i++)
        *acknowledged += posters[i / EACH].status[i % EACH] == 200;
    time_t at = w->s.start + (round + 1) * ROUND_MINUTES * 60;
    struct tm tm;
    strftime(to, sizeof to, "%Y-%m-%dT%H:%M:%SZ", gmtime_r(&at, &tm));
    return error || repost(w, posters) < 0 || world_move(w, to) < 0 ? -1 : 0;
}

static int rounds_play(struct world *w, int rounds, int *acknowledged)
{
    int error = enrol_all(w);
    for (int round = 0; round < rounds && !error; round++) {
        error = round_play(w, round, acknowledged);
        if (error)
            printf("torture: round %d: %s\n", round, w->why);
    }
    if (error)
        return error;
    sqlite3 *db = database(w);
    error = effects_once(w, db, rounds * POSTERS * EACH);
    sqlite3_close(db);
    char *ledger = error || stage_stop_program(&w->g, SIGTERM) < 0 ? NULL : ledger_read(w);
    if (!ledger)
        printf("torture: after the rounds: %s\n", w->why);
    free(ledger);
    return ledger ? 0 : -1;
}

int kill_rounds(const char *bin, const char *folder, int rounds)
{
    struct world w;
    int acknowledged = 0;
    int error = world_open(&w, folder, bin) < 0 ? world_fail(&w, "the world does not open") : rounds_play(&w, rounds, &acknowledged);
    printf("torture: kill   %d rounds, %d texts posted, %d of them acknowledged before a kill%s\n", rounds,
           rounds * POSTERS * EACH, acknowledged, error ? ": WRONG" : "; each stored once, each effect once");
    world_close(&w);
    return error ? 1 : 0;
}
