/* Mean and SD against certified values: NIST's Statistical Reference Datasets (StRD, univariate, public domain), and the
 * systolic values `sbp` of Debian's r-cran-multcomp 1.4-22.
 *
 * NumAcc1 to 4 are made here by their definition. The other sets, and all certified figures, are from memory; that
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

/* A daily lottery's numbers, as NIST has them. */
static int lottery(double *x)
{
    static const short drawn[] = {
        162, 671, 933, 414, 788, 730, 817, 33, 536, 875, 670, 236, 473, 167, 877, 980, 316, 950, 456, 92, 517, 557, 956,
        954, 104, 178, 794, 278, 147, 773, 437, 435, 502, 610, 582, 780, 689, 562, 964, 791, 28, 97, 848, 281, 858, 538,
        660, 972, 671, 613, 867, 448, 738, 966, 139, 636, 847, 659, 754, 243, 122, 455, 195, 968, 793, 59, 730, 361,
        574, 522, 97, 762, 431, 158, 429, 414, 22, 629, 788, 999, 187, 215, 810, 782, 47, 34, 108, 986, 25, 644, 829,
        630, 315, 567, 919, 331, 207, 412, 242, 607, 668, 944, 749, 168, 864, 442, 533, 805, 372, 63, 458, 777, 416,
        340, 436, 140, 919, 350, 510, 572, 905, 900, 85, 389, 473, 758, 444, 169, 625, 692, 140, 897, 672, 288, 312,
        860, 724, 226, 884, 508, 976, 741, 476, 417, 831, 15, 318, 432, 241, 114, 799, 955, 833, 358, 935, 146, 630,
        830, 440, 642, 356, 373, 271, 715, 367, 393, 190, 669, 8, 861, 108, 795, 269, 590, 326, 866, 64, 523, 862, 840,
        219, 382, 998, 4, 628, 305, 747, 247, 34, 747, 729, 645, 856, 974, 24, 568, 24, 694, 608, 480, 410, 729, 947,
        293, 53, 930, 223, 203, 677, 227, 62, 455, 387, 318, 562, 242, 428, 968};
    int n = sizeof drawn / sizeof *drawn;
    for (int i = 0; i < n; i++)
        x[i] = drawn[i];
    return n;
}

/* Deflections of a beam (Lew), about zero: much is lost if the mean is subtracted late. */
static int lew(double *x)
{
    static const short deflections[] = {
        -213, -564, -35, -15, 141, 115, -420, -360, 203, -338, -431, 194, -220, -513, 154, -125, -559, 92, -21, -579,
        -52, 99, -543, -175, 162, -457, -346, 204, -300, -474, 164, -107, -572, -8, 83, -541, -224, 180, -420, -374,
        201, -236, -531, 83, 27, -564, -112, 131, -507, -254, 199, -311, -495, 143, -46, -579, -90, 136, -472, -338,
        202, -287, -477, 169, -124, -568, 17, 48, -568, -135, 162, -430, -422, 172, -74, -577, -13, 92, -534, -243, 194,
        -355, -465, 156, -81, -578, -64, 139, -449, -384, 193, -198, -538, 110, -44, -577, -6, 66, -552, -164, 161,
        -460, -344, 205, -281, -504, 134, -28, -576, -118, 156, -437, -381, 200, -220, -540, 83, 11, -568, -160, 172,
        -414, -408, 188, -125, -572, -32, 139, -492, -321, 205, -262, -504, 142, -83, -574, 0, 48, -571, -106, 137,
        -501, -266, 190, -391, -406, 194, -186, -553, 83, -13, -577, -49, 103, -515, -280, 201, 300, -506, 131, -45,
        -578, -80, 138, -462, -361, 201, -211, -554, 32, 74, -533, -235, 187, -372, -442, 182, -147, -566, 25, 68, -535,
        -244, 194, -351, -463, 174, -125, -570, 15, 72, -550, -190, 172, -424, -385, 198, -218, -536, 96};
    int n = sizeof deflections / sizeof *deflections;
    for (int i = 0; i < n; i++)
        x[i] = deflections[i];
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
        {"Lottery", lottery, 218, 518.958715596330, 291.699727470969, 1e-12},
        {"Lew", lew, 200, -177.435000000000, 277.332168044316, 1e-12},
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
