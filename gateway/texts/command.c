/* The command `quietarm texts`: every text that can be sent, with its size on air, for a person to read through.
 *
 * A line each: language, name, segments with the longest values, the words as in the file. Nothing else is printed to
 * standard output. About 140 lines a language.
 */
#include "gateway/texts/room.h"

#include <stdio.h>
#include <string.h>

static const char usage[] = "usage: quietarm texts [--language L]\n"
                            "Prints each text: language, name, segments with its longest values, words.\n";

static void tongue_print(const struct tongue *o)
{
    char body[BODY_MAX];

    for (unsigned kind = 1; kind < TEXT_KIND_COUNT; kind++)
        printf("%-3s %-20s %d  %s\n", o->code, entry_name(kind),
               say_longest(o, o->entry[kind], body, sizeof body), o->entry[kind]);
}

/* What was printed has reached standard output, or the world said no. */
static int printed(void)
{
    if (!fflush(stdout) && !ferror(stdout))
        return 0;
    fputs("quietarm texts: standard output takes no more; what was printed is not whole\n", stderr);
    return 1;
}

static int language_unknown(const struct texts *t, const char *language)
{
    fprintf(stderr, "quietarm texts: there is no language \"%s\", choose one of:", language);
    for (size_t i = 0; i < t->n; i++)
        fprintf(stderr, " %s", t->tongue[i].code);
    fputc('\n', stderr);
    return 2;
}

int texts_command(const struct texts *t, int argc, char **argv)
{
    const char *language = NULL;

    if (argc == 1 && !strcmp(argv[0], "--help")) {
        fputs(usage, stdout);
        return printed();
    }
    if (argc == 2 && !strcmp(argv[0], "--language"))
        language = argv[1];
    else if (argc != 0) {
        fprintf(stderr, "quietarm texts: \"%s\" is not understood, give nothing or --language L\n",
                argc == 1 || strcmp(argv[0], "--language") ? argv[0] : argv[2]);
        return 2;
    }
    if (language && !texts_tongue(t, language))
        return language_unknown(t, language);
    for (size_t i = 0; i < t->n; i++)
        if (!language || !strcmp(language, t->tongue[i].code))
            tongue_print(&t->tongue[i]);
    return printed();
}
