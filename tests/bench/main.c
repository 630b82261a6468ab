/* bench FOLDER BUILD [--short] [WHAT...]: measures, prints the table, writes BUILD/bench/bench.json and the charts.
 *
 * WHAT: synced intake sender parser morning growth start desk; without, all of them. Exit 0 when everything could be
 * measured and nothing was answered unsynced or allocated: a goal of speed that is missed is told, but the exit status does
 * not depend on the weather of the machine.
 */
#include "tests/bench/bench.h"

#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

static const struct {
    const char *name;
    int (*measure)(const struct bench *b);
} things[] = {{"synced", bench_synced},   {"intake", bench_intake}, {"sender", bench_sender}, {"parser", bench_parser},
              {"morning", bench_morning}, {"growth", bench_growth}, {"start", bench_start},
              {"desk", bench_desk}};

static bool wanted(const char *name, int argc, char **argv)
{
    for (int i = 0; i < argc; i++)
        if (!strcmp(argv[i], name))
            return true;
    return argc == 0;
}

int main(int argc, char **argv)
{
    char file[BENCH_PATH + 32];
    int failed = 0;
    if (argc < 3 || sodium_init() < 0) {
        fprintf(stderr, "usage: bench FOLDER BUILD [--short] [WHAT...]\n");
        return 2;
    }
    struct bench b = {.folder = argv[1], .build = argv[2]};
    argc -= 3, argv += 3;
    if (argc && !strcmp(argv[0], "--short"))
        b.brief = true, argc--, argv++;
    mkdir(b.folder, 0700);
    for (size_t i = 0; i < sizeof things / sizeof *things; i++)
        if (wanted(things[i].name, argc, argv) && things[i].measure(&b) < 0) {
            fprintf(stderr, "%s could not be measured\n", things[i].name);
            failed++;
        }
    snprintf(file, sizeof file, "%s/bench/bench.json", b.build);
    if (figures_write(file) < 0)
        fprintf(stderr, "%s could not be written\n", file);
    printf("\n%d goals missed, %d things could not be measured\n", figures_missed(), failed);
    return failed ? 1 : 0;
}
