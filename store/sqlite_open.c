/* Opening: the state folder, the one server's lock, the settings of every connection.
 *
 * Files are made 0600 before SQLite sees them: its write-ahead log takes the same mode. A copy that is only looked at
 * (db_open_file) must not be written beside either: it is opened as immutable unless a log says that it is alive.
 */
#include "store/sqlite.h"

#include <errno.h>
#include <fcntl.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "store/place.h"

enum { FILE_PATH = PLACE_PATH, BUSY_MS = 10000 };

#define DATABASE_NAME "quietarm.db"

/* 0, or STORE_ABSENT when there is no such file and it is not to be made.
 *
 * An existing database is never opened here: closing any descriptor of it would drop the POSIX locks that SQLite holds
 * for other connections of this process, and a second process could then write over them. */
static int file_make(const char *file, bool make, char *why, size_t size)
{
    struct stat s;
    if (stat(file, &s) == 0) /* a copy that was put here may be open to others */
        return make && (s.st_mode & 077) != 0 && chmod(file, 0600) != 0 ? place_fail_errno(why, size, file) : 0;
    if (errno != ENOENT)
        return place_fail_errno(why, size, file);
    if (!make)
        return place_fail(why, size, STORE_ABSENT, "no database here yet; `quietarm serve` makes it", file);
    int fd = open(file, O_RDONLY | O_CLOEXEC | O_CREAT | O_EXCL, 0600);
    if (fd < 0)
        return place_fail_errno(why, size, file);
    close(fd);
    return 0;
}

/* -- handles -------------------------------------------------------------------------------------------------------------- */

bool sqlite_uri(const char *path, const char *query, char *uri, size_t size)
{
    size_t n = (size_t)snprintf(uri, size, "file:");
    for (; *path && n + 4 < size; path++)
        n += (size_t)snprintf(uri + n, size - n, strchr("?#%", *path) ? "%%%02X" : "%c", (unsigned char)*path);
    if (*path || n + strlen(query) + 1 > size)
        return false;
    memcpy(uri + n, query, strlen(query) + 1);
    return true;
}

int sqlite_settle(sqlite3 *handle)
{
    static const struct {
        int option, on;
    } settings[] = {
        {SQLITE_DBCONFIG_DQS_DML, 0},        {SQLITE_DBCONFIG_DQS_DDL, 0},   {SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0},
        {SQLITE_DBCONFIG_ENABLE_FKEY, 1},    {SQLITE_DBCONFIG_DEFENSIVE, 1},
    };
    sqlite3_extended_result_codes(handle, 1);
    int code = sqlite3_busy_timeout(handle, BUSY_MS);
    for (size_t i = 0; i < COUNT(settings) && code == SQLITE_OK; i++)
        code = sqlite3_db_config(handle, settings[i].option, settings[i].on, NULL);
    return code;
}

/* Before SQLite is first used: it need not count its memory, which takes a lock that all connections share. */
static void library_settle(void)
{
    sqlite3_config(SQLITE_CONFIG_MEMSTATUS, 0);
}

static int handle_open(struct sqlite_db *db, const char *uri, int flags)
{
    static pthread_once_t once = PTHREAD_ONCE_INIT;
    pthread_once(&once, library_settle);
    int code = sqlite3_open_v2(uri, &db->handle, flags | SQLITE_OPEN_URI | SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_EXRESCODE, NULL);
    if (code == SQLITE_OK)
        code = sqlite_settle(db->handle);
    return sqlite_error(&db->db, code);
}

static struct sqlite_db *connection_new(void)
{
    struct sqlite_db *db = calloc(1, sizeof *db);
    if (db) {
        db->db.driver = &driver_sqlite;
        db->lock = -1;
    }
    return db;
}

/* -- opening ------------------------------------------------------------------------------------------------------------- */

