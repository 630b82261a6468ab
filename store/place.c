/* Where a store is: the state folder with its one server's lock, and which driver opens it.
 *
 * The choice is the process's, made once, before anything is opened and any thread runs. A folder is there with every store:
 * the key of the refusals, the list of the erased and the lock never leave the machine.
 */
#include "store/place.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#define LOCK_NAME "quietarm.lock"

static const struct driver *const drivers[] = {&driver_sqlite, &driver_postgres};
static const struct driver *chosen = &driver_sqlite;
static char chosen_conninfo[STORE_CONNINFO_MAX];

bool store_choose(const char *name, const char *conninfo)
{
    for (size_t i = 0; i < COUNT(drivers); i++) {
        if (strcmp(drivers[i]->name, name) != 0)
            continue;
        chosen = drivers[i];
        snprintf(chosen_conninfo, sizeof chosen_conninfo, "%s", conninfo ? conninfo : "");
        return true;
    }
    return false;
}

const char *store_name(size_t i, bool *needs_conninfo)
{
    if (i >= COUNT(drivers))
        return NULL;
    *needs_conninfo = drivers[i]->shared;
    return drivers[i]->name;
}

const struct driver *place_driver(void)
{
    return chosen;
}

const char *place_conninfo(void)
{
    return chosen_conninfo;
}

int place_fail(char *why, size_t size, int error, const char *what, const char *name)
{
    snprintf(why, size, "%s: %s", name, what);
    return error;
}

int place_fail_errno(char *why, size_t size, const char *name)
{
    int error = errno == ENOSPC || errno == EDQUOT ? STORE_FULL : errno == ENOENT ? STORE_ABSENT : STORE_IO;
    return place_fail(why, size, error, strerror(errno), name);
}

int folder_make(const char *folder, char *why, size_t size)
{
    struct stat s;
    if (mkdir(folder, 0700) != 0 && errno != EEXIST)
        return place_fail_errno(why, size, folder);
    if (stat(folder, &s) != 0)
        return place_fail_errno(why, size, folder);
    if (!S_ISDIR(s.st_mode))
        return place_fail(why, size, STORE_IO, "not a folder", folder);
    if ((s.st_mode & 077) != 0 && chmod(folder, 0700) != 0)
        return place_fail_errno(why, size, folder);
    return 0;
}

int folder_lock(const char *folder, int *lock, char *why, size_t size)
{
    char path[PLACE_PATH];
    snprintf(path, sizeof path, "%s/%s", folder, LOCK_NAME);
    *lock = open(path, O_RDWR | O_CREAT | O_CLOEXEC, 0600);
    if (*lock < 0)
        return place_fail_errno(why, size, path);
    if (flock(*lock, LOCK_EX | LOCK_NB) == 0)
        return 0;
    bool held = errno == EWOULDBLOCK;
    int error = held ? place_fail(why, size, STORE_BUSY, "another quietarm serves this folder; stop it first", folder)
                     : place_fail_errno(why, size, path);
    close(*lock);
    *lock = -1;
    return error;
}
