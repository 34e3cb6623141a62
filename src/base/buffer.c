#include "base/number.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void rush_buffer_init(rush_buffer *buffer)
{
    *buffer = (rush_buffer){0};
}

void rush_buffer_free(rush_buffer *buffer)
{
    free(buffer->bytes);
    rush_buffer_init(buffer);
}

void rush_buffer_clear(rush_buffer *buffer)
{
    buffer->length = 0;
    buffer->failed = false;
    if (buffer->bytes)
        buffer->bytes[0] = '\0';
}

bool rush_buffer_reserve(rush_buffer *buffer, size_t size)
{
    if (buffer->failed)
        return false;
    if (buffer->capacity - buffer->length > size)
        return true;
    if (size < SIZE_MAX / 4 && buffer->capacity < SIZE_MAX / 4) {
        size_t capacity = buffer->capacity ? buffer->capacity * 2 : 256;
        while (capacity - buffer->length <= size)
            capacity *= 2;
        char *bytes = realloc(buffer->bytes, capacity);
        if (bytes) {
            bytes[buffer->length] = '\0';
            buffer->bytes = bytes;
            buffer->capacity = capacity;
            return true;
        }
    }
    buffer->failed = true;
    return false;
}

void rush_buffer_add(rush_buffer *buffer, rush_text text)
{
    if (!text.length || !rush_buffer_reserve(buffer, text.length))
        return;
    memcpy(buffer->bytes + buffer->length, text.at, text.length);
    buffer->length += text.length;
    buffer->bytes[buffer->length] = '\0';
}

void rush_buffer_string(rush_buffer *buffer, const char *string)
{
    rush_buffer_add(buffer, rush_text_of(string));
}

void rush_buffer_byte(rush_buffer *buffer, char byte)
{
    if (!rush_buffer_reserve(buffer, 1))
        return;
    buffer->bytes[buffer->length++] = byte;
    buffer->bytes[buffer->length] = '\0';
}

void rush_buffer_fill(rush_buffer *buffer, char byte, size_t count)
{
    if (!count || !rush_buffer_reserve(buffer, count))
        return;
    memset(buffer->bytes + buffer->length, byte, count);
    buffer->length += count;
    buffer->bytes[buffer->length] = '\0';
}

void rush_buffer_format(rush_buffer *buffer, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    rush_buffer_vformat(buffer, format, arguments);
    va_end(arguments);
}

void rush_buffer_vformat(rush_buffer *buffer, const char *format, va_list arguments)
{
    va_list again;
    va_copy(again, arguments);
    int length = vsnprintf(NULL, 0, format, again);
    va_end(again);
    if (length < 0 || !rush_buffer_reserve(buffer, (size_t)length))
        return;
    vsnprintf(buffer->bytes + buffer->length, (size_t)length + 1, format, arguments);
    buffer->length += (size_t)length;
}

/* The whole number nearest to a value of 0 or more, halves up; llround without the call. */
static uint64_t nearest_whole(double value)
{
    uint64_t whole = (uint64_t)value;
    return whole + (value - (double)whole >= 0.5);
}

/* Writes the digits from the end of `text` on backwards; returns where they begin. */
static size_t write_decimal(char text[RUSH_NUMBER_TEXT], double value, int decimals)
{
    static const double powers[] = {1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9};
    static const uint32_t whole_powers[] = {1,      10,      100,      1000,      10000,
                                            100000, 1000000, 10000000, 100000000, 1000000000};
    static const char hundred[] =
        "00010203040506070809101112131415161718192021222324252627282930313233"
        "34353637383940414243444546474849505152535455565758596061626364656667"
        "6869707172737475767778798081828384858687888990919293949596979899";
    if (fabs(value) > 9e18 / powers[decimals])
        decimals = 0;
    size_t at = RUSH_NUMBER_TEXT - 1;
    text[at] = '\0';
    uint64_t scaled = nearest_whole(fabs(value) * powers[decimals]);
    bool negative = value < 0 && scaled != 0;
    uint64_t whole = scaled < whole_powers[decimals] ? 0 : scaled / whole_powers[decimals];
    uint32_t part = (uint32_t)(scaled - whole * whole_powers[decimals]); /* at most nine digits */
    int left = decimals;
    for (; left >= 2; left -= 2, part /= 100)
        memcpy(&text[at -= 2], &hundred[2 * (part % 100)], 2);
    if (left)
        text[--at] = (char)('0' + part);
    if (decimals)
        text[--at] = '.';
    do {
        text[--at] = (char)('0' + whole % 10);
        whole /= 10;
    } while (whole);
    if (negative)
        text[--at] = '-';
    return at;
}

static const char *not_a_decimal(double value)
{
    if (isnan(value))
        return "nan";
    return fabs(value) <= 1e15 ? NULL : value > 0 ? "inf" : "-inf";
}

void rush_buffer_decimal(rush_buffer *buffer, double value, int decimals)
{
    char text[RUSH_NUMBER_TEXT];
    const char *word = not_a_decimal(value);
    if (word) {
        rush_buffer_string(buffer, word);
        return;
    }
    size_t from = write_decimal(text, value, decimals);
    rush_buffer_add(buffer, (rush_text){text + from, RUSH_NUMBER_TEXT - 1 - from});
}

const char *rush_number_text(char text[RUSH_NUMBER_TEXT], double value, int decimals)
{
    const char *word = not_a_decimal(value);
    if (word)
        return strcpy(text, word);
    size_t from = write_decimal(text, value, decimals), to = RUSH_NUMBER_TEXT - 1;
    if (memchr(text + from, '.', to - from)) {
        while (text[to - 1] == '0')
            to--;
        if (text[to - 1] == '.')
            to--;
    }
    memmove(text, text + from, to - from);
    text[to - from] = '\0';
    return text;
}

void rush_buffer_number(rush_buffer *buffer, double value, int decimals)
{
    char text[RUSH_NUMBER_TEXT];
    rush_buffer_string(buffer, rush_number_text(text, value, decimals));
}
