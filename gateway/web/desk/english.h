/* What the pages say, in English: X(NAME, "words"). {1} to {4} are values. Short, concrete, never blaming. */
#ifndef QUIETARM_DESK_ENGLISH_H
#define QUIETARM_DESK_ENGLISH_H

#define DESK_WORDS(X)                                                                                                  \
    /* the frame */                                                                                                    \
    X(DESK, "quietarm desk")                                                                                           \
    X(SKIP, "To the page's own content")                                                                               \
    X(MAIN_WAYS, "Rooms of the desk")                                                                                  \
    X(LIST, "To do")                                                                                                   \
    X(PATIENTS, "Patients")                                                                                            \
    X(ENROL, "Enrol")                                                                                                  \
    X(FIGURES, "Figures")                                                                                              \
    X(ACCOUNTS, "Accounts")                                                                                            \
    X(AUDIT, "Audit")                                                                                                  \
    X(SETTINGS, "Settings")                                                                                            \
    X(ALL_CLINICS, "All clinics")                                                                                      \
    X(COORDINATOR, "coordinator")                                                                                      \
    X(CLINICIAN, "clinician")                                                                                          \
    X(ADMIN, "admin")                                                                                                  \
    X(TO_THE_LIST, "To the list")                                                                                      \
    X(TIMES_ARE, "Times are those of {1}.")                                                                            \
    X(IF_KNOWN, " (optional)")                                                                                         \
    /* errors */                                                                                                       \
    X(ERROR, "That did not work")                                                                                      \
    X(NOT_HERE, "There is nothing here, or nothing that your account may see.")                                        \
    X(NOT_SO, "This page cannot be used like that. Go back and use its buttons.")                                      \
    X(NOT_YOURS, "Your role does not cover this. Ask somebody whose role does.")                                       \
    X(OLD_FORM, "This form is out of date. Go back, load the page again, then try once more. Nothing was changed.")     \
    X(SENT_TWICE, "This form was sent twice. It was taken once; look at how it is now.")                               \
    X(SIGNED_OUT, "You are signed out. Nothing was changed. Sign in, then try again.")                                 \
    X(OTHER_SITE, "This form was not sent from the desk itself. Nothing was changed.")                                 \
    X(OTHER_HOST, "The desk is not at this address. Use the address that you were given.")                             \
    X(TOO_LONG, "That address is too long.")                                                                           \
    X(UNSTORED, "It cannot be done just now. Nothing was changed. Try again in a moment.")                             \
    X(NOTHING_CHANGED, "Nothing was changed")                                                                          \
    X(IT_IS_GONE, "This was settled meanwhile: there is nothing left to do here.")                                     \
    X(IT_CHANGED, "Somebody else was here first and has changed it. Look at how it is now, then decide.")              \
    X(IT_MAY_NOT, "That cannot be done as things stand with this patient.")                                            \
    X(SEE_HOW_IT_IS, "See how it is now")                                                                              \
    /* signing in */                                                                                                   \
    X(SIGN_IN, "Sign in")                                                                                              \
    X(SIGN_OUT, "Sign out")                                                                                            \
    X(USER, "User name")                                                                                               \
    X(PASSWORD, "Password")                                                                                            \
    X(SIGN_IN_WRONG, "The name and the password do not go together. Try again.")                                       \
    X(SIGN_IN_WAIT, "Too many tries. Wait {1} seconds, then try again.")                                               \
    X(SIGN_IN_HELP, "You are signed out after half an hour without use. Forgotten your password? An admin can set a "  \
                    "new one.")                                                                                        \
    /* time */                                                                                                         \
    X(MON, "Mon") X(TUE, "Tue") X(WED, "Wed") X(THU, "Thu") X(FRI, "Fri") X(SAT, "Sat") X(SUN, "Sun")                  \
    X(JAN, "Jan") X(FEB, "Feb") X(MAR, "Mar") X(APR, "Apr") X(MAY, "May") X(JUN, "Jun")                                \
    X(JUL, "Jul") X(AUG, "Aug") X(SEP, "Sep") X(OCT, "Oct") X(NOV, "Nov") X(DEC, "Dec")                                \
    X(TODAY_AT, "today {1}")                                                                                           \
    X(YESTERDAY_AT, "yesterday {1}")                                                                                   \
    X(TOMORROW_AT, "tomorrow {1}")                                                                                     \
    X(AGE_NOW, "just now")                                                                                             \
    X(AGE_MINUTE, "a minute ago")                                                                                      \
    X(AGE_MINUTES, "{1} minutes ago")                                                                                  \
    X(AGE_HOUR, "an hour ago")                                                                                         \
    X(AGE_HOURS, "{1} hours ago")                                                                                      \
    X(AGE_DAYS, "{1} days ago")                                                                                        \
    /* patients and readings */                                                                                        \
    X(STRANGER_NUMBER, "Number …{1}, nobody's")                                                                        \
    X(TEXT_FORGOTTEN, "(no longer kept)")                                                                              \
    X(TEXT_EMPTY, "(a picture, or an empty text)")                                                                     \
    X(PRESSURE, "{1}/{2}")                                                                                             \
    X(PRESSURE_PULSE, "{1}/{2}, pulse {3}")                                                                            \
    X(LONE_NUMBER, "{1} alone")                                                                                        \
    X(STANDING_ACCEPTED, "accepted")                                                                                   \
    X(STANDING_HELD, "held")                                                                                           \
    X(STANDING_VOID, "void")                                                                                           \
    X(STANDING_REPLACED, "replaced")                                                                                   \
    X(STANDING_ASIDE, "kept aside")                                                                                    \
    X(HELD_DOUBT, "the text leaves a doubt about the numbers")                                                         \
    X(HELD_LIMITS, "outside what is believable")                                                                       \
    X(HELD_OUTLIER, "far from the week's other readings")                                                              \
    X(HELD_REPEAT, "the same numbers as minutes before")                                                               \
    X(HELD_WHEN, "it is not clear when it was measured")                                                               \
    X(HELD_DAYS, "many readings in one text, without their days")                                                      \
    X(HELD_PRACTICE, "practice, until cuff and monitor are settled")                                                   \
    X(HELD_CONSENT, "sent before the patient joined")                                                                  \
    X(HELD_WHOSE, "it is not clear whose it is")                                                                       \
    X(HELD_AMENDED, "the patient took it back")                                                                        \
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
    X(PHONE_OF_PATIENT, "The patient's number: {1}")                                                                   \
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
    X(TO_STAFF, "Alert to")                                                                                            \
    X(RAISED, "Alert raised")                                                                                          \
    X(TAKEN, "Taken by")                                                                                               \
    X(RESOLVED, "Resolved by")                                                                                         \
    X(OUT_WAITING, "waits to be sent")                                                                                 \
    X(OUT_SENT, "sent")                                                                                                \
    X(OUT_DELIVERED, "delivered")                                                                                      \
    X(OUT_FAILED, "failed")                                                                                            \
    X(OUT_GIVEN_UP, "given up")                                                                                        \
    X(OUT_CANCELLED, "not sent")                                                                                       \
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
    X(COUNT, "Count")                                                                                                  \
    X(SEGMENT_ONE, "{1} segment")                                                                                      \
    X(SEGMENTS, "{1} segments")                                                                                        \
    X(TEXT_MISSING, "Write a text first.")                                                                             \
    X(TEXT_TOO_LONG, "That is too long for a text. Make it shorter.")                                                  \
    X(HAND_RING, "Please ring us today")                                                                               \
    X(HAND_SEEN, "Read, please carry on")                                                                              \
    X(HAND_AGAIN, "Please send it again")                                                                              \
    X(HAND_CUFF, "Which size is the cuff?")                                                                            \
    X(HAND_VISIT, "Please bring the monitor")                                                                          \
    /* one reading */                                                                                                  \
    X(READING_TITLE, "Reading: {1}")                                                                                   \
    X(MEASURED, "Measured")                                                                                            \
    X(HELD_BECAUSE, "Held because")                                                                                    \
    X(DECIDED_BY, "Decided by {1}:")                                                                                   \
    X(ACCEPT, "Accept")                                                                                                \
    X(ACCEPT_HINT, "Why it is right as it was sent: for example, confirmed by telephone.")                             \
    X(VOID, "Void")                                                                                                    \
    X(VOID_HINT, "Why it is not to count: for example, the patient's husband's reading.")                              \
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
    X(AT_WRONG, "Give the day and time of measuring: within the last month, not in the future.")                       \
    /* the table of patients */                                                                                        \
    X(CLINIC, "Clinic")                                                                                                \
    X(FIND, "Find by name, reference or number")                                                                       \
    X(STAGE, "Where they are")                                                                                         \
    X(SORT, "Order")                                                                                                   \
    X(SHOW, "Show")                                                                                                    \
    X(STAGE_ANY, "anywhere")                                                                                           \
    X(STAGE_INVITED, "invited")                                                                                        \
    X(STAGE_WAITING, "not begun")                                                                                      \
    X(STAGE_MEASURING, "measuring")                                                                                    \
    X(STAGE_TO_REVIEW, "to review")                                                                                    \
    X(STAGE_REVIEWED, "reviewed")                                                                                      \
    X(STAGE_PAUSED, "paused")                                                                                          \
    X(STAGE_GONE, "no longer in")                                                                                      \
    X(SORT_REF, "by reference")                                                                                        \
    X(SORT_HEARD, "last heard from first")                                                                             \
    X(SORT_SILENT, "longest silent first")                                                                             \
    X(SORT_MEAN, "highest average first")                                                                              \
    X(PATIENT, "Patient")                                                                                              \
    X(WEEK, "Week")                                                                                                    \
    X(AVERAGE, "Average so far, readings")                                                                             \
    X(LAST_HEARD, "Last heard from")                                                                                   \
    X(NEVER, "never")                                                                                                  \
    X(BEFORE, "Page before")                                                                                           \
    X(NEXT, "Next page")                                                                                               \
    X(NONE_FOUND, "Nobody fits. Try fewer letters, or look anywhere.")                                                 \
    X(NOBODY_YET, "Nobody is enrolled yet.")                                                                           \
    X(IS_STRANGER, "nobody's number")                                                                                  \
    X(IS_INVITED, "invited, no answer yet")                                                                            \
    X(IS_DECLINED, "declined")                                                                                         \
    X(IS_PAUSED, "paused")                                                                                             \
    X(IS_LEFT, "stopped")                                                                                              \
    X(IS_CLOSED, "closed")                                                                                             \
    X(IS_DIED, "died")                                                                                                 \
    X(IS_WRONG_NUMBER, "wrong number")                                                                                 \
    X(IS_WITHDRAWN, "consent withdrawn")                                                                               \
    X(WEEK_WAITING, "joined, no reading yet")                                                                          \
    X(WEEK_READY, "waits for cuff and monitor")                                                                        \
    X(WEEK_MEASURING, "measuring, day {1} of {2}")                                                                     \
    X(WEEK_COMPLETE, "week complete")                                                                                  \
    X(WEEK_SHORT, "week short")                                                                                        \
    X(WEEK_CLOSED, "week closed")                                                                                      \
    X(NOT_REVIEWED, "not reviewed")                                                                                    \
    X(IS_REVIEWED, "reviewed")                                                                                         \
    X(MORNING_IN, "after waking")                                                                                      \
    X(EVENING_IN, "before sleep")                                                                                      \
    X(CELL_DUE, "Day {1} {2}: not due yet")                                                                            \
    X(CELL_FULL, "Day {1} {2}: {3} of {4}")                                                                            \
    X(CELL_HALF, "Day {1} {2}: {3} of {4}")                                                                            \
    X(CELL_NONE, "Day {1} {2}: not measured")                                                                          \
    X(CELL_HELD, "Day {1} {2}: held")                                                                                  \
    X(STRIP_NONE, "No reading yet")                                                                                    \
    X(SHAPE_FULL, "full")                                                                                              \
    X(SHAPE_HALF, "half")                                                                                              \
    X(SHAPE_NONE, "not measured")                                                                                      \
    X(SHAPE_HELD, "held")                                                                                              \
    X(SHAPE_DUE, "not due yet")                                                                                        \
    X(SHAPE_FIRST, "first day, left out")                                                                              \
    /* one patient */                                                                                                  \
    X(PATIENT_TITLE, "{1}")                                                                                            \
    X(STILL_OPEN, "Open now")                                                                                          \
    X(BY_TELEPHONE, "by telephone")                                                                                    \
    X(EVERY_READING, "Every reading")                                                                                  \
    X(DAY, "Day")                                                                                                      \
    X(STANDING, "Standing and remarks")                                                                                \
    X(FILE_PRINT, "Page to print")                                                                                     \
    X(FILE_PDF, "PDF")                                                                                                 \
    X(FILE_CSV, "CSV")                                                                                                 \
    X(FILE_FHIR, "FHIR")                                                                                               \
    X(BEHIND_THE_WEEK, "Behind the average")                                                                           \
    X(PART_COUNTS, "Counted and left out")                                                                             \
    X(PART_EQUIPMENT, "Cuff, arm and monitor")                                                                         \
    X(PART_OFFICE, "At the clinic")                                                                                    \
    X(PART_QUALITY, "How it was measured")                                                                             \
    X(PART_VARIATION, "How the readings vary")                                                                         \
    X(PART_ALERTS, "Alerts in this week")                                                                              \
    X(WEEKS, "All weeks")                                                                                              \
    X(WEEK_NUMBER, "Week {1}")                                                                                         \
    X(PHONE_IS, "Number {1}")                                                                                          \
    X(WRITE_TEXT, "Write a text")                                                                                      \
    X(ENTER_READING, "Enter a telephoned reading")                                                                     \
    X(EDIT, "Edit details")                                                                                            \
    X(CHECK_EQUIPMENT, "Check arms and monitor")                                                                       \
    X(TALK, "Conversation")                                                                                            \
    X(TALK_TITLE, "Conversation: {1}")                                                                                 \
    X(TALK_NONE, "Nothing has been written yet.")                                                                      \
    X(TALK_ALL, "The whole conversation")                                                                              \
    X(WE_WROTE, "Sent")                                                                                                \
    X(PATIENT_WROTE, "Patient")                                                                                        \
    X(WRITE_TITLE, "Write to {1}")                                                                                     \
    X(FACTS, "What is known")                                                                                          \
    X(REFERENCE, "Reference")                                                                                          \
    X(NAME, "Name")                                                                                                    \
    X(BORN, "Born")                                                                                                    \
    X(PHONE, "Number")                                                                                                 \
    X(TAG, "Tag")                                                                                                      \
    X(LANGUAGE, "Language")                                                                                            \
    X(ZONE, "Time zone")                                                                                               \
    X(ENROLLED, "Enrolled")                                                                                            \
    X(CONSENT, "Consent")                                                                                              \
    X(ARM, "Arm, around")                                                                                              \
    X(CUFF, "Cuff range")                                                                                              \
    X(MONITOR, "Monitor")                                                                                              \
    X(VALIDATED, "Monitor validated")                                                                                  \
    X(ARM_USED, "Arm to use")                                                                                          \
    X(MONITOR_CHECKED, "Monitor beside the clinic's")                                                                  \
    X(OFFICE, "Clinic reading")                                                                                        \
    X(OFFICE_ON, "Clinic reading taken")                                                                               \
    X(TREATED, "Takes medicine for it")                                                                                \
    X(MEDICINE_CHANGED, "Medicine changed on")                                                                         \
    X(RHYTHM, "Heart rhythm")                                                                                          \
    X(RHYTHM_AF, "atrial fibrillation")                                                                                \
    X(PREGNANT, "Pregnant")                                                                                            \
    X(DUE, "Due")                                                                                                      \
    X(BIRTH, "Gave birth on")                                                                                          \
    X(YES, "yes")                                                                                                      \
    X(NO, "no")                                                                                                        \
    X(LEFT_ARM, "left")                                                                                                \
    X(RIGHT_ARM, "right")                                                                                              \
    /* what can be done */                                                                                             \
    X(MORE_ACTS, "More that can be done")                                                                              \
    X(DAYS_MORE, "Days more")                                                                                          \
    X(DAYS_WRONG, "Give a number of days, 1 to 16.")                                                                   \
    X(PAUSE_UNTIL, "Until")                                                                                            \
    X(ACT_REVIEW, "Review this week")                                                                                  \
    X(REVIEWED_BUTTON, "Mark as reviewed")                                                                             \
    X(ACT_REVIEW_HINT, "What you decided, for the record. The patient does not see it.")                               \
    X(ACT_EXTEND, "Let the week go on")                                                                                \
    X(ACT_EXTEND_BUTTON, "Extend")                                                                                     \
    X(ACT_END, "End the week now")                                                                                     \
    X(ACT_END_BUTTON, "End the week")                                                                                  \
    X(ACT_END_HINT, "The summary goes out with what there is.")                                                        \
    X(ACT_NEW, "Another week")                                                                                         \
    X(ACT_NEW_BUTTON, "Begin another week")                                                                            \
    X(ACT_NEW_HINT, "The patient gets a text that it begins.")                                                         \
    X(ACT_PAUSE, "Pause")                                                                                              \
    X(ACT_PAUSE_BUTTON, "Pause")                                                                                       \
    X(ACT_RESUME, "Carry on")                                                                                          \
    X(ACT_RESUME_BUTTON, "Carry on")                                                                                   \
    X(ACT_RESUME_HINT, "After a pause, or when it was a mistake that somebody had died.")                              \
    X(ACT_CONSENT, "Consent given")                                                                                    \
    X(ACT_CONSENT_BUTTON, "Record consent")                                                                            \
    X(ACT_CONSENT_HINT, "By word of mouth, in the clinic or on the telephone. The patient gets a welcome.")            \
    X(ACT_INVITE, "Invite again")                                                                                      \
    X(ACT_INVITE_BUTTON, "Send the invitation again")                                                                  \
    X(ACT_STOP, "Stop the texts")                                                                                      \
    X(ACT_STOP_BUTTON, "Stop")                                                                                         \
    X(ACT_STOP_HINT, "As if the patient had sent STOP.")                                                               \
    X(ACT_WITHDRAW, "Consent withdrawn")                                                                               \
    X(ACT_WITHDRAW_BUTTON, "Record withdrawal")                                                                        \
    X(ACT_WITHDRAW_HINT, "More than a stop: nothing goes out for the clinic either.")                                  \
    X(ACT_DIED, "The patient has died")                                                                                \
    X(ACT_DIED_BUTTON, "Record death")                                                                                 \
    X(ACT_DIED_HINT, "Everything that waits is withdrawn; nothing more is sent.")                                      \
    X(ACT_CLOSE, "Close")                                                                                              \
    X(ACT_CLOSE_BUTTON, "Close")                                                                                       \
    X(ACT_CLOSE_HINT, "Ends the patient's part, and a running week without a summary.")                                \
    X(ERASE, "Erase this patient")                                                                                     \
    X(ERASE_REF, "Write the reference to confirm")                                                                     \
    X(ERASE_HINT, "Removes identity, texts and readings for good. What has been sent elsewhere stays there.")          \
    X(ERASE_BUTTON, "Erase")                                                                                           \
    X(ERASE_WRONG, "That is not this patient's reference. Nothing was erased.")                                        \
    X(ERASE_OPEN, "An alert of this patient is open. Resolve it first; nothing was erased.")                           \
    X(ADD_TITLE, "Telephoned reading: {1}")                                                                            \
    X(ADD_WARNING, "Tell the patient yourself what to do: an alert goes out when the figures call for one, and a text may follow.") \
    X(ADD_BUTTON, "Add it")                                                                                            \
    /* equipment */                                                                                                    \
    X(EQUIPMENT_TITLE, "Arms and monitor: {1}")                                                                        \
    X(BOTH_ARMS, "Both arms, once")                                                                                    \
    X(BOTH_ARMS_HINT, "Seated, rested, first one arm, then the other; then both once more.")                           \
    X(LEFT_FIRST, "Left arm, first")                                                                                   \
    X(RIGHT_FIRST, "Right arm, first")                                                                                 \
    X(LEFT_AGAIN, "Left arm, again")                                                                                   \
    X(RIGHT_AGAIN, "Right arm, again")                                                                                 \
    X(SIDE_BY_SIDE, "The patient's monitor beside the clinic's")                                                       \
    X(SIDE_BY_SIDE_HINT, "On the same arm, in turn, three pairs.")                                                     \
    X(OWN_1, "Patient's monitor, first")                                                                               \
    X(OWN_2, "Patient's monitor, second")                                                                              \
    X(OWN_3, "Patient's monitor, third")                                                                               \
    X(CLINIC_1, "Clinic's monitor, first")                                                                             \
    X(CLINIC_2, "Clinic's monitor, second")                                                                            \
    X(CLINIC_3, "Clinic's monitor, third")                                                                             \
    X(PRESSURE_HINT, "Such as 132/84")                                                                                 \
    X(PRESSURES_MISSING, "Write each as upper/lower, such as 132/84.")                                                 \
    X(EQUIPMENT_DONE, "Noted")                                                                                         \
    X(ARMS_APART, "The arms are {1} apart on repeat: tell a clinician. The arm with the higher pressure is used from now on.") \
    X(ARMS_LEFT, "The left arm is used from now on.")                                                                  \
    X(ARMS_RIGHT, "The right arm is used from now on.")                                                                \
    X(MONITOR_FAILS, "The monitor is {1} mmHg off the clinic's: more than 10. It does not pass; tell a clinician.")    \
    X(MONITOR_APART, "The monitor is {1} mmHg off the clinic's: more than 5. It is noted.")                            \
    X(MONITOR_GOOD, "The monitor is {1} mmHg off the clinic's. It passes.")                                            \
    X(SAVE, "Save")                                                                                                    \
    /* details */                                                                                                      \
    X(ENROL_TITLE, "Enrol a patient")                                                                                  \
    X(ENROL_MANY, "Enrol many from a table")                                                                           \
    X(ENROL_BUTTON, "Enrol")                                                                                           \
    X(EDIT_TITLE, "Details of {1}")                                                                                    \
    X(FORM_FAULTS, "Please look at these; nothing was saved.")                                                         \
    X(GROUP_WHO, "Who")                                                                                                \
    X(GROUP_EQUIPMENT, "Cuff, arm and monitor")                                                                        \
    X(GROUP_CLINICAL, "For the clinic")                                                                                \
    X(GROUP_TIMES, "Times")                                                                                            \
    X(GROUP_PHONE, "The phone")                                                                                        \
    X(REFERENCE_HINT, "1 to 40 of letters, digits, - . _ / and only once in the clinic.")                              \
    X(PHONE_HINT, "With its country: +44…")                                                                            \
    X(NAME_HINT, "For the desk and the summary, never in a text.")                                                     \
    X(JOINED, "Consent was given in the clinic")                                                                       \
    X(JOINED_HINT, "A welcome goes out instead of the invitation.")                                                    \
    X(ENGLISH, "English")                                                                                              \
    X(SPANISH, "Spanish")                                                                                              \
    X(SELF, "the patient")                                                                                             \
    X(CARER, "a carer")                                                                                                \
    X(NOT_KNOWN, "not known")                                                                                          \
    X(ARM_HINT, "At the midpoint of the upper arm: 31, or 12.5in")                                                     \
    X(CUFF_HINT, "As printed on it: 22-42, or 9-17in")                                                                 \
    X(MONITOR_HINT, "Make and model as printed.")                                                                      \
    X(OFFICE_HINT, "Such as 148/92@2026-11-20")                                                                        \
    X(MEDICINE_CHANGED_HINT, "The day only. An average never spans a change.")                                         \
    X(PREGNANT_DUE, "Pregnant, due on")                                                                                \
    X(PREGNANT_HINT, "The pregnancy lines hold from then on.")                                                         \
    X(PROTOCOL, "Protocol")                                                                                            \
    X(PROTOCOL_HINT, "esh, nice, aha, canada, jsh; empty: the clinic's.")                                              \
    X(START, "Begin on")                                                                                               \
    X(START_HINT, "Not before this day.")                                                                              \
    X(MORNING_WINDOW, "After waking")                                                                                  \
    X(EVENING_WINDOW, "Before sleep")                                                                                  \
    X(WINDOW_HINT, "Such as 05:00-12:00; empty: the clinic's.")                                                        \
    X(REMIND_MORNING, "Morning reminder")                                                                              \
    X(REMIND_EVENING, "Evening reminder")                                                                              \
    X(TIME_HINT, "Empty: the clinic's.")                                                                               \
    X(QUIET, "Quiet hours")                                                                                            \
    X(ZONE_HINT, "Such as Europe/Madrid; empty: the clinic's.")                                                        \
    X(SENT_BY, "Who sends the texts")                                                                                  \
    X(TAG_HINT, "On a shared phone: the word that begins this patient's texts.")                                       \
    X(DATE_WRONG, "That is no day up to today.")                                                                       \
    X(REF_TAKEN, "This reference is another patient's.")                                                               \
    X(PHONE_TAKEN, "This number is another patient's; give both tags that differ.")                                    \
    /* roster */                                                                                                       \
    X(ROSTER_TITLE, "Enrol many")                                                                                      \
    X(ROSTER_HOW, "Choose a table. You are shown every mistake, or everybody in it, before anything is saved.")        \
    X(ROSTER_COLUMNS, "The columns it may have")                                                                       \
    X(ROSTER_FILE, "Table (CSV)")                                                                                      \
    X(ROSTER_FILE_HINT, "UTF-8, separated by commas, first row the column names; at most 500 patients at once.")       \
    X(ROSTER_LOOK, "Look at it")                                                                                       \
    X(ROSTER_MISTAKE, "One mistake. Nothing was saved. Mend the table, then choose it again.")                         \
    X(ROSTER_MISTAKES, "{1} mistakes. Nothing was saved. Mend the table, then choose it again.")                       \
    X(ROSTER_GOOD, "{1} patients, no mistake. Nothing is saved yet.")                                                  \
    X(ROSTER_SAVE, "Enrol them all")                                                                                   \
    X(TABLE_ROW, "Row")                                                                                                \
    X(TABLE_COLUMN, "Column")                                                                                          \
    X(TABLE_WHAT, "What to mend")                                                                                      \
    X(TABLE_EMPTY, "The table is empty; begin it with a row of column names.")                                         \
    X(TABLE_LONG, "More than 500 patients: split the table, or ask for the command.")                                  \
    X(ROW_LENGTH, "This row has another number of cells than the first; add or drop a comma.")                         \
    X(REF_TWICE, "This reference is twice in the table.")                                                              \
    X(PHONE_TWICE, "This number is twice in the table; give both tags that differ.")                                   \
    X(COLUMN_UNKNOWN, "{1} is no column that we know; see the list of columns.")                                       \
    X(COLUMN_TWICE, "The column {1} comes twice; keep one.")                                                           \
    X(COLUMN_MISSING, "The column {1} is missing; add it.")                                                            \
    /* figures */                                                                                                      \
    X(FIGURES_TITLE, "Figures of {1}")                                                                                 \
    X(M_NONE, "No figures yet. They are counted from the first text on.")                                              \
    X(M_COMPLETE, "Weeks complete")                                                                                    \
    X(M_SHORT, "Weeks short")                                                                                          \
    X(M_RECEIVED, "Texts received")                                                                                    \
    X(M_SENT, "Texts sent")                                                                                            \
    X(M_SEGMENTS, "Segments sent")                                                                                     \
    X(M_READINGS, "Readings")                                                                                          \
    X(M_HELD, "Readings held")                                                                                         \
    X(M_CORRECTED, "Readings corrected")                                                                               \
    X(M_CUFFS, "Cuffs that do not fit")                                                                                \
    X(M_ALERTS, "Alerts")                                                                                              \
    X(M_TAKE, "Minutes to take an alert, average")                                                                     \
    X(M_DAYS, "Days a week took, median")                                                                              \
    X(M_UTC, "Months begin and end by UTC.")                                                                           \
    X(M_CHART, "Weeks ended, by month")                                                                                \
    X(M_CHART_HOW, "Filled: complete weeks. Hollow, on top: short ones.")                                              \
    X(M_CSV, "As CSV")                                                                                                 \
    /* accounts, audit, settings */                                                                                    \
    X(ROLE, "Role")                                                                                                    \
    X(ACTION, "Action")                                                                                                \
    X(ENABLED, "enabled")                                                                                              \
    X(DISABLED, "disabled")                                                                                            \
    X(ENABLE, "Enable")                                                                                                \
    X(DISABLE, "Disable")                                                                                              \
    X(CHANGE, "Change {1}")                                                                                            \
    X(ADD, "Add")                                                                                                      \
    X(ACCOUNT_ADD, "Add an account")                                                                                   \
    X(ACCOUNT_TITLE, "Account {1}")                                                                                    \
    X(ACCOUNT_ENDS, "Whatever is changed signs the account out everywhere.")                                           \
    X(USER_HINT, "a to z, digits, . - _ @")                                                                            \
    X(USER_TAKEN, "This name is taken. Choose another.")                                                               \
    X(USER_WRONG, "Write a name of a to z, digits, . - _ @")                                                           \
    X(ROLE_WRONG, "Choose a role and a clinic.")                                                                       \
    X(PASSWORD_HINT, "12 to 256 characters. Three or four words that have nothing to do with each other are good.")    \
    X(PASSWORD_NEW, "New password")                                                                                    \
    X(PASSWORD_WRONG, "The password must have 12 to 256 characters.")                                                  \
    X(AUDIT_TITLE, "Audit of {1}")                                                                                     \
    X(AUDIT_HOW, "Who saw, changed, sent and exported what. It is only ever added to; quietarm verify checks it. Patients are numbers.") \
    X(NUMBER, "No.")                                                                                                   \
    X(ABOUT, "About")                                                                                                  \
    X(EARLIER, "Earlier")                                                                                              \
    X(SETTINGS_HOW, "As they are in force. They are changed in the configuration file.")                               \
    X(NOBODYS, "Texts to no clinic of ours")                                                                           \
    /* how it went */                                                                                                  \
    X(SAID_TAKEN, "You have taken it.")                                                                                \
    X(SAID_DONE, "Done.")                                                                                              \
    X(SAID_RESOLVED, "The alert is resolved.")                                                                         \
    X(SAID_REOPENED, "The alert is open again, and has gone out anew.")                                                \
    X(SAID_PUT_OFF, "Put off.")                                                                                        \
    X(SAID_HANDED, "Handed over.")                                                                                     \
    X(SAID_ACCEPTED, "The reading is accepted.")                                                                       \
    X(SAID_VOID, "The reading is void.")                                                                               \
    X(SAID_ADDED, "The reading is added.")                                                                             \
    X(SAID_ASKED, "The patient is asked again.")                                                                       \
    X(SAID_SENT, "Your text is on its way.")                                                                           \
    X(SAID_ENROLLED, "Enrolled.")                                                                                      \
    X(SAID_SAVED, "Saved.")                                                                                            \
    X(SAID_ERASED, "Erased.")

#endif
