/* Texts in rows and columns, set as a table for a screen of some width.
 *
 * Layer: report. Texts are made safe by who adds them. A table that is wider than the screen goes into blocks,
 * one below the other, each behind the first column again; text that is wider than its column goes on below. */
#ifndef RUSH_REPORT_GRID_H
#define RUSH_REPORT_GRID_H

#include "rushlight/report.h"

/* Filled row by row, cell by cell. Row 0 and column 0 are names. All zero but `columns` is an empty grid. */
typedef struct rush_grid {
    uint32_t columns, rows; /* rows: those that are begun */
    uint32_t filled, room;  /* cells of the last row; rows that there is room for */
    size_t *start;          /* by row and column: where a text begins */
    rush_buffer text;
} rush_grid;

/* A space that no line is broken at, for texts of a grid. */
#define RUSH_GRID_JOINED "\xc2\xa0"

/* A row more; false when there is no memory. */
bool rush_grid_row(rush_grid *grid);
/* What was added to grid->text since the last cell is a cell. */
void rush_grid_cell(rush_grid *grid);
rush_text rush_grid_text(const rush_grid *grid, uint32_t row, uint32_t column);
/* Without the rows from `count` on. */
void rush_grid_cut(rush_grid *grid, uint32_t count);
void rush_grid_free(rush_grid *grid);

/* Writes the `shown` columns of a grid, the names first; `down` says which way, as in rush_trait_table. */
void rush_grid_write(const rush_grid *grid, const uint32_t *shown, uint32_t shown_count,
                     rush_table_way down, uint32_t screen_columns, rush_buffer *buffer);
/* A text outside the grid, joined spaces as spaces. */
void rush_grid_piece(rush_text text, rush_buffer *buffer);

#endif
