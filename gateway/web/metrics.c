/* Metrics: counts and ages in the Prometheus text format 0.0.4, no identity of anybody.
 *
 * One row of a table is one metric. 2 KB, made in 10 µs.
 */
#include "gateway/web/room.h"

static void metric_head(struct buffer *b, const char *name, const char *type, const char *help)
{
    buffer_print(b, "# HELP quietarm_%s %s\n# TYPE quietarm_%s %s\n", name, help, name, type);
}

static void metric(struct buffer *b, const char *name, const char *type, const char *help, double value)
{
    metric_head(b, name, type, help);
    buffer_print(b, "quietarm_%s %.15g\n", name, value);
}

static void flow_metrics(struct buffer *b, const struct flow_figures *f)
{
    const struct {
        const char *name, *type, *help;
        double value;
    } rows[] = {
        {"texts_total", "counter", "Inbound texts stored.", (double)f->texts},
        {"repeats_total", "counter", "Inbound texts whose id was known.", (double)f->repeats},
        {"batches_total", "counter", "Transactions committed by the writer.", (double)f->batches},
        {"jobs_total", "counter", "Jobs done by the writer.", (double)f->jobs},
        {"failures_total", "counter", "Jobs that could not be stored.", (double)f->failures},
        {"looks_total", "counter", "Looks at a patient that were due.", (double)f->looks},
        {"queue", "gauge", "Jobs that wait for the writer.", (double)f->queue},
        {"queue_age_seconds", "gauge", "How long the oldest of them has waited.", (double)f->oldest_queued_ms / 1000},
        {"commit_failing", "gauge", "1 when the last commit failed.", f->failing},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        metric(b, rows[i].name, rows[i].type, rows[i].help, rows[i].value);
    if (f->last_commit_ms)
        metric(b, "commit_age_seconds", "gauge", "Since the last commit.",
               (double)(clock_real_ms() - f->last_commit_ms) / 1000);
}

static void sender_metrics(struct buffer *b, const struct sender_figures *s)
{
    metric(b, "attempts_total", "counter", "Outbound attempts.", (double)s->attempts);
    metric(b, "sent_total", "counter", "Outbound attempts that were taken.", (double)s->sent);
    metric(b, "send_failures_total", "counter", "Outbound attempts that failed.", (double)s->failed);
    metric(b, "in_flight", "gauge", "Outbound attempts under way.", s->in_flight);
    metric(b, "route_broken", "gauge", "1 while the carrier's route is broken.", s->route_broken);
}

static void web_metrics(struct buffer *b, struct web *w)
{
    static const char *const names[] = {[LISTENER_HOOK] = "hook", [LISTENER_DESK] = "desk"};
    metric_head(b, "http_answers_total", "counter", "HTTP answers by listener and class of status.");
    for (int l = 0; l < LISTENER_COUNT; l++)
        for (int c = 2; c < STATUS_CLASSES; c++)
            buffer_print(b, "quietarm_http_answers_total{listener=\"%s\",class=\"%dxx\"} %lld\n", names[l], c,
                         w->answers[l][c]);
    metric(b, "http_cut_total", "counter", "Connections cut for being slower than their budget.", (double)w->cut);
    metric(b, "http_slow_total", "counter", "Requests that waited too long for the writer.", (double)w->slow);
    metric(b, "http_connections", "gauge", "Open connections, both listeners.", (double)w->open_visits);
}

void metrics_handle(struct request *r)
{
    struct flow_figures flow;
    struct sender_figures sender;
    struct buffer b;
    buffer_init(&b, ANSWER_BYTES);
    flow_figures(r->web->flow, &flow);
    flow_metrics(&b, &flow);
    if (r->web->sender) {
        sender_figures(r->web->sender, &sender);
        sender_metrics(&b, &sender);
    }
    web_metrics(&b, r->web);
    if (b.failed)
        request_unstored(r);
    else
        request_answer(r, MHD_HTTP_OK, "text/plain; version=0.0.4; charset=utf-8", b.at, b.n);
    buffer_clear(&b);
}
