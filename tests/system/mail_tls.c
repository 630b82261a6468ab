/* Mail by smtps and by STARTTLS to a server that is not ours (aiosmtpd), with an authority of the test's own: a mail goes only
 * where the certificate is the relay's, and never in the clear where TLS is not offered.
 *
 * The relay is called relay.localhost: libcurl takes that to 127.0.0.1 (RFC 6761 section 6.3), and for the program it is another
 * machine, for which TLS is demanded.
 */
#include "tests/unit/send_fake.h"

#include <signal.h>
#include <spawn.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "tests/papers.h"

static struct {
    char folder[400];
    pid_t pid;
    FILE *said;
} relay;

static const char *path_of(const char *name)
{
    static char path[8][512];
    static int n;
    n = (n + 1) % 8;
    snprintf(path[n], sizeof path[n], "%s/%s", relay.folder, name);
    return path[n];
}

/* `how`: starttls, smtps; NULL: in the clear. The port. */
static int relay_start(const char *how)
{
    int ends[2], port = 0;
    char line[200];
    const char *argv[] = {"/usr/bin/python3", "tests/system/mail_server.py", relay.folder, how, path_of("crt"), path_of("key"), NULL};
    posix_spawn_file_actions_t actions;
    paper_file(path_of("crt"), certificate);
    paper_file(path_of("key"), key);
    paper_file(path_of("ca"), authority);
    assert_int_equal(pipe(ends), 0);
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_adddup2(&actions, ends[1], 1);
    posix_spawn_file_actions_addclose(&actions, ends[0]);
    assert_int_equal(posix_spawn(&relay.pid, argv[0], &actions, NULL, (char *const *)(uintptr_t)argv, environ), 0);
    posix_spawn_file_actions_destroy(&actions);
    close(ends[1]);
    relay.said = fdopen(ends[0], "r");
    if (!fgets(line, sizeof line, relay.said) || sscanf(line, "port=%d", &port) != 1)
        fail_msg("the mail server does not start; is python3-aiosmtpd there?");
    return port;
}

static void relay_stop(void)
{
    fclose(relay.said);
    kill(relay.pid, SIGTERM);
    waitpid(relay.pid, NULL, 0);
}

/* A mail through a relay at this address. What the relay says of it; "" when the sender is done and none came. */
static const char *mail_through(const char *scheme, const char *how, const struct paper *paper, bool trusted)
{
    static char line[1024];
    line[0] = '\0';
    papers_make(paper);
    int port = relay_start(how);
    sender_down(0);
    if (trusted)
        setenv("SSL_CERT_FILE", path_of("ca"), 1);
    fake_config.mail.present = true;
    snprintf(fake_config.mail.url, sizeof fake_config.mail.url, "%s://relay.localhost:%d", scheme, port);
    snprintf(fake_config.mail.from, sizeof fake_config.mail.from, "quietarm@example.org");
    int sent = fake_flow.results[SENT_OK];
    row_add(CLASS_WORRY, CHANNEL_MAIL, "mailto:duty@example.org", "look at P-0001");
    sender_up();
    sender_go();
    settle();
    unsetenv("SSL_CERT_FILE");
    if (fake_flow.results[SENT_OK] > sent && !fgets(line, sizeof line, relay.said))
        fail_msg("it is marked sent, and the relay has nothing");
    relay_stop();
    fake_n = 0;
    return line;
}

static void a_mail_goes_by_tls_to_the_relay_itself_or_not_at_all(void **state)
{
    static const struct paper relays = {"relay.localhost", -3600, 3600, false}, others = {"mail.example.org", -3600, 3600, false},
                              old = {"relay.localhost", -7200, -3600, false};
    static const struct {
        const char *scheme, *how;
        const struct paper *paper;
        bool trusted, sent;
        const char *why;
    } rows[] = {
        {"smtps", "smtps", &relays, true, true, "RFC 8314, 3: TLS from the first byte"},
        {"smtp", "starttls", &relays, true, true, "RFC 3207: STARTTLS"},
        {"smtps", "smtps", &relays, false, false, "an authority that nobody trusts"},
        {"smtp", "starttls", &relays, false, false, "the same by STARTTLS"},
        {"smtps", "smtps", &others, true, false, "another name (RFC 7817, 3)"},
        {"smtp", "starttls", &others, true, false, "the same by STARTTLS"},
        {"smtps", "smtps", &old, true, false, "past its time"},
        {"smtp", NULL, &relays, true, false, "no STARTTLS is offered: nothing goes in the clear"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        int broken = fake_flow.results[SENT_ROUTE_BROKEN];
        const char *said = mail_through(rows[i].scheme, rows[i].how, rows[i].paper, rows[i].trusted);
        bool by_tls = strstr(said, "to=duty@example.org") && strstr(said, "tls=yes");
        if (by_tls != rows[i].sent || (!rows[i].sent && (*said || fake_flow.results[SENT_ROUTE_BROKEN] == broken)))
            fail_msg("%s: \"%s\", route broken %d times", rows[i].why, said, fake_flow.results[SENT_ROUTE_BROKEN] - broken);
    }
}

int main(void)
{
    const char *folder = getenv("TEST_FOLDER");
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_mail_goes_by_tls_to_the_relay_itself_or_not_at_all, world_open, world_close),
    };
    snprintf(relay.folder, sizeof relay.folder, "%s", folder ? folder : "build/mail_tls.d");
    mkdir(relay.folder, 0700);
    return cmocka_run_group_tests(tests, NULL, NULL);
}
