/* The shim: preloaded into the program as it is shipped, it makes the Nth call of a kind fail.
 *
 * Disk: pwrite, ftruncate, fsync, fdatasync on files called quietarm.db*, by which SQLite does all its writing. Memory: malloc,
 * calloc, realloc of the whole process. Network: what is sent on connections that the program opened itself. It must not
 * change anything else. In commands beside the daemon it sleeps.
 */
#include "tests/torture/fault.h"

#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/socket.h>
#include <sys/statvfs.h>
#include <sys/types.h>
#include <time.h>
#include <unistd.h>

enum { DESCRIPTORS = 4096 };

extern void *__libc_malloc(size_t n);
extern void *__libc_calloc(size_t n, size_t size);
extern void *__libc_realloc(void *old, size_t n);

static struct fault_tally *tally;
static int kind = -1;
static uint64_t target, every;
static atomic_bool outgoing[DESCRIPTORS], mute[DESCRIPTORS]; /* connected by us; its answer is lost */

__attribute__((constructor)) static void shim_begin(void)
{
    const char *what = getenv("TORTURE"), *path = getenv("TORTURE_TALLY");
    char name[16] = "";
    if (!what || !path || strcmp(program_invocation_short_name, "quietarm") != 0)
        return;
    int fd = open(path, O_RDWR | O_CLOEXEC);
    void *at = fd < 0 ? MAP_FAILED : mmap(NULL, sizeof *tally, PROT_READ | PROT_WRITE, MAP_SHARED, fd, 0);
    if (fd >= 0)
        close(fd);
    if (at == MAP_FAILED || sscanf(what, "%15s %lu %lu", name, &target, &every) < 2)
        return;
    for (int k = 0; k < FAULT_KINDS; k++)
        if (strcmp(name, fault_names[k]) == 0)
            kind = k;
    tally = at;
}

/* Counts a call; true when it is one that shall fail, or one of `run` from it on. */
static bool strikes(_Atomic uint64_t *count, int of_kind, uint64_t run)
{
    uint64_t n = atomic_fetch_add(count, 1) + 1;
    uint64_t past = n - target;
    if (kind != of_kind || !target || n < target || (every ? past % every : past) >= run)
        return false;
    atomic_fetch_add(&tally->struck, 1);
    return true;
}

static void power_off(void)
{
    kill(getpid(), SIGKILL);
    for (;;)
        pause();
}

/* -- memory --------------------------------------------------------------------------------------------------------------- */

static bool no_memory(void)
{
    if (!tally || !strikes(&tally->allocs, FAULT_ALLOC, 1))
        return false;
    errno = ENOMEM;
    return true;
}

void *malloc(size_t n)
{
    return no_memory() ? NULL : __libc_malloc(n);
}

void *calloc(size_t n, size_t size)
{
    return no_memory() ? NULL : __libc_calloc(n, size);
}

void *realloc(void *old, size_t n)
{
    return no_memory() ? NULL : __libc_realloc(old, n);
}

/* -- disk ------------------------------------------------------------------------------------------------------------------- */

static bool is_database(int fd)
{
    char link[48], path[512];
    if (!tally)
        return false;
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    ssize_t n = readlink(link, path, sizeof path - 1);
    path[n < 0 ? 0 : n] = '\0';
    const char *name = strrchr(path, '/');
    return name && strncmp(name + 1, "quietarm.db", 11) == 0;
}

#define REAL(name) ((__typeof__(name) *)dlsym(RTLD_NEXT, #name))

/* 0, or the errno that a write shall have. */
static int write_fails(int fd, const void *bytes, size_t n, off_t at)
{
    if (!is_database(fd))
        return 0;
    if (tally->disk_error)
        return tally->disk_error;
    uint64_t count = atomic_load(&tally->writes) + 1;
    if (kind == FAULT_TEAR && target && count == target) {
        REAL(pwrite)(fd, bytes, n / 2, at);
        atomic_fetch_add(&tally->struck, 1);
        power_off();
    }
    if (kind == FAULT_FULL)
        return strikes(&tally->writes, FAULT_FULL, FULL_CALLS) ? ENOSPC : 0;
    return strikes(&tally->writes, FAULT_WRITE, 1) ? EIO : 0;
}

