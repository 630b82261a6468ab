/* Forgetting: old texts are blanked, a person is erased.
 *
 * What stays of an erased person is a number in the audit, in alerts and in what was sent (without its words), the hashes
 * of message ids, and, if they had opted out, a keyed hash of clinic and number that refuses a new enrolment. The id is
 * written to a file of the state folder before the database forgets it: a backup from before, once restored, is made to
 * forget again. Erasing a person is some hundred rows.
 */
#include "store/erase.h"

#include <errno.h>
#include <fcntl.h>
#include <inttypes.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "store/audit.h"
#include "store/tables.h"

enum { ERASE_PATH = 1100 };

#define ERASED_NAME "quietarm.erased"
#define KEY_NAME "quietarm.key"

static int fail_errno(struct db *db, const char *name)
{
    int error = errno == ENOSPC || errno == EDQUOT ? STORE_FULL : STORE_IO;
    snprintf(db->why, sizeof db->why, "%s: %s", name, strerror(errno));
    return error;
}

/* -- files of the state folder ----------------------------------------------------------------------------------------------- */

static int file_open(const struct db *db, const char *name, int flags)
{
    char path[ERASE_PATH];
    if (!db->folder || (size_t)snprintf(path, sizeof path, "%s/%s", db->folder, name) >= sizeof path) {
        errno = ENOENT;
        return -1;
    }
    return open(path, flags | O_CLOEXEC, 0600);
}

/* A key that a crash left cut short has hashed nothing yet: it is made anew. */
static int key_make(struct db *db)
{
    unsigned char key[crypto_generichash_KEYBYTES];
    int fd = file_open(db, KEY_NAME, O_RDWR | O_CREAT);
    if (fd < 0)
        return fail_errno(db, KEY_NAME);
    int error = 0;
    if (pread(fd, key, sizeof key, 0) != sizeof key) {
        randombytes_buf(key, sizeof key);
        error = pwrite(fd, key, sizeof key, 0) == sizeof key && fsync(fd) == 0 ? 0 : fail_errno(db, KEY_NAME);
    }
    close(fd);
    sodium_memzero(key, sizeof key);
    return error;
}

static int erased_note(struct db *db, int64_t person)
{
    char line[32];
    int n = snprintf(line, sizeof line, "%" PRId64 "\n", person);
    int fd = file_open(db, ERASED_NAME, O_WRONLY | O_CREAT | O_APPEND);
    if (fd < 0)
        return fail_errno(db, ERASED_NAME);
    int error = write(fd, line, (size_t)n) == n && fsync(fd) == 0 ? 0 : fail_errno(db, ERASED_NAME);
    close(fd);
    return error;
}

/* -- refusals ------------------------------------------------------------------------------------------------------------- */

static int key_read(struct db *db, unsigned char key[crypto_generichash_KEYBYTES])
{
    int fd = file_open(db, KEY_NAME, O_RDONLY);
    if (fd < 0)
        return fail_errno(db, KEY_NAME);
    bool whole = read(fd, key, crypto_generichash_KEYBYTES) == crypto_generichash_KEYBYTES;
    close(fd);
    return whole ? 0 : db_fail(db, STORE_CORRUPT, KEY_NAME " is cut short");
}

static int refusal_hash(struct db *db, const char *clinic, const char *phone, unsigned char hash[AUDIT_HASH])
{
    unsigned char key[crypto_generichash_KEYBYTES];
    crypto_generichash_state state;
    int error = key_read(db, key);
    if (error)
        return error;
    crypto_generichash_init(&state, key, sizeof key, AUDIT_HASH);
    crypto_generichash_update(&state, (const unsigned char *)clinic, strlen(clinic) + 1);
    crypto_generichash_update(&state, (const unsigned char *)phone, strlen(phone));
    crypto_generichash_final(&state, hash, AUDIT_HASH);
    sodium_memzero(key, sizeof key);
    return 0;
}

