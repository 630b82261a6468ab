/* Care: the clinical rules. A record and an event in; effects out, and the record as they change it.
 *
 * Pure: no file, clock, zone, store, network or mutable global. Everything it may know is an argument. Rules and their
 * numbers come from the protocol and the clinic; sources stand beside them in the protocol files and in HAZARDS.md.
 */
#ifndef QUIETARM_CARE_H
#define QUIETARM_CARE_H

#include "gateway/care/effect.h"
#include "gateway/care/record.h"

/* "When did you measure it?", "on which days?" is open, and a bare day or time would answer it. */
bool care_asks_when(const struct record *r, int64_t now);

/* What every decision may use besides the record. */
struct moment_of_care {
    int64_t now;         /* the instant at which this is decided: receipt of the text, or the due time of the look */
    uint64_t random;     /* for codes; never for anything clinical */
    int64_t *next_id;    /* the next free id; care takes ids by ++ */
};

struct inbound {
    int64_t text;               /* id of the stored text */
    int64_t received, sent;     /* sent INSTANT_NONE when not told or not believable */
    const struct meaning *meaning;
    bool empty;                 /* a picture: no text at all */
    bool resent;                /* of a shared phone: the untagged text that was asked about, now with its tag */
    bool other_language;        /* neither English nor Spanish: worry is answered in both */
};

#define CARE_ACTIONS(X) \
    X(ACCEPT, "accept") X(VOID, "void") X(ADD, "add") X(TAKE, "take") X(RESOLVE, "resolve") X(REOPEN, "reopen") \
    X(DONE, "done") X(PUT_OFF, "put_off") X(HAND_OVER, "hand_over") X(WRITE, "write") X(ASK_AGAIN, "ask_again") \
    X(EXTEND, "extend") X(END_WEEK, "end_week") X(REVIEW, "review") X(NEW_WEEK, "new_week") X(PAUSE, "pause") \
    X(RESUME, "resume") X(STOP, "stop") X(WITHDRAW, "withdraw") X(CONSENT, "consent") X(EDIT, "edit") \
    X(DIED, "died") X(CLOSE, "close") X(INVITE_AGAIN, "invite_again") X(ARMS, "arms")
#define CARE_ACTION(NAME, text) ACTION_##NAME,
enum care_action_kind { CARE_ACTIONS(CARE_ACTION) ACTION_COUNT };

/* What a person at the desk, or a command, does. Which fields count depends on the kind. */
struct care_action {
    enum care_action_kind kind;
    char who[DONE_BY_MAX];
    int64_t id;                  /* reading, alert or desk row acted on */
    int32_t version;             /* of the desk row, or person_mark of the person, as it was seen; -1: any */
    char note[NOTE_MAX];         /* reason, outcome, or the text to write; handing over: to whom, unless `to` says it */
    char to[DONE_BY_MAX];        /* handing over: to whom; the note then says why and joins that of the row */
    struct said reading;         /* ACTION_ADD: a telephoned reading */
    struct person person;        /* ACTION_EDIT: as it shall be */
    int64_t until;               /* put off, pause */
    int16_t days;                /* extend by */
    int16_t left[2], right[2];   /* ACTION_ARMS: systolic of both arms, in turn, then once more */
};

/* What came of an action: the machine never fails here, the world may have changed. */
enum care_answer { CARE_DONE, CARE_GONE, CARE_CHANGED, CARE_REFUSED };

/* Whether this person may be enrolled on this local day; false with the reason in *why: under 18, born in the future. */
bool care_may_enrol(const struct person *p, int32_t today, const char **why);
/* Enrols: `r->person` is filled by the caller (state STRANGER for a number that had texted before, or a fresh one), the
 * rest of the record empty. Queues the invitation, or with `joined` the welcome. */
void care_enrol(struct record *r, const struct moment_of_care *m, bool joined, struct effects *out);
/* A text from the one person that this number or tag belongs to (a stranger too). */
void care_text(struct record *r, const struct moment_of_care *m, const struct inbound *in, struct effects *out);
/* A text of a shared phone without a tag: worry is answered and alerted for all, then it is asked whose it is;
 * STOP stops all. `records` are the `n` persons of the number. */
void care_text_shared(struct record **records, size_t n, const struct moment_of_care *m, const struct inbound *in,
                      struct effects *out);
/* The untagged text that `asked` is about was heard again with the tag of another who shares the phone: what it began in
 * this record ends. */
void care_told_whose(struct record *r, const struct moment_of_care *m, const struct question *asked, struct effects *out);
/* The patient's due time has come: reminder, nudge, follow-up, question closing, week end; sets the next look. `late_from`
 * is the due time that was missed (= m->now when it was not): what no longer makes sense is skipped and recorded. */
void care_look(struct record *r, const struct moment_of_care *m, struct effects *out);
/* An alert's due time has come: repeat, backup, patient told, opened again. */
void care_alert_look(struct record *r, const struct moment_of_care *m, int64_t alert, struct effects *out);
/* A staff member texted TAKE with the right code of the copy that went to `staff`. */
void care_take(struct record *r, const struct moment_of_care *m, int64_t alert, const char *staff, struct effects *out);
/* A text to this patient, or a copy of an alert, could not be sent, or is unsent five minutes after it should. */
void care_unsent(struct record *r, const struct moment_of_care *m, const struct outgoing *which, struct effects *out);
/* Whether the clinic may write to this person in its own words. */
bool care_may_write(enum person_state s);
/* A mark of all that a person's row holds, 0 or more: another one when anything in it differs. Of a row as the store loads it. */
int32_t person_mark(const struct person *p);
/* Whether the arms are far apart, both times and the same way round (15 systolic, ours by common practice); *by: on repeat,
 * without its sign. The arm to use is the one that is higher in all: *higher. */
