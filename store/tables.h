/* The columns of every table, named once: their SQL, their place in the struct and their kind (row.h) all come of these
 * lists. K is for what a row is found by and never changes, F for the first of the others, X for the rest:
 *
 *     K(kind, column, member)
 *
 * A list is used through COLUMNS (names for an INSERT or SELECT), COLUMNS_OF (the same, of a table's alias) and SET
 * (… = excluded.…, for an upsert). A column that changes here changes in the schema, with a migration.
 */
#ifndef QUIETARM_TABLES_H
#define QUIETARM_TABLES_H

#include "store/row.h"

#define PEOPLE(K, F, X)                                                                                                \
    K(WHOLE, id, id)                                                                                                   \
    F(TEXT, clinic, clinic) X(TEXT, ref, ref) X(TEXT, phone, phone) X(TEXT, tag, tag) X(TEXT, name, name)              \
    X(TEXT, language, language) X(TEXT, zone, zone) X(PERSON_STATE, state, state)                                      \
    X(INSTANT, state_since, state_since) X(INSTANT, enrolled_at, enrolled_at) X(INSTANT, consent_at, consent_at)       \
    X(DAY, born, born) X(COUNT, carer, carer) X(WHOLE, morning_from, morning_from)                                     \
    X(WHOLE, morning_to, morning_to) X(WHOLE, evening_from, evening_from) X(WHOLE, evening_to, evening_to)             \
    X(WHOLE, quiet_from, quiet_from) X(WHOLE, quiet_to, quiet_to) X(WHOLE, remind_morning, remind_morning)             \
    X(WHOLE, remind_evening, remind_evening) X(LENGTH, arm_cm, arm_cm) X(LENGTH, cuff_low, cuff_low)                   \
    X(LENGTH, cuff_high, cuff_high) X(COUNT, arm_by_staff, arm_by_staff) X(TEXT, monitor, monitor)                     \
    X(COUNT, validated, validated) X(COUNT, treated, treated) X(COUNT, wrist, wrist) X(COUNT, on_arm, on_arm)          \
    X(WHOLE, office_sys, office_sys) X(WHOLE, office_dia, office_dia) X(DAY, office_day, office_day)                   \
    X(TEXT, protocol, protocol) X(COUNT, af, af) X(COUNT, pregnant, pregnant) X(DAY, pregnant_due, pregnant_due)       \
    X(DAY, birth, birth) X(DAY, start_day, start) X(DAY, medicine_changed, medicine_changed)                           \
    X(WHOLE, monitor_check_sys, monitor_check_sys) X(WHOLE, monitor_check_dia, monitor_check_dia)

#define COURSES(K, F, X)                                                                                               \
    K(WHOLE, person, person)                                                                                           \
    F(INSTANT, next_look, next_look) X(QUESTION, question, question.kind)                                              \
    X(INSTANT, question_asked_at, question.asked_at) X(REF, question_text, question.text)                              \
    X(READINGS, question_readings, question) X(COUNT, follow, follow.kind) X(INSTANT, follow_since, follow.since)      \
    X(REF, follow_reading, follow.reading) X(COUNT, follow_asked_again, follow.asked_again)                            \
    X(COUNT, follow_alerted, follow.alerted) X(INSTANT, paused_until, paused_until)                                    \
    X(INSTANT, pause_from, pause_from)                                                                                 \
    X(INSTANT, last_text, last_text) X(INSTANT, last_reading, last_reading) X(INSTANT, last_flag, last_flag)           \
    X(INSTANT, last_severe, last_severe) X(DAY, reminded_morning, reminded_day[0])                                     \
    X(DAY, reminded_evening, reminded_day[1]) X(DAY, nudged_morning, nudged_day[0])                                    \
    X(DAY, nudged_evening, nudged_day[1]) X(WHOLE, silent, silent) X(COUNT, silent_told, silent_told)                  \
    X(WHOLE, not_understood, not_understood) X(WHOLE, settled_severe, settled_severe)                                  \
    X(COUNT, hints_mentioned, hints_mentioned) X(WHOLE, rotation, rotation) X(DAY, hinted_day, hinted_day)             \
    X(WHOLE, arm_asked, arm_asked) X(INSTANT, misfit_told, misfit_told) X(INSTANT, ready_since, ready_since)           \
    X(COUNT, second_invitation, second_invitation) X(WHOLE, dia_confirmed, dia_confirmed)

