/* A crew: workers side by side on a queue of batches, which come out in the order in which they went in.
 *
 *     the reader --give--> [ a ring of batches ] --take--> worker, worker, ... --> written in turn
 *
 * The ring bounds what is under way. Whoever finishes the batch whose turn it is writes it, and those behind
 * it that are done. One job, and the first batch of any run, need no thread. */
#ifndef RUSH_CLI_CREW_H
#define RUSH_CLI_CREW_H

#include "batch.h"

/* What the workers do. A worker is one thread's own. */
typedef struct crew_trade {
    void *with;
    void *(*hire)(void *with); /* a worker; NULL when there is no memory */
    void (*work)(void *worker, row_batch *batch);
    void (*dismiss)(void *with, void *worker); /* at the end, in the thread of crew_end */
} crew_trade;

typedef struct row_crew row_crew;

/* How many cores there are. */
uint32_t crew_cores(void);
/* `jobs` of 0: as many as there are cores. NULL when there is no memory for one worker. */
row_crew *crew_new(const crew_trade *trade, uint32_t jobs);
/* An empty batch; waits for one. NULL when the run has failed. */
row_batch *crew_batch(row_crew *crew);
/* To be worked on and written; it must be the last that crew_batch gave. */
void crew_give(row_crew *crew, row_batch *batch);
/* Waits for all and lets go of everything. False when writing or a batch has failed. */
bool crew_end(row_crew *crew);

#endif
