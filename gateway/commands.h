/* The table of commands. */
#ifndef QUIETARM_COMMANDS_H
#define QUIETARM_COMMANDS_H

#include "gateway/command.h"

extern const struct command commands[]; /* ended by a name NULL */

#endif
