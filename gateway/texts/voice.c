/* Says words: characters into a buffer, values for placeholders.
 *
 * It must never cut a character in two and never leave a placeholder standing. A value that comes from the
 * configuration is said in the 7-bit alphabet where a near character exists, so that one curly apostrophe in a
 * practice's name does not double the price of every text. A sentence is 10 to 250 characters.
 */
#include "gateway/texts/room.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* -- the buffer ---------------------------------------------------------------------------------------------------- */

static void voice_bytes(struct voice *v, const char *bytes, size_t n)
{
    if (v->full || n >= v->size - v->n) {
        v->full = true;
        return;
    }
    memcpy(v->body + v->n, bytes, n);
    v->n += n;
    v->body[v->n] = '\0';
}

/* `n` bytes of words of our own, whole characters only. */
static void voice_words(struct voice *v, const char *s, size_t n)
{
    const char *end = s + n;
    size_t size;

    for (; s < end; s += size) {
        utf8_next(s, end, &size);
        voice_bytes(v, s, size);
    }
}

static void voice_entry(struct voice *v, unsigned entry)
{
    const char *words = v->tongue->entry[entry];

    if (words)
        voice_words(v, words, strlen(words));
}

/* A value from outside: each character that has a near one in the 7-bit alphabet as that. */
static void voice_value(struct voice *v, const char *s, size_t n)
{
    const char *end = s + n;
    size_t size;

    for (; s < end; s += size) {
        uint32_t c = utf8_next(s, end, &size), near = gsm_near(c);
        char plain = (char)near;

        if (c == 0xFFFD)
            voice_bytes(v, "?", 1);
        else if (near == c)
            voice_bytes(v, s, size);
        else
            voice_bytes(v, &plain, 1);
    }
}

void voice_string(struct voice *v, const char *s)
{
    voice_value(v, s, strlen(s));
}

static void voice_integer(struct voice *v, int i)
{
    char digits[16];

    snprintf(digits, sizeof digits, "%d", i);
    voice_string(v, digits);
}

/* -- values -------------------------------------------------------------------------------------------------------- */

/* The clinic's name, at most CLINIC_NAME_SAID characters of it, cut before a word. */
static void voice_clinic(struct voice *v)
{
    const char *name = v->clinic->name, *end = name + strlen(name), *s = name, *word = name;
    size_t size, characters = 0;

    for (; s < end && characters < CLINIC_NAME_SAID; s += size, characters++) {
        utf8_next(s, end, &size);
        if (*s == ' ')
            word = s;
    }
    if (s < end && *s != ' ' && word > name)
        s = word;
    voice_value(v, name, (size_t)(s - name));
}

/* The first of the two that is set: a clinic without a maternity or crisis line sends to its contact. */
static const char *either(const char *number, const char *otherwise)
{
    return *number ? number : otherwise;
}

static const char *contact(const struct voice *v)
{
    const struct clinic *c = v->clinic;

    return v->saying->in_hours && *c->voice_number ? c->voice_number : c->out_of_hours;
}

/* One reading: "132/84, pulse 71"; a number alone "132". */
static void voice_reading(struct voice *v, int sys, int dia, int pulse)
{
    if (sys > 0)
        voice_integer(v, sys);
    if (dia > 0) {
        voice_string(v, "/");
        voice_integer(v, dia);
    }
    if (pulse <= 0)
        return;
    if (sys > 0 || dia > 0)
        voice_string(v, ", ");
    voice_entry(v, WORD_PULSE);
    voice_string(v, " ");
    voice_integer(v, pulse);
}

/* Which of the echoed readings this sentence is about: those taken, or those that it asks about or doubts. */
static void echo_range(const struct voice *v, int *from, int *to)
{
    const struct saying *s = v->saying;
    bool asks = kind_rows[v->kind].role == 'Q' || v->kind == TEXT_W_SEVERE_DOUBT;
    int n = s->n_echo < SAYING_ECHO ? s->n_echo : SAYING_ECHO, got = s->n_got < n ? s->n_got : n;

    *from = asks ? got : 0;
    *to = asks || got == 0 ? n : got;
}

