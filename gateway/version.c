/* quietarm version: the program's version, and those of the libraries that it runs with. */
#define PCRE2_CODE_UNIT_WIDTH 8

#include "gateway/version.h"

#include <cairo.h>
#include <curl/curl.h>
#include <glib.h>
#include <jansson.h>
#include <libpq-fe.h>
#include <microhttpd.h>
#include <pango/pango.h>
#include <pcre2.h>
#include <sodium.h>
#include <sqlite3.h>
#include <stdio.h>

#include "gateway/command.h"

int version_command(const struct invocation *in)
{
    char pcre[64] = "";
    int status = arguments_read(in, NULL, 0);
    if (status)
        return status;
    pcre2_config(PCRE2_CONFIG_VERSION, pcre);
    printf("quietarm %s\n", QUIETARM_VERSION);
    printf("libmicrohttpd %s\n", MHD_get_version());
    printf("SQLite %s\n", sqlite3_libversion());
    printf("libpq %d.%d\n", PQlibVersion() / 10000, PQlibVersion() % 10000);
    printf("PCRE2 %s\n", pcre);
    printf("libcurl %s\n", curl_version_info(CURLVERSION_NOW)->version);
    printf("libsodium %s\n", sodium_version_string());
    printf("jansson %s\n", jansson_version_str());
    printf("GLib %u.%u.%u\n", glib_major_version, glib_minor_version, glib_micro_version);
    printf("cairo %s\n", cairo_version_string());
    printf("pango %s\n", pango_version_string());
    return command_done(in);
}
