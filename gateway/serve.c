/* quietarm serve: the daemon, in the foreground. Opens the rooms in order, waits for signals, closes them in order.
 *
 *     start: configuration → texts → flow (database) → sender → web, which says its ports
 *     stop:  web accepts nothing new → sender lets its sends end → flow answers what is queued → web closes
 *
 * What could not be sent stays in the outbox for the next start. A stop takes at most 10 seconds, whatever hangs; a
 * reload that finds a mistake leaves the old in force.
 */
#include <errno.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include "gateway/command.h"
#include "gateway/flow/flow.h"
#include "gateway/folder.h"
#include "gateway/report/report.h"
#include "gateway/send/send.h"
#include "gateway/version.h"
#include "gateway/web/web.h"

enum { STOP_SECONDS = 10, SENDS_END_MS = 6000, WHY_BYTES = 512 };
enum { DESCRIPTORS_BESIDE_CARRIER = 400 }; /* 240 lines in, the database's, mail and clinics, spare */

struct rooms {
    struct config config;
    struct texts *texts;
    struct flow *flow;
    struct sender *sender;
    struct web *web;
    struct summaries *summaries;
};

/* -- stopping ---------------------------------------------------------------------------------------------------------------- */

/* The last resort: everything that matters is in the database. */
static void stop_now(int signal_number)
{
    (void)signal_number;
    _exit(EXIT_DONE);
}

static void rooms_close(struct rooms *r)
{
    if (r->web)
        web_quiesce(r->web);
    if (r->sender)
        sender_stop(r->sender, SENDS_END_MS);
    if (r->flow)
        flow_stop(r->flow);
    web_close(r->web);
    sender_close(r->sender);
    summaries_close(r->summaries);
    flow_close(r->flow);
    texts_close(r->texts);
    config_close(&r->config);
}

static void rooms_stop(struct rooms *r)
{
    sigset_t alarm_only;
    struct sigaction last = {.sa_handler = stop_now};
    log_event(LOG_INFO, "stopping", "%s", "");
    sigaction(SIGALRM, &last, NULL);
    sigemptyset(&alarm_only);
    sigaddset(&alarm_only, SIGALRM);
    pthread_sigmask(SIG_UNBLOCK, &alarm_only, NULL);
    alarm(STOP_SECONDS - 1);
    rooms_close(r);
    alarm(0);
    log_event(LOG_INFO, "stopped", "%s", "");
}

/* -- starting ---------------------------------------------------------------------------------------------------------------- */

/* The clinic's own words, which flow_open reads too: asked first, since a mistake in them is one of usage. */
static int words_try(const struct config *config, char *why)
{
    struct parser *parser = NULL;
    int error = config->words[0] ? words_open(&parser, config->words, why, WHY_BYTES) : 0;
    if (!error)
        parser_close(parser);
    return error;
}

static void route_tell(void *flow, const char *words)
{
    flow_notice(flow, words);
}

/* libmicrohttpd turns in circles while there is no descriptor for a line that waits: so there are enough, or none begins. */
static int descriptors_ensure(const struct config *config, char *why)
{
    struct rlimit limit;
    rlim_t wanted = DESCRIPTORS_BESIDE_CARRIER + 2 * (rlim_t)config->outbound.in_flight;
    if (getrlimit(RLIMIT_NOFILE, &limit) < 0 || limit.rlim_cur >= wanted)
        return 0;
    snprintf(why, WHY_BYTES, "%llu descriptors are wanted and %llu allowed; raise the limit of open files (ulimit -n, LimitNOFILE)",
             (unsigned long long)wanted, (unsigned long long)limit.rlim_max);
    limit.rlim_cur = wanted;
    return wanted > limit.rlim_max ? -1 : setrlimit(RLIMIT_NOFILE, &limit);
}

