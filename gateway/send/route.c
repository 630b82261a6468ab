/* Routes: the carrier, the mail relay, each target by itself; whole or broken.
 *
 *     whole → broken   [route_judge: refused by login, address or trust]
 *     broken → whole   [route_judge: anything that shows the far side at work: sent, or a refusal of that text alone]
 *
 * A broken route is told once and probed once a minute; nothing on it is given up. One text that a working route refuses
 * for itself (an unknown recipient answered with 404, say) must not stand in the way of all others: refused again after the
 * route has worked, it is only put off. A handful of routes.
 */
#include "gateway/send/inside.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

int url_allowed(const char *url, bool *loopback)
{
    char *scheme = NULL, *host = NULL;
    int allowed = 0;
    CURLU *u = curl_url();
    CURLUcode bad = u ? curl_url_set(u, CURLUPART_URL, url, 0) : CURLUE_OUT_OF_MEMORY;
    bad = bad ? bad : curl_url_get(u, CURLUPART_SCHEME, &scheme, 0);
    bad = bad ? bad : curl_url_get(u, CURLUPART_HOST, &host, 0);
    *loopback = false;
    if (bad == CURLUE_OUT_OF_MEMORY) {
        allowed = -1;
    } else if (!bad) {
        *loopback = !strcasecmp(host, "localhost") || !strcmp(host, "[::1]") ||
                    (!strncmp(host, "127.", 4) && strspn(host, "0123456789.") == strlen(host));
        allowed = !strcmp(scheme, "https") || !strcmp(scheme, "smtps") || !strcmp(scheme, "smtp") ||
                  (!strcmp(scheme, "http") && *loopback);
    }
    curl_free(scheme);
    curl_free(host);
    curl_url_cleanup(u);
    return allowed;
}

/* "http://host" of a URL: the rest of it may hold a secret. */
static void name_of_url(const char *url, char *name, size_t size)
{
    const char *host = strstr(url, "://");
    host = host ? host + 3 : url;
    size_t n = strcspn(host, "/?#");
    const char *at = memchr(host, '@', n);
    if (at) {
        n -= (size_t)(at + 1 - host);
        host = at + 1;
    }
    snprintf(name, size, "%.*s://%.*s", (int)strcspn(url, ":"), url, (int)n, host);
}

static bool route_keep(struct sender *s, struct route *r)
{
    pthread_mutex_lock(&s->lock); /* sender_reload walks the list from another thread */
    struct route **longer = realloc(s->routes, (s->n_routes + 1) * sizeof *longer);
    if (longer) {
        s->routes = longer;
        s->routes[s->n_routes++] = r;
    }
    pthread_mutex_unlock(&s->lock);
    return longer;
}

static struct route *route_add(struct sender *s, enum channel channel, const char *to)
{
    struct route *r = calloc(1, sizeof *r);
    if (!r || !route_keep(s, r)) {
        free(r);
        return NULL;
    }
    *r = (struct route){.channel = channel, .most = 1};
    snprintf(r->to, sizeof r->to, "%s", to);
    r->url = r->to;
    if (!strncmp(to, "target:", 7))
        r->target = config_target(s->config, to + 7);
    if (r->target)
        r->url = r->target->url;
    if (strstr(to, "://"))
        name_of_url(to, r->name, sizeof r->name);
    else
        snprintf(r->name, sizeof r->name, "%.63s", to);
    return r;
}

int routes_open(struct sender *s)
{
    struct route *carrier = route_add(s, CHANNEL_TEXT, ""), *relay = carrier ? route_add(s, CHANNEL_MAIL, "") : NULL;
    if (!relay)
        return -1;
    snprintf(carrier->name, sizeof carrier->name, "carrier");
    carrier->url = s->config->outbound.url;
    carrier->most = s->config->outbound.in_flight > 0 ? s->config->outbound.in_flight : 1;
    snprintf(relay->name, sizeof relay->name, "mail");
    relay->url = s->config->mail.url;
    relay->most = MAILS_AT_ONCE;
    for (size_t i = 0; i < s->config->n_targets; i++) { /* at once, so that secrets have their place */
        char to[TARGET_MAX];
        snprintf(to, sizeof to, "target:%s", s->config->targets[i].name);
        if (!route_add(s, CHANNEL_HTTP, to))
            return -1;
    }
    route_secrets(s, s->config);
    return 0;
}

