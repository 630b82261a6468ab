/* The names of a meaning's codes, and the meaning as the contract's JSON object on one line. Pure: the result is a
 * string of at most a few kilobytes that the caller frees.
 */
#include "parser/meaning.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "parser/parser.h"

#define NAME_TEXT(NAME, text) text,
static const char *const flag_names[] = {MEANING_FLAGS(NAME_TEXT)};
static const char *const technique_names[] = {MEANING_TECHNIQUES(NAME_TEXT)};
static const char *const doubt_names[] = {MEANING_DOUBTS(NAME_TEXT)};
static const char *const news_names[] = {MEANING_NEWS(NAME_TEXT)};
static const char *const keyword_names[] = {NULL, "stop", "start", "help", "yes", "no", "wrong_number"};
static const char *const amend_names[] = {NULL, "correct", "void"};
static const char *const slot_names[] = {NULL, "morning", "evening"};
static const char *const arm_names[] = {NULL, "left", "right"};
static const char *const posture_names[] = {NULL, "standing", "lying"};

const char *flag_name(unsigned index) {
    return index < FLAG_COUNT ? flag_names[index] : NULL;
}

const char *technique_name(unsigned index) {
    return index < TECHNIQUE_COUNT ? technique_names[index] : NULL;
}

const char *doubt_name(unsigned index) {
    return index < DOUBT_COUNT ? doubt_names[index] : NULL;
}

const char *news_name(unsigned index) {
    return index < NEWS_COUNT ? news_names[index] : NULL;
}

/* The string being written: it grows, and remembers that it could not. */
struct writer {
    char *text;
    size_t n, room;
    bool failed;
};

static void put(struct writer *w, const char *format, ...) __attribute__((format(printf, 2, 3)));

static void put(struct writer *w, const char *format, ...) {
    va_list list;
    va_start(list, format);
    int n = w->failed ? -1 : vsnprintf(w->text + w->n, w->room - w->n, format, list);
    va_end(list);
    if (n < 0) {
        return;
    }
    if ((size_t)n >= w->room - w->n) {
        size_t room = w->room * 2 + (size_t)n;
        char *text = realloc(w->text, room);
        if (text == NULL) {
            w->failed = true;
            return;
        }
        w->text = text;
        w->room = room;
        va_start(list, format);
        n = vsnprintf(w->text + w->n, w->room - w->n, format, list);
        va_end(list);
    }
    w->n += (size_t)n;
}

static void put_name(struct writer *w, const char *key, const char *name) {
    if (name == NULL) {
        put(w, "\"%s\":null", key);
    } else {
        put(w, "\"%s\":\"%s\"", key, name);
    }
}

static void put_number(struct writer *w, const char *key, int value, int unsaid) {
    if (value == unsaid) {
        put(w, "\"%s\":null", key);
    } else {
        put(w, "\"%s\":%d", key, value);
    }
}

static void put_bits(struct writer *w, const char *key, uint32_t bits, const char *(*name)(unsigned)) {
    const char *comma = "";
    put(w, "\"%s\":[", key);
    for (unsigned i = 0; name(i) != NULL; i++) {
        if (bits >> i & 1) {
            put(w, "%s\"%s\"", comma, name(i));
            comma = ",";
        }
    }
    put(w, "],");
}

static void put_said(struct writer *w, const char *key, const struct said_list *list, bool doubts) {
    put(w, "\"%s\":[", key);
    for (size_t i = 0; i < list->n; i++) {
        const struct said *s = &list->at[i];
        put(w, i == 0 ? "{" : ",{");
        put_number(w, "sys", s->sys, SAID_NONE);
        put(w, ",");
        put_number(w, "dia", s->dia, SAID_NONE);
        put(w, ",");
        put_number(w, "pulse", s->pulse, SAID_NONE);
        put(w, ",");
        put_name(w, "slot", slot_names[s->slot]);
        put(w, ",");
        put_number(w, "day", s->day, DAY_UNSAID);
        if (s->minute == MINUTE_UNSAID) {
            put(w, ",\"time\":null,");
        } else {
            put(w, ",\"time\":\"%02d:%02d\",", s->minute / 60, s->minute % 60);
        }
        put_name(w, "arm", arm_names[s->arm]);
        put(w, ",");
        put_name(w, "posture", posture_names[s->posture]);
        if (doubts) {
            put(w, ",");
            put_bits(w, "doubt", s->doubt, doubt_name);
            w->n -= w->n > 0; /* the comma behind a list */
        }
        put(w, "}");
    }
    put(w, "],");
}

static void put_size(struct writer *w, const char *key, double value, bool said) {
    if (said) {
        put(w, "\"%s\":%.1f,", key, value);
    } else {
        put(w, "\"%s\":null,", key);
    }
}

char *meaning_json(const struct meaning *m) {
    struct writer w = {.text = malloc(1024), .room = 1024};
    if (w.text == NULL) {
        return NULL;
    }
    put(&w, "{");
    put_said(&w, "readings", &m->readings, false);
    put_name(&w, "keyword", keyword_names[m->keyword]);
    put(&w, ",");
    put_bits(&w, "flags", m->flags, flag_name);
    put_bits(&w, "technique", m->technique, technique_name);
    put_size(&w, "arm_cm", m->arm_cm, m->arm_cm > 0);
    if (m->cuff_cm[1] > 0) {
        put(&w, "\"cuff_cm\":[%.1f,%.1f],", m->cuff_cm[0], m->cuff_cm[1]);
    } else {
        put(&w, "\"cuff_cm\":null,");
    }
    put_size(&w, "temp_c", m->temp_c, !isnan(m->temp_c));
    put_name(&w, "amend", amend_names[m->amend]);
    put(&w, ",");
    put_said(&w, "rejected", &m->rejected, false);
    put_bits(&w, "doubt", m->doubt, doubt_name);
    put_said(&w, "doubtful", &m->doubtful, true);
    put(&w, "\"asks\":%s,", m->asks ? "true" : "false");
    put_bits(&w, "flags_past", m->flags_past, flag_name);
    put_bits(&w, "news", m->news, news_name);
    put_name(&w, "language", m->language[0] != '\0' ? m->language : NULL);
    put(&w, "}");
    if (w.failed) {
        free(w.text);
        return NULL;
    }
    return w.text;
}
