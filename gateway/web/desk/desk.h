/* The desk: the pages that care coordinators work with, under /desk, for gateway/web.
 *
 * A page is made by a thread of the desk's own, from a connection of its own that only reads; the listener's thread hands
 * the request over and sends the answer. Every change is a job of the one writer.
 */
#ifndef QUIETARM_DESK_H
#define QUIETARM_DESK_H

struct desk;
struct web;
struct request;
struct job;

int pages_open(struct desk **out, struct web *w); /* starts its threads; opens no database yet. 0, or -1 */
void pages_stop(struct desk *d);  /* ends its threads; what is asked from then on is answered 503. Takes NULL */
void pages_close(struct desk *d); /* after pages_stop. Takes NULL */
void desk_handle(struct request *r);
/* Has a JOB_CALL made by one of the threads that make pages, in a snapshot of its own; then `finish` answers. */
void desk_lend(struct request *r, struct job *job, void (*finish)(struct request *r));

#endif
