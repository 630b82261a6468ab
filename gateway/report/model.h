/* What the files that make the model share. Private to the room. */
#ifndef QUIETARM_REPORT_MODEL_H
#define QUIETARM_REPORT_MODEL_H

#include "gateway/report/html_writer.h"
#include "gateway/report/report.h"

#define SAYS(n, m) __attribute__((format(printf, n, m)))

/* Into a bounded field: clean, one line, ended by "…" when it is too long. */
void say_to(char *to, size_t size, const char *format, ...) SAYS(3, 4);
#define SAY(field, ...) say_to(field, sizeof(field), __VA_ARGS__)
void say_add(char *to, size_t size, const char *format, ...) SAYS(3, 4); /* behind what is there */
/* One sentence more; `code` "" when it has none. */
void say(struct sentences *s, enum tone tone, const char *code, const char *format, ...) SAYS(4, 5);

enum { DAY_WORDS = 24, WHEN_WORDS = 48 };
void day_words(int32_t day, char words[DAY_WORDS]);                                 /* Tue 24 Nov */
void date_words(int32_t day, char words[WHEN_WORDS]);                               /* Tue 24 Nov 2026 */
void when_words(const struct record *r, int64_t instant, char words[WHEN_WORDS]);   /* Tue 24 Nov 07:10 */
void minute_words(int16_t minute, char words[8]);                                   /* 07:10 */
const char *slot_words(uint8_t slot);                                               /* after waking */
const char *plural(int n);                                                          /* "s", or "" for one */

bool week_finished(const struct week *w);
bool of_week(const struct record *r, const struct reading *x);
bool report_has(const struct report *r, const char *quality);
bool report_expecting(const struct record *r);

/* -- one file each -- */
void average_words(struct report *r);     /* average.c: average, judged, sure, figures, variation */
void counts_words(struct report *r);      /* counts.c */
void findings_words(struct report *r, const struct alert *alerts, size_t n);           /* findings.c: above */
void equipment_words(struct report *r);   /* equipment.c: equipment, office */
void before_words(struct report *r, const struct week_before *before, size_t n);       /* before.c */
void quality_words(struct report *r);     /* quality.c */
void alerts_words(struct report *r, const struct alert *alerts, size_t n);             /* alerts.c */
bool readings_words(struct report *r);    /* readings.c; false: no memory */
bool quotes_words(struct report *r, const struct week_view *v, const struct stored_text *texts, size_t n);
const char *technique_words(unsigned bit);  /* quality.c: "with a full bladder" */

#endif
