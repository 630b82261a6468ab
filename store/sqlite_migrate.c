/* From the schema that is there to the one that this program knows, in one transaction.
 *
 * An older database is copied aside first, to FILE.before-VERSION (synced; a copy that is there already is left). A
 * newer one is left alone: version_check refuses it. A file of another program is refused. Must never lose a row.
 */
#include "store/sqlite.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "store/copy.h"

/* The whole number that a pragma gives. SQLite's code, 0 when all is well. */
static int pragma_get(sqlite3 *handle, const char *sql, int *value)
{
    sqlite3_stmt *statement = NULL;
    int code = sqlite3_prepare_v2(handle, sql, -1, &statement, NULL);
    if (code == SQLITE_OK) {
        code = sqlite3_step(statement);
        if (code == SQLITE_ROW)
            *value = sqlite3_column_int(statement, 0);
    }
    sqlite3_finalize(statement);
    return code == SQLITE_ROW ? SQLITE_OK : code;
}

int sqlite_version(sqlite3 *handle, int *version)
{
    return pragma_get(handle, "PRAGMA user_version", version);
}

static int ours(struct sqlite_db *db, int *version)
{
    int application = 0, tables = 0;
    int code = sqlite_version(db->handle, version);
    if (code == SQLITE_OK)
        code = pragma_get(db->handle, "PRAGMA application_id", &application);
    if (code == SQLITE_OK)
        code = pragma_get(db->handle, "SELECT count(*) FROM sqlite_schema", &tables);
    if (code != SQLITE_OK)
        return sqlite_error(&db->db, code);
    if (application == SCHEMA_APPLICATION_ID || (application == 0 && *version == 0 && tables == 0))
        return 0;
    return db_fail(&db->db, STORE_CORRUPT, "not a database of quietarm");
}

static int aside(struct sqlite_db *db, const char *file, int version)
{
    char path[1200];
    snprintf(path, sizeof path, "%s.before-%d", file, version);
    return access(path, F_OK) == 0 ? 0 : copy_database(db->handle, path, false, db->db.why, sizeof db->db.why);
}

static int steps_run(struct sqlite_db *db, const struct schema *schema, int from)
{
    int error = 0;
    for (int i = from; i < schema->version && !error; i++)
        error = sqlite_execute(&db->db, schema->steps[i]);
    return error;
}

/* A text touches a row each on some ten pages: half as large, they cost a tenth less in all. */
#define FIRST_SETTINGS "PRAGMA page_size = 2048; PRAGMA journal_mode = WAL"

int sqlite_migrate(struct sqlite_db *db, const char *file, const struct schema *schema)
{
    int version = 0;
    int error = ours(db, &version);
    if (error || version >= schema->version)
        return error;
    if (version > 0)
        error = aside(db, file, schema->version);
    else
        error = sqlite_execute(&db->db, FIRST_SETTINGS);
    if (!error)
        error = sqlite_execute(&db->db, "BEGIN IMMEDIATE");
    if (error)
        return error;
    error = ours(db, &version); /* again, now that nobody else can migrate it */
    if (!error && version < schema->version)
        error = steps_run(db, schema, version);
    if (!error)
        error = sqlite_execute(&db->db, "COMMIT");
    if (error)
        sqlite3_exec(db->handle, "ROLLBACK", NULL, NULL, NULL);
    return error;
}
