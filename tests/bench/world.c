/* World: a state folder with so many patients, as if they had been there for days.
 *
 * One patient is played through the program itself (enrolled, reminded, four readings a day); all others are copies of
 * that patient's rows, whatever tables there are, with ids, numbers and hashes of their own. So a world follows the schema
 * by itself, and has every row that real use makes. Rows of one event of all patients lie side by side, as they would.
 *
 * The numbers are of the range +1 NXX 555 0100–0199: 80,000 of them, so past 80,000 patients there are more clinics.
 * Patients live where it is past eight in the morning now.
 */
#include "tests/bench/bench.h"

#include <errno.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "gateway/flow/inside.h"
#include "tests/bench/clone.h"
#include "tests/bench/core.h"

enum { DAY = 86400, CUFF_LOW = 22, CUFF_HIGH = 32, ARM = 28 };
const char bench_secret[] = "in-secret-of-the-bench";

void world_phone(int64_t patient, char phone[32])
{
    int64_t n = patient % PHONES;
    snprintf(phone, 32, "+1%03d55501%02d", (int)(200 + n / 100), (int)(n % 100));
}

void world_clinic_number(int64_t patient, char number[32])
{
    snprintf(number, 32, "+4477009000%02d", (int)(patient / PHONES));
}

/* -- files ----------------------------------------------------------------------------------------------------------------- */

static int file_write(const struct world *w, const char *name, const char *text)
{
    char path[BENCH_PATH + 32];
    snprintf(path, sizeof path, "%s/%s", w->folder, name);
    FILE *out = fopen(path, "w");
    if (!out) {
        fprintf(stderr, "%s: %s\n", path, strerror(errno));
        return -1;
    }
    fputs(text, out);
    fclose(out);
    return chmod(path, 0600);
}

/* Where it is past eight now. The signs of these names are the other way round (IANA, file etcetera). */
static void zone_name(int64_t now, char zone[32])
{
    int ahead = 8 - (int)(now % DAY / 3600);
    if (ahead < -11)
        ahead += 24;
    snprintf(zone, 32, ahead == 0 ? "Etc/UTC" : "Etc/GMT%+d", -ahead);
}

int world_configure(const struct world *w)
{
    struct buffer b;
    char zone[32];
    int port = w->carrier_port ? w->carrier_port : 9100;
    buffer_init(&b, 1 << 20);
    zone_name(w->now, zone);
    buffer_print(&b,
                 "[gateway]\nlisten = 127.0.0.1:0\ndesk_listen = 127.0.0.1:0\npublic_url = http://127.0.0.1:8481\n"
                 "state = state\nclock = system\nops_to = http://127.0.0.1:%d/ops\n\n"
                 "[inbound]\npath = /hook/in\nformat = json\nid = /id\nfrom = /from\nto = /to\ntext = /text\n"
                 "auth = hmac-sha256\nauth_header = X-Signature\nsigned = body\nsecret_file = in.secret\n\n"
                 "[outbound]\nurl = http://127.0.0.1:%d/messages\nformat = json\n"
                 "body = {\"from\":\"{from}\",\"to\":\"{to}\",\"text\":\"{text}\",\"key\":\"{key}\"}\n"
                 "header = Authorization: Bearer {secret}\nsecret_file = out.secret\nid = /id\nin_flight = 16\n"
                 "per_second = %g\n\n",
                 port, port, w->per_second > 0 ? w->per_second : 10.0);
    for (int i = 0; i < CLINICS; i++)
        buffer_print(&b,
                     "[clinic c%02d]\nname = Practice %d\ntext_number = +4477009000%02d\nvoice_number = 01632 960001\n"
                     "hours = mon-sun 00:00-24:00\nout_of_hours = 111\nemergency = 999\ntime_zone = %s\nlanguage = en\n"
                     "protocol = esh\nmorning = 05:00-12:00\nevening = 16:00-24:00\nremind_morning = 07:30\n"
                     "remind_evening = 19:30\nnudge_after = 90\nquiet = 23:30-04:00\nalert_to = +447700900901\n"
                     "summary_to = dir:summaries\n\n",
                     i, i, i, zone);
    int error = b.failed ? -1 : file_write(w, "quietarm.ini", b.at);
    buffer_clear(&b);
    if (!error)
        error = file_write(w, "in.secret", bench_secret);
    return error ? error : file_write(w, "out.secret", "out-secret-of-the-bench");
}

/* -- the one patient -------------------------------------------------------------------------------------------------------- */

static int16_t local_minute(int64_t now)
{
    return (int16_t)(8 * 60 + now % 3600 / 60);
}

static int enrol_one(struct core *c, const struct world *w)
{
    struct job *job = core_job(c, JOB_ENROL);
    struct person *p = &job->enrol.person;
    person_blank(p, &c->config.clinics[0]);
    snprintf(p->ref, sizeof p->ref, "P-0");
    snprintf(p->name, sizeof p->name, "Invented Patient");
    world_phone(0, p->phone);
    p->arm_cm = ARM;
    p->cuff_low = CUFF_LOW;
    p->cuff_high = CUFF_HIGH;
    p->validated = ANSWER_YES;
    snprintf(p->monitor, sizeof p->monitor, "upper arm");
    if (w->remind)
        p->remind_morning = (int16_t)(local_minute(w->now) + 1);
    job->enrol.joined = true;
    return core_commit(c, job, 1);
}

