/* The small things that every room of the program may use: growable buffer, log, ids, clock.
 *
 * The clock is the only file that reads the machine's time; the log the only one that writes to standard error while
 * serving.
 */
#ifndef QUIETARM_BASE_H
#define QUIETARM_BASE_H

#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* -- buffer (buffer.c): grows to a ceiling, then fails for good; `failed` is checked once at the end ----------------- */

struct buffer {
    char *at;      /* NUL-terminated when n > 0; NULL when never written */
    size_t n, cap;
    size_t ceiling;
    bool failed;   /* something did not fit */
    bool starved;  /* for want of memory, not of room: it may fit another time */
};

void buffer_init(struct buffer *b, size_t ceiling);
void buffer_add(struct buffer *b, const void *bytes, size_t n);
void buffer_text(struct buffer *b, const char *s);
void buffer_print(struct buffer *b, const char *format, ...) __attribute__((format(printf, 2, 3)));
void buffer_vprint(struct buffer *b, const char *format, va_list args);
void buffer_clear(struct buffer *b);             /* frees; ready for use with the same ceiling */
char *buffer_take(struct buffer *b);             /* the malloced string, NULL when failed; empties the buffer */
/* Reads a whole file of at most `ceiling` bytes; 0, or -errno (-EFBIG past the ceiling). */
int buffer_read_file(struct buffer *b, const char *path);

/* -- log (log.c): one line an event on standard error: "2026-11-24T07:10:03Z info intake text=12 person=7" ---------- */

enum log_level { LOG_DEBUG, LOG_INFO, LOG_WARNING, LOG_ERROR };
void log_level_set(enum log_level least);
/* `event` is a word; `format` makes "key=value …". Never a text, a name, a full number, a header value. */
void log_event(enum log_level level, const char *event, const char *format, ...) __attribute__((format(printf, 3, 4)));
const char *log_number(const char *phone); /* its last three digits, "…001" */

/* -- clock (clock.c) --------------------------------------------------------------------------------------------------- */

/* The gateway's time. With a stepped clock it stands still until it is set. Thread-safe. */
void clock_use_system(void);
void clock_use_stepped(int64_t now);
bool clock_stepped(void);
int64_t clock_now(void);             /* seconds since 1970 UTC */
void clock_set(int64_t now);         /* stepped only; never backwards */
/* Real time whatever the mode, for timeouts, rates and sign-in delays: milliseconds that never go back. */
int64_t clock_real_ms(void);
int64_t clock_real_now(void);        /* the machine's own wall clock, seconds; for log lines */
int64_t clock_wall_ms(void);         /* the same in milliseconds; for ids */

/* -- ids (ids.c): 64-bit, time-ordered, under 2^53: milliseconds since 2020 << 12 | a count ------------------------ */

/* `least`: nothing at or below it is given again (the largest stored id, at start). `salt` moves the count inside a
 * millisecond, so that two processes seldom meet; where they do, the store refuses the row and the job is tried anew. */
void ids_start(unsigned salt, int64_t least);
/* The first free id. The caller may use it and those after it (by ++), then says with ids_until which is the next free
 * one. One thread at a time; the writer's. */
int64_t ids_from(void);
void ids_until(int64_t next);

/* Somebody else's id (a carrier's), into `room` bytes, 73 at least: as it is, or, where it does not fit, as "blake2b:" and its
 * hash, so that two of them never become one, and one is the same wherever it comes from. */
void id_fit(const char *id, size_t size, char *out, size_t room);

/* -- times as text (times.c) --------------------------------------------------------------------------------------- */

enum { TIME_TEXT = 32 };
void time_utc(int64_t instant, char text[TIME_TEXT]);                        /* 2026-11-24T07:10:00Z */
void time_zoned(int64_t instant, int32_t offset_seconds, char text[TIME_TEXT]); /* …T07:10:00+01:00 */
void date_text(int32_t day, char text[TIME_TEXT]);                           /* 2026-11-24 */
bool time_read(const char *s, int64_t *instant);     /* RFC 3339 with Z or an offset; fractions are dropped */
bool date_read(const char *s, int32_t *day);         /* YYYY-MM-DD */
bool minutes_read(const char *s, int16_t *minute);   /* HH:MM, 24:00 is 1440 */
/* A whole number, the whole of `s`, between the two; false otherwise. */
bool whole_read(const char *s, int64_t least, int64_t most, int64_t *out);

#endif
