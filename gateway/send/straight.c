/* Straight: what must be told although the database fails. Rows that exist in memory alone, tried once.
 *
 * For notices to `ops_to` only: nothing about a patient may go this way, since nothing remembers that it went.
 */
#include "gateway/send/inside.h"

#include <stdlib.h>
#include <string.h>

void sender_tell(void *sender, const char *body)
{
    struct sender *s = sender;
    char *copy = strdup(body);
    if (!copy)
        return;
    pthread_mutex_lock(&s->lock);
    free(s->told);
    s->told = copy;
    pthread_mutex_unlock(&s->lock);
    curl_multi_wakeup(s->multi);
}

void straight_begin(struct sender *s)
{
    struct outgoing row;
    pthread_mutex_lock(&s->lock);
    char *body = s->told;
    s->told = NULL;
    pthread_mutex_unlock(&s->lock);
    for (size_t i = 0; body && notice_row(s->config, i, body, clock_now(), &row); i++) {
        snprintf(row.key, sizeof row.key, "now-%lld-%zu", (long long)clock_wall_ms(), i);
        struct route *r = route_of(s, &row);
        struct attempt *a = r ? attempt_new(s, r, &row) : NULL;
        if (!a)
            break;
        a->straight = true;
        sender_begin(s, a);
    }
    free(body);
}

void sender_on_route(struct sender *s, void (*say)(void *context, const char *words), void *context)
{
    s->say_route = say;
    s->route_context = context;
}
