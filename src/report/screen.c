#include "report/screen.h"

rush_screen rush_screen_assumed(const rush_screen *screen)
{
    rush_screen assumed = *screen;
    if (assumed.columns < RUSH_SCREEN_COLUMNS_MIN)
        assumed.columns = RUSH_SCREEN_COLUMNS_MIN;
    if (assumed.rows < RUSH_SCREEN_ROWS_MIN)
        assumed.rows = RUSH_SCREEN_ROWS_MIN;
    return assumed;
}

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
    rush_buffer_fill(buffer, ' ', indent);
    rush_words_wrap(text, indent, screen->columns - 1, buffer);
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