static int rooms_open(struct rooms *r, char *why)
{
    if (descriptors_ensure(&r->config, why) < 0)
        return EXIT_WORLD;
    if (words_try(&r->config, why) < 0 || texts_load(&r->texts, r->config.texts, why, WHY_BYTES) < 0)
        return EXIT_USAGE;
    if (flow_open(&r->flow, &r->config, r->texts, why, WHY_BYTES) < 0 ||
        sender_open(&r->sender, &r->config, r->flow, why, WHY_BYTES) < 0)
        return EXIT_WORLD;
    flow_on_outbox(r->flow, sender_wake, r->sender);
    r->summaries = summaries_open(&r->config);
    if (!r->summaries || !pdf_font_present(why, WHY_BYTES))
        return EXIT_WORLD;
    sender_on_summary(r->sender, summary_render, r->summaries);
    flow_ask_sender(r->flow, sender_busy, r->sender);
    flow_on_trouble(r->flow, sender_tell, r->sender);
    sender_on_route(r->sender, route_tell, r->flow);
    snprintf(why, WHY_BYTES, "no thread is to be had; raise the limit of processes");
    if (flow_start(r->flow) < 0 || sender_start(r->sender) < 0 ||
        web_open(&r->web, &r->config, r->flow, r->sender, why, WHY_BYTES) < 0)
        return EXIT_WORLD;
    return EXIT_DONE;
}

/* -- reloading --------------------------------------------------------------------------------------------------------------- */

/* A log holds no whole number: of every seven digits in a row or more only the last three stay, as in log_number(). */
static void numbers_cut(const char *what, char *out, size_t size)
{
    size_t n = 0;
    while (*what && n + 1 < size) {
        size_t digits = strspn(what, "0123456789");
        if (digits >= 7)
            what += digits - 3;
        n += (size_t)snprintf(out + n, size - n, "%s%.*s", digits >= 7 ? "…" : "", digits ? digits >= 7 ? 3 : (int)digits : 1,
                              what);
        what += digits >= 7 ? 3 : digits ? digits : 1;
    }
}

static void mistake_log(void *context, const char *file, int line, const char *what)
{
    char cut[WHY_BYTES] = "", where[16] = "";
    (void)context;
    numbers_cut(what, cut, sizeof cut);
    if (line)
        snprintf(where, sizeof where, ":%d", line);
    log_event(LOG_ERROR, "configuration", "%s%s: %s", file, where, cut);
}

/* Texts, secrets and certificates, from files read anew; all or nothing. */
static void rooms_reload(struct rooms *r, const char *file)
{
    struct config fresh;
    struct texts *texts = NULL;
    char why[WHY_BYTES] = "";
    if (config_open(&fresh, file, true, mistake_log, NULL) != 0) {
        log_event(LOG_ERROR, "reload", "the old configuration stays in force");
        return;
    }
    if (texts_load(&texts, fresh.texts, why, sizeof why) < 0 ||
        web_reload(r->web, &fresh, why, sizeof why) < 0) {
        why[strcspn(why, "\n")] = '\0';
        log_event(LOG_ERROR, "reload", "%s: the old texts and secrets stay in force", why);
        texts_close(texts);
    } else {
        sender_reload(r->sender, &fresh);
        flow_use_texts(r->flow, texts);
        log_event(LOG_INFO, "reload", "texts, secrets and certificates are read anew");
    }
    config_close(&fresh);
}

static void signals_block(sigset_t *set)
{
    sigemptyset(set);
    sigaddset(set, SIGTERM);
    sigaddset(set, SIGINT);
    sigaddset(set, SIGHUP);
    sigaddset(set, SIGALRM);
    pthread_sigmask(SIG_BLOCK, set, NULL); /* before any thread begins: they inherit it */
    sigdelset(set, SIGALRM);
    signal(SIGPIPE, SIG_IGN);
}

static void signals_wait(const sigset_t *set, struct rooms *r, const char *file)
{
    int number = 0;
    while (number != SIGTERM && number != SIGINT)
        if (sigwait(set, &number) == 0 && number == SIGHUP)
            rooms_reload(r, file);
}

int serve_command(const struct invocation *in)
{
    struct rooms r = {0};
    sigset_t set;
    char why[WHY_BYTES] = "";
    int status = arguments_read(in, NULL, 0);
    signals_block(&set); /* at once: a reload that is asked for too early must not end the program */
    if (!status)
        status = command_config(in, true, &r.config);
    if (status)
        return status;
    umask(077);
    log_event(LOG_INFO, "starting", "version=%s clock=%s clinics=%zu", QUIETARM_VERSION,
              r.config.stepped ? "stepped" : "system", r.config.n_clinics);
    status = rooms_open(&r, why);
    if (status) {
        why[strcspn(why, "\n")] = '\0'; /* the first mistake; check tells all */
        command_fail(in, status, "%s", why);
        rooms_close(&r);
        return status;
    }
    signals_wait(&set, &r, in->config_file);
    rooms_stop(&r);
    return EXIT_DONE;
}
