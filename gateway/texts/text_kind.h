/* Every sentence that can be sent, by name. The words are in gateway/texts/en.texts, es.texts: one entry a name.
 *
 * A text is made of one or more of these, joined by a space (struct saying). The second column says what must be in
 * it in every language: E the emergency number, C {contact}, S the word STOP, M {maternity}, K {crisis}, - nothing.
 * The third says to whom it goes: P patient, S staff. The fourth is its role: R reply opener, H hint, Q question,
 * W worry, U unprompted, T tail (may follow another), A alert.
 */
#ifndef QUIETARM_TEXT_KIND_H
#define QUIETARM_TEXT_KIND_H

#define TEXT_KINDS(X)                                                                                                  \
    /* joining and leaving */                                                                                          \
    X(INVITE, "invite", "S", 'P', 'U')               /* practice's name, asks YES, nothing clinical */                 \
    X(INVITE_AGAIN, "invite_again", "S", 'P', 'U')                                                                     \
    X(WELCOME, "welcome", "ES", 'P', 'R')            /* joined: what to do each morning and evening */                 \
    X(WELCOME_CLINIC, "welcome_clinic", "ES", 'P', 'U') /* consent was given in the clinic */                          \
    X(WELCOME_BACK, "welcome_back", "S", 'P', 'R')   /* START after STOP */                                            \
    X(ASK_ARM_CUFF, "ask_arm_cuff", "-", 'P', 'U')   /* the invitation's second text */                                \
    X(ASK_ARM_CUFF_AGAIN, "ask_arm_cuff_again", "-", 'P', 'U')                                                         \
    X(ASIDE, "aside", "S", 'P', 'R')                 /* reading before YES: kept aside, reply YES */                   \
    X(DECLINED, "declined", "-", 'P', 'R')                                                                             \
    X(STOPPED, "stopped", "-", 'P', 'R')             /* one confirmation, then silence until START */                  \
    X(STOPPED_SHARED, "stopped_shared", "-", 'P', 'R')                                                                 \
    X(WRONG_NUMBER, "wrong_number", "-", 'P', 'R')                                                                     \
    X(UNKNOWN_NUMBER, "unknown_number", "-", 'P', 'R') /* {phone} */                                                   \
    X(HELP, "help", "EC", 'P', 'R')                                                                                    \
    X(HELP_STRANGER, "help_stranger", "E", 'P', 'R')                                                                   \
    X(LANGUAGE_CHANGED, "language_changed", "-", 'P', 'R')                                                             \
    X(ALREADY_JOINED, "already_joined", "-", 'P', 'R')                                                                 \
    X(PAUSED, "paused", "-", 'P', 'R')                                                                                 \
    X(PAUSED_UNTIL, "paused_until", "-", 'P', 'R')   /* {date} */                                                      \
    X(PAUSED_FROM, "paused_from", "-", 'P', 'R')     /* {from} {date} */                                               \
    X(IN_HOSPITAL, "in_hospital", "-", 'P', 'R')                                                                       \
    X(IN_HOSPITAL_UNTIL, "in_hospital_until", "-", 'P', 'R') /* {date} */                                              \
    X(IN_HOSPITAL_FROM, "in_hospital_from", "-", 'P', 'R') /* {from} {date} */                                         \
    X(NIGHTS, "nights", "-", 'P', 'R')                                                                                 \
    X(NEW_NUMBER, "new_number", "-", 'P', 'R')                                                                         \
    /* ordinary replies */                                                                                             \
    X(GOT, "got", "-", 'P', 'R')                     /* "Got {echo}." */                                               \
    X(GOT_AND_MORE, "got_and_more", "-", 'P', 'R')   /* {echo} and {number} more */                                    \
    X(GOT_EXTRA, "got_extra", "-", 'P', 'R')         /* taken and shown, the sitting was full already */               \
    X(SECOND_PLEASE, "second_please", "-", 'P', 'T') /* wait a minute, send the second */                              \
    X(THIRD_PLEASE, "third_please", "-", 'P', 'T')   /* the two differ a lot: one more */                              \
    X(SITTING_DONE, "sitting_done", "-", 'P', 'T')                                                                     \
    X(CORRECTED, "corrected", "-", 'P', 'R')         /* "Changed to {echo}." */                                        \
    X(DROPPED, "dropped", "-", 'P', 'R')             /* "Dropped {echo}." */                                           \
    X(NOTHING_TO_CHANGE, "nothing_to_change", "-", 'P', 'R')                                                           \
    X(KEPT_AS_WRITTEN, "kept_as_written", "-", 'P', 'R') /* YES to a question */                                       \
    X(THANKS_TECHNIQUE, "thanks_technique", "-", 'P', 'R') /* a remark on measuring, without numbers */                \
    X(NOT_MEASURING, "not_measuring", "-", 'P', 'R') /* week is over: kept, the clinic sees it */                      \
    X(CLINIC_SEES, "clinic_sees", "-", 'P', 'R')     /* asks: seen in working hours; ring {phone} */                   \
    X(CLINIC_SEES_TAIL, "clinic_sees_tail", "-", 'P', 'T')                                                             \
    X(NOT_UNDERSTOOD, "not_understood", "-", 'P', 'Q')   /* the form to use: 132/84 71 */                              \
    X(PERSON_WILL_LOOK, "person_will_look", "-", 'P', 'Q') /* not understood twice: {phone} */                         \
    X(THANKS, "thanks", "-", 'P', 'R')                                                                                 \
    X(ARM_THANKS, "arm_thanks", "-", 'P', 'R')       /* {arm} {cuff} */                                                \
    X(CUFF_THANKS, "cuff_thanks", "-", 'P', 'R')                                                                       \
    X(CUFF_FITS, "cuff_fits", "-", 'P', 'R')                                                                           \
    X(CUFF_BORDERLINE, "cuff_borderline", "-", 'P', 'R')                                                               \
    X(CUFF_TOO_SMALL, "cuff_too_small", "-", 'P', 'R') /* don't buy; talk to the clinic {phone} */                     \
    X(CUFF_TOO_LARGE, "cuff_too_large", "-", 'P', 'R')                                                                 \
    X(ARM_BEYOND, "arm_beyond", "-", 'P', 'R')       /* under 22 or over 52 cm: the clinic */                          \
    X(WRIST_MONITOR, "wrist_monitor", "-", 'P', 'R')                                                                   \
    X(MONITOR_UNVALIDATED, "monitor_unvalidated", "-", 'P', 'U')                                                       \
    X(PRACTICE_READING, "practice_reading", "-", 'P', 'R') /* hold_start: kept as practice */                          \
    X(WEEK_STARTS, "week_starts", "-", 'P', 'U')                                                                       \
    X(WHOSE, "whose", "-", 'P', 'Q')                 /* shared phone: {word} are the tags */                           \
    X(MEDICINE, "medicine", "C", 'P', 'R')                                                                             \
    X(PREGNANT_THANKS, "pregnant_thanks", "M", 'P', 'R')                                                               \
    /* questions: worded so that YES counts the number as written and NO drops it */                                   \
    X(Q_DISPLAY, "q_display", "-", 'P', 'Q')         /* Is {echo} what the display showed? YES or NO, or again */      \
    X(Q_OUTLIER, "q_outlier", "-", 'P', 'Q')         /* the same, with rest, then measure again */                     \
    X(Q_NEW, "q_new", "-", 'P', 'Q')                 /* Was that a new measurement? */                                 \
    X(Q_WHEN, "q_when", "-", 'P', 'Q')               /* when was it taken? */                                          \
    X(Q_WHICH_DAYS, "q_which_days", "-", 'P', 'Q')                                                                     \
    X(Q_SWAPPED, "q_swapped", "-", 'P', 'Q')         /* larger over smaller: {echo}? YES takes it */                   \
    X(Q_ONE_NUMBER, "q_one_number", "-", 'P', 'Q')                                                                     \
    X(Q_OUT_OF_RANGE, "q_out_of_range", "-", 'P', 'Q')                                                                 \
    X(Q_PAIRING, "q_pairing", "-", 'P', 'Q')                                                                           \
    X(Q_OWN, "q_own", "-", 'P', 'Q')                 /* Is {echo} your own, measured now? */                           \
    X(Q_UNCERTAIN, "q_uncertain", "-", 'P', 'Q')                                                                       \
    X(Q_WHICH_READING, "q_which_reading", "-", 'P', 'Q')                                                               \
    /* worry */                                                                                                        \
    X(W_FLAG, "w_flag", "E", 'P', 'W')               /* now, new, or came and went in the last day: ring {emergency} */\
    X(W_SEVERE_FLAG, "w_severe_flag", "E", 'P', 'W')                                                                   \
    X(W_SEVERE, "w_severe", "E", 'P', 'W')           /* high; sit quietly, again after 5 minutes; signs to ring for */ \
    X(W_SEVERE_OLD, "w_severe_old", "E", 'P', 'W')   /* over 2 h old: please measure now */                            \
    X(W_SEVERE_DOUBT, "w_severe_doubt", "E", 'P', 'W') /* if {echo} is right it is high … */                           \
    X(W_SEVERE_AGAIN, "w_severe_again", "C", 'P', 'W') /* still high: ring {contact} now */                            \
    X(W_VERY_HIGH, "w_very_high", "EC", 'P', 'W')    /* ≥ 220 or ≥ 130 */                                              \
    X(W_REPEAT_NOW, "w_repeat_now", "E", 'P', 'W')   /* at 15 minutes */                                               \
    X(W_CAME_DOWN, "w_came_down", "-", 'P', 'W')                                                                       \
    X(W_CAME_DOWN_AGAIN, "w_came_down_again", "C", 'P', 'W') /* second such sitting this week */                       \
    X(W_NO_NEED, "w_no_need", "C", 'P', 'W')         /* kept; no need to keep measuring */                             \
    X(W_KEPT, "w_kept", "-", 'P', 'W')                                                                                 \
    X(W_LOW, "w_low", "EC", 'P', 'W')                                                                                  \
    X(W_LOW_PREGNANT, "w_low_pregnant", "EC", 'P', 'W')                                                                \
    X(W_LOW_CHECK, "w_low_check", "E", 'P', 'W')     /* other ≤ 90: sit, check the cuff, again after 5 minutes */      \
    X(W_LOW_SETTLED, "w_low_settled", "-", 'P', 'W')                                                                   \
    X(W_PULSE, "w_pulse", "E", 'P', 'W')                                                                               \
    X(W_PULSE_AGAIN, "w_pulse_again", "EC", 'P', 'W')                                                                  \
    X(W_SYMPTOM, "w_symptom", "C", 'P', 'W')         /* dizzy, palpitations, fall: the clinic is told */               \
    X(W_IRREGULAR, "w_irregular", "C", 'P', 'W')                                                                       \
    X(W_SELF_HARM, "w_self_harm", "EK", 'P', 'W')                                                                      \
    X(W_SELF_HARM_TOLD, "w_self_harm_told", "-", 'P', 'T') /* a person will be told: only when one is on call */       \
    X(W_PREGNANT_SEVERE, "w_pregnant_severe", "EM", 'P', 'W')                                                          \
    X(W_PREGNANT_HIGH, "w_pregnant_high", "M", 'P', 'W')                                                               \
    X(W_PREGNANT_SIGN, "w_pregnant_sign", "EM", 'P', 'W')                                                              \
    X(W_NOBODY_YET, "w_nobody_yet", "EC", 'P', 'W')  /* three repeats untaken */                                       \
    X(HELP_NOW, "help_now", "EC", 'P', 'R')          /* an alert is open, or a severe reading waits */                 \
    X(HELP_NOW_CRISIS, "help_now_crisis", "EK", 'P', 'R')                                                              \
    X(HELP_NOW_MATERNITY, "help_now_maternity", "EM", 'P', 'R')                                                        \
    /* unprompted */                                                                                                   \
    X(REMIND_MORNING, "remind_morning", "-", 'P', 'U')                                                                 \
    X(REMIND_EVENING, "remind_evening", "-", 'P', 'U')                                                                 \
    X(NUDGE, "nudge", "-", 'P', 'U')                                                                                   \
    X(NUDGE_HALF, "nudge_half", "-", 'P', 'U')       /* half a sitting */                                              \
    X(SILENT, "silent", "-", 'P', 'U')               /* four sittings: one text */                                     \
    X(DAY_ADDED, "day_added", "-", 'P', 'U')         /* {number} more readings needed: it goes on a day */             \
    X(WEEK_DONE, "week_done", "-", 'P', 'U')         /* thanks; when to expect word */                                 \
    X(WEEK_SHORT, "week_short", "-", 'P', 'U')                                                                         \
    X(WEEK_CLOSED, "week_closed", "-", 'P', 'U')                                                                       \
    X(FROM_CLINIC, "from_clinic", "-", 'P', 'U')     /* a text written at the desk: {word} is not used; body given */  \
    /* hints: one a sitting; the monitor's leaflet and the clinic come first */                                        \
    X(HINT_REST, "hint_rest", "-", 'P', 'H')                                                                           \
    X(HINT_SEAT, "hint_seat", "-", 'P', 'H')                                                                           \
    X(HINT_ARM, "hint_arm", "-", 'P', 'H')                                                                             \
    X(HINT_BARE, "hint_bare", "-", 'P', 'H')                                                                           \
    X(HINT_CUFF_PLACE, "hint_cuff_place", "-", 'P', 'H')                                                               \
    X(HINT_CUFF_SNUG, "hint_cuff_snug", "-", 'P', 'H')                                                                 \
    X(HINT_CUFF_WAY, "hint_cuff_way", "-", 'P', 'H') /* right way round, artery mark, tube along the arm */            \
    X(HINT_CUFF_SIZE, "hint_cuff_size", "-", 'P', 'H')                                                                 \
    X(HINT_TUBE, "hint_tube", "-", 'P', 'H')                                                                           \
    X(HINT_QUIET, "hint_quiet", "-", 'P', 'H')                                                                         \
    X(HINT_STILL, "hint_still", "-", 'P', 'H')                                                                         \
    X(HINT_BLADDER, "hint_bladder", "-", 'P', 'H')                                                                     \
    X(HINT_COFFEE, "hint_coffee", "-", 'P', 'H')     /* coffee, smoking, exercise 30 minutes */                        \
    X(HINT_MEAL, "hint_meal", "-", 'P', 'H')                                                                           \
    X(HINT_ALCOHOL, "hint_alcohol", "-", 'P', 'H')                                                                     \
    X(HINT_MEDICINE, "hint_medicine", "-", 'P', 'H') /* measure before your medicine, then take it as usual */         \
    X(HINT_ROOM, "hint_room", "-", 'P', 'H')         /* comfortable, wait until neither cold nor hot */                \
    X(HINT_MINUTE, "hint_minute", "-", 'P', 'H')                                                                       \
    X(HINT_WRIST, "hint_wrist", "-", 'P', 'H')                                                                         \
    X(HINT_SAME_ARM, "hint_same_arm", "-", 'P', 'H')                                                                   \
    X(HINT_LEGS, "hint_legs", "-", 'P', 'H')                                                                           \
    X(HINT_MONITOR, "hint_monitor", "-", 'P', 'H')   /* error code: leaflet, batteries, ring the clinic */             \
    X(HINT_ALL, "hint_all", "-", 'P', 'H')           /* send all you measure, don't choose the best */                 \
    /* staff */                                                                                                        \
    X(S_ALERT, "s_alert", "-", 'S', 'A')             /* {level} {ref} {cause} {time}; TAKE {code} */                   \
    X(S_ALERT_AGAIN, "s_alert_again", "-", 'S', 'A')                                                                   \
    X(S_ALERT_DESK, "s_alert_desk", "-", 'S', 'A')   /* the same without a code: by mail */                            \
    X(S_ALERT_DESK_AGAIN, "s_alert_desk_again", "-", 'S', 'A')                                                         \
    X(S_TAKEN_YOU, "s_taken_you", "-", 'S', 'R')     /* you took it: {ref}, {patient_phone} */                         \
    X(S_TAKEN_OTHER, "s_taken_other", "-", 'S', 'R') /* {word} took {ref} */                                           \
    X(S_TAKEN_ALREADY, "s_taken_already", "-", 'S', 'R')                                                               \
    X(S_TAKE_UNKNOWN, "s_take_unknown", "-", 'S', 'R')                                                                 \
    X(S_OPERATIONS, "s_operations", "-", 'S', 'A')   /* to ops_to: {word} */                                           \
    X(S_HELP, "s_help", "E", 'S', 'R')               /* staff texted something else than TAKE */

#define TEXT_KIND(NAME, name, must, to, role) TEXT_##NAME,
enum text_kind { TEXT_NONE, TEXT_KINDS(TEXT_KIND) TEXT_KIND_COUNT };

#endif
