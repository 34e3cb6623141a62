/* A table read from CSV with a reader that we did not write (libcsv, strict). */
#ifndef RUSH_TESTS_CSV_TABLE_H
#define RUSH_TESTS_CSV_TABLE_H

#include "rushlight/text.h"

typedef struct csv_table {
    rush_buffer text;                 /* the cells, each ended by a NUL */
    size_t *cells;                    /* where each begins */
    size_t cell_count, columns, rows; /* every row has as many columns as the first */
} csv_table;

/* False when the reader refuses it, a row has another number of cells, or the last line is not ended. */
bool csv_table_read(csv_table *table, rush_text text);
void csv_table_free(csv_table *table);
const char *csv_table_cell(const csv_table *table, size_t row, size_t column);
/* The cell of a row below a name in the first; NULL when there is no such column. */
const char *csv_table_named(const csv_table *table, size_t row, const char *name);

#endif
