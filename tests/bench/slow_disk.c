/* Slow disk: preloaded, it makes each sync to disk take 5 ms longer. The sync itself is made all the same.
 */
#include <dlfcn.h>
#include <time.h>
#include <unistd.h>

static void wait_5_ms(void)
{
    struct timespec left = {.tv_nsec = 5000000};
    while (nanosleep(&left, &left) < 0)
        ;
}

static int sync_slowly(const char *name, int fd)
{
    int (*real)(int) = (int (*)(int))dlsym(RTLD_NEXT, name);
    int result = real(fd);
    wait_5_ms();
    return result;
}

int fsync(int fd)
{
    return sync_slowly("fsync", fd);
}

int fdatasync(int fd)
{
    return sync_slowly("fdatasync", fd);
}
