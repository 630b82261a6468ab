/* The store: the only SQL. Nouns above, a driver below; nothing outside this room knows which driver runs.
 *
 * A `struct db` is one connection, used by one thread at a time. One db of the process writes (DB_WRITE, under the writer
 * thread); readers (DB_READ) see the last commit. All calls return 0, or a negative store_error that must be used; what
 * was found or not is an out-parameter, never an error. Strings are copied into the caller's structs. After an error inside
 * a transaction only db_rollback may follow.
 */
#ifndef QUIETARM_STORE_H
#define QUIETARM_STORE_H

#include "gateway/care/effect.h"
#include "gateway/care/record.h"

enum store_error {
    STORE_OK = 0,
    STORE_BUSY = -1,     /* another process holds it: past the busy timeout of 10 s */
    STORE_FULL = -2,     /* no space */
    STORE_CORRUPT = -3,
    STORE_NEWER = -4,    /* the schema is newer than this program */
    STORE_CONFLICT = -5, /* a uniqueness or foreign key rule refused the row */
    STORE_IO = -6,       /* anything else of the disk */
    STORE_MEMORY = -7,
    STORE_ABSENT = -8,   /* there is no database */
    STORE_OLDER = -9,    /* the schema is older than this program, and only DB_SERVE may migrate it */
    STORE_AGAIN = -10    /* two gateways were in each other's way: the same may do at once */
};

/* -- connections and transactions (db.c, driver_sqlite.c) --------------------------------------------------------------- */

enum db_use {
    DB_SERVE,  /* creates, copies an older schema aside and migrates it; the writer's connection */
    DB_WRITE,  /* a command beside a running daemon: the schema must be this one */
    DB_READ,   /* read-only */
    DB_TAKE    /* the sender's: reads, and says which rows it has in hand */
};

struct db;

/* Which store the process uses, by the name that `store` has in the configuration, and how it is reached; once, before
 * anything is opened. false: there is no such store. Nobody need call it for the embedded one. */
enum { STORE_CONNINFO_MAX = 2048 };
bool store_choose(const char *name, const char *conninfo);
/* The name of the ith store and whether it needs to be told how it is reached; NULL past the end. */
const char *store_name(size_t i, bool *needs_conninfo);

/* `folder` is the state folder (made 0700 by DB_SERVE), the database `quietarm.db` in it (0600). `why` takes one line. */
int db_open(struct db **out, const char *folder, enum db_use use, char *why, size_t why_size);
int db_open_file(struct db **out, const char *file, char *why, size_t why_size); /* read-only, any file: for verify */
void db_close(struct db *db); /* takes NULL; rolls back what is open */

int db_begin(struct db *db);  /* of a writer: BEGIN IMMEDIATE; of a reader: one snapshot */
int db_commit(struct db *db); /* returns after the sync */
void db_rollback(struct db *db);
const char *db_why(const struct db *db); /* what the last error was, for the log; never data */
const char *store_error_name(int error);
/* The instant that audit rows are marked with from now on. records_load and record_load_week set it too, by their `now`. */
void db_now(struct db *db, int64_t now);
int db_largest_id(struct db *db, int64_t *id);
/* A number that changes when another connection has committed: the daemon notices commands within a second. */
int db_changed(struct db *db, int64_t *version);

/* -- several gateways at one database (holds.c): all of it for nothing where one writer is alone ---------------------------- */

bool db_shared(const struct db *db);      /* others may work at it */
int64_t db_gateway(const struct db *db);  /* which of them this is, from 1; 0 when it is alone */
/* Holds these names, in a transaction and until its end: waits for who holds one. In the order names, persons, and of each
 * all in one call, two gateways never wait for each other; else the database ends one of them with STORE_AGAIN. */
