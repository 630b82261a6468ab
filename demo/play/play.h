/* The player: acts out scripts (*.case) against the real program over real HTTP, with a simulated carrier beside it.
 *
 * A script is the conversation of one story, readable by a nurse. `make demo` plays many of them merged by time and shows
 * them; the system tests play one at a time and only say whether it went as written. The language is in demo/README.md.
 */
#ifndef QUIETARM_PLAY_H
#define QUIETARM_PLAY_H

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <sys/types.h>

enum { PLAY_ACTORS = 64, PLAY_LINE = 2048, PLAY_NAME = 24, PLAY_PATH = 512 };

/* -- script.c: what is to be played -------------------------------------------------------------------------------------- */

enum step_kind {
    STEP_RUN,      /* run [N] ARGS: the program with these arguments must exit with N (0); output kept for `=` and `json` */
    STEP_TIME,     /* at TIME, wait N: nothing but the time moves */
    STEP_TEXT,     /* NAME: words */
    STEP_EXPECT,   /* > NAME: words        the next text to NAME holds them */
    STEP_FIND,     /* >> NAME: words       the same, others before it may be passed over */
    STEP_NOTHING,  /* > NAME nothing */
    STEP_OUTPUT,   /* = words              the last output holds them */
    STEP_JSON,     /* json PATH = VALUE    of the last output */
    STEP_CARRIER,  /* carrier {json}: how it behaves */
    STEP_RESTART,  /* restart, kill: the program ends, by TERM or KILL, and is started again */
    STEP_KILL,
    STEP_SAY,      /* say words: told to whoever watches */
    STEP_COUNT,    /* count NAME N: so many texts reached NAME in all */
    STEP_SINK,     /* sink WHERE: words    something posted to /alerts, /fhir, or mailed holds them */
    STEP_POST      /* post STATUS BODY: an inbound body as it is, signed; must be answered STATUS */
};

struct step {
    enum step_kind kind;
    int64_t when;            /* instant; 0: before the curtain, in the order of the file */
    int line, order;
    const char *file;
    char who[PLAY_NAME];
    char words[PLAY_LINE];
    int number;
};

struct actor {
    char name[PLAY_NAME], phone[32], clinic_number[32];
    size_t seen;             /* index into the carrier's list up to which texts to this phone are consumed */
    int count;
};

struct script {
    struct step *steps;
    size_t n, cap;
    struct actor actors[PLAY_ACTORS];
    size_t n_actors;
    char *ini;               /* lines that the scripts add to the configuration */
    int64_t start;
    char title[16][96];
    size_t n_titles;
};

/* Reads a script and merges it with what is there. 0, or -1 with "FILE:LINE: what" told on standard error. */
int script_read(struct script *s, const char *file);
void script_order(struct script *s);   /* by time, then as read */
void script_clear(struct script *s);
struct actor *script_actor(struct script *s, const char *name);

/* -- stage.c: the program, the carrier, and speaking to them --------------------------------------------------------------- */

struct stage {
    char folder[PLAY_PATH], program[PLAY_PATH], carrier[PLAY_PATH];
    pid_t program_pid, carrier_pid;
    int port, desk_port, carrier_port, smtp_port;
    char *ini;
    char *output;            /* of the last command */
    int64_t now;
    bool unsettled;          /* a command ran: what it queued has not been waited for */
    int message;             /* makes message ids */
    json_t *sent;            /* everything the carrier got, in order */
};

int stage_open(struct stage *g, const char *folder, const char *bin, const struct script *s);
int stage_start_program(struct stage *g);
int stage_stop_program(struct stage *g, int signal);
bool stage_alive(struct stage *g); /* the program has not ended by itself */
void stage_close(struct stage *g);
/* The database, or with a shared store a backup of it, is sound; 0 or -1 and told. */
int stage_verify(struct stage *g);
int stage_run(struct stage *g, const char *arguments, int expected); /* fills g->output */
int stage_move(struct stage *g, int64_t to);      /* POST /clock; -1 when it fails */
int stage_text(struct stage *g, const char *from, const char *to, const char *words); /* HTTP status; -1 */
int stage_post(struct stage *g, const char *body); /* signed; HTTP status; -1 */
int stage_hear(struct stage *g);                   /* fetches what the carrier got anew into g->sent */
int stage_carrier(struct stage *g, const char *path, const char *body, json_t **answer);

/* -- act.c: doing a step ------------------------------------------------------------------------------------------------------ */

/* 0 when it went as written, else -1 and what was expected and found on standard error. */
int act(struct stage *g, struct script *s, const struct step *step);

/* -- show.c: for whoever watches ------------------------------------------------------------------------------------------------ */

void show_on(bool on, bool fast);
int64_t show_hop(int64_t now, int64_t to); /* the next instant to stop at on the way: five minutes on, while shown */
void show_text(const struct script *s, int64_t now, const char *from, const char *words);
void show_sent(const struct script *s, int64_t now, const json_t *list, size_t from); /* what came anew */
void show_say(const char *words);

#endif
