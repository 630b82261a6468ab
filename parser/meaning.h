/* What a patient's text says: plain data, filled by the parser, read by care.
 *
 * A meaning is a value: it owns nothing, is copied with = and never freed. It says only what the text
 * says; whether a number is believable or worrying is decided later, with the patient's record at hand.
 */
#ifndef QUIETARM_MEANING_H
#define QUIETARM_MEANING_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum {
    SAID_NONE = 0,          /* a pressure or pulse that was not said */
    DAY_UNSAID = INT16_MIN, /* no day was said */
    AWAY_UNSAID = 0,        /* no end of an absence was said */
    AWAY_OVER = -1,         /* it has ended */
    MINUTE_UNSAID = -1,     /* no clock time was said */
    MEANING_READINGS = 256, /* the most readings one text can hold (1,600 characters, 6 a pair) */
    MEANING_LANGUAGE = 8    /* bytes of a language tag with its NUL */
};

enum slot { SLOT_NONE, SLOT_MORNING, SLOT_EVENING };
enum arm { ARM_UNSAID, ARM_LEFT, ARM_RIGHT };
enum posture { POSTURE_UNSAID, POSTURE_STANDING, POSTURE_LYING };

enum keyword {
    KEYWORD_NONE,
    KEYWORD_STOP,
    KEYWORD_START,
    KEYWORD_HELP,
    KEYWORD_YES,
    KEYWORD_NO,
    KEYWORD_WRONG_NUMBER
};
enum amend { AMEND_NONE, AMEND_CORRECT, AMEND_VOID };

/* What a person must hear about. Bits of meaning.flags, in the order of flag_name(). */
#define MEANING_FLAGS(X)                                                                                               \
    X(BLEEDING, "bleeding")                                                                                            \
    X(BREATHLESS, "breathless")                                                                                        \
    X(CHEST_PAIN, "chest_pain")                                                                                        \
    X(CONFUSION, "confusion")                                                                                          \
    X(DIZZY, "dizzy")                                                                                                  \
    X(EMERGENCY, "emergency")                                                                                          \
    X(FAINT, "faint")                                                                                                  \
    X(FALL, "fall")                                                                                                    \
    X(HEADACHE, "headache")                                                                                            \
    X(PALPITATIONS, "palpitations")                                                                                    \
    X(PREGNANCY_SIGN, "pregnancy_sign")                                                                                \
    X(PREGNANT, "pregnant")                                                                                            \
    X(SEIZURE, "seizure")                                                                                              \
    X(SELF_HARM, "self_harm")                                                                                          \
    X(SPEECH, "speech")                                                                                                \
    X(SWELLING_FACE, "swelling_face")                                                                                  \
    X(TEARING_PAIN, "tearing_pain")                                                                                    \
    X(VISION, "vision")                                                                                                \
    X(WEAKNESS, "weakness")

/* What the patient says of how or where they measured. Bits of meaning.technique. */
#define MEANING_TECHNIQUES(X)                                                                                          \
    X(AFTER_MEDICINE, "after_medicine")                                                                                \
    X(ALCOHOL, "alcohol")                                                                                              \
    X(ARM_UNSUPPORTED, "arm_unsupported")                                                                              \
    X(BLADDER, "bladder")                                                                                              \
    X(CAFFEINE, "caffeine")                                                                                            \
    X(COLD, "cold")                                                                                                    \
    X(CUFF_LARGE, "cuff_large")                                                                                        \
    X(CUFF_LOOSE, "cuff_loose")                                                                                        \
    X(CUFF_REVERSED, "cuff_reversed")                                                                                  \
    X(CUFF_SMALL, "cuff_small")                                                                                        \
    X(CUFF_TIGHT, "cuff_tight")                                                                                        \
    X(EXERCISE, "exercise")                                                                                            \
    X(HOT, "hot")                                                                                                      \
    X(IRREGULAR_SIGN, "irregular_sign")                                                                                \
    X(LEGS_CROSSED, "legs_crossed")                                                                                    \
    X(MEAL, "meal")                                                                                                    \
    X(MONITOR_ERROR, "monitor_error")                                                                                  \
    X(MOVED, "moved")                                                                                                  \
    X(NO_REST, "no_rest")                                                                                              \
    X(OTHER_ARM, "other_arm")                                                                                          \
    X(OVER_CLOTHES, "over_clothes")                                                                                    \
    X(SMOKING, "smoking")                                                                                              \
    X(STRESS, "stress")                                                                                                \
    X(TALKING, "talking")                                                                                              \
    X(TUBE_KINKED, "tube_kinked")                                                                                      \
    X(WRIST, "wrist")

