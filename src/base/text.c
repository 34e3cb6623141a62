#include "rushlight/text.h"

#include <string.h>
#include <utf8proc.h>

#include "base/unicode.h"

rush_text rush_text_of(const char *string)
{
    return string ? (rush_text){string, strlen(string)} : (rush_text){"", 0};
}

bool rush_text_equal(rush_text a, rush_text b)
{
    return a.length == b.length && (!a.length || memcmp(a.at, b.at, a.length) == 0);
}

/* Bytes of a space, tab or no-break space at a place; 0: there is none. */
static size_t blank_at(rush_text text, size_t at)
{
    if (at < text.length && (text.at[at] == ' ' || text.at[at] == '\t'))
        return 1;
    return at + 2 <= text.length && memcmp(text.at + at, "\xc2\xa0", 2) == 0 ? 2 : 0;
}

rush_text rush_text_trim(rush_text text)
{
    for (size_t blank; (blank = blank_at(text, 0)) > 0;)
        text = (rush_text){text.at + blank, text.length - blank};
    for (;;) {
        if (text.length && blank_at(text, text.length - 1) == 1)
            text.length--;
        else if (text.length > 1 && blank_at(text, text.length - 2) == 2)
            text.length -= 2;
        else
            return text;
    }
}

void rush_buffer_safe(rush_buffer *buffer, rush_text text)
{
    size_t length;
    for (size_t at = 0; at < text.length; at += length) {
        int32_t c = rush_unicode_at(text, at, &length);
        if (c < 0)
            rush_buffer_format(buffer, "<%02X>", (unsigned)(unsigned char)text.at[at]);
        else if (c == '\t' || c == '\n')
            rush_buffer_byte(buffer, ' ');
        else if (rush_unicode_hostile(c))
            rush_buffer_format(buffer, "<U+%04X>", (unsigned)c);
        else
            rush_buffer_add(buffer, (rush_text){text.at + at, length});
    }
}

size_t rush_text_columns(rush_text text)
{
    size_t columns = 0, length;
    for (size_t at = 0; at < text.length; at += length) {
        length = rush_unicode_pass_plain(text, at) - at;
        columns += length;
        if (length)
            continue;
        int32_t c = rush_unicode_at(text, at, &length);
        if (c < 0)
            columns += strlen("<1B>");
        else if (c == '\t' || c == '\n')
            columns++;
        else if (rush_unicode_hostile(c))
            columns += c > 0xffff ? strlen("<U+E0001>") : strlen("<U+001B>");
        else
            columns += (size_t)(utf8proc_charwidth(c) > 0 ? utf8proc_charwidth(c) : 0);
    }
    return columns;
}
