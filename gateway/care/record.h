/* A patient's record: everything that care may know when it decides. Data only, no rule.
 *
 * The store fills a record, care reads it and says in effects (effect.h) which rows shall be set; care_put() in
 * care.h sets them in the record too, so that a second event is decided on the record as the first changed it.
 * Ids are 64-bit, time-ordered, made by the program. Instants are seconds since 1970 UTC, days are civil day numbers
 * (civil.h), minutes are minutes of the local day, pressures mmHg, pulse beats a minute, lengths cm.
 * 0 in a pressure, pulse or length is "not known"; -1 in a minute of the day is "the clinic's".
 */
#ifndef QUIETARM_RECORD_H
#define QUIETARM_RECORD_H

#include "gateway/care/civil.h"
#include "parser/meaning.h"

enum {
    CLINIC_MAX = 32,   /* bytes with NUL of a clinic's short name */
    REF_MAX = 41,      /* 40 of letters, digits, - . _ / */
    PHONE_MAX = 32,    /* +E.164, or a sender's short code or name */
    NAME_MAX_BYTES = 128,
    TAG_MAX = 24,
    LANGUAGE_MAX = 8,
    ZONE_MAX = 48,
    PROTOCOL_MAX = 64,
    MONITOR_MAX = 96,
    TARGET_MAX = 254,
    TARGETS_MAX = 8,   /* of alert_to, summary_to … */
    CLOSED_MAX = 64,
    LINES_MAX = 6,     /* home lines of a protocol */
    QUESTION_READINGS = 16,
    DONE_BY_MAX = 64,
    NOTE_MAX = 512
};

/* -- the clinic and the protocol: configuration, shared by all records, never written ----------------------------- */

struct span {
    int16_t from, to; /* minutes of the day, to may be 1440; from > to runs over midnight (quiet hours) */
};

struct home_line {
    char category[40]; /* its name when reached: "stage 1" */
    int16_t sys, dia;
};

struct protocol {
    char name[PROTOCOL_MAX];
    char edition[96], source[256];
    int16_t days, fewest_days, most_days; /* wanted; fewest local days with an accepted reading; the longest it may go on */
    int16_t per_sitting, gap_minutes, fewest_readings;
    bool first_day_counted;
    bool apart;               /* morning and evening are judged apart */
    bool severe_either_at;    /* severe when a line is reached (true) or passed (false) */
    struct { int16_t sys, dia; } severe, office;
    struct home_line lines[LINES_MAX]; /* lowest first */
    uint8_t n_lines;
    int16_t third_reading_over;        /* systolic difference of two that asks for a third */
};

struct clinic {
    char id[CLINIC_MAX];
    char name[NAME_MAX_BYTES];
    char text_number[PHONE_MAX];
    char voice_number[40], out_of_hours[40], emergency[40], maternity[40], crisis[40];
    char zone[ZONE_MAX], language[LANGUAGE_MAX]; /* "en", "es" */
    bool bilingual;                              /* language = en+es */
    struct span hours[7];                        /* Monday first; from == to: closed that weekday */
    int32_t closed[CLOSED_MAX];
    uint16_t n_closed;
    struct span morning, evening, quiet;
    int16_t remind_morning, remind_evening, nudge_after; /* nudge_after 0: none */
    bool hold_start;
    int16_t alert_again;               /* minutes */
    char alert_to[TARGETS_MAX][TARGET_MAX], alert_out_of_hours[TARGETS_MAX][TARGET_MAX];
    char alert_backup[TARGETS_MAX][TARGET_MAX], summary_to[TARGETS_MAX][TARGET_MAX];
    char protocol_name[PROTOCOL_MAX];
    struct protocol protocol;          /* the clinic's default */
    char fhir_token[128];              /* "" when there is no FHIR endpoint for this clinic */
};

/* -- who ------------------------------------------------------------------------------------------------------------ */

/*
 *   stranger ──enrol──▶ invited ──YES──▶ joined ◀──START── left ◀──STOP── (any)
 *                          │  ╲            │  ▲
 *                          NO  no answer   │  └── paused (away, in hospital)
 *                          ▼               ▼
 *                       declined         closed · died · wrong number
 * A stranger is a number that texted a clinic and is nobody's: it has a record so that a worrying text of anybody is
 * answered, alerted, limited and shown in one way.
 */
#define PERSON_STATES(X) \
    X(STRANGER, "stranger") X(INVITED, "invited") X(JOINED, "joined") X(DECLINED, "declined") X(PAUSED, "paused") \
    X(LEFT, "left") X(CLOSED, "closed") X(DIED, "died") X(WRONG_NUMBER, "wrong_number") X(WITHDRAWN, "withdrawn")
