/* A growable buffer with a ceiling: the only one of the program.
 *
 * It never grows past its ceiling and never loses a part silently: once a write did not fit, `failed` stays set and
 * whatever is added later is dropped, so that the caller checks once, at the end. Growth doubles: a page of 100 KB is
 * eleven reallocations.
 */
#include "gateway/base.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { FIRST_BYTES = 64 };

void buffer_init(struct buffer *b, size_t ceiling)
{
    *b = (struct buffer){.ceiling = ceiling};
}

/* Room for `more` bytes and a NUL; false when the ceiling or the memory does not allow it. */
static bool buffer_reserve(struct buffer *b, size_t more)
{
    if (b->failed || more > b->ceiling - b->n) {
        b->failed = true;
        return false;
    }
    size_t need = b->n + more + 1, cap = b->cap ? b->cap : FIRST_BYTES;
    if (need <= b->cap)
        return true;
    while (cap < need)
        cap *= 2;
    char *at = realloc(b->at, cap);
    if (!at) {
        b->failed = b->starved = true;
        return false;
    }
    b->at = at;
    b->cap = cap;
    return true;
}

void buffer_add(struct buffer *b, const void *bytes, size_t n)
{
    if (!buffer_reserve(b, n))
        return;
    if (n)
        memcpy(b->at + b->n, bytes, n);
    b->n += n;
    b->at[b->n] = '\0';
}

void buffer_text(struct buffer *b, const char *s)
{
    buffer_add(b, s, strlen(s));
}

void buffer_print(struct buffer *b, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    buffer_vprint(b, format, args);
    va_end(args);
}

void buffer_vprint(struct buffer *b, const char *format, va_list args)
{
    va_list again;
    va_copy(again, args);
    int n = vsnprintf(NULL, 0, format, args);
    if (n < 0)
        b->failed = true;
    else if (buffer_reserve(b, (size_t)n)) {
        vsnprintf(b->at + b->n, (size_t)n + 1, format, again);
        b->n += (size_t)n;
    }
    va_end(again);
}

void buffer_clear(struct buffer *b)
{
    free(b->at);
    buffer_init(b, b->ceiling);
}

char *buffer_take(struct buffer *b)
{
    char *taken = NULL;
    if (buffer_reserve(b, 0)) {
        taken = b->at;
        taken[b->n] = '\0';
        b->at = NULL;
    }
    buffer_clear(b);
    return taken;
}

int buffer_read_file(struct buffer *b, const char *path)
{
    char piece[8192];
    int error = 0;
    int fd = open(path, O_RDONLY | O_CLOEXEC);
    if (fd < 0)
        return -errno;
    for (;;) {
        ssize_t n = read(fd, piece, sizeof piece);
        if (n < 0 && errno == EINTR)
            continue;
        if (n < 0)
            error = -errno;
        if (n <= 0)
            break;
        if ((size_t)n > b->ceiling - b->n)
            error = -EFBIG;
        buffer_add(b, piece, (size_t)n);
        if (b->failed) {
            error = error ? error : -ENOMEM;
            break;
        }
    }
    close(fd);
    return error;
}