bool arms_apart(const int16_t left[2], const int16_t right[2], int *by, enum arm *higher);
enum care_answer care_act(struct record *r, const struct moment_of_care *m, const struct care_action *a,
                          struct effects *out);

/* -- a finished or running week, for whoever shows it ------------------------------------------------------------------ */

enum { WEEK_DAYS_MAX = 16 };

struct mean {
    double sys, dia, pulse; /* NAN when n (for pulse: n_pulse) is 0 */
    int n, n_pulse;
};

struct sitting {
    int32_t day;
    uint8_t slot;
    int16_t accepted, counted, held; /* accepted: seated, on the patient's arm */
    int16_t wanted;                  /* 0: before the first reading, or past the days wanted */
    bool ended;                      /* its window is over */
    bool left_out;                   /* the first day */
};

struct week_result {
    struct mean all, morning, evening;       /* of counted readings */
    double sd_sys, sd_dia;                   /* sample SD; NAN */
    double interval_sys[2], interval_dia[2]; /* 95 %, Student's t over day means; NAN */
    double chance_sys, chance_dia;           /* that the true mean is at or above the lowest line; NAN */
    double cv_sys, cv_dia, arv_sys, arv_dia, first_morning_cv_sys, first_morning_cv_dia; /* NAN */
    bool enough;
    char category[40];                       /* "below" or the protocol's name; "" when null */
    char category_morning[40], category_evening[40]; /* with `apart` only */
    struct { int16_t sys, dia; } threshold;  /* the lowest line */
    char cuff[16];                           /* fits borderline "too small" "too large" unknown */
    char pattern[40];                        /* "" when null */
    char quality[16][24];                    /* sorted words of care.md */
    int n_quality;
    struct sitting sittings[2 * WEEK_DAYS_MAX];
    int n_sittings;
    int days_accepted;
    bool all_wanted_full;                    /* every wanted sitting has what it wants */
    bool last_wanted_full;                   /* the last wanted one has */
    bool far_from_office;                    /* 15 or more systolic: "look at cuff and monitor first" */
    int sittings_measured;                   /* with an accepted reading */
    int16_t technique[TECHNIQUE_COUNT];      /* of those, in how many the patient said this of the measuring */
};

/* Computes the result of the record's week as of `now`. */
void week_result(const struct record *r, int64_t now, struct week_result *out);
/* Whether this reading counts in the mean, and if not why in plain words ("first day", "extra", "held: …"); NULL when it
 * counts. `buf` is used for words that are made. */
const char *reading_why(const struct record *r, const struct reading *x, char *buf, size_t size);
bool reading_counted(const struct record *r, const struct reading *x);

/* -- protocol files ------------------------------------------------------------------------------------------------- */

/* Reads a protocol file's bytes. 0, or -1 with "NAME:LINE: what, what to do" in `why`. */
int protocol_read(const char *name, const char *bytes, size_t size, struct protocol *out, char *why, size_t why_size);

/* The protocol of this name ("esh") among those linked in. 0, or -1 with one line in `why`. */
int protocol_find(const char *name, struct protocol *out, char *why, size_t why_size);

/* -- rows with nothing known yet: every "none" set as record.h says, all else 0 (blank.c) ----------------------------- */

void person_blank(struct person *p, const struct clinic *c); /* a stranger in the clinic's language and zone */
void course_blank(struct course *c, int64_t person);
void week_blank(struct week *w, int64_t person);
void reading_blank(struct reading *x, int64_t person);
void alert_blank(struct alert *a, const struct person *p);
void desk_blank(struct desk_row *d, const struct person *p);

/* -- keeping record and effects together ----------------------------------------------------------------------------- */

void record_clear(struct record *r);
void effects_clear(struct effects *e);
/* Adds an effect and sets its row in the record. */
void care_put_person(struct record *r, struct effects *out);
void care_put_course(struct record *r, struct effects *out);
void care_put_week(struct record *r, struct effects *out);
struct reading *care_put_reading(struct record *r, const struct reading *x, struct effects *out);
struct alert *care_put_alert(struct record *r, const struct alert *x, struct effects *out);
void care_put_desk(struct record *r, const struct desk_row *x, struct effects *out);
void care_put_outcome(int64_t text, int64_t person, const char *why, struct effects *out);
void care_put_audit(const struct record *r, const char *who, const char *action, const char *detail, struct effects *out);
/* Adds an outgoing row and remembers it in the record; fills id, key, created; returns it to be completed, or NULL. */
struct outgoing *care_put_send(struct record *r, const struct moment_of_care *m, enum outgoing_class class_,
                               struct effects *out);
void care_put_withdraw(struct record *r, uint32_t classes, bool unprompted_only, const char *reason, struct effects *out);

bool clinic_open(const struct clinic *c, const struct offsets *zone, int64_t now);

#endif
