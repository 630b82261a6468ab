/* Mean and SD against certified values: NIST's Statistical Reference Datasets (StRD, univariate, public domain), and the
 * systolic values `sbp` of Debian's r-cran-multcomp 1.4-22.
 *
 * NumAcc1 to 4 are made here by their definition. Michelso and Mavro, and all certified figures, are from memory; that
 * mean and SD of the recalled values agree with the certified ones to the last digit is what shows them right. (PiDigits is
 * left out: its certified figures are not those of the true first 5,000 digits of pi, so it cannot be made.)
 */
#include "gateway/care/statistics.h"
#include "tests/week_fixture.h"

enum { VALUES = 1001 };

static int alternate(double *x, double first, double low, double high)
{
    x[0] = first;
    for (int i = 1; i <= 1000; i++)
        x[i] = i % 2 ? low : high;
    return 1001;
}

static int num_acc1(double *x)
{
    x[0] = 10000001, x[1] = 10000003, x[2] = 10000002;
    return 3;
}

static int num_acc2(double *x)
{
    return alternate(x, 1.2, 1.1, 1.3);
}

static int num_acc3(double *x)
{
    return alternate(x, 1000000.2, 1000000.1, 1000000.3);
}

static int num_acc4(double *x)
{
    return alternate(x, 10000000.2, 10000000.1, 10000000.3);
}

/* The speed of light in air, km/s less 299,000 (Michelson 1879). */
static int michelso(double *x)
{
    static const short metres[] = {
        850,  740, 900, 1070, 930, 850, 950, 980, 980, 880, 1000, 980, 930, 650, 760, 810, 1000,
        1000, 960, 960, 960,  940, 960, 940, 880, 800, 850, 880,  900, 840, 830, 790, 810, 880,
        880,  830, 800, 790,  760, 800, 880, 880, 880, 860, 720,  720, 620, 860, 970, 950, 880,
        910,  850, 870, 840,  840, 850, 840, 840, 840, 890, 810,  810, 820, 800, 770, 760, 740,
        750,  760, 910, 920,  890, 860, 880, 720, 840, 850, 850,  780, 890, 840, 780, 810, 760,
        810,  790, 810, 820,  850, 870, 870, 810, 740, 810, 940,  950, 800, 810, 870};
    int n = sizeof metres / sizeof *metres;
    for (int i = 0; i < n; i++)
        x[i] = (299000 + metres[i]) / 1000.0;
    return n;
}

static int mavro(double *x)
{
    static const short parts[] = {180, 170, 180, 190, 180, 170, 150, 140, 150, 150, 170, 180, 180,
                                  190, 190, 210, 200, 160, 140, 130, 130, 150, 150, 160, 150, 140,
                                  130, 140, 150, 140, 150, 160, 150, 160, 190, 200, 200, 210, 220,
                                  230, 240, 250, 270, 260, 260, 260, 270, 260, 250, 240};
    int n = sizeof parts / sizeof *parts;
    for (int i = 0; i < n; i++)
        x[i] = (200000 + parts[i]) / 100000.0;
    return n;
}

static int sbp(double *x)
{
    static const short values[] = {144, 138, 145, 162, 142, 170, 124, 158, 154, 162, 150, 140, 110, 128,
                                   130, 135, 114, 116, 124, 136, 142, 120, 120, 160, 158, 144, 130, 125,
                                   175, 158, 185, 152, 159, 176, 156, 184, 138, 172, 168, 176, 164, 154,
                                   124, 142, 144, 149, 128, 130, 138, 150, 156, 134, 134, 174, 174, 158,
                                   144, 139, 180, 165, 172, 160, 157, 170, 153, 148, 140, 132, 169};
    int n = sizeof values / sizeof *values;
    for (int i = 0; i < n; i++)
        x[i] = values[i];
    return n;
}

/* `within` is relative. NumAcc4's values themselves are only stored to 2e-16 of ten million, a few 1e-9 of its SD. */
static void mean_and_sd_are_the_certified_ones(void **state)
{
    static const struct {
        const char *set;
        int (*make)(double *x);
        int n;
        double mean, sd, within;
    } rows[] = {
        {"NumAcc1", num_acc1, 3, 10000002, 1, 1e-15},
        {"NumAcc2", num_acc2, 1001, 1.2, 0.1, 1e-13},
        {"NumAcc3", num_acc3, 1001, 1000000.2, 0.1, 2e-9},
        {"NumAcc4", num_acc4, 1001, 10000000.2, 0.1, 2e-8},
        {"Michelso", michelso, 100, 299.852400000000, 0.0790105478190518, 1e-12},
        {"Mavro", mavro, 50, 2.00185600000000, 0.000429123454003053, 1e-12},
        {"sbp", sbp, 69, 148.724638, 18.475647, 2e-8},
    };
    static double x[VALUES];
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct series s = {0};
        int n = rows[i].make(x);
        for (int j = 0; j < n; j++)
            series_add(&s, x[j]);
        assert_int_equal(n, rows[i].n);
        double mean_off = fabs(series_mean(&s) / rows[i].mean - 1),
               sd_off = fabs(series_sd(&s) / rows[i].sd - 1);
        double mean_within = rows[i].within < 1e-14 ? 1e-14 : rows[i].within;
        if (mean_off > mean_within || sd_off > rows[i].within)
            fail_msg("%s: mean off by %g, SD by %g", rows[i].set, mean_off, sd_off);
    }
}

static void sbp_spans_what_its_package_says(void **state)
{
    double x[VALUES], least = INFINITY, most = 0;
    int n = sbp(x);

    (void)state;
    for (int i = 0; i < n; i++)
        least = fmin(least, x[i]), most = fmax(most, x[i]);
    assert_int_equal((int)least, 110);
    assert_int_equal((int)most, 185);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(mean_and_sd_are_the_certified_ones),
        cmocka_unit_test(sbp_spans_what_its_package_says),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
