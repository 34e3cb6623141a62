#include "support/csv_table.h"

#include <csv.h>
#include <stdlib.h>
#include <string.h>

/* What the reader's callbacks fill. */
typedef struct csv_reading {
    csv_table *table;
    size_t in_row, room;
    bool good;
} csv_reading;

static void take_cell(void *bytes, size_t length, void *data)
{
    csv_reading *reading = data;
    csv_table *table = reading->table;
    if (table->cell_count == reading->room) {
        reading->room = reading->room ? 2 * reading->room : 256;
        table->cells = realloc(table->cells, reading->room * sizeof *table->cells);
        if (!table->cells)
            abort();
    }
    table->cells[table->cell_count++] = table->text.length;
    rush_buffer_add(&table->text, (rush_text){bytes, length});
    rush_buffer_byte(&table->text, '\0');
    reading->good &= !bytes || !memchr(bytes, '\0', length);
    reading->in_row++;
}

static void end_row(int character, void *data)
{
    csv_reading *reading = data;
    csv_table *table = reading->table;
    if (!table->rows)
        table->columns = reading->in_row;
    reading->good &= reading->in_row == table->columns && character >= 0;
    reading->in_row = 0;
    table->rows++;
}

bool csv_table_read(csv_table *table, rush_text text)
{
    *table = (csv_table){0};
    csv_reading reading = {.table = table, .good = true};
    struct csv_parser parser;
    if (csv_init(&parser, CSV_STRICT | CSV_STRICT_FINI) != 0)
        return false;
    bool whole =
        csv_parse(&parser, text.at, text.length, take_cell, end_row, &reading) == text.length &&
        csv_fini(&parser, take_cell, end_row, &reading) == 0;
    csv_free(&parser);
    return whole && reading.good && !table->text.failed;
}

void csv_table_free(csv_table *table)
{
    free(table->cells);
    rush_buffer_free(&table->text);
    *table = (csv_table){0};
}

const char *csv_table_cell(const csv_table *table, size_t row, size_t column)
{
    return table->text.bytes + table->cells[row * table->columns + column];
}

const char *csv_table_named(const csv_table *table, size_t row, const char *name)
{
    for (size_t c = 0; c < table->columns; c++)
        if (strcmp(csv_table_cell(table, 0, c), name) == 0)
            return csv_table_cell(table, row, c);
    return NULL;
}
