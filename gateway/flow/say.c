/* Puts words to what care wants said: fills body, sender and segments of every outgoing row of a list of effects.
 *
 * Texts are fixed here, at queueing: what is stored is what will be sent. Summaries have no words here; the sender's side
 * renders them from (week, version).
 */
#include "gateway/flow/inside.h"

#include <stdio.h>
#include <string.h>

static void say_one(const struct config *config, const struct texts *texts, struct outgoing *o)
{
    const struct clinic *clinic = config_clinic(config, o->clinic);
    if (!clinic)
        return;
    if (!o->body[0] && o->saying.n_parts)
        texts_say(texts, &o->saying, clinic, o->saying.language[0] ? o->saying.language : clinic->language, o->body,
                  sizeof o->body);
    if (o->channel == CHANNEL_TEXT) {
        snprintf(o->from, sizeof o->from, "%s", clinic->text_number);
        o->segments = (int16_t)gsm_segments(o->body);
    }
}

int effects_say(const struct config *config, const struct texts *texts, struct effects *e)
{
    for (size_t i = 0; i < e->n; i++)
        if (e->at[i].kind == EFFECT_SEND)
            say_one(config, texts, e->at[i].send);
    return 0;
}
