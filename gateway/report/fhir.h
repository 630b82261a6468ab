/* FHIR R4: a week as resources, alone or in a transaction Bundle. Codes and their sources: LOINC 85354-9 (blood pressure
 * panel), 8480-6, 8462-4, 8867-4 (pulse), 96607-7, 96608-5, 96609-3 (panel of means), 60832-3 (room temperature),
 * 8358-4 (cuff size), 56072-2 (arm circumference, from memory: confirm against the original); SNOMED CT 368208006 and
 * 368209003 (left and right upper arm); UCUM units.
 *
 * Identifiers and full URLs come of ids in the database alone: the same week gives the same bytes, and sending it again
 * replaces what is there.
 */
#ifndef QUIETARM_FHIR_H
#define QUIETARM_FHIR_H

#include <jansson.h>
#include "gateway/report/report.h"

/* How resources refer to each other: in a transaction by urn:uuid, at the endpoint by Type/id. */
enum fhir_links { FHIR_TRANSACTION, FHIR_SERVED };

/* New references; NULL without memory. */
json_t *fhir_patient(const struct person *p, const struct clinic *c, const char *public_url, enum fhir_links links);
/* Of any standing; its status tells which: final, preliminary (held), entered-in-error. */
json_t *fhir_reading(const struct report *r, const struct report_reading *x, enum fhir_links links);
json_t *fhir_mean(const struct report *r, enum fhir_links links); /* the average; NULL too when nothing is counted */

/* The whole week as a transaction; `pdf` is attached to its report (NULL: none). Malloced JSON; NULL without memory. */
char *fhir_bundle(const struct report *r, const void *pdf, size_t pdf_size);
/* One line of JSON, malloced; takes the reference. NULL without memory, or for NULL. */
char *fhir_text(json_t *resource);

#endif
