/* The words of the list, of a row, an alert and a reading: see english.h. */
#ifndef QUIETARM_DESK_ENGLISH_LIST_H
#define QUIETARM_DESK_ENGLISH_LIST_H

#define DESK_WORDS_LIST(X)                                                                                             \
    /* alerts */                                                                                                       \
    X(EMERGENCY, "Emergency")                                                                                          \
    X(URGENT, "Urgent")                                                                                                \
    X(DESK_LEVEL, "Today")                                                                                             \
    X(CAUSE_SEVERE, "Severe readings, one after another.")                                                             \
    X(CAUSE_VERY_HIGH, "A very high reading.")                                                                         \
    X(CAUSE_SEVERE_FLAG, "A severe reading together with a warning sign.")                                             \
    X(CAUSE_CAME_DOWN_AGAIN, "A severe reading that came down, for the second time this week.")                        \
    X(CAUSE_LOW, "A low reading.")                                                                                     \
    X(CAUSE_PULSE, "An unusual pulse.")                                                                                \
    X(CAUSE_NO_REPEAT, "A severe reading, not measured again.")                                                        \
    X(CAUSE_DOUBTFUL, "A number that may be severe or low, not confirmed.")                                            \
    X(CAUSE_PREGNANT_SEVERE, "Pregnant or after birth: a severe reading.")                                             \
    X(CAUSE_PREGNANT_HIGH, "Pregnant or after birth: a high reading.")                                                 \
    X(CAUSE_REPLY_UNSENT, "A worrying text has not been answered: the reply did not go out.")                          \
    X(CAUSE_TARGET_FAILED, "An alert did not reach one of the staff.")                                                 \
    X(CAUSE_UNKNOWN_NUMBER, "A worrying text from a number that nobody has.")                                          \
    X(CAUSE_WHOSE, "A worrying text from a shared phone: it is not clear whose it is.")                                \
    X(FLAG_BLEEDING, "Tells of bleeding.")                                                                             \
    X(FLAG_BREATHLESS, "Tells of shortness of breath.")                                                                \
    X(FLAG_CHEST_PAIN, "Tells of chest pain.")                                                                         \
    X(FLAG_CONFUSION, "Tells of confusion.")                                                                           \
    X(FLAG_DIZZY, "Tells of dizziness.")                                                                               \
    X(FLAG_EMERGENCY, "Calls for emergency help.")                                                                     \
    X(FLAG_FAINT, "Tells of fainting.")                                                                                \
    X(FLAG_FALL, "Tells of a fall.")                                                                                   \
    X(FLAG_HEADACHE, "Tells of a very bad headache.")                                                                  \
    X(FLAG_PALPITATIONS, "Tells of palpitations.")                                                                     \
    X(FLAG_PREGNANCY_SIGN, "Tells of a warning sign in pregnancy.")                                                    \
    X(FLAG_SEIZURE, "Tells of a seizure.")                                                                             \
    X(FLAG_SELF_HARM, "Tells of wanting to harm themselves.")                                                          \
    X(FLAG_SPEECH, "Tells of trouble speaking.")                                                                       \
    X(FLAG_SWELLING_FACE, "Tells of a swollen face.")                                                                  \
    X(FLAG_TEARING_PAIN, "Tells of a tearing pain.")                                                                   \
    X(FLAG_VISION, "Tells of trouble seeing.")                                                                         \
    X(FLAG_WEAKNESS, "Tells of weakness or numbness.")                                                                 \
    X(ALERT_TITLE, "Alert: {1}")                                                                                       \
    X(NOT_TAKEN, "Nobody has taken it yet.")                                                                           \
    X(PHONE_OF_PATIENT, "Ring the patient:")                                                                           \
    X(RESOLVED_BY, "Resolved by {1}")                                                                                  \
    X(OUTCOME, "What came of it")                                                                                      \
    X(OUTCOME_HINT, "For whoever looks at this later. The patient does not see it.")                                   \
    X(OUTCOME_MISSING, "Write what came of it, then resolve it.")                                                      \
    X(EPISODE, "What happened, in order")                                                                              \
    X(TIME, "Time")                                                                                                    \
    X(WHO, "Who")                                                                                                      \
    X(WORDS, "Words")                                                                                                  \
    X(STATE, "State")                                                                                                  \
    X(FROM_PATIENT, "Patient wrote")                                                                                   \
    X(TO_PATIENT, "To the patient")                                                                                    \
    X(TO_STAFF, "To the staff:")                                                                                       \
    X(RAISED, "Alert raised")                                                                                          \
    X(TAKEN, "Taken by")                                                                                               \
    X(RESOLVED, "Resolved by")                                                                                         \
    X(OUT_WAITING, "waits to be sent")                                                                                 \
    X(OUT_SENT, "sent")                                                                                                \
    X(OUT_DELIVERED, "delivered")                                                                                      \
    X(OUT_FAILED, "failed")                                                                                            \
    X(OUT_GIVEN_UP, "given up")                                                                                        \
    X(OUT_CANCELLED, "not sent")                                                                                       \
    X(COPIES_UNTIL, "{1} times, until {2}")                                                                            \
    X(BY_ITSELF, "quietarm")                                                                                           \
    /* the list */                                                                                                     \
    X(LIST_TITLE, "What needs a person now")                                                                           \
    X(LIST_EMPTY, "Nothing needs you just now. What comes in will stand here.")                                        \
    X(REFRESHES, "This page looks again every half minute.")                                                           \
    X(STANDS_STILL, "This page stands still.")                                                                         \
    X(STOP_REFRESH, "Let it stand still")                                                                              \
    X(LET_REFRESH, "Let it look again by itself")                                                                      \
    X(COUNT_ALERT, "{1} alert")                                                                                        \
    X(COUNT_ALERTS, "{1} alerts")                                                                                      \
    X(COUNT_HELD_ONE, "{1} held reading to decide")                                                                    \
    X(COUNT_HELD, "{1} held readings to decide")                                                                       \
    X(COUNT_ANSWER_ONE, "{1} text to answer")                                                                          \
    X(COUNT_ANSWER, "{1} texts to answer")                                                                             \
    X(COUNT_REVIEW_ONE, "{1} week to review")                                                                          \
    X(COUNT_REVIEW, "{1} weeks to review")                                                                             \
    X(COUNT_LOOK_ONE, "{1} other matter")                                                                              \
    X(COUNT_LOOK, "{1} other matters")                                                                                 \
    X(COUNT_MORE, "There are more than these; the most urgent are here.")                                              \
    X(TAKE, "Take")                                                                                                    \
    X(OPEN, "Open")                                                                                                    \
    X(RESOLVE, "Resolve")                                                                                              \
    X(REOPEN, "Give it back")                                                                                          \
    X(DONE, "Done")                                                                                                    \
    X(LOOK, "Look")                                                                                                    \
    X(ANSWER, "Answer")                                                                                                \
    X(DECIDE, "Decide")                                                                                                \
    X(REVIEW, "Review")                                                                                                \
    X(MORE, "More")                                                                                                    \
    X(TAKEN_BY, "Taken by {1}.")                                                                                       \
    X(TAKEN_BY_YOU, "Taken by you.")                                                                                   \
    X(DONE_BY, "Done by {1}")                                                                                          \
    X(UNDERSTOOD, "Understood:")                                                                                       \
    X(ROW_ASKS, "Question")                                                                                            \
    X(ROW_UNREADABLE, "Not readable")                                                                                  \
    X(ROW_HELD, "Held reading")                                                                                        \
    X(ROW_MEDICINE, "Medicine")                                                                                        \
    X(ROW_PREGNANT, "Pregnancy")                                                                                       \
    X(ROW_CAME_DOWN, "Came down")                                                                                      \
    X(ROW_SYMPTOM, "Symptom")                                                                                          \
    X(ROW_FLAG_PAST, "Earlier symptom")                                                                                \
    X(ROW_IRREGULAR, "Pulse sign")                                                                                     \
    X(ROW_SILENT, "Not heard from")                                                                                    \
    X(ROW_NOT_JOINED, "Not joined")                                                                                    \
    X(ROW_CUFF, "Cuff")                                                                                                \
    X(ROW_MONITOR, "Monitor")                                                                                          \
    X(ROW_FLOOD, "Very many texts")                                                                                    \
    X(ROW_UNDELIVERED, "Not delivered")                                                                                \
    X(ROW_HIGH_MEAN, "High average")                                                                                   \
    X(ROW_SHORT_WEEK, "Short week")                                                                                    \
    X(ROW_WEEK_DONE, "Week to review")                                                                                 \
    X(ROW_NEWS, "News")                                                                                                \
    X(ROW_LEFT, "Stopped")                                                                                             \
    X(ROW_DIED, "Said to have died")                                                                                   \
    X(ROW_WRONG_NUMBER, "Wrong number")                                                                                \
    X(ROW_STRANGER, "Unknown number")                                                                                  \
    X(ROW_SEVERE, "Severe reading")                                                                                    \
    X(ROW_LOW, "Low reading")                                                                                          \
    X(ROW_PULSE, "Unusual pulse")                                                                                      \
    X(ROW_HELP, "Asks for help")                                                                                       \
    X(ROW_DECLINED, "Declined")                                                                                        \
    X(ROW_UNREVIEWED, "Waiting for review")                                                                            \
    X(ROW_SKIPPED, "Skipped")                                                                                          \
    X(ROW_WHOSE, "Whose text?")                                                                                        \
    X(ROW_ARM, "Arm")                                                                                                  \
    X(READ, "Read")                                                                                                    \
    X(ROW_ENDING, "About to end short")                                                                                \
    X(DO_ALERT, "Take it, ring the patient, then write what came of it.")                                              \
    X(DO_ALERT_TAKEN, "Write what came of it, or give it back.")                                                       \
    X(DO_ASKS, "Read it, then answer by text or ring.")                                                                \
    X(DO_UNREADABLE, "Read it, then ask by text for the figures, or ring.")                                            \
    X(DO_HELD, "Accept it, void it, or add the right one beside it.")                                                  \
    X(DO_MEDICINE, "Ring today; a question about medicine is for a clinician.")                                        \
    X(DO_PREGNANT, "Ask, then enter the due date in the details; tell a clinician today.")                             \
    X(DO_CAME_DOWN, "A clinician looks at both readings today.")                                                       \
    X(DO_SYMPTOM, "Ring today and ask how the patient is.")                                                            \
    X(DO_FLAG_PAST, "Read it, then ring if it is not settled.")                                                        \
    X(DO_IRREGULAR, "Arrange for the pulse to be checked at the clinic.")                                              \
    X(DO_SILENT, "Ring, or write: is everything all right?")                                                           \
    X(DO_NOT_JOINED, "Ring, or send the invitation once more.")                                                        \
    X(DO_CUFF, "See to a cuff that fits, then enter its range.")                                                       \
    X(DO_MONITOR, "Check it beside the clinic's, or see to another.")                                                  \
    X(DO_FLOOD, "Read the texts, then ring: a person may be in trouble, or a machine may be answering.")               \
    X(DO_UNDELIVERED, "Check the number or address; ring the patient if it was a text.")                               \
    X(DO_HIGH_MEAN, "A clinician looks at the readings today.")                                                        \
    X(DO_ENDING, "Ring, or write what is still needed.")                                                               \
    X(DO_SHORT_WEEK, "A clinician reviews what there is, or begins another week.")                                     \
    X(DO_WEEK_DONE, "A clinician reviews it.")                                                                         \
    X(DO_UNREVIEWED, "A clinician reviews it today.")                                                                  \
    X(DO_NEWS, "Read it, then change the details, or pause the reminders.")                                            \
    X(DO_LEFT, "Ring if it comes as a surprise.")                                                                      \
    X(DO_DIED, "Make sure, then record it; or let the texts go on if it is a mistake.")                                \
    X(DO_WRONG_NUMBER, "Find the right number, then enter it in the details.")                                         \
    X(DO_STRANGER, "Find out whose it is: answer by text, or ring.")                                                   \
    X(DO_SEVERE, "Look whether the repeat has come; ring if it has not.")                                              \
    X(DO_HELP, "Ring, or answer by text.")                                                                             \
    X(DO_DECLINED, "Nothing more goes out. Ring if it comes as a surprise.")                                           \
    X(DO_SKIPPED, "Look what was left out.")                                                                           \
    X(DO_WHOSE, "Find out whose it is, then enter the reading for that patient.")                                      \
    X(DO_ARM, "Tell a clinician. The arm with the higher pressure is used from now on.")                               \
    X(COUNT_PUT_OFF_ONE, "{1} row is put off.")                                                                        \
    X(COUNT_PUT_OFF, "{1} rows are put off.")                                                                          \
    X(SHOW_PUT_OFF, "Show what is put off")                                                                            \
    X(LIST_PUT_OFF, "What is put off")                                                                                 \
    X(BACK_TO_NOW, "What needs a person now")                                                                          \
    X(PUT_OFF_TO, "put off until")                                                                                     \
    X(LIST_PART, "Patients {1} to {2} of {3}, the most urgent first.")                                                 \
    X(AND_MORE, "and {1} more")                                                                                        \
    /* one row */                                                                                                      \
    X(ROW_TITLE, "To do: {1}")                                                                                         \
    X(TAKE_OR_DONE, "Take it, or call it done")                                                                        \
    X(PUT_OFF, "Put off")                                                                                              \
    X(PUT_OFF_UNTIL, "Show it again at")                                                                               \
    X(PUT_OFF_WRONG, "Give a day and time that are still to come.")                                                    \
    X(HAND_OVER, "Hand over")                                                                                          \
    X(HAND_OVER_TO, "To whom")                                                                                         \
    X(HAND_OVER_WRONG, "Choose somebody of this clinic who works on the list.")                                        \
    X(NOTE, "Note")                                                                                                    \
    X(ANSWER_BY_TEXT, "Answer by text")                                                                                \
    X(WORDS_AT_HAND, "Words at hand")                                                                                  \
    X(USE_WORDS, "Use these words")                                                                                    \
    X(YOUR_TEXT, "Your text")                                                                                          \
    X(YOUR_TEXT_HINT, "Sent as it stands, from the clinic's number. No medicine, no dose, no diagnosis in a text.")    \
    X(SEND_TEXT, "Send")                                                                                               \
    X(COUNT, "Count the segments")                                                                                     \
    X(SEGMENT_ONE, "{1} segment")                                                                                      \
    X(SEGMENTS, "{1} segments")                                                                                        \
    X(TEXT_MISSING, "Write a text first.")                                                                             \
    X(TEXT_TOO_LONG, "That is too long for a text. Make it shorter.")                                                  \
    X(HAND_RING, "Please ring us today")                                                                               \
    X(HAND_SEEN, "Read, please carry on")                                                                              \
    X(HAND_AGAIN, "Please send it again")                                                                              \
    X(HAND_CUFF, "Which size is the cuff?")                                                                            \
    X(HAND_VISIT, "Please bring the monitor")                                                                          \
    X(TAKE_IT, "Take it")                                                                                              \
    X(SEND_AND_DONE, "Send, and call it done")                                                                         \
    X(SEND_AND_KEEP, "Send, and keep it on the list")                                                                  \
    X(NOT_DONE_SO, "This ends when it is decided or reviewed, not by a click. Nothing was changed.")                   \
    X(NO_TEXTS, "Texts to this patient have ended: none can be sent. Ring instead:")                                   \
    /* one reading */                                                                                                  \
    X(READING_TITLE, "Reading: {1}")                                                                                   \
    X(MEASURED, "Measured")                                                                                            \
    X(HELD_BECAUSE, "Held because:")                                                                                   \
    X(DECIDED_BY, "Decided by {1}:")                                                                                   \
    X(ACCEPT, "Accept")                                                                                                \
    X(ACCEPT_HINT, "Why it is right as it was sent: for example, confirmed by telephone.")                             \
    X(VOID, "Void")                                                                                                    \
    X(VOID_HINT, "Why it is not to count: for example, somebody else's reading. It stays to be seen.")                 \
    X(ADD_BESIDE, "Add the right one beside it")                                                                       \
    X(ADD_HINT, "How you know: for example, read out on the telephone.")                                               \
    X(ADD_AND_VOID, "Add it, and void the one above")                                                                  \
    X(ASK_AGAIN, "Ask the patient again by text")                                                                      \
    X(REASON, "Reason")                                                                                                \
    X(REASON_MISSING, "Write a reason, then try again.")                                                               \
    X(UPPER, "Upper")                                                                                                  \
    X(LOWER, "Lower")                                                                                                  \
    X(PULSE, "Pulse")                                                                                                  \
    X(MEASURED_AT, "Measured at")                                                                                      \
    X(SITTING, "Sitting")                                                                                              \
    X(MORNING, "After waking")                                                                                         \
    X(EVENING, "Before sleep")                                                                                         \
    X(FIGURES_WRONG, "The figures do not fit: upper 40 to 320, lower 20 to 220 and below it, pulse up to 300.")        \
    X(AT_WRONG, "Give the day and time of measuring: within the last month, not in the future.")

#endif
