/* The body of a webhook, JSON or form: any bytes. A value is valid UTF-8 without NUL, and what the JSON library itself
 * reads is read as it reads it: the mending (gateway/web/json.c) changes nothing that was well-formed.
 *
 * The first byte chooses the format.
 */
#include <glib.h>
#include <jansson.h>

#include "gateway/web/auth.h"
#include "gateway/web/fields.h"
#include "gateway/web/phone.h"
#include "tests/fuzz/fuzz.h"

static void value_try(struct fields *f, const char *name)
{
    char *text, phone[PHONE_MAX];
    size_t size;
    enum field what = field_take(f, name, &text, &size);
    CLAIM((what == FIELD_TEXT) == (text != NULL), "text is there, or it is no text");
    if (!text)
        return;
    CLAIM(strlen(text) == size && g_utf8_validate(text, (gssize)size, NULL), "a value is valid UTF-8 without NUL");
    phone_normal(text, phone);
    CLAIM(g_utf8_validate(phone, -1, NULL), "a number is cut between characters");
    int64_t sent = sent_read(text, INT64_C(1795766400));
    CLAIM(sent == INSTANT_NONE || (sent <= 1795766400 && sent >= 1795766400 - 48 * 3600), "a time lies in the last 48 hours");
    free(text);
}

/* Whether the mending has nothing to do: no number of 19 digits, no byte order mark, not too deep, no NUL (which jansson lets
 * stand behind a number). */
static bool plain_enough(const uint8_t *data, size_t size)
{
    size_t digits = 0, opened = 0;
    for (size_t i = 0; i < size; i++) {
        digits = data[i] >= '0' && data[i] <= '9' ? digits + 1 : 0;
        opened += data[i] == '{' || data[i] == '[';
        if (digits >= 19 || opened > 32 || !data[i])
            return false;
    }
    return size < 3 || memcmp(data, "\xef\xbb\xbf", 3) != 0;
}

static void json_compare(const struct fields *f, const uint8_t *data, size_t size)
{
    json_t *theirs = json_loadb((const char *)data, size, JSON_REJECT_DUPLICATES, NULL);
    if (theirs && plain_enough(data, size))
        CLAIM(f->json && json_equal(theirs, f->json), "well-formed JSON is read as it stands");
    json_decref(theirs);
}

static void credentials_try(const char *text, size_t size)
{
    static const enum auth_kind kinds[] = {AUTH_HMAC_SHA256, AUTH_BEARER, AUTH_BASIC};
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++) {
        struct auth a = {.kind = kinds[i], .timestamped = true, .max_age = 300, .secret = "r4nd0m:f1x3d", .secret_size = 12};
        struct credentials c = {.value = text, .time = text, .body = text, .size = size, .now = 1795766400};
        CLAIM(!auth_accepts(&a, &c) || strstr(text, "r4nd0m") || kinds[i] == AUTH_BASIC, "nobody guesses a secret");
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static const char *const names[2][5] = {{"/id", "/text", "/a/0/b~1c", "", "/"}, {"id", "text", "from", "", "a b"}};
    struct fields f;
    if (!size)
        return 0;
    bool form = data[0] & 1;
    char *body = text_of(++data, --size);
    bool open = fields_open(&f, form ? FORMAT_FORM : FORMAT_JSON, body, size);
    CLAIM(open || !form, "any body is a form");
    for (int i = 0; open && i < 5; i++)
        value_try(&f, names[form][i]);
    if (!form)
        json_compare(&f, data, size);
    fields_close(&f);
    credentials_try(body, size);
    type_fits(body, form ? FORMAT_FORM : FORMAT_JSON);
    free(body);
    return 0;
}
