/* Sizes: how thick the arm is, what the cuff is for, how warm the room.
 *
 * A length is the arm's or the cuff's by the nearer word for either; a bare number is one only right behind "arm". Inches
 * and Fahrenheit are converted, to a tenth. It must never take a number that is half of a pressure, nor the temperature
 * of a body or a street for the room's.
 */
#include "parser/roles.h"

#include <math.h>

static double one_decimal(double value) {
    return floor(value * 10 + 0.5 + 1e-9) / 10;
}

/* What the size `f` is of: the nearest of arm and cuff before it in its clause, else after it. */
static int size_of(const struct parse *p, const struct figure *f) {
    const struct clause *c = &p->clause[p->clause_of[f->first]];
    const struct mark *unit = mark_at(p, f->end, KIND_UNIT), *behind = mark_at(p, unit != NULL ? unit->end : f->end, KIND_LEAD);
    const struct mark *front = lead_find(p, (size_t)(f - p->figure));
    bool named = front != NULL && front->end == f->first && (front->a == ROLE_ARM || front->a == ROLE_CUFF);
    if (!named && unit != NULL && behind != NULL && (behind->a == ROLE_ARM || behind->a == ROLE_CUFF)) {
        return behind->a; /* "a 44cm arm" */
    }
    for (uint32_t i = f->first; i-- > c->first;) {
        const struct mark *lead = mark_at(p, i, KIND_LEAD);
        if (lead != NULL && (lead->a == ROLE_ARM || lead->a == ROLE_CUFF || lead->a == ROLE_HOUSE || lead->a == ROLE_OTHER)) {
            return lead->a;
        }
    }
    for (uint32_t i = f->end; i < c->end; i++) {
        const struct mark *lead = mark_at(p, i, KIND_LEAD);
        if (lead != NULL && (lead->a == ROLE_ARM || lead->a == ROLE_CUFF || lead->a == ROLE_OTHER)) {
            return lead->a;
        }
    }
    bool arm = clause_speaks_of(p, f, ROLE_ARM, true), cuff = clause_speaks_of(p, f, ROLE_CUFF, true);
    return arm && !cuff ? ROLE_ARM : cuff && !arm ? ROLE_CUFF : ROLE_OTHER;
}

/* "and a half", "1/2" behind a whole number of inches or centimetres. */
static double half_after(struct parse *p, size_t i, uint32_t *end) {
    uint32_t at = p->figure[i].end;
    if ((token_word(p, at, "and") || token_word(p, at, "y")) && (token_word(p, at + 1, "a") || token_word(p, at + 1, "media") ||
        token_word(p, at + 1, "medio") || token_word(p, at + 1, "half"))) {
        *end = token_word(p, at + 1, "a") ? at + 3 : at + 2;
        return 0.5;
    }
    if (i + 2 < p->figure_n && p->figure[i + 1].first == at && p->figure[i + 1].value == 1 && token_is(p, at + 1, '/') &&
        p->figure[i + 2].first == at + 2 && (p->figure[i + 2].value == 2 || p->figure[i + 2].value == 4)) {
        *end = p->figure[i + 2].end;
        return 1.0 / p->figure[i + 2].value;
    }
    *end = at;
    return 0;
}

/* The unit of length behind token `end`, or the plain cm of a bare 15 to 60; 0 when it is no size. */
static double unit_scale(const struct parse *p, uint32_t end, double value) {
    const struct mark *unit = mark_at(p, end, KIND_UNIT);
    if (unit != NULL && unit->a == ROLE_INCH) {
        return 2.54;
    }
    if (unit != NULL && unit->a == ROLE_CM) {
        return 1;
    }
    return unit == NULL && value >= 15 && value <= 60 ? 1 : 0;
}

/* "22-32 cm", "22 to 42", "between 22 and 42": the figure that ends a range begun by figure i, or NULL. */
static struct figure *range_end(struct parse *p, size_t i) {
    uint32_t at = p->figure[i].end;
    const struct mark *unit = mark_at(p, at, KIND_UNIT);
    at = unit != NULL && (unit->a == ROLE_CM || unit->a == ROLE_INCH) ? unit->end : at;
    bool joins = token_is(p, at, '-') || token_is(p, at, '/') || token_word(p, at, "to") || token_word(p, at, "a") ||
                 token_word(p, at, "and") || token_word(p, at, "y") || token_word(p, at, "till") || token_word(p, at, "hasta") ||
                 token_word(p, at, "through") || token_word(p, at, "thru") || token_word(p, at, "al");
    return joins ? figure_next(p, i, at + 1) : NULL;
}

static bool size_range(struct parse *p, size_t i) {
    struct figure *f = &p->figure[i], *high = range_end(p, i);
    if (high == NULL || high->value <= f->value || high->value > 70 || !clause_speaks_of(p, f, ROLE_CUFF, true)) {
        return false;
    }
    double scale = unit_scale(p, high->end, high->value);
    if (scale == 0 || (scale == 1 && f->value < 10)) {
        return false;
    }
    if (p->out->cuff_cm[1] == 0) {
        p->out->cuff_cm[0] = one_decimal(f->value * scale);
        p->out->cuff_cm[1] = one_decimal(high->value * scale);
    }
    f->role = high->role = ROLE_CUFF;
    return true;
}

