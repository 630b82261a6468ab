/* Every command: its name, a line for the list, its help, and what runs it. `parse` and `texts` are answered by the rooms
 * that know, help included.
 */
#include "gateway/commands.h"

#include <glib.h>

#include "gateway/folder.h"

/* The machine's own local time: what was received just now. */
static struct moment local_now(void)
{
    GDateTime *now = g_date_time_new_from_unix_local(clock_real_now());
    struct moment m = {.year = g_date_time_get_year(now),
                       .month = g_date_time_get_month(now),
                       .day = g_date_time_get_day_of_month(now),
                       .minute = g_date_time_get_hour(now) * 60 + g_date_time_get_minute(now)};
    g_date_time_unref(now);
    return m;
}

/* These two need no configuration; where one is named, its folders count. */
static int folders_of(const struct invocation *in, struct config *config)
{
    *config = (struct config){0};
    return in->config_given ? command_config(in, false, config) : 0;
}

static int parse_run(const struct invocation *in)
{
    struct parser *parser = NULL;
    struct config config;
    char why[512] = "";
    int status = folders_of(in, &config);
    if (!status && words_open(&parser, config.words, why, sizeof why) < 0)
        status = command_fail(in, EXIT_USAGE, "%s", why);
    if (!status)
        status = parse_command(parser, in->argc, in->argv, local_now());
    parser_close(parser);
    config_close(&config);
    return status;
}

static int texts_run(const struct invocation *in)
{
    struct texts *texts = NULL;
    struct config config;
    char why[512] = "";
    int status = folders_of(in, &config);
    if (!status && texts_load(&texts, config.texts, why, sizeof why) < 0)
        status = command_fail(in, EXIT_USAGE, "%s", why);
    if (!status)
        status = texts_command(texts, in->argc, in->argv);
    texts_close(texts);
    config_close(&config);
    return status;
}

static const char serve_help[] =
    "usage: quietarm [-c FILE] serve\n\n"
    "Runs the gateway in the foreground and logs to standard error, one line an event.\n"
    "SIGTERM or SIGINT: answers what is queued, lets sends end, at most 10 s. SIGHUP: reads texts, secrets and\n"
    "certificates anew; a bad file leaves the old in force.\n";

static const char check_help[] =
    "usage: quietarm [-c FILE] check\n\n"
    "Tells every mistake of the configuration, the word lists and the texts as FILE:LINE: what; what to do.\n"
    "Opens the database read-only if it is there. Sends nothing.\n";

static const char enrol_help[] =
    "usage: quietarm [-c FILE] enrol --clinic K --ref R --phone +E164 [OPTION…]\n\n"
    "Adds a patient and queues the invitation. Prints \"enrolled K R\".\n\n"
    "  --joined                     consent was given in the clinic: a welcome instead\n"
    "  --name NAME                  for the desk and the summary, never in a text\n"
    "  --born DATE                  adults only\n"
    "  --tag WORD                   of a shared phone: begins this patient's texts\n"
    "  --sent-by self|carer         who texts\n"
    "  --language en|es             the clinic's unless given, as all of these:\n"
    "  --time-zone ZONE             for example Europe/Madrid\n"
    "  --morning, --evening         windows, HH:MM-HH:MM\n"
    "  --remind-morning, --remind-evening   HH:MM\n"
    "  --quiet HH:MM-HH:MM          no unprompted texts\n"
    "  --arm CM|Nin                 upper arm, measured by a person of the clinic\n"
    "  --cuff LO-HI|LO-HIin         the range printed on the cuff\n"
    "  --monitor TEXT               make and model as printed\n"
    "  --validated yes|no|unknown   the monitor\n"
    "  --on-arm left|right          the arm to use\n"
    "  --office SYS/DIA@DATE        the clinic's own figure\n"
    "  --protocol P                 esh, nice, aha, canada, jsh, or the clinic's own\n"
    "  --rhythm af                  atrial fibrillation is known\n"
    "  --pregnant DUE, --birth DATE\n"
    "  --treated yes|no             takes medicine for blood pressure\n"
    "  --start DATE                 the week begins on this day at the earliest\n\n"
    "R is 1 to 40 of letters, digits, - . _ / and unique in the clinic. Dates are YYYY-MM-DD.\n";

