/* Phone numbers that the clinic writes down, in the configuration or when it enrols. */
#ifndef QUIETARM_PHONES_H
#define QUIETARM_PHONES_H

#include "gateway/base.h"

/* E.164: + and 7 to 15 digits, the first no 0. (ITU-T E.164 sets the 15; the 7 is ours.) */
bool phone_e164(const char *s);

#endif
