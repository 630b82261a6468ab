/* The pieces of the sender that know nothing of threads or the outbox: answers, templates, rate, mail, folder. Private to
 * this room and its tests.
 */
#ifndef QUIETARM_SEND_PARTS_H
#define QUIETARM_SEND_PARTS_H

#include <curl/curl.h>
#include "gateway/send/send.h"

enum {
    RETRY_AFTER_MOST = 3600,    /* seconds */
    ANSWER_MAX = 64 * 1024,     /* bytes of an answer that are kept; the rest is read and dropped */
    ANSWER_CUT = 1024 * 1024,   /* bytes after which the connection is given up */
    REQUEST_MAX = 256 * 1024    /* bytes of a filled body or URL */
};

/* -- answer.c: what an answer means ------------------------------------------------------------------------------------- */

/* Retry-After: delay in seconds or HTTP-date (RFC 9110, 10.2.3), seen at `now` of the machine's wall clock. 0 when
 * absent, past or unreadable; at most RETRY_AFTER_MOST. */
int retry_after_read(const char *value, int64_t now);
/* A transfer that ended with `code`; `status` is the last HTTP status, 0 when none came. */
enum sent_result http_result(CURLcode code, long status);
/* The same for a mail; `reply` is the last SMTP reply (RFC 5321, 4.2.3). */
enum sent_result mail_result(CURLcode code, long reply);
/* The value at an RFC 6901 pointer of a JSON text: a string or a whole number, by id_fit. "" when absent. */
void answer_id(const char *json, size_t size, const char *pointer, char id[80]);

/* -- rate.c: at most so many a second, in real time --------------------------------------------------------------------- */

struct rate {
    double refill, most, tokens; /* a second; tokens; tokens. most 0: no limit */
    int64_t at_ms;
};
void rate_open(struct rate *r, double per_second, int64_t now_ms); /* per_second ≤ 0: no limit */
bool rate_take(struct rate *r, int64_t now_ms);
int rate_wait_ms(struct rate *r, int64_t now_ms); /* until rate_take would succeed */

/* -- template.c --------------------------------------------------------------------------------------------------------- */

struct fields {
    const char *from, *to, *text, *key, *secret; /* NULL is empty */
};
enum escape { ESCAPE_JSON, ESCAPE_PERCENT, ESCAPE_HEADER };
/* Adds `pattern` with its placeholders replaced. false: an unknown placeholder, or a header with CR or LF anywhere. */
bool template_fill(struct buffer *out, const char *pattern, enum escape how, const struct fields *f);

/* -- mail.c: headers by RFC 5322, MIME by libcurl ----------------------------------------------------------------------- */

struct mail {
    const char *from, *to; /* bare addresses */
    const char *subject;   /* any UTF-8: made an encoded word (RFC 2047) when it is not printable ASCII */
    const char *key;       /* Message-ID: the same for every attempt */
    int64_t at;
};
/* local@domain of printable ASCII without blanks, brackets, quotes or commas: safe in a header and in SMTP. */
bool mail_address(const char *address);
struct curl_slist *mail_headers(const struct mail *m); /* NULL: an address is refused, or no memory */
char *mail_lines(const char *text);                     /* every line end as CRLF; malloced; NULL no memory */

/* -- folder.c ----------------------------------------------------------------------------------------------------------- */

/* Writes dir/name whole or not at all: temporary name, fsync, rename, fsync of the folder (made 0700 if it is not there).
 * 0, or -errno. Writing it again replaces it. */
int folder_write(const char *dir, const char *name, const void *bytes, size_t size);

#endif
