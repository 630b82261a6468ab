/* The list as it is loaded, between list.c, which loads it, and matter.c, which writes a patient of it. */
#ifndef QUIETARM_DESK_LIST_H
#define QUIETARM_DESK_LIST_H

#include "gateway/web/desk/pages.h"

struct item {
    int rank;                      /* alerts first: 0 emergency, 1 urgent; then 10 + the row's */
    int64_t at, person;
    const struct alert *alert;     /* one of the two */
    const struct desk_row *row;
    bool first;                    /* its patient's worst */
};

struct list {
    bool put_off;                  /* not what needs a person now, but what is put off until later */
    struct item *items;
    size_t n, cap;
    struct alert *alerts[64];      /* of each clinic, malloced */
    struct desk_row *rows[64];
    size_t n_clinics, n_put_off, n_people;
    bool more;                     /* not all rows were loaded */
};

/* Everybody from the `skip`th patient on, LIST_PATIENTS of them, each once. */
void matters_write(struct page *p, const struct list *l, size_t skip);

#endif
