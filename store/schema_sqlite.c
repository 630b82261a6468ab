/* The tables, as SQLite has them. What SQL the nouns say is the same for every driver; this file is not.
 *
 * STRICT keeps a text out of a whole number. References are checked at commit (deferred), so that the effects of one
 * event may come in any order. Instants are epoch seconds, days civil day numbers, enumerations their names.
 * A patient is about 3 KB with a week; a text with its reply about 1 KB in all.
 */
#include "store/schema_sqlite.h"

/* Works out a person's row of the overview anew; a stranger has none. */
#define OVERVIEW_SET(person)                                                                                           \
    "INSERT INTO overview (person, clinic, ref, stage, heard) SELECT p.id, p.clinic, p.ref,"                           \
    " CASE WHEN p.state IN ('died', 'withdrawn', 'wrong_number', 'declined') THEN 'gone'"                              \
    "  WHEN w.state IN ('complete', 'short') AND w.reviewed_at IS NULL THEN 'to_review'"                               \
    "  WHEN p.state IN ('left', 'closed') THEN 'gone' WHEN p.state IN ('invited', 'paused') THEN p.state"              \
    "  WHEN w.state IN ('complete', 'short') THEN 'reviewed' WHEN w.state = 'measuring' THEN 'measuring'"              \
    "  ELSE 'waiting' END, coalesce(c.last_text, 0)"                                                                   \
    " FROM people AS p LEFT JOIN courses AS c ON c.person = p.id LEFT JOIN weeks AS w ON w.person = p.id"              \
    "  AND w.number = (SELECT max(number) FROM weeks WHERE person = p.id) WHERE p.id = " person " AND p.ref <> ''"      \
    " ON CONFLICT (person) DO UPDATE SET ref = excluded.ref, stage = excluded.stage, heard = excluded.heard;"

/* One trigger's count. A person who is gone has no clinic, an instant may be none: nothing is counted, and never is
 * anything kept from being written for the sake of a figure. */
#define CLINIC_OF(person) "(SELECT clinic FROM people WHERE id = " person ")"
#define MONTH_ADD(clinic_of, at, what_is, much)                                                                        \
    " INSERT INTO months (clinic, month, what, n) SELECT c, CAST(strftime('%Y', t, 'unixepoch') AS INTEGER) * 12"      \
    " + CAST(strftime('%m', t, 'unixepoch') AS INTEGER) - 1, w, m FROM"                                                \
    " (SELECT " clinic_of " AS c, " at " AS t, " what_is " AS w, " much " AS m)"                                       \
    " WHERE c IS NOT NULL AND w IS NOT NULL AND t BETWEEN 0 AND 99999999999 AND m BETWEEN 0 AND 99999999"               \
    " ON CONFLICT (clinic, month, what) DO UPDATE SET n = n + excluded.n;"

