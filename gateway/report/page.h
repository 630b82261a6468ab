/* The week's page in pieces: its types and what each piece needs. Private to the room. */
#ifndef QUIETARM_REPORT_PAGE_H
#define QUIETARM_REPORT_PAGE_H

#include "gateway/report/sheet.h"

static const struct type title = {.size = 13, .bold = true, .ink = INK_TEXT}, strong = {.size = 10.5, .bold = true, .ink = INK_TEXT},
                         body = {.size = 9, .ink = INK_TEXT}, judged = {.size = 9.5, .bold = true, .ink = INK_TEXT},
                         second = {.size = 9, .ink = INK_SECOND}, minor = {.size = 8, .ink = INK_TEXT},
                         minor_strong = {.size = 8, .bold = true, .ink = INK_TEXT}, fine = {.size = 7.4, .ink = INK_TEXT},
                         fine_strong = {.size = 7.4, .bold = true, .ink = INK_TEXT}, fine_second = {.size = 7.4, .ink = INK_SECOND},
                         large = {.size = 34, .bold = true, .ink = INK_TEXT}, large_open = {.size = 34, .ink = INK_TEXT};

enum { GAP = 18 }; /* points between two columns */

void page_parts(struct sheet *s, const struct report *r);     /* averages and the short lists, in two columns */
void page_quotes(struct sheet *s, const struct report *r);
void page_readings(struct sheet *s, const struct report *r);  /* every one, in two columns, on as many pages as they take */

#endif
