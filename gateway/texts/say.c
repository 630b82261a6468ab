/* Says a saying: its sentences, joined, in a patient's language or in both; and the longest that a sentence can be.
 *
 * An unknown kind or language is never an error here: it is nothing, or the next best language, as a patient who waits
 * for an answer must get one. A text is 20 to 300 characters.
 */
#include "gateway/texts/room.h"

#include <stdio.h>
#include <string.h>

/* -- sayings ------------------------------------------------------------------------------------------------------- */

static void voice_saying(struct voice *v)
{
    bool first = true;

    for (int i = 0; i < v->saying->n_parts && i < SAYING_PARTS; i++) {
        unsigned kind = v->saying->parts[i];

        if (kind == TEXT_NONE || kind >= TEXT_KIND_COUNT || !v->tongue->entry[kind])
            continue;
        if (!first)
            voice_string(v, " ");
        v->kind = kind;
        voice_sentence(v, v->tongue->entry[kind]);
        first = false;
    }
}

static const struct tongue *tongue_for(const struct texts *t, const struct saying *s, const struct clinic *c,
                                       const char *language)
{
    const char *wanted[] = {s->language, language ? language : "", c->language, "en"};
    const struct tongue *o = NULL;

    for (size_t i = 0; !o && i < sizeof wanted / sizeof *wanted; i++)
        o = texts_tongue(t, wanted[i]);
    return o;
}

/* English and Spanish both: asked for, or the invitation of a clinic that is bilingual. */
static bool is_bilingual(const struct saying *s, const struct clinic *c)
{
    bool invitation = s->n_parts > 0 && (s->parts[0] == TEXT_INVITE || s->parts[0] == TEXT_INVITE_AGAIN);

    return s->both_languages || (c->bilingual && invitation);
}

size_t texts_say(const struct texts *t, const struct saying *s, const struct clinic *c, const char *language,
                 char *body, size_t size)
{
    struct voice v = {
        .tongue = tongue_for(t, s, c, language), .saying = s, .clinic = c, .body = body, .size = size};

    if (size == 0)
        return 0;
    body[0] = '\0';
    voice_saying(&v);
    if (is_bilingual(s, c)) {
        v.tongue = texts_tongue(t, strcmp(v.tongue->code, "en") ? "en" : "es");
        voice_string(&v, "\n");
        voice_saying(&v);
    }
    return v.n;
}

/* -- the longest values -------------------------------------------------------------------------------------------- */

static unsigned longest_entry(const struct tongue *o, unsigned first, unsigned end)
{
    unsigned longest = first;

    for (unsigned e = first; e < end; e++)
        if (o->entry[e] && (!o->entry[longest] || strlen(o->entry[e]) > strlen(o->entry[longest])))
            longest = e;
    return longest;
}

/* The day of a year and a half whose weekday and month together are longest, with two figures between them. */
static int32_t longest_date(const struct tongue *o)
{
    int32_t longest = 0;
    size_t most = 0;

    for (int32_t d = 0; d < 600; d++) {
        int year, month, day;
        civil_date(d, &year, &month, &day);
        const char *weekday = o->entry[ENTRY_DAY_MONDAY + (unsigned)civil_weekday(d)];
        const char *name = o->entry[ENTRY_MONTH_JANUARY + (unsigned)(month - 1)];
        size_t n = (weekday ? strlen(weekday) : 0) + (name ? strlen(name) : 0) + (day > 9);
        if (n > most) {
            most = n;
            longest = d;
        }
    }
    return longest;
}

static void repeat(char *to, size_t size, char c, size_t n)
{
    if (n > size - 1)
        n = size - 1;
    memset(to, c, n);
    to[n] = '\0';
}

static void longest_clinic(struct clinic *c)
{
    repeat(c->name, sizeof c->name, 'm', CLINIC_NAME_SAID);
    repeat(c->voice_number, sizeof c->voice_number, '0', NUMBER_SAID);
    repeat(c->out_of_hours, sizeof c->out_of_hours, '0', NUMBER_SAID);
    repeat(c->emergency, sizeof c->emergency, '0', NUMBER_SAID);
    repeat(c->maternity, sizeof c->maternity, '0', NUMBER_SAID);
    repeat(c->crisis, sizeof c->crisis, '0', NUMBER_SAID);
}

static void longest_saying(const struct tongue *o, struct saying *s)
{
    unsigned cause = longest_entry(o, ENTRY_CAUSE_FLAG_BLEEDING, ENTRY_COUNT);

    *s = (struct saying){.n_echo = SAYING_ECHO,
                         .more = 99,
                         .number = 99,
                         .minute = 1439,
                         .arm_cm = 52.5,
                         .cuff_low = 22.5,
                         .cuff_high = 42.5};
    for (int i = 0; i < SAYING_ECHO; i++) {
        s->echo[i].sys = 260;
        s->echo[i].dia = 150;
        s->echo[i].pulse = 200;
    }
    s->day = s->from = longest_date(o);
    s->level = (uint8_t)(longest_entry(o, ENTRY_LEVEL_DESK, ENTRY_LEVEL_EMERGENCY + 1) - ENTRY_LEVEL_DESK);
    snprintf(s->cause, sizeof s->cause, "%s", entry_name(cause) + sizeof "cause_" - 1);
    repeat(s->code, sizeof s->code, 'W', CODE_MAX - 1);
    repeat(s->ref, sizeof s->ref, 'W', REF_MAX - 1);
    repeat(s->phone, sizeof s->phone, '0', NUMBER_SAID);
    repeat(s->word, sizeof s->word, 'm', DONE_BY_MAX - 1);
}

int say_longest(const struct tongue *o, const char *words, char *body, size_t size)
{
    static const struct clinic none;
    struct clinic clinic = none;
    struct saying saying;
    struct voice v = {.tongue = o, .saying = &saying, .clinic = &clinic, .body = body, .size = size};

    longest_clinic(&clinic);
    longest_saying(o, &saying);
    body[0] = '\0';
    voice_sentence(&v, words);
    return v.full ? INT16_MAX : gsm_segments(body);
}
