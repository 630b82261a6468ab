/* Sent: when a carrier says that a text was sent. It must never let a wrong clock there put a reading on a wrong day. */
#include <string.h>

#include "gateway/web/fields.h"

enum { SENT_OLDEST = 48 * 3600 };
#define MILLISECONDS_FROM INT64_C(100000000000) /* as seconds: the year 5138 */

/* Whole seconds or milliseconds, a fraction dropped. */
static bool epoch_read(const char *text, int64_t *instant)
{
    char whole[24];
    size_t n = strspn(text, "0123456789");
    if (!n || n >= sizeof whole || (text[n] && (text[n] != '.' || text[n + 1 + strspn(text + n + 1, "0123456789")])))
        return false;
    memcpy(whole, text, n);
    whole[n] = '\0';
    if (!whole_read(whole, 0, INT64_MAX, instant))
        return false;
    if (*instant > MILLISECONDS_FROM)
        *instant /= 1000;
    return true;
}

int64_t sent_read(const char *text, int64_t now)
{
    int64_t instant;
    if (!epoch_read(text, &instant) && !time_read(text, &instant))
        return INSTANT_NONE;
    return instant > now || instant < now - SENT_OLDEST ? INSTANT_NONE : instant;
}
