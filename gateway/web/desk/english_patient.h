/* The words of the table of patients, of one patient, and of enrolling: see english.h. */
#ifndef QUIETARM_DESK_ENGLISH_PATIENT_H
#define QUIETARM_DESK_ENGLISH_PATIENT_H

#define DESK_WORDS_PATIENT(X)                                                                                          \
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
    X(PART_BEFORE, "Earlier weeks")                                                                                    \
    X(PART_OFFICE, "At the clinic")                                                                                    \
    X(PART_QUALITY, "How it was measured")                                                                             \
    X(PART_VARIATION, "How the readings vary")                                                                         \
    X(PART_ALERTS, "Alerts in this week")                                                                              \
    X(WEEKS, "All weeks")                                                                                              \
    X(WEEK_NUMBER, "Week {1}")                                                                                         \
    X(WRITE_TEXT, "Write a text")                                                                                      \
    X(ENTER_READING, "Enter a telephoned reading")                                                                     \
    X(EDIT, "Edit details")                                                                                            \
    X(CHECK_EQUIPMENT, "Measure at the clinic")                                                                        \
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
    X(ERASED, "Erased")                                                                                                \
    X(ERASED_WENT, "Identity, texts and readings are gone here. Summaries had gone to these; ask there to remove them:") \
    X(ERASED_NOWHERE, "Identity, texts and readings are gone. No summary had left the gateway.")                       \
    /* equipment */                                                                                                    \
    X(EQUIPMENT_TITLE, "At the clinic: {1}")                                                                           \
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
    X(PRESSURE_HINT, "Upper/lower, such as 132/84")                                                                    \
    X(PRESSURES_MISSING, "Write each as upper/lower, such as 132/84.")                                                 \
    X(EQUIPMENT_DONE, "Noted")                                                                                         \
    X(ARMS_APART, "The arms are {1} apart on repeat: tell a clinician. The arm with the higher pressure is used from now on.") \
    X(ARMS_LEFT, "The left arm is used from now on.")                                                                  \
    X(ARMS_RIGHT, "The right arm is used from now on.")                                                                \
    X(MONITOR_FAILS, "The monitor is {1} mmHg off the clinic's: more than 10. It does not pass; tell a clinician.")    \
    X(MONITOR_APART, "The monitor is {1} mmHg off the clinic's: more than 5. It is noted.")                            \
    X(MONITOR_GOOD, "The monitor is {1} mmHg off the clinic's. It passes.")                                            \
    X(SAVE, "Save")                                                                                                    \
    X(OFFICE_ADD, "A reading at the clinic")                                                                           \
    X(OFFICE_ADD_HINT, "The summary compares the week with it for 28 days.")                                           \
    X(OFFICE_NOTED, "{1} at the clinic is noted.")                                                                     \
    X(OFFICE_TAKEN, "Taken on")                                                                                        \
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
    X(COLUMN_MISSING, "The column {1} is missing; add it.")

#endif