int refusal_of(struct db *db, const char *clinic, const char *phone, bool *found)
{
    unsigned char hash[AUDIT_HASH];
    int64_t at;
    *found = false;
    int error = refusal_hash(db, clinic, phone, hash);
    return error ? error
                 : db_whole(db, "SELECT at FROM refusals WHERE hash = $1",
                            (struct value[]){value_blob(hash, AUDIT_HASH)}, 1, &at, 1, found);
}

int refusal_clear(struct db *db, const char *clinic, const char *phone)
{
    unsigned char hash[AUDIT_HASH];
    int error = refusal_hash(db, clinic, phone, hash);
    return error ? error
                 : db_run(db, "DELETE FROM refusals WHERE hash = $1", (struct value[]){value_blob(hash, AUDIT_HASH)}, 1);
}

static int refusal_put(struct db *db, const struct person *p)
{
    static const char put[] = "INSERT INTO refusals (hash, at) VALUES ($1, $2) ON CONFLICT (hash) DO NOTHING";
    unsigned char hash[AUDIT_HASH];
    bool opted_out = p->state == PERSON_LEFT || p->state == PERSON_DECLINED || p->state == PERSON_WITHDRAWN ||
                     p->state == PERSON_WRONG_NUMBER;
    int error = opted_out ? refusal_hash(db, p->clinic, p->phone, hash) : 0;
    return error || !opted_out ? error
                               : db_run(db, put, (struct value[]){value_blob(hash, AUDIT_HASH), value_whole(db->now)}, 2);
}

/* -- erasing -------------------------------------------------------------------------------------------------------------- */

static const char *const forget[] = {
    "DELETE FROM readings WHERE person = $1",
    "DELETE FROM weeks WHERE person = $1",
    "DELETE FROM courses WHERE person = $1",
    "DELETE FROM texts WHERE person = $1",
    "DELETE FROM desk WHERE person = $1",
    "DELETE FROM outbox WHERE person = $1 AND state = 'waiting'",
    "UPDATE outbox SET body = '', reason = '', text = NULL, week = NULL,"
    " recipient = CASE WHEN staff = 0 AND channel = 'text' THEN '' ELSE recipient END WHERE person = $1",
    "UPDATE alerts SET outcome = '' WHERE person = $1",
    "DELETE FROM people WHERE id = $1",
};

static int person_forget(struct db *db, const struct person *p, const char *who)
{
    struct value id = value_whole(p->id);
    struct write writes[COUNT(forget)];
    for (size_t i = 0; i < COUNT(forget); i++)
        writes[i] = (struct write){forget[i], &id, 1};
    int64_t person = p->id;
    size_t one = 1;
    int error = persons_hold(db, &person, &one); /* what another gateway is writing of them is written, then forgotten too */
    if (!error)
        error = refusal_put(db, p);
    if (!error)
        error = db_write(db, writes, COUNT(writes));
    db->scrub = true;
    if (!error)
        error = audit_one(db, p->id, p->clinic, who, "erase", "");
    return error;
}

static int in_transaction(struct db *db, const struct person *p, const char *who)
{
    if (db->in_transaction)
        return person_forget(db, p, who);
    int error = db_begin(db);
    if (error)
        return error;
    error = person_forget(db, p, who);
    if (!error)
        return db_commit(db);
    db_rollback(db);
    return error;
}

int person_erase(struct db *db, int64_t person, const char *who, bool *open)
{
    static const char unresolved[] = "SELECT id FROM alerts WHERE person = $1 AND resolved_at IS NULL LIMIT 1";
    struct person p;
    int64_t alert;
    bool found;
    *open = false;
    int error = person_get(db, person, &p, &found);
    if (error || !found)
        return error;
    error = db_whole(db, unresolved, (struct value[]){value_whole(person)}, 1, &alert, 1, open);
    if (error || *open)
        return error;
    error = erased_note(db, person);
    return error ? error : in_transaction(db, &p, who);
}

/* No clock is known while the database is opened: it is marked with the time of the last audit row. */
static int erase_listed(struct db *db, FILE *list)
{
    char line[64];
    bool any;
    int error = db_whole(db, "SELECT at FROM audit ORDER BY seq DESC LIMIT 1", NULL, 0, &db->now, 1, &any);
    while (!error && fgets(line, sizeof line, list)) {
        struct person p;
        bool found;
        error = person_get(db, strtoll(line, NULL, 10), &p, &found);
        if (!error && found)
            error = in_transaction(db, &p, "restored copy");
    }
    return error;
}