int names_hold(struct db *db, const char *const *names, size_t n);
enum { HOLD_NAME = 128 };
void name_number(char name[HOLD_NAME], const char *clinic, const char *phone); /* of a number of a clinic */
/* The same for persons, waiting; sorts `persons` and leaves each once. What is loaded afterwards is what was committed. */
int persons_hold(struct db *db, int64_t *persons, size_t *n);
/* The same, but those that another gateway holds are left to it: held[i] false. */
int persons_hold_unheld(struct db *db, const int64_t *persons, size_t n, bool *held);

/* -- settings kept in the database (meta.c) ---------------------------------------------------------------------------- */

int meta_get(struct db *db, const char *key, int64_t *value, bool *found); /* "clock", "audit_head" … */
int meta_set(struct db *db, const char *key, int64_t value);

/* -- people and their records (people.c, records.c) ------------------------------------------------------------------------ */

enum { NUMBER_PEOPLE = 16 };

/* Everybody on a number of a clinic, oldest first, a stranger too; n at most `max`. */
int people_of_number(struct db *db, const char *clinic, const char *phone, int64_t *ids, size_t max, size_t *n);
struct number_line {
    char clinic[CLINIC_MAX], phone[PHONE_MAX];
    int64_t people[NUMBER_PEOPLE];
    size_t n, max; /* max at most NUMBER_PEOPLE */
};
int people_of_numbers(struct db *db, struct number_line *lines, size_t n); /* the same for many, in one list */
int person_by_ref(struct db *db, const char *clinic, const char *ref, int64_t *id, bool *found);
int person_get(struct db *db, int64_t id, struct person *out, bool *found);

/* Fills record->person, course, week, readings, alerts, desk, sent and the counts, as of `now`, for `n` persons. The rest
 * (clinic, protocol, zones) is the caller's. A person that is not there leaves person.id 0; no week yet leaves week.id 0, and
 * what is not known yet is INSTANT_NONE, DAY_NONE, "". Arrays are set, not freed before; record_clear() frees them, also
 * after an error. replies_30min are replies and worry replies, prompted, to all persons of that number. */
int records_load(struct db *db, int64_t now, const int64_t *ids, size_t n, struct record *out);
/* The same with week `number` instead of the current one (0: the current or last). */
int record_load_week(struct db *db, int64_t now, int64_t id, int number, struct record *out);
/* Loads all unsettled and settled alerts that began within [from, to), for week --json. malloced array. */
int alerts_of_person(struct db *db, int64_t person, int64_t from, int64_t to, struct alert **out, size_t *n);
/* The newest text that came in and is not blanked (INSTANT_NONE: none), and how many were made for patients since `since`,
 * counted up to `enough` (traffic.c). */
int traffic(struct db *db, int64_t since, int enough, int64_t *last_in, int *asked);
/* Answers to numbers that nobody has, since `since`, of one clinic. */
int strangers_answered(struct db *db, const char *clinic, int64_t since, int *n);

/* Persons, alerts whose due time is at or before `now`, earliest first; n at most `max`. */
int looks_due(struct db *db, int64_t now, int64_t *persons, int64_t *due, size_t max, size_t *n);
int alerts_due(struct db *db, int64_t now, int64_t *alerts, int64_t *persons, int64_t *due, size_t max, size_t *n);
/* Outbox rows that still wait past `expires`, or worry replies unsent five minutes after they were first due, until
 * outbox_overdue_set says otherwise; earliest first. */
int outbox_overdue(struct db *db, int64_t now, struct outgoing *out, size_t max, size_t *n);
/* The writer's next due time: the earliest of looks, alerts and overdue checks (not of outbox rows: those are the sender's);
 * INSTANT_NONE when nothing is due. */
int due_next(struct db *db, int64_t *due);
/* For the stepped clock: the earliest due time later than `now` of looks, alerts, overdue checks and waiting outbox rows. */
int due_after(struct db *db, int64_t now, int64_t *due);
int outbox_due_after(struct db *db, int64_t now, int64_t *due); /* of waiting outbox rows alone */
/* Move one due time on, when what was due could not be handled. outbox_overdue_set: INSTANT_NONE, this row's overdue check
 * has been made (its `expires` still counts). */
