/* Any bytes as a drawing. What comes out is a drawing too, and nothing is left in it that would be cut off. */
#include <math.h>
#include <stddef.h>
#include <stdint.h>

#include "key/svg.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t size);

static bool read_svg(rush_text text, rush_svg *svg, size_t *told)
{
    rush_source source = {.name = "figure.svg", .text = text};
    rush_diagnostics *list = rush_diagnostics_new();
    bool good = rush_svg_read(svg, &source, list);
    *told = rush_diagnostics_count(list);
    rush_diagnostics_free(list);
    return good;
}

static void free_svg(rush_svg *svg)
{
    rush_buffer_free(&svg->markup);
    rush_buffer_free(&svg->title);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t size)
{
    rush_svg svg = {0}, again = {0};
    size_t told;
    if (read_svg((rush_text){(const char *)bytes, size}, &svg, &told)) {
        rush_buffer text = {0};
        rush_buffer_string(&text,
                           "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 10 10\">");
        rush_buffer_add(&text, (rush_text){svg.markup.bytes, svg.markup.length});
        rush_buffer_string(&text, "</svg>");
        bool small = text.length < RUSH_SVG_MAX_BYTES;
        if (small && (!read_svg((rush_text){text.bytes, text.length}, &again, &told) || told))
            __builtin_trap();
        for (int i = 0; i < 4; i++)
            if (!isfinite(svg.box[i]))
                __builtin_trap();
        rush_buffer_free(&text);
    }
    free_svg(&svg);
    free_svg(&again);
    return 0;
}
