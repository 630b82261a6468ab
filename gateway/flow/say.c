/* Puts words to what care wants said: fills body, sender and segments of every outgoing row of a list of effects.
 *
 * Texts are fixed here, at queueing: what is stored is what will be sent. Summaries have no words here; the sender's side
 * renders them from (week, version).
 */
#include "gateway/flow/inside.h"

#include <stdio.h>
#include <string.h>

/* Asked whose a text is, behind a worry too: nobody's name may stand in front of it. */
static bool says_whose(const struct saying *s)
{
    for (uint8_t i = 0; i < s->n_parts; i++)
        if (s->parts[i] == TEXT_WHOSE)
            return true;
    return false;
}

/* Two who share a phone are told whose answer it is; what is about all of them, or goes to staff, has no tag in front. */
static bool wants_tag(const struct outgoing *o)
{
    unsigned kind = o->saying.parts[0];
    const char *name = text_kind_name(kind);
    return o->tag[0] && name && strncmp(name, "s_", 2) != 0 && kind != TEXT_STOPPED_SHARED && kind != TEXT_HELP &&
           !says_whose(&o->saying);
}

static void say_one(const struct config *config, const struct texts *texts, struct outgoing *o)
{
    const struct clinic *clinic = config_clinic(config, o->clinic);
    if (!clinic)
        return;
    if (!o->body[0] && o->saying.n_parts) {
        size_t n = wants_tag(o) ? (size_t)snprintf(o->body, sizeof o->body, "%s: ", o->tag) : 0;
        texts_say(texts, &o->saying, clinic, o->saying.language[0] ? o->saying.language : clinic->language, o->body + n,
                  sizeof o->body - n);
    }
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
