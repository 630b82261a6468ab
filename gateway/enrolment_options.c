/* The options of enrol, which are the columns of a roster: one row each, with the reader that takes its value.
 *
 * A value is taken whole or refused with what to write instead; nothing is rounded into range. Lengths in inches become
 * centimetres to one decimal (1 in is 2.54 cm by definition).
 */
#include "gateway/enrolment.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "gateway/care/care.h"
#include "gateway/flow/flow.h"
#include "gateway/phones.h"
#include "gateway/web/phone.h"

#define OPTION_ARGS                                                                                          \
    const struct enrolment_place *p, const struct enrolment_option *o, const char *text,                     \
        struct enrolment *e, char why[ENROLMENT_WHY]
#define CM_AN_INCH 2.54
enum {
    ADULT_YEARS = 18,
    OLDEST_YEARS = 130,
    ARM_LEAST = 10,
    ARM_MOST = 80,
    DUE_DAYS = 300,
    BIRTH_DAYS = 366,
    OFFICE_DAYS = 3660
};

static void *field(const struct enrolment_option *o, struct enrolment *e)
{
    return (char *)&e->person + o->at;
}

static bool bad(char why[ENROLMENT_WHY], const char *text, const char *what)
{
    snprintf(why, ENROLMENT_WHY, "%.60s: %s", text, what);
    for (char *c = why; *c; c++)
        if ((unsigned char)*c < ' ' || *c == 0x7f)
            *c = ' '; /* a mistake is one line */
    return false;
}

/* -- text ---------------------------------------------------------------------------------------------------------------------- */

static bool has_control(const char *s)
{
    for (; *s; s++)
        if ((unsigned char)*s < ' ' || *s == 0x7f)
            return true;
    return false;
}

static bool text_option(OPTION_ARGS)
{
    (void)p;
    if (strlen(text) >= o->size || has_control(text))
        return bad(why, text, "too long, or a control character in it; shorten it");
    snprintf(field(o, e), o->size, "%s", text);
    return true;
}

