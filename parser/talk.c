/* What the text asks or tells beside numbers: the keyword, whether a person should read it, its language.
 *
 * STOP in plain words counts anywhere and wins over everything; yes, no, help and start only when they are all that
 * the text says. A question mark is a question unless it is the patient's doubt about a figure or an answered "dizzy?
 * no". It must never take a mere word of a sentence ("I will stop smoking") for a keyword.
 */
#include "parser/steps.h"
#include "parser/words.h"

#include <string.h>

/* Whether nothing but keywords and politeness stands in [first, end). */
static bool only_keyword(const struct parse *p, uint32_t first, uint32_t end) {
    for (uint32_t i = first; i < end; i++) {
        if (p->t.at[i].kind == TOKEN_NUMBER) {
            return false;
        }
        if (p->t.at[i].kind == TOKEN_WORD && !(p->covers[i] & (KIND_IS(KIND_KEYWORD) | KIND_IS(KIND_POLITE) | KIND_IS(KIND_GREETING)))) {
            return false;
        }
    }
    return true;
}

static void keyword_find(struct parse *p) {
    if (!(p->kinds & KIND_IS(KIND_KEYWORD))) {
        return;
    }
    bool alone = only_keyword(p, 0, (uint32_t)p->t.n);
    enum keyword found = KEYWORD_NONE;
    for (size_t i = 0; i < p->m.n; i++) {
        const struct mark *m = &p->m.at[i];
        if (m->kind != KIND_KEYWORD) {
            continue;
        }
        if (m->a == KEYWORD_WRONG_NUMBER && p->pair_n > 0) {
            continue; /* "wrong number, it was 152/91": a figure was wrong, not the person */
        }
        if (m->a == KEYWORD_STOP && m->b == 1 && p->out->amend == AMEND_VOID) {
            continue; /* "cancel that": what was sent, not the texts */
        }
        bool sentence = m->a == KEYWORD_STOP || m->a == KEYWORD_WRONG_NUMBER;
        bool holds = sentence && m->b == 0;
        if (sentence && m->b == 1) { /* a word that is the keyword only when its sentence says nothing else */
            uint32_t first, end;
            sentence_of(p, m->first, &first, &end);
            holds = only_keyword(p, first, end);
        }
        holds = holds || (!sentence && alone);
        if (holds && (found == KEYWORD_NONE || m->a == KEYWORD_STOP || (m->a == KEYWORD_WRONG_NUMBER && found != KEYWORD_STOP))) {
            found = (enum keyword)m->a;
        }
        if (m->a == KEYWORD_WRONG_NUMBER && holds) {
            p->out->asks = true;
        }
    }
    p->out->keyword = found;
}

/* Whether an opt-out carries more than itself: words that no keyword, filler or courtesy covers. */
static bool says_more(const struct parse *p) {
    size_t more = 0;
    uint64_t quiet = KIND_IS(KIND_KEYWORD) | KIND_IS(KIND_POLITE) | KIND_IS(KIND_FILLER) | KIND_IS(KIND_GREETING);
    for (uint32_t i = 0; i < p->t.n; i++) {
        more += p->t.at[i].kind == TOKEN_WORD && !(p->covers[i] & quiet);
    }
    return more >= 4;
}

/* Whether the question mark at i asks the clinic something. */
static bool question_asks(const struct parse *p, uint32_t i) {
    uint32_t first, end;
    sentence_of(p, i, &first, &end);
    if (i > 0 && p->t.at[i].glued && i + 1 < p->t.n && p->t.at[i + 1].kind == TOKEN_NUMBER && p->t.at[i + 1].glued) {
        return false;
    }
    if (mark_within(p, first, end, KIND_UNCERTAIN, -1) != NULL && mark_within(p, first, end, KIND_ASKS, ASKS_QUESTION) == NULL) {
        return false;
    }
    const struct mark *flag = mark_within(p, first, end, KIND_FLAG, -1);
    bool quoted = mark_within(p, first, end, KIND_FIGURE, -1) != NULL && mark_within(p, i + 1, i + 2, KIND_NEGATION, NEGATION_ANSWER) != NULL;
    if (quoted || (flag != NULL && (p->starts[i + 1] & KIND_IS(KIND_NEGATION)))) {
        return false;
    }
    for (size_t k = 0; k < p->figure_n; k++) {
        if (p->figure[k].garbled && p->figure[k].first >= first && p->figure[k].end <= end) {
            return false;
        }
    }
    uint32_t words = 0;
    for (uint32_t k = first; k < i; k++) {
        words += p->t.at[k].kind == TOKEN_WORD && !(p->covers[k] & KIND_IS(KIND_GREETING));
    }
    return words > 0 || (i > 0 && p->t.at[i - 1].kind == TOKEN_NUMBER);
}

