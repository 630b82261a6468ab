/* Mail against a small server of ours that speaks RFC 5321 on 127.0.0.1: what a mail says, who is refused, and that nothing
 * leaves without TLS for another machine. */
#include "tests/unit/send_fake.h"

#include <strings.h>
#include <sys/socket.h>
#include <unistd.h>

static struct {
    int listener, port;
    pthread_t thread;
    int rcpt, auth;          /* how RCPT and AUTH are answered */
    char mails[8][8192];     /* as they came */
    char recipients[8][256];
    int n, commands;
} relay;

static void relay_say(int fd, const char *line)
{
    assert_int_equal(write(fd, line, strlen(line)), (ssize_t)strlen(line));
}

static void relay_mail(int fd, FILE *in)
{
    char line[2048], *mail = relay.mails[relay.n];
    relay_say(fd, "354 go on\r\n");
    while (fgets(line, sizeof line, in) && strcmp(line, ".\r\n"))
        snprintf(mail + strlen(mail), sizeof relay.mails[0] - strlen(mail), "%s", line);
    pthread_mutex_lock(&fake_lock);
    relay.n++;
    pthread_mutex_unlock(&fake_lock);
    relay_say(fd, "250 kept\r\n");
}

static void relay_converse(int fd)
{
    char line[2048], code[64];
    FILE *in = fdopen(fd, "r");
    relay_say(fd, "220 relay\r\n");
    while (fgets(line, sizeof line, in)) {
        pthread_mutex_lock(&fake_lock);
        relay.commands++;
        int rcpt = relay.rcpt, auth = relay.auth;
        pthread_mutex_unlock(&fake_lock);
        if (!strncasecmp(line, "EHLO", 4)) {
            relay_say(fd, "250-relay\r\n250 AUTH PLAIN\r\n");
        } else if (!strncasecmp(line, "RCPT", 4)) {
            snprintf(relay.recipients[relay.n], 256, "%.255s", line + 8);
            snprintf(code, sizeof code, "%d answer\r\n", rcpt);
            relay_say(fd, code);
        } else if (!strncasecmp(line, "AUTH", 4)) {
            snprintf(code, sizeof code, "%d answer\r\n", auth);
            relay_say(fd, "334 \r\n"); /* RFC 4954, 4: the initial response is asked for */
            relay_say(fd, fgets(line, sizeof line, in) ? code : "500 gone\r\n");
        } else if (!strncasecmp(line, "DATA", 4)) {
            relay_mail(fd, in);
        } else {
            relay_say(fd, "250 fine\r\n");
        }
    }
    fclose(in);
}

static void *relay_run(void *context)
{
    (void)context;
    for (int fd; (fd = accept(relay.listener, NULL, NULL)) >= 0;)
        relay_converse(fd); /* one after the other: the sender reuses its connection */
    return NULL;
}

