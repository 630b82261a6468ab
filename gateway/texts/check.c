/* What every entry must hold, whoever wrote it: ours, a translator's or a clinic's.
 *
 * Its name and place are told by the caller; here is only what is wrong and what to do. The limits are those of a
 * text on air with the longest values: two segments alone, one for a hint or a tail, which follows something else.
 * Checked once at start and at a reload, some 200 entries a language.
 */
#include "gateway/texts/room.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

/* Letters of the second column of text_kind.h and the placeholder that each stands for. */
static const struct {
    char letter;
    enum placeholder needs;
} must_hold[] = {{'E', HOLD_EMERGENCY}, {'C', HOLD_CONTACT}, {'M', HOLD_MATERNITY}, {'K', HOLD_CRISIS}};

static bool __attribute__((format(printf, 3, 4))) wrong(char *why, size_t size, const char *format, ...)
{
    va_list args;

    va_start(args, format);
    vsnprintf(why, size, format, args);
    va_end(args);
    return false;
}

/* `word` stands in `words` with no letter beside it. */
static bool has_word(const char *words, const char *word)
{
    size_t n = strlen(word);

    for (const char *s = words; (s = strstr(s, word)); s += n)
        if ((s == words || !strchr("ABCDEFGHIJKLMNOPQRSTUVWXYZ", s[-1])) &&
            (!s[n] || !strchr("ABCDEFGHIJKLMNOPQRSTUVWXYZ", s[n])))
            return true;
    return false;
}

/* What text_kind.h asks for: numbers to ring, and the words STOP and TAKE, which are the same in every language. */
static bool must_check(unsigned kind, const char *words, uint32_t held, char *why, size_t size)
{
    const struct kind_row *row = &kind_rows[kind];

    for (size_t i = 0; i < sizeof must_hold / sizeof *must_hold; i++)
        if (strchr(row->must, must_hold[i].letter) && !(held & 1u << must_hold[i].needs))
            return wrong(why, size, "\"%s\" has lost {%s}, put it in", row->name,
                         placeholder_name(must_hold[i].needs));
    if (strchr(row->must, 'S') && !has_word(words, "STOP"))
        return wrong(why, size, "\"%s\" has lost the word STOP, put it in", row->name);
    if (held & 1u << HOLD_CODE && !has_word(words, "TAKE"))
        return wrong(why, size, "\"%s\" has lost the word TAKE, put it before {code}", row->name);
    return true;
}

/* Holds what our English words hold; and no value of this one text that care does not give to it. */
static bool placeholders_check(unsigned entry, uint32_t held, uint32_t english, char *why, size_t size)
{
    for (unsigned p = 0; p < HOLD_COUNT; p++) {
        bool here = held & 1u << p, there = english & 1u << p;
        bool anywhere =
            entry < TEXT_KIND_COUNT && (placeholder_scope(p) == 'C' || placeholder_scope(p) == 'L');

        if (there && !here)
            return wrong(why, size, "\"%s\" has lost {%s}, put it in", entry_name(entry),
                         placeholder_name(p));
        if (here && !there && !anywhere)
            return wrong(why, size, "\"%s\" has no value for {%s}, take it out", entry_name(entry),
                         placeholder_name(p));
    }
    return true;
}

/* To a patient nothing is sent that is for staff: a reference, a cause, another's number. */
static bool audience_check(unsigned kind, uint32_t held, char *why, size_t size)
{
    for (unsigned p = 0; p < HOLD_COUNT && kind_rows[kind].to == 'P'; p++)
        if (held & 1u << p && placeholder_scope(p) == 'S')
            return wrong(why, size, "\"%s\" goes to patients and {%s} is for staff, take it out",
                         entry_name(kind), placeholder_name(p));
    return true;
}

static bool length_check(const struct tongue *o, unsigned kind, const char *words, char *why, size_t size)
{
    bool added = kind_rows[kind].role == 'H' || kind_rows[kind].role == 'T';
    int limit = added ? SEGMENTS_ADDED : SEGMENTS_ALONE, segments;
    char body[BODY_MAX];

    segments = say_longest(o, words, body, sizeof body);
    if (segments <= limit)
        return true;
    return wrong(
        why, size, "\"%s\" takes %d segments with its longest values and may take %d%s, make it shorter",
        entry_name(kind), segments, limit,
        gsm_fits(words) ? "" : " (a character in it is outside GSM 03.38: 70 to a segment instead of 160)");
}

bool entry_check(const struct tongue *o, unsigned entry, const char *words, uint32_t english, char *why,
                 size_t size)
{
    uint32_t held;
    char bad[32];

    if (!*words)
        return wrong(why, size, "\"%s\" has no words, write some", entry_name(entry));
    if (!placeholders_in(words, &held, bad, sizeof bad))
        return wrong(why, size,
                     "\"%s\" has \"%s\", which is no placeholder, see README.md for those there are",
                     entry_name(entry), bad);
    if (entry < TEXT_KIND_COUNT) {
        if (!audience_check(entry, held, why, size) || !must_check(entry, words, held, why, size))
            return false;
    }
    if (!placeholders_check(entry, held, english, why, size))
        return false;
    return entry >= TEXT_KIND_COUNT || length_check(o, entry, words, why, size);
}