static void size_single(struct parse *p, size_t i) {
    struct figure *f = &p->figure[i];
    uint32_t end;
    double value = f->value + half_after(p, i, &end), scale = unit_scale(p, end, value);
    bool unit = mark_at(p, end, KIND_UNIT) != NULL && scale > 0;
    if (scale == 0 || (!unit && (f->role != ROLE_FREE || in_pair(p, i)))) {
        return;
    }
    int of = size_of(p, f);
    const struct mark *lead = unit ? NULL : lead_find(p, i);
    if (!unit && (lead == NULL || lead->a != ROLE_ARM)) {
        return; /* a bare number is a size only right behind "arm" */
    }
    roles_set(p, f->first, end, ROLE_OTHER);
    double cm = one_decimal(value * scale);
    if (of == ROLE_ARM && cm >= 10 && cm <= 90 && p->out->arm_cm == 0) {
        p->out->arm_cm = cm;
        f->role = ROLE_ARM;
    }
}

/* The temperature of the room, when its words are near and no body's or street's. */
static void temperature_read(struct parse *p, size_t i) {
    struct figure *f = &p->figure[i];
    bool unit = f->role == ROLE_CELSIUS || f->role == ROLE_FAHRENHEIT;
    const struct clause *c = &p->clause[p->clause_of[f->first]];
    bool room = mark_within(p, c->first, c->end, KIND_LEAD, ROLE_ROOM) != NULL ||
                (unit && clause_speaks_of(p, f, ROLE_ROOM, true));
    bool body = mark_within(p, c->first, c->end, KIND_LEAD, ROLE_BODY) != NULL;
    const struct mark *lead = lead_find(p, i);
    if (!unit && !(room && f->role == ROLE_FREE && lead != NULL && lead->a == ROLE_ROOM && f->value >= 5 && f->value <= 110 &&
        (lead->end < f->first || lead->end - lead->first > 1 || mark_at(p, f->end, KIND_UNIT) != NULL))) {
        return;
    }
    if (f->role == ROLE_FREE && in_pair(p, i)) {
        return;
    }
    bool fahrenheit = f->role == ROLE_FAHRENHEIT || (f->role != ROLE_CELSIUS && f->value > 45) ||
                      (f->role == ROLE_CELSIUS && f->value > 50);
    const struct mark *word = mark_at(p, f->end, KIND_UNIT);
    if (word != NULL && word->a == ROLE_CELSIUS && word->b == 1) { /* "degrees" alone */
        fahrenheit = f->value > 45;
    }
    f->role = ROLE_CELSIUS;
    if (room && !body && isnan(p->out->temp_c)) {
        double celsius = fahrenheit ? (f->value - 32) / 1.8 : f->value;
        p->out->temp_c = celsius < 0 ? -one_decimal(-celsius) : one_decimal(celsius);
    }
}

/* "31cm, 22-42": a length and a range of lengths and nothing else answer "how big is your arm, what says the cuff?". */
static bool sizes_alone(struct parse *p) {
    struct figure *f = p->figure;
    if (p->figure_n != 3 || (f->role != ROLE_CM && f->role != ROLE_INCH) ||
        !tokens_empty(p, 0, (uint32_t)p->t.n, KIND_IS(KIND_UNIT) | KIND_IS(KIND_NUMBER) | KIND_IS(KIND_CLOCK) | KIND_IS(KIND_ALSO))) {
        return false;
    }
    struct figure *high = range_end(p, 1);
    double arm = unit_scale(p, f->end, f->value) * f->value;
    double scale = high == NULL ? 0 : unit_scale(p, high->end, high->value);
    if (high == NULL || scale == 0 || arm < 10 || arm > 90 || high->value <= f[1].value || f[1].value * scale < 10 || high->value * scale > 90) {
        return false;
    }
    p->out->arm_cm = one_decimal(arm);
    p->out->cuff_cm[0] = one_decimal(f[1].value * scale);
    p->out->cuff_cm[1] = one_decimal(high->value * scale);
    f[0].role = ROLE_ARM;
    f[1].role = high->role = ROLE_CUFF;
    return true;
}

void sizes_find(struct parse *p) {
    if (sizes_alone(p)) {
        return;
    }
    bool sizes = mark_within(p, 0, (uint32_t)p->t.n, KIND_LEAD, ROLE_ARM) != NULL ||
                 mark_within(p, 0, (uint32_t)p->t.n, KIND_LEAD, ROLE_CUFF) != NULL;
    for (size_t i = 0; i < p->figure_n; i++) {
        struct figure *f = &p->figure[i];
        bool open = f->role == ROLE_FREE || f->role == ROLE_CM || f->role == ROLE_INCH;
        if (sizes && open && size_range(p, i)) {
            i++;
        } else if (sizes && open) {
            size_single(p, i);
        }
        temperature_read(p, i);
    }
}
