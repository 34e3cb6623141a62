/* A table as cells that know where they stand.
 *
 * Layer: sow. Read by libcsv, which takes what spreadsheets write; the cells are then made plain: spaces of
 * any kind, line breaks among them, become single spaces. */
#ifndef RUSH_SOW_SHEET_H
#define RUSH_SOW_SHEET_H

#include "diagnostic/diagnostic.h"
#include "rushlight/sow.h"

enum {
    RUSH_SHEET_MAX_BYTES = 16 * 1024 * 1024,
    RUSH_SHEET_MAX_COLUMNS = 4096,
    RUSH_SHEET_MAX_CELL = 16 * 1024
};

typedef struct rush_cell {
    rush_text text; /* of no length: empty, or a cell that could not be read */
    rush_span span;
    const rush_source *source;
} rush_cell;

typedef struct rush_sheet_row {
    uint32_t first, count; /* of its cells, without empty ones at the end */
} rush_sheet_row;

typedef struct rush_sheet {
    rush_source source;
    RUSH_LIST(rush_cell) cells;
    RUSH_LIST(rush_sheet_row) rows; /* without empty ones; the first is the header */
    uint32_t columns;               /* of the longest row */
} rush_sheet;

/* Escapes when there is no memory; false when there is no table to go on with. Not called below another
 * reading of a sheet with the same arena. */
bool rush_sheet_read(rush_sheet *sheet, rush_arena *arena, const rush_table_text *table,
                     rush_diagnostics *list);

/* A cell of a row (the header is row 0); an empty one beyond the row's end. */
const rush_cell *rush_sheet_cell(const rush_sheet *sheet, uint32_t row, uint32_t column);

/* A cell's lines as they were written, for a drawing: a line break in front of them does not count. */
rush_text rush_sheet_lines(rush_arena *arena, const rush_cell *cell);

#endif
