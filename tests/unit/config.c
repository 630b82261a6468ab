/* The configuration: what a good file means, and what each mistake is told as.
 *
 * The good file is the one of the manual, shortened. A row of `mistakes` exchanges one of its lines and says at which
 * line what must be told; with `add` a line is put behind it. Facts of the trade in the rows (E.164's 15 digits: ITU-T
 * E.164; JSON pointers: RFC 6901; +447700900xxx, 01632 960xxx: Ofcom's numbers for drama).
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <cmocka.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "gateway/config.h"

static const char good[] =                                                         /* line */
    "; a practice of fiction\n"                                                    /* 1 */
    "[gateway]\n"                                                                  /* 2 */
    "listen = 127.0.0.1:0\n"                                                       /* 3 */
    "public_url = http://127.0.0.1:8481\n"                                         /* 4 */
    "state = state # made when missing\n"                                          /* 5 */
    "clock = system          ; or stepped\n"                                       /* 6 */
    "ops_to = mailto:it@example.org\n"                                             /* 7 */
    "[clinic maple]\n"                                                             /* 8 */
    "name = Maple Row Practice\n"                                                  /* 9 */
    "text_number = +447700900001\n"                                                /* 10 */
    "voice_number = 01632 960001\n"                                                /* 11 */
    "hours = mon-fri 08:00-18:30\n"                                                /* 12 */
    "closed = 2026-12-25, 2026-12-28\n"                                            /* 13 */
    "out_of_hours = 111\n"                                                         /* 14 */
    "emergency = 999\n"                                                            /* 15 */
    "time_zone = Europe/London\n"                                                  /* 16 */
    "language = en+es\n"                                                           /* 17 */
    "protocol = nice\n"                                                            /* 18 */
    "morning = 05:00-12:00\n"                                                      /* 19 */
    "evening = 16:00-24:00\n"                                                      /* 20 */
    "quiet = 21:30-07:00\n"                                                        /* 21 */
    "alert_to = +447700900002, mailto:duty@example.org, http://127.0.0.1:9200/a\n" /* 22 */
    "summary_to = target:lab, dir:outbox\n"                                        /* 23 */
    "fhir_token_file = maple.token\n"                                              /* 24 */
    "[clinic oak]\n"                                                               /* 25 */
    "text_number = +447700900009\n"                                                /* 26 */
    "out_of_hours = 111\n"                                                         /* 27 */
    "emergency = 999\n"                                                            /* 28 */
    "[target lab]\n"                                                               /* 29 */
    "url = https://ehr.example.org/fhir\n"                                         /* 30 */
    "header = Authorization: Bearer {secret}\n"                                    /* 31 */
    "secret_file = lab.secret\n"                                                   /* 32 */
    "[inbound]\n"                                                                  /* 33 */
    "path = /hook/in\n"                                                            /* 34 */
    "id = /id\n"                                                                   /* 35 */
    "auth = hmac-sha256\n"                                                         /* 36 */
    "secret_file = carrier.secret\n"                                               /* 37 */
    "[outbound]\n"                                                                 /* 38 */
    "url = http://127.0.0.1:9100/messages\n"                                       /* 39 */
    "body = {\"to\":\"{to}\",\"text\":\"{text}\",\"key\":\"{key}\"}\n"             /* 40 */
    "in_flight = 16\n"                                                             /* 41 */
    "per_second = 0.5\n"                                                           /* 42 */
    "[receipt]\n"                                                                  /* 43 */
    "path = /hook/receipt\n"                                                       /* 44 */
    "delivered = delivered, read\n"                                                /* 45 */
    "[mail]\n"                                                                     /* 46 */
    "url = smtp://127.0.0.1:2525\n"                                                /* 47 */
    "from = quietarm@example.org\n";                                               /* 48 */

static char folder[64], path[96]; /* the file's folder, the file */

static void file_put(const char *name, const char *text, mode_t mode)
{
    char file[160];
    snprintf(file, sizeof file, "%s/%s", folder, name);
    FILE *f = fopen(file, "w");
    assert_non_null(f);
    fputs(text, f);
    fclose(f);
    assert_int_equal(chmod(file, mode), 0);
}

static int folder_make(void **state)
{
    (void)state;
    snprintf(folder, sizeof folder, "build/config-test-XXXXXX");
    assert_non_null(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/quietarm.ini", folder);
    file_put("maple.token", "a-token-of-maple\n", 0600);
    file_put("open.token", "a-token\n", 0644);
    file_put("carrier.secret", "signed with this\n", 0600);
    file_put("lab.secret", "lab", 0600);
    file_put("two.secret", "one\ntwo\n", 0600);
    file_put("empty.secret", "\n", 0600);
    file_put("body.json", "{\"to\":\"{to}\",\"text\":\"{text}\"}\n", 0644);
    file_put("own.protocol", "edition = of ours\ndays = 70\n", 0644);
    return 0;
}

static int folder_remove(void **state)
{
    static const char *const names[] = {"maple.token",  "open.token",   "carrier.secret",
                                        "lab.secret",   "two.secret",   "body.json",
                                        "own.protocol", "quietarm.ini", "empty.secret"};
    (void)state;
    char file[160];
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        snprintf(file, sizeof file, "%s/%s", folder, names[i]);
        unlink(file);
    }
    return rmdir(folder);
}

