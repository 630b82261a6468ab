/* Enrolling: what may be said of a patient when they are added, by option or by the column of a table, and how many are
 * added in one transaction.
 */
#ifndef QUIETARM_ENROLMENT_H
#define QUIETARM_ENROLMENT_H

#include "gateway/config.h"
#include "gateway/texts/texts.h"
#include "store/store.h"

enum { ENROLMENT_WHY = 256 };

struct enrolment {
    struct person person;
    bool joined;   /* consent was given in the clinic */
    int row;       /* of a table, for messages; 0 */
};

/* Where it is read: the clinic, and the local day there. */
struct enrolment_place {
    const struct config *config;
    const struct clinic *clinic;
    int32_t today;
};

struct enrolment_option;
/* Takes the value, or says in `why` what is wrong and what to write. */
typedef bool take_option(const struct enrolment_place *p, const struct enrolment_option *o, const char *text,
                         struct enrolment *e, char why[ENROLMENT_WHY]);
struct enrolment_option {
    const char *name;      /* "sent-by": the option without dashes, the column as it is */
    const char *means;     /* "LO-HI|LO-HIin", for the help */
    take_option *take;
    size_t at, size;       /* of the field in struct person */
    bool flag, needed;
};
extern const struct enrolment_option enrolment_options[]; /* ended by a name NULL */

void enrolment_place_day(struct enrolment_place *p, int64_t now); /* fills `today` */
void enrolment_blank(struct enrolment *e, const struct clinic *clinic);
/* What only the whole shows. */
bool enrolment_check(const struct enrolment_place *p, const struct enrolment *e, char why[ENROLMENT_WHY]);

struct enrolment_watch {
    void *context;
    /* Called for each that may not be added; `column` is "ref" or "phone". */
    void (*refused)(void *context, const struct enrolment *e, const char *column, const char *why);
    void (*progress)(size_t done, size_t of); /* after each; NULL */
};
/* Adds all of them and queues what they are told, in one transaction, or none. 0; how many were refused; or a negative
 * store_error. */
int enrolment_write(struct db *db, const struct config *config, const struct texts *texts, int64_t now,
                    const struct enrolment *list, size_t n, const struct enrolment_watch *watch);

#endif
