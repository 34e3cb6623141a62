#include "report/screen.h"

void rush_screen_paint(const rush_screen *screen, rush_paint paint, rush_buffer *buffer)
{
    static const char *const codes[] = {"\033[1m", "\033[1;32m", "\033[1;33m"};
    if (screen->colour)
        rush_buffer_string(buffer, codes[paint]);
}

void rush_screen_plain(const rush_screen *screen, rush_buffer *buffer)
{
    if (screen->colour)
        rush_buffer_string(buffer, "\033[0m");
}

static void write_text(const rush_screen *screen, size_t indent, rush_text text,
                       rush_buffer *buffer)
{
    size_t width = screen->columns > indent + 12 ? screen->columns - 1 : indent + 12;
    rush_buffer_fill(buffer, ' ', indent);
    rush_words_wrap(text, indent, width, buffer);
    rush_buffer_byte(buffer, '\n');
}

void rush_screen_text(const rush_screen *screen, size_t indent, rush_buffer *part,
                      rush_buffer *buffer)
{
    write_text(screen, indent, (rush_text){part->bytes, part->length}, buffer);
    buffer->failed |= part->failed;
    rush_buffer_free(part);
}

void rush_screen_string(const rush_screen *screen, size_t indent, const char *string,
                        rush_buffer *buffer)
{
    write_text(screen, indent, rush_text_of(string), buffer);
}
