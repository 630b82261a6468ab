/* The handout's line drawings, each in a box of 120 by 100 units. Private to the room. */
#ifndef QUIETARM_DRAWINGS_H
#define QUIETARM_DRAWINGS_H

#include "gateway/report/sheet.h"

enum { DRAWING_WIDTH = 120, DRAWING_HEIGHT = 100 };

/* At x, y on the sheet, `scale` points a unit. `says`: for those who do not see it. */
void draw_posture(struct sheet *s, double x, double y, double scale);
void draw_midpoint(struct sheet *s, double x, double y, double scale);
void draw_cuff(struct sheet *s, double x, double y, double scale);

#endif
