/* The tables as they are copied: parents before children, what triggers count after what they count.
 *
 * A page costs the rows that it brings: every key here is a primary key.
 */
#include "store/tables.h"
#include "store/transfer.h"

#define AUDIT_COLUMNS "seq, at, person, clinic, who, action, detail, hash, chain"
#define OVERVIEW_COLUMNS "person, clinic, ref, stage, heard, mean_sys, mean_dia"

#define PAGES(table, columns, keys, dollars, limit, also)                                                              \
    .first = "SELECT " columns " FROM " table " WHERE " also " ORDER BY " keys " LIMIT $1",                            \
    .next = "SELECT " columns " FROM " table " WHERE (" keys ") > (" dollars ") AND " also " ORDER BY " keys           \
            " LIMIT " limit
#define PUT(table, columns, dollars) "INSERT INTO " table " (" columns ") VALUES (" dollars ") ON CONFLICT DO NOTHING"
#define LAST1(table, key) "SELECT " key " FROM " table " ORDER BY " key " DESC LIMIT 1"
#define ONE(table, columns_, n, dollars_, key)                                                                         \
    {.of = table, .columns = n, .keys = 1, PAGES(table, columns_, key, "$1", "$2", "1 = 1"),                           \
     .last = LAST1(table, key), .put = PUT(table, columns_, dollars_)}

const struct transfer_table transfer_tables[] = {
    ONE("people", COLUMNS(PEOPLE), PEOPLE_N, DOLLARS_43, "id"),
    ONE("courses", COLUMNS(COURSES), COURSES_N, DOLLARS_33, "person"),
    ONE("weeks", COLUMNS(WEEKS), WEEKS_N, DOLLARS_24, "id"),
    ONE("messages", "hash, received", 2, DOLLARS_2, "hash"),
    ONE("texts", COLUMNS(TEXTS), TEXTS_N, DOLLARS_10, "id"),
    ONE("readings", COLUMNS(READINGS), READINGS_N, DOLLARS_27, "id"),
    ONE("alerts", COLUMNS(ALERTS), ALERTS_N, DOLLARS_14, "id"),
    ONE("desk", COLUMNS(DESK), DESK_N, DOLLARS_16, "id"),
    ONE("outbox", COLUMNS(OUTBOX) ", staff, check_due", OUTBOX_N + 2, DOLLARS_30, "id"),
    {.of = "receipts", .columns = RECEIPTS_N, .keys = 2, PAGES("receipts", COLUMNS(RECEIPTS), "id, by_key", "$1, $2", "$3", "1 = 1"),
     .last = "SELECT id, by_key FROM receipts ORDER BY id DESC, by_key DESC LIMIT 1",
     .put = PUT("receipts", COLUMNS(RECEIPTS), DOLLARS_4), .key_at = {0, 1}},
    ONE("audit", AUDIT_COLUMNS, 9, DOLLARS_8 ", $9", "seq"),
    ONE("accounts", COLUMNS(ACCOUNTS), ACCOUNTS_N, DOLLARS_7, "username"),
    ONE("sessions", COLUMNS(SESSIONS), SESSIONS_N, DOLLARS_5, "token"),
    ONE("refusals", "hash, at", 2, DOLLARS_2, "hash"),
    {.of = "meta", .columns = 2, .keys = 1, PAGES("meta", "key, value", "key", "$1", "$2", "key <> 'moving'"),
     .last = "SELECT key FROM meta WHERE key <> 'moving' ORDER BY key DESC LIMIT 1", .put = PUT("meta", "key, value", DOLLARS_2)},
    {.of = "overview", .columns = 7, .keys = 1, PAGES("overview", OVERVIEW_COLUMNS, "person", "$1", "$2", "1 = 1"),
     .put = PUT("overview", OVERVIEW_COLUMNS, DOLLARS_7), .clear = "DELETE FROM overview"},
    {.of = "people_words", .columns = 3, .keys = 3,
     PAGES("people_words", "clinic, word, person", "clinic, word, person", "$1, $2, $3", "$4", "1 = 1"),
     .put = PUT("people_words", "clinic, word, person", "$1, $2, $3"), .clear = "DELETE FROM people_words", .key_at = {0, 1, 2}},
    {.of = "months", .columns = 4, .keys = 3,
     PAGES("months", "clinic, month, what, n", "clinic, month, what", "$1, $2, $3", "$4", "1 = 1"),
     .put = "INSERT INTO months (clinic, month, what, n) VALUES ($1, $2, $3, $4)", .clear = "DELETE FROM months",
     .key_at = {0, 1, 2}},
    {.of = NULL},
};
_Static_assert(PEOPLE_N == 43 && COURSES_N == 33 && WEEKS_N == 24 && READINGS_N == 27 && ALERTS_N == 14 && DESK_N == 16 &&
                   OUTBOX_N == 28 && TEXTS_N == 10 && RECEIPTS_N == 4 && ACCOUNTS_N == 7 && SESSIONS_N == 5,
               "the dollars above");
