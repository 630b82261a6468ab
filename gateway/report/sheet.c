/* Pages of a PDF by cairo, letters by pango; see sheet.h.
 *
 * It must never depend on the machine's language, time or screen: resolution, hinting, language and creation date are set.
 * A page takes 2 ms, the first of a process 20 ms.
 */
#include "gateway/report/sheet.h"

#include <cairo-pdf.h>
#include <stdio.h>
#include <string.h>

enum { PDF_BYTES = 4 << 20 };

static const char family[] = "DejaVu Sans";

/* -- opening and closing --------------------------------------------------------------------------------------------------- */

static cairo_status_t bytes_take(void *context, const unsigned char *bytes, unsigned size)
{
    struct buffer *b = context;
    buffer_add(b, bytes, size);
    return b->failed ? CAIRO_STATUS_WRITE_ERROR : CAIRO_STATUS_SUCCESS;
}

bool pdf_font_present(char *why, size_t why_size)
{
    PangoFontFamily *found = pango_font_map_get_family(pango_cairo_font_map_get_default(), family);
    if (found && strcmp(pango_font_family_get_name(found), family) == 0)
        return true;
    snprintf(why, why_size, "there is no font %s to print with; install fonts-dejavu-core", family);
    return false;
}

static void pango_open(struct sheet *s)
{
    cairo_font_options_t *options = cairo_font_options_create();
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
    s->pango = pango_font_map_create_context(pango_cairo_font_map_get_default());
    pango_cairo_context_set_font_options(s->pango, options);
    pango_cairo_context_set_resolution(s->pango, 72);
    pango_context_set_language(s->pango, pango_language_from_string("en"));
    pango_context_set_base_dir(s->pango, PANGO_DIRECTION_LTR);
    pango_context_set_round_glyph_positions(s->pango, FALSE);
    cairo_font_options_destroy(options);
}

static void about_set(struct sheet *s, const struct sheet_about *about)
{
    char made[TIME_TEXT];
    time_utc(about->made, made);
    cairo_pdf_surface_set_metadata(s->surface, CAIRO_PDF_METADATA_TITLE, about->title);
    cairo_pdf_surface_set_metadata(s->surface, CAIRO_PDF_METADATA_AUTHOR, about->author);
    cairo_pdf_surface_set_metadata(s->surface, CAIRO_PDF_METADATA_SUBJECT, about->subject);
    cairo_pdf_surface_set_metadata(s->surface, CAIRO_PDF_METADATA_CREATOR, "quietarm");
    cairo_pdf_surface_set_metadata(s->surface, CAIRO_PDF_METADATA_CREATE_DATE, made);
}

bool sheet_begin(struct sheet *s, enum paper paper, double margin, double foot, const struct sheet_about *about)
{
    memset(s, 0, sizeof *s);
    buffer_init(&s->bytes, PDF_BYTES);
    s->width = paper == PAPER_LETTER ? 612 : 595.276;
    s->height = paper == PAPER_LETTER ? 792 : 841.89;
    s->left = margin;
    s->right = s->width - margin;
    s->top = s->y = margin;
    s->bottom = s->height - margin - foot;
    s->page = 1;
    s->surface = cairo_pdf_surface_create_for_stream(bytes_take, &s->bytes, s->width, s->height);
    s->cr = cairo_create(s->surface);
    pango_open(s);
    about_set(s, about);
    return s->pango && cairo_status(s->cr) == CAIRO_STATUS_SUCCESS;
}

int sheet_end(struct sheet *s, const char *language, void **bytes, size_t *size, char *why, size_t why_size)
{
    if (s->page_foot)
        s->page_foot(s, s->context);
    cairo_show_page(s->cr);
    bool whole = cairo_status(s->cr) == CAIRO_STATUS_SUCCESS;
    cairo_destroy(s->cr);
    cairo_surface_finish(s->surface);
    whole = whole && cairo_surface_status(s->surface) == CAIRO_STATUS_SUCCESS;
    cairo_surface_destroy(s->surface);
    if (s->pango)
        g_object_unref(s->pango);
    whole = whole && pdf_language(&s->bytes, language);
    *size = s->bytes.n;
    *bytes = whole ? buffer_take(&s->bytes) : NULL;
    buffer_clear(&s->bytes);
    if (!*bytes)
        snprintf(why, why_size, "the PDF could not be made: out of memory");
    return *bytes ? 0 : -1;
}

/* -- ink ------------------------------------------------------------------------------------------------------------------- */

