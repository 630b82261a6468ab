/* Effects: what care wants to happen, as a list that flow applies whole in one transaction. Data only.
 *
 * Nearly every effect is a row to be set, whole, by its id: setting it twice changes nothing. Nothing is sent from an
 * effect: EFFECT_SEND becomes a row of the outbox.
 */
#ifndef QUIETARM_EFFECT_H
#define QUIETARM_EFFECT_H

#include "gateway/care/record.h"
#include "gateway/texts/text_kind.h"

enum {
    SAYING_PARTS = 5,   /* sentences that one text may be made of */
    SAYING_ECHO = 4,    /* readings that one text may echo */
    CODE_MAX = 8,
    BODY_MAX = 1601,
    KEY_MAX = 40
};

/* Lower is first. Worry passes everything. */
enum outgoing_class { CLASS_WORRY, CLASS_REPLY, CLASS_REMINDER, CLASS_SUMMARY, CLASS_COUNT };
#define CHANNELS(X) X(TEXT, "text") X(MAIL, "mail") X(HTTP, "http") X(FOLDER, "folder")
#define CHANNEL(NAME, text) CHANNEL_##NAME,
enum channel { CHANNELS(CHANNEL) CHANNEL_COUNT };
#define OUTGOING_STATES(X) \
    X(WAITING, "waiting") X(SENT, "sent") X(DELIVERED, "delivered") X(FAILED, "failed") X(GIVEN_UP, "given_up") \
    X(CANCELLED, "cancelled")
#define OUTGOING_STATE(NAME, text) OUTGOING_##NAME,
enum outgoing_state { OUTGOING_STATES(OUTGOING_STATE) OUTGOING_STATE_COUNT };

/* What a text to a patient or a staff member says, without its words: gateway/texts has those, by language. */
struct saying {
    uint16_t parts[SAYING_PARTS]; /* enum text_kind, in order, joined by a space */
    uint8_t n_parts;
    struct { int16_t sys, dia, pulse; } echo[SAYING_ECHO]; /* {echo}: "132/84, pulse 71" */
    uint8_t n_echo;
    uint8_t n_got;                /* the first n_got of echo are what was taken, for openers (role R, W); the rest is what a
                                   * question (role Q) asks about. 0: every sentence echoes all of them */
    int16_t more;                 /* readings taken beyond those echoed */
    bool in_hours;                /* {contact} is the voice number, else out_of_hours */
    int16_t number;               /* {number}: a count that the sentence needs */
    int32_t from;                 /* {from}: a civil day, spoken as a date */
    int32_t day;                  /* {day}, {date}: a civil day, spoken as a weekday, as a date */
    int16_t minute;               /* {time} */
    double arm_cm, cuff_low, cuff_high;
    char code[CODE_MAX];          /* {code}: for TAKE */
    char ref[REF_MAX];            /* {ref}: to staff only */
    char phone[PHONE_MAX];        /* {patient_phone}: to staff who took an alert only */
    char word[DONE_BY_MAX];       /* {word}: a tag, or who took it */
    uint8_t level;                /* {level}: enum alert_level, to staff */
    char cause[32];               /* {cause}: to staff */
    char language[LANGUAGE_MAX];  /* to say it in; "" the patient's */
    bool both_languages;          /* en and es, one after the other */
};

/* A row of the outbox. `body` is fixed at queueing by flow from `saying`; a summary's is rendered by the sender. */
struct outgoing {
    int64_t id, person, alert, week, text; /* 0 where it has none; text: the inbound one it answers */
    int16_t version;               /* of the week's summary */
    char clinic[CLINIC_MAX];
    enum outgoing_class class_;
    enum channel channel;
    char to[TARGET_MAX], from[PHONE_MAX];
    struct saying saying;          /* not stored: flow says it into body */
    char tag[TAG_MAX];             /* not stored: of a patient who shares a phone; stands in front of what is said to them */
    uint16_t kind, hint;           /* of the first part, and of the hint in it: what care remembers */
    bool unprompted;               /* a reminder, nudge or the like: not a reply */
    bool worry_reply;              /* unsent after 5 minutes: an alert of its own */
    char code[CODE_MAX];           /* for TAKE, on copies of an alert */
    char body[BODY_MAX];
    int16_t segments;
    enum outgoing_state state;
    int64_t created, due, expires; /* expires INSTANT_NONE: never given up */
    int16_t attempts;
    int64_t sent_at, delivered_at; /* INSTANT_NONE */
    char carrier_id[80];
    char key[KEY_MAX];             /* idempotency key, the same for every attempt */
    char reason[128];              /* why failed, cancelled, given up */
};

#define EFFECTS(X) \
    X(PERSON) X(COURSE) X(WEEK) X(READING) X(ALERT) X(DESK) X(SEND) X(WITHDRAW) X(OUTCOME) X(AUDIT)
#define EFFECT(NAME) EFFECT_##NAME,
enum effect_kind { EFFECTS(EFFECT) };

struct effect {
    enum effect_kind kind;
    union {
        struct person person;
        struct course course;
        struct week week;
        struct reading reading;
        struct alert alert;
        struct desk_row desk;
        struct outgoing *send;        /* malloced, owned by the list of effects */
        struct {                      /* cancel unsent texts of a person */
            int64_t person;
            uint32_t classes;         /* bits 1 << enum outgoing_class */
            bool unprompted_only;
            char reason[64];
        } withdraw;
        struct {                      /* what became of an inbound text */
            int64_t text, person;
            char why[64];             /* "answered", or why it deliberately was not */
        } outcome;
        struct {
            int64_t person;
            char clinic[CLINIC_MAX], who[DONE_BY_MAX], action[48], detail[192];
        } audit;
    };
};

/* The list. Zero-initialised is empty; effects_clear() in care.h frees what it holds and empties it. */
struct effects {
    struct effect *at;
    size_t n, cap;
    bool failed; /* out of memory: nothing in it may be applied */
};

#endif