#define WEEKS(K, F, X)                                                                                                 \
    K(WHOLE, id, id) K(WHOLE, person, person)                                                                          \
    F(WHOLE, number, number) X(WHOLE, version, version) X(WEEK_STATE, state, state) X(TEXT, protocol, protocol)        \
    X(DAY, first_day, first_day) X(DAY, last_day, last_day) X(WHOLE, days_wanted, days_wanted)                         \
    X(INSTANT, opened_at, opened_at) X(INSTANT, ended_at, ended_at) X(INSTANT, sent_at, sent_at)                       \
    X(INSTANT, reviewed_at, reviewed_at) X(TEXT, reviewed_by, reviewed_by) X(TEXT, outcome, outcome)                   \
    X(LENGTH, arm_cm, arm_cm) X(LENGTH, cuff_low, cuff_low) X(LENGTH, cuff_high, cuff_high)                            \
    X(WHOLE, paused_days, paused_days) X(COUNT, noted, noted)                                                          \
    X(TEXT, monitor, monitor) X(COUNT, wrist, wrist) X(COUNT, validated, validated) X(COUNT, on_arm, on_arm)

#define READINGS(K, F, X)                                                                                              \
    K(WHOLE, id, id) K(WHOLE, person, person)                                                                          \
    F(REF, week, week) X(REF, text, text) X(WHOLE, at, at) X(WHOLE, received, received) X(DAY, day, day)               \
    X(WHOLE, minute, minute) X(COUNT, slot, slot) X(COUNT, arm, arm) X(COUNT, posture, posture)                        \
    X(WHOLE, sys, sys) X(WHOLE, dia, dia) X(WHOLE, pulse, pulse) X(STANDING, standing, standing)                       \
    X(COUNT, held, held) X(COUNT, doubt, doubt) X(COUNT, asked_for, asked_for) X(COUNT, confirmed, confirmed)          \
    X(COUNT, off_time, off_time) X(COUNT, sent_late, sent_late) X(COUNT, telephoned, telephoned)                       \
    X(COUNT, technique, technique) X(REAL, temp_c, temp_c) X(REF, replaced_by, replaced_by)                            \
    X(TEXT, decided_by, decided_by) X(TEXT, reason, reason)

#define ALERTS(K, F, X)                                                                                                \
    K(WHOLE, id, id) K(REF, person, person)                                                                            \
    F(TEXT, clinic, clinic) X(ALERT_LEVEL, level, level) X(TEXT, cause, cause) X(WHOLE, at, at)                        \
    X(INSTANT, taken_at, taken_at) X(INSTANT, resolved_at, resolved_at) X(TEXT, taken_by, taken_by)                    \
    X(TEXT, resolved_by, resolved_by) X(TEXT, outcome, outcome) X(INSTANT, due, due) X(WHOLE, times, times)            \
    X(COUNT, patient_told, patient_told)

#define DESK(K, F, X)                                                                                                  \
    K(WHOLE, id, id) K(REF, person, person)                                                                            \
    F(TEXT, clinic, clinic) X(DESK_KIND, kind, kind) X(COUNT, rank, rank) X(WHOLE, at, at) X(REF, text, text)          \
    X(REF, reading, reading) X(REF, alert, alert) X(REF, week, week) X(TEXT, note, note)                               \
    X(INSTANT, done_at, done_at) X(INSTANT, put_off_until, put_off_until) X(TEXT, done_by, done_by)                    \
    X(TEXT, taken_by, taken_by) X(WHOLE, version, version)

#define OUTBOX(K, F, X)                                                                                                \
    K(WHOLE, id, id) K(REF, person, person)                                                                            \
    F(REF, alert, alert) X(REF, week, week) X(REF, text, text) X(WHOLE, version, version) X(TEXT, clinic, clinic)      \
    X(WHOLE, class, class_) X(CHANNEL, channel, channel) X(TEXT, recipient, to) X(TEXT, sender, from)                  \
    X(TEXT_KIND, kind, kind) X(TEXT_KIND, hint, hint) X(COUNT, unprompted, unprompted)                                 \
    X(COUNT, worry_reply, worry_reply) X(TEXT, code, code) X(TEXT, body, body) X(WHOLE, segments, segments)            \
    X(OUTGOING_STATE, state, state) X(WHOLE, created, created) X(WHOLE, due, due) X(INSTANT, expires, expires)         \
    X(WHOLE, attempts, attempts) X(INSTANT, sent_at, sent_at) X(INSTANT, delivered_at, delivered_at)                   \
    X(TEXT, carrier_id, carrier_id) X(TEXT, key, key) X(TEXT, reason, reason)

#define SENT(K, F, X)                                                                                                  \
    F(WHOLE, created, at) X(TEXT_KIND, kind, kind) X(TEXT_KIND, hint, hint) X(COUNT, class, class_)                    \
    X(COUNT, unprompted, unprompted)

#define TEXTS(K, F, X)                                                                                                 \
    K(WHOLE, id, id)                                                                                                   \
    F(REF, person, person) X(TEXT, clinic, clinic) X(TEXT, sender, from) X(TEXT, recipient, to) X(BODY, body, body)    \
    X(WHOLE, received, received) X(INSTANT, sent, sent) X(HASH, hash, hash) X(TEXT, why, why)

#define ACCOUNTS(K, F, X)                                                                                              \
    K(TEXT, username, user)                                                                                            \
    F(TEXT, clinic, clinic) X(TEXT, role, role) X(TEXT, password, password) X(COUNT, enabled, enabled)                 \
    X(WHOLE, created, created) X(WHOLE, changed, changed)

