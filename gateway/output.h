/* Where a command puts what it made: a file, or standard output. */
#ifndef QUIETARM_OUTPUT_H
#define QUIETARM_OUTPUT_H

#include "gateway/command.h"

/* `path` "-" is standard output; a file (0600) is there whole or not at all, and replaces what was there. EXIT_DONE, or
 * EXIT_WORLD and told. */
int output_write(const struct invocation *in, const char *path, const void *bytes, size_t size);

#endif