ssize_t pwrite(int fd, const void *bytes, size_t n, off_t at)
{
    int error = write_fails(fd, bytes, n, at);
    if (!error)
        return REAL(pwrite)(fd, bytes, n, at);
    errno = error;
    return -1;
}

ssize_t pwrite64(int fd, const void *bytes, size_t n, off64_t at)
{
    return pwrite(fd, bytes, n, at);
}

static int sync_fails(int fd)
{
    if (!is_database(fd))
        return 0;
    if (tally->disk_error)
        return tally->disk_error;
    if (kind == FAULT_SYNC)
        return strikes(&tally->syncs, FAULT_SYNC, 1) ? EIO : 0;
    if (kind == FAULT_SLOW && strikes(&tally->syncs, FAULT_SLOW, 1)) {
        nanosleep(&(struct timespec){.tv_nsec = SLOW_MS * 1000000L}, NULL);
    } else if (kind != FAULT_SLOW && strikes(&tally->syncs, FAULT_DIE, 1)) {
        power_off();
    }
    return 0;
}

int fdatasync(int fd)
{
    int error = sync_fails(fd);
    if (!error)
        return REAL(fdatasync)(fd);
    errno = error;
    return -1;
}

int fsync(int fd)
{
    int error = sync_fails(fd);
    if (!error)
        return REAL(fsync)(fd);
    errno = error;
    return -1;
}

/* -- the machine -------------------------------------------------------------------------------------------------------------- */

int clock_gettime(clockid_t which, struct timespec *t)
{
    int error = REAL(clock_gettime)(which, t);
    if (tally && which == CLOCK_REALTIME)
        t->tv_sec += tally->shift_s;
    return error;
}

int statvfs(const char *path, struct statvfs *out)
{
    int error = REAL(statvfs)(path, out);
    if (tally && tally->percent_free)
        out->f_bavail = out->f_blocks / 100 * (fsblkcnt_t)tally->percent_free;
    return error;
}

/* -- network ---------------------------------------------------------------------------------------------------------------- */

int connect(int fd, const struct sockaddr *to, socklen_t size)
{
    if (tally && fd >= 0 && fd < DESCRIPTORS) {
        outgoing[fd] = to->sa_family == AF_INET || to->sa_family == AF_INET6;
        mute[fd] = false;
    }
    return REAL(connect)(fd, to, size);
}

/* As after a reset: nothing more comes or goes on it. */
static ssize_t line_cut(int fd)
{
    shutdown(fd, SHUT_RDWR);
    errno = ECONNRESET;
    return -1;
}

ssize_t send(int fd, const void *bytes, size_t n, int flags)
{
    if (tally && fd >= 0 && fd < DESCRIPTORS && outgoing[fd]) {
        if (kind == FAULT_ANSWER)
            mute[fd] = strikes(&tally->sends, FAULT_ANSWER, 1) || mute[fd];
        else if (strikes(&tally->sends, FAULT_SEND, 1))
            return line_cut(fd);
    }
    return REAL(send)(fd, bytes, n, flags);
}

ssize_t recv(int fd, void *bytes, size_t n, int flags)
{
    ssize_t got = REAL(recv)(fd, bytes, n, flags);
    if (!tally || fd < 0 || fd >= DESCRIPTORS || !mute[fd] || !outgoing[fd] || got <= 0)
        return got;
    mute[fd] = false; /* the far side has answered: it has the text, and we shall not know */
    return line_cut(fd);
}

int close(int fd)
{
    if (tally && fd >= 0 && fd < DESCRIPTORS)
        outgoing[fd] = mute[fd] = false;
    return REAL(close)(fd);
}