#define PERSON_STATE(NAME, text) PERSON_##NAME,
enum person_state { PERSON_STATES(PERSON_STATE) PERSON_STATE_COUNT };

enum answer3 { ANSWER_UNKNOWN, ANSWER_NO, ANSWER_YES };

struct person {
    int64_t id;
    char clinic[CLINIC_MAX], ref[REF_MAX], phone[PHONE_MAX], tag[TAG_MAX];
    char name[NAME_MAX_BYTES];
    char language[LANGUAGE_MAX], zone[ZONE_MAX];
    enum person_state state;
    int64_t state_since, enrolled_at, consent_at; /* INSTANT_NONE where not yet */
    int32_t born;                                 /* day number; DAY_NONE */
    bool carer;                                   /* --sent-by carer */
    int16_t morning_from, morning_to, evening_from, evening_to, quiet_from, quiet_to; /* -1: the clinic's */
    int16_t remind_morning, remind_evening;
    double arm_cm, cuff_low, cuff_high;
    bool arm_by_staff;                            /* measured by a person of the clinic, not by the patient */
    char monitor[MONITOR_MAX];
    uint8_t validated, treated;                   /* enum answer3 */
    bool wrist;
    uint8_t on_arm;                               /* enum arm: the arm to use */
    int16_t office_sys, office_dia;
    int32_t office_day;
    char protocol[PROTOCOL_MAX];                  /* "": the clinic's */
    bool af;                                      /* atrial fibrillation known */
    bool pregnant;
    int32_t pregnant_due, birth;                  /* day numbers */
    int32_t start;                                /* the week starts on this day at the earliest */
    int32_t medicine_changed;                     /* day, kept by staff */
    int8_t monitor_check_sys, monitor_check_dia;  /* side by side: monitor minus clinic; 127 not done */
};

/* -- the week --------------------------------------------------------------------------------------------------------- */

#define WEEK_STATES(X) \
    X(WAITING, "waiting") X(READY, "ready") X(MEASURING, "measuring") X(COMPLETE, "complete") X(SHORT, "short") \
    X(CLOSED, "closed")
#define WEEK_STATE(NAME, text) WEEK_##NAME,
enum week_state { WEEK_STATES(WEEK_STATE) WEEK_STATE_COUNT };

struct week {
    int64_t id, person;
    int16_t number;        /* 1, 2, … for this patient */
    int16_t version;       /* of its summary; grows when a late correction changes an ended week */
    enum week_state state;
    char protocol[PROTOCOL_MAX];
    int32_t first_day, last_day; /* DAY_NONE until known; last_day when ended */
    int16_t days_wanted;         /* grows day by day when it goes on */
    int64_t opened_at, ended_at, sent_at, reviewed_at; /* INSTANT_NONE */
    char reviewed_by[DONE_BY_MAX], outcome[NOTE_MAX];
    double arm_cm, cuff_low, cuff_high; /* as they were, these and the next four: weeks are compared only with like */
    char monitor[MONITOR_MAX];
    bool wrist;
    uint8_t validated, on_arm;   /* enum answer3, enum arm */
    int16_t paused_days;         /* days of pauses in it: they do not end it, nor use up most_days */
    uint32_t noted;              /* bits of enum week_note: what was told once and is not told again */
};

enum week_note {
    NOTED_HIGH_MEAN = 1 << 0,  /* running mean at or above 160/100 */
    NOTED_IRREGULAR = 1 << 1,  /* irregular sign in two of six sittings */
    NOTED_UNREVIEWED = 1 << 2, /* ended, and nobody has reviewed it in time */
    NOTED_SEVERE = 1 << 3,     /* a severe reading was confirmed */
    NOTED_EQUIPMENT = 1 << 4   /* cuff, monitor or arm were changed while it was measured */
};

#define STANDINGS(X) X(ACCEPTED, "accepted") X(HELD, "held") X(VOID, "void") X(REPLACED, "replaced") X(ASIDE, "aside")
#define STANDING(NAME, text) STANDING_##NAME,
enum standing { STANDINGS(STANDING) STANDING_COUNT }; /* aside: sent before joining, taken up on joining (shown as held) */

