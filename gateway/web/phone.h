/* Phone: the number of a sender or receiver as a carrier spells it → one spelling. Pure. */
#ifndef QUIETARM_WEB_PHONE_H
#define QUIETARM_WEB_PHONE_H

#include "gateway/care/record.h"

/* Of a number blanks, dashes, dots and brackets are dropped, and a leading 00 becomes + where seven digits or more follow
 * (a short code keeps it). What is no number, a sender's name, stays as it came. What is too long is cut between
 * characters: it is nobody's number. `in` is valid UTF-8. */
void phone_normal(const char *in, char out[PHONE_MAX]);

#endif
