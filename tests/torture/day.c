/* The day: what the patients and staff of an invented practice text between half past six and the next morning.
 *
 * It touches every kind of job: readings, a tagged shared phone, a joining, a severe reading and its follow-up, a red flag with
 * its alert on three channels and TAKE, STOP, a stranger, a repeat, receipts, reminders, nudges, a quiet night.
 */
#include "tests/torture/torture.h"

#include <stdio.h>
#include <string.h>

struct line_of_day {
    const char *at;    /* the clock is moved there first; NULL: at once */
    const char *from;  /* NULL: receipts for all that was sent */
    const char *words; /* "TAKE": with the code that this number was sent */
};

#define ADA "+447700900101"
#define BEN "+447700900102"
#define TWO "+447700900103"
#define EVE "+447700900104"
#define FAY "+447700900105"
#define ODD "+447700900199"
#define DUTY "+447700900002"

static const struct line_of_day day[] = {
    {"2026-11-23T07:10:00Z", ADA, "132/84 71"},
    {"2026-11-23T07:12:00Z", ADA, "130/82 70"},
    {NULL, TWO, "Ann 128/79 66, Bob 141/90 70"},
    {NULL, EVE, "YES"},
    {"2026-11-23T07:20:00Z", BEN, "183/112 90"},
    {"2026-11-23T07:23:00Z", BEN, "184/111 88"},
    {NULL, ODD, "hello, is this the surgery?"},
    {NULL, NULL, NULL},
    {"2026-11-23T07:40:00Z", DUTY, "TAKE"},
    {"2026-11-23T09:30:00Z", BEN, "no"},
    {NULL, FAY, "I have chest pain"},
    {"2026-11-23T09:31:00Z", DUTY, "TAKE"},
    {"2026-11-23T13:00:00Z", FAY, "STOP"},
    {"2026-11-23T19:40:00Z", ADA, "129/80 69"},
    {"2026-11-23T19:42:00Z", ADA, "one thirty one over eighty"},
    {NULL, TWO, "140/88 72"},
    {NULL, TWO, "Bob"},
    {"2026-11-23T23:00:00Z", NULL, NULL},
    {"2026-11-24T08:00:00Z", ADA, "127/78 68 tired today"},
};

int day_enrol(struct world *w)
{
    static const char *const people[] = {
        "enrol --clinic maple --ref ADA --phone " ADA " --joined --arm 30 --cuff 22-42",
        "enrol --clinic maple --ref BEN --phone " BEN " --joined --arm 30 --cuff 22-42",
        "enrol --clinic maple --ref ANN --phone " TWO " --tag Ann --joined --arm 30 --cuff 22-42",
        "enrol --clinic maple --ref BOB --phone " TWO " --tag Bob --joined --arm 30 --cuff 22-42",
        "enrol --clinic maple --ref EVE --phone " EVE,
        "enrol --clinic maple --ref FAY --phone " FAY " --joined",
    };
    for (size_t i = 0; i < sizeof people / sizeof *people; i++)
        if (stage_run(&w->g, people[i], 0) < 0)
            return world_fail(w, "%s", w->g.output ? w->g.output : people[i]);
    return world_move(w, "2026-11-23T06:45:00Z");
}

/* "TAKE CODE" with the newest code that came to this number. */
static int take_words(struct world *w, const char *from, char *out, size_t size)
{
    if (stage_hear(&w->g) < 0)
        return world_fail(w, "the carrier does not answer");
    for (size_t i = json_array_size(w->g.sent); i-- > 0;) {
        const json_t *m = json_array_get(w->g.sent, i);
        const char *to = json_string_value(json_object_get(m, "to")), *text = json_string_value(json_object_get(m, "text"));
        const char *take = to && text && strcmp(to, from) == 0 ? strstr(text, "TAKE ") : NULL;
        if (!take)
            continue;
        snprintf(out, size, "TAKE %.*s", (int)strcspn(take + 5, " .,\n"), take + 5);
        return 0;
    }
    return world_fail(w, "no code came to the duty phone");
}

static int line_play(struct world *w, size_t i, bool move)
{
    const struct line_of_day *l = &day[i];
    char id[32], words[256];
    if (move && l->at && world_move(w, l->at) < 0)
        return -1;
    if (!l->from)
        return world_receipts(w);
    snprintf(id, sizeof id, "day-%zu", i);
    snprintf(words, sizeof words, "%s", l->words);
    if (move && strcmp(words, "TAKE") == 0 && take_words(w, l->from, words, sizeof words) < 0)
        return -1;
    return world_text(w, id, l->from, words);
}

int day_play(struct world *w)
{
    int error = 0;
    for (size_t i = 0; i < sizeof day / sizeof *day && !error; i++)
        error = line_play(w, i, true);
    return error ? error : world_move(w, "2026-11-24T08:30:00Z");
}

int day_repeat(struct world *w)
{
    int error = 0;
    for (size_t i = 0; i < sizeof day / sizeof *day && !error; i++)
        error = line_play(w, i, false);
    return error ? error : world_move(w, "2026-11-24T08:45:00Z");
}
