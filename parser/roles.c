/* Roles: figures that measure something else than blood pressure.
 *
 * A unit behind a number or a lead before it ("weight", "flat", "aged") takes it out of the running; so does a number
 * too long for any reading. Sizes and temperatures are taken by sizes.c. It must never take a
 * number away on a guess: what has no unit and no lead stays free.
 */
#include "parser/roles.h"

#include <string.h>

enum { LEAD_REACH = 6 }; /* tokens between a lead and its number, fillers */

/* The figure whose first token comes next after figure i, when it begins at `first`. */
struct figure *figure_next(struct parse *p, size_t i, uint32_t first) {
    return i + 1 < p->figure_n && p->figure[i + 1].first == first ? &p->figure[i + 1] : NULL;
}

static bool is_slash(const struct parse *p, uint32_t i) {
    return token_is(p, i, '/') || token_is(p, i, '\\') || token_is(p, i, '|') || mark_at(p, i, KIND_JOIN) != NULL;
}

void roles_set(struct parse *p, uint32_t first, uint32_t end, uint8_t role) {
    for (size_t i = 0; i < p->figure_n; i++) {
        if (p->figure[i].first >= first && p->figure[i].first < end) {
            p->figure[i].role = role;
            p->figure[i].garbled = false;
        }
    }
}

/* Whether figure i stands behind a slash and another figure, or before them. */
bool in_pair(const struct parse *p, size_t i) {
    const struct figure *f = &p->figure[i];
    if (i > 0 && is_slash(p, p->figure[i - 1].end) && f->first > 0 && p->figure[i - 1].end + 3 > f->first &&
        is_slash(p, f->first - 1)) {
        return true;
    }
    return i + 1 < p->figure_n && is_slash(p, f->end) && p->figure[i + 1].first <= f->end + 2;
}

/* Whether the words about figure i, in its clause or (second look) its sentence, speak of `role`. */
bool clause_speaks_of(const struct parse *p, const struct figure *f, int role, bool sentence) {
    const struct clause *c = &p->clause[p->clause_of[f->first]];
    uint32_t first = c->first, end;
    if (sentence) {
        sentence_of(p, f->first, &first, &end);
    }
    return mark_within(p, first, c->end, KIND_LEAD, role) != NULL;
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
        return f->value < 120 && (!spaced || p->t.at[f->end].size > 1 || (f->value <= 45 && clause_speaks_of(p, f, ROLE_ROOM, true)));
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
const struct mark *lead_find(const struct parse *p, size_t i) {
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
        return i + 1 < p->figure_n && p->figure[i + 1].value <= 30;
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
        bool counts = f->role == ROLE_FREE && f->digits == 1 && (f->first == 0 || token_ends_sentence(p, f->first - 1) || token_is(p, f->first - 1, ',')) &&
                      letter < p->t.n && p->t.at[letter].glued && (token_word(p, letter, "a") || token_word(p, letter, "o")) &&
                      (token_is(p, mark, ':') || token_is(p, mark, ')') || token_is(p, mark, '.') || token_is(p, mark, '-') || pressure_at(p, mark));
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
