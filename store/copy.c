/* Copies a database while others write to it, and seals the copy.
 *
 * All pages go in one step: page by page the copy would begin anew at every commit of another process and never end.
 * One step of a hundred megabytes takes a tenth of a second. A copy appears under its name only when it is whole and
 * synced. SQLite's own check sees damage of its structure and of what is in an index, not a changed byte in a text: the
 * seal, a digest of every row, does.
 */
#include "store/copy.h"

#include <errno.h>
#include <fcntl.h>
#include <libgen.h>
#include <sodium.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "store/sqlite.h"

enum { COPY_PATH = 1200 };

/* -- the seal ------------------------------------------------------------------------------------------------------------ */

static const struct {
    const char *of, *rows;
} sealed[] = {
    {"people", "SELECT * FROM people ORDER BY id"},
    {"courses", "SELECT * FROM courses ORDER BY person"},
    {"weeks", "SELECT * FROM weeks ORDER BY id"},
    {"messages", "SELECT * FROM messages ORDER BY hash"},
    {"texts", "SELECT * FROM texts ORDER BY id"},
    {"readings", "SELECT * FROM readings ORDER BY id"},
    {"alerts", "SELECT * FROM alerts ORDER BY id"},
    {"desk", "SELECT * FROM desk ORDER BY id"},
    {"outbox", "SELECT * FROM outbox ORDER BY id"},
    {"tallies", "SELECT * FROM tallies ORDER BY class, state"},
    {"receipts", "SELECT * FROM receipts ORDER BY id, by_key"},
    {"audit", "SELECT * FROM audit ORDER BY seq"},
    {"accounts", "SELECT * FROM accounts ORDER BY username"},
    {"sessions", "SELECT * FROM sessions ORDER BY token"},
    {"refusals", "SELECT * FROM refusals ORDER BY hash"},
    {"overview", "SELECT * FROM overview ORDER BY person"},
    {"stages", "SELECT * FROM stages ORDER BY clinic, stage"},
    {"people_words", "SELECT * FROM people_words ORDER BY clinic, word, person"},
    {"months", "SELECT * FROM months ORDER BY clinic, month, what"},
    {"meta", "SELECT * FROM meta ORDER BY key"},
};

static void digest_column(crypto_generichash_state *state, sqlite3_stmt *statement, int i)
{
    int64_t head[2] = {sqlite3_column_type(statement, i), 0};
    double real = sqlite3_column_double(statement, i);
    const void *bytes = &head[1];
    int size = sizeof head[1];
    switch (head[0]) {
    case SQLITE_INTEGER:
        head[1] = sqlite3_column_int64(statement, i);
        break;
    case SQLITE_FLOAT:
        bytes = &real;
        break;
    case SQLITE_TEXT:
    case SQLITE_BLOB:
        bytes = sqlite3_column_blob(statement, i);
        size = sqlite3_column_bytes(statement, i);
        head[1] = size;
        break;
    default:
        break;
    }
    crypto_generichash_update(state, (const unsigned char *)head, sizeof head);
    if (bytes)
        crypto_generichash_update(state, bytes, (unsigned long long)size);
}

static int digest_rows(sqlite3 *handle, const char *rows, unsigned char digest[SEAL_BYTES])
{
    crypto_generichash_state state;
    sqlite3_stmt *statement = NULL;
    crypto_generichash_init(&state, NULL, 0, SEAL_BYTES);
    int code = sqlite3_prepare_v2(handle, rows, -1, &statement, NULL);
    while (code == SQLITE_OK || code == SQLITE_ROW) {
        code = sqlite3_step(statement);
        for (int i = 0; code == SQLITE_ROW && i < sqlite3_column_count(statement); i++)
            digest_column(&state, statement, i);
    }
    crypto_generichash_final(&state, digest, SEAL_BYTES);
    sqlite3_finalize(statement);
    return code == SQLITE_DONE ? SQLITE_OK : code;
}

static int seal_put(sqlite3 *handle, const char *of, const unsigned char digest[SEAL_BYTES])
{
    sqlite3_stmt *statement = NULL;
    int code = sqlite3_prepare_v2(handle, "INSERT INTO seals (of, digest) VALUES ($1, $2)", -1, &statement, NULL);
    if (code == SQLITE_OK) {
        sqlite3_bind_text(statement, 1, of, -1, SQLITE_STATIC);
        sqlite3_bind_blob(statement, 2, digest, SEAL_BYTES, SQLITE_STATIC);
        code = sqlite3_step(statement);
    }
    sqlite3_finalize(statement);
    return code == SQLITE_DONE ? SQLITE_OK : code;
}