#define SESSIONS(K, F, X)                                                                                              \
    K(HASH, token, token)                                                                                              \
    F(TEXT, username, user) X(WHOLE, created, created) X(WHOLE, seen, seen) X(WHOLE, ends, ends)

#define RECEIPTS(K, F, X) F(TEXT, id, id) X(COUNT, by_key, by_key) X(COUNT, delivered, delivered) X(WHOLE, at, at)

/* -- from a list to SQL ------------------------------------------------------------------------------------------------ */

#define COLUMN_AND_COMMA_(kind, column, member) #column ", "
#define COLUMN_(kind, column, member) #column
#define COMMA_AND_COLUMN_(kind, column, member) ", " #column
#define COLUMNS(LIST) LIST(COLUMN_AND_COMMA_, COLUMN_, COMMA_AND_COLUMN_)

#define NOTHING_(kind, column, member) ""
#define SET_(kind, column, member) #column " = excluded." #column
#define COMMA_AND_SET_(kind, column, member) ", " #column " = excluded." #column
#define SET(LIST) LIST(NOTHING_, SET_, COMMA_AND_SET_)

#define PLUS_ONE_(kind, column, member) +1
#define COUNT_OF(LIST) (0 LIST(PLUS_ONE_, PLUS_ONE_, PLUS_ONE_))

/* For the join of records.c: one macro an alias, since a macro cannot be handed an argument more. */
#define P_AND_COMMA_(kind, column, member) "p." #column ", "
#define P_(kind, column, member) "p." #column
#define COMMA_AND_P_(kind, column, member) ", p." #column
#define COMMA_AND_C_(kind, column, member) ", c." #column
#define COMMA_AND_W_(kind, column, member) ", w." #column
#define COLUMNS_OF_P(LIST) LIST(P_AND_COMMA_, P_, COMMA_AND_P_)
#define AND_COLUMNS_OF_C(LIST) LIST(COMMA_AND_C_, COMMA_AND_C_, COMMA_AND_C_)
#define AND_COLUMNS_OF_W(LIST) LIST(COMMA_AND_W_, COMMA_AND_W_, COMMA_AND_W_)

enum {
    PEOPLE_N = COUNT_OF(PEOPLE),
    COURSES_N = COUNT_OF(COURSES),
    WEEKS_N = COUNT_OF(WEEKS),
    READINGS_N = COUNT_OF(READINGS),
    ALERTS_N = COUNT_OF(ALERTS),
    DESK_N = COUNT_OF(DESK),
    OUTBOX_N = COUNT_OF(OUTBOX),
    SENT_N = COUNT_OF(SENT),
    TEXTS_N = COUNT_OF(TEXTS),
    RECEIPTS_N = COUNT_OF(RECEIPTS),
    ACCOUNTS_N = COUNT_OF(ACCOUNTS),
    SESSIONS_N = COUNT_OF(SESSIONS),
    ROW_COLUMNS_MAX = 160 /* of any row that a query gives */
};

extern const struct column people_columns[PEOPLE_N], courses_columns[COURSES_N], weeks_columns[WEEKS_N],
    readings_columns[READINGS_N], alerts_columns[ALERTS_N], desk_columns[DESK_N], outbox_columns[OUTBOX_N],
    sent_columns[SENT_N], texts_columns[TEXTS_N], receipts_columns[RECEIPTS_N],
    accounts_columns[ACCOUNTS_N], sessions_columns[SESSIONS_N];

/* -- $1 … $n for VALUES: the number is checked against the list beside each use -------------------------------------------- */

#define DOLLARS_2 "$1, $2"
#define DOLLARS_4 DOLLARS_2 ", $3, $4"
#define DOLLARS_5 DOLLARS_4 ", $5"
#define DOLLARS_7 DOLLARS_5 ", $6, $7"
#define DOLLARS_8 DOLLARS_7 ", $8"
#define DOLLARS_10 DOLLARS_8 ", $9, $10"
#define DOLLARS_14 DOLLARS_10 ", $11, $12, $13, $14"
#define DOLLARS_16 DOLLARS_14 ", $15, $16"
#define DOLLARS_18 DOLLARS_16 ", $17, $18"
#define DOLLARS_20 DOLLARS_18 ", $19, $20"
#define DOLLARS_24 DOLLARS_20 ", $21, $22, $23, $24"
#define DOLLARS_27 DOLLARS_24 ", $25, $26, $27"
#define DOLLARS_28 DOLLARS_27 ", $28"
#define DOLLARS_30 DOLLARS_28 ", $29, $30"
#define DOLLARS_32 DOLLARS_30 ", $31, $32"
#define DOLLARS_33 DOLLARS_32 ", $33"
#define DOLLARS_40 DOLLARS_33 ", $34, $35, $36, $37, $38, $39, $40"
#define DOLLARS_43 DOLLARS_40 ", $41, $42, $43"

#endif
