/* The columns of every table as data: where each is in its struct, and how it is stored. */
#include "store/tables.h"

#define MEMBER(type, kind_, member) {COLUMN_##kind_, offsetof(type, member), sizeof(((type *)0)->member)},

#define PERSON_(kind, column, member) MEMBER(struct person, kind, member)
#define COURSE_(kind, column, member) MEMBER(struct course, kind, member)
#define WEEK_(kind, column, member) MEMBER(struct week, kind, member)
#define READING_(kind, column, member) MEMBER(struct reading, kind, member)
#define ALERT_(kind, column, member) MEMBER(struct alert, kind, member)
#define DESK_(kind, column, member) MEMBER(struct desk_row, kind, member)
#define OUTGOING_(kind, column, member) MEMBER(struct outgoing, kind, member)
#define SENT_(kind, column, member) MEMBER(struct sent, kind, member)
#define TEXT_(kind, column, member) MEMBER(struct stored_text, kind, member)
#define ACCOUNT_(kind, column, member) MEMBER(struct account, kind, member)
#define SESSION_(kind, column, member) MEMBER(struct session, kind, member)
#define RECEIPT_(kind, column, member) MEMBER(struct early_receipt, kind, member)

const struct column people_columns[PEOPLE_N] = {PEOPLE(PERSON_, PERSON_, PERSON_)};
const struct column courses_columns[COURSES_N] = {COURSES(COURSE_, COURSE_, COURSE_)};
const struct column weeks_columns[WEEKS_N] = {WEEKS(WEEK_, WEEK_, WEEK_)};
const struct column readings_columns[READINGS_N] = {READINGS(READING_, READING_, READING_)};
const struct column alerts_columns[ALERTS_N] = {ALERTS(ALERT_, ALERT_, ALERT_)};
const struct column desk_columns[DESK_N] = {DESK(DESK_, DESK_, DESK_)};
const struct column outbox_columns[OUTBOX_N] = {OUTBOX(OUTGOING_, OUTGOING_, OUTGOING_)};
const struct column sent_columns[SENT_N] = {SENT(SENT_, SENT_, SENT_)};
const struct column texts_columns[TEXTS_N] = {TEXTS(TEXT_, TEXT_, TEXT_)};
const struct column accounts_columns[ACCOUNTS_N] = {ACCOUNTS(ACCOUNT_, ACCOUNT_, ACCOUNT_)};
const struct column sessions_columns[SESSIONS_N] = {SESSIONS(SESSION_, SESSION_, SESSION_)};
const struct column receipts_columns[RECEIPTS_N] = {RECEIPTS(RECEIPT_, RECEIPT_, RECEIPT_)};

/* A member is written whole by its size: the kinds that fix a size must meet it. */
_Static_assert(sizeof(double) == 8 && sizeof(enum standing) == 4, "sizes that row.c counts on");
