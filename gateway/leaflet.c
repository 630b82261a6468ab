/* quietarm leaflet: the patients' handout of a clinic as a PDF. Needs no database.
 */
#include <stdlib.h>
#include <string.h>

#include "gateway/command.h"
#include "gateway/output.h"
#include "gateway/report/report.h"

static int leaflet_write(const struct invocation *in, const struct clinic *c, const char *language, bool large, const char *path)
{
    void *pdf = NULL;
    size_t size = 0;
    char why[200] = "";
    if (leaflet_pdf(c, language, large, &pdf, &size, why, sizeof why))
        return command_fail(in, EXIT_WORLD, "%s", why);
    int status = output_write(in, path, pdf, size);
    free(pdf);
    return status;
}

int leaflet_command(const struct invocation *in)
{
    struct argument known[] = {
        {.name = "--clinic", .means = "K", .needed = true},
        {.name = "--language", .means = "en|es", .needed = true},
        {.name = "--large", .means = "", .flag = true},
        {.means = "F.pdf", .needed = true},
    };
    struct config config;
    int status = arguments_read(in, known, sizeof known / sizeof *known);
    if (!status && strcmp(known[1].value, "en") != 0 && strcmp(known[1].value, "es") != 0)
        status = command_fail(in, EXIT_USAGE, "--language %.20s: the handout is written in en and es", known[1].value);
    if (!status)
        status = command_config(in, false, &config);
    if (status)
        return status;
    const struct clinic *c = command_clinic(in, &config, known[0].value);
    status = c ? leaflet_write(in, c, known[1].value, known[2].value != NULL, known[3].value) : EXIT_USAGE;
    config_close(&config);
    return status;
}