static bool ref_option(OPTION_ARGS)
{
    static const char allowed[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-._/";
    if (!*text || strlen(text) >= o->size || strspn(text, allowed) != strlen(text))
        return bad(why, text, "not a ref; write 1 to 40 of letters, digits, - . _ /");
    return text_option(p, o, text, e, why);
}

static bool phone_option(OPTION_ARGS)
{
    char plain[PHONE_MAX];
    phone_normal(text, plain);
    if (!phone_e164(plain))
        return bad(
            why, text,
            "not a phone number with its country; write +, country and number, for example +447700900123");
    if (config_clinic_by_number(p->config, plain))
        return bad(why, text, "that is a clinic's own number; write the patient's");
    snprintf(field(o, e), o->size, "%s", plain);
    return true;
}

static bool tag_option(OPTION_ARGS)
{
    const char *c = text;
    while (isalnum((unsigned char)*c) || (unsigned char)*c >= 0x80)
        c++;
    if (!*text || *c || strlen(text) >= o->size || strspn(text, "0123456789") == strlen(text))
        return bad(
            why, text,
            "not a tag; write one short word, such as a first name, that begins the texts of this patient");
    return text_option(p, o, text, e, why);
}

/* -- words ----------------------------------------------------------------------------------------------------------------------- */

/* Which of the words it is; -1 and told. */
static int word_of(const char *text, const char *const *words, int n, char why[ENROLMENT_WHY])
{
    for (int i = 0; i < n; i++)
        if (strcasecmp(text, words[i]) == 0)
            return i;
    int used = snprintf(why, ENROLMENT_WHY, "%.60s: unknown; write ", text);
    for (int i = 0; i < n && used < ENROLMENT_WHY; i++)
        used += snprintf(why + used, (size_t)(ENROLMENT_WHY - used), "%s%s",
                         i == 0       ? ""
                         : i == n - 1 ? " or "
                                      : ", ",
                         words[i]);
    return -1;
}

static bool carer_option(OPTION_ARGS)
{
    static const char *const words[] = {"self", "carer"};
    (void)p, (void)o;
    int at = word_of(text, words, 2, why);
    e->person.carer = at == 1;
    return at >= 0;
}

static bool joined_option(OPTION_ARGS)
{
    static const char *const words[] = {"no", "yes"};
    (void)p, (void)o;
    int at = *text ? word_of(text, words, 2, why) : 1; /* the bare option */
    e->joined = at == 1;
    return at >= 0;
}

static bool known_option(OPTION_ARGS)
{
    static const char *const words[] = {"unknown", "no", "yes"}; /* as enum answer3 */
    (void)p;
    int at = word_of(text, words, 3, why);
    if (at >= 0)
        *(uint8_t *)field(o, e) = (uint8_t)at;
    return at >= 0;
}

static bool arm_side_option(OPTION_ARGS)
{
    static const char *const words[] = {"left", "right"};
    (void)p;
    int at = word_of(text, words, 2, why);
    if (at >= 0)
        *(uint8_t *)field(o, e) = at == 0 ? ARM_LEFT : ARM_RIGHT;
    return at >= 0;
}

static bool rhythm_option(OPTION_ARGS)
{
    static const char *const words[] = {"af", "regular"};
    (void)p, (void)o;
    int at = word_of(text, words, 2, why);
    e->person.af = at == 0;
    return at >= 0;
}

static bool language_option(OPTION_ARGS)
{
    if (!config_language(p->config, text))
        return bad(why, text,
                   "no texts are in this language; write en, es or one that your texts folder adds");
    return text_option(p, o, text, e, why);
}

static bool zone_option(OPTION_ARGS)
{
    struct offsets table;
    if (strlen(text) >= o->size || !zone_offsets(text, clock_now(), &table))
        return bad(why, text, "no time zone is so named; write an IANA name such as Europe/London");
    return text_option(p, o, text, e, why);
}

/* A protocol that is linked in, or the file that a clinic names in the configuration. */
static bool protocol_option(OPTION_ARGS)
{
    struct protocol found;
    char unused[200];
    bool known = strcmp(text, p->clinic->protocol_name) == 0 ||
                 protocol_find(text, &found, unused, sizeof unused) == 0;
    if (!known)
        return bad(why, text,
                   "no protocol is so named; write esh, nice, aha, canada, jsh, or the clinic's own");
    return text_option(p, o, text, e, why);
}

/* -- times and days ---------------------------------------------------------------------------------------------------------------- */

/* Two int16_t, from and to. */
static bool window_option(OPTION_ARGS)
{
    struct span span;
    (void)p;
    if (!span_read(text, &span) || span.from == span.to)
        return bad(why, text, "not a window of time; write HH:MM-HH:MM, for example 05:00-12:00");
    ((int16_t *)field(o, e))[0] = span.from;
    ((int16_t *)field(o, e))[1] = span.to;
    return true;
}

static bool time_option(OPTION_ARGS)
{
    int16_t minute;
    (void)p;
    if (!minutes_read(text, &minute) || minute == MINUTES_A_DAY)
        return bad(why, text, "not a time of the day; write HH:MM, for example 07:30");
    *(int16_t *)field(o, e) = minute;
    return true;
}

static bool day_between(const char *text, int64_t least, int64_t most, const char *what, int32_t *day,
                        char why[ENROLMENT_WHY])
{
    int32_t read;
    if (!date_read(text, &read))
        return bad(why, text, "not a date; write YYYY-MM-DD");
    if (read < least || read > most)
        return bad(why, text, what);
    *day = read;
    return true;
}

static bool born_option(OPTION_ARGS)
{
    int y, m, d;
    int32_t born = DAY_NONE;
    (void)o;
    if (!day_between(text, (int64_t)p->today - OLDEST_YEARS * 366, p->today,
                     "not a day of birth; write YYYY-MM-DD", &born, why))
        return false;
    civil_date(born, &y, &m, &d);
    bool leap_day = m == 2 && d == 29;
    int32_t adult = civil_day(y + ADULT_YEARS, leap_day ? 3 : m, leap_day ? 1 : d);
    if (adult > p->today)
        return bad(why, text, "under 18; this is for adults only, follow the clinic's way for children");
    e->person.born = born;
    return true;
}

static bool pregnant_option(OPTION_ARGS)
{
    (void)o;
    e->person.pregnant = true;
    return day_between(text, (int64_t)p->today - 30, (int64_t)p->today + DUE_DAYS,
                       "not a due date from here; write the day that the birth is due",
                       &e->person.pregnant_due, why);
}

static bool birth_option(OPTION_ARGS)
{
    (void)o;
    return day_between(text, (int64_t)p->today - BIRTH_DAYS, p->today,
                       "not within the last year; write the day of the birth", &e->person.birth, why);
}

static bool start_option(OPTION_ARGS)
{
    (void)o;
    return day_between(text, p->today, (int64_t)p->today + 366,
                       "not from today to a year ahead; write the first day to measure", &e->person.start,
                       why);
}

/* -- measures --------------------------------------------------------------------------------------------------------------------- */

/* A length at *s, at most 3 digits and 2 decimals; moves on. -1 when there is none. */
static double length_read(const char **s)
{
    size_t n = strspn(*s, "0123456789."), whole = strspn(*s, "0123456789");
    char *end;
    if (whole == 0 || whole > 3 || n > whole + 3)
        return -1;
    double value = strtod(*s, &end);
    if (end != *s + n)
        return -1;
    *s += n;
    return value;
}

/* To cm when `unit` says inches; -1 when it is neither cm nor in. */
static double length_cm(double value, const char *unit)
{
    if (*unit == ' ')
        unit++;
    if (strcasecmp(unit, "in") == 0)
        return round(value * CM_AN_INCH * 10) / 10;
    return *unit == '\0' || strcasecmp(unit, "cm") == 0 ? value : -1;
}

static bool length_good(double cm)
{
    return cm >= ARM_LEAST && cm <= ARM_MOST;
}

static bool arm_option(OPTION_ARGS)
{
    const char *s = text;
    (void)p, (void)o;
    double value = length_read(&s), cm = value < 0 ? -1 : length_cm(value, s);
    if (!length_good(cm))
        return bad(why, text, "not an arm's circumference; write 10 to 80 cm as 31, or inches as 12.5in");
    e->person.arm_cm = cm;
    e->person.arm_by_staff = true;
    return true;
}

static bool cuff_option(OPTION_ARGS)
{
    const char *s = text;
    (void)p, (void)o;
    double low = length_read(&s), high = low < 0 || *s++ != '-' ? -1 : length_read(&s);
    if (high >= 0)
        low = length_cm(low, s), high = length_cm(high, s);
    if (!length_good(low) || !length_good(high) || low >= high)
        return bad(why, text, "not a cuff's range; write as printed on it, 22-42 or 9-17in");
    e->person.cuff_low = low;
    e->person.cuff_high = high;
    return true;
}

/* 148/92@2026-11-20 */
static bool office_option(OPTION_ARGS)
{
    static const char form[] =
        "not an office figure; write SYSTOLIC/DIASTOLIC@DATE, for example 148/92@2026-11-20";
    char part[2][8];
    int64_t sys, dia;
    const char *slash = strchr(text, '/'), *at = strchr(text, '@');
    (void)o;
    if (!slash || !at || at < slash || slash - text > 3 || at - slash > 4)
        return bad(why, text, form);
    snprintf(part[0], 8, "%.*s", (int)(slash - text), text);
    snprintf(part[1], 8, "%.*s", (int)(at - slash - 1), slash + 1);
    if (!whole_read(part[0], 50, 300, &sys) || !whole_read(part[1], 20, 200, &dia) || dia >= sys)
        return bad(why, text, form);
    e->person.office_sys = (int16_t)sys;
    e->person.office_dia = (int16_t)dia;
    return day_between(at + 1, (int64_t)p->today - OFFICE_DAYS, p->today,
                       "not a day of the last ten years; write when it was measured", &e->person.office_day,
                       why);
}

/* -- the table ----------------------------------------------------------------------------------------------------------------------- */

#define AT(member) offsetof(struct person, member), sizeof(((struct person *)0)->member)
const struct enrolment_option enrolment_options[] = {
    {"ref", "R", ref_option, AT(ref), .needed = true},
    {"phone", "+E164", phone_option, AT(phone), .needed = true},
    {"joined", "", joined_option, .flag = true},
    {"name", "NAME", text_option, AT(name)},
    {"born", "DATE", born_option, AT(born)},
    {"tag", "WORD", tag_option, AT(tag)},
    {"sent-by", "self|carer", carer_option, AT(carer)},
    {"language", "en|es", language_option, AT(language)},
    {"time-zone", "ZONE", zone_option, AT(zone)},
    {"morning", "HH:MM-HH:MM", window_option, AT(morning_from)},
    {"evening", "HH:MM-HH:MM", window_option, AT(evening_from)},
    {"remind-morning", "HH:MM", time_option, AT(remind_morning)},
    {"remind-evening", "HH:MM", time_option, AT(remind_evening)},
    {"quiet", "HH:MM-HH:MM", window_option, AT(quiet_from)},
    {"arm", "CM|Nin", arm_option, AT(arm_cm)},
    {"cuff", "LO-HI|LO-HIin", cuff_option, AT(cuff_low)},
    {"monitor", "TEXT", text_option, AT(monitor)},
    {"validated", "yes|no|unknown", known_option, AT(validated)},
    {"on-arm", "left|right", arm_side_option, AT(on_arm)},
    {"office", "SYS/DIA@DATE", office_option, AT(office_sys)},
    {"protocol", "P", protocol_option, AT(protocol)},
    {"rhythm", "af", rhythm_option, AT(af)},
    {"pregnant", "DUE", pregnant_option, AT(pregnant)},
    {"birth", "DATE", birth_option, AT(birth)},
    {"treated", "yes|no", known_option, AT(treated)},
    {"start", "DATE", start_option, AT(start)},
    {NULL},
};
_Static_assert(offsetof(struct person, morning_to) ==
                       offsetof(struct person, morning_from) + sizeof(int16_t) &&
                   offsetof(struct person, evening_to) ==
                       offsetof(struct person, evening_from) + sizeof(int16_t) &&
                   offsetof(struct person, quiet_to) == offsetof(struct person, quiet_from) + sizeof(int16_t),
               "window_option fills two neighbours");
