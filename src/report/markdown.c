#include "report/markdown.h"

#include <string.h>

void rush_markdown_text(rush_buffer *buffer, rush_text text)
{
    rush_buffer safe = {0};
    rush_buffer_safe(&safe, text);
    for (size_t i = 0; i < safe.length; i++) {
        if (strchr("\\`*_{}[]<>#+!|~&=", safe.bytes[i]))
            rush_buffer_byte(buffer, '\\');
        rush_buffer_byte(buffer, safe.bytes[i]);
    }
    buffer->failed |= safe.failed;
    rush_buffer_free(&safe);
}

void rush_markdown_part(rush_buffer *buffer, rush_buffer *part)
{
    rush_markdown_text(buffer, (rush_text){part->bytes, part->length});
    buffer->failed |= part->failed;
    rush_buffer_free(part);
}
