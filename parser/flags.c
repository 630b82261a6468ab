/* Flags, technique and news: each phrase found counts unless the patient denies it.
 *
 * A denial reaches forward over a list ("no chest pain, palpitations or dizziness") and stops at a "but", at the end
 * of the sentence, and where the patient begins to speak of what there is ("not happy, I have chest pain"); an answer
 * behind the phrase denies it too ("dizzy? no"). Two denials affirm. Where it is unclear the flag stands: a missed
 * flag is the worst error that the parser can make. What is "gone" was there, and stands.
 */
#include "parser/steps.h"

enum { NEGATION_REACH = 14, NEGATION_UNKNOWN = 3 };

/* A word that opens a new statement of the patient's: "I", "my", "tengo". */
static bool speaks_again(const struct parse *p, uint32_t i) {
    static const char *const words[] = {"i", "im", "i'm", "ive", "i've", "my", "yo", "tengo", "siento", "estoy", "me", "just", "only",
                                        "solo", "its", "it's", "theres", "there's", NULL};
    for (size_t k = 0; words[k] != NULL; k++) {
        if (token_word(p, i, words[k])) {
            return true;
        }
    }
    return false;
}

/* Whether the mark is a plain noun of a list: nothing but a list's commas and words between it and the denial. */
static bool list_comma(const struct parse *p, uint32_t comma, const struct mark *m) {
    bool named = m->b == 1; /* the lexicon says: a noun that stands in such lists */
    const struct clause *c = &p->clause[p->clause_of[m->first]];
    bool goes_on = false;
    for (uint32_t i = comma; i < p->t.n && p->clause[p->clause_of[i]].sentence == c->sentence; i++) {
        goes_on = goes_on || token_word(p, i, "or") || token_word(p, i, "nor") || token_word(p, i, "ni") || token_word(p, i, "o") ||
                  token_word(p, i, "and") || token_word(p, i, "y") || token_word(p, i, "nothing") || token_word(p, i, "anything");
        if (token_word(p, i, "though") || token_word(p, i, "tho")) {
            return false;
        }
    }
    return goes_on || named;
}

/* "can't walk to the shop without": the denial of a denial, which begins further ahead. */
static bool within_double(const struct parse *p, uint32_t i, const struct mark *no) {
    for (uint32_t k = i; k-- > 0 && k + 12 > i;) {
        const struct mark *twice = mark_at(p, k, KIND_NEGATION);
        if (twice != NULL && twice->a == NEGATION_DOUBLE && twice->end >= no->end) {
            return true;
        }
    }
    return false;
}

/* Whether the words `no`, in front of m, are of the sort that denies it. */
static bool denies(const struct mark *no, const struct mark *m) {
    bool answer = no->a == NEGATION_ANSWER && no->end - no->first >= 3; /* "never had any" */
    bool sort = no->a == NEGATION_BEFORE || no->a == NEGATION_IF || no->a == NEGATION_DOUBLE || answer;
    return sort && (no->end <= m->first || no->a == NEGATION_IF) && (no->b == 0 || m->kind == KIND_TECHNIQUE);
}

