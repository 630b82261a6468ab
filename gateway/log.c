/* The log: one line an event on standard error, written whole by one write().
 *
 * It never carries a text, a name, a whole phone number or a header value: callers give ids, counts and log_number().
 * A line has at most 1,000 bytes; control characters in it become blanks, so that no value can begin a line of its own.
 */
#include "gateway/base.h"

#include <stdatomic.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

enum { LINE_BYTES = 1000, NUMBER_RING = 8, NUMBER_BYTES = 8 };

static _Atomic int least_level = LOG_INFO;

void log_level_set(enum log_level least)
{
    least_level = least;
}

static void line_write(const char *line, size_t n)
{
    while (n) {
        ssize_t done = write(STDERR_FILENO, line, n);
        if (done <= 0)
            return; /* nowhere to say it */
        line += done;
        n -= (size_t)done;
    }
}

void log_event(enum log_level level, const char *event, const char *format, ...)
{
    static const char *const names[] = {"debug", "info", "warning", "error"};
    char line[LINE_BYTES + 2], when[TIME_TEXT];
    if ((int)level < least_level)
        return;
    time_utc(clock_real_now(), when);
    int n = snprintf(line, LINE_BYTES, "%s %s %s", when, names[level], event);
    if (n >= LINE_BYTES)
        n = LINE_BYTES - 1;
    if (*format && n < LINE_BYTES - 1) {
        va_list args;
        line[n++] = ' ';
        va_start(args, format);
        int more = vsnprintf(line + n, (size_t)(LINE_BYTES - n), format, args);
        va_end(args);
        n += more < 0 ? 0 : more < LINE_BYTES - n ? more : LINE_BYTES - n - 1;
    }
    for (int i = 0; i < n; i++)
        if ((unsigned char)line[i] < ' ' || line[i] == 0x7f)
            line[i] = ' ';
    while (n && line[n - 1] == ' ')
        n--;
    line[n++] = '\n';
    line_write(line, (size_t)n);
}

/* Some calls on one line each keep their own answer. */
const char *log_number(const char *phone)
{
    static _Thread_local char ring[NUMBER_RING][NUMBER_BYTES];
    static _Thread_local unsigned next;
    char *out = ring[next++ % NUMBER_RING];
    char digits[4] = "";
    size_t n = 0;
    for (size_t i = strlen(phone); i > 0 && n < 3; i--)
        if (phone[i - 1] >= '0' && phone[i - 1] <= '9')
            digits[2 - n++] = phone[i - 1];
    snprintf(out, NUMBER_BYTES, "…%.*s", (int)n, digits + (3 - n));
    return out;
}