int look_due_set(struct db *db, int64_t person, int64_t due);
int alert_due_set(struct db *db, int64_t alert, int64_t due);
int outbox_overdue_set(struct db *db, int64_t outgoing, int64_t due);
/* Whether it is to be looked at by `now`, and still waits. */
int outbox_overdue_still(struct db *db, int64_t outgoing, int64_t now, bool *still);

/* Writes every effect, in order, in the open transaction or else one of its own. Effects of an unknown kind are a programming
 * error. An id that is another person's row is STORE_CONFLICT. WITHDRAW cancels what waits for the patient on the channel
 * TEXT (never what goes to staff); with the bit of CLASS_SUMMARY also summaries to the clinic, on any channel. */
int effects_write(struct db *db, const struct effects *e);

/* -- inbound texts (texts.c) ------------------------------------------------------------------------------------------- */

enum { MESSAGE_HASH = 16 };

struct stored_text {
    int64_t id, person;         /* person 0: nobody's (a short code, no clinic) */
    char clinic[CLINIC_MAX];    /* "" when `to` is no clinic's */
    char from[PHONE_MAX], to[PHONE_MAX];
    char *body;                 /* malloced when loaded, borrowed when written; NULL once blanked */
    int64_t received, sent;     /* sent INSTANT_NONE */
    uint8_t hash[MESSAGE_HASH]; /* of the carrier's id; kept for ever */
    char why[64];               /* "answered", or why deliberately not */
};

/* Which of these message ids are known already. */
int texts_known(struct db *db, const uint8_t (*hashes)[MESSAGE_HASH], size_t n, bool *known);
int text_write(struct db *db, const struct stored_text *t); /* STORE_CONFLICT when its hash is known */
/* What a person wrote within [from, to): the latest `max`, oldest first; the caller's, see texts_free. */
int texts_of_person(struct db *db, int64_t person, int64_t from, int64_t to, size_t max, struct stored_text **out, size_t *n);
void texts_free(struct stored_text *texts, size_t n); /* each body, and the array */
int text_get(struct db *db, int64_t id, struct stored_text *out, bool *found);
/* How many texts of a number that are nobody's were stored since then with this `why`. */
int texts_counted(struct db *db, const char *from, const char *why, int64_t since, int64_t *n);

/* -- outbox (outbox.c) --------------------------------------------------------------------------------------------------- */

/* Waiting rows due at or before `now`, the most urgent class first, then by due and id; never two to one number and class
 * at once (the earlier first), none whose number is in `busy` (sorted). A row of a lower class to a number waits while a
 * higher one to it is due; a text below worry waits while an earlier one of its class to its number waits for its next
 * attempt (order is kept through retries; worry is not held up by it). `saying` and `tag` are not filled. */
struct busy_numbers {
    const char *const *to;
    size_t n;
    uint32_t channels; /* bits 1 << enum channel of which nothing is taken: their route is broken, or full */
};
int outbox_take(struct db *db, int64_t now, const struct busy_numbers *busy, struct outgoing *out, size_t max, size_t *n);
/* Of taken rows, before they are sent: each one's number becomes this gateway's for a minute, by the database's clock, and the
 * row is still what it gets next. ours[i] false: leave it; what it waits for will be seen. By a DB_TAKE connection. */
