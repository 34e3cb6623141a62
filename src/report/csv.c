#include "report/csv.h"

#include <string.h>

/* Spreadsheets take a cell that begins so for a formula; the last four are the full-width forms of the
 * first four, which some read alike. (Common practice, as in the OWASP's notes on CSV injection.) A tab
 * or a line break in front has become a space by now. A number is let be: a longitude in the west. */
static bool would_run(rush_text text)
{
    static const char *const leads[] = {
        "=", "+", "-", "@", "\xef\xbc\x9d", "\xef\xbc\x8b", "\xef\xbc\x8d", "\xef\xbc\xa0"};
    double number;
    if (rush_text_number(text, &number))
        return false;
    for (size_t i = 0; i < sizeof leads / sizeof *leads; i++) {
        size_t length = strlen(leads[i]);
        if (text.length >= length && memcmp(text.at, leads[i], length) == 0)
            return true;
    }
    return false;
}

/* Spaces at an end need the marks too, since some readers drop bare ones; so do semicolons, which some
 * split at. */
static bool needs_quotes(rush_text text)
{
    if (!text.length)
        return false;
    return text.at[0] == ' ' || text.at[text.length - 1] == ' ' ||
           memchr(text.at, '"', text.length) || memchr(text.at, ',', text.length) ||
           memchr(text.at, ';', text.length);
}

static void write_quoted(rush_text text, rush_buffer *buffer)
{
    rush_buffer_byte(buffer, '"');
    for (size_t i = 0; i < text.length; i++) {
        if (text.at[i] == '"')
            rush_buffer_byte(buffer, '"');
        rush_buffer_byte(buffer, text.at[i]);
    }
    rush_buffer_byte(buffer, '"');
}

/* A carriage return is a line break here, with or without a line feed behind it. */
static void write_safe(rush_text text, rush_buffer *buffer)
{
    for (size_t from = 0, to; from < text.length; from = to + 1) {
        const char *mark = memchr(text.at + from, '\r', text.length - from);
        to = mark ? (size_t)(mark - text.at) : text.length;
        rush_buffer_safe(buffer, (rush_text){text.at + from, to - from});
        if (mark && (to + 1 == text.length || text.at[to + 1] != '\n'))
            rush_buffer_byte(buffer, ' ');
    }
}

void rush_csv_cell(rush_text text, bool first, rush_buffer *buffer)
{
    rush_buffer safe = {0};
    rush_buffer_byte(&safe, ' ');
    write_safe(text, &safe);
    rush_text cell = {safe.failed ? "" : safe.bytes + 1, safe.failed ? 0 : safe.length - 1};
    if (would_run(cell))
        cell = (rush_text){cell.at - 1, cell.length + 1};
    if (!first)
        rush_buffer_byte(buffer, ',');
    if (needs_quotes(cell))
        write_quoted(cell, buffer);
    else
        rush_buffer_add(buffer, cell);
    buffer->failed |= safe.failed;
    rush_buffer_free(&safe);
}