static int seal_check(sqlite3 *handle, const char *of, const unsigned char digest[SEAL_BYTES], bool *sound)
{
    sqlite3_stmt *statement = NULL;
    int code = sqlite3_prepare_v2(handle, "SELECT digest FROM seals WHERE of = $1", -1, &statement, NULL);
    if (code == SQLITE_OK) {
        sqlite3_bind_text(statement, 1, of, -1, SQLITE_STATIC);
        code = sqlite3_step(statement);
        if (code == SQLITE_ROW && (sqlite3_column_bytes(statement, 0) != SEAL_BYTES ||
                                   memcmp(sqlite3_column_blob(statement, 0), digest, SEAL_BYTES) != 0))
            *sound = false;
    }
    sqlite3_finalize(statement);
    return code == SQLITE_ROW || code == SQLITE_DONE ? SQLITE_OK : code;
}

int seal_database(sqlite3 *handle, bool write, bool *sound)
{
    unsigned char digest[SEAL_BYTES];
    int code = SQLITE_OK;
    for (size_t i = 0; i < COUNT(sealed) && code == SQLITE_OK; i++) {
        code = digest_rows(handle, sealed[i].rows, digest);
        if (code == SQLITE_OK && write)
            code = seal_put(handle, sealed[i].of, digest);
        else if (code == SQLITE_OK)
            code = seal_check(handle, sealed[i].of, digest, sound);
    }
    return code;
}

/* -- the copy ---------------------------------------------------------------------------------------------------------- */

static int copy_pages(sqlite3 *from, sqlite3 *to)
{
    sqlite3_backup *backup = sqlite3_backup_init(to, "main", from, "main");
    if (!backup)
        return sqlite3_errcode(to);
    sqlite3_backup_step(backup, -1);
    return sqlite3_backup_finish(backup);
}

static int copy_to(sqlite3 *handle, const char *part, bool with_seal)
{
    sqlite3 *to = NULL;
    char uri[3 * COPY_PATH];
    bool sound = true;
    if (!sqlite_uri(part, "", uri, sizeof uri))
        return SQLITE_CANTOPEN;
    int code = sqlite3_open_v2(uri, &to, SQLITE_OPEN_READWRITE | SQLITE_OPEN_URI, NULL);
    if (code == SQLITE_OK)
        code = copy_pages(handle, to);
    if (code == SQLITE_OK) /* one file that needs no log beside it */
        code = sqlite3_exec(to, "PRAGMA journal_mode = DELETE; BEGIN; DELETE FROM seals;", NULL, NULL, NULL);
    if (code == SQLITE_OK && with_seal)
        code = seal_database(to, true, &sound);
    if (code == SQLITE_OK)
        code = sqlite3_exec(to, "COMMIT", NULL, NULL, NULL);
    sqlite3_close(to);
    return code;
}

static int sync_path(const char *path, int flags)
{
    int fd = open(path, flags | O_CLOEXEC);
    int failed = fd < 0 || fsync(fd) != 0;
    if (fd >= 0)
        close(fd);
    return failed ? -1 : 0;
}

/* Never over a file that is there. */
static int name_it(const char *part, const char *dest)
{
    char folder[COPY_PATH];
    if (renameat2(AT_FDCWD, part, AT_FDCWD, dest, RENAME_NOREPLACE) != 0 &&
        (errno != EINVAL || access(dest, F_OK) == 0 || rename(part, dest) != 0)) /* EINVAL: a file system that cannot */
        return -1;
    snprintf(folder, sizeof folder, "%s", dest);
    return sync_path(dirname(folder), O_RDONLY | O_DIRECTORY);
}

static int fail_errno(char *why, size_t size, const char *name)
{
    snprintf(why, size, "%s: %s", name, strerror(errno));
    return errno == ENOSPC || errno == EDQUOT ? STORE_FULL : errno == EEXIST ? STORE_CONFLICT : STORE_IO;
}

int copy_database(sqlite3 *handle, const char *dest, bool with_seal, char *why, size_t why_size)
{
    char part[COPY_PATH];
    int error = 0;
    if ((size_t)snprintf(part, sizeof part, "%s.part-%d", dest, (int)getpid()) >= sizeof part)
        return fail_errno(why, why_size, (errno = ENAMETOOLONG, dest));
    if (access(dest, F_OK) == 0)
        return fail_errno(why, why_size, (errno = EEXIST, dest));
    unlink(part);
    int fd = open(part, O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
    if (fd < 0)
        return fail_errno(why, why_size, part);
    close(fd);
    int code = copy_to(handle, part, with_seal);
    if (code != SQLITE_OK) {
        snprintf(why, why_size, "%s: %s", dest, sqlite3_errstr(code));
        error = (code & 0xff) == SQLITE_FULL ? STORE_FULL : (code & 0xff) == SQLITE_BUSY ? STORE_BUSY : STORE_IO;
    } else if (sync_path(part, O_RDWR) != 0 || name_it(part, dest) != 0) {
        error = fail_errno(why, why_size, dest);
    }
    if (error)
        unlink(part);
    return error;
}
