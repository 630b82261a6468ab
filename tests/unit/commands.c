/* The commands as a person runs them: exit status, what is on standard output, and the one line on standard error.
 *
 * Run in this process, by the table of commands, in a folder of its own; in the order of the rows, since each leaves the
 * database to the next.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <cmocka.h>

#include <dirent.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "demo/play/place.h"
#include "gateway/commands.h"

static const char ini[] =
    "[gateway]\nlisten = 127.0.0.1:0\nclock = stepped\nclock_start = 2026-11-24T07:00:00Z\n"
    "[clinic maple]\nname = A practice of fiction\ntext_number = +447700900001\n"
    "voice_number = 01632 960001\nout_of_hours = 111\nemergency = 999\n"
    "[inbound]\nauth = bearer\nsecret_file = s\n[outbound]\nurl = http://127.0.0.1:9/\n";
static const char good_csv[] =
    "\xEF\xBB\xBFref,phone,joined,name\r\nR-1,+447700900201,yes,\"Doe, Jo\"\r\nR-2,0044 7700 900202,,\r\n";
static const char bad_csv[] =
    "ref,phone,born\nR-3,+447700900203,2010-01-01\nR 4,07700,\nR-3,+447700900205,\n";
static const char odd_csv[] = "ref,telephone\nR-5,+447700900205\n";
static char folder[64], home[512];

static void file_put(const char *name, const char *text, mode_t mode)
{
    FILE *f = fopen(name, "w");
    assert_non_null(f);
    fputs(text, f);
    fclose(f);
    assert_int_equal(chmod(name, mode), 0);
}

static int folder_make(void **state)
{
    (void)state;
    assert_non_null(getcwd(home, sizeof home));
    snprintf(folder, sizeof folder, "build/commands-XXXXXX");
    assert_non_null(mkdtemp(folder));
    assert_int_equal(chdir(folder), 0);
    file_put("quietarm.ini", ini, 0644);
    assert_true(place_settle("quietarm.ini"));
    file_put("s", "secret", 0600);
    file_put("good.csv", good_csv, 0644);
    file_put("bad.csv", bad_csv, 0644);
    file_put("odd.csv", odd_csv, 0644);
    FILE *longest = fopen("long.csv", "w");
    assert_non_null(longest);
    fputs("ref,phone\n", longest);
    for (int row = 0; row <= 50000; row++)
        fputs("R,+447700900201\n", longest);
    fclose(longest);
    file_put("bad.ini", "[gateway]\nlisten = here\n[clinic maple]\n", 0644);
    file_put("no.db", "this is no database, nor was it ever one", 0644);
    return 0;
}

static void emptied(const char *name)
{
    struct dirent *entry;
    char file[400];
    DIR *dir = opendir(name);
    while (dir && (entry = readdir(dir))) {
        snprintf(file, sizeof file, "%s/%s", name, entry->d_name);
        unlink(file); /* not . and .. */
    }
    if (dir)
        closedir(dir);
}

static int folder_remove(void **state)
{
    (void)state;
    emptied("state");
    rmdir("state");
    emptied(".");
    return chdir(home) || rmdir(folder);
}

struct ran {
    int status;
    char out[8192], err[4096];
};

static const char *standard_output = "out"; /* where it goes while a command runs */

static void stream_to(FILE *stream, int fd, const char *file)
{
    fflush(stream);
    int taken = open(file, O_RDWR | O_CREAT | O_TRUNC, 0600);
    assert_true(taken >= 0);
    dup2(taken, fd);
    close(taken);
}

static void stream_back(FILE *stream, int fd, int kept, const char *file, char *text, size_t size)
{
    fflush(stream);
    dup2(kept, fd);
    close(kept);
    FILE *f = fopen(file, "r");
    size_t n = fread(text, 1, size - 1, f);
    text[n] = '\0';
    fclose(f);
    unlink(file);
}