int outbox_lease(struct db *db, const struct outgoing *const *rows, size_t n, int64_t now, bool *ours);
/* With what came of it: the number is free. In the transaction that writes the result. */
int outbox_release(struct db *db, int64_t id);
int outbox_get(struct db *db, int64_t id, struct outgoing *out, bool *found);
/* What was said to a person by text, and never to staff, within [from, to): the latest `max`, oldest first, malloced. */
int outbox_said(struct db *db, int64_t person, int64_t from, int64_t to, size_t max, struct outgoing **out, size_t *n);
/* What went to staff about an alert, like with like: an alert that nobody takes is sent again for days. By the first. */
struct alert_copies {
    char to[TARGET_MAX];
    enum outgoing_state state;
    int64_t n, first, last;   /* how many; when the first and the last were queued */
    int64_t outgoing;         /* the first one's row */
};
int outbox_copies(struct db *db, int64_t alert, struct alert_copies *out, size_t max, size_t *n);
/* Sets state, due, attempts, sent_at, delivered_at, carrier_id, reason of a row; the rest of a row never changes. */
int outbox_set(struct db *db, const struct outgoing *row);
/* What a copy of an alert says by HTTP: the alert, the patient's ref ("" for a stranger or an erased one), and `time`: the
 * how-manieth copy to this address the row is, from 1, the same for every attempt. */
int alert_of_copy(struct db *db, const struct outgoing *row, struct alert *alert, char ref[REF_MAX], int *time, bool *found);
/* The alert whose copy went to this staff number with this code; the newest. */
int outbox_code(struct db *db, const char *to, const char *code, int64_t *alert, int64_t *person, bool *found);
/* A copy of an alert went to this number at some time: it is a staff number. */
int outbox_staff(struct db *db, const char *to, bool *found);
/* The clock was set back by `seconds` and is `now`: moves the delays that were counted from the time before. In a transaction
 * of its own. */
int clock_set_back(struct db *db, int64_t seconds, int64_t now);
/* How many there are of each class and state, and the earliest due time of those that wait (INSTANT_NONE). */
int outbox_counts(struct db *db, int64_t counts[CLASS_COUNT][OUTGOING_STATE_COUNT], int64_t *oldest_due);

/* A receipt whose message is not known yet is kept 24 hours for its match. */
struct early_receipt {
    char id[80];
    bool by_key, delivered;
    int64_t at;
};
int receipt_keep(struct db *db, const struct early_receipt *r); /* delivered is final; forgets those of a day before r->at */
int receipt_find(struct db *db, const char *carrier_id, const char *key, struct early_receipt *out, bool *found);

/* A row that a result or a receipt is of, looked for with others in one journey (seek.c). */
struct sought {
    int64_t id;               /* 0: by `name` */
    const char *name;         /* the carrier's id, of its newest row, or the key; "" finds nothing */
    bool by_key;
    const char *carrier_id;   /* of a row that was found before: what receipt_find finds of it goes to `early`. NULL: not asked */
    bool found;
    struct outgoing row;
    struct early_receipt early; /* its id "": none came */
};
int outbox_seek(struct db *db, struct sought *list, size_t n);

/* -- looking at many (lists.c) ---------------------------------------------------------------------------------- */

/* Malloced arrays, NULL when n is 0; a clinic of "" is all of them. */
/* Rows of the desk that are not done and not put off past `now`, most urgent first, then oldest; at most `max`. */
int desk_list(struct db *db, const char *clinic, int64_t now, size_t max, struct desk_row **out, size_t *n);
/* Unresolved alerts, oldest first; at most `max`. */
int alerts_list(struct db *db, const char *clinic, size_t max, struct alert **out, size_t *n);
/* Those numbered below `below` (0: all), the latest first; at most `max`. */
int weeks_of_person(struct db *db, int64_t person, int below, size_t max, struct week **out, size_t *n);
/* Every standing, measured within [from, to), by instant and id. */
int readings_of_person(struct db *db, int64_t person, int64_t from, int64_t to, struct reading **out, size_t *n);
/* Texts that are nobody's (a short code, a number of no clinic): the latest `max`, oldest first; likewise. */
int texts_of_nobody(struct db *db, int64_t since, size_t max, struct stored_text **out, size_t *n);
int reading_get(struct db *db, int64_t id, struct reading *out, bool *found);
int alert_get(struct db *db, int64_t id, struct alert *out, bool *found);
int desk_get(struct db *db, int64_t id, struct desk_row *out, bool *found);

