/* What the head of a section says: [flag chest_pain], [when day=-1 slot=evening], as a sense. The names of the arguments
 * stand here in the order of the enums that they stand for, and nowhere else.
 */
#include <stdlib.h>
#include <string.h>

#include "parser/lexicon_parts.h"

enum argument_kind {
    ARGUMENT_NONE, ARGUMENT_FLAG, ARGUMENT_TECHNIQUE, ARGUMENT_NEWS, ARGUMENT_ASKS, ARGUMENT_LABEL, ARGUMENT_NUMBER,
    ARGUMENT_WHEN, ARGUMENT_CLOCK, ARGUMENT_UNIT, ARGUMENT_WHOSE, ARGUMENT_UNCERTAIN, ARGUMENT_AMEND,
    ARGUMENT_KEYWORD, ARGUMENT_NEGATION, ARGUMENT_SIDE, ARGUMENT_POSTURE, ARGUMENT_HINGE
};

#define KIND_TEXT(NAME, text, arguments) text,
#define KIND_ARGUMENT(NAME, text, arguments) arguments,
static const char *const kind_names[] = {LEXICON_KINDS(KIND_TEXT)};
static const uint8_t kind_arguments[] = {LEXICON_KINDS(KIND_ARGUMENT)};

/* Names that an argument may have, in the order of the enum they stand for. */
static const char *const label_names[] = {"none", "sys", "dia", "pulse", "bp", NULL};
static const char *const clock_names[] = {"at", "about", "am", "pm", "oclock", "past", "to", "plus", "half", "night", NULL};
static const char *const unit_names[] = {"free", "dose", "weight", "cm", "inch", "celsius", "fahrenheit", "percent", "sugar",
                                   "age", "duration", "count", "mmhg", "kpa", "bpm", "house", "phone", "oxygen", "body",
                                   "room", "arm", "cuff", "other", NULL};
static const char *const whose_names[] = {"other", "office", "usual", "target", "past", "self", "quote", "from", NULL};
static const char *const uncertain_names[] = {"said", "choice", "range", NULL};
static const char *const amend_names[] = {"correct", "void", "not", "oops", "ignore", NULL};
static const char *const keyword_names[] = {"none", "stop", "start", "help", "yes", "no", "wrong_number", NULL};
static const char *const negation_names[] = {"before", "after", "end", "if", "double", "list", "answer", "turn", "back", NULL};
static const char *const asks_names[] = {"question", "remark", "symptom", NULL};
static const char *const side_names[] = {"none", "left", "right", NULL};
static const char *const posture_names[] = {"none", "standing", "lying", NULL};
static const char *const hinge_names[] = {"now", "was", "than", "date", "of", NULL};
static const char *const slot_names[] = {"none", "morning", "evening", "afternoon", NULL};

const char *lexicon_kind_name(unsigned kind) {
    return kind < KIND_COUNT ? kind_names[kind] : NULL;
}

int sense_kind(const char *name) {
    for (unsigned i = 0; i < KIND_COUNT; i++) {
        if (strcmp(kind_names[i], name) == 0) {
            return (int)i;
        }
    }
    return -1;
}

bool sense_is_whole(unsigned kind) {
    return kind_arguments[kind] == ARGUMENT_NONE;
}

static int name_index(const char *const *names, const char *name) {
    for (int i = 0; names[i] != NULL; i++) {
        if (strcmp(names[i], name) == 0) {
            return i;
        }
    }
    return -1;
}

static int bit_index(const char *(*name_of)(unsigned), const char *name) {
    for (unsigned i = 0; name_of(i) != NULL; i++) {
        if (strcmp(name_of(i), name) == 0) {
            return (int)i;
        }
    }
    return -1;
}

static bool argument_number(const char *word, int *value) {
    char *end;
    long n = strtol(word, &end, 10);
    *value = (int)n;
    return end != word && *end == '\0' && n >= -1000 && n <= 1000;
}

/* "day=-1", "slot=evening". */
static bool argument_when(const char *word, struct sense *s) {
    int value;
    if (strncmp(word, "day=", 4) == 0 && argument_number(word + 4, &value)) {
        s->a = (int16_t)value;
        return true;
    }
    if (strncmp(word, "slot=", 5) == 0 && (value = name_index(slot_names, word + 5)) >= 0) {
        s->b = (int16_t)value;
        return true;
    }
    return false;
}

bool sense_argument(struct sense *s, const char *word, int position) {
    static const char *const *const names[] = {
        [ARGUMENT_ASKS] = asks_names,         [ARGUMENT_LABEL] = label_names,     [ARGUMENT_CLOCK] = clock_names,
        [ARGUMENT_UNIT] = unit_names,         [ARGUMENT_WHOSE] = whose_names,     [ARGUMENT_UNCERTAIN] = uncertain_names,
        [ARGUMENT_AMEND] = amend_names,       [ARGUMENT_KEYWORD] = keyword_names, [ARGUMENT_NEGATION] = negation_names,
        [ARGUMENT_SIDE] = side_names,         [ARGUMENT_POSTURE] = posture_names,
        [ARGUMENT_HINGE] = hinge_names};
    int value = -1;
    switch (kind_arguments[s->kind]) {
    case ARGUMENT_WHEN: return argument_when(word, s);
    case ARGUMENT_FLAG: value = bit_index(flag_name, word); break;
    case ARGUMENT_TECHNIQUE: value = bit_index(technique_name, word); break;
    case ARGUMENT_NEWS: value = bit_index(news_name, word); break;
    case ARGUMENT_NUMBER:
        if (!argument_number(word, &value)) {
            return false;
        }
        break;
    case ARGUMENT_NONE: return argument_number(word, &value) && (s->b = (int16_t)value, true);
    default:
        if (position == 0) {
            value = name_index(names[kind_arguments[s->kind]], word);
        }
        break;
    }
    if (position > 0) { /* a plain number that the kind knows what to do with */
        return argument_number(word, &value) && (s->b = (int16_t)value, true);
    }
    s->a = (int16_t)value;
    return kind_arguments[s->kind] == ARGUMENT_NUMBER || value >= 0;
}