static int version_check(struct sqlite_db *db, const struct schema *schema)
{
    int version = 0;
    int error = sqlite_version(db->handle, &version) ? STORE_CORRUPT : 0;
    if (error)
        return db_fail(&db->db, sqlite_error(&db->db, sqlite3_errcode(db->handle)), sqlite3_errmsg(db->handle));
    if (version == schema->version)
        return 0;
    snprintf(db->db.why, sizeof db->db.why, "the database has schema %d, this program knows %d: %s", version,
             schema->version, version > schema->version ? "use the newer program" : "start `quietarm serve` once");
    return version > schema->version ? STORE_NEWER : STORE_OLDER;
}

static const char writer_settings[] = "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; PRAGMA secure_delete = ON;"
                                      "PRAGMA wal_autocheckpoint = 16000; PRAGMA cache_size = -32000;"
                                      "PRAGMA temp_store = MEMORY;";
static const char reader_settings[] = "PRAGMA query_only = ON; PRAGMA cache_size = -8000; PRAGMA temp_store = MEMORY;";

static int database_open(struct sqlite_db *db, const char *file, enum db_use use, const struct schema *schema)
{
    char uri[3 * FILE_PATH];
    if (!sqlite_uri(file, "", uri, sizeof uri))
        return db_fail(&db->db, STORE_IO, "the path is too long");
    int error = handle_open(db, uri, SQLITE_OPEN_READWRITE);
    if (!error)
        error = sqlite_execute(&db->db, "SELECT count(*) FROM sqlite_schema"); /* reads the header, waits while it is busy */
    if (!error && use == DB_SERVE)
        error = sqlite_migrate(db, file, schema);
    if (!error)
        error = version_check(db, schema);
    db->db.writes = use == DB_SERVE || use == DB_WRITE;
    if (!error)
        error = sqlite_execute(&db->db, db->db.writes ? writer_settings : reader_settings);
    if (!error && db->db.writes)
        error = sqlite_execute(&db->db, "DELETE FROM seals"); /* what was a sealed copy is alive again */
    return error;
}

int sqlite_open(struct db **out, const char *folder, enum db_use use, const struct schema *schema, char *why,
                size_t why_size)
{
    char file[FILE_PATH];
    int error = 0;
    *out = NULL;
    if ((size_t)snprintf(file, sizeof file, "%s/%s", folder, DATABASE_NAME) >= sizeof file)
        return place_fail(why, why_size, STORE_IO, "the path is too long", folder);
    struct sqlite_db *db = connection_new();
    if (!db)
        return place_fail(why, why_size, STORE_MEMORY, "out of memory", file);
    if (use == DB_SERVE)
        error = folder_make(folder, why, why_size);
    if (!error && use == DB_SERVE)
        error = folder_lock(folder, &db->lock, why, why_size);
    if (!error)
        error = file_make(file, use == DB_SERVE, why, why_size);
    if (error)
        goto out;
    error = database_open(db, file, use, schema);
    if (error)
        place_fail(why, why_size, error, db->db.why, file);
out:
    if (error)
        db_close(&db->db);
    else
        *out = &db->db;
    return error;
}

int sqlite_open_file(struct db **out, const char *file, char *why, size_t why_size)
{
    char log[FILE_PATH], uri[3 * FILE_PATH];
    *out = NULL;
    snprintf(log, sizeof log, "%s-wal", file);
    bool alive = access(log, F_OK) == 0;
    if (access(file, R_OK) != 0)
        return place_fail_errno(why, why_size, file);
    if (!sqlite_uri(file, alive ? "?mode=ro" : "?mode=ro&immutable=1", uri, sizeof uri))
        return place_fail(why, why_size, STORE_IO, "the path is too long", file);
    struct sqlite_db *db = connection_new();
    if (!db)
        return place_fail(why, why_size, STORE_MEMORY, "out of memory", file);
    int error = handle_open(db, uri, SQLITE_OPEN_READONLY);
    if (!error)
        error = version_check(db, &schema_sqlite);
    if (error) {
        place_fail(why, why_size, error, db->db.why, file);
        db_close(&db->db);
        return error;
    }
    *out = &db->db;
    return 0;
}