static const char roster_help[] =
    "usage: quietarm [-c FILE] roster --clinic K FILE.csv\n\n"
    "Adds many patients from a CSV file (RFC 4180, UTF-8), all or none. Its first row names the columns: the options of\n"
    "quietarm enrol without dashes; ref and phone are needed, an empty cell is not known, joined is yes or no.\n"
    "Each bad cell is told as FILE:ROW:COLUMN: what; what to do.\n";

static const char week_help[] =
    "usage: quietarm [-c FILE] week --clinic K --ref R [--week N] [--json|--html F|--pdf F|--fhir F]\n\n"
    "A patient's current or last week, or week N: for people, or as one JSON object; or the summary as it goes to the clinic,\n"
    "as a page, a PDF, or a FHIR R4 transaction Bundle with the PDF in it. F is a file; - is standard output.\n";

static const char export_help[] =
    "usage: quietarm [-c FILE] export --clinic K --from DATE --to DATE --format csv|ndjson\n\n"
    "The clinic's readings of these local days, both included: csv has all of them, each with its standing; ndjson has the\n"
    "accepted ones as FHIR R4 Observations, one a line. Nothing of patients who withdrew consent.\n";

static const char leaflet_help[] =
    "usage: quietarm [-c FILE] leaflet --clinic K --language en|es [--large] F.pdf\n\n"
    "The patients' handout with the clinic's numbers: how to sit, find the arm's midpoint, put on the cuff, and text.\n"
    "--large is for people who read large print. - is standard output.\n";

static const char account_help[] =
    "usage: quietarm [-c FILE] account add|enable|disable|role|password|list --clinic K|--all-clinics [--user U] [--role R]\n\n"
    "Who may use the desk. R is coordinator (works the list), clinician (also reviews and closes weeks) or admin (accounts,\n"
    "audit). The password of add and password is one line of standard input, 12 to 256 bytes. A change ends the account's\n"
    "sessions. list prints user, clinic, role and whether it is enabled.\n";

static const char backup_help[] =
    "usage: quietarm [-c FILE] backup DEST.db\n\n"
    "One consistent copy of the database while the gateway runs. DEST.db must not exist.\n";

static const char verify_help[] =
    "usage: quietarm verify FILE.db\n       quietarm [-c FILE] verify\n\n"
    "Whether a database or backup is sound: integrity, foreign keys, audit chain; prints counts. Never writes. 1 if damaged.\n"
    "Without FILE.db it is the configured gateway's own database, which may be at work; a PostgreSQL server looks after\n"
    "integrity and foreign keys by itself, so there it is the audit and the counts.\n";

static const char erase_help[] =
    "usage: quietarm [-c FILE] erase --clinic K --ref R [--yes]\n\n"
    "Removes a patient's identity, texts, readings and what waits to be sent, for good, and says where summaries went. The\n"
    "ref is asked for again unless --yes is given. Refused while an alert of the patient is open.\n";

static const char migrate_help[] =
    "usage: quietarm [-c FILE] migrate --to postgres [FILE.db]\n\n"
    "Copies the embedded database of the state folder, or a backup of it, into the empty PostgreSQL database that store and\n"
    "conninfo_file name, and compares counts and digests of every table. Stop the gateway first. Broken off, it goes on when it\n"
    "is run again.\n";

static const char version_help[] = "usage: quietarm version\n\nThe program's version, and those of its libraries.\n";

const struct command commands[] = {
    {"serve", "run the gateway", serve_help, serve_command},
    {"check", "tell every mistake of the configuration", check_help, check_command},
    {"enrol", "add a patient and queue the invitation", enrol_help, enrol_command},
    {"roster", "add many patients from a CSV file", roster_help, roster_command},
    {"week", "show a patient's week", week_help, week_command},
    {"export", "write readings as CSV or FHIR", export_help, export_command},
    {"leaflet", "write the patients' handout", leaflet_help, leaflet_command},
    {"account", "say who may use the desk", account_help, account_command},
    {"backup", "copy the database while running", backup_help, backup_command},
    {"verify", "tell whether a database is sound", verify_help, verify_command},
    {"migrate", "move the embedded database to PostgreSQL", migrate_help, migrate_command},
    {"erase", "remove a patient for good", erase_help, erase_command},
    {"parse", "show what texts on standard input mean", NULL, parse_run},
    {"texts", "list the texts that can be sent, with their size", NULL, texts_run},
    {"version", "versions of the program and its libraries", version_help, version_command},
    {NULL},
};
