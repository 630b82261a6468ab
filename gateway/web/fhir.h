/* The read-only FHIR R4 endpoint: what is asked, and what is answered. Pure of HTTP: fhir_handle (fhir_handle.c) brings both
 * together on a thread that may read. Private to gateway/web and its tests.
 */
#ifndef QUIETARM_WEB_FHIR_H
#define QUIETARM_WEB_FHIR_H

#include <jansson.h>

#include "gateway/config.h"
#include "store/store.h"

enum { FHIR_COUNT_USUAL = 50, FHIR_COUNT_MOST = 100, FHIR_PARAMETERS_MAX = 16, FHIR_VALUE_MAX = 200 };

/* A question, already that of one clinic. */
struct fhir_ask {
    const struct config *config;
    const struct clinic *clinic;
    int64_t now;
    char path[160];                     /* behind "/fhir", as sent */
    struct {
        char name[40], value[FHIR_VALUE_MAX];
    } parameters[FHIR_PARAMETERS_MAX];  /* decoded, clean */
    int n_parameters;
    bool too_many;                      /* or too long: not all are here */
};

struct fhir_answer {
    unsigned status;
    json_t *body;                       /* owned; NULL: no memory */
};

/* 0, or a store_error: then nothing is answered. The caller frees body. */
int fhir_answer(struct db *db, const struct fhir_ask *ask, struct fhir_answer *out);

/* -- the parts -- */

/* An OperationOutcome of one error; `code` of the R4 value set issue-type. Returns 0, for returning. */
int fhir_fail(struct fhir_answer *out, unsigned status, const char *code, const char *diagnostics);
json_t *fhir_capabilities(const struct config *config);
int fhir_search_patients(struct db *db, const struct fhir_ask *ask, struct fhir_answer *out);
int fhir_search_observations(struct db *db, const struct fhir_ask *ask, struct fhir_answer *out);
int fhir_read_patient(struct db *db, const struct fhir_ask *ask, const char *id, struct fhir_answer *out);
int fhir_read_observation(struct db *db, const struct fhir_ask *ask, const char *id, struct fhir_answer *out);

/* -- asking (fhir_ask.c) -- */

/* Bounds of dates, each [from, to): the start and the end of what is looked for must lie within. */
struct fhir_dates {
    int64_t start_from, start_to, end_from, end_to;
};

struct fhir_search {
    int64_t id;                         /* of _id, patient; 0 none asked for */
    char id_kind;                       /* of _id: 'r' a reading, 'w' an average; 0 */
    int64_t patient;
    char ref[REF_MAX];                  /* of identifier; "" */
    bool readings, means;               /* by code */
    bool nothing;                       /* what is asked for can not exist here */
    struct fhir_dates dates;
    int count;
    char phase;                         /* of _page: 'r' readings or patients, 'm' averages */
    int64_t after;
};

/* false: *out is filled with a 400, 406. `patients`: the search is for Patient. */
bool fhir_search_read(const struct fhir_ask *ask, bool patients, struct fhir_search *s, struct fhir_answer *out);
/* Whole decimal digits, positive. */
bool fhir_number(const char *text, int64_t *id);

/* -- answering (fhir_answer.c) -- */

/* A searchset of `entries` (taken). `next`: the _page of the next; "" there is none. */
json_t *fhir_searchset(const struct fhir_ask *ask, json_t *entries, const char *next);
void fhir_entry(const struct fhir_ask *ask, json_t *entries, json_t *resource);

#endif
