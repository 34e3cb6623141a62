/* A batch: some rows of one file on their way through the program, and what comes of them.
 *
 * The reader puts rows in, one worker writes their results behind one another, and the batch is then written
 * out as a whole. Results and errors stand in one buffer, in pieces, so that they reach a screen in the order
 * of the rows whoever worked on them. */
#ifndef RUSH_CLI_BATCH_H
#define RUSH_CLI_BATCH_H

#include "rushlight/rushlight.h"

enum {
    BATCH_ROWS = 128,        /* few enough that the first results come soon, ... */
    BATCH_BYTES = 16 * 1024, /* ... whatever the rows */
    BATCH_PIECES = 2 * BATCH_ROWS + 2
};

/* Where rows come from. */
typedef struct batch_source {
    const char *shown;     /* the file's name in results and diagnostics */
    rush_columns *columns; /* of CSV */
} batch_source;

typedef struct batch_row {
    size_t at, length; /* in `text` */
    uint32_t number;   /* of its first line */
} batch_row;

typedef struct row_batch {
    const batch_source *source;
    rush_buffer text;
    batch_row rows[BATCH_ROWS];
    uint32_t row_count;
    rush_buffer out;
    struct {
        size_t end; /* in `out` */
        bool error; /* for standard error */
    } pieces
        [BATCH_PIECES]; /* all but the last one, which runs to the end of `out` and is a result */
    uint32_t piece_count;
    bool faulty; /* it could not be worked on; that has been said */
} row_batch;

bool batch_full(const row_batch *batch);
/* Copies a row; a failure shows in batch_write. */
void batch_add(row_batch *batch, rush_text text, uint32_t number);
rush_text batch_text(const row_batch *batch, uint32_t row);
/* Puts the diagnostics behind what is in `out`, as an error. At most once for each row, and once for the whole
 * batch. */
void batch_complain(row_batch *batch, const rush_diagnostics *list);
/* Writes what came of it and empties the batch. False when that failed or it is faulty. */
bool batch_write(row_batch *batch);
void batch_free(row_batch *batch);

#endif