/* "132/84, 128/82 and 130/80"; with a semicolon where a pulse has brought commas of its own. */
static void voice_echo(struct voice *v)
{
    int from, to;
    bool pulses = false;

    echo_range(v, &from, &to);
    for (int i = from; i < to; i++)
        pulses |= v->saying->echo[i].pulse > 0;
    for (int i = from; i < to; i++) {
        if (i > from && i == to - 1) {
            voice_string(v, " ");
            voice_entry(v, WORD_AND);
            voice_string(v, " ");
        } else if (i > from) {
            voice_string(v, pulses ? "; " : ", ");
        }
        voice_reading(v, v->saying->echo[i].sys, v->saying->echo[i].dia, v->saying->echo[i].pulse);
    }
    if (from == to)
        voice_entry(v, WORD_READING);
}

/* Centimetres with at most one decimal: "31", "31.5". */
static void voice_length(struct voice *v, double cm)
{
    long tenths = isfinite(cm) && cm > 0 && cm < 1000 ? lround(cm * 10) : 0;

    voice_integer(v, (int)(tenths / 10));
    if (tenths % 10) {
        voice_entry(v, WORD_DECIMAL);
        voice_integer(v, (int)(tenths % 10));
    }
}

static void voice_arm(struct voice *v)
{
    if (!(v->saying->arm_cm > 0)) {
        voice_entry(v, WORD_NOT_KNOWN);
        return;
    }
    voice_length(v, v->saying->arm_cm);
    voice_string(v, " cm");
}

static void voice_cuff(struct voice *v)
{
    if (!(v->saying->cuff_high > 0)) {
        voice_entry(v, WORD_NOT_KNOWN);
        return;
    }
    voice_length(v, v->saying->cuff_low);
    voice_string(v, "-");
    voice_length(v, v->saying->cuff_high);
    voice_string(v, " cm");
}

static void voice_weekday(struct voice *v, int32_t day)
{
    voice_entry(v, ENTRY_DAY_MONDAY + (unsigned)civil_weekday(day));
}

static void voice_day(struct voice *v)
{
    voice_weekday(v, v->saying->day);
}

/* "Thursday 3 December"; a month's entry brings what its language puts in front of it. */
static void voice_dated(struct voice *v, int32_t on)
{
    int year, month, day;

    civil_date(on, &year, &month, &day);
    voice_weekday(v, on);
    voice_string(v, " ");
    voice_integer(v, day);
    voice_string(v, " ");
    voice_entry(v, ENTRY_MONTH_JANUARY + (unsigned)(month - 1));
}

static void voice_date(struct voice *v)
{
    voice_dated(v, v->saying->day);
}

static void voice_from(struct voice *v)
{
    voice_dated(v, v->saying->from);
}

static void voice_time(struct voice *v)
{
    char text[16];
    int minute = v->saying->minute >= 0 ? v->saying->minute % 1440 : 0;

    snprintf(text, sizeof text, "%02d:%02d", minute / 60, minute % 60);
    voice_string(v, text);
}

static void voice_level(struct voice *v)
{
    unsigned level = v->saying->level < ALERT_LEVEL_COUNT ? v->saying->level : ALERT_URGENT;

    voice_entry(v, ENTRY_LEVEL_DESK + level);
}

static void voice_cause(struct voice *v)
{
    const char *cause = v->saying->cause;
    char name[sizeof "cause_" + sizeof v->saying->cause];
    int entry;

    snprintf(name, sizeof name, "cause_%s", *cause ? cause : "unknown");
    entry = entry_find(name, strlen(name));
    if (entry > 0) {
        voice_entry(v, (unsigned)entry);
        return;
    }
    for (; *cause; cause++)
        voice_value(v, *cause == '_' ? " " : cause, 1);
}

static void voice_word(struct voice *v)
{
    if (*v->saying->word)
        voice_string(v, v->saying->word);
    else
        voice_entry(v, WORD_SOMEBODY);
}

