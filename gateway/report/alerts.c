/* The alerts of the week in words: when, what, who took it, what came of it.
 *
 * A staff member is named as the desk knows them; a number by its last three digits.
 */
#include "gateway/report/model.h"

#include <string.h>

static const struct {
    const char *cause, *words;
} causes[] = {
    {"severe", "a severe reading, and the next one severe too"},
    {"severe_flag", "a severe reading with a warning sign"},
    {"very_high", "a very high reading"},
    {"no_repeat", "a severe reading, not measured again"},
    {"came_down_again", "severe for the second time this week; it came down"},
    {"doubtful", "a worrying figure that was not cleared up"},
    {"low", "a low reading"},
    {"pulse", "a very slow or very fast pulse, twice"},
    {"pregnant_severe", "a severe reading in pregnancy or after birth"},
    {"pregnant_high", "a high reading in pregnancy or after birth"},
    {"pregnancy_sign", "a warning sign in pregnancy or after birth"},
    {"reply_unsent", "a reply to a worrying text could not be sent in time"},
    {"unknown_number", "a worrying text from an unknown number"},
    {"target_failed", "an alert or summary did not reach its target"},
    {"self_harm", "words of self-harm"},
};

static void cause_words(const char *cause, char words[96])
{
    for (size_t i = 0; i < sizeof causes / sizeof *causes; i++)
        if (strcmp(causes[i].cause, cause) == 0) {
            say_to(words, 96, "%s", causes[i].words);
            return;
        }
    say_to(words, 96, "%s", cause);
    for (char *c = words; *c; c++)
        if (*c == '_')
            *c = ' ';
}

static const char *staff_words(const char *who, char words[DONE_BY_MAX])
{
    size_t n = strlen(who);
    if (who[0] == '+' && n > 3)
        say_to(words, DONE_BY_MAX, "the phone ending in %s", who + n - 3);
    else
        say_to(words, DONE_BY_MAX, "%s", who);
    return words;
}

void alerts_words(struct report *r, const struct alert *alerts, size_t n)
{
    static const char *const levels[] = {"for the desk", "urgent", "emergency"};
    for (size_t i = 0; i < n; i++) {
        const struct alert *a = &alerts[i];
        char at[WHEN_WORDS], taken[WHEN_WORDS] = "", resolved[WHEN_WORDS] = "", what[96], by[DONE_BY_MAX], after[320];
        when_words(r->record, a->at, at);
        if (a->taken_at != INSTANT_NONE)
            when_words(r->record, a->taken_at, taken);
        if (a->resolved_at != INSTANT_NONE)
            when_words(r->record, a->resolved_at, resolved);
        cause_words(a->cause, what);
        SAY(after, "%s", !taken[0] && !resolved[0] ? " Not taken by anybody yet." : "");
        if (taken[0])
            SAY(after, " Taken %s%s%s.", taken, a->taken_by[0] ? " by " : "", staff_words(a->taken_by, by));
        if (resolved[0])
            say_add(after, sizeof after, " Resolved %s%s%s.", resolved, a->outcome[0] ? ": " : "", a->outcome);
        bool open = a->resolved_at == INSTANT_NONE;
        say(&r->alerts, open ? TONE_URGENT : TONE_ATTENTION, a->cause, "%s, %s: %s.%s", at,
            levels[a->level < ALERT_LEVEL_COUNT ? a->level : ALERT_URGENT], what, after);
    }
}
