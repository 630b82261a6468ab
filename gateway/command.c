/* What the commands share: arguments, the words of a failure, configuration and database opened.
 *
 * A failure is one line: what, where, what to do. Nothing is printed to standard output here.
 */
#include "gateway/command.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

enum { FAILURE_BYTES = 1200 };

int command_fail(const struct invocation *in, int status, const char *format, ...)
{
    char line[FAILURE_BYTES];
    va_list args;
    va_start(args, format);
    vsnprintf(line, sizeof line, format, args);
    va_end(args);
    for (char *c = line; *c; c++)
        if ((unsigned char)*c < ' ')
            *c = ' ';
    fprintf(stderr, "quietarm %s: %s\n", in->command, line);
    return status;
}

int command_fail_store(const struct invocation *in, const struct db *db, int error)
{
    static const struct {
        int error;
        const char *what;
    } words[] = {
        {STORE_BUSY, "the database is held by another process; try again"},
        {STORE_FULL, "the disk is full; make room and try again"},
        {STORE_CORRUPT, "the database is damaged; run quietarm verify on it, and restore the last backup"},
        {STORE_NEWER, "the database is of a newer quietarm; use that program"},
        {STORE_ABSENT, "there is no database yet; start quietarm serve once"},
        {STORE_MEMORY, "out of memory; close something and try again"},
        {STORE_AGAIN, "another gateway was in the way; try again"},
    };
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (words[i].error == error)
            return command_fail(in, EXIT_WORLD, "%s", words[i].what);
    return command_fail(in, EXIT_WORLD, "the database said no (%s%s%s); see the log, then try again",
                        store_error_name(error), db ? ": " : "", db ? db_why(db) : "");
}

/* -- arguments --------------------------------------------------------------------------------------------------------------- */

static bool argument_named(const struct argument *a, const char *word)
{
    size_t n = a->name ? strlen(a->name) : 0;
    return n && strncmp(word, a->name, n) == 0 && (word[n] == '\0' || word[n] == '=');
}

/* The one that `word` names, or the first free one that stands alone; NULL. */
static struct argument *argument_find(struct argument *known, size_t n, const char *word)
{
    bool option = word[0] == '-' && word[1] != '\0';
    for (size_t i = 0; i < n; i++)
        if (option ? argument_named(&known[i], word) : !known[i].name && !known[i].value)
            return &known[i];
    return NULL;
}

static int argument_unknown(const struct invocation *in, const char *word)
{
    if (word[0] == '-')
        return command_fail(in, EXIT_USAGE, "unknown option %.60s; see quietarm %s --help", word,
                            in->command);
    return command_fail(in, EXIT_USAGE, "%.60s is one argument too many; see quietarm %s --help", word,
                        in->command);
}

int arguments_read(const struct invocation *in, struct argument *known, size_t n)
{
    for (int i = 0; i < in->argc; i++) {
        const char *word = in->argv[i], *equals = word[0] == '-' ? strchr(word, '=') : NULL;
        struct argument *a = argument_find(known, n, word);
        if (!a)
            return argument_unknown(in, word);
        if (a->name && a->value)
            return command_fail(in, EXIT_USAGE, "%s is given twice; keep one", a->name);
        if (a->flag && equals)
            return command_fail(in, EXIT_USAGE, "%s takes no value; write it alone", a->name);
        if (!a->name)
            a->value = word;
        else if (a->flag)
            a->value = "";
        else if (equals)
            a->value = equals + 1;
        else if (i + 1 < in->argc)
            a->value = in->argv[++i];
        else
            return command_fail(in, EXIT_USAGE, "%s needs a value; write %s %s", a->name, a->name, a->means);
    }
    for (size_t i = 0; i < n; i++)
        if (known[i].needed && !known[i].value)
            return command_fail(in, EXIT_USAGE, "%s%s%s is missing; see quietarm %s --help",
                                known[i].name ? known[i].name : "", known[i].name ? " " : "", known[i].means,
                                in->command);
    return 0;
}

/* -- configuration, database, time --------------------------------------------------------------------------------------------- */

static void mistake_print(void *context, const char *file, int line, const char *what)
{
    (void)context;
    if (line)
        fprintf(stderr, "%s:%d: %s\n", file, line, what);
    else
        fprintf(stderr, "%s: %s\n", file, what);
}

int command_config(const struct invocation *in, bool secrets, struct config *out)
{
    if (access(in->config_file, R_OK) < 0)
        return command_fail(in, EXIT_WORLD, "%s: %s; name a configuration file with -c FILE", in->config_file,
                            strerror(errno));
    int mistakes = config_open(out, in->config_file, secrets, mistake_print, NULL);
    if (mistakes < 0)
        return command_fail(in, EXIT_WORLD, "out of memory; close something and try again");
    if (!mistakes)
        store_choose(out->store, out->conninfo);
    return mistakes ? EXIT_USAGE : 0;
}

int command_begin(const struct invocation *in, struct argument *known, size_t n, bool secrets, struct config *out)
{
    int status = arguments_read(in, known, n);
    return status ? status : command_config(in, secrets, out);
}

int command_db(const struct invocation *in, const struct config *config, enum db_use use, struct db **out)
{
    char why[256] = "";
    int error = db_open(out, config->state, use, why, sizeof why);
    if (error == STORE_ABSENT && use == DB_WRITE) { /* enrolled before the first start */
        error = db_open(out, config->state, DB_SERVE, why, sizeof why);
        if (!error) {
            db_close(*out);
            error = db_open(out, config->state, use, why, sizeof why);
        }
    }
    if (!error)
        return 0;
    return why[0] ? command_fail(in, EXIT_WORLD, "%s", why) : command_fail_store(in, NULL, error);
}

int command_now(const struct invocation *in, const struct config *config, struct db *db, int64_t *now)
{
    bool found = false;
    int error = config->stepped && db ? meta_get(db, "clock", now, &found) : 0;
    if (error)
        return command_fail_store(in, db, error);
    if (!found)
        *now = config->stepped && config->clock_start != INSTANT_NONE ? config->clock_start : clock_now();
    return 0;
}

const struct clinic *command_clinic(const struct invocation *in, const struct config *config, const char *id)
{
    char known[200] = "";
    const struct clinic *clinic = config_clinic(config, id);
    if (clinic)
        return clinic;
    size_t n = 0;
    for (size_t i = 0; i < config->n_clinics && n < sizeof known; i++)
        n += (size_t)snprintf(known + n, sizeof known - n, "%s%s", i ? ", " : "", config->clinics[i].id);
    command_fail(in, EXIT_USAGE, "--clinic %.40s: there is no [clinic %.40s] in %s; there is %s", id, id,
                 config->file, known);
    return NULL;
}

int command_done(const struct invocation *in)
{
    if (fflush(stdout) == 0 && !ferror(stdout))
        return EXIT_DONE;
    return command_fail(in, EXIT_WORLD, "standard output: %s; what was printed is not whole",
                        strerror(errno));
}
