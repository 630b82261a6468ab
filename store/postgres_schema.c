/* The schema that a connection sees first, and which gateway it belongs to.
 *
 * Made and brought up to date by whoever serves, one at a time (an advisory lock), in one transaction; a newer one is left
 * alone, and so is one that holds tables of another program. A gateway is a state folder: its name is 16 random bytes in
 * `quietarm.gateway`, its number is given by the database and held by the serving connection for as long as it lives, so that
 * a copied folder cannot serve twice.
 */
#include "store/postgres.h"

#include <errno.h>
#include <fcntl.h>
#include <inttypes.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "store/place.h"
#include "store/schema_postgres.h"

#define GATEWAY_FILE "quietarm.gateway"
enum { GATEWAY_TEXT = 2 * GATEWAY_NAME + 1, GATEWAYS_MOST = 255 };

int postgres_run(struct postgres_db *p, const char *sql)
{
    PGresult *r = PQexec(p->link, sql);
    ExecStatusType status = PQresultStatus(r);
    int error = status == PGRES_COMMAND_OK || status == PGRES_TUPLES_OK ? 0 : postgres_error(p, r);
    PQclear(r);
    return error;
}

int postgres_whole(struct postgres_db *p, const char *sql, const char *const *values, int n, int64_t *out, bool *found)
{
    PGresult *r = PQexecParams(p->link, sql, n, NULL, values, NULL, NULL, 0);
    int error = PQresultStatus(r) == PGRES_TUPLES_OK ? 0 : postgres_error(p, r);
    *found = !error && PQntuples(r) > 0 && !PQgetisnull(r, 0, 0);
    if (*found)
        *out = strtoll(PQgetvalue(r, 0, 0), NULL, 10);
    PQclear(r);
    return error;
}

/* -- the schema ------------------------------------------------------------------------------------------------------------ */

static const char version_is_there[] = "SELECT 1 WHERE to_regclass('schema_version') IS NOT NULL";
static const char version_get[] = "SELECT version FROM schema_version";
static const char others_are_there[] = "SELECT count(*) FROM pg_class WHERE relnamespace = current_schema()::regnamespace"
                                       " AND relkind IN ('r', 'p', 'v', 'm', 'f')";
static const char alone[] = "SELECT pg_advisory_xact_lock(hashtextextended(current_schema() || ' schema', 0))";
/* Whoever is connected holds it with others: a schema that they know is not changed under them. */
static const char connected[] = "SELECT pg_advisory_lock_shared(hashtextextended(current_schema() || ' connected', 0))";
static const char nobody_else[] = "SELECT pg_advisory_xact_lock(hashtextextended(current_schema() || ' connected', 0))";

/* 0 when there is none. */
static int version_read(struct postgres_db *p, int64_t *version)
{
    bool found = false;
    *version = 0;
    int error = postgres_whole(p, version_is_there, NULL, 0, version, &found);
    *version = 0;
    return error || !found ? error : postgres_whole(p, version_get, NULL, 0, version, &found);
}

static int steps_run(struct postgres_db *p)
{
    int64_t version = 0, tables = 0;
    bool found;
    char text[16];
    int error = version_read(p, &version);
    if (!error && version == 0)
        error = postgres_whole(p, others_are_there, NULL, 0, &tables, &found);
    if (!error && tables > 0)
        return db_fail(&p->db, STORE_CORRUPT, "the schema holds tables of another program; make a database for quietarm");
    if (!error && version < schema_postgres_version && (error = postgres_run(p, nobody_else)) == STORE_BUSY)
        return db_fail(&p->db, error, "a quietarm of the older schema is connected; stop every gateway, then start this one");
    for (int64_t i = version; i < schema_postgres_version && !error; i++)
        error = postgres_run(p, schema_postgres[i]);
    if (error || version >= schema_postgres_version)
        return error;
    snprintf(text, sizeof text, "%d", schema_postgres_version);
    const char *values[] = {text};
    return postgres_whole(p, "UPDATE schema_version SET version = $1 RETURNING version", values, 1, &version, &found);
}

int postgres_migrate(struct postgres_db *p)
{
    int error = postgres_run(p, "BEGIN");
    if (!error)
        error = postgres_run(p, alone);
    if (!error)
        error = steps_run(p);
    if (!error)
        return postgres_run(p, "COMMIT");
    char why[DB_WHY];
    memcpy(why, p->db.why, sizeof why);
    postgres_run(p, "ROLLBACK");
    return db_fail(&p->db, error, why);
}

