#include "sow/sheet.h"

#include <csv.h>
#include <stdlib.h>
#include <string.h>

#include "base/unicode.h"

/* What libcsv's callbacks fill. libcsv says what a cell holds and not where it stands, so it is fed byte by
 * byte: a cell ends where its callback comes. */
typedef struct sheet_reading {
    struct csv_parser parser;
    rush_sheet *sheet;
    rush_arena *arena;
    rush_diagnostics *list;
    size_t cell_from, at; /* bytes of the source's text */
    rush_sheet_row row;
    rush_diagnostic *first_bad; /* the first cell that is not UTF-8 */
    uint32_t more_bad;
    bool too_wide;
} sheet_reading;

/* ---- a cell ----------------------------------------------------------------------------------- */

static bool is_space(int32_t c)
{
    return c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == 0xa0 || c == 0x2007 ||
           c == 0x202f || c == 0x2028 || c == 0x2029;
}

/* Where the cell stands in the file: without what separates it from its neighbours. */
static rush_span cell_span(const sheet_reading *reading)
{
    const char *text = reading->sheet->source.text.at;
    size_t from = reading->cell_from, to = reading->at;
    while (from < to && strchr(" \t\r\n", text[from]))
        from++;
    while (to > from && strchr(" \t\r\n", text[to - 1]))
        to--;
    return (rush_span){(uint32_t)from, (uint32_t)(to - from)};
}

static void complain_bytes(sheet_reading *reading, rush_span span)
{
    if (reading->first_bad) {
        reading->more_bad++;
        rush_diagnose_follows(reading->list);
        return;
    }
    reading->first_bad = rush_diagnose(reading->list, RUSH_BAD_UTF8, &reading->sheet->source,
                                       span, "this cell is not UTF-8 text");
}

/* The text with plain single spaces, or none with a diagnostic when it must not be shown. */
static rush_text plain_text(sheet_reading *reading, rush_text raw, rush_span span)
{
    char *plain = rush_arena_copy(reading->arena, raw);
    size_t out = 0, length;
    for (size_t at = 0; at < raw.length; at += length) {
        int32_t c = rush_unicode_at(raw, at, &length);
        if (c < 0) {
            complain_bytes(reading, span);
            return (rush_text){"", 0};
        }
        if (is_space(c)) {
            if (out && plain[out - 1] != ' ')
                plain[out++] = ' ';
            continue;
        }
        if (rush_unicode_hostile(c) || c == 0xfffe || c == 0xffff) {
            rush_diagnose(reading->list, RUSH_CONTROL_CHARACTER, &reading->sheet->source, span,
                          "the character U+%04X cannot stand in a cell", (unsigned)c);
            return (rush_text){"", 0};
        }
        memcpy(plain + out, raw.at + at, length);
        out += length;
    }
    out -= out && plain[out - 1] == ' ';
    return (rush_text){plain, out};
}

static void take_cell(void *bytes, size_t length, void *with)
{
    sheet_reading *reading = with;
    rush_span span = cell_span(reading);
    reading->cell_from = reading->at + 1;
    rush_text text = {"", 0};
    if (length > RUSH_SHEET_MAX_CELL)
        rush_diagnose(reading->list, RUSH_TOO_LARGE, &reading->sheet->source, span,
                      "a cell has at most %d bytes", RUSH_SHEET_MAX_CELL);
    else if (length)
        text = plain_text(reading, (rush_text){bytes, length}, span);
    if (reading->row.count == RUSH_SHEET_MAX_COLUMNS) {
        if (!reading->too_wide)
            rush_diagnose(reading->list, RUSH_TOO_LARGE, &reading->sheet->source, span,
                          "a table has at most %d columns", RUSH_SHEET_MAX_COLUMNS);
        reading->too_wide = true;
        return;
    }
    *RUSH_PUSH(reading->arena, &reading->sheet->cells) =
        (rush_cell){text, span, &reading->sheet->source};
    reading->row.count++;
}

static void end_row(int character, void *with)
{
    sheet_reading *reading = with;
    rush_sheet *sheet = reading->sheet;
    (void)character;
    reading->cell_from = reading->at + 1;
    rush_sheet_row row = reading->row;
    while (row.count && !sheet->cells.items[row.first + row.count - 1].text.length)
        row.count--;
    if (row.count)
        *RUSH_PUSH(reading->arena, &sheet->rows) = row;
    sheet->cells.count = row.first + row.count;
    if (row.count > sheet->columns)
        sheet->columns = row.count;
    reading->row = (rush_sheet_row){sheet->cells.count, 0};
}

/* ---- the file --------------------------------------------------------------------------------- */

/* The sign that separates cells: the commonest of three in the first line, outside of quotation marks.
 * `sep=;` in front says it outright, as some spreadsheets write it; `from` then moves behind that line. */
static char find_separator(rush_text text, size_t *from)
{
    static const char signs[] = ",;\t";
    if (text.length - *from > 5 && memcmp(text.at + *from, "sep=", 4) == 0 &&
        strchr("\r\n", text.at[*from + 5])) {
        char sign = text.at[*from + 4];
        *from += 5;
        return sign;
    }
    size_t counts[3] = {0};
    bool quoted = false;
    for (size_t at = *from; at < text.length; at++) {
        char c = text.at[at];
        quoted ^= c == '"';
        if (!quoted && (c == '\n' || c == '\r'))
            break;
        for (int i = 0; i < 3; i++)
            counts[i] += !quoted && c == signs[i];
    }
    int best = 0;
    for (int i = 1; i < 3; i++)
        best = counts[i] > counts[best] ? i : best;
    return signs[best];
}

