/* The headers of a mail by RFC 5322; its body is put together by libcurl's MIME (RFC 2045).
 *
 * No value can add a header: addresses are checked, a subject that is not printable ASCII becomes an encoded word. One
 * mail a recipient, because one refused recipient fails the whole mail. Pure.
 */
#include "gateway/send/parts.h"

#include <stdlib.h>
#include <string.h>
#include "gateway/care/civil.h"

bool mail_address(const char *address)
{
    const char *at = strchr(address, '@');
    if (!at || at == address || !at[1] || strchr(at + 1, '@') || strlen(address) > 253)
        return false;
    for (const unsigned char *s = (const unsigned char *)address; *s; s++)
        if (*s <= 0x20 || *s >= 0x7f || strchr("<>()[]\",;:\\", *s))
            return false;
    return true;
}

static bool printable(const char *text)
{
    for (const unsigned char *s = (const unsigned char *)text; *s; s++)
        if (*s < 0x20 || *s >= 0x7f)
            return false;
    return strlen(text) < 200;
}

/* RFC 2047, 4.2 "Q": letters and digits plain, blank as _, every other byte as =XX; words of at most 75 characters that do
 * not split a UTF-8 character, joined by folding. */
static void add_subject(struct buffer *out, const char *subject)
{
    if (printable(subject)) {
        buffer_print(out, "Subject: %s", subject);
        return;
    }
    const size_t room = 75 - strlen("=?UTF-8?Q?") - strlen("?=");
    size_t used = room + 1;
    buffer_text(out, "Subject:");
    for (const unsigned char *s = (const unsigned char *)subject; *s; s++) {
        bool plain = (*s >= 'a' && *s <= 'z') || (*s >= 'A' && *s <= 'Z') || (*s >= '0' && *s <= '9');
        if ((*s & 0xc0) != 0x80 && used + 12 > room) { /* a character has four bytes of three signs at most */
            buffer_text(out, used > room ? " =?UTF-8?Q?" : "?=\r\n =?UTF-8?Q?");
            used = 0;
        }
        if (plain || *s == ' ')
            buffer_print(out, "%c", *s == ' ' ? '_' : *s);
        else
            buffer_print(out, "=%02X", *s);
        used += plain || *s == ' ' ? 1 : 3;
    }
    buffer_text(out, "?=");
}

/* RFC 5322, 3.3, always in UTC. */
static void add_date(struct buffer *out, int64_t at)
{
    static const char days[][4] = {"Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"};
    static const char months[][4] = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                     "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
    const struct offsets utc = {.n = 1};
    struct civil c = civil_at(&utc, at);
    int year, month, day;
    civil_date(c.day, &year, &month, &day);
    buffer_print(out, "Date: %s, %d %s %d %02d:%02d:%02d +0000", days[civil_weekday(c.day)], day, months[month - 1], year,
                 c.minute / 60, c.minute % 60, c.second);
}

static bool line_take(struct curl_slist **list, struct buffer *b)
{
    char *line = buffer_take(b);
    struct curl_slist *longer = line ? curl_slist_append(*list, line) : NULL;
    free(line);
    if (longer)
        *list = longer;
    return longer;
}

struct curl_slist *mail_headers(const struct mail *m)
{
    struct curl_slist *list = NULL;
    struct buffer b;
    bool ok = mail_address(m->from) && mail_address(m->to);
    if (!ok)
        return NULL;
    buffer_init(&b, 4096);
    add_date(&b, m->at);
    ok = line_take(&list, &b);
    buffer_print(&b, "From: <%s>", m->from);
    ok = ok && line_take(&list, &b);
    buffer_print(&b, "To: <%s>", m->to);
    ok = ok && line_take(&list, &b);
    add_subject(&b, m->subject);
    ok = ok && line_take(&list, &b);
    buffer_print(&b, "Message-ID: <%s%s>", printable(m->key) ? m->key : "", strchr(m->from, '@'));
    ok = ok && line_take(&list, &b);
    buffer_text(&b, "Auto-Submitted: auto-generated"); /* RFC 3834, 5: no automaton answers this */
    ok = ok && line_take(&list, &b);
    buffer_clear(&b);
    if (!ok)
        curl_slist_free_all(list);
    return ok ? list : NULL;
}

char *mail_lines(const char *text)
{
    struct buffer b;
    buffer_init(&b, 1 << 20);
    buffer_text(&b, "");
    for (const char *s = text; *s; s++) {
        if (*s == '\r' && s[1] == '\n')
            continue;
        if (*s == '\n' || *s == '\r')
            buffer_text(&b, "\r\n");
        else
            buffer_add(&b, s, 1);
    }
    return buffer_take(&b);
}
