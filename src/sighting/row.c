/* Rows of CSV. libcsv takes them apart; since it says nothing of places, it is fed up to each separator
 * and line break: a cell can end at one of these alone. */
#include <csv.h>
#include <stdlib.h>
#include <string.h>

#include "base/unicode.h"
#include "sighting/entry.h"

typedef struct column {
    rush_target target; /* UNKNOWN: its cells are passed over */
    char *name;         /* "": there should be nothing in it */
} column;

struct rush_columns {
    const rush_key *key;
    char separator;
    column *items;
    uint32_t count;
};

bool rush_row_is_blank(rush_text text)
{
    for (size_t i = 0; i < text.length; i++)
        if (!memchr(" \t\r\n,;\"", text.at[i], 8))
            return false;
    return true;
}

bool rush_row_tells_separator(rush_text text)
{
    static const char mark[] = "sep=";
    enum { MARK = sizeof mark - 1 };
    text = rush_text_trim(text);
    if (text.length && text.at[text.length - 1] == '\r')
        text.length--;
    if (text.length > 2 && text.at[0] == '"' && text.at[text.length - 1] == '"')
        text = (rush_text){text.at + 1, text.length - 2};
    if (text.length < MARK || text.length > MARK + 1)
        return false;
    for (size_t i = 0; i < MARK; i++)
        if ((text.at[i] | 0x20) != (mark[i] | 0x20))
            return false;
    return true;
}

/* ---- cells -------------------------------------------------------------------------------------- */

/* One cell: its text, and where it stands. */
typedef struct row_cell {
    uint32_t column;
    rush_text text;
    rush_span span;
} row_cell;

typedef struct row_reader {
    rush_entry_reader *entries;
    const rush_columns *columns; /* of a header: NULL */
    rush_columns *header;        /* of a row: NULL */
    struct csv_parser *cells;
    uint32_t column;
    size_t from, to; /* the cell in the row */
    bool extra;      /* that has been said */
    bool id_alone;   /* nothing else is taken, nothing is said, and the last cell is not whole */
} row_reader;

/* The cell as it stands in the row, where it stands there as it is, so that faults have their place in it. */
static row_cell cell_of(const row_reader *row, char *text, size_t length)
{
    rush_text source = row->entries->source.text;
    rush_text raw = rush_text_trim((rush_text){source.at + row->from, row->to - row->from});
    row_cell cell = {
        .column = row->column,
        .text = {text, length},
        .span = {(uint32_t)(raw.at - source.at), (uint32_t)raw.length},
    };
    if (raw.length == length + 2 && raw.at[0] == '"')
        raw = (rush_text){raw.at + 1, length};
    if (length && rush_text_equal(raw, cell.text) && !memchr(text, '\n', length))
        cell.text = raw;
    size_t kept = 0;
    for (size_t i = 0; i < length; i++)
        if (text[i] != '\r')
            text[kept++] = text[i] == '\n' ? ' ' : text[i];
    if (cell.text.at == text)
        cell.text.length = kept;
    return cell;
}

static void take_header_cell(row_reader *row, row_cell cell);

static void take_cell(row_reader *row, row_cell cell)
{
    static char nothing[] = "";
    static const column none = {.name = nothing};
    const column *head =
        cell.column < row->columns->count ? &row->columns->items[cell.column] : &none;
    rush_entry entry = {.name = {head->name, strlen(head->name)},
                        .value = cell.text,
                        .name_span = cell.span,
                        .value_span = cell.span};
    if (head->target.kind != RUSH_TARGET_UNKNOWN) {
        rush_entry_take(row->entries, &entry, &head->target);
    } else if (!head->name[0] && rush_text_trim(cell.text).length && !row->extra) {
        row->extra = true;
        rush_diagnostic *made = rush_entry_complain(row->entries, RUSH_EXTRA_CELL, cell.span,
                                                    "this cell stands under no column");
        rush_diagnose_help(row->entries->list, made,
                           "a cell that holds a separator needs quotation marks around it");
    }
}

static void take_id(row_reader *row, row_cell cell)
{
    bool whole = row->to < row->entries->source.text.length;
    rush_sighting *sighting = row->entries->sighting;
    if (whole && cell.column < row->columns->count &&
        rush_target_is_id(&row->columns->items[cell.column].target))
        rush_sighting_keep(sighting, &sighting->fields[RUSH_RECORD_ID],
                           rush_text_trim(cell.text));
}

