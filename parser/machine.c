/* The machine: sets of the program's steps, built as texts need them (after Thompson's search, CACM 11(6), 1968, from
 * memory).
 * A new way costs some microseconds, a known one some 5 ns.
 */
#include "parser/machine.h"

#include <stdlib.h>
#include <string.h>

#include "parser/lexicon_parts.h"

static void machine_empty(struct machine *m) {
    m->state[MACHINE_DEAD] = m->state[MACHINE_START] = (struct state){0};
    m->state_n = MACHINE_FIRST;
    m->item_n = m->way_n = 0;
    memset(m->way, 0, m->way_room * sizeof *m->way);
    memset(m->twin, 0, m->twin_room * sizeof *m->twin);
}

bool machine_open(struct machine *m, const struct lexicon *lexicon) {
    size_t steps = lexicon->program.n + 1;
    *m = (struct machine){.lexicon = lexicon, .state_room = 1024, .item_room = 16384, .way_room = 8192, .twin_room = 2048};
    m->state = malloc(m->state_room * sizeof *m->state);
    m->item = malloc(m->item_room * sizeof *m->item);
    m->way = malloc(m->way_room * sizeof *m->way);
    m->twin = malloc(m->twin_room * sizeof *m->twin);
    m->seen = calloc(steps, sizeof *m->seen);
    m->pending = malloc(steps * sizeof *m->pending);
    if (!m->state || !m->item || !m->way || !m->twin || !m->seen || !m->pending) {
        return false;
    }
    machine_empty(m);
    return true;
}

void machine_close(struct machine *m) {
    free(m->state);
    free(m->item);
    free(m->way);
    free(m->twin);
    free(m->seen);
    free(m->pending);
    *m = (struct machine){0};
}

void machine_rest(struct machine *m) {
    if (m->state_n > MACHINE_STATES || m->item_n > MACHINE_ITEMS || m->way_n > MACHINE_WAYS) {
        machine_empty(m);
    }
}

/* -- the tables: states by their items, ways by their key ---------------------------------------------------- */

static size_t way_slot(const struct machine *m, uint64_t key) {
    return (size_t)((key * 0x9E3779B97F4A7C15u) >> 32) & (m->way_room - 1);
}

static struct way *way_find(const struct machine *m, uint64_t key) {
    size_t s = way_slot(m, key);
    while (m->way[s].key != 0 && m->way[s].key != key) {
        s = (s + 1) & (m->way_room - 1);
    }
    return &m->way[s];
}

static bool ways_grow(struct machine *m) {
    struct machine old = *m;
    struct way *more = calloc(m->way_room * 2, sizeof *more);
    if (more == NULL) {
        return false;
    }
    m->way = more;
    m->way_room *= 2;
    for (size_t i = 0; i < old.way_room; i++) {
        if (old.way[i].key != 0) {
            *way_find(m, old.way[i].key) = old.way[i];
        }
    }
    free(old.way);
    return true;
}

static bool way_add(struct machine *m, uint64_t key, uint32_t to) {
    if (2 * (m->way_n + 1) > m->way_room && !ways_grow(m)) {
        return false;
    }
    *way_find(m, key) = (struct way){.key = key, .to = to};
    m->way_n++;
    return true;
}

static uint32_t *twin_find(const struct machine *m, const struct state *s) {
    uint64_t hash = s->middle - s->from;
    for (uint32_t i = s->from; i < s->end; i++) {
        hash = (hash ^ m->item[i]) * 0x9E3779B97F4A7C15u;
    }
    size_t slot = (size_t)(hash >> 32) & (m->twin_room - 1), size = (s->end - s->from) * sizeof *m->item;
    for (; m->twin[slot] != 0; slot = (slot + 1) & (m->twin_room - 1)) {
        const struct state *other = &m->state[m->twin[slot] - 1];
        if (other->middle - other->from == s->middle - s->from && other->end - other->from == s->end - s->from &&
            memcmp(m->item + other->from, m->item + s->from, size) == 0) {
            break;
        }
    }
    return &m->twin[slot];
}

static bool states_grow(struct machine *m) {
    struct state *more = realloc(m->state, m->state_room * 2 * sizeof *more);
    if (more != NULL) {
        m->state = more;
    }
    uint32_t *twins = more == NULL ? NULL : calloc(m->twin_room * 2, sizeof *twins);
    if (twins == NULL) {
        return false;
    }
    free(m->twin);
    m->twin = twins;
    m->state_room *= 2;
    m->twin_room *= 2;
    for (uint32_t i = MACHINE_FIRST; i < m->state_n; i++) {
        *twin_find(m, &m->state[i]) = i + 1;
    }
    return true;
}

/* -- a new state: built behind the last item, and given up where one with the same items is known ------------------- */

static bool item_add(struct machine *m, uint32_t item) {
    if (m->item_n == m->item_room) {
        uint32_t *more = realloc(m->item, m->item_room * 2 * sizeof *more);
        if (more == NULL) {
            return false;
        }
        m->item = more;
        m->item_room *= 2;
    }
    m->item[m->item_n++] = item;
    return true;
}

static void pending_add(struct machine *m, uint32_t step) {
    if (m->seen[step] != m->round) {
        m->seen[step] = m->round;
        m->pending[m->pending_n++] = step;
    }
}

