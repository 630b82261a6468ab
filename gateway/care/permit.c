/* Which kinds of text a person may be sent, by state: the one table. Nothing is sent to a patient past it, but for the
 * single confirmation of a STOP. Worry stands in every row: an emergency is answered whoever sends it.
 */
#include "gateway/care/inside.h"

static const struct {
    unsigned may;
    bool worry_hourly; /* whoever asked for silence hears one worry reply an hour */
} permits[PERSON_STATE_COUNT] = {
    [PERSON_STRANGER] = {PERMIT_REPLY | PERMIT_WORRY, false},
    [PERSON_INVITED] = {PERMIT_INVITE | PERMIT_REPLY | PERMIT_WORRY, false},
    [PERSON_JOINED] = {PERMIT_REMINDER | PERMIT_HINT | PERMIT_REPLY | PERMIT_WORRY, false},
    [PERSON_DECLINED] = {PERMIT_WORRY, true},
    [PERSON_PAUSED] = {PERMIT_HINT | PERMIT_REPLY | PERMIT_WORRY, false},
    [PERSON_LEFT] = {PERMIT_WORRY, true},
    [PERSON_CLOSED] = {PERMIT_REPLY | PERMIT_WORRY, false},
    [PERSON_DIED] = {PERMIT_WORRY, true},
    [PERSON_WRONG_NUMBER] = {PERMIT_WORRY, true},
    [PERSON_WITHDRAWN] = {PERMIT_WORRY, true},
};

bool state_permits(enum person_state s, enum permit what)
{
    return permits[s].may & what;
}

bool state_worry_hourly(enum person_state s)
{
    return permits[s].worry_hourly;
}

bool care_may_write(enum person_state s)
{
    return state_permits(s, PERMIT_REPLY);
}
