/* Roles: figures that measure something else than blood pressure.
 *
 * A unit behind a number or a lead before it ("weight", "flat", "aged") takes it out of the running; so does a number
 * too long for any reading. Sizes of arm and cuff and the temperature of the room are kept. It must never take a
 * number away on a guess: what has no unit and no lead stays free.
 */
#include "parser/steps.h"

#include <math.h>
#include <string.h>

enum { LEAD_REACH = 6 }; /* tokens between a lead and its number, fillers */

/* The figure whose first token comes next after figure i, when it begins at `first`. */
static struct figure *figure_next(struct parse *p, size_t i, uint32_t first) {
    return i + 1 < p->figure_n && p->figure[i + 1].first == first ? &p->figure[i + 1] : NULL;
}

static bool is_slash(const struct parse *p, uint32_t i) {
    return token_is(p, i, '/') || token_is(p, i, '\\') || token_is(p, i, '|') || mark_at(p, i, KIND_JOIN) != NULL;
}

static void roles_set(struct parse *p, uint32_t first, uint32_t end, uint8_t role) {
    for (size_t i = 0; i < p->figure_n; i++) {
        if (p->figure[i].first >= first && p->figure[i].first < end) {
            p->figure[i].role = role;
            p->figure[i].garbled = false;
        }
    }
}

/* Whether figure i stands behind a slash and another figure, or before them. */
static bool in_pair(const struct parse *p, size_t i) {
    const struct figure *f = &p->figure[i];
    if (i > 0 && is_slash(p, p->figure[i - 1].end) && f->first > 0 && p->figure[i - 1].end + 3 > f->first &&
        is_slash(p, f->first - 1)) {
        return true;
    }
    return i + 1 < p->figure_n && is_slash(p, f->end) && p->figure[i + 1].first <= f->end + 2;
}

/* Whether the words about figure i, in its clause or (second look) its sentence, speak of `role`. */
static bool about(const struct parse *p, const struct figure *f, int role, bool sentence) {
    const struct clause *c = &p->clause[p->clause_of[f->first]];
    uint32_t first = c->first, end = c->end;
    for (size_t k = p->clause_of[f->first]; sentence && k > 0 && p->clause[k - 1].sentence == c->sentence; k--) {
        first = p->clause[k - 1].first;
    }
    return mark_within(p, first, end, KIND_LEAD, role) != NULL;
}

/* A unit that a reading's own number cannot have: one letter or "hr" behind a pair is the next label. */
static bool unit_holds(const struct parse *p, size_t i, const struct mark *unit) {
    const struct figure *f = &p->figure[i];
    bool spaced = !p->t.at[f->end].glued;
    if (in_pair(p, i)) { /* only a dose in mg, per cent up to 100, and a glued degree part a/b from the pressures */
        bool degree = (unit->a == ROLE_CELSIUS || unit->a == ROLE_FAHRENHEIT) && !spaced;
        return (unit->a == ROLE_DOSE && unit->b == 0) || (unit->a == ROLE_PERCENT && f->value <= 100) || degree ||
               unit->a == ROLE_CM || unit->a == ROLE_MMHG || unit->a == ROLE_KPA || unit->a == ROLE_BPM;
    }
    switch (unit->a) {
    case ROLE_INCH:
        return f->value <= 40;
    case ROLE_CELSIUS:
    case ROLE_FAHRENHEIT:
        return f->value < 120 && (!spaced || p->t.at[f->end].size > 1 || (f->value <= 45 && about(p, f, ROLE_ROOM, true)));
    case ROLE_DOSE:
    case ROLE_COUNT:
        return unit->b == 0 || f->value < 40;
    case ROLE_DURATION: /* "dia 86 hr 72": nobody counts 86 hours, and hr is also the heart rate */
        if (i > 0 && f->digits == 2 && f->value < 60 && p->figure[i - 1].end + 1 == f->first && p->t.at[f->first].glued && p->figure[i - 1].value < 24) {
            return false; /* "19.30 hrs" is a time */
        }
        return !token_word(p, f->end, "hr") || f->value <= 36;
    default:
        return true;
    }
}

/* Gives the whole shape a/b a role: "100/25 mg", "97/98%". */
static void role_give(struct parse *p, size_t i, uint8_t role) {
    p->figure[i].role = role;
    if (i > 0 && role != ROLE_INCH && role != ROLE_CM && p->figure[i - 1].role == ROLE_FREE && is_slash(p, p->figure[i - 1].end) &&
        p->figure[i - 1].end + 1 == p->figure[i].first) {
        p->figure[i - 1].role = role;
    }
}

