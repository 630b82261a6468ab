/* The stage of a system test: one practice, the real program, the simulated carrier, each test in a folder of its own. */
#ifndef QUIETARM_SYSTEM_SCENE_H
#define QUIETARM_SYSTEM_SCENE_H

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "demo/play/place.h"
#include "demo/play/play.h"

static const char scene_ini[] = "[clinic maple]\nname = Maple Row Practice\ntext_number = +447700900001\n"
                                "voice_number = 01632 960001\nhours = mon-fri 08:00-18:30\nout_of_hours = 111\n"
                                "emergency = 999\ntime_zone = Europe/London\nlanguage = en\nprotocol = esh\n"
                                "morning = 05:00-12:00\nevening = 16:00-24:00\nremind_morning = 07:30\n"
                                "remind_evening = 19:30\nquiet = 21:30-07:00\nalert_to = +447700900002\n"
                                "summary_to = dir:outbox\n";

struct scene {
    struct stage g;
    struct script s;
};

/* For cmocka: the scene is *state. */
static inline int scene_open(void **state)
{
    static int n;
    struct scene *scene = calloc(1, sizeof *scene);
    char folder[PLAY_PATH];
    const char *base = getenv("TEST_FOLDER"), *build = getenv("TEST_BUILD");
    snprintf(folder, sizeof folder, "%s-%d", base ? base : "build/run/scene.d", ++n);
    scene->s.start = 1795766400; /* 2026-11-27T08:00:00Z */
    scene->s.ini = strdup(scene_ini);
    *state = scene;
    return stage_open(&scene->g, folder, build ? build : "build", &scene->s);
}

static inline int scene_close(void **state)
{
    struct scene *scene = *state;
    stage_close(&scene->g);
    free(scene->s.ini);
    free(scene);
    return 0;
}

#endif
