/* One worker of `rank`: reads the rows of a batch, ranks them, writes the results behind one another. */
#ifndef RUSH_CLI_RANK_WORKER_H
#define RUSH_CLI_RANK_WORKER_H

#include "batch.h"
#include "part_options.h"
#include "record_options.h"

typedef struct rank_settings {
    const char *key, *set, *language;
    int in, out;
    uint32_t top, next, jobs, first_line;
    double safe;
    bool no_occurrence, exit_safe, wide;
    record_settings record;
    part_settings part;
} rank_settings;

enum { IN_LINES, IN_CSV, IN_JSONL };
enum { OUT_TEXT, OUT_JSONL, OUT_CSV, OUT_DARWIN_CORE };

/* What all workers share and none changes. */
typedef struct rank_plan {
    const rank_settings *settings;
    const rush_key *key;
    uint32_t language;
    rush_csv_shape shape;  /* of --out csv */
    rush_sighting *set;    /* or NULL */
    const rush_part *part; /* or NULL */
} rank_plan;

/* What is known at the end. */
typedef struct rank_tally {
    bool wrong; /* something was wrong with a row, or, under --exit-safe, not safe */
    uint32_t records;
    uint32_t lacking[4]; /* records without what, where, when, who */
    rush_buffer ids;     /* a digest, uint64_t, of each occurrenceID that a line gave */
} rank_tally;

/* What could not be read: its row among the results, and what is wrong with it. */
void rank_report_errors(const rank_plan *plan, const rush_sighting *sighting,
                        const rush_line *line, const rush_diagnostics *list, row_batch *batch);

typedef struct rank_worker rank_worker;

/* NULL when there is no memory. */
rank_worker *rank_worker_new(const rank_plan *plan);
void rank_worker_take(rank_worker *worker, row_batch *batch);
/* Adds up what it has counted. */
void rank_worker_tally(const rank_worker *worker, rank_tally *tally);
void rank_worker_free(rank_worker *worker);

#endif
