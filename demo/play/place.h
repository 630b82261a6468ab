/* A database of its own for each play and each test, where the store is one that is shared: a fresh schema on the server that
 * the environment names.
 *
 * TEST_STORE is what `store` says in the configuration, TEST_CONNINFO how the server is reached. Without them every state
 * folder is its own database, and there is nothing to do.
 */
#ifndef QUIETARM_PLAY_PLACE_H
#define QUIETARM_PLAY_PLACE_H

#include <libpq-fe.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { PLACE_CONNINFO = 1024 };

static inline const char *place_store(void)
{
    return getenv("TEST_CONNINFO") ? getenv("TEST_STORE") : NULL;
}

/* Runs statements on the test's server; false and told when it would not. */
static inline bool place_run(const char *conninfo, const char *sql)
{
    PGconn *link = PQconnectdb(conninfo);
    PGresult *r = PQexec(link, sql);
    ExecStatusType status = PQresultStatus(r);
    bool done = status == PGRES_COMMAND_OK || status == PGRES_TUPLES_OK;
    if (!done)
        fprintf(stderr, "%s: %s", sql, PQerrorMessage(link));
    PQclear(r);
    PQfinish(link);
    return done;
}

/* A schema that nobody has used, as a conninfo. false: the store is not a shared one, or there is no server. */
static inline bool place_fresh(char conninfo[PLACE_CONNINFO])
{
    static int made;
    char schema[64], sql[256];
    if (!place_store())
        return false;
    snprintf(schema, sizeof schema, "play_%d_%d", (int)getpid(), ++made);
    snprintf(sql, sizeof sql, "SET client_min_messages = error; DROP SCHEMA IF EXISTS %s CASCADE; CREATE SCHEMA %s", schema,
             schema);
    snprintf(conninfo, PLACE_CONNINFO, "%s options='-c search_path=%s'", getenv("TEST_CONNINFO"), schema);
    return place_run(getenv("TEST_CONNINFO"), sql);
}

/* The conninfo that was written beside a configuration; false: there is none. */
static inline bool place_read(const char *file, char conninfo[PLACE_CONNINFO])
{
    FILE *in = fopen(file, "r");
    size_t n = in ? fread(conninfo, 1, PLACE_CONNINFO - 1, in) : 0;
    conninfo[n] = '\0';
    if (in)
        fclose(in);
    return n > 0;
}

/* Makes the configuration that was just written in this folder one of the shared store, if there is one. */
static inline bool place_settle(const char *ini)
{
    char conninfo[PLACE_CONNINFO], text[16384], *after;
    if (!place_store())
        return true;
    FILE *f = fopen(ini, "r");
    size_t n = f ? fread(text, 1, sizeof text - 1, f) : 0;
    text[n] = '\0';
    if (f)
        fclose(f);
    if (!place_fresh(conninfo) || !(after = strstr(text, "[gateway]\n")) || !(f = fopen("conninfo", "w")))
        return false;
    fputs(conninfo, f);
    fclose(f);
    chmod("conninfo", 0600);
    f = fopen(ini, "w");
    after += strlen("[gateway]\n");
    fprintf(f, "%.*sstore = %s\nconninfo_file = conninfo\n%s", (int)(after - text), text, place_store(), after);
    return fclose(f) == 0;
}

#endif
