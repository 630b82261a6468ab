/* What the files of care share. Private to the room.
 *
 * Everything is done in a turn: one event being decided. A turn gathers what shall be answered while the rules run, in
 * the order of the worry table; the first rule that speaks has the reply ("the highest row's"), and turn_end() sends
 * it.
 */
#ifndef QUIETARM_CARE_INSIDE_H
#define QUIETARM_CARE_INSIDE_H

#include "gateway/care/care.h"
#include "gateway/care/sitting.h"

enum { MINUTES = 60, HOURS = 3600, DAYS = 86400, TAKEN_MAX = MEANING_READINGS };

struct turn {
    struct record *r;
    const struct moment_of_care *m;
    const struct inbound *in;   /* NULL in a look or an action */
    struct effects *out;
    struct meaning said;        /* the text's meaning, adjusted to whose phone it is */
    uint32_t flags;             /* red and other flags that hold now: flags without flags_past */
    int64_t taken[TAKEN_MAX];   /* ids of the certain readings of this text that were taken, in its order */
    uint16_t n_taken;
    int64_t doubted[TAKEN_MAX]; /* ids of its doubtful ones, standing held */
    uint16_t n_doubted;
    int64_t amended[QUESTION_READINGS]; /* readings taken back whose right numbers are not known yet */
    uint8_t n_amended;
    bool answered;              /* new numbers of this text answer the open question */
    bool asked_for;             /* and are a measurement that the gateway asked for */
    enum text_kind opener;      /* what an ordinary reply opens with, TEXT_NONE: it follows from what was taken */
    int64_t echoed[QUESTION_READINGS]; /* the readings that the opener echoes */
    uint8_t n_echoed;
    enum text_kind cuff_tail;   /* what arm and cuff, told beside readings, add to the reply */
    bool unread;                /* its numbers could not be read: the form is asked for */
    bool looking;               /* this is the look: the next one must be later */
    bool joined;                /* for the first time: what is to be told of cuff and monitor follows the welcome */
    bool desk_told;             /* a desk row or alert stands for it already */
    struct saying say;          /* the reply so far */
    bool worry;                 /* the reply is a worry reply */
    bool confirmation;          /* goes in whatever state: the one confirmation of STOP, an answer to START */
    const char *silence;        /* why there is no answer, when there is none */
};

/* -- turn.c: beginning and ending one event ------------------------------------------------------------------------ */

void turn_begin(struct turn *t, struct record *r, const struct moment_of_care *m, const struct inbound *in,
                struct effects *out);
/* Sends the reply if there is one and it may go, notes the one outcome of the text, sets the next look, puts the
 * course. */
void turn_end(struct turn *t);

/* -- permit.c ------------------------------------------------------------------------------------------------------ */

enum permit { PERMIT_INVITE = 1, PERMIT_REMINDER = 2, PERMIT_HINT = 4, PERMIT_REPLY = 8, PERMIT_WORRY = 16 };
bool state_permits(enum person_state s, enum permit what);
/* Worry is answered at most once an hour: who stopped, left, declined. */
bool state_worry_hourly(enum person_state s);

/* -- speak.c: a saying, and sending it to the patient -------------------------------------------------------------- */

void say_part(struct saying *s, enum text_kind kind);
bool say_has(const struct saying *s, enum text_kind kind);
enum text_kind say_kind(const struct saying *s);
bool is_emergency(enum text_kind k); /* a text that sends the patient to ring for help now */
void say_echo(struct saying *s, int16_t sys, int16_t dia, int16_t pulse);
/* Starts the reply with this kind unless a higher rule has it already; true when it is the reply now. */
bool turn_reply(struct turn *t, enum text_kind kind);
bool turn_worry(struct turn *t, enum text_kind kind);
/* Queues a text to the patient: fills language, contact, due, expiry; remembers it. NULL when out of memory, or when
 * the same unprompted one waits already. */
struct outgoing *send_patient(struct turn *t, const struct saying *s, enum outgoing_class class_, bool unprompted);
void send_one(struct turn *t, enum text_kind kind, enum outgoing_class class_, bool unprompted);
/* When the patient was last told this kind (as first part, or as hint), INSTANT_NONE if not within 48 hours. */
int64_t sent_last(const struct record *r, enum text_kind kind);
bool sent_within(const struct record *r, enum text_kind kind, int64_t now, int64_t seconds);
bool quiet_now(const struct record *r, int64_t now);
int64_t quiet_over(const struct record *r, int64_t now); /* the instant itself when it is not quiet */

/* -- put.c --------------------------------------------------------------------------------------------------------- */

bool record_remember(struct record *r, const struct outgoing *o);

/* -- desk.c -------------------------------------------------------------------------------------------------------- */