static const char version_1[] =
    /* Who. A stranger has the ref ''. */
    "CREATE TABLE people ("
    " id INTEGER PRIMARY KEY, clinic TEXT NOT NULL, ref TEXT NOT NULL, phone TEXT NOT NULL, tag TEXT NOT NULL,"
    " name TEXT NOT NULL, language TEXT NOT NULL, zone TEXT NOT NULL, state TEXT NOT NULL,"
    " state_since INTEGER, enrolled_at INTEGER, consent_at INTEGER, born INTEGER, carer INTEGER NOT NULL,"
    " morning_from INTEGER NOT NULL, morning_to INTEGER NOT NULL, evening_from INTEGER NOT NULL,"
    " evening_to INTEGER NOT NULL, quiet_from INTEGER NOT NULL, quiet_to INTEGER NOT NULL,"
    " remind_morning INTEGER NOT NULL, remind_evening INTEGER NOT NULL, arm_cm REAL, cuff_low REAL, cuff_high REAL,"
    " arm_by_staff INTEGER NOT NULL, monitor TEXT NOT NULL, validated INTEGER NOT NULL, treated INTEGER NOT NULL,"
    " wrist INTEGER NOT NULL, on_arm INTEGER NOT NULL, office_sys INTEGER NOT NULL, office_dia INTEGER NOT NULL,"
    " office_day INTEGER, protocol TEXT NOT NULL, af INTEGER NOT NULL, pregnant INTEGER NOT NULL,"
    " pregnant_due INTEGER, birth INTEGER, start_day INTEGER, medicine_changed INTEGER,"
    " monitor_check_sys INTEGER NOT NULL, monitor_check_dia INTEGER NOT NULL) STRICT;"
    "CREATE UNIQUE INDEX people_by_ref ON people (clinic, ref) WHERE ref <> '';"
    "CREATE INDEX people_by_phone ON people (clinic, phone);"

    /* What changes with every text. question_readings: their ids, '12,13'. */
    "CREATE TABLE courses ("
    " person INTEGER PRIMARY KEY REFERENCES people (id) DEFERRABLE INITIALLY DEFERRED, next_look INTEGER,"
    " question TEXT NOT NULL, question_asked_at INTEGER, question_text INTEGER, question_readings TEXT NOT NULL,"
    " follow INTEGER NOT NULL, follow_since INTEGER, follow_reading INTEGER, follow_asked_again INTEGER NOT NULL,"
    " follow_alerted INTEGER NOT NULL, paused_until INTEGER, last_text INTEGER, last_reading INTEGER,"
    " last_flag INTEGER, last_severe INTEGER, reminded_morning INTEGER, reminded_evening INTEGER,"
    " nudged_morning INTEGER, nudged_evening INTEGER, silent INTEGER NOT NULL, silent_told INTEGER NOT NULL,"
    " not_understood INTEGER NOT NULL, settled_severe INTEGER NOT NULL, hints_mentioned INTEGER NOT NULL,"
    " rotation INTEGER NOT NULL, hinted_day INTEGER, arm_asked INTEGER NOT NULL, misfit_told INTEGER,"
    " ready_since INTEGER, second_invitation INTEGER NOT NULL, dia_confirmed INTEGER NOT NULL) STRICT;"
    "CREATE INDEX courses_by_look ON courses (next_look) WHERE next_look IS NOT NULL;"

    "CREATE TABLE weeks ("
    " id INTEGER PRIMARY KEY, person INTEGER NOT NULL REFERENCES people (id) DEFERRABLE INITIALLY DEFERRED,"
    " number INTEGER NOT NULL, version INTEGER NOT NULL, state TEXT NOT NULL, protocol TEXT NOT NULL,"
    " first_day INTEGER, last_day INTEGER, days_wanted INTEGER NOT NULL, opened_at INTEGER, ended_at INTEGER,"
    " sent_at INTEGER, reviewed_at INTEGER, reviewed_by TEXT NOT NULL, outcome TEXT NOT NULL, arm_cm REAL,"
    " cuff_low REAL, cuff_high REAL, paused_days INTEGER NOT NULL, noted INTEGER NOT NULL,"
    " UNIQUE (person, number), UNIQUE (person, id)) STRICT;"

    /* A message id that was ever taken, hashed: for ever, also when its text is erased. */
    "CREATE TABLE messages (hash BLOB PRIMARY KEY, received INTEGER NOT NULL) STRICT, WITHOUT ROWID;"

    "CREATE TABLE texts ("
    " id INTEGER PRIMARY KEY, person INTEGER REFERENCES people (id) DEFERRABLE INITIALLY DEFERRED,"
    " clinic TEXT NOT NULL, sender TEXT NOT NULL, recipient TEXT NOT NULL, body TEXT, received INTEGER NOT NULL,"
    " sent INTEGER, hash BLOB NOT NULL, why TEXT NOT NULL) STRICT;"
    "CREATE INDEX texts_by_person ON texts (person, received);"
    "CREATE INDEX texts_by_sender ON texts (sender, received);"
    "CREATE INDEX texts_unblanked ON texts (received) WHERE body IS NOT NULL;"

    /* A reading's week is one of its own person. The index holds the whole of it: a week is read from one or two pages,
     * where its rows lie as far apart as they were sent; and `verify` compares the two. */
    "CREATE TABLE readings ("
    " id INTEGER PRIMARY KEY, person INTEGER NOT NULL REFERENCES people (id) DEFERRABLE INITIALLY DEFERRED,"
    " week INTEGER, text INTEGER REFERENCES texts (id) DEFERRABLE INITIALLY DEFERRED, at INTEGER NOT NULL,"
    " received INTEGER NOT NULL, day INTEGER, minute INTEGER NOT NULL, slot INTEGER NOT NULL, arm INTEGER NOT NULL,"
    " posture INTEGER NOT NULL, sys INTEGER NOT NULL, dia INTEGER NOT NULL, pulse INTEGER NOT NULL,"
    " standing TEXT NOT NULL, held INTEGER NOT NULL, doubt INTEGER NOT NULL, asked_for INTEGER NOT NULL,"
    " confirmed INTEGER NOT NULL, off_time INTEGER NOT NULL, sent_late INTEGER NOT NULL, telephoned INTEGER NOT NULL,"
    " technique INTEGER NOT NULL, temp_c REAL, replaced_by INTEGER, decided_by TEXT NOT NULL, reason TEXT NOT NULL,"
    " FOREIGN KEY (person, week) REFERENCES weeks (person, id) DEFERRABLE INITIALLY DEFERRED) STRICT;"
    "CREATE INDEX readings_by_week ON readings (person, week, at, id, sys, dia, pulse, standing, text, received, day,"
    " minute, slot, arm, posture, held, doubt, asked_for, confirmed, off_time, sent_late, telephoned, technique, temp_c,"
    " replaced_by, decided_by, reason);"
    "CREATE INDEX readings_by_text ON readings (text) WHERE text IS NOT NULL;"

    /* Alerts, desk rows and the outbox outlive an erased person as bare numbers. */
    "CREATE TABLE alerts ("
    " id INTEGER PRIMARY KEY, person INTEGER, clinic TEXT NOT NULL, level TEXT NOT NULL, cause TEXT NOT NULL,"
    " at INTEGER NOT NULL, taken_at INTEGER, resolved_at INTEGER, taken_by TEXT NOT NULL, resolved_by TEXT NOT NULL,"
    " outcome TEXT NOT NULL, due INTEGER, times INTEGER NOT NULL, patient_told INTEGER NOT NULL) STRICT;"
    "CREATE INDEX alerts_by_person ON alerts (person, at);"
    "CREATE INDEX alerts_by_due ON alerts (due) WHERE due IS NOT NULL;"
    "CREATE INDEX alerts_open ON alerts (clinic, at) WHERE resolved_at IS NULL;"

    "CREATE TABLE desk ("
    " id INTEGER PRIMARY KEY, person INTEGER, clinic TEXT NOT NULL, kind TEXT NOT NULL, rank INTEGER NOT NULL,"
    " at INTEGER NOT NULL, text INTEGER, reading INTEGER, alert INTEGER, week INTEGER, note TEXT NOT NULL,"
    " done_at INTEGER, put_off_until INTEGER, done_by TEXT NOT NULL, taken_by TEXT NOT NULL,"
    " version INTEGER NOT NULL) STRICT;"
    "CREATE INDEX desk_by_person ON desk (person, done_at, at);"
    "CREATE INDEX desk_open ON desk (clinic, rank, at) WHERE done_at IS NULL;"

    /* staff: to the clinic's people, not to the patient. check_due: when it is looked at because it still waits (its
     * expiry; a worry reply's first five minutes). */
    "CREATE TABLE outbox ("
    " id INTEGER PRIMARY KEY, person INTEGER, alert INTEGER, week INTEGER, text INTEGER, version INTEGER NOT NULL,"
    " clinic TEXT NOT NULL, class INTEGER NOT NULL, channel TEXT NOT NULL, recipient TEXT NOT NULL,"
    " sender TEXT NOT NULL, kind TEXT NOT NULL, hint TEXT NOT NULL, unprompted INTEGER NOT NULL,"
    " worry_reply INTEGER NOT NULL, code TEXT NOT NULL, body TEXT NOT NULL, segments INTEGER NOT NULL,"
    " state TEXT NOT NULL, created INTEGER NOT NULL, due INTEGER NOT NULL, expires INTEGER, attempts INTEGER NOT NULL,"
    " sent_at INTEGER, delivered_at INTEGER, carrier_id TEXT NOT NULL, key TEXT NOT NULL, reason TEXT NOT NULL,"
    " staff INTEGER NOT NULL, check_due INTEGER) STRICT;"
    /* With all that a record remembers of what was said lately, so that it is read from one page. */
    "CREATE INDEX outbox_by_person ON outbox (person, created, id, kind, hint, class, unprompted, channel, staff, state);"
    "CREATE INDEX outbox_waiting ON outbox (class, channel, due, id, recipient) WHERE state = 'waiting';"
    "CREATE INDEX outbox_in_order ON outbox (recipient, class, id, due, attempts) WHERE state = 'waiting';"
    "CREATE INDEX outbox_of_waiting ON outbox (person) WHERE state = 'waiting';"
    "CREATE INDEX outbox_checked ON outbox (check_due) WHERE state = 'waiting' AND check_due IS NOT NULL;"
    "CREATE INDEX outbox_by_alert ON outbox (alert, recipient, id) WHERE alert IS NOT NULL;"
    "CREATE INDEX outbox_by_code ON outbox (recipient, code, id) WHERE code <> '';"
    "CREATE INDEX outbox_by_carrier_id ON outbox (carrier_id, id) WHERE carrier_id <> '';"
    "CREATE UNIQUE INDEX outbox_by_key ON outbox (key) WHERE key <> '';"
    "CREATE INDEX outbox_unblanked ON outbox (created) WHERE body <> '';"
    "CREATE INDEX outbox_to_strangers ON outbox (clinic, created)"
    " WHERE kind IN ('unknown_number', 'help_stranger');"

    /* How many outbox rows there are of each class and state, so that nobody has to count them. */
    "CREATE TABLE tallies ("
    " class INTEGER NOT NULL, state TEXT NOT NULL, n INTEGER NOT NULL, PRIMARY KEY (class, state)) STRICT, WITHOUT ROWID;"
    "CREATE TRIGGER outbox_added AFTER INSERT ON outbox BEGIN"
    " INSERT INTO tallies (class, state, n) VALUES (new.class, new.state, 1)"
    "  ON CONFLICT (class, state) DO UPDATE SET n = n + 1; END;"
    "CREATE TRIGGER outbox_moved AFTER UPDATE OF state ON outbox WHEN old.state <> new.state BEGIN"
    " UPDATE tallies SET n = n - 1 WHERE class = old.class AND state = old.state;"
    " INSERT INTO tallies (class, state, n) VALUES (new.class, new.state, 1)"
    "  ON CONFLICT (class, state) DO UPDATE SET n = n + 1; END;"
    "CREATE TRIGGER outbox_gone AFTER DELETE ON outbox BEGIN"
    " UPDATE tallies SET n = n - 1 WHERE class = old.class AND state = old.state; END;"

    "CREATE TABLE receipts ("
    " id TEXT NOT NULL, by_key INTEGER NOT NULL, delivered INTEGER NOT NULL, at INTEGER NOT NULL,"
    " PRIMARY KEY (id, by_key)) STRICT, WITHOUT ROWID;"
    "CREATE INDEX receipts_by_at ON receipts (at);"

    /* Who did what. Each row's hash is over the one before and its own fields; see audit.c. */
    "CREATE TABLE audit ("
    " seq INTEGER PRIMARY KEY, at INTEGER NOT NULL, person INTEGER, clinic TEXT NOT NULL, who TEXT NOT NULL,"
    " action TEXT NOT NULL, detail TEXT NOT NULL, hash BLOB NOT NULL, chain INTEGER NOT NULL) STRICT;"
    "CREATE INDEX audit_by_chain ON audit (chain, seq);"
    "CREATE INDEX audit_by_person ON audit (person, seq) WHERE person IS NOT NULL;"
    "CREATE INDEX audit_by_clinic ON audit (clinic, seq);"
    "CREATE TRIGGER audit_kept BEFORE DELETE ON audit BEGIN"
    " SELECT RAISE(ABORT, 'the audit is only ever added to'); END;"
    "CREATE TRIGGER audit_fixed BEFORE UPDATE ON audit BEGIN"
    " SELECT RAISE(ABORT, 'the audit is only ever added to'); END;"

    "CREATE TABLE accounts ("
    " username TEXT PRIMARY KEY, clinic TEXT NOT NULL, role TEXT NOT NULL, password TEXT NOT NULL,"
    " enabled INTEGER NOT NULL, created INTEGER NOT NULL, changed INTEGER NOT NULL) STRICT, WITHOUT ROWID;"
    "CREATE TABLE sessions ("
    " token BLOB PRIMARY KEY, username TEXT NOT NULL REFERENCES accounts (username) DEFERRABLE INITIALLY DEFERRED,"
    " created INTEGER NOT NULL, seen INTEGER NOT NULL, ends INTEGER NOT NULL) STRICT, WITHOUT ROWID;"
    "CREATE INDEX sessions_by_user ON sessions (username);"
    "CREATE INDEX sessions_by_end ON sessions (ends);"

    /* Keyed hashes of clinic and number of erased people who had opted out. */
    "CREATE TABLE refusals (hash BLOB PRIMARY KEY, at INTEGER NOT NULL) STRICT, WITHOUT ROWID;"

    /* What the table of patients is sorted and filtered by, kept up by triggers. stage: see people_find. mean_sys: of the
     * counted readings of the current week, kept by the writer. */
    "CREATE TABLE overview ("
    " person INTEGER PRIMARY KEY, clinic TEXT NOT NULL, ref TEXT NOT NULL, stage TEXT NOT NULL, heard INTEGER NOT NULL,"
    " mean_sys INTEGER NOT NULL DEFAULT 0, mean_dia INTEGER NOT NULL DEFAULT 0) STRICT;"
    "CREATE INDEX overview_by_ref ON overview (clinic, ref);"
    "CREATE INDEX overview_by_heard ON overview (clinic, heard);"
    "CREATE INDEX overview_by_mean ON overview (clinic, mean_sys);"
    "CREATE INDEX overview_of_stage_by_ref ON overview (clinic, stage, ref);"
    "CREATE INDEX overview_of_stage_by_heard ON overview (clinic, stage, heard);"
    "CREATE INDEX overview_of_stage_by_mean ON overview (clinic, stage, mean_sys);"
    "CREATE TRIGGER overview_of_person AFTER INSERT ON people BEGIN " OVERVIEW_SET("new.id") " END;"
    "CREATE TRIGGER overview_of_person_changed AFTER UPDATE OF ref, state ON people"
    " WHEN old.ref <> new.ref OR old.state <> new.state BEGIN " OVERVIEW_SET("new.id") " END;"
    "CREATE TRIGGER overview_of_person_gone AFTER DELETE ON people BEGIN"
    " DELETE FROM overview WHERE person = old.id; DELETE FROM people_words WHERE person = old.id; END;"
    "CREATE TRIGGER overview_of_week AFTER INSERT ON weeks BEGIN " OVERVIEW_SET("new.person") " END;"
    "CREATE TRIGGER overview_of_week_changed AFTER UPDATE OF state, reviewed_at ON weeks"
    " WHEN old.state <> new.state OR old.reviewed_at IS NOT new.reviewed_at BEGIN " OVERVIEW_SET("new.person") " END;"
    "CREATE TRIGGER overview_of_course AFTER INSERT ON courses WHEN new.last_text IS NOT NULL BEGIN"
    " UPDATE overview SET heard = new.last_text WHERE person = new.person; END;"
    "CREATE TRIGGER overview_of_course_changed AFTER UPDATE OF last_text ON courses WHEN old.last_text IS NOT new.last_text"
    " BEGIN UPDATE overview SET heard = coalesce(new.last_text, 0) WHERE person = new.person; END;"
    "CREATE TABLE stages ("
    " clinic TEXT NOT NULL, stage TEXT NOT NULL, n INTEGER NOT NULL, PRIMARY KEY (clinic, stage)) STRICT, WITHOUT ROWID;"
    "CREATE TRIGGER stages_added AFTER INSERT ON overview BEGIN"
    " INSERT INTO stages (clinic, stage, n) VALUES (new.clinic, new.stage, 1)"
    "  ON CONFLICT (clinic, stage) DO UPDATE SET n = n + 1; END;"
    "CREATE TRIGGER stages_moved AFTER UPDATE OF stage ON overview WHEN old.stage <> new.stage BEGIN"
    " UPDATE stages SET n = n - 1 WHERE clinic = old.clinic AND stage = old.stage;"
    " INSERT INTO stages (clinic, stage, n) VALUES (new.clinic, new.stage, 1)"
    "  ON CONFLICT (clinic, stage) DO UPDATE SET n = n + 1; END;"
    "CREATE TRIGGER stages_gone AFTER DELETE ON overview BEGIN"
    " UPDATE stages SET n = n - 1 WHERE clinic = old.clinic AND stage = old.stage; END;"

    /* What a person is found by: folded words of the name, the ref, ends of the number. See search.c. */
    "CREATE TABLE people_words ("
    " clinic TEXT NOT NULL, word TEXT NOT NULL, person INTEGER NOT NULL, PRIMARY KEY (clinic, word, person))"
    " STRICT, WITHOUT ROWID;"
    "CREATE INDEX people_words_of_person ON people_words (person);"

    /* The practice's figures, counted as they happen, by month of UTC (year * 12 + month from 0). See months.c. */
    "CREATE TABLE months ("
    " clinic TEXT NOT NULL, month INTEGER NOT NULL, what TEXT NOT NULL, n INTEGER NOT NULL,"
    " PRIMARY KEY (clinic, month, what)) STRICT, WITHOUT ROWID;"
    "CREATE TRIGGER months_of_weeks AFTER UPDATE OF state ON weeks"
    " WHEN new.state IN ('complete', 'short') AND old.state NOT IN ('complete', 'short') AND new.ended_at IS NOT NULL BEGIN"
    MONTH_ADD(CLINIC_OF("new.person"), "new.ended_at", "'weeks_' || new.state", "1")
    MONTH_ADD(CLINIC_OF("new.person"), "new.ended_at", "'days_' || (new.last_day - new.first_day + 1)", "1") " END;"
    "CREATE TRIGGER months_of_outbox AFTER UPDATE OF sent_at ON outbox"
    " WHEN old.sent_at IS NULL AND new.sent_at IS NOT NULL AND new.channel = 'text' BEGIN"
    MONTH_ADD("new.clinic", "new.sent_at", "'texts_sent'", "1")
    MONTH_ADD("new.clinic", "new.sent_at", "'segments_sent'", "new.segments") " END;"
    "CREATE TRIGGER months_of_texts AFTER INSERT ON texts WHEN new.clinic <> '' BEGIN"
    MONTH_ADD("new.clinic", "new.received", "'texts_received'", "1") " END;"
    "CREATE TRIGGER months_of_readings AFTER INSERT ON readings BEGIN"
    MONTH_ADD(CLINIC_OF("new.person"), "new.received", "'readings'", "1") " END;"
    "CREATE TRIGGER months_of_held AFTER INSERT ON readings WHEN new.standing = 'held' BEGIN"
    MONTH_ADD(CLINIC_OF("new.person"), "new.received", "'readings_held'", "1") " END;"
    "CREATE TRIGGER months_of_replaced AFTER UPDATE OF standing ON readings"
    " WHEN new.standing = 'replaced' AND old.standing <> 'replaced' BEGIN"
    MONTH_ADD(CLINIC_OF("new.person"), "new.received", "'readings_corrected'", "1") " END;"
    "CREATE TRIGGER months_of_alerts AFTER INSERT ON alerts BEGIN"
    MONTH_ADD("new.clinic", "new.at", "'alerts'", "1") " END;"
    "CREATE TRIGGER months_of_taken AFTER UPDATE OF taken_at ON alerts"
    " WHEN old.taken_at IS NULL AND new.taken_at IS NOT NULL BEGIN"
    MONTH_ADD("new.clinic", "new.taken_at", "'alerts_taken'", "1")
    MONTH_ADD("new.clinic", "new.taken_at", "'seconds_to_take'", "new.taken_at - new.at") " END;"
    "CREATE TRIGGER months_of_cuffs AFTER INSERT ON desk WHEN new.kind = 'cuff' BEGIN"
    MONTH_ADD("new.clinic", "new.at", "'cuffs'", "1") " END;"

    "CREATE TABLE meta (key TEXT PRIMARY KEY, value INTEGER NOT NULL) STRICT, WITHOUT ROWID;"

    /* A copy is sealed: a digest of all that it holds, by table. Opening it to write breaks the seal. */
    "CREATE TABLE seals (of TEXT PRIMARY KEY, digest BLOB NOT NULL) STRICT, WITHOUT ROWID;"

    "PRAGMA application_id = 0x7161726d; PRAGMA user_version = 1;";

