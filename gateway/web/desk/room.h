/* What the files of gateway/web/desk share: the desk, a page under way, who asks, routes, and how a page is written.
 *
 * Private to this folder and its tests. A page belongs to one thread at a time; `desk->lock` guards the queues and the
 * throttle. A handler is a plain function that reads, may have one change made and wait for it, and writes the page.
 */
#ifndef QUIETARM_DESK_ROOM_H
#define QUIETARM_DESK_ROOM_H

#include <pthread.h>

#include "gateway/report/html_writer.h"
#include "gateway/web/desk/desk.h"
#include "gateway/web/desk/words.h"
#include "gateway/web/fields.h"
#include "gateway/web/room.h"

/* Every limit of the desk, in one place. Seconds are real ones: a stepped clock moves patients' weeks, not sessions. */
enum {
    PAGE_THREADS = 3,
    QUEUE_MAX = 240,              /* pages that wait for a thread; more are answered 503 */
    HASHES_WAITING_MAX = 24,      /* sign-ins that wait: each takes some 50 ms and 64 MiB */
    SESSION_IDLE = 30 * 60,
    SESSION_LONGEST = 12 * 3600,
    SESSION_STEP = 60,            /* how often it is written that a session is in use */
    TOKEN_BYTES = 32,
    PASSWORD_LEAST = 12, PASSWORD_MOST = 256,
    HEADERS_MAX = 6,
    ONCE_KEPT = 1024,             /* forms lately taken */
    LIST_PATIENTS = 100,          /* on the list at once: more than anyone works through */
    TABLE_PATIENTS = 25           /* on a page of the patients' table */
};

enum role { ROLE_COORDINATOR = 1, ROLE_CLINICIAN = 2, ROLE_ADMIN = 4, ROLE_NOBODY = 8 };
enum {
    ROLE_CARE = ROLE_COORDINATOR | ROLE_CLINICIAN,
    ROLE_ALL = ROLE_CARE | ROLE_ADMIN
};

/* -- what is asked (ask.c) ----------------------------------------------------------------------------------------------- */

struct ask {
    enum method method;
    char path[160];
    struct buffer query, form;    /* "name=value&…", still escaped */
    char host[272], origin[300], site[24], address[64];
    char token[2 * TOKEN_BYTES + 1]; /* of the session's cookie; "" */
    char door[2 * TOKEN_BYTES + 1];  /* of the cookie that guards the sign-in form; "" */
    char *file;                   /* an uploaded table, malloced; NULL */
    size_t file_size;
    bool too_long;                /* something does not fit here */
};

/* Copies what the request says; on the listener's thread. false: no memory. */
bool ask_read(struct ask *a, struct request *r);
void ask_clear(struct ask *a);
/* The first value of that name, decoded, cut at `size`; "" when it is not there. */
const char *ask_value(const struct buffer *pairs, const char *name, char *value, size_t size);

/* -- a page ---------------------------------------------------------------------------------------------------------------- */

struct desk;

struct page {
    struct desk *desk;
    struct ask ask;
    const struct config *config;
    struct db *db;                /* this thread's, in one snapshot */
    int64_t now;                  /* the gateway's */

    struct account me;            /* user "" when nobody is signed in */
    enum role role;
    struct session session;
    char csrf[65];

    const struct page_route *route;
    int64_t ids[2];               /* the numbers in the path */
    struct person person;         /* that it is about; id 0 */
    struct alert alert;
    struct desk_row row;
    struct reading reading;
    const struct clinic *clinic;  /* of that person, or of the account when it has one; NULL */

    unsigned status;
    bool own_style;               /* a page of the report, with its style sheet inside */
    struct buffer out;
    const char *type;
    struct {
        const char *name;
        char value[320];
    } headers[HEADERS_MAX];
    int n_headers;
};

typedef void page_function(struct page *p);

/* What a number in the path is of. It is loaded, and belongs to a clinic of the account, before the handler is called:
 * else the answer is 404, as for one that is not there. */
enum page_noun { NOUN_NONE, NOUN_PERSON, NOUN_ALERT, NOUN_ROW, NOUN_READING };