/* "can you stop these texts": the question is the keyword itself. */
static bool inside_keyword(const struct parse *p, const struct mark *m) {
    for (uint32_t i = m->end; i <= m->end + 1 && m->end <= m->first + 2; i++) {
        const struct mark *keyword = mark_at(p, i, KIND_KEYWORD);
        if (keyword != NULL && keyword->a == KEYWORD_STOP && keyword->b == 0) {
            return true; /* "will you stop texting me" */
        }
    }
    for (uint32_t i = m->first > 8 ? m->first - 8 : 0; i <= m->first; i++) {
        const struct mark *keyword = mark_at(p, i, KIND_KEYWORD);
        if (keyword != NULL && keyword->end >= m->end && keyword->end - keyword->first > 1) {
            return true;
        }
    }
    return false;
}

static void asks_find(struct parse *p) {
    bool asks = p->out->asks || p->out->flags != 0 || (p->out->news & ~(uint32_t)(NEWS_ES | NEWS_EN | NEWS_DAYS | NEWS_NIGHTS));
    for (size_t i = 0; i < p->m.n && !asks; i++) {
        const struct mark *m = &p->m.at[i];
        if (m->kind == KIND_ASKS && !inside_keyword(p, m)) {
            bool denied = m->a == ASKS_SYMPTOM && mark_denied(p, m);
            const struct mark *amend = mark_at(p, m->first, KIND_AMEND);
            bool amends = m->a == ASKS_REMARK && amend != NULL && amend->a == AMENDS_CORRECT;
            asks = !denied && !amends;
        }
    }
    for (uint32_t i = 0; i < p->t.n && !asks; i++) {
        asks = token_is(p, i, '?') && question_asks(p, i);
    }
    asks = asks || (p->out->keyword == KEYWORD_STOP && says_more(p));
    bool plain = p->out->keyword != KEYWORD_NONE && p->out->keyword != KEYWORD_WRONG_NUMBER && only_keyword(p, 0, (uint32_t)p->t.n);
    p->out->asks = asks && !(plain && p->out->flags == 0);
}

/* Whether so many words are of no language known that the few that are say nothing: "dzien dobry, cisnienie 132/84". */
static bool words_foreign(const struct parse *p, unsigned told) {
    unsigned words = 0, unknown = 0;
    for (uint32_t i = 0; i < p->t.n; i++) {
        bool word = p->t.at[i].kind == TOKEN_WORD && p->t.at[i].size > 1;
        words += word;
        unknown += word && p->t.at[i].word == WORD_OTHER;
    }
    return unknown >= 2 && unknown * 5 >= words * 2 && told < 2;
}

static void language_find(struct parse *p) {
    unsigned told[LEXICON_LANGUAGES] = {0}, votes[LEXICON_LANGUAGES] = {0}, best = 0;
    for (size_t i = 0; i < p->m.n; i++) {
        const struct mark *m = &p->m.at[i];
        bool shared = m->kind == KIND_LABEL || m->kind == KIND_UNIT || m->kind == KIND_CLOCK || m->kind == KIND_NUMBER ||
                      m->kind == KIND_FILLER || m->kind == KIND_MEASURE || m->kind == KIND_POLITE || m->kind == KIND_NEGATION ||
                      m->kind == KIND_HINGE;
        told[m->language] += m->kind == KIND_LANGUAGE;
        votes[m->language] += m->kind == KIND_LANGUAGE ? 3 : shared ? 0 : 1;
    }
    for (unsigned i = 1; i < lexicon_languages(p->lexicon); i++) {
        best = votes[i] > votes[best] ? i : best;
    }
    const char *name = votes[best] > 0 && !words_foreign(p, told[best]) ? lexicon_language(p->lexicon, best) : NULL;
    memcpy(p->out->language, name != NULL ? name : "", name != NULL ? strlen(name) + 1 : 1);
}

void talk_find(struct parse *p) {
    keyword_find(p);
    asks_find(p);
    language_find(p);
}