/* `line` is the command line behind "quietarm", cut at blanks. */
static void run(const char *line, struct ran *r)
{
    char words[400], *argv[32], *at = words;
    int argc = 0, out = dup(STDOUT_FILENO), err = dup(STDERR_FILENO);
    snprintf(words, sizeof words, "%s", line);
    for (char *word; (word = strsep(&at, " "));)
        argv[argc++] = word;
    const char *file = "quietarm.ini";
    if (argc > 2 && strcmp(argv[argc - 2], "-c") == 0)
        file = argv[argc - 1], argc -= 2;
    const struct command *c = commands;
    while (c->name && strcmp(c->name, argv[0]) != 0)
        c++;
    assert_non_null(c->name);
    struct invocation in = {.command = c->name, .config_file = file, .argc = argc - 1, .argv = argv + 1};
    stream_to(stdout, STDOUT_FILENO, standard_output);
    stream_to(stderr, STDERR_FILENO, "err");
    r->status = c->run(&in);
    if (strcmp(standard_output, "out") != 0)
        file_put("out", "", 0600); /* nothing can be read there */
    stream_back(stdout, STDOUT_FILENO, out, "out", r->out, sizeof r->out);
    clearerr(stdout);
    stream_back(stderr, STDERR_FILENO, err, "err", r->err, sizeof r->err);
}

