/* Rows for files of records that are made only to be appended. */
#ifndef RUSH_TESTS_ROWS_H
#define RUSH_TESTS_ROWS_H

#include "rushlight/rushlight.h"

/* A row with an id, a cell that needs quotation marks, and as many more as the header has columns. */
void rows_write(const char *id, rush_buffer *row);

#endif
