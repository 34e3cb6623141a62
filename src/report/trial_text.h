/* A trial's tables, for its text.
 *
 * Layer: report. */
#ifndef RUSH_REPORT_TRIAL_TEXT_H
#define RUSH_REPORT_TRIAL_TEXT_H

#include "rushlight/report.h"

/* What a table is of, and how much of it is shown. */
typedef struct rush_trial_table {
    const rush_trial *trial;
    const rush_trial_run *run;
    uint32_t language, top;
} rush_trial_table;

/* trial_tables.c. Of the taxa, those least often right first. */
void rush_trial_write_taxa(const rush_trial_table *table, rush_buffer *buffer);
void rush_trial_write_confusions(const rush_trial_table *table, rush_buffer *buffer);
/* Those that earned most first; then what is dead weight. */
void rush_trial_write_characters(const rush_trial_table *table, rush_buffer *buffer);

#endif
