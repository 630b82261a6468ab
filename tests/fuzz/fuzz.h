/* What the harnesses share: libFuzzer's entry, an invented practice, a file that is only in memory.
 *
 * A harness holds a parser to its contract for any bytes; a broken claim ends the process, which libFuzzer reports with
 * the bytes that did it. Nothing here is random: the same bytes do the same.
 */
#ifndef QUIETARM_TESTS_FUZZ_H
#define QUIETARM_TESTS_FUZZ_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

#include "gateway/config.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* Unlike assert it names what was promised and stays on. */
#define CLAIM(holds, promise)                                                                                          \
    do {                                                                                                               \
        if (!(holds)) {                                                                                                \
            fprintf(stderr, "%s:%d: broken: %s\n", __FILE__, __LINE__, promise);                                       \
            abort();                                                                                                   \
        }                                                                                                              \
    } while (0)

static const char practice[] =
    "[gateway]\nlisten = 127.0.0.1:0\npublic_url = http://127.0.0.1:8481\nstate = state\n"
    "[clinic maple]\nname = Maple Row Practice\ntext_number = +447700900001\nvoice_number = 01632 960001\n"
    "hours = mon-fri 08:00-18:30\nout_of_hours = 111\nemergency = 999\ntime_zone = Europe/London\nlanguage = en\n"
    "protocol = esh\nmorning = 05:00-12:00\nevening = 16:00-24:00\nremind_morning = 07:30\nremind_evening = 19:30\n"
    "quiet = 21:30-07:00\nalert_to = +447700900002\n"
    "[inbound]\npath = /hook/in\nformat = json\nid = /id\nfrom = /from\nto = /to\ntext = /text\nsent = /sent\nauth = none\n"
    "[outbound]\nurl = http://127.0.0.1:9/messages\nformat = json\nbody = {\"to\":\"{to}\",\"text\":\"{text}\",\"key\":\"{key}\"}\n";

/* The bytes as a file: its path into `path`; the descriptor, the caller's to close. */
static inline int memory_file(const void *bytes, size_t size, char path[64])
{
    int fd = memfd_create("fuzz", MFD_CLOEXEC);
    if (fd < 0 || write(fd, bytes, size) != (ssize_t)size)
        abort();
    snprintf(path, 64, "/proc/self/fd/%d", fd);
    return fd;
}

static inline void mistake_ignore(void *context, const char *file, int line, const char *what)
{
    (void)context, (void)file, (void)line, (void)what;
}

/* The practice, opened; `state` replaces its state folder unless NULL. */
static inline void practice_open(struct config *c, const char *state)
{
    char path[64];
    int fd = memory_file(practice, sizeof practice - 1, path);
    if (config_open(c, path, false, mistake_ignore, NULL))
        abort();
    if (state)
        snprintf(c->state, sizeof c->state, "%s", state);
    close(fd);
}

/* The input as a string of its own, so that a read past its end is seen. free() it. */
static inline char *text_of(const uint8_t *data, size_t size)
{
    char *text = malloc(size + 1);
    if (!text)
        abort();
    memcpy(text, data, size);
    text[size] = '\0';
    return text;
}

#endif