struct page_route {
    enum method method;
    const char *path;             /* "#" is a number */
    unsigned roles;               /* who may; ROLE_NOBODY: without signing in */
    enum page_noun noun;          /* of the first number */
    page_function *handle;
    bool hashes;                  /* works on a password: on the thread that does one at a time */
};

/* NULL with *allow 0: no such path; with *allow: other methods. */
const struct page_route *page_route_find(const char *path, enum method method, int64_t ids[2], unsigned *allow);
const struct page_route *page_route_at(size_t i); /* NULL past the end: for tests */

void page_run(struct page *p);  /* all checks, then the handler (dispatch.c) */
bool page_sees(const struct page *p, const char *clinic); /* that clinic's patients are this account's */
/* The clinic that the account has chosen or is bound to, else the first that it may see. NULL: none is configured. */
const struct clinic *page_clinic_chosen(const struct page *p);

/* -- doing (doing.c) ------------------------------------------------------------------------------------------------------- */

/* Hands a job to the writer and waits for it; job->result is set. The caller frees it. */
void desk_do(struct desk *d, struct job *job);
/* The same for `call`, whose `what` is the caller's own. false: it could not be stored. */
bool desk_call(struct desk *d, int (*call)(struct db *db, int64_t now, void *what), void *what);
/* What a person did to their own patient; `a->who` is filled here. JOB_UNSTORED has answered 503: then *answered. */
enum care_answer page_act(struct page *p, int64_t person, struct care_action *a, bool *answered);
/* Who saw, exported, changed what: durable before the page is shown. false: answered 503. */
bool page_audit(struct page *p, int64_t person, const char *clinic, const char *action, const char *detail);

/* -- signing in (door.c, session.c, throttle.c) ------------------------------------------------------------------------------ */

enum role role_named(const char *name);                 /* 0: none */
const char *role_name(enum role role);                  /* "coordinator" */
enum word role_word(enum role role);
bool password_long_enough(const char *password);        /* 12–256 bytes */
bool password_hash(const char *password, char hash[132]); /* argon2id, interactive; false: no memory */

void session_find(struct page *p);                      /* fills me, role, session, csrf */
bool session_begin(struct page *p, const struct account *a);
void page_cookie(struct page *p, const char *name, const char *value); /* "" ends it */
const char *cookie_session(const struct config *c);     /* its name */
const char *cookie_door(const struct config *c);
bool config_https(const struct config *c);
bool csrf_fits(const struct page *p, const char *token); /* `token`: what the guarding cookie holds */
void csrf_make(const char *token, char csrf[65]);

enum { THROTTLE_ROWS = 4096 };
struct throttle {
    struct throttle_row {
        uint64_t key;             /* of an address or an account; 0 free */
        int32_t failures;
        int64_t until_ms;         /* no attempt before this */
    } rows[THROTTLE_ROWS];
    uint64_t salt;
};
/* Seconds to wait before the next attempt; 0: now. The two keys are told apart by `kind` ('a' address, 'u' account). */
int throttle_wait(struct throttle *t, int64_t now_ms, char kind, const char *of);
void throttle_failed(struct throttle *t, int64_t now_ms, char kind, const char *of);
void throttle_forget(struct throttle *t, char kind, const char *of);

/* -- writing a page (layout.c, controls.c, moments.c) ------------------------------------------------------------------------ */

#define raw(p, literal) html_raw(&(p)->out, literal)
#define text(p, value) html_text(&(p)->out, value)
#define name(p, value) html_name(&(p)->out, value)
#define number(p, value) html_number(&(p)->out, value)
#define attribute(p, name_, value) html_attribute(&(p)->out, name_, value)
#define say(p, WORD) html_text(&(p)->out, word(WORD_##WORD))
/* The same with {1}, {2}, {3} for values, which are escaped. */
#define say_of(p, WORD, ...) page_say(p, WORD_##WORD, (const char *const[4]){__VA_ARGS__})
void page_say(struct page *p, enum word w, const char *const values[4]);
const char *words_of(char *to, size_t size, enum word w, const char *const values[4]); /* not escaped */

