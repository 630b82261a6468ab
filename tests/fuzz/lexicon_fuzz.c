/* A clinic's own files of words, protocol or texts, any bytes: a mistake is told as FILE:LINE, or the file can be used.
 *
 * The first byte chooses which of the three. The words replace those linked in, so that only what is tried is compiled.
 */
#include <math.h>

#include "gateway/care/care.h"
#include "gateway/texts/texts.h"
#include "parser/parser.h"
#include "tests/fuzz/fuzz.h"

enum { MISTAKES_TOLD = 20 };

/* A line a mistake, at most twenty, none empty. Some mistakes belong to no one line of a file. */
static void told(const char *why)
{
    int lines = 1;
    CLAIM(why[0] && why[0] != '\n' && !strstr(why, "\n\n"), "a mistake is a line of words");
    for (const char *at = why; (at = strchr(at, '\n')); at++)
        lines += at[1] != '\0';
    CLAIM(lines <= MISTAKES_TOLD, "at most twenty mistakes are told");
}

static void words_try(const char *bytes, size_t size)
{
    static const char text[] = "132/84 71 this morning, chest pain since yesterday; no dizziness";
    const struct embedded files[] = {{"en.words", bytes, size}, {"es.words", "", 0}};
    struct parser *p = NULL;
    char why[256] = "";
    if (parser_open(&p, files, 2, why, sizeof why) < 0) {
        told(why);
        CLAIM(!p, "nothing of a file with a mistake is used");
        return;
    }
    static struct meaning m;
    struct moment received = {.year = 2026, .month = 11, .day = 24, .minute = 490};
    parser_read(p, text, sizeof text - 1, received, &m);
    for (size_t i = 0; i < m.readings.n; i++)
        CLAIM(m.readings.at[i].sys == 132 && m.readings.at[i].dia == 84, "words change no number");
    parser_close(p);
}

static void protocol_try(const char *bytes, size_t size)
{
    struct protocol p;
    char why[256] = "";
    if (protocol_read("own.protocol", bytes, size, &p, why, sizeof why) < 0) {
        told(why);
        CLAIM(!strncmp(why, "own.protocol:", 13), "a mistake has its line");
        return;
    }
    CLAIM(p.days > 0 && p.fewest_days <= p.days && p.most_days >= p.days, "days in order");
    CLAIM(p.n_lines > 0 && p.n_lines <= LINES_MAX && p.per_sitting > 0, "a line and a sitting");
    for (int i = 1; i < p.n_lines; i++)
        CLAIM(p.lines[i].sys >= p.lines[i - 1].sys, "lines from the lowest");
}

static void texts_try(const char *bytes, size_t size)
{
    const struct embedded file = {"en.texts", bytes, size};
    struct texts *t = NULL;
    char why[256] = "";
    if (texts_open(&t, &file, 1, why, sizeof why) < 0) {
        told(why);
        CLAIM(!t, "nothing of a file with a mistake is used");
    }
    texts_close(t);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static void (*const tries[])(const char *bytes, size_t size) = {words_try, protocol_try, texts_try};
    if (!size)
        return 0;
    char *bytes = text_of(data + 1, size - 1);
    tries[data[0] % 3](bytes, size - 1);
    free(bytes);
    return 0;
}