/* Gateways at one database must hash alike: it knows a fingerprint of the key, never the key. */
static int key_shared(struct db *db)
{
    unsigned char key[crypto_generichash_KEYBYTES], hash[crypto_generichash_BYTES_MIN];
    int64_t ours = 0, theirs;
    bool found;
    int error = db_shared(db) ? key_read(db, key) : 0;
    if (error || !db_shared(db))
        return error;
    crypto_generichash(hash, sizeof hash, key, sizeof key, NULL, 0);
    memcpy(&ours, hash, 6);
    sodium_memzero(key, sizeof key);
    error = meta_get(db, "refusal_key", &theirs, &found);
    if (!error && found && theirs != ours)
        return db_fail(db, STORE_CONFLICT, KEY_NAME " is not that of the other gateways; copy it from the state folder of one");
    return error || found ? error : meta_set(db, "refusal_key", ours);
}

int erase_again(struct db *db)
{
    int error = key_make(db);
    if (!error)
        error = key_shared(db);
    int fd = error ? -1 : file_open(db, ERASED_NAME, O_RDONLY);
    if (fd < 0)
        return error;
    FILE *list = fdopen(fd, "r");
    if (!list) {
        close(fd);
        return fail_errno(db, ERASED_NAME);
    }
    error = erase_listed(db, list);
    fclose(list);
    return error;
}

/* -- blanking ------------------------------------------------------------------------------------------------------------- */

#define NEAR_AN_ALERT(at)                                                                                              \
    "EXISTS (SELECT 1 FROM alerts a WHERE a.person = x.person AND a.at <= x." at " + 86400"                            \
    " AND coalesce(a.resolved_at, a.at) >= x." at " - 86400)"

int texts_blank(struct db *db, int64_t before, int64_t alert_before, size_t max, size_t *n)
{
    static const char in_old[] = "SELECT id FROM texts x WHERE body IS NOT NULL AND received < $1"
                                 " AND (received < $2 OR NOT " NEAR_AN_ALERT("received") ") ORDER BY received LIMIT $3";
    static const char out_old[] = "SELECT id FROM outbox x WHERE body <> '' AND created < $1 AND state <> 'waiting'"
                                  " AND (created < $2 OR NOT " NEAR_AN_ALERT("created") ") ORDER BY created LIMIT $3";
    static const char *const find[] = {in_old, out_old};
    static const char *const blank[] = {"UPDATE texts SET body = NULL WHERE id = $1",
                                        "UPDATE outbox SET body = '' WHERE id = $1"};
    struct value values[] = {value_whole(before), value_whole(alert_before), value_whole((int64_t)max)};
    int64_t *ids = calloc(max + 1, sizeof *ids), *const columns[] = {ids};
    int error = ids ? 0 : db_fail(db, STORE_MEMORY, "out of memory");
    *n = 0;
    for (size_t direction = 0; direction < COUNT(find) && !error; direction++) {
        size_t found = 0;
        error = db_wholes(db, find[direction], values, COUNT(values), columns, 1, max, &found);
        for (size_t i = 0; i < found && !error; i++, (*n)++)
            error = db_run(db, blank[direction], (struct value[]){value_whole(ids[i])}, 1);
    }
    free(ids);
    db->scrub = db->scrub || *n > 0;
    return error;
}

int summaries_went(struct db *db, int64_t person, char (**to)[TARGET_MAX], size_t *n)
{
    static const char went[] = "SELECT DISTINCT recipient FROM outbox WHERE person = $1 AND class = 3"
                               " AND state IN ('sent', 'delivered') ORDER BY recipient";
    static const struct column recipient = {COLUMN_TEXT, 0, TARGET_MAX};
    struct value value = value_whole(person);
    struct rows rows = {.columns = &recipient, .n_columns = 1, .size = TARGET_MAX};
    int error = rows_load(db, went, &value, 1, &rows);
    *to = rows.at;
    *n = rows.n;
    return error;
}
