#include "report/json.h"

#include <math.h>

static void write_text(rush_buffer *buffer, rush_text text)
{
    size_t plain = 0;
    rush_buffer_byte(buffer, '"');
    for (size_t i = 0; i < text.length; i++) {
        unsigned char c = (unsigned char)text.at[i];
        if (c >= 0x20 && c != '"' && c != '\\' && c != 0x7f)
            continue;
        rush_buffer_add(buffer, (rush_text){text.at + plain, i - plain});
        plain = i + 1;
        if (c == '"' || c == '\\')
            rush_buffer_format(buffer, "\\%c", c);
        else
            rush_buffer_format(buffer, "\\u%04x", c);
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
