/* What the harness and the shim inside the program share: which call shall fail, and how many there were.
 *
 * TORTURE="KIND N" or "KIND N EVERY" (and each EVERYth from there on) in the environment names the fault, TORTURE_TALLY a file of counters that both map. Each kind is
 * counted from 1, from the start of the process; N 0 fails nothing and only counts.
 */
#ifndef QUIETARM_FAULT_H
#define QUIETARM_FAULT_H

#include <stdatomic.h>
#include <stdint.h>

enum fault_kind {
    FAULT_ALLOC,  /* malloc, calloc, realloc return NULL, once */
    FAULT_WRITE,  /* a write to the database's files: EIO, once */
    FAULT_FULL,   /* the same: ENOSPC, for FULL_CALLS of them */
    FAULT_TEAR,   /* half of it is written, then the power goes */
    FAULT_SYNC,   /* fsync, fdatasync: EIO, once */
    FAULT_DIE,    /* the power goes before a sync; what was written may be there or not */
    FAULT_SLOW,   /* a sync takes SLOW_MS */
    FAULT_SEND,   /* an outbound send: the line is cut before it */
    FAULT_ANSWER, /* an outbound send goes out whole, its answer never comes */
    FAULT_KINDS
};

enum { FULL_CALLS = 8, SLOW_MS = 300 };

static const char *const fault_names[FAULT_KINDS] = {"alloc", "write", "full", "tear", "sync", "die", "slow", "send", "answer"};

struct fault_tally {
    _Atomic uint64_t allocs, writes, syncs, sends; /* calls so far */
    _Atomic int disk_error;                        /* every write to the database has this errno while it is set */
    _Atomic int64_t shift_s;                       /* the wall clock is off by this */
    _Atomic int percent_free;                      /* what statvfs says, when set */
    _Atomic uint64_t struck;                       /* how often a fault was done */
};

#endif