static void each_command_ends_as_it_should(void **state)
{
    static const struct {
        const char *line;
        int status;
        const char *out, *err; /* out may end in *: begins so */
    } rows[] = {
        {"check", 0, "ok: quietarm.ini: 1 clinic, database none yet\n", ""},
        {"check -c bad.ini", 2, "",
         "bad.ini:2: listen = here: no port from 0 to 65535 at its end; write HOST:PORT, for example "
         "127.0.0.1:8480\n"
         "bad.ini:3: [clinic maple] has no text_number; add text_number = +COUNTRY NUMBER, for example "
         "+447700900001\n"
         "bad.ini:3: [clinic maple] has no out_of_hours; add out_of_hours = the number to ring when you are "
         "closed, for example 111\n"
         "bad.ini:3: [clinic maple] has no emergency; add emergency = the emergency number, for example 999\n"
         "bad.ini: there is no [inbound] section; add one\n"
         "bad.ini: there is no [outbound] section; add one\n"},
        {"check -c none.ini", 1, "",
         "quietarm check: none.ini: No such file or directory; name a configuration file with -c FILE\n"},
        {"check now", 2, "", "quietarm check: now is one argument too many; see quietarm check --help\n"},
        {"week --clinic maple --ref P-0001", 1, "", "*"},
        {"enrol --clinic maple --ref P-0001 --phone +447700900123 --arm=31 --cuff 22-42", 0,
         "enrolled maple P-0001\n", ""},
        {"check", 0, "ok: quietarm.ini: 1 clinic, database ready\n", ""},
        {"enrol --clinic maple --ref P-0001 --phone +447700900124", 1, "",
         "quietarm enrol: --ref P-0001: is enrolled in this clinic already; use another ref, or that "
         "patient's page\n"},
        {"enrol --clinic oak --ref P-0002 --phone +447700900124", 2, "",
         "quietarm enrol: --clinic oak: there is no [clinic oak] in quietarm.ini; there is maple\n"},
        {"enrol --clinic maple --phone +447700900124", 2, "",
         "quietarm enrol: --ref R is missing; see quietarm enrol --help\n"},
        {"enrol --clinic maple --ref P-0002 --phone", 2, "",
         "quietarm enrol: --phone needs a value; write --phone +E164\n"},
        {"enrol --clinic maple --ref P-0002 --phone= --joined", 2, "",
         "quietarm enrol: --phone: nothing is there; write --phone +E164\n"},
        {"enrol --clinic maple --ref P-0002 --phone +447700900124 --joined=yes", 2, "",
         "quietarm enrol: --joined takes no value; write it alone\n"},
        {"enrol --clinic maple --ref A --ref B --phone +447700900124", 2, "",
         "quietarm enrol: --ref is given twice; keep one\n"},
        {"enrol --clinic maple --ref A --phone +447700900124 --colour red", 2, "",
         "quietarm enrol: unknown option --colour; see quietarm enrol --help\n"},
        {"enrol --clinic maple --ref A --phone +447700900124 --born 2009-01-01", 2, "",
         "quietarm enrol: --born 2009-01-01: under 18; this is for adults only, follow the clinic's way for "
         "children\n"},
        {"roster --clinic maple bad.csv", 2, "",
         "bad.csv:2:3: born 2010-01-01: under 18; this is for adults only, follow the clinic's way for "
         "children\n"
         "bad.csv:3:1: ref R 4: not a ref; write 1 to 40 of letters, digits, - . _ /\n"
         "bad.csv:3:2: phone 07700: not a phone number with its country; write +, country and number, for "
         "example +447700900123\n"
         "bad.csv:4:1: ref R-3: is in row 2 already; give each patient a ref of their own\n"},
        {"roster --clinic maple odd.csv", 2, "",
         "odd.csv:1:2: unknown column telephone; name it as an option of quietarm enrol without dashes\n"
         "odd.csv:1:3: there is no column phone; add it\n"},
        {"roster --clinic maple none.csv", 1, "",
         "quietarm roster: none.csv: No such file or directory; name a CSV file of at most 32 MiB\n"},
        {"roster --clinic maple long.csv", 2, "",
         "quietarm roster: long.csv: 50001 patients, and at most 50000 at once, as no text is taken meanwhile; split the file, each "
         "part with the header\n"},
        {"roster --clinic maple good.csv", 0, "enrolled maple R-1\nenrolled maple R-2\n", ""},
        {"roster --clinic maple good.csv", 1, "",
         "good.csv:2:1: ref R-1: is enrolled in this clinic already; use another ref, or that patient's "
         "page\n"
         "good.csv:3:1: ref R-2: is enrolled in this clinic already; use another ref, or that patient's "
         "page\n"},
        {"week --clinic maple --ref P-0001 --json", 0,
         "{\"clinic\":\"maple\",\"ref\":\"P-0001\",\"person\":\"invited\",\"state\":\"waiting\",*", ""},
        {"week --clinic maple --ref R-1", 0,
         "maple R-1: joined, week 1 waiting, protocol esh\nno reading yet\n*", ""},
        {"week --clinic maple --ref P-0001 --week 2", 1, "",
         "quietarm week: --week 2: P-0001 has no such week; leave --week out for the last\n"},
        {"week --clinic maple --ref P-0001 --week 0", 2, "",
         "quietarm week: --week 0: not a week's number; write 1 for the first\n"},
        {"week --clinic maple --ref P-0009", 1, "",
         "quietarm week: --ref P-0009: nobody in clinic maple has this ref; see the desk's list\n"},
        {"backup copy.db", 0, "backed up to copy.db\n", ""},
        {"backup copy.db", 1, "", "quietarm backup: copy.db: exists already; name a file that does not\n"},
        {"verify copy.db", 0, "sound: copy.db\n*", ""},
        {"verify", 0, "sound: *state\nschema *audit *", ""},
        {"verify no.db", 1, "", "*"},
        {"verify none.db", 1, "", "quietarm verify: none.db: cannot be read; name a database or a backup\n"},
        {"version", 0, "quietarm *", ""},
        {"parse --help", 0, "usage: quietarm parse *", ""},
        {"parse --lines --help", 0, "usage: quietarm parse *", ""},
        {"parse 132/84", 2, "", "quietarm parse: 132/84: not understood; see quietarm parse --help\n"},
        {"parse --lines --received", 2, "",
         "quietarm parse: --received needs a value; write --received YYYY-MM-DDTHH:MM\n"},
        {"parse --received 2026-02-30T08:10", 2, "",
         "quietarm parse: 2026-02-30T08:10: no time for --received; write it like 2026-11-24T08:10\n"},
        {"parse --received 2026-11-24T08:10:noon", 2, "",
         "quietarm parse: 2026-11-24T08:10:noon: no time for --received; write it like 2026-11-24T08:10\n"},
        {"parse --received 2026-11-24T08:10:30+01:00 --help", 0, "usage: *", ""},
        {"texts --help", 0, "usage: quietarm texts *", ""},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct ran r;
        run(rows[i].line, &r);
        size_t out = strcspn(rows[i].out, "*"), err = strcspn(rows[i].err, "*");
        bool same = strncmp(r.out, rows[i].out, out + !rows[i].out[out]) == 0 &&
                    strncmp(r.err, rows[i].err, err + !rows[i].err[err]) == 0;
        if (r.status != rows[i].status || !same)
            fail_msg("%s: %d\n%s--\n%s", rows[i].line, r.status, r.out, r.err);
        if (rows[i].err[0] == '*')
            assert_ptr_equal(strchr(r.err, '\n'), r.err + strlen(r.err) - 1); /* one line */
    }
}

