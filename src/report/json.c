#include "report/json.h"

#include <math.h>

#include "base/unicode.h"

/* Escaped are what RFC 8259 wants, and what a terminal must not be sent. */
static bool is_plain(rush_text text, size_t at, size_t *length)
{
    unsigned char byte = (unsigned char)text.at[at];
    *length = 1;
    if (byte < 0x80)
        return byte >= 0x20 && byte != '"' && byte != '\\' && byte != 0x7f;
    return !rush_unicode_hostile(rush_unicode_at(text, at, length));
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

static void write_text(rush_buffer *buffer, rush_text text)
{
    size_t plain = 0, length;
    rush_buffer_byte(buffer, '"');
    for (size_t i = 0; i < text.length; i += length) {
        if (is_plain(text, i, &length))
            continue;
        rush_buffer_add(buffer, (rush_text){text.at + plain, i - plain});
        write_escape(buffer, text, i);
        plain = i + length;
    }
    rush_buffer_add(buffer, (rush_text){text.at + plain, text.length - plain});
    rush_buffer_byte(buffer, '"');
}

static void begin(rush_json *json, const char *name)
{
    if (!json->first)
        rush_buffer_byte(json->buffer, ',');
    json->first = false;
    if (name) {
        write_text(json->buffer, rush_text_of(name));
        rush_buffer_byte(json->buffer, ':');
    }
}

void rush_json_open(rush_json *json, const char *name, char bracket)
{
    begin(json, name);
    rush_buffer_byte(json->buffer, bracket);
    json->first = true;
}

void rush_json_close(rush_json *json, char bracket)
{
    rush_buffer_byte(json->buffer, bracket);
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
    rush_buffer_format(json->buffer, "%llu", (unsigned long long)number);
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