void page_begin(struct page *p, enum word title, const char *of); /* `of` follows the title; NULL */
void page_end(struct page *p);
void section_begin(struct page *p, enum word title); /* ended by </section> */
void hint_write(struct page *p, enum word hint);
void task_write(struct page *p, enum word what);     /* what is to be done */
void page_header(struct page *p, const char *header, const char *value);
void page_error(struct page *p, unsigned status, enum word what);
void page_goto(struct page *p, const char *path);       /* 303 */
void page_unstored(struct page *p);                     /* 503 */
void page_plain(struct page *p, const char *type, const char *bytes); /* no layout: style, CSV */
void page_download(struct page *p, const char *type, const char *file, const void *bytes, size_t size);

struct control {
    const char *name;
    enum word label, hint;        /* hint WORD_NONE: none */
    const char *value;            /* NULL: as it was sent */
    const char *type;             /* "text" unless given */
    const char *autocomplete;     /* NULL */
    const char *error;            /* NULL */
    const char *id;               /* of the page, when the name comes twice; NULL: the name */
    int size, rows;               /* rows: a text area */
    bool needed;
};
void field_write(struct page *p, const struct control *f);
struct choice {
    const char *value;
    enum word label;              /* WORD_NONE: the value itself */
};
void choices_write(struct page *p, const char *field, enum word label, const struct choice *list, size_t n,
                   const char *chosen);
/* <form method="post"> with the token. `path` is printed with %lld for `id` by the callee. */
void form_begin(struct page *p, const char *before, int64_t id, const char *after);
void form_end(struct page *p, enum word button, const char *class_);
void hidden(struct page *p, const char *field, const char *value);
void hidden_number(struct page *p, const char *field, int64_t value);
void link_to(struct page *p, const char *before, int64_t id, const char *after, const char *words);

/* "&amp;name=value" behind the "?" of a link; nothing for an empty value. */
void query_add(struct page *p, const char *field, const char *value);
const char *form_value(const struct page *p, const char *field, char *value, size_t size);
const char *query_value(const struct page *p, const char *field, char *value, size_t size);
int64_t form_number(const struct page *p, const char *field, int64_t otherwise);

enum { MOMENT = 64 };
/* "12 minutes ago", "today 07:15", "Tue 24 Nov 07:15", in <time> with the exact instant and zone on hover. */
void when(struct page *p, const struct clinic *c, int64_t instant);
const char *when_exact(const struct clinic *c, int64_t instant, char words[MOMENT]); /* "Tue 24 Nov 2026 07:15" */
const char *day_exact(int32_t day, char words[MOMENT]);                              /* "Tue 24 Nov 2026" */
void when_ago(struct page *p, const struct clinic *c, int64_t instant); /* always by age */
const char *month_said(int month, char words[MOMENT]); /* year * 12 + month from 0: "Nov 2026" */
void zone_note(struct page *p, const struct clinic *c);
/* Local date and time of a form, "2026-11-24T07:15", as an instant. false: neither. */
bool local_read(const struct clinic *c, const char *value, int64_t *instant);
const char *local_write(const struct clinic *c, int64_t instant, char words[MOMENT]);
struct civil clinic_civil(const struct clinic *c, int64_t instant);
const char *age_words(int64_t seconds, char words[MOMENT]);
const char *pressure_words(const struct reading *x, char words[MOMENT]); /* "132/84, pulse 71" */

extern const char desk_style[], desk_script[];

/* -- the desk (desk.c) ------------------------------------------------------------------------------------------------------ */

struct crew {                     /* threads with one queue */
    struct desk *desk;
    pthread_t threads[PAGE_THREADS];
    int n_threads;
    struct job *first, **last;
    int waiting, most;
    pthread_cond_t woken;
};

struct desk {
    struct web *web;
    const struct config *config;
    pthread_mutex_t lock;
    pthread_cond_t done;          /* a job that a page waits for came back */
    bool stopped;
    struct crew pages, hashes;
    struct throttle throttle;
    uint64_t once[ONCE_KEPT];     /* marks of forms that were taken, the oldest is replaced: see dispatch.c */
    size_t once_next;
    char nobody_hash[132];        /* an unknown user takes as long as a known one */
    char authority[272], origin[300]; /* of public_url: "desk.example.org", "https://desk.example.org" */
    char *style;                  /* the report's sheet and the desk's */
    char policy[240], print_policy[320]; /* Content-Security-Policy; the second for a page of the report */
};

#endif
