/* Phone numbers, judged. Pure; never guesses a country. How carriers spell one is web/phone.c's to know.
 */
#include "gateway/phones.h"

#include <string.h>

enum { DIGITS_LEAST = 7, DIGITS_MOST = 15 };

bool phone_e164(const char *s)
{
    if (s[0] != '+' || s[1] == '0')
        return false;
    size_t digits = strspn(s + 1, "0123456789");
    return s[1 + digits] == '\0' && digits >= DIGITS_LEAST && digits <= DIGITS_MOST;
}
