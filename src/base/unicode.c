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

size_t rush_unicode_pass_plain(rush_text text, size_t at)
{
    /* Eight bytes at a time, while none is above 0x7f, below 0x20, or 0x7f. */
    static const uint64_t ones = UINT64_C(0x0101010101010101), tops = ones << 7;
    for (uint64_t word; text.length - at >= sizeof word; at += sizeof word) {
        memcpy(&word, text.at + at, sizeof word);
        if ((word | (word - 0x20 * ones) | (word + ones)) & tops)
            break;
    }
    while (at < text.length && text.at[at] >= 0x20 && text.at[at] < 0x7f)
        at++;
    return at;
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
        if (c >= 'a' && c <= 'z') {
            folded[out++] = (char)c;
        } else if (is_gap(c)) {
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

/* ---- at a glance -------------------------------------------------------------------------------- */

/* Small letters that look like a Latin one. */
static int32_t look_alike(int32_t c)
{
    static const struct {
        int32_t other;
        char latin;
    } letters[] = {{0x0430, 'a'}, {0x0435, 'e'}, {0x043e, 'o'}, {0x0440, 'p'}, {0x0441, 'c'},
                   {0x0443, 'y'}, {0x0445, 'x'}, {0x0455, 's'}, {0x0456, 'i'}, {0x0458, 'j'},
                   {0x03b1, 'a'}, {0x03b9, 'i'}, {0x03bf, 'o'}, {0x03c1, 'p'}, {0x03c5, 'u'},
                   {0x03bd, 'v'}, {0x0131, 'i'}, {0x00f8, 'o'}, {0x0142, 'l'}};
    for (size_t i = 0; i < sizeof letters / sizeof *letters; i++)
        if (letters[i].other == c)
            return letters[i].latin;
    return c;
}

static bool is_letter(int32_t c)
{
    return (c >= 'a' && c <= 'z') || c >= 0x80;
}

/* Ends a word: `spots` is no other word than `spot` to somebody who reads in haste. */
static size_t end_word(const char *glance, size_t word, size_t out)
{
    enum { SHORTEST = 4 };
    bool plural = out - word >= SHORTEST && glance[out - 1] == 's' && glance[out - 2] != 's';
    return plural ? out - 1 : out;
}

size_t rush_unicode_glance(rush_text name, char glance[RUSH_FOLD_MAX])
{
    utf8proc_int32_t points[RUSH_FOLD_MAX];
    const utf8proc_option_t how = UTF8PROC_STABLE | UTF8PROC_DECOMPOSE | UTF8PROC_COMPAT |
                                  UTF8PROC_CASEFOLD | UTF8PROC_STRIPMARK;
    if (name.length >= RUSH_FOLD_MAX)
        return SIZE_MAX;
    utf8proc_ssize_t count =
        utf8proc_decompose((const utf8proc_uint8_t *)name.at, (utf8proc_ssize_t)name.length,
                           points, RUSH_FOLD_MAX, how);
    if (count < 0 || count > RUSH_FOLD_MAX)
        return SIZE_MAX;
    size_t out = 0, word = 0;
    for (utf8proc_ssize_t i = 0; i < count && out + 4 < RUSH_FOLD_MAX; i++) {
        int32_t c = look_alike(points[i]);
        bool beside =
            (i && is_letter(points[i - 1])) || (i + 1 < count && is_letter(points[i + 1]));
        if (beside && (c == '0' || c == '1'))
            c = c == '0' ? 'o' : 'l';
        if (is_letter(c) || (c >= '0' && c <= '9'))
            out += (size_t)utf8proc_encode_char(c, (utf8proc_uint8_t *)glance + out);
        else if (c != '\'')
            word = out = end_word(glance, word, out);
    }
    return end_word(glance, word, out);
}
