/* Cells of a table in plain text: figures to the right, words to the left.
 *
 * Layer: report. Each takes `width` columns, or as many as it needs. */
#ifndef RUSH_REPORT_CELLS_H
#define RUSH_REPORT_CELLS_H

#include "rushlight/text.h"

/* "97.9 %"; what only rounds to all or nothing is ">99.9 %" or "<0.1 %". */
void rush_cell_percent(double part, size_t width, rush_buffer *buffer);
void rush_cell_number(double value, int decimals, size_t width, rush_buffer *buffer);
void rush_cell_whole(uint32_t value, size_t width, rush_buffer *buffer);
/* Made safe; behind it as many spaces as are wanting. */
void rush_cell_text(const char *text, size_t width, rush_buffer *buffer);
/* A heading over figures. */
void rush_cell_head(const char *text, size_t width, rush_buffer *buffer);

#endif
