/* Problem: the errors of this room as RFC 9457 problem JSON.
 *
 * The type is "about:blank", so the title is the status' own phrase (RFC 9457 section 4.2.1). A detail says what to do
 * about it; it never repeats what the request said. 150 bytes each.
 */
#include <jansson.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "gateway/web/room.h"

static char *problem_json(unsigned status, const char *detail)
{
    json_t *problem = json_pack("{s:s, s:s, s:i, s:s}", "type", "about:blank", "title", MHD_get_reason_phrase_for(status),
                                "status", (int)status, "detail", detail);
    char *text = problem ? json_dumps(problem, JSON_COMPACT | JSON_PRESERVE_ORDER) : NULL;
    json_decref(problem);
    return text;
}

void request_problem(struct request *r, unsigned status, const char *detail)
{
    char *text = problem_json(status, detail);
    request_answer(r, status, text ? "application/problem+json" : NULL, text ? text : "", text ? strlen(text) : 0);
    free(text);
}

void request_unstored(struct request *r)
{
    char seconds[16];
    snprintf(seconds, sizeof seconds, "%d", RETRY_SECONDS);
    request_problem(r, MHD_HTTP_SERVICE_UNAVAILABLE, "It cannot be stored at the moment; send the same request again.");
    request_answer_header(r, MHD_HTTP_HEADER_RETRY_AFTER, seconds);
}