static void on_cell(void *text, size_t length, void *with)
{
    row_reader *row = with;
    row_cell cell = cell_of(row, text, length);
    if (row->id_alone)
        take_id(row, cell);
    else if (row->header)
        take_header_cell(row, cell);
    else
        take_cell(row, cell);
    row->column++;
    row->from = row->to + 1;
}

static void on_row(int end, void *with)
{
    (void)end;
    (void)with;
}

static void refuse_quote(row_reader *row, size_t at)
{
    rush_text text = row->entries->source.text;
    bool inside = row->cells->quoted;
    rush_diagnostic *made = rush_entry_complain(
        row->entries, RUSH_UNCLOSED_QUOTE, (rush_span){(uint32_t)at, at < text.length},
        inside ? "text behind a closing quotation mark" : "a quotation mark inside a cell");
    rush_diagnose_help(row->entries->list, made,
                       "put the whole cell in quotation marks and write those inside it twice");
}

static void refuse_open(row_reader *row)
{
    rush_text text = row->entries->source.text;
    const char *mark = memchr(text.at + row->from, '"', text.length - row->from);
    rush_span span = {(uint32_t)(mark ? mark - text.at : (ptrdiff_t)row->from), 1};
    rush_diagnostic *made = rush_entry_complain(row->entries, RUSH_UNCLOSED_QUOTE, span,
                                                "a quotation mark without its partner");
    rush_diagnose_help(row->entries->list, made,
                       "close the quotation mark; one inside a quoted cell is written twice");
}

/* Hands every cell of the row over. */
static void take_cells(row_reader *row, char separator)
{
    rush_text text = row->entries->source.text;
    struct csv_parser *cells = row->cells;
    csv_set_delim(cells, (unsigned char)separator);
    for (size_t at = 0, end; at < text.length; at = end) {
        for (end = at; end < text.length; end++)
            if (text.at[end] == separator || text.at[end] == '\n')
                break;
        row->to = end;
        end += end < text.length;
        size_t taken = csv_parse(cells, text.at + at, end - at, on_cell, on_row, row);
        if (taken == end - at)
            continue;
        if (row->id_alone)
            return;
        if (csv_error(cells) == CSV_EPARSE)
            refuse_quote(row, at + taken);
        else
            row->entries->sighting->unquoted.failed = true;
        return;
    }
    row->to = text.length;
    if (csv_fini(cells, on_cell, on_row, row) != 0 && !row->id_alone)
        refuse_open(row);
}

static bool begin_cells(rush_sighting *sighting)
{
    rush_row_reader_free(sighting);
    sighting->cells = malloc(sizeof *sighting->cells);
    if (sighting->cells && csv_init(sighting->cells, CSV_STRICT | CSV_STRICT_FINI) == 0)
        return true;
    free(sighting->cells);
    sighting->cells = NULL;
    return false;
}

void rush_row_reader_free(rush_sighting *sighting)
{
    if (sighting->cells)
        csv_free(sighting->cells);
    free(sighting->cells);
    sighting->cells = NULL;
}

/* Of a row that cannot be read to its end, so that it can be told which one that is. */
static void keep_id(rush_entry_reader *entries, const rush_columns *columns)
{
    rush_sighting *sighting = entries->sighting;
    if (!sighting->cells && !begin_cells(sighting)) {
        rush_diagnose_out_of_memory(entries->list);
        return;
    }
    entries->source.text.length = entries->fault;
    row_reader row = {
        .entries = entries, .columns = columns, .cells = sighting->cells, .id_alone = true};
    take_cells(&row, columns->separator);
    rush_row_reader_free(sighting);
}

bool rush_sighting_read_row(rush_sighting *sighting, const rush_line *line,
                            const rush_columns *columns, rush_diagnostics *diagnostics)
{
    rush_entry_reader entries;
    if (!rush_entries_begin(&entries, sighting, line, diagnostics)) {
        keep_id(&entries, columns);
        return false;
    }
    if (!sighting->cells && !begin_cells(sighting)) {
        sighting->unquoted.failed = true;
        return rush_entries_end(&entries);
    }
    row_reader row = {.entries = &entries, .columns = columns, .cells = sighting->cells};
    take_cells(&row, columns->separator);
    if (csv_error(sighting->cells) != CSV_SUCCESS)
        rush_row_reader_free(sighting); /* it stands in the middle of the row */
    return rush_entries_end(&entries);
}

/* ---- the header --------------------------------------------------------------------------------- */

char rush_columns_separator(const rush_columns *columns)
{
    return columns->separator;
}

void rush_columns_free(rush_columns *columns)
{
    if (!columns)
        return;
    for (uint32_t i = 0; i < columns->count; i++)
        free(columns->items[i].name);
    free(columns->items);
    free(columns);
}

