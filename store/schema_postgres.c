/* The tables, as PostgreSQL has them: columns from the lists of tables.h, so that they are named once.
 *
 * Texts are compared byte by byte (COLLATE "C"), as the embedded store does. References are checked at commit. Counts that
 * everybody adds to (tallies, stages, months) are kept in a row for each connection and added up by a view: one row would make
 * all gateways wait for each other, and in the wrong order lock each other out.
 */
#include "store/schema_postgres.h"

#include "store/tables.h"

/* -- the types of the kinds of row.h ---------------------------------------------------------------------------------------- */

#define WORDS_T " TEXT COLLATE \"C\" NOT NULL"
#define T_WHOLE " BIGINT NOT NULL"
#define T_COUNT " BIGINT NOT NULL"
#define T_REF " BIGINT"
#define T_INSTANT " BIGINT"
#define T_DAY " BIGINT"
#define T_REAL " DOUBLE PRECISION"
#define T_LENGTH " DOUBLE PRECISION"
#define T_TEXT WORDS_T
#define T_BODY " TEXT COLLATE \"C\""
#define T_HASH " BYTEA NOT NULL"
#define T_READINGS WORDS_T
#define T_PERSON_STATE WORDS_T
#define T_WEEK_STATE WORDS_T
#define T_STANDING WORDS_T
#define T_QUESTION WORDS_T
#define T_ALERT_LEVEL WORDS_T
#define T_DESK_KIND WORDS_T
#define T_CHANNEL WORDS_T
#define T_OUTGOING_STATE WORDS_T
#define T_TEXT_KIND WORDS_T

#define DEFINE_AND_COMMA_(kind, column, member) #column T_##kind ", "
#define DEFINE_(kind, column, member) #column T_##kind
#define COMMA_AND_DEFINE_(kind, column, member) ", " #column T_##kind
#define TABLE(name, LIST, rest)                                                                                        \
    "CREATE TABLE " name " (" LIST(DEFINE_AND_COMMA_, DEFINE_, COMMA_AND_DEFINE_) rest ");"

#define DEFERRED " DEFERRABLE INITIALLY DEFERRED"
#define OF_A_PERSON ", FOREIGN KEY (person) REFERENCES people (id)" DEFERRED

/* A count: its rows by connection, the view that adds them up, the function that adds to one's own. */
#define COUNTED(name, keys, key_columns, types, arguments)                                                             \
    "CREATE TABLE " name "_counted (" key_columns ", connection BIGINT NOT NULL, n BIGINT NOT NULL,"                   \
    " PRIMARY KEY (" keys ", connection));"                                                                            \
    "CREATE VIEW " name " AS SELECT " keys ", sum(n)::bigint AS n FROM " name "_counted GROUP BY " keys ";"            \
    "CREATE FUNCTION " name "_add(" types ", bigint) RETURNS void LANGUAGE sql AS 'INSERT INTO " name "_counted (" keys \
    ", connection, n) VALUES (" arguments ") ON CONFLICT (" keys ", connection) DO UPDATE SET n = " name               \
    "_counted.n + excluded.n';"

#define TRIGGER(name, when, condition, body)                                                                           \
    "CREATE FUNCTION " name "() RETURNS trigger LANGUAGE plpgsql AS $body$ BEGIN " body " RETURN NULL; END $body$;"    \
    "CREATE TRIGGER " name " AFTER " when " FOR EACH ROW " condition " EXECUTE FUNCTION " name "();"

#define CLINIC_OF(person) "(SELECT clinic FROM people WHERE id = " person ")"
#define MONTH_ADD(clinic, at, what, much) " PERFORM month_add(" clinic ", " at ", " what ", " much ");"

