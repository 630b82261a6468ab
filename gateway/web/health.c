/* Health: whether the process answers (/healthz), and whether it can store texts (/readyz).
 *
 * Ready means: the last commit succeeded and no job has waited for more than ten seconds.
 */
#include "gateway/web/room.h"

enum { QUEUE_OLD_MS = 10 * 1000 };

void health_handle(struct request *r)
{
    request_answer(r, MHD_HTTP_OK, "text/plain; charset=utf-8", "ok", 2);
}

void ready_handle(struct request *r)
{
    struct flow_figures f;
    flow_figures(r->web->flow, &f);
    if (f.failing)
        request_problem(r, MHD_HTTP_SERVICE_UNAVAILABLE, "The database does not commit.");
    else if (f.queue > 0 && f.oldest_queued_ms > QUEUE_OLD_MS)
        request_problem(r, MHD_HTTP_SERVICE_UNAVAILABLE, "The queue of the writer does not move.");
    else
        request_answer(r, MHD_HTTP_OK, "text/plain; charset=utf-8", "ready", 5);
}
