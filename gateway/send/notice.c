/* A notice to whoever runs the gateway as a row of the outbox: by what channel each of `ops_to` is reached. */
#include <stdio.h>
#include <string.h>

#include "gateway/send/send.h"

bool notice_row(const struct config *config, size_t i, const char *body, int64_t now, struct outgoing *o)
{
    static const struct {
        const char *prefix;
        enum channel channel;
    } forms[] = {{"mailto:", CHANNEL_MAIL}, {"http://", CHANNEL_HTTP}, {"https://", CHANNEL_HTTP}, {"target:", CHANNEL_HTTP},
                 {"dir:", CHANNEL_FOLDER},  {"+", CHANNEL_TEXT}};
    if (i >= OPS_MAX || !config->ops_to[i][0])
        return false;
    *o = (struct outgoing){.class_ = CLASS_REPLY, .kind = TEXT_S_OPERATIONS, .created = now, .due = now,
                           .expires = INSTANT_NONE, .sent_at = INSTANT_NONE, .delivered_at = INSTANT_NONE};
    for (size_t k = 0; k < sizeof forms / sizeof *forms; k++)
        if (strncmp(config->ops_to[i], forms[k].prefix, strlen(forms[k].prefix)) == 0)
            o->channel = forms[k].channel;
    snprintf(o->to, sizeof o->to, "%s", config->ops_to[i]);
    snprintf(o->body, sizeof o->body, "%s", body);
    if (o->channel == CHANNEL_TEXT) {
        snprintf(o->from, sizeof o->from, "%s", config->clinics[0].text_number);
        o->segments = (int16_t)gsm_segments(o->body);
    }
    return true;
}
