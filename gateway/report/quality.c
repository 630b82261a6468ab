/* How it was measured, in words: technique by sittings, times, single readings, the room.
 *
 * The published size of an error stands beside what the patient said (Kallioinen 2017, J Hypertens 35:421, 328 studies, mean
 * effects systolic and diastolic); it informs and never corrects.
 */
#include "gateway/report/model.h"

#include <math.h>
#include <string.h>

#include "gateway/care/result.h"

static const struct {
    const char *words, *effect;
} techniques[TECHNIQUE_COUNT] = {
    [TECHNIQUE_AFTER_MEDICINE_BIT] = {"after taking medicine", ""},
    [TECHNIQUE_ALCOHOL_BIT] = {"after alcohol", "−23.6 to +24 / −14 to +16"},
    [TECHNIQUE_ARM_UNSUPPORTED_BIT] = {"arm not supported", "+4.9 / +2.7 to +4.8"},
    [TECHNIQUE_BLADDER_BIT] = {"full bladder", "+4.2 to +33 / +2.8 to +18.5"},
    [TECHNIQUE_CAFFEINE_BIT] = {"soon after coffee or tea", "+3 to +14 / +2.1 to +13"},
    [TECHNIQUE_COLD_BIT] = {"cold", "+5 to +32 / +4 to +23"},
    [TECHNIQUE_CUFF_LARGE_BIT] = {"cuff said to be too large", "−3.7 to −1.45 / −4.7 to −0.96"},
    [TECHNIQUE_CUFF_LOOSE_BIT] = {"cuff loose", ""},
    [TECHNIQUE_CUFF_REVERSED_BIT] = {"cuff the wrong way round", ""},
    [TECHNIQUE_CUFF_SMALL_BIT] = {"cuff said to be too small", "+2.1 to +11.2 / +1.6 to +6.6"},
    [TECHNIQUE_CUFF_TIGHT_BIT] = {"cuff tight", ""},
    [TECHNIQUE_EXERCISE_BIT] = {"soon after exercise", ""},
    [TECHNIQUE_HOT_BIT] = {"hot", ""},
    [TECHNIQUE_IRREGULAR_SIGN_BIT] = {"the monitor's sign for an irregular pulse", ""},
    [TECHNIQUE_LEGS_CROSSED_BIT] = {"legs crossed", "+2.5 to +14.9 / +1.4 to +10.8"},
    [TECHNIQUE_MEAL_BIT] = {"soon after a meal", "−6 / −5 to −1.9"},
    [TECHNIQUE_MONITOR_ERROR_BIT] = {"the monitor showed an error", ""},
    [TECHNIQUE_MOVED_BIT] = {"moved while measuring", ""},
    [TECHNIQUE_NO_REST_BIT] = {"no rest before", "+4.2 to +11.6 / +1.8 to +4.3"},
    [TECHNIQUE_OTHER_ARM_BIT] = {"the other arm", ""},
    [TECHNIQUE_OVER_CLOTHES_BIT] = {"over clothes", "none"},
    [TECHNIQUE_SMOKING_BIT] = {"soon after smoking", "+2.8 to +25 / +2 to +18"},
    [TECHNIQUE_STRESS_BIT] = {"upset or in pain", ""},
    [TECHNIQUE_TALKING_BIT] = {"talking", ""},
    [TECHNIQUE_TUBE_KINKED_BIT] = {"tube kinked", ""},
    [TECHNIQUE_WRIST_BIT] = {"wrist monitor", ""},
};

const char *technique_words(unsigned bit)
{
    return bit < TECHNIQUE_COUNT && techniques[bit].words ? techniques[bit].words : "";
}

static void technique_lines(struct report *r)
{
    for (unsigned b = 0; b < TECHNIQUE_COUNT; b++) {
        int n = r->result->technique[b];
        if (n <= 0 || !techniques[b].words)
            continue;
        bool sized = techniques[b].effect[0];
        say(&r->quality, TONE_PLAIN, technique_name(b), "Said of %d of %d sittings: %s%s%s%s.", n, r->result->sittings_measured,
            techniques[b].words, sized ? " (published effect " : "", techniques[b].effect, sized ? ")" : "");
    }
}

static void time_lines(struct report *r)
{
    int off = 0, late = 0, told = 0;
    for (size_t i = 0; i < r->record->n_readings; i++) {
        const struct reading *x = &r->record->readings[i];
        bool taken = of_week(r->record, x) && x->standing == STANDING_ACCEPTED;
        off += taken && x->off_time;
        late += taken && x->sent_late;
        told += taken && x->telephoned;
    }
    if (off)
        say(&r->quality, TONE_PLAIN, "off time", "%d reading%s outside the times agreed.", off, plural(off));
    if (late)
        say(&r->quality, TONE_PLAIN, "sent late", "%d reading%s sent on a later day.", late, plural(late));
    if (told)
        say(&r->quality, TONE_PLAIN, "telephoned", "%d reading%s told by telephone.", told, plural(told));
}

static void single_line(struct report *r)
{
    int n = 0;
    for (int i = 0; i < r->result->n_sittings; i++) {
        const struct sitting *s = &r->result->sittings[i];
        n += s->ended && s->wanted > 1 && s->accepted == 1;
    }
    if (n)
        say(&r->quality, TONE_PLAIN, "single readings", "%d sitting%s with one reading alone.", n, plural(n));
}

static void room_line(struct report *r)
{
    double least = INFINITY, most = -INFINITY;
    for (size_t i = 0; i < r->record->n_readings; i++) {
        const struct reading *x = &r->record->readings[i];
        if (x->standing != STANDING_ACCEPTED || isnan(x->temp_c))
            continue;
        least = fmin(least, x->temp_c);
        most = fmax(most, x->temp_c);
    }
    const char *note = report_has(r, "cold room") ? ": cold" : report_has(r, "hot room") ? ": hot" : "";
    const char *code = *note ? note[2] == 'c' ? "cold room" : "hot room" : "";
    if (least < most)
        say(&r->quality, TONE_PLAIN, code, "The room had %.3g to %.3g °C%s.", least, most, note);
    else if (isfinite(least))
        say(&r->quality, TONE_PLAIN, code, "The room had %.3g °C%s.", least, note);
}

void quality_words(struct report *r)
{
    technique_lines(r);
    time_lines(r);
    single_line(r);
    room_line(r);
    if (r->result->all.n && !r->quality.n && !r->above.n)
        say(&r->quality, TONE_PLAIN, "", "Nothing stands out in how it was measured.");
}