static const char version_1[] =
    "CREATE TABLE schema_version (version BIGINT NOT NULL); INSERT INTO schema_version (version) VALUES (0);"

    TABLE("people", PEOPLE, ", PRIMARY KEY (id)")
    "CREATE UNIQUE INDEX people_by_ref ON people (clinic, ref) WHERE ref <> '';"
    "CREATE INDEX people_by_phone ON people (clinic, phone);"

    TABLE("courses", COURSES, ", PRIMARY KEY (person)" OF_A_PERSON)
    "CREATE INDEX courses_by_look ON courses (next_look, person) WHERE next_look IS NOT NULL;"

    TABLE("weeks", WEEKS, ", PRIMARY KEY (id), UNIQUE (person, number), UNIQUE (person, id)" OF_A_PERSON)
    "CREATE TABLE messages (hash BYTEA PRIMARY KEY, received BIGINT NOT NULL);"

    TABLE("texts", TEXTS, ", PRIMARY KEY (id)" OF_A_PERSON)
    "CREATE INDEX texts_by_person ON texts (person, received);"
    "CREATE INDEX texts_by_sender ON texts (sender, received);"
    "CREATE INDEX texts_unblanked ON texts (received) WHERE body IS NOT NULL;"

    TABLE("readings", READINGS, ", PRIMARY KEY (id)" OF_A_PERSON
          ", FOREIGN KEY (text) REFERENCES texts (id)" DEFERRED
          ", FOREIGN KEY (person, week) REFERENCES weeks (person, id)" DEFERRED)
    "CREATE INDEX readings_by_week ON readings (person, week, at, id);"
    "CREATE INDEX readings_by_text ON readings (text) WHERE text IS NOT NULL;"

    TABLE("alerts", ALERTS, ", PRIMARY KEY (id)")
    "CREATE INDEX alerts_by_person ON alerts (person, at);"
    "CREATE INDEX alerts_by_due ON alerts (due, id) WHERE due IS NOT NULL;"
    "CREATE INDEX alerts_open ON alerts (clinic, at) WHERE resolved_at IS NULL;"

    TABLE("desk", DESK, ", PRIMARY KEY (id)")
    "CREATE INDEX desk_by_person ON desk (person, done_at, at);"
    "CREATE INDEX desk_open ON desk (clinic, rank, at) WHERE done_at IS NULL;"

    TABLE("outbox", OUTBOX, ", staff BIGINT NOT NULL, check_due BIGINT, PRIMARY KEY (id)")
    "CREATE INDEX outbox_by_person ON outbox (person, created, id);"
    "CREATE INDEX outbox_waiting ON outbox (class, channel, due, id, recipient) WHERE state = 'waiting';"
    "CREATE INDEX outbox_in_order ON outbox (recipient, class, id, due, attempts) WHERE state = 'waiting';"
    "CREATE INDEX outbox_of_waiting ON outbox (person) WHERE state = 'waiting';"
    "CREATE INDEX outbox_checked ON outbox (check_due, id) WHERE state = 'waiting' AND check_due IS NOT NULL;"
    "CREATE INDEX outbox_by_alert ON outbox (alert, recipient, id) WHERE alert IS NOT NULL;"
    "CREATE INDEX outbox_by_code ON outbox (recipient, code, id) WHERE code <> '';"
    "CREATE INDEX outbox_by_carrier_id ON outbox (carrier_id, id) WHERE carrier_id <> '';"
    "CREATE UNIQUE INDEX outbox_by_key ON outbox (key) WHERE key <> '';"
    "CREATE INDEX outbox_unblanked ON outbox (created) WHERE body <> '';"
    "CREATE INDEX outbox_to_strangers ON outbox (clinic, created) WHERE kind IN ('unknown_number', 'help_stranger');"

    TABLE("receipts", RECEIPTS, ", PRIMARY KEY (id, by_key)")
    "CREATE INDEX receipts_by_at ON receipts (at);"

    /* See audit.c. */
    "CREATE TABLE audit (seq BIGINT PRIMARY KEY, at BIGINT NOT NULL, person BIGINT, clinic" WORDS_T ", who" WORDS_T
    ", action" WORDS_T ", detail" WORDS_T ", hash BYTEA NOT NULL, chain BIGINT NOT NULL);"
    "CREATE INDEX audit_by_chain ON audit (chain, seq);"
    "CREATE INDEX audit_by_person ON audit (person, seq) WHERE person IS NOT NULL;"
    "CREATE INDEX audit_by_clinic ON audit (clinic, seq);"
    "CREATE FUNCTION audit_kept() RETURNS trigger LANGUAGE plpgsql AS"
    " $body$ BEGIN RAISE EXCEPTION 'the audit is only ever added to'; END $body$;"
    "CREATE TRIGGER audit_kept BEFORE UPDATE OR DELETE ON audit FOR EACH ROW EXECUTE FUNCTION audit_kept();"

    TABLE("accounts", ACCOUNTS, ", PRIMARY KEY (username)")
    TABLE("sessions", SESSIONS, ", PRIMARY KEY (token), FOREIGN KEY (username) REFERENCES accounts (username)" DEFERRED)
    "CREATE INDEX sessions_by_user ON sessions (username);"
    "CREATE INDEX sessions_by_end ON sessions (ends);"
    "CREATE TABLE refusals (hash BYTEA PRIMARY KEY, at BIGINT NOT NULL);"
    "CREATE TABLE meta (key" WORDS_T " PRIMARY KEY, value BIGINT NOT NULL);"

    "CREATE TABLE overview (person BIGINT PRIMARY KEY, clinic" WORDS_T ", ref" WORDS_T ", stage" WORDS_T
    ", heard BIGINT NOT NULL, mean_sys BIGINT NOT NULL DEFAULT 0, mean_dia BIGINT NOT NULL DEFAULT 0);"
    "CREATE INDEX overview_by_ref ON overview (clinic, ref);"
    "CREATE INDEX overview_by_heard ON overview (clinic, heard, person);"
    "CREATE INDEX overview_by_mean ON overview (clinic, mean_sys, person);"
    "CREATE INDEX overview_of_stage_by_ref ON overview (clinic, stage, ref);"
    "CREATE INDEX overview_of_stage_by_heard ON overview (clinic, stage, heard, person);"
    "CREATE INDEX overview_of_stage_by_mean ON overview (clinic, stage, mean_sys, person);"
    "CREATE TABLE people_words (clinic" WORDS_T ", word" WORDS_T ", person BIGINT NOT NULL,"
    " PRIMARY KEY (clinic, word, person));"
    "CREATE INDEX people_words_of_person ON people_words (person);"

    /* Gateways by the name in their state folder, and which of them may send to a number: see driver_postgres.c. */
    "CREATE TABLE gateways (number BIGINT PRIMARY KEY, name" WORDS_T " UNIQUE);"
    "CREATE TABLE leases (recipient" WORDS_T " PRIMARY KEY, gateway BIGINT NOT NULL, until TIMESTAMPTZ NOT NULL);"

    COUNTED("tallies", "class, state", "class BIGINT NOT NULL, state" WORDS_T, "bigint, text",
            "$1, $2, pg_backend_pid(), $3")
    COUNTED("stages", "clinic, stage", "clinic" WORDS_T ", stage" WORDS_T, "text, text", "$1, $2, pg_backend_pid(), $3")
    COUNTED("months", "clinic, month, what", "clinic" WORDS_T ", month BIGINT NOT NULL, what" WORDS_T, "text, bigint, text",
            "$1, $2, $3, pg_backend_pid(), $4")

    /* A copy sets the figures as they were: what it inserts is added to its own connection's row. */
    "CREATE FUNCTION months_put() RETURNS trigger LANGUAGE plpgsql AS $body$ BEGIN"
    " IF TG_OP = 'DELETE' THEN DELETE FROM months_counted WHERE (clinic, month, what) = (old.clinic, old.month, old.what);"
    " RETURN old; END IF;"
    " PERFORM months_add(new.clinic, new.month, new.what, new.n); RETURN new; END $body$;"
    "CREATE TRIGGER months_put INSTEAD OF INSERT OR DELETE ON months FOR EACH ROW EXECUTE FUNCTION months_put();"

    TRIGGER("outbox_added", "INSERT ON outbox", "", "PERFORM tallies_add(new.class, new.state, 1);")
    TRIGGER("outbox_moved", "UPDATE OF state ON outbox", "WHEN (old.state <> new.state)",
            "PERFORM tallies_add(old.class, old.state, -1); PERFORM tallies_add(new.class, new.state, 1);")
    TRIGGER("outbox_gone", "DELETE ON outbox", "", "PERFORM tallies_add(old.class, old.state, -1);")
    TRIGGER("stages_added", "INSERT ON overview", "", "PERFORM stages_add(new.clinic, new.stage, 1);")
    TRIGGER("stages_moved", "UPDATE OF stage ON overview", "WHEN (old.stage <> new.stage)",
            "PERFORM stages_add(old.clinic, old.stage, -1); PERFORM stages_add(new.clinic, new.stage, 1);")
    TRIGGER("stages_gone", "DELETE ON overview", "", "PERFORM stages_add(old.clinic, old.stage, -1);")

    /* Works out a person's row of the overview anew; a stranger has none. */
    "CREATE FUNCTION overview_set(bigint) RETURNS void LANGUAGE sql AS $body$"
    "INSERT INTO overview (person, clinic, ref, stage, heard) SELECT p.id, p.clinic, p.ref,"
    " CASE WHEN p.state IN ('died', 'withdrawn', 'wrong_number', 'declined') THEN 'gone'"
    "  WHEN w.state IN ('complete', 'short') AND w.reviewed_at IS NULL THEN 'to_review'"
    "  WHEN p.state IN ('left', 'closed') THEN 'gone' WHEN p.state IN ('invited', 'paused') THEN p.state"
    "  WHEN w.state IN ('complete', 'short') THEN 'reviewed' WHEN w.state = 'measuring' THEN 'measuring'"
    "  ELSE 'waiting' END, coalesce(c.last_text, 0)"
    " FROM people AS p LEFT JOIN courses AS c ON c.person = p.id LEFT JOIN weeks AS w ON w.person = p.id"
    "  AND w.number = (SELECT max(number) FROM weeks WHERE person = p.id) WHERE p.id = $1 AND p.ref <> ''"
    " ON CONFLICT (person) DO UPDATE SET ref = excluded.ref, stage = excluded.stage, heard = excluded.heard $body$;"
    TRIGGER("overview_of_person", "INSERT ON people", "WHEN (new.ref <> '')", "PERFORM overview_set(new.id);")
    TRIGGER("overview_of_person_changed", "UPDATE OF ref, state ON people",
            "WHEN (old.ref <> new.ref OR old.state <> new.state)", "PERFORM overview_set(new.id);")
    TRIGGER("overview_of_person_gone", "DELETE ON people", "",
            "DELETE FROM overview WHERE person = old.id; DELETE FROM people_words WHERE person = old.id;")
    TRIGGER("overview_of_week", "INSERT ON weeks", "", "PERFORM overview_set(new.person);")
    TRIGGER("overview_of_week_changed", "UPDATE OF state, reviewed_at ON weeks",
            "WHEN (old.state <> new.state OR old.reviewed_at IS DISTINCT FROM new.reviewed_at)",
            "PERFORM overview_set(new.person);")
    TRIGGER("overview_of_course", "INSERT ON courses", "WHEN (new.last_text IS NOT NULL)",
            "UPDATE overview SET heard = new.last_text WHERE person = new.person;")
    TRIGGER("overview_of_course_changed", "UPDATE OF last_text ON courses",
            "WHEN (old.last_text IS DISTINCT FROM new.last_text)",
            "UPDATE overview SET heard = coalesce(new.last_text, 0) WHERE person = new.person;")

    /* By month of UTC, as months.c reads it. A person who is gone has no clinic, an instant may be none: nothing is counted
     * then, and nothing is kept from being written for the sake of a figure. */
    "CREATE FUNCTION month_add(clinic text, at bigint, what text, much bigint) RETURNS void LANGUAGE plpgsql AS $body$ BEGIN"
    " IF clinic IS NOT NULL AND what IS NOT NULL AND at BETWEEN 0 AND 99999999999 AND much BETWEEN 0 AND 99999999 THEN"
    "  PERFORM months_add(clinic, (extract(year FROM to_timestamp(at) AT TIME ZONE 'UTC') * 12"
    "   + extract(month FROM to_timestamp(at) AT TIME ZONE 'UTC') - 1)::bigint, what, much);"
    " END IF; END $body$;"
    TRIGGER("months_of_weeks", "UPDATE OF state ON weeks",
            "WHEN (new.state IN ('complete', 'short') AND old.state NOT IN ('complete', 'short') AND new.ended_at IS NOT NULL)",
            MONTH_ADD(CLINIC_OF("new.person"), "new.ended_at", "'weeks_' || new.state", "1")
            MONTH_ADD(CLINIC_OF("new.person"), "new.ended_at", "'days_' || (new.last_day - new.first_day + 1)", "1"))
    TRIGGER("months_of_outbox", "UPDATE OF sent_at ON outbox",
            "WHEN (old.sent_at IS NULL AND new.sent_at IS NOT NULL AND new.channel = 'text')",
            MONTH_ADD("new.clinic", "new.sent_at", "'texts_sent'", "1")
            MONTH_ADD("new.clinic", "new.sent_at", "'segments_sent'", "new.segments"))
    TRIGGER("months_of_texts", "INSERT ON texts", "WHEN (new.clinic <> '')",
            MONTH_ADD("new.clinic", "new.received", "'texts_received'", "1"))
    TRIGGER("months_of_readings", "INSERT ON readings", "",
            MONTH_ADD(CLINIC_OF("new.person"), "new.received", "'readings'", "1"))
    TRIGGER("months_of_held", "INSERT ON readings", "WHEN (new.standing = 'held')",
            MONTH_ADD(CLINIC_OF("new.person"), "new.received", "'readings_held'", "1"))
    TRIGGER("months_of_replaced", "UPDATE OF standing ON readings",
            "WHEN (new.standing = 'replaced' AND old.standing <> 'replaced')",
            MONTH_ADD(CLINIC_OF("new.person"), "new.received", "'readings_corrected'", "1"))
    TRIGGER("months_of_alerts", "INSERT ON alerts", "", MONTH_ADD("new.clinic", "new.at", "'alerts'", "1"))
    TRIGGER("months_of_taken", "UPDATE OF taken_at ON alerts",
            "WHEN (old.taken_at IS NULL AND new.taken_at IS NOT NULL)",
            MONTH_ADD("new.clinic", "new.taken_at", "'alerts_taken'", "1")
            MONTH_ADD("new.clinic", "new.taken_at", "'seconds_to_take'", "new.taken_at - new.at"))
    TRIGGER("months_of_cuffs", "INSERT ON desk", "WHEN (new.kind = 'cuff')",
            MONTH_ADD("new.clinic", "new.at", "'cuffs'", "1"));