static void units_read(struct parse *p) {
    for (size_t i = 0; i < p->figure_n; i++) {
        struct figure *f = &p->figure[i];
        const struct mark *unit = mark_at(p, f->end, KIND_UNIT);
        if (unit == NULL && token_is(p, f->end, '-')) {
            unit = mark_at(p, f->end + 1, KIND_UNIT);
            unit = unit != NULL && unit->a == ROLE_AGE ? unit : NULL;
        }
        if (unit == NULL) { /* "42 Mill Lane" */
            unit = mark_at(p, f->end + 1, KIND_UNIT);
            unit = unit != NULL && unit->a == ROLE_HOUSE && p->t.at[f->end].kind == TOKEN_WORD ? unit : NULL;
        }
        if (unit == NULL || !unit_holds(p, i, unit)) {
            continue;
        }
        if (unit->a == ROLE_MMHG || unit->a == ROLE_KPA || unit->a == ROLE_BPM) {
            continue;
        }
        role_give(p, i, (uint8_t)unit->a);
        f->garbled = false;
    }
}

static bool within_label(const struct parse *p, const struct mark *lead) {
    const struct mark *label = mark_at(p, lead->first - 1, KIND_LABEL);
    return label != NULL && label->end > lead->first;
}

/* The lead before figure i, over fillers and `: = -`, in its sentence; NULL when there is none. */
static const struct mark *lead_find(const struct parse *p, size_t i) {
    uint32_t at = p->figure[i].first, colon = UINT32_MAX;
    for (uint32_t steps = 0; steps < LEAD_REACH && at > 0; steps++, at--) {
        const struct mark *lead = mark_before(p, at, KIND_LEAD);
        if (lead != NULL && lead->first > 0 && within_label(p, lead)) {
            return NULL; /* "the top number is" */
        }
        if (lead != NULL) { /* "readings I owe you: 11 Nov" */
            return lead->a == ROLE_OTHER && colon != UINT32_MAX && colon != lead->end ? NULL : lead;
        }
        colon = token_is(p, at - 1, ':') ? at - 1 : colon;
        uint32_t k = at - 1;
        bool mark = token_is(p, k, ':') || token_is(p, k, '=') || token_is(p, k, '-') || token_is(p, k, '#');
        if (!mark && (!(p->covers[k] & KIND_IS(KIND_FILLER)) || p->t.at[k].kind == TOKEN_NUMBER)) {
            return NULL;
        }
    }
    return NULL;
}

/* A pair by its size with a dash between: "from the bus: 136-85" is no bus. */
static bool in_dashed_pair(const struct parse *p, size_t i) {
    const struct figure *a = &p->figure[i], *b = i + 1 < p->figure_n ? a + 1 : NULL;
    return b != NULL && token_is(p, a->end, '-') && b->first == a->end + 1 && a->value >= 70 && a->value <= 260 && b->value >= 40 &&
           b->value < a->value;
}

/* A drug's name before a pair is a dose only when the second number is one. */
static bool lead_holds(const struct parse *p, size_t i, const struct mark *lead) {
    const struct figure *f = &p->figure[i];
    const struct mark *at = mark_before(p, f->first, KIND_CLOCK), *half = mark_at(p, f->end, KIND_CLOCK);
    if ((at != NULL && at->a == CLOCK_AT && lead->end < f->first) ||
        (half != NULL && (half->a == CLOCK_AM || half->a == CLOCK_PM) && p->t.at[f->end].glued)) {
        return false; /* a tablet at 7, tabs 8am */
    }
    if (lead->a == ROLE_AGE) {
        return f->value >= 1 && f->value <= 115 && !in_pair(p, i) && !f->decimal;
    }
    if (lead->a == ROLE_DOSE && in_pair(p, i)) {
        return i + 1 < p->figure_n && p->figure[i + 1].value < 30;
    }
    if (lead->a == ROLE_ARM || lead->a == ROLE_CUFF || lead->a == ROLE_ROOM) {
        return false; /* sizes_find decides */
    }
    if (lead->a == ROLE_PHONE && f->spelled) {
        return false;
    }
    if (lead->a == ROLE_BODY) {
        return f->value < 115;
    }
    if (lead->a == ROLE_OXYGEN) {
        return f->value <= 100 && (i + 1 >= p->figure_n || !in_pair(p, i) || p->figure[i + 1].value <= 100);
    }
    if (lead->a == ROLE_OTHER && mark_at(p, f->end, KIND_MONTH) != NULL) {
        return false;
    }
    return !in_pair(p, i) && !in_dashed_pair(p, i) && !(lead->a == ROLE_OTHER && lead->b == 1);
}