static char *copy(rush_text text)
{
    char *made = malloc(text.length + 1);
    if (!made)
        return NULL;
    memcpy(made, text.at, text.length);
    made[text.length] = '\0';
    return made;
}

static bool same_name(const char *a, const char *b)
{
    char folded[2][RUSH_FOLD_MAX];
    size_t length = rush_unicode_fold(rush_text_of(a), folded[0]);
    return length == rush_unicode_fold(rush_text_of(b), folded[1]) &&
           memcmp(folded[0], folded[1], length) == 0;
}

/* Two columns of one name. Of two names for one thing a row may use either. */
static bool has_twin(const rush_columns *columns, const column *head)
{
    for (uint32_t i = 0; i < columns->count; i++) {
        const column *other = &columns->items[i];
        if (other->target.kind == head->target.kind &&
            other->target.which == head->target.which &&
            other->target.characters[0] == head->target.characters[0] &&
            same_name(other->name, head->name))
            return true;
    }
    return false;
}

static void take_header_cell(row_reader *row, row_cell cell)
{
    rush_columns *columns = row->header;
    cell.text = rush_text_trim(cell.text);
    column head = {rush_target_of(columns->key, cell.text), copy(cell.text)};
    rush_entry entry = {.name = cell.text, .name_span = cell.span};
    if (head.target.kind == RUSH_TARGET_UNKNOWN && cell.text.length)
        rush_entry_refuse_name(row->entries, &entry);
    if (head.target.kind != RUSH_TARGET_UNKNOWN && head.name && has_twin(columns, &head)) {
        rush_entry_complain(row->entries, RUSH_REPEATED_ANSWER, cell.span,
                            "a second column for '%.*s'", (int)cell.text.length, cell.text.at);
        head.target = (rush_target){0};
    }
    bool grows = !(columns->count & (columns->count - 1)); /* at 0 and the powers of two */
    column *items =
        grows ? realloc(columns->items,
                        (columns->count ? 2 * (size_t)columns->count : 1) * sizeof *items)
              : columns->items;
    if (!items || !head.name) {
        columns->items = items ? items : columns->items;
        free(head.name);
        row->entries->sighting->unquoted.failed = true;
        return;
    }
    columns->items = items;
    columns->items[columns->count++] = head;
}

/* Whichever stands most often outside quotation marks; a comma when they are even. */
static char find_separator(rush_text header)
{
    static const char separators[] = {',', ';', '\t'};
    size_t counts[sizeof separators] = {0}, best = 0;
    bool quoted = false;
    for (size_t i = 0; i < header.length; i++) {
        quoted ^= header.at[i] == '"';
        for (size_t s = 0; !quoted && s < sizeof separators; s++)
            counts[s] += header.at[i] == separators[s];
    }
    for (size_t s = 1; s < sizeof separators; s++)
        if (counts[s] > counts[best])
            best = s;
    return separators[best];
}

static bool any_good(const rush_columns *columns)
{
    for (uint32_t i = 0; i < columns->count; i++)
        if (columns->items[i].target.kind != RUSH_TARGET_UNKNOWN)
            return true;
    return false;
}

static void find_longitude(rush_columns *columns)
{
    bool latitude = false;
    for (uint32_t i = 0; i < columns->count; i++)
        latitude |= rush_target_is_latitude(&columns->items[i].target);
    for (uint32_t i = 0; latitude && i < columns->count; i++)
        if (rush_name_is_long(rush_text_of(columns->items[i].name)))
            columns->items[i].target = rush_target_longitude();
}

rush_columns *rush_columns_read(const rush_key *key, const rush_line *header,
                                rush_diagnostics *diagnostics)
{
    rush_columns *columns = calloc(1, sizeof *columns);
    rush_sighting *sighting = rush_sighting_new(key);
    rush_entry_reader entries;
    bool whole = columns && sighting && begin_cells(sighting);
    bool good = whole && rush_entries_begin(&entries, sighting, header, diagnostics);
    if (good) {
        columns->key = key;
        columns->separator = find_separator(entries.source.text);
        row_reader row = {.entries = &entries, .header = columns, .cells = sighting->cells};
        take_cells(&row, columns->separator);
        find_longitude(columns);
        good = any_good(columns);
        whole = !sighting->unquoted.failed;
    }
    if (!whole)
        rush_diagnose_out_of_memory(diagnostics);
    rush_sighting_free(sighting);
    if (good && whole)
        return columns;
    rush_columns_free(columns);
    return NULL;
}
