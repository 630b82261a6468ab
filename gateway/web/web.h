/* Web: the two listeners. The hook (inbound texts, receipts, health, metrics, /clock) and the desk (pages, FHIR), each with
 * its own thread and at most 120 connections.
 *
 * A request that must be stored is suspended, handed to the writer as a job, and resumed when it is durable.
 */
#ifndef QUIETARM_WEB_H
#define QUIETARM_WEB_H

#include "gateway/flow/flow.h"
#include "gateway/send/send.h"

struct web;

/* Whether the certificate and its key, if there are to be any, can be used. 0, or -1 with "FILE: what" in `why`. Opens nothing. */
int web_check(const struct config *config, char *why, size_t why_size);
/* Binds both listeners and logs "listening port=N" and "desk port=N". 0, or -1 with one line in `why`. */
int web_open(struct web **out, const struct config *config, struct flow *flow, struct sender *sender, char *why,
             size_t why_size);
/* Takes the secrets of the hook and of receipts, and the certificate, from a configuration read anew (borrowed for the
 * call only). -1 with one line in `why`: what cannot be used, and the old stay in force, all of them. */
int web_reload(struct web *w, const struct config *fresh, char *why, size_t why_size);
/* Accepts nothing new; requests that wait for the writer are still answered. */
void web_quiesce(struct web *w);
void web_close(struct web *w); /* takes NULL; after flow_stop, so that nothing is suspended */

#endif