static void a_mistake_in_a_file_of_ones_own_is_told_with_its_folder(void **state)
{
    (void)state;
    struct ran r;
    char own[sizeof ini + 64];
    snprintf(own, sizeof own, "[gateway]\nwords = w\ntexts = t\n%s", ini + strlen("[gateway]\n"));
    assert_true(mkdir("w", 0700) == 0 && mkdir("t", 0700) == 0);
    file_put("own.ini", own, 0644);
    file_put("w/xx.words", "a word of no kind\nanother\n", 0644);
    file_put("t/en.texts", "no_such = words\n  and more\nhelp\nw_severe = Ring.\n", 0644);
    run("check -c own.ini", &r);
    emptied("w");
    emptied("t");
    assert_true(rmdir("w") == 0 && rmdir("t") == 0);
    static const char *const told[] = {"/w/xx.words:1: ", "/w/xx.words:2: ", "/t/en.texts:1: ", "/t/en.texts:3: ", "/t/en.texts:4: "};
    for (size_t i = 0; i < sizeof told / sizeof *told; i++)
        if (r.status != 2 || !strstr(r.err, told[i]))
            fail_msg("%s: %d %s", told[i], r.status, r.err);
    assert_null(strstr(r.err, "/t/en.texts:2: ")); /* goes on from line 1, which is told */
}

/* What is asked for by name is a device or a pipe: it gets the bytes and stays what it is. A file replaces what was there, is
 * its owner's alone, and passes by what lies beside it. */
static void what_is_written_goes_where_it_was_asked_to(void **state)
{
    (void)state;
    struct ran r;
    struct stat st;
    char first[5] = "";
    assert_int_equal(mkfifo("pipe.pdf", 0600), 0);
    int pipe = open("pipe.pdf", O_RDWR | O_NONBLOCK); /* the other end */
    assert_true(pipe >= 0 && fcntl(pipe, F_SETPIPE_SZ, 1 << 20) > 0);
    run("leaflet --clinic maple --language en pipe.pdf", &r);
    if (r.status != 0)
        fail_msg("%s", r.err);
    assert_true(stat("pipe.pdf", &st) == 0 && S_ISFIFO(st.st_mode));
    assert_true(read(pipe, first, 4) == 4);
    assert_string_equal(first, "%PDF");
    close(pipe);
    file_put("victim", "a file of somebody's", 0644);
    assert_int_equal(symlink("victim", "f.pdf.part"), 0);
    file_put("f.pdf", "an older one", 0644);
    run("leaflet --clinic maple --language es f.pdf", &r);
    assert_int_equal(r.status, 0);
    assert_true(stat("f.pdf", &st) == 0 && st.st_size > 1000 && (st.st_mode & 07777) == 0600);
    assert_true(stat("victim", &st) == 0 && st.st_size == (off_t)strlen("a file of somebody's"));
}

