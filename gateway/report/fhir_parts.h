/* What the files of the FHIR surface share. Private to the room. */
#ifndef QUIETARM_FHIR_PARTS_H
#define QUIETARM_FHIR_PARTS_H

#include "gateway/report/fhir.h"

#define LOINC "http://loinc.org"
#define SNOMED "http://snomed.info/sct"
#define UCUM "http://unitsofmeasure.org"

enum { FHIR_WORDS = 400 };

/* What an identifier is about: the last part of its system. */
enum fhir_kind { FHIR_OF_PATIENT, FHIR_OF_READING, FHIR_OF_MEAN, FHIR_OF_REPORT, FHIR_OF_ARM, FHIR_OF_CUFF, FHIR_OF_ISSUE };

struct fhir_name {
    enum fhir_kind kind;
    const char *type;              /* "Observation" */
    char system[FHIR_WORDS], value[96];
    char served[64];               /* its id at the endpoint */
    char uuid[48];                 /* urn:uuid:…, by RFC 9562 version 5 of system|value */
};

void fhir_name_patient(struct fhir_name *n, const struct person *p, const char *public_url);
void fhir_name_reading(struct fhir_name *n, const struct report *r, const struct reading *x);
void fhir_name_week(struct fhir_name *n, const struct report *r, enum fhir_kind kind, const char *more); /* more: "" or "-rounded-1" */

json_t *fhir_begin(const struct fhir_name *n, enum fhir_links links); /* resourceType, id, identifier */
json_t *fhir_reference(const struct fhir_name *n, enum fhir_links links);
/* Free text as a FHIR string: clean, and every kind of blank a plain one (R4: [ \r\n\t\S]+). NULL for "". */
json_t *fhir_string(const char *text);
json_t *fhir_coded(const char *system, const char *code, const char *display); /* a CodeableConcept */
json_t *fhir_worded(const char *text);                                        /* one of words alone */
json_t *fhir_quantity(double value, const char *unit, const char *code);
json_t *fhir_component(const char *code, const char *display, double value, const char *unit, const char *ucum);
json_t *fhir_vital_signs(void);
void fhir_zoned(const struct report *r, int64_t instant, char text[TIME_TEXT]);
/* From the first counted reading to the last; NULL when there is none. */
json_t *fhir_period(const struct report *r);
const char *fhir_status(const struct report *r); /* final, amended, preliminary */
void fhir_note(json_t *notes, const char *text); /* appends an Annotation, unless "" */

#endif
