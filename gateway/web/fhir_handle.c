/* The way of a FHIR request: whose token it is, what it asks, to a thread that may read, and the answer.
 *
 * A token opens one clinic and nothing else; which one is told by no answer and no log line. Tokens are compared in constant
 * time. Every answer, errors too, is application/fhir+json.
 */
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/json_memory.h"
#include "gateway/web/auth.h"
#include "gateway/web/desk/desk.h"
#include "gateway/web/fhir.h"
#include "gateway/web/fields.h"
#include "gateway/web/room.h"

enum { PAIR_BYTES = 4096 };

static const char type[] = "application/fhir+json; charset=utf-8";
static const char prefix[] = "/fhir";

/* What goes to the reading thread and comes back. */
struct errand {
    struct fhir_ask ask;
    struct fhir_answer answer;
    int error; /* of the store */
};

/* -- answering -------------------------------------------------------------------------------------------------------------- */

static void answer_send(struct request *r, const struct fhir_answer *a)
{
    char *text = a->body ? json_dumps(a->body, JSON_COMPACT) : NULL;
    if (text)
        request_answer(r, a->status, type, text, strlen(text));
    else
        request_unstored(r);
    free(text);
}

static void refuse(struct request *r, unsigned status, const char *code, const char *diagnostics)
{
    struct fhir_answer a;
    fhir_fail(&a, status, code, diagnostics);
    answer_send(r, &a);
    json_decref(a.body);
}

static void unread(struct request *r)
{
    char seconds[16];
    refuse(r, MHD_HTTP_SERVICE_UNAVAILABLE, "transient", "it cannot be read at the moment; ask again");
    snprintf(seconds, sizeof seconds, "%d", RETRY_SECONDS);
    request_answer_header(r, MHD_HTTP_HEADER_RETRY_AFTER, seconds);
}

static void errand_finish(struct request *r)
{
    const struct errand *e = r->job && r->job->result == JOB_STORED ? r->job->call.what : NULL;
    if (e && !e->error && e->answer.body)
        answer_send(r, &e->answer);
    else
        unread(r);
}

/* -- on the reading thread -------------------------------------------------------------------------------------------------- */

static int errand_run(struct db *db, int64_t now, void *what)
{
    struct errand *e = what;
    e->ask.now = now;
    json_starved(); /* of something before */
    e->error = fhir_answer(db, &e->ask, &e->answer);
    if (!e->error && json_starved())
        e->error = STORE_MEMORY;
    return 0;
}

static void errand_forget(void *what)
{
    struct errand *e = what;
    json_decref(e->answer.body);
    free(e);
}

/* -- asking ------------------------------------------------------------------------------------------------------------------- */

/* The clinic of the token; NULL. Looks at every clinic, whichever it is. */
static const struct clinic *token_clinic(struct request *r)
{
    const struct config *c = r->web->config;
    const struct clinic *found = NULL;
    struct credentials given = {.value = request_header(r, MHD_HTTP_HEADER_AUTHORIZATION)};
    pthread_mutex_lock(&r->web->secrets);
    for (size_t i = 0; i < c->n_clinics && r->web->fhir_tokens; i++) {
        struct auth own = {.kind = AUTH_BEARER, .secret_size = strlen(r->web->fhir_tokens[i])};
        memcpy(own.secret, r->web->fhir_tokens[i], own.secret_size);
        if (auth_accepts(&own, &given) && !found)
            found = &c->clinics[i];
        sodium_memzero(&own, sizeof own);
    }
    pthread_mutex_unlock(&r->web->secrets);
    return found;
}

/* libmicrohttpd has taken the query apart; names and values are still escaped. */
static enum MHD_Result parameter_add(void *context, enum MHD_ValueKind kind, const char *key, const char *value)
{
    struct fhir_ask *ask = context;
    struct buffer pair, name, plain;
    (void)kind;
    buffer_init(&pair, PAIR_BYTES);
    buffer_init(&name, PAIR_BYTES);
    buffer_init(&plain, 3 * PAIR_BYTES);
    buffer_print(&pair, "%s=%s", key, value ? value : "");
    const char *at = pair.at;
    bool whole = !pair.failed && form_next(&at, pair.at + pair.n, &name, &plain);
    int i = ask->n_parameters;
    whole = whole && i < FHIR_PARAMETERS_MAX && name.n < sizeof ask->parameters[i].name && plain.n < FHIR_VALUE_MAX;
    if (whole) {
        snprintf(ask->parameters[i].name, sizeof ask->parameters[i].name, "%s", name.at ? name.at : "");
        snprintf(ask->parameters[i].value, FHIR_VALUE_MAX, "%s", plain.at ? plain.at : "");
        ask->n_parameters++;
    }
    ask->too_many = ask->too_many || !whole;
    buffer_clear(&pair);
    buffer_clear(&name);
    buffer_clear(&plain);
    return MHD_YES;
}

static struct errand *errand_new(struct request *r, const struct clinic *clinic)
{
    struct errand *e = calloc(1, sizeof *e);
    if (!e)
        return NULL;
    e->ask.config = r->web->config;
    e->ask.clinic = clinic;
    const char *path = r->path + sizeof prefix - 1;
    snprintf(e->ask.path, sizeof e->ask.path, "%s", strlen(path) < sizeof e->ask.path ? path : "");
    MHD_get_connection_values(r->connection, MHD_GET_ARGUMENT_KIND, parameter_add, &e->ask);
    return e;
}

static void errand_send(struct request *r, const struct clinic *clinic)
{
    struct errand *e = errand_new(r, clinic);
    struct job *job = e ? request_job(r, JOB_CALL) : NULL;
    if (!job) {
        free(e);
        if (!e)
            unread(r);
        return;
    }
    job->call.call = errand_run;
    job->call.what = e;
    job->call.forget = errand_forget;
    desk_lend(r, job, errand_finish);
}

void fhir_handle(struct request *r)
{
    const struct clinic *clinic = token_clinic(r);
    if (!clinic) {
        log_event(LOG_WARNING, "fhir_refused", "%s", "status=401");
        refuse(r, MHD_HTTP_UNAUTHORIZED, "login", "send the clinic's bearer token in Authorization");
        request_answer_header(r, MHD_HTTP_HEADER_WWW_AUTHENTICATE, "Bearer realm=\"quietarm\"");
    } else if (r->method != METHOD_GET) {
        refuse(r, MHD_HTTP_METHOD_NOT_ALLOWED, "not-supported", "this endpoint is read only");
        request_answer_header(r, MHD_HTTP_HEADER_ALLOW, methods_text(METHOD_GET));
    } else {
        errand_send(r, clinic);
    }
}