static void what_cannot_be_printed_is_told_and_ends_with_1(void **state)
{
    static const char *const lines[] = {"version", "texts", "texts --help", "parse --help", "check", "leaflet --clinic maple --language en -"};
    (void)state;
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        struct ran r;
        standard_output = "/dev/full";
        run(lines[i], &r);
        standard_output = "out";
        if (r.status != 1 || strncmp(r.err, "quietarm ", 9) != 0 || strchr(r.err, '\n') != r.err + strlen(r.err) - 1)
            fail_msg("%s: %d %s", lines[i], r.status, r.err);
    }
}

/* -- a password takes a while to type --------------------------------------------------------------------------------------- */

static struct account account_now(bool disable)
{
    struct db *db;
    struct account a;
    bool found;
    char why[200] = "";
    if (db_open(&db, "state", DB_WRITE, why, sizeof why) != 0)
        fail_msg("%s", why);
    assert_int_equal(account_get(db, "jo", &a, &found), 0);
    assert_true(found);
    a.enabled = a.enabled && !disable;
    if (disable)
        assert_int_equal(account_put(db, &a), 0);
    db_close(db);
    return a;
}

/* Standard input that somebody types into while another disables the account. */
static ssize_t typed(void *unused, char *bytes, size_t size)
{
    static const char line[] = "a password of fiction\n";
    (void)unused;
    assert_true(size >= sizeof line);
    account_now(true);
    memcpy(bytes, line, sizeof line - 1);
    return sizeof line - 1;
}

static void who_is_disabled_while_a_password_is_typed_stays_disabled(void **state)
{
    (void)state;
    static char first[] = "the first password\n";
    struct ran r;
    FILE *kept = stdin;
    stdin = fmemopen(first, strlen(first), "r");
    run("account add --clinic maple --user jo --role admin", &r);
    if (r.status != 0)
        fail_msg("%s", r.err);
    fclose(stdin);
    struct account before = account_now(false);
    assert_true(before.enabled);
    assert_int_equal(before.created, 1795503600); /* the stepped clock's, 2026-11-24T07:00:00Z */
    stdin = fopencookie(NULL, "r", (cookie_io_functions_t){.read = typed});
    run("account password --clinic maple --user jo", &r);
    fclose(stdin);
    stdin = kept;
    if (r.status != 0)
        fail_msg("%s", r.err);
    struct account after = account_now(false);
    assert_string_not_equal(after.password, before.password);
    assert_false(after.enabled);
}

static void every_command_has_a_help_or_answers_it_itself(void **state)
{
    (void)state;
    for (const struct command *c = commands; c->name; c++) {
        assert_true(strlen(c->does) > 0 && strlen(c->does) < 70);
        if (c->help)
            assert_true(strncmp(c->help, "usage: quietarm ", 16) == 0 && strstr(c->help, c->name));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(each_command_ends_as_it_should, folder_make, folder_remove),
        cmocka_unit_test_setup_teardown(who_is_disabled_while_a_password_is_typed_stays_disabled, folder_make, folder_remove),
        cmocka_unit_test_setup_teardown(a_mistake_in_a_file_of_ones_own_is_told_with_its_folder, folder_make, folder_remove),
        cmocka_unit_test_setup_teardown(what_is_written_goes_where_it_was_asked_to, folder_make, folder_remove),
        cmocka_unit_test_setup_teardown(what_cannot_be_printed_is_told_and_ends_with_1, folder_make, folder_remove),
        cmocka_unit_test(every_command_has_a_help_or_answers_it_itself),
    };
    return cmocka_run_group_tests_name("commands", tests, NULL, NULL);
}