/* A pause can begin on a day to come. What a week was measured with stays with it. The latest week has what its person has now; of earlier ones it is not known. */
static const char version_2[] =
    "ALTER TABLE courses ADD COLUMN pause_from INTEGER;"
    "ALTER TABLE weeks ADD COLUMN monitor TEXT NOT NULL DEFAULT '';"
    "ALTER TABLE weeks ADD COLUMN wrist INTEGER NOT NULL DEFAULT 0;"
    "ALTER TABLE weeks ADD COLUMN validated INTEGER NOT NULL DEFAULT 0;"
    "ALTER TABLE weeks ADD COLUMN on_arm INTEGER NOT NULL DEFAULT 0;"
    "UPDATE weeks SET (monitor, wrist, validated, on_arm) = (SELECT p.monitor, p.wrist, p.validated, p.on_arm FROM people p"
    " WHERE p.id = weeks.person) WHERE number = (SELECT max(x.number) FROM weeks x WHERE x.person = weeks.person);"
    "PRAGMA user_version = 2;";

/* A person's texts are found by the person: an index of all by their number cost each text a page of the log and one more
 * when it is checkpointed, 10 µs of 127. */
static const char version_3[] =
    "DROP INDEX texts_by_sender;"
    "CREATE INDEX texts_of_nobody ON texts (sender, received) WHERE person IS NULL;"
    "PRAGMA user_version = 3;";

static const char *const steps[] = {version_1, version_2, version_3};

const struct schema schema_sqlite = {.steps = steps, .version = sizeof steps / sizeof *steps};
