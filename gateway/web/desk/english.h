/* What the pages say, in English: X(NAME, "words"). {1} to {4} are values. Short, concrete, never blaming. */
#ifndef QUIETARM_DESK_ENGLISH_H
#define QUIETARM_DESK_ENGLISH_H

#include "gateway/web/desk/english_house.h"
#include "gateway/web/desk/english_list.h"
#include "gateway/web/desk/english_patient.h"

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
    X(OLD_FORM, "This form is out of date. Go back, load the page again, then try once more. Nothing was changed.")    \
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
    X(YOU_WROTE, "What you wrote")                                                                                     \
    X(YOU_WROTE_HINT, "It was not saved. Copy it before you go on.")                                                   \
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
    DESK_WORDS_LIST(X)                                                                                                 \
    DESK_WORDS_PATIENT(X)                                                                                              \
    DESK_WORDS_HOUSE(X)

#endif
