/* The bench: how fast the program is beside the bare parts that it is made of, on this machine, in these minutes.
 *
 * Every figure that is judged is a ratio of two things measured in turn in one run, several rounds of them; the table says
 * the median and the spread. Nothing here may touch anything but its own folder and processes that it started.
 */
#ifndef QUIETARM_BENCH_H
#define QUIETARM_BENCH_H

#include <jansson.h>
#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <sys/types.h>

enum { BENCH_PATH = 400, ROUNDS_MAX = 16, CLINICS = 16, PHONES = 80000 };

/* -- figures.c: numbers, a table, JSON -------------------------------------------------------------------------------- */

int64_t now_ns(void);    /* monotonic */
int64_t thread_ns(void); /* of this thread, on the processor */

/* What several rounds gave. */
struct rounds {
    double at[ROUNDS_MAX];
    int n;
};
void rounds_add(struct rounds *r, double value);
double rounds_median(const struct rounds *r);
double rounds_least(const struct rounds *r);
double rounds_most(const struct rounds *r);
/* The q-quantile (0…1) of n values, which are put in order. */
double quantile(uint32_t *values, size_t n, double q);

/* One line of the table: name, median, least … most, unit; `goal` says what it should be ("at least 0.60") or is "".
 * `least` and `most` bound what meets the goal (NAN: no bound). Kept for the JSON as results[name]. */
struct goal {
    double least, most;
};
#define NO_GOAL ((struct goal){NAN, NAN})
#define AT_LEAST(x) ((struct goal){(x), NAN})
#define AT_MOST(x) ((struct goal){NAN, (x)})
void figure(const char *name, const struct rounds *r, const char *unit, struct goal goal);
void figure_one(const char *name, double value, const char *unit, struct goal goal);
void heading(const char *text);
void remark(const char *format, ...) __attribute__((format(printf, 1, 2)));
int figures_write(const char *file); /* all of them as JSON */
int figures_missed(void);            /* goals that were not met */

/* -- chart.c: how costs grow, as SVG ------------------------------------------------------------------------------------- */

struct series {
    char name[48];
    double x[24], y[24];
    int n;
};
/* Logarithmic in x, linear in y from 0. */
int chart_write(const char *file, const char *title, const char *x_name, const char *y_name, const struct series *s, int n);

/* -- world.c: a configuration and a database full of patients --------------------------------------------------------------- */

struct world {
    char folder[BENCH_PATH];
    int64_t now;        /* the instant that the database stands at */
    int64_t patients;
    int days;           /* of their week that they have behind them, four readings each */
    int weeks;          /* closed weeks before it */
    bool remind;        /* everybody is reminded in the minute after `now` */
    int desk_rows;      /* open rows of the desk of each clinic */
    int carrier_port;
    double per_second;  /* to the carrier */
    bool ends_now;      /* their week ends at the next look, which is due */
};
int world_make(struct world *w);                                    /* 0, or -1 with the reason told */
int world_copy(const struct world *w, const char *folder);         /* the same once more */
int world_configure(const struct world *w);                         /* writes its configuration anew */
void world_phone(int64_t patient, char phone[32]);
void world_clinic_number(int64_t patient, char number[32]);
int64_t world_bytes(const struct world *w);

/* -- core.c: the writer without HTTP, in this process ------------------------------------------------------------------------ */

struct core;
int core_open(struct core **out, const struct world *w);
void core_close(struct core *c);
/* Hands `n` texts to the writer as one batch. Patient of the i-th: (first + i) * stride mod patients. */
int core_texts(struct core *c, int64_t first, int n);
/* Handles up to `most` due looks as one batch; how many were due, -1. */
int core_looks(struct core *c, int64_t now, int most);

/* -- load.c: the load, signed posts over keep-alive connections ---------------------------------------------------------------- */

struct load {
    char *bytes;        /* the requests, one behind the other */
    size_t *at;         /* where each begins; n + 1 of them */
    size_t n, next;
};
struct load_result {
    double per_second, p50_ms, p99_ms, most_ms;
    int64_t answered, refused; /* 200, anything else */
};
/* `n` distinct texts of the world's patients, from number `first` on. */
int load_make(struct load *l, const struct world *w, const char *path, int64_t first, int64_t n);
void load_free(struct load *l);
/* Posts from `connections` connections, each as soon as its last was answered, for `seconds`; with `per_second` over 0 paced
 * to so many in all, latency counted from when a text was due. */
int load_run(struct load *l, int port, int connections, double seconds, double per_second, struct load_result *out);
extern const char bench_secret[];
/* The text of message number `i`. */
void load_words(int64_t i, char words[64]);

/* -- sink.c: a far side over HTTP that does next to nothing, in a process of its own ------------------------------------------------ */

struct sink_seen {
    int64_t requests, first_ns, last_ns;
};
struct sink {
    pid_t pid;
    int port;
    volatile struct sink_seen *seen; /* shared with it */
};
/* signed_: checks the signature and reads the JSON, as intake does. Answers after `delay_ms`. */
int sink_open(struct sink *s, bool signed_, int delay_ms);
void sink_close(struct sink *s);

/* -- program.c: the real program as a process ------------------------------------------------------------------------------------ */

struct program {
    pid_t pid;
    int port;
    double start_ms;   /* until it listened */
};
/* `wrapper` (may be NULL) goes before the program's name: strace and its options, NULL-terminated. `preload` may be NULL. */
int program_start(struct program *p, const char *binary, const struct world *w, const char *const *wrapper,
                  const char *preload);
int program_stop(struct program *p);
int64_t program_memory(const struct program *p); /* resident bytes */
double program_cpu(const struct program *p);     /* seconds on the processor so far */
int64_t program_metric(const struct program *p, const char *name); /* of /metrics; -1 */

/* -- record.c, replay.c: what the store says to SQLite, and the same said to it bare -------------------------------------------------- */

void record_begin(void);
void record_end(void);
struct replay {
    int64_t ns;          /* all of it */
    int transactions;
    double p50_ms;       /* of one transaction with its commit */
};
/* Says it again to the database in `folder`, in the same transactions. */
int record_replay(const char *folder, struct replay *out);
int64_t record_statements(void);
void record_forget(void);

/* -- one file for each thing that is measured ------------------------------------------------------------------------------------- */

struct bench {
    const char *folder;  /* ours to fill */
    const char *build;   /* where quietarm, and bench/ with its variants, are */
    bool brief;
};
int bench_intake(const struct bench *b);
int bench_sender(const struct bench *b);
int bench_morning(const struct bench *b);
int bench_growth(const struct bench *b);
int bench_start(const struct bench *b);
int bench_parser(const struct bench *b);
int bench_synced(const struct bench *b);
int bench_desk(const struct bench *b);

/* The largest world, made by the first who asks: a million patients (20,000 in a brief run), all reminded in a minute that is
 * already over. NULL when it cannot be made. */
struct world *world_large(const struct bench *b);

#endif