/* -- the table of patients (overview.c, search.c) ----------------------------------------------------------------------------- */

/* Stages: invited, waiting (joined, no reading yet), measuring, to_review (the week has ended), reviewed, paused, gone. */
enum people_sort { SORT_REF, SORT_HEARD, SORT_SILENT, SORT_MEAN };
enum { STAGE_MAX = 16, STAGES_MAX = 12, SEARCH_MOST = 500 };
struct people_query {
    const char *clinic;
    const char *stage;        /* "": any */
    const char *search;       /* beginnings of words of the name, of the ref, of the number or of its last six or three
                               * digits, all of which must fit; at most SEARCH_MOST are found. Then by ref. "": all */
    enum people_sort sort;    /* SORT_HEARD: the latest first; SORT_SILENT: the longest silent first; SORT_MEAN: highest first */
    size_t skip;
};
int people_find(struct db *db, const struct people_query *q, int64_t *ids, size_t max, size_t *n);
struct stage_count {
    char stage[STAGE_MAX];
    int64_t n;
};
int people_stages(struct db *db, const char *clinic, struct stage_count out[STAGES_MAX], size_t *n);
/* The mean of the current week's counted readings, whole mmHg; 0 none. By the writer. */
int people_mean_set(struct db *db, int64_t person, int sys, int dia);

/* -- the practice's figures (months.c) ------------------------------------------------------------------------------------- */

/* Counted as they happen, by month of UTC. days: of completed or short weeks, by their length. */
struct month {
    int month;                /* year * 12 + month from 0 */
    int64_t weeks_complete, weeks_short, texts_sent, segments_sent, texts_received, readings, readings_held,
        readings_corrected, alerts, alerts_taken, seconds_to_take, cuffs;
    int64_t days[32];
};
/* The latest `max` months that have figures, oldest first. */
int months_list(struct db *db, const char *clinic, struct month *out, size_t max, size_t *n);

/* -- the audit, read (audit.c) --------------------------------------------------------------------------------------------- */

struct audit_entry {
    int64_t seq, at, person;  /* person 0: nobody's */
    char clinic[CLINIC_MAX], who[DONE_BY_MAX], action[48], detail[192];
};
/* Newest first, with numbers within [from, before); malloced. Of a clinic, or of a person (`person` not 0), then `clinic`
 * NULL or "": whichever. */
struct audit_query {
    const char *clinic;
    int64_t person, from, before; /* before: INT64_MAX, the newest */
};
int audit_list(struct db *db, const struct audit_query *q, size_t max, struct audit_entry **out, size_t *n);
/* The number of the first entry at or after an instant; of the next one to come when there is none. */
int audit_at(struct db *db, int64_t at, int64_t *seq);

/* -- accounts and sessions of the desk (accounts.c) ------------------------------------------------------------------------- */

enum { USER_MAX = 64, TOKEN_HASH = 32 };

struct account {
    char user[USER_MAX];      /* unique in all clinics */
    char clinic[CLINIC_MAX];  /* "": all clinics */
    char role[16];            /* coordinator, clinician, admin */
    char password[132];       /* as crypto_pwhash_str makes it, never the password */
    bool enabled;
    int64_t created, changed; /* changed: password, role or enabled */
};
int account_put(struct db *db, const struct account *a); /* sets it whole, by user */
int account_get(struct db *db, const char *user, struct account *out, bool *found);
int accounts_list(struct db *db, const char *clinic, struct account **out, size_t *n); /* by user; malloced; "" all */

