/* What the commands share: how one is described, how its arguments are read, how it ends.
 *
 * Results go to standard output, all else to standard error. 0 done; 1 the world said no; 2 usage or a bad value.
 */
#ifndef QUIETARM_COMMAND_H
#define QUIETARM_COMMAND_H

#include "gateway/config.h"
#include "store/store.h"

enum { EXIT_DONE = 0, EXIT_WORLD = 1, EXIT_USAGE = 2 };

/* `argv` is what follows the command's name, -c FILE taken out. */
struct invocation {
    const char *command, *config_file;
    bool config_given;        /* else config_file is the default */
    int argc;
    char **argv;
};

struct command {
    const char *name, *does;  /* a line for the program's help */
    const char *help;         /* usage and options; NULL: the command answers --help itself */
    int (*run)(const struct invocation *in);
};

int serve_command(const struct invocation *in);
int check_command(const struct invocation *in);
int enrol_command(const struct invocation *in);
int roster_command(const struct invocation *in);
int week_command(const struct invocation *in);
int export_command(const struct invocation *in);
int leaflet_command(const struct invocation *in);
int account_command(const struct invocation *in);
int backup_command(const struct invocation *in);
int erase_command(const struct invocation *in);
int verify_command(const struct invocation *in);
int migrate_command(const struct invocation *in);
int version_command(const struct invocation *in);

/* -- arguments (command.c) ------------------------------------------------------------------------------------------------ */

struct argument {
    const char *name;   /* "--clinic"; NULL: what stands alone, in its order */
    bool flag, needed;
    const char *means;  /* "K": for messages */
    const char *value;  /* out: NULL when not given; a flag's is "" */
};

/* Fills `value` of each of the `n`. --name VALUE and --name=VALUE. 0, or EXIT_USAGE and told. */
int arguments_read(const struct invocation *in, struct argument *known, size_t n);

/* "quietarm COMMAND: …" on one line of standard error; returns `status`. */
int command_fail(const struct invocation *in, int status, const char *format, ...) __attribute__((format(printf, 3, 4)));
/* The error of the store in words, with what to do. */
int command_fail_store(const struct invocation *in, const struct db *db, int error);

/* -- what most commands begin with -------------------------------------------------------------------------------------------- */

/* Opens the configuration, every mistake on a line of standard error. 0, EXIT_WORLD when there is none, EXIT_USAGE. */
int command_config(const struct invocation *in, bool secrets, struct config *out);
/* The arguments, then the configuration: how most commands begin. Either's status. */
int command_begin(const struct invocation *in, struct argument *known, size_t n, bool secrets, struct config *out);
/* Opens the database: DB_READ or DB_WRITE; makes it when there is none and it is to be written. 0, or EXIT_WORLD and told. */
int command_db(const struct invocation *in, const struct config *config, enum db_use use, struct db **out);
/* The clinic's own time: that of the database when the clock is stepped, else the system's. 0, or EXIT_WORLD and told. */
int command_now(const struct invocation *in, const struct config *config, struct db *db, int64_t *now);
/* The clinic so named. NULL and told: EXIT_USAGE is due. */
const struct clinic *command_clinic(const struct invocation *in, const struct config *config, const char *id);
/* Standard output is flushed whole. EXIT_DONE, or EXIT_WORLD and told (a full disk, a closed pipe). */
int command_done(const struct invocation *in);

#endif