/* Why a reading is held, as bits: several may hold at once. */
enum held {
    HELD_DOUBT = 1 << 0,      /* the parser's doubt */
    HELD_LIMITS = 1 << 1,     /* outside the believable */
    HELD_OUTLIER = 1 << 2,    /* far from the week's median */
    HELD_REPEAT = 1 << 3,     /* same three numbers within 3 minutes */
    HELD_WHEN = 1 << 4,       /* too old, before day 1, in the future */
    HELD_DAYS = 1 << 5,       /* more than three pairs without day or slot */
    HELD_PRACTICE = 1 << 6,   /* before cuff and monitor are settled (hold_start) */
    HELD_CONSENT = 1 << 7,    /* sent before joining */
    HELD_WHOSE = 1 << 8,      /* a shared phone, no tag: one copy is held for each of its patients */
    HELD_AMENDED = 1 << 9     /* the patient took it back and has not said what it should be */
};

struct reading {
    int64_t id, person, week, text; /* week 0 while aside; text 0 when entered at the desk */
    int64_t at;                     /* instant of measuring: stated, else sent, else received */
    int64_t received;
    int32_t day;                    /* sitting-day, civil, local */
    int16_t minute;                 /* local minute of the day of `at` */
    uint8_t slot;                   /* enum slot, never SLOT_NONE */
    uint8_t arm, posture;
    int16_t sys, dia, pulse;        /* as written; dia 0 for a lone number */
    enum standing standing;
    uint16_t held;                  /* bits of enum held, kept after it was settled */
    uint8_t doubt;                  /* parser's doubt bits */
    bool asked_for;                 /* measured because the gateway asked: counts beyond per_sitting */
    bool confirmed;                 /* the patient said YES to it */
    bool off_time, sent_late, telephoned;
    uint32_t technique;
    double temp_c;                  /* NAN */
    int64_t replaced_by;            /* 0 */
    char decided_by[DONE_BY_MAX], reason[NOTE_MAX]; /* who accepted or voided it at the desk, and why */
};

/* -- what is open --------------------------------------------------------------------------------------------------- */

#define QUESTIONS(X) \
    X(NONE, "none") X(IS_IT_RIGHT, "is_it_right") X(MEASURE_AGAIN, "measure_again") X(NEW_ONE, "new_one") \
    X(WHEN, "when") X(WHICH_DAYS, "which_days") X(SEND_AGAIN, "send_again") X(SWAPPED, "swapped") \
    X(OWN, "own") X(WHICH_READING, "which_reading") X(ARM_AND_CUFF, "arm_and_cuff") X(WHOSE, "whose")
#define QUESTION(NAME, text) QUESTION_##NAME,
enum question_kind { QUESTIONS(QUESTION) QUESTION_COUNT };

/* At most one a patient. The readings that it is about, as held. */
struct question {
    enum question_kind kind;
    int64_t asked_at, text;
    int64_t readings[QUESTION_READINGS];
    uint8_t n_readings;
};

/* Confirmed: the second severe one came and the alert is out; for 12 hours more of them join it. There `asked_again` says
 * that the patient was told not to keep measuring. */
enum follow_kind { FOLLOW_NONE, FOLLOW_SEVERE, FOLLOW_LOW, FOLLOW_PULSE, FOLLOW_DOUBTFUL, FOLLOW_CONFIRMED };

/* A worrying number that waits for its repeat. */
struct follow {
    enum follow_kind kind;
    int64_t since;      /* when the number came */
    int64_t reading;    /* 0 when it was only doubtful */
    bool asked_again;   /* the text at 15 minutes went */
    bool alerted;       /* an alert was raised for it */
};

/* What changes with every text: one row a patient beside `person`. */
struct course {
    int64_t person;
    int64_t next_look;      /* INSTANT_NONE: nothing is due */
    struct question question;
    struct follow follow;
    int64_t paused_until;   /* instant; INSTANT_NONE */
    int64_t pause_from;     /* a pause to come, which ends at paused_until; INSTANT_NONE */
    int64_t last_text, last_reading; /* received, INSTANT_NONE */
    int64_t last_flag, last_severe;  /* instants; for "within 60 minutes, either order" */
    int32_t reminded_day[2], nudged_day[2]; /* sitting-day of the last one, by slot morning, evening; DAY_NONE */
    int16_t silent;         /* sittings in a row without a reading */
    bool silent_told;       /* the one text after four was sent: no more reminders until they text */
    int16_t not_understood; /* in a row */
    int16_t settled_severe; /* severe sittings of this week that came down */
    uint32_t hints_mentioned;        /* technique bits not hinted yet */
    int16_t rotation;                /* next hint of the rotation */
    int32_t hinted_day;              /* the sitting that had its hint: day*2 + (slot is evening); DAY_NONE */
    int16_t arm_asked;               /* times that arm and cuff were asked */
    int64_t misfit_told, ready_since;/* INSTANT_NONE */
    bool second_invitation;          /* the reminder after two days went */
    int16_t dia_confirmed;           /* a low diastolic confirmed once is not asked again that week */
};

