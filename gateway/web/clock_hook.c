/* Clock hook: POST /clock moves a stepped clock, one move at a time, and answers when all that was due is done.
 *
 * It does not exist with the system's clock. It must never move time backwards. A move may take as long as it takes.
 */
#include <errno.h>
#include <jansson.h>
#include <string.h>

#include "gateway/web/fields.h"
#include "gateway/web/room.h"

#define LATEST_INSTANT INT64_C(253402300799) /* 9999-12-31T23:59:59Z */

static void clock_finish(struct request *r)
{
    char now[TIME_TEXT], body[TIME_TEXT + 16];
    r->web->clock_moves = false;
    if (!r->job || r->job->result != JOB_STORED) {
        request_unstored(r);
        return;
    }
    time_utc(r->job->clock.reached, now);
    int n = snprintf(body, sizeof body, "{\"now\":\"%s\"}", now);
    request_answer(r, MHD_HTTP_OK, "application/json", body, (size_t)n);
}

static bool members_known(json_t *asked)
{
    const char *name;
    json_t *value;
    json_object_foreach(asked, name, value)
        if (strcmp(name, "advance_s") && strcmp(name, "to") && strcmp(name, "jump"))
            return false;
    return json_is_object(asked);
}

/* Where to; says what is wrong, or NULL. */
static const char *move_read(json_t *asked, int64_t now, int64_t *to, bool *jump)
{
    const json_t *seconds = json_object_get(asked, "advance_s"), *instant = json_object_get(asked, "to");
    const json_t *jumps = json_object_get(asked, "jump");
    if (!members_known(asked) || !seconds == !instant)
        return "Send {\"advance_s\":N} or {\"to\":\"…Z\"}, and \"jump\":true if the machine was off.";
    if (jumps && !json_is_boolean(jumps))
        return "\"jump\" is true or false.";
    *jump = json_is_true(jumps);
    if (seconds) {
        int64_t n = json_is_integer(seconds) ? json_integer_value(seconds) : -1;
        *to = n >= 0 && n <= LATEST_INSTANT - now ? now + n : INSTANT_NONE;
        return *to == INSTANT_NONE ? "\"advance_s\" is a whole number of seconds, 0 or more." : NULL;
    }
    if (!json_is_string(instant) || !time_read(json_string_value(instant), to) || *to > LATEST_INSTANT)
        return "\"to\" is an RFC 3339 time.";
    return *to < now ? "\"to\" is past: time does not go back." : NULL;
}

void clock_handle(struct request *r)
{
    int64_t to = INSTANT_NONE;
    bool jump = false;
    json_t *asked = r->body.n ? json_read(r->body.at, r->body.n) : NULL;
    bool starved = r->body.n && !asked && errno == ENOMEM;
    const char *why = starved ? NULL : move_read(asked, clock_now(), &to, &jump);
    json_decref(asked);
    if (starved) {
        request_unstored(r);
        return;
    }
    if (why) {
        request_problem(r, MHD_HTTP_BAD_REQUEST, why);
        return;
    }
    bool still = false;
    if (!atomic_compare_exchange_strong(&r->web->clock_moves, &still, true)) {
        request_problem(r, MHD_HTTP_CONFLICT, "The clock is moving; ask again when that is answered.");
        return;
    }
    struct job *job = request_job(r, JOB_CLOCK);
    if (!job) {
        r->web->clock_moves = false;
        return;
    }
    job->clock.to = to;
    job->clock.jump = jump;
    request_wait(r, job, clock_finish);
}
