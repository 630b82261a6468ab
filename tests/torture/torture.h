/* The fault harness: one scripted day at an invented practice, played again and again against the real program while one
 * call after another fails; then what is stored and what was sent is compared with a day on which nothing failed.
 *
 * The harness plays the carrier's part as carriers do: what was not answered 200 is posted again. The program may end
 * (a service manager starts it again, and so do we); it must not lose, double or half-apply anything.
 */
#ifndef QUIETARM_TORTURE_H
#define QUIETARM_TORTURE_H

#include "demo/play/play.h"
#include "tests/torture/fault.h"

/* -- world.c: the program under a fault, and HTTP as a carrier speaks it ---------------------------------------------------- */

struct world {
    struct stage g;
    struct script s;
    char tally_path[PLAY_PATH + 32], shim[PLAY_PATH];
    struct fault_tally *tally;
    uint64_t every;          /* each so many calls from the first on fail; 0: that one alone */
    uint64_t starting;       /* allocations until it served */
    int restarts;            /* how often the program had ended by itself */
    char why[512];           /* what went wrong first; "" nothing */
};

/* Opens a stage in `folder` with the practice of the day and its patients; `bin` holds the programs. 0 or -1. */
int world_open(struct world *w, const char *folder, const char *bin);
/* Ends the program and starts it with the Nth call of `kind` failing; N 0 only counts. -1: it ended while starting. */
int world_fault(struct world *w, enum fault_kind kind, uint64_t n);
/* The same without a shim. */
int world_plain(struct world *w);
/* Starts the program again when it has ended by itself. */
int world_alive(struct world *w);
/* One signed post to the hook: its status, 0 when there was no answer. Any thread. */
long world_post(struct world *w, const char *path, const char *body);
/* Posts until it is answered 200; -1 after half a minute. */
int world_post_until(struct world *w, const char *path, const char *body);
int world_text(struct world *w, const char *id, const char *from, const char *words);
/* Moves the clock to an instant until it is there; so that all that is due by then is done. */
int world_move(struct world *w, const char *to);
int world_receipts(struct world *w); /* "delivered" for all that the carrier has taken so far */
void world_close(struct world *w);
/* Sets w->why if nothing is there yet; returns -1. */
int world_fail(struct world *w, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* Replaces `from` by `to` in the configuration; the program must be started again. */
int world_configure(struct world *w, const char *from, const char *to);
/* How many mails the sink has that hold `words`, waiting for the first at most `ms`. */
int world_mails(struct world *w, const char *words, int ms);
void pause_ms(int ms);

/* -- trouble.c: what happens when the machine, the carrier or a stranger is difficult ----------------------------------------- */

int trouble_all(const char *bin, const char *folder, const char *only); /* 0, or 1: told on standard output */

/* -- soak.c: an hour of load, with flat memory and descriptors -------------------------------------------------------------------- */

int soak_all(const char *bin, const char *folder, int seconds); /* 0, or 1: told on standard output */

/* -- main.c -- */
void folder_clear(const char *folder); /* empty, and there */

/* -- day.c ------------------------------------------------------------------------------------------------------------------ */

int day_enrol(struct world *w);
int day_play(struct world *w);   /* every step until it succeeds */
int day_repeat(struct world *w); /* posts every text of the day again: all known */

/* -- ledger.c --------------------------------------------------------------------------------------------------------------- */

/* All that is stored and was sent, without what may differ from run to run (ids, codes, times moved by a retry): one line a
 * thing, sorted. malloced. NULL and w->why when the database is not sound, a text was sent that no row accounts for, or a
 * row is marked sent that nobody got. The program must have ended. */
char *ledger_read(struct world *w);

#endif
