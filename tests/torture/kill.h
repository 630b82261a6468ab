/* Sudden death under load: see kill.c. */
#ifndef QUIETARM_KILL_H
#define QUIETARM_KILL_H

/* So many rounds on one database that grows; 0, or 1 when something was lost or doubled (told on standard output). */
int kill_rounds(const char *bin, const char *folder, int rounds);

#endif
