#include "report/json.h"

#include <math.h>
#include <string.h>

#include "base/unicode.h"

/* ASCII that stands for itself, a bit for each: all but the controls, `"`, `\\` and DEL (RFC 8259, and what a
 * terminal must not be sent). */
static bool is_plain(unsigned char byte)
{
    static const uint64_t plain[4] = {0xfffffffb00000000, 0x7fffffffefffffff, 0, 0};
    return plain[byte / 64] >> byte % 64 & 1;
}

/* How many bytes from `from` on stand for themselves; what a terminal must not be sent does not. */
static size_t plain_run(rush_text text, size_t from)
{
    size_t at = from, length;
    for (;;) {
        while (at < text.length && is_plain((unsigned char)text.at[at]))
            at++;
        if (at >= text.length || (unsigned char)text.at[at] < 0x80 ||
            rush_unicode_hostile(rush_unicode_at(text, at, &length)))
            return at - from;
        at += length;
    }
}

static void write_escape(rush_buffer *buffer, rush_text text, size_t at)
{
    size_t length;
    int32_t c = rush_unicode_at(text, at, &length);
    if (c == '"' || c == '\\')
        rush_buffer_format(buffer, "\\%c", (char)c);
    else if (c < 0)
        rush_buffer_string(buffer, "\\ufffd");
    else if (c < 0x10000)
        rush_buffer_format(buffer, "\\u%04x", (unsigned)c);
    else
        rush_buffer_format(buffer, "\\u%04x\\u%04x", 0xd800u + ((unsigned)(c - 0x10000) >> 10),
                           0xdc00u + ((unsigned)(c - 0x10000) & 0x3ff));
}

/* Room for some more bytes; mostly there is, without a call. */
static bool has_room(rush_buffer *buffer, size_t size)
{
    return (!buffer->failed && buffer->capacity - buffer->length > size) ||
           rush_buffer_reserve(buffer, size);
}

/* Whether eight bytes are all plain. In each of the sums below a byte's highest bit tells that it is less than a
 * number, or equal to one; it may err only above such a byte (Warren 2013, Hacker's Delight, section 6-1). */
static bool are_plain(const char *bytes)
{
    const uint64_t ones = UINT64_MAX / 255, high = ones << 7;
    uint64_t eight;
    memcpy(&eight, bytes, sizeof eight);
    uint64_t control = (eight - ones * 0x20) & ~eight;
    uint64_t quote = eight ^ ones * '"', slash = eight ^ ones * '\\', del = eight ^ ones * 0x7f;
    uint64_t equal =
        ((quote - ones) & ~quote) | ((slash - ones) & ~slash) | ((del - ones) & ~del);
    return !((control | equal | eight) & high);
}

static void put(rush_buffer *buffer, char byte)
{
    if (!has_room(buffer, 1))
        return;
    buffer->bytes[buffer->length++] = byte;
    buffer->bytes[buffer->length] = '\0';
}

/* Most texts are plain ASCII from end to end and are copied as they are looked at. */
static void write_text(rush_buffer *buffer, rush_text text)
{
    if (!has_room(buffer, text.length + 2))
        return;
    char *to = buffer->bytes + buffer->length;
    size_t at = 0;
    *to++ = '"';
    for (; at + 8 <= text.length && are_plain(text.at + at); at += 8)
        memcpy(to + at, text.at + at, 8);
    if (at && text.length - at < 8 && are_plain(text.at + text.length - 8)) {
        memcpy(to + text.length - 8, text.at + text.length - 8, 8);
        at = text.length;
    }
    for (; at < text.length && is_plain((unsigned char)text.at[at]); at++)
        to[at] = text.at[at];
    buffer->length = (size_t)(to + at - buffer->bytes);
    while (at < text.length) {
        size_t run = plain_run(text, at), length;
        rush_buffer_add(buffer, (rush_text){text.at + at, run});
        at += run;
        if (at < text.length) {
            write_escape(buffer, text, at);
            rush_unicode_at(text, at, &length);
            at += length;
        }
    }
    put(buffer, '"');
}

enum { NAME_MAX = 40 }; /* the names are words of our own, all of them shorter */

/* The comma and the name; byte by byte, which is quicker for a short word than to ask for its length. */
static void begin(rush_json *json, const char *name)
{
    rush_buffer *buffer = json->buffer;
    if (has_room(buffer, NAME_MAX + 4)) {
        char *at = buffer->bytes + buffer->length;
        if (!json->first)
            *at++ = ',';
        if (name) {
            *at++ = '"';
            for (int i = 0; i < NAME_MAX && name[i]; i++)
                *at++ = name[i];
            *at++ = '"';
            *at++ = ':';
        }
        *at = '\0';
        buffer->length = (size_t)(at - buffer->bytes);
    }
    json->first = false;
}

void rush_json_name(rush_json *json, const char *name)
{
    begin(json, NULL);
    write_text(json->buffer, rush_text_of(name));
    put(json->buffer, ':');
    json->first = true;
}

void rush_json_open(rush_json *json, const char *name, char bracket)
{
    begin(json, name);
    put(json->buffer, bracket);
    json->first = true;
}

void rush_json_close(rush_json *json, char bracket)
{
    put(json->buffer, bracket);
    json->first = false;
}

void rush_json_text(rush_json *json, const char *name, rush_text text)
{
    begin(json, name);
    write_text(json->buffer, text);
}

void rush_json_string(rush_json *json, const char *name, const char *string)
{
    begin(json, name);
    if (string)
        write_text(json->buffer, rush_text_of(string));
    else
        rush_buffer_string(json->buffer, "null");
}

void rush_json_string_or_null(rush_json *json, const char *name, const char *string)
{
    rush_json_string(json, name, string && string[0] ? string : NULL);
}

void rush_json_whole(rush_json *json, const char *name, uint64_t number)
{
    begin(json, name);
    char digits[20];
    size_t at = sizeof digits;
    do {
        digits[--at] = (char)('0' + number % 10);
        number /= 10;
    } while (number);
    rush_buffer_add(json->buffer, (rush_text){digits + at, sizeof digits - at});
}

void rush_json_number(rush_json *json, const char *name, double number)
{
    begin(json, name);
    if (isfinite(number))
        rush_buffer_decimal(json->buffer, number, 6);
    else
        rush_buffer_string(json->buffer, "null");
}

void rush_json_flag(rush_json *json, const char *name, bool flag)
{
    begin(json, name);
    rush_buffer_string(json->buffer, flag ? "true" : "false");
}