#define ALERT_LEVELS(X) X(DESK, "desk") X(URGENT, "urgent") X(EMERGENCY, "emergency")
#define ALERT_LEVEL(NAME, text) ALERT_##NAME,
enum alert_level { ALERT_LEVELS(ALERT_LEVEL) ALERT_LEVEL_COUNT };

struct alert {
    int64_t id, person;
    char clinic[CLINIC_MAX];
    enum alert_level level;      /* urgent or emergency */
    char cause[32];              /* "severe", "chest_pain", "low", "no_repeat", "reply_unsent", "target_failed" … */
    int64_t at, taken_at, resolved_at; /* INSTANT_NONE */
    char taken_by[DONE_BY_MAX], resolved_by[DONE_BY_MAX], outcome[NOTE_MAX];
    int64_t due;                 /* next repeat, or re-opening; INSTANT_NONE when resolved */
    int16_t times;               /* times that it was sent */
    bool patient_told;           /* that nobody has seen it yet */
};

/* A row on the coordinators' list. `kind` is one of desk_kind; alerts and held readings are rows by themselves. */
#define DESK_KINDS(X) \
    X(ASKS, "asks") X(UNREADABLE, "unreadable") X(HELD, "held") X(MEDICINE, "medicine") X(PREGNANT, "pregnant") \
    X(CAME_DOWN, "came_down") X(SYMPTOM, "symptom") X(FLAG_PAST, "flag_past") X(IRREGULAR, "irregular") \
    X(SILENT, "silent") X(NOT_JOINED, "not_joined") X(CUFF, "cuff") X(MONITOR, "monitor") X(FLOOD, "flood") \
    X(UNDELIVERED, "undelivered") X(HIGH_MEAN, "high_mean") X(SHORT_WEEK, "short_week") X(WEEK_DONE, "week_done") \
    X(NEWS, "news") X(LEFT, "left") X(DIED, "died") X(WRONG_NUMBER, "wrong_number") X(STRANGER, "stranger") \
    X(SEVERE, "severe") X(LOW, "low") X(PULSE, "pulse") X(HELP, "help") X(DECLINED, "declined") X(UNREVIEWED, "unreviewed") \
    X(SKIPPED, "skipped") X(WHOSE, "whose") X(ARM, "arm") X(ENDING, "ending")
#define DESK_KIND(NAME, text) DESK_##NAME,
enum desk_kind { DESK_KINDS(DESK_KIND) DESK_KIND_COUNT };

struct desk_row {
    int64_t id, person;
    char clinic[CLINIC_MAX];
    enum desk_kind kind;
    uint8_t rank;               /* 0 most urgent … 9 */
    int64_t at;
    int64_t text, reading, alert, week; /* what it is about; 0 */
    char note[NOTE_MAX];        /* plain words for staff */
    int64_t done_at, put_off_until;     /* INSTANT_NONE */
    char done_by[DONE_BY_MAX], taken_by[DONE_BY_MAX];
    int32_t version;            /* grows with every change: two people on one row */
};

/* -- what was said to the patient lately ------------------------------------------------------------------------- */

struct sent {
    int64_t at;
    uint16_t kind;  /* enum text_kind of its first part */
    uint16_t hint;  /* enum text_kind of the hint in it, 0 none */
    uint8_t class_; /* enum outgoing_class */
    bool unprompted;
};

/* The record. Arrays are malloced, owned by the record; record_clear() in care.h frees them. */
struct record {
    const struct clinic *clinic;
    struct protocol protocol;       /* of the week if it has one, else of the person, else of the clinic */
    struct offsets zone, clinic_zone;
    struct person person;
    struct course course;
    struct week week;               /* the current or last; id 0: none yet */
    struct reading *readings;       /* of `week`, and those aside, every standing, by `at` then id */
    size_t n_readings, cap_readings;
    struct alert *alerts;           /* unresolved ones, oldest first */
    size_t n_alerts, cap_alerts;
    struct desk_row *desk;          /* rows not done */
    size_t n_desk, cap_desk;
    struct sent *sent;              /* texts queued to this patient in the last 48 h, oldest first */
    size_t n_sent, cap_sent;
    int16_t texts_10min;            /* inbound from this number in the last 10 minutes, this one not counted */
    int16_t replies_30min;          /* automatic replies to this number in the last 30 minutes */
    int16_t strangers_hour;         /* answers to unknown numbers of this clinic in the last hour */
};

#endif
