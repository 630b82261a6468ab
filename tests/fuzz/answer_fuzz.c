/* What comes back from a carrier, and what goes into a request to it: any answer, any pattern, any text. A value never
 * leaves its place: JSON filled with it is JSON and holds it, a header has one line, a mail no header more.
 *
 * The input is three parts, parted by NUL: pattern or pointer, text, answer.
 */
#include <glib.h>
#include <jansson.h>

#include "gateway/send/parts.h"
#include "tests/fuzz/fuzz.h"

static void json_holds(const char *text)
{
    struct buffer out;
    buffer_init(&out, REQUEST_MAX);
    CLAIM(template_fill(&out, "{\"text\":\"{text}\"}", ESCAPE_JSON, &(struct fields){.text = text}), "a known placeholder");
    json_t *read = out.failed ? NULL : json_loadb(out.at, out.n, JSON_REJECT_DUPLICATES, NULL);
    const char *value = json_string_value(json_object_get(read, "text"));
    if (g_utf8_validate(text, -1, NULL))
        CLAIM(value && strcmp(value, text) == 0 && json_object_size(read) == 1, "JSON that is filled holds the text");
    json_decref(read);
    buffer_clear(&out);
}

static void pattern_try(const char *pattern, const char *text, enum escape how)
{
    const struct fields f = {text, text, text, text, text};
    char word[32];
    struct buffer out;
    buffer_init(&out, REQUEST_MAX);
    bool filled = template_fill(&out, pattern, how, &f);
    CLAIM(!filled || !template_unknown(pattern, word), "an unknown placeholder is refused");
    if (filled && how == ESCAPE_HEADER && out.n)
        CLAIM(!memchr(out.at, '\r', out.n) && !memchr(out.at, '\n', out.n), "a header has one line");
    buffer_clear(&out);
}

/* Each line end of a header is followed by a blank (RFC 5322, 2.2.3: folding), so that none begins a header. */
static void mail_try(const char *text)
{
    const struct mail m = {text, text, text, text, 1795766400}, known = {"a@example.org", "b@example.org", text, text, 0};
    struct curl_slist *refused = mail_headers(&m), *list = mail_headers(&known);
    for (const struct curl_slist *at = list; at; at = at->next)
        for (const char *c = at->data; *c; c++)
            if (*c == '\r' || *c == '\n')
                CLAIM(c[0] == '\r' && c[1] == '\n' && c[2] == ' ' && c++, "a subject adds no header");
    curl_slist_free_all(refused);
    curl_slist_free_all(list);
    char *lines = mail_lines(text);
    for (const char *c = lines; c && *c; c++)
        if (*c == '\n' || *c == '\r')
            CLAIM(c[0] == '\r' && c[1] == '\n' && c++, "every line of a mail ends with CRLF");
    free(lines);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char *whole = text_of(data, size), id[80];
    size_t first = strlen(whole), second = first < size ? first + 1 + strlen(whole + first + 1) : first;
    const char *text = first < size ? whole + first + 1 : "";
    const char *answer = second < size ? whole + second + 1 : "";
    char *alone = text_of((const uint8_t *)answer, second < size ? size - second - 1 : 0);
    answer_id(alone, second < size ? size - second - 1 : 0, whole, id);
    CLAIM(strlen(id) < sizeof id, "an id has its room");
    int wait = retry_after_read(text, 1795766400);
    CLAIM(wait >= 0 && wait <= RETRY_AFTER_MOST, "nobody makes us wait more than an hour");
    json_holds(text);
    for (int how = ESCAPE_JSON; how <= ESCAPE_HEADER; how++)
        pattern_try(whole, text, (enum escape)how);
    mail_try(text);
    free(alone);
    free(whole);
    return 0;
}
