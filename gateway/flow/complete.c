/* Completes a loaded record with what the store does not know: its clinic, its protocol, the tables of its zones.
 */
#include "gateway/flow/flow.h"

#include <string.h>

bool record_complete(const struct config *config, struct record *r, int64_t now)
{
    r->clinic = config_clinic(config, r->person.clinic);
    if (!r->clinic)
        return false;
    const char *name = r->week.id ? r->week.protocol : r->person.protocol;
    char why[160];
    if (!name[0] || strcmp(name, r->clinic->protocol.name) == 0 || protocol_find(name, &r->protocol, why, sizeof why) < 0)
        r->protocol = r->clinic->protocol;
    if (!zone_offsets(r->person.zone, now, &r->zone))
        zone_offsets(r->clinic->zone, now, &r->zone);
    return zone_offsets(r->clinic->zone, now, &r->clinic_zone);
}