void routes_close(struct sender *s)
{
    for (size_t i = 0; i < s->n_routes; i++) {
        explicit_bzero(s->routes[i]->secret, sizeof s->routes[i]->secret);
        free(s->routes[i]);
    }
    free(s->routes);
}

void route_secrets(struct sender *s, const struct config *config)
{
    memcpy(s->routes[0]->secret, config->outbound.secret, sizeof config->outbound.secret);
    memcpy(s->routes[1]->secret, config->mail.secret, sizeof config->mail.secret);
    for (size_t i = 2; i < 2 + s->config->n_targets; i++) {
        const struct target_config *t = config_target(config, s->routes[i]->to + 7);
        if (t)
            memcpy(s->routes[i]->secret, t->secret, sizeof t->secret);
    }
}

struct route *route_of(struct sender *s, const struct outgoing *row)
{
    if (row->channel == CHANNEL_TEXT)
        return s->routes[0];
    if (row->channel == CHANNEL_MAIL)
        return s->routes[1];
    for (size_t i = 2; i < s->n_routes; i++)
        if (s->routes[i]->channel == row->channel && !strcmp(s->routes[i]->to, row->to))
            return s->routes[i];
    return route_add(s, row->channel, row->to);
}

bool route_refused(const struct route *r, int64_t row)
{
    for (unsigned i = 0; i < REFUSED_KEPT; i++)
        if (r->refused[i].row == row)
            return true;
    return false;
}

/* A probe that lies more than its wait ahead was set by a clock that has gone back since: it is due. */
bool route_closed(const struct route *r, int64_t now)
{
    return r->broken && (r->in_flight || (now < r->probe_at && r->probe_at - now <= PROBE_EVERY));
}

/* `ops_to` is told, in words without an address: that may hold a secret. */
static void route_say(struct sender *s, const struct route *r, const char *how)
{
    char words[160];
    if (!s->say_route)
        return;
    snprintf(words, sizeof words, "%.40s %.100s", r->name, how);
    s->say_route(s->route_context, words);
}

static void route_mend(struct sender *s, struct route *r)
{
    for (unsigned i = 0; i < REFUSED_KEPT; i++)
        r->refused[i].well_since = true;
    if (r->broken)
        log_event(LOG_INFO, "route_whole", "route=%s", r->name);
    if (r->broken)
        route_say(s, r, "works again");
    r->broken = false;
}

static void route_break(struct route *r, const struct attempt *a, int64_t now)
{
    if (!r->broken)
        log_event(LOG_ERROR, "route_broken", "route=%s row=%lld why=%s", r->name, (long long)a->row.id, a->job.sent.reason);
    if (!r->broken)
        route_say(a->sender, r, "is refused, nothing gets through");
    r->broken = true;
    r->probe_at = now + PROBE_EVERY;
    if (route_refused(r, a->row.id))
        return;
    r->refused[r->next_refused % REFUSED_KEPT].row = a->row.id;
    r->refused[r->next_refused++ % REFUSED_KEPT].well_since = false;
}

/* Whether this row was refused before and the route has worked since. If nothing works until its next attempt, it is the
 * route after all. */
static bool rows_own_trouble(struct route *r, int64_t row)
{
    for (unsigned i = 0; i < REFUSED_KEPT; i++)
        if (r->refused[i].row == row && r->refused[i].well_since && !r->broken) {
            r->refused[i].well_since = false;
            return true;
        }
    return false;
}

void route_judge(struct attempt *a, int64_t now)
{
    struct route *r = a->route;
    enum sent_result result = a->job.sent.result;
    if (result == SENT_OK || result == SENT_PERMANENT)
        route_mend(a->sender, r);
    else if (result == SENT_PASSING && r->broken)
        r->probe_at = now + PROBE_EVERY;
    else if (result == SENT_ROUTE_BROKEN && rows_own_trouble(r, a->row.id))
        a->job.sent.result = SENT_PASSING;
    else if (result == SENT_ROUTE_BROKEN)
        route_break(r, a, now);
}