int postgres_version_check(struct postgres_db *p)
{
    int64_t version = 0;
    int error = postgres_run(p, connected);
    if (!error)
        error = version_read(p, &version);
    if (error || version == schema_postgres_version)
        return error;
    if (version == 0)
        return db_fail(&p->db, STORE_ABSENT, "no database here yet; `quietarm serve` makes it");
    bool newer = version > schema_postgres_version;
    snprintf(p->db.why, sizeof p->db.why, "the database has schema %" PRId64 ", this program knows %d: %s", version,
             schema_postgres_version, newer ? "use the newer program" : "start `quietarm serve` once");
    return newer ? STORE_NEWER : STORE_OLDER;
}

/* -- which gateway --------------------------------------------------------------------------------------------------------- */

/* The folder's name among gateways, made when it serves for the first time; "" when there is none yet. */
static int name_read(struct postgres_db *p, char name[GATEWAY_TEXT])
{
    unsigned char random[GATEWAY_NAME];
    char path[PLACE_PATH];
    snprintf(path, sizeof path, "%.*s/%s", PLACE_PATH - 32, p->db.folder, GATEWAY_FILE);
    int fd = open(path, (p->use == DB_SERVE ? O_RDWR | O_CREAT : O_RDONLY) | O_CLOEXEC, 0600);
    name[0] = '\0';
    if (fd < 0)
        return errno == ENOENT ? 0 : place_fail_errno(p->db.why, sizeof p->db.why, path);
    ssize_t n = pread(fd, name, GATEWAY_TEXT - 1, 0);
    int error = 0;
    if (n != GATEWAY_TEXT - 1 && p->use == DB_SERVE) { /* new, or cut short before it was ever used */
        randombytes_buf(random, sizeof random);
        sodium_bin2hex(name, GATEWAY_TEXT, random, sizeof random);
        n = pwrite(fd, name, GATEWAY_TEXT - 1, 0);
        error = n == GATEWAY_TEXT - 1 && fsync(fd) == 0 ? 0 : place_fail_errno(p->db.why, sizeof p->db.why, path);
    }
    name[n == GATEWAY_TEXT - 1 ? n : 0] = '\0';
    close(fd);
    return error;
}

/* The lowest number that nobody has. */
static const char gateway_add[] =
    "INSERT INTO gateways (number, name) SELECT min(n), $1 FROM generate_series(1, 255) AS n"
    " WHERE n NOT IN (SELECT number FROM gateways) HAVING min(n) IS NOT NULL ON CONFLICT (name) DO NOTHING RETURNING number";
static const char gateway_get[] = "SELECT number FROM gateways WHERE name = $1";
static const char gateway_hold[] =
    "SELECT 1 FROM pg_advisory_lock(hashtextextended(current_schema() || ' gateway ' || $1, 0))";
static const char gateway_set[] = "SELECT 1 FROM set_config('quietarm.gateway', $1, false)";

static int number_get(struct postgres_db *p, const char *name, int64_t *number)
{
    const char *values[] = {name};
    bool found = false;
    int error = postgres_whole(p, gateway_get, values, 1, number, &found);
    if (error || found || p->use != DB_SERVE)
        return error;
    error = postgres_whole(p, gateway_add, values, 1, number, &found);
    if (error || found)
        return error;
    return db_fail(&p->db, STORE_CONFLICT, "255 gateways are known to the database; remove those that are gone");
}

int postgres_gateway(struct postgres_db *p)
{
    char name[GATEWAY_TEXT], text[24];
    const char *values[] = {text};
    int64_t number = 0, one;
    bool found, again = p->db.gateway != 0;
    int error = name_read(p, name);
    if (!error && name[0])
        error = number_get(p, name, &number);
    if (!error && !number && p->use == DB_WRITE)
        return db_fail(&p->db, STORE_ABSENT, "this folder has not served yet; `quietarm serve` makes it known");
    if (error)
        return error;
    p->db.gateway = number;
    snprintf(text, sizeof text, "%" PRId64, number);
    error = postgres_whole(p, gateway_set, values, 1, &one, &found);
    if (error || p->use != DB_SERVE)
        return error;
    error = postgres_whole(p, gateway_hold, values, 1, &one, &found);
    if (error == STORE_BUSY && again)
        db_fail(&p->db, error, "an earlier connection of this gateway is still committing; look at the standby");
    else if (error == STORE_BUSY)
        db_fail(&p->db, error, "another quietarm serves with a copy of this state folder; stop it first");
    return error;
}
