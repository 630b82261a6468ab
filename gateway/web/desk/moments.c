/* Moments: instants in words, in the clinic's zone; near ones by how long ago they are, the exact one on hover and for
 * machines. Ages are rounded down.
 */
#include "gateway/web/desk/room.h"

#include <stdio.h>
#include <string.h>

static struct offsets clinic_offsets(const struct clinic *c, int64_t instant)
{
    struct offsets o = {.n = 1}; /* UTC, should the zone's file be gone */
    if (c)
        zone_offsets(c->zone, instant, &o);
    return o;
}

struct civil clinic_civil(const struct clinic *c, int64_t instant)
{
    struct offsets o = clinic_offsets(c, instant);
    return civil_at(&o, instant);
}

static const char *weekday_words(int32_t day)
{
    static const enum word names[7] = {WORD_MON, WORD_TUE, WORD_WED, WORD_THU, WORD_FRI, WORD_SAT, WORD_SUN};
    return word(names[civil_weekday(day)]);
}

static const char *month_words(int month)
{
    static const enum word names[12] = {WORD_JAN, WORD_FEB, WORD_MAR, WORD_APR, WORD_MAY, WORD_JUN,
                                        WORD_JUL, WORD_AUG, WORD_SEP, WORD_OCT, WORD_NOV, WORD_DEC};
    return word(names[month - 1]);
}

const char *day_exact(int32_t day, char words[MOMENT])
{
    int year, month, date;
    civil_date(day, &year, &month, &date);
    snprintf(words, MOMENT, "%s %d %s %d", weekday_words(day), date, month_words(month), year);
    return words;
}

const char *month_said(int month, char words[MOMENT])
{
    snprintf(words, MOMENT, "%s %d", month_words(month % 12 + 1), month / 12);
    return words;
}

const char *when_exact(const struct clinic *c, int64_t instant, char words[MOMENT])
{
    char day[MOMENT];
    struct civil t = clinic_civil(c, instant);
    snprintf(words, MOMENT, "%.40s %02d:%02d", day_exact(t.day, day), t.minute / 60, t.minute % 60);
    return words;
}

const char *age_words(int64_t seconds, char words[MOMENT])
{
    char digits[24];
    int64_t minutes = seconds / 60, n = minutes < 60 ? minutes : minutes < 2880 ? minutes / 60 : minutes / 1440;
    enum word w = minutes < 1      ? WORD_AGE_NOW
                  : minutes == 1   ? WORD_AGE_MINUTE
                  : minutes < 60   ? WORD_AGE_MINUTES
                  : minutes < 120  ? WORD_AGE_HOUR
                  : minutes < 2880 ? WORD_AGE_HOURS
                                   : WORD_AGE_DAYS;
    snprintf(digits, sizeof digits, "%lld", (long long)n);
    return words_of(words, MOMENT, w, (const char *const[4]){digits});
}

/* Within the last 12 hours by age; today and yesterday by name; else the day. */
static void near_words(const struct clinic *c, int64_t now, int64_t instant, char words[MOMENT])
{
    struct civil t = clinic_civil(c, instant), today = clinic_civil(c, now);
    char clock[16];
    int year, month, date;
    if (instant <= now && now - instant < 12 * 3600) {
        age_words(now - instant, words);
        return;
    }
    snprintf(clock, sizeof clock, "%02d:%02d", t.minute / 60, t.minute % 60);
    int32_t apart = today.day - t.day;
    enum word w = apart == 0 ? WORD_TODAY_AT : apart == 1 ? WORD_YESTERDAY_AT : apart == -1 ? WORD_TOMORROW_AT : WORD_NONE;
    if (w) {
        words_of(words, MOMENT, w, (const char *const[4]){clock});
        return;
    }
    civil_date(t.day, &year, &month, &date);
    if (apart > 300 || apart < -300)
        when_exact(c, instant, words);
    else
        snprintf(words, MOMENT, "%s %d %s %s", weekday_words(t.day), date, month_words(month), clock);
}

static void time_write(struct page *p, const struct clinic *c, int64_t instant, const char *words)
{
    char utc[TIME_TEXT], exact[MOMENT];
    time_utc(instant, utc);
    raw(p, "<time");
    attribute(p, "datetime", utc);
    raw(p, " title=\"");
    text(p, when_exact(c, instant, exact));
    raw(p, ", ");
    text(p, c ? c->zone : "UTC");
    raw(p, "\">");
    text(p, words);
    raw(p, "</time>");
}

void when(struct page *p, const struct clinic *c, int64_t instant)
{
    char words[MOMENT];
    if (instant == INSTANT_NONE)
        return;
    near_words(c, p->now, instant, words);
    time_write(p, c, instant, words);
}

void when_ago(struct page *p, const struct clinic *c, int64_t instant)
{
    char words[MOMENT];
    if (instant != INSTANT_NONE)
        time_write(p, c, instant, age_words(p->now - instant, words));
}

void zone_note(struct page *p, const struct clinic *c)
{
    raw(p, "<p class=\"second\">");
    say_of(p, TIMES_ARE, c ? c->zone : "UTC");
    raw(p, "</p>\n");
}

bool local_read(const struct clinic *c, const char *value, int64_t *instant)
{
    char date[11];
    struct civil local = {0};
    if (strlen(value) != 16 || (value[10] != 'T' && value[10] != ' '))
        return false;
    snprintf(date, sizeof date, "%.10s", value);
    if (!date_read(date, &local.day) || !minutes_read(value + 11, &local.minute) || local.minute >= MINUTES_A_DAY)
        return false;
    struct offsets o = clinic_offsets(c, (int64_t)local.day * 86400);
    *instant = civil_instant(&o, local);
    return true;
}

const char *local_write(const struct clinic *c, int64_t instant, char words[MOMENT])
{
    char date[TIME_TEXT];
    struct civil t = clinic_civil(c, instant);
    date_text(t.day, date);
    snprintf(words, MOMENT, "%sT%02d:%02d", date, t.minute / 60, t.minute % 60);
    return words;
}

const char *pressure_words(const struct reading *x, char words[MOMENT])
{
    char sys[16], dia[16], pulse[16];
    snprintf(sys, sizeof sys, "%d", x->sys);
    snprintf(dia, sizeof dia, "%d", x->dia);
    snprintf(pulse, sizeof pulse, "%d", x->pulse);
    enum word w = x->dia && x->pulse ? WORD_PRESSURE_PULSE : x->dia ? WORD_PRESSURE : WORD_LONE_NUMBER;
    return words_of(words, MOMENT, w, (const char *const[4]){sys, dia, pulse});
}