/* The denial that reaches the mark m from in front, or NULL. */
static const struct mark *denial_before(const struct parse *p, const struct mark *m) {
    int unknown = 0;
    bool opened = false; /* the patient speaks again between here and the mark */
    const struct mark *own = mark_at(p, m->first, KIND_NEGATION);
    if (own != NULL && own->a == NEGATION_END) {
        return NULL; /* "pero si el pecho" */
    }
    for (uint32_t i = m->first; i-- > 0 && i + NEGATION_REACH + 16 > m->first;) {
        const struct token *k = &p->t.at[i];
        const struct mark *no = mark_at(p, i, KIND_NEGATION);
        if (no != NULL && (no->a == NEGATION_END || no->a == NEGATION_BACK || no->a == NEGATION_TURN)) {
            return NULL;
        }
        const struct mark *symptom = mark_at(p, i, KIND_FLAG);
        if (no != NULL && symptom != NULL && symptom->end > no->end && symptom->end <= m->first) {
            return NULL; /* "no me salen las palabras": the word is part of another symptom */
        }
        if (no != NULL && denies(no, m)) {
            bool lifted = (opened && no->a != NEGATION_IF) || within_double(p, i, no);
            return lifted ? NULL : no;
        }
        if (k->kind == TOKEN_MARK || k->kind == TOKEN_BREAK) {
            bool comma = k->kind == TOKEN_MARK && (k->mark == ',' || k->mark == '/' || k->mark == '&' || k->mark == '"' || k->mark == '(' || k->mark == '-');
            if (!comma || (k->mark == ',' && !list_comma(p, i, m)) || (k->mark == '-' && !k->glued)) {
                return NULL;
            }
            unknown = 0;
            continue;
        }
        if (k->kind == TOKEN_NUMBER && !(p->covers[i] & KIND_IS(KIND_NEGATION))) {
            return NULL;
        }
        uint64_t quiet = KIND_IS(KIND_FLAG) | KIND_IS(KIND_TECHNIQUE) | KIND_IS(KIND_ALSO) | KIND_IS(KIND_NEGATION) | KIND_IS(KIND_NEWS) | KIND_IS(KIND_ASKS);
        bool reflexive = i > 1 && token_word(p, i, "me") && token_word(p, i - 1, "se") && token_word(p, i - 2, "no"); /* "no se me" */
        if (speaks_again(p, i) && !reflexive && !(i > 0 && (p->covers[i - 1] & KIND_IS(KIND_NEGATION)))) {
            opened = true;
        }
        if (!(p->covers[i] & (quiet | KIND_IS(KIND_FILLER))) && ++unknown > NEGATION_UNKNOWN) {
            return NULL;
        }
    }
    return NULL;
}

/* "chest pain? no." "dizzy: none" */
static bool denied_behind(const struct parse *p, const struct mark *m) {
    uint32_t i = m->end;
    while (i < m->end + 2 && (token_is(p, i, '?') || token_is(p, i, ':') || token_is(p, i, '-') || token_is(p, i, ',') || token_is(p, i, '='))) {
        i++;
    }
    const struct mark *first = mark_at(p, m->first, KIND_NEGATION);
    bool denial = first != NULL && first->a == NEGATION_BEFORE; /* "no dormi nada": the denial is what is said */
    if (i == m->end && (denial || mark_at(p, i, KIND_NEGATION) == NULL)) {
        return false;
    }
    const struct mark *there = mark_at(p, i, KIND_NEGATION);
    if (there != NULL && there->a == NEGATION_DOUBLE) {
        return false; /* "headache no better" */
    }
    const struct mark *answer = mark_within(p, i, i + 2, KIND_NEGATION, NEGATION_ANSWER);
    if (answer != NULL && answer->first == i) {
        return answer->end >= p->t.n || p->t.at[answer->end].kind != TOKEN_WORD;
    }
    const struct mark *no = mark_within(p, i, p->clause[p->clause_of[i]].end, KIND_NEGATION, NEGATION_AFTER);
    return no != NULL && no->first == i && no->b == 0;
}

/* "my face is not swollen": a denial in a gap of the phrase, with nothing but small words between it and the last. */
static bool denied_within(const struct parse *p, const struct mark *m) {
    for (uint32_t i = m->end - 1; i-- > m->first + 1;) {
        const struct mark *no = mark_at(p, i, KIND_NEGATION);
        if (no != NULL && no->a == NEGATION_DOUBLE) {
            return false;
        }
        if (no != NULL && no->a == NEGATION_BEFORE && no->b == 0 && no->end < m->end) {
            return !lexicon_says(p->lexicon, m->phrase, p->t.at[i].word);
        }
        if (!(p->covers[i] & KIND_IS(KIND_FILLER))) {
            return false;
        }
    }
    return false;
}

