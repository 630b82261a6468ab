/* What DB_SERVE asks of erase.c. */
#ifndef QUIETARM_ERASE_H
#define QUIETARM_ERASE_H

#include "store/driver.h"

/* Erases again whoever is in quietarm.erased and in the database: a copy from before was restored. Makes the key of
 * refusals if there is none. */
int erase_again(struct db *db);

#endif
