/* Who may use the desk, and who is signed in.
 *
 * Passwords and tokens are hashed by the caller; nothing here could sign anybody in. Some dozens of accounts.
 */
#include <string.h>

#include "store/tables.h"

static const char account_set[] = "INSERT INTO accounts (" COLUMNS(ACCOUNTS) ") VALUES (" DOLLARS_7 ")"
                                  " ON CONFLICT (username) DO UPDATE SET " SET(ACCOUNTS);
static const char session_set[] = "INSERT INTO sessions (" COLUMNS(SESSIONS) ") VALUES (" DOLLARS_5 ")"
                                  " ON CONFLICT (token) DO UPDATE SET " SET(SESSIONS)
                                  " WHERE sessions.username = excluded.username";
_Static_assert(ACCOUNTS_N == 7 && SESSIONS_N == 5, "the dollars above");

int account_put(struct db *db, const struct account *a)
{
    struct value values[ACCOUNTS_N];
    row_bind(accounts_columns, ACCOUNTS_N, a, values, NULL);
    return db_run(db, account_set, values, ACCOUNTS_N);
}

static int account_row(void *context, const struct value *columns, size_t n)
{
    return row_read(accounts_columns, n, columns, context);
}

int account_get(struct db *db, const char *user, struct account *out, bool *found)
{
    static const char get[] = "SELECT " COLUMNS(ACCOUNTS) " FROM accounts WHERE username = $1 AND username <> ''";
    struct value value = value_text(user);
    memset(out, 0, sizeof *out);
    int error = db_load(db, &(struct query){get, &value, 1, account_row, out}, 1);
    *found = !error && out->user[0];
    return error;
}

int accounts_list(struct db *db, const char *clinic, struct account **out, size_t *n)
{
    static const char of_clinic[] = "SELECT " COLUMNS(ACCOUNTS) " FROM accounts WHERE clinic = $1 ORDER BY username";
    static const char of_all[] = "SELECT " COLUMNS(ACCOUNTS) " FROM accounts ORDER BY username";
    struct value value = value_text(clinic);
    struct rows rows = {.columns = accounts_columns, .n_columns = ACCOUNTS_N, .size = sizeof **out};
    int error = rows_load(db, *clinic ? of_clinic : of_all, &value, *clinic ? 1 : 0, &rows);
    *out = rows.at;
    *n = rows.n;
    return error;
}

/* -- sessions ------------------------------------------------------------------------------------------------------------ */

int session_put(struct db *db, const struct session *s)
{
    struct value values[SESSIONS_N];
    row_bind(sessions_columns, SESSIONS_N, s, values, NULL);
    return db_run(db, session_set, values, SESSIONS_N);
}

static int session_row(void *context, const struct value *columns, size_t n)
{
    return row_read(sessions_columns, n, columns, context);
}

int session_get(struct db *db, const uint8_t token[TOKEN_HASH], struct session *out, bool *found)
{
    static const char get[] = "SELECT " COLUMNS(SESSIONS) " FROM sessions WHERE token = $1";
    struct value value = value_blob(token, TOKEN_HASH);
    memset(out, 0, sizeof *out);
    int error = db_load(db, &(struct query){get, &value, 1, session_row, out}, 1);
    *found = !error && out->user[0];
    return error;
}

int session_end(struct db *db, const uint8_t token[TOKEN_HASH])
{
    return db_run(db, "DELETE FROM sessions WHERE token = $1", (struct value[]){value_blob(token, TOKEN_HASH)}, 1);
}

int sessions_end_of(struct db *db, const char *user)
{
    return db_run(db, "DELETE FROM sessions WHERE username = $1", (struct value[]){value_text(user)}, 1);
}

int sessions_end_before(struct db *db, int64_t now)
{
    return db_run(db, "DELETE FROM sessions WHERE ends <= $1", (struct value[]){value_whole(now)}, 1);
}