/* Opens a row of this kind, or brings the open one up to date. Rank 0 is first on the list. */
void desk_open(struct turn *t, enum desk_kind kind, uint8_t rank, const char *note);
void desk_open_reading(struct turn *t, enum desk_kind kind, uint8_t rank, int64_t reading, const char *note);
void desk_close(struct turn *t, enum desk_kind kind, const char *who);
void desk_close_reading(struct turn *t, int64_t reading);
void desk_close_text(struct turn *t, int64_t text, int64_t at, const char *who); /* rows that this text opened at `at` */
bool desk_has(const struct record *r, enum desk_kind kind);

/* -- days.c: day, window, week day 1 ------------------------------------------------------------------------------- */

int32_t day_of(const struct record *r, int64_t instant); /* civil day in the patient's zone */
/* The slot whose window begins first on a day, and the other one (night work turns them round). */
enum slot slot_first(const struct record *r);
enum slot slot_last(const struct record *r);
int64_t remind_at(const struct record *r, int32_t day, enum slot slot);
/* Accepted readings of a sitting that can count: the patient's arm, seated. */
int sitting_accepted(const struct record *r, int32_t day, enum slot slot);
int sitting_any(const struct record *r, int32_t day, enum slot slot); /* accepted or held */
bool reading_fit(const struct record *r, const struct reading *x);
bool week_running(const struct record *r); /* waiting, ready or measuring */
bool week_ended(const struct record *r);
struct reading *reading_of(struct record *r, int64_t id); /* NULL */
/* Works day 1 and the week's state out anew while it runs; puts the week when it changed. */
void week_settle(struct turn *t);
void week_open(struct turn *t);

/* -- believe.c: is a reading believable? --------------------------------------------------------------------------- */

/* Bits of enum held for a certain reading that is not in the record yet. */
uint16_t reading_doubts(const struct turn *t, const struct reading *x, const struct said *said);

/* -- readings.c: from what was said to rows ------------------------------------------------------------------------ */

void readings_take(struct turn *t);
enum { PIECES_WITHIN = 10 * MINUTES }; /* one measurement sent in several texts; ours */
void pulse_heard(struct turn *t); /* pulse.c: a pulse that comes by itself */
/* Sets a standing, with the desk row and the week that follow from it. */
void reading_stand(struct turn *t, int64_t id, enum standing s, const char *reason);
void readings_take_up(struct turn *t); /* those kept aside, on joining */
/* Fills the row of a said number: when, which sitting, which numbers. Its id is new; standing and held are not set. */
void reading_fill(struct turn *t, struct reading *x, const struct said *said);
void reading_keep(struct turn *t, struct reading *x); /* puts it, and notes it as taken by this text */

/* -- amend.c, question.c ------------------------------------------------------------------------------------------- */

/* Acts on "correct" and "void"; true when the text's readings have been dealt with. */
bool amend_act(struct turn *t);
enum { QUESTION_LIFE = 24 * HOURS };
bool question_open(const struct record *r, int64_t now);
void question_ask(struct turn *t, enum question_kind kind, enum text_kind text, const int64_t *readings, size_t n);
void question_again(struct turn *t);                      /* the open one, once more, as this reply */
void question_close(struct turn *t);                      /* what it was about stays held and goes to the desk */
bool question_answer(struct turn *t, bool yes);           /* false: there was none to answer */
void question_none(struct turn *t);                       /* none is open any more; nothing goes to the desk */
void question_new_numbers(struct turn *t);                /* new numbers answer it, before they are taken */
void question_replaced(struct turn *t);                   /* after they are taken: what they stand for */
bool when_asked(const struct question *q);                /* when.c: it asks for a day or a time */
bool said_when(const struct said *s);                      /* it names a day, a part of one or a time */
void when_answer(struct turn *t);                         /* a bare day or time, or its numbers once more with one */
bool reading_stands(const struct reading *x);             /* accepted or held */
void turn_echo(struct turn *t, int64_t reading);
void questions_of_text(struct turn *t);                   /* one question for what is held of this text */
void held_to_desk(struct turn *t);                        /* or none: the desk decides */

/* -- shared.c ------------------------------------------------------------------------------------------------------ */

void whose_told(struct turn *t, const struct question *asked); /* the untagged text was somebody's: heard anew, or not theirs */

/* -- ways.c, worry.c, follow.c, alert.c ------------------------------------------------------------------------------------ */

enum { RED_FLAGS = FLAG_BLEEDING | FLAG_BREATHLESS | FLAG_CHEST_PAIN | FLAG_CONFUSION | FLAG_EMERGENCY | FLAG_FAINT |
                   FLAG_HEADACHE | FLAG_SEIZURE | FLAG_SPEECH | FLAG_SWELLING_FACE | FLAG_TEARING_PAIN | FLAG_VISION |
                   FLAG_WEAKNESS };

struct figures {
    int16_t sys, dia, pulse; /* SAID_NONE where not known */
};