void sheet_ink(struct sheet *s, enum ink ink)
{
    static const unsigned colours[] = {
        [INK_TEXT] = 0x1f2933,  [INK_SECOND] = 0x56616b,     [INK_RULE] = 0x7f8991,  [INK_FAINT] = 0xd5d2c8,
        [INK_TINT] = 0xf1e6ee,  [INK_PLUM] = 0x6b2d5c,       [INK_BRICK] = 0xa3271f, [INK_BRICK_TINT] = 0xf9e4e1,
        [INK_AMBER] = 0x8a5a00, [INK_AMBER_TINT] = 0xfbf0d9, [INK_PAPER] = 0xffffff,
    };
    unsigned c = colours[ink];
    cairo_set_source_rgb(s->cr, (c >> 16) / 255.0, (c >> 8 & 255) / 255.0, (c & 255) / 255.0);
}

void sheet_rule(struct sheet *s, double y, double width, enum ink ink)
{
    sheet_ink(s, ink);
    cairo_set_line_width(s->cr, width);
    cairo_move_to(s->cr, s->left, y);
    cairo_line_to(s->cr, s->right, y);
    cairo_stroke(s->cr);
}

void sheet_box(struct sheet *s, double x, double y, double width, double height, enum ink ink)
{
    sheet_ink(s, ink);
    cairo_rectangle(s->cr, x, y, width, height);
    cairo_fill(s->cr);
}

/* -- letters --------------------------------------------------------------------------------------------------------------- */

static PangoLayout *layout_of(struct sheet *s, const struct type *t, double width, const char *text)
{
    PangoLayout *layout = pango_layout_new(s->pango);
    PangoFontDescription *font = pango_font_description_new();
    pango_font_description_set_family_static(font, family);
    pango_font_description_set_weight(font, t->bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
    pango_font_description_set_absolute_size(font, t->size * PANGO_SCALE);
    pango_layout_set_font_description(layout, font);
    pango_layout_set_auto_dir(layout, FALSE);
    pango_layout_set_wrap(layout, PANGO_WRAP_WORD_CHAR);
    if (width > 0)
        pango_layout_set_width(layout, (int)(width * PANGO_SCALE));
    if (t->leading > 0)
        pango_layout_set_line_spacing(layout, (float)t->leading);
    pango_layout_set_text(layout, text, -1);
    pango_font_description_free(font);
    return layout;
}

static double layout_height(PangoLayout *layout)
{
    int height;
    pango_layout_get_size(layout, NULL, &height);
    return (double)height / PANGO_SCALE;
}

double sheet_measure(struct sheet *s, const struct type *t, double width, const char *text)
{
    PangoLayout *layout = layout_of(s, t, width, text);
    double height = layout_height(layout);
    g_object_unref(layout);
    return height;
}

double sheet_set(struct sheet *s, const struct type *t, double x, double y, double width, const char *text, const char *tag)
{
    PangoLayout *layout = layout_of(s, t, width, text);
    double height = layout_height(layout);
    sheet_ink(s, t->ink);
    if (tag)
        cairo_tag_begin(s->cr, tag, NULL);
    cairo_move_to(s->cr, x, y);
    pango_cairo_show_layout(s->cr, layout);
    if (tag)
        cairo_tag_end(s->cr, tag);
    g_object_unref(layout);
    return height;
}

double sheet_label_width(struct sheet *s, const struct type *t, const char *text)
{
    int width;
    PangoLayout *layout = layout_of(s, t, 0, text);
    pango_layout_get_size(layout, &width, NULL);
    g_object_unref(layout);
    return (double)width / PANGO_SCALE;
}

void sheet_label(struct sheet *s, const struct type *t, double x, double y, int align, const char *text, const char *tag)
{
    double width = sheet_label_width(s, t, text);
    sheet_set(s, t, align < 0 ? x : align > 0 ? x - width : x - width / 2, y, 0, text, tag);
}

/* -- from top to bottom ---------------------------------------------------------------------------------------------------- */

void sheet_room(struct sheet *s, double height)
{
    if (s->y + height <= s->bottom || s->y <= s->top)
        return;
    if (s->page_foot)
        s->page_foot(s, s->context);
    cairo_show_page(s->cr);
    s->page++;
    s->y = s->top;
}

void sheet_paragraph(struct sheet *s, const struct type *t, const char *text, const char *tag, double after)
{
    if (!text[0])
        return;
    sheet_room(s, sheet_measure(s, t, s->right - s->left, text));
    s->y += sheet_set(s, t, s->left, s->y, s->right - s->left, text, tag) + after;
}