/* "any fits, faints or funny turns: no to all of them" */
static bool denied_all(const struct parse *p, const struct mark *m) {
    uint32_t first, end;
    sentence_of(p, m->first, &first, &end);
    for (uint32_t i = m->end; i < end; i++) {
        const struct mark *no = mark_at(p, i, KIND_NEGATION);
        if (no != NULL && no->a == NEGATION_AFTER && no->b == 2) {
            return true;
        }
    }
    return false;
}

/* "no chest pain today but I had a bad bout of it on Monday" */
static bool denial_taken_back(const struct parse *p, const struct mark *m) {
    uint32_t first, end;
    sentence_of(p, m->first, &first, &end);
    return mark_within(p, m->end, end, KIND_NEGATION, NEGATION_BACK) != NULL;
}

bool mark_denied(const struct parse *p, const struct mark *m) {
    const struct mark *no = denial_before(p, m);
    if (no != NULL && no->a != NEGATION_DOUBLE) {
        return m->kind != KIND_FLAG || !denial_taken_back(p, m);
    }
    return no == NULL && (denied_behind(p, m) || denied_within(p, m) || denied_all(p, m));
}

/* The last mark of a person in front of m in its clause, with no "I" or "my" of the patient's after it. */
static bool is_anothers(const struct parse *p, const struct mark *m) {
    const struct clause *c = &p->clause[p->clause_of[m->first]];
    for (uint32_t i = m->end; i-- > c->first;) {
        const struct mark *person = mark_at(p, i, KIND_PERSON);
        bool own = m->a == FLAG_PREGNANT_BIT && i > m->first; /* "in the family way": part of what is said */
        if (person != NULL && !own) {
            return true;
        }
        if (i < m->first && speaks_again(p, i)) {
            return false;
        }
    }
    return false;
}

static bool is_past(const struct parse *p, const struct mark *m) {
    const struct clause *c = &p->clause[p->clause_of[m->first]];
    size_t last = p->clause_of[m->first];
    uint32_t end = c->end;
    if (last + 1 < p->clause_n && p->clause[last + 1].sentence == c->sentence) {
        end = p->clause[last + 1].end;
    }
    return mark_within(p, c->first, end, KIND_PAST, -1) != NULL;
}

static void flag_take(struct parse *p, const struct mark *m) {
    bool another = is_anothers(p, m), past = is_past(p, m);
    uint32_t bit = 1u << m->a;
    if (another && (past || m->a == FLAG_PREGNANT_BIT)) {
        return;
    }
    p->out->flags |= bit;
    p->out->head_hit = p->out->head_hit || (m->a == FLAG_FALL_BIT && m->b == 2 && !past);
    if (another || past) {
        p->out->flags_past |= bit;
    }
}

/* Whether a mark of technique a lies over tokens of m. */
static bool technique_over(const struct parse *p, const struct mark *m, int a) {
    for (uint32_t i = m->first > 4 ? m->first - 4 : 0; i < m->end; i++) {
        for (size_t k = p->mark_from[i]; k < p->m.n && p->m.at[k].first == i; k++) {
            const struct mark *t = &p->m.at[k];
            if (t->kind == KIND_TECHNIQUE && t->a == a && t->end > m->first) {
                return true;
            }
        }
    }
    return false;
}

/* An emergency number that is a figure of the readings: "pulso 112". */
static bool is_reading_number(const struct parse *p, const struct mark *m) {
    if (m->kind != KIND_FLAG || m->end != m->first + 1 || p->t.at[m->first].kind != TOKEN_NUMBER) {
        return false;
    }
    for (size_t i = 0; i < p->figure_n; i++) {
        const struct figure *f = &p->figure[i];
        if (f->first == m->first) {
            return f->label != LABEL_NONE || (f->role != ROLE_FREE && f->role != ROLE_PHONE) || f->partner == 1;
        }
    }
    return false;
}