/* Follows the steps that take no word; those that take one, and phrases said, become items. */
static bool pending_follow(struct machine *m, unsigned edges) {
    while (m->pending_n > 0) {
        uint32_t i = m->pending[--m->pending_n];
        const struct step *s = &m->lexicon->program.at[i];
        switch (s->kind) {
        case STEP_FORK: pending_add(m, s->b); __attribute__((fallthrough));
        case STEP_GO: pending_add(m, s->a); break;
        case STEP_STARTS:
        case STEP_ENDS:
            if (edges & (s->kind == STEP_STARTS ? EDGE_BEFORE : EDGE_BEHIND)) {
                pending_add(m, i + 1);
            }
            break;
        default:
            if (!item_add(m, i)) {
                return false;
            }
        }
    }
    return true;
}

static bool choice_holds(const struct program *p, const struct step *s, uint32_t word) {
    uint32_t low = s->a, high = s->a + s->b;
    while (low < high) {
        uint32_t middle = (low + high) / 2;
        if (p->choice[middle] < word) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    return low < s->a + s->b && p->choice[low] == word;
}

/* Whether a step that takes a word takes word number `word`. */
static bool step_takes(const struct machine *m, uint32_t step, uint32_t word) {
    const struct step *s = &m->lexicon->program.at[step];
    const struct word *w = &m->lexicon->words.at[word], *begin;
    switch (s->kind) {
    case STEP_WORD: return s->a == word;
    case STEP_CHOICE: return choice_holds(&m->lexicon->program, s, word);
    case STEP_NUMBER: return w->number;
    case STEP_ANY: return !w->stop;
    case STEP_PREFIX:
        begin = &m->lexicon->words.at[s->a];
        return begin->size <= w->size && memcmp(begin->key, w->key, begin->size) == 0;
    default: return false;
    }
}

static int item_order(const void *a, const void *b) {
    uint32_t x = *(const uint32_t *)a, y = *(const uint32_t *)b;
    return x < y ? -1 : x > y;
}

/* The state of the items from `from` on: an older one with the same, or a new one. */
static uint32_t state_keep(struct machine *m, uint32_t from) {
    struct state s = {.from = from, .middle = from, .end = (uint32_t)m->item_n};
    if (s.end == from) {
        return MACHINE_DEAD;
    }
    qsort(m->item + from, s.end - from, sizeof *m->item, item_order);
    uint32_t said = 0;
    for (uint32_t i = from; i < s.end; i++) { /* the phrases said go behind */
        uint32_t item = m->item[i];
        const struct step *step = &m->lexicon->program.at[item];
        if (step->kind == STEP_SAID) {
            m->pending[said++] = step->a;
        } else {
            m->item[s.middle++] = item;
        }
    }
    memcpy(m->item + s.middle, m->pending, said * sizeof *m->pending);
    uint32_t *twin = twin_find(m, &s);
    if (*twin != 0) {
        m->item_n = from;
        return *twin - 1;
    }
    if (m->state_n == m->state_room || 2 * m->state_n > m->twin_room) {
        if (!states_grow(m)) {
            return UINT32_MAX;
        }
        twin = twin_find(m, &s);
    }
    *twin = (uint32_t)m->state_n + 1;
    m->state[m->state_n] = s;
    return (uint32_t)m->state_n++;
}

static void round_begin(struct machine *m) {
    if (++m->round == 0) {
        memset(m->seen, 0, (m->lexicon->program.n + 1) * sizeof *m->seen);
        m->round = 1;
    }
    m->pending_n = 0;
}

/* The first steps of every phrase that the word can begin, as items. */
static bool phrases_begin(struct machine *m, uint32_t word, unsigned edges) {
    const struct word *found[WORDS_FOUND];
    size_t n = words_begin(&m->lexicon->words, word, found);
    for (size_t i = 0; i < n; i++) {
        for (uint32_t k = 0; k < found[i]->phrases; k++) {
            pending_add(m, m->lexicon->phrases[found[i]->phrase[k]].first);
        }
    }
    return pending_follow(m, edges);
}

static uint32_t state_build(struct machine *m, uint32_t from, uint32_t word, unsigned edges) {
    uint32_t start = (uint32_t)m->item_n, begin = m->state[from].from, end = m->state[from].middle;
    unsigned behind = (edges & EDGE_BEHIND) | (m->lexicon->words.at[word].edge ? EDGE_BEFORE : 0);
    round_begin(m);
    if (from == MACHINE_START) {
        if (!phrases_begin(m, word, edges & EDGE_BEFORE)) {
            return UINT32_MAX;
        }
        begin = start;
        end = (uint32_t)m->item_n;
        round_begin(m);
    }
    uint32_t fresh = (uint32_t)m->item_n;
    for (uint32_t i = begin; i < end; i++) {
        if (step_takes(m, m->item[i], word)) {
            pending_add(m, m->item[i] + 1);
        }
    }
    if (!pending_follow(m, behind)) {
        return UINT32_MAX;
    }
    if (fresh > start) { /* what only began is forgotten */
        memmove(m->item + start, m->item + fresh, (m->item_n - fresh) * sizeof *m->item);
        m->item_n -= fresh - start;
    }
    return state_keep(m, start);
}

uint32_t machine_go(struct machine *m, uint32_t from, uint32_t word, unsigned edges) {
    uint64_t key = ((uint64_t)from << 32 | word) << 2 | edges;
    const struct way *way = way_find(m, key);
    if (way->key == key) {
        return way->to;
    }
    uint32_t to = state_build(m, from, word, edges);
    return to == UINT32_MAX || !way_add(m, key, to) ? UINT32_MAX : to;
}
