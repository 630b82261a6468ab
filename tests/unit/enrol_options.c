/* What enrol's options, which are a roster's columns, take, and what each refusal says. The day is 24 November 2026.
 *
 * An inch is 2.54 cm by the international definition of 1959.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "gateway/care/care.h"
#include "gateway/enrolment.h"

static struct clinic maple = {.id = "maple",
                              .text_number = "+447700900001",
                              .zone = "Europe/London",
                              .language = "en",
                              .morning = {300, 720},
                              .evening = {960, 1440},
                              .protocol_name = "own.protocol"};
static struct config config = {.clinics = &maple, .n_clinics = 1};
static struct enrolment_place place = {.config = &config, .clinic = &maple};

static const struct enrolment_option *option(const char *name)
{
    const struct enrolment_option *o = enrolment_options;
    while (o->name && strcmp(o->name, name) != 0)
        o++;
    assert_non_null(o->name);
    return o;
}

static void a_value_is_taken_or_refused_with_what_to_write(void **state)
{
    static const struct {
        const char *option, *text, *why; /* why NULL: taken */
    } rows[] = {
        {"ref", "P-0001", NULL},
        {"ref", "a.b/c_d-E", NULL},
        {"ref", "0123456789012345678901234567890123456789", NULL},
        {"ref", "01234567890123456789012345678901234567890",
         "01234567890123456789012345678901234567890: not a ref; write 1 to 40 of letters, digits, - . _ /"},
        {"ref", "P 1", "P 1: not a ref; write 1 to 40 of letters, digits, - . _ /"},
        {"ref", "", ": not a ref; write 1 to 40 of letters, digits, - . _ /"},
        {"phone", "+447700900123", NULL},
        {"phone", "+44 (7700) 900-123", NULL},
        {"phone", "0044 7700 900123", NULL},
        {"phone", "07700 900123",
         "07700 900123: not a phone number with its country; write +, country and number, for example "
         "+447700900123"},
        {"phone", "+447700900001", "+447700900001: that is a clinic's own number; write the patient's"},
        {"joined", "", NULL}, /* the bare option */
        {"joined", "yes", NULL},
        {"joined", "NO", NULL},
        {"joined", "perhaps", "perhaps: unknown; write no or yes"},
        {"name", "Jo Doe", NULL},
        {"name", "Jo\nDoe", "Jo Doe: too long, or a control character in it; shorten it"},
        {"born", "2008-11-24", NULL}, /* 18 today */
        {"born", "2008-11-25",
         "2008-11-25: under 18; this is for adults only, follow the clinic's way for children"},
        {"born", "2027-01-01", "2027-01-01: not a day of birth; write YYYY-MM-DD"},
        {"born", "1890-01-01", "1890-01-01: not a day of birth; write YYYY-MM-DD"},
        {"born", "24/11/1950", "24/11/1950: not a date; write YYYY-MM-DD"},
        {"tag", "Ana", NULL},
        {"tag", "Jos\xC3\xA9", NULL},
        {"tag", "12",
         "12: not a tag; write one short word, such as a first name, that begins the texts of this patient"},
        {"tag", "Ana Maria",
         "Ana Maria: not a tag; write one short word, such as a first name, that begins the texts of this "
         "patient"},
        {"sent-by", "carer", NULL},
        {"sent-by", "nurse", "nurse: unknown; write self or carer"},
        {"language", "es", NULL},
        {"language", "fr",
         "fr: no texts are in this language; write en, es or one that your texts folder adds"},
        {"time-zone", "Europe/Madrid", NULL},
        {"time-zone", "Madrid", "Madrid: no time zone is so named; write an IANA name such as Europe/London"},
        {"morning", "17:00-22:00", NULL},
        {"morning", "17-22", "17-22: not a window of time; write HH:MM-HH:MM, for example 05:00-12:00"},
        {"remind-morning", "07:30", NULL},
        {"remind-morning", "7:30", "7:30: not a time of the day; write HH:MM, for example 07:30"},
        {"arm", "31", NULL},
        {"arm", "31.5 cm", NULL},
        {"arm", "12.5in", NULL},
        {"arm", "3", "3: not an arm's circumference; write 10 to 80 cm as 31, or inches as 12.5in"},
        {"arm", "31.555", "31.555: not an arm's circumference; write 10 to 80 cm as 31, or inches as 12.5in"},
        {"arm", "31 kg", "31 kg: not an arm's circumference; write 10 to 80 cm as 31, or inches as 12.5in"},
        {"cuff", "22-42", NULL},
        {"cuff", "9-17in", NULL},
        {"cuff", "42-22", "42-22: not a cuff's range; write as printed on it, 22-42 or 9-17in"},
        {"cuff", "22", "22: not a cuff's range; write as printed on it, 22-42 or 9-17in"},
        {"cuff", "-22-42", "-22-42: not a cuff's range; write as printed on it, 22-42 or 9-17in"},
        {"validated", "unknown", NULL},
        {"validated", "maybe", "maybe: unknown; write unknown, no or yes"},
        {"on-arm", "left", NULL},
        {"office", "148/92@2026-11-20", NULL},
        {"office", "148/92",
         "148/92: not an office figure; write SYSTOLIC/DIASTOLIC@DATE, for example 148/92@2026-11-20"},
        {"office", "92/148@2026-11-20",
         "92/148@2026-11-20: not an office figure; write SYSTOLIC/DIASTOLIC@DATE, for example "
         "148/92@2026-11-20"},
        {"office", "148/92@2026-11-25",
         "2026-11-25: not a day of the last ten years; write when it was measured"},
        {"protocol", "nice", NULL},
        {"protocol", "own.protocol", NULL}, /* the clinic's */
        {"protocol", "other.protocol",
         "other.protocol: no protocol is so named; write esh, nice, aha, canada, jsh, or the clinic's own"},
        {"rhythm", "af", NULL},
        {"rhythm", "fast", "fast: unknown; write af or regular"},
        {"pregnant", "2027-03-01", NULL},
        {"pregnant", "2028-03-01",
         "2028-03-01: not a due date from here; write the day that the birth is due"},
        {"birth", "2026-10-01", NULL},
        {"birth", "2026-12-01", "2026-12-01: not within the last year; write the day of the birth"},
        {"treated", "yes", NULL},
        {"start", "2026-11-24", NULL},
        {"start", "2026-11-23", "2026-11-23: not from today to a year ahead; write the first day to measure"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct enrolment e;
        char why[ENROLMENT_WHY] = "";
        const struct enrolment_option *o = option(rows[i].option);
        enrolment_blank(&e, &maple);
        bool taken = o->take(&place, o, rows[i].text, &e, why);
        if (taken != !rows[i].why || (!taken && strcmp(why, rows[i].why) != 0))
            fail_msg("%s = %s: %d, %s", rows[i].option, rows[i].text, taken, why);
    }
}

