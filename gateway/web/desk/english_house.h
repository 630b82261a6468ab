/* The words of figures, accounts, audit and settings, and of how something went: see english.h. */
#ifndef QUIETARM_DESK_ENGLISH_HOUSE_H
#define QUIETARM_DESK_ENGLISH_HOUSE_H

#define DESK_WORDS_HOUSE(X)                                                                                            \
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
    X(DID, "What")                                                                                                     \
    X(AUDIT_OF_PERSON, "About patient {1} alone.")                                                                     \
    X(AUDIT_WHOLE, "The whole audit")                                                                                  \
    X(AUDIT_NONE, "Nothing stands here for this time.")                                                                \
    X(AUDIT_OF, "Who saw and changed this")                                                                            \
    X(ACTION, "Action")                                                                                                \
    /* what was done, as the audit has it */                                                                           \
    X(DID_ACCEPT, "accepted a reading")                                                                                \
    X(DID_VOID, "voided a reading")                                                                                    \
    X(DID_ADD, "entered a reading")                                                                                    \
    X(DID_TAKE, "took it")                                                                                             \
    X(DID_RESOLVE, "resolved the alert")                                                                               \
    X(DID_REOPEN, "gave the alert back")                                                                               \
    X(DID_DONE, "called a row done")                                                                                   \
    X(DID_PUT_OFF, "put a row off")                                                                                    \
    X(DID_HAND_OVER, "handed a row over")                                                                              \
    X(DID_WRITE, "wrote a text")                                                                                       \
    X(DID_ASK_AGAIN, "asked about a reading again")                                                                    \
    X(DID_EXTEND, "let the week go on")                                                                                \
    X(DID_END_WEEK, "ended the week")                                                                                  \
    X(DID_REVIEW, "reviewed the week")                                                                                 \
    X(DID_NEW_WEEK, "began another week")                                                                              \
    X(DID_PAUSE, "paused the texts")                                                                                   \
    X(DID_RESUME, "let the texts go on")                                                                               \
    X(DID_STOP, "stopped the texts")                                                                                   \
    X(DID_WITHDRAW, "recorded that consent was withdrawn")                                                             \
    X(DID_CONSENT, "recorded consent")                                                                                 \
    X(DID_EDIT, "changed the details")                                                                                 \
    X(DID_DIED, "recorded the death")                                                                                  \
    X(DID_CLOSE, "closed the patient's part")                                                                          \
    X(DID_INVITE_AGAIN, "sent the invitation again")                                                                   \
    X(DID_ENROLLED, "enrolled")                                                                                        \
    X(DID_JOINED, "one more cause joined an alert")                                                                    \
    X(DID_OPENED_AGAIN, "opened the alert again: nobody resolved it within the hour")                                  \
    X(DID_ALERT_TAKEN, "took the alert")                                                                               \
    X(DID_SKIPPED, "left a reminder out")                                                                              \
    X(DID_STATE, "where the patient is:")                                                                              \
    X(DID_ERASE, "erased the patient")                                                                                 \
    X(DID_SEE, "saw")                                                                                                  \
    X(DID_EXPORT, "exported")                                                                                          \
    X(DID_SIGN_IN, "signed in")                                                                                        \
    X(DID_SIGN_OUT, "signed out")                                                                                      \
    X(DID_ACCOUNT_ADD, "added an account:")                                                                            \
    X(DID_ACCOUNT_ROLE, "changed a role:")                                                                             \
    X(DID_ACCOUNT_PASSWORD, "set a password:")                                                                         \
    X(DID_ACCOUNT_ENABLE, "enabled an account:")                                                                       \
    X(DID_ACCOUNT_DISABLE, "disabled an account:")                                                                     \
    X(DID_ARMS, "compared both arms")                                                                                  \
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
    X(SAID_SAVED, "Saved.")

#endif