static void voice_yes(struct voice *v)
{
    voice_entry(v, WORD_YES);
}

static void voice_no(struct voice *v)
{
    voice_entry(v, WORD_NO);
}

static void voice_more(struct voice *v)
{
    voice_integer(v, v->saying->more);
}

static void voice_number(struct voice *v)
{
    voice_integer(v, v->saying->number);
}

/* Values that must be made; the others are strings that are there already. */
static void (*const made[HOLD_COUNT])(struct voice *) = {
    [HOLD_CLINIC] = voice_clinic, [HOLD_YES] = voice_yes,   [HOLD_NO] = voice_no,
    [HOLD_ECHO] = voice_echo,     [HOLD_MORE] = voice_more, [HOLD_NUMBER] = voice_number,
    [HOLD_DAY] = voice_day,       [HOLD_DATE] = voice_date, [HOLD_TIME] = voice_time,
    [HOLD_ARM] = voice_arm,       [HOLD_CUFF] = voice_cuff, [HOLD_WORD] = voice_word,
    [HOLD_LEVEL] = voice_level,   [HOLD_CAUSE] = voice_cause, [HOLD_FROM] = voice_from,
};

static void voice_placeholder(struct voice *v, enum placeholder p)
{
    const struct clinic *c = v->clinic;
    const char *const there[HOLD_COUNT] = {
        [HOLD_PHONE] = either(c->voice_number, c->out_of_hours),
        [HOLD_OUT_OF_HOURS] = c->out_of_hours,
        [HOLD_CONTACT] = contact(v),
        [HOLD_EMERGENCY] = c->emergency,
        [HOLD_MATERNITY] = either(c->maternity, contact(v)),
        [HOLD_CRISIS] = either(c->crisis, contact(v)),
        [HOLD_CODE] = v->saying->code,
        [HOLD_REF] = v->saying->ref,
        [HOLD_PATIENT_PHONE] = v->saying->phone,
    };

    if (made[p])
        made[p](v);
    else if (there[p])
        voice_string(v, there[p]);
}

/* -- placeholders in words ----------------------------------------------------------------------------------------- */

#define HOLD_NAME(NAME, name, scope)  name,
#define HOLD_SCOPE(NAME, name, scope) scope,
static const char *const hold_names[] = {PLACEHOLDERS(HOLD_NAME)};
static const char hold_scopes[] = {PLACEHOLDERS(HOLD_SCOPE)};

const char *placeholder_name(unsigned p)
{
    return hold_names[p];
}

char placeholder_scope(unsigned p)
{
    return hold_scopes[p];
}

/* The placeholder at `s`, which is a "{", with its bytes in *size; -1 when there is none of that name. */
static int placeholder_at(const char *s, size_t *size)
{
    const char *close = strchr(s, '}');

    *size = close ? (size_t)(close - s) + 1 : strlen(s);
    for (int p = 0; close && p < HOLD_COUNT; p++)
        if (strlen(hold_names[p]) == *size - 2 && !memcmp(hold_names[p], s + 1, *size - 2))
            return p;
    return -1;
}

bool placeholders_in(const char *words, uint32_t *held, char *bad, size_t bad_size)
{
    size_t size = 1;

    *held = 0;
    for (const char *s = words; *s; s += size) {
        int p;

        size = 1;
        if (*s != '{' && *s != '}')
            continue;
        p = *s == '{' ? placeholder_at(s, &size) : -1;
        if (p < 0) {
            snprintf(bad, bad_size, "%.*s", size > 24 ? 24 : (int)size, s);
            return false;
        }
        *held |= 1u << p;
    }
    return true;
}

void voice_sentence(struct voice *v, const char *words)
{
    while (*words) {
        size_t size = strcspn(words, "{");

        voice_words(v, words, size);
        words += size;
        if (*words) {
            int p = placeholder_at(words, &size);

            if (p >= 0)
                voice_placeholder(v, (enum placeholder)p);
            words += size;
        }
    }
}
