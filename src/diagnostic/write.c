#include "base/unicode.h"
#include "diagnostic/diagnostic.h"

static void write_where(const rush_place *place, rush_buffer *buffer)
{
    if (!place->file)
        return;
    rush_buffer_safe(buffer, rush_text_of(place->file));
    if (place->line)
        rush_buffer_format(buffer, ":%u:%u", place->line, place->column);
    rush_buffer_string(buffer, ": ");
}

/* The first `count` code points of a text. */
static rush_text first_of(rush_text text, size_t count)
{
    size_t at = 0, length;
    for (; count && at < text.length; count--, at += length)
        rush_unicode_at(text, at, &length);
    return (rush_text){text.at, at};
}

/* The author's line with a caret under the span:
 *    14 |     colour: gren
 *       |             ^~~~ */
static void write_excerpt(const rush_place *place, rush_buffer *buffer)
{
    if (!place->line)
        return;
    rush_buffer_format(buffer, "%5u | ", place->line);
    rush_buffer_safe(buffer, place->excerpt);
    rush_buffer_string(buffer, "\n      | ");
    rush_text before = first_of(place->excerpt, place->column - place->excerpt_column);
    rush_text through = first_of(place->excerpt, place->end - place->excerpt_column);
    size_t indent = rush_text_columns(before), width = rush_text_columns(through) - indent;
    rush_buffer_fill(buffer, ' ', indent);
    rush_buffer_byte(buffer, '^');
    rush_buffer_fill(buffer, '~', width > 1 ? width - 1 : 0);
    rush_buffer_byte(buffer, '\n');
}

void rush_diagnostic_write(const rush_diagnostic *diagnostic, rush_buffer *buffer)
{
    write_where(&diagnostic->place, buffer);
    rush_buffer_format(buffer, "%s: ", rush_severity_name(diagnostic->severity));
    rush_buffer_safe(buffer, rush_text_of(diagnostic->message));
    rush_buffer_format(buffer, " [%s]\n", rush_slug_name(diagnostic->slug));
    write_excerpt(&diagnostic->place, buffer);
    if (diagnostic->other_message) {
        write_where(&diagnostic->other, buffer);
        rush_buffer_string(buffer, "note: ");
        rush_buffer_safe(buffer, rush_text_of(diagnostic->other_message));
        rush_buffer_byte(buffer, '\n');
        write_excerpt(&diagnostic->other, buffer);
    }
    if (diagnostic->help) {
        rush_buffer_string(buffer, "      help: ");
        rush_buffer_safe(buffer, rush_text_of(diagnostic->help));
        rush_buffer_byte(buffer, '\n');
    }
}

void rush_diagnostics_write(const rush_diagnostics *list, rush_buffer *buffer)
{
    for (size_t i = 0; i < rush_diagnostics_count(list); i++)
        rush_diagnostic_write(rush_diagnostics_at(list, i), buffer);
    if (rush_diagnostics_dropped(list))
        rush_buffer_format(buffer, "and %zu more\n", rush_diagnostics_dropped(list));
    if (rush_diagnostics_out_of_memory(list))
        rush_buffer_format(buffer, "error: %s [%s]\n", rush_slug_meaning(RUSH_OUT_OF_MEMORY),
                           rush_slug_name(RUSH_OUT_OF_MEMORY));
}