/* See schema_sqlite.c. A new database has the columns already: its tables are made from tables.h. */
static const char version_2[] =
    "ALTER TABLE courses ADD COLUMN IF NOT EXISTS pause_from BIGINT;"
    "ALTER TABLE weeks ADD COLUMN IF NOT EXISTS monitor TEXT COLLATE \"C\" NOT NULL DEFAULT '',"
    " ADD COLUMN IF NOT EXISTS wrist BIGINT NOT NULL DEFAULT 0,"
    " ADD COLUMN IF NOT EXISTS validated BIGINT NOT NULL DEFAULT 0,"
    " ADD COLUMN IF NOT EXISTS on_arm BIGINT NOT NULL DEFAULT 0;"
    "UPDATE weeks AS w SET monitor = p.monitor, wrist = p.wrist, validated = p.validated, on_arm = p.on_arm FROM people AS p"
    " WHERE p.id = w.person AND w.number = (SELECT max(x.number) FROM weeks AS x WHERE x.person = w.person);";

/* See NEXT_OF_ITS_NUMBER of driver_postgres.c. */
static const char version_3[] =
    "DROP INDEX outbox_waiting, outbox_of_waiting;"
    "CREATE INDEX outbox_waiting ON outbox (class, channel, due, id, recipient) WHERE state = 'waiting' AND id > 0;"
    "CREATE INDEX outbox_of_waiting ON outbox (person) WHERE state = 'waiting' AND person IS NOT NULL;";

const char *const schema_postgres[] = {version_1, version_2, version_3};
const int schema_postgres_version = COUNT(schema_postgres);
