/* Shows a play to whoever watches: who texts what at which simulated time, like a conversation on paper.
 */
#include "demo/play/play.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

enum { WIDTH = 76, PAUSE_MS = 25, HOP = 300 };
static bool shown, paced, coloured;

void show_on(bool on, bool fast)
{
    shown = on;
    paced = on && !fast && isatty(1);
    coloured = on && isatty(1);
}

int64_t show_hop(int64_t now, int64_t to)
{
    int64_t next = now - now % HOP + HOP;
    return shown && next < to ? next : to;
}

static void pause_a_little(void)
{
    struct timespec t = {.tv_nsec = PAUSE_MS * 1000000L};
    fflush(stdout);
    if (paced)
        nanosleep(&t, NULL);
}

static void print_time(int64_t now)
{
    static int64_t day;
    char text[64];
    struct tm tm;
    time_t t = now;
    gmtime_r(&t, &tm);
    if (now / 86400 != day) {
        day = now / 86400;
        strftime(text, sizeof text, "%A %-d %B", &tm);
        printf("\n── %s ", text);
        for (size_t i = strlen(text); i < WIDTH - 4; i++)
            fputs("─", stdout);
        printf("\n");
    }
    strftime(text, sizeof text, "%H:%M", &tm);
    printf("%s  ", text);
}

/* Breaks lines between words; the first begins after `indent` columns, the others under it. */
static void print_wrapped(const char *words, int indent)
{
    int at = indent;
    while (*words) {
        size_t n = strcspn(words, " \n");
        if (at > indent && at + (int)n > WIDTH + 20) {
            printf("\n%*s", indent, "");
            at = indent;
        }
        printf("%.*s", (int)n, words);
        at += (int)n + 1;
        words += n;
        if (*words)
            putchar(*words == '\n' ? '\n' : ' '), words++;
        if (words[-1] == '\n')
            printf("%*s", indent, ""), at = indent;
    }
    putchar('\n');
}

static const char *name_of(const struct script *s, const char *phone)
{
    for (size_t i = 0; i < s->n_actors; i++)
        if (strcmp(s->actors[i].phone, phone) == 0)
            return s->actors[i].name;
    return phone;
}

void show_text(const struct script *s, int64_t now, const char *from, const char *words)
{
    (void)s;
    if (!shown)
        return;
    print_time(now);
    printf("%s%12s ▶%s ", coloured ? "\033[1m" : "", from, coloured ? "\033[0m" : "");
    print_wrapped(words[0] ? words : "(a picture)", 22);
    pause_a_little();
}

static const char *part(const json_t *message, const char *name)
{
    const char *text = json_string_value(json_object_get(message, name));
    return text ? text : "";
}

static bool same_text(const json_t *a, const json_t *b)
{
    return strcmp(part(a, "path"), part(b, "path")) == 0 && strcmp(part(a, "text"), part(b, "text")) == 0;
}

/* Everybody who got this text at this instant, on one line: "Ada, Ben, Cora". */
static void print_receivers(const struct script *s, const json_t *list, size_t at)
{
    const json_t *message = json_array_get(list, at);
    char names[WIDTH] = "";
    size_t more = 0, n = 0;
    for (size_t i = at; i < json_array_size(list); i++) {
        const json_t *other = json_array_get(list, i);
        const char *name = strcmp(part(other, "path"), "/messages") == 0 ? name_of(s, part(other, "to")) : part(other, "path") + 1;
        if (!same_text(message, other))
            continue;
        if (n + strlen(name) + 3 < sizeof names - 16)
            n += (size_t)snprintf(names + n, sizeof names - n, "%s%s", n ? ", " : "", name);
        else
            more++;
    }
    if (more)
        snprintf(names + n, sizeof names - n, " and %zu more", more);
    if (n <= 12 && !more)
        printf("%12s ◀ ", names);
    else
        printf("%s ◀\n%*s", names, 22, "");
}

void show_sent(const struct script *s, int64_t now, const json_t *list, size_t from)
{
    for (size_t i = from; shown && i < json_array_size(list); i++) {
        const json_t *message = json_array_get(list, i);
        bool before = json_is_true(json_object_get(message, "repeat"));
        for (size_t k = from; k < i && !before; k++)
            before = same_text(message, json_array_get(list, k));
        if (before)
            continue;
        print_time(now);
        print_receivers(s, list, i);
        print_wrapped(part(message, "text")[0] ? part(message, "text") : "(see the folder of the run)", 22);
        pause_a_little();
    }
}

void show_say(const char *words)
{
    if (!shown)
        return;
    printf("%s       · ", coloured ? "\033[3m" : "");
    print_wrapped(words, 9);
    if (coloured)
        printf("\033[0m");
    pause_a_little();
}