static int mail_open(void **state)
{
    struct sockaddr_in at = {.sin_family = AF_INET, .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
    socklen_t size = sizeof at;
    memset(&relay, 0, sizeof relay);
    relay.rcpt = 250;
    relay.auth = 235;
    relay.listener = socket(AF_INET, SOCK_STREAM, 0);
    assert_int_equal(bind(relay.listener, (struct sockaddr *)&at, sizeof at), 0);
    assert_int_equal(listen(relay.listener, 8), 0);
    assert_int_equal(getsockname(relay.listener, (struct sockaddr *)&at, &size), 0);
    relay.port = ntohs(at.sin_port);
    assert_int_equal(pthread_create(&relay.thread, NULL, relay_run, NULL), 0);
    world_open(state);
    fake_config.mail.present = true;
    snprintf(fake_config.mail.url, sizeof fake_config.mail.url, "smtp://127.0.0.1:%d", relay.port);
    snprintf(fake_config.mail.from, sizeof fake_config.mail.from, "quietarm@example.org");
    return 0;
}

static int mail_close(void **state)
{
    world_close(state);
    shutdown(relay.listener, SHUT_RDWR);
    pthread_join(relay.thread, NULL);
    close(relay.listener);
    return 0;
}

/* The sender anew, with the configuration as the test has changed it. */
static void go(void)
{
    sender_down(0);
    sender_up();
    sender_go();
    settle();
}

static bool has(const char *what)
{
    return strstr(relay.mails[0], what);
}

static void an_alert_is_a_plain_mail_that_names_nobody_in_its_subject(void **state)
{
    (void)state;
    struct outgoing *row = row_add(CLASS_WORRY, CHANNEL_MAIL, "mailto:duty@example.org",
                                   "emergency: chest_pain, P-0001\n.\nA line that is much longer than the seventy-six signs "
                                   "that quoted-printable allows, with \xc3\xb1.");
    row->alert = 17;
    go();
    assert_int_equal(relay.n, 1);
    assert_int_equal(row->state, OUTGOING_SENT);
    assert_string_equal(relay.recipients[0], "<duty@example.org>\r\n");
    assert_true(has("From: <quietarm@example.org>\r\n"));
    assert_true(has("To: <duty@example.org>\r\n"));
    assert_true(has("Subject: Alert, maple: please look now\r\n"));
    assert_true(has("Message-ID: <key-1@example.org>\r\n"));
    assert_true(has("Date: Tue, 24 Nov 2026 07:00:00 +0000\r\n")); /* a Tuesday, by any calendar */
    assert_non_null(strcasestr(relay.mails[0], "MIME-Version: 1.0\r\n"));
    assert_true(has("Content-Type: text/plain; charset=utf-8\r\n"));
    assert_true(has("Content-Transfer-Encoding: quoted-printable\r\n"));
    assert_true(has("\r\nemergency: chest_pain, P-0001\r\n"));
    assert_true(has("=C3=B1"));
    for (const char *at = strstr(relay.mails[0], "\r\n\r\n"), *end; (end = strstr(at, "\r\n")); at = end + 2)
        assert_true(end - at <= 76); /* RFC 2045, 6.7, rule 5 */
}

static int render(void *context, const struct outgoing *row, struct rendered *out)
{
    (void)context, (void)row;
    out->text = strdup("the week in words");
    out->pdf = strdup("%PDF-1.7");
    out->pdf_size = 8;
    snprintf(out->name, sizeof out->name, "maple-week-1");
    return 0;
}

static void a_summary_has_its_page_attached(void **state)
{
    (void)state;
    row_add(CLASS_SUMMARY, CHANNEL_MAIL, "mailto:results@example.org", "unused");
    sender_on_summary(fake_sender, render, NULL);
    sender_go();
    settle();
    assert_int_equal(relay.n, 1);
    assert_true(has("Content-Type: multipart/mixed; boundary="));
    assert_true(has("the week in words"));
    assert_true(has("Content-Type: application/pdf\r\n"));
    assert_true(has("Content-Disposition: attachment; filename=\"maple-week-1.pdf\"\r\n"));
    assert_true(has("JVBERi0xLjc=")); /* base64 of %PDF-1.7, by coreutils' base64 */
}

static void each_reply_of_a_relay_has_its_meaning(void **state)
{
    static const struct {
        int rcpt, auth;
        enum sent_result result;
        const char *why;
    } rows[] = {
        {250, 235, SENT_OK, "accepted"},
        {550, 235, SENT_PERMANENT, "no such mailbox"},
        {451, 235, SENT_PASSING, "try again later"},
        {250, 535, SENT_ROUTE_BROKEN, "user or secret refused"},
    };
    (void)state;
    snprintf(fake_config.mail.user, sizeof fake_config.mail.user, "quietarm");
    snprintf(fake_config.mail.secret, SECRET_MAX, "s3cret");
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        relay.rcpt = rows[i].rcpt;
        relay.auth = rows[i].auth;
        memset(fake_flow.results, 0, sizeof fake_flow.results);
        row_add(CLASS_WORRY, CHANNEL_MAIL, "mailto:duty@example.org", "alert");
        go();
        if (fake_flow.results[rows[i].result] != 1)
            fail_msg("%s: %s", rows[i].why, fake_rows[fake_n - 1].reason);
        fake_rows[fake_n - 1].state = OUTGOING_CANCELLED;
    }
}

static void nothing_leaves_in_the_clear_for_another_machine(void **state)
{
    (void)state;
    /* the same relay under a name that is not on the list of loopback names: STARTTLS is demanded, and it has none */
    snprintf(fake_config.mail.url, sizeof fake_config.mail.url, "smtp://[::ffff:127.0.0.1]:%d", relay.port);
    row_add(CLASS_WORRY, CHANNEL_MAIL, "mailto:duty@example.org", "alert");
    go();
    assert_int_equal(relay.n, 0);
    assert_string_equal(relay.recipients[0], "");
    if (!relay.commands) /* a machine without IPv6 sockets: it could not be asked */
        skip();
    assert_int_equal(fake_flow.results[SENT_ROUTE_BROKEN], 1);
}

static void an_address_that_is_none_fails(void **state)
{
    (void)state;
    struct outgoing *row = row_add(CLASS_WORRY, CHANNEL_MAIL, "mailto:duty@example.org\r\nRCPT TO:<x@example.org>", "alert");
    go();
    assert_int_equal(row->state, OUTGOING_FAILED);
    assert_int_equal(relay.commands, 0);
}

int main(void)
{
#define MAIL(test) cmocka_unit_test_setup_teardown(test, mail_open, mail_close)
    const struct CMUnitTest tests[] = {
        MAIL(an_alert_is_a_plain_mail_that_names_nobody_in_its_subject),
        MAIL(a_summary_has_its_page_attached),
        MAIL(each_reply_of_a_relay_has_its_meaning),
        MAIL(nothing_leaves_in_the_clear_for_another_machine),
        MAIL(an_address_that_is_none_fails),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
