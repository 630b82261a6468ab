/* Backup and verify: one consistent copy while running, and whether a file is whole.
 *
 * Verifying never writes, and tells damage as a finding (sound = false, why), not as an error: an error means that the file
 * could not be looked at. It reads everything: some 200 MB a second.
 */
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "store/audit.h"
#include "store/copy.h"
#include "store/place.h"
#include "store/sqlite.h"
#include "store/transfer.h"

/* -- of a shared store: an embedded database of its rows, which `verify` reads and `migrate` takes back ------------------- */

static void folder_remove(const char *folder)
{
    static const char *const names[] = {"quietarm.db", "quietarm.db-wal", "quietarm.db-shm", "quietarm.lock", "quietarm.key"};
    char path[PLACE_PATH];
    for (size_t i = 0; i < COUNT(names); i++) {
        snprintf(path, sizeof path, "%s/%s", folder, names[i]);
        unlink(path);
    }
    rmdir(folder);
}

static int rows_copy(struct db *db, const char *dest, char *why, size_t why_size)
{
    char folder[PLACE_PATH - 32];
    struct db *copy = NULL;
    if ((size_t)snprintf(folder, sizeof folder, "%s.rows-%d", dest, (int)getpid()) >= sizeof folder)
        return place_fail(why, why_size, STORE_IO, "the path is too long", dest);
    int error = driver_sqlite.open(&copy, folder, "", DB_SERVE, why, why_size);
    if (!error) {
        error = db_begin(db); /* one snapshot */
        if (!error)
            error = transfer_all(db, copy, NULL, NULL, why, why_size);
        db_rollback(db);
    }
    if (!error)
        error = copy_database(((struct sqlite_db *)copy)->handle, dest, true, why, why_size);
    db_close(copy);
    folder_remove(folder);
    return error;
}

int store_backup(const char *folder, const char *dest, char *why, size_t why_size)
{
    struct db *db;
    int error = db_open(&db, folder, DB_READ, why, why_size);
    if (error)
        return error;
    error = db_shared(db) ? rows_copy(db, dest, why, why_size)
                          : copy_database(((struct sqlite_db *)db)->handle, dest, true, why, why_size);
    db_close(db);
    return error;
}

/* -- verify -------------------------------------------------------------------------------------------------------------- */

static void finding(struct verify_report *r, const char *what, const char *detail)
{
    if (r->sound)
        snprintf(r->why, sizeof r->why, "%s%s%s", what, *detail ? ": " : "", detail);
    r->sound = false;
}

static int integrity_row(void *context, const struct value *columns, size_t n)
{
    (void)n;
    if (columns[0].kind != VALUE_TEXT || strcmp(columns[0].text, "ok") != 0)
        finding(context, "damaged", columns[0].kind == VALUE_TEXT ? columns[0].text : "");
    return 0;
}

static int orphan_row(void *context, const struct value *columns, size_t n)
{
    (void)n;
    finding(context, "a row refers to one that is not there, in", columns[0].kind == VALUE_TEXT ? columns[0].text : "");
    return 0;
}

/* A shared store's server holds its rows to its references, and its pages to their checksums, by itself. */
static int verify_structure(struct db *db, struct verify_report *r)
{
    if (db_shared(db))
        return 0;
    int error = db_load(db, &(struct query){"PRAGMA integrity_check(20)", NULL, 0, integrity_row, r}, 1);
    if (!error)
        error = db_load(db, &(struct query){"PRAGMA foreign_key_check", NULL, 0, orphan_row, r}, 1);
    return error;
}

static int verify_audit(struct db *db, struct verify_report *r)
{
    char row[32];
    bool sound;
    int64_t at;
    int error = audit_check(db, &sound, &at);
    snprintf(row, sizeof row, "row %lld", (long long)at);
    if (!error && !sound)
        finding(r, "the audit chain is broken", row);
    return error;
}

static int verify_seal(struct db *db, struct verify_report *r)
{
    bool sound = true;
    if (db_shared(db)) /* only a copy has one */
        return 0;
    int error = sqlite_error(db, seal_database(((struct sqlite_db *)db)->handle, false, &sound));
    if (!error && !sound)
        finding(r, "not what was copied: the seal does not fit", "");
    return error;
}

static int verify_counts(struct db *db, struct verify_report *r)
{
    static const char counts[] = "SELECT (SELECT count(*) FROM people), (SELECT count(*) FROM texts),"
                                 " (SELECT count(*) FROM readings), (SELECT count(*) FROM weeks),"
                                 " (SELECT count(*) FROM outbox), (SELECT count(*) FROM alerts),"
                                 " (SELECT count(*) FROM audit), (SELECT CAST(coalesce(sum(n), 0) AS BIGINT) FROM tallies)";
    int64_t n[8];
    bool found;
    int error = db_whole(db, counts, NULL, 0, n, COUNT(n), &found);
    if (error)
        return error;
    r->people = n[0];
    r->texts = n[1];
    r->readings = n[2];
    r->weeks = n[3];
    r->outbox = n[4];
    r->alerts = n[5];
    r->audit = n[6];
    if (n[7] != n[4])
        finding(r, "the outbox holds another number of rows than were counted", "");
    return 0;
}

static int verify_open(struct db *db, struct verify_report *r)
{
    static int (*const checks[])(struct db *, struct verify_report *) = {verify_structure, verify_counts, verify_audit,
                                                                         verify_seal};
    bool found;
    int64_t schema = 0;
    int error = db_begin(db); /* one snapshot, if it is alive */
    for (size_t i = 0; i < COUNT(checks) && !error && r->sound; i++)
        error = checks[i](db, r);
    if (!error)
        error = db_whole(db, db->driver->schema, NULL, 0, &schema, 1, &found);
    r->schema = (int)schema;
    return error;
}

int store_verify(const char *folder, const char *file, struct verify_report *out)
{
    struct db *db;
    char why[sizeof out->why];
    *out = (struct verify_report){.sound = true};
    int error = file ? db_open_file(&db, file, why, sizeof why) : db_open(&db, folder, DB_READ, why, sizeof why);
    if (!error) {
        error = verify_open(db, out);
        snprintf(why, sizeof why, "%s", db_why(db));
        db_close(db);
    }
    if (error == STORE_CORRUPT) {
        finding(out, why, "");
        return 0;
    }
    if (error) {
        out->sound = false;
        snprintf(out->why, sizeof out->why, "%s", why);
    }
    return error;
}