struct told {
    int n;
    char all[8192];
};

/* "12: what" a line, the file's name in front only where it is another file. */
static void note(void *context, const char *file, int line, const char *what)
{
    struct told *told = context;
    size_t n = strlen(told->all);
    const char *name = strcmp(file, path) == 0 ? "" : strrchr(file, '/') + 1;
    char *whole = realpath(folder, NULL), *at = strstr(what, whole);
    if (at) /* the machine's own path is FOLDER */
        snprintf(told->all + n, sizeof told->all - n, "%s%s%d: %.*sFOLDER%s\n", name, *name ? ":" : "", line,
                 (int)(at - what), what, at + strlen(whole));
    else
        snprintf(told->all + n, sizeof told->all - n, "%s%s%d: %s\n", name, *name ? ":" : "", line, what);
    free(whole);
    told->n++;
}

static void row_write(const char *line, const char *with)
{
    char text[2 * sizeof good + 512];
    const char *at = strstr(good, line);
    assert_non_null(at);
    snprintf(text, sizeof text, "%.*s%s%s", (int)(at - good), good, with, at + strlen(line));
    file_put("quietarm.ini", text, 0644);
}

static void the_good_file_is_taken_whole(void **state)
{
    (void)state;
    struct config c;
    struct told told = {0};
    row_write("[gateway]\n", "[gateway]\n");
    assert_int_equal(config_open(&c, path, true, note, &told), 0);
    const struct clinic *maple = config_clinic(&c, "maple"),
                        *oak = config_clinic_by_number(&c, "+447700900009");
    assert_string_equal(maple->name, "Maple Row Practice");
    assert_true(maple->bilingual);
    assert_string_equal(maple->language, "en");
    assert_string_equal(maple->protocol.lines[1].category, "stage 2");
    assert_int_equal(maple->hours[4].to, 18 * 60 + 30);
    assert_int_equal(maple->hours[5].from, maple->hours[5].to);
    assert_int_equal(maple->n_closed, 2);
    assert_string_equal(maple->alert_to[2], "http://127.0.0.1:9200/a");
    assert_string_equal(maple->summary_to[1], "dir:outbox");
    assert_string_equal(maple->fhir_token, "a-token-of-maple");
    assert_string_equal(oak->name, "oak");
    assert_string_equal(oak->voice_number, "111"); /* never a number made up: the one that always answers */
    assert_int_equal(oak->remind_morning, 7 * 60 + 30);
    assert_string_equal(config_target(&c, "lab")->secret, "lab");
    assert_string_equal(c.inbound.text, "/text");
    assert_string_equal(c.inbound.sent, "");
    assert_int_equal(c.inbound.auth.secret_size, strlen("signed with this"));
    assert_string_equal(c.receipt.auth.secret, "signed with this"); /* as for inbound */
    assert_int_equal(c.receipt.n_failed, 3);
    assert_true(c.outbound.per_second > 0.49 && c.outbound.per_second < 0.51);
    assert_int_equal(c.desk_port, -1);
    assert_true(strlen(c.state) > strlen("/state") && c.state[0] == '/');
    assert_null(config_clinic(&c, "elm"));
    config_close(&c);
}

static void every_mistake_is_told_at_its_line(void **state)
{
    static const struct {
        const char *why, *line, *with, *told;
    } rows[] = {
#include "tests/unit/config_mistakes.h"
    };
    (void)state;
    int wrong = 0;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct config c;
        struct told told = {0};
        row_write(rows[i].line, rows[i].with);
        int n = config_open(&c, path, true, note, &told);
        if (n == told.n && strcmp(told.all, rows[i].told) == 0 && (n > 0) == (rows[i].told[0] != '\0')) {
            if (n == 0)
                config_close(&c);
            continue;
        }
        print_error("row %zu (%s)\n  want %s  got  %s", i, rows[i].why, rows[i].told, told.all);
        wrong++;
    }
    assert_int_equal(wrong, 0);
}

static void secrets_are_left_alone_when_nothing_is_sent(void **state)
{
    (void)state;
    struct config c;
    struct told told = {0};
    row_write("maple.token", "missing.token");
    assert_int_equal(config_open(&c, path, false, note, &told), 0);
    config_close(&c);
}

static void a_file_that_is_not_there_is_one_mistake(void **state)
{
    (void)state;
    struct config c;
    struct told told = {0};
    unlink(path);
    assert_int_equal(config_open(&c, path, true, note, &told), 1);
    assert_string_equal(
        told.all, "0: No such file or directory; name a configuration file that can be read, with -c FILE\n");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_good_file_is_taken_whole),
        cmocka_unit_test(every_mistake_is_told_at_its_line),
        cmocka_unit_test(secrets_are_left_alone_when_nothing_is_sent),
        cmocka_unit_test(a_file_that_is_not_there_is_one_mistake),
    };
    return cmocka_run_group_tests_name("config", tests, folder_make, folder_remove);
}