/* Everything that is due until then, each at its own time. */
static int looks_until(struct core *c, int64_t until)
{
    for (int64_t due = INSTANT_NONE; due_next(c->flow->db, &due) == 0 && due != INSTANT_NONE && due <= until;)
        if (core_looks(c, due > clock_now() ? due : clock_now(), 64) < 0)
            return -1;
    clock_set(until);
    return 0;
}

static int say(struct core *c, int64_t at, int64_t *message, const char *words)
{
    if (looks_until(c, at) < 0)
        return -1;
    return core_commit(c, core_text(c, (*message)++, 0, words), 1);
}

/* Twice two readings a day, at five past eight and twelve hours later. */
static int play_days(struct core *c, int64_t from, int days)
{
    int64_t message = 0;
    char words[64];
    int error = 0;
    for (int day = 0; day < days && !error; day++)
        for (int i = 0; i < 4 && !error; i++) {
            snprintf(words, sizeof words, "%d/%d %d", 124 + (day * 5 + i * 3) % 13, 76 + (day + i * 2) % 9, 66 + i);
            error = say(c, from + (int64_t)day * DAY + (i / 2) * DAY / 2 + i % 2 * 120, &message, words);
        }
    return error;
}

static int patient_play(struct world *w)
{
    struct core *c;
    int64_t morning = w->now - w->now % 3600 + 300, started = morning - (int64_t)w->days * DAY;
    struct world before = *w;
    before.now = started - 1800;
    before.patients = 1;
    int error = core_open(&c, &before);
    if (error)
        return error;
    error = enrol_one(c, w);
    if (!error)
        error = play_days(c, started, w->days);
    if (!error && !w->ends_now)
        error = looks_until(c, w->now);
    core_close(c);
    if (error)
        fprintf(stderr, "the one patient of the world could not be played\n");
    return error;
}

/* -- the whole ------------------------------------------------------------------------------------------------------------- */

static void database_forget(const char *folder)
{
    static const char *const ends[] = {"db", "db-wal", "db-shm"};
    char file[BENCH_PATH + 64];
    for (size_t i = 0; i < sizeof ends / sizeof *ends; i++) {
        snprintf(file, sizeof file, "%s/state/quietarm.%s", folder, ends[i]);
        unlink(file);
    }
}

int world_make(struct world *w)
{
    char state[BENCH_PATH + 32], why[256];
    snprintf(state, sizeof state, "%s/state", w->folder);
    if (mkdir(w->folder, 0700) < 0 && errno != EEXIST) {
        fprintf(stderr, "%s: %s\n", w->folder, strerror(errno));
        return -1;
    }
    if (!w->now)
        w->now = clock_real_now();
    database_forget(w->folder);
    if (world_configure(w) < 0)
        return -1;
    struct db *db = NULL;
    if (db_open(&db, state, DB_SERVE, why, sizeof why) < 0) {
        fprintf(stderr, "%s\n", why);
        return -1;
    }
    db_close(db);
    if (patient_play(w) < 0)
        return -1;
    return world_clone(w);
}

/* -- the same once more ------------------------------------------------------------------------------------------------------ */

static int file_copy(const char *from, const char *to)
{
    static char room[1 << 20];
    FILE *in = fopen(from, "r"), *out = fopen(to, "w");
    int error = in && out ? 0 : -1;
    for (size_t n; !error && (n = fread(room, 1, sizeof room, in)) > 0;)
        error = fwrite(room, 1, n, out) == n ? 0 : -1;
    if (out && (fflush(out) || fsync(fileno(out)))) /* so that its writing back disturbs nobody later */
        error = -1;
    if (out && (fchmod(fileno(out), 0600) || fclose(out)))
        error = -1;
    if (in)
        fclose(in);
    if (error)
        fprintf(stderr, "%s: %s\n", to, strerror(errno));
    return error;
}

int world_copy(const struct world *w, const char *folder)
{
    static const char *const files[] = {"quietarm.ini", "in.secret", "out.secret", "state/quietarm.db"};
    char from[BENCH_PATH + 64], to[BENCH_PATH + 64];
    int error = 0;
    snprintf(to, sizeof to, "%s/state", folder);
    mkdir(folder, 0700);
    mkdir(to, 0700);
    database_forget(folder);
    for (size_t i = 0; i < sizeof files / sizeof *files && !error; i++) {
        snprintf(from, sizeof from, "%s/%s", w->folder, files[i]);
        snprintf(to, sizeof to, "%s/%s", folder, files[i]);
        error = file_copy(from, to);
    }
    return error;
}

int64_t world_bytes(const struct world *w)
{
    char file[BENCH_PATH + 64];
    struct stat s;
    snprintf(file, sizeof file, "%s/state/quietarm.db", w->folder);
    return stat(file, &s) < 0 ? -1 : s.st_size;
}