/* Numbers that no human has are not known. */
struct figures figures_human(int16_t sys, int16_t dia, int16_t pulse);
/* Each way in which a doubtful number could be meant; how many there are. */
enum { FIGURES_WAYS = 2 };
int figures_ways(const struct turn *t, const struct said *s, struct figures f[FIGURES_WAYS]);
void worry_judge(struct turn *t);
bool figures_severe(const struct turn *t, struct figures f);
bool figures_very_high(struct figures f);
/* Urgent at once: < 80, <= 90 with a flag, < 100 with dizzy; told in this text or within the hour before. */
bool figures_low(const struct turn *t, struct figures f);
bool figures_lowish(struct figures f);                     /* <= 90 */
bool expecting(const struct turn *t); /* the pregnancy lines hold */
/* The state machine of a worrying number and its repeat. Each returns the reply, TEXT_NONE for none. */
enum text_kind follow_severe(struct turn *t, struct figures f, int64_t reading, bool old, bool believed);
enum text_kind follow_low(struct turn *t, struct figures f, int64_t reading, bool believed);
enum text_kind follow_pulse(struct turn *t, struct figures f, int64_t reading);
void follow_doubtful(struct turn *t, int64_t reading);
void follow_flagged(struct turn *t, int64_t reading);
void follow_end(struct turn *t, int64_t reading); /* that reading was corrected or dropped */
void follow_look(struct turn *t);
int64_t follow_next(const struct record *r);
bool follow_waits(const struct record *r); /* a repeat is being waited for */

enum alert_how { ALERT_JOIN, ALERT_OWN };
/* Raises an alert, or joins the open one of at least this level. */
void alert_raise(struct turn *t, enum alert_level level, const char *cause, enum alert_how how);
bool alert_open(const struct record *r);
bool someone_on_call(const struct turn *t);
/* Queues a row to a staff target or a clinic's machine; the channel follows from the target's form. */
struct outgoing *send_target(struct turn *t, const char *target, enum outgoing_class class_);
bool alert_take(struct turn *t, int64_t alert, const char *who); /* false: there is none open, or somebody has it */
void alert_copies(struct turn *t, const struct alert *a, bool again, bool backup_only);
void alert_tell_takers(struct turn *t, const struct alert *a, const char *taker);

/* -- reply.c, coaching.c, cuff.c, keyword.c, news.c ---------------------------------------------------------------- */

void reply_compose(struct turn *t);
void not_understood(struct turn *t); /* asks for the form; the second time in a row a person will look */
enum text_kind hint_next(struct turn *t, const struct reading *x);
enum text_kind hint_of_technique(uint32_t technique);
bool keyword_act(struct turn *t);   /* true: the text is dealt with but for worry */
void news_act(struct turn *t);
bool news_still_absent(const struct meaning *said); /* tells of being away or in hospital, and not that it is over */
void cuff_heard(struct turn *t);
void cuff_judge(struct turn *t, bool to_patient);
void week_learns(struct turn *t); /* the running week keeps what it is measured with */
void monitor_judge(struct turn *t, bool to_patient); /* unvalidated, at the wrist, or failed beside the clinic's */
bool cuff_settled(const struct record *r);

/* -- person.c: the one setter of a person's state, and what goes with each step ------------------------------------ */

void person_state_set(struct turn *t, enum person_state s, const char *who);
void person_join(struct turn *t, const char *who);
void person_pause(struct turn *t, int64_t until, const char *who); /* until INSTANT_NONE: 7 days; paused already: until then */
void person_pause_later(struct turn *t, int64_t from, int64_t until);
void person_resume(struct turn *t, const char *who);
void person_return(struct turn *t, const char *who);
void person_leave(struct turn *t, enum person_state s, const char *reason, const char *who);

/* -- act.c, act_patient.c: one for each kind of action; nothing is done unless it answers CARE_DONE ---------------- */

typedef enum care_answer act_function(struct turn *t, const struct care_action *a);
act_function act_write, act_ask_again, act_extend, act_end_week, act_review, act_new_week, act_pause, act_resume,
    act_leave, act_consent, act_edit, act_close, act_invite_again, act_arms;

/* -- look.c, remind.c, week.c -------------------------------------------------------------------------------------- */

int64_t look_next(struct turn *t);
void remind_look(struct turn *t);
int64_t remind_next(const struct turn *t);
void week_look(struct turn *t);
int64_t week_next(const struct turn *t);
void week_amended(struct turn *t); /* an ended week changed: a new version of its summary */
void week_end(struct turn *t, enum week_state s);
void week_close(struct turn *t);
void week_send(struct turn *t);
void week_check(struct turn *t);   /* after readings came: the running mean */
void ready_settle(struct turn *t); /* hold_start: the week starts when cuff and monitor are settled, or after 48 hours */

#endif