/* The quotation mark at which the last cell begins, when it has no partner; else of no length. */
static rush_span open_quote(const sheet_reading *reading)
{
    rush_text text = reading->sheet->source.text;
    uint32_t first = 0, marks = 0;
    for (size_t at = reading->cell_from; at < text.length; at++)
        if (text.at[at] == '"' && marks++ == 0)
            first = (uint32_t)at;
    return (rush_span){first, reading->parser.quoted ? marks % 2 : 0};
}

/* libcsv tries again with less when it is refused memory, and knows nothing of its caller; refused once is
 * refused for good, so that it is reported. */
static _Thread_local bool memory_refused;

static void *grow(void *old, size_t size)
{
    void *grown = memory_refused ? NULL : realloc(old, size);
    memory_refused = !grown;
    return grown;
}

static void parse(void *with)
{
    sheet_reading *reading = with;
    rush_text text = reading->sheet->source.text;
    size_t from = text.length >= 3 && memcmp(text.at, "\xef\xbb\xbf", 3) == 0 ? 3 : 0;
    char separator = find_separator(text, &from);
    csv_set_delim(&reading->parser, (unsigned char)separator);
    reading->cell_from = from;
    for (reading->at = from; reading->at < text.length; reading->at++)
        if (csv_parse(&reading->parser, text.at + reading->at, 1, take_cell, end_row, reading) !=
            1)
            rush_arena_escape(reading->arena); /* not strict, so it is memory */
    rush_span open = open_quote(reading);
    if (open.length) {
        rush_diagnostic *made =
            rush_diagnose(reading->list, RUSH_UNCLOSED_QUOTE, &reading->sheet->source, open,
                          "this quotation mark has no partner");
        rush_diagnose_help(reading->list, made, "all that stands behind it was not read");
        end_row(0, reading);
    } else if (csv_fini(&reading->parser, take_cell, end_row, reading) != 0) {
        rush_arena_escape(reading->arena);
    }
    if (reading->more_bad)
        rush_diagnose_help(reading->list, reading->first_bad,
                           "save the table as CSV in UTF-8; %u more cell%s so", reading->more_bad,
                           reading->more_bad == 1 ? " is" : "s are");
    else
        rush_diagnose_help(reading->list, reading->first_bad, "save the table as CSV in UTF-8");
}

static bool is_utf16(rush_text text)
{
    return text.length >= 2 &&
           (memcmp(text.at, "\xff\xfe", 2) == 0 || memcmp(text.at, "\xfe\xff", 2) == 0);
}

/* A cell's text grows by so many bytes; libcsv's own 128 are few for a cell of megabytes. */
enum { CELL_STEP = 64 * 1024 };

static bool parse_all(rush_sheet *sheet, rush_arena *arena, rush_diagnostics *list)
{
    sheet_reading reading = {.sheet = sheet, .arena = arena, .list = list};
    memory_refused = false;
    csv_init(&reading.parser, 0);
    csv_set_realloc_func(&reading.parser, grow);
    csv_set_blk_size(&reading.parser, CELL_STEP);
    bool whole = rush_arena_guard(arena, parse, &reading);
    csv_free(&reading.parser);
    return whole;
}

bool rush_sheet_read(rush_sheet *sheet, rush_arena *arena, const rush_table_text *table,
                     rush_diagnostics *list)
{
    *sheet = (rush_sheet){0};
    rush_source_init(&sheet->source, arena, table->shown, table->text);
    const char *refused =
        table->text.length > RUSH_SHEET_MAX_BYTES ? "a table has at most 16 MiB" : NULL;
    if (refused) {
        rush_diagnose(list, RUSH_TOO_LARGE, &sheet->source, (rush_span){0}, "%s", refused);
        return false;
    }
    if (is_utf16(table->text)) {
        rush_diagnostic *made = rush_diagnose(list, RUSH_BAD_UTF8, &sheet->source, (rush_span){0},
                                              "the table is UTF-16, not UTF-8");
        rush_diagnose_help(list, made, "save it as CSV in UTF-8");
        return false;
    }
    if (!parse_all(sheet, arena, list))
        rush_arena_escape(arena);
    if (sheet->rows.count)
        return true;
    rush_diagnose(list, RUSH_EMPTY_FILE, &sheet->source, (rush_span){0},
                  "the table has nothing in it");
    return false;
}

const rush_cell *rush_sheet_cell(const rush_sheet *sheet, uint32_t row, uint32_t column)
{
    static const rush_cell empty = {{"", 0}, {0, 0}, NULL};
    const rush_sheet_row *at = &sheet->rows.items[row];
    return column < at->count ? &sheet->cells.items[at->first + column] : &empty;
}

rush_text rush_sheet_lines(rush_arena *arena, const rush_cell *cell)
{
    rush_text raw = {cell->source->text.at + cell->span.start, cell->span.length};
    if (!cell->text.length || raw.at[0] != '"')
        return cell->text;
    char *lines = rush_arena_copy(arena, raw);
    size_t out = 0;
    for (size_t at = 1; at < raw.length; at++) {
        bool mark = raw.at[at] == '"';
        if (mark && (at + 1 >= raw.length || raw.at[at + 1] != '"'))
            break;
        at += mark;
        if (raw.at[at] != '\r')
            lines[out++] = raw.at[at] == '\t' ? ' ' : raw.at[at];
    }
    size_t from = out && lines[0] == '\n';
    return (rush_text){lines + from, out - from};
}