static void leads_read(struct parse *p) {
    for (size_t i = 0; i < p->figure_n; i++) {
        struct figure *f = &p->figure[i];
        if (f->role == ROLE_FREE && f->first > 1 && token_is(p, f->first - 1, '(') && token_is(p, f->end, ')') &&
            mark_before(p, f->first - 1, KIND_PERSON) != NULL && f->value <= 115) {
            f->role = ROLE_AGE; /* "mum (82) got 160/70" */
        }
        const struct mark *within = f->first > 0 ? mark_at(p, f->first - 1, KIND_LEAD) : NULL;
        if (within != NULL && within->a == ROLE_OXYGEN && within->end > f->first) {
            f->role = ROLE_OXYGEN; /* the 2 of "O2" */
        }
        const struct mark *lead = f->role == ROLE_FREE ? lead_find(p, i) : NULL;
        if (lead == NULL || !lead_holds(p, i, lead)) {
            continue;
        }
        f->role = (uint8_t)lead->a;
        f->garbled = false;
        bool list = lead->a == ROLE_HOUSE || lead->a == ROLE_OXYGEN || lead->a == ROLE_DOSE || lead->a == ROLE_PHONE;
        struct figure *next = list ? figure_next(p, i, f->end + 1) : NULL;
        if (next != NULL && next->role == ROLE_FREE && (is_slash(p, f->end) || token_is(p, f->end, ','))) {
            next->role = (uint8_t)lead->a;
        }
        next = lead->a == ROLE_PHONE ? figure_next(p, i, f->end) : NULL;
        if (next != NULL) {
            next->role = ROLE_PHONE;
        }
        next = lead->a == ROLE_OTHER && token_is(p, f->end, '-') ? figure_next(p, i, f->end + 1) : NULL;
        if (next != NULL && next->value < 40) {
            next->role = ROLE_OTHER; /* "won 3-1" */
        }
    }
}

/* The figure behind the last of a chain that begins with figure i: spaces, dots, dashes and brackets alone between. */
static size_t chain_end(const struct parse *p, size_t i, unsigned *digits) {
    size_t end = i + 1;
    *digits = p->figure[i].digits;
    for (; end < p->figure_n && p->figure[end].first <= p->figure[end - 1].end + 2; end++) {
        for (uint32_t k = p->figure[end - 1].end; k < p->figure[end].first; k++) {
            bool stop = token_is(p, k, '.') && !p->t.at[k + 1].glued; /* "900347. 134/83" */
            if (p->t.at[k].kind != TOKEN_MARK || strchr("-.()", p->t.at[k].mark) == NULL || stop) {
                return end;
            }
        }
        *digits += p->figure[end].digits;
    }
    return end;
}

/* "+1 212 555 0143", "212-555-0143", "01632 960 123": a telephone number in groups. */
static void phone_groups(struct parse *p, size_t i) {
    const struct figure *f = &p->figure[i];
    unsigned digits;
    size_t end = chain_end(p, i, &digits);
    bool plus = f->first > 0 && token_is(p, f->first - 1, '+');
    bool zero = f->digits >= 3 && p->f.text[p->t.at[f->first].start] == '0';
    bool groups = end >= i + 3 && f->digits == 3 && f[1].digits == 3 && f[2].digits == 4;
    for (; digits >= 9 && (plus || zero || groups) && i < end; i++) {
        p->figure[i].role = ROLE_PHONE;
    }
}

/* Numbers too long for a reading: telephone numbers, years; five or six digits are a pair without its separator. */
static void long_numbers(struct parse *p) {
    for (size_t i = 0; i < p->figure_n; i++) {
        struct figure *f = &p->figure[i];
        if (f->digits == 3 && (f->value == 999 || f->value == 911) && !in_pair(p, i)) {
            f->role = ROLE_PHONE; /* the emergency number; no pulse is so fast */
        }
        if (f->role != ROLE_FREE || f->spelled) {
            continue;
        }
        phone_groups(p, i);
        if (f->role != ROLE_FREE || f->digits < 4) {
            continue;
        }
        const struct token *k = &p->t.at[f->first];
        bool zero = p->f.text[k->start] == '0' || p->f.text[k->start] == 'o';
        bool plus = f->first > 0 && token_is(p, f->first - 1, '+');
        if (f->digits >= 7 || plus || (zero && f->digits > 4)) {
            f->role = ROLE_PHONE;
            struct figure *next = figure_next(p, i, f->end);
            if (zero && next != NULL && next->digits >= 6) {
                next->role = ROLE_PHONE;
            }
        } else if (f->digits == 4 && f->value >= 1900 && f->value < 2100 && !in_pair(p, i)) {
            f->role = ROLE_OTHER;
        } else if (f->digits == 5 || f->digits == 6) {
            f->garbled = !in_pair(p, i);
        }
    }
}

/* The numbers of a link are no readings: from http or www to the next space. */
static void links_skip(struct parse *p) {
    for (uint32_t i = 0; i < p->t.n; i++) {
        if (!token_word(p, i, "http") && !token_word(p, i, "https") && !token_word(p, i, "www")) {
            continue;
        }
        uint32_t end = i + 1;
        while (end < p->t.n && p->t.at[end].glued) {
            end++;
        }
        roles_set(p, i, end, ROLE_OTHER);
        i = end - 1;
    }
}

