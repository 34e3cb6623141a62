#include "diagnostic/source.h"

#include <string.h>

#include "base/unicode.h"

/* The bytes of the line break at `at`, or 0. */
static size_t break_at(rush_text text, size_t at)
{
    const unsigned char *bytes = (const unsigned char *)text.at + at;
    size_t left = text.length - at;
    switch (bytes[0]) {
    case '\n':
        return 1;
    case '\r':
        return left > 1 && bytes[1] == '\n' ? 2 : 1;
    case 0xc2:
        return left > 1 && bytes[1] == 0x85 ? 2 : 0;
    case 0xe2:
        return left > 2 && bytes[1] == 0x80 && (bytes[2] == 0xa8 || bytes[2] == 0xa9) ? 3 : 0;
    default:
        return 0;
    }
}

void rush_source_init(rush_source *source, rush_arena *arena, const char *name, rush_text text)
{
    *source = (rush_source){.name = name, .text = text};
    RUSH_LIST(uint32_t) lines = {0};
    bool marked = text.length >= 3 && memcmp(text.at, "\xef\xbb\xbf", 3) == 0;
    *RUSH_PUSH(arena, &lines) = marked ? 3 : 0; /* a byte order mark is no column */
    for (size_t at = lines.items[0]; (at = rush_unicode_pass_plain(text, at)) < text.length;) {
        size_t length = break_at(text, at);
        at += length ? length : 1;
        if (length)
            *RUSH_PUSH(arena, &lines) = (uint32_t)at;
    }
    source->lines = lines.items;
    source->line_count = lines.count;
}

bool rush_source_doubts(const rush_source *source, rush_span span)
{
    const char *text = source->text.at;
    while (span.length && source->doubtful_count &&
           strchr(" \n\r", text[span.start + span.length - 1]))
        span.length--; /* libyaml's blocks end where the next one begins */
    for (uint32_t i = 0; i < source->doubtful_count; i++) {
        rush_span line = source->doubtful[i];
        if (span.start <= line.start + line.length && line.start <= span.start + span.length)
            return true;
    }
    return false;
}

/* The end of a line, before its break: the next line begins right behind that. */
static size_t line_end(const rush_source *source, uint32_t line)
{
    rush_text text = source->text;
    if (line + 1 >= source->line_count)
        return text.length;
    for (size_t length = 1; length <= 3; length++) {
        size_t at = source->lines[line + 1] - length;
        if (at >= source->lines[line] && break_at(text, at) == length)
            return length == 1 && text.at[at] == '\n' && at > source->lines[line] &&
                           text.at[at - 1] == '\r'
                       ? at - 1
                       : at;
    }
    return source->lines[line + 1];
}

/* The line that an offset stands in, from 0. */
static uint32_t line_of(const rush_source *source, size_t offset)
{
    uint32_t low = 0, high = source->line_count;
    while (low + 1 < high) {
        uint32_t middle = low + (high - low) / 2;
        if (source->lines[middle] <= offset)
            low = middle;
        else
            high = middle;
    }
    return low;
}

enum { EXCERPT_BEFORE = 80, EXCERPT_AFTER = 120 }; /* bytes shown of a long line */

/* Moves back to the first byte of a character, but not past `least`: the text may not be UTF-8. */
static size_t character_start(rush_text text, size_t at, size_t least)
{
    while (at > least && at < text.length && ((unsigned char)text.at[at] & 0xc0) == 0x80)
        at--;
    return at;
}

rush_place rush_source_place(const rush_source *source, rush_span span)
{
    rush_text text = source->text;
    size_t offset = span.start < text.length ? span.start : text.length;
    uint32_t line = source->lines ? line_of(source, offset) : 0;
    size_t start = source->lines ? source->lines[line] : 0;
    size_t end = source->lines ? line_end(source, line) : text.length;
    if (offset < start)
        offset = start;
    size_t stop = offset + span.length < end ? offset + span.length : end;
    if (stop < offset)
        stop = offset;

    rush_place place = {.file = source->name,
                        .order = source->order,
                        .line = line + (source->first_line ? source->first_line : 1),
                        .offset = offset,
                        .length = stop - offset};
    place.column = (uint32_t)rush_unicode_count((rush_text){text.at + start, offset - start}) + 1;
    place.end =
        place.column + (uint32_t)rush_unicode_count((rush_text){text.at + offset, stop - offset});

    size_t from = start, to = end;
    if (end - start > EXCERPT_BEFORE + EXCERPT_AFTER) {
        if (offset - start > EXCERPT_BEFORE)
            from = character_start(text, offset - EXCERPT_BEFORE, start);
        if (end - offset > EXCERPT_AFTER)
            to = character_start(text, offset + EXCERPT_AFTER, offset);
    }
    place.excerpt = (rush_text){text.at + from, to - from};
    place.excerpt_column =
        (uint32_t)rush_unicode_count((rush_text){text.at + start, from - start}) + 1;
    return place;
}
