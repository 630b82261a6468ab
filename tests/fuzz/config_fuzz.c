/* The configuration, any bytes: either every mistake is told with its line, or all values are within what they promise.
 * Secret files are not read.
 */
#include "tests/fuzz/fuzz.h"

struct told {
    int n, lines;
};

static void tell(void *context, const char *file, int line, const char *what)
{
    struct told *t = context;
    t->n++;
    CLAIM(file && what[0], "a mistake is said in words");
    CLAIM(line >= 0 && line <= t->lines, "a mistake's line is in the file");
}

static void clinic_check(const struct clinic *c)
{
    CLAIM(c->id[0] && c->name[0] && c->emergency[0] && c->out_of_hours[0], "what a text must say is there");
    CLAIM(c->text_number[0] == '+' && strspn(c->text_number + 1, "0123456789") == strlen(c->text_number + 1), "E.164");
    CLAIM(c->remind_morning >= 0 && c->remind_morning < 1440 && c->remind_evening >= 0 && c->remind_evening < 1440, "minutes");
    CLAIM(c->nudge_after >= 0 && c->alert_again > 0 && c->n_closed <= CLOSED_MAX, "counts");
    CLAIM(c->protocol.days > 0 && c->protocol.n_lines > 0, "a protocol");
}

static void config_check(const struct config *c)
{
    CLAIM(c->n_clinics > 0, "there is a clinic");
    CLAIM(c->listen_port >= 0 && c->listen_port <= 65535 && c->desk_port >= -1 && c->desk_port <= 65535, "a port");
    CLAIM(c->outbound.in_flight > 0 && c->outbound.per_second >= 0 && c->outbound.body, "a carrier that can be asked");
    CLAIM(!strncmp(c->outbound.url, "http://", 7) || !strncmp(c->outbound.url, "https://", 8), "only http and https");
    CLAIM(c->inbound.path[0] == '/', "a path");
    for (size_t i = 0; i < c->n_clinics; i++) {
        clinic_check(&c->clinics[i]);
        CLAIM(config_clinic_by_number(c, c->clinics[i].text_number) == &c->clinics[i], "no two clinics share a number");
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct told told = {.lines = 1};
    struct config c;
    char path[64];
    for (size_t i = 0; i < size; i++)
        told.lines += data[i] == '\n';
    int fd = memory_file(data, size, path);
    int mistakes = config_open(&c, path, false, tell, &told);
    CLAIM(mistakes == told.n, "each mistake is told once");
    if (!mistakes) {
        config_check(&c);
        config_close(&c);
    }
    close(fd);
    return 0;
}
