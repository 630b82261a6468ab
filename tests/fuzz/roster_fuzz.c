/* A table of patients, any bytes: cells lie in the table, and a patient that is taken has what enrolment promises.
 */
#include <glib.h>

#include "gateway/csv.h"
#include "gateway/enrolment.h"
#include "tests/fuzz/fuzz.h"

static const struct enrolment_option *option_of(const char *name)
{
    const struct enrolment_option *o = enrolment_options;
    while (o->name && strcmp(o->name, name))
        o++;
    return o->name ? o : NULL;
}

static void person_check(const struct person *p)
{
    static const char ref[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-._/";
    CLAIM(strspn(p->ref, ref) == strlen(p->ref) && strlen(p->ref) < REF_MAX, "a ref is of few characters");
    CLAIM(!p->phone[0] || (p->phone[0] == '+' && strspn(p->phone + 1, "0123456789") == strlen(p->phone) - 1), "E.164");
    CLAIM(g_utf8_validate(p->name, -1, NULL) && g_utf8_validate(p->tag, -1, NULL), "names are UTF-8");
    CLAIM(!(p->arm_cm > 0) || (p->arm_cm > 5 && p->arm_cm < 100), "an arm is an arm");
    CLAIM(p->remind_morning >= -1 && p->remind_morning < 1440, "minutes");
}

static void row_try(const struct enrolment_place *place, const struct csv *csv, const struct csv_row *row)
{
    char why[ENROLMENT_WHY];
    struct enrolment e;
    bool good = true;
    enrolment_blank(&e, place->clinic);
    for (int i = 0; i < row->n; i++) {
        const struct enrolment_option *o = option_of(csv_cell(csv, &csv->rows[0], i));
        const char *cell = csv_cell(csv, row, i);
        why[0] = '\0';
        if (!o || !*cell)
            continue;
        bool taken = o->take(place, o, cell, &e, why);
        CLAIM(taken || why[0], "a bad cell is told why");
        good = good && taken;
    }
    person_check(&e.person);
    why[0] = '\0';
    CLAIM(enrolment_check(place, &e, why) || why[0] || !good, "a bad patient is told why");
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct config config;
    struct csv csv;
    struct csv_fault fault = {0};
    if (!config.n_clinics)
        practice_open(&config, NULL);
    struct enrolment_place place = {&config, &config.clinics[0], 20780};
    char *text = text_of(data, size);
    if (csv_read(&csv, text, size, &fault) == 0) {
        for (int i = 0; i < csv.n_rows; i++) {
            CLAIM(csv.rows[i].n > 0 && csv.rows[i].first + csv.rows[i].n <= csv.n_cells, "cells are in the table");
            row_try(&place, &csv, &csv.rows[i]);
        }
    } else {
        CLAIM(fault.what && fault.row >= 0 && fault.column > 0, "a fault is told with its place");
    }
    csv_clear(&csv);
    free(text);
    return 0;
}