/* Whether a figure of two or three digits begins at token i. */
static bool pressure_at(const struct parse *p, uint32_t i) {
    const struct figure *f = figure_starting(p, i);
    return f != NULL && f->value >= 40 && f->value <= 300;
}

/* "(1/2) 132/84 (2/2)": parts of a whole. */
static void part_number(struct parse *p, size_t i) {
    struct figure *f = &p->figure[i], *whole = figure_next(p, i, f->end + 1);
    if (whole == NULL || !token_is(p, f->end, '/') || f->value > whole->value || whole->value > 9 || f->value < 1) {
        return;
    }
    bool bracketed = f->first > 0 && token_is(p, f->first - 1, '(') && token_is(p, whole->end, ')');
    bool headed = (token_is(p, whole->end, ':') || token_is(p, whole->end, ')')) && pressure_at(p, whole->end + 1) &&
                  calendar_back(p->received, (int)f->value, (int)whole->value) < -7 &&
                  calendar_back(p->received, (int)whole->value, (int)f->value) < -7;
    if (!bracketed && !headed) {
        return;
    }
    f->role = whole->role = ROLE_ENUMERATOR;
}

/* "1a: 148/88", "2o) 144/86": lines counted one up from 1, which are no clock times. */
static void counted_lines(struct parse *p) {
    struct figure *last = NULL;
    for (size_t i = 0; i < p->figure_n; i++) {
        struct figure *f = &p->figure[i];
        uint32_t letter = f->end, mark = letter + 1;
        bool counts = f->role == ROLE_FREE && f->digits == 1 && (f->first == 0 || token_ends_sentence(p, f->first - 1)) &&
                      letter < p->t.n && p->t.at[letter].glued && (token_word(p, letter, "a") || token_word(p, letter, "o")) &&
                      (token_is(p, mark, ':') || token_is(p, mark, ')') || token_is(p, mark, '.') || token_is(p, mark, '-'));
        if (counts && last != NULL && f->value == last->value + 1) {
            f->role = last->role = ROLE_ENUMERATOR;
        }
        last = counts && (f->role == ROLE_ENUMERATOR || f->value == 1) ? f : last;
    }
}

void roles_find(struct parse *p) {
    links_skip(p);
    for (size_t i = 0; i < p->figure_n; i++) {
        part_number(p, i);
    }
    long_numbers(p);
    counted_lines(p);
    units_read(p);
    leads_read(p);
}

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
    bool arm = about(p, f, ROLE_ARM, true), cuff = about(p, f, ROLE_CUFF, true);
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
    if (high == NULL || high->value <= f->value || high->value > 70 || !about(p, f, ROLE_CUFF, true)) {
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
                (unit && about(p, f, ROLE_ROOM, true));
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

static bool line_starts(const struct parse *p, uint32_t i) {
    return i == 0 || token_ends_sentence(p, i - 1) || token_is(p, i - 1, ',');
}

void enumerators_find(struct parse *p) {
    for (size_t i = 0; i < p->figure_n; i++) {
        struct figure *f = &p->figure[i];
        if (f->role == ROLE_FREE && (p->covers[f->first] & KIND_IS(KIND_AGAIN))) {
            f->role = ROLE_COUNT; /* "x2" */
        }
        if (f->role != ROLE_FREE || f->decimal) {
            continue;
        }
        if (f->value > 31 && f->end < p->t.n && p->t.at[f->end].glued && mark_at(p, f->end, KIND_ORDINAL) != NULL) {
            f->role = ROLE_OTHER; /* "my 80th birthday" */
            continue;
        }
        const struct mark *ordinal = mark_within(p, f->first > 3 ? f->first - 3 : 0, f->end + 1, KIND_ORDINAL, -1);
        bool named = f->value <= 20 && (mark_at(p, f->end, KIND_ORDINAL) != NULL ||
                     (ordinal != NULL && ordinal->first < f->first && ordinal->end >= f->end));
        if (f->value > 9 || f->spelled) {
            f->role = named ? ROLE_ENUMERATOR : f->role;
            continue;
        }
        bool closed = token_is(p, f->end, ')') || token_is(p, f->end, '.') || token_is(p, f->end, '-') ||
                      token_is(p, f->end, ':');
        uint32_t next = closed ? f->end + 1 : f->end;
        bool hash = f->first > 0 && token_is(p, f->first - 1, '#');
        bool slashed = is_slash(p, next) || (f->first > 0 && is_slash(p, f->first - 1));
        if (named || hash || (token_is(p, f->end, ')') && !slashed) || (closed && pressure_at(p, next)) ||
            (!closed && line_starts(p, f->first) && pressure_at(p, next) && !slashed)) {
            f->role = ROLE_ENUMERATOR;
        }
    }
}