/* Why numbers were not taken as a reading. Bits of meaning.doubt. */
#define MEANING_DOUBTS(X)                                                                                              \
    X(NOT_OWN, "not_own")                                                                                              \
    X(ONE_NUMBER, "one_number")                                                                                        \
    X(OUT_OF_RANGE, "out_of_range")                                                                                    \
    X(PAIRING, "pairing")                                                                                              \
    X(SWAPPED, "swapped")                                                                                              \
    X(UNCERTAIN, "uncertain")                                                                                          \
    X(UNREADABLE, "unreadable")

/* What else the text tells that changes how the patient is looked after. Bits of meaning.news. */
#define MEANING_NEWS(X)                                                                                                \
    X(AWAY, "away")                                                                                                    \
    X(DAYS, "days")                                                                                                    \
    X(DIED, "died")                                                                                                    \
    X(EN, "en")                                                                                                        \
    X(ES, "es")                                                                                                        \
    X(IN_HOSPITAL, "in_hospital")                                                                                      \
    X(MEDICINE, "medicine")                                                                                            \
    X(NEW_NUMBER, "new_number")                                                                                        \
    X(NIGHTS, "nights")

#define MEANING_BIT(prefix, NAME) prefix##NAME##_BIT
#define FLAG_INDEX(NAME, text) FLAG_##NAME##_BIT,
#define TECHNIQUE_INDEX(NAME, text) TECHNIQUE_##NAME##_BIT,
#define DOUBT_INDEX(NAME, text) DOUBT_##NAME##_BIT,
#define NEWS_INDEX(NAME, text) NEWS_##NAME##_BIT,
enum flag_index { MEANING_FLAGS(FLAG_INDEX) FLAG_COUNT };
enum technique_index { MEANING_TECHNIQUES(TECHNIQUE_INDEX) TECHNIQUE_COUNT };
enum doubt_index { MEANING_DOUBTS(DOUBT_INDEX) DOUBT_COUNT };
enum news_index { MEANING_NEWS(NEWS_INDEX) NEWS_COUNT };
#define FLAG_MASK(NAME, text) FLAG_##NAME = 1u << FLAG_##NAME##_BIT,
#define TECHNIQUE_MASK(NAME, text) TECHNIQUE_##NAME = 1u << TECHNIQUE_##NAME##_BIT,
#define DOUBT_MASK(NAME, text) DOUBT_##NAME = 1u << DOUBT_##NAME##_BIT,
#define NEWS_MASK(NAME, text) NEWS_##NAME = 1u << NEWS_##NAME##_BIT,
enum flag { MEANING_FLAGS(FLAG_MASK) };
enum technique { MEANING_TECHNIQUES(TECHNIQUE_MASK) };
enum doubt { MEANING_DOUBTS(DOUBT_MASK) };
enum news { MEANING_NEWS(NEWS_MASK) };

/* The name of bit `index` as the contract spells it ("chest_pain"), or NULL past the end. */
const char *flag_name(unsigned index);
const char *technique_name(unsigned index);
const char *doubt_name(unsigned index);
const char *news_name(unsigned index);

/* One pair as the patient reports it. Pressures in mmHg, pulse in beats a minute, SAID_NONE where not said. */
struct said {
    int16_t sys, dia, pulse;
    int16_t day;    /* days from the day of receipt, 0 or negative; DAY_UNSAID */
    int16_t minute; /* minute of the day of measuring, 0-1439; MINUTE_UNSAID */
    uint8_t slot, arm, posture; /* enum slot, enum arm, enum posture */
    uint8_t doubt;  /* in `doubtful` only: the doubt bits that hold for this number */
};

struct said_list {
    uint16_t n;
    struct said at[MEANING_READINGS];
};

struct meaning {
    struct said_list readings; /* certain, the patient's own, in the order of the text */
    struct said_list doubtful; /* as written: pairs, lone numbers (dia SAID_NONE), cmHg pairs (13/8) */
    struct said_list rejected; /* numbers that the patient takes back; SAID_NONE where not said */
    uint32_t flags, flags_past, technique, doubt, news;
    enum keyword keyword;
    enum amend amend;
    double arm_cm;            /* upper-arm circumference, cm, one decimal; 0 = not said */
    double cuff_cm[2];        /* printed range, cm; 0,0 = not said */
    double temp_c;            /* room temperature, degrees Celsius; NAN = not said */
    int16_t away_from;        /* with away_days: days from receipt to the first day away, 0 today or not said */
    int16_t away_days;        /* with NEWS_AWAY, NEWS_IN_HOSPITAL: days from receipt to the first day back, 1-366; AWAY_UNSAID;
                               * AWAY_OVER, said without news of an absence too ("I'm back") */
    bool asks;                /* a person should read this text */
    bool head_hit;            /* the head was hit: makes an emergency of FLAG_FALL, which is then set */
    struct said moment;       /* day, part of day or time, where the text says nothing else: answers "which day?" */
    char language[MEANING_LANGUAGE]; /* "en", "es", or "" */
};

#endif