struct session {
    uint8_t token[TOKEN_HASH]; /* a hash of what the browser holds, never that itself */
    char user[USER_MAX];
    int64_t created, seen, ends;
};
int session_put(struct db *db, const struct session *s); /* sets it whole, by token */
int session_get(struct db *db, const uint8_t token[TOKEN_HASH], struct session *out, bool *found);
int session_end(struct db *db, const uint8_t token[TOKEN_HASH]);
int sessions_end_of(struct db *db, const char *user);    /* when the password or the account changes */
int sessions_end_before(struct db *db, int64_t now);     /* those that have ended by themselves */

/* -- forgetting (erase.c) ---------------------------------------------------------------------------------------------------- */

/* Blanks the bodies of texts, in and out, that are older than `before`; of those within a day of an alert of the patient, older
 * than `alert_before`. At most `max` of each direction; n is how many were. */
int texts_blank(struct db *db, int64_t before, int64_t alert_before, size_t max, size_t *n);
/* Where summaries of a person went: distinct addresses, malloced. */
int summaries_went(struct db *db, int64_t person, char (**to)[TARGET_MAX], size_t *n);
/* Removes a person's row, course, weeks, readings, texts, desk rows and what waits to be sent; blanks what was sent and what
 * alerts say in words; keeps message hashes and the audit. The id goes into the folder's file `quietarm.erased`, so that
 * DB_SERVE does it again to a copy that is restored; that it was done is audited at db_now, by `who`. With an alert
 * unresolved nothing is done: *open. Somebody who had opted out cannot be enrolled again: see refusal_of. */
int person_erase(struct db *db, int64_t person, const char *who, bool *open);
/* An erased person of this number had opted out of this clinic (a keyed hash; the key is the folder's `quietarm.key`). */
int refusal_of(struct db *db, const char *clinic, const char *phone, bool *found);
int refusal_clear(struct db *db, const char *clinic, const char *phone); /* they texted START */

/* -- what leaves for a clinic (served.c): never of a stranger, nor of one whose consent was withdrawn ---------------------- */

struct served {
    const char *clinic;
    int64_t person;          /* 0: all */
    int64_t from, to;        /* instants of measuring, [from, to); of readings only */
    int64_t after;           /* ids above this */
};
/* By id, at most `max`; malloced. `ref` "": all. */
int served_people(struct db *db, const char *clinic, const char *ref, int64_t after, size_t max, struct person **out, size_t *n);
int served_readings(struct db *db, const struct served *which, size_t max, struct reading **out, size_t *n); /* accepted ones */
int served_weeks(struct db *db, const struct served *which, size_t max, struct week **out, size_t *n);       /* complete or short */
int week_get(struct db *db, int64_t id, struct week *out, bool *found);
/* The weeks of a clinic in which something was measured within [from, to): person and the week's number, 0 for readings that
 * belong to none; in that order, those behind (after, after_week); at most `max`. */
int weeks_measured(struct db *db, const char *clinic, int64_t from, int64_t to, int64_t after, int64_t after_week, size_t max,
                   int64_t *persons, int64_t *numbers, size_t *n);

/* -- backup and verify (backup.c) --------------------------------------------------------------------------------------- */

/* One consistent copy in `dest` (must not exist), written beside, synced, renamed. `why` takes one line. */
int store_backup(const char *folder, const char *dest, char *why, size_t why_size);
struct verify_report {
    bool sound;
    char why[256];
    int64_t people, texts, readings, weeks, outbox, alerts, audit;
    int schema;
};
/* Of a file of the embedded store, or, NULL, of the chosen store in `folder`, alive or not. */
int store_verify(const char *folder, const char *file, struct verify_report *out);

/* Copies the folder's embedded database, or `file` if it is not NULL, into the chosen store (which must be a shared one, and
 * empty or begun before), and compares counts and digests of every table. `told` after each table. `why` takes one line. */
int store_migrate(const char *folder, const char *file, void (*told)(void *context, const char *of, int64_t rows), void *context,
                  char *why, size_t why_size);

#endif
