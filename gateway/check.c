/* quietarm check: tells every mistake that serve would stumble over, changes nothing, sends nothing.
 *
 * The configuration with its secrets, the word lists, the texts, the protocols, and the database, opened read-only if it is
 * there.
 */
#include <stdio.h>
#include <string.h>

#include "gateway/command.h"
#include "gateway/flow/flow.h"
#include "gateway/folder.h"

enum { WHY_BYTES = 512, MISTAKES_BYTES = 20 * WHY_BYTES };

static int words_check(const struct config *config)
{
    char why[MISTAKES_BYTES] = "";
    struct parser *parser = NULL;
    int bad = words_open(&parser, config->words, why, sizeof why) < 0 || parser_check(parser, why, sizeof why) < 0;
    if (bad)
        fprintf(stderr, "%s\n", why);
    parser_close(parser);
    return bad;
}

static int texts_check(const struct config *config)
{
    char why[MISTAKES_BYTES] = "";
    struct texts *texts = NULL;
    int bad = texts_load(&texts, config->texts, why, sizeof why) < 0;
    if (bad)
        fprintf(stderr, "%s\n", why);
    else
        texts_close(texts);
    return bad;
}

/* "" is fine; else what is wrong with the database. */
static int database_check(const struct invocation *in, const struct config *config, char *state, size_t size)
{
    struct db *db = NULL;
    char why[WHY_BYTES] = "";
    int64_t largest;
    int error = db_open(&db, config->state, DB_READ, why, sizeof why);
    snprintf(state, size, "%s", error == STORE_ABSENT ? "none yet" : "ready");
    if (error == STORE_ABSENT)
        return 0;
    if (!error)
        error = db_largest_id(db, &largest);
    db_close(db);
    if (!error)
        return 0;
    return why[0] ? command_fail(in, EXIT_WORLD, "%s", why) : command_fail_store(in, NULL, error);
}

int check_command(const struct invocation *in)
{
    struct config config;
    char database[32];
    int status = command_begin(in, NULL, 0, true, &config);
    if (status)
        return status;
    if (words_check(&config) + texts_check(&config))
        status = EXIT_USAGE;
    int world = database_check(in, &config, database, sizeof database);
    if (!status)
        status = world;
    if (!status) {
        printf("ok: %s: %zu clinic%s, database %s\n", config.file, config.n_clinics,
               config.n_clinics == 1 ? "" : "s", database);
        status = command_done(in);
    }
    config_close(&config);
    return status;
}
