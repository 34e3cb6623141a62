#include "base/unicode.h"

#include <string.h>
#include <utf8proc.h>

int32_t rush_unicode_at(rush_text text, size_t at, size_t *length)
{
    utf8proc_int32_t character;
    utf8proc_ssize_t taken = utf8proc_iterate((const utf8proc_uint8_t *)text.at + at,
                                              (utf8proc_ssize_t)(text.length - at), &character);
    *length = taken > 0 ? (size_t)taken : 1;
    return taken > 0 ? character : -1;
}

size_t rush_unicode_count(rush_text text)
{
    size_t count = 0;
    for (size_t i = 0; i < text.length; i++)
        count += ((unsigned char)text.at[i] & 0xc0) != 0x80;
    return count;
}

bool rush_unicode_hostile(int32_t c)
{
    if (c == '\t' || c == '\n')
        return false;
    return c < 0x20 || (c >= 0x7f && c < 0xa0) || c == 0x061c || (c >= 0x200b && c <= 0x200f) ||
           (c >= 0x2028 && c <= 0x202e) || (c >= 0x2060 && c <= 0x206f) || c == 0xfeff ||
           (c >= 0xfff9 && c <= 0xfffb) || (c >= 0xe0000 && c <= 0xe007f);
}

static bool is_gap(int32_t c)
{
    return c == ' ' || c == '-' || c == '_' || c == '\t' || c == '\n' || c == '\r' || c == 0xa0 ||
           c == 0x2010 || c == 0x2011;
}

/* Plain ASCII, which most names are; false when a byte is not. */
static bool fold_ascii(rush_text name, char folded[RUSH_FOLD_MAX], size_t *length)
{
    size_t out = 0;
    for (size_t i = 0; i < name.length; i++) {
        unsigned char c = (unsigned char)name.at[i];
        if (c >= 0x80)
            return false;
        if (is_gap(c)) {
            if (out && folded[out - 1] != ' ')
                folded[out++] = ' ';
        } else {
            folded[out++] = (char)(c >= 'A' && c <= 'Z' ? c + ('a' - 'A') : c);
        }
    }
    *length = out && folded[out - 1] == ' ' ? out - 1 : out;
    return true;
}

size_t rush_unicode_fold(rush_text name, char folded[RUSH_FOLD_MAX])
{
    if (name.length >= RUSH_FOLD_MAX)
        return SIZE_MAX;
    size_t length;
    if (fold_ascii(name, folded, &length))
        return length;
    utf8proc_int32_t points[RUSH_FOLD_MAX + 1];
    const utf8proc_option_t how = UTF8PROC_STABLE | UTF8PROC_COMPOSE | UTF8PROC_CASEFOLD;
    utf8proc_ssize_t count =
        utf8proc_decompose((const utf8proc_uint8_t *)name.at, (utf8proc_ssize_t)name.length,
                           points, RUSH_FOLD_MAX, how);
    if (count < 0 || count > RUSH_FOLD_MAX)
        return SIZE_MAX;
    count = utf8proc_normalize_utf32(points, count, how);
    size_t out = 0;
    for (utf8proc_ssize_t i = 0; i < count; i++) {
        utf8proc_int32_t c = points[i] == 0x2019 ? '\'' : points[i];
        if (out + 4 >= RUSH_FOLD_MAX)
            return SIZE_MAX;
        if (!is_gap(c))
            out += (size_t)utf8proc_encode_char(c, (utf8proc_uint8_t *)folded + out);
        else if (out && folded[out - 1] != ' ')
            folded[out++] = ' ';
    }
    return out && folded[out - 1] == ' ' ? out - 1 : out;
}