static void take(struct enrolment *e, const char *name, const char *text)
{
    char why[ENROLMENT_WHY];
    assert_true(option(name)->take(&place, option(name), text, e, why));
}

static void values_stand_where_care_looks_for_them(void **state)
{
    (void)state;
    struct enrolment e;
    enrolment_blank(&e, &maple);
    assert_int_equal(e.person.morning_from, -1); /* the clinic's */
    assert_string_equal(e.person.language, "en");
    take(&e, "phone", "0044 (7700) 900-123");
    take(&e, "arm", "12.5in");
    take(&e, "cuff", "9-17in");
    take(&e, "morning", "17:00-22:00");
    take(&e, "quiet", "08:00-16:00");
    take(&e, "on-arm", "right");
    take(&e, "validated", "no");
    take(&e, "treated", "yes");
    take(&e, "office", "148/92@2026-11-20");
    take(&e, "pregnant", "2027-03-01");
    take(&e, "rhythm", "af");
    take(&e, "joined", "");
    assert_string_equal(e.person.phone, "+447700900123");
    assert_true(fabs(e.person.arm_cm - 31.8) < 1e-9); /* 12.5 × 2.54 = 31.75, to one decimal */
    assert_true(e.person.arm_by_staff);
    assert_true(fabs(e.person.cuff_low - 22.9) < 1e-9 && fabs(e.person.cuff_high - 43.2) < 1e-9);
    assert_int_equal(e.person.morning_from, 17 * 60);
    assert_int_equal(e.person.morning_to, 22 * 60);
    assert_int_equal(e.person.quiet_to, 16 * 60);
    assert_int_equal(e.person.on_arm, ARM_RIGHT);
    assert_int_equal(e.person.validated, ANSWER_NO);
    assert_int_equal(e.person.treated, ANSWER_YES);
    assert_int_equal(e.person.office_sys, 148);
    assert_int_equal(e.person.office_day, civil_day(2026, 11, 20));
    assert_true(e.person.pregnant && e.person.af && e.joined);
    assert_int_equal(e.person.pregnant_due, civil_day(2027, 3, 1));
}

static void windows_of_one_patient_must_not_overlap(void **state)
{
    static const struct {
        const char *morning, *evening;
        bool good;
    } rows[] = {
        {NULL, NULL, true},
        {"17:00-22:00", "05:00-10:00", true}, /* night work: after waking is in the evening */
        {"17:00-22:00", NULL, false},         /* beside the clinic's evening */
        {"10:00-14:00", "14:00-18:00", true},
        {"10:00-14:01", "14:00-18:00", false},
        {"22:00-02:00", "10:00-12:00", true},
        {"22:00-02:00", "01:00-05:00", false},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct enrolment e;
        char why[ENROLMENT_WHY] = "";
        enrolment_blank(&e, &maple);
        if (rows[i].morning)
            take(&e, "morning", rows[i].morning);
        if (rows[i].evening)
            take(&e, "evening", rows[i].evening);
        if (enrolment_check(&place, &e, why) != rows[i].good)
            fail_msg("row %zu: %s", i, why);
    }
}

int main(void)
{
    place.today = civil_day(2026, 11, 24);
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_value_is_taken_or_refused_with_what_to_write),
        cmocka_unit_test(values_stand_where_care_looks_for_them),
        cmocka_unit_test(windows_of_one_patient_must_not_overlap),
    };
    return cmocka_run_group_tests_name("enrol_options", tests, NULL, NULL);
}
