/* What PostgreSQL said, as an error of the store. By SQLSTATE (PostgreSQL manual, appendix A), never by words.
 *
 * Its primary message names tables, columns and constraints; the detail, which holds data, is left out.
 */
#include "store/postgres.h"

#include <stdio.h>
#include <string.h>

static const struct {
    const char *state; /* or its beginning */
    int error;
    bool stale; /* this connection will say so again, another one need not */
} states[] = {
    {"40", STORE_AGAIN},         /* serialization failure, deadlock */
    {"55P03", STORE_BUSY},       /* a lock was not to be had in time */
    {"53100", STORE_FULL},       {"53200", STORE_MEMORY},
    {"53", STORE_BUSY},          /* too many connections */
    {"23", STORE_CONFLICT},      {"22", STORE_CONFLICT},
    {"25006", STORE_IO, true},   /* read-only: a primary that is none any more */
    {"3D", STORE_ABSENT},        /* no such database */
    {"0A000", STORE_IO, true},   /* a plan of before a migration */
    {"26000", STORE_IO, true},   /* what was prepared is forgotten: a pooler in between, which must not be */
    {"42", STORE_CORRUPT},       /* the SQL is ours: what it names is not there */
    {"XX001", STORE_CORRUPT},    {"XX002", STORE_CORRUPT},
};

static void why_set(struct db *db, const char *words)
{
    size_t n = 0;
    for (const char *c = words; *c && n + 1 < sizeof db->why; c++)
        if (*c != '\n' || (c[1] && n))
            db->why[n++] = *c == '\n' || *c == '\t' ? ' ' : *c;
    db->why[n] = '\0';
}

int postgres_error(struct postgres_db *p, const PGresult *result)
{
    const char *state = result ? PQresultErrorField(result, PG_DIAG_SQLSTATE) : NULL;
    const char *words = result ? PQresultErrorField(result, PG_DIAG_MESSAGE_PRIMARY) : NULL;
    if (!words)
        words = p->link && PQerrorMessage(p->link)[0] ? PQerrorMessage(p->link) : "the connection to the database is gone";
    why_set(&p->db, words);
    for (size_t i = 0; state && i < COUNT(states); i++)
        if (strncmp(state, states[i].state, strlen(states[i].state)) == 0) {
            p->stale |= states[i].stale;
            return states[i].error;
        }
    return STORE_IO;
}