/* Technique is of a measurement that was made: how the patient lives, in a text without a number or a "did it", is not. */
static bool is_measured(const struct parse *p) {
    for (size_t i = 0; p->pair_n == 0 && i < p->m.n; i++) {
        if (p->m.at[i].kind == KIND_MEASURE && p->m.at[i].b == 1) {
            return true;
        }
    }
    return p->pair_n > 0;
}

/* What the words beside a phrase take its meaning away from. */
static bool is_overruled(const struct parse *p, const struct mark *m) {
    const struct clause *c = &p->clause[p->clause_of[m->first]];
    if (m->kind == KIND_FLAG) {
        return is_reading_number(p, m) || (m->a == FLAG_PALPITATIONS_BIT && technique_over(p, m, TECHNIQUE_IRREGULAR_SIGN_BIT));
    }
    if (m->kind != KIND_TECHNIQUE) {
        return false;
    }
    const uint32_t living = TECHNIQUE_STRESS | TECHNIQUE_ALCOHOL | TECHNIQUE_MEAL | TECHNIQUE_CAFFEINE | TECHNIQUE_SMOKING |
                            TECHNIQUE_EXERCISE | TECHNIQUE_HOT | TECHNIQUE_COLD | TECHNIQUE_AFTER_MEDICINE | TECHNIQUE_NO_REST;
    if ((living >> m->a & 1) && !is_measured(p)) {
        return true;
    }
    if (m->a == TECHNIQUE_MONITOR_ERROR_BIT && m->first > 0 && p->t.at[m->first].glued && p->t.at[m->first - 1].kind == TOKEN_NUMBER) {
        return true; /* "1e2/84" is no error code */
    }
    bool effort = m->a == TECHNIQUE_NO_REST_BIT || m->a == TECHNIQUE_EXERCISE_BIT;
    if (effort && mark_within(p, c->first, c->end, KIND_FLAG, FLAG_BREATHLESS_BIT) != NULL) {
        return true; /* breathless on the stairs: the symptom, not the measuring */
    }
    const struct mark *later = mark_within(p, m->end, c->end, KIND_NEGATION, NEGATION_AFTER);
    if (m->a == TECHNIQUE_AFTER_MEDICINE_BIT && later != NULL && later->b == 1) {
        return true; /* taken after measuring */
    }
    if (m->a == TECHNIQUE_AFTER_MEDICINE_BIT && mark_within(p, c->first, c->end, KIND_FLAG, FLAG_EMERGENCY_BIT) != NULL) {
        return true;
    }
    return m->a == TECHNIQUE_NO_REST_BIT && !token_word(p, m->first + 1, "walked") && (technique_over(p, m, TECHNIQUE_COLD_BIT) || technique_over(p, m, TECHNIQUE_HOT_BIT) ||
                                             technique_over(p, m, TECHNIQUE_EXERCISE_BIT));
}

void flags_find(struct parse *p) {
    uint32_t present = 0;
    bool any = (p->kinds & (KIND_IS(KIND_FLAG) | KIND_IS(KIND_TECHNIQUE) | KIND_IS(KIND_NEWS))) != 0;
    for (size_t i = 0; any && i < p->m.n; i++) {
        const struct mark *m = &p->m.at[i];
        if (m->kind != KIND_FLAG && m->kind != KIND_TECHNIQUE && m->kind != KIND_NEWS) {
            continue;
        }
        if (mark_denied(p, m) || is_overruled(p, m)) {
            continue;
        }
        if (m->kind == KIND_FLAG) {
            uint32_t before = p->out->flags_past;
            flag_take(p, m);
            present |= p->out->flags_past == before ? 1u << m->a : 0;
        } else if (m->kind == KIND_TECHNIQUE) {
            p->out->technique |= 1u << m->a;
        } else {
            p->out->news |= 1u << m->a;
        }
    }
    p->out->flags_past &= ~present;
    if (!(p->out->news & (NEWS_AWAY | NEWS_IN_HOSPITAL)) && p->out->away_days != AWAY_OVER) { /* "I'm not away until Thursday" */
        p->out->away_days = AWAY_UNSAID;
        p->out->away_from = 0;
    }
}
