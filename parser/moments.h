/* Between moments.c and dates.c: the figures and atoms of which moments are made. */
#ifndef QUIETARM_PARSER_MOMENTS_H
#define QUIETARM_PARSER_MOMENTS_H

#include "parser/steps.h"

/* The figure that begins at token `first`, if it is nothing else yet; or NULL. */
struct figure *free_at(struct parse *p, uint32_t first);
/* A whole number at `first` within [low, high], in digits or words. */
struct figure *whole_at(struct parse *p, uint32_t first, int low, int high);
struct when *when_add(struct parse *p, uint32_t first, uint32_t end);
bool glued_at(const struct parse *p, uint32_t i);
bool slash_at(const struct parse *p, uint32_t i);

/* The days that a mark of KIND_AGO or KIND_SPAN names, whose number is then a duration; at most some eight years. */
int marked_days(struct parse *p, const struct mark *m);

/* A date at token i that is sure by its shape ("25/12/26", "25th Dec", "Thurs 26th"), or of two small numbers. */
bool date_sure(struct parse *p, uint32_t i);
bool date_two(struct parse *p, uint32_t i);
/* The most recent valid order of two numbers as day and month, in days from receipt; 1 when there is none. */
int date_orders(const struct parse *p, int a, int b, int year);

#endif
