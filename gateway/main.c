/* quietarm: the program. Finds the command and the configuration file, and hands over.
 *
 * A command is a row of a table; what it does is in its own file. Nothing is opened here.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/command.h"
#include "gateway/commands.h"
#include "gateway/json_memory.h"

static const struct command *command_find(const char *name)
{
    for (const struct command *c = commands; c->name; c++)
        if (strcmp(c->name, name) == 0)
            return c;
    return NULL;
}

static int program_help(void)
{
    printf("usage: quietarm [-c FILE] COMMAND …\n\n"
           "Home blood pressure by text message. -c names the configuration (quietarm.ini), before or after "
           "the command.\n\n");
    for (const struct command *c = commands; c->name; c++)
        printf("  %-8s %s\n", c->name, c->does);
    printf("\nquietarm COMMAND --help says more. Exit status: 0 done; 1 not possible now; 2 usage, or a bad "
           "value.\n");
    return command_done(&(struct invocation){.command = "--help"});
}

static const char default_file[] = "quietarm.ini";

/* Takes every `-c FILE` out of argv; the last one counts. NULL when one has no file. */
static const char *config_file_take(int *argc, char **argv)
{
    const char *file = default_file;
    int kept = 0;
    for (int i = 0; i < *argc; i++) {
        if (strcmp(argv[i], "-c") != 0)
            argv[kept++] = argv[i];
        else if (i + 1 < *argc)
            file = argv[++i];
        else
            file = NULL;
    }
    *argc = kept;
    return file;
}

static bool help_asked(const struct invocation *in)
{
    for (int i = 0; i < in->argc; i++)
        if (strcmp(in->argv[i], "--help") == 0)
            return true;
    return false;
}

int main(int argc, char **argv)
{
    json_memory_watch(malloc);
    const char *file = config_file_take(&argc, argv);
    if (!file) {
        fputs("quietarm: -c needs a file; write -c FILE\n", stderr);
        return EXIT_USAGE;
    }
    if (argc < 2) {
        fputs("quietarm: no command; see quietarm --help\n", stderr);
        return EXIT_USAGE;
    }
    if (strcmp(argv[1], "--help") == 0)
        return program_help();
    const struct command *c = command_find(argv[1]);
    if (!c) {
        fprintf(stderr, "quietarm: unknown command %.40s; see quietarm --help\n", argv[1]);
        return EXIT_USAGE;
    }
    struct invocation in = {.command = c->name,
                            .config_file = file,
                            .config_given = file != default_file,
                            .argc = argc - 2,
                            .argv = argv + 2};
    if (c->help && help_asked(&in)) {
        fputs(c->help, stdout);
        return command_done(&in);
    }
    return c->run(&in);
}
