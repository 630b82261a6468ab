/* play [--show] [--keep] BIN FOLDER SCRIPT…: acts out the scripts, merged by time, in FOLDER, with the programs in BIN.
 * Exit status 0 when everything went as written.
 */
#include "demo/play/play.h"

#include <curl/curl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static int usage(void)
{
    fprintf(stderr, "usage: play [--show] BIN FOLDER SCRIPT...\n");
    return 2;
}

static int act_all(struct stage *g, struct script *s)
{
    int failed = 0;
    for (size_t i = 0; i < s->n && stage_alive(g); i++)
        if (act(g, s, &s->steps[i]) < 0)
            failed++;
    if (stage_alive(g))
        return failed;
    fprintf(stderr, "the program ended by itself: see %s/quietarm.log\n", g->folder);
    return failed + 1;
}

int main(int argc, char **argv)
{
    struct script s = {0};
    struct stage g = {0};
    bool show = argc > 1 && strcmp(argv[1], "--show") == 0;
    int first = show ? 2 : 1;
    if (argc < first + 3)
        return usage();
    for (int i = first + 2; i < argc; i++)
        if (script_read(&s, argv[i]) < 0)
            return 2;
    script_order(&s);
    show_on(show, getenv("DEMO_FAST") != NULL);
    curl_global_init(CURL_GLOBAL_ALL);
    int failed = stage_open(&g, argv[first + 1], argv[first], &s) < 0 ? 1 : act_all(&g, &s);
    if (failed)
        fprintf(stderr, "%d steps went otherwise; logs are in %s\n", failed, argv[first + 1]);
    stage_close(&g);
    script_clear(&s);
    curl_global_cleanup();
    return failed ? 1 : 0;
}
