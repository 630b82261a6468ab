/* Report: a patient's week as everything that is shown of it, in plain words; and the surfaces that show it.
 *
 * One model, several surfaces: page (HTML), PDF, text, CSV and FHIR say the same sentences and the same figures, because none
 * of them works anything out. The model is made from a record, its result, alerts and texts, and an instant; the same
 * in, the same out, byte for byte. Pressures are mmHg, whole, half up, as they are judged.
 *
 * Nothing here diagnoses, names a medicine or corrects a reading. No category is said without enough readings. What
 * undermines the average stands above it.
 */
#ifndef QUIETARM_REPORT_H
#define QUIETARM_REPORT_H

#include "gateway/config.h"
#include "gateway/week.h"

enum { REPORT_BYTES = 4 << 20, SENTENCE_MAX = 640 };

/* -- the model (model.c and words_*.c) ----------------------------------------------------------------------------------- */

enum tone { TONE_PLAIN, TONE_ATTENTION, TONE_URGENT };

struct sentence {
    enum tone tone;
    char code[24];             /* what it is about, for machines: a quality word, "cuff", "alert"; "" */
    char text[SENTENCE_MAX];   /* clean UTF-8, one line, whole sentences */
};

struct sentences {
    struct sentence *at;       /* malloced */
    size_t n, cap;
    bool failed;               /* out of memory */
};

/* A line of the small table of figures: "Mornings", "135/84", "70", 12. */
struct report_figure {
    char what[40], pressure[24], pulse[12];
    int n;                     /* readings; 0: not said */
};

/* A line of the table of readings, in order of time. */
struct report_reading {
    const struct reading *reading;
    char day[24], time[8], slot[20]; /* "Tue 24 Nov", "07:10", "after waking" */
    char pressure[12], pulse[8];     /* "132/84", "71"; "" */
    char note[SENTENCE_MAX];         /* "not counted: first day; cold room"; "" */
    bool counted;
};

/* What the patient wrote, where it matters. */
struct report_quote {
    char when[48], text[SENTENCE_MAX];
};

struct report {
    struct week_loaded week;         /* owned when report_open made it */
    const struct record *record;
    const struct week_result *result;
    const char *public_url;          /* of the configuration, borrowed; "" */
    int64_t as_of;                   /* a finished week's end, else the instant of asking */

    char title[64];                  /* "Home blood pressure week" */
    char clinic[NAME_MAX_BYTES], ref[REF_MAX], name[NAME_MAX_BYTES]; /* name "" when not known */
    char who[96];                    /* "born 4 May 1961; a carer sends the figures"; "" */
    char when[160];                  /* "Week 1, complete: Tue 24 Nov to Mon 30 Nov 2026" */
    char version[160];               /* "" for the first */
    char protocol[512];              /* edition, source and what it asks for */
    struct sentences above;          /* what undermines the average */

    bool has_mean;                   /* else the three are 0 */
    int sys, dia, pulse;             /* as shown; pulse 0 when not known */
    char average[160];               /* "Average of 24 counted readings on 6 days" */
    char judged[320];                /* against which line; or what is missing for a category */
    char sure[320];                  /* how sure it is, or why that is not said */
    struct report_figure figures[10];
    int n_figures;
    struct sentences variation;      /* spread of the readings, in figures and words */
    struct sentences counts;         /* asked for, received, counted, left out and why, not measured */
    struct sentences equipment;      /* cuff, arm, monitor */
    struct sentences before;         /* earlier weeks */
    struct sentences office;         /* the clinic's own figure */
    struct sentences quality;        /* how it was measured */
    struct sentences alerts;
    struct report_quote *quotes;     /* malloced */
    size_t n_quotes;
    struct report_reading *readings; /* malloced; every one */
    size_t n_readings;
    char zone[96];                   /* "Times are those of Europe/London." */
    char caution[480];
};

/* The week `number` of this person (0: current or last) as of `now`; of a finished one as of its end. 0 or a store_error;
 * *found: there is such a week. report_close in every case. `config` is borrowed until then. The caller's transaction
 * makes it one snapshot. */
int report_open(struct report *out, struct db *db, const struct config *config, int64_t person, int number, int64_t now,
                bool *found);
/* The same from what is at hand, all of it borrowed. `texts`: the patient's, for the quotes. false: no memory. */
bool report_make(struct report *out, const struct week_view *v, const struct stored_text *texts, size_t n_texts,
                 const char *public_url, int64_t now);
void report_close(struct report *r);   /* takes a zeroed one */

/* -- surfaces: bytes are malloced, NULL when there is no memory -------------------------------------------------------------- */

char *report_html(const struct report *r);             /* one page that stands alone */
char *report_text(const struct report *r);             /* for mail and terminal: lines of at most 78 columns */
char *report_csv_head(void);
/* One row a reading, RFC 4180, CR LF; a cell that a spreadsheet would take for a formula begins with an apostrophe. Those
 * with a local date of `from` to `to` alone (DAY_NONE: no bound). `aside`: those that belong to no week instead of the
 * week's. */
bool report_csv_rows(const struct report *r, int32_t from, int32_t to, bool aside, struct buffer *out);

enum paper { PAPER_A4, PAPER_LETTER };
enum paper report_paper(const struct clinic *c);       /* what its country prints on, by its text number */
/* 0, or -1 with one line in `why`: no font, no memory. */
int report_pdf(const struct report *r, enum paper paper, void **bytes, size_t *size, char *why, size_t why_size);
/* The patient's handout. `language` "en" or "es". */
int leaflet_pdf(const struct clinic *c, const char *language, bool large, void **bytes, size_t *size, char *why,
                size_t why_size);
/* Whether there is a font to print with; else one line in `why`. */
bool pdf_font_present(char *why, size_t why_size);

/* -- the sender's side ------------------------------------------------------------------------------------------------------- */

enum { SUMMARY_NAME = 96 };
/* Of its files, without ending: by ref, and by the week's id where a ref has a slash, which no file may, or the clinic's name a
 * dash, so that no two patients of clinics with one folder have one file. */
void summary_name(const struct person *p, const struct week *w, char name[SUMMARY_NAME]);

struct rendered;
struct summaries;                                      /* a connection of its own; one thread */
struct summaries *summaries_open(const struct config *config);
void summaries_close(struct summaries *s);             /* takes NULL */
int summary_render(void *summaries, const struct outgoing *row, struct rendered *out); /* a render_summary */

#endif
